/*
 * CSV as RFC 4180 has it and as spreadsheets write it. The text is copied once into the arena
 * and its fields are unquoted in place: a field never grows, so each ends in a NUL at or before
 * its separator.
 */
#include "base/csv.h"

#include <string.h>

#include "base/limits.h"
#include "base/text.h"

typedef struct reader {
    tw_arena *arena;
    const char *file;
    char *at, *end;
    int line;
    char separator;
    const char *fields[TW_CSV_FIELDS_MOST]; /* of the row being read */
    size_t count;
    tw_error *error;
} reader;

static tw_code fail_at_line(reader *in, int line, const char *name, const char *message) {
    tw_fail(in->error, TW_INPUT, name, "%s", message);
    tw_fail_at(in->error, in->file, line, 0);
    return TW_INPUT;
}

static int line_of(const char *text, const char *place) {
    int line = 1;
    for (const char *at = text; at < place; at++)
        line += *at == '\n' || (*at == '\r' && at[1] != '\n');
    return line;
}

/* UTF-8 throughout and no NUL, told with the line. */
static tw_code check_bytes(reader *in, const char *text, size_t length) {
    size_t valid = tw_utf8_valid(text, length);
    const char *nul = memchr(text, '\0', valid);
    if (nul != NULL)
        return fail_at_line(in, line_of(text, nul), "nul-byte",
                            "there is a NUL byte here: this is not a text file");
    if (valid == length)
        return TW_OK;
    tw_fail(in->error, TW_INPUT, "not-utf8", "byte 0x%02X here is not UTF-8",
            (unsigned)(unsigned char)text[valid]);
    tw_fail_at(in->error, in->file, line_of(text, text + valid), 0);
    tw_fail_hint(in->error, "save the file as CSV UTF-8");
    return TW_INPUT;
}

static bool at_line_end(const reader *in) {
    return in->at >= in->end || *in->at == '\n' || *in->at == '\r';
}

/* Past CR LF, LF or CR, each one line. */
static void skip_line_end(reader *in) {
    if (in->at >= in->end)
        return;
    if (*in->at == '\r' && in->at + 1 < in->end && in->at[1] == '\n')
        in->at++;
    in->at++;
    in->line++;
}

static bool is_blank(const reader *in, char c) {
    return c == ' ' || (c == '\t' && in->separator != '\t');
}

static void skip_blanks(reader *in) {
    while (in->at < in->end && is_blank(in, *in->at))
        in->at++;
}

/* After the opening quote: copies down to `out` until the closing one; a line break inside
 * becomes one LF. Returns the end of the copy, or NULL when the quote never closes. */
static char *unquote(reader *in, char *out) {
    while (in->at < in->end) {
        char c = *in->at;
        if (c == '"') {
            in->at++;
            if (in->at >= in->end || *in->at != '"')
                return out;
            in->at++;
        } else if (c == '\n' || c == '\r') {
            skip_line_end(in);
            c = '\n';
        } else {
            in->at++;
        }
        *out++ = c;
    }
    return NULL;
}

static tw_code quoted_field(reader *in, const char **out, char **stop) {
    int line = in->line;
    char *start = ++in->at;
    *out = start;
    *stop = unquote(in, start);
    if (*stop == NULL)
        return fail_at_line(in, line, "open-quote", "a quote opened here is never closed");
    skip_blanks(in);
    if (at_line_end(in) || *in->at == in->separator)
        return TW_OK;
    tw_fail(in->error, TW_INPUT, "text-after-quote",
            "there is text after a closing quote; a quote inside a field is written twice");
    tw_fail_at(in->error, in->file, in->line, 0);
    return TW_INPUT;
}

/* A quote inside an unquoted field stands for itself: shop exports write 8" like that. */
static void plain_field(reader *in, const char **out, char **stop) {
    *out = in->at;
    while (!at_line_end(in) && *in->at != in->separator)
        in->at++;
    *stop = in->at;
    while (*stop > *out && is_blank(in, (*stop)[-1]))
        (*stop)--;
}

static tw_code too_many_fields(reader *in) {
    tw_fail(in->error, TW_INPUT, "too-many-fields", "this row has more than %d fields",
            TW_CSV_FIELDS_MOST);
    tw_fail_at(in->error, in->file, in->line, 0);
    return TW_INPUT;
}

/* Reads one row into in->fields; `*more` is false when the text is used up. */
static tw_code read_row(reader *in) {
    in->count = 0;
    for (bool going = true; going;) {
        char *stop;
        tw_code code = TW_OK;
        if (in->count == TW_CSV_FIELDS_MOST)
            return too_many_fields(in);
        skip_blanks(in);
        if (in->at < in->end && *in->at == '"')
            code = quoted_field(in, &in->fields[in->count], &stop);
        else
            plain_field(in, &in->fields[in->count], &stop);
        if (code != TW_OK)
            return code;
        in->count++;
        going = !at_line_end(in); /* looked at before the NUL may cover it */
        if (going)
            in->at++;
        else
            skip_line_end(in);
        *stop = '\0';
    }
    return TW_OK;
}

