/* What the readers of lib/job share among themselves. Private to lib/job and its tests. */
#ifndef TW_JOB_READERS_H
#define TW_JOB_READERS_H

#include "base/csv.h"
#include "job/model.h"
#include "job/reader.h"

/* A page side libharu and PDF 1.7 allow: 14 400 pt = 200 in (ISO 32000-1 Annex C). */
#define TW_SIDE_MOST (200 * TW_IN)

typedef enum tw_shipped_kind { TW_SHIPPED_PAPER, TW_SHIPPED_TEMPLATES } tw_shipped_kind;

/* A paper or template file opened: by path (a value ending in .json or holding a '/'), else a
 * shipped name. `at` is the value that names it, for messages; NULL outside a job. The document
 * is the caller's to free; NULL when it was not readable (reported). */
typedef struct tw_named_file {
    const char *shown;  /* the name messages use */
    const char *folder; /* where its own relative paths start */
    tw_json *document;
} tw_named_file;
bool tw_named_open(tw_reader *r, const char *folder, const char *name, tw_shipped_kind kind,
                   const tw_json_value *at, tw_named_file *out);
/* A file that could not be read: at the value that names it, or under its own name. */
bool tw_unreadable(tw_reader *r, const char *shown, const tw_json_value *at, tw_error *e);
/* Does this shipped file hold what is asked for? */
bool tw_shipped_is(const char *name, tw_shipped_kind kind);

/* Read one paper; false when it is not usable (reported). out->name may be set even so. */
bool tw_paper_read(tw_reader *r, const char *folder, const char *name, const tw_json_value *at,
                   tw_paper *out);
/* The same from a parsed file. */
void tw_paper_take(tw_reader *r, const tw_json_value *root, const char *folder, tw_paper *p);
/* "further_rolls": what is left on other rolls of this paper. */
void tw_further_rolls_take(tw_reader *r, const tw_json_value *root, tw_paper *p);
/* "offcuts": kept pieces of it. */
void tw_offcuts_take(tw_reader *r, const tw_json_value *root, tw_paper *p);
/* ppi limits of a job or paper. `fallback` gives what holds where this object says nothing. */
void tw_resolution_read(tw_reader *r, const tw_json_value *object, tw_resolution fallback,
                        tw_resolution *out);
/* A template's "resolution", which holds limit_ppi and enlarge_to_ppi alone. */
void tw_targets_read(tw_reader *r, const tw_json_value *object, tw_resolution *out);
/* "sharpen": "off" or an object; *out is left alone when there is none. */
void tw_sharpen_read(tw_reader *r, const tw_json_value *object, tw_sharpen *out);

/* Add a file's templates to a list. Templates with problems are reported and their names go to
 * `broken`; a file that cannot be read opens it. */
typedef struct tw_template_list {
    tw_template *items;
    size_t count, room;
    tw_names broken;
} tw_template_list;
bool tw_templates_read(tw_reader *r, const char *folder, const char *name, const tw_json_value *at,
                       tw_template_list *list);
/* The same from a parsed file. */
void tw_template_set_take(tw_reader *r, const tw_json_value *root, tw_template_list *list);
void tw_template_defaults(tw_template *t);

void tw_names_add(tw_reader *r, tw_names *names, const char *name);
bool tw_names_hold(const tw_names *names, const char *name);

void tw_job_defaults(tw_job_data *job);
/* layout, marks, colour, resolution, trimmer of the job's root. */
void tw_settings_read(tw_reader *r, const tw_json_value *root, tw_job_data *job);
/* layout.choose, once the papers are read. */
void tw_choose_read(tw_reader *r, const tw_json_value *root, tw_job_data *job);
/* Of the job's "layout": money for work, lengths of sheets, the plan wanted. */
void tw_work_read(tw_reader *r, const tw_json_value *layout, tw_job_data *job);
/* These against the papers, once they are read. */
void tw_work_check(tw_reader *r, const tw_json_value *root, const tw_job_data *job);
/* The job's "colour". */
void tw_colour_read(tw_reader *r, const tw_json_value *root, tw_job_data *job);
/* "intent" of an object: true = present and good. Absolute is refused: it is for proofs. */
bool tw_intent_take(tw_reader *r, const tw_json_value *object, tw_intent *out);
/* A word of a table; false and *error filled when it is none. */
bool tw_intent_of(const char *word, tw_intent *out, tw_error *error);
/* Where a profile is: as a path from `folder`, in the job's folder, in the person's and the
 * system's folders of profiles and the folders directly in them. NULL: nowhere (not reported), or
 * no memory (stopped). */
