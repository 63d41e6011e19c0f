/*
 * Measured colours read back. The differences are pairs of G. Sharma, W. Wu, E. N. Dalal, "The
 * CIEDE2000 color-difference formula", Color Research and Application 30 (2005), table 1.
 */
#include "testing.h"

#include <math.h>

#include "proof/strip.h"

#define MEASURED "patch,L,a,b\none,50,0,-82.7485\n"

static tw_strip_patch patches[] = {{.name = "one", .intended = {50, 2.6772, -79.7751}},
                                   {.name = "two", .intended = {50, 3.1571, -77.2803}},
                                   {.name = "three", .intended = {50, 2.5, 0}}};

typedef struct bench {
    tw_arena *arena;
    tw_paper papers[2];
    tw_job_data job;
    tw_strip strips[2];
    tw_report report;
    tw_error error;
} bench;

/* `most`: bytes the arena may take, 0 as usual. */
static void start(bench *b, const tw_allocator *allocator, size_t most) {
    *b = (bench){.arena = tw_arena_new(allocator, most),
                 .papers = {{.name = "satin"}, {.name = "matte"}}};
    b->job = (tw_job_data){.papers = b->papers, .paper_count = 2};
    for (size_t i = 0; i < 2; i++)
        b->strips[i] = (tw_strip){.job = &b->job,
                                  .paper_index = i,
                                  .chart = {.patches = patches, .count = 3, .known = true}};
    if (b->arena != NULL)
        tw_report_start(&b->report, b->arena);
}

static tw_code measure(bench *b, const char *text, size_t strips) {
    char path[] = "/tmp/measured-XXXXXX";
    int descriptor = mkstemp(path);
    FILE *file = fdopen(descriptor, "w");
    (void)fputs(text, file);
    (void)fclose(file);
    tw_code code = tw_strip_measured(b->arena, path, b->strips, strips, &b->report, &b->error);
    (void)remove(path);
    return code;
}

static void assert_near(double seen, double wanted) {
    if (fabs(seen - wanted) > 0.00005)
        fail_msg("%.6f should be %.4f", seen, wanted);
}

static void differences_are_those_published(void **state) {
    bench b;
    (void)state;
    start(&b, NULL, 0);
    assert_ok(measure(&b,
                      "\xEF\xBB\xBF"
                      "Patch;l;A;B\nTWO;50;0;-82.7485\none;50.0;+0;-82.7485\n",
                      1),
              b.error);
    const tw_strip_readings *r = &b.strips[0].readings;
    assert_int_equal(r->count, 2);
    assert_ptr_equal(r->items[0].patch, &patches[0]);
    assert_near(r->items[0].difference, 2.0425);
    assert_near(r->items[1].difference, 2.8615);
    assert_near(r->mean, 2.4520);
    assert_near(r->largest, 2.8615);
    assert_int_equal(b.report.warnings.count, 1);
    assert_says(b.report.warnings.items[0],
                "1 of 3 patches on paper \"satin\" is not measured: three");
    tw_arena_free(b.arena);
}

static void papers_are_told_apart(void **state) {
    bench b;
    (void)state;
    start(&b, NULL, 0);
    assert_ok(measure(&b, "paper,patch,L,a,b\nmatte,three,50,0,-2.5\nsatin,one,50,0,-82.7485\n", 2),
              b.error);
    assert_near(b.strips[0].readings.mean, 2.0425);
    assert_near(b.strips[1].readings.mean, 4.3065);
    assert_ptr_equal(b.strips[1].readings.items[0].patch, &patches[2]); /* no gap before it */
    tw_arena_free(b.arena);
}

/* Nothing is known of the patches on a paper that is not converted to: the others are compared. */
static void what_is_known_is_compared(void **state) {
    bench b;
    (void)state;
    start(&b, NULL, 0);
    b.strips[1].chart.known = false;
    assert_ok(measure(&b,
                      "paper,patch,L,a,b\nmatte,three,50,0,-2.5\nsatin,one,50,0,-82.7485\n"
                      "satin,two,50,0,-82.7485\nsatin,three,50,2.5,0\n",
                      2),
              b.error);
    assert_int_equal(b.strips[0].readings.count, 3);
    assert_null(b.strips[0].readings.why_none);
    assert_int_equal(b.strips[1].readings.count, 0);
    assert_null(b.strips[1].readings.items);
    assert_non_null(strstr(b.strips[1].readings.why_none, "not converted to here"));
    assert_int_equal(b.report.warnings.count, 1);
    assert_says(b.report.warnings.items[0],
                "paper \"matte\" is not converted to here, so nothing says what its patches should "
                "measure: they are not compared");
    tw_arena_free(b.arena);
}

