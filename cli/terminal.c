/* See terminal.h. The flag that Ctrl-C raises is the command's only global. */
#include "terminal.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static volatile sig_atomic_t stop_asked;

static void ask_to_stop(int number) {
    (void)number;
    stop_asked = 1;
}

/* The second Ctrl-C finds the usual action again: a run that does not stop can still be ended.
 * Who started us with a signal ignored (nohup) wants it ignored. */
static void watch_signal(int number) {
    struct sigaction action = {0};
    if (sigaction(number, NULL, &action) != 0 || action.sa_handler == SIG_IGN)
        return;
    action.sa_handler = ask_to_stop;
    action.sa_flags = (int)(SA_RESTART | SA_RESETHAND);
    sigemptyset(&action.sa_mask);
    sigaction(number, &action, NULL);
}

void terminal_prepare(void) {
    signal(SIGPIPE, SIG_IGN);
    signal(SIGXFSZ, SIG_IGN);
    watch_signal(SIGINT);
    watch_signal(SIGTERM);
    watch_signal(SIGHUP);
}

static void say(const char *before, const tw_error *message) {
    char text[2048];
    tw_error_text(message, text, sizeof text);
    fprintf(stderr, "%s%s\n", before, text);
}

void say_error(const tw_error *message) {
    say("trimwell: ", message);
}

void say_warning(const tw_error *message) {
    say("trimwell: warning: ", message);
}

tw_code put_result(const char *text, tw_error *error) {
    char message[256];
    int cause = 0;
    errno = 0;
    if (fputs(text, stdout) == EOF || fflush(stdout) == EOF)
        cause = errno == 0 ? EIO : errno;
    /* Some file systems report a full disk only here. */
    if (cause == 0 && close(STDOUT_FILENO) != 0 && errno != EINTR)
        cause = errno;
    if (cause == 0)
        return TW_OK;
    snprintf(message, sizeof message, "cannot write to standard output: %s", strerror(cause));
    return tw_error_set(error, TW_IO, "standard-output", message, NULL);
}

void progress_prepare(progress *bar, bool quiet) {
    const char *kind = getenv("TERM");
    *bar = (progress){.percent = -1};
    bar->allowed = !quiet && isatty(STDERR_FILENO) && kind != NULL && strcmp(kind, "dumb") != 0;
}

/* What is being done may hold a file's name: cut it at a character, keep controls out. Is it
 * anything else than before? */
static bool set_doing(progress *bar, const char *doing) {
    char text[sizeof bar->doing];
    size_t length = strnlen(doing, sizeof text - 1);
    while (length > 0 && ((unsigned char)doing[length] & 0xC0) == 0x80)
        length--;
    memcpy(text, doing, length);
    text[length] = '\0';
    for (char *at = text; *at != '\0'; at++)
        if ((unsigned char)*at < 0x20 || *at == 0x7F)
            *at = '?';
    bool changed = strcmp(text, bar->doing) != 0;
    memcpy(bar->doing, text, sizeof text);
    return changed;
}

void progress_step(void *context, const char *doing, uint64_t done, uint64_t total) {
    static const char full[] = "####################";
    progress *bar = context;
    int width = (int)sizeof full - 1;
    if (!bar->allowed || total == 0)
        return;
    int percent = done >= total ? 100 : (int)((double)done * 100.0 / (double)total);
    bool changed = set_doing(bar, doing);
    if (percent == bar->percent && !changed)
        return;
    bar->percent = percent;
    bar->shown = true;
    int filled = percent * width / 100;
    fprintf(stderr, "\r\033[K[%.*s%*s] %3d%% %s", filled, full, width - filled, "", percent,
            bar->doing);
    fflush(stderr);
}

bool progress_cancelled(void *context) {
    (void)context;
    return stop_asked != 0;
}

void progress_end(progress *bar) {
    if (bar->shown)
        fputs("\r\033[K", stderr);
    bar->shown = false;
}
