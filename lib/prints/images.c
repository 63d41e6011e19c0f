/*
 * The facts of every image the orders name, each file read once however many lines use it.
 */
#include "prints/making.h"

#include <stdlib.h>
#include <string.h>

/* A line and its place in the job: orders first, then fillers. */
typedef struct use {
    const tw_order *line;
    size_t index;
} use;

static int by_path(const void *a, const void *b) {
    const use *left = a, *right = b;
    int order = strcmp(left->line->image_path, right->line->image_path);
    if (order != 0)
        return order;
    return left->index < right->index ? -1 : left->index > right->index;
}

static size_t list_uses(const tw_job_data *job, use *uses, size_t *line_image) {
    size_t count = 0;
    for (size_t i = 0; i < job->order_count + job->filler_count; i++) {
        const tw_order *line =
            i < job->order_count ? &job->orders[i] : &job->fillers[i - job->order_count];
        line_image[i] = SIZE_MAX;
        if (line->image_path != NULL)
            uses[count++] = (use){line, i};
    }
    if (count > 1) /* not on an empty list, whose address may be anything */
        qsort(uses, count, sizeof *uses, by_path);
    return count;
}

/* An image nobody can print is one finding, said at the first line that names it; the words of
 * the reader are kept, the place becomes the order's. */
static tw_code report_unusable(const tw_order *line, const tw_error *why, size_t lines,
                               tw_report *report, tw_error *error) {
    tw_error message = {.code = why->code};
    if (lines > 1)
        tw_fail(&message, why->code, why->name, "image \"%s\" (used by %zu lines): %s", line->image,
                lines, why->message);
    else
        tw_fail(&message, why->code, why->name, "image \"%s\": %s", line->image, why->message);
    tw_line_place(line, &message);
    if (why->hint[0] != '\0')
        tw_fail_hint(&message, "%s", why->hint);
    else if (why->code == TW_DAMAGED)
        tw_fail_hint(&message, "get the file again; with --accept-damaged what is intact of it may "
                               "still be printed");
    return tw_report_error(report, &message, error);
}

/* What concerns the day and not this one file ends the run. */
static bool ends_the_run(tw_code code) {
    return code == TW_MEMORY || code == TW_CANCELLED || code == TW_BUG;
}

static tw_code read_one(tw_arena *arena, const tw_job_data *job, const use *uses, size_t lines,
                        tw_report *report, tw_facts *out, tw_error *error) {
    tw_error why = {.code = TW_OK};
    tw_image *image = &out->images[out->image_count];
    const tw_order *line = uses->line;
    *image = (tw_image){0};
    tw_code code = job->accept_damaged ? tw_image_read_damaged(arena, line->image_path, image, &why)
                                       : tw_image_read(arena, line->image_path, image, &why);
    if (ends_the_run(code)) {
        if (error != NULL)
            *error = why;
        return code;
    }
    if (code == TW_OK)
        code = tw_image_within(image, &job->limits, &why);
    if (code != TW_OK)
        return report_unusable(line, &why, lines, report, error);
    image->name = line->image;
    image->path = line->image_path;
    for (size_t i = 0; i < lines; i++)
        out->of_line[uses[i].index] = out->image_count;
    out->image_count++;
    return TW_OK;
}

static size_t same_path(const use *uses, size_t count) {
    size_t same = 1;
    while (same < count && strcmp(uses[same].line->image_path, uses->line->image_path) == 0)
        same++;
    return same;
}

static size_t distinct(const use *uses, size_t count) {
    size_t files = 0;
    for (size_t at = 0; at < count; at += same_path(uses + at, count - at))
        files++;
    return files;
}

static tw_code look_up(const tw_run *run, size_t done, size_t total, tw_error *error) {
    if (run == NULL)
        return TW_OK;
    if (run->cancelled != NULL && run->cancelled(run->context))
        return tw_fail(error, TW_CANCELLED, "cancelled", "stopped while reading the images");
    if (run->progress != NULL)
        run->progress(run->context, "reading images", done, total);
    return TW_OK;
}

tw_code tw_prints_facts(tw_arena *arena, const tw_job_data *job, const tw_run *run,
                        tw_report *report, tw_facts *out, tw_error *error) {
    size_t lines = job->order_count + job->filler_count;
    use *uses = tw_arena_array(arena, lines, sizeof *uses);
    *out = (tw_facts){.of_line = tw_arena_array(arena, lines, sizeof *out->of_line)};
    if (uses == NULL || out->of_line == NULL)
        return tw_no_memory(error);
    size_t count = list_uses(job, uses, out->of_line);
    out->images = tw_arena_array(arena, distinct(uses, count), sizeof *out->images);
    if (out->images == NULL)
        return tw_no_memory(error);
    for (size_t at = 0; at < count;) {
        size_t same = same_path(uses + at, count - at);
        tw_code code = look_up(run, at, count, error);
        if (code == TW_OK)
            code = read_one(arena, job, uses + at, same, report, out, error);
        if (code != TW_OK)
            return code;
        at += same;
    }
    return look_up(run, count, count, error);
}

bool tw_image_convertible(const tw_image *image) {
    if (image->assumed != NULL)
        return true;
    return image->profile_problem == NULL && (image->profile != NULL || image->space != TW_CMYK);
}

bool tw_image_again(const tw_image *images, size_t index) {
    for (size_t i = 0; i < index; i++)
        if (images[i].path == images[index].path)
            return true;
    return false;
}
