/*
 * Fuzz target: a whole day from text to plan. The input is five texts parted by lines "====": a
 * paper, a template set, a job's settings, orders, fillers. What is read without a problem is laid
 * out, cut, judged and drawn: whatever the numbers, there is a plan or a refusal that is sound.
 */
#include "base/text.h"
#include "fuzz.h"
#include "job/readers.h"
#include "sheet/plan.h"

enum { PARTS = 5, PRINTS_MOST = 120, STEPS = 40 };
#define PART_LINE "====\n"

typedef struct day {
    tw_arena *arena;
    tw_report report;
    tw_reader reader;
    tw_paper paper;
    tw_template_list templates;
    tw_job_data job;
    tw_prints prints;
    tw_image image;
} day;

typedef struct part {
    const char *text;
    size_t length;
} part;

/* Parts that are missing are empty. */
static void part_text(const char *text, size_t length, part *parts) {
    const size_t line = strlen(PART_LINE);
    size_t from = 0, count = 0;
    for (size_t i = 0; i < PARTS; i++)
        parts[i] = (part){"", 0};
    for (size_t i = 0; i + line <= length && count + 1 < PARTS; i++)
        if (memcmp(text + i, PART_LINE, line) == 0) {
            parts[count++] = (part){text + from, i - from};
            from = i + line;
            i += line - 1;
        }
    if (length > from)
        parts[count] = (part){text + from, length - from};
}

static tw_json *parse(const part *from) {
    tw_json *document = NULL;
    tw_error error;
    tw_code code = tw_json_parse(NULL, "p.json", from->text, from->length, &document, &error);
    return code == TW_OK ? document : NULL;
}

static bool read_settings(day *d, const part *parts) {
    tw_json *documents[3];
    bool all = true;
    for (int i = 0; i < 3; i++)
        all = (documents[i] = parse(&parts[i])) != NULL && all;
    tw_job_defaults(&d->job);
    if (all) {
        d->paper.longest_sheet = 60 * TW_IN;
        tw_paper_take(&d->reader, tw_json_root(documents[0]), "/nowhere", &d->paper);
        tw_template_set_take(&d->reader, tw_json_root(documents[1]), &d->templates);
        tw_settings_read(&d->reader, tw_json_root(documents[2]), &d->job);
    }
    for (int i = 0; i < 3; i++)
        tw_json_free(documents[i]);
    return all && d->reader.problems == 0 && d->templates.count > 0;
}

static bool read_lines(day *d, const part *orders, const part *fillers) {
    tw_table *table = tw_arena_take(d->arena, 2 * sizeof *table);
    table[0].file = "orders.csv";
    table[1].file = "fillers.csv";
    if (!tw_table_parse(&d->reader, orders->text, orders->length, &tw_order_columns, &table[0]))
        return false;
    tw_orders_read(&d->reader, &table[0], &d->job);
    if (fillers->length > 0 &&
        tw_table_parse(&d->reader, fillers->text, fillers->length, &tw_filler_columns, &table[1]))
        tw_fillers_read(&d->reader, &table[1], &d->job);
    return d->reader.problems == 0 && d->job.order_count > 0;
}

/* No image is looked for: all are one of 3000 x 2400 pixels. */
static bool add_prints(day *d, const tw_order *line, bool filler) {
    tw_fitted fit;
    tw_error error;
    const tw_template *format = &d->templates.items[line->template_index];
    tw_code code =
        tw_fit_image(format, d->image.upright_width, d->image.upright_height, &fit, &error);
    if (code != TW_OK) {
        must_be_sound(&error, code);
        return false;
    }
    for (int copy = 1; copy <= line->copies && d->prints.count < PRINTS_MOST; copy++)
        d->prints.items[d->prints.count++] = (tw_print){.id = filler ? "filler-1" : "1001-1",
                                                        .order = line->order,
                                                        .line = line,
                                                        .format = format,
                                                        .image = &d->image,
                                                        .copy = copy,
                                                        .filler = filler,
                                                        .fit = fit};
    return true;
}

static bool make_prints(day *d) {
    bool all = true;
    d->image = (tw_image){.name = "a.png",
                          .width = 3000,
                          .height = 2400,
                          .upright_width = 3000,
                          .upright_height = 2400,
                          .depth = 8,
                          .orientation = 1,
                          .space = TW_RGB,
                          .bytes = 1000};
    d->prints.images = &d->image;
    d->prints.image_count = 1;
    d->prints.items = tw_arena_array(d->arena, PRINTS_MOST, sizeof *d->prints.items);
    for (size_t i = 0; all && i < d->job.order_count; i++)
        all = add_prints(d, &d->job.orders[i], false);
    for (size_t i = 0; all && i < d->job.filler_count; i++)
        all = add_prints(d, &d->job.fillers[i], true);
    return all;
}

static void plan(day *d) {
    tw_plan_data *made = NULL;
    tw_error error;
    tw_code code = tw_plan_make(d->arena, &d->job, &d->prints, NULL, &d->report, &made, &error);
    if (code != TW_OK) {
        must_be_sound(&error, code);
        return;
    }
    must(made->totals.length >= made->totals.bound_length && made->totals.hand_cuts >= 0);
    size_t lying = made->unplaced_count + made->fillers_left;
    for (size_t i = 0; i < made->sheet_count; i++)
        lying += made->sheets[i].print_count;
    must(d->report.errors.count > 0 ? lying < d->prints.count : lying == d->prints.count);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    part parts[PARTS];
    day *d = calloc(1, sizeof *d);
    must(d != NULL);
    d->arena = tw_arena_new(NULL, 0);
    tw_report_start(&d->report, d->arena);
    tw_reader_start(&d->reader, d->arena, &d->report);
    part_text((const char *)bytes, length, parts);
    if (read_settings(d, parts)) {
        d->job.name = "day";
        d->job.papers = &d->paper;
        d->job.paper_count = 1;
        d->job.templates = d->templates.items;
        d->job.template_count = d->templates.count;
        d->job.templates_file = "frames.json";
        d->job.steps = STEPS;
        if (read_lines(d, &parts[3], &parts[4]) && make_prints(d))
            plan(d);
    }
    tw_arena_free(d->arena);
    free(d);
    return 0;
}
