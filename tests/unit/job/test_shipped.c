/*
 * The papers and formats built into the program: they load without a word, and each format keeps
 * what the trade knows (borders that suit the size, a signature clear of lip and picture). Common
 * practice throughout; sizes from PWG 5101.1 and from ready-made frames.
 */
#include "job/folder.h"

#include "base/length.h"

static bool is_set(const char *name) {
    return strncmp(name, "frames-", 7) == 0;
}

static void test_names(void **state) {
    static const char *const wanted[] = {
        "satin-17in", "satin-24in",  "satin-44in",    "satin-610mm", "matte-17in", "matte-24in",
        "matte-44in", "matte-610mm", "smooth-a3plus", "frames-inch", "frames-cm"};
    const char *const *names = tw_shipped_names();
    size_t count = 0, length = 0;
    (void)state;
    while (names[count] != NULL)
        count++;
    assert_int_equal(count, sizeof wanted / sizeof wanted[0]);
    for (size_t i = 0; i < count; i++) {
        const char *text = tw_shipped_text(wanted[i], &length);
        assert_non_null(text);
        assert_int_equal(strlen(text), length);
    }
    assert_null(tw_shipped_text("satin", &length));
    assert_null(tw_shipped_text("satin-24in.json", &length));
    assert_null(tw_shipped_text("", &length));
}

static void test_papers(void **state) {
    static const struct {
        const char *name;
        tw_nm width;
    } rolls[] = {
        /* 17, 24, 44 in = 431.8, 609.6, 1117.6 mm */
        {"satin-17in", 431800000},  {"satin-24in", 609600000},  {"satin-44in", 1117600000},
        {"satin-610mm", 610000000}, {"matte-17in", 431800000},  {"matte-24in", 609600000},
        {"matte-44in", 1117600000}, {"matte-610mm", 610000000},
    };
    tw_paper paper;
    folder f;
    (void)state;
    folder_open(&f);
    for (size_t i = 0; i < sizeof rolls / sizeof rolls[0]; i++) {
        assert_ok(tw_paper_load(f.arena, ".", rolls[i].name, &f.report, &paper, &f.error), f.error);
        assert_string_equal(paper.name, rolls[i].name);
        assert_int_equal(paper.kind, TW_ROLL);
        assert_int_equal(paper.width, rolls[i].width);
        assert_true(paper.has_price && paper.dry > 0 && paper.cure > paper.dry);
        assert_non_null(paper.media);
        assert_non_null(paper.quality);
        assert_non_null(paper.black);
        assert_null(paper.profile);
    }
    assert_ok(tw_paper_load(f.arena, ".", "smooth-a3plus", &f.report, &paper, &f.error), f.error);
    assert_int_equal(paper.kind, TW_SHEETS);
    assert_int_equal(paper.width, 329 * TW_MM); /* A3+: 329 x 483 mm */
    assert_int_equal(paper.length, 483 * TW_MM);
    assert_int_equal(paper.count, 25);
    assert_clean(&f);
    folder_close(&f);
}

/* 1/2 in to 8x10, 3/4 in to 11x14, 1 in to 16x20, 1 1/2 in above, by area. */
static tw_nm border_for(tw_size size) {
    double area = (double)size.width / TW_IN * ((double)size.height / TW_IN);
    return area <= 80    ? TW_IN / 2
           : area <= 154 ? TW_IN * 3 / 4
           : area <= 320 ? TW_IN
                         : TW_IN * 3 / 2;
}

static void check_border(const tw_template *t) {
    const tw_nm *side = t->border.side;
    tw_nm wanted = border_for(t->size), off = side[TW_TOP] - wanted;
    assert_true(off <= 2 * TW_MM && off >= -2 * TW_MM); /* metric ones are round, not exact */
    assert_int_equal(side[TW_LEFT], side[TW_TOP]);
    assert_int_equal(side[TW_RIGHT], side[TW_TOP]);
    assert_true(side[TW_TOP] >= 3 * TW_IN / 8);
    assert_true(side[TW_TOP] >= t->lip);
    assert_true(side[TW_TOP] >= TW_MM * 12); /* the widest margin of a shipped paper */
}

