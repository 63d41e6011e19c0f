/*
 * Trimwell: from orders and images to paper you can cut.
 *
 * The one installed header, in order of use: errors, a run, a job, its messages, a plan, the
 * papers written from it, and a few small services. Everything behind the handles is private.
 *
 * Conventions, the same for every function:
 *   - a function that can fail returns a tw_code and takes a tw_error as its last parameter;
 *     the caller owns the tw_error, it may be NULL, and it is written only on failure;
 *   - strings are UTF-8; strings given back are owned by the handle they came from, unless the
 *     function says "free with tw_text_free";
 *   - lengths are int64_t nanometres (1 in = 25 400 000 nm);
 *   - nothing is printed, no process is ended, no global state is kept. Handles are not to be
 *     used from two threads at once; two handles are independent.
 */
#ifndef TRIMWELL_H
#define TRIMWELL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#if defined(__GNUC__)
#define TW_USE_RESULT __attribute__((warn_unused_result))
#else
#define TW_USE_RESULT
#endif
/* What a shared library shows; all else in it is hidden. */
#if defined(__GNUC__)
#define TW_API __attribute__((visibility("default")))
#else
#define TW_API
#endif

/* ---------------------------------------------------------------- errors */

/* What a caller does next depends on this and on nothing else. */
typedef enum tw_code {
    TW_OK = 0,
    TW_USAGE,     /* the call or the command line is wrong                     exit 2  */
    TW_STRICT,    /* there were warnings and the person asked for none         exit 3  */
    TW_INPUT,     /* something the person named is missing, wrong or too big   exit 4  */
    TW_DAMAGED,   /* a file is damaged                                         exit 4  */
    TW_NOT_YET,   /* known and meant, but not built yet                        exit 4  */
    TW_CANCELLED, /* the caller's cancel function said stop                    exit 5  */
    TW_MEMORY,    /* no memory                                                 exit 5  */
    TW_IO,        /* the machine failed: read or write error, disk full        exit 5  */
    TW_BUG        /* a check inside the library failed: ours to mend           exit 70 */
} tw_code;

/* One message: an error or a warning. `name` is a stable word such as "low-ppi" (static
 * storage); `file`, `pointer` and `hint` may be empty; `line` and `column` start at 1, 0 = none. */
typedef struct tw_error {
    tw_code code;
    const char *name;
    int line;
    int column;
    char file[256];
    char pointer[160]; /* JSON pointer (RFC 6901) of the value at fault */
    char message[512]; /* one sentence with the value seen and the value allowed */
    char hint[256];    /* what to do about it */
} tw_error;

/* "orders.csv:7: template "8x11" is not in ... (hint)": at most `size` bytes, always ended. */
TW_API void tw_error_text(const tw_error *error, char *out, size_t size);
/* The exit code that belongs to a code: 0, 2, 3, 4, 5 or 70. */
TW_API int tw_exit_code(tw_code code);
TW_API const char *tw_version(void);

/* ---------------------------------------------------------------- a run */

/* Where memory comes from. NULL anywhere an allocator is asked for means malloc and free. */
typedef struct tw_allocator {
    void *(*allocate)(void *context, size_t size); /* NULL when there is none */
    void (*release)(void *context, void *block);   /* block may be NULL */
    void *context;
} tw_allocator;

/* What surrounds one run; a zeroed struct is a good default. */
typedef struct tw_run {
    const tw_allocator *allocator;
    /* Called now and then with done of total (bytes or steps) and what is being done. */
    void (*progress)(void *context, const char *doing, uint64_t done, uint64_t total);
    /* Polled now and then: true stops the work as soon as that is clean. */
    bool (*cancelled)(void *context);
    void *context;
} tw_run;

/* ---------------------------------------------------------------- a job */

/* One print day: what was read, every message about it and, once laid out, its plan. */
typedef struct tw_job tw_job;

