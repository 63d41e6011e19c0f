/* Filler lines: prints that may take a free place, and what they are worth. Read and checked
 * here; whether they are placed is the layout's. */
#include <string.h>

#include "base/text.h"
#include "job/job.h"
#include "job/readers.h"

#define MONEY_MOST 1000000000000 /* minor units: the sums of a day stay far from overflow */

static const tw_column ids[] = {TW_COL_IMAGE,  TW_COL_TEMPLATE,  TW_COL_PAPER,
                                TW_COL_COPIES, TW_COL_SELLS_FOR, TW_COL_CHANCE,
                                TW_COL_COST,   TW_COL_TITLE,     TW_COL_INTENT};
const tw_columns tw_filler_columns = {"fillers", ids, sizeof ids / sizeof ids[0], 2};

static bool has_letter(const char *text) {
    return strpbrk(text, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz") != NULL;
}

/* "129.00 EUR", or a bare "129.00" in a currency that is not said. */
static bool read_money(tw_lines *lines, const tw_csv_row *row, tw_column column, tw_money *out) {
    const char *text = tw_line_text(lines, row, column, TW_NAME_MOST, false);
    tw_error e = {0};
    tw_money money = {0, ""};
    bool good;
    if (text == NULL)
        return false;
    if (has_letter(text))
        good = tw_money_read(text, &money, &e) == TW_OK && money.minor <= MONEY_MOST;
    else
        good = tw_decimal_read(text, 2, MONEY_MOST, &money.minor);
    if (good) {
        *out = money;
        return true;
    }
    tw_table_fail(lines->table, row, &e, "bad-money",
                  "%s \"%s\" is not money; write \"12.50 EUR\" or \"12.50\"",
                  tw_table_heading(lines->table, column), text);
    return tw_problem(lines->r, &e);
}

/* "0.25" or "25%", in millionths; certain where nothing is said. */
static void read_chance(tw_lines *lines, const tw_csv_row *row, int64_t *out) {
    const char *text = tw_line_text(lines, row, TW_COL_CHANCE, 20, false);
    char digits[24];
    size_t length;
    bool percent;
    tw_error e = {0};
    *out = 1000000; /* who gives no chance believes that it sells */
    if (text == NULL)
        return;
    length = strlen(text);
    percent = text[length - 1] == '%';
    memcpy(digits, text, length + 1);
    digits[length - percent] = '\0';
    while (percent && length >= 2 && digits[length - 2] == ' ')
        digits[--length - 1] = '\0'; /* "25 %" */
    if (tw_decimal_read(digits, percent ? 4 : 6, 1000000, out))
        return;
    tw_table_fail(lines->table, row, &e, "bad-chance",
                  "%s \"%s\" is not a share; write 0.25 or 25%%, from 0 to 1",
                  tw_table_heading(lines->table, TW_COL_CHANCE), text);
    tw_problem(lines->r, &e);
}

/* Worth is compared from line to line, so one currency, or none, throughout. */
static void check_currency(tw_lines *lines, const tw_csv_row *row, const tw_money *money,
                           const char **currency) {
    tw_error e = {0};
    if (*currency == NULL)
        *currency = money->currency;
    if (strcmp(*currency, money->currency) == 0)
        return;
    tw_table_fail(lines->table, row, &e, "mixed-currency",
                  "money here is in %s and further up in %s; one currency is allowed",
                  money->currency[0] != '\0' ? money->currency : "no currency",
                  *currency[0] != '\0' ? *currency : "no currency");
    tw_problem(lines->r, &e);
}

static void read_line(tw_lines *lines, const tw_csv_row *row, tw_order *out,
                      const char **currency) {
    tw_line_read(lines, row, out);
    out->has_sells_for = read_money(lines, row, TW_COL_SELLS_FOR, &out->sells_for);
    if (out->has_sells_for)
        check_currency(lines, row, &out->sells_for, currency);
    if (read_money(lines, row, TW_COL_COST, &out->cost))
        check_currency(lines, row, &out->cost, currency);
    read_chance(lines, row, &out->chance);
}

void tw_fillers_read(tw_reader *r, const tw_table *table, tw_job_data *job) {
    size_t before = r->problems;
    const char *currency = NULL;
    tw_lines lines;
    job->fillers = tw_got(r, tw_arena_array(r->arena, table->csv.count, sizeof job->fillers[0]));
    if (tw_stopped(r) || !tw_lines_start(&lines, r, job, table))
        return;
    for (size_t i = 0; i < table->csv.count; i++) {
        const tw_csv_row *row = &table->csv.rows[i];
        if (tw_lines_enough(&lines, row, before))
            return;
        read_line(&lines, row, &job->fillers[job->filler_count++], &currency);
    }
}

tw_code tw_fillers_load(tw_arena *arena, const tw_json_value *value, tw_job_data *job,
                        tw_report *report, tw_error *error) {
    tw_table *table = tw_arena_take(arena, sizeof *table);
    tw_reader r;
    if (table == NULL)
        return tw_no_memory(error);
    tw_reader_start(&r, arena, report);
    if (tw_table_load(&r, value, job->folder, &tw_filler_columns, table))
        tw_fillers_read(&r, table, job);
    return tw_reader_end(&r, error);
}
