/*
 * The published JSON Schemas (2020-12) against the readers: a sample with every key is read
 * without a word, and holds exactly the keys the schema has; what the schema requires, the reader
 * misses. So neither can gain or lose a key without the other.
 */
#include "job/folder.h"

#include "base/file.h"
#include "base/json.h"

#define JOB                                                                                        \
    "{'trimwell': 1, 'name': 'd', 'date': '2027-03-06', 'papers': ['p.json'], 'templates': "       \
    "['t.json'], 'orders': {'file': 'o.csv', 'columns': {'order': 'order', 'image': 'image', "     \
    "'template': 'template', 'buyer': 'buyer', 'paper': 'paper', 'copies': 'copies', 'title': "    \
    "'title', 'due': 'due', 'note': 'note', 'price': 'price', 'address': 'address', 'edition': "   \
    "'edition', 'accept': 'accept', 'set': 'set', 'intent': 'intent'}}, 'fillers': {'file': "      \
    "'f.csv', 'columns': {'image': "                                                               \
    "'image', 'template': 'template', 'paper': 'paper', 'copies': 'copies', 'sells_for': "         \
    "'sells_for', 'chance': 'chance', 'cost': 'cost', 'title': 'title', 'intent': 'intent'}}, "    \
    "'images': ['.'], "                                                                            \
    "'layout': {'gutter': '0in', 'turn': true, 'stages': 3, 'choose': ['p'], 'hand_cut': '0.50 "   \
    "EUR', 'stop_change': '0.10 EUR', 'sheet_lengths': ['20in'], 'plan': 'cuts', 'pins': "         \
    "[{'print': "                                                                                  \
    "'1-1', 'sheet': "                                                                             \
    "1, 'x': '0in', 'y': '0in', 'turned': false}], 'keep_together': '1 EUR', 'at_risk': '1 EUR', " \
    "'add_row_at': 0.8}, 'marks': {'place': 'waste', "                                             \
    "'offset': 'auto', "                                                                           \
    "'length': '1/4in', 'weight': '0.25pt'}, 'colour': {'mode': 'auto', 'intent': 'relative', "    \
    "'black_point': true, 'assume': {'grey': 'Gray.icc', 'rgb': 'srgb', 'cmyk': "                  \
    "'default_cmyk.icc'}}, 'resolution': "                                                         \
    "{'warn_below': 'auto', 'refuse_below': 72, 'limit_ppi': 360, 'enlarge_to_ppi': 240}, "        \
    "'sharpen': {'radius': '0.3mm', 'amount': 0.6, 'threshold': 2}, 'limits': {'pixels': "         \
    "9000000, 'decoded': '1 GiB'}, 'trimmer': {'longest_cut': '26in', "                            \
    "'farthest_stop': '15in', 'narrowest_strip': '1/8in'}}"
#define PAPER                                                                                      \
    "{'trimwell': 1, 'name': 'p', 'kind': 'roll', 'width': '24in', 'length': '50ft', 'margins': "  \
    "{'side': '1/4in', 'lead': '1/8in', 'tail': '1/8in'}, 'further_rolls': ['31ft'], 'offcuts': "  \
    "[{'width': '20in', 'length': '18in', 'count': 1}], 'lost': "                                  \
    "{'each_sheet': '0in', "                                                                       \
    "'each_load': '3in', 'core_end': '12in'}, 'edge_trim': '0in', 'cutter': 'printer', "           \
    "'shortest_sheet': '8in', 'longest_sheet': '60in', 'price': '129.00 EUR', 'profile': "         \
    "'p.icc', 'weight': '310gsm', 'finish': 'satin', 'setup': {'media': 'm', 'quality': 'q', "     \
    "'black': 'b'}, 'dry': '2h', 'cure': '24h', 'resolution': {'warn_below': 200, "                \
    "'refuse_below': 72, 'limit_ppi': 360, 'enlarge_to_ppi': 'off'}, 'sharpen': {'radius': "       \
    "'0.3mm', 'amount': 0.6, 'threshold': 2}, 'turn': true}"
#define TEMPLATES                                                                                  \
    "{'trimwell': 1, 'templates': [{'name': 't', 'size': {'width': '8in', 'height': '10in'}, "     \
    "'border': {'top': '1in', 'right': '1in', 'bottom': '1in', 'left': '1in'}, 'fit': 'fill', "    \
    "'focus': [0.5, 0.4], 'bleed': '0in', 'turn': 'auto', 'lie': 'either', 'lip': '1/4in', "       \
    "'signature': {'corner': 'bottom-right', 'width': '1in', 'height': '1/4in', 'inset': "         \
    "'3/8in'}, 'window': {'overlap': '1/8in'}, 'keyline': true, 'resolution': {'limit_ppi': "      \
    "'off', 'enlarge_to_ppi': 200}, 'sharpen': {'radius': '0.3mm', 'amount': 0.6, 'threshold': "   \
    "2}, 'intent': 'auto'}]}"

/* In the schema, but not beside what the samples hold: exactly one of two, or the other kind.
 */
static const char *const apart[] = {"count", "picture", "reveal"};

static tw_json *open_file(folder *f, const char *path) {
    char *text = NULL;
    size_t length = 0;
    tw_json *document = NULL;
    assert_ok(tw_file_read(f->arena, path, 1 << 20, &text, &length, &f->error), f->error);
    assert_ok(tw_json_parse(&f->allocator, path, text, length, &document, &f->error), f->error);
    return document;
}

