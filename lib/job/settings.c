/* The job's settings: layout, marks, colour, resolution, trimmer, limits, each with its default. */
#include <string.h>

#include "base/limits.h"
#include "job/readers.h"

#define COUNT(a) (sizeof(a) / sizeof(a)[0])
#define WEIGHT_MOST ((3 * TW_IN + 36) / 72) /* 3 pt (1 pt = 1/72 in), rounded half up */

static const char *const layout_names[] = {
    "gutter",        "turn", "stages", "choose",        "hand_cut", "stop_change",
    "sheet_lengths", "plan", "pins",   "keep_together", "at_risk",  "add_row_at"};
static const tw_keys layout_keys = {"layout", layout_names, COUNT(layout_names), 0};

static const char *const marks_names[] = {"place", "offset", "length", "weight"};
static const tw_keys marks_keys = {"marks", marks_names, 4, 0};

static const char *const trimmer_names[] = {"longest_cut", "farthest_stop", "narrowest_strip"};
static const tw_keys trimmer_keys = {"trimmer", trimmer_names, 3, 0};

static const char *const limit_names[] = {"pixels", "decoded"};
static const tw_keys limit_keys = {"limits", limit_names, 2, 0};

void tw_job_defaults(tw_job_data *job) {
    job->turn = true;
    job->stages = 3;
    job->marks.place = TW_MARKS_WASTE;
    job->marks.offset_auto = true;
    job->marks.length = TW_IN / 4;
    job->marks.weight = (TW_IN + 144) / 288; /* 0.25 pt, rounded half up like every length */
    job->colour = TW_COLOUR_AUTO;
    job->intent = TW_RELATIVE;
    job->black_point = true;
    job->resolution.warn_below = TW_PPI_AUTO;
    job->resolution.refuse_below = 72;
    job->trimmer.narrowest_strip = TW_IN / 8;
    job->limits.pixels = TW_IMAGE_PIXELS_USUAL;
    job->limits.decoded = TW_IMAGE_DECODED_USUAL;
}

/* "stages": 3, or "free" for cuts to any depth. */
static void take_stages(tw_reader *r, const tw_json_value *layout, int *out) {
    const tw_json_value *value = tw_json_get(layout, "stages");
    const char *text = "";
    double number = 0;
    tw_error e = {0};
    if (value == NULL)
        return;
    if (tw_json_number(value, &number, &e) == TW_OK && number == 3)
        *out = 3;
    else if (tw_json_string(value, &text, &e) == TW_OK && strcmp(text, "free") == 0)
        *out = 0;
    else {
        tw_json_fail(value, &e, TW_INPUT, "stages",
                     "\"stages\" must be 3 (across, along, across and a trim) or \"free\"");
        tw_problem(r, &e);
    }
}

static void read_layout(tw_reader *r, const tw_json_value *root, tw_job_data *job) {
    const tw_json_value *layout = tw_take_object(r, root, "layout", &layout_keys);
    tw_take_length(r, layout, "gutter", 0, 100 * TW_MM, &job->gutter);
    tw_take_bool(r, layout, "turn", &job->turn);
    take_stages(r, layout, &job->stages);
    tw_work_read(r, layout, job);
    tw_steer_read(r, layout, job);
    tw_pins_read(r, layout, job);
}

/* "offset": "auto" or a length. */
static void take_offset(tw_reader *r, const tw_json_value *marks, tw_marks *out) {
    const tw_json_value *value = tw_json_get(marks, "offset");
    const char *text = "";
    tw_error e = {0};
    if (value == NULL)
        return;
    if (tw_json_string(value, &text, &e) == TW_OK && strcmp(text, "auto") == 0)
        out->offset_auto = true;
    else if (tw_take_length(r, marks, "offset", 0, 2 * TW_IN, &out->offset))
        out->offset_auto = false;
}

/* In points, as line weights are said. */
static void take_weight(tw_reader *r, const tw_json_value *marks, tw_nm *out) {
    const char *text = "";
    tw_nm weight = 0;
    tw_error e = {0};
    if (!tw_take_length(r, marks, "weight", 0, TW_LENGTH_MOST, &weight))
        return;
    if (weight > 0 && weight <= WEIGHT_MOST) {
        *out = weight;
        return;
    }
    (void)!tw_json_string(tw_json_get(marks, "weight"), &text, &e); /* read above: it is a text */
    tw_json_fail(tw_json_get(marks, "weight"), &e, TW_INPUT, "out-of-range",
                 "\"weight\" is \"%.40s\"; it may be more than 0pt, up to 3pt", text);
    tw_problem(r, &e);
}

static void read_marks(tw_reader *r, const tw_json_value *root, tw_marks *out) {
    static const char *const places[] = {"waste", "line", "strip", "none"};
    const tw_json_value *marks = tw_take_object(r, root, "marks", &marks_keys);
    size_t place = 0;
    if (tw_take_choice(r, marks, "place", places, COUNT(places), &place))
        out->place = (tw_marks_place)place;
    take_offset(r, marks, out);
    /* Under 1 mm a mark is dropped, so a shorter length could only mean "none". */
    tw_take_length(r, marks, "length", TW_MM, 2 * TW_IN, &out->length);
    take_weight(r, marks, &out->weight);
}

static void read_trimmer(tw_reader *r, const tw_json_value *root, tw_trimmer *out) {
    const tw_json_value *trimmer = tw_take_object(r, root, "trimmer", &trimmer_keys);
    out->has_longest_cut =
        tw_take_length(r, trimmer, "longest_cut", 10 * TW_MM, TW_SIDE_MOST, &out->longest_cut);
    out->has_farthest_stop =
        tw_take_length(r, trimmer, "farthest_stop", 10 * TW_MM, TW_SIDE_MOST, &out->farthest_stop);
    tw_take_length(r, trimmer, "narrowest_strip", 0, 100 * TW_MM, &out->narrowest_strip);
}

static void read_limits(tw_reader *r, const tw_json_value *root, tw_limits *out) {
    const tw_json_value *limits = tw_take_object(r, root, "limits", &limit_keys);
    tw_take_integer(r, limits, "pixels", 1, TW_IMAGE_PIXELS_MOST, &out->pixels);
    tw_take_bytes(r, limits, "decoded", 1 << 20, &out->decoded);
}

void tw_settings_read(tw_reader *r, const tw_json_value *root, tw_job_data *job) {
    read_layout(r, root, job);
    read_marks(r, root, &job->marks);
    tw_colour_read(r, root, job);
    tw_resolution_read(r, root, job->resolution, &job->resolution);
    read_trimmer(r, root, &job->trimmer);
    tw_sharpen_read(r, root, &job->sharpen);
    read_limits(r, root, &job->limits);
}
