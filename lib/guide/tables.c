/*
 * Tables of the guide: columns of wrapped cells, rows that never split over a page, and a head
 * that is set again on every page the table reaches.
 */
#include "guide/pages.h"

#define CELL_GAP (2 * TW_MM)    /* free between two columns */
#define ROW_PAD (6 * TW_MM / 5) /* free above and below a row's lines */
#define CLOSE_PAD (3 * TW_MM / 4)
#define NOTE_LINES 4

tw_guide_table tw_guide_table_start(const tw_guide_column *columns, size_t count) {
    return (tw_guide_table){.columns = columns, .count = count, .head_due = true};
}

static tw_nm column_width(const tw_guide *g, const tw_guide_table *table, size_t index) {
    if (table->columns[index].width > 0)
        return table->columns[index].width;
    tw_nm left = g->right - g->left;
    for (size_t i = 0; i < table->count; i++)
        left -= table->columns[i].width;
    return left;
}

typedef struct row_lines {
    const char *lines[GUIDE_COLUMNS_MOST][GUIDE_CELL_LINES];
    size_t counts[GUIDE_COLUMNS_MOST];
    size_t most; /* lines of the tallest cell */
} row_lines;

static void break_row(tw_guide *g, const tw_guide_table *table, const char *const *cells,
                      row_lines *out) {
    out->most = 0;
    for (size_t i = 0; i < table->count; i++) {
        const char *cell = cells[i] == NULL ? "" : cells[i];
        tw_nm width = column_width(g, table, i) - CELL_GAP;
        out->counts[i] = tw_guide_wrap(g, cell, width, GUIDE_CELL, out->lines[i], GUIDE_CELL_LINES);
        if (out->counts[i] > out->most)
            out->most = out->counts[i];
    }
}

static tw_nm pad_of(const tw_guide *g, const tw_guide_table *table) {
    tw_nm pad = g->close ? CLOSE_PAD : ROW_PAD;
    return table->bare ? pad / 4 : pad;
}

static tw_nm lines_height(const tw_guide *g, const tw_guide_table *table, size_t lines) {
    return (tw_nm)lines * tw_guide_leading(GUIDE_CELL) + 2 * pad_of(g, table);
}

/* Set broken cells from the cursor on; the cursor stays. */
static void put_row(tw_guide *g, const tw_guide_table *table, const row_lines *row, bool head) {
    tw_nm x = g->left, pad = pad_of(g, table);
    for (size_t i = 0; i < table->count; i++) {
        tw_nm y = g->y + pad + GUIDE_ABOVE(GUIDE_CELL);
        for (size_t k = 0; k < row->counts[i]; k++, y += tw_guide_leading(GUIDE_CELL))
            tw_guide_put(g, x, y, GUIDE_CELL, TW_ALIGN_LEFT,
                         head || (k == 0 && table->columns[i].strong) ? GUIDE_BOLD : GUIDE_PLAIN,
                         row->lines[i][k]);
        x += column_width(g, table, i);
    }
}

static bool has_head(const tw_guide_table *table) {
    return table->columns[0].title != NULL;
}

static void break_head(tw_guide *g, const tw_guide_table *table, row_lines *out) {
    const char *titles[GUIDE_COLUMNS_MOST] = {NULL};
    for (size_t i = 0; i < table->count; i++)
        titles[i] = table->columns[i].title;
    break_row(g, table, titles, out);
}

static void put_head(tw_guide *g, tw_guide_table *table) {
    table->head_due = false;
    if (!has_head(table))
        return;
    row_lines head;
    break_head(g, table, &head);
    put_row(g, table, &head, true);
    g->y += lines_height(g, table, head.most);
    tw_guide_rule(g, g->left, g->y, g->right, g->y, GUIDE_PT(8), 0);
}

tw_nm tw_guide_row_height(tw_guide *g, const tw_guide_table *table, const char *const *cells) {
    row_lines row;
    break_row(g, table, cells, &row);
    tw_nm height = lines_height(g, table, row.most);
    if (table->head_due && has_head(table)) {
        break_head(g, table, &row);
        height += lines_height(g, table, row.most);
    }
    return height;
}

static void put_note(tw_guide *g, const tw_guide_table *table, const char *const *lines,
                     size_t count) {
    tw_nm indent = column_width(g, table, 0);
    for (size_t i = 0; i < count; i++, g->y += tw_guide_leading(GUIDE_CELL))
        tw_guide_put(g, g->left + indent, g->y + GUIDE_ABOVE(GUIDE_CELL), GUIDE_CELL, TW_ALIGN_LEFT,
                     GUIDE_BOLD, lines[i]);
    if (count > 0)
        g->y += pad_of(g, table);
}

void tw_guide_row(tw_guide *g, tw_guide_table *table, const char *const *cells, const char *note) {
    row_lines row;
    const char *notes[NOTE_LINES];
    tw_nm wide = g->right - g->left - column_width(g, table, 0);
    size_t note_count =
        note == NULL ? 0 : tw_guide_wrap(g, note, wide, GUIDE_CELL, notes, NOTE_LINES);
    tw_nm height = tw_guide_row_height(g, table, cells) +
                   (note_count == 0 ? 0 : lines_height(g, table, note_count));
    if (tw_guide_need(g, height))
        table->head_due = true;
    if (g->code != TW_OK)
        return;
    if (table->head_due)
        put_head(g, table);
    break_row(g, table, cells, &row);
    put_row(g, table, &row, false);
    g->y += lines_height(g, table, row.most);
    put_note(g, table, notes, note_count);
    if (!table->bare)
        tw_guide_rule(g, g->left, g->y, g->right, g->y, GUIDE_PT(3), 500);
}
