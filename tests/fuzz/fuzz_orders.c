/* Fuzz target: the same table as orders and as fillers; lines that are kept are in range. */
#include "base/limits.h"
#include "base/text.h"
#include "fuzz.h"
#include "job/readers.h"

static void check_text(const char *text) {
    must(text == NULL || tw_text_fault(text, 4096, true) == NULL);
}

static void check_line(const tw_job_data *job, const tw_order *line, bool filler, bool clean) {
    must(line->copies >= 1 && line->copies <= TW_COPIES_MOST && line->place.line > 1);
    must(line->template_index < job->template_count || line->template_index == SIZE_MAX);
    must(line->paper_index < job->paper_count || line->paper_index == SIZE_MAX);
    must(line->chance >= 0 && line->chance <= 1000000 && line->sells_for.minor >= 0);
    must(filler ? line->order == NULL : !clean || line->order != NULL);
    must(!clean || line->due == NULL || tw_date_valid(line->due));
    for (size_t i = 0; i < line->accept_count; i++)
        must(line->accept[i][0] != '\0' && strpbrk(line->accept[i], " ;,") == NULL);
    check_text(line->order);
    check_text(line->image);
    check_text(line->title);
    check_text(line->note);
    check_text(line->address);
}

static void check_lines(const tw_job_data *job, const tw_report *report) {
    for (size_t i = 0; i < job->order_count; i++)
        check_line(job, &job->orders[i], false, report->errors.count == 0);
    for (size_t i = 0; i < job->filler_count; i++)
        check_line(job, &job->fillers[i], true, report->errors.count == 0);
    for (size_t i = 0; i < report->errors.count; i++) {
        must_be_sound(&report->errors.items[i], report->errors.items[i].code);
        must(report->errors.items[i].line > 0);
    }
}

/* Two papers and two formats; no image folders, so that no file is looked for. */
static void read_as(tw_arena *arena, const char *text, size_t length, bool fillers) {
    tw_template formats[2] = {{.name = "8x10"}, {.name = "5x7"}};
    tw_paper papers[2] = {{.name = "satin"}, {.name = "matte"}};
    tw_job_data job = {.papers = papers, .paper_count = fillers ? 2 : 1, .templates = formats};
    tw_table *table = tw_arena_take(arena, sizeof *table);
    const tw_columns *columns = fillers ? &tw_filler_columns : &tw_order_columns;
    tw_report report;
    tw_reader r;
    job.template_count = 2;
    job.templates_file = "frames.json";
    table->file = "o.csv";
    tw_report_start(&report, arena);
    tw_reader_start(&r, arena, &report);
    if (tw_table_parse(&r, text, length, columns, table)) {
        if (fillers)
            tw_fillers_read(&r, table, &job);
        else
            tw_orders_read(&r, table, &job);
    }
    must(!tw_stopped(&r));
    check_lines(&job, &report);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    tw_arena *arena = tw_arena_new(NULL, 0);
    read_as(arena, (const char *)bytes, length, false);
    read_as(arena, (const char *)bytes, length, true);
    tw_arena_free(arena);
    return 0;
}
