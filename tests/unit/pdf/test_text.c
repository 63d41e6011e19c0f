/*
 * Text in the PDF: names copy out as they went in, characters the face lacks are boxes and one
 * warning, alignment and quarter turns land right, the face is an embedded subset.
 */
#include "pdf/pdf_testing.h"

static void write_line(paperwork *p, tw_nm y, const char *text) {
    assert_ok(tw_page_text(p->arena, &p->page, TW_ROLE_SLUG, TW_IN, y, TW_IN / 8, TW_ALIGN_LEFT, 0,
                           text, &p->error),
              p->error);
}

/* Latin of several countries, Greek, Cyrillic, and signs the sheets use. */
static const char *const lines[] = {
    "Jørgen Ærø & Zoë Nuñez-Ångström",
    "Łukasz Żółć, Čeněk Říha, Őze Ágnes",
    "Ελένη Παπαδοπούλου",
    "Щукина Ольга Ёжикова",
    "Їжак Ґанна",
    "Düğün İşık",
    "sheet 1 of 3 · print at 100 % · feed ▲ ◀",
    "AVAWA fi ffl \"quoted\" <x> (y) \\z",
};

static void names_copy_out(void **state) {
    paperwork p;
    const char *path = scratch("names.pdf");
    (void)state;
    paper_start(&p, 10 * TW_IN, 10 * TW_IN);
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        write_line(&p, ((tw_nm)i + 1) * TW_IN, lines[i]);
    p.page.ops[3].bold = true;
    paper_write(&p, path);
    assert_int_equal(p.report.warnings.count, 0);
    if (has_tool("pdftotext")) {
        char *text = ask("pdftotext -enc UTF-8 -layout %s -", path, NULL);
        assert_non_null(text);
        for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
            if (strstr(text, lines[i]) == NULL)
                fail_msg("\"%s\" does not come out of\n%s", lines[i], text);
        free(text);
    }
    if (has_tool("mutool")) {
        char *text = ask("mutool draw -q -F txt %s 2>/dev/null", path, NULL);
        assert_non_null(text);
        assert_non_null(strstr(text, lines[2]));
        assert_non_null(strstr(text, lines[3]));
        free(text);
    }
    paper_end(&p);
}

static void the_face_is_an_embedded_subset(void **state) {
    paperwork p;
    size_t length;
    const char *path = scratch("face.pdf");
    (void)state;
    paper_start(&p, 10 * TW_IN, 10 * TW_IN);
    write_line(&p, TW_IN, "Á");
    paper_write(&p, path);
    free(read_file(path, &length));
    assert_true(length < 40000); /* the whole face has 757 kB */
    if (has_tool("pdffonts")) {
        char *fonts = ask("pdffonts %s", path, NULL);
        assert_non_null(fonts);
        char *row = strstr(fonts, "+DejaVuSans");
        assert_non_null(row);
        assert_non_null(strstr(row, "CID TrueType"));
        assert_non_null(strstr(row, "yes yes yes")); /* embedded, subset, to Unicode */
        free(fonts);
    }
    paper_end(&p);
}

static void missing_characters_are_boxes_and_one_warning(void **state) {
    paperwork p;
    const char *path = scratch("missing.pdf");
    (void)state;
    paper_start(&p, 10 * TW_IN, 10 * TW_IN);
    write_line(&p, TW_IN, "Tanaka 田中");
    write_line(&p, 2 * TW_IN, "中 again");
    paper_write(&p, path);
    assert_int_equal(p.report.warnings.count, 1);
    assert_string_equal(p.report.warnings.items[0].name, "missing-glyph");
    assert_says(p.report.warnings.items[0], "田");
    assert_says(p.report.warnings.items[0], "U+7530");
    paper_write(&p, path); /* the day's next document says nothing new */
    assert_int_equal(p.report.warnings.count, 1);
    if (has_tool("pdftotext")) {
        char *text = ask("pdftotext -enc UTF-8 %s -", path, NULL);
        assert_non_null(text);
        assert_non_null(strstr(text, "Tanaka □□"));
        free(text);
    }
    paper_end(&p);
}

/* Where the baseline starts: a letter A is 1401 of 2048 of the em wide (DejaVu Sans 2.37, table
 * hmtx), so four of them at 20.48 mm are 56.04 mm = 158.85354 pt. */
static void alignment_and_turns(void **state) {
    static const struct {
        tw_align align;
        int quarter;
        double matrix[6]; /* from 100 mm, 100 mm on a page 200 mm high: 283.46457 pt */
    } table[] = {
        {TW_ALIGN_LEFT, 0, {1, 0, 0, 1, 283.46457, 283.46457}},
        {TW_ALIGN_RIGHT, 0, {1, 0, 0, 1, 124.61102, 283.46457}},
        {TW_ALIGN_CENTRE, 0, {1, 0, 0, 1, 204.03780, 283.46457}},
        {TW_ALIGN_LEFT, 1, {0, -1, 1, 0, 283.46457, 283.46457}},
        {TW_ALIGN_RIGHT, 1, {0, -1, 1, 0, 283.46457, 442.31811}},
        {TW_ALIGN_RIGHT, 2, {-1, 0, 0, -1, 442.31811, 283.46457}},
        {TW_ALIGN_CENTRE, 3, {0, 1, -1, 0, 283.46457, 204.03780}},
    };
    (void)state;
    if (!has_tool("qpdf"))
        return;
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        paperwork p;
        double seen[6];
        const char *path = scratch("align.pdf");
        paper_start(&p, 200 * TW_MM, 200 * TW_MM);
        assert_ok(tw_page_text(p.arena, &p.page, TW_ROLE_SLUG, 100 * TW_MM, 100 * TW_MM,
                               20480 * TW_MM / 1000, table[i].align, table[i].quarter, "AAAA",
                               &p.error),
                  p.error);
        paper_write(&p, path);
        char *qdf = ask("qpdf --qdf %s -", path, NULL);
        assert_non_null(qdf);
        assert_int_equal(numbers_before(qdf, "BT ", "Tm", seen, 6), 6);
        for (int n = 0; n < 6; n++)
            assert_float_equal(seen[n], table[i].matrix[n], 0.001);
        free(qdf);
        paper_end(&p);
    }
}

/* A character past U+FFFF that the face has comes back whole. */
static void high_planes_copy_out(void **state) {
    paperwork p;
    const char *path = scratch("high.pdf");
    (void)state;
    paper_start(&p, 10 * TW_IN, 10 * TW_IN);
    write_line(&p, TW_IN, "\xF0\x9D\x94\xB8"); /* U+1D538, double-struck A */
    paper_write(&p, path);
    assert_int_equal(p.report.warnings.count, 0);
    if (has_tool("pdftotext")) {
        char *text = ask("pdftotext -enc UTF-8 %s -", path, NULL);
        assert_non_null(text);
        assert_non_null(strstr(text, "\xF0\x9D\x94\xB8"));
        free(text);
    }
    paper_end(&p);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_copy_out),
        cmocka_unit_test(the_face_is_an_embedded_subset),
        cmocka_unit_test(missing_characters_are_boxes_and_one_warning),
        cmocka_unit_test(alignment_and_turns),
        cmocka_unit_test(high_planes_copy_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
