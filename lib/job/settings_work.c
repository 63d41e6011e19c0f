/*
 * What the work at the trimmer is worth, which plan is wanted, and the lengths a sheet may have:
 * read from the job's "layout", then held against its papers.
 */
#include <string.h>

#include "job/job.h"
#include "job/readers.h"

#define WORK_MOST 100000000 /* minor units: a million euros a cut */
#define LENGTHS_MOST 32
#define SHEET_LEAST (10 * TW_MM)
#define SHEET_MOST (5080 * TW_MM) /* 14 400 units of 1/72 in: ISO 32000-1 Annex C */
#define COUNT(a) (sizeof(a) / sizeof(a)[0])

static bool take_work(tw_reader *r, const tw_json_value *layout, const char *key, tw_money *out) {
    tw_money money = {0}, most;
    char seen[TW_LENGTH_TEXT], allowed[TW_LENGTH_TEXT];
    tw_error e = {0};
    if (!tw_take_money(r, layout, key, &money))
        return false;
    if (money.minor <= WORK_MOST) {
        *out = money;
        return true;
    }
    most = money;
    most.minor = WORK_MOST;
    tw_json_fail(tw_json_get(layout, key), &e, TW_INPUT, "out-of-range",
                 "\"%s\" is %s; it may be up to %s", key, tw_money_text(money, seen),
                 tw_money_text(most, allowed));
    return tw_problem(r, &e);
}

static bool take_one_length(tw_reader *r, const tw_json_value *value, tw_nm *out) {
    char seen[TW_LENGTH_TEXT], least[TW_LENGTH_TEXT], most[TW_LENGTH_TEXT];
    tw_error e = {0};
    if (tw_json_length(value, out, &e) != TW_OK) {
        tw_name_key(&e, "sheet_lengths");
        return tw_problem(r, &e);
    }
    if (*out >= SHEET_LEAST && *out <= SHEET_MOST)
        return true;
    tw_json_fail(value, &e, TW_INPUT, "out-of-range",
                 "\"sheet_lengths\" holds %s; a sheet may be from %s to %s long",
                 tw_length_both(*out, seen), tw_length_both(SHEET_LEAST, least),
                 tw_length_both(SHEET_MOST, most));
    return tw_problem(r, &e);
}

/* Shortest first, each once. */
static void insert(tw_job_data *job, tw_nm length) {
    size_t at = job->sheet_length_count;
    for (size_t i = 0; i < at; i++)
        if (job->sheet_lengths[i] == length)
            return;
    for (; at > 0 && job->sheet_lengths[at - 1] > length; at--)
        job->sheet_lengths[at] = job->sheet_lengths[at - 1];
    job->sheet_lengths[at] = length;
    job->sheet_length_count++;
}

static void take_lengths(tw_reader *r, const tw_json_value *layout, tw_job_data *job) {
    const tw_json_value *list = tw_json_get(layout, "sheet_lengths");
    size_t count = tw_json_count(list);
    tw_error e = {0};
    if (list == NULL)
        return;
    if (tw_json_kind_of(list) != TW_JSON_ARRAY || count < 1 || count > LENGTHS_MOST) {
        tw_json_fail(list, &e, TW_INPUT, "wrong-kind",
                     "\"sheet_lengths\" must be a list of 1 to %d lengths, such as [\"20in\"]",
                     LENGTHS_MOST);
        tw_problem(r, &e);
        return;
    }
    job->sheet_lengths = tw_got(r, tw_arena_array(r->arena, count, sizeof *job->sheet_lengths));
    for (size_t i = 0; i < count && !tw_stopped(r); i++) {
        tw_nm length = 0;
        if (take_one_length(r, tw_json_item(list, i), &length))
            insert(job, length);
    }
}

