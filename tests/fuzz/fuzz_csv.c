/* Fuzz target: a table is refused with its line, or all its rows are as wide as its header. */
#include "base/csv.h"
#include "base/text.h"
#include "fuzz.h"

static void check_row(const tw_csv_row *row, size_t width) {
    must(row->count == width);
    for (size_t i = 0; i < width; i++)
        must(tw_utf8_valid(row->fields[i], strlen(row->fields[i])) == strlen(row->fields[i]));
}

static void check_table(const tw_csv *csv, size_t length) {
    int line = csv->header.line;
    must(csv->header.count > 0 && line >= 1);
    check_row(&csv->header, csv->header.count);
    for (size_t i = 0; i < csv->count; i++) {
        check_row(&csv->rows[i], csv->header.count);
        must(csv->rows[i].line > line && (size_t)csv->rows[i].line <= length);
        line = csv->rows[i].line;
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    tw_arena *arena = tw_arena_new(NULL, 0);
    tw_csv csv;
    tw_error error;
    tw_code code = tw_csv_parse(arena, "o.csv", (const char *)bytes, length, &csv, &error);
    if (code == TW_OK) {
        check_table(&csv, length);
    } else {
        must_be_sound(&error, code);
        must(error.line > 0);
    }
    tw_arena_free(arena);
    return 0;
}