static bool row_is_empty(const reader *in) {
    for (size_t i = 0; i < in->count; i++)
        if (in->fields[i][0] != '\0')
            return false;
    return true;
}

/* The next row with anything in it; *found is false at the end of the text. */
static tw_code next_row(reader *in, int *line, bool *found) {
    *found = false;
    while (in->at < in->end) {
        *line = in->line;
        tw_code code = read_row(in);
        if (code != TW_OK)
            return code;
        *found = !row_is_empty(in);
        if (*found)
            break;
    }
    return TW_OK;
}

/* The separator seen most in the first line that is not bare, outside quotes; on a tie the first
 * of comma, semicolon, tab. */
static char find_separator(const reader *in) {
    static const char known[] = ",;\t";
    size_t seen[3] = {0}, best = 0;
    bool quoted = false, begun = false;
    for (const char *at = in->at; at < in->end; at++) {
        bool ends = !quoted && (*at == '\n' || *at == '\r');
        if (ends && begun)
            break;
        begun = begun || !ends;
        quoted ^= *at == '"';
        const char *which = quoted ? NULL : strchr(known, *at);
        if (which != NULL)
            seen[which - known]++;
    }
    for (size_t i = 1; i < 3; i++)
        if (seen[i] > seen[best])
            best = i;
    return known[best];
}

/* Copies the row's fields into the arena, filled up to `width` with "". */
static tw_code keep_row(reader *in, int line, size_t width, tw_csv_row *out) {
    const char **fields = tw_arena_array(in->arena, width, sizeof *fields);
    if (fields == NULL)
        return tw_no_memory(in->error);
    for (size_t i = 0; i < width; i++)
        fields[i] = i < in->count ? in->fields[i] : "";
    *out = (tw_csv_row){line, width, in->count, fields};
    return TW_OK;
}

/* Trailing empty fields past the header are forgiven, other ones are not. */
static tw_code check_width(reader *in, int line, size_t width) {
    while (in->count > width && in->fields[in->count - 1][0] == '\0')
        in->count--;
    if (in->count <= width)
        return TW_OK;
    tw_fail(in->error, TW_INPUT, "too-many-fields", "this row has %zu fields, the header has %zu",
            in->count, width);
    tw_fail_at(in->error, in->file, line, 0);
    tw_fail_hint(in->error, "put a field that holds the separator into double quotes");
    return TW_INPUT;
}

static tw_code check_count(reader *in, int line, size_t count, size_t width) {
    if (count < TW_CSV_ROWS_MOST && (count + 1) * width <= TW_CSV_CELLS_MOST)
        return TW_OK;
    tw_fail(in->error, TW_INPUT, "too-many-rows",
            "there are too many rows: at most %d, and %d fields in all", TW_CSV_ROWS_MOST,
            TW_CSV_CELLS_MOST);
    tw_fail_at(in->error, in->file, line, 0);
    return TW_INPUT;
}

static tw_code read_rows(reader *in, tw_csv *csv) {
    size_t room = 0, width = csv->header.count;
    for (;;) {
        int line;
        bool found;
        tw_code code = next_row(in, &line, &found);
        if (code != TW_OK || !found)
            return code;
        if ((code = check_width(in, line, width)) != TW_OK ||
            (code = check_count(in, line, csv->count, width)) != TW_OK)
            return code;
        tw_csv_row *rows = tw_arena_grow(in->arena, csv->rows, csv->count, &room, sizeof *rows);
        if (rows == NULL)
            return tw_no_memory(in->error);
        csv->rows = rows;
        if ((code = keep_row(in, line, width, &rows[csv->count])) != TW_OK)
            return code;
        csv->count++;
    }
}

static tw_code read_all(reader *in, tw_csv *csv) {
    int line;
    bool found;
    in->separator = csv->separator = find_separator(in);
    tw_code code = next_row(in, &line, &found);
    if (code != TW_OK)
        return code;
    if (!found)
        return fail_at_line(in, 1, "no-header",
                            "the file is empty: the first line must name the columns");
    code = keep_row(in, line, in->count, &csv->header);
    return code == TW_OK ? read_rows(in, csv) : code;
}

tw_code tw_csv_parse(tw_arena *arena, const char *file, const char *text, size_t length,
                     tw_csv *out, tw_error *error) {
    reader in = {.arena = arena, .file = file, .line = 1, .error = error};
    tw_csv csv = {0};
    if (length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) {
        text += 3;
        length -= 3;
    }
    tw_code code = check_bytes(&in, text, length);
    if (code != TW_OK)
        return code;
    in.at = tw_arena_copy(arena, text, length);
    if (in.at == NULL)
        return tw_no_memory(error);
    in.end = in.at + length;
    code = read_all(&in, &csv);
    if (code == TW_OK)
        *out = csv;
    return code;
}
