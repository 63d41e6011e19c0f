/* A day's test strips as lines for people and as strip.json. */
#include "proof/proof.h"
#include "proof/strip.h"
#include "report/plan_pixels.h"

#include <string.h>

static const char *const places[] = {"waste", "offcut", "sheet", "roll"};

/* ------------------------------------------------ lines */

static void cost_words(const tw_strip_place *place, tw_buffer *out) {
    char cost[TW_LENGTH_TEXT];
    tw_buffer_string(out, place->priced ? ", costs " : "; the paper has no price");
    tw_buffer_string(out, place->priced ? tw_money_text(place->cost, cost) : "");
}

static void waste_words(const tw_plan_data *plan, const tw_strip *strip, tw_buffer *out) {
    char x[TW_LENGTH_TEXT], y[TW_LENGTH_TEXT];
    const tw_strip_place *place = &strip->place;
    int number = plan->sheets[place->sheet].number;
    tw_buffer_print(
        out,
        "in the waste of sheet %d (%s), %s from its left edge and %s from its lead: it "
        "costs no paper%s.\n  Print %s in place of sheet %d: its prints and cuts are "
        "the same",
        number, place->piece, tw_length_both(place->rect.x, x), tw_length_both(place->rect.y, y),
        place->worth_keeping ? ", but that piece was worth keeping" : "", strip->file, number);
}

static void place_words(const tw_plan_data *plan, const tw_strip *strip, tw_buffer *out) {
    char a[TW_LENGTH_TEXT], b[TW_LENGTH_TEXT];
    const tw_strip_place *place = &strip->place;
    tw_buffer_string(out, "  It goes ");
    switch (place->where) {
    case TW_STRIP_IN_WASTE:
        waste_words(plan, strip, out);
        break;
    case TW_STRIP_ON_OFFCUT:
        tw_buffer_print(out, "onto the kept offcut of %s x %s: it costs no new paper",
                        tw_length_both(place->page.width, a),
                        tw_length_both(place->page.height, b));
        break;
    case TW_STRIP_ON_SHEET:
        tw_buffer_string(out, "onto a cut sheet of the same paper");
        cost_words(place, out);
        break;
    case TW_STRIP_ON_ROLL:
        tw_buffer_print(out, "onto the roll by itself: it takes %s of it%s",
                        tw_length_both(place->used, a),
                        place->page.height == plan->job->papers[strip->paper_index].shortest_sheet
                            ? " (no sheet of it may be shorter)"
                            : "");
        cost_words(place, out);
        break;
    }
    tw_buffer_string(out, ".\n");
}

/* The detail's middle in the picture, as shares: what a person can point at. */
static void subject_words(const tw_strip_subject *s, tw_buffer *out) {
    const tw_rect seen = s->print->fit.picture;
    tw_nm x = s->detail.x + s->detail.width / 2 - seen.x;
    tw_nm y = s->detail.y + s->detail.height / 2 - seen.y;
    tw_buffer_print(out, "  %s: %s as %s, %lld %% from the picture's left and %lld %% from its top",
                    s->print->id, s->print->line->image, s->print->format->name,
                    (long long)tw_scale(x, 100, seen.width),
                    (long long)tw_scale(y, 100, seen.height));
    tw_buffer_string(out, s->by == TW_STRIP_FOCUS ? " (its focus)" : " (most detail)");
    if (s->print->image->damage.words != NULL) {
        char damage[TW_DAMAGE_TEXT];
        tw_buffer_print(out, "; damaged: %s", tw_damage_text(s->print->image, damage));
    }
    tw_buffer_string(out, "\n");
}

static void readings_words(const tw_strip_readings *r, tw_buffer *out) {
    if (r->why_none != NULL)
        tw_buffer_print(out, "  Not compared with what was measured: %s.\n", r->why_none);
    if (r->items == NULL)
        return;
    for (size_t i = 0; i < r->count; i++) {
        tw_buffer_print(out, "  %s: CIEDE2000 ", r->items[i].patch->name);
        tw_hundredths(out, r->items[i].difference);
        tw_buffer_string(out, "\n");
    }
    tw_buffer_print(out, "  Measured against the profile, %zu patch%s: CIEDE2000 mean ", r->count,
                    r->count == 1 ? "" : "es");
    tw_hundredths(out, r->mean);
    tw_buffer_string(out, ", largest ");
    tw_hundredths(out, r->largest);
    tw_buffer_string(out, "\n");
}

