/*
 * plan.json: the keys and values the design fixes, read back with the project's JSON reader; and
 * its cuts replayed with nothing but the file in hand.
 */
#include "prints/day.h"

#include "base/json.h"
#include "report/report.h"

static tw_plan_data *plan_of(folder *f, const char *orders) {
    tw_plan_data *plan = NULL;
    tw_prints *prints;
    folder_again(f);
    folder_write(f, "orders.csv", orders);
    assert_ok(folder_load(f), f->error);
    prints = tw_arena_take(f->arena, sizeof *prints);
    *prints = day_prints(f);
    assert_int_equal(f->report.errors.count, 0);
    assert_ok(tw_plan_make(f->arena, f->job, prints, NULL, &f->report, &plan, &f->error), f->error);
    return plan;
}

static tw_buffer text_of(folder *f, const tw_plan_data *plan) {
    tw_buffer text;
    tw_buffer_start(&text, &f->allocator);
    assert_ok(tw_plan_json(plan, &text, &f->error), f->error);
    return text;
}

static tw_json *json_of(folder *f, const char *orders) {
    tw_buffer text = text_of(f, plan_of(f, orders));
    tw_json *json;
    assert_ok(tw_json_parse(&f->allocator, "plan.json", text.bytes, text.length, &json, &f->error),
              f->error);
    tw_buffer_free(&text);
    return json;
}

/* "sheets/0/prints/1/id" from here. */
static const tw_json_value *at(const tw_json_value *value, const char *path) {
    char step[64];
    while (value != NULL && *path != '\0') {
        size_t length = strcspn(path, "/");
        assert_true(length < sizeof step);
        memcpy(step, path, length);
        step[length] = '\0';
        path += length + (path[length] == '/');
        value = step[0] >= '0' && step[0] <= '9' ? tw_json_item(value, (size_t)atoi(step))
                                                 : tw_json_get(value, step);
    }
    return value;
}

static double number(const tw_json_value *value, const char *path) {
    double out = 0;
    tw_error error = {0};
    assert_non_null(at(value, path));
    assert_ok(tw_json_number(at(value, path), &out, &error), error);
    return out;
}

static const char *word(const tw_json_value *value, const char *path) {
    const char *out = NULL;
    tw_error error = {0};
    assert_non_null(at(value, path));
    assert_ok(tw_json_string(at(value, path), &out, &error), error);
    return out;
}

/* Millimetres with six decimals are every nanometre, and a double holds them apart. */
#define assert_number(value, path, want)                                                           \
    do {                                                                                           \
        double seen_ = number(value, path), off_ = seen_ - (want);                                 \
        if (off_ > 1e-7 || off_ < -1e-7)                                                           \
            fail_msg("%s is %.7f, not %.7f", path, seen_, (double)(want));                         \
    } while (0)
#define assert_word(value, path, want) assert_string_equal(word(value, path), want)

/* The hand check of the issue, in millimetres. */
static void the_hand_check(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    tw_json *json =
        json_of(&f, "order,image,template,copies,title\n1001,a.png,8x10,3,\"A \"\"b\"\"\"\n");
    const tw_json_value *root = tw_json_root(json), *sheet = at(root, "sheets/0");
    assert_number(root, "trimwell", 1);
    assert_word(root, "unit", "mm");
    assert_int_equal(tw_json_count(at(root, "sheets")), 1);
    assert_number(sheet, "number", 1);
    assert_word(sheet, "paper", "satin");
    assert_word(sheet, "file", "sheet-01.pdf");
    assert_number(sheet, "width", 609.6);
    assert_number(sheet, "length", 254);
    assert_int_equal(tw_json_count(at(sheet, "prints")), 3);
    assert_word(sheet, "prints/1/id", "1001-2");
    assert_word(sheet, "prints/1/order", "1001");
    assert_word(sheet, "prints/1/template", "8x10");
    assert_word(sheet, "prints/1/image", "a.png");
    assert_word(sheet, "prints/1/title", "A \"b\"");
    assert_number(sheet, "prints/1/copy", 2);
    assert_number(sheet, "prints/1/x", 203.2);
    assert_number(sheet, "prints/1/y", 0);
    assert_number(sheet, "prints/1/width", 203.2);
    assert_number(sheet, "prints/1/height", 254);
    assert_number(sheet, "prints/1/picture/x", 215.9); /* 8 1/2 in */
    assert_number(sheet, "prints/1/picture/y", 15.875);
    assert_number(sheet, "prints/1/picture/width", 177.8);
    assert_number(sheet, "prints/1/picture/height", 222.25);
    assert_number(sheet, "prints/1/visible/left", 12.7);
    assert_number(sheet, "prints/1/ppi", 342.9); /* 2400 / 7 */
    assert_null(at(sheet, "prints/1/signature"));
    assert_int_equal(tw_json_kind_of(at(sheet, "prints/1/turned")), TW_JSON_BOOL);
    assert_int_equal(tw_json_count(at(sheet, "cuts")), 2);
    assert_number(root, "totals/length", 254);
    assert_number(root, "totals/bound_length", 254);
    assert_number(root, "totals/paper_area", 154838.4);
    assert_number(root, "totals/print_area", 154838.4);
    assert_number(root, "totals/hand_cuts", 2);
    assert_word(root, "totals/papers/0/name", "satin");
    assert_number(root, "totals/papers/0/sheets", 1);
    assert_number(root, "totals/papers/0/length", 254);
    assert_int_equal(tw_json_count(at(root, "unplaced")), 0);
    tw_json_free(json);
    folder_close(&f);
}

