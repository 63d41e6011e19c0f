/* See watch.h. */
#include "layout/watch.h"

#include "layout/pieces.h"

#include <stdio.h>

static long long sheets(const tw_stock *stock, tw_nm length) {
    return (long long)((length + stock->length - 1) / stock->length);
}

/* The bound is never said longer than it is, nor the plan shorter. */
static void say_roll(tw_watch *w) {
    long long feet = (long long)((w->best * 100 + TW_FT - 1) / TW_FT);
    long long mm = (long long)((w->best + TW_MM - 1) / TW_MM);
    long long least = (long long)(w->bound * 100 / TW_FT);
    int used = snprintf(w->text, sizeof w->text, "laid in %lld.%02lld ft (%lld.%03lld m)",
                        feet / 100, feet % 100, mm / 1000, mm % 1000);
    if (w->bound > 0 && used > 0)
        snprintf(w->text + used, sizeof w->text - (size_t)used, ", bound %lld.%02lld ft",
                 least / 100, least % 100);
}

static void say_sheets(tw_watch *w) {
    long long count = sheets(w->stock, w->best);
    int used =
        snprintf(w->text, sizeof w->text, "laid on %lld sheet%s", count, count == 1 ? "" : "s");
    if (w->bound > 0 && used > 0)
        snprintf(w->text + used, sizeof w->text - (size_t)used, ", bound %lld",
                 sheets(w->stock, w->bound));
}

static void tell(tw_watch *w, uint64_t done, uint64_t total) {
    double part = total == 0 ? 0 : (double)done / (double)total;
    uint64_t at = (uint64_t)w->before + (uint64_t)((double)w->share * (part < 1 ? part : 1));
    tw_run_progress(w->outer, w->text, at, (uint64_t)w->all);
}

static void told(void *context, const char *doing, uint64_t done, uint64_t total) {
    (void)doing; /* the engines cannot know how much paper it comes to */
    tell(context, done, total);
}

static bool stopped(void *context) {
    const tw_watch *w = context;
    return tw_run_cancelled(w->outer);
}

void tw_watch_start(tw_watch *out, const tw_run *outer, const tw_stock *stock, int64_t all) {
    *out = (tw_watch){.outer = outer, .stock = stock, .all = all, .text = "laying out"};
    out->inner = (tw_run){.allocator = outer == NULL ? NULL : outer->allocator,
                          .progress = told,
                          .cancelled = stopped,
                          .context = out};
}

void tw_watch_begin(tw_watch *watch, int64_t share) {
    watch->before += watch->share;
    watch->share = share;
    tell(watch, 0, 1);
}

bool tw_watch_told(const tw_watch *watch) {
    return watch->outer != NULL && watch->outer->progress != NULL;
}

void tw_watch_found(tw_watch *watch, tw_nm best, tw_nm bound) {
    watch->best = best;
    watch->bound = bound;
    if (watch->stock->roll)
        say_roll(watch);
    else
        say_sheets(watch);
    tell(watch, 1, 1);
}
