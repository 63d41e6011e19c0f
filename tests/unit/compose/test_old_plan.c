/*
 * What is believed of an old plan.json or proof.json: names this program gives to sheets and to
 * pictures of proofs, and nothing else, whatever the file says.
 */
#include "job/folder.h"

#include "compose/old_plan.h"
#include "proof/proof.h"

static void names_of_sheets(void **state) {
    static const char *const good[] = {"sheet-01.pdf", "sheet-100.pdf", "sheets-02.pdf",
                                       "sheet-123456789.pdf"};
    static const char *const bad[] = {"sheet-1.pdf",
                                      "sheet-.pdf",
                                      "sheet-01.PDF",
                                      "sheet-01.pdf ",
                                      "sheet-01.pdf/x",
                                      "../sheet-01.pdf",
                                      "/sheet-01.pdf",
                                      "sheet-01.png",
                                      "cut-guide.pdf",
                                      "plan.json",
                                      "mysheet-01.pdf",
                                      "sheet-0a.pdf",
                                      "sheet-+1.pdf",
                                      "sheet-01pdf",
                                      "",
                                      "sheetss-01.pdf",
                                      "sheet--01.pdf",
                                      "sheet-01.pdf.pdf",
                                      "sheet-1234567890.pdf",
                                      "Sheet-01.pdf"};
    (void)state;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        if (!tw_is_sheet_name(good[i]))
            fail_msg("%s", good[i]);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        if (tw_is_sheet_name(bad[i]))
            fail_msg("%s", bad[i]);
}

static size_t count_from(folder *f, const char *text) {
    const char **names;
    size_t count;
    if (text != NULL)
        folder_put(f, "plan.json", text, strlen(text));
    assert_ok(tw_old_files(f->arena, f->path, &tw_old_plan, &names, &count, &f->error), f->error);
    for (size_t i = 0; i < count; i++)
        assert_true(tw_is_sheet_name(names[i]));
    return count;
}

static void plans_good_and_bad(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_int_equal(count_from(&f, NULL), 0);
    assert_int_equal(count_from(&f, "{\"sheets\": [{\"file\": \"sheet-01.pdf\"}, "
                                    "{\"file\": \"sheet-02.pdf\"}]}"),
                     2);
    assert_int_equal(count_from(&f, "{\"sheets\": [{\"file\": \"../x.pdf\"}, {\"file\": 7}, 8, "
                                    "{\"name\": \"sheet-01.pdf\"}, {\"file\": \"/etc/passwd\"}, "
                                    "{\"file\": \"sheet-09.pdf\"}]}"),
                     1);
    assert_int_equal(count_from(&f, "{\"sheets\": \"sheet-01.pdf\"}"), 0);
    assert_int_equal(count_from(&f, "[\"sheet-01.pdf\"]"), 0);
    assert_int_equal(count_from(&f, "{\"sheets\": [{\"file\": \"sheet-01.pdf\""), 0);
    assert_int_equal(count_from(&f, ""), 0);
    assert_int_equal(count_from(&f, "\xFF\xFE"), 0);
    folder_close(&f);
}

static void a_name_that_stands_there_often_counts_once(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_int_equal(count_from(&f, "{\"sheets\": [{\"file\": \"sheet-02.pdf\"}, "
                                    "{\"file\": \"sheet-01.pdf\"}, "
                                    "{\"file\": \"sheet-02.pdf\"}]}"),
                     2);
    folder_close(&f);
}

/* ------------------------------------------------ of proofs */

static void names_of_proofs(void **state) {
    static const char *const good[] = {"proof-001-1-1.png", "gamut-100000-a b_c.png",
                                       "proof-012-.png"};
    static const char *const bad[] = {"proof-01-1-1.png",
                                      "proof-001.png",
                                      "proof-001-1-1.PNG",
                                      "proof-final.png",
                                      "proof.json",
                                      "gamut-.png",

                                      "../proof-1.png",
                                      ".png",
                                      "myproof-001-1-1.png",
                                      "",
                                      "png",
                                      "proof-001-1-1.png.gz",
                                      "proof-",
                                      "proof-001-"};
    (void)state;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        if (!tw_is_proof_name(good[i]))
            fail_msg("%s", good[i]);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        if (tw_is_proof_name(bad[i]))
            fail_msg("%s", bad[i]);
}

static void a_folder_in_its_place(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_int_equal(mkdir(folder_at(&f, "plan.json"), 0777), 0);
    assert_int_equal(count_from(&f, NULL), 0);
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_of_sheets),
        cmocka_unit_test(plans_good_and_bad),
        cmocka_unit_test(a_name_that_stands_there_often_counts_once),
        cmocka_unit_test(names_of_proofs),
        cmocka_unit_test(a_folder_in_its_place),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