static void the_hand_checks_cuts(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    tw_json *json = json_of(&f, "order,image,template,copies\n1001,a.png,8x10,3\n");
    const tw_json_value *cuts = at(tw_json_root(json), "sheets/0/cuts");
    static const double places[] = {203.2, 406.4};
    static const char *const pieces[] = {"A", "B"};
    for (size_t i = 0; i < 2; i++) {
        const tw_json_value *cut = tw_json_item(cuts, i);
        assert_number(cut, "step", (double)i + 1);
        assert_word(cut, "by", "trimmer");
        assert_word(cut, "piece", pieces[i]);
        assert_word(cut, "along", "roll");
        assert_number(cut, "at", places[i]);
        assert_number(cut, "from", 0);
        assert_number(cut, "to", 254);
        assert_number(cut, "stop", 203.2);
    }
    assert_word(cuts, "0/frees/0", "1001-1");
    assert_word(cuts, "0/frees/1", "B");
    assert_word(cuts, "1/frees/0", "1001-2");
    assert_word(cuts, "1/frees/1", "1001-3");
    tw_json_free(json);
    folder_close(&f);
}

/* A turned print with its signature: as in the plan's own test, in millimetres. */
static void a_turned_print(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    folder_json(&f, "frames.json",
                "{'trimwell': 1, 'templates': [{'name': '24x36', 'size': '24x36in', 'border': "
                "'1 1/2in', 'window': {'overlap': '1/4in'}, 'signature': {'corner': "
                "'bottom-right', 'width': '2in', 'height': '1/4in', 'inset': '1/2in'}}]}");
    tw_json *json = json_of(&f, "order,image,template\nX,b.png,24x36\n");
    const tw_json_value *print = at(tw_json_root(json), "sheets/0/prints/0");
    bool turned = false;
    assert_ok(tw_json_bool(at(print, "turned"), &turned, &f.error), f.error);
    assert_true(turned);
    assert_number(print, "width", 609.6);
    assert_number(print, "height", 914.4);
    assert_number(print, "picture/x", 38.1);
    assert_number(print, "picture/y", 123.825);
    assert_number(print, "signature/x", 12.7);
    assert_number(print, "signature/y", 850.9);
    assert_number(print, "signature/width", 6.35);
    assert_number(print, "signature/height", 50.8);
    assert_number(print, "window/width", 654.05); /* 26.25 - 0.5 in, upright */
    assert_number(print, "window/height", 520.7);
    tw_json_free(json);
    folder_close(&f);
}

/* Ends without a tick, by the end's name in the cut; cuts longer than the trimmer (17 in) are for
 * the knife. */
static void what_a_cut_lacks(void **state) {
    (void)state;
    folder f;
    size_t low = 0, knives = 0;
    day_open(&f, "order,image,template\n");
    folder_json(&f, "job.json",
                "{'trimwell': 1, 'name': 'Day', 'papers': ['./satin.json'], 'templates': "
                "['./frames.json'], 'orders': './orders.csv', 'trimmer': {'longest_cut': '17in'}}");
    tw_plan_data *plan =
        plan_of(&f, "order,image,template,copies\n1,a.png,12x18,3\n2,a.png,8x10,4\n");
    tw_buffer text = text_of(&f, plan);
    tw_json *json;
    assert_ok(tw_json_parse(&f.allocator, "plan.json", text.bytes, text.length, &json, &f.error),
              f.error);
    for (size_t s = 0; s < plan->sheet_count; s++) {
        const tw_plan_sheet *sheet = &plan->sheets[s];
        const tw_json_value *its = tw_json_item(at(tw_json_root(json), "sheets"), s);
        assert_int_equal(tw_json_count(at(its, "unmarked")), sheet->unmarked_count);
        for (size_t i = 0; i < sheet->unmarked_count; i++) {
            const tw_json_value *end = tw_json_item(at(its, "unmarked"), i);
            assert_number(end, "step", sheet->unmarked[i].step);
            assert_word(end, "end", sheet->unmarked[i].low_end ? "from" : "to");
            low += sheet->unmarked[i].low_end;
        }
        for (int i = 0; i < sheet->cuts->cut_count; i++) {
            const tw_json_value *cut = tw_json_item(at(its, "cuts"), (size_t)i);
            bool knife = number(cut, "to") - number(cut, "from") > 431.8;
            assert_word(cut, "by", knife ? "knife" : "trimmer");
            knives += knife;
        }
    }
    assert_true(low > 0 && knives > 0); /* else this says nothing */
    tw_json_free(json);
    tw_buffer_free(&text);
    folder_close(&f);
}