/* Read a job: `path` is job.json or its folder. Problems that reading can go on after become the
 * job's errors and warnings and the call still succeeds. When reading cannot go on the reason is
 * returned; it is also among the job's errors and *out a job whose messages can be read (NULL
 * only for want of memory). Close it either way. `run` may be NULL; what it points to must
 * outlive the job. */
TW_API TW_USE_RESULT tw_code tw_job_open(const char *path, const tw_run *run, tw_job **out,
                                         tw_error *error);

/* The same without a job file: one paper, one template, images. */
typedef struct tw_quick {
    const char *paper;         /* a paper's file or shipped name */
    const char *template_name; /* a template's name in a shipped set, FILE#NAME, or a size */
    int copies;                /* of each image, 1 to 10 000 */
    const char *const *images; /* paths */
    size_t image_count;
} tw_quick;

TW_API TW_USE_RESULT tw_code tw_job_open_quick(const tw_quick *quick, const tw_run *run,
                                               tw_job **out, tw_error *error);
TW_API void tw_job_close(tw_job *job); /* NULL allowed */

/* ---------------------------------------------------------------- its messages */

/* Errors stop tw_job_plan and tw_job_compose; warnings are data. Both grow with each step and
 * stay in the order found. The messages are the job's. */
TW_API size_t tw_job_error_count(const tw_job *job);
TW_API const tw_error *tw_job_error(const tw_job *job, size_t index); /* NULL past the end */
TW_API size_t tw_job_warning_count(const tw_job *job);
TW_API const tw_error *tw_job_warning(const tw_job *job, size_t index);
/* How many messages past the 10 000 kept of each kind were counted and dropped. */
TW_API size_t tw_job_dropped_count(const tw_job *job);

/* How much work the layout may do: tenths of a second, or some seconds. Counted in steps, never by
 * a clock, so that the plan is the same on any machine. Set before checking or planning; while it
 * is none of these, checking and planning fail with TW_USAGE "bad-effort". */
typedef enum tw_effort { TW_EFFORT_NORMAL, TW_EFFORT_QUICK, TW_EFFORT_THOROUGH } tw_effort;
TW_API void tw_job_set_effort(tw_job *job, tw_effort effort);

/* What is wanted most of the plan: price (paper, and work where the job gives it a price), least
 * paper, fewest cuts by hand, or equal prints in equal rows. Beats the job's layout.plan. Set
 * before checking or planning; while it is none of these, they fail with TW_USAGE "bad-plan". */
typedef enum tw_plan_kind { TW_PLAN_PRICE, TW_PLAN_PAPER, TW_PLAN_CUTS, TW_PLAN_ROWS } tw_plan_kind;
TW_API void tw_job_set_plan(tw_job *job, tw_plan_kind plan);

/* Print damaged images as far as they go: what is intact of them, and paper white for the rest;
 * each is warned of and said on the plan. Every image is then decoded before the plan is made. Set
 * before checking or planning; without it a damaged image is an error. */
TW_API void tw_job_set_accept_damaged(tw_job *job, bool accept);

/* Everything there is to find before paper is spent: reads the images' facts, fits, checks and,
 * where no error forbids it, lays out. What is wrong with the job is in its messages; the call
 * itself fails only when checking could not be done (memory, I/O, cancelled, a bug). Each step is
 * done once; a second call changes nothing, and gives again what ended the first: a job whose check
 * was cancelled is opened again. */
TW_API TW_USE_RESULT tw_code tw_job_check(tw_job *job, tw_error *error);

/* tw_job_check, then every image decoded whole on all cores: damage that a file's structure does
 * not show becomes an error of the job, with its file and row. After a look at the pixels that was
 * cancelled or failed, the next call looks again. */
TW_API TW_USE_RESULT tw_code tw_job_check_pixels(tw_job *job, tw_error *error);

/* ---------------------------------------------------------------- the plan */

/* As tw_job_check, and any error of the job is returned: the first, as it stands in the list. */
TW_API TW_USE_RESULT tw_code tw_job_plan(tw_job *job, tw_error *error);