static const tw_json_value *resolve(const tw_json_value *root, const tw_json_value *schema) {
    const char *target = NULL;
    const tw_json_value *ref = tw_json_get(schema, "$ref");
    tw_error error;
    if (ref == NULL)
        return schema;
    assert_ok(tw_json_string(ref, &target, &error), error);
    assert_int_equal(strncmp(target, "#/$defs/", 8), 0);
    const tw_json_value *found = tw_json_get(tw_json_get(root, "$defs"), target + 8);
    assert_non_null(found);
    return found;
}

/* The alternative that describes an object, where there are several. */
static const tw_json_value *object_schema(const tw_json_value *root, const tw_json_value *schema) {
    schema = resolve(root, schema);
    const tw_json_value *any = tw_json_get(schema, "anyOf");
    for (size_t i = 0; i < tw_json_count(any); i++)
        if (tw_json_get(resolve(root, tw_json_item(any, i)), "properties") != NULL)
            return resolve(root, tw_json_item(any, i));
    return schema;
}

static bool is_apart(const char *key) {
    for (size_t i = 0; i < sizeof apart / sizeof apart[0]; i++)
        if (strcmp(apart[i], key) == 0)
            return true;
    return false;
}

static void same_keys(const tw_json_value *root, const tw_json_value *schema,
                      const tw_json_value *sample) {
    schema = object_schema(root, schema);
    if (tw_json_kind_of(sample) == TW_JSON_ARRAY && tw_json_get(schema, "items") != NULL)
        same_keys(root, tw_json_get(schema, "items"), tw_json_item(sample, 0));
    if (tw_json_kind_of(sample) != TW_JSON_OBJECT)
        return;
    const tw_json_value *properties = tw_json_get(schema, "properties");
    bool more = true;
    tw_error error;
    assert_ok(tw_json_bool(tw_json_get(schema, "additionalProperties"), &more, &error), error);
    assert_false(more);
    for (size_t i = 0; i < tw_json_count(sample); i++) {
        const char *key = tw_json_key(sample, i);
        const tw_json_value *under = tw_json_get(properties, key);
        if (under == NULL)
            fail_msg("the schema lacks \"%s\"", key);
        same_keys(root, under, tw_json_item(sample, i));
    }
    for (size_t i = 0; i < tw_json_count(properties); i++) {
        const char *key = tw_json_key(properties, i);
        if (tw_json_get(sample, key) == NULL && !is_apart(key))
            fail_msg("the sample lacks \"%s\"", key);
    }
}

static void check_schema(folder *f, const char *schema, const char *sample) {
    char path[300];
    tw_json *first, *second;
    snprintf(path, sizeof path, TRIMWELL_SOURCE "/templates-demo/schemas/%s", schema);
    first = open_file(f, path);
    second = open_file(f, folder_at(f, sample));
    same_keys(tw_json_root(first), tw_json_root(first), tw_json_root(second));
    tw_json_free(second);
    tw_json_free(first);
}

static void test_keys(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    folder_json(&f, "job.json", JOB);
    folder_profile(&f, "p.icc");
    folder_json(&f, "p.json", PAPER);
    folder_json(&f, "t.json", TEMPLATES);
    folder_write(&f, "o.csv",
                 "order,image,template,buyer,paper,copies,title,due,note,price,address,edition,"
                 "accept,set,intent\n1,o.csv,t,,,,,,,,,,,,\n");
    folder_write(&f, "f.csv",
                 "image,template,paper,copies,sells_for,chance,cost,title,intent\n"
                 "o.csv,t,,,,,,,auto\n");
    assert_ok(folder_load(&f), f.error);
    assert_clean(&f);
    check_schema(&f, "job.schema.json", "job.json");
    check_schema(&f, "paper.schema.json", "p.json");
    check_schema(&f, "templates.schema.json", "t.json");
    folder_close(&f);
}

/* Each name the schema requires at its top is missed by the reader of an empty file; no more. */
static void check_required(folder *f, const char *schema) {
    char path[300], says[100];
    snprintf(path, sizeof path, TRIMWELL_SOURCE "/templates-demo/schemas/%s", schema);
    tw_json *document = open_file(f, path);
    const tw_json_value *required = tw_json_get(tw_json_root(document), "required");
    assert_int_equal(f->report.errors.count, tw_json_count(required));
    for (size_t i = 0; i < tw_json_count(required); i++) {
        const char *name = NULL;
        assert_ok(tw_json_string(tw_json_item(required, i), &name, &f->error), f->error);
        snprintf(says, sizeof says, "\"%s\" is missing", name);
        assert_error(f, says);
    }
    tw_json_free(document);
}

static void test_required(void **state) {
    tw_paper paper;
    tw_template *items;
    size_t count;
    folder f;
    (void)state;
    folder_open(&f);
    folder_json(&f, "job.json", "{}");
    assert_ok(folder_load(&f), f.error);
    check_required(&f, "job.schema.json");
    folder_again(&f);
    assert_int_equal(tw_paper_load(f.arena, f.path, "job.json", &f.report, &paper, &f.error),
                     TW_INPUT);
    check_required(&f, "paper.schema.json");
    folder_again(&f);
    assert_int_equal(
        tw_templates_load(f.arena, f.path, "job.json", &f.report, &items, &count, &f.error),
        TW_INPUT);
    check_required(&f, "templates.schema.json");
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_keys),
        cmocka_unit_test(test_required),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