/* Rounding may part the two axes by a hair: both are given, the smaller is the print's. */
static void two_resolutions(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n1,a.png,8x10\n");
    tw_plan_data *plan;
    tw_prints prints = day_prints(&f);
    prints.items[0].fit.ppi_x = 312449;
    prints.items[0].fit.ppi_y = 312450;
    assert_ok(tw_plan_make(f.arena, f.job, &prints, NULL, &f.report, &plan, &f.error), f.error);
    tw_buffer text = text_of(&f, plan);
    assert_non_null(strstr(text.bytes, "\"ppi\": 312.4, \"ppi_x\": 312.449, \"ppi_y\": 312.450"));
    tw_buffer_free(&text);
    prints.items[0].fit.ppi_x = 312450;
    text = text_of(&f, plan);
    assert_non_null(strstr(text.bytes, "\"ppi\": 312.5, "));
    tw_buffer_free(&text);
    folder_close(&f);
}

/* ------------------------------------------------ the cuts, replayed */

typedef struct piece {
    const char *name;
    double low[2], high[2]; /* y, x */
    bool there;
} piece;

typedef struct heap {
    piece items[512];
    size_t count;
} heap;

static piece *find(heap *h, const char *name) {
    for (size_t i = 0; i < h->count; i++)
        if (h->items[i].there && strcmp(h->items[i].name, name) == 0)
            return &h->items[i];
    fail_msg("no piece \"%s\" in hand", name);
    return NULL;
}

static void add(heap *h, const char *name, piece part) {
    assert_true(h->count < 512);
    part.name = name;
    part.there = true;
    h->items[h->count++] = part;
}

#define assert_near(a, b) assert_true((a) - (b) < 1e-6 && (b) - (a) < 1e-6)

static void replay_cut(heap *h, const tw_json_value *cut) {
    piece *in_hand = find(h, word(cut, "piece"));
    int axis = strcmp(word(cut, "along"), "roll") == 0 ? 1 : 0;
    double place = number(cut, "at");
    const char *low = word(cut, "frees/0"), *high = word(cut, "frees/1");
    in_hand->there = false;
    piece lower = *in_hand, upper = *in_hand;
    assert_near(number(cut, "from"), in_hand->low[1 - axis]);
    assert_near(number(cut, "to"), in_hand->high[1 - axis]);
    assert_near(number(cut, "stop"), place - in_hand->low[axis]);
    lower.high[axis] = place;
    upper.low[axis] = place;
    assert_true(place > lower.low[axis]);
    add(h, low, lower);
    if (strcmp(high, "roll") == 0) /* the page's own end */
        assert_near(place, upper.high[axis]);
    else
        add(h, high, upper);
    assert_true(strcmp(high, "roll") == 0 || place < upper.high[axis]);
}

static size_t replay_sheet(const tw_json_value *sheet) {
    heap *h = calloc(1, sizeof *h);
    size_t whole = 0, prints = tw_json_count(at(sheet, "prints"));
    assert_non_null(h);
    add(h, "A", (piece){.high = {number(sheet, "length"), number(sheet, "width")}});
    if (tw_json_count(at(sheet, "cuts")) == 0) /* the page is the print */
        h->items[0].name = word(sheet, "prints/0/id");
    for (size_t i = 0; i < tw_json_count(at(sheet, "cuts")); i++)
        replay_cut(h, tw_json_item(at(sheet, "cuts"), i));
    for (size_t i = 0; i < prints; i++) {
        const tw_json_value *print = tw_json_item(at(sheet, "prints"), i);
        const piece *got = find(h, word(print, "id"));
        assert_near(got->low[1], number(print, "x"));
        assert_near(got->low[0], number(print, "y"));
        assert_near(got->high[1] - got->low[1], number(print, "width"));
        assert_near(got->high[0] - got->low[0], number(print, "height"));
    }
    for (size_t i = 0; i < h->count; i++)
        whole += h->items[i].there && strncmp(h->items[i].name, "waste-", 6) != 0;
    assert_int_equal(whole, prints); /* prints and offcuts, and no piece left uncut */
    free(h);
    return prints;
}

#define MIXED                                                                                      \
    "order,image,template,copies\n1,a.png,8x10,5\n2,b.png,12x18,3\n3,b.png,24x36,1\n"              \
    "4,a.png,8x10,4\n5,long.png,long,1\n"

