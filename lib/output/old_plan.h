/* Which sheets an earlier run wrote into a folder, by the plan.json it left there. */
#ifndef TW_OUTPUT_OLD_PLAN_H
#define TW_OUTPUT_OLD_PLAN_H

#include "base/error.h"

/* The name of a file with sheets, as this program gives it: "sheet-NN.pdf" or "sheets-NN.pdf",
 * two to nine digits. */
bool tw_is_sheet_name(const char *name);

/* Names in the arena. A plan.json that is missing or cannot be read as one gives no names: then
 * nothing is known to be ours. Whatever it says, only names of sheets come back. TW_MEMORY only. */
TW_USE_RESULT tw_code tw_old_plan_sheets(tw_arena *arena, const char *folder, const char ***out,
                                         size_t *count, tw_error *error);

#endif