/* The words of `compose`, for this paper. */
static void colour_words(tw_arena *arena, const tw_strip *strip, tw_buffer *out) {
    bool converts = strip->job->papers[strip->paper_index].converts;
    const char *path = tw_strip_print_path(arena, strip);
    const char *intents = tw_strip_intents(arena, strip);
    if (path == NULL || intents == NULL) {
        out->failed = true;
        return;
    }
    tw_buffer_print(out, "  Colour: %s. %s%s%s\n",
                    converts ? "converted here for the paper"
                             : "every image carries its own profile and nothing is converted here",
                    path, intents[0] == '\0' ? "" : " ", intents);
}

static void strip_words(tw_arena *arena, const tw_plan_data *plan, const tw_strip *strip,
                        tw_buffer *out) {
    char side[TW_LENGTH_TEXT], width[TW_LENGTH_TEXT], height[TW_LENGTH_TEXT];
    const tw_strip_chart *chart = &strip->chart;
    tw_buffer_print(out, "%s, %s: %zu detail%s of %zu image%s, each %s square, on %s x %s%s%s\n",
                    strip->file, plan->job->papers[strip->paper_index].name, strip->cell_count,
                    strip->cell_count == 1 ? "" : "s", strip->subject_count,
                    strip->subject_count == 1 ? "" : "s", tw_length_both(strip->side, side),
                    tw_length_both(strip->flow.size.width, width),
                    tw_length_both(strip->flow.size.height, height),
                    chart->wedge > 0 ? ", with a neutral wedge" : "",
                    chart->count > chart->wedge ? ", with a patch row" : "");
    place_words(plan, strip, out);
    colour_words(arena, strip, out);
    for (size_t i = 0; i < strip->subject_count; i++)
        subject_words(&strip->subjects[i], out);
    readings_words(&strip->readings, out);
}

void tw_strip_text(tw_arena *arena, const tw_plan_data *plan, const tw_strip *strips, size_t count,
                   tw_buffer *out) {
    for (size_t i = 0; i < count; i++)
        strip_words(arena, plan, &strips[i], out);
    if (count > 0)
        tw_buffer_string(out, TW_STRIP_ADVICE "\n");
}

/* ------------------------------------------------ JSON */

static void text_member(tw_buffer *out, const char *key, const char *value) {
    tw_buffer_print(out, ", \"%s\": ", key);
    tw_buffer_json_string(out, value);
}

static void mm_member(tw_buffer *out, const char *key, tw_nm value) {
    char text[TW_LENGTH_TEXT];
    tw_buffer_print(out, ", \"%s\": %s", key, tw_mm_exact(value, text));
}

static void rect_members(tw_buffer *out, tw_rect r) {
    mm_member(out, "x", r.x);
    mm_member(out, "y", r.y);
    mm_member(out, "width", r.width);
    mm_member(out, "height", r.height);
}

static void place_members(const tw_plan_data *plan, const tw_strip *strip, tw_buffer *out) {
    char cost[TW_LENGTH_TEXT];
    const tw_strip_place *place = &strip->place;
    text_member(out, "place", places[place->where]);
    if (place->where == TW_STRIP_IN_WASTE) {
        tw_buffer_print(out, ", \"sheet\": %d", plan->sheets[place->sheet].number);
        text_member(out, "piece", place->piece);
    }
    if (place->where == TW_STRIP_ON_OFFCUT)
        tw_buffer_print(out, ", \"offcut\": %d", place->offcut);
    rect_members(out, place->rect);
    mm_member(out, "page_width", place->page.width);
    mm_member(out, "page_length", place->page.height);
    if (place->where == TW_STRIP_ON_ROLL)
        mm_member(out, "used", place->used);
    if (place->priced)
        text_member(out, "cost", tw_money_text(place->cost, cost));
}

static void cell_json(const tw_strip_cell *cell, tw_buffer *out) {
    tw_buffer_string(out, "{\"intent\": ");
    tw_buffer_json_string(out, tw_intent_words(cell->intent));
    tw_buffer_print(out, ", \"stop_twelfths\": %d, \"as_print\": %s}", cell->exposure,
                    cell->as_print ? "true" : "false");
}

