/*
 * The master programme of the band engine: how often to use each band so that every size is made
 * often enough with the least roll. A revised primal simplex with a dense inverse; the rows are
 * the sizes, a few dozen. The one file of the layout that computes in floating point: it only
 * proposes. Bands are whole, bounds are proved in integers elsewhere.
 * Compiled without contraction of products and sums, so every machine takes the same steps.
 */
#include "layout/band.h"

#define TINY 1e-9

struct tw_master {
    int rows;
    int type_count;
    int *row_of;   /* a type; -1 when it is not asked for */
    double *need;  /* a row */
    double *cost;  /* a column */
    double *makes; /* [column][row] */
    size_t columns, room;
    int64_t *basis;   /* a row: column index, or -1 - row for that row's surplus */
    double *inverse;  /* [row][row] of the basis */
    double *level;    /* a row: value of the basic variable */
    double *dual;     /* a row */
    double *entering; /* a row: inverse times the entering column */
};

tw_code tw_master_start(tw_arena *arena, int type_count, const int32_t *demand, tw_master **out,
                        tw_error *error) {
    tw_master *master = tw_arena_take(arena, sizeof *master);
    *out = master;
    if (master == NULL)
        return tw_no_memory(error);
    master->type_count = type_count;
    master->row_of = tw_arena_array(arena, (size_t)type_count, sizeof(int));
    master->need = tw_arena_array(arena, (size_t)type_count, sizeof(double));
    if (master->row_of == NULL || master->need == NULL)
        return tw_no_memory(error);
    for (int t = 0; t < type_count; t++) {
        master->row_of[t] = demand[t] > 0 ? master->rows : -1;
        if (demand[t] > 0)
            master->need[master->rows++] = demand[t];
    }
    size_t rows = (size_t)master->rows;
    master->basis = tw_arena_array(arena, rows, sizeof(int64_t));
    master->inverse = tw_arena_array(arena, rows * rows, sizeof(double));
    master->level = tw_arena_array(arena, rows, sizeof(double));
    master->dual = tw_arena_array(arena, rows, sizeof(double));
    master->entering = tw_arena_array(arena, rows, sizeof(double));
    if (master->basis == NULL || master->inverse == NULL || master->level == NULL ||
        master->dual == NULL || master->entering == NULL)
        return tw_no_memory(error);
    return TW_OK;
}

/* The first bands, one a row, are the first basis: a diagonal one. */
static void join_basis(tw_master *master, size_t column) {
    size_t rows = (size_t)master->rows;
    const double *makes = master->makes + column * rows;
    for (size_t r = 0; r < rows; r++)
        if (makes[r] > 0) {
            master->basis[r] = (int64_t)column;
            master->inverse[r * rows + r] = 1 / makes[r];
            master->level[r] = master->need[r] / makes[r];
        }
}

tw_code tw_master_add(tw_arena *arena, tw_master *master, const tw_band *band, int32_t cost,
                      tw_error *error) {
    size_t rows = (size_t)master->rows, column = master->columns;
    size_t had = master->room;
    double *costs = tw_arena_grow(arena, master->cost, column, &master->room, sizeof(double));
    if (costs == NULL)
        return tw_no_memory(error);
    master->cost = costs;
    if (master->room != had) {
        double *makes = tw_arena_array(arena, master->room * rows, sizeof(double));
        if (makes == NULL)
            return tw_no_memory(error);
        for (size_t i = 0; i < column * rows; i++)
            makes[i] = master->makes[i];
        master->makes = makes;
    }
    master->cost[column] = cost;
    for (int t = 0; t < master->type_count; t++)
        if (master->row_of[t] >= 0)
            master->makes[column * rows + (size_t)master->row_of[t]] = band->makes[t];
    master->columns++;
    if (column < rows)
        join_basis(master, column);
    return TW_OK;
}

static double basis_cost(const tw_master *master, size_t row) {
    return master->basis[row] >= 0 ? master->cost[master->basis[row]] : 0;
}

static void find_duals(tw_master *master) {
    size_t rows = (size_t)master->rows;
    for (size_t c = 0; c < rows; c++)
        master->dual[c] = 0;
    for (size_t r = 0; r < rows; r++) {
        double cost = basis_cost(master, r);
        if (cost != 0)
            for (size_t c = 0; c < rows; c++)
                master->dual[c] += cost * master->inverse[r * rows + c];
    }
}

