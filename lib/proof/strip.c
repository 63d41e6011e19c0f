/* A day's test strips: one for each paper that carries prints, into a folder (strip.h). */
#include "proof/strip.h"

#include "base/old_files.h"
#include "colour/srgb_profile.h"
#include "pdf/pdf.h"

#include <stdio.h>
#include <string.h>

#define SIDE_USUAL (TW_IN * 3 / 2)
#define SIDE_LEAST (TW_IN / 2)
#define SIDE_MOST (TW_IN * 6)
#define STEP_USUAL 4 /* a third of a stop */

typedef struct writing {
    tw_arena *arena;
    const tw_plan_data *plan;
    const tw_strip_wish *wish;
    const tw_run *run;
    tw_report *report;
    tw_error *error;
    tw_files *files;
    tw_strip *strips;
    size_t count;
    tw_strip_images images;
} writing;

/* ------------------------------------------------ what is asked for */

static tw_code read_side(const char *text, tw_nm *out, tw_error *error) {
    tw_error why = {0};
    *out = SIDE_USUAL;
    if (text == NULL)
        return TW_OK;
    if (tw_length_read(text, out, &why) == TW_OK && *out >= SIDE_LEAST && *out <= SIDE_MOST)
        return TW_OK;
    tw_fail(error, TW_USAGE, "bad-detail",
            "the side of a detail is \"%s\"; it must be a length from 1/2in to 6in", text);
    tw_fail_hint(error, "such as 1 1/2in or 40mm");
    return TW_USAGE;
}

tw_code tw_strip_wish_read(const tw_strip_options *options, tw_strip_wish *out, tw_error *error) {
    *out = (tw_strip_wish){.vary = options->vary,
                           .step = options->step == 0 ? STEP_USUAL : options->step,
                           .wedge = options->wedge,
                           .patches = options->patches,
                           .measured = options->measured};
    if (out->step < 1 || out->step > 12)
        return tw_fail(error, TW_USAGE, "bad-step",
                       "a step of exposure is %d twelfths of a stop; it must be from 1 to 12",
                       out->step);
    if (out->measured != NULL && !out->wedge && !out->patches)
        return tw_fail(error, TW_USAGE, "nothing-measured",
                       "measured colours are those of the neutral wedge or of the patch row, and "
                       "neither is on this strip");
    return read_side(options->detail, &out->side, error);
}

/* ------------------------------------------------ the strips */

static const char *file_name(tw_arena *arena, size_t number, const char *paper) {
    char *name = tw_arena_print(arena, "strip-%02zu-%s.pdf", number, paper);
    for (char *at = name; at != NULL && *at != '\0'; at++)
        if (*at == '/' || (unsigned char)*at < 0x20)
            *at = '_';
    return name;
}

bool tw_is_strip_name(const char *name) {
    size_t digits = 0, length = strlen(name);
    if (strcmp(name, TW_STRIP_CHART_FILE) == 0)
        return true;
    if (strncmp(name, "strip-", 6) != 0 || strcmp(name + length - 4, ".pdf") != 0)
        return false;
    while (name[6 + digits] >= '0' && name[6 + digits] <= '9')
        digits++;
    return digits >= 2 && digits <= 9 && name[6 + digits] == '-' && strchr(name, '/') == NULL;
}

static const tw_old_list old_strips = {
    "strip.json", "strips", {"file", "patches_picture"}, tw_is_strip_name};

static tw_code start_images(writing *w) {
    const tw_prints *prints = w->plan->prints;
    w->images.room = prints->image_count + 16;
    w->images.items = tw_arena_array(w->arena, w->images.room, sizeof *w->images.items);
    if (w->images.items == NULL)
        return tw_no_memory(w->error);
    if (prints->image_count > 0)
        memcpy(w->images.items, prints->images, prints->image_count * sizeof *prints->images);
    w->images.count = prints->image_count;
    return TW_OK;
}

