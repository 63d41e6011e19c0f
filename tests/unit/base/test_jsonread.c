/* Typed reads of JSON values: the words of every refusal, its name, place and hint. */
#include "base/json.h"

#include "testing.h"

static tw_json *document;
static tw_error error;

/* The root of `text`; the document lives until the next call or finish(). */
static const tw_json_value *read_text(const char *text) {
    tw_json_free(document);
    memset(&error, 0, sizeof error);
    assert_ok(tw_json_parse(NULL, "a.json", text, strlen(text), &document, &error), error);
    return tw_json_root(document);
}

static int finish(void **state) {
    (void)state;
    tw_json_free(document);
    document = NULL;
    return 0;
}

static void assert_refused(tw_code code, const char *name, const char *message, const char *hint) {
    assert_int_equal(code, TW_INPUT);
    assert_string_equal(error.name, name);
    assert_string_equal(error.message, message);
    assert_string_equal(error.hint, hint);
    assert_string_equal(error.file, "a.json");
    assert_true(error.line > 0 && error.column > 0);
}

static void objects_are_strict(void **state) {
    (void)state;
    static const char *const keys[] = {"name", "width", "border"};
    static const char *const required[] = {"name", "width"};
    const char *good = "{\"name\": \"a\", \"width\": 1}";
    assert_ok(tw_json_object(read_text(good), keys, 3, required, 2, &error), error);
    tw_code code = tw_json_object(read_text("{\"name\": \"a\",\n \"boarder\": 1}"), keys, 3,
                                  required, 2, &error);
    assert_refused(code, "unknown-key", "unknown key \"boarder\"", "did you mean \"border\"?");
    assert_string_equal(error.pointer, "/boarder");
    assert_int_equal(error.line, 2);
    assert_int_equal(error.column, 2); /* the key, not its value */
    code = tw_json_object(read_text("{\"zzzzz\": 1}"), keys, 3, required, 2, &error);
    assert_refused(code, "unknown-key", "unknown key \"zzzzz\"", "");
    code = tw_json_object(read_text("{\"name\": 1}"), keys, 3, required, 2, &error);
    assert_refused(code, "missing-key", "\"width\" is missing", "");
    code = tw_json_object(read_text("[]"), keys, 3, required, 2, &error);
    assert_refused(code, "wrong-kind", "expected an object {...}, found an empty list", "");
}

static void the_wrong_kind_says_what_was_seen(void **state) {
    (void)state;
    const char *text;
    bool flag;
    double number;
    tw_code code = tw_json_string(read_text("8"), &text, &error);
    assert_refused(code, "wrong-kind", "expected a text in double quotes, found the number 8", "");
    code = tw_json_string(read_text("null"), &text, &error);
    assert_refused(code, "wrong-kind", "expected a text in double quotes, found null", "");
    code = tw_json_string(read_text("{}"), &text, &error);
    assert_refused(code, "wrong-kind", "expected a text in double quotes, found an object {...}",
                   "");
    code = tw_json_bool(read_text("\"yes\""), &flag, &error);
    assert_refused(code, "wrong-kind", "expected true or false, found the text \"yes\"", "");
    code = tw_json_number(read_text("true"), &number, &error);
    assert_refused(code, "wrong-kind", "expected a number, found true", "");
    code = tw_json_number(read_text("false"), &number, &error);
    assert_refused(code, "wrong-kind", "expected a number, found false", "");
}

static void plain_values_are_read(void **state) {
    (void)state;
    const char *text;
    bool flag = false;
    double number = 0;
    assert_ok(tw_json_string(read_text("\"8in\""), &text, &error), error);
    assert_string_equal(text, "8in");
    assert_ok(tw_json_bool(read_text("true"), &flag, &error), error);
    assert_true(flag);
    assert_ok(tw_json_bool(read_text("false"), &flag, &error), error);
    assert_false(flag);
    assert_ok(tw_json_number(read_text("0.25"), &number, &error), error);
    assert_true(number == 0.25);
}

static void whole_numbers_in_range(void **state) {
    (void)state;
    int64_t out = -7;
    assert_ok(tw_json_integer(read_text("10000"), 1, 10000, &out, &error), error);
    assert_int_equal(out, 10000);
    assert_ok(tw_json_integer(read_text("1e3"), 1, 10000, &out, &error), error);
    assert_int_equal(out, 1000);
    assert_ok(tw_json_integer(read_text("9007199254740992"), 0, INT64_MAX, &out, &error), error);
    assert_int_equal(out, 9007199254740992);
    out = -7;
    assert_refused(tw_json_integer(read_text("0"), 1, 10000, &out, &error), "out-of-range",
                   "0 is out of range: 1 to 10000 is allowed", "");
    assert_refused(tw_json_integer(read_text("10001"), 1, 10000, &out, &error), "out-of-range",
                   "10001 is out of range: 1 to 10000 is allowed", "");
    assert_refused(tw_json_integer(read_text("2.5"), 1, 9, &out, &error), "wrong-kind",
                   "expected a whole number, found 2.5", "");
    assert_refused(tw_json_integer(read_text("1e300"), 1, 9, &out, &error), "out-of-range",
                   "1e+300 is out of range: 1 to 9 is allowed", "");
    assert_refused(tw_json_integer(read_text("1e300"), 0, 9, &out, &error), "out-of-range",
                   "1e+300 is out of range: 0 to 9 is allowed", "");
    assert_refused(tw_json_integer(read_text("-1e300"), 1, 9, &out, &error), "out-of-range",
                   "-1e+300 is out of range: 1 to 9 is allowed", "");
    assert_refused(tw_json_integer(read_text("0.30000000000000004"), 0, 9, &out, &error),
                   "wrong-kind", "expected a whole number, found 0.30000000000000004", "");
    assert_refused(tw_json_integer(read_text("\"3\""), 1, 9, &out, &error), "wrong-kind",
                   "expected a whole number, found the text \"3\"", "");
    assert_int_equal(out, -7);
}