void tw_work_read(tw_reader *r, const tw_json_value *layout, tw_job_data *job) {
    static const char *const plans[] = {"price", "paper", "cuts", "rows"};
    size_t plan = 0;
    job->has_hand_cut = take_work(r, layout, "hand_cut", &job->hand_cut);
    job->has_stop_change = take_work(r, layout, "stop_change", &job->stop_change);
    take_lengths(r, layout, job);
    if (tw_take_choice(r, layout, "plan", plans, COUNT(plans), &plan))
        job->plan = (tw_plan_by)plan;
}

/* ---------------------------------------------------------------- against the papers */

static bool check_currency(tw_reader *r, const tw_json_value *layout, const char *key,
                           tw_money money, const char *of, const char *currency) {
    tw_error e = {0};
    if (strcmp(money.currency, currency) == 0)
        return true;
    tw_json_fail(tw_json_get(layout, key), &e, TW_INPUT, "currency-differs",
                 "\"%s\" is in %s and %s in %s; both must be in one currency", key, money.currency,
                 of, currency);
    return tw_problem(r, &e);
}

static void check_currencies(tw_reader *r, const tw_json_value *layout, const tw_job_data *job) {
    if (job->has_hand_cut && job->has_stop_change &&
        !check_currency(r, layout, "stop_change", job->stop_change, "\"hand_cut\"",
                        job->hand_cut.currency))
        return;
    for (size_t i = 0; i < job->paper_count && !tw_stopped(r); i++) {
        const tw_paper *paper = &job->papers[i];
        const char *of;
        if (!paper->has_price)
            continue;
        of = tw_got(r, tw_arena_print(r->arena, "the price of paper \"%s\"", paper->name));
        if (of == NULL)
            return;
        if (job->has_hand_cut)
            (void)check_currency(r, layout, "hand_cut", job->hand_cut, of, paper->price.currency);
        if (job->has_stop_change)
            (void)check_currency(r, layout, "stop_change", job->stop_change, of,
                                 paper->price.currency);
    }
}

bool tw_paper_takes(const tw_paper *paper, tw_nm length) {
    return paper->kind == TW_ROLL && length >= paper->shortest_sheet &&
           length <= paper->longest_sheet;
}

/* A roll that takes none of the lengths could hold nothing. */
static void check_roll(tw_reader *r, const tw_json_value *list, const tw_job_data *job,
                       const tw_paper *paper) {
    char shortest[TW_LENGTH_TEXT], longest[TW_LENGTH_TEXT];
    tw_error e = {0};
    for (size_t i = 0; i < job->sheet_length_count; i++)
        if (tw_paper_takes(paper, job->sheet_lengths[i]))
            return;
    tw_json_fail(list, &e, TW_INPUT, "sheet-lengths",
                 "\"sheet_lengths\" has no length that paper \"%s\" takes: its sheets are from %s "
                 "to %s long",
                 paper->name, tw_length_both(paper->shortest_sheet, shortest),
                 tw_length_both(paper->longest_sheet, longest));
    tw_problem(r, &e);
}

static void check_lengths(tw_reader *r, const tw_json_value *list, const tw_job_data *job) {
    size_t rolls = 0;
    tw_error e = {0};
    if (job->sheet_length_count == 0)
        return;
    for (size_t i = 0; i < job->paper_count; i++) {
        if (job->papers[i].kind != TW_ROLL)
            continue;
        rolls++;
        check_roll(r, list, job, &job->papers[i]);
    }
    if (rolls > 0 || job->paper_count == 0)
        return;
    tw_json_fail(list, &e, TW_OK, "sheet-lengths-unused",
                 "\"sheet_lengths\" is for rolls, and every paper of this job is cut sheets: it "
                 "changes nothing");
    tw_notice(r, &e);
}

void tw_work_check(tw_reader *r, const tw_json_value *root, const tw_job_data *job) {
    const tw_json_value *layout = tw_json_get(root, "layout");
    check_currencies(r, layout, job);
    check_lengths(r, tw_json_get(layout, "sheet_lengths"), job);
}
