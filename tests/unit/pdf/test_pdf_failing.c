/*
 * The PDF writer when things go wrong: damage seen midway comes back as that very error, a full
 * disk is TW_IO, cancelling stops, memory that runs out at any request leaks nothing.
 */
#include "pdf/pdf_testing.h"

#include <unistd.h>

static tw_image drawn(paperwork *p, const char *file) {
    tw_image image = image_facts(p, file);
    tw_rect r = {0, 0, TW_IN, TW_IN};
    assert_ok(tw_page_image(p->arena, &p->page, r, r, 0, 1, false, &p->error), p->error);
    p->facts.image_count = 1;
    return image;
}

/* Turn over one byte. */
static void damage(const char *file, size_t from_end) {
    size_t length;
    unsigned char *bytes = read_file(file, &length);
    bytes[length - from_end] ^= 0x40;
    write_file(file, bytes, length);
    free(bytes);
}

static void damage_midway_is_told(void **state) {
    paperwork p;
    const char *file = scratch("broken.png");
    (void)state;
    make_png(file, &(made_png){.width = 900, .height = 900, .type = 2, .depth = 16, .noise = 1});
    paper_start(&p, 4 * TW_IN, 4 * TW_IN);
    tw_image image = drawn(&p, file);
    p.facts.images = &image;
    damage(file, 2000000); /* of 4.9 MB: many pieces have gone out by then */
    assert_ok(tw_file_look_at(file, &image.state, &p.error), p.error); /* as if so at first */
    assert_int_equal(paper_try(&p, scratch("broken.pdf")), TW_DAMAGED);
    assert_non_null(strstr(p.error.file, "broken.png"));
    paper_end(&p);
}

static void a_file_that_went_away_is_told(void **state) {
    paperwork p;
    const char *file = scratch("gone.png");
    (void)state;
    make_png(file, &(made_png){.width = 9, .height = 9, .type = 2, .depth = 8});
    paper_start(&p, 4 * TW_IN, 4 * TW_IN);
    tw_image image = drawn(&p, file);
    p.facts.images = &image;
    unlink(file);
    assert_int_equal(paper_try(&p, scratch("gone.pdf")), TW_INPUT);
    assert_non_null(strstr(p.error.file, "gone.png"));
    paper_end(&p);
}

static void a_full_disk_is_io(void **state) {
    paperwork p;
    (void)state;
    paper_start(&p, TW_IN, TW_IN);
    if (access("/dev/full", W_OK) != 0) {
        printf("skipped: there is no /dev/full\n");
    } else {
        assert_int_equal(paper_try(&p, "/dev/full"), TW_IO);
        assert_says(p.error, "No space left");
        assert_string_equal(p.error.file, "/dev/full");
    }
    assert_int_equal(paper_try(&p, "/no/such/folder/x.pdf"), TW_IO);
    paper_end(&p);
}

/* libharu counts offsets in signed 32 bits and goes on silently: the writer counts itself. The
 * bytes go to /dev/null: 70 images, each with a profile of about 32 MB of its own. */
static void a_file_too_long_is_our_bug(void **state) {
    enum { COUNT = 70, SIZE = 32 << 20 };
    paperwork p;
    const char *file = scratch("light.png");
    static tw_image images[COUNT];
    unsigned char *profile = calloc(1, SIZE);
    (void)state;
    assert_non_null(profile);
    memcpy(profile + 16, "RGB ", 4);
    make_png(file, &(made_png){.width = 9, .height = 9, .type = 2, .depth = 8});
    paper_start(&p, 4 * TW_IN, 4 * TW_IN);
    images[0] = image_facts(&p, file);
    for (int i = 0; i < COUNT; i++) {
        tw_rect r = {0, 0, TW_IN, TW_IN};
        images[i] = images[0];
        images[i].profile = profile;
        images[i].profile_length = (size_t)(SIZE - i);
        assert_ok(tw_page_image(p.arena, &p.page, r, r, (size_t)i, 1, false, &p.error), p.error);
    }
    p.facts.images = images;
    p.facts.image_count = COUNT;
    assert_int_equal(paper_try(&p, "/dev/null"), TW_BUG);
    assert_says(p.error, "2147483647 bytes");
    free(profile);
    paper_end(&p);
}

