/*
 * A whole sheet's drawing: the order of its parts, keylines, and over seeded random plans that
 * no mark, tick, text or bar touches a print, its bleed, a margin or another text.
 */
#include "sheet_sample.h"

/* ------------------------------------------------ random plans */

typedef struct grower {
    sample *s;
    uint64_t seed;
    tw_nm unit; /* sizes are whole units: 1/16 in or 1 mm */
} grower;

static int64_t pick(grower *g, int64_t below) {
    g->seed = g->seed * 6364136223846793005u + 1442695040888963407u;
    return below <= 0 ? 0 : (int64_t)((g->seed >> 33) % (uint64_t)below);
}

/* A print in a piece of paper: all of it, or with a gap as wide as its bleed or more all round,
 * which takes four cuts. */
static void grow_print(grower *g, tw_rect r) {
    tw_nm bleed = pick(g, 3) == 0 ? g->unit * (1 + pick(g, 3)) : 0;
    tw_nm gap = bleed > 0 || pick(g, 3) == 0 ? bleed + g->unit * pick(g, 12) : 0;
    tw_rect trim = tw_rect_spread(r, -gap);
    if (trim.width < 10 * g->unit || trim.height < 10 * g->unit)
        return;
    if (gap > 0) {
        sample_cut(g->s, TW_ACROSS, trim.y, r.x, tw_rect_right(r));
        sample_cut(g->s, TW_ACROSS, tw_rect_bottom(trim), r.x, tw_rect_right(r));
        sample_cut(g->s, TW_ALONG, trim.x, trim.y, tw_rect_bottom(trim));
        sample_cut(g->s, TW_ALONG, tw_rect_right(trim), trim.y, tw_rect_bottom(trim));
    }
    tw_lying *lying = sample_print(g->s, trim, 5 * g->unit, bleed);
    if (pick(g, 2) == 0)
        lying->signature =
            (tw_rect){trim.x + 5 * g->unit, trim.y + g->unit, 4 * g->unit, 2 * g->unit};
}

/* Pieces are cut in two until they are prints or waste, as every plan's are. */
static void grow(grower *g, tw_rect r, int depth) {
    bool along = pick(g, 2) == 0;
    int64_t units = (along ? r.width : r.height) / g->unit;
    if (depth == 0 || units < 30 || pick(g, 6) == 0) {
        if (pick(g, 4) != 0)
            grow_print(g, r);
        return;
    }
    tw_nm part = g->unit * (10 + pick(g, units - 20));
    tw_rect low = r, high = r;
    if (along) {
        sample_cut(g->s, TW_ALONG, r.x + part, r.y, tw_rect_bottom(r));
        low.width = part;
        high.x += part;
        high.width -= part;
    } else {
        sample_cut(g->s, TW_ACROSS, r.y + part, r.x, tw_rect_right(r));
        low.height = part;
        high.y += part;
        high.height -= part;
    }
    grow(g, low, depth - 1);
    grow(g, high, depth - 1);
}

static void grow_sheet(sample *s, int round) {
    grower g = {s, (uint64_t)round + 1, round % 2 == 0 ? TW_IN / 16 : TW_MM};
    tw_nm width = round % 2 == 0 ? 24 * TW_IN : 610 * TW_MM;
    tw_nm height = g.unit * (160 + pick(&g, 600));
    sample_start(s, width, height, g.unit * pick(&g, 8), g.unit * pick(&g, 6));
    s->job.marks.offset_auto = pick(&g, 2) == 0;
    s->job.marks.offset = g.unit * pick(&g, 4);
    s->job.marks.length = g.unit * (1 + pick(&g, 8));
    s->job.marks.weight = pick(&g, 2) == 0 ? TW_IN / 288 : 100001;
    grow(&g, (tw_rect){0, 0, width, height}, 1 + (int)pick(&g, 7));
}

/* ------------------------------------------------ what must hold */

static tw_rect bled(const tw_lying *print) {
    return tw_rect_spread(print->trim, print->bleed.side[0]); /* the samples' are all alike */
}

