/* The pictures of a proof: the same bytes for any number of threads, an image's own for each of
 * its prints, memory that runs out, a stop. */
#include "proof/proof_sample.h"

static void threads_change_nothing(void **state) {
    (void)state;
    sample_day d;
    tw_error error = {0};
    tw_proof_line one[PRINTS], lines[PRINTS];
    const char *folder = scratch("threads");
    start(&d);
    assert_ok(proof(NULL, &d, folder, 1, NULL, one, &error), error);
    for (int threads = 2; threads <= 7; threads += 5) {
        assert_ok(proof(NULL, &d, folder, threads, NULL, lines, &error), error);
        for (size_t i = 0; i < PRINTS; i++) {
            assert_true(same_files(folder, name_of("proof", 1, i), name_of("proof", threads, i)));
            assert_true(same_files(folder, name_of("gamut", 1, i), name_of("gamut", threads, i)));
            assert_memory_equal(&lines[i].figures.mean, &one[i].figures.mean, sizeof(double));
        }
    }
    end(&d);
}

/* Two whole prints of one image are the same picture; those of others, and of a part, are not. */
static void each_print_shows_its_image(void **state) {
    (void)state;
    sample_day d;
    tw_error error = {0};
    tw_proof_line lines[PRINTS];
    const char *folder = scratch("images");
    start(&d);
    d.prints[1].intent = TW_RELATIVE;
    assert_ok(proof(NULL, &d, folder, 2, NULL, lines, &error), error);
    assert_true(same_files(folder, name_of("proof", 2, 1), name_of("proof", 2, 3)));
    assert_false(same_files(folder, name_of("proof", 2, 0), name_of("proof", 2, 4)));
    assert_false(same_files(folder, name_of("proof", 2, 1), name_of("proof", 2, 2)));
    assert_int_equal(lines[0].figures.pixels, 70 * 90);
    assert_int_equal(lines[1].figures.pixels, 90 * 70);
    assert_int_equal(lines[4].figures.pixels, 35 * 90);
    end(&d);
}

/* Requests are counted over all threads, so which print it hits is open; nothing leaks. */
static void memory_runs_out(void **state) {
    (void)state;
    sample_day d;
    tw_proof_line lines[PRINTS];
    const char *folder = scratch("memory");
    tw_code code = TW_MEMORY;
    start(&d);
    for (long at = 1; code != TW_OK; at += at < 20 ? 1 : 211) {
        test_memory memory = {.fail_at = at};
        tw_allocator allocator = test_allocator(&memory);
        code = proof(&allocator, &d, folder, 2, NULL, lines, NULL);
        assert_true(code == TW_OK || code == TW_MEMORY);
        assert_no_leak(memory);
    }
    end(&d);
}

static bool always(void *context) {
    (void)context;
    return true;
}

static void stops_when_asked(void **state) {
    (void)state;
    sample_day d;
    tw_error error = {0};
    tw_proof_line lines[PRINTS];
    const tw_run run = {.cancelled = always};
    start(&d);
    tw_code code = proof(NULL, &d, scratch("stopped"), 2, &run, lines, &error);
    assert_int_equal(code, TW_CANCELLED);
    end(&d);
}

/* A profile whose white is no paper white: its red is less (ICC.1, 7.2 tag table, 10.31 XYZ). */
static void tint_white(tw_buffer *profile) {
    unsigned char *bytes = (unsigned char *)profile->bytes;
    for (size_t i = 0; i < tw_big32(bytes + 128); i++) {
        const unsigned char *tag = bytes + 132 + 12 * i;
        if (memcmp(tag, "rXYZ", 4) == 0)
            tw_put_big32(bytes + tw_big32(tag + 4) + 8, 0x3000);
    }
}

/* Stored rows 20 to 39 of 70 are columns of what is seen a quarter turned. */
static void lost_rows_are_bare_paper(void **state) {
    (void)state;
    tw_row_span lost = {20, 40};
    sample_day d;
    tw_proof_view view;
    tw_proof_looker looker = {.threads = 1};
    tw_proof_picture seen;
    tw_error error = {0};
    start(&d);
    tint_white(&d.srgb);
    tw_image *image = &d.images[0];
    image->orientation = 6; /* the first row stored is the right column (CIPA DC-008, tag 274) */
    image->upright_width = 70;
    image->upright_height = 90;
    image->damage = (tw_damage){.words = "lost", .white = &lost, .white_count = 1};
    assert_ok(tw_proof_see(d.arena, image, NULL, &view, &error), error);
    assert_ok(tw_proof_look(d.arena, &d.job, &d.prints[1], &view, &looker, &seen, &error), error);
    tw_gamuts_close(&looker.gamuts);
    assert_int_equal(seen.width, 70);
    assert_int_equal(seen.height, 90);
    for (size_t i = 0; i < (size_t)seen.width * seen.height; i++) {
        size_t row = 69 - i % 70;
        tw_lab lab = seen.printed[i];
        bool bare = lab.l >= 100 && lab.a == 0 && lab.b == 0;
        if (bare != (row >= lost.from && row < lost.to))
            fail_msg("stored row %zu is L* %g a* %g b* %g", row, lab.l, lab.a, lab.b);
        assert_true(!bare || (seen.difference[i] == 0 && seen.far[i] == 0));
    }
    end(&d);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(threads_change_nothing),   cmocka_unit_test(each_print_shows_its_image),
        cmocka_unit_test(memory_runs_out),          cmocka_unit_test(stops_when_asked),
        cmocka_unit_test(lost_rows_are_bare_paper),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
