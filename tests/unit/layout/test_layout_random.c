/*
 * 5000 seeded random days with all constraints mixed: the referee agrees, so does a simulation of
 * the cuts written for this test alone; no less paper than the bound; neither the order of the
 * input's lines nor paper that is not needed changes the plan; a roll that is a little too short
 * leaves something out.
 */
#include "random_jobs.h"

/* Judged once; laid out again in other ways. A usual run takes every tenth. */
enum { JOBS = 5000, VARIED = 1000, USUAL_STEP = 10 };

/* Every seed where TRIMWELL_DEPTH is "all" (`sh tests/run --all`), else a fixed sample of them. */
static uint64_t step(void) {
    const char *depth = getenv("TRIMWELL_DEPTH");
    return depth != NULL && strcmp(depth, "all") == 0 ? 1 : USUAL_STEP;
}

static void check_job(laying *l, uint64_t seed) {
    if (laying_try(l) != TW_OK)
        fail_msg("seed %llu: %s", (unsigned long long)seed, l->error.message);
}

/* ---------------------------------------------------------------- the cuts, simulated */

/* Every piece of paper on the table; a cut says where it lies, not which piece it is for. */
typedef struct table {
    tw_rect *pieces;
    size_t count;
} table;

static size_t piece_for(const table *t, const tw_cut *cut, uint64_t seed) {
    bool across = cut->along == TW_ACROSS;
    size_t found = SIZE_MAX;
    for (size_t i = 0; i < t->count; i++) {
        tw_rect r = t->pieces[i];
        tw_nm low = across ? r.y : r.x;
        tw_nm high = across ? r.y + r.height : r.x + r.width;
        tw_nm from = across ? r.x : r.y;
        tw_nm to = across ? r.x + r.width : r.y + r.height;
        if (low < cut->at && cut->at < high && from == cut->from && to == cut->to &&
            cut->at - low == cut->stop) {
            assert_true(found == SIZE_MAX);
            found = i;
        }
    }
    if (found == SIZE_MAX)
        fail_msg("seed %llu: step %d fits no piece in hand", (unsigned long long)seed, cut->step);
    return found;
}

static void make_cut(table *t, const tw_cut *cut, uint64_t seed) {
    size_t at = piece_for(t, cut, seed);
    tw_rect low = t->pieces[at];
    tw_rect high = low;
    if (cut->along == TW_ACROSS) {
        low.height = cut->at - low.y;
        high.height -= low.height;
        high.y = cut->at;
    } else {
        low.width = cut->at - low.x;
        high.width -= low.width;
        high.x = cut->at;
    }
    t->pieces[at] = low;
    t->pieces[t->count++] = high;
}

static bool lies_there(const laying *l, const tw_placed *p, tw_rect r) {
    const tw_piece *piece = &l->pieces[p->piece];
    return p->x == r.x && p->y == r.y && r.width == (p->turned ? piece->height : piece->width) &&
           r.height == (p->turned ? piece->width : piece->height);
}

/* Every print of the sheet is on the table once. */
static void all_there(const laying *l, const table *t, int sheet, uint64_t seed) {
    for (size_t i = 0; i < l->layout.placed_count; i++) {
        int times = 0;
        if (l->layout.placed[i].sheet != sheet)
            continue;
        for (size_t k = 0; k < t->count; k++)
            times += lies_there(l, &l->layout.placed[i], t->pieces[k]);
        if (times != 1)
            fail_msg("seed %llu: piece %zu is cut %d times", (unsigned long long)seed,
                     l->layout.placed[i].piece, times);
    }
}

static void simulate_sheet(const laying *l, int sheet, uint64_t seed) {
    const tw_sheet_cuts *cuts = &l->cuts.sheets[sheet];
    bool by_hand = l->problem.stock.roll && !l->problem.stock.machine_cuts;
    tw_nm length = l->layout.sheet_length[sheet];
    table t = {malloc(((size_t)cuts->cut_count + 2) * sizeof(tw_rect)), 1};
    assert_non_null(t.pieces);
    /* By hand the first cut takes the page from the roll behind it. */
    t.pieces[0] = (tw_rect){0, 0, l->problem.stock.width, length + (by_hand ? TW_M : 0)};
    for (int i = 0; i < cuts->cut_count; i++)
        make_cut(&t, &cuts->cuts[i], seed);
    all_there(l, &t, sheet, seed);
    free(t.pieces);
}

static void judged_and_simulated(void **state) {
    (void)state;
    for (uint64_t seed = 0; seed < JOBS; seed += step()) {
        laying l;
        random_steered_job(seed, &l, seed % 20 == 0 ? 40 : 8);
        check_job(&l, seed);
        for (int sheet = 0; sheet < l.layout.sheet_count; sheet++)
            simulate_sheet(&l, sheet, seed);
        laying_end(&l);
    }
}

/* ---------------------------------------------------------------- order of the input */

static int by_bytes(const void *a, const void *b) {
    return memcmp(a, b, sizeof(tw_piece) + 4 * sizeof(int64_t));
}

typedef struct laid {
    tw_piece piece;
    int64_t place[4];
} laid;

/* What lies where, without the numbers of the pieces. */
static laid *list_laid(const laying *l) {
    laid *list = calloc(l->layout.placed_count + 1, sizeof *list);
    assert_non_null(list);
    for (size_t i = 0; i < l->layout.placed_count; i++) {
        const tw_placed *p = &l->layout.placed[i];
        memcpy(&list[i].piece, &l->pieces[p->piece], sizeof(tw_piece)); /* with its padding */
        const int64_t place[4] = {p->sheet, p->x, p->y, p->turned};
        memcpy(list[i].place, place, sizeof place);
    }
    if (l->layout.placed_count > 0)
        qsort(list, l->layout.placed_count, sizeof *list, by_bytes);
    return list;
}