const char *tw_profile_find(tw_reader *r, const char *folder, const char *name);
#define TW_PROFILE_FOLDERS "~/.local/share/icc, /usr/share/color/icc, /usr/local/share/color/icc"
/* layout.keep_together and at_risk; then, with the papers read, whether the money is
 * theirs. */
void tw_steer_read(tw_reader *r, const tw_json_value *layout, tw_job_data *job);
void tw_steer_check(tw_reader *r, const tw_json_value *root, const tw_job_data *job);
/* layout.pins; `layout` may be NULL. */
void tw_pins_read(tw_reader *r, const tw_json_value *layout, tw_job_data *job);
/* The whole job from memory; `file` is the name messages show, `folder` where paths start. */
TW_USE_RESULT tw_code tw_job_parse(tw_arena *arena, const char *file, const char *folder,
                                   const char *text, size_t length, tw_report *report,
                                   tw_job_data **out, tw_error *error);

/* A paper's "profile": its bytes and what they are for. */
void tw_take_profile(tw_reader *r, const tw_json_value *root, const char *folder, tw_paper *p);

/* Columns of orders and fillers: one list of all, each kind names its own. */
typedef enum tw_column {
    TW_COL_ORDER,
    TW_COL_IMAGE,
    TW_COL_TEMPLATE,
    TW_COL_BUYER,
    TW_COL_PAPER,
    TW_COL_COPIES,
    TW_COL_TITLE,
    TW_COL_DUE,
    TW_COL_NOTE,
    TW_COL_PRICE,
    TW_COL_ADDRESS,
    TW_COL_EDITION,
    TW_COL_ACCEPT,
    TW_COL_SET,
    TW_COL_SELLS_FOR,
    TW_COL_CHANCE,
    TW_COL_COST,
    TW_COL_INTENT,
    TW_COLUMNS
} tw_column;

typedef struct tw_columns {
    const char *what;     /* "orders", "fillers" */
    const tw_column *ids; /* the required ones first */
    size_t count, required;
} tw_columns;

typedef struct tw_table {
    const char *file;               /* as the job names it */
    const char *mapped[TW_COLUMNS]; /* the header a column is under, or NULL */
    size_t at[TW_COLUMNS];          /* SIZE_MAX: no such column */
    tw_csv csv;
} tw_table;

/* Where the table is and how its columns are called: "orders.csv" or {"file":, "columns":}. */
bool tw_table_source(tw_reader *r, const tw_json_value *value, const tw_columns *columns,
                     tw_table *table);
/* Parse text into the table and find its columns; false: no lines can be read (reported). */
bool tw_table_parse(tw_reader *r, const char *text, size_t length, const tw_columns *columns,
                    tw_table *table);
/* Warns of a row that ends before the header does: which columns it takes as empty. */
void tw_table_warn_short(tw_reader *r, const tw_table *table, const tw_csv_row *row);
/* Both, with the file read in between. */
bool tw_table_load(tw_reader *r, const tw_json_value *value, const char *folder,
                   const tw_columns *columns, tw_table *table);
/* "" where the table has no such column. */
const char *tw_table_field(const tw_table *table, const tw_csv_row *row, tw_column column);
/* The column's name as the person wrote it. */
const char *tw_table_heading(const tw_table *table, tw_column column);
/* A problem in this row: file and line filled in. */
void tw_table_fail(const tw_table *table, const tw_csv_row *row, tw_error *e, const char *name,
                   const char *format, ...) TW_PRINTF(5, 6);

/* What orders and fillers have in common while their lines are read. */
typedef struct tw_lines {
    tw_reader *r;
    tw_job_data *job;
    const tw_table *table;
    const char **template_names, **paper_names;
    int64_t prints; /* copies so far */
} tw_lines;
bool tw_lines_start(tw_lines *lines, tw_reader *r, tw_job_data *job, const tw_table *table);
/* Image, template, paper and copies of a row. */
void tw_line_read(tw_lines *lines, const tw_csv_row *row, tw_order *out);
/* A text field: `most` bytes, NULL when blank or faulty (reported). */
const char *tw_line_text(tw_lines *lines, const tw_csv_row *row, tw_column column, size_t most,
                         bool required);
/* Enough problems: says so once and is true. */
bool tw_lines_enough(tw_lines *lines, const tw_csv_row *row, size_t problems_before);

/* The lines of a parsed table, onto the job. */
void tw_orders_read(tw_reader *r, const tw_table *table, tw_job_data *job);
void tw_fillers_read(tw_reader *r, const tw_table *table, tw_job_data *job);
extern const tw_columns tw_order_columns, tw_filler_columns;

#endif
