/* Fuzz target: a PDF sheet under the checks; whatever is found is words a terminal can take. */
#include "fuzz.h"
#include "pdfcheck/pdfcheck.h"

static void check(const tw_pdf_report *report) {
    for (size_t i = 0; i < TW_CHECK_COUNT; i++) {
        must((report->found[i].times > 0) == (report->found[i].why[0] != '\0'));
        for (const char *at = report->found[i].why; *at != '\0'; at++)
            must((unsigned char)*at >= 0x20 && *at != 0x7F);
    }
    must(tw_pdf_failed(report, TW_PDF_X | TW_PDF_A) <= TW_CHECK_COUNT);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    tw_pdf_report report;
    tw_error error = {0};
    tw_code code = tw_pdf_check_bytes(NULL, bytes, length, &report, &error);
    if (code == TW_OK)
        check(&report);
    else
        must_be_sound(&error, code);
    return 0;
}
