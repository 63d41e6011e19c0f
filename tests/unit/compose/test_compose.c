/*
 * A plan becomes a folder, whole or not at all: what is written, what goes, what is left alone,
 * and that every failure midway leaves the folder as it was.
 */
#include "job/folder.h"

#include "compose/compose.h"
#include "make_image.h"

#include <dirent.h>
#include <fcntl.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/stat.h>

typedef struct day {
    folder in, out;
    tw_plan_data *plan;
    tw_prints prints;
    tw_compose_options options;
    tw_run run;
} day;

/* Two rolls; a print as wide as each makes each its own sheet. */
static void put_job(day *d, const char *orders) {
    folder_json(&d->in, "job.json",
                "{'trimwell': 1, 'name': 'Test day', 'papers': ['a.json', 'b.json'], "
                "'templates': ['t.json'], 'orders': 'orders.csv', 'layout': {'turn': false}, "
                "'resolution': {'refuse_below': 10}}");
    folder_json(&d->in, "a.json",
                "{'trimwell': 1, 'name': 'a', 'kind': 'roll', 'width': '12in', 'length': '50ft', "
                "'margins': {'side': '1/4in', 'lead': '1/8in', 'tail': '1/8in'}, "
                "'longest_sheet': '10in'}");
    folder_json(&d->in, "b.json",
                "{'trimwell': 1, 'name': 'b', 'kind': 'roll', 'width': '13in', 'length': '50ft', "
                "'margins': {'side': '1/4in', 'lead': '1/8in', 'tail': '1/8in'}, "
                "'longest_sheet': '10in'}");
    folder_json(&d->in, "t.json",
                "{'trimwell': 1, 'templates': [{'name': 't', 'size': '12x8in', 'border': '1in', "
                "'turn': 'never'}]}");
    folder_write(&d->in, "orders.csv", orders);
}

#define THREE_SHEETS                                                                               \
    "order,image,template,paper,title\n1,one.png,t,a,\n1,two.png,t,a,\n2,one.png,t,b,\n"

static void day_open(day *d, const char *orders) {
    made_png png = {.width = 200, .height = 150, .type = 2, .depth = 16, .noise = 1};
    memset(d, 0, sizeof *d);
    folder_open(&d->in);
    folder_open(&d->out);
    put_job(d, orders);
    make_png(folder_at(&d->in, "one.png"), &png);
    png.depth = 8;
    make_png(folder_at(&d->in, "two.png"), &png);
}

static void day_plan(day *d) {
    tw_error *error = &d->in.error;
    assert_ok(folder_load(&d->in), *error);
    assert_ok(tw_prints_make(d->in.arena, d->in.job, false, NULL, &d->in.report, &d->prints, error),
              *error);
    if (d->in.report.errors.count > 0)
        fail_msg("%s", d->in.report.errors.items[0].message);
    assert_ok(
        tw_plan_make(d->in.arena, d->in.job, &d->prints, NULL, &d->in.report, &d->plan, error),
        *error);
    d->in.report.warnings.count = 0; /* of the plan: not these tests' */
}

static tw_code day_try(day *d) {
    return tw_compose_write(d->in.arena, d->plan, d->out.path, &d->options, &d->run, &d->in.report,
                            &d->in.error);
}

static void day_compose(day *d) {
    assert_ok(day_try(d), d->in.error);
}

static void day_close(day *d) {
    folder_close(&d->in);
    folder_close(&d->out);
}

/* ------------------------------------------------ looking into the folder */

static int by_name(const void *a, const void *b) {
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* All names in the folder, sorted, each followed by a blank: hidden ones too. Static. */
static const char *names_in(const folder *f) {
    static char text[1000];
    char *names[50];
    size_t count = 0;
    DIR *list = opendir(f->path);
    struct dirent *entry;
    assert_non_null(list);
    text[0] = '\0';
    while ((entry = readdir(list)) != NULL)
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0)
            names[count++] = strdup(entry->d_name);
    closedir(list);
    qsort(names, count, sizeof *names, by_name);
    for (size_t i = 0; i < count; i++) {
        strcat(strcat(text, names[i]), " ");
        free(names[i]);
    }
    return text;
}

/* One number for every byte of every file there. */
static uint64_t sum_of(const folder *f) {
    uint64_t sum = 14695981039346656037u;
    char list[1000];
    strcpy(list, names_in(f));
    for (char *name = strtok(list, " "); name != NULL; name = strtok(NULL, " ")) {
        size_t length;
        unsigned char *bytes = read_file(folder_at(f, name), &length);
        for (size_t i = 0; i < length; i++)
            sum = (sum ^ bytes[i]) * 1099511628211u;
        free(bytes);
    }
    return sum;
}

#define ALL_THREE "cut-guide.pdf plan.json sheet-01.pdf sheet-02.pdf sheet-03.pdf "

/* ------------------------------------------------ what is written */