static void replay(const char *cutter, const char *marks) {
    folder f;
    char text[512];
    size_t prints = 0;
    day_open(&f, "order,image,template\n");
    snprintf(text, sizeof text,
             "{'trimwell': 1, 'name': 'satin', 'kind': 'roll', 'width': '24in', 'length': '50ft',"
             " 'cutter': '%s', 'margins': {'side': '1/4in', 'lead': '1/8in', 'tail': '1/8in'}}",
             cutter);
    folder_json(&f, "satin.json", text);
    snprintf(text, sizeof text,
             "{'trimwell': 1, 'name': 'Day', 'papers': ['./satin.json'], 'templates': "
             "['./frames.json'], 'orders': './orders.csv', 'marks': {'place': '%s'}}",
             marks);
    folder_json(&f, "job.json", text);
    tw_json *json = json_of(&f, MIXED);
    const tw_json_value *sheets = at(tw_json_root(json), "sheets");
    for (size_t i = 0; i < tw_json_count(sheets); i++)
        prints += replay_sheet(tw_json_item(sheets, i));
    assert_int_equal(prints, 14);
    tw_json_free(json);
    folder_close(&f);
}

static void the_cuts_replayed(void **state) {
    (void)state;
    replay("printer", "waste");
    replay("hand", "waste");
    replay("printer", "strip");
    replay("hand", "strip");
}

/* ------------------------------------------------ one plan, one text */

static void same_orders_same_bytes(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    tw_buffer first = text_of(&f, plan_of(&f, MIXED));
    char *copy = strdup(first.bytes);
    tw_buffer_free(&first);
    tw_buffer second =
        text_of(&f, plan_of(&f, "order,image,template,copies\n5,long.png,long,1\n3,b.png,24x36,1\n"
                                "4,a.png,8x10,4\n1,a.png,8x10,5\n2,b.png,12x18,3\n"));
    assert_string_equal(second.bytes, copy);
    tw_buffer_free(&second);
    free(copy);
    folder_close(&f);
}

static void what_is_left_over(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    folder_json(&f, "satin.json",
                "{'trimwell': 1, 'name': 'satin', 'kind': 'roll', 'width': '24in', 'length': "
                "'45in', 'margins': {'side': '1/4in', 'lead': '0in', 'tail': '0in'}}");
    tw_json *json = json_of(&f, "order,image,template,copies\n7,b.png,24x36,2\n");
    const tw_json_value *root = tw_json_root(json);
    assert_int_equal(tw_json_count(at(root, "unplaced")), 1);
    assert_word(root, "unplaced/0/id", "7-2");
    assert_word(root, "unplaced/0/order", "7");
    assert_word(root, "unplaced/0/template", "24x36");
    assert_word(root, "unplaced/0/why", "the paper is used up");
    tw_json_free(json);
    folder_close(&f);
}

/* Without orders (fillers, the quick form) order is null and ids say what they are. */
static void no_order(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n1,a.png,8x10\n");
    f.job->orders[0].order = NULL;
    tw_plan_data *plan;
    tw_prints prints = day_prints(&f);
    assert_ok(tw_plan_make(f.arena, f.job, &prints, NULL, &f.report, &plan, &f.error), f.error);
    tw_buffer text = text_of(&f, plan);
    assert_non_null(strstr(text.bytes, "\"id\": \"print-1\", \"order\": null"));
    tw_buffer_free(&text);
    folder_close(&f);
}

typedef tw_code writer(const tw_plan_data *plan, tw_buffer *out, tw_error *error);

static void starve(folder *f, const tw_plan_data *plan, writer *write) {
    tw_code code = TW_MEMORY;
    for (long nth = 1; code == TW_MEMORY; nth++) {
        tw_buffer text;
        f->memory.asked = 0;
        f->memory.fail_at = nth;
        tw_buffer_start(&text, &f->allocator);
        code = write(plan, &text, &f->error);
        assert_true(code == TW_MEMORY || (code == TW_OK && nth > 1));
        tw_buffer_free(&text);
    }
    f->memory.fail_at = 0;
}

static void memory_runs_out(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    const tw_plan_data *plan = plan_of(&f, MIXED);
    starve(&f, plan, tw_plan_json);
    starve(&f, plan, tw_plan_text);
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_hand_check),
        cmocka_unit_test(the_hand_checks_cuts),
        cmocka_unit_test(a_turned_print),
        cmocka_unit_test(what_a_cut_lacks),
        cmocka_unit_test(two_resolutions),
        cmocka_unit_test(the_cuts_replayed),
        cmocka_unit_test(same_orders_same_bytes),
        cmocka_unit_test(what_is_left_over),
        cmocka_unit_test(no_order),
        cmocka_unit_test(memory_runs_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
