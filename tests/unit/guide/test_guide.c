/*
 * The cut guide's pages as pages: nothing outside the margins, no text upon text, every print
 * and step named, page numbers, and what happens with hostile names, crowds and no memory.
 */
#include "guide/guide_sample.h"

#include "guide/guide.h"
#include "guide/pages.h"

/* ISO 216 A4; ISO 32000-1's examples for Letter (8.5 x 11 in). */
static const tw_size a4 = {210 * TW_MM, 297 * TW_MM};
static const tw_size letter = {85 * TW_IN / 10, 11 * TW_IN};

static const sample_grid three_across = {0, 3, 1, {8 * TW_IN, 10 * TW_IN}, 0, 0, "1001", NULL};
static const sample_grid with_waste = {0,         2,         2,      {10 * TW_IN, 12 * TW_IN},
                                       4 * TW_IN, 6 * TW_IN, "1002", NULL};
static const sample_grid crowd = {0,     12,     12,  {19 * TW_IN / 10, 2 * TW_IN}, 12 * TW_IN / 10,
                                  TW_IN, "1003", NULL};
static const sample_grid sixty = {1,         5,         10,     {3 * TW_IN, 4 * TW_IN},
                                  2 * TW_IN, 2 * TW_IN, "1004", NULL};
static const sample_grid ribbon = {0,         2, 25,     {11 * TW_IN, 79 * TW_IN / 10},
                                   2 * TW_IN, 0, "1005", NULL};
static const sample_grid dust = {0,       60,         40,     {10 * TW_MM, 10 * TW_MM},
                                 9600000, 10 * TW_MM, "1006", NULL};

/* ------------------------------------------------ looking at pages */

static tw_rect text_box(const tw_op *op) {
    tw_nm length = tw_face_width(op->text, op->size);
    tw_nm above = GUIDE_ABOVE(op->size), deep = above + GUIDE_BELOW(op->size);
    tw_nm start = op->align == TW_ALIGN_LEFT     ? 0
                  : op->align == TW_ALIGN_CENTRE ? length / 2
                                                 : length;
    if (op->quarter == 3) /* reads upwards, letters' tops to the left */
        return (tw_rect){op->x0 - above, op->y0 + start - length, deep, length};
    assert_int_equal(op->quarter, 0);
    return (tw_rect){op->x0 - start, op->y0 - above, length, deep};
}

static tw_rect op_box(const tw_op *op) {
    if (op->kind == TW_OP_TEXT)
        return text_box(op);
    if (op->kind == TW_OP_BOX)
        return tw_rect_spread(op->rect, op->weight / 2);
    assert_int_equal(op->kind, TW_OP_LINE);
    tw_nm x = op->x0 < op->x1 ? op->x0 : op->x1, y = op->y0 < op->y1 ? op->y0 : op->y1;
    tw_rect box = {x, y, op->x0 + op->x1 - 2 * x, op->y0 + op->y1 - 2 * y};
    /* Butt ends: a straight line is thick across only. */
    if (box.width == 0)
        return (tw_rect){x - op->weight / 2, y, op->weight, box.height};
    if (box.height == 0)
        return (tw_rect){x, y - op->weight / 2, box.width, op->weight};
    return tw_rect_spread(box, op->weight / 2);
}

static void check_margins(const tw_page *page) {
    tw_rect inside = {12 * TW_MM, 12 * TW_MM, page->size.width - 24 * TW_MM,
                      page->size.height - 24 * TW_MM};
    /* A rule at the very edge of the text may spill half its weight. */
    inside = tw_rect_spread(inside, TW_MM / 2);
    for (size_t i = 0; i < page->count; i++)
        if (!tw_rect_inside(op_box(&page->ops[i]), inside))
            fail_msg("op %zu (%s) runs outside the margins", i,
                     page->ops[i].kind == TW_OP_TEXT ? page->ops[i].text : "a line or box");
}

static void check_overlap(const tw_page *page) {
    tw_rect *boxes = calloc(page->count + 1, sizeof *boxes); /* empty where there is no text */
    assert_non_null(boxes);
    for (size_t i = 0; i < page->count; i++)
        if (page->ops[i].kind == TW_OP_TEXT)
            boxes[i] = text_box(&page->ops[i]);
    for (size_t i = 0; i < page->count; i++)
        for (size_t k = i + 1; boxes[i].width > 0 && k < page->count; k++)
            if (boxes[k].width > 0 && tw_rect_overlap(boxes[i], boxes[k]))
                fail_msg("\"%s\" lies upon \"%s\"", page->ops[i].text, page->ops[k].text);
    free(boxes);
}

