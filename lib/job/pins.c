/* The job's pins: prints that must lie on a certain sheet, or at a certain place of it. Which
 * prints there are is known only when they are made, so ids are looked up later (sheet layer). */
#include "job/readers.h"

#define PINS_MOST 1000
#define SHEET_MOST 10000

static const char *const pin_names[] = {"print", "sheet", "x", "y", "turned"};
static const tw_keys pin_keys = {"pins", pin_names, 5, 2};

/* A place is x and y together; a way to lie belongs to a place. */
static bool check_place(tw_reader *r, const tw_json_value *value, bool x, bool y) {
    tw_error e = {0};
    if (x != y)
        tw_json_fail(value, &e, TW_INPUT, "pin-place",
                     "this pin has \"%s\" without \"%s\"; a place is both, a sheet alone neither",
                     x ? "x" : "y", x ? "y" : "x");
    else if (!x && tw_json_get(value, "turned") != NULL)
        tw_json_fail(value, &e, TW_INPUT, "pin-place",
                     "this pin has \"turned\" without a place; give \"x\" and \"y\" as well");
    return e.code == TW_OK || tw_problem(r, &e);
}

static void read_pin(tw_reader *r, const tw_json_value *value, tw_job_data *job) {
    tw_pin pin = {.place = tw_place_of(r, value)};
    int64_t sheet = 1;
    if (!tw_read_keys(r, value, &pin_keys))
        return;
    bool good = tw_take_name(r, value, "print", &pin.print);
    good = tw_take_integer(r, value, "sheet", 1, SHEET_MOST, &sheet) && good;
    bool has_x = tw_json_get(value, "x") != NULL, has_y = tw_json_get(value, "y") != NULL;
    good = check_place(r, value, has_x, has_y) && good;
    if (has_x && has_y) {
        good = tw_take_length(r, value, "x", 0, TW_SIDE_MOST, &pin.x) && good;
        good = tw_take_length(r, value, "y", 0, TW_SIDE_MOST, &pin.y) && good;
        pin.has_place = true;
    }
    if (tw_json_get(value, "turned") != NULL)
        good = tw_take_bool(r, value, "turned", &pin.turned) && good;
    pin.sheet = (int)sheet;
    if (good)
        job->pins[job->pin_count++] = pin;
}

void tw_pins_read(tw_reader *r, const tw_json_value *layout, tw_job_data *job) {
    const tw_json_value *list = tw_json_get(layout, "pins");
    tw_error e = {0};
    if (list == NULL)
        return;
    size_t count = tw_json_count(list);
    if (tw_json_kind_of(list) != TW_JSON_ARRAY || count > PINS_MOST) {
        tw_json_fail(list, &e, TW_INPUT, "wrong-kind",
                     "\"pins\" must be a list of up to %d pins such as "
                     "{\"print\": \"1001-1\", \"sheet\": 1}",
                     PINS_MOST);
        tw_problem(r, &e);
        return;
    }
    job->pins = tw_got(r, tw_arena_array(r->arena, count, sizeof job->pins[0]));
    for (size_t i = 0; i < count && !tw_stopped(r); i++)
        read_pin(r, tw_json_item(list, i), job);
}
