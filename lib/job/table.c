/* A CSV file people write: where it is, which of its columns is which, and where its problems
 * are. What the fields mean is for orders.c and fillers.c. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/file.h"
#include "base/limits.h"
#include "base/text.h"
#include "job/readers.h"

#define COLUMN_NAMES                                                                               \
    "order", "image", "template", "buyer", "paper", "copies", "title", "due", "note", "price",     \
        "address", "edition", "accept", "set", "sells_for", "chance", "cost", "intent"
static const char *const column_names[TW_COLUMNS] = {COLUMN_NAMES};

static const char *const source_names[] = {"file", "columns"};

/* The names of one kind of table, in its own order. Returns how many. */
static size_t names_of(const tw_columns *columns, const char *out[TW_COLUMNS]) {
    for (size_t i = 0; i < columns->count; i++)
        out[i] = column_names[columns->ids[i]];
    return columns->count;
}

/* "columns": our name to the heading it is under. */
static void read_mapping(tw_reader *r, const tw_json_value *value, const tw_columns *columns,
                         tw_table *table) {
    const char *names[TW_COLUMNS] = {NULL};
    tw_keys keys = {"columns", names, 0, 0};
    const tw_json_value *map;
    keys.count = names_of(columns, names);
    map = tw_take_object(r, value, "columns", &keys);
    for (size_t i = 0; map != NULL && i < columns->count; i++)
        tw_take_name(r, map, names[i], &table->mapped[columns->ids[i]]);
}

bool tw_table_source(tw_reader *r, const tw_json_value *value, const tw_columns *columns,
                     tw_table *table) {
    size_t before = r->problems;
    const tw_keys source_keys = {columns->what, source_names, 2, 1};
    memset(table, 0, sizeof *table);
    if (tw_json_kind_of(value) == TW_JSON_OBJECT) {
        if (tw_read_keys(r, value, &source_keys)) {
            tw_take_path(r, value, "file", &table->file);
            read_mapping(r, value, columns, table);
        }
    } else {
        tw_read_path(r, value, columns->what, &table->file);
    }
    return r->problems == before && table->file != NULL && !tw_stopped(r);
}

static size_t find_heading(const tw_csv_row *header, const char *name,
                           bool (*same)(const char *, const char *), size_t *found) {
    size_t at = SIZE_MAX;
    *found = 0;
    for (size_t i = 0; i < header->count; i++)
        if (same(header->fields[i], name) && (*found)++ == 0)
            at = i;
    return at;
}

/* Exact first; then the only one that differs in case alone. */
static void find_column(tw_reader *r, tw_table *table, tw_column column, bool required) {
    const char *name = tw_table_heading(table, column);
    size_t found = 0;
    tw_error e = {0};
    size_t at = find_heading(&table->csv.header, name, tw_same_name, &found);
    if (found == 0)
        at = find_heading(&table->csv.header, name, tw_same_ignoring_case, &found);
    table->at[column] = at;
    if (found == 1 || (found == 0 && !required && table->mapped[column] == NULL))
        return;
    if (found > 1) {
        tw_table_fail(table, &table->csv.header, &e, "column-twice",
                      "the column \"%s\" is there %zu times", name, found);
        tw_fail_hint(&e, "keep the one that is meant");
    } else {
        const char *near = tw_nearest(name, table->csv.header.fields, table->csv.header.count);
        tw_table_fail(table, &table->csv.header, &e, "column-missing", "there is no column \"%s\"",
                      name);
        if (near != NULL && near[0] != '\0')
            tw_fail_hint(&e, "nearest: \"%s\"", near);
        else
            tw_fail_hint(
                &e, "the first line names the columns; \"columns\" in the job says what a shop "
                    "calls it");
    }
    tw_problem(r, &e);
}

/* One that stands here again, which was said to be an error. */
static bool is_doubled(const tw_table *table, tw_column column, const char *heading) {
    const char *name = tw_table_heading(table, column);
    size_t at = table->at[column];
    if (at == SIZE_MAX || tw_same_name(heading, name))
        return at != SIZE_MAX;
    return !tw_same_name(table->csv.header.fields[at], name) &&
           tw_same_ignoring_case(heading, name);
}

