/* What the files of the PDF reader share. */
#ifndef TW_PDFCHECK_READER_H
#define TW_PDFCHECK_READER_H

#include "pdfcheck/read.h"

#define TW_PDFIN_DEPTH_MOST 64
#define TW_PDFIN_TOKENS_MOST 60000000
#define TW_PDFIN_LISTED_MOST 4000000            /* places in arrays and dictionaries */
#define TW_PDFIN_KEPT_MOST ((size_t)64 << 20)   /* bytes of names and strings */
#define TW_PDFIN_LOOKED_MOST ((int64_t)1 << 30) /* bytes looked at for objects */
#define TW_PDFIN_ARENA_MOST ((size_t)512 << 20)
#define TW_PDFIN_UNPACKED_MOST ((size_t)512 << 20) /* of all streams together */
#define TW_PDFIN_OBJECT_MOST ((size_t)16 << 20)    /* bytes of one object, its stream apart */
#define TW_PDFIN_WINDOW ((size_t)64 << 10)

typedef enum tw_pdfin_where { TW_PDFIN_FREE, TW_PDFIN_PLAIN, TW_PDFIN_PACKED } tw_pdfin_where;

typedef struct tw_pdfin_entry {
    unsigned char where; /* tw_pdfin_where */
    bool known, open;    /* an earlier section is not asked; being read now */
    uint32_t index;      /* PACKED: its place in the object stream */
    uint32_t pack;       /* of an object stream: its place in packs, from 1 */
    int64_t at;          /* PLAIN: offset; PACKED: the object stream's number */
    const tw_pdfin_value *value;
} tw_pdfin_entry;

/* An object stream unpacked (7.5.7): kept while the reader lives. */
typedef struct tw_pdfin_pack {
    const char *bytes;
    size_t length, first, count;
    const int64_t *heads; /* number, offset, number, offset */
} tw_pdfin_pack;

struct tw_pdfin {
    const tw_allocator *allocator;
    tw_arena *arena;
    int descriptor;             /* -1: memory */
    const unsigned char *bytes; /* memory */
    int64_t size, start;        /* start: where %PDF- is */
    unsigned char *window;
    int64_t window_at;
    size_t window_length, window_room;
    tw_pdfin_entry *entries;
    size_t count;
    tw_pdfin_pack *packs;
    size_t pack_count, pack_room;
    const tw_pdfin_value *trailer;
    tw_error failure;
    size_t damage;
    char first_damage[160];
    int64_t tokens, listed, looked;
    size_t kept;
    size_t unpacked;
};

extern const tw_pdfin_value tw_pdfin_null;

/* Bytes being parsed, and what went wrong with them. */
typedef struct tw_pdfin_text {
    tw_pdfin *pdf;
    const char *bytes;
    size_t length, at;
    int depth;
    bool references; /* "1 0 R" is looked for */
    bool cut;        /* the bytes ended too early */
    bool broken;
} tw_pdfin_text;

/* ------------------------------------------------ read_value.c */

void tw_pdfin_skip_space(tw_pdfin_text *text); /* and comments */
/* False: broken or cut, or at the end. */
bool tw_pdfin_parse(tw_pdfin_text *text, tw_pdfin_value *out);
bool tw_pdfin_parse_word(tw_pdfin_text *text, const char *word); /* this word comes next */
/* A whole number in 0..most that comes next; -1 when none does. */
int64_t tw_pdfin_parse_count(tw_pdfin_text *text, int64_t most);

/* ------------------------------------------------ read.c */

void tw_pdfin_stop(tw_pdfin *pdf, tw_code code, const char *words);
void tw_pdfin_note(tw_pdfin *pdf, const char *format, ...) TW_PRINTF(2, 3);
/* A window of the file from `at` on with at least `wanted` bytes where there are so many. */
const char *tw_pdfin_look(tw_pdfin *pdf, int64_t at, size_t wanted, size_t *got);
/* The value at an offset: "12 0 obj ..."; its number comes back. NULL when there is none. */
const tw_pdfin_value *tw_pdfin_value_at(tw_pdfin *pdf, int64_t at, int64_t *number);

/* ------------------------------------------------ read_xref.c */

/* All cross-reference sections, newest first, into entries and trailer. */
void tw_pdfin_find_objects(tw_pdfin *pdf);

#endif
