/*
 * The PDF around everything: boxes, lines and boxes in points, facts, identifier, and what other
 * readers make of it. Points are typed in by hand: inches times 72, millimetres times 72 / 25.4
 * (ISO 32000-1, 8.3.2.3), within 0.001.
 */
#include "pdf/pdf_testing.h"

#define WEIGHT (TW_IN / 288)

static void near(double seen, double wanted) {
    if (seen < wanted - 0.001 || seen > wanted + 0.001)
        fail_msg("%.6f is not %.6f", seen, wanted);
}

/* ------------------------------------------------ boxes */

static void box_is(const char *json, const char *name, double width, double height) {
    char key[32];
    double seen[4];
    snprintf(key, sizeof key, "/%s [", name);
    const char *at = strstr(json, key);
    assert_non_null(at);
    assert_int_equal(
        sscanf(strchr(at, '[') + 1, "%lf %lf %lf %lf", &seen[0], &seen[1], &seen[2], &seen[3]), 4);
    near(seen[0], 0);
    near(seen[1], 0);
    near(seen[2], width);
    near(seen[3], height);
}

static void boxes_are_exact(void **state) {
    /* ISO 216 and roll sizes; A3 and A0 as PWG 5101.1 and the arithmetic above give them */
    static const struct {
        tw_nm width, height;
        double points_wide, points_high;
    } table[] = {
        {24 * TW_IN, 10 * TW_IN, 1728, 720},
        {17 * TW_IN, 22 * TW_IN, 1224, 1584},
        {44 * TW_IN, 200 * TW_IN, 3168, 14400}, /* ISO 32000-1 Annex C: the most */
        {297 * TW_MM, 420 * TW_MM, 841.890, 1190.551},
        {841 * TW_MM, 1189 * TW_MM, 2383.937, 3370.394},
        {610 * TW_MM, 5079999999, 1729.134, 14399.999997},
        {TW_IN * 17 / 2, 11 * TW_IN, 612, 792},
    };
    (void)state;
    if (!has_tool("qpdf"))
        return;
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        paperwork p;
        const char *path = scratch("boxes.pdf");
        paper_start(&p, table[i].width, table[i].height);
        paper_write(&p, path);
        char *qdf = ask("qpdf --qdf --no-original-object-ids %s -", path, NULL);
        assert_non_null(qdf);
        box_is(qdf, "MediaBox", table[i].points_wide, table[i].points_high);
        box_is(qdf, "CropBox", table[i].points_wide, table[i].points_high);
        box_is(qdf, "BleedBox", table[i].points_wide, table[i].points_high);
        box_is(qdf, "TrimBox", table[i].points_wide, table[i].points_high);
        assert_null(strstr(qdf, "/Rotate"));
        free(qdf);
        paper_end(&p);
    }
}

/* ------------------------------------------------ lines and boxes */

static void lines_and_boxes_are_exact(void **state) {
    paperwork p;
    double n[4];
    const char *path = scratch("lines.pdf");
    (void)state;
    paper_start(&p, 24 * TW_IN, 10 * TW_IN);
    /* a crop mark in inches: y 1 in from the top is 720 - 72 */
    assert_ok(tw_page_line(p.arena, &p.page, TW_ROLE_CROP_MARK, TW_IN / 2, TW_IN, TW_IN * 3 / 4,
                           TW_IN, WEIGHT, 0, &p.error),
              p.error);
    /* in mm: 10 mm = 28.34646 pt, 254 - 100 mm = 436.53543 pt */
    assert_ok(tw_page_line(p.arena, &p.page, TW_ROLE_TICK, 10 * TW_MM, 100 * TW_MM, 10 * TW_MM,
                           103 * TW_MM, WEIGHT, 800, &p.error),
              p.error);
    assert_ok(tw_page_box(p.arena, &p.page, TW_ROLE_GUIDE,
                          (tw_rect){TW_IN, 2 * TW_IN, 3 * TW_IN, 4 * TW_IN}, 0, 0, 900, &p.error),
              p.error);
    p.page.ops[1].dashed = true;
    paper_write(&p, path);
    if (has_tool("qpdf")) {
        char *qdf = ask("qpdf --qdf --no-original-object-ids %s -", path, NULL);
        assert_non_null(qdf);
        assert_int_equal(numbers_before(qdf, "0 G 36", "m", n + 2, 2), 2);
        assert_int_equal(numbers_before(qdf, "0 G 36", "w", n, 2), 1);
        near(n[0], 0.25);
        near(n[2], 36);
        near(n[3], 648);
        assert_int_equal(numbers_before(qdf, "0.800 G", "m", n, 4), 2);
        near(n[0], 28.34646);
        near(n[1], 436.53543);
        assert_non_null(strstr(qdf, "] 0 d "));
        assert_int_equal(numbers_before(qdf, "0.900 g", "re", n, 4), 4);
        near(n[0], 72);
        near(n[1], 288);
        near(n[2], 216);
        near(n[3], 288);
        free(qdf);
    }
    paper_end(&p);
}