static void ink_is_in_the_waste(const sample *s, const tw_op *op, int round) {
    tw_rect ink = ink_of(op);
    tw_rect page = {s->paper.side, s->paper.lead, s->sheet.size.width - 2 * s->paper.side,
                    s->sheet.size.height - s->paper.lead - s->paper.tail};
    if (!tw_rect_inside(ink, page))
        fail_msg("plan %d: role %d in the margin", round, op->role);
    for (size_t i = 0; i < s->sheet.print_count; i++)
        if (tw_rect_overlap(ink, bled(&s->prints[i])))
            fail_msg("plan %d: role %d touches print %zu", round, op->role, i);
}

static void texts_are_apart(const sample *s, size_t index, int round) {
    const tw_op *text = &s->sheet.page.ops[index];
    for (size_t i = 0; i < s->sheet.page.count; i++) {
        const tw_op *op = &s->sheet.page.ops[i];
        if (i != index && op->role != TW_ROLE_PICTURE && tw_rect_overlap(ink_of(op), ink_of(text)))
            fail_msg("plan %d: \"%s\" lies on role %d", round, text->text, op->role);
    }
}

/* Every end of every cut is marked by one tick on its line, or listed. */
static void ends_are_accounted_for(const sample *s, int round) {
    int ticks = sample_count(s, TW_ROLE_TICK, TW_OP_LINE);
    int ends = 2 * s->tree.cut_count;
    if (ticks + (int)s->sheet.unmarked_count != ends)
        fail_msg("plan %d: %d ticks, %zu unmarked, %d ends", round, ticks, s->sheet.unmarked_count,
                 ends);
}

static bool is_on_a_cut(const sample *s, const tw_op *op) {
    for (int i = 0; i < s->tree.cut_count; i++) {
        const tw_cut *cut = &s->cuts[i];
        if (cut->along == TW_ALONG
                ? op->x0 == cut->at && op->x1 == cut->at && op->y0 >= cut->from && op->y1 <= cut->to
                : op->y0 == cut->at && op->y1 == cut->at && op->x0 >= cut->from &&
                      op->x1 <= cut->to)
            return true;
    }
    return false;
}

/* A crop mark carries on an edge of some print, and is 1 mm long or more. */
static bool is_on_an_edge(const sample *s, const tw_op *op) {
    if (op->x1 - op->x0 + op->y1 - op->y0 < TW_MM)
        return false;
    for (size_t i = 0; i < s->sheet.print_count; i++) {
        tw_rect r = s->prints[i].trim;
        if (op->x0 == op->x1 ? op->x0 == r.x || op->x0 == tw_rect_right(r)
                             : op->y0 == r.y || op->y0 == tw_rect_bottom(r))
            return true;
    }
    return false;
}

static void random_plans_keep_ink_off_prints(void **state) {
    int prints = 0, ticks = 0, marks = 0, bars = 0, slugs = 0, signatures = 0;
    (void)state;
    for (int round = 0; round < 400; round++) {
        sample *s = malloc(sizeof *s);
        grow_sheet(s, round);
        sample_draw(s);
        for (size_t i = 0; i < s->sheet.page.count; i++) {
            const tw_op *op = &s->sheet.page.ops[i];
            if (op->role == TW_ROLE_PICTURE)
                continue;
            ink_is_in_the_waste(s, op, round);
            if (op->kind == TW_OP_TEXT)
                texts_are_apart(s, i, round);
            if (op->role == TW_ROLE_TICK && op->kind == TW_OP_LINE)
                assert_true(is_on_a_cut(s, op));
            if (op->role == TW_ROLE_CROP_MARK)
                assert_true(is_on_an_edge(s, op));
        }
        ends_are_accounted_for(s, round);
        prints += (int)s->sheet.print_count;
        ticks += sample_count(s, TW_ROLE_TICK, TW_OP_LINE);
        marks += s->sheet.marks_drawn;
        bars += sample_count(s, TW_ROLE_SCALE_BAR, TW_OP_TEXT);
        slugs += sample_count(s, TW_ROLE_SLUG, TW_OP_TEXT);
        signatures += sample_count(s, TW_ROLE_SIGNATURE, TW_OP_LINE);
        sample_end(s);
        free(s);
    }
    /* there was something to be wrong */
    assert_true(prints > 1000 && ticks > 1000 && marks > 2000);
    assert_true(bars > 400 && slugs > 200 && signatures > 200);
}