/* The column (or -1 - row: a surplus) whose use saves most a unit; INT64_MIN when none does. With
 * `first` the first that saves at all (Bland's rule: no cycling). */
static int64_t find_entering(const tw_master *master, bool first) {
    size_t rows = (size_t)master->rows;
    int64_t best = INT64_MIN;
    double least = -TINY;
    for (size_t r = 0; r < rows; r++)
        if (master->dual[r] < least * 1e3) {
            least = master->dual[r] / 1e3;
            best = -1 - (int64_t)r;
        }
    for (size_t j = 0; j < master->columns && !(first && best != INT64_MIN); j++) {
        double saved = master->cost[j];
        for (size_t r = 0; r < rows; r++)
            saved -= master->dual[r] * master->makes[j * rows + r];
        saved /= master->cost[j] + 1;
        if (saved < least) {
            least = saved;
            best = (int64_t)j;
        }
    }
    return best;
}

static void find_direction(tw_master *master, int64_t entering) {
    size_t rows = (size_t)master->rows;
    for (size_t r = 0; r < rows; r++) {
        const double *line = master->inverse + r * rows;
        double sum = 0;
        if (entering < 0)
            sum = -line[-1 - entering];
        else
            for (size_t c = 0; c < rows; c++)
                sum += line[c] * master->makes[(size_t)entering * rows + c];
        master->entering[r] = sum;
    }
}

/* The row whose basic variable falls to zero first; -1 cannot happen (costs are positive). */
static int find_leaving(const tw_master *master) {
    int best = -1;
    double least = 0;
    for (int r = 0; r < master->rows; r++) {
        if (master->entering[r] <= TINY)
            continue;
        double ratio = master->level[r] / master->entering[r];
        if (best < 0 || ratio < least - TINY ||
            (ratio < least + TINY && master->basis[r] < master->basis[best])) {
            best = r;
            least = ratio;
        }
    }
    return best;
}

static void pivot(tw_master *master, int64_t entering, size_t leaving) {
    size_t rows = (size_t)master->rows;
    double *line = master->inverse + leaving * rows;
    double by = master->entering[leaving];
    double level = master->level[leaving] / by;
    for (size_t c = 0; c < rows; c++)
        line[c] /= by;
    for (size_t r = 0; r < rows; r++) {
        double times = master->entering[r];
        if (r == leaving || times == 0)
            continue;
        for (size_t c = 0; c < rows; c++)
            master->inverse[r * rows + c] -= times * line[c];
        master->level[r] -= times * level;
        if (master->level[r] < 0)
            master->level[r] = 0;
    }
    master->level[leaving] = level < 0 ? 0 : level;
    master->basis[leaving] = entering;
}

tw_code tw_master_solve(tw_master *master, int64_t *value, tw_error *error) {
    int still = 0, most = 50 * (master->rows + 20);
    for (int step = 0; step < most; step++) {
        find_duals(master);
        int64_t entering = find_entering(master, still > 2 * master->rows);
        if (entering == INT64_MIN)
            break;
        find_direction(master, entering);
        int leaving = find_leaving(master);
        if (leaving < 0)
            return tw_fail(error, TW_BUG, "layout-master", "the layout's programme has no bound");
        still = master->level[leaving] < TINY ? still + 1 : 0;
        pivot(master, entering, (size_t)leaving);
    }
    for (int t = 0; t < master->type_count; t++) {
        double dual = master->row_of[t] < 0 ? 0 : master->dual[master->row_of[t]];
        value[t] = dual <= 0 ? 0 : (int64_t)(dual * (double)TW_BAND_SCALE + 0.5);
    }
    return TW_OK;
}

void tw_master_uses(const tw_master *master, int64_t *uses) {
    for (size_t j = 0; j < master->columns; j++)
        uses[j] = 0;
    for (int r = 0; r < master->rows; r++)
        if (master->basis[r] >= 0)
            uses[master->basis[r]] = (int64_t)(master->level[r] * (double)TW_BAND_SCALE + 0.5);
}

size_t tw_master_count(const tw_master *master) {
    return master->columns;
}
