/*
 * Every image decoded whole before anything is laid out: to find damage that a file's structure
 * does not show, or what is left of an image whose damage the person accepts.
 */
#ifndef TW_SETTLE_DAMAGE_H
#define TW_SETTLE_DAMAGE_H

#include "image/image.h"

/* Decode every image whole, on all cores; each that is damaged or was changed becomes an error of
 * the report, with its file and row. */
TW_USE_RESULT tw_code tw_check_pixels(tw_arena *arena, const tw_image *images, size_t count,
                                      const tw_run *run, tw_report *report, tw_error *error);

/* For --accept-damaged: decode every image whole and note in its `damage` what is wrong with it and
 * which rows are lost; one of which nothing is intact becomes an error of the report. */
TW_USE_RESULT tw_code tw_find_damage(tw_arena *arena, tw_image *images, size_t count,
                                     const tw_run *run, tw_report *report, tw_error *error);

#endif
