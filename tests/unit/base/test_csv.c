/*
 * CSV: RFC 4180's rules (named at each row), what spreadsheets write besides, refusals with
 * their line, bounds, and every allocation failing once.
 */
#include "base/csv.h"

#include "testing.h"

#include "base/limits.h"

static tw_arena *arena;
static tw_csv csv;
static tw_error error;

static int start(void **state) {
    (void)state;
    arena = tw_arena_new(NULL, 0);
    return arena == NULL;
}

static int finish(void **state) {
    (void)state;
    tw_arena_free(arena);
    return 0;
}

static tw_code parse_bytes(const char *text, size_t length) {
    memset(&csv, 0, sizeof csv);
    memset(&error, 0, sizeof error);
    return tw_csv_parse(arena, "o.csv", text, length, &csv, &error);
}

static tw_code parse(const char *text) {
    return parse_bytes(text, strlen(text));
}

/* All fields in one text: "a|b/c|d" for two rows after the header. */
static const char *flat(void) {
    static char out[4096];
    out[0] = '\0';
    for (size_t row = 0; row < csv.count; row++)
        for (size_t i = 0; i < csv.rows[row].count; i++) {
            strcat(out, i > 0 ? "|" : row > 0 ? "/" : "");
            strcat(out, csv.rows[row].fields[i]);
        }
    return out;
}

