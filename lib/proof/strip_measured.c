/* Measured colours given back as CSV, against what the paper's profile said (strip.h). */
#include "proof/strip.h"

#include "base/csv.h"
#include "base/number.h"

#include <stdio.h>
#include <string.h>

#define FILE_MOST ((size_t)1 << 20)

typedef enum column { PATCH, L, A, B, PAPER, COLUMNS } column;

static const char *const names[COLUMNS] = {"patch", "L", "a", "b", "paper"};

typedef struct reading_of {
    tw_arena *arena;
    const char *path;
    tw_strip *strips;
    size_t count;
    size_t at[COLUMNS]; /* field of each column; SIZE_MAX: not there */
    tw_report *report;
    tw_error *error;
} reading_of;

static tw_code at_line(const reading_of *m, tw_code code, const tw_csv_row *row) {
    tw_fail_at(m->error, m->path, row->line, 0);
    return code;
}

static const char *field(const reading_of *m, const tw_csv_row *row, column which) {
    return m->at[which] < row->count ? row->fields[m->at[which]] : "";
}

/* ------------------------------------------------ the heading */

static tw_code find_columns(reading_of *m, const tw_csv_row *header) {
    for (int c = 0; c < COLUMNS; c++) {
        m->at[c] = SIZE_MAX;
        for (size_t i = 0; i < header->count && m->at[c] == SIZE_MAX; i++)
            if (tw_same_ignoring_case(header->fields[i], names[c]))
                m->at[c] = i;
        if (m->at[c] != SIZE_MAX || (c == PAPER && m->count == 1))
            continue;
        tw_fail(m->error, TW_INPUT, "measured-column", "the column \"%s\" is missing%s", names[c],
                c == PAPER ? ": there is a strip for more than one paper" : "");
        tw_fail_hint(m->error, "the first line is patch,L,a,b%s", m->count > 1 ? ",paper" : "");
        return at_line(m, TW_INPUT, header);
    }
    return TW_OK;
}

/* ------------------------------------------------ a line */

static tw_code read_number(const reading_of *m, const tw_csv_row *row, column which, double least,
                           double most, double *out) {
    const char *text = field(m, row, which), *at = text;
    tw_decimal number;
    bool minus = *at == '-';
    at += *at == '-' || *at == '+';
    bool read = tw_decimal_take(&at, &number) && *at == '\0';
    if (read) {
        double value = (double)tw_decimal_scale(&number, 1000000, 1) / 1e6;
        *out = minus ? -value : value;
    }
    if (read && *out >= least && *out <= most)
        return TW_OK;
    tw_fail(m->error, TW_INPUT, "measured-value",
            "%s of patch \"%s\" is \"%s\"; it must be a number from %.0f to %.0f", names[which],
            field(m, row, PATCH), text, least, most);
    tw_fail_hint(m->error, "decimals have a point: 52.4");
    return at_line(m, TW_INPUT, row);
}

static tw_code find_strip(const reading_of *m, const tw_csv_row *row, tw_strip **out) {
    const char *name = field(m, row, PAPER), *papers[16];
    size_t listed = 0;
    *out = m->strips;
    if (m->count == 1 && (m->at[PAPER] == SIZE_MAX || name[0] == '\0'))
        return TW_OK;
    for (size_t i = 0; i < m->count; i++) {
        const char *paper = m->strips[i].job->papers[m->strips[i].paper_index].name;
        *out = &m->strips[i];
        if (strcmp(paper, name) == 0)
            return TW_OK;
        if (listed < 16)
            papers[listed++] = paper;
    }
    const char *near = tw_nearest(name, papers, listed);
    tw_fail(m->error, TW_INPUT, "measured-paper", "paper \"%s\" has no test strip today", name);
    tw_fail_hint(m->error, "%s: %s", near != NULL ? "nearest" : "there is one for",
                 near != NULL ? near : papers[0]);
    return at_line(m, TW_INPUT, row);
}