/* Greys and sizes: black and white only, legible at arm's length. */
static void check_look(const tw_page *page) {
    for (size_t i = 0; i < page->count; i++) {
        const tw_op *op = &page->ops[i];
        assert_int_equal(op->role, TW_ROLE_GUIDE);
        assert_in_range(op->grey, 0, 1000);
        if (op->kind == TW_OP_TEXT)
            assert_true(op->size >= GUIDE_PT(70));
    }
}

static void check_pages(const tw_page *pages, size_t count) {
    for (size_t i = 0; i < count; i++) {
        check_margins(&pages[i]);
        check_overlap(&pages[i]);
        check_look(&pages[i]);
    }
}

/* ------------------------------------------------ making guides */

typedef void fill_sample(sample *s);

static void fill_one(sample *s) {
    sample_sheet(s, &three_across);
}

static void fill_mixed(sample *s) {
    sample_sheet(s, &three_across);
    sample_sheet(s, &with_waste);
    sample_sheet(s, &crowd);
    sample_sheet(s, &sixty);
    sample_sheet(s, &ribbon);
    s->plan.unplaced = sample_array(s, 1, sizeof *s->plan.unplaced);
    s->plan.unplaced[0] =
        (tw_unplaced){sample_print(s, "1009-1", "1009", (tw_size){20 * TW_IN, 30 * TW_IN}),
                      "the roll is used up"};
    s->plan.unplaced_count = 1;
}

static void fill_dust(sample *s) {
    sample_sheet(s, &dust);
}

/* Sheets of many lengths and cut sheets, upright: the setup cards fill the first pages, and the
 * steps of a cut sheet are few beside a tall drawing. */
static void fill_two_papers(sample *s) {
    sample_grid grid = {0, 1, 1, {20 * TW_IN, 0}, 4 * TW_IN, 0, "1007", NULL};
    const sample_grid upright = {2, 1, 1, {12 * TW_IN, 16 * TW_IN}, TW_IN, 3 * TW_IN, "1008", NULL};
    for (int i = 0; i < 6; i++) {
        grid.print.height = (10 + i) * TW_IN;
        sample_sheet(s, &grid);
    }
    sample_sheet(s, &upright);
    sample_sheet(s, &upright);
}

static void fill_thousand(sample *s) {
    for (int i = 0; i < 334; i++)
        sample_sheet(s, &three_across);
}

static char long_name[1500];

static void fill_hostile(sample *s) {
    static const char *const names[] = {
        long_name,
        "\xE4\xB8\xAD\xE6\x96\x87\xE5\xA7\x93\xE5\x90\x8D\xE5\xBE\x88\xE9\x95\xBF",
        "\xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D \xD8\xB3\xD9\x84\xD8\xA7\xD9\x85 \xE2\x80\xAE"
        "abc",
        "two\nlines\tand\x01 a bell\x07",
        "not \xFF\xFE UTF-8 \xC3",
        "",
        "100% %s %n \"quoted\" \\ (paren)"};
    memset(long_name, 'W', sizeof long_name - 1);
    s->job.name = names[0];
    s->job.date = names[3];
    s->format.name = names[1];
    s->line.buyer = names[2];
    s->line.title = names[4];
    s->papers[0].name = names[0];
    s->papers[0].media = names[6];
    s->papers[0].quality = names[2];
    s->papers[0].black = names[4];
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        sample_grid grid = with_waste;
        grid.id = names[i];
        grid.order = names[i];
        sample_sheet(s, &grid);
    }
    sample_grid tiny = crowd;
    tiny.id = long_name;
    sample_sheet(s, &tiny);
}

static void fill_nothing(sample *s) {
    (void)s;
}

typedef struct made {
    test_memory memory;
    tw_allocator allocator;
    tw_arena *arena;
    sample s;
    tw_page *pages;
    size_t count;
} made;

static void make(made *m, fill_sample *fill, tw_size paper) {
    tw_error error = {0};
    memset(m, 0, sizeof *m);
    m->allocator = test_allocator(&m->memory);
    m->arena = tw_arena_new(&m->allocator, 0);
    assert_non_null(m->arena);
    sample_start(&m->s, m->arena);
    fill(&m->s);
    sample_finish(&m->s);
    assert_ok(tw_guide_make(m->arena, &m->s.plan, paper, &m->pages, &m->count, &error), error);
}

