/* What a job must survive: names that climb out or drive terminals, odd files, no memory. */
#include "job/folder.h"

#define JOB                                                                                        \
    "{'trimwell': 1, 'name': 'd', 'papers': ['p.json', 'satin-24in'], 'templates': ['t.json', "    \
    "'frames-inch'], 'orders': {'file': 'orders.csv', 'columns': {'order': 'No'}}, 'fillers': "    \
    "'fillers.csv', 'images': ['photos', '.']}"

static void put_job(folder *f) {
    folder_json(f, "job.json", JOB);
    folder_profile(f, "p.icc");
    folder_json(f, "p.json",
                "{'trimwell': 1, 'name': 'mine', 'kind': 'roll', 'width': '24in', 'length': "
                "'50ft', 'margins': {'side': '0in', 'lead': '0in', 'tail': '0in'}, 'setup': "
                "{'media': 'm'}, 'profile': 'p.icc'}");
    folder_json(f, "t.json", "{'trimwell': 1, 'templates': [{'name': 'mine', 'size': 'A4'}]}");
    folder_write(f, "fillers.csv", "image,template,paper\na.png,8x10,mine\n");
    mkdir(folder_at(f, "photos"), 0777);
    folder_write(f, "photos/a.png", "");
    folder_write(f, "b.png", "");
}

static void load(folder *f, const char *orders, size_t length) {
    folder_again(f);
    folder_put(f, "orders.csv", orders, length);
    assert_ok(folder_load(f), f->error);
}

/* One order line for this image. */
static void load_image(folder *f, const char *image) {
    char text[20000];
    int length =
        snprintf(text, sizeof text, "No,image,template,paper\n1,\"%s\",8x10,mine\n", image);
    assert_true(length > 0 && (size_t)length < sizeof text);
    load(f, text, (size_t)length);
}

static void test_image_names(void **state) {
    char outside[64] = "/tmp/trimwell-outside-XXXXXX", long_name[10001];
    folder f;
    (void)state;
    folder_open(&f);
    put_job(&f);
    int secret = mkstemp(outside);
    assert_true(secret >= 0);
    close(secret);
    assert_int_equal(symlink(outside, folder_at(&f, "photos/link.png")), 0);
    assert_int_equal(symlink("a.png", folder_at(&f, "photos/inner.png")), 0);
    assert_int_equal(symlink("..", folder_at(&f, "photos/up")), 0);
    const char *climbing[] = {"../secret.png", "/etc/passwd", "link.png", "photos/../../x.png",
                              outside};
    for (size_t i = 0; i < sizeof climbing / sizeof climbing[0]; i++) {
        load_image(&f, climbing[i]);
        assert_int_equal(f.report.errors.count, 1);
        assert_error(&f, "lies outside its image folder");
        assert_string_equal(f.report.errors.items[0].name, "outside-folder");
        assert_null(f.job->orders[0].image_path);
    }
    load_image(&f, "inner.png");
    assert_clean(&f);
    load_image(&f, "A.PNG"); /* the only one that differs in case alone */
    assert_clean(&f);
    assert_string_equal(f.job->orders[0].image_path, folder_at(&f, "photos/a.png"));
    load_image(&f, "b.png"); /* in the second folder */
    assert_clean(&f);
    assert_int_equal(symlink("loop.png", folder_at(&f, "photos/loop.png")), 0);
    load_image(&f, "loop.png");
    assert_error(&f, "orders.csv:2: image \"loop.png\": cannot be read: ");
    load_image(&f, "c.png");
    assert_error(&f, "orders.csv:2: image \"c.png\" is not in the image folders (nearest: ");
    assert_string_equal(f.report.errors.items[0].name, "image-missing");
    load_image(&f, "aa.png"); /* nearest in the first folder, nothing near in the second */
    assert_error(&f, "is not in the image folders (nearest: \"a.png\")");
    folder_write(&f, "bxyz.png", "");
    load_image(&f, "bxyy.png"); /* nothing near in the first, nearest in the second */
    assert_error(&f, "is not in the image folders (nearest: \"bxyz.png\")");
    memset(long_name, 'n', 10000);
    long_name[10000] = '\0';
    load_image(&f, long_name);
    assert_error(&f, "\" is too long; 1 to 1000 bytes are allowed");
    load_image(&f, "a\x1b[31m.png");
    assert_error(&f, "image \"a\\x1B[31m.png\" holds a control character");
    unlink(outside);
    folder_close(&f);
}

