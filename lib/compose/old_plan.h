/* Which sheets an earlier run wrote into a folder, by the plan.json it left there. */
#ifndef TW_COMPOSE_OLD_PLAN_H
#define TW_COMPOSE_OLD_PLAN_H

#include "base/old_files.h"

/* The name of a file with sheets, as this program gives it: "sheet-NN.pdf" or "sheets-NN.pdf",
 * two to nine digits. */
bool tw_is_sheet_name(const char *name);

extern const tw_old_list tw_old_plan;

#endif