/* Bottom right: `inset` from the right and bottom trim, wholly in the bottom border, at least
 * lip + 1/8 in from the trim and 1/8 in from the picture; also when the image is smaller than
 * the picture's place, for then the border only grows. */
static void check_signature(const tw_template *t) {
    tw_nm bottom = t->border.side[TW_BOTTOM], clear = TW_IN / 8;
    assert_int_equal(t->signature, TW_BOTTOM_RIGHT);
    assert_true(bottom >= TW_IN);
    assert_true(t->signature_inset >= t->lip + clear);
    assert_true(t->signature_inset + t->signature_height + clear <= bottom);
    assert_true(t->signature_inset + t->signature_width < t->size.width);
    assert_true(t->signature_inset + t->signature_width < t->size.height); /* a quarter turn on */
    assert_true(t->signature_height >= 6 * TW_MM && t->signature_width >= 30 * TW_MM);
}

static void check_set(folder *f, const char *set, const char *const *names, size_t count,
                      const char *ending, const char *unit) {
    tw_template *items = NULL;
    size_t have = 0, unsigned_count = 0;
    char text[40];
    assert_ok(tw_templates_load(f->arena, ".", set, &f->report, &items, &have, &f->error),
              f->error);
    assert_int_equal(have, count);
    for (size_t i = 0; i < count; i++) {
        tw_size size;
        tw_error error;
        snprintf(text, sizeof text, "%s%s", names[i], ending);
        assert_string_equal(items[i].name, text);
        snprintf(text, sizeof text, "%s%s", names[i], unit);
        assert_ok(tw_size_read(text, &size, &error), error);
        assert_int_equal(items[i].size.width, size.width);
        assert_int_equal(items[i].size.height, size.height);
        check_border(&items[i]);
        if (items[i].signature != TW_NO_CORNER)
            check_signature(&items[i]);
        else
            unsigned_count++;
    }
    assert_int_equal(unsigned_count, 2); /* the two smallest */
}

static void test_formats(void **state) {
    static const char *const inch[] = {"4x6",   "5x7",   "8x8",   "8x10",  "8x12",  "10x10",
                                       "11x14", "12x12", "12x16", "12x18", "16x20", "16x24",
                                       "18x24", "20x24", "20x30", "24x30", "24x36"};
    static const char *const cm[] = {"10x15", "13x18", "18x24", "20x30", "24x30", "30x40",
                                     "40x50", "40x60", "50x70", "60x80", "70x100"};
    folder f;
    (void)state;
    folder_open(&f);
    check_set(&f, "frames-inch", inch, sizeof inch / sizeof inch[0], "", "in");
    check_set(&f, "frames-cm", cm, sizeof cm / sizeof cm[0], "-cm", "cm");
    assert_clean(&f);
    folder_close(&f);
}

/* All of them in one job: no name is used twice. */
static void test_together(void **state) {
    char text[2000];
    size_t used = 0;
    folder f;
    (void)state;
    folder_open(&f);
    used += (size_t)sprintf(text, "{'trimwell': 1, 'name': 'all', 'orders': 'orders.csv', "
                                  "'templates': ['frames-inch', 'frames-cm'], 'papers': [");
    for (const char *const *name = tw_shipped_names(); *name != NULL; name++)
        if (!is_set(*name))
            used +=
                (size_t)sprintf(text + used, "%s'%s'", text[used - 1] == '[' ? "" : ", ", *name);
    strcpy(text + used, "]}");
    folder_json(&f, "job.json", text);
    folder_write(&f, "a.png", "");
    folder_write(&f, "orders.csv", "order,image,template,paper\n1,a.png,30x40-cm,matte-610mm\n");
    assert_ok(folder_load(&f), f.error);
    assert_clean(&f);
    assert_int_equal(f.job->paper_count, 9);
    assert_int_equal(f.job->template_count, 28);
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_names),
        cmocka_unit_test(test_papers),
        cmocka_unit_test(test_formats),
        cmocka_unit_test(test_together),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
