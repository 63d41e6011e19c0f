/*
 * A plan becomes a folder: every sheet's PDF, the cut guide and plan.json. Nothing has its final
 * name before everything is written and on the disk, so a folder never mixes two plans; then
 * sheets that only the old plan had are removed, as somebody would print them.
 *
 * One document a sheet, or with one_file one a paper, cut where its bytes would pass what a PDF
 * can address here.
 */
#include "compose/compose.h"
#include "base/limits.h"
#include "compose/old_plan.h"
#include "guide/guide.h"
#include "image/image_file.h"
#include "pdf/pdf.h"
#include "pixels/kept_rows.h"
#include "report/report.h"

#include <string.h>

/* What a page and an image cost beside the image's own bytes: marks, text, the face; a
 * dictionary and its profile's. */
#define PAGE_BYTES ((int64_t)1 << 20)
#define IMAGE_BYTES ((int64_t)64 << 10)
/* Objects an image may have in a document: one an intent. */
#define INTENTS ((size_t)TW_ABSOLUTE + 1)

typedef struct document {
    const char *file;
    size_t first, count; /* of plan->sheets */
    int64_t bytes;       /* at most */
} document;

typedef struct composing {
    tw_arena *arena;
    tw_plan_data *plan;
    const char *folder;
    const tw_compose_options *options;
    const tw_run *run;
    tw_report *report;
    tw_files *files;
    tw_kept *kept;
    document *documents;
    size_t count;
    uint64_t done, total; /* bytes, for progress */
    tw_error *error;
} composing;

/* ------------------------------------------------ which documents */

static bool converts(const tw_plan_data *plan, const tw_plan_sheet *sheet, const tw_image *image) {
    return plan->job->papers[sheet->paper_index].converts && image->source != NULL;
}

static int64_t pixel_bytes(const tw_plan_data *plan, const tw_plan_sheet *sheet,
                           const tw_image *image) {
    const tw_paper *paper = &plan->job->papers[sheet->paper_index];
    return converts(plan, sheet, image) ? tw_pixels_bound_converted(image, paper->icc_channels)
                                        : tw_pixels_bound(image);
}

static size_t object_of(const tw_print *print) {
    return print->image_index * INTENTS + (size_t)print->intent;
}

/* What this sheet adds to a document that holds the images stamped with `stamp` already. */
static int64_t added_bytes(const tw_plan_data *plan, const tw_plan_sheet *sheet, size_t *stamps,
                           size_t stamp, bool keep) {
    int64_t bytes = PAGE_BYTES;
    for (size_t i = 0; i < sheet->print_count; i++) {
        const tw_print *print = sheet->prints[i].print;
        size_t object = object_of(print);
        const tw_image *facts = &plan->prints->images[print->image_index];
        if (stamps[object] == stamp)
            continue;
        if (keep)
            stamps[object] = stamp;
        bytes += pixel_bytes(plan, sheet, facts) + (int64_t)facts->profile_length + IMAGE_BYTES;
    }
    return bytes;
}

static const tw_paper *paper_of(const composing *c, size_t sheet) {
    return &c->plan->job->papers[c->plan->sheets[sheet].paper_index];
}

static bool begins_document(const composing *c, size_t index, const document *last,
                            size_t *stamps) {
    const tw_plan_sheet *sheet = &c->plan->sheets[index];
    if (last == NULL || !c->options->one_file ||
        sheet->paper_index != c->plan->sheets[index - 1].paper_index ||
        sheet->roll != c->plan->sheets[index - 1].roll || sheet->offcut > 0)
        return true;
    return last->bytes + added_bytes(c->plan, sheet, stamps, c->count, false) > TW_SHEET_BYTES_MOST;
}

static tw_code group_sheets(composing *c) {
    const tw_plan_data *plan = c->plan;
    size_t *stamps = tw_arena_array(c->arena, plan->prints->image_count * INTENTS, sizeof *stamps);
    c->documents = tw_arena_array(c->arena, plan->sheet_count, sizeof *c->documents);
    if (stamps == NULL || c->documents == NULL)
        return tw_no_memory(c->error);
    for (size_t i = 0; i < plan->sheet_count; i++) {
        document *last = c->count == 0 ? NULL : &c->documents[c->count - 1];
        if (begins_document(c, i, last, stamps)) {
            last = &c->documents[c->count++];
            last->first = i;
            last->bytes = (int64_t)paper_of(c, i)->icc_length;
            c->total += (uint64_t)last->bytes;
        }
        last->count++;
        int64_t bytes = added_bytes(plan, &plan->sheets[i], stamps, c->count, true);
        last->bytes += bytes;
        c->total += (uint64_t)bytes;
    }
    return TW_OK;
}

