/*
 * Rows out of a PNG by way of libpng. It fails by longjmp and speaks through callbacks; both end
 * here: every call into it is made by `guarded`, and whatever it has to say, warnings too, comes
 * out as one tw_error. Only image data is let through to it: profiles and texts were dealt with
 * by the facts reader. Of a whole file it is fed with image data that is unpacked already
 * (png_feed.h).
 */
#include <png.h>
#include <setjmp.h>
#include <stdio.h>
#include <string.h>

#include "base/limits.h"
#include "image/png_decode.h"
#include "image/png_feed.h"

struct tw_png_rows {
    const tw_allocator *allocator;
    const tw_image *image;
    tw_source source;  /* of a damaged image */
    tw_png_feed *feed; /* of a whole one */
    png_structp png;
    png_infop info;
    char words[160]; /* what libpng said first */
    bool no_memory;
    tw_code read_code; /* of a failed read, with read_error */
    tw_error read_error;
};

enum { NEAR_END = 64 << 10, FED_AT_ONCE = 33 << 10 };

typedef enum row_action { START, NEXT_ROW, TO_END } row_action;

static png_voidp take_memory(png_structp png, png_alloc_size_t size) {
    tw_png_rows *rows = png_get_mem_ptr(png);
    void *block = tw_block_new(rows->allocator, size);
    rows->no_memory |= block == NULL;
    return block;
}

static void give_memory(png_structp png, png_voidp block) {
    tw_png_rows *rows = png_get_mem_ptr(png);
    tw_block_free(rows->allocator, block);
}

static void keep_words(png_structp png, png_const_charp words) {
    tw_png_rows *rows = png_get_error_ptr(png);
    if (rows->words[0] == '\0')
        (void)snprintf(rows->words, sizeof rows->words, "%s", words);
}

static void on_error(png_structp png, png_const_charp words) {
    keep_words(png, words);
    png_longjmp(png, 1);
}

/* What the feed finds wrong is said as if libpng did. */
static tw_code read_feed(tw_png_rows *rows, png_bytep bytes, size_t length) {
    tw_code code = tw_png_feed_read(rows->feed, bytes, length, &rows->read_error);
    if (code != TW_DAMAGED)
        return code;
    png_error(rows->png, rows->read_error.message);
}

/* libpng takes image data a few kilobytes at a time and what is left of them when the file ends
 * it does not look at. So near the end of a damaged file it is given single bytes. */
static void read_bytes(png_structp png, png_bytep bytes, size_t length) {
    tw_png_rows *rows = png_get_io_ptr(png);
    if (rows->feed == NULL && tw_source_left(&rows->source) < NEAR_END)
        png_set_compression_buffer_size(png, 1);
    rows->read_code = rows->feed != NULL
                          ? read_feed(rows, bytes, length)
                          : tw_source_read(&rows->source, bytes, length, &rows->read_error);
    if (rows->read_code != TW_OK)
        png_error(png, "the file cannot be read on");
}

/* Chunks that are not pixels: libpng would check some of them again, in its own way. */
static void pass_over_chunks(tw_png_rows *rows) {
    static const char names[][5] = {"bKGD", "cHRM", "eXIf", "gAMA", "hIST", "iCCP", "iTXt",
                                    "oFFs", "pCAL", "pHYs", "sBIT", "sCAL", "sPLT", "sRGB",
                                    "sTER", "tEXt", "tIME", "zTXt", "tRNS"};
    /* tRNS beside an alpha channel means nothing, PNG (W3C) 11.3.2.1; otherwise it is wanted */
    bool own_alpha = rows->image->alpha && !rows->image->palette;
    int count = (int)(sizeof names / sizeof *names) - (own_alpha ? 0 : 1);
    png_set_keep_unknown_chunks(rows->png, PNG_HANDLE_CHUNK_NEVER, (png_const_bytep)names, count);
    png_set_keep_unknown_chunks(rows->png, PNG_HANDLE_CHUNK_NEVER, NULL, 0);
}

int tw_png_row_samples(const tw_image *image) {
    bool clear = image->alpha || image->transparent_key;
    bool one = image->space == TW_GREY || (image->palette && !image->alpha); /* numbers */
    return (one ? 1 : 3) + (clear ? 1 : 0);
}

size_t tw_png_row_bytes(const tw_image *image) {
    size_t sample = image->depth == 16 ? 2 : 1;
    return (size_t)image->width * (size_t)tw_png_row_samples(image) * sample;
}