static void drop(made *m) {
    tw_arena_free(m->arena);
    assert_no_leak(m->memory);
}

/* ------------------------------------------------ tests */

static void pages_are_clean(void **state) {
    (void)state;
    fill_sample *const fills[] = {fill_one, fill_mixed, fill_hostile, fill_dust, fill_nothing};
    for (size_t i = 0; i < sizeof fills / sizeof *fills; i++)
        for (int k = 0; k < 2; k++) {
            made m;
            make(&m, fills[i], k == 0 ? a4 : letter);
            assert_true(m.count > 0);
            check_pages(m.pages, m.count);
            drop(&m);
        }
}

static void every_print_and_step_is_named(void **state) {
    (void)state;
    made m;
    make(&m, fill_mixed, a4);
    tw_arena *arena = m.arena;
    const tw_page *pages = m.pages;
    size_t count = m.count;
    char words[64];
    for (size_t i = 0; i < m.s.plan.sheet_count; i++) {
        const tw_plan_sheet *sheet = &m.s.plan.sheets[i];
        for (size_t k = 0; k < sheet->print_count; k++) {
            const char *id = sheet->prints[k].print->id;
            snprintf(words, sizeof words, "%s. Pencil \"%s\"", id, id);
            assert_guide_says(words);
        }
        for (int k = 0; k < sheet->cuts->cut_count; k++) {
            snprintf(words, sizeof words, " %d %s ", k + 1,
                     sheet->piece_names[sheet->cuts->cuts[k].node]);
            assert_guide_says(words);
        }
    }
    assert_guide_says("1009-1 8x10 satin-24in the roll is used up");
    drop(&m);
}

static void drawing_names_prints_and_steps(void **state) {
    (void)state;
    made m;
    make(&m, fill_one, a4);
    int names = 0, steps = 0;
    for (size_t i = 0; i < m.count; i++)
        for (size_t k = 0; k < m.pages[i].count; k++) {
            const tw_op *op = &m.pages[i].ops[k];
            if (op->kind != TW_OP_TEXT || op->align != TW_ALIGN_CENTRE)
                continue; /* only drawings centre their text */
            names += strncmp(op->text, "1001-", 5) == 0;
            steps += strcmp(op->text, "1") == 0 || strcmp(op->text, "2") == 0;
        }
    assert_int_equal(names, 3);
    assert_int_equal(steps, 2);
    drop(&m);
}

static void every_page_has_its_number(void **state) {
    (void)state;
    made m;
    make(&m, fill_thousand, a4);
    /* A sheet with its table takes over half a page, so one a page; then the piles. */
    assert_in_range(m.count, 334, 400);
    for (size_t i = 0; i < m.count; i++) {
        char words[80];
        snprintf(words, sizeof words, "Cut guide \xC2\xB7 March day \xC2\xB7 page %zu of %zu",
                 i + 1, m.count);
        assert_non_null(strstr(sample_text(m.arena, &m.pages[i]), words));
    }
    drop(&m);
}

/* Where the page's text ends; its footer does not count. */
static tw_nm text_end(const tw_page *page) {
    tw_nm end = 0;
    for (size_t i = 0; i < page->count; i++)
        if (page->ops[i].kind == TW_OP_TEXT &&
            strncmp(page->ops[i].text, "Cut guide \xC2\xB7", 12) != 0)
            end = page->ops[i].y0 > end ? page->ops[i].y0 : end;
    return end;
}

/* What would end on a page with a few lines is set closer, or beside a smaller drawing. */
static void no_page_is_nearly_empty(void **state) {
    (void)state;
    made m;
    for (int k = 0; k < 2; k++) {
        make(&m, fill_two_papers, k == 0 ? a4 : letter);
        for (size_t i = 0; i < m.count; i++)
            if (text_end(&m.pages[i]) < m.pages[i].size.height / 4)
                fail_msg("page %zu of %zu: %s", i + 1, m.count, sample_text(m.arena, &m.pages[i]));
        /* two pages before the sheets, and the piles; on Letter three, the third a sheet's, too */
        assert_int_equal(m.count, 11);
        assert_non_null(strstr(sample_text(m.arena, &m.pages[1 + k]), "At the blades"));
        drop(&m);
    }
}

