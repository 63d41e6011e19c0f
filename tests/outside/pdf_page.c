/* Reading a page through qpdf (see pdf_page.h). */
#include "pdf_page.h"

#include <ctype.h>
#include <math.h>

/* ------------------------------------------------ qpdf's JSON */

cJSON *pdf_json(const char *file) {
    shell("qpdf --json=2 --json-key=pages --json-key=qpdf --no-warn '%s' >page.json", file);
    return read_json("page.json");
}

const cJSON *pdf_object(const cJSON *json, const char *reference) {
    char key[64];
    (void)snprintf(key, sizeof key, "obj:%s", reference);
    const cJSON *object = member(item(member(json, "qpdf"), 1), key);
    const cJSON *stream = cJSON_GetObjectItemCaseSensitive(object, "stream");
    return stream != NULL ? member(stream, "dict") : member(object, "value");
}

static pdf_box box_of(const cJSON *page, const char *key) {
    const cJSON *box = member(page, key);
    double corner[4];
    assert_int_equal(cJSON_GetArraySize(box), 4);
    for (int i = 0; i < 4; i++)
        corner[i] = item(box, i)->valuedouble;
    return (pdf_box){corner[0], corner[1], corner[2], corner[3]};
}

static const cJSON *maybe_reference(const cJSON *json, const cJSON *value) {
    return cJSON_IsString(value) ? pdf_object(json, value->valuestring) : value;
}

/* The object behind each picture's name. */
static void name_objects(const cJSON *json, const cJSON *page, pdf_page *out) {
    if (out->picture_count == 0)
        return;
    const cJSON *resources = maybe_reference(json, member(page, "/Resources"));
    const cJSON *images = maybe_reference(json, member(resources, "/XObject"));
    for (size_t i = 0; i < out->picture_count; i++) {
        pdf_picture *picture = &out->pictures[i];
        (void)snprintf(picture->object, sizeof picture->object, "%s",
                       text_of(images, picture->name));
    }
}

/* ------------------------------------------------ content */

/* ISO 32000-1, 8.4: what q keeps and Q gives back. */
typedef struct state {
    double matrix[6];
    double weight, grey;
    bool clipped;
    pdf_box clip;
} state;

typedef struct reader {
    pdf_page *page;
    state now, kept[32];
    size_t depth;
    double numbers[16];
    size_t number_count;
    char name[64];
    double x, y;       /* current point */
    pdf_line path[64]; /* since the last painting operator */
    size_t path_count;
    pdf_box rectangle;
    bool has_rectangle, clip_next;
} reader;

/* x' = a x + c y + e, y' = b x + d y + f (8.3.3). */
static void map(const double *m, double x, double y, double *to_x, double *to_y) {
    *to_x = m[0] * x + m[2] * y + m[4];
    *to_y = m[1] * x + m[3] * y + m[5];
}

/* cm: M' = operand x M (8.3.4). */
static void concatenate(double *m, const double *by) {
    double was[6];
    memcpy(was, m, sizeof was);
    for (size_t i = 0; i < 3; i++) {
        m[2 * i] = by[2 * i] * was[0] + by[2 * i + 1] * was[2] + (i == 2 ? was[4] : 0);
        m[2 * i + 1] = by[2 * i] * was[1] + by[2 * i + 1] * was[3] + (i == 2 ? was[5] : 0);
    }
}

static void move_to(reader *r) {
    map(r->now.matrix, r->numbers[0], r->numbers[1], &r->x, &r->y);
}

static void line_to(reader *r) {
    double x, y;
    map(r->now.matrix, r->numbers[0], r->numbers[1], &x, &y);
    assert_in_range(r->path_count, 0, 63);
    r->path[r->path_count++] = (pdf_line){r->x, r->y, x, y, 0, 0};
    r->x = x;
    r->y = y;
}

static void rectangle(reader *r) {
    double x0, y0, x1, y1;
    map(r->now.matrix, r->numbers[0], r->numbers[1], &x0, &y0);
    map(r->now.matrix, r->numbers[0] + r->numbers[2], r->numbers[1] + r->numbers[3], &x1, &y1);
    r->rectangle = (pdf_box){fmin(x0, x1), fmin(y0, y1), fmax(x0, x1), fmax(y0, y1)};
    r->has_rectangle = true;
}

static void end_path(reader *r) {
    if (r->clip_next) {
        assert_true(r->has_rectangle);
        assert_false(r->now.clipped); /* one clip inside another is not expected */
        r->now.clipped = true;
        r->now.clip = r->rectangle;
    }
    r->has_rectangle = r->clip_next = false;
    r->path_count = 0;
}

static void stroke(reader *r) {
    for (size_t i = 0; i < r->path_count; i++) {
        assert_in_range(r->page->line_count, 0, PAGE_MOST - 1);
        pdf_line *line = &r->page->lines[r->page->line_count++];
        *line = r->path[i];
        line->weight = r->now.weight * fabs(r->now.matrix[0] + r->now.matrix[1]);
        line->grey = r->now.grey;
    }
}

static void paint_picture(reader *r) {
    assert_in_range(r->page->picture_count, 0, PAGE_MOST - 1);
    pdf_picture *picture = &r->page->pictures[r->page->picture_count++];
    memcpy(picture->matrix, r->now.matrix, sizeof picture->matrix);
    picture->clipped = r->now.clipped;
    picture->clip = r->now.clip;
    (void)snprintf(picture->name, sizeof picture->name, "%s", r->name);
}

static void keep(reader *r) {
    assert_in_range(r->depth, 0, 31);
    r->kept[r->depth++] = r->now;
}

