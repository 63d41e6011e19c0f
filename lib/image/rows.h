/*
 * An image as decoded rows: in the order stored, top to bottom, each once, in memory that does
 * not grow with the picture's height (a progressive JPEG's coefficients excepted, under a limit).
 *
 *   tw_rows_open            what decodes: png_rows.c, jpeg_rows.c, tiff_rows.c
 *   tw_rows_next ... _end   pull the rows, then what stands after them
 *   tw_rows_close
 *
 * A stage that changes rows (onto paper, converted, resampled) is a tw_rows, too: a struct that
 * begins with one, keeps the tw_rows it pulls from, and closes it when it is closed. Stages are
 * made by functions of the form
 *
 *   tw_code tw_X_rows(const tw_allocator *, tw_rows *from, ..., tw_rows **out, tw_error *)
 *
 * which own `from` on success alone. The decoding path (pixels/decoded.c) strings them together
 * and packs what comes out.
 */
#ifndef TW_IMAGE_ROWS_H
#define TW_IMAGE_ROWS_H

#include "base/error.h"
#include "image/image.h"

typedef enum tw_rows_alpha {
    TW_ALPHA_NONE,
    TW_ALPHA_STRAIGHT,  /* colours as they are, alpha beside them (PNG; TIFF unassociated) */
    TW_ALPHA_MULTIPLIED /* colours were multiplied by alpha, as code values (TIFF associated) */
} tw_rows_alpha;

/*
 * Samples of a pixel lie together: the colours, then alpha where there is one. 16 bits are two
 * bytes, the high one first, as PNG and PDF have them. 0 is black in grey and RGB and no ink in
 * CMYK, whatever the file stores (white-is-zero and Adobe's inverted CMYK are undone); palettes
 * are opened out to their colours, samples under 8 bits scaled to 8 (0 and 255 at the ends).
 */
typedef struct tw_rows_form {
    uint32_t width, height; /* as stored: orientation is not applied */
    tw_image_space space;
    int channels; /* colours alone: 1, 3 or 4 */
    tw_rows_alpha alpha;
    int bits; /* 8 or 16 */
    size_t pixel_bytes, row_bytes;
} tw_rows_form;

typedef struct tw_rows tw_rows;

typedef struct tw_rows_kind {
    tw_code (*next)(tw_rows *rows, unsigned char *row, tw_error *error);
    tw_code (*end)(tw_rows *rows, tw_error *error);
    void (*close)(tw_rows *rows);
} tw_rows_kind;

struct tw_rows {
    const tw_rows_kind *kind;
    tw_rows_form form;
    uint32_t y;     /* rows given so far and passed over; kept by tw_rows_next and tw_rows_skip */
    bool jumps;     /* rows may be passed over unread */
    uint32_t strip; /* those that are multiples of this are the quickest to jump to; 0: all alike */
    int passes;     /* of a damaged interlaced or progressive image: those its rows are made of */
    /* After TW_DAMAGED for row y: which rows are lost with it, from at most y; decoding can go on
     * at `to`. NULL: y and all that follow. */
    tw_row_span (*lost)(const tw_rows *rows);
};

/* What a damaged row, an unreadable or a changed file says: TW_DAMAGED, TW_IO or TW_INPUT with the
 * file's path in `error`. `image` must outlive the rows. */
TW_USE_RESULT tw_code tw_rows_open(const tw_allocator *allocator, const tw_image *image,
                                   tw_rows **out, tw_error *error);
/* The next row into `row`, which has room for form.row_bytes. */
TW_USE_RESULT tw_code tw_rows_next(tw_rows *rows, unsigned char *row, tw_error *error);
/* After the last row: checks what follows it (check sums, end marks), and that the file is still
 * the one that was opened. */
TW_USE_RESULT tw_code tw_rows_end(tw_rows *rows, tw_error *error);
/* Pass over `count` rows: unread where the format lets that be, else through `scratch`, which has
 * room for a row. Damage in rows that are not read is not found. */
TW_USE_RESULT tw_code tw_rows_skip(tw_rows *rows, uint32_t count, unsigned char *scratch,
                                   tw_error *error);
void tw_rows_close(tw_rows *rows); /* at any time; NULL allowed */
/* After tw_rows_next said TW_DAMAGED: the rows that are lost; the next row is the one behind. */
tw_row_span tw_rows_lost(tw_rows *rows);

/* All rows and what stands after them, for what decoding says. */
TW_USE_RESULT tw_code tw_decode_whole(const tw_allocator *allocator, const tw_image *image,
                                      tw_error *error);

/* Set pixel_bytes and row_bytes from the other fields. */
void tw_rows_form_finish(tw_rows_form *form);

/* ---- stages */

/* What a stage that needs no more begins with. */
typedef struct tw_stage {
    tw_rows rows;
    const tw_allocator *allocator;
    tw_rows *from;
    void *block; /* of its own: a row of `from`, a table; NULL: none was asked for */
} tw_stage;

/* A stage of `size` bytes, the first of them a tw_stage, the others zero; its form is from's. Owns
 * `from` on success. TW_MEMORY. */
TW_USE_RESULT tw_code tw_stage_new(const tw_allocator *allocator, tw_rows *from,
                                   const tw_rows_kind *kind, size_t size, size_t block,
                                   tw_stage **out, tw_error *error);
/* Two of its kind's functions, where the stage adds nothing to them. */
TW_USE_RESULT tw_code tw_stage_end(tw_rows *rows, tw_error *error);
void tw_stage_close(tw_rows *rows);

/* The rows of damage->white as paper white. `damage` outlives the rows. */
TW_USE_RESULT tw_code tw_intact_rows(const tw_allocator *allocator, tw_rows *from,
                                     const tw_damage *damage, tw_rows **out, tw_error *error);

/* ---- the decoders */

/* An image as the file has it for packing again: tw_rows_open, but palettes stay numbers and
 * samples under 8 bits stay unscaled, each a byte; form.channels is 1 and form.bits 8 then. */
TW_USE_RESULT tw_code tw_rows_open_stored(const tw_allocator *allocator, const tw_image *image,
                                          tw_rows **out, tw_error *error);

/* An image for a picture of about `across` times `down` pixels: as tw_rows_open, but a JPEG is
 * decoded to the least of 1/8, 1/4, 1/2 and all of its size that has as many. */
TW_USE_RESULT tw_code tw_rows_open_small(const tw_allocator *allocator, const tw_image *image,
                                         uint32_t across, uint32_t down, tw_rows **out,
                                         tw_error *error);

/* One format each. */
TW_USE_RESULT tw_code tw_rows_png_open(const tw_allocator *allocator, const tw_image *image,
                                       bool stored, tw_rows **out, tw_error *error);
/* `eighths` = 1, 2, 4 or 8 of each side, rounded up; under 8 quick: a code nothing has passes. */
TW_USE_RESULT tw_code tw_rows_jpeg_open(const tw_allocator *allocator, const tw_image *image,
                                        unsigned eighths, tw_rows **out, tw_error *error);
TW_USE_RESULT tw_code tw_rows_tiff_open(const tw_allocator *allocator, const tw_image *image,
                                        bool stored, tw_rows **out, tw_error *error);

#endif
