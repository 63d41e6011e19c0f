/*
 * Reading a print day. Problems in what people wrote go into the report and reading goes on, so
 * that one run lists them all; a non-OK return means reading could not go on at all (no memory,
 * I/O, the job file itself unreadable) or, in the single-item readers, that the item is unusable.
 */
#ifndef TW_INTAKE_INTAKE_H
#define TW_INTAKE_INTAKE_H

#include "intake/model.h"
#include "intake/source.h"

/* `path` is job.json or its folder. Reads the job, its papers, templates, orders and fillers,
 * and finds (not opens) the images. */
TW_USE_RESULT tw_code tw_job_load(tw_arena *arena, const char *path, tw_report *report,
                                  tw_job_data **out, tw_error *error);

/* A paper or template set by path or shipped name (relative paths start at `folder`). Every
 * problem is in the report; the first of them is also what is returned. Templates that are good
 * stay in the list when others are not. */
TW_USE_RESULT tw_code tw_paper_load(tw_arena *arena, const char *folder, const char *name,
                                    tw_report *report, tw_paper *out, tw_error *error);
TW_USE_RESULT tw_code tw_templates_load(tw_arena *arena, const char *folder, const char *name,
                                        tw_report *report, tw_template **out, size_t *count,
                                        tw_error *error);

/* The quick form: a job of one paper, one template and images, without a file. `template_name`
 * is a template's name in any shipped set, or FILE#NAME, or a size such as "8x10in". Each image
 * becomes one order line with order NULL. */
TW_USE_RESULT tw_code tw_job_quick(tw_arena *arena, const char *paper, const char *template_name,
                                   int copies, const char *const *images, size_t image_count,
                                   tw_report *report, tw_job_data **out, tw_error *error);

/* Orders and fillers (CSV); called by tw_job_load. */
TW_USE_RESULT tw_code tw_orders_load(tw_arena *arena, const tw_json_value *value, tw_job_data *job,
                                     tw_report *report, tw_error *error);
TW_USE_RESULT tw_code tw_fillers_load(tw_arena *arena, const tw_json_value *value, tw_job_data *job,
                                      tw_report *report, tw_error *error);

/* The facts of one image file, from its structure alone: kind by its first bytes, never by its
 * name. Damage that structure shows is TW_DAMAGED; an unknown kind TW_INPUT by name. */
TW_USE_RESULT tw_code tw_image_read(tw_arena *arena, const char *path, tw_image *out,
                                    tw_error *error);
/* The same, but damage among the pixels or behind them is kept in out->damage and the facts stand:
 * how much is intact is found by decoding. Damage before the pixels stays TW_DAMAGED. */
TW_USE_RESULT tw_code tw_image_read_damaged(tw_arena *arena, const char *path, tw_image *out,
                                            tw_error *error);
/* Bytes of all its rows as decoded: transparency counted, less than 8 bits as 8. */
int64_t tw_image_decoded_bytes(const tw_image *image);
/* TW_INPUT "image-size" when the image is larger than the job's limits: asked before anything of
 * it is decoded. */
TW_USE_RESULT tw_code tw_image_within(const tw_image *image, const tw_limits *limits,
                                      tw_error *error);
/* One format each; `descriptor` is open at any place, `size` is the file's. */
TW_USE_RESULT tw_code tw_png_read(tw_arena *arena, int descriptor, int64_t size, tw_image *out,
                                  tw_error *error);
TW_USE_RESULT tw_code tw_jpeg_read(tw_arena *arena, int descriptor, int64_t size, tw_image *out,
                                   tw_error *error);
TW_USE_RESULT tw_code tw_tiff_read(tw_arena *arena, int descriptor, int64_t size, tw_image *out,
                                   tw_error *error);
/* One of a TIFF tag's values, read from its file; TW_DAMAGED when there are not so many. */
TW_USE_RESULT tw_code tw_tiff_value(tw_source *source, const tw_tiff *tiff,
                                    const tw_tiff_list *list, uint64_t index, uint64_t *out,
                                    tw_error *error);
bool tw_tiff_is_deflate(const tw_tiff *tiff);
/* What is printed of a damaged image, in a phrase: "rows 30 to 59 of 0 to 59 are white (50.0 %)",
 * or that it is coarser. Returns `out`. */
#define TW_DAMAGE_TEXT 160
char *tw_damage_text(const tw_image *image, char out[TW_DAMAGE_TEXT]);
/* White rows of all, thousandths, half up. */
int tw_damage_share(const tw_image *image);
/* Are the pixels made anew: resampled, sharpened, white in part, cut out or exposed anew? */
bool tw_image_is_treated(const tw_image *image);
/* Pixels along its stored axes once treated. */
void tw_image_treated_size(const tw_image *image, uint32_t *width, uint32_t *height);
/* May the file's own bytes go into a PDF as they are? (road.c says why not) */
bool tw_image_passes(const tw_image *image);
/* Pixels per metre of a TIFF or Exif resolution (unit 2: inch, 3: centimetre), rounded half up; 0
 * when it says none. */
int64_t tw_per_metre(uint32_t over, uint32_t under, uint64_t unit);
/* Orientation and resolution from an Exif block (TIFF header on). Leaves *out alone when the
 * block says nothing usable. */
void tw_exif_read(const unsigned char *bytes, size_t length, int *orientation, int64_t *density_x,
                  int64_t *density_y);

/* What an ICC header says (ICC.1 / ISO 15076-1 clause 7.2). */
typedef struct tw_profile {
    char device_class[5], space[5], connection[5];
    int channels; /* 1 3 4; 0 for a space we do not print */
    int version_major, version_minor;
    int intent;
    const char *description; /* desc/mluc tag as UTF-8, or NULL */
} tw_profile;
/* Cheap validity: length >= 132, the size field, 'acsp' at 36, tag table inside. */
TW_USE_RESULT tw_code tw_profile_read(tw_arena *arena, const unsigned char *bytes, size_t length,
                                      tw_profile *out, tw_error *error);
/* Of ICC version 2 or 4, those that are read (ICC.1:2010, 7.2.4); connected through XYZ or Lab, as
 * all but device links are (7.2.7; both from memory); of a class that may say what the colours of
 * an image mean: input, display, output, colour space (ISO 32000-1, 8.6.5.5). */
bool tw_profile_has_version(const tw_profile *profile);
bool tw_profile_connects(const tw_profile *profile);
bool tw_profile_is_source(const tw_profile *profile);

/* A shipped paper ("papers/NAME.json") or template set, built in from templates-demo. NULL when
 * there is none. */
const char *tw_shipped_text(const char *name, size_t *length);
/* Their names, NULL ended, for nearest-name hints. */
const char *const *tw_shipped_names(void);

/* May a sheet of this roll be so long (its shortest and longest sheet)? */
bool tw_paper_takes(const tw_paper *paper, tw_nm length);

#endif