static tw_code make_strip(writing *w, size_t paper_index) {
    tw_strip *strip = &w->strips[w->count];
    const tw_job_data *job = w->plan->job;
    *strip = (tw_strip){.job = job, .paper_index = paper_index};
    tw_code code = tw_strip_cells(w->arena, w->plan->prints, w->wish, strip, &w->images, w->run,
                                  w->report, w->error);
    if (code != TW_OK || strip->cell_count == 0)
        return code;
    strip->file = file_name(w->arena, w->count + 1, job->papers[paper_index].name);
    if (strip->file == NULL)
        return tw_no_memory(w->error);
    w->count++;
    code = tw_strip_chart_make(w->arena, job, &job->papers[paper_index], w->wish, &strip->chart,
                               w->error);
    return code == TW_OK ? tw_strip_place_find(w->arena, w->plan, strip, w->error) : code;
}

static tw_code make_strips(writing *w) {
    tw_code code = start_images(w);
    w->strips = tw_arena_array(w->arena, w->plan->job->paper_count, sizeof *w->strips);
    if (w->strips == NULL)
        return tw_no_memory(w->error);
    for (size_t i = 0; i < w->plan->job->paper_count && code == TW_OK; i++)
        code = make_strip(w, i);
    return code;
}

/* ------------------------------------------------ the chart's picture */

/* It goes to paper as any untagged sRGB picture does. */
static tw_code read_chart(writing *w, const char *path, tw_image *image) {
    tw_buffer srgb;
    tw_code code = tw_image_read(w->arena, path, image, w->error);
    if (code != TW_OK)
        return code;
    image->name = TW_STRIP_CHART_FILE;
    tw_buffer_start(&srgb, tw_arena_allocator(w->arena));
    tw_srgb_profile(&srgb);
    if (!srgb.failed)
        image->source = (unsigned char *)tw_arena_copy(w->arena, srgb.bytes, srgb.length);
    image->source_length = srgb.length;
    tw_buffer_free(&srgb);
    return image->source == NULL ? tw_no_memory(w->error) : TW_OK;
}

static tw_code put_chart(writing *w, const char *path, const tw_buffer *png) {
    FILE *file = fopen(path, "wbe"); /* e: no program started meanwhile gets it */
    bool good = file != NULL && fwrite(png->bytes, 1, png->length, file) == png->length;
    if (file != NULL)
        good = fclose(file) == 0 && good;
    return good ? TW_OK
                : tw_fail(w->error, TW_IO, "write-failed",
                          TW_STRIP_CHART_FILE " cannot be written whole");
}

/* All strips have the same one. */
static tw_code write_chart(writing *w) {
    const char *path = NULL;
    tw_buffer png;
    tw_image image = {0};
    if (w->count == 0 || w->strips[0].chart.count == 0)
        return TW_OK;
    tw_buffer_start(&png, tw_arena_allocator(w->arena));
    tw_strip_chart_png(&w->strips[0].chart, &png);
    tw_code code = png.failed ? tw_no_memory(w->error)
                              : tw_files_add(w->files, TW_STRIP_CHART_FILE, &path, w->error);
    if (code == TW_OK)
        code = put_chart(w, path, &png);
    if (code == TW_OK)
        code = read_chart(w, path, &image);
    tw_buffer_free(&png);
    if (code != TW_OK)
        return code;
    tw_image *items = tw_arena_grow(w->arena, w->images.items, w->images.count, &w->images.room,
                                    sizeof *w->images.items);
    if (items == NULL)
        return tw_no_memory(w->error);
    w->images.items = items;
    items[w->images.count] = image;
    for (size_t i = 0; i < w->count; i++)
        w->strips[i].chart.image = w->images.count;
    w->images.count++;
    return TW_OK;
}

/* ------------------------------------------------ the files */