static tw_code find_patch(const reading_of *m, const tw_csv_row *row, const tw_strip *strip,
                          size_t *out) {
    const char *name = field(m, row, PATCH), *known[64];
    const tw_strip_chart *chart = &strip->chart;
    for (*out = 0; *out < chart->count; ++*out) {
        if (tw_same_ignoring_case(chart->patches[*out].name, name))
            return TW_OK;
        known[*out] = chart->patches[*out].name;
    }
    const char *near = tw_nearest(name, known, chart->count);
    tw_fail(m->error, TW_INPUT, "measured-patch", "patch \"%s\" is not on the strip", name);
    if (near != NULL)
        tw_fail_hint(m->error, "nearest: %s", near);
    else
        tw_fail_hint(m->error, "--wedge adds L0 to L100, --patches the hues");
    return at_line(m, TW_INPUT, row);
}

static tw_code read_row(const reading_of *m, const tw_csv_row *row) {
    tw_strip *strip = NULL;
    size_t patch = 0;
    tw_lab seen = {0};
    tw_code code = find_strip(m, row, &strip);
    if (code == TW_OK)
        code = find_patch(m, row, strip, &patch);
    if (code == TW_OK)
        code = read_number(m, row, L, 0, 100, &seen.l);
    if (code == TW_OK)
        code = read_number(m, row, A, -150, 150, &seen.a);
    if (code == TW_OK)
        code = read_number(m, row, B, -150, 150, &seen.b);
    if (code != TW_OK)
        return code;
    tw_strip_reading *reading = &strip->readings.items[patch];
    if (reading->patch != NULL) {
        tw_fail(m->error, TW_INPUT, "measured-twice", "patch \"%s\" is measured twice",
                field(m, row, PATCH));
        tw_fail_hint(m->error, "keep one line of each patch");
        return at_line(m, TW_INPUT, row);
    }
    *reading = (tw_strip_reading){.patch = &strip->chart.patches[patch], .seen = seen};
    if (strip->chart.known)
        reading->difference = tw_ciede2000(reading->patch->intended, seen);
    return TW_OK;
}

/* ------------------------------------------------ all of them */

static void fail_unknown(const tw_strip *strip, tw_code code, tw_error *error) {
    const tw_paper *paper = &strip->job->papers[strip->paper_index];
    tw_fail(error, code, "measured-unknown",
            "paper \"%s\" is not converted to here, so nothing says what its patches should "
            "measure%s",
            paper->name, code == TW_OK ? ": they are not compared" : "");
    tw_fail_at(error, paper->place.file, paper->place.line, 0);
    tw_fail_hint(error, "give the paper a \"profile\" and let colour mode be auto or convert");
}

static tw_code warn_missing(const reading_of *m, const tw_strip *strip) {
    char list[256] = "";
    size_t length = 0, missing = 0;
    tw_error warning = {0};
    for (size_t i = 0; i < strip->chart.count; i++) {
        if (strip->readings.items[i].patch != NULL)
            continue;
        int put = snprintf(list + length, sizeof list - length, "%s%s", missing > 0 ? ", " : "",
                           strip->chart.patches[i].name);
        missing++;
        length += put > 0 && (size_t)put < sizeof list - length ? (size_t)put : 0;
    }
    if (missing == 0)
        return TW_OK;
    tw_fail(&warning, TW_OK, "measured-missing",
            "%zu of %zu patches on paper \"%s\" %s not "
            "measured: %s",
            missing, strip->chart.count, strip->job->papers[strip->paper_index].name,
            missing == 1 ? "is" : "are", list);
    tw_fail_at(&warning, m->path, 0, 0);
    tw_fail_hint(&warning, "mean and largest are of the measured ones");
    return tw_report_warning(m->report, &warning, m->error);
}

