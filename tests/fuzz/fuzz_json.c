/*
 * Fuzz target: a document is refused with a place in it, or every value of it can be asked, and
 * their places go forward as they are visited in order.
 */
#include "base/json.h"
#include "fuzz.h"

static void ask(const tw_json_value *value, tw_error *before) {
    static const char *const words[] = {"inside", "fill", "auto"};
    const char *text;
    bool flag;
    double number;
    int64_t whole;
    tw_nm length;
    tw_size size;
    size_t index;
    tw_error error;
    tw_code codes[] = {
        tw_json_string(value, &text, &error),
        tw_json_bool(value, &flag, &error),
        tw_json_number(value, &number, &error),
        tw_json_integer(value, -5, 5, &whole, &error),
        tw_json_length(value, &length, &error),
        tw_json_size(value, &size, &error),
        tw_json_choice(value, words, 3, &index, &error),
        tw_json_object(value, words, 3, words, 1, &error),
    };
    must(codes[0] != TW_OK || strlen(text) < SIZE_MAX);
    must(codes[3] != TW_OK || (whole >= -5 && whole <= 5));
    must(codes[6] != TW_OK || index < 3);
    must_be_sound(&error, tw_json_fail(value, &error, TW_DAMAGED, "x", "x"));
    must(error.line > before->line ||
         (error.line == before->line && error.column > before->column));
    *before = error;
}

static size_t walk(const tw_json_value *value, tw_error *before) {
    size_t count = 1;
    ask(value, before);
    for (size_t i = 0; i < tw_json_count(value); i++) {
        const char *key = tw_json_key(value, i);
        if (tw_json_kind_of(value) == TW_JSON_OBJECT)
            must(tw_json_get(value, key) == tw_json_item(value, i));
        count += walk(tw_json_item(value, i), before);
    }
    return count;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    tw_json *document;
    tw_error error;
    tw_code code = tw_json_parse(NULL, "a.json", (const char *)bytes, length, &document, &error);
    if (code != TW_OK) {
        must(document == NULL);
        /* So never "no memory", which would mean that the scanner let pass what cJSON did not. */
        must_be_sound(&error, code);
        must(error.line > 0 && error.column > 0);
        return 0;
    }
    tw_error before = {.line = 1};
    must(walk(tw_json_root(document), &before) <= length);
    tw_json_free(document);
    return 0;
}
