/*
 * Reading a print day. Problems in what people wrote go into the report and reading goes on, so
 * that one run lists them all; a non-OK return means reading could not go on at all (no memory,
 * I/O, the job file itself unreadable) or, in the single-item readers, that the item is unusable.
 */
#ifndef TW_JOB_JOB_H
#define TW_JOB_JOB_H

#include "image/source.h"
#include "job/model.h"

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

/* A shipped paper ("papers/NAME.json") or template set, built in from templates-demo. NULL when
 * there is none. */
const char *tw_shipped_text(const char *name, size_t *length);
/* Their names, NULL ended, for nearest-name hints. */
const char *const *tw_shipped_names(void);

/* May a sheet of this roll be so long (its shortest and longest sheet)? */
bool tw_paper_takes(const tw_paper *paper, tw_nm length);

#endif
