/*
 * Pins by the prints' names: which print each is for, and in words why one cannot be kept.
 */
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "sheet/plan_steps.h"

static tw_code pin_error(tw_report *report, const tw_pin *pin, tw_error *message,
                         const char *member, tw_error *error) {
    char pointer[sizeof message->pointer];
    tw_fail_at(message, pin->place.file, pin->place.line, pin->place.column);
    snprintf(pointer, sizeof pointer, "%s%s", pin->place.pointer, member);
    tw_fail_pointer(message, pointer);
    return tw_report_error(report, message, error);
}

/* ---------------------------------------------------------------- whose they are */

static size_t find_print(const tw_prints *prints, const char *id) {
    for (size_t i = 0; i < prints->count; i++)
        if (strcmp(prints->items[i].id, id) == 0)
            return i;
    return SIZE_MAX;
}

static tw_code say_unknown(tw_arena *arena, const tw_plan_data *plan, const tw_pin *pin,
                           tw_report *report, tw_error *error) {
    const tw_prints *prints = plan->prints;
    tw_error message = {.code = TW_OK};
    const char **ids = tw_arena_array(arena, prints->count, sizeof *ids);
    if (ids == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < prints->count; i++)
        ids[i] = prints->items[i].id;
    const char *near = tw_nearest(pin->print, ids, prints->count);
    tw_fail(&message, TW_INPUT, "pin-unknown", "there is no print \"%s\" to pin", pin->print);
    if (near != NULL)
        tw_fail_hint(&message, "nearest: \"%s\"", near);
    else
        tw_fail_hint(&message, "plan lists the prints: an order's name, a hyphen and a number");
    return pin_error(report, pin, &message, "/print", error);
}

static tw_code say_twice(const tw_pin *first, const tw_pin *pin, tw_report *report,
                         tw_error *error) {
    tw_error message = {.code = TW_OK};
    tw_fail(&message, TW_INPUT, "pin-doubled",
            "print \"%s\" is pinned at line %d already; a print has one pin", pin->print,
            first->place.line);
    return pin_error(report, pin, &message, "/print", error);
}

tw_code tw_plan_find_pins(tw_arena *arena, tw_plan_data *plan, tw_report *report, tw_error *error) {
    const tw_job_data *job = plan->job;
    tw_code code = TW_OK;
    plan->pins = tw_arena_array(arena, plan->prints->count, sizeof(tw_pin *));
    if (plan->pins == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; code == TW_OK && i < job->pin_count; i++) {
        const tw_pin *pin = &job->pins[i];
        size_t print = find_print(plan->prints, pin->print);
        if (print == SIZE_MAX)
            code = say_unknown(arena, plan, pin, report, error);
        else if (plan->pins[print] != NULL)
            code = say_twice(plan->pins[print], pin, report, error);
        else
            plan->pins[print] = pin;
    }
    return code;
}

static const tw_pin *pin_of(const tw_plan_data *plan, const tw_print *print) {
    return plan->pins[print - plan->prints->items];
}

void tw_plan_pin_pieces(const tw_plan_data *plan, tw_paper_work *work) {
    for (size_t i = 0; i < work->count; i++) {
        const tw_pin *pin = pin_of(plan, work->prints[i]);
        tw_piece *piece = &work->pieces[i];
        if (pin == NULL)
            continue;
        piece->pin_sheet = pin->sheet - 1;
        piece->pinned_place = pin->has_place;
        piece->pin_x = pin->x;
        piece->pin_y = pin->y;
        piece->pin_turned = pin->turned;
    }
}

/* ---------------------------------------------------------------- why not */

typedef struct saying {
    const tw_paper_work *work;
    const tw_pin_fault *fault;
    const char *paper;
    const char *id;
    const tw_pin *pin;
    char is[TW_LENGTH_TEXT], need[TW_LENGTH_TEXT];
} saying;

static void say_edge(const saying *s, tw_error *message) {
    static const char *const edges[] = {"leading", "right", "trailing", "left"};
    const tw_pin_fault *fault = s->fault;
    char over[TW_LENGTH_TEXT];
    if (fault->is < 0)
        tw_fail(message, TW_INPUT, "pin-impossible",
                "print \"%s\" so pinned lies %s over the %s edge of paper \"%s\"", s->id,
                tw_length_both(-fault->is, over), edges[fault->edge], s->paper);
    else
        tw_fail(message, TW_INPUT, "pin-impossible",
                "print \"%s\" so pinned lies %s from the %s edge of paper \"%s\"; it must keep %s",
                s->id, s->is, edges[fault->edge], s->paper, s->need);
}