/* In waste it is the sheet itself, the strip added. */
static tw_code make_page(const writing *w, const tw_strip *strip, tw_page *page) {
    *page = (tw_page){.size = strip->place.page};
    if (strip->place.where == TW_STRIP_IN_WASTE) {
        const tw_page *sheet = &w->plan->sheets[strip->place.sheet].page;
        page->ops = tw_arena_array(w->arena, sheet->count + 1, sizeof *page->ops);
        if (page->ops == NULL)
            return tw_no_memory(w->error);
        if (sheet->count > 0)
            memcpy(page->ops, sheet->ops, sheet->count * sizeof *page->ops);
        page->count = sheet->count;
        page->room = sheet->count + 1;
    }
    return tw_strip_draw(w->arena, strip, page, w->error);
}

static tw_code write_page(const writing *w, const tw_pdf_facts *facts, const char *temporary,
                          const tw_page *page) {
    tw_pdf *pdf = NULL;
    tw_code code = tw_pdf_start(tw_arena_allocator(w->arena), facts, temporary, &pdf, w->error);
    if (code == TW_OK)
        code = tw_pdf_page(pdf, page, w->error);
    if (code == TW_OK)
        code = tw_pdf_finish(pdf, w->report, w->error);
    tw_pdf_free(pdf);
    return code;
}

static tw_code write_strip(const writing *w, const tw_strip *strip) {
    const tw_job_data *job = w->plan->job;
    const tw_paper *paper = &job->papers[strip->paper_index];
    const char *temporary = NULL;
    tw_page page;
    tw_pdf_facts facts = {.title = tw_arena_print(w->arena, "test strip \xC2\xB7 %s", paper->name),
                          .identity = tw_arena_print(w->arena, "%s\n%s\n%s", strip->file,
                                                     job->name == NULL ? "" : job->name,
                                                     job->date == NULL ? "" : job->date),
                          .date = job->date,
                          .images = w->images.items,
                          .image_count = w->images.count,
                          .colour = {job, paper},
                          .run = w->run};
    if (paper->icc_for_print) {
        facts.intent = paper->icc;
        facts.intent_length = paper->icc_length;
        facts.intent_name = paper->icc_description;
    }
    if (facts.title == NULL || facts.identity == NULL)
        return tw_no_memory(w->error);
    tw_code code = make_page(w, strip, &page);
    if (code == TW_OK)
        code = tw_files_add(w->files, strip->file, &temporary, w->error);
    return code == TW_OK ? write_page(w, &facts, temporary, &page) : code;
}

static tw_code write_texts(writing *w, tw_buffer *text) {
    tw_buffer json;
    tw_buffer_start(&json, tw_arena_allocator(w->arena));
    tw_strip_json(w->arena, w->plan, w->strips, w->count, &json);
    tw_strip_text(w->arena, w->plan, w->strips, w->count, text);
    tw_code code = json.failed || text->failed
                       ? tw_no_memory(w->error)
                       : tw_files_write(w->files, "strip.json", json.bytes, json.length, w->error);
    tw_buffer_free(&json);
    return code;
}

static tw_code write_all(writing *w, const char *folder, tw_buffer *text) {
    tw_code code = write_chart(w);
    for (size_t i = 0; i < w->count && code == TW_OK; i++)
        code = write_strip(w, &w->strips[i]);
    if (code == TW_OK)
        code = write_texts(w, text);
    if (code == TW_OK)
        code = tw_old_files_remove(w->arena, folder, &old_strips, w->files, w->error);
    return code == TW_OK ? tw_files_commit(w->files, w->error) : code;
}

tw_code tw_strip_write(tw_arena *arena, const tw_plan_data *plan, const char *folder,
                       const tw_strip_wish *wish, const tw_run *run, tw_buffer *text,
                       tw_report *report, tw_error *error) {
    writing w = {
        .arena = arena, .plan = plan, .wish = wish, .run = run, .report = report, .error = error};
    tw_code code = make_strips(&w);
    if (code == TW_OK && wish->measured != NULL)
        code = tw_strip_measured(arena, wish->measured, w.strips, w.count, report, error);
    if (code == TW_OK)
        code = tw_files_start(tw_arena_allocator(arena), folder, &w.files, error);
    if (code == TW_OK)
        code = write_all(&w, folder, text);
    tw_files_abandon(w.files);
    return code;
}
