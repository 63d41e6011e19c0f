/*
 * JSON documents: what is JSON (RFC 8259) and what is not, with the exact line and column; the
 * tree; pointers (RFC 6901); bounds; and every allocation failing once, cJSON's own included.
 */
#include "base/json.h"

#include "testing.h"

#include <cjson/cJSON.h>

#include "base/limits.h"

/* From memory of exactly its length, for a sanitizer to watch its end. */
static tw_code parse_bytes(const char *text, size_t length, tw_json **out, tw_error *error) {
    char *exact = malloc(length + (length == 0));
    assert_non_null(exact);
    memcpy(exact, text, length);
    memset(error, 0, sizeof *error);
    tw_code code = tw_json_parse(NULL, "a.json", exact, length, out, error);
    free(exact);
    return code;
}

static tw_code parse(const char *text, tw_json **out, tw_error *error) {
    return parse_bytes(text, strlen(text), out, error);
}

static void what_is_json_is_taken(void **state) {
    (void)state;
    static const char *const rows[] = {
        "null",
        "true",
        "false",
        "0",
        "-0",
        "1.5e+3",
        "1E-2",
        "-12.25",
        "\"\"",
        "[]",
        "{}",
        " \t\r\n[1 , 2]\n",
        "{\"a\":{\"b\":[{}]}}",
        "[[[[]]]]",
        "\"\\\"\\\\\\/\\b\\f\\n\\r\\t\"",
        "\"\\u00e9\\u20AC\\ud83d\\udcf7\"",
        "\"\x7F\"",
        "{\"\":1}",
        "123456789012345678901234567890123456789012345678901234567890123" /* 63 digits */
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tw_json *document;
        tw_error error;
        assert_ok(parse(rows[i], &document, &error), error);
        tw_json_free(document);
    }
}

static const struct {
    const char *text;
    int line, column;
    const char *says;
} not_json[] = {
    {"", 1, 1, "expected a value, but the file ends here"},
    {"  \n ", 2, 2, "but the file ends here"},
    {"{\"a\": 1", 1, 8, "expected \",\" or \"}\", but the file ends here"},
    {"{\"a\" 1}", 1, 6, "expected \":\" after the key, found '1'"},
    {"{\"a\": }", 1, 7, "expected a value, found '}'"},
    {"{\"a\": 1,}", 1, 9, "expected a key in double quotes, found '}'"},
    {"{\"a\": 1\n \"b\": 2}", 2, 2, "expected \",\" or \"}\", found '\"'"},
    {"{a: 1}", 1, 2, "expected a key in double quotes, found 'a'"},
    {"{'a': 1}", 1, 2, "found '''"},
    {"{\"a\": 1} x", 1, 10, "expected nothing more after the end"},
    {"1 2", 1, 3, "expected nothing more after the end"},
    {"[1, 2,]", 1, 7, "expected a value, found ']'"},
    {"[1 2]", 1, 4, "expected \",\" or \"]\", found '2'"},
    {"[1,\r\n2,\r\n!]", 3, 1, "found '!'"},
    {"[1,\r2,\r!]", 3, 1, "found '!'"},
    {"[\"\xC3\xA9\xE2\x82\xAC\xF0\x9F\x93\xB7\", x]", 1, 9, "found 'x'"},
    {"[\xC3\xA9]", 1, 2, "expected a value, found '\xC3\xA9'"},
    {"// note\n{}", 1, 1, "found '/'"},
    {"01", 1, 1, "must not start with 0"},
    {"[-01]", 1, 2, "must not start with 0"},
    {"1.", 1, 3, "expected a digit after the point"},
    {".5", 1, 1, "expected a value, found '.'"},
    {"+1", 1, 1, "expected a value, found '+'"},
    {"-", 1, 2, "expected a digit"},
    {"1e", 1, 3, "expected a digit of the exponent"},
    {"0x10", 1, 2, "found 'x'"},
    {"NaN", 1, 1, "expected a value, found 'N'"},
    {"Infinity", 1, 1, "found 'I'"},
    {"-Infinity", 1, 2, "expected a digit"},
    {"tru", 1, 1, "expected a value, found 't'"},
    {"True", 1, 1, "found 'T'"},
    {"nullx", 1, 5, "found 'x'"},
    {"\"abc", 1, 1, "the text that starts here never ends"},
    {"{\"a\": \"b\n\"}", 1, 7, "no closing \" on its line"},
    {"\"a\tb\"", 1, 3, "control character"},
    {"\"a\\qb\"", 1, 3, "this \\ starts nothing JSON knows"},
    {"\"\\", 1, 2, "this \\ starts nothing"},
    {"\"\\u1", 1, 2, "four hexadecimal digits"},
    {"\"\\ud83d\\u00", 1, 2, "first half"},
    {"\"\\ud83d", 1, 2, "first half"},
    {"[nul", 1, 2, "expected a value"},
    {"\"\\u12\"", 1, 2, "four hexadecimal digits"},
    {"\"\\u12G4\"", 1, 2, "four hexadecimal digits"},
    {"\"ab\\u0000\"", 1, 4, "\\u0000 is not allowed"},
    {"\"\\ud83d\"", 1, 2, "first half"},
    {"\"\\ud83d\\u0041\"", 1, 2, "first half"},
    {"\"\\udcf7\"", 1, 2, "second half"},
    {"1e400", 1, 1, "too large"},
    {"[1, -1e999]", 1, 5, "too large"},
    {"1234567890123456789012345678901234567890123456789012345678901234", 1, 1, "too long"},
};