/* A heading that is none of ours but nearly so: perhaps a slip of the pen. */
static void warn_near_miss(tw_reader *r, const tw_table *table, const tw_columns *columns,
                           size_t index) {
    const char *heading = table->csv.header.fields[index], *names[TW_COLUMNS], *near;
    size_t count = names_of(columns, names);
    tw_error e = {0};
    for (size_t i = 0; i < columns->count; i++)
        if (table->at[columns->ids[i]] == index || is_doubled(table, columns->ids[i], heading))
            return;
    near = heading[0] == '\0' ? NULL : tw_nearest(heading, names, count);
    if (near == NULL)
        return;
    tw_table_fail(table, &table->csv.header, &e, "column-near-miss",
                  "the column \"%s\" is not known and is left alone", heading);
    tw_fail_hint(&e, "nearest: \"%s\"", near);
    tw_notice(r, &e);
}

bool tw_table_parse(tw_reader *r, const char *text, size_t length, const tw_columns *columns,
                    tw_table *table) {
    size_t before = r->problems;
    tw_error e = {0};
    for (size_t i = 0; i < TW_COLUMNS; i++)
        table->at[i] = SIZE_MAX;
    if (tw_csv_parse(r->arena, table->file, text, length, &table->csv, &e) != TW_OK)
        return tw_problem(r, &e);
    for (size_t i = 0; i < columns->count; i++)
        find_column(r, table, columns->ids[i], i < columns->required);
    for (size_t i = 0; i < table->csv.header.count; i++)
        warn_near_miss(r, table, columns, i);
    return r->problems == before && !tw_stopped(r);
}

/* Columns of the shop's own that we do not read are missed by nobody. */
void tw_table_warn_short(tw_reader *r, const tw_table *table, const tw_csv_row *row) {
    char missing[200] = "";
    size_t used = 0, count = 0;
    tw_error e = {0};
    for (size_t at = row->written; at < row->count; at++)
        for (size_t c = 0; c < TW_COLUMNS; c++) {
            if (table->at[c] != at)
                continue;
            count++;
            int more = snprintf(missing + used, sizeof missing - used, "%s%.40s",
                                used == 0 ? "" : ", ", table->csv.header.fields[at]);
            used += more > 0 && (size_t)more < sizeof missing - used ? (size_t)more : 0;
        }
    if (count == 0)
        return;
    missing[used] = '\0';
    tw_table_fail(table, row, &e, "row-short",
                  "this row has %zu fields, the header has %zu: %s %s taken as empty", row->written,
                  row->count, missing, count == 1 ? "is" : "are");
    tw_fail_hint(&e, "end it with a separator for each, or mend what is cut off");
    tw_notice(r, &e);
}

bool tw_table_load(tw_reader *r, const tw_json_value *value, const char *folder,
                   const tw_columns *columns, tw_table *table) {
    const char *path;
    char *text = NULL;
    size_t length = 0;
    tw_error e = {0};
    if (!tw_table_source(r, value, columns, table))
        return false;
    path = tw_got(r, tw_path_join(r->arena, folder, table->file));
    if (path == NULL)
        return false;
    if (tw_file_read(r->arena, path, TW_CSV_BYTES_MOST, &text, &length, &e) != TW_OK)
        return tw_unreadable(r, table->file, value, &e);
    return tw_table_parse(r, text, length, columns, table);
}

const char *tw_table_field(const tw_table *table, const tw_csv_row *row, tw_column column) {
    return table->at[column] < row->count ? row->fields[table->at[column]] : "";
}

const char *tw_table_heading(const tw_table *table, tw_column column) {
    return table->mapped[column] != NULL ? table->mapped[column] : column_names[column];
}

void tw_table_fail(const tw_table *table, const tw_csv_row *row, tw_error *e, const char *name,
                   const char *format, ...) {
    char sentence[sizeof e->message];
    va_list words;
    va_start(words, format);
    vsnprintf(sentence, sizeof sentence, format, words);
    va_end(words);
    tw_fail(e, TW_INPUT, name, "%s", sentence);
    tw_fail_at(e, table->file, row->line, 0);
}
