/*
 * Sizes that are nearly another's: 13x18 cm is not 5x7 in, 30x40 cm is not 12x16 in, and a print
 * of the one does not fit the other's frame. Two findings, each said once at one order line: a
 * template that nearly has the size its name says, and two ordered templates that are easily
 * taken for each other.
 */
#include "prints/making.h"

#include <stdlib.h>
#include <string.h>

/* A template that is ordered. */
typedef struct ordered {
    const tw_template *format;
    const tw_order *first; /* the first line that orders it */
    size_t lines;
    bool accepted;   /* some line of it accepts near misses */
    tw_nm low, high; /* its shorter and longer side */
} ordered;

/* The inch sizes that have a centimetre twin lie 1.6 % (2.54 for 2.5) to 2.4 % (13 cm for 5 in)
 * from it; the next real neighbours (8x10 and 8x12 in) are far outside. */
static bool near_by(tw_nm a, tw_nm b) {
    tw_nm apart = a > b ? a - b : b - a;
    return apart <= (a > b ? a : b) / 40;
}

static tw_code warn(const tw_job_data *job, const ordered *at, tw_report *report, tw_error *error,
                    const tw_error *words) {
    tw_line_check check = {job, at->first, NULL, report, error};
    return tw_line_warn(&check, "near-miss-size", words->hint, "%s", words->message);
}

/* "13x18-cm" is read as "13x18cm". False: too long for a size. */
static bool reading(const char *name, const char *unit, char *out, size_t room) {
    size_t used = 0;
    for (; *name != '\0' && used < room; name++)
        if (*name != '-' && *name != '_')
            out[used++] = *name;
    if (used + strlen(unit) >= room)
        return false;
    memcpy(out + used, unit, strlen(unit) + 1);
    return true;
}

/* "13x18" may mean inches or centimetres: right when any reading is the size, a near miss when
 * one nearly is. */
static bool name_nearly_says(const ordered *one, tw_size *said) {
    static const char *const units[] = {"", "in", "cm"};
    bool near = false;
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        char text[64];
        tw_size size;
        if (!reading(one->format->name, units[i], text, sizeof text) ||
            tw_size_read(text, &size, NULL) != TW_OK)
            continue;
        tw_nm low = size.width < size.height ? size.width : size.height;
        tw_nm high = size.width < size.height ? size.height : size.width;
        if (low == one->low && high == one->high)
            return false;
        if (!near_by(low, one->low) || !near_by(high, one->high))
            continue;
        *said = (tw_size){low, high};
        near = true;
    }
    return near;
}

static tw_code check_name(const tw_job_data *job, const ordered *one, tw_report *report,
                          tw_error *error) {
    char is[TW_SIZE_TEXT], says[TW_SIZE_TEXT];
    tw_error words = {.code = TW_OK};
    tw_size said;
    if (one->accepted || !name_nearly_says(one, &said))
        return TW_OK;
    tw_fail(&words, TW_OK, "near-miss-size",
            "template \"%s\" makes prints of %s; its name says %s, which is nearly the same",
            one->format->name, tw_size_both((tw_size){one->low, one->high}, is),
            tw_size_both(said, says));
    tw_fail_hint(&words, "measure the frame, then correct the size or the name");
    return warn(job, one, report, error, &words);
}

static tw_code check_pair(const tw_job_data *job, const ordered *a, const ordered *b,
                          tw_report *report, tw_error *error) {
    char first[TW_SIZE_TEXT], second[TW_SIZE_TEXT];
    tw_error words = {.code = TW_OK};
    if (a->accepted || b->accepted)
        return TW_OK;
    /* The rarer one is more likely the slip. */
    bool swap = a->lines < b->lines || (a->lines == b->lines && a->first > b->first);
    const ordered *rare = swap ? a : b, *other = swap ? b : a;
    tw_fail(&words, TW_OK, "near-miss-size",
            "template \"%s\", %s, is ordered here and \"%s\", %s, on line %d: nearly one size, but "
            "each needs its own frame",
            rare->format->name, tw_size_both((tw_size){rare->low, rare->high}, first),
            other->format->name, tw_size_both((tw_size){other->low, other->high}, second),
            other->first->place.line);
    tw_fail_hint(&words, "if both are meant, accept near-miss-size here and keep the piles apart");
    return warn(job, rare, report, error, &words);
}

/* So many neighbours are looked at: a hostile template set must not cost quadratic time. */
#define NEIGHBOURS 200

static tw_code check_pairs(const tw_job_data *job, const ordered *all, size_t count,
                           tw_report *report, tw_error *error) {
    for (size_t i = 0; i < count; i++)
        for (size_t j = i + 1; j < count && j - i <= NEIGHBOURS; j++) {
            const ordered *a = &all[i], *b = &all[j];
            if (!near_by(a->low, b->low))
                break; /* sorted by the shorter side */
            if ((a->low == b->low && a->high == b->high) || !near_by(a->high, b->high))
                continue;
            tw_code code = check_pair(job, a, b, report, error);
            if (code != TW_OK)
                return code;
            break; /* one partner is enough to make one look */
        }
    return TW_OK;
}

static int by_size(const void *left, const void *right) {
    const ordered *a = left, *b = right;
    if (a->low != b->low)
        return a->low < b->low ? -1 : 1;
    if (a->high != b->high)
        return a->high < b->high ? -1 : 1;
    return (a->format > b->format) - (a->format < b->format); /* one array */
}

static void count_line(const tw_job_data *job, const tw_order *line, ordered *all) {
    const tw_template *format = &job->templates[line->template_index];
    ordered *one = &all[line->template_index];
    tw_size size = format->size;
    if (one->lines++ == 0)
        *one = (ordered){.format = format, .first = line, .lines = 1};
    one->low = size.width < size.height ? size.width : size.height;
    one->high = size.width < size.height ? size.height : size.width;
    one->accepted = one->accepted || tw_line_accepts(line, "near-miss-size");
}

/* The ordered templates with a size of their own, moved to the front and sorted by it. */
static size_t gather(const tw_job_data *job, ordered *all) {
    size_t count = 0;
    for (size_t i = 0; i < job->order_count; i++)
        if (job->orders[i].template_index < job->template_count)
            count_line(job, &job->orders[i], all);
    for (size_t i = 0; i < job->template_count; i++)
        if (all[i].lines > 0 && !all[i].format->by_picture)
            all[count++] = all[i];
    if (count > 1)
        qsort(all, count, sizeof *all, by_size);
    return count;
}

tw_code tw_check_sizes(tw_arena *arena, const tw_job_data *job, tw_report *report,
                       tw_error *error) {
    ordered *all = tw_arena_array(arena, job->template_count, sizeof *all);
    if (all == NULL)
        return tw_no_memory(error);
    size_t count = gather(job, all);
    tw_code code = TW_OK;
    for (size_t i = 0; code == TW_OK && i < count; i++)
        code = check_name(job, &all[i], report, error);
    return code == TW_OK ? check_pairs(job, all, count, report, error) : code;
}