/* Of the whole day. Lengths in nm; for cut sheets a sheet counts as its length. */
typedef struct tw_day_totals {
    size_t sheets, prints, unplaced;
    int64_t length;       /* of paper, with what the machine loses */
    int64_t bound_length; /* no plan of these prints uses less */
    int bound_stages;     /* the cut depth that holds for: 0 any, 3 = three stages and a trim */
    int64_t hand_cuts, stop_changes;
} tw_day_totals;

/* These four make the plan first when there is none, and fail as tw_job_plan does.
 * The table `trimwell plan` prints, and plan.json. Free with tw_text_free. */
TW_API TW_USE_RESULT tw_code tw_job_plan_text(tw_job *job, char **out, tw_error *error);
TW_API TW_USE_RESULT tw_code tw_job_plan_json(tw_job *job, char **out, tw_error *error);
/* Of each paper on which "auto" chose rendering intents: which it took for which images, and the
 * share of their pixels out of gamut, as lines; "" where it did not. Also a part of the table. Free
 * with tw_text_free. */
TW_API TW_USE_RESULT tw_code tw_job_intents_text(tw_job *job, char **out, tw_error *error);
TW_API TW_USE_RESULT tw_code tw_job_totals(tw_job *job, tw_day_totals *out, tw_error *error);

/* ---------------------------------------------------------------- paper */

/* A zeroed struct is a good default. */
typedef struct tw_compose_options {
    bool one_file; /* one multi-page PDF a paper */
    bool letter;   /* the guide on Letter, else A4 */
    bool strict;   /* any warning: TW_STRICT and nothing is written */
} tw_compose_options;

/* Plan, then everything to print and cut into `folder`, whole or not at all. `options` may be
 * NULL. Fails as tw_job_plan does; TW_DAMAGED when an image turns out broken as its bytes
 * stream; TW_IO when the folder cannot be written. */
TW_API TW_USE_RESULT tw_code tw_job_compose(tw_job *job, const char *folder,
                                            const tw_compose_options *options, tw_error *error);
/* What the paper will show: for each print whose colours are converted here a soft proof and a
 * gamut map (PNG, sRGB) and figures (proof.json) into `folder`, whole or not at all; the figures as
 * lines in *out, free with tw_text_free. `on_paper`: with the paper's own white and black, else
 * stretched to the screen's. What was seen of the images stays in `folder`, too (.trimwell-views):
 * the next proof there does not decode those that stand as they did. Fails as tw_job_plan does. */
TW_API TW_USE_RESULT tw_code tw_job_proof(tw_job *job, const char *folder, bool on_paper,
                                          char **out, tw_error *error);
/* What a test strip repeats each detail for. */
typedef enum tw_strip_vary {
    TW_STRIP_AUTO,    /* intents where colours are converted here, else exposure */
    TW_STRIP_INTENTS, /* perceptual, relative colorimetric, saturation */
    TW_STRIP_EXPOSURE /* a step darker, as it is, a step lighter */
} tw_strip_vary;

/* A zeroed struct is a good default. */
typedef struct tw_strip_options {
    const char *detail; /* side of a detail as a length, 1/2 in to 6 in; NULL: 1 1/2 in */
    tw_strip_vary vary;
    int step;             /* of exposure, twelfths of a stop, 1 to 12; 0: 4 (a third) */
    bool wedge, patches;  /* add a neutral wedge; a row of colours */
    const char *measured; /* a CSV of their measured colours (patch,L,a,b); NULL: none */
} tw_strip_options;

/* A test strip of each paper of the day: a detail of each image at print scale, several times
 * over, as PDFs into `folder` with strip.json, whole or not at all; where it lies, what it costs
 * and how measured colours differ as lines in *out, free with tw_text_free. `options` may be NULL.
 * TW_USAGE for options out of range; TW_INPUT for a strip that no paper holds or a measured file
 * that is wrong; else fails as tw_job_plan does. */
TW_API TW_USE_RESULT tw_code tw_job_strip(tw_job *job, const char *folder,
                                          const tw_strip_options *options, char **out,
                                          tw_error *error);