/* Of a whole file the feed looks at all check sums, and gives more at a time. */
static void set_checks(const tw_png_rows *rows) {
    bool fed = rows->feed != NULL;
    int action = fed ? PNG_CRC_QUIET_USE : PNG_CRC_ERROR_QUIT;
    png_set_crc_action(rows->png, action, action);
    if (!fed)
        return;
    png_set_option(rows->png, PNG_IGNORE_ADLER32, PNG_OPTION_ON);
    png_set_compression_buffer_size(rows->png, FED_AT_ONCE);
}

/* Read the header and ask for samples of whole bytes, transparency as alpha. */
static void start(tw_png_rows *rows) {
    const tw_image *image = rows->image;
    png_set_read_fn(rows->png, rows, read_bytes);
    png_set_user_limits(rows->png, TW_IMAGE_SIDE_MOST, TW_IMAGE_SIDE_MOST);
    set_checks(rows);
    pass_over_chunks(rows);
    png_read_info(rows->png, rows->info);
    if (png_get_image_width(rows->png, rows->info) != image->width ||
        png_get_image_height(rows->png, rows->info) != image->height ||
        (png_get_interlace_type(rows->png, rows->info) != 0) != image->interlaced)
        png_error(rows->png, "the file is not the one that was looked at");
    if (image->alpha || image->transparent_key)
        png_set_expand(rows->png);
    else
        png_set_packing(rows->png);
    png_read_update_info(rows->png, rows->info);
    if (png_get_rowbytes(rows->png, rows->info) != tw_png_row_bytes(image))
        png_error(rows->png, "the file is not the one that was looked at");
}

static tw_code say(const tw_png_rows *rows, tw_error *error) {
    if (rows->no_memory)
        return tw_no_memory(error);
    if (rows->read_code != TW_OK) {
        if (error != NULL)
            *error = rows->read_error;
        return rows->read_code;
    }
    if (rows->png == NULL || rows->image->interlaced)
        return tw_fail(error, TW_DAMAGED, "image-damaged", "the PNG cannot be decoded: %s",
                       rows->words);
    return tw_fail(error, TW_DAMAGED, "image-damaged", "the PNG cannot be decoded, row %lu: %s",
                   (unsigned long)png_get_current_row_number(rows->png), rows->words);
}

/* The one place libpng jumps back to. No local is changed between setjmp and a jump. */
static tw_code guarded(tw_png_rows *rows, row_action action, unsigned char *row, tw_error *error) {
    if (setjmp(png_jmpbuf(rows->png)) != 0)
        return say(rows, error);
    if (action == START)
        start(rows);
    else if (action == NEXT_ROW)
        png_read_row(rows->png, row, NULL);
    else
        png_read_end(rows->png, NULL);
    return rows->words[0] != '\0' || rows->no_memory ? say(rows, error) : TW_OK;
}

static tw_code make(tw_png_rows *rows, tw_error *error) {
    tw_code code = TW_OK;
    if (rows->image->damage.words == NULL)
        code = tw_png_feed_new(rows->allocator, &rows->source, &rows->feed, error);
    if (code != TW_OK)
        return code;
    rows->png = png_create_read_struct_2(PNG_LIBPNG_VER_STRING, rows, on_error, keep_words, rows,
                                         take_memory, give_memory);
    if (rows->png != NULL)
        rows->info = png_create_info_struct(rows->png);
    if (rows->info == NULL)
        return tw_no_memory(error);
    return guarded(rows, START, NULL, error);
}

tw_code tw_png_rows_open(const tw_allocator *allocator, const tw_source *source,
                         const tw_image *image, tw_png_rows **out, tw_error *error) {
    tw_png_rows *rows = tw_block_new(allocator, sizeof *rows);
    *out = rows;
    if (rows == NULL)
        return tw_no_memory(error);
    rows->allocator = allocator;
    rows->image = image;
    rows->source = *source;
    tw_code code = make(rows, error);
    if (code != TW_OK) {
        tw_png_rows_close(rows);
        *out = NULL;
    }
    return code;
}

tw_code tw_png_rows_next(tw_png_rows *rows, unsigned char *row, tw_error *error) {
    return guarded(rows, NEXT_ROW, row, error);
}

tw_code tw_png_rows_end(tw_png_rows *rows, tw_error *error) {
    return guarded(rows, TO_END, NULL, error);
}

void tw_png_rows_close(tw_png_rows *rows) {
    if (rows == NULL)
        return;
    if (rows->png != NULL)
        png_destroy_read_struct(&rows->png, &rows->info, NULL);
    tw_png_feed_free(rows->feed);
    tw_block_free(rows->allocator, rows);
}
