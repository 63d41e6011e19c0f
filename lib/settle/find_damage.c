/*
 * What is left of damaged images, for --accept-damaged: every image is decoded whole, on all cores,
 * before the plan is made; where that fails it is decoded again for what is there. So the plan says
 * exactly which rows are white, and the sheet is made of the same rows by the same decoder.
 */
#include "image/each_image.h"
#include "image/rows.h"
#include "settle/damage.h"

#include <string.h>

/* What one image came to. `white` is a block of the shared allocator. */
typedef struct finding {
    tw_error error; /* why it is damaged; its code: what decoding ended with */
    bool damaged;
    tw_row_span *white;
    size_t count, room;
    uint32_t rows; /* white, all together */
    int passes;
} finding;

typedef struct finder {
    const tw_allocator *allocator;
    const tw_image *images;
    finding *found;
} finder;

static tw_code add_lost(const tw_allocator *allocator, finding *own, tw_row_span lost) {
    own->rows += lost.to - lost.from;
    if (own->count > 0 && own->white[own->count - 1].to == lost.from) {
        own->white[own->count - 1].to = lost.to;
        return TW_OK;
    }
    if (own->count == own->room) {
        size_t room = own->room == 0 ? 8 : 2 * own->room, item = sizeof *own->white;
        tw_row_span *more = tw_block_resize(allocator, own->white, own->room * item, room * item);
        if (more == NULL)
            return TW_MEMORY;
        own->white = more;
        own->room = room;
    }
    own->white[own->count++] = lost;
    return TW_OK;
}

/* Every row that can be had is; the others are lost. */
static tw_code find_rows(const tw_allocator *allocator, tw_rows *rows, finding *own,
                         tw_error *error) {
    unsigned char *row = tw_block_new(allocator, rows->form.row_bytes);
    tw_code code = row == NULL ? tw_no_memory(error) : TW_OK;
    while (code == TW_OK && rows->y < rows->form.height) {
        code = tw_rows_next(rows, row, error);
        if (code == TW_DAMAGED)
            code = add_lost(allocator, own, tw_rows_lost(rows));
    }
    own->passes = rows->passes;
    tw_block_free(allocator, row);
    return code == TW_OK ? tw_rows_end(rows, error) : code;
}

/* `image` has its damage's words. One that cannot even be begun has no row. */
static tw_code find_intact(const tw_allocator *allocator, const tw_image *image, finding *own,
                           tw_error *error) {
    tw_rows *rows = NULL;
    tw_code code = tw_rows_open(allocator, image, &rows, error);
    if (code == TW_DAMAGED) {
        own->rows = image->height;
        return TW_OK;
    }
    if (code == TW_OK)
        code = find_rows(allocator, rows, own, error);
    tw_rows_close(rows);
    return code;
}

static void look_at(void *context, const tw_allocator *shared, size_t index) {
    finder *f = context;
    finding *own = &f->found[index];
    tw_image image = f->images[index];
    tw_error why = {.code = TW_OK};
    if (image.damage.words == NULL) {
        own->error.code = tw_decode_whole(shared, &image, &own->error);
        image.damage.words = own->error.message;
    } else {
        (void)tw_fail(&own->error, TW_DAMAGED, "image-damaged", "%s", image.damage.words);
        tw_fail_at(&own->error, image.path, 0, 0);
    }
    own->damaged = own->error.code == TW_DAMAGED;
    if (!own->damaged)
        return;
    tw_code code = find_intact(shared, &image, own, &why);
    if (code != TW_OK)
        own->error = why;
    own->error.code = code;
}

static tw_code refuse(finding *own, tw_report *report, tw_error *error) {
    tw_error message = own->error;
    tw_fail(&message, TW_DAMAGED, "image-damaged", "%s; no row of it is known to be intact",
            own->error.message);
    tw_fail_at(&message, own->error.file, 0, 0);
    tw_fail_hint(&message, "get the file again from where it came from");
    return tw_report_error(report, &message, error);
}

static tw_code keep(tw_arena *arena, const finding *own, tw_damage *damage, tw_error *error) {
    tw_row_span *white = tw_arena_array(arena, own->count, sizeof *white);
    const char *words = tw_arena_string(arena, own->error.message);
    if (white == NULL || words == NULL)
        return tw_no_memory(error);
    if (own->count > 0)
        memcpy(white, own->white, own->count * sizeof *white);
    *damage = (tw_damage){true, words, white, own->count, own->rows, own->passes};
    return TW_OK;
}

/* TW_INPUT, a file too large to be decoded or changed, is said where it is in the way: whole images
 * may pass through undecoded. */
static tw_code settle(tw_arena *arena, finding *own, tw_image *image, tw_report *report,
                      tw_error *error) {
    tw_code code = own->error.code;
    if (code == TW_MEMORY)
        return tw_no_memory(error);
    if (code != TW_OK && code != TW_INPUT) {
        if (error != NULL)
            *error = own->error;
        return code;
    }
    if (code == TW_INPUT && own->damaged)
        return tw_report_error(report, &own->error, error);
    if (!own->damaged)
        return TW_OK;
    return own->rows == image->height ? refuse(own, report, error)
                                      : keep(arena, own, &image->damage, error);
}

tw_code tw_find_damage(tw_arena *arena, tw_image *images, size_t count, const tw_run *run,
                       tw_report *report, tw_error *error) {
    const tw_allocator *allocator = tw_arena_allocator(arena);
    finder f = {allocator, images, tw_arena_array(arena, count, sizeof *f.found)};
    if (f.found == NULL)
        return tw_no_memory(error);
    tw_code code = tw_each_image(allocator, count, run, look_at, &f, error);
    for (size_t i = 0; i < count; i++) {
        if (code == TW_OK)
            code = settle(arena, &f.found[i], &images[i], report, error);
        tw_block_free(allocator, f.found[i].white);
    }
    return code;
}
