/*
 * The small public services that belong to no handle. Errors and the version are base's.
 */
#include "trimwell.h"

#include <stdio.h>

#include "base/error.h"
#include "base/length.h"
#include "base/text.h"

tw_code tw_error_set(tw_error *error, tw_code code, const char *name, const char *message,
                     const char *hint) {
    tw_fail(error, code, name, "%s", message);
    if (hint != NULL)
        tw_fail_hint(error, "%s", hint);
    return code;
}

const char *tw_nearest_name(const char *name, const char *const *names, size_t count) {
    return tw_nearest(name, names, count);
}

void tw_length_text(int64_t nanometres, char *out, size_t size) {
    char text[TW_LENGTH_TEXT];
    if (size > 0)
        snprintf(out, size, "%s", tw_length_both(nanometres, text));
}
