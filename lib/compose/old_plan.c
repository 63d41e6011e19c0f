/* What is believed of an old plan.json: the names of sheets. */
#include "compose/old_plan.h"

#include <string.h>

bool tw_is_sheet_name(const char *name) {
    size_t digits = 0;
    if (strncmp(name, "sheet-", 6) == 0)
        name += 6;
    else if (strncmp(name, "sheets-", 7) == 0)
        name += 7;
    else
        return false;
    while (name[digits] >= '0' && name[digits] <= '9')
        digits++;
    return digits >= 2 && digits <= 9 && strcmp(name + digits, ".pdf") == 0;
}

const tw_old_list tw_old_plan = {"plan.json", "sheets", {"file", NULL}, tw_is_sheet_name};
