/*
 * The order of cuts against every order there is: random small sheets on a coarse grid, so that
 * stops repeat, and the fewest changes of the stop found by exhaustive search over sets of cuts
 * made (Held & Karp 1962).
 */
#include "random_jobs.h"

enum { SHEETS = 600, CUTS_MOST = 14, PRINTS_MOST = 64, UNITS = 6 };
#define UNIT (30 * TW_MM)

typedef struct growing {
    laying *l;
    uint64_t s;
    tw_placed placed[PRINTS_MOST];
    int prints;
} growing;

static void grow(growing *g, tw_rect r, int depth) {
    bool wide = r.width > UNIT;
    bool high = r.height > UNIT;
    if (depth == 0 || (!wide && !high)) {
        if (random_one_in(&g->s, 6))
            return; /* waste */
        laying_add(g->l, 1, r.width, r.height, TW_IN);
        g->placed[g->prints] = (tw_placed){(size_t)g->prints, 0, r.x, r.y, false};
        g->prints++;
        return;
    }
    tw_rect a = r;
    tw_rect b = r;
    if (wide && (!high || random_one_in(&g->s, 2))) {
        a.width = UNIT * (1 + random_below(&g->s, r.width / UNIT - 1));
        b.x += a.width;
        b.width -= a.width;
    } else {
        a.height = UNIT * (1 + random_below(&g->s, r.height / UNIT - 1));
        b.y += a.height;
        b.height -= a.height;
    }
    grow(g, a, depth - 1);
    grow(g, b, depth - 1);
}

static int by_place(const void *left, const void *right) {
    const tw_placed *a = left;
    const tw_placed *b = right;
    if (a->y != b->y)
        return a->y < b->y ? -1 : 1;
    return (a->x > b->x) - (a->x < b->x);
}

typedef struct search {
    const tw_sheet_cuts *sheet;
    int before[CUTS_MOST]; /* the cut that must be made first, -1 none */
    signed char known[1 << CUTS_MOST][CUTS_MOST + 1];
} search;

/* Fewest changes still to come when the cuts of the set `made` are, `last` the last of them. */
static int fewest(search *s, unsigned made, int last) {
    int count = s->sheet->cut_count;
    int best = CUTS_MOST + 1;
    if (made == (1u << count) - 1)
        return 0;
    signed char *known = &s->known[made][last + 1];
    if (*known > 0)
        return *known - 1;
    for (int i = 0; i < count; i++) {
        bool freed = s->before[i] < 0 || (made >> s->before[i] & 1) != 0;
        if ((made >> i & 1) != 0 || !freed)
            continue;
        int change = last < 0 || s->sheet->cuts[last].stop != s->sheet->cuts[i].stop;
        int now = change + fewest(s, made | 1u << i, i);
        best = now < best ? now : best;
    }
    *known = (signed char)(best + 1);
    return best;
}

static int optimum(search *s, const tw_sheet_cuts *sheet) {
    memset(s, 0, sizeof *s);
    s->sheet = sheet;
    for (int i = 0; i < sheet->cut_count; i++) {
        s->before[i] = -1;
        for (int k = 0; k < sheet->cut_count; k++) {
            const tw_node *node = &sheet->nodes[sheet->cuts[k].node];
            if (node->low == sheet->cuts[i].node || node->high == sheet->cuts[i].node)
                s->before[i] = k;
        }
    }
    return fewest(s, 0, -1);
}

/* One change in a hundred may be too many, none too few. */
static void against_every_order(void **state) {
    (void)state;
    int64_t changes = 0;
    int64_t least = 0;
    int compared = 0;
    search *s = malloc(sizeof *s);
    assert_non_null(s);
    for (uint64_t seed = 0; seed < SHEETS; seed++) {
        laying l;
        growing g = {.l = &l, .s = seed};
        const tw_nm lengths[] = {UNITS * UNIT, 0};
        laying_start(&l);
        l.problem.stock.width = UNITS * UNIT;
        grow(&g, (tw_rect){0, 0, UNITS * UNIT, UNITS * UNIT}, 4);
        if (g.prints > 0) {
            qsort(g.placed, (size_t)g.prints, sizeof *g.placed, by_place);
            laying_by_hand(&l, g.placed, (size_t)g.prints, lengths);
            assert_ok(tw_cuts_make(l.arena, &l.problem, &l.layout, &l.limits, &l.cuts, &l.error),
                      l.error);
            if (l.cuts.hand_cuts <= CUTS_MOST) {
                int best = optimum(s, &l.cuts.sheets[0]);
                assert_true(l.cuts.stop_changes >= best);
                changes += l.cuts.stop_changes;
                least += best;
                compared++;
            }
        }
        laying_end(&l);
    }
    free(s);
    assert_true(compared > SHEETS / 2);
    assert_true(100 * changes <= 101 * least);
}

/* Three 8x10 lying on 13x19 sheets, two and one. Along first on the first sheet, then both cuts
 * across with one setting, which also begins the second sheet: 10 in, 8 in, 10 in. Across first on
 * both it would be 16 in, 8 in, 10 in, 8 in, 10 in. */
static void a_sheet_goes_on_with_the_stop(void **state) {
    static const tw_nm lengths[] = {19 * TW_IN, 19 * TW_IN, 0};
    static const tw_placed placed[] = {
        {0, 0, 0, 0, true}, {1, 0, 0, 8 * TW_IN, true}, {2, 1, 0, 0, true}};
    laying l;
    (void)state;
    laying_start(&l);
    l.problem.stock.roll = false;
    l.problem.stock.width = 13 * TW_IN;
    l.problem.stock.length = 19 * TW_IN;
    l.problem.stock.count = 2;
    laying_add(&l, 3, 8 * TW_IN, 10 * TW_IN, TW_IN);
    laying_by_hand(&l, placed, 3, lengths);
    assert_ok(tw_cuts_make(l.arena, &l.problem, &l.layout, &l.limits, &l.cuts, &l.error), l.error);
    assert_int_equal(l.cuts.hand_cuts, 5);
    assert_int_equal(l.cuts.stop_changes, 3);
    assert_int_equal(l.cuts.sheets[0].cuts[0].along, TW_ALONG);
    laying_end(&l);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(against_every_order),
        cmocka_unit_test(a_sheet_goes_on_with_the_stop),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