/* Titles of windows stand where there are windows. */
static void piles_say_windows_where_there_are_any(void **state) {
    (void)state;
    made m;
    tw_error error = {0};
    make(&m, fill_one, a4);
    assert_null(strstr(sample_text(m.arena, &m.pages[m.count - 1]), "Window opening"));
    tw_print *print = (tw_print *)(uintptr_t)m.s.plan.sheets[0].prints[0].print;
    print->fit.has_window = true;
    print->fit.window = (tw_size){7 * TW_IN, 9 * TW_IN};
    assert_ok(tw_guide_make(m.arena, &m.s.plan, a4, &m.pages, &m.count, &error), error);
    const char *text = sample_text(m.arena, &m.pages[m.count - 1]);
    assert_non_null(strstr(text, "Window opening Sheet"));
    assert_non_null(strstr(text, "7 x 9 in (177.8 x 228.6 mm)"));
    drop(&m);
}

static void long_tables_repeat_their_head(void **state) {
    (void)state;
    made m;
    make(&m, fill_mixed, a4);
    int heads = 0, continued = 0;
    for (size_t i = 0; i < m.count; i++) {
        const char *text = sample_text(m.arena, &m.pages[i]);
        bool rows = strstr(text, "Pencil") != NULL;
        bool head = strstr(text, "Comes off") != NULL;
        assert_true(!rows || head);
        heads += head;
        continued += strstr(text, "Sheet 4 of 5, continued") != NULL;
    }
    assert_true(heads > 5);
    assert_true(continued > 1);
    drop(&m);
}

/* What strips take is often under an inch, which whole feet and inches would hide. */
static void strips_are_counted(void **state) {
    (void)state;
    made m;
    tw_error error = {0};
    make(&m, fill_one, a4);
    m.s.plan.papers[0].strip_cost = 7 * TW_IN / 8;
    assert_ok(tw_guide_make(m.arena, &m.s.plan, a4, &m.pages, &m.count, &error), error);
    tw_arena *arena = m.arena;
    const tw_page *pages = m.pages;
    size_t count = m.count;
    assert_guide_says("The strips that carry the marks take 7/8 in (22.23 mm) of");
    assert_guide_says("3 prints on 1 sheet. Set the printer up");
    drop(&m);
}

/* A drawing whose prints find no room for their names says so in its legend. */
static void crowded_drawings_have_a_legend(void **state) {
    (void)state;
    made m;
    make(&m, fill_dust, a4);
    tw_arena *arena = m.arena;
    const tw_page *pages = m.pages;
    size_t count = m.count;
    assert_guide_says("1006-720");
    assert_guide_says("from the left,");
    assert_guide_says("No room here for the numbers of steps");
    drop(&m);
}

static void no_memory_is_said(void **state) {
    (void)state;
    long fine = 0;
    for (long fail_at = 1; fine == 0; fail_at++) {
        test_memory memory = {0}, plain = {0};
        tw_allocator allocator = test_allocator(&memory), other = test_allocator(&plain);
        tw_arena *sampled = tw_arena_new(&other, 0), *arena = tw_arena_new(&allocator, 0);
        assert_non_null(sampled);
        assert_non_null(arena);
        sample s;
        sample_start(&s, sampled);
        fill_mixed(&s);
        sample_finish(&s);
        memory.asked = 0;
        memory.fail_at = fail_at;
        tw_page *pages = NULL;
        size_t count = 0;
        tw_error error = {0};
        tw_code code = tw_guide_make(arena, &s.plan, letter, &pages, &count, &error);
        if (code == TW_OK) {
            assert_true(memory.asked < fail_at); /* fine because nothing failed */
            fine = fail_at;
        } else {
            assert_int_equal(code, TW_MEMORY);
        }
        tw_arena_free(arena);
        tw_arena_free(sampled);
        assert_no_leak(memory);
        assert_no_leak(plain);
    }
    assert_true(fine > 5); /* it did ask, and did fail, several times */
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pages_are_clean),
        cmocka_unit_test(every_print_and_step_is_named),
        cmocka_unit_test(drawing_names_prints_and_steps),
        cmocka_unit_test(every_page_has_its_number),
        cmocka_unit_test(no_page_is_nearly_empty),
        cmocka_unit_test(piles_say_windows_where_there_are_any),
        cmocka_unit_test(long_tables_repeat_their_head),
        cmocka_unit_test(strips_are_counted),
        cmocka_unit_test(crowded_drawings_have_a_legend),
        cmocka_unit_test(no_memory_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
