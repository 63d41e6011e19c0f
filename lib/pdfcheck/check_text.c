/* The report of a sheet check: lines for people, one JSON object for programs. */
#include "pdfcheck/pdfcheck.h"

static const struct {
    unsigned standard;
    const char *name;
} standards[] = {{TW_PDF_X, "PDF/X-4 (ISO 15930-7)"}, {TW_PDF_A, "PDF/A-2b (ISO 19005-2)"}};
enum { STANDARDS = sizeof standards / sizeof standards[0] };

static size_t count_of(unsigned standard) {
    size_t count = 0;
    for (size_t i = 0; i < TW_CHECK_COUNT; i++)
        count += (tw_pdf_check_rows[i].standards & standard) != 0;
    return count;
}

static void put_row(const tw_pdf_report *report, size_t i, tw_buffer *out) {
    const tw_pdf_check_row *row = &tw_pdf_check_rows[i];
    const tw_pdf_finding *found = &report->found[i];
    tw_buffer_print(out, "  %s  %-15s %s (%s)\n", found->times > 0 ? "FAILS " : "passes", row->name,
                    row->wants, row->clause);
    if (found->times == 0)
        return;
    tw_buffer_print(out, "          %s", found->why);
    if (found->times > 1)
        tw_buffer_print(out, ", and %zu more", found->times - 1);
    tw_buffer_string(out, "\n");
}

static void put_head(const tw_pdf_report *report, const char *path, tw_buffer *out) {
    long long width = (report->width / 72 * 254 / 100000 + 5) / 10;
    long long height = (report->height / 72 * 254 / 100000 + 5) / 10;
    tw_buffer_print(out, "%s: %zu page%s, the first %lld.%lld x %lld.%lld mm, PDF %d.%d\n", path,
                    report->pages, report->pages == 1 ? "" : "s", width / 10, width % 10,
                    height / 10, height % 10, report->version / 10, report->version % 10);
}

static void put_summary(const tw_pdf_report *report, tw_buffer *out) {
    for (size_t s = 0; s < STANDARDS; s++) {
        size_t all = count_of(standards[s].standard);
        size_t failed = tw_pdf_failed(report, standards[s].standard);
        tw_buffer_print(out, "%s: ", standards[s].name);
        if (failed == 0)
            tw_buffer_print(out, "passes these checks, %zu of %zu.\n", all, all);
        else
            tw_buffer_print(out, "fails %zu of these %zu checks.\n", failed, all);
    }
    tw_buffer_string(out, "Only what a program can read is looked at: passing is no statement that "
                          "the sheet is\nas either standard wants it.\n");
}

void tw_pdf_report_text(const tw_pdf_report *report, const char *path, tw_buffer *out) {
    put_head(report, path, out);
    for (size_t s = 0; s < STANDARDS; s++) {
        tw_buffer_print(out, "\n%s\n", standards[s].name);
        for (size_t i = 0; i < TW_CHECK_COUNT; i++)
            if ((tw_pdf_check_rows[i].standards & standards[s].standard) != 0)
                put_row(report, i, out);
    }
    tw_buffer_string(out, "\n");
    put_summary(report, out);
}

/* ------------------------------------------------ JSON */

static void put_member(tw_buffer *out, const char *key, const char *value) {
    tw_buffer_print(out, "\"%s\": ", key);
    tw_buffer_json_string(out, value);
    tw_buffer_string(out, ", ");
}

static void put_check(const tw_pdf_report *report, size_t i, tw_buffer *out) {
    const tw_pdf_check_row *row = &tw_pdf_check_rows[i];
    const tw_pdf_finding *found = &report->found[i];
    tw_buffer_string(out, "{");
    put_member(out, "name", row->name);
    put_member(out, "clause", row->clause);
    put_member(out, "wants", row->wants);
    tw_buffer_print(out, "\"x4\": %s, \"a2b\": %s, ", row->standards & TW_PDF_X ? "true" : "false",
                    row->standards & TW_PDF_A ? "true" : "false");
    tw_buffer_print(out, "\"passes\": %s, \"times\": %zu, \"why\": ",
                    found->times == 0 ? "true" : "false", found->times);
    if (found->times == 0)
        tw_buffer_string(out, "null");
    else
        tw_buffer_json_string(out, found->why);
    tw_buffer_string(out, "}");
}

void tw_pdf_report_json(const tw_pdf_report *report, const char *path, tw_buffer *out) {
    tw_buffer_string(out, "{");
    put_member(out, "file", path);
    tw_buffer_print(out, "\"version\": \"%d.%d\", \"pages\": %zu, ", report->version / 10,
                    report->version % 10, report->pages);
    tw_buffer_print(out, "\"passes_x4\": %s, \"passes_a2b\": %s,\n  \"checks\": [",
                    tw_pdf_failed(report, TW_PDF_X) == 0 ? "true" : "false",
                    tw_pdf_failed(report, TW_PDF_A) == 0 ? "true" : "false");
    for (size_t i = 0; i < TW_CHECK_COUNT; i++) {
        tw_buffer_string(out, i == 0 ? "" : ",\n    ");
        put_check(report, i, out);
    }
    tw_buffer_string(out, "]}");
}