static void swap_pieces(laying *l, size_t a, size_t b) {
    tw_piece kept;
    memcpy(&kept, &l->pieces[a], sizeof kept);
    memcpy(&l->pieces[a], &l->pieces[b], sizeof kept);
    memcpy(&l->pieces[b], &kept, sizeof kept);
}

static void order_does_not_matter(void **state) {
    (void)state;
    for (uint64_t seed = 0; seed < VARIED; seed += step()) {
        laying l;
        uint64_t s = seed + 1000000;
        random_steered_job(seed, &l, 8);
        check_job(&l, seed);
        laid *before = list_laid(&l);
        size_t count = l.layout.placed_count;
        tw_nm used = l.layout.used;
        for (size_t i = l.problem.count; i > 1; i--)
            swap_pieces(&l, i - 1, (size_t)random_below(&s, (tw_nm)i));
        check_job(&l, seed);
        laid *after = list_laid(&l);
        assert_int_equal(l.layout.used, used);
        assert_int_equal(l.layout.placed_count, count);
        if (memcmp(before, after, count * sizeof *before) != 0)
            fail_msg("seed %llu: another order of lines, another plan", (unsigned long long)seed);
        free(before);
        free(after);
        laying_end(&l);
    }
}

/* ---------------------------------------------------------------- the paper's length */

static void length_that_is_not_needed(void **state) {
    (void)state;
    for (uint64_t seed = 0; seed < VARIED; seed += step()) {
        laying l;
        uint64_t s = seed;
        random_job(seed, &l, 8);
        l.problem.settings.want = TW_WANT_PAPER; /* the others take more when there is more */
        check_job(&l, seed);
        tw_nm used = l.layout.used;
        size_t placed = l.layout.placed_count;
        if (l.problem.stock.roll && placed > 0) {
            l.problem.stock.length = used;
            check_job(&l, seed);
            assert_int_equal(l.layout.used, used);
            assert_int_equal(l.layout.placed_count, placed);
            l.problem.stock.length = used + random_below(&s, used);
            check_job(&l, seed);
            assert_int_equal(l.layout.used, used);
            l.problem.stock.length = used / 2;
            check_job(&l, seed);
            assert_true(l.layout.used <= used / 2);
            l.problem.stock.length = l.layout.bound == 0 ? 0 : l.layout.bound - 1;
            check_job(&l, seed);
            assert_true(l.layout.placed_count < placed);
        } else if (placed > 0) {
            l.problem.stock.count = l.layout.sheet_count - 1;
            check_job(&l, seed);
            assert_true(l.layout.left_count > 0);
        }
        laying_end(&l);
    }
}

/* ---------------------------------------------------------------- plain days */

/* Height < 2 A / W + h_max for level packing (Coffman, Garey, Johnson & Tarjan, SIAM Journal on
 * Computing 9, 1980; the area form): no margins, gaps, losses or thin strips; every print lies the
 * way it is lowest, or better. */
static void plain_days(void **state) {
    (void)state;
    for (uint64_t seed = 0; seed < VARIED; seed += step()) {
        laying l;
        uint64_t s = seed;
        laying_start(&l);
        l.problem.stock.longest_sheet = 0;
        l.problem.stock.sheet_most = 0;
        l.problem.stock.length = 5000 * TW_M;
        l.problem.settings.narrowest_strip = 0;
        double area = 0;
        tw_nm tallest = 0;
        for (tw_nm lines = 1 + random_below(&s, 30); lines > 0; lines--) {
            tw_nm width;
            tw_nm height;
            random_size(&s, &width, &height);
            width = width > 24 * TW_IN ? 24 * TW_IN : width;
            laying_add(&l, 1, width, height, TW_IN);
            tw_nm low = height < width || height > 24 * TW_IN ? height : width;
            tallest = low > tallest ? low : tallest;
            area += (double)width * (double)height;
        }
        check_job(&l, seed);
        assert_int_equal(l.layout.left_count, 0);
        double most = 2 * area / (double)l.problem.stock.width + (double)tallest;
        if ((double)l.layout.used >= most)
            fail_msg("seed %llu: %.0f mm used, level packing needs less than %.0f mm",
                     (unsigned long long)seed, (double)l.layout.used / 1e6, most / 1e6);
        assert_true((double)l.layout.bound * (double)l.problem.stock.width >= area * 0.999999);
        laying_end(&l);
    }
}

/* ---------------------------------------------------------------- fillers */

/* With fillers a day uses no more paper, and the ordered prints are all there as before. */
static void fillers_add_no_length(void **state) {
    (void)state;
    size_t filled = 0;
    for (uint64_t seed = 0; seed < VARIED; seed += step()) {
        laying l;
        uint64_t s = seed;
        random_job(seed, &l, 8);
        check_job(&l, seed);
        tw_nm used = l.layout.used;
        size_t placed = l.layout.placed_count;
        random_fillers(&s, &l, 4);
        check_job(&l, seed);
        assert_int_equal(l.layout.used, used);
        size_t still = 0;
        for (size_t i = 0; i < l.layout.placed_count; i++)
            still += !l.pieces[l.layout.placed[i].piece].filler;
        assert_int_equal(still, placed);
        filled += l.layout.placed_count - placed;
        laying_end(&l);
    }
    assert_true(filled > VARIED / step() / 4);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(judged_and_simulated),      cmocka_unit_test(order_does_not_matter),
        cmocka_unit_test(length_that_is_not_needed), cmocka_unit_test(plain_days),
        cmocka_unit_test(fillers_add_no_length),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
