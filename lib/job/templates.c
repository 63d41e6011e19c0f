/* A template set: the file, its list, and names that are there but not usable. */
#include <string.h>

#include "base/text.h"
#include "job/job.h"
#include "job/template.h"

#define TEMPLATES_MOST 1000 /* in one job: far more than a studio has formats */

static const char *const set_names[] = {"trimwell", "templates"};
static const tw_keys set_keys = {"template set", set_names, 2, 2};

void tw_names_add(tw_reader *r, tw_names *names, const char *name) {
    const char **items =
        tw_arena_grow(r->arena, names->items, names->count, &names->room, sizeof names->items[0]);
    if (tw_got(r, items) == NULL)
        return;
    names->items = items;
    names->items[names->count++] = name;
}

bool tw_names_hold(const tw_names *names, const char *name) {
    for (size_t i = 0; i < names->count; i++)
        if (tw_same_name(names->items[i], name))
            return true;
    return false;
}

/* Two of one name: both places are named, the second is the one to mend. */
static bool is_new_name(tw_reader *r, const tw_template_list *list, const tw_json_value *value,
                        const tw_template *t) {
    for (size_t i = 0; i < list->count; i++) {
        const tw_template *other = &list->items[i];
        tw_error e = {0};
        if (!tw_same_name(other->name, t->name))
            continue;
        tw_json_fail(value, &e, TW_INPUT, "doubled-name",
                     "template \"%s\" is here and also at %s:%d; names must differ", t->name,
                     other->place.file, other->place.line);
        return tw_problem(r, &e);
    }
    return true;
}

static void add(tw_reader *r, tw_template_list *list, const tw_template *t) {
    tw_template *items =
        tw_arena_grow(r->arena, list->items, list->count, &list->room, sizeof list->items[0]);
    if (tw_got(r, items) == NULL)
        return;
    list->items = items;
    list->items[list->count++] = *t;
}

static void read_one(tw_reader *r, const tw_json_value *value, tw_template_list *list) {
    tw_template t;
    bool usable = tw_template_read(r, value, &t);
    if (t.name != NULL && !is_new_name(r, list, value, &t))
        return; /* the first of the name stands for the orders */
    if (usable)
        add(r, list, &t);
    else if (t.name != NULL)
        tw_names_add(r, &list->broken, t.name);
    else
        list->broken.open = true;
}

static bool is_list(tw_reader *r, const tw_json_value *items, size_t have) {
    tw_error e = {0};
    size_t count = tw_json_count(items);
    if (tw_json_kind_of(items) != TW_JSON_ARRAY || count == 0)
        tw_json_fail(items, &e, TW_INPUT, "wrong-kind",
                     "\"templates\" must be a list of at least one template");
    else if (have + count > TEMPLATES_MOST)
        tw_json_fail(items, &e, TW_INPUT, "too-many-templates",
                     "the job has %zu templates; at most %d are allowed", have + count,
                     TEMPLATES_MOST);
    return e.code == TW_OK || tw_problem(r, &e);
}

void tw_template_set_take(tw_reader *r, const tw_json_value *root, tw_template_list *list) {
    const tw_json_value *items = NULL;
    size_t before = list->count + list->broken.count;
    if (tw_read_keys(r, root, &set_keys)) {
        tw_take_version(r, root);
        items = tw_json_get(root, "templates");
    }
    if (items == NULL || !is_list(r, items, before)) {
        list->broken.open = true;
        return;
    }
    for (size_t i = 0; i < tw_json_count(items) && !tw_stopped(r); i++)
        read_one(r, tw_json_item(items, i), list);
}

bool tw_templates_read(tw_reader *r, const char *folder, const char *name, const tw_json_value *at,
                       tw_template_list *list) {
    size_t before = r->problems;
    tw_named_file source;
    if (tw_named_open(r, folder, name, TW_SHIPPED_TEMPLATES, at, &source))
        tw_template_set_take(r, tw_json_root(source.document), list);
    else
        list->broken.open = true;
    tw_json_free(source.document);
    return r->problems == before && !tw_stopped(r);
}

tw_code tw_templates_load(tw_arena *arena, const char *folder, const char *name, tw_report *report,
                          tw_template **out, size_t *count, tw_error *error) {
    tw_template_list list = {0};
    tw_reader r;
    tw_reader_start(&r, arena, report);
    (void)tw_templates_read(&r, folder, name, NULL, &list);
    *out = list.items;
    *count = list.count;
    return tw_reader_end(&r, error);
}
