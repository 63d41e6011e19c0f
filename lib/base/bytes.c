/* Amounts of bytes (see bytes.h). */
#include "base/bytes.h"

#include <stdio.h>
#include <string.h>

#include "base/length.h"
#include "base/number.h"
#include "base/text.h"

#define BYTES_MOST INT64_C(1000000000000000)

/* One of a unit is up x times bytes: tw_decimal_scale takes factors to 10^9. */
typedef struct bytes_unit {
    const char *name;
    int64_t up, times;
} bytes_unit;

static const bytes_unit units[] = {
    {"B", 1, 1},           {"kB", 1000, 1},          {"MB", 1000000, 1},
    {"GB", 1000000000, 1}, {"TB", 1000000000, 1000}, {"KiB", 1 << 10, 1},
    {"MiB", 1 << 20, 1},   {"GiB", 1 << 30, 1},      {"TiB", 1 << 30, 1024},
};

static tw_code refuse(const char *text, tw_error *error) {
    tw_fail(error, TW_INPUT, "bad-bytes", "\"%.40s\" is no amount of bytes", text);
    tw_fail_hint(error, "write a number and a unit, such as \"16 GiB\" or \"500 MB\"");
    return TW_INPUT;
}

static const bytes_unit *find_unit(const char *name) {
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (tw_same_ignoring_case(name, units[i].name))
            return &units[i];
    return NULL;
}

tw_code tw_bytes_read(const char *text, int64_t *out, tw_error *error) {
    const char *at = text;
    tw_decimal number;
    char name[4] = "";
    tw_blanks_take(&at);
    if (!tw_decimal_take(&at, &number) || tw_decimal_whole(&number) > 1000000000)
        return refuse(text, error);
    tw_blanks_take(&at);
    size_t length = strcspn(at, " \t");
    if (length == 0 || length >= sizeof name || at[length + strspn(at + length, " \t")] != '\0')
        return refuse(text, error);
    memcpy(name, at, length);
    const bytes_unit *unit = find_unit(name);
    if (unit == NULL)
        return refuse(text, error);
    tw_wide bytes = tw_decimal_scale(&number, unit->up, 1) * unit->times;
    if (bytes > BYTES_MOST)
        return refuse(text, error);
    *out = (int64_t)bytes;
    return TW_OK;
}

char *tw_bytes_text(int64_t bytes, char out[TW_BYTES_TEXT]) {
    static const char *const names[] = {"KiB", "MiB", "GiB", "TiB"};
    int64_t unit = 1024;
    size_t i = 0;
    if (bytes < 1024) {
        snprintf(out, TW_BYTES_TEXT, "%lld bytes", (long long)bytes);
        return out;
    }
    while (i < 3 && bytes / unit >= 1024) {
        unit *= 1024;
        i++;
    }
    int64_t tenths = tw_scale(bytes, 10, unit);
    if (tenths % 10 == 0)
        snprintf(out, TW_BYTES_TEXT, "%lld %s", (long long)(tenths / 10), names[i]);
    else
        snprintf(out, TW_BYTES_TEXT, "%lld.%lld %s", (long long)(tenths / 10),
                 (long long)(tenths % 10), names[i]);
    return out;
}
