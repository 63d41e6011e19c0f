/*
 * Cells and patches into rows no wider than what they go on. Cells stand edge to edge, their
 * captions below; the heading's words are broken to the width.
 */
#include "proof/strip.h"

#include "base/face.h"

#include <string.h>

size_t tw_strip_spots(const tw_strip_subject *subjects, size_t count, size_t columns,
                      tw_strip_spot *out) {
    size_t column = 0, row = 0;
    for (size_t i = 0; i < count; i++) {
        const tw_strip_subject *s = &subjects[i];
        bool fits = s->count <= columns - column;
        if (column > 0 && !fits) {
            column = 0;
            row++;
        }
        for (size_t n = 0; n < s->count; n++) {
            if (column == columns) {
                column = 0;
                row++;
            }
            if (out != NULL)
                out[s->first + n] = (tw_strip_spot){column, row};
            column++;
        }
    }
    return count == 0 ? 0 : row + 1;
}

/* ------------------------------------------------ the heading */

static tw_code add_line(tw_arena *arena, tw_strip_flow *flow, const char *text, size_t length) {
    const char **lines = tw_arena_array(arena, flow->line_count + 1, sizeof *lines);
    char *line = tw_arena_copy(arena, text, length);
    if (lines == NULL || line == NULL)
        return TW_MEMORY;
    if (flow->line_count > 0)
        memcpy(lines, flow->lines, flow->line_count * sizeof *lines);
    lines[flow->line_count++] = line;
    flow->lines = lines;
    return TW_OK;
}

/* As many characters of a word as fit, one at least: beside a strip may lie a print. */
static size_t part_that_fits(tw_arena *arena, const char *text, size_t length, tw_nm width) {
    char *line = tw_arena_copy(arena, text, length);
    while (line != NULL && tw_face_width(line, TW_STRIP_EM) > width) {
        size_t less = length - 1;
        while (less > 0 && ((unsigned char)text[less] & 0xC0) == 0x80)
            less--;
        if (less == 0)
            break;
        length = less;
        line[length] = '\0';
    }
    return line == NULL ? 0 : length;
}

/* As many words as fit, of one that does not fit by itself a part. */
static size_t words_that_fit(tw_arena *arena, const char *text, tw_nm width) {
    size_t good = 0, at = 0;
    while (text[at] != '\0') {
        size_t end = at + strcspn(text + at, " ");
        char *line = tw_arena_copy(arena, text, end);
        if (line == NULL)
            return 0;
        if (tw_face_width(line, TW_STRIP_EM) > width)
            return good > 0 ? good : part_that_fits(arena, text, end, width);
        good = end;
        at = end + strspn(text + end, " ");
    }
    return good;
}

static tw_code break_text(tw_arena *arena, const char *text, tw_nm width, tw_strip_flow *flow) {
    tw_code code = TW_OK;
    while (*text != '\0' && code == TW_OK) {
        size_t length = words_that_fit(arena, text, width);
        code = length == 0 ? TW_MEMORY : add_line(arena, flow, text, length);
        text += length;
        text += strspn(text, " ");
    }
    return code;
}

static tw_code make_lines(tw_arena *arena, const tw_strip *strip, tw_nm width,
                          tw_strip_flow *flow) {
    const tw_job_data *job = strip->job;
    const char *name = job->name == NULL ? "" : job->name;
    char *first = tw_arena_print(arena,
                                 "Test strip \xC2\xB7 %s%s%s \xC2\xB7 100 %%, details at "
                                 "print scale",
                                 name, name[0] == '\0' ? "" : " \xC2\xB7 ",
                                 job->papers[strip->paper_index].name);
    const char *path = tw_strip_print_path(arena, strip);
    const char *intents = tw_strip_intents(arena, strip);
    if (first == NULL || path == NULL || intents == NULL)
        return TW_MEMORY;
    const char *second = tw_arena_print(arena, "%s %s", path, intents);
    if (second == NULL)
        return TW_MEMORY;
    const char *const texts[] = {first, second, TW_STRIP_ADVICE};
    tw_code code = TW_OK;
    for (size_t i = 0; i < 3 && code == TW_OK; i++)
        code = break_text(arena, texts[i], width, flow);
    return code;
}

/* ------------------------------------------------ rows */

static size_t rows_of(size_t count, size_t columns) {
    return (count + columns - 1) / columns;
}

/* Wedge and patches begin a row each, unless one row holds them all. */
static size_t patch_rows(const tw_strip_chart *chart, size_t columns) {
    if (columns >= chart->count)
        return 1;
    return rows_of(chart->wedge, columns) + rows_of(chart->count - chart->wedge, columns);
}

static size_t columns_used(const tw_strip_subject *subjects, size_t count,
                           const tw_strip_spot *spots) {
    size_t most = 0;
    for (size_t i = 0; i < count; i++)
        for (size_t n = 0; n < subjects[i].count; n++) {
            size_t column = spots[subjects[i].first + n].column + 1;
            most = column > most ? column : most;
        }
    return most;
}

bool tw_strip_flow_make(tw_arena *arena, const tw_strip *strip, tw_nm width, tw_strip_flow *out,
                        tw_code *code) {
    tw_strip_flow f = {0};
    size_t fit = width < 0 ? 0 : (size_t)(width / strip->side);
    size_t patches = width < 0 ? 0 : (size_t)(width / TW_STRIP_PATCH);
    if (fit == 0 || patches == 0)
        return false;
    tw_strip_spot *spots = tw_arena_array(arena, strip->cell_count, sizeof *spots);
    if (spots == NULL) {
        *code = TW_MEMORY;
        return false;
    }
    f.rows = tw_strip_spots(strip->subjects, strip->subject_count, fit, spots);
    f.columns = columns_used(strip->subjects, strip->subject_count, spots);
    f.patch_columns = patches < strip->chart.count ? patches : strip->chart.count;
    f.patch_rows = strip->chart.count == 0 ? 0 : patch_rows(&strip->chart, f.patch_columns);
    tw_nm cells = (tw_nm)f.columns * strip->side, row = (tw_nm)f.patch_columns * TW_STRIP_PATCH;
    f.size.width = cells > row ? cells : row;
    *code = make_lines(arena, strip, f.size.width, &f);
    f.size.height = (tw_nm)f.line_count * TW_STRIP_LINE + TW_MM +
                    (tw_nm)f.rows * (strip->side + TW_STRIP_CAPTION) +
                    (tw_nm)f.patch_rows * (TW_STRIP_PATCH + TW_STRIP_LINE);
    *out = f;
    return *code == TW_OK;
}
