#include "pixels/kept_rows.h"

#include "base/arena.h"
#include "base/temporary.h"
#include "image/rows.h"

#include <string.h>

#define KEPT_MOST ((int64_t)2 << 30)

/* One image file; decoded for packing as stored is another. */
typedef struct entry {
    const tw_image *image;
    bool stored;
    size_t to_come;
    int descriptor; /* -1: nothing is kept */
    bool whole;
    int64_t bytes; /* it takes of the store's */
    tw_rows_form form;
} entry;

struct tw_kept {
    tw_arena *arena;
    entry *entries;
    size_t count, room;
    int64_t bytes;
};

typedef struct kept_rows {
    tw_rows rows;
    const tw_allocator *allocator;
    tw_kept *kept;
    size_t index;  /* of the entry; entries may move */
    tw_rows *from; /* NULL: the file is read */
} kept_rows;

tw_code tw_kept_new(const tw_allocator *allocator, tw_kept **out, tw_error *error) {
    tw_arena *arena = tw_arena_new(allocator, 0);
    *out = arena == NULL ? NULL : tw_arena_take(arena, sizeof **out);
    if (*out == NULL) {
        tw_arena_free(arena);
        return tw_no_memory(error);
    }
    (*out)->arena = arena;
    return TW_OK;
}

static void drop(tw_kept *kept, entry *gone) {
    tw_temporary_close(&gone->descriptor);
    kept->bytes -= gone->bytes;
    gone->bytes = 0;
    gone->whole = false;
}

void tw_kept_free(tw_kept *kept) {
    if (kept == NULL)
        return;
    for (size_t i = 0; i < kept->count; i++)
        drop(kept, &kept->entries[i]);
    tw_arena_free(kept->arena);
}

/* Lines may name one file by several images, each with a size of its own. */
static entry *find(tw_kept *kept, const tw_image *image, bool stored) {
    for (size_t i = 0; i < kept->count; i++)
        if (kept->entries[i].stored == stored &&
            strcmp(kept->entries[i].image->path, image->path) == 0)
            return &kept->entries[i];
    return NULL;
}

/* Samples that lie in the file as they are cost no more to read there. */
static bool is_quick(const tw_image *image) {
    return image->format == TW_TIFF && image->tiff.compression == 1 && !image->tiff.tiled;
}

tw_code tw_kept_expect(tw_kept *kept, const tw_image *image, bool converted, tw_error *error) {
    bool stored = !converted && !tw_image_is_treated(image);
    if (is_quick(image) || (!converted && tw_image_passes(image)))
        return TW_OK;
    entry *known = find(kept, image, stored);
    if (known == NULL) {
        entry *grown =
            tw_arena_grow(kept->arena, kept->entries, kept->count, &kept->room, sizeof *grown);
        if (grown == NULL)
            return tw_no_memory(error);
        kept->entries = grown;
        known = &grown[kept->count++];
        *known = (entry){.image = image, .stored = stored, .descriptor = -1};
    }
    known->to_come++;
    return TW_OK;
}

/* ------------------------------------------------ rows */

static entry *entry_of(const kept_rows *own) {
    return &own->kept->entries[own->index];
}

static int64_t place_of(const tw_rows *rows) {
    return (int64_t)rows->y * (int64_t)rows->form.row_bytes;
}

/* A row that cannot be kept is no reason to stop: the image is decoded again. */
static tw_code next_decoded(tw_rows *rows, unsigned char *row, tw_error *error) {
    kept_rows *own = (kept_rows *)rows;
    entry *to = entry_of(own);
    tw_error ignored;
    tw_code code = tw_rows_next(own->from, row, error);
    if (code != TW_OK || to->descriptor < 0)
        return code;
    memset(&ignored, 0, sizeof ignored);
    if (tw_temporary_put(to->descriptor, row, rows->form.row_bytes, place_of(rows), &ignored) !=
        TW_OK)
        drop(own->kept, to);
    return TW_OK;
}

static tw_code end_decoded(tw_rows *rows, tw_error *error) {
    kept_rows *own = (kept_rows *)rows;
    tw_code code = tw_rows_end(own->from, error);
    entry_of(own)->whole = code == TW_OK && entry_of(own)->descriptor >= 0;
    return code;
}

static tw_code next_kept(tw_rows *rows, unsigned char *row, tw_error *error) {
    return tw_temporary_get(entry_of((kept_rows *)rows)->descriptor, row, rows->form.row_bytes,
                            place_of(rows), error);
}

/* That the file is still the one that was decoded is looked at when all sheets are made. */
static tw_code end_kept(tw_rows *rows, tw_error *error) {
    (void)rows;
    (void)error;
    return TW_OK;
}

static void close_rows(tw_rows *rows) {
    kept_rows *own = (kept_rows *)rows;
    entry *closed = entry_of(own);
    tw_rows_close(own->from);
    if (!closed->whole || closed->to_come == 0)
        drop(own->kept, closed);
    tw_block_free(own->allocator, own);
}

static kept_rows *make(tw_kept *kept, const tw_allocator *allocator, const entry *of) {
    kept_rows *own = tw_block_new(allocator, sizeof *own);
    if (own == NULL)
        return NULL;
    own->allocator = allocator;
    own->kept = kept;
    own->index = (size_t)(of - kept->entries);
    own->rows.form = of->form;
    return own;
}

static tw_code read_kept(tw_kept *kept, const tw_allocator *allocator, const entry *from,
                         tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next_kept, end_kept, close_rows};
    kept_rows *own = make(kept, allocator, from);
    if (own == NULL)
        return tw_no_memory(error);
    own->rows.kind = &kind;
    own->rows.jumps = true;
    *out = &own->rows;
    return TW_OK;
}

/* Where there is no room, no file and no memory for it, the rows stay as they came. */
static void keep(tw_kept *kept, const tw_allocator *allocator, entry *to, tw_rows **rows) {
    static const tw_rows_kind kind = {next_decoded, end_decoded, close_rows};
    int64_t bytes = (int64_t)(*rows)->form.row_bytes * (*rows)->form.height;
    tw_error ignored;
    memset(&ignored, 0, sizeof ignored);
    to->form = (*rows)->form;
    if (to->descriptor >= 0 || bytes > KEPT_MOST - kept->bytes ||
        tw_temporary_open(&to->descriptor, &ignored) != TW_OK)
        return;
    kept_rows *own = make(kept, allocator, to);
    if (own == NULL) {
        tw_temporary_close(&to->descriptor);
        return;
    }
    to->bytes = bytes;
    kept->bytes += bytes;
    own->rows.kind = &kind;
    own->from = *rows;
    *rows = &own->rows;
}

tw_code tw_kept_rows(tw_kept *kept, const tw_allocator *allocator, const tw_image *image,
                     bool stored, tw_rows **out, tw_error *error) {
    entry *known = kept == NULL ? NULL : find(kept, image, stored);
    if (known != NULL && known->to_come > 0)
        known->to_come--;
    if (known != NULL && known->whole)
        return read_kept(kept, allocator, known, out, error);
    tw_code code = stored ? tw_rows_open_stored(allocator, image, out, error)
                          : tw_rows_open(allocator, image, out, error);
    if (code == TW_OK && known != NULL && known->to_come > 0)
        keep(kept, allocator, known, out);
    return code;
}
