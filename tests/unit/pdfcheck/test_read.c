/*
 * The PDF reader on hostile bytes: cut, flipped, cyclic, deep and boastful files end soon, in a
 * report or in a refusal with a name. Syntax: ISO 32000-1, 7.2 to 7.5.
 */
#include "testing.h"

#include <time.h>

#include "pdf/pdf_sample.h"
#include "pdfcheck/pdfcheck.h"

/* A report or a sound refusal; no memory stays behind. */
static tw_code look(const void *bytes, size_t length) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_pdf_report report;
    tw_error error = {0};
    tw_code code = tw_pdf_check_bytes(&allocator, bytes, length, &report, &error);
    assert_true(code == TW_OK || code == TW_INPUT || code == TW_DAMAGED);
    assert_true(code == TW_OK || (error.name != NULL && error.message[0] != '\0'));
    assert_no_leak(memory);
    return code;
}

/* The small sheet, and the same as qpdf writes it: with object and cross-reference streams. */
static unsigned char *sheet(int which, size_t *length) {
    sample s;
    if (which == 1)
        return read_file(TRIMWELL_SOURCE "/tests/fuzz/corpus/pdf/object-streams", length);
    sample_make(&s, NULL, 0);
    *length = s.length;
    return s.bytes;
}

static void cut_files_end_soon(void **state) {
    (void)state;
    for (int which = 0; which < 2; which++) {
        size_t whole = 0;
        unsigned char *bytes = sheet(which, &whole);
        assert_int_equal(look(bytes, whole), TW_OK);
        for (size_t length = 0; length < whole; length += 3) {
            unsigned char *exact = malloc(length + 1); /* so that a step past it is seen */
            memcpy(exact, bytes, length);
            (void)look(exact, length);
            free(exact);
        }
        free(bytes);
    }
}

static void flipped_files_end_soon(void **state) {
    uint32_t chance = 12345;
    (void)state;
    for (int round = 0; round < 3000; round++) {
        size_t length = 0;
        unsigned char *bytes = sheet(round % 2, &length);
        for (int n = 0; n <= round / 2 % 4; n++) {
            chance = chance * 1664525 + 1013904223;
            bytes[(chance >> 8) % length] ^= (unsigned char)(1u << (chance >> 29));
        }
        (void)look(bytes, length);
        free(bytes);
    }
}

static void memory_may_run_out_anywhere(void **state) {
    sample s;
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_pdf_report report;
    tw_error error = {0};
    tw_code code = TW_MEMORY;
    (void)state;
    sample_make(&s, NULL, 0);
    for (memory.fail_at = 1; code == TW_MEMORY && memory.fail_at < 3000; memory.fail_at++) {
        memory.asked = 0;
        code = tw_pdf_check_bytes(&allocator, s.bytes, s.length, &report, &error);
        assert_no_leak(memory);
    }
    assert_int_equal(code, TW_OK);
    assert_true(memory.fail_at > 8);
    free(s.bytes);
}

/* Each of these makes something point at itself. */
static void circles_end(void **state) {
    static const sample_change changes[] = {
        {"/Kids [3 0 R]", "/Kids [2 0 R 2 0 R 1 0 R]"},
        {"15 0 obj\n<</Type /Nothing>>", "15 0 obj\n15 0 R"},
        {"/ID", "/Prev 0 /XRefStm 0 /ID"},
        {"/Resources <<>>", "/Resources <</XObject <</M 12 0 R>> /Pattern <</M 12 0 R>>>>"},
        {"<<>>stream:a font", "<</Length 9 0 R>>stream:a font"},
        {"[/ICCBased 6 0 R]", "[/Indexed 10 0 R 1 <00>]"},
        {"/Contents 4 0 R", "/Contents [3 0 R 3 0 R 4 0 R]"},
        {"/Root 1 0 R", "/Root 13 0 R"},
        {"/DestOutputProfile 6 0 R", "/DestOutputProfile 1 0 R"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        sample s;
        sample_make(&s, &changes[i], 1);
        assert_true(s.made >= 1);
        (void)look(s.bytes, s.length);
        free(s.bytes);
    }
}

/* Nesting without end, in an object and in content. */
static void depth_is_bounded(void **state) {
    static const char head[] = "%PDF-1.4\n1 0 obj\n", *const open[] = {"[", "<</A ", "(", "%"};
    enum { DEEP = 200000 };
    (void)state;
    for (size_t i = 0; i < 4; i++) {
        size_t step = strlen(open[i]), length = strlen(head);
        char *bytes = calloc(1, length + DEEP * step + 200);
        memcpy(bytes, head, length);
        for (size_t n = 0; n < DEEP; n++, length += step)
            memcpy(bytes + length, open[i], step);
        length += (size_t)sprintf(bytes + length,
                                  "\nxref\n0 2\n0000000000 65535 f \n0000000009 00000 n \n"
                                  "trailer\n<</Root 1 0 R>>\nstartxref\n%zu\n%%%%EOF\n",
                                  length + 1);
        assert_int_equal(look(bytes, length), TW_DAMAGED);
        free(bytes);
    }
}

/* A million objects, all at one long place: more bytes to look at than the file has. */
static void boasts_are_bounded(void **state) {
    enum { COUNT = 100000, LONG = 1 << 20 };
    size_t length = 0, table;
    char *bytes = malloc(LONG + COUNT * 20 + 1000);
    clock_t began = clock();
    (void)state;
    length += (size_t)sprintf(bytes, "%%PDF-1.4\n1 0 obj\n<</A (");
    memset(bytes + length, 'x', LONG);
    length += LONG;
    length += (size_t)sprintf(bytes + length, ")>>\nendobj\n");
    table = length;
    length += (size_t)sprintf(bytes + length, "xref\n0 %d\n", COUNT);
    for (int i = 0; i < COUNT; i++)
        length += (size_t)sprintf(bytes + length, "0000000009 00000 n \n");
    length += (size_t)sprintf(bytes + length, "trailer\n<</Root 1 0 R>>\nstartxref\n%zu\n%%%%EOF\n",
                              table);
    assert_int_equal(look(bytes, length), TW_INPUT);
    assert_true((clock() - began) / CLOCKS_PER_SEC < 60); /* not for ever: no measure of speed */
    free(bytes);
}

static void no_pdf_is_told(void **state) {
    static const char *const texts[] = {
        "", "%PDF-", "a text", "%PDF-1.4\nstartxref\n0\n%%EOF",
        "%PDF-1.4\nxref\n0 1\n0000000000 65535 f \ntrailer\n<<>>\nstartxref\n9\n%%EOF"};
    tw_pdf_report report;
    tw_error error;
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        assert_int_equal(look(texts[i], strlen(texts[i])), TW_DAMAGED);
    assert_int_equal(tw_pdf_check_bytes(NULL, "a text", 6, &report, &error), TW_DAMAGED);
    assert_string_equal(error.name, "no-pdf");
    assert_says(error, "not a PDF");
    assert_int_equal(tw_pdf_check_file(NULL, "/dev/null", &report, &error), TW_INPUT);
    assert_string_equal(error.file, "/dev/null");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cut_files_end_soon),
        cmocka_unit_test(flipped_files_end_soon),
        cmocka_unit_test(memory_may_run_out_anywhere),
        cmocka_unit_test(circles_end),
        cmocka_unit_test(depth_is_bounded),
        cmocka_unit_test(boasts_are_bounded),
        cmocka_unit_test(no_pdf_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