/* Each with the place RFC 8259 makes it wrong at; columns count characters. */
static void what_is_not_json_is_refused_at_its_place(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof not_json / sizeof *not_json; i++) {
        tw_json *document;
        tw_error error;
        if (parse(not_json[i].text, &document, &error) != TW_INPUT)
            fail_msg("%s was taken", not_json[i].text);
        assert_null(document);
        assert_says(error, not_json[i].says);
        if (error.line != not_json[i].line || error.column != not_json[i].column)
            fail_msg("%s: at %d:%d", not_json[i].text, error.line, error.column);
        assert_string_equal(error.file, "a.json");
    }
}

static void hints_for_common_slips(void **state) {
    (void)state;
    static const char *const rows[][2] = {
        {"{\"a\": 1,}", "comma too many"},
        {"[1,]", "comma too many"},
        {"{\"a\": 1 \"b\": 2}", "comma missing"},
        {"{'a': 1}", "double quotes"},
        {"{} // note", "no comments"},
        {"# note\n{}", "no comments"},
        {"order,image\n", "another kind of file"},
        {"\x89PNG", "another kind of file"},
        {"{\"\x89\"}", "as UTF-8"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tw_json *document;
        tw_error error;
        assert_int_equal(parse(rows[i][0], &document, &error), TW_INPUT);
        if (strstr(error.hint, rows[i][1]) == NULL)
            fail_msg("%s: hint \"%s\"", rows[i][0], error.hint);
    }
}

static void bytes_that_are_no_text(void **state) {
    (void)state;
    tw_json *document;
    tw_error error;
    assert_int_equal(parse_bytes("{\"a\": \0 1}", 10, &document, &error), TW_INPUT);
    assert_says(error, "NUL byte");
    assert_int_equal(error.column, 7);
    assert_int_equal(parse_bytes("\"a\0b\"", 5, &document, &error), TW_INPUT);
    assert_says(error, "control character");
    assert_int_equal(parse_bytes("{}\0", 3, &document, &error), TW_INPUT);
    assert_int_equal(parse("[1,\n\"a\xE9\"]", &document, &error), TW_INPUT);
    assert_string_equal(error.name, "not-utf8");
    assert_says(error, "0xE9");
    assert_int_equal(error.line, 2);
    assert_int_equal(error.column, 3);
}

/* RFC 8259 section 8.1 lets a parser ignore a byte order mark; columns start after it. */
static void a_byte_order_mark_is_passed_over(void **state) {
    (void)state;
    tw_json *document;
    tw_error error;
    assert_ok(parse("\xEF\xBB\xBF{}", &document, &error), error);
    tw_json_free(document);
    assert_int_equal(parse("\xEF\xBB\xBFx", &document, &error), TW_INPUT);
    assert_int_equal(error.column, 1);
    assert_int_equal(parse("\xEF\xBB\xBF\xEF\xBB\xBF{}", &document, &error), TW_INPUT);
    assert_int_equal(parse("\xEF\xBB\xBF", &document, &error), TW_INPUT);
}

static void doubled_keys(void **state) {
    (void)state;
    tw_json *document;
    tw_error error;
    assert_int_equal(parse("{\"a\": 1,\n \"b\": 2,\n   \"a\": 3}", &document, &error), TW_INPUT);
    assert_string_equal(error.name, "doubled-key");
    assert_says(error, "the key \"a\" stands here twice, first in line 1");
    assert_int_equal(error.line, 3);
    assert_int_equal(error.column, 4);
    /* written differently, the same key */
    assert_int_equal(parse("{\"ab\": 1, \"\\u0061b\": 2}", &document, &error), TW_INPUT);
    assert_string_equal(error.name, "doubled-key");
    /* the same key in two objects, and in two capitals, is no matter */
    assert_ok(parse("[{\"a\": 1, \"A\": {\"a\": 2}}, {\"a\": 1}]", &document, &error), error);
    tw_json_free(document);
}

static char *nested(size_t depth) {
    char *text = calloc(depth * 2 + 1, 1);
    memset(text, '[', depth);
    memset(text + depth, ']', depth);
    return text;
}

static void depth_is_bounded(void **state) {
    (void)state;
    tw_json *document;
    tw_error error;
    char *fits = nested(32), *deep = nested(33), *absurd = nested(4000000);
    assert_ok(parse(fits, &document, &error), error);
    tw_json_free(document);
    assert_int_equal(parse(deep, &document, &error), TW_INPUT);
    assert_says(error, "more than 32 deep");
    assert_int_equal(error.column, 33);
    assert_int_equal(parse(absurd, &document, &error), TW_INPUT);
    assert_says(error, "more than 32 deep");
    char beside[200] = "[[]";
    for (int i = 0; i < 40; i++)
        strcat(beside, ",[]"); /* beside one another is not inside one another */
    assert_ok(parse(strcat(beside, "]"), &document, &error), error);
    tw_json_free(document);
    free(fits);
    free(deep);
    free(absurd);
}

static void keys_and_values_are_bounded(void **state) {
    (void)state;
    tw_json *document;
    tw_error error;
    char *text = malloc(2 * TW_JSON_VALUES_MOST + 10), *at = text;
    at += sprintf(at, "{");
    for (int i = 0; i <= TW_JSON_KEYS_MOST; i++)
        at += sprintf(at, "%s\"%d\":0", i == 0 ? "" : ",", i);
    sprintf(at, "}");
    assert_int_equal(parse(text, &document, &error), TW_INPUT);
    assert_says(error, "more than 256 keys");
    at = text + sprintf(text, "[");
    for (int i = 0; i < TW_JSON_VALUES_MOST; i++)
        at += sprintf(at, "1,");
    sprintf(at - 1, "]");
    assert_int_equal(parse(text, &document, &error), TW_INPUT);
    assert_says(error, "more than 2 000 000 values");
    free(text);
}

static const char day[] = "{\n"
                          "  \"name\": \"March day\",\n"
                          "  \"papers\": [\"a\", \"b\"],\n"
                          "  \"a/b~c\": {\"\xC3\xA9\": [0, {\"x\": true}]}\n"
                          "}\n";

static void assert_place(const tw_json_value *value, int line, int column, const char *pointer) {
    tw_error error = {0};
    assert_int_equal(tw_json_fail(value, &error, TW_DAMAGED, "odd", "%d %s", 3, "sides"),
                     TW_DAMAGED);
    assert_string_equal(error.message, "3 sides");
    assert_string_equal(error.name, "odd");
    assert_string_equal(error.file, "a.json");
    assert_string_equal(error.pointer, pointer);
    assert_int_equal(error.line, line);
    assert_int_equal(error.column, column);
}

static void values_know_their_places(void **state) {
    (void)state;
    tw_json *document;
    tw_error error;
    assert_ok(parse(day, &document, &error), error);
    const tw_json_value *root = tw_json_root(document), *papers = tw_json_get(root, "papers"),
                        *odd = tw_json_get(root, "a/b~c"), *list = tw_json_item(odd, 0),
                        *x = tw_json_get(tw_json_item(list, 1), "x");
    assert_place(root, 1, 1, "");
    assert_place(tw_json_get(root, "name"), 2, 11, "/name");
    assert_place(papers, 3, 13, "/papers");
    assert_place(tw_json_item(papers, 1), 3, 19, "/papers/1");
    assert_place(x, 4, 28, "/a~1b~0c/\xC3\xA9/1/x"); /* escapes: RFC 6901 section 3 */
    tw_json_free(document);
}

static void the_tree_is_as_written(void **state) {
    (void)state;
    tw_json *document;
    tw_error error;
    assert_ok(parse(day, &document, &error), error);
    const tw_json_value *root = tw_json_root(document), *papers = tw_json_item(root, 1);
    const char *text;
    assert_int_equal(tw_json_kind_of(root), TW_JSON_OBJECT);
    assert_int_equal(tw_json_count(root), 3);
    assert_string_equal(tw_json_key(root, 0), "name");
    assert_string_equal(tw_json_key(root, 2), "a/b~c");
    assert_null(tw_json_key(root, 3));
    assert_null(tw_json_item(root, 3));
    assert_null(tw_json_get(root, "nam"));
    assert_null(tw_json_get(NULL, "name"));
    assert_null(tw_json_get(papers, "name"));
    assert_null(tw_json_key(papers, 0));
    assert_int_equal(tw_json_kind_of(papers), TW_JSON_ARRAY);
    assert_int_equal(tw_json_count(papers), 2);
    assert_ok(tw_json_string(tw_json_item(papers, 1), &text, &error), error);
    assert_string_equal(text, "b");
    assert_int_equal(tw_json_count(tw_json_item(papers, 1)), 0);
    assert_int_equal(tw_json_count(NULL), 0);
    tw_json_free(document);
    tw_json_free(NULL);
}

/* Escapes, RFC 8259 section 7: its own example is the G clef U+1D11E as \uD834\uDD1E. */
static void escapes_are_resolved(void **state) {
    (void)state;
    tw_json *document;
    tw_error error;
    const char *text;
    assert_ok(parse("\"\\uD834\\uDD1E \\u005C \\\"\\/\\n\"", &document, &error), error);
    assert_ok(tw_json_string(tw_json_root(document), &text, &error), error);
    assert_string_equal(text, "\xF0\x9D\x84\x9E \\ \"/\n");
    tw_json_free(document);
}

static void a_pointer_that_is_too_long_is_cut(void **state) {
    (void)state;
    char text[3000];
    tw_json *document;
    tw_error error, here = {0};
    snprintf(text, sizeof text, "{\"%0*d\": [1]}", 2000, 7);
    assert_ok(parse(text, &document, &error), error);
    tw_json_place(tw_json_item(tw_json_item(tw_json_root(document), 0), 0), &here);
    assert_true(strlen(here.pointer) > 140);
    assert_string_equal(here.pointer + strlen(here.pointer) - 3, "...");
    tw_json_free(document);
}

/* cJSON's memory is plain malloc in the library; here a hook counts it and lets it fail too. */
static test_memory foreign;

static void *foreign_allocate(size_t size) {
    return test_allocate(&foreign, size);
}

static void foreign_release(void *block) {
    test_release(&foreign, block);
}

static void any_allocation_may_fail(void **state) {
    (void)state;
    cJSON_Hooks hooks = {foreign_allocate, foreign_release};
    cJSON_InitHooks(&hooks);
    for (int which = 0; which < 2; which++) {
        tw_code code = TW_MEMORY;
        for (long n = 1; code != TW_OK; n++) {
            test_memory memory = {.fail_at = which == 0 ? n : 0};
            tw_allocator allocator = test_allocator(&memory);
            foreign = (test_memory){.fail_at = which == 1 ? n : 0};
            tw_json *document;
            tw_error error = {0};
            code = tw_json_parse(&allocator, "a.json", day, sizeof day - 1, &document, &error);
            assert_true(code == TW_OK || code == TW_MEMORY);
            assert_true(code == TW_OK || document == NULL);
            assert_true(n < 100 && (code != TW_OK || n > 3));
            tw_json_free(document);
            assert_no_leak(memory);
            assert_no_leak(foreign);
        }
    }
    cJSON_InitHooks(NULL);
}

/* Failures of the text itself leave nothing behind either. */
static void refused_text_leaves_nothing(void **state) {
    (void)state;
    static const char *const rows[] = {"{\"a\": [1, 2, \"b\" x", "{\"a\":1,\"a\":2}", "[1e999]",
                                       "{}x"};
    cJSON_Hooks hooks = {foreign_allocate, foreign_release};
    foreign = (test_memory){0};
    cJSON_InitHooks(&hooks);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        test_memory memory = {0};
        tw_allocator allocator = test_allocator(&memory);
        tw_json *document;
        tw_error error;
        assert_int_equal(
            tw_json_parse(&allocator, "a", rows[i], strlen(rows[i]), &document, &error), TW_INPUT);
        assert_no_leak(memory);
        assert_no_leak(foreign);
    }
    cJSON_InitHooks(NULL);
}

