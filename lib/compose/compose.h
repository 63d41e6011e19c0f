/* A plan becomes a folder of files. */
#ifndef TW_COMPOSE_COMPOSE_H
#define TW_COMPOSE_COMPOSE_H

#include "sheet/plan.h"

/* Everything into `folder`, whole or not at all; sheets an old plan.json there names and this
 * plan does not are removed. The plan's sheets get the names of their files. options->strict: when
 * the report holds a warning after all is drawn and before anything has its final name, TW_STRICT
 * and nothing is written. */
TW_USE_RESULT tw_code tw_compose_write(tw_arena *arena, tw_plan_data *plan, const char *folder,
                                       const tw_compose_options *options, const tw_run *run,
                                       tw_report *report, tw_error *error);

#endif