static void lengths_want_a_unit(void **state) {
    (void)state;
    tw_nm out = -7;
    assert_ok(tw_json_length(read_text("\"8 1/2in\""), &out, &error), error);
    assert_int_equal(out, 215900000);
    assert_refused(tw_json_length(read_text("8"), &out, &error), "no-unit", "8 has no unit",
                   "write \"8in\" or \"8mm\"");
    assert_refused(tw_json_length(read_text("[8.1]"), &out, &error), "wrong-kind",
                   "expected a text such as \"8in\", found a list [...]", "");
    assert_refused(tw_json_length(tw_json_item(read_text("[8.1]"), 0), &out, &error), "no-unit",
                   "8.1 has no unit", "write \"8.1in\" or \"8.1mm\"");
    assert_string_equal(error.pointer, "/0");
    assert_int_equal(tw_json_length(read_text("\"8\""), &out, &error), TW_INPUT);
    assert_string_equal(error.name, "no-unit");
    assert_int_equal(error.line, 1); /* an error made elsewhere, put in its place */
    assert_string_equal(error.file, "a.json");
}

static void sizes_three_ways(void **state) {
    (void)state;
    tw_size out;
    assert_ok(tw_json_size(read_text("\"A4\""), &out, &error), error);
    assert_int_equal(out.width, 210 * TW_MM);
    const char *object = "{\"width\": \"8in\", \"height\": \"25cm\"}";
    assert_ok(tw_json_size(read_text(object), &out, &error), error);
    assert_int_equal(out.width, 8 * TW_IN);
    assert_int_equal(out.height, 25 * TW_CM);
    out = (tw_size){5, 6};
    assert_refused(tw_json_size(read_text("8"), &out, &error), "wrong-kind",
                   "expected a size such as \"8x10in\", found the number 8", "");
    assert_refused(tw_json_size(read_text("{\"width\": \"8in\"}"), &out, &error), "missing-key",
                   "\"height\" is missing", "");
    assert_refused(tw_json_size(read_text("{\"width\": \"8in\", \"hight\": 1}"), &out, &error),
                   "unknown-key", "unknown key \"hight\"", "did you mean \"height\"?");
    assert_refused(
        tw_json_size(read_text("{\"width\": \"8in\", \"height\": \"0in\"}"), &out, &error),
        "size-zero", "a side of this size is 0: both must be more", "");
    assert_int_equal(tw_json_size(read_text("\"8x\""), &out, &error), TW_INPUT);
    assert_string_equal(error.file, "a.json");
    assert_int_equal(out.width, 5);
    assert_int_equal(out.height, 6);
}

static void choices_list_what_is_allowed(void **state) {
    (void)state;
    static const char *const words[] = {"waste", "line", "strip", "none"};
    size_t out = 9;
    assert_ok(tw_json_choice(read_text("\"strip\""), words, 4, &out, &error), error);
    assert_int_equal(out, 2);
    assert_refused(tw_json_choice(read_text("\"stripe\""), words, 4, &out, &error), "unknown-word",
                   "expected \"waste\", \"line\", \"strip\" or \"none\", found \"stripe\"",
                   "did you mean \"strip\"?");
    assert_refused(tw_json_choice(read_text("\"Line\""), words, 2, &out, &error), "unknown-word",
                   "expected \"waste\" or \"line\", found \"Line\"", "did you mean \"line\"?");
    assert_refused(tw_json_choice(read_text("\"everywhere\""), words, 2, &out, &error),
                   "unknown-word", "expected \"waste\" or \"line\", found \"everywhere\"", "");
    assert_refused(tw_json_choice(read_text("5"), words, 2, &out, &error), "wrong-kind",
                   "expected \"waste\" or \"line\", found the number 5", "");
    assert_int_equal(out, 2);
}

/* What was seen may be anything: long, or made to drive a terminal. */
static void hostile_texts_in_messages(void **state) {
    (void)state;
    static char text[100010];
    const char *const words[] = {"auto"};
    size_t out;
    bool flag;
    memset(text, 'a', sizeof text);
    text[0] = text[sizeof text - 2] = '"';
    text[sizeof text - 1] = '\0';
    assert_int_equal(tw_json_choice(read_text(text), words, 1, &out, &error), TW_INPUT);
    assert_int_equal(tw_json_bool(read_text(text), &flag, &error), TW_INPUT);
    assert_true(strlen(error.message) < 200);
    assert_int_equal(tw_json_bool(read_text("\"\\u001b[2J\""), &flag, &error), TW_INPUT);
    assert_string_equal(error.message, "expected true or false, found the text \"\\x1B[2J\"");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_teardown(objects_are_strict, finish),
        cmocka_unit_test_teardown(the_wrong_kind_says_what_was_seen, finish),
        cmocka_unit_test_teardown(plain_values_are_read, finish),
        cmocka_unit_test_teardown(whole_numbers_in_range, finish),
        cmocka_unit_test_teardown(lengths_want_a_unit, finish),
        cmocka_unit_test_teardown(sizes_three_ways, finish),
        cmocka_unit_test_teardown(choices_list_what_is_allowed, finish),
        cmocka_unit_test_teardown(hostile_texts_in_messages, finish),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
