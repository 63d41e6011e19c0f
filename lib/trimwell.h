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
void tw_error_text(const tw_error *error, char *out, size_t size);
/* The exit code that belongs to a code: 0, 2, 3, 4, 5 or 70. */
int tw_exit_code(tw_code code);
const char *tw_version(void);

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

#ifdef __cplusplus
}
#endif

#endif