/* Each document opens an image's object once. */
static tw_code expect_images(composing *c) {
    const tw_plan_data *plan = c->plan;
    size_t *stamps = tw_arena_array(c->arena, plan->prints->image_count * INTENTS, sizeof *stamps);
    tw_code code = stamps == NULL ? tw_no_memory(c->error) : TW_OK;
    for (size_t d = 0; d < c->count; d++)
        for (size_t i = 0; i < c->documents[d].count; i++) {
            const tw_plan_sheet *sheet = &plan->sheets[c->documents[d].first + i];
            for (size_t p = 0; p < sheet->print_count && code == TW_OK; p++) {
                const tw_print *print = sheet->prints[p].print;
                const tw_image *image = &plan->prints->images[print->image_index];
                if (stamps[object_of(print)] == d + 1)
                    continue;
                stamps[object_of(print)] = d + 1;
                code = tw_kept_expect(c->kept, image, converts(plan, sheet, image), c->error);
            }
        }
    return code;
}

/* Names sort as they print. The sheets learn theirs, as plan.json and the caller tell them. */
static tw_code name_documents(composing *c) {
    int digits = 2;
    for (size_t most = 99; most < c->count; most = most * 10 + 9)
        digits++;
    for (size_t i = 0; i < c->count; i++) {
        document *d = &c->documents[i];
        d->file = tw_arena_print(c->arena, "%s-%0*zu.pdf",
                                 c->options->one_file ? "sheets" : "sheet", digits, i + 1);
        if (d->file == NULL)
            return tw_no_memory(c->error);
        for (size_t n = 0; n < d->count; n++)
            c->plan->sheets[d->first + n].file = d->file;
    }
    return TW_OK;
}

/* ------------------------------------------------ writing */

static const char *title_of(const composing *c, const char *what) {
    const char *name = c->plan->job->name;
    return name == NULL ? tw_arena_string(c->arena, what)
                        : tw_arena_print(c->arena, "%s \xC2\xB7 %s", name, what);
}

/* The temporary is nobody's business: messages name the file it was to become. */
static void say_file(const composing *c, const char *file) {
    const char *path = tw_path_join(c->arena, c->folder, file);
    if (c->error != NULL && c->error->code == TW_IO && path != NULL)
        tw_fail_at(c->error, path, 0, 0);
}

static tw_code write_pages(composing *c, const tw_pdf_facts *facts, const char *temporary,
                           const tw_page *const *pages, size_t count) {
    tw_pdf *pdf = NULL;
    tw_code code = tw_pdf_start(tw_arena_allocator(c->arena), facts, temporary, &pdf, c->error);
    for (size_t i = 0; i < count && code == TW_OK; i++)
        code = tw_pdf_page(pdf, pages[i], c->error);
    if (code == TW_OK)
        code = tw_pdf_finish(pdf, c->report, c->error);
    tw_pdf_free(pdf);
    return code;
}

/* `paper` NULL: no sheet, and no output intent. */
static tw_code write_pdf(composing *c, const char *file, const char *what, const tw_paper *paper,
                         const tw_page *const *pages, size_t count) {
    const tw_job_data *job = c->plan->job;
    const char *temporary = NULL;
    tw_pdf_facts facts = {.title = title_of(c, what),
                          .identity = tw_arena_print(c->arena, "%s\n%s\n%s", file,
                                                     job->name == NULL ? "" : job->name,
                                                     job->date == NULL ? "" : job->date),
                          .date = job->date,
                          .images = c->plan->prints->images,
                          .image_count = c->plan->prints->image_count,
                          .colour = {job, paper},
                          .kept = c->kept,
                          .run = c->run,
                          .done = c->done,
                          .total = c->total};
    if (paper != NULL && paper->icc_for_print) {
        facts.intent = paper->icc;
        facts.intent_length = paper->icc_length;
        facts.intent_name = paper->icc_description;
    }
    if (facts.title == NULL || facts.identity == NULL)
        return tw_no_memory(c->error);
    tw_code code = tw_files_add(c->files, file, &temporary, c->error);
    if (code != TW_OK)
        return code;
    code = write_pages(c, &facts, temporary, pages, count);
    if (code != TW_OK)
        say_file(c, file);
    return code;
}

