/*
 * What the checks against the outside share: a folder of their own, other people's tools, the
 * built command run as a person would run it, and plan.json read with cJSON. Nothing of Trimwell's
 * library is linked or included here: the product is judged by what it writes.
 *
 * Any failure of a helper fails the test that called it.
 */
#ifndef OUTSIDE_H
#define OUTSIDE_H

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <cjson/cJSON.h>

#define POINTS_PER_INCH 72.0 /* ISO 32000-1, 8.3.2.3: default user space */
#define MM_PER_INCH 25.4     /* ISO 31-1: the inch of 1959, exactly */
/* The error that the checks allow a place in a PDF. */
#define POINT_ERROR 0.001

/* cmocka group setup and teardown: go into a new folder under TMPDIR, and remove it. */
int enter_folder(void **state);
int leave_folder(void **state);

/* A file in that folder, made or replaced; `format` as printf has it. */
void write_text(const char *name, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* Whole file, ended by a zero byte; free it. */
unsigned char *whole_file(const char *name, size_t *length);

/* A shell command; returns its exit code. Its output is left in the files `out` and `err`. */
int try_shell(const char *format, ...) __attribute__((format(printf, 1, 2)));
/* The same, and it must succeed. */
void shell(const char *format, ...) __attribute__((format(printf, 1, 2)));

/* `trimwell compose WORDS -o out_folder` must succeed; its plan.json, cJSON_Delete it. */
cJSON *compose(const char *words, const char *out_folder);
cJSON *read_json(const char *name);

/* A print day in the new folder `name`: job.json, paper.json, templates.json and orders.csv.
 * `paper` and `settings` (may be "") are members as JSON has them, with a comma before settings;
 * `templates` are objects with commas between; `orders` are lines under
 * "order,image,template,copies". The images lie beside the folder. */
void write_day(const char *name, const char *paper, const char *templates, const char *orders,
               const char *settings);

/* Members that must be there. */
const cJSON *member(const cJSON *object, const char *key);
double number_of(const cJSON *object, const char *key);
const char *text_of(const cJSON *object, const char *key);
const cJSON *item(const cJSON *array, int index);
/* A length in plan.json as whole nanometres: six decimals of a millimetre are exact. */
int64_t nm_of(const cJSON *object, const char *key);

/* Fails with `what`, both values and their difference unless they are within `error`. */
void assert_near(const char *what, double seen, double wanted, double error);

#endif
