/*
 * Keys of the job file that are meant and known but belong to later work: one row each, so that
 * building one of them begins with deleting its row here.
 */
#include "base/text.h"
#include "intake/reader.h"

static const struct {
    const char *scope, *key;
    const char *value; /* NULL: whatever the value is */
} rows[] = {
    {"layout", "add_row_at", NULL},
    {"layout", "pins", NULL},
    {"layout", "keep_together", NULL},
    {"job", "costs", NULL},
};

bool tw_not_yet(const char *scope, const char *key, const char *value) {
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (tw_same_name(rows[i].scope, scope) && tw_same_name(rows[i].key, key) &&
            tw_same_name(rows[i].value, value))
            return true;
    return false;
}
