/* The pieces on the table, cut by cut (see replay.h). */
#include "replay.h"

#define PIECES_MOST 2048

typedef struct area {
    int64_t x, y, right, bottom;
} area;

typedef struct piece {
    char name[48];
    area at;
} piece;

typedef struct table {
    piece pieces[PIECES_MOST];
    size_t count;
} table;

static area area_of(const cJSON *object) {
    area a = {nm_of(object, "x"), nm_of(object, "y"), 0, 0};
    a.right = a.x + nm_of(object, "width");
    a.bottom = a.y + nm_of(object, "height");
    return a;
}

static bool same_area(area a, area b) {
    return a.x == b.x && a.y == b.y && a.right == b.right && a.bottom == b.bottom;
}

static bool overlap(area a, area b) {
    return a.x < b.right && b.x < a.right && a.y < b.bottom && b.y < a.bottom;
}

/* ------------------------------------------------ cutting */

static piece *find_piece(table *t, const char *name) {
    for (size_t i = 0; i < t->count; i++)
        if (strcmp(t->pieces[i].name, name) == 0)
            return &t->pieces[i];
    return NULL;
}

static void lay(table *t, const char *name, area at) {
    assert_true(t->count < PIECES_MOST);
    if (find_piece(t, name) != NULL)
        fail_msg("there are two pieces called %s", name);
    if (at.x >= at.right || at.y >= at.bottom)
        fail_msg("piece %s is empty", name);
    piece *p = &t->pieces[t->count++];
    (void)snprintf(p->name, sizeof p->name, "%s", name);
    p->at = at;
}

/* Takes a piece away from the table. */
static area pick_up(table *t, const char *name) {
    piece *p = find_piece(t, name);
    if (p == NULL) {
        fail_msg("a cut takes piece %s, and it is not on the table", name);
        return (area){0, 0, 0, 0}; /* never: the analyzer does not know fail_msg */
    }
    area at = p->at;
    *p = t->pieces[--t->count];
    return at;
}

static void make_cut(table *t, const cJSON *cut, const paper_rules *rules) {
    const cJSON *frees = member(cut, "frees");
    bool roll = strcmp(text_of(cut, "along"), "roll") == 0;
    int64_t at = nm_of(cut, "at");
    area low = pick_up(t, text_of(cut, "piece")), high = low;
    if (!roll)
        assert_string_equal(text_of(cut, "along"), "across");
    int64_t from = roll ? low.x : low.y, to = roll ? low.right : low.bottom;
    assert_int_equal(nm_of(cut, "from"), roll ? low.y : low.x); /* edge to edge */
    assert_int_equal(nm_of(cut, "to"), roll ? low.bottom : low.right);
    assert_int_equal(nm_of(cut, "stop"), at - from);
    assert_true(at - from >= rules->narrowest && to - at >= rules->narrowest);
    *(roll ? &low.right : &low.bottom) = at;
    *(roll ? &high.x : &high.y) = at;
    lay(t, item(frees, 0)->valuestring, low);
    lay(t, item(frees, 1)->valuestring, high);
}

/* A sheet that is cut off by hand: the roll is on the far side and goes on. */
static bool ends_sheet(table *t, const cJSON *cut, area sheet) {
    const cJSON *frees = member(cut, "frees");
    if (strcmp(item(frees, 1)->valuestring, "roll") != 0)
        return false;
    assert_true(same_area(pick_up(t, text_of(cut, "piece")), sheet));
    assert_string_equal(text_of(cut, "along"), "across");
    assert_int_equal(nm_of(cut, "at"), sheet.bottom);
    assert_int_equal(nm_of(cut, "stop"), sheet.bottom);
    assert_int_equal(nm_of(cut, "from"), 0);
    assert_int_equal(nm_of(cut, "to"), sheet.right);
    lay(t, item(frees, 0)->valuestring, sheet);
    return true;
}

/* ------------------------------------------------ what is left */

static const cJSON *print_called(const cJSON *sheet, const char *id) {
    const cJSON *print;
    cJSON_ArrayForEach(print, member(sheet, "prints")) if (strcmp(text_of(print, "id"), id) ==
                                                           0) return print;
    return NULL;
}

static void assert_left(const table *t, const cJSON *sheet) {
    int prints = 0;
    for (size_t i = 0; i < t->count; i++) {
        const piece *p = &t->pieces[i];
        const cJSON *print = print_called(sheet, p->name);
        if (print == NULL && strncmp(p->name, "waste-", 6) != 0)
            fail_msg("piece %s is left uncut", p->name);
        if (print != NULL && !same_area(area_of(print), p->at))
            fail_msg("print %s is cut to another place or size than it has", p->name);
        prints += print != NULL;
    }
    assert_int_equal(prints, cJSON_GetArraySize(member(sheet, "prints")));
}

/* ------------------------------------------------ ink and distance */

