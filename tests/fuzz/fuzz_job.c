/*
 * Fuzz target: the same text as a job, as a paper and as a template set. Whatever it says, the
 * reading ends with what can be used in range, and with messages that are sound.
 */
#include "base/text.h"
#include "fuzz.h"
#include "job/readers.h"

static void check_report(const tw_report *report) {
    for (size_t i = 0; i < report->errors.count; i++)
        must_be_sound(&report->errors.items[i], report->errors.items[i].code);
}

static void check_name(const char *name) {
    must(name != NULL && tw_text_fault(name, TW_NAME_MOST, false) == NULL);
}

static void check_paper(const tw_paper *paper) {
    check_name(paper->name);
    must(paper->width >= 10 * TW_MM && paper->width <= TW_SIDE_MOST);
    must(paper->length > 0 && paper->length <= TW_LENGTH_MOST);
    must(paper->side >= 0 && 2 * paper->side < paper->width);
    must(paper->lead >= 0 && paper->tail >= 0);
    must(2 * paper->edge_trim < paper->width);
    must(paper->kind == TW_ROLL || paper->count >= 1);
    must(paper->shortest_sheet <= paper->longest_sheet);
}

static void check_template(const tw_template *t) {
    const tw_nm *side = t->border.side;
    check_name(t->name);
    must(t->by_picture ? t->picture > 0 : t->size.width > 0 && t->size.height > 0);
    for (int i = 0; i < 4; i++)
        must(side[i] >= 0 && side[i] <= TW_M);
    must(t->by_picture || side[TW_LEFT] + side[TW_RIGHT] < t->size.width);
    must(t->by_picture || side[TW_TOP] + side[TW_BOTTOM] < t->size.height);
    must(t->focus_x >= 0 && t->focus_x <= 1000000 && t->focus_y >= 0 && t->focus_y <= 1000000);
    must(t->signature == TW_NO_CORNER || t->signature_width > 0);
}

static void as_job(tw_arena *arena, const char *text, size_t length) {
    tw_report report;
    tw_job_data *job = NULL;
    tw_error error;
    tw_report_start(&report, arena);
    tw_code code = tw_job_parse(arena, "job.json", "/nowhere", text, length, &report, &job, &error);
    check_report(&report);
    if (code != TW_OK) {
        must_be_sound(&error, code);
        return;
    }
    must(report.errors.count > 0 || job->name != NULL);
    must(job->marks.weight > 0 && job->gutter >= 0 && job->gutter <= 100 * TW_MM);
    for (size_t i = 0; i < job->paper_count; i++)
        check_paper(&job->papers[i]);
    for (size_t i = 0; i < job->template_count; i++)
        check_template(&job->templates[i]);
}

static void as_paper(tw_reader *r, const tw_json_value *root) {
    tw_paper paper = {.longest_sheet = 60 * TW_IN};
    size_t before = r->problems;
    tw_paper_take(r, root, "/nowhere", &paper);
    if (r->problems == before)
        check_paper(&paper);
}

static void as_templates(tw_reader *r, const tw_json_value *root) {
    tw_template_list list = {0};
    tw_template_set_take(r, root, &list);
    for (size_t i = 0; i < list.count; i++)
        check_template(&list.items[i]);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    tw_arena *arena = tw_arena_new(NULL, 0);
    tw_json *document = NULL;
    tw_report report;
    tw_reader r;
    as_job(arena, (const char *)bytes, length);
    tw_report_start(&report, arena);
    tw_reader_start(&r, arena, &report);
    if (tw_json_parse(NULL, "p.json", (const char *)bytes, length, &document, NULL) == TW_OK) {
        as_paper(&r, tw_json_root(document));
        as_templates(&r, tw_json_root(document));
        must(!tw_stopped(&r));
        check_report(&report);
    }
    tw_json_free(document);
    tw_arena_free(arena);
    return 0;
}