/* How colour goes to paper, one word: "tag" = each image carries its own profile and the print
 * path converts; "convert" = converted here, the print path must not; "both" = by the paper. NULL
 * when the job could not be read. */
TW_API const char *tw_job_colour(const tw_job *job);
/* The job's name; NULL when it has none or could not be read. */
TW_API const char *tw_job_name(const tw_job *job);

/* The files the last tw_job_compose wrote, names in their folder, in the order to open them. */
TW_API size_t tw_job_written_count(const tw_job *job);
TW_API const char *tw_job_written(const tw_job *job, size_t index); /* NULL past the end */

/* ---------------------------------------------------------------- small services */

/* Make a print-day folder that composes as it stands, to edit: a job, orders, photographs drawn
 * by the library, a README. `folder` must not exist, or be an empty folder. */
TW_API TW_USE_RESULT tw_code tw_start(const char *folder, const tw_run *run, tw_error *error);

/* What is known of an image or ICC profile, as lines for people or as one JSON object. Free with
 * tw_text_free. `allocator` may be NULL. */
TW_API TW_USE_RESULT tw_code tw_inspect_text(const char *path, const tw_allocator *allocator,
                                             char **out, tw_error *error);
TW_API TW_USE_RESULT tw_code tw_inspect_json(const char *path, const tw_allocator *allocator,
                                             char **out, tw_error *error);

/* The checks of PDF/X-4 and PDF/A-2b that a program can make, on any PDF, by clause: as lines for
 * people or as one JSON object. TW_INPUT, and *out all the same, when a check failed; *out NULL
 * when the file cannot be looked into. Passing is not conformance. Free with tw_text_free.
 * `allocator` may be NULL. */
TW_API TW_USE_RESULT tw_code tw_pdf_check_text(const char *path, const tw_allocator *allocator,
                                               char **out, tw_error *error);
TW_API TW_USE_RESULT tw_code tw_pdf_check_json(const char *path, const tw_allocator *allocator,
                                               char **out, tw_error *error);

/* How each format lies on a paper and what it costs there, as a table. `paper` and `templates` are
 * files or shipped names. The first problem found in them is
 * returned. Free with tw_text_free. `allocator` may be NULL. */
TW_API TW_USE_RESULT tw_code tw_sizes_text(const char *paper, const char *templates,
                                           const tw_allocator *allocator, char **out,
                                           tw_error *error);

/* What one run came to, for the one JSON document of `--json`. */
typedef struct tw_result {
    const tw_job *job;      /* its messages, plan and files written; NULL: none */
    const tw_error *errors; /* the caller's own, what ended the run first; then come the job's */
    size_t error_count;
    bool written;      /* list the job's written files */
    const char *text;  /* a "text" member; NULL: none */
    const char *files; /* JSON text of a "files" member (what inspect found); NULL: none */
    const char *pdf;   /* JSON text of a "pdf" member (what tw_pdf_check_json gave); NULL: none */
} tw_result;

/* {"ok":, "warnings": [], "error":, "errors": [], "plan":}, see the manual page. Free with
 * tw_text_free. `allocator` may be NULL. */
TW_API TW_USE_RESULT tw_code tw_result_json(const tw_result *result, const tw_allocator *allocator,
                                            char **out, tw_error *error);

/* A message of the caller's own, made safe for a terminal. `name` must be static. Returns
 * `code`. */
TW_API tw_code tw_error_set(tw_error *error, tw_code code, const char *name, const char *message,
                            const char *hint);
/* The nearest of `count` names, or NULL when none is near. */
TW_API const char *tw_nearest_name(const char *name, const char *const *names, size_t count);
/* A length in inches and millimetres, "8 1/2 in (215.9 mm)": at most `size` bytes. */
TW_API void tw_length_text(int64_t nanometres, char *out, size_t size);
/* The allocator the text was asked from; NULL text allowed. */
TW_API void tw_text_free(const tw_allocator *allocator, char *text);

#ifdef __cplusplus
}
#endif

#endif