/* ------------------------------------------------ order and keylines */

static void parts_lie_in_order(void **state) {
    static const tw_role order[] = {TW_ROLE_PICTURE, TW_ROLE_KEYLINE,   TW_ROLE_CROP_MARK,
                                    TW_ROLE_TICK,    TW_ROLE_SIGNATURE, TW_ROLE_SCALE_BAR,
                                    TW_ROLE_SLUG};
    sample s;
    size_t at = 0;
    (void)state;
    sample_start(&s, 24 * TW_IN, 20 * TW_IN, TW_IN / 4, TW_IN / 8);
    s.format.keyline = true;
    for (int i = 0; i < 2; i++) {
        tw_lying *print = sample_print(
            &s, (tw_rect){(1 + 10 * i) * TW_IN, TW_IN, 8 * TW_IN, 10 * TW_IN}, TW_IN / 2, 0);
        print->signature = (tw_rect){(6 + 10 * i) * TW_IN, 10 * TW_IN, TW_IN, TW_IN / 4};
    }
    sample_cut(&s, TW_ALONG, 10 * TW_IN, 0, 20 * TW_IN);
    sample_draw(&s);
    for (size_t i = 0; i < s.sheet.page.count; i++) {
        while (at < 7 && order[at] != s.sheet.page.ops[i].role)
            at++;
        assert_true(at < 7);
    }
    assert_int_equal(at, 6); /* the slug came last */
    sample_end(&s);
}

/* Inside the picture's edge, half its weight in: the ink ends where the picture's does. */
static void keylines_follow_the_picture(void **state) {
    sample s;
    tw_nm half = TW_IN / 288 / 2;
    (void)state;
    sample_start(&s, 24 * TW_IN, 20 * TW_IN, TW_IN / 4, TW_IN / 8);
    s.format.keyline = true;
    tw_lying *print = sample_print(&s, (tw_rect){0, 0, 8 * TW_IN, 10 * TW_IN}, TW_IN, 0);
    print->visible.side[TW_RIGHT] = 0; /* the picture ends at the trim there: no edge */
    sample_draw(&s);
    assert_int_equal(sample_count(&s, TW_ROLE_KEYLINE, TW_OP_LINE), 3);
    assert_true(has_line(&s, TW_ROLE_KEYLINE, TW_IN, TW_IN + half, 7 * TW_IN, TW_IN + half));
    assert_true(
        has_line(&s, TW_ROLE_KEYLINE, TW_IN, 9 * TW_IN - half, 7 * TW_IN, 9 * TW_IN - half));
    assert_true(has_line(&s, TW_ROLE_KEYLINE, TW_IN + half, TW_IN, TW_IN + half, 9 * TW_IN));
    sample_end(&s);
}

static void memory_may_run_out_anywhere(void **state) {
    sample s;
    tw_code code = TW_MEMORY;
    (void)state;
    for (long n = 1; code == TW_MEMORY && n < 1000; n++) {
        sample_start(&s, 24 * TW_IN, 20 * TW_IN, TW_IN / 4, TW_IN / 8);
        s.format.keyline = true;
        for (int i = 0; i < 60; i++) /* more than an arena's first chunk holds */
            sample_print(
                &s,
                (tw_rect){(i % 10) * 2 * TW_IN, (1 + i / 10 * 3) * TW_IN, TW_IN * 3 / 2, 2 * TW_IN},
                TW_IN / 4, 0);
        sample_cut(&s, TW_ALONG, 10 * TW_IN, 0, 20 * TW_IN);
        s.memory.fail_at = s.memory.asked + n;
        code = tw_sheet_draw(s.arena, &s.plan, &s.sheet, &s.error);
        s.memory.fail_at = 0;
        assert_true(code == TW_OK || code == TW_MEMORY);
        assert_true(n > 1 || code == TW_MEMORY);
        sample_end(&s);
    }
    assert_int_equal(code, TW_OK);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(random_plans_keep_ink_off_prints),
        cmocka_unit_test(parts_lie_in_order),
        cmocka_unit_test(keylines_follow_the_picture),
        cmocka_unit_test(memory_may_run_out_anywhere),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
