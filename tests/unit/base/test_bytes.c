/* Amounts of bytes: IEC 80000-13 for the binary prefixes, arithmetic by hand. */
#include "testing.h"

#include "base/bytes.h"

static void test_read(void **state) {
    static const struct {
        const char *text;
        int64_t bytes;
    } cases[] = {{"16 GiB", INT64_C(17179869184)},
                 {"500MB", 500000000},
                 {" 1.5 kib ", 1536},
                 {"0 B", 0},
                 {"2 TB", INT64_C(2000000000000)},
                 {".5 MiB", 524288},
                 {"1 TiB", INT64_C(1099511627776)},
                 {"1.0005 kB", 1001},
                 {"1000 TB", INT64_C(1000000000000000)}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        int64_t bytes = -1;
        tw_error error = {0};
        assert_ok(tw_bytes_read(cases[i].text, &bytes, &error), error);
        assert_int_equal(bytes, cases[i].bytes);
    }
}

static void test_refused(void **state) {
    static const char *const texts[] = {
        "",          "16",      "GiB",  "16 GiBi",           "-1 MB", "1 MB x", "1e3 B",
        "1000.1 TB", "16 bits", "1 XB", "9999999999999999 B"};
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        int64_t bytes = -1;
        tw_error error = {0};
        assert_int_equal(tw_bytes_read(texts[i], &bytes, &error), TW_INPUT);
        assert_says(error, "is no amount of bytes");
        assert_int_equal(bytes, -1);
    }
}

static void test_written(void **state) {
    char text[TW_BYTES_TEXT];
    (void)state;
    assert_string_equal(tw_bytes_text(17, text), "17 bytes");
    assert_string_equal(tw_bytes_text(1536, text), "1.5 KiB");
    assert_string_equal(tw_bytes_text(INT64_C(17179869184), text), "16 GiB");
    assert_string_equal(tw_bytes_text(INT64_C(4000000000), text), "3.7 GiB"); /* 3.725 */
    assert_string_equal(tw_bytes_text(INT64_C(5000) << 40, text), "5000 TiB");
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_read), cmocka_unit_test(test_refused),
                                       cmocka_unit_test(test_written)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
