/* The public sheet check: a report on any PDF, as lines or as JSON. */
#include "pdfcheck/pdfcheck.h"

typedef void report_writer(const tw_pdf_report *report, const char *path, tw_buffer *out);

/* Not passing is an error of its own, so that scripts need not read the lines. */
static tw_code say_failed(const tw_pdf_report *report, const char *path, tw_error *error) {
    size_t failed = tw_pdf_failed(report, TW_PDF_X | TW_PDF_A), first = 0;
    if (failed == 0)
        return TW_OK;
    while (report->found[first].times == 0)
        first++;
    tw_code code =
        tw_fail(error, TW_INPUT, "pdf-check", "%zu of %d checks failed, the first: %s: %s", failed,
                TW_CHECK_COUNT, tw_pdf_check_rows[first].name, report->found[first].why);
    tw_fail_at(error, path, 0, 0);
    return code;
}

static tw_code check(const char *path, const tw_allocator *allocator, report_writer *write,
                     char **out, tw_error *error) {
    tw_pdf_report report;
    tw_buffer buffer;
    tw_error name;
    *out = NULL;
    tw_code code = tw_pdf_check_file(allocator, path, &report, error);
    if (code != TW_OK)
        return code;
    tw_buffer_start(&buffer, allocator);
    (void)tw_fail(&name, TW_OK, "name", "%s", path); /* safe for a terminal */
    write(&report, name.message, &buffer);
    if (buffer.failed) {
        tw_buffer_free(&buffer);
        return tw_no_memory(error);
    }
    *out = buffer.bytes;
    return say_failed(&report, path, error);
}

tw_code tw_pdf_check_text(const char *path, const tw_allocator *allocator, char **out,
                          tw_error *error) {
    return check(path, allocator, tw_pdf_report_text, out, error);
}

tw_code tw_pdf_check_json(const char *path, const tw_allocator *allocator, char **out,
                          tw_error *error) {
    return check(path, allocator, tw_pdf_report_json, out, error);
}