/* Closes the gaps. */
static void add_up(tw_strip *strip) {
    tw_strip_readings *r = &strip->readings;
    size_t measured = 0;
    double sum = 0;
    for (size_t i = 0; i < strip->chart.count; i++) {
        const tw_strip_reading one = r->items[i];
        if (one.patch == NULL)
            continue;
        r->items[measured++] = one;
        sum += one.difference;
        r->largest = one.difference > r->largest ? one.difference : r->largest;
    }
    r->count = measured;
    r->mean = measured > 0 ? sum / (double)measured : 0;
}

static void set_none(tw_strip *strip, const char *why) {
    strip->readings = (tw_strip_readings){.why_none = why};
}

static tw_code sum_up(const reading_of *m, tw_strip *strip) {
    tw_error warning = {0};
    if (!strip->chart.known) {
        set_none(strip, "the paper is not converted to here, so nothing says what its patches "
                        "should measure");
        fail_unknown(strip, TW_OK, &warning);
        return tw_report_warning(m->report, &warning, m->error);
    }
    tw_code code = warn_missing(m, strip);
    add_up(strip);
    if (strip->readings.count == 0)
        set_none(strip, "no patch on it is measured");
    return code;
}

/* Every line may be of papers that nothing is known of. */
static tw_code require_some(const reading_of *m) {
    for (size_t i = 0; i < m->count; i++)
        if (m->strips[i].readings.count > 0)
            return TW_OK;
    for (size_t i = 0; i < m->count; i++) {
        if (m->strips[i].chart.known)
            continue;
        fail_unknown(&m->strips[i], TW_INPUT, m->error);
        return TW_INPUT;
    }
    return TW_OK;
}

static bool anything_known(const reading_of *m) {
    for (size_t i = 0; i < m->count; i++)
        if (m->strips[i].chart.known)
            return true;
    return m->count == 0;
}

static tw_code start(const reading_of *m) {
    if (!anything_known(m)) {
        fail_unknown(&m->strips[0], TW_INPUT, m->error);
        return TW_INPUT;
    }
    for (size_t i = 0; i < m->count; i++) {
        tw_strip *strip = &m->strips[i];
        strip->readings.items =
            tw_arena_array(m->arena, strip->chart.count, sizeof *strip->readings.items);
        if (strip->readings.items == NULL)
            return tw_no_memory(m->error);
    }
    return TW_OK;
}

static tw_code nothing_below(const reading_of *m, const tw_csv_row *header) {
    tw_fail(m->error, TW_INPUT, "measured-none",
            "there is a heading and no line below it, so no patch is measured");
    tw_fail_hint(m->error, "a line for each patch that was measured, such as L50,52.4,0.3,-1.2%s",
                 m->at[PAPER] == SIZE_MAX ? "" : " and its paper");
    return at_line(m, TW_INPUT, header);
}

static tw_code read_table(reading_of *m) {
    char *text = NULL;
    size_t length = 0;
    tw_csv csv = {0};
    tw_code code = tw_file_read(m->arena, m->path, FILE_MOST, &text, &length, m->error);
    if (code == TW_OK)
        code = tw_csv_parse(m->arena, m->path, text, length, &csv, m->error);
    if (code == TW_OK)
        code = find_columns(m, &csv.header);
    if (code == TW_OK && csv.count == 0)
        code = nothing_below(m, &csv.header);
    for (size_t i = 0; i < csv.count && code == TW_OK; i++)
        code = read_row(m, &csv.rows[i]);
    return code;
}

tw_code tw_strip_measured(tw_arena *arena, const char *path, tw_strip *strips, size_t count,
                          tw_report *report, tw_error *error) {
    reading_of m = {.arena = arena,
                    .path = path,
                    .strips = strips,
                    .count = count,
                    .report = report,
                    .error = error};
    tw_code code = start(&m);
    if (code == TW_OK)
        code = read_table(&m);
    for (size_t i = 0; i < count && code == TW_OK; i++)
        code = sum_up(&m, &strips[i]);
    return code == TW_OK ? require_some(&m) : code;
}