static void say_strip(const saying *s, tw_error *message) {
    static const char *const edges[] = {"leading", "right", "trailing", "left"};
    tw_fail(message, TW_INPUT, "pin-impossible",
            "print \"%s\" so pinned leaves a strip of %s at the %s edge; a strip to cut off is %s "
            "or more",
            s->id, s->is, edges[s->fault->edge], s->need);
}

static void say_close(const saying *s, tw_error *message) {
    const char *other = s->work->prints[s->fault->other]->id;
    if (s->fault->need == 0)
        tw_fail(message, TW_INPUT, "pin-impossible", "print \"%s\" so pinned overlaps print \"%s\"",
                s->id, other);
    else
        tw_fail(message, TW_INPUT, "pin-impossible",
                "print \"%s\" so pinned overlaps print \"%s\" or lies too close to it: %s must be "
                "between them",
                s->id, other, s->need);
}

static void say_of_paper(const saying *s, tw_error *message) {
    const tw_pin_fault *fault = s->fault;
    if (fault->why == TW_PIN_TOO_BIG)
        tw_fail(message, TW_INPUT, "pin-impossible",
                "print \"%s\" fits paper \"%s\" no way round, pinned or not", s->id, s->paper);
    else if (fault->why == TW_PIN_LONG)
        tw_fail(message, TW_INPUT, "pin-impossible",
                "print \"%s\" so pinned makes sheet %d %s long; the longest may be %s", s->id,
                s->pin->sheet, s->is, s->need);
    else if (fault->why == TW_PIN_PAPER)
        tw_fail(message, TW_INPUT, "pin-impossible",
                "the sheets with pinned prints take %s of paper \"%s\"; %s is left", s->is,
                s->paper, s->need);
    else
        tw_fail(
            message, TW_INPUT, "pin-impossible",
            "print \"%s\" is pinned to sheet %d of paper \"%s\"; its sheets with prints end at %d",
            s->id, s->pin->sheet, s->paper, fault->sheets);
}

static void say_of_sheet(const saying *s, tw_error *message) {
    const tw_pin_fault *fault = s->fault;
    if (fault->why == TW_PIN_WAY)
        tw_fail(message, TW_INPUT, "pin-impossible", "print \"%s\" is pinned %s and may not lie so",
                s->id, s->pin->turned ? "turned" : "upright");
    else if (fault->why == TW_PIN_UNCUT)
        tw_fail(message, TW_INPUT, "pin-impossible",
                "the prints pinned to sheet %d of paper \"%s\" cannot be cut apart edge to edge "
                "where they lie; the last of them is \"%s\"",
                s->pin->sheet, s->paper, s->id);
    else if (fault->why == TW_PIN_CROWDED)
        tw_fail(message, TW_INPUT, "pin-impossible",
                "print \"%s\" finds no place on sheet %d beside the others pinned there", s->id,
                s->pin->sheet);
    else
        tw_fail(message, TW_INPUT, "pin-impossible",
                "with print \"%s\" the images pinned to sheet %d are more than one PDF may hold",
                s->id, s->pin->sheet);
}

static void say_why(const saying *s, tw_error *message) {
    switch (s->fault->why) {
    case TW_PIN_EDGE:
        say_edge(s, message);
        break;
    case TW_PIN_STRIP:
        say_strip(s, message);
        break;
    case TW_PIN_CLOSE:
        say_close(s, message);
        break;
    case TW_PIN_TOO_BIG:
    case TW_PIN_LONG:
    case TW_PIN_PAPER:
    case TW_PIN_NO_SHEET:
        say_of_paper(s, message);
        break;
    case TW_PIN_GOOD:
    case TW_PIN_WAY:
    case TW_PIN_UNCUT:
    case TW_PIN_CROWDED:
    case TW_PIN_BYTES:
        say_of_sheet(s, message);
        break;
    }
}

tw_code tw_plan_pin_fault(const tw_plan_data *plan, const tw_paper_work *work, tw_report *report,
                          tw_error *error) {
    const tw_pin_fault *fault = &work->layout.pin_fault;
    const tw_print *print = work->prints[fault->piece];
    saying s = {.work = work,
                .fault = fault,
                .paper = plan->job->papers[work->paper_index].name,
                .id = print->id,
                .pin = pin_of(plan, print)};
    tw_error message = {.code = TW_OK};
    tw_length_both(fault->is, s.is);
    tw_length_both(fault->need, s.need);
    say_why(&s, &message);
    tw_fail_hint(&message, "another place, the sheet alone (no x and y), or no pin");
    return pin_error(report, s.pin, &message, "", error);
}