/* ------------------------------------------------ facts */

static void facts_are_right(void **state) {
    paperwork p;
    const char *path = scratch("facts.pdf");
    (void)state;
    paper_start(&p, TW_IN, TW_IN);
    p.facts.title = "März · Ναι \xF0\x9D\x84\x9E"; /* with a character past U+FFFF */
    paper_write(&p, path);
    if (has_tool("qpdf")) {
        char *checked = ask("qpdf --check %s 2>&1", path, NULL);
        char *trailer = ask("qpdf --show-object=trailer %s", path, NULL);
        char *qdf = ask("qpdf --qdf %s -", path, NULL);
        assert_non_null(checked); /* qpdf's exit code: no errors, no warnings */
        assert_non_null(strstr(checked, "PDF Version: 1.6"));
        assert_non_null(strstr(trailer, "/ID [ <"));
        assert_null(strstr(qdf, "Date"));
        const char *wishes = strstr(qdf, "/ViewerPreferences <<");
        assert_non_null(wishes);
        assert_non_null(strstr(wishes, "/PrintScaling /None"));
        free(checked);
        free(trailer);
        free(qdf);
    }
    if (has_tool("pdfinfo")) {
        char *info = ask("pdfinfo -enc UTF-8 %s", path, NULL);
        assert_non_null(info);
        assert_non_null(strstr(info, "März · Ναι \xF0\x9D\x84\x9E"));
        assert_non_null(strstr(info, "Trimwell "));
        free(info);
    }
    paper_end(&p);
}

static void same_pages_same_bytes(void **state) {
    paperwork p;
    const char *one = scratch("one.pdf"), *two = scratch("two.pdf"), *other = scratch("other.pdf");
    size_t lengths[3];
    (void)state;
    paper_start(&p, 8 * TW_IN, 8 * TW_IN);
    assert_ok(tw_page_text(p.arena, &p.page, TW_ROLE_SLUG, TW_IN, TW_IN, TW_IN / 8, TW_ALIGN_LEFT,
                           0, "sheet 1 of 2", &p.error),
              p.error);
    paper_write(&p, one);
    paper_write(&p, two);
    p.page.ops[0].text = "sheet 2 of 2";
    paper_write(&p, other);
    unsigned char *a = read_file(one, &lengths[0]), *b = read_file(two, &lengths[1]);
    unsigned char *c = read_file(other, &lengths[2]);
    assert_int_equal(lengths[0], lengths[1]);
    assert_memory_equal(a, b, lengths[0]);
    /* the identifier tells different pages apart */
    const char *id = strstr((char *)a + lengths[0] - 400, "/ID ["), *id_c;
    assert_non_null(id);
    id_c = strstr((char *)c + lengths[2] - 400, "/ID [");
    assert_non_null(id_c);
    assert_memory_not_equal(id, id_c, 40);
    free(a);
    free(b);
    free(c);
    paper_end(&p);
}

static void many_pages_have_their_own_sizes(void **state) {
    paperwork p;
    tw_pdf *pdf;
    const char *path = scratch("pages.pdf");
    (void)state;
    paper_start(&p, TW_IN, TW_IN);
    assert_ok(tw_pdf_start(&p.allocator, &p.facts, path, &pdf, &p.error), p.error);
    for (int i = 1; i <= 300; i++) {
        p.page.size = (tw_size){i * TW_IN, 2 * i * TW_MM};
        assert_ok(tw_pdf_page(pdf, &p.page, &p.error), p.error);
    }
    assert_ok(tw_pdf_finish(pdf, &p.report, &p.error), p.error);
    tw_pdf_free(pdf);
    if (has_tool("pdfinfo")) {
        char *info = ask("pdfinfo -f 150 -l 150 %s", path, NULL);
        assert_non_null(info);
        assert_non_null(strstr(info, "Pages:           300"));
        assert_non_null(strstr(info, "10800 x 850.394 pts"));
        free(info);
    }
    paper_end(&p);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(boxes_are_exact),
        cmocka_unit_test(lines_and_boxes_are_exact),
        cmocka_unit_test(facts_are_right),
        cmocka_unit_test(same_pages_same_bytes),
        cmocka_unit_test(many_pages_have_their_own_sizes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