static void subject_json(const tw_strip *strip, const tw_strip_subject *s, tw_buffer *out) {
    tw_buffer_string(out, "{\"id\": ");
    tw_buffer_json_string(out, s->print->id);
    text_member(out, "image", s->print->line->image);
    text_member(out, "by", s->by == TW_STRIP_FOCUS ? "focus" : "detail");
    rect_members(out, s->detail);
    tw_plan_damage_json(s->print->image, out);
    tw_buffer_string(out, ", \"cells\": [");
    for (size_t i = 0; i < s->count; i++) {
        tw_buffer_string(out, i > 0 ? ", " : "");
        cell_json(&strip->cells[s->first + i], out);
    }
    tw_buffer_string(out, "]}");
}

static void chart_json(const tw_strip_chart *chart, tw_buffer *out) {
    text_member(out, "patches_picture", TW_STRIP_CHART_FILE);
    tw_buffer_string(out, ",\n    \"patches\": [");
    for (size_t i = 0; i < chart->count; i++) {
        const tw_strip_patch *p = &chart->patches[i];
        tw_buffer_string(out, i > 0 ? ",\n     {\"patch\": " : "\n     {\"patch\": ");
        tw_buffer_json_string(out, p->name);
        tw_buffer_print(out, ", \"srgb\": [%u, %u, %u]", p->srgb[0], p->srgb[1], p->srgb[2]);
        if (chart->known)
            tw_lab_member(out, "intended", p->intended);
        tw_buffer_string(out, "}");
    }
    tw_buffer_string(out, "]");
}

static void readings_json(const tw_strip_readings *r, tw_buffer *out) {
    if (r->why_none != NULL)
        text_member(out, "not_compared", r->why_none);
    if (r->items == NULL)
        return;
    tw_buffer_string(out, ",\n    \"measured\": {\"difference\": \"CIEDE2000\", \"mean\": ");
    tw_hundredths(out, r->mean);
    tw_buffer_string(out, ", \"largest\": ");
    tw_hundredths(out, r->largest);
    tw_buffer_string(out, ", \"patches\": [");
    for (size_t i = 0; i < r->count; i++) {
        tw_buffer_string(out, i > 0 ? ",\n     {\"patch\": " : "\n     {\"patch\": ");
        tw_buffer_json_string(out, r->items[i].patch->name);
        tw_lab_member(out, "seen", r->items[i].seen);
        tw_buffer_string(out, ", \"difference\": ");
        tw_hundredths(out, r->items[i].difference);
        tw_buffer_string(out, "}");
    }
    tw_buffer_string(out, "]}");
}

/* "colour" is as in plan.json. */
static void colour_members(tw_arena *arena, const tw_strip *strip, tw_buffer *out) {
    const char *path = tw_strip_print_path(arena, strip);
    if (path == NULL) {
        out->failed = true;
        return;
    }
    text_member(out, "colour", strip->job->papers[strip->paper_index].converts ? "convert" : "tag");
    text_member(out, "print_path", path);
}

static void strip_json(tw_arena *arena, const tw_plan_data *plan, const tw_strip *strip,
                       tw_buffer *out) {
    tw_buffer_string(out, "{\"file\": ");
    tw_buffer_json_string(out, strip->file);
    text_member(out, "paper", plan->job->papers[strip->paper_index].name);
    colour_members(arena, strip, out);
    place_members(plan, strip, out);
    tw_buffer_string(out, ",\n    \"details\": [");
    for (size_t i = 0; i < strip->subject_count; i++) {
        tw_buffer_string(out, i > 0 ? ",\n     " : "\n     ");
        subject_json(strip, &strip->subjects[i], out);
    }
    tw_buffer_string(out, "]");
    if (strip->chart.count > 0)
        chart_json(&strip->chart, out);
    readings_json(&strip->readings, out);
    tw_buffer_string(out, "}");
}

void tw_strip_json(tw_arena *arena, const tw_plan_data *plan, const tw_strip *strips, size_t count,
                   tw_buffer *out) {
    tw_buffer_string(out, "{\"trimwell\": 1, \"unit\": \"mm\", \"advice\": \"" TW_STRIP_ADVICE
                          "\",\n \"strips\": [");
    for (size_t i = 0; i < count; i++) {
        tw_buffer_string(out, i > 0 ? ",\n   " : "\n   ");
        strip_json(arena, plan, &strips[i], out);
    }
    tw_buffer_string(out, "]}\n");
}
