/*
 * Free room on a sheet: stretches of bands by hand, and the longest band against a search that
 * tries every place on a coarse grid.
 */
#include "sheet_sample.h"

/* A 100 x 60 page with margins of 5 at the sides and 2 at the ends, in nm; two prints. */
static tw_room small_room(sample *s) {
    tw_room room;
    sample_start(s, 100, 60, 5, 2);
    sample_print(s, (tw_rect){20, 10, 20, 20}, 1, 0);
    sample_print(s, (tw_rect){60, 10, 20, 30}, 1, 3);
    assert_ok(tw_room_start(s->arena, &s->paper, &s->sheet, &room, &s->error), s->error);
    return room;
}

static void stretches_by_hand(void **state) {
    static const struct {
        tw_rect band;
        tw_seek seek;
        size_t count;
        tw_stretch wanted[3];
    } table[] = {
        {{0, 15, 100, 2}, {.along = TW_ACROSS}, 3, {{5, 20}, {40, 57}, {83, 95}}},
        {{0, 15, 100, 2}, {.along = TW_ACROSS, .clear = 4}, 3, {{5, 16}, {44, 53}, {87, 95}}},
        {{25, 15, 40, 2}, {.along = TW_ACROSS}, 1, {{40, 57}}},
        {{0, 2, 100, 5}, {.along = TW_ACROSS}, 1, {{5, 95}}}, /* ends where the bleed begins */
        {{0, 2, 100, 6}, {.along = TW_ACROSS}, 2, {{5, 57}, {83, 95}}},
        {{0, 1, 100, 3}, {.along = TW_ACROSS}, 0, {{0, 0}}}, /* in the margin */
        {{25, 0, 2, 60}, {.along = TW_ALONG}, 2, {{2, 10}, {30, 58}}},
        {{4, 0, 2, 60}, {.along = TW_ALONG}, 0, {{0, 0}}},
        {{30, 12, 5, 2}, {.along = TW_ACROSS}, 0, {{0, 0}}}, /* all on a print */
    };
    sample s;
    tw_room room = small_room(&s);
    (void)state;
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        const tw_stretch *seen;
        size_t count = tw_room_stretches(&room, table[i].band, &table[i].seek, &seen);
        assert_int_equal(count, table[i].count);
        for (size_t n = 0; n < count; n++) {
            assert_int_equal(seen[n].from, table[i].wanted[n].from);
            assert_int_equal(seen[n].to, table[i].wanted[n].to);
        }
    }
    sample_end(&s);
}

static void taken_ink_blocks_unless_told(void **state) {
    sample s;
    tw_room room = small_room(&s);
    const tw_stretch *seen;
    tw_seek all = {.along = TW_ACROSS}, prints = {.along = TW_ACROSS, .prints_only = true};
    bool pass[2] = {true, false};
    tw_seek lip = {.along = TW_ACROSS, .prints_only = true, .pass = pass};
    tw_rect band = {0, 15, 100, 2};
    (void)state;
    assert_ok(tw_room_take(&room, (tw_rect){45, 0, 5, 60}, &s.error), s.error);
    assert_int_equal(tw_room_stretches(&room, band, &all, &seen), 4);
    assert_int_equal(tw_room_stretches(&room, band, &prints, &seen), 3);
    assert_int_equal(tw_room_stretches(&room, band, &lip, &seen), 2);
    assert_int_equal(seen[0].to, 57);
    assert_false(tw_room_free(&room, (tw_rect){44, 50, 2, 2}, 0));
    assert_true(tw_room_free(&room, (tw_rect){43, 50, 2, 2}, 0));
    assert_false(tw_room_free(&room, (tw_rect){43, 50, 2, 2}, 1));
    assert_false(tw_room_free(&room, (tw_rect){4, 50, 2, 2}, 0));
    sample_end(&s);
}

/* ------------------------------------------------ the longest */

static bool band_is_free(const tw_room *room, tw_rect band) {
    return tw_room_free(room, band, 0);
}

/* Tries every place and length. */
static tw_nm longest_by_trying(const tw_room *room, tw_along along, tw_nm thick, tw_size page) {
    tw_nm best = 0;
    tw_nm length = along == TW_ACROSS ? page.width : page.height;
    tw_nm other = along == TW_ACROSS ? page.height : page.width;
    for (tw_nm at = 0; at + thick <= other; at++)
        for (tw_nm from = 0; from + best < length; from++)
            while (from + best < length) {
                tw_rect band = along == TW_ACROSS ? (tw_rect){from, at, best + 1, thick}
                                                  : (tw_rect){at, from, thick, best + 1};
                if (!band_is_free(room, band))
                    break;
                best++;
            }
    return best;
}

static void the_longest_is_the_longest(void **state) {
    uint32_t seed = 1;
    (void)state;
    for (int round = 0; round < 300; round++) {
        sample s;
        tw_room room;
        tw_rect band;
        sample_start(&s, 40, 30, 2, 1);
        for (int i = 0; i < round % 6; i++) {
            seed = seed * 1664525 + 1013904223;
            sample_print(
                &s,
                (tw_rect){seed >> 27, seed >> 20 & 15, 3 + (seed >> 12 & 7), 3 + (seed >> 8 & 7)},
                1, 0);
        }
        tw_along along = round % 2 == 0 ? TW_ACROSS : TW_ALONG;
        tw_seek seek = {.along = along};
        assert_ok(tw_room_start(s.arena, &s.paper, &s.sheet, &room, &s.error), s.error);
        assert_ok(tw_room_longest(&room, 1 + round % 5, &seek, &band, &s.error), s.error);
        tw_nm length = along == TW_ACROSS ? band.width : band.height;
        assert_int_equal(length, longest_by_trying(&room, along, 1 + round % 5, s.sheet.size));
        assert_true(length == 0 || tw_room_free(&room, band, 0));
        sample_end(&s);
    }
}

static void margins_wider_than_the_page(void **state) {
    sample s;
    tw_room room;
    tw_rect band = {1, 2, 3, 4};
    tw_seek seek = {.along = TW_ACROSS};
    (void)state;
    sample_start(&s, 40, 30, 25, 20);
    assert_ok(tw_room_start(s.arena, &s.paper, &s.sheet, &room, &s.error), s.error);
    assert_ok(tw_room_longest(&room, 2, &seek, &band, &s.error), s.error);
    assert_int_equal(band.width, 0);
    sample_end(&s);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stretches_by_hand),
        cmocka_unit_test(taken_ink_blocks_unless_told),
        cmocka_unit_test(the_longest_is_the_longest),
        cmocka_unit_test(margins_wider_than_the_page),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