static void everything_is_there(void **state) {
    day d;
    uint64_t first;
    (void)state;
    day_open(&d, THREE_SHEETS);
    day_plan(&d);
    day_compose(&d);
    assert_string_equal(names_in(&d.out), ALL_THREE);
    first = sum_of(&d.out);
    day_compose(&d); /* over itself: the same bytes */
    assert_string_equal(names_in(&d.out), ALL_THREE);
    assert_true(first == sum_of(&d.out));
    day_close(&d);
}

static void old_sheets_go_and_others_stay(void **state) {
    day d;
    (void)state;
    day_open(&d, THREE_SHEETS);
    day_plan(&d);
    day_compose(&d);
    folder_write(&d.out, "notes.txt", "mine");
    folder_write(&d.out, "sheet-77.pdf", "not named by the plan: somebody else's");
    folder_again(&d.in);
    put_job(&d, "order,image,template,paper\n1,two.png,t,b\n");
    day_plan(&d);
    day_compose(&d);
    assert_string_equal(names_in(&d.out),
                        "cut-guide.pdf notes.txt plan.json sheet-01.pdf sheet-77.pdf ");
    day_close(&d);
}

/* A plan.json that somebody wrote to have other files removed. */
static void a_lying_old_plan_removes_nothing(void **state) {
    day d;
    (void)state;
    day_open(&d, THREE_SHEETS);
    day_plan(&d);
    folder_write(&d.out, "notes.pdf", "mine");
    folder_json(&d.out, "plan.json",
                "{'sheets': [{'file': 'notes.pdf'}, {'file': '../x'}, {'file': 'sheet-50.pdf'}]}");
    assert_int_equal(mkdir(folder_at(&d.out, "sheet-50.pdf"), 0777), 0); /* a folder: stays */
    day_compose(&d);
    assert_string_equal(names_in(&d.out), "cut-guide.pdf notes.pdf plan.json sheet-01.pdf "
                                          "sheet-02.pdf sheet-03.pdf sheet-50.pdf ");
    day_close(&d);
}

/* ------------------------------------------------ one file a paper */

static void one_file_a_paper_and_back(void **state) {
    day d;
    (void)state;
    day_open(&d, THREE_SHEETS);
    day_plan(&d);
    day_compose(&d);
    d.options.one_file = true;
    day_compose(&d);
    assert_string_equal(names_in(&d.out), "cut-guide.pdf plan.json sheets-01.pdf sheets-02.pdf ");
    assert_string_equal(d.plan->sheets[0].file, "sheets-01.pdf");
    assert_string_equal(d.plan->sheets[1].file, "sheets-01.pdf");
    assert_string_equal(d.plan->sheets[2].file, "sheets-02.pdf");
    d.options.one_file = false;
    day_compose(&d);
    assert_string_equal(names_in(&d.out), ALL_THREE);
    day_close(&d);
}

/* What a PDF can address here is 2^31 - 1 bytes: an image that says it has most of that makes
 * the next sheet begin another file. */
static void one_file_ends_before_the_limit(void **state) {
    day d;
    (void)state;
    day_open(&d, THREE_SHEETS);
    day_plan(&d);
    d.options.one_file = true;
    for (size_t i = 0; i < d.prints.image_count; i++)
        d.prints.images[i].profile_length = 1500000000; /* counted, as a profile goes in whole */
    day_compose(&d);
    assert_string_equal(names_in(&d.out),
                        "cut-guide.pdf plan.json sheets-01.pdf sheets-02.pdf sheets-03.pdf ");
    day_close(&d);
}

/* ------------------------------------------------ failures leave the folder as it was */

static void compose_then(day *d, uint64_t *sum) {
    day_open(d, THREE_SHEETS);
    day_plan(d);
    day_compose(d);
    *sum = sum_of(&d->out);
}

static void is_as_it_was(const day *d, uint64_t sum) {
    assert_string_equal(names_in(&d->out), ALL_THREE);
    assert_true(sum == sum_of(&d->out));
}

/* As if the facts had been read after the change. */
static void look_again(day *d) {
    for (size_t i = 0; i < d->prints.image_count; i++)
        assert_ok(
            tw_file_look_at(d->prints.images[i].path, &d->prints.images[i].state, &d->in.error),
            d->in.error);
}

static void damage_midway(void **state) {
    day d;
    uint64_t sum;
    size_t length;
    (void)state;
    compose_then(&d, &sum);
    unsigned char *bytes = read_file(folder_at(&d.in, "two.png"), &length);
    bytes[length / 2] ^= 1; /* on the second sheet */
    write_file(folder_at(&d.in, "two.png"), bytes, length);
    free(bytes);
    look_again(&d);
    assert_int_equal(day_try(&d), TW_DAMAGED);
    assert_non_null(strstr(d.in.error.file, "two.png"));
    is_as_it_was(&d, sum);
    day_close(&d);
}

