/* Order lines: prints somebody bought, from the shop's CSV. */
#include <string.h>

#include "base/text.h"
#include "job/job.h"
#include "job/readers.h"

#define TEXT_MOST 2000 /* bytes of a note or an address */

static const tw_column ids[] = {TW_COL_ORDER,  TW_COL_IMAGE,  TW_COL_TEMPLATE, TW_COL_BUYER,
                                TW_COL_PAPER,  TW_COL_COPIES, TW_COL_TITLE,    TW_COL_DUE,
                                TW_COL_NOTE,   TW_COL_PRICE,  TW_COL_ADDRESS,  TW_COL_EDITION,
                                TW_COL_ACCEPT, TW_COL_SET,    TW_COL_INTENT};
const tw_columns tw_order_columns = {"orders", ids, sizeof ids / sizeof ids[0], 3};

static const char *read_due(tw_lines *lines, const tw_csv_row *row) {
    const char *text = tw_line_text(lines, row, TW_COL_DUE, TW_NAME_MOST, false);
    tw_error e = {0};
    if (text == NULL || tw_date_valid(text))
        return text;
    tw_table_fail(lines->table, row, &e, "bad-date",
                  "%s \"%s\" is not a day of the calendar; write it as 2027-03-06",
                  tw_table_heading(lines->table, TW_COL_DUE), text);
    tw_problem(lines->r, &e);
    return NULL;
}

/* Kept as text; one that no cost can be worked out from is said so, and stops nothing. */
static const char *read_price(tw_lines *lines, const tw_csv_row *row) {
    const char *text = tw_line_text(lines, row, TW_COL_PRICE, TW_NAME_MOST, false);
    tw_money money;
    int64_t bare;
    tw_error e = {0};
    if (text == NULL || tw_decimal_read(text, 2, INT64_MAX, &bare) ||
        tw_money_read(text, &money, NULL) == TW_OK)
        return text;
    tw_table_fail(lines->table, row, &e, "price-unclear",
                  "%s \"%s\" is not money such as \"129.00 EUR\"; it is kept as text",
                  tw_table_heading(lines->table, TW_COL_PRICE), text);
    tw_notice(lines->r, &e);
    return text;
}

static bool is_between(char c) {
    return c == ' ' || c == ';' || c == ',';
}

/* Warning names, separated by blanks, ; or , */
static void read_accept(tw_lines *lines, const tw_csv_row *row, tw_order *out) {
    const char *at = tw_line_text(lines, row, TW_COL_ACCEPT, TEXT_MOST, false);
    tw_arena *arena = lines->r->arena;
    if (at == NULL)
        return;
    out->accept = tw_got(lines->r, tw_arena_array(arena, strlen(at) / 2 + 1, sizeof(char *)));
    while (!tw_stopped(lines->r)) {
        size_t length = 0;
        while (is_between(*at))
            at++;
        while (at[length] != '\0' && !is_between(at[length]))
            length++;
        if (length == 0)
            return;
        out->accept[out->accept_count++] = tw_got(lines->r, tw_arena_copy(arena, at, length));
        at += length;
    }
}

static void read_line(tw_lines *lines, const tw_csv_row *row, tw_order *out) {
    tw_line_read(lines, row, out);
    out->order = tw_line_text(lines, row, TW_COL_ORDER, TW_NAME_MOST, true);
    out->buyer = tw_line_text(lines, row, TW_COL_BUYER, TW_PATH_MOST, false);
    out->due = read_due(lines, row);
    out->note = tw_line_text(lines, row, TW_COL_NOTE, TEXT_MOST, false);
    out->price = read_price(lines, row);
    out->address = tw_line_text(lines, row, TW_COL_ADDRESS, TEXT_MOST, false);
    out->edition = tw_line_text(lines, row, TW_COL_EDITION, TW_NAME_MOST, false);
    out->set = tw_line_text(lines, row, TW_COL_SET, TW_NAME_MOST, false);
    read_accept(lines, row, out);
}

void tw_orders_read(tw_reader *r, const tw_table *table, tw_job_data *job) {
    size_t before = r->problems;
    tw_lines lines;
    tw_error e = {0};
    if (table->csv.count == 0) {
        tw_table_fail(table, &table->csv.header, &e, "no-orders",
                      "there are no order lines below the heading");
        tw_problem(r, &e);
        return;
    }
    job->orders = tw_got(r, tw_arena_array(r->arena, table->csv.count, sizeof job->orders[0]));
    if (tw_stopped(r) || !tw_lines_start(&lines, r, job, table))
        return;
    for (size_t i = 0; i < table->csv.count; i++) {
        const tw_csv_row *row = &table->csv.rows[i];
        if (tw_lines_enough(&lines, row, before))
            return;
        read_line(&lines, row, &job->orders[job->order_count++]);
    }
}

tw_code tw_orders_load(tw_arena *arena, const tw_json_value *value, tw_job_data *job,
                       tw_report *report, tw_error *error) {
    tw_table *table = tw_arena_take(arena, sizeof *table);
    tw_reader r;
    if (table == NULL)
        return tw_no_memory(error);
    tw_reader_start(&r, arena, report);
    if (tw_table_load(&r, value, job->folder, &tw_order_columns, table))
        tw_orders_read(&r, table, job);
    return tw_reader_end(&r, error);
}
