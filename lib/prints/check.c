/*
 * What is worth a second look before paper is spent. Everything here is a warning: data for the
 * person, one a finding and order line, silenced line by line through `accept`.
 */
#include "prints/making.h"

#include <stdarg.h>
#include <stdio.h>

#include "base/text.h"

const char *const *tw_acceptable_warnings(void) {
    static const char *const names[] = {
        "border-inside-margin",
        "colour-doubt",
        "crops-much",
        "damaged-image",
        "doubled-line",
        "extra-channels",
        "lip-over-border",
        "low-ppi",
        "near-miss-size",
        "profile-problem",
        "several-pages",
        "signature-near-picture",
        "signature-straddles",
        "signature-under-lip",
        "signature-under-window",
        "thin-border",
        "uneven-border",
        "uneven-pixels",
        "untagged",

        NULL,
    };
    return names;
}

bool tw_line_accepts(const tw_order *line, const char *name) {
    for (size_t i = 0; i < line->accept_count; i++)
        if (tw_same_name(line->accept[i], name))
            return true;
    return false;
}

tw_code tw_line_warn(const tw_line_check *check, const char *name, const char *hint,
                     const char *format, ...) {
    char words[sizeof((tw_error *)NULL)->message];
    tw_error message = {.code = TW_OK};
    va_list list;
    if (tw_line_accepts(check->line, name))
        return TW_OK;
    va_start(list, format);
    vsnprintf(words, sizeof words, format, list);
    va_end(list);
    tw_fail(&message, TW_OK, name, "%s", words);
    tw_line_place(check->line, &message);
    if (hint != NULL)
        tw_fail_hint(&message, "%s", hint);
    return tw_report_warning(check->report, &message, check->error);
}

static tw_code check_accept(const tw_line_check *check) {
    const char *const *known = tw_acceptable_warnings();
    size_t count = 0;
    while (known[count] != NULL)
        count++;
    for (size_t i = 0; i < check->line->accept_count; i++) {
        const char *name = check->line->accept[i];
        size_t at = 0;
        while (at < count && !tw_same_name(known[at], name))
            at++;
        if (at < count)
            continue;
        const char *near = tw_nearest(name, known, count);
        char hint[80];
        snprintf(hint, sizeof hint, "nearest: \"%s\"", near == NULL ? "" : near);
        tw_code code = tw_line_warn(check, "accept-unknown", near == NULL ? NULL : hint,
                                    "accept names \"%s\", which is no warning", name);
        if (code != TW_OK)
            return code;
    }
    return TW_OK;
}

static tw_code check_line(const tw_line_check *check) {
    tw_code code = check_accept(check);
    if (check->print == NULL) /* unprintable, and already said so */
        return code;
    if (code == TW_OK)
        code = tw_check_borders(check);
    if (code == TW_OK)
        code = tw_check_signature(check);
    return code == TW_OK ? tw_check_image(check) : code;
}

/* Each line's first copy: orders, then fillers. NULL: no memory. */
static const tw_print **first_copies(tw_arena *arena, const tw_job_data *job,
                                     const tw_prints *prints) {
    const tw_print **first =
        tw_arena_array(arena, job->order_count + job->filler_count, sizeof *first);
    for (size_t i = 0; first != NULL && i < prints->count; i++) {
        const tw_print *print = &prints->items[i];
        if (print->copy == 1)
            first[print->filler ? job->order_count + (size_t)(print->line - job->fillers)
                                : (size_t)(print->line - job->orders)] = print;
    }
    return first;
}

tw_code tw_prints_check(tw_arena *arena, const tw_job_data *job, const tw_prints *prints,
                        tw_report *report, tw_error *error) {
    const tw_print **first = first_copies(arena, job, prints);
    if (first == NULL)
        return tw_no_memory(error);
    tw_code code = TW_OK;
    for (size_t i = 0; code == TW_OK && i < job->order_count + job->filler_count; i++) {
        const tw_order *line =
            i < job->order_count ? &job->orders[i] : &job->fillers[i - job->order_count];
        tw_line_check check = {job, line, first[i], report, error};
        code = check_line(&check);
    }
    if (code == TW_OK)
        code = tw_check_sizes(arena, job, report, error);
    return code == TW_OK ? tw_check_doubles(arena, job, report, error) : code;
}
