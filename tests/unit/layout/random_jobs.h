/*
 * Seeded random print days that mix every constraint of the layout. The generator is splitmix64
 * (Steele, Lea & Flood 2014), so that a failing seed fails on any machine.
 */
#ifndef TW_TEST_RANDOM_JOBS_H
#define TW_TEST_RANDOM_JOBS_H

#include "laying.h"

static inline uint64_t random_next(uint64_t *state) {
    uint64_t z = (*state += UINT64_C(0x9e3779b97f4a7c15));
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

static inline tw_nm random_below(uint64_t *state, tw_nm most) {
    return (tw_nm)(random_next(state) % (uint64_t)most);
}

static inline bool random_one_in(uint64_t *state, tw_nm n) {
    return random_below(state, n) == 0;
}

/* Trade sizes in inches and centimetres, and any length to the nanometre. */
static inline void random_size(uint64_t *s, tw_nm *width, tw_nm *height) {
    static const int inches[][2] = {{4, 6},   {5, 7},   {8, 8},   {8, 10},  {8, 12},  {11, 14},
                                    {12, 18}, {16, 20}, {16, 24}, {18, 24}, {20, 30}, {24, 36}};
    static const int centimetres[][2] = {{10, 15}, {13, 18}, {18, 24}, {20, 30},
                                         {30, 40}, {40, 50}, {50, 70}, {60, 80}};
    tw_nm kind = random_below(s, 5);
    size_t at = (size_t)random_below(s, kind < 2 ? 12 : 8);
    if (kind < 2) {
        *width = inches[at][0] * TW_IN;
        *height = inches[at][1] * TW_IN;
    } else if (kind < 4) {
        *width = centimetres[at][0] * TW_CM;
        *height = centimetres[at][1] * TW_CM;
    } else {
        *width = 20 * TW_MM + random_below(s, 500 * TW_MM);
        *height = 20 * TW_MM + random_below(s, 700 * TW_MM);
    }
}

static inline void random_stock(uint64_t *s, tw_stock *stock) {
    static const tw_nm widths[] = {17 * TW_IN, 24 * TW_IN, 44 * TW_IN, 610 * TW_MM};
    stock->roll = !random_one_in(s, 5);
    stock->width = stock->roll ? widths[random_below(s, 4)] : 329 * TW_MM;
    stock->length = stock->roll ? 3000 * TW_M : 483 * TW_MM;
    stock->count = 1000000;
    stock->side = random_one_in(s, 4) ? 0 : random_below(s, 12 * TW_MM);
    stock->lead = random_one_in(s, 3) ? 0 : random_below(s, 20 * TW_MM);
    stock->tail = random_one_in(s, 3) ? 0 : random_below(s, 20 * TW_MM);
    stock->edge_trim = random_one_in(s, 5) ? random_below(s, 8 * TW_MM) : 0;
    stock->lost_each_sheet = random_one_in(s, 3) ? random_below(s, 30 * TW_MM) : 0;
    stock->lost_each_load = random_one_in(s, 3) ? random_below(s, 90 * TW_MM) : 0;
    stock->lost_core_end = random_one_in(s, 3) ? random_below(s, 300 * TW_MM) : 0;
    stock->shortest_sheet = random_one_in(s, 2) ? random_below(s, 300 * TW_MM) : 0;
    stock->longest_sheet = random_one_in(s, 4) ? 0 : TW_M + random_below(s, 2 * TW_M);
    stock->sheet_most = 5080 * TW_MM;
    stock->machine_cuts = !random_one_in(s, 3);
}

static inline void random_pieces(uint64_t *s, laying *l, tw_nm most) {
    tw_nm lines = 1 + random_below(s, most);
    for (tw_nm i = 0; i < lines; i++) {
        tw_nm width;
        tw_nm height;
        random_size(s, &width, &height);
        size_t copies = 1 + (size_t)random_below(s, random_one_in(s, 4) ? 20 : 3);
        tw_piece *p = laying_add(l, copies, width, height, 0);
        tw_piece like = p[0];
        for (int side = 0; side < 4; side++) {
            bool bleeds = random_one_in(s, 3);
            like.bleed.side[side] = bleeds ? random_below(s, 5 * TW_MM) : 0;
            like.visible.side[side] = bleeds ? -like.bleed.side[side] : random_below(s, 40 * TW_MM);
        }
        like.may_turn = !random_one_in(s, 4);
        like.alike = random_one_in(s, 8) ? (int)random_below(s, 3) : -1;
        like.group = (int)i;
        like.bytes = random_below(s, 1000);
        for (size_t k = 0; k < copies; k++) {
            like.image = random_one_in(s, 3) ? (int)random_below(s, 10) : -1;
            if (like.image >= 0)
                like.bytes = 100 + 7 * like.image;
            p[k] = like;
        }
    }
}

/* One to four lengths between the shortest and the longest sheet. */
static inline void random_lengths(uint64_t *s, laying *l) {
    tw_stock *stock = &l->problem.stock;
    if (!stock->roll || stock->longest_sheet == 0 || !random_one_in(s, 4))
        return;
    tw_nm at = stock->shortest_sheet;
    tw_nm most = stock->longest_sheet - at;
    stock->sheet_lengths = l->lengths;
    stock->sheet_length_count = 1 + (int)random_below(s, 4);
    for (int i = 0; i < stock->sheet_length_count; i++) {
        at += 1 + random_below(s, most / 4);
        l->lengths[i] = random_one_in(s, 2) ? at : (at + TW_MM - 1) / TW_MM * TW_MM;
        at = l->lengths[i];
    }
}

/* What paper and work cost, and what is wanted most. */
static inline void random_money(uint64_t *s, tw_layout_problem *problem) {
    problem->stock.price = random_one_in(s, 3) ? 0 : 1 + random_below(s, 100000000);
    if (random_one_in(s, 2)) {
        problem->settings.hand_cut = random_below(s, 200000);
        problem->settings.stop_change = random_below(s, 50000);
    }
    problem->settings.want = (tw_want)random_below(s, TW_WANTS);
    problem->settings.choices = random_one_in(s, 4);
}

static inline void random_job(uint64_t seed, laying *l, tw_nm most) {
    uint64_t s = seed;
    laying_start(l);
    random_stock(&s, &l->problem.stock);
    random_pieces(&s, l, most);
    tw_layout_settings *settings = &l->problem.settings;
    settings->gutter = random_one_in(&s, 3) ? random_below(&s, 8 * TW_MM) : 0;
    settings->turn = !random_one_in(&s, 6);
    settings->narrowest_strip = random_one_in(&s, 6) ? 0 : EIGHTH_IN;
    settings->steps = 200;
    settings->stages = seed % 4 == 3 ? 0 : 3;
    settings->sheet_bytes_most = random_one_in(&s, 3) ? 900 + random_below(&s, 3000) : 0;
    settings->strip_lead = random_one_in(&s, 6) ? random_below(&s, 20 * TW_MM) : 0;
    settings->strip_tail = random_one_in(&s, 6) ? random_below(&s, 20 * TW_MM) : 0;
    l->limits.longest_cut = random_one_in(&s, 3) ? 200 * TW_MM : 0;
    l->limits.farthest_stop = random_one_in(&s, 3) ? 150 * TW_MM : 0;
    for (size_t i = 0; i < l->problem.count; i++)
        l->pieces[i].priority = random_below(&s, 5);
    random_money(&s, &l->problem);
    random_lengths(&s, l);
}

/* Prints that sell, for the free places; no two are worth the same. */
static inline void random_fillers(uint64_t *s, laying *l, tw_nm most) {
    size_t ordered = l->problem.count;
    random_pieces(s, l, most);
    for (size_t i = ordered; i < l->problem.count; i++) {
        l->pieces[i].filler = true;
        l->pieces[i].alike = -1;
        l->pieces[i].worth = 1000 * random_below(s, 500) + (int64_t)i;
        l->pieces[i].priority = -l->pieces[i].worth;
    }
}

/* Paper for a part of the day perhaps: who is served first is then told apart to the last print. */
static inline void random_shortage(uint64_t *s, laying *l) {
    l->problem.stock.length =
        l->problem.stock.roll ? 200 * TW_MM + random_below(s, 5 * TW_M) : l->problem.stock.length;
    l->problem.stock.count = random_below(s, 5);
    for (size_t i = 0; i < l->problem.count; i++)
        l->pieces[i].priority = random_below(s, 5) * 1000000 + (tw_nm)i;
}

/* As random_job, and on two of three days paper that may not do, fillers, or both; orders of
 * several lines that are wanted together, at a price; rows of fillers. */
static inline void random_full_job(uint64_t seed, laying *l, tw_nm most) {
    uint64_t s = seed + 3000000;
    random_job(seed, l, most);
    if (seed % 3 == 1)
        random_shortage(&s, l);
    if (random_one_in(&s, 3))
        random_fillers(&s, l, 3);
    if (random_one_in(&s, 4))
        l->problem.settings.add_row_at = 1 + random_below(&s, 1000000);
    if (!random_one_in(&s, 4))
        return;
    l->problem.settings.keep_together = 1 + random_below(&s, 1000000);
    for (size_t i = 0; i < l->problem.count; i++)
        l->pieces[i].group = (int)random_below(&s, 4);
}

/* Pins that can be kept: some of what a plan has laid, where it lies or to its sheet. */
static inline void random_pins(uint64_t *s, laying *l) {
    laying_run(l);
    for (size_t i = 0; i < l->layout.placed_count; i++) {
        const tw_placed *p = &l->layout.placed[i];
        tw_piece *piece = &l->pieces[p->piece];
        bool place = random_one_in(s, 4);
        if (!place && !random_one_in(s, 4))
            continue;
        piece->pin_sheet = p->sheet;
        piece->pinned_place = place;
        piece->pin_x = place ? p->x : 0;
        piece->pin_y = place ? p->y : 0;
        piece->pin_turned = place && p->turned;
    }
}

/* As random_full_job, and pins on every fifth day. */
static inline void random_steered_job(uint64_t seed, laying *l, tw_nm most) {
    uint64_t s = seed + 4000000;
    random_full_job(seed, l, most);
    if (seed % 5 == 4)
        random_pins(&s, l);
}

#endif