static const char *sheets_title(const composing *c, const document *d) {
    const char *paper = paper_of(c, d->first)->name;
    size_t last = d->first + d->count;
    if (d->count == 1)
        return tw_arena_print(c->arena, "sheet %zu of %zu \xC2\xB7 %s", last, c->plan->sheet_count,
                              paper);
    return tw_arena_print(c->arena, "sheets %zu to %zu of %zu \xC2\xB7 %s", d->first + 1, last,
                          c->plan->sheet_count, paper);
}

static tw_code write_document(composing *c, const document *d) {
    const tw_page **pages = tw_arena_array(c->arena, d->count, sizeof *pages);
    const char *title = sheets_title(c, d);
    if (pages == NULL || title == NULL)
        return tw_no_memory(c->error);
    for (size_t i = 0; i < d->count; i++)
        pages[i] = &c->plan->sheets[d->first + i].page;
    tw_code code = write_pdf(c, d->file, title, paper_of(c, d->first), pages, d->count);
    c->done += (uint64_t)d->bytes;
    return code;
}

static tw_code write_guide(composing *c) {
    static const tw_size a4 = {210 * TW_MM, 297 * TW_MM}, letter = {TW_IN * 17 / 2, TW_IN * 11};
    tw_page *made = NULL;
    size_t count = 0;
    tw_code code =
        tw_guide_make(c->arena, c->plan, c->options->letter ? letter : a4, &made, &count, c->error);
    if (code != TW_OK)
        return code;
    const tw_page **pages = tw_arena_array(c->arena, count, sizeof *pages);
    if (pages == NULL)
        return tw_no_memory(c->error);
    for (size_t i = 0; i < count; i++)
        pages[i] = &made[i];
    return write_pdf(c, "cut-guide.pdf", "cut guide", NULL, pages, count);
}

static tw_code write_plan(composing *c) {
    tw_buffer text;
    tw_buffer_start(&text, tw_arena_allocator(c->arena));
    tw_code code = tw_plan_json(c->plan, &text, c->error);
    if (code == TW_OK && text.failed)
        code = tw_no_memory(c->error);
    if (code == TW_OK)
        code = tw_files_write(c->files, "plan.json", text.bytes, text.length, c->error);
    tw_buffer_free(&text);
    return code;
}

/* ------------------------------------------------ the folder */

static tw_code write_all(composing *c) {
    tw_code code = group_sheets(c);
    if (code == TW_OK)
        code = name_documents(c);
    if (code == TW_OK)
        code = expect_images(c);
    for (size_t i = 0; i < c->count && code == TW_OK; i++)
        code = write_document(c, &c->documents[i]);
    if (code == TW_OK)
        code = write_guide(c);
    if (code == TW_OK)
        code = write_plan(c);
    if (code == TW_OK)
        code = tw_old_files_remove(c->arena, c->folder, &tw_old_plan, c->files, c->error);
    if (code == TW_OK && c->options->strict && c->report->warnings.count > 0)
        code = tw_fail(c->error, TW_STRICT, "strict",
                       "there are warnings, and this run allows none: nothing was written");
    return code;
}

/* An image read for the first sheet may have been saved anew while the last one was made. */
static tw_code check_images(const composing *c) {
    const tw_prints *prints = c->plan->prints;
    tw_code code = TW_OK;
    for (size_t i = 0; i < prints->image_count && code == TW_OK; i++)
        code = tw_image_file_still(&prints->images[i], c->error);
    return code;
}

tw_code tw_compose_write(tw_arena *arena, tw_plan_data *plan, const char *folder,
                         const tw_compose_options *options, const tw_run *run, tw_report *report,
                         tw_error *error) {
    static const tw_compose_options usual;
    composing c = {.arena = arena,
                   .plan = plan,
                   .folder = folder,
                   .options = options == NULL ? &usual : options,
                   .run = run,
                   .report = report,
                   .error = error};
    tw_code code = tw_files_start(tw_arena_allocator(arena), folder, &c.files, error);
    if (code == TW_OK)
        code = tw_kept_new(tw_arena_allocator(arena), &c.kept, error);
    if (code == TW_OK)
        code = write_all(&c);
    if (code == TW_OK)
        code = check_images(&c);
    if (code == TW_OK)
        code = tw_files_commit(c.files, error);
    tw_files_abandon(c.files);
    tw_kept_free(c.kept);
    return code;
}
