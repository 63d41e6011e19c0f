/*
 * What is asked of an image's pixels, by a job, a paper or a template: ppi to warn and refuse
 * below, ppi to reduce or enlarge to, and sharpening for the paper.
 */
#include <string.h>

#include "base/number.h"
#include "job/readers.h"

#define PPI_MOST 10000
#define RADIUS_LEAST (TW_MM / 100)
#define COUNT(a) (sizeof(a) / sizeof(a)[0])

static const char *const resolution_names[] = {"warn_below", "refuse_below", "limit_ppi",
                                               "enlarge_to_ppi"};
static const tw_keys resolution_keys = {"resolution", resolution_names, 4, 0};
/* A template's: what is good enough is for the job and its papers to say. */
static const tw_keys target_keys = {"resolution", resolution_names + 2, 2, 0};

static const char *const sharpen_names[] = {"radius", "amount", "threshold"};
static const tw_keys sharpen_keys = {"sharpen", sharpen_names, 3, 2};

static bool is_word(const tw_json_value *value, const char *word) {
    const char *text = "";
    tw_error e = {0};
    return tw_json_kind_of(value) == TW_JSON_STRING && tw_json_string(value, &text, &e) == TW_OK &&
           strcmp(text, word) == 0;
}

/* A number of ppi, or a word that stands for `worded`. */
static void take_ppi(tw_reader *r, const tw_json_value *object, const char *key, const char *word,
                     int worded, int *out) {
    const tw_json_value *value = tw_json_get(object, key);
    const char *text = "";
    tw_error e = {0};
    int64_t ppi = 0;
    if (value == NULL)
        return;
    if (tw_json_kind_of(value) != TW_JSON_STRING) {
        if (tw_take_integer(r, object, key, 1, PPI_MOST, &ppi))
            *out = (int)ppi;
        return;
    }
    if (tw_json_string(value, &text, &e) == TW_OK && strcmp(text, word) != 0)
        tw_json_fail(value, &e, TW_INPUT, "bad-choice",
                     "\"%s\" is \"%.40s\"; write \"%s\" or a number of ppi from 1 to %d", key, text,
                     word, PPI_MOST);
    if (e.code != TW_OK)
        tw_problem(r, &e);
    else
        *out = worded;
}

static void take_targets(tw_reader *r, const tw_json_value *value, tw_resolution *out) {
    tw_error e = {0};
    take_ppi(r, value, "limit_ppi", "off", TW_PPI_OFF, &out->limit);
    take_ppi(r, value, "enlarge_to_ppi", "off", TW_PPI_OFF, &out->enlarge);
    if (out->limit <= 0 || out->enlarge <= out->limit)
        return;
    tw_json_fail(value, &e, TW_INPUT, "out-of-range",
                 "\"enlarge_to_ppi\" is %d and \"limit_ppi\" %d; it may be at most that",
                 out->enlarge, out->limit);
    tw_problem(r, &e);
}

void tw_targets_read(tw_reader *r, const tw_json_value *object, tw_resolution *out) {
    const tw_json_value *value = tw_take_object(r, object, "resolution", &target_keys);
    if (value != NULL)
        take_targets(r, value, out);
}

void tw_resolution_read(tw_reader *r, const tw_json_value *object, tw_resolution fallback,
                        tw_resolution *out) {
    const tw_json_value *value = tw_take_object(r, object, "resolution", &resolution_keys);
    int64_t ppi = 0;
    int warn, refuse;
    if (value == NULL)
        return;
    take_ppi(r, value, "warn_below", "auto", TW_PPI_AUTO, &out->warn_below);
    if (tw_take_integer(r, value, "refuse_below", 1, PPI_MOST, &ppi))
        out->refuse_below = (int)ppi;
    take_targets(r, value, out);
    warn = out->warn_below != 0 ? out->warn_below : fallback.warn_below;
    refuse = out->refuse_below != 0 ? out->refuse_below : fallback.refuse_below;
    if (warn > 0 && refuse > warn) {
        tw_error e = {0};
        tw_json_fail(value, &e, TW_INPUT, "out-of-range",
                     "\"refuse_below\" is %d and \"warn_below\" %d; it may be at most that", refuse,
                     warn);
        tw_problem(r, &e);
    }
}

/* More than 0, at most 5: beyond, a halo is all that is left. */
static void take_amount(tw_reader *r, const tw_json_value *sharpen, int *out) {
    const tw_json_value *value = tw_json_get(sharpen, "amount");
    double amount = 0;
    tw_error e = {0};
    if (value == NULL)
        return;
    if (tw_json_number(value, &amount, &e) != TW_OK) {
        tw_name_key(&e, "amount");
        tw_problem(r, &e);
    } else if (!(amount >= 0.001 && amount <= 5)) {
        tw_json_fail(value, &e, TW_INPUT, "out-of-range",
                     "\"amount\" is %s; it may be more than 0, up to 5",
                     tw_double_text(amount, 6, (char[TW_DOUBLE_TEXT]){0}));
        tw_problem(r, &e);
    } else {
        *out = (int)(amount * 1000 + 0.5);
    }
}

void tw_sharpen_read(tw_reader *r, const tw_json_value *object, tw_sharpen *out) {
    int64_t threshold = 0;
    if (is_word(tw_json_get(object, "sharpen"), "off")) {
        *out = (tw_sharpen){.asked = TW_NO};
        return;
    }
    const tw_json_value *value = tw_take_object(r, object, "sharpen", &sharpen_keys);
    if (value == NULL)
        return;
    *out = (tw_sharpen){.asked = TW_YES};
    tw_take_length(r, value, "radius", RADIUS_LEAST, TW_MM, &out->radius);
    take_amount(r, value, &out->amount);
    if (tw_take_integer(r, value, "threshold", 0, 255, &threshold))
        out->threshold = (int)threshold;
}