static void assert_ink(const cJSON *print, area sheet, const paper_rules *rules) {
    area ink = area_of(member(print, "picture"));
    bool kept = ink.x >= rules->side && ink.y >= rules->lead &&
                ink.right <= sheet.right - rules->side && ink.bottom <= sheet.bottom - rules->tail;
    if (!kept)
        fail_msg("the picture of print %s runs into the paper's margin", text_of(print, "id"));
}

/* How far a picture runs past its print at most. */
static int64_t bleed_of(const cJSON *print) {
    static const char *const sides[] = {"top", "right", "bottom", "left"};
    int64_t most = 0;
    for (int i = 0; i < 4; i++) {
        int64_t bleed = nm_of(member(print, "bleed"), sides[i]);
        most = bleed > most ? bleed : most;
    }
    return most;
}

static void assert_distance(const cJSON *one, const cJSON *other, const paper_rules *rules) {
    area a = area_of(one), b = area_of(other);
    int64_t across = a.x < b.x ? b.x - a.right : a.x - b.right;
    int64_t along = a.y < b.y ? b.y - a.bottom : a.y - b.bottom;
    int64_t apart = across > along ? across : along;
    const char *id = text_of(one, "id"), *with = text_of(other, "id");
    if (apart < rules->gutter)
        fail_msg("prints %s and %s lie %lld nm apart", id, with, (long long)apart);
    if (overlap(area_of(member(one, "picture")), b) ||
        overlap(area_of(member(other, "picture")), a))
        fail_msg("ink of print %s or %s lies on the other", id, with);
    if (overlap(area_of(member(one, "picture")), area_of(member(other, "picture"))))
        fail_msg("the pictures of prints %s and %s lie on one another", id, with);
}

/* The picture runs past the trimmed edge just where it is said to. */
static void assert_bleed(const cJSON *print) {
    area ink = area_of(member(print, "picture")), trim = area_of(print);
    int64_t over[] = {trim.x - ink.x, trim.y - ink.y, ink.right - trim.right,
                      ink.bottom - trim.bottom};
    int64_t most = 0;
    for (int i = 0; i < 4; i++)
        most = over[i] > most ? over[i] : most;
    assert_int_equal(most, bleed_of(print));
}

static void assert_places(const cJSON *sheet, area whole, const paper_rules *rules) {
    const cJSON *one, *other;
    cJSON_ArrayForEach(one, member(sheet, "prints")) {
        assert_ink(one, whole, rules);
        assert_bleed(one);
        for (other = one->next; other != NULL; other = other->next)
            assert_distance(one, other, rules);
    }
}

/* ------------------------------------------------ sheets */

void replay_sheet(const cJSON *sheet, const paper_rules *rules) {
    table *t = calloc(1, sizeof *t);
    const cJSON *cuts = member(sheet, "cuts"), *cut, *prints = member(sheet, "prints");
    area whole = {0, 0, nm_of(sheet, "width"), nm_of(sheet, "length")};
    assert_non_null(t);
    /* A sheet that no cut parts is its one print. */
    bool is_print = cJSON_GetArraySize(cuts) == 0;
    lay(t, is_print ? text_of(item(prints, 0), "id") : text_of(item(cuts, 0), "piece"), whole);
    int step = 0;
    cJSON_ArrayForEach(cut, cuts) {
        assert_int_equal(number_of(cut, "step"), ++step);
        if (!ends_sheet(t, cut, whole))
            make_cut(t, cut, rules);
    }
    assert_left(t, sheet);
    assert_places(sheet, whole, rules);
    free(t);
}

void replay_plan(const cJSON *plan, const paper_rules *rules) {
    const cJSON *sheet, *cut;
    int64_t stop = -1; /* not set yet: the first cut sets it */
    int cuts = 0, changes = 0;
    cJSON_ArrayForEach(sheet, member(plan, "sheets")) {
        replay_sheet(sheet, rules);
        cJSON_ArrayForEach(cut, member(sheet, "cuts")) {
            changes += nm_of(cut, "stop") != stop;
            stop = nm_of(cut, "stop");
            cuts++;
        }
    }
    assert_int_equal(number_of(member(plan, "totals"), "hand_cuts"), cuts);
    assert_int_equal(number_of(member(plan, "totals"), "stop_changes"), changes);
}

/* ------------------------------------------------ orders */

int prints_of(const cJSON *plan, const char *order, const char *image, const char *format) {
    const cJSON *sheet, *print;
    int found = 0;
    cJSON_ArrayForEach(sheet, member(plan, "sheets")) {
        cJSON_ArrayForEach(print, member(sheet, "prints")) {
            const cJSON *whose = member(print, "order"); /* null: a filler */
            found += cJSON_IsString(whose) && strcmp(whose->valuestring, order) == 0 &&
                     strcmp(text_of(print, "image"), image) == 0 &&
                     strcmp(text_of(print, "template"), format) == 0;
        }
    }
    return found;
}

int prints_in_all(const cJSON *plan) {
    const cJSON *sheet;
    int found = 0;
    cJSON_ArrayForEach(sheet, member(plan, "sheets")) {
        found += cJSON_GetArraySize(member(sheet, "prints"));
    }
    return found;
}