static void a_strip_without_a_measured_patch_has_no_mean(void **state) {
    bench b;
    (void)state;
    start(&b, NULL, 0);
    assert_ok(measure(&b, "paper,patch,L,a,b\nsatin,one,50,0,-82.7485\n", 2), b.error);
    assert_null(b.strips[1].readings.items);
    assert_string_equal(b.strips[1].readings.why_none, "no patch on it is measured");
    tw_arena_free(b.arena);
}

static void nothing_known_is_refused(void **state) {
    (void)state;
    for (int known = 0; known < 2; known++) {
        bench b;
        start(&b, NULL, 0);
        b.strips[0].chart.known = known == 1;
        b.strips[1].chart.known = false;
        assert_int_equal(measure(&b, "paper,patch,L,a,b\nmatte,three,50,0,-2.5\n", 2), TW_INPUT);
        assert_string_equal(b.error.name, "measured-unknown");
        assert_non_null(strstr(b.error.message, known ? "matte" : "satin"));
        tw_arena_free(b.arena);
    }
}

static void what_is_wrong_is_said_with_its_line(void **state) {
    static const struct {
        const char *text, *name;
        int line;
    } cases[] = {{"patch,L,a\n", "measured-column", 1},
                 {"patch,L,a,b\n", "measured-none", 1},
                 {"\n\nb,a,L,patch\n\n\n", "measured-none", 3},
                 {"patch,L,a,b\nfour,1,2,3\n", "measured-patch", 2},
                 {"patch,L,a,b\n\none,1,2,3\none,1,2,3\n", "measured-twice", 4},
                 {"patch,L,a,b\none,-1,2,3\n", "measured-value", 2},
                 {"patch,L,a,b\none,1e9,2,3\n", "measured-value", 2},
                 {"patch,L,a,b\none,1,,3\n", "measured-value", 2},
                 {"patch,L,a,b\none,1,nan,3\n", "measured-value", 2},
                 {"patch,L,a,b\none,1,2,150.001\n", "measured-value", 2},
                 {"patch,L,a,b,paper\none,1,2,3,rag\n", "measured-paper", 2}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        bench b;
        start(&b, NULL, 0);
        assert_int_equal(measure(&b, cases[i].text, 1), TW_INPUT);
        assert_string_equal(b.error.name, cases[i].name);
        assert_int_equal(b.error.line, cases[i].line);
        assert_non_null(strstr(b.error.file, "measured-"));
        tw_arena_free(b.arena);
    }
}

static void no_file_that_is_cut_or_odd_is_taken(void **state) {
    static const char text[] = "patch,L,a,b\none,50,0,-82\n\"two\",50,0,-82\n";
    (void)state;
    for (size_t length = 0; length + 1 < sizeof text; length++)
        for (int odd = 0; odd < 2; odd++) {
            bench b;
            char cut[sizeof text];
            memcpy(cut, text, sizeof text);
            cut[length] = odd ? '\x81' : '\0';
            start(&b, NULL, 0);
            tw_code code = measure(&b, cut, 1);
            assert_true(code == TW_OK || (code == TW_INPUT && b.error.message[0] != '\0'));
            tw_arena_free(b.arena);
        }
}

/* At a request to the system, and at each piece of the arena. */
static void memory_may_run_out(void **state) {
    tw_code code = TW_MEMORY;
    (void)state;
    for (long at = 1; code != TW_OK; at++) {
        test_memory memory = {.fail_at = at};
        tw_allocator allocator = test_allocator(&memory);
        bench b;
        start(&b, &allocator, 0);
        code = b.arena == NULL ? TW_MEMORY : measure(&b, MEASURED, 1);
        tw_arena_free(b.arena);
        assert_no_leak(memory);
        assert_true(code == TW_OK || code == TW_MEMORY);
        assert_true(at < 200);
    }
    code = TW_MEMORY;
    for (size_t most = 1; code != TW_OK; most += 16) {
        bench b;
        start(&b, NULL, most);
        code = measure(&b, MEASURED, 1);
        tw_arena_free(b.arena);
        assert_true(code == TW_OK || code == TW_MEMORY);
        assert_true(most < 1 << 16);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(differences_are_those_published),
        cmocka_unit_test(papers_are_told_apart),
        cmocka_unit_test(what_is_known_is_compared),
        cmocka_unit_test(a_strip_without_a_measured_patch_has_no_mean),
        cmocka_unit_test(nothing_known_is_refused),
        cmocka_unit_test(what_is_wrong_is_said_with_its_line),
        cmocka_unit_test(no_file_that_is_cut_or_odd_is_taken),
        cmocka_unit_test(memory_may_run_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