/* Files may grow to 100 kB and no further, as on a disk that fills up. */
static void a_disk_that_fills_up(void **state) {
    day d;
    uint64_t sum;
    struct rlimit was, small;
    (void)state;
    compose_then(&d, &sum);
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &was), 0);
    small = was;
    small.rlim_cur = 100000;
    (void)signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    tw_code code = day_try(&d);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &was), 0);
    (void)signal(SIGXFSZ, SIG_DFL);
    assert_int_equal(code, TW_IO);
    assert_non_null(strstr(d.in.error.file, "/sheet-0")); /* the file's own name, no temporary's */
    assert_null(strstr(d.in.error.file, ".trimwell-tmp"));
    is_as_it_was(&d, sum);
    day_close(&d);
}

/* Somebody saves an image anew at one of the times the caller is asked. */
typedef struct meddler {
    const char *path;
    int asked, at; /* at 0: never */
} meddler;

static bool meddle(void *context) {
    static const struct timespec times[] = {{0, UTIME_OMIT}, {1000000000, 0}};
    meddler *m = context;
    if (++m->asked == m->at)
        assert_int_equal(utimensat(AT_FDCWD, m->path, times, 0), 0);
    return false;
}

/* At the start, in the middle, and when nothing is read any more. */
static void an_image_saved_anew_is_noticed(void **state) {
    day d;
    uint64_t sum;
    (void)state;
    compose_then(&d, &sum);
    meddler m = {.path = folder_at(&d.in, "two.png")};
    d.run = (tw_run){.cancelled = meddle, .context = &m};
    day_compose(&d);
    const int most = m.asked, times[] = {1, most / 2, most};
    sum = sum_of(&d.out);
    for (size_t i = 0; i < sizeof times / sizeof *times; i++) {
        m = (meddler){.path = folder_at(&d.in, "two.png"), .at = times[i]};
        make_png(m.path,
                 &(made_png){.width = 200, .height = 150, .type = 2, .depth = 8, .noise = 1});
        look_again(&d);
        assert_int_equal(day_try(&d), TW_INPUT);
        assert_string_equal(d.in.error.name, "image-changed");
        assert_non_null(strstr(d.in.error.file, "two.png"));
        is_as_it_was(&d, sum);
    }
    assert_says(d.in.error, "changed while it was printed");
    day_close(&d);
}

static bool stop_soon(void *context) {
    int *left = context;
    return (*left)-- <= 0;
}

static void stopped_by_the_caller(void **state) {
    day d;
    uint64_t sum;
    int left = 2;
    (void)state;
    compose_then(&d, &sum);
    d.run = (tw_run){.cancelled = stop_soon, .context = &left};
    assert_int_equal(day_try(&d), TW_CANCELLED);
    is_as_it_was(&d, sum);
    day_close(&d);
}

static void strict_writes_nothing_when_warned(void **state) {
    day d;
    (void)state;
    day_open(&d, "order,image,template,paper,title\n1,one.png,t,a,\xE6\x97\xA5\n");
    day_plan(&d);
    d.options.strict = true;
    assert_int_equal(day_try(&d), TW_STRICT);
    assert_int_equal(d.in.report.warnings.count, 1); /* a character the face lacks */
    assert_string_equal(names_in(&d.out), "");
    d.options.strict = false;
    day_compose(&d);
    assert_string_equal(names_in(&d.out), "cut-guide.pdf plan.json sheet-01.pdf ");
    day_close(&d);
}

static void a_folder_that_cannot_be(void **state) {
    day d;
    (void)state;
    day_open(&d, THREE_SHEETS);
    day_plan(&d);
    char path[sizeof d.out.path];
    strcpy(path, d.out.path);
    strcpy(d.out.path, "/no/such/folder");
    assert_int_equal(day_try(&d), TW_IO);
    strcpy(d.out.path, path);
    day_close(&d);
}

static void memory_may_run_out(void **state) {
    day d;
    uint64_t sum;
    (void)state;
    compose_then(&d, &sum);
    long before = d.in.memory.asked;
    day_compose(&d);
    long asked = d.in.memory.asked - before, failed = 0;
    for (long n = 1; n <= asked; n += 1 + asked / 60) {
        d.in.memory.fail_at = d.in.memory.asked + n;
        tw_code code = day_try(&d);
        d.in.memory.fail_at = 0;
        assert_true(code == TW_MEMORY || code == TW_OK);
        failed += code == TW_MEMORY;
        is_as_it_was(&d, sum);
    }
    assert_true(failed > 30);
    day_close(&d);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(everything_is_there),
        cmocka_unit_test(old_sheets_go_and_others_stay),
        cmocka_unit_test(a_lying_old_plan_removes_nothing),
        cmocka_unit_test(one_file_a_paper_and_back),
        cmocka_unit_test(one_file_ends_before_the_limit),
        cmocka_unit_test(damage_midway),
        cmocka_unit_test(a_disk_that_fills_up),
        cmocka_unit_test(an_image_saved_anew_is_noticed),
        cmocka_unit_test(stopped_by_the_caller),
        cmocka_unit_test(strict_writes_nothing_when_warned),
        cmocka_unit_test(a_folder_that_cannot_be),
        cmocka_unit_test(memory_may_run_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
