/*
 * A PNG that needs no decoding passes through: the payloads of its IDAT chunks, one after the
 * other, are a FlateDecode stream with PNG predictors (ISO 32000-1 7.4.4, Tables 8 and 10; PNG,
 * W3C, clause 10.1). Nothing is inflated, so this runs at copy speed; each chunk's CRC is checked
 * as its bytes go by.
 */
#include "pixels/paths.h"

#include <stdio.h>
#include <string.h>

#include "image/png_chunk.h"

typedef struct png_road {
    tw_png_chunk chunk;
    int64_t passed;         /* payload so far */
    unsigned char start[2]; /* of the zlib stream */
    bool done;              /* the chunk after the last IDAT was seen */
} png_road;

/* Signature and header again: the facts the sheet was planned by must be this file's. */
static tw_code check_same(png_road *own, const tw_image *image, tw_error *error) {
    unsigned char head[13] = {0};
    tw_code code = tw_png_signature(&own->chunk, error);
    if (code == TW_OK)
        code = tw_png_open_chunk(&own->chunk, error);
    if (code == TW_OK && own->chunk.length == sizeof head)
        code = tw_png_bytes(&own->chunk, head, sizeof head, error);
    if (code != TW_OK)
        return code;
    bool palette = head[9] == 3, grey = head[9] == 0;
    bool same = own->chunk.left == 0 && tw_big32(head) == image->width &&
                tw_big32(head + 4) == image->height && head[8] == image->depth && head[9] <= 3 &&
                palette == image->palette && grey == (image->space == TW_GREY) && head[12] == 0;
    return same ? TW_OK
                : tw_fail(error, TW_INPUT, "image-changed",
                          "the file is not the one that was looked at");
}

static tw_code open_road(tw_pixels *pixels, tw_pixels_form *form, tw_error *error) {
    const tw_image *image = pixels->image;
    png_road *own = pixels->own = tw_block_new(pixels->allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    tw_code code = tw_image_file_open(&pixels->file, pixels->allocator, image, error);
    own->chunk.source = pixels->file.source;
    if (code == TW_OK)
        code = check_same(own, image, error);
    if (code != TW_OK)
        return code;
    own->chunk.source.at = image->data_at;
    own->chunk.left = 0;
    own->chunk.type[0] = '\0';
    form->untouched = true;
    (void)snprintf(form->road, sizeof form->road, "passes through untouched");
    if (image->palette) {
        form->palette_size = image->palette_size;
        memcpy(form->palette, image->palette_bytes, (size_t)image->palette_size * 3);
    }
    return TW_OK;
}

/* The first two bytes, across however many pieces they come in. */
static tw_code check_start(png_road *own, const unsigned char *bytes, size_t count,
                           tw_error *error) {
    for (size_t i = 0; i < count && own->passed + (int64_t)i < 2; i++)
        own->start[own->passed + (int64_t)i] = bytes[i];
    bool complete = own->passed < 2 && own->passed + (int64_t)count >= 2;
    if (!complete)
        return TW_OK;
    return tw_pixels_check_zlib(own->start, "PNG", error);
}

/* On to the next IDAT; done when there is none. */
static tw_code next_chunk(png_road *own, const tw_image *image, tw_error *error) {
    tw_code code = TW_OK;
    if (own->chunk.type[0] != '\0')
        code = tw_png_close_chunk(&own->chunk, error);
    if (code == TW_OK)
        code = tw_png_open_chunk(&own->chunk, error);
    own->done = code == TW_OK && strcmp(own->chunk.type, "IDAT") != 0;
    if (own->done && own->passed != image->data_bytes)
        return tw_fail(error, TW_INPUT, "image-changed",
                       "the file held %lld bytes of image data when it was looked at and holds "
                       "%lld now",
                       (long long)image->data_bytes, (long long)own->passed);
    return code;
}

static tw_code pull(tw_pixels *pixels, unsigned char *bytes, size_t room, size_t *got,
                    tw_error *error) {
    png_road *own = pixels->own;
    while (*got < room && !own->done) {
        const unsigned char *some;
        size_t count = 0;
        tw_code code = tw_png_some(&own->chunk, room - *got, &some, &count, error);
        if (code == TW_OK && count > 0)
            code = check_start(own, some, count, error);
        else if (code == TW_OK)
            code = next_chunk(own, pixels->image, error);
        if (code != TW_OK)
            return code;
        if (count > 0)
            memcpy(bytes + *got, some, count);
        own->passed += (int64_t)count;
        *got += count;
    }
    return TW_OK;
}

static void close_road(tw_pixels *pixels) {
    tw_block_free(pixels->allocator, pixels->own);
}

const tw_pixels_road tw_pixels_png_road = {open_road, pull, close_road};
