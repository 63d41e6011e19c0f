/* Wanted and printed colours kept open for the next print: the same for the same way, a few at
 * most, whatever memory there is. */
#include "testing.h"

#include "colour/gamut.h"
#include "colour/srgb_profile.h"

typedef struct day {
    tw_buffer srgb, again, grey; /* profiles; the second holds the first one's bytes */
    test_memory memory;
    tw_allocator allocator;
    tw_gamuts gamuts;
} day;

static tw_icc icc_of(const tw_buffer *buffer) {
    return (tw_icc){(const unsigned char *)buffer->bytes, buffer->length};
}

static void begin(day *d) {
    *d = (day){.memory = {0}};
    tw_buffer_start(&d->srgb, NULL);
    tw_buffer_start(&d->again, NULL);
    tw_buffer_start(&d->grey, NULL);
    tw_srgb_profile(&d->srgb);
    tw_srgb_profile(&d->again);
    tw_srgb_grey_profile(&d->grey);
    d->allocator = test_allocator(&d->memory);
    d->gamuts.allocator = &d->allocator;
}

static void end(day *d) {
    tw_gamuts_close(&d->gamuts);
    assert_no_leak(d->memory);
    tw_buffer_free(&d->srgb);
    tw_buffer_free(&d->again);
    tw_buffer_free(&d->grey);
}

static tw_gamut *get(day *d, tw_gamut_way way) {
    tw_gamut *out = NULL;
    tw_error error = {0};
    assert_ok(tw_gamuts_get(&d->gamuts, &way, &out, &error), error);
    assert_non_null(out);
    return out;
}

static tw_gamut_way plain(const day *d) {
    return (tw_gamut_way){icc_of(&d->srgb), icc_of(&d->srgb), TW_RELATIVE, true, 8};
}

/* Every part of a way counts; profiles by their bytes, wherever they lie. */
static void test_same_way(void **state) {
    day d;
    (void)state;
    begin(&d);
    tw_gamut_way way = plain(&d), other = way;
    const tw_gamut *first = get(&d, way);
    other.source = icc_of(&d.again);
    assert_ptr_equal(get(&d, other), first);
    other.paper = icc_of(&d.again);
    assert_ptr_equal(get(&d, other), first);
    for (int part = 0; part < 4; part++) {
        other = way;
        if (part == 0)
            other.intent = TW_PERCEPTUAL;
        else if (part == 1)
            other.black_point = false;
        else if (part == 2)
            other.bits = 0;
        else
            other.paper = icc_of(&d.grey);
        assert_ptr_not_equal(get(&d, other), first);
        assert_ptr_equal(get(&d, way), first);
    }
    other = way;
    other.source = icc_of(&d.grey);
    assert_ptr_not_equal(get(&d, other), first);
    end(&d);
}

/* The one before still stands: two are in use at a time. */
static void test_the_oldest_goes(void **state) {
    static const tw_intent intents[] = {TW_PERCEPTUAL, TW_SATURATION};
    day d;
    tw_lab wanted, printed;
    const unsigned char pixel[3] = {200, 100, 50};
    (void)state;
    begin(&d);
    long held = 0;
    for (int i = 0; i < 12; i++) {
        tw_gamut_way way = plain(&d), before = way;
        way.intent = intents[i % 2];
        way.bits = i / 2 % 2 == 0 ? 8 : 0;
        way.black_point = i / 4 % 2 == 0;
        const tw_gamut *first = get(&d, before);
        (void)get(&d, way);
        tw_gamut_run(first, pixel, 1, &wanted, &printed); /* a sanitizer sees a freed one */
        assert_true(wanted.l > 40 && wanted.l < 70);
        if (i == TW_GAMUTS)
            held = d.memory.live;
    }
    assert_true(d.memory.live <= held + held / TW_GAMUTS);
    end(&d);
}

static void test_no_memory(void **state) {
    day d;
    bool done = false;
    (void)state;
    begin(&d);
    for (long fail = 1; !done; fail += 7) {
        tw_gamut_way way = plain(&d);
        tw_gamut *out = NULL;
        tw_error error = {0};
        d.memory.asked = 0;
        d.memory.fail_at = fail;
        tw_code code = tw_gamuts_get(&d.gamuts, &way, &out, &error);
        assert_true(code == TW_MEMORY ? out == NULL : code == TW_OK && out != NULL);
        done = code == TW_OK;
    }
    end(&d);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_same_way),
        cmocka_unit_test(test_the_oldest_goes),
        cmocka_unit_test(test_no_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