static void broken_text_is_our_bug(void **state) {
    paperwork p;
    (void)state;
    paper_start(&p, TW_IN, TW_IN);
    assert_ok(tw_page_text(p.arena, &p.page, TW_ROLE_SLUG, 0, 0, TW_MM, TW_ALIGN_RIGHT, 0,
                           "half \xE6\x97", &p.error),
              p.error);
    assert_int_equal(paper_try(&p, scratch("text.pdf")), TW_BUG);
    paper_end(&p);
    paper_start(&p, TW_IN, TW_IN);
    p.facts.title = "\xFF";
    assert_int_equal(paper_try(&p, scratch("text.pdf")), TW_BUG);
    paper_end(&p);
}

/* ------------------------------------------------ progress and cancel */

typedef struct watcher {
    uint64_t last, total;
    int calls, stop_at;
    bool backwards;
} watcher;

static void watch(void *context, const char *doing, uint64_t done, uint64_t total) {
    watcher *w = context;
    assert_string_equal(doing, "writing");
    w->backwards = w->backwards || done < w->last || done > total;
    w->last = done;
    w->total = total;
    w->calls++;
}

static bool stop(void *context) {
    watcher *w = context;
    return w->stop_at > 0 && w->calls >= w->stop_at;
}

static void progress_goes_up_and_cancel_stops(void **state) {
    paperwork p;
    watcher w = {0};
    tw_run run = {.progress = watch, .cancelled = stop, .context = &w};
    const char *file = scratch("long.png"), *out = scratch("long.pdf");
    (void)state;
    make_png(file, &(made_png){.width = 900, .height = 900, .type = 2, .depth = 16, .noise = 1});
    paper_start(&p, 4 * TW_IN, 4 * TW_IN);
    tw_image image = drawn(&p, file);
    p.facts.images = &image;
    p.facts.run = &run;
    p.facts.done = 1000;
    p.facts.total = 1000 + 6000000;
    paper_write(&p, out);
    assert_true(w.calls > 10);
    assert_false(w.backwards);
    assert_true(w.last > 4800000);
    w = (watcher){.stop_at = 5};
    assert_int_equal(paper_try(&p, out), TW_CANCELLED);
    assert_int_equal(w.calls, 5);
    paper_end(&p);
}

/* ------------------------------------------------ memory */

static void memory_may_run_out_anywhere(void **state) {
    paperwork p;
    const char *file = scratch("small.png"), *out = scratch("small.pdf");
    long asked, failures = 0;
    (void)state;
    make_png(file, &(made_png){.width = 9, .height = 9, .type = 2, .depth = 8});
    paper_start(&p, 4 * TW_IN, 4 * TW_IN);
    tw_image image = drawn(&p, file);
    p.facts.images = &image;
    assert_ok(tw_page_text(p.arena, &p.page, TW_ROLE_SLUG, TW_IN, TW_IN, TW_IN / 8, TW_ALIGN_LEFT,
                           0, "Äpfel \xE6\x97\xA5", &p.error),
              p.error);
    asked = p.memory.asked;
    paper_write(&p, out);
    asked = p.memory.asked - asked;
    assert_true(asked > 10);
    long live = p.memory.live;
    for (long n = 1; n <= asked; n++) {
        p.memory.fail_at = p.memory.asked + n;
        tw_code code = paper_try(&p, out);
        failures += code == TW_MEMORY;
        assert_true(code == TW_MEMORY || code == TW_OK);
        p.memory.fail_at = 0;
        assert_int_equal(p.memory.live, live);
    }
    assert_true(failures > asked - 3); /* the arena has room for the warning's copy */
    paper_end(&p);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(damage_midway_is_told),
        cmocka_unit_test(a_file_that_went_away_is_told),
        cmocka_unit_test(a_full_disk_is_io),
        cmocka_unit_test(a_file_too_long_is_our_bug),
        cmocka_unit_test(broken_text_is_our_bug),
        cmocka_unit_test(progress_goes_up_and_cancel_stops),
        cmocka_unit_test(memory_may_run_out_anywhere),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
