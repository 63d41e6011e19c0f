/* The cut guide: a plan as pages that are taken to the trimmer. */
#ifndef TW_GUIDE_GUIDE_H
#define TW_GUIDE_GUIDE_H

#include "sheet/plan.h"

/* The cut guide's pages. */
TW_USE_RESULT tw_code tw_guide_make(tw_arena *arena, const tw_plan_data *plan, tw_size paper,
                                    tw_page **pages, size_t *count, tw_error *error);

#endif