static void rfc_4180(void **state) {
    (void)state;
    static const char *const rows[][2] = {
        {"a,b,c\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "aaa|bbb|ccc/zzz|yyy|xxx"},         /* rule 1 */
        {"a,b,c\r\naaa,bbb,ccc\r\nzzz,yyy,xxx", "aaa|bbb|ccc/zzz|yyy|xxx"},             /* rule 2 */
        {"a,b,c\r\n\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|bbb|ccc/zzz|yyy|xxx"}, /* 5 */
        {"a,b,c\r\n\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx",
         "aaa|b\nbb|ccc/zzz|yyy|xxx"},                             /* rule 6 */
        {"a,b,c\r\n\"aaa\",\"b\"\"bb\",\"ccc\"", "aaa|b\"bb|ccc"}, /* rule 7 */
        {"a,b\n\"x,y\",z\n", "x,y|z"},
        {"a,b\n\"\",\"\"\"\"\n", "|\""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_ok(parse(rows[i][0]), error);
        assert_string_equal(flat(), rows[i][1]);
    }
}

static void what_spreadsheets_write(void **state) {
    (void)state;
    static const struct {
        const char *text, *flat;
        char separator;
    } rows[] = {
        {"\xEF\xBB\xBF"
         "a;b\n1;2\n",
         "1|2", ';'},
        {"a\tb\n1\t2\n", "1|2", '\t'},
        {"a\tb\tc\n1\t\t3\n", "1||3", '\t'},
        {"a;b;c,d\n1;2,5;x\n", "1|2,5|x", ';'},
        {"\"a,b,c\";d\n1;2\n", "1|2", ';'}, /* a separator in quotes does not count */
        {"a;b,c\n1;2,3\n", "1;2|3", ','},   /* a tie: the comma */
        {"a\nx\ny\n", "x/y", ','},
        {"a;b\n1,1,1;2,2,2\n", "1,1,1|2,2,2", ';'}, /* the header decides */
        {"\n\na;b\n1;2\n", "1|2", ';'},
        {"a,b\r1,2\r3,4\r", "1|2/3|4", ','},
        {"a,b\n 1 , two words \n", "1|two words", ','},
        {"a,b\n  \" kept \"  ,2\n", " kept |2", ','},
        {"a,b\n8\" print,2\n", "8\" print|2", ','},  /* a quote inside stands for itself */
        {"a,b,c\n1\n2,3\n", "1||/2|3|", ','},        /* short rows are filled */
        {"a,b\n1,2,,,\n", "1|2", ','},               /* trailing empty fields forgiven */
        {"a,b\n\n,\n \n\"\",\n1,2\n\n", "1|2", ','}, /* empty rows left out */
        {"\n\r\na,b\n1,2\n", "1|2", ','},
        {"a,b\n1,", "1|", ','},
        {"a,b\n\"1\"", "1|", ','},
        {"a,b\n\xC3\xA9,\xF0\x9F\x93\xB7\n", "\xC3\xA9|\xF0\x9F\x93\xB7", ','},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_ok(parse(rows[i].text), error);
        assert_string_equal(flat(), rows[i].flat);
        assert_int_equal(csv.separator, rows[i].separator);
    }
}

static void headers_and_lines(void **state) {
    (void)state;
    assert_ok(parse("\n order ,\"image\ntwo\", \r\n\"1\n2\",b,c\r\n\r\nx,y,z\n"), error);
    assert_int_equal(csv.header.line, 2);
    assert_int_equal(csv.header.count, 3);
    assert_string_equal(csv.header.fields[0], "order");
    assert_string_equal(csv.header.fields[1], "image\ntwo");
    assert_string_equal(csv.header.fields[2], "");
    assert_int_equal(csv.count, 2);
    assert_int_equal(csv.rows[0].line, 4); /* where the row begins, line breaks inside counted */
    assert_int_equal(csv.rows[1].line, 7);
    assert_int_equal(csv.rows[1].count, 3);
}

static void refusals_name_the_line(void **state) {
    (void)state;
    static const struct {
        const char *text, *name, *says;
        int line;
    } rows[] = {
        {"", "no-header", "the file is empty", 1},
        {"\n \n,,\n", "no-header", "the file is empty", 1},
        {"\xEF\xBB\xBF", "no-header", "the file is empty", 1},
        {"a,b\n1,2,3\n", "too-many-fields", "this row has 3 fields, the header has 2", 2},
        {"a,b\n\n1,2,,3,,\n", "too-many-fields", "this row has 4 fields", 3},
        {"a,b\n1,2\n\"x,y\nz", "open-quote", "opened here is never closed", 3},
        {"\"a", "open-quote", "never closed", 1},
        {"a,b\n\"1\n2\"3,4\n", "text-after-quote", "text after a closing quote", 3},
        {"a,b\r\n1,\x96\n", "not-utf8", "byte 0x96 here is not UTF-8", 2},
        {"\xFF\xFE"
         "a",
         "not-utf8", "byte 0xFF", 1},
        {"a,b\r\rx\xC3", "not-utf8", "byte 0xC3", 3},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_int_equal(parse(rows[i].text), TW_INPUT);
        assert_string_equal(error.name, rows[i].name);
        assert_says(error, rows[i].says);
        assert_string_equal(error.file, "o.csv");
        assert_int_equal(error.line, rows[i].line);
        assert_null(csv.rows);
    }
    assert_int_equal(parse_bytes("a,b\n1,\0\n", 8), TW_INPUT);
    assert_string_equal(error.name, "nul-byte");
    assert_int_equal(error.line, 2);
}

static void bounds(void **state) {
    (void)state;
    enum { ROWS = TW_CSV_ROWS_MOST };
    char *text = malloc(2 * ROWS + 64);
    memset(text, ',', 300);
    memcpy(text + 256, "x\n", 3);
    assert_int_equal(parse(text), TW_INPUT); /* 257 fields */
    assert_says(error, "more than 256 fields");
    memcpy(text + 255, "x\n", 3);
    assert_ok(parse(text), error);
    assert_int_equal(csv.header.count, 256);
    for (size_t i = 0; i <= ROWS; i++)
        memcpy(text + 2 * i, "x\n", 3);
    assert_ok(parse(text), error); /* the header and as many rows as are allowed */
    assert_int_equal(csv.count, ROWS);
    memcpy(text + 2 * (ROWS + 1), "x\n", 3);
    assert_int_equal(parse(text), TW_INPUT);
    assert_string_equal(error.name, "too-many-rows");
    assert_int_equal(error.line, ROWS + 2);
    free(text);
}

/* 256 columns with rows of one character each would fill memory with empty fields. */
static void empty_cells_are_bounded(void **state) {
    (void)state;
    enum { ROWS = 60000 };
    char *text = malloc(600 + 2 * ROWS), *at = text;
    for (int i = 0; i < 255; i++)
        at += sprintf(at, "h,");
    at += sprintf(at, "h\n");
    for (int i = 0; i < ROWS; i++)
        at += sprintf(at, "x\n");
    assert_int_equal(parse(text), TW_INPUT);
    assert_string_equal(error.name, "too-many-rows");
    free(text);
}

static const char sample[] =
    "order;image;title\r\n1;\"a;b.jpg\";\"say \"\"hi\"\"\"\r\n\r\n2;c.png\r\n";

static void any_allocation_may_fail(void **state) {
    (void)state;
    tw_code code = TW_MEMORY;
    for (size_t most = 16; code != TW_OK; most += 16) { /* an arena with ever more room */
        test_memory memory = {0};
        tw_allocator allocator = test_allocator(&memory);
        tw_arena *small = tw_arena_new(&allocator, most);
        tw_csv out = {0};
        code = tw_csv_parse(small, "o.csv", sample, sizeof sample - 1, &out, &error);
        assert_true(code == TW_OK || (code == TW_MEMORY && out.rows == NULL));
        assert_true(most < 4096 && (code != TW_OK || most > 200));
        tw_arena_free(small);
        assert_no_leak(memory);
    }
}

/* Cut anywhere or with any byte changed: taken or refused, never a crash; rows stay whole. */
static void damaged_files(void **state) {
    (void)state;
    char text[sizeof sample];
    for (size_t at = 0; at + 1 < sizeof sample; at++) {
        tw_code code = parse_bytes(sample, at);
        assert_true(code == TW_OK || code == TW_INPUT);
        for (int byte = 0; byte < 256; byte++) {
            memcpy(text, sample, sizeof sample);
            text[at] = (char)byte;
            code = parse_bytes(text, sizeof sample - 1);
            assert_true(code == TW_OK || code == TW_INPUT);
            for (size_t row = 0; code == TW_OK && row < csv.count; row++)
                assert_int_equal(csv.rows[row].count, csv.header.count);
        }
        tw_arena_free(arena);
        arena = tw_arena_new(NULL, 0);
    }
}

static void the_text_given_stays_as_it_was(void **state) {
    (void)state;
    char text[sizeof sample];
    memcpy(text, sample, sizeof sample);
    assert_ok(parse(text), error);
    assert_memory_equal(text, sample, sizeof sample);
    memset(text, 'x', sizeof text - 1); /* and the rows do not lean on it */
    assert_string_equal(flat(), "1|a;b.jpg|say \"hi\"/2|c.png|");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rfc_4180),
        cmocka_unit_test(what_spreadsheets_write),
        cmocka_unit_test(headers_and_lines),
        cmocka_unit_test(refusals_name_the_line),
        cmocka_unit_test(bounds),
        cmocka_unit_test(empty_cells_are_bounded),
        cmocka_unit_test(any_allocation_may_fail),
        cmocka_unit_test(damaged_files),
        cmocka_unit_test(the_text_given_stays_as_it_was),
    };
    return cmocka_run_group_tests(tests, start, finish);
}
