/*
 * The transform as a stage of rows: a batch of rows is pulled, converted on all cores a row each,
 * and given out one by one, while the next batch is already being converted. A pixel's result
 * depends on its own samples and place alone, so the bytes are the same for any number of threads.
 * Between 8-bit ends everything is 16 bits wide.
 */
#include "colour/converted_rows.h"

#include <string.h>

#include "base/crew.h"
#include "image/image.h"

enum { BATCH_BYTES = 2 << 20, ROWS_LEAST = 4, ROWS_MOST = 256 };

/* Rows in and out; `count` of them, `first` is the image's. */
typedef struct batch {
    const struct colour_rows *rows;
    uint32_t first;
    size_t count;
    unsigned char *in;
    unsigned char *out;
    tw_crew_round round; /* while they are converted */
} batch;

typedef struct colour_rows {
    tw_rows rows;
    const tw_allocator *allocator;
    tw_rows *from;
    tw_colour *colour;
    int threads;
    size_t room;      /* rows of a batch */
    uint16_t *wide;   /* of the batch that is being converted */
    batch batches[2]; /* one is given out while the other is converted */
    int given_out;    /* which */
    size_t given;     /* rows of it */
} colour_rows;

static void to_big_endian(const uint16_t *samples, unsigned char *out, size_t count) {
    for (size_t i = 0; i < count; i++) {
        out[2 * i] = (unsigned char)(samples[i] >> 8);
        out[2 * i + 1] = (unsigned char)samples[i];
    }
}

static void convert_row(void *context, size_t index) {
    const batch *b = context;
    const colour_rows *own = b->rows;
    const tw_rows_form *form = &own->rows.form;
    size_t samples = (size_t)form->width * (size_t)form->channels;
    uint16_t *wide = own->wide + index * samples;
    unsigned char *out = b->out + index * form->row_bytes;
    tw_colour_run(own->colour, b->in + index * own->from->form.row_bytes, wide, form->width);
    if (form->bits == 16)
        to_big_endian(wide, out, samples);
    else
        tw_dither_row(wide, out, form->width, form->channels, 0, b->first + (uint32_t)index);
}

/* Pulls the next rows here, so that only this thread decodes, and has them converted apart. */
static tw_code begin_batch(colour_rows *own, batch *b, tw_error *error) {
    uint32_t left = own->from->form.height - own->from->y;
    size_t wanted = left < own->room ? left : own->room;
    b->first = own->from->y;
    b->count = 0;
    for (size_t i = 0; i < wanted; i++) {
        tw_code code = tw_rows_next(own->from, b->in + i * own->from->form.row_bytes, error);
        if (code != TW_OK)
            return code;
    }
    b->count = wanted;
    tw_crew_begin(&b->round, own->threads, wanted, convert_row, b);
    return TW_OK;
}

/* The batch that was being converted is given out now, and the next one begun. */
static tw_code turn_over(colour_rows *own, tw_error *error) {
    batch *ready = &own->batches[1 - own->given_out], *spare = &own->batches[own->given_out];
    tw_code code = ready->count == 0 ? begin_batch(own, ready, error) : TW_OK; /* the very first */
    tw_crew_end(&ready->round);
    own->given_out = 1 - own->given_out;
    own->given = 0;
    spare->count = 0;
    if (code == TW_OK && own->from->y < own->from->form.height)
        code = begin_batch(own, spare, error);
    return code;
}

static tw_code next(tw_rows *rows, unsigned char *row, tw_error *error) {
    colour_rows *own = (colour_rows *)rows;
    tw_code code = TW_OK;
    if (own->given == own->batches[own->given_out].count)
        code = turn_over(own, error);
    if (code == TW_OK)
        memcpy(row, own->batches[own->given_out].out + own->given++ * rows->form.row_bytes,
               rows->form.row_bytes);
    return code;
}

static tw_code end(tw_rows *rows, tw_error *error) {
    return tw_rows_end(((colour_rows *)rows)->from, error);
}

static void close_rows(tw_rows *rows) {
    colour_rows *own = (colour_rows *)rows;
    for (int i = 0; i < 2; i++) {
        tw_crew_end(&own->batches[i].round);
        tw_block_free(own->allocator, own->batches[i].in);
        tw_block_free(own->allocator, own->batches[i].out);
    }
    tw_rows_close(own->from);
    tw_colour_close(own->colour);
    tw_block_free(own->allocator, own->wide);
    tw_block_free(own->allocator, own);
}

static tw_image_space space_of(int channels) {
    return channels == 1 ? TW_GREY : channels == 3 ? TW_RGB : TW_CMYK;
}

static bool take_memory(colour_rows *own, const tw_rows_form *from) {
    const tw_rows_form *to = &own->rows.form;
    size_t row = from->row_bytes > to->row_bytes ? from->row_bytes : to->row_bytes;
    own->room = row == 0 ? ROWS_MOST : BATCH_BYTES / row;
    own->room = own->room < ROWS_LEAST ? ROWS_LEAST : own->room > ROWS_MOST ? ROWS_MOST : own->room;
    bool all = true;
    for (int i = 0; i < 2; i++) {
        batch *b = &own->batches[i];
        b->rows = own;
        b->in = tw_block_new(own->allocator, own->room * from->row_bytes);
        b->out = tw_block_new(own->allocator, own->room * to->row_bytes);
        all = all && b->in != NULL && b->out != NULL;
    }
    own->wide = tw_block_new(own->allocator,
                             own->room * to->width * (size_t)to->channels * sizeof *own->wide);
    return all && own->wide != NULL;
}

tw_code tw_colour_rows(const tw_allocator *allocator, tw_rows *from, const tw_colour_way *way,
                       int threads, tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next, end, close_rows};
    tw_colour_way exact = *way;
    colour_rows *own = tw_block_new(allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    own->allocator = allocator;
    own->threads = threads > 0 ? threads : tw_crew_cores();
    own->rows.kind = &kind;
    own->rows.form = from->form;
    exact.bits_in = from->form.bits;
    tw_code code = tw_colour_open(allocator, &exact, &own->colour, error);
    if (code == TW_OK) {
        own->rows.form.channels = tw_colour_channels(own->colour);
        own->rows.form.space = space_of(own->rows.form.channels);
        tw_rows_form_finish(&own->rows.form);
        code = take_memory(own, &from->form) ? TW_OK : tw_no_memory(error);
    }
    if (code != TW_OK) {
        close_rows(&own->rows);
        return code;
    }
    own->from = from;
    *out = &own->rows;
    return TW_OK;
}