static void give_back(reader *r) {
    assert_in_range(r->depth, 1, 32);
    r->now = r->kept[--r->depth];
}

static void matrix(reader *r) {
    concatenate(r->now.matrix, r->numbers);
}

static void weight(reader *r) {
    r->now.weight = r->numbers[0];
}

static void stroke_grey(reader *r) {
    r->now.grey = r->numbers[0];
}

static void clip(reader *r) {
    r->clip_next = true;
}

static void stroke_path(reader *r) {
    stroke(r);
    end_path(r);
}

static void nothing(reader *r) {
    (void)r;
}

typedef struct operation {
    const char *name;
    size_t numbers;
    void (*act)(reader *r);
} operation;

/* An operator that is not here fails the test: it could paint. */
static const operation operations[] = {
    {"q", 0, keep},        {"Q", 0, give_back},   {"cm", 6, matrix},        {"w", 1, weight},
    {"G", 1, stroke_grey}, {"g", 1, nothing},     {"m", 2, move_to},        {"l", 2, line_to},
    {"re", 4, rectangle},  {"W", 0, clip},        {"n", 0, end_path},       {"S", 0, stroke_path},
    {"f", 0, end_path},    {"B", 0, stroke_path}, {"Do", 0, paint_picture}, {"BT", 0, nothing},
    {"ET", 0, nothing},    {"Tf", 1, nothing},    {"Tm", 6, nothing},       {"Tj", 0, nothing},
    {"Tr", 1, nothing},    {"d", 1, nothing},
};

static void act(reader *r, const char *word) {
    for (size_t i = 0; i < sizeof operations / sizeof *operations; i++)
        if (strcmp(word, operations[i].name) == 0) {
            if (operations[i].numbers > r->number_count)
                fail_msg("operator %s has %zu numbers", word, r->number_count);
            operations[i].act(r);
            r->number_count = 0;
            return;
        }
    fail_msg("operator \"%s\" in the content", word);
}

static void take_word(reader *r, const char *word) {
    char *end;
    double value = strtod(word, &end);
    if (*end == '\0') {
        assert_in_range(r->number_count, 0, 15);
        r->numbers[r->number_count++] = value;
    } else if (word[0] == '/') {
        (void)snprintf(r->name, sizeof r->name, "%s", word);
    } else {
        act(r, word);
    }
}

/* Texts are hexadecimal; dash arrays count as nothing. */
static void read_content(reader *r, const char *at) {
    char word[64];
    while (*at != '\0') {
        size_t length = 0;
        if (isspace((unsigned char)*at)) {
            at++;
            continue;
        }
        if (*at == '<' || *at == '[') {
            at += strcspn(at, ">]") + 1;
            continue;
        }
        while (*at != '\0' && !isspace((unsigned char)*at) && *at != '<' && *at != '[' &&
               length < sizeof word - 1)
            word[length++] = *at++;
        word[length] = '\0';
        take_word(r, word);
    }
    assert_int_equal(r->depth, 0);
}

static void read_stream(const char *file, const char *reference, pdf_page *out) {
    reader *r = calloc(1, sizeof *r);
    size_t length;
    int object = atoi(reference);
    assert_non_null(r);
    shell("qpdf --show-object=%d --filtered-stream-data '%s' >content", object, file);
    unsigned char *text = whole_file("content", &length);
    r->page = out;
    r->now = (state){.matrix = {1, 0, 0, 1, 0, 0}, .weight = 1};
    read_content(r, (const char *)text);
    free(text);
    free(r);
}

void read_pdf_page(const char *file, pdf_page *out) {
    shell("qpdf --check '%s'", file);
    cJSON *json = pdf_json(file);
    const cJSON *page = item(member(json, "pages"), 0);
    const cJSON *values = pdf_object(json, text_of(page, "object"));
    memset(out, 0, sizeof *out);
    out->media = box_of(values, "/MediaBox");
    out->crop = box_of(values, "/CropBox");
    out->bleed = box_of(values, "/BleedBox");
    out->trim = box_of(values, "/TrimBox");
    assert_null(cJSON_GetObjectItemCaseSensitive(values, "/Rotate"));
    assert_null(cJSON_GetObjectItemCaseSensitive(values, "/UserUnit"));
    const cJSON *contents = member(page, "contents");
    for (int i = 0; i < cJSON_GetArraySize(contents); i++)
        read_stream(file, item(contents, i)->valuestring, out);
    name_objects(json, values, out);
    cJSON_Delete(json);
}

/* ------------------------------------------------ comparing */

void assert_box(const char *what, pdf_box seen, double left, double bottom, double right,
                double top) {
    char words[160];
    static const char *const side[] = {"left", "bottom", "right", "top"};
    const double values[] = {seen.left, seen.bottom, seen.right, seen.top};
    const double wanted[] = {left, bottom, right, top};
    for (int i = 0; i < 4; i++) {
        (void)snprintf(words, sizeof words, "%s, %s", what, side[i]);
        assert_near(words, values[i], wanted[i], POINT_ERROR);
    }
}

static bool near(double a, double b) {
    return fabs(a - b) <= POINT_ERROR;
}

int lines_between(const pdf_page *page, double x0, double y0, double x1, double y1) {
    int found = 0;
    for (size_t i = 0; i < page->line_count; i++) {
        const pdf_line *l = &page->lines[i];
        bool there = near(l->x0, x0) && near(l->y0, y0) && near(l->x1, x1) && near(l->y1, y1);
        bool back = near(l->x0, x1) && near(l->y0, y1) && near(l->x1, x0) && near(l->y1, y0);
        found += there || back;
    }
    return found;
}