static void test_bytes_that_are_no_text(void **state) {
    static const char nul[] = "No,image,template,paper\n1,a\0.png,8x10,mine\n";
    folder f;
    (void)state;
    folder_open(&f);
    put_job(&f);
    load(&f, nul, sizeof nul - 1);
    assert_error(&f, "orders.csv:2: there is a NUL byte here");
    folder_json(&f, "job.json", "{'trimwell': 1, 'name': 'a\\u0000b'}");
    folder_again(&f);
    assert_int_equal(folder_load(&f), TW_INPUT);
    folder_put(&f, "job.json", "{\"trimwell\": 1, \"name\": \"\xff\"}", 28);
    assert_int_equal(folder_load(&f), TW_INPUT);
    folder_close(&f);
}

static void test_odd_files_do_not_block(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    put_job(&f);
    assert_int_equal(unlink(folder_at(&f, "p.json")), 0);
    assert_int_equal(mkfifo(folder_at(&f, "p.json"), 0600), 0);
    assert_int_equal(mkfifo(folder_at(&f, "orders.csv"), 0600), 0);
    folder_again(&f);
    assert_ok(folder_load(&f), f.error);
    assert_error(&f, "\"p.json\": not a regular file but a pipe");
    assert_error(&f, "\"orders.csv\": not a regular file but a pipe");
    folder_close(&f);
}

static void test_names_of_papers_and_templates(void **state) {
    static const char *const names[] = {"''",      "'\\u001b'", "'a/'", "'../none.json'",
                                        "'.json'", "'/'"};
    char text[20000], long_name[10001];
    folder f;
    (void)state;
    folder_open(&f);
    put_job(&f);
    folder_write(&f, "orders.csv", "order,image,template\n1,photos/a.png,8x10\n");
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        folder_again(&f);
        snprintf(text, sizeof text,
                 "{'trimwell': 1, 'name': 'd', 'papers': [%s], 'templates': [%s], 'orders': "
                 "'orders.csv'}",
                 names[i], names[i]);
        folder_json(&f, "job.json", text);
        assert_ok(folder_load(&f), f.error);
        assert_int_equal(f.report.errors.count, 2);
    }
    memset(long_name, 'n', 10000);
    long_name[10000] = '\0';
    folder_again(&f);
    snprintf(text, sizeof text,
             "{'trimwell': 1, 'name': 'd', 'papers': ['%s'], 'templates': ['frames-inch'], "
             "'orders': 'orders.csv'}",
             long_name);
    folder_json(&f, "job.json", text);
    assert_ok(folder_load(&f), f.error);
    assert_error(&f, "\"papers\": \"nnnn");
    assert_int_equal(f.report.errors.count, 1);
    folder_close(&f);
}

/* A whole job, each allocation failing in turn: TW_MEMORY, nothing leaked, nothing half done. */
static void test_every_allocation_may_fail(void **state) {
    bool done = false;
    long n;
    folder f;
    (void)state;
    folder_open(&f);
    put_job(&f);
    folder_write(&f, "orders.csv",
                 "No,image,template,paper,accept,copies\n1,a.png,8x10,mine,a b,1\n2,c.png,8x11,,"
                 ",x\n");
    for (n = 1; !done; n++) {
        test_memory memory = {.fail_at = n};
        tw_allocator allocator = test_allocator(&memory);
        tw_arena *arena = tw_arena_new(&allocator, 0);
        tw_report report;
        tw_job_data *job = NULL;
        tw_error error = {0};
        if (arena != NULL) {
            tw_report_start(&report, arena);
            tw_code code = tw_job_load(arena, f.path, &report, &job, &error);
            done = code == TW_OK;
            assert_int_equal(code, done ? TW_OK : TW_MEMORY);
            assert_int_equal(error.code, code);
            assert_true((job != NULL) == done);
        }
        if (done)
            assert_int_equal(report.errors.count, 4);
        tw_arena_free(arena);
        assert_no_leak(memory);
    }
    assert_true(n > 10);
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_image_names),
        cmocka_unit_test(test_bytes_that_are_no_text),
        cmocka_unit_test(test_odd_files_do_not_block),
        cmocka_unit_test(test_names_of_papers_and_templates),
        cmocka_unit_test(test_every_allocation_may_fail),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