/* Cut anywhere, a document is refused; with any one byte changed nothing crashes. */
static void damaged_documents(void **state) {
    (void)state;
    tw_json *document;
    tw_error error;
    char text[sizeof day];
    for (size_t length = 0; length + 2 < sizeof day; length++)
        assert_int_equal(parse_bytes(day, length, &document, &error), TW_INPUT);
    for (size_t at = 0; at + 1 < sizeof day; at++)
        for (int byte = 0; byte < 256; byte++) {
            memcpy(text, day, sizeof day);
            text[at] = (char)byte;
            tw_code code = parse_bytes(text, sizeof day - 1, &document, &error);
            assert_true(code == TW_OK || code == TW_INPUT);
            tw_json_free(document);
        }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_json_is_taken),
        cmocka_unit_test(what_is_not_json_is_refused_at_its_place),
        cmocka_unit_test(hints_for_common_slips),
        cmocka_unit_test(bytes_that_are_no_text),
        cmocka_unit_test(a_byte_order_mark_is_passed_over),
        cmocka_unit_test(doubled_keys),
        cmocka_unit_test(depth_is_bounded),
        cmocka_unit_test(keys_and_values_are_bounded),
        cmocka_unit_test(values_know_their_places),
        cmocka_unit_test(the_tree_is_as_written),
        cmocka_unit_test(escapes_are_resolved),
        cmocka_unit_test(a_pointer_that_is_too_long_is_cut),
        cmocka_unit_test(any_allocation_may_fail),
        cmocka_unit_test(refused_text_leaves_nothing),
        cmocka_unit_test(damaged_documents),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
