/* What the plan says of pixels that do not go to paper as they are stored: shared by the plan's
 * table and plan.json. */
#ifndef TW_REPORT_PLAN_PIXELS_H
#define TW_REPORT_PLAN_PIXELS_H

#include "base/text.h"
#include "sheet/plan.h"

/* Lines "  NAME for ID ...: what is done"; nothing when every image goes in as it is. */
void tw_plan_pixels_text(const tw_plan_data *plan, tw_buffer *out);
/* ", "pixels": {...}" of one print: the size it is printed with, upright, and what is done. */
void tw_plan_pixels_json(const tw_print *print, tw_buffer *out);
/* ", "damaged": ...": null, or why and which rows are white, numbered as stored from 0, both ends
 * counted. */
void tw_plan_damage_json(const tw_image *image, tw_buffer *out);

#endif
