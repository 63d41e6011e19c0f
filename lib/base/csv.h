/*
 * CSV as RFC 4180 has it and as spreadsheets write it: separator , ; or tab found from the
 * header, a byte order mark tolerated, quoted fields that may hold line breaks, either newline.
 */
#ifndef TW_BASE_CSV_H
#define TW_BASE_CSV_H

#include "base/error.h"

typedef struct tw_csv_row {
    int line;              /* where the row begins in the file, from 1 */
    size_t count, written; /* fields; those the row itself has, without "" filled in */
    const char **fields;   /* UTF-8, blanks around unquoted fields removed */
} tw_csv_row;

typedef struct tw_csv {
    tw_csv_row header;
    tw_csv_row *rows; /* without rows that are wholly empty */
    size_t count;
    char separator;
} tw_csv;

/* Everything lives in the arena. Errors: not UTF-8, NUL bytes, a quote never closed, text after
 * a closing quote, a row with more fields than the header (trailing empty ones are forgiven),
 * no header, over TW_CSV_ROWS_MOST rows. Rows with fewer fields are filled with "". */
TW_USE_RESULT tw_code tw_csv_parse(tw_arena *arena, const char *file, const char *text,
                                   size_t length, tw_csv *out, tw_error *error);

#endif
