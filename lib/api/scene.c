/*
 * Draws the photographs of `trimwell start`: sky and sun, ridges one behind the other that pale
 * with distance, and a lake that mirrors them. Whole numbers only. Writes them as PNG row by row
 * through zlib alone (png_write.h), so that libpng's error jumps stay out of it.
 */
#include "api/scene.h"

#include "image/png_write.h"

#include <limits.h>
#include <string.h>
#include <zlib.h>

enum { RIDGES = 5, ONE = 1 << 12 };

typedef struct drawing {
    const tw_scene *scene;
    int width, height, water;
    int *ridge; /* RIDGES x width: the y at which each begins */
} drawing;

/* ---------------------------------------------------------------- numbers */

static uint32_t scatter(uint32_t a, uint32_t b) {
    uint32_t h = a * 0x9E3779B1u ^ (b + 0x7F4A7C15u) * 0x85EBCA6Bu;
    h = (h ^ h >> 15) * 0xC2B2AE35u;
    h = (h ^ h >> 13) * 0x27D4EB2Fu;
    return h ^ h >> 16;
}

/* Smooth noise along a line, 0 .. ONE, one knot every `step`. */
static int waver(uint32_t seed, int at, int step) {
    int knot = at / step, part = (int)((int64_t)(at % step) * ONE / step);
    int a = (int)(scatter(seed, (uint32_t)knot) % ONE);
    int b = (int)(scatter(seed, (uint32_t)knot + 1) % ONE);
    int64_t eased = (int64_t)part * part / ONE * (3 * ONE - 2 * part) / ONE;
    return a + (int)((b - a) * eased / ONE);
}

static int blend(int a, int b, int part, int whole) {
    return a + (int)((int64_t)(b - a) * part / whole);
}

/* ---------------------------------------------------------------- the scene */

/* Nearer ridges begin lower and are rougher; the sum of six octaves looks like a skyline. */
static void draw_ridge(drawing *d, int index) {
    int top = d->water * (38 + 12 * index) / 100, tall = d->water * (34 - 4 * index) / 100;
    for (int x = 0; x < d->width; x++) {
        int64_t sum = 0;
        int step = d->width / (2 + index), share = ONE / 2;
        for (int octave = 0; octave < 6 && step > 2; octave++, step /= 2, share /= 2)
            sum +=
                (int64_t)share * waver(d->scene->seed + (uint32_t)(16 * index + octave), x, step);
        d->ridge[index * d->width + x] = top + tall / 2 - (int)(sum / ONE * tall / ONE);
    }
}

/* A soft sun: brightness falls with the square of the distance. 0 .. 255. */
static int glow(const drawing *d, int x, int y) {
    int64_t dx = x - (int64_t)d->width * d->scene->sun_x / 100;
    int64_t dy = y - (int64_t)d->height * d->scene->sun_y / 100;
    int64_t size = (int64_t)d->height * d->height / 160;
    return (int)(255 * size / (size + dx * dx + dy * dy));
}

/* The scene above the water at x, y, in steps of 1/16 so that dithering has something to do. */
static void colour_above(const drawing *d, int x, int y, int out[3]) {
    const tw_scene *s = d->scene;
    int light = glow(d, x, y), at = -1;
    for (int i = 0; i < RIDGES; i++)
        if (y >= d->ridge[i * d->width + x])
            at = i;
    int depth = at < 0 ? 0 : y - d->ridge[at * d->width + x];
    int fall = y * 5 / 2 < d->water ? y * 5 / 2 : d->water;
    int mist = depth * 2 < d->water ? depth * 2 : d->water;
    for (int c = 0; c < 3; c++) {
        int sky = blend(16 * s->high[c], 16 * s->low[c], fall, d->water);
        int land = blend(16 * s->far[c], 16 * s->near[c], at, RIDGES - 1);
        /* The farther the ridge, the more haze lies at its foot. */
        int haze = blend(land, 16 * s->low[c], mist * (RIDGES - at), d->water * RIDGES);
        int base = at < 0 ? sky : haze;
        out[c] = blend(base, 16 * 255, light * (at < 0 ? 4 : 1), 255 * 4);
    }
}

/* The lake mirrors what stands above it, pulled into ripples that widen towards the viewer. */
static void colour_at(const drawing *d, int x, int y, int out[3]) {
    int down = y - d->water;
    if (down < 0) {
        colour_above(d, x, y, out);
        return;
    }
    int ripple = waver(d->scene->seed + 99, y * 3 + x / 40, 11) - ONE / 2;
    int up = d->water - 1 - down - ripple * (4 + down / 12) / ONE;
    int side = x + ripple * (2 + down / 20) / ONE;
    up = up < 0 ? 0 : up >= d->water ? d->water - 1 : up;
    side = side < 0 ? 0 : side >= d->width ? d->width - 1 : side;
    colour_above(d, side, up, out);
    for (int c = 0; c < 3; c++)
        out[c] =
            blend(out[c], 16 * d->scene->near[c], 70 + 90 * down / (d->height - d->water), 255);
}

/* One row, filter byte first; a 4 x 4 ordered dither keeps the gradients from banding. */
static void draw_row(const drawing *d, int y, unsigned char *row) {
    static const unsigned char dither[4][4] = {
        {0, 8, 2, 10}, {12, 4, 14, 6}, {3, 11, 1, 9}, {15, 7, 13, 5}};
    int colour[3];
    *row++ = 0;
    for (int x = 0; x < d->width; x++) {
        colour_at(d, x, y, colour);
        for (int c = 0; c < 3; c++) {
            int value = (colour[c] + dither[y & 3][x & 3]) / 16;
            *row++ = (unsigned char)(value > 255 ? 255 : value);
        }
    }
}

/* ---------------------------------------------------------------- PNG */

/* zlib's context is not const; the allocator is. */
typedef struct zlib_memory {
    const tw_allocator *allocator;
} zlib_memory;

static void *zlib_allocate(void *context, unsigned count, unsigned size) {
    const zlib_memory *memory = context;
    return count > 0 && size > UINT_MAX / count
               ? NULL
               : tw_block_new(memory->allocator, (size_t)count * size);
}

static void zlib_release(void *context, void *block) {
    const zlib_memory *memory = context;
    tw_block_free(memory->allocator, block);
}

enum { PART = 1 << 15 };

/* Deflate `row` (NULL: the end) and put what comes out into IDAT chunks. */
static void deflate_row(z_stream *stream, unsigned char *row, size_t length, unsigned char *part,
                        tw_buffer *out) {
    stream->next_in = row;
    stream->avail_in = (uInt)length;
    do {
        stream->next_out = part;
        stream->avail_out = PART;
        (void)deflate(stream, row == NULL ? Z_FINISH : Z_NO_FLUSH);
        if (stream->avail_out < PART)
            tw_png_add_chunk(out, "IDAT", part, PART - stream->avail_out);
    } while (stream->avail_out == 0);
}

static tw_code add_pixels(const drawing *d, tw_buffer *out, tw_error *error) {
    zlib_memory memory = {out->allocator};
    z_stream stream = {.zalloc = zlib_allocate, .zfree = zlib_release, .opaque = &memory};
    size_t length = (size_t)d->width * 3 + 1;
    unsigned char *part = tw_block_new(out->allocator, PART + length), *row;
    if (part == NULL || deflateInit(&stream, 6) != Z_OK) {
        tw_block_free(out->allocator, part);
        return tw_no_memory(error);
    }
    row = part + PART;
    for (int y = 0; y < d->height && !out->failed; y++) {
        draw_row(d, y, row);
        deflate_row(&stream, row, length, part, out);
    }
    deflate_row(&stream, NULL, 0, part, out);
    deflateEnd(&stream);
    tw_block_free(out->allocator, part);
    return out->failed ? tw_no_memory(error) : TW_OK;
}

tw_code tw_scene_png(const tw_scene *scene, tw_buffer *out, tw_error *error) {
    drawing d = {.scene = scene, .width = (int)scene->width, .height = (int)scene->height};
    d.water = d.height * scene->water / 100;
    d.ridge = tw_block_new(out->allocator, sizeof *d.ridge * RIDGES * scene->width);
    if (d.ridge == NULL)
        return tw_no_memory(error);
    for (int i = 0; i < RIDGES; i++)
        draw_ridge(&d, i);
    tw_png_begin(out, scene->width, scene->height);
    tw_code code = add_pixels(&d, out, error);
    tw_png_add_chunk(out, "IEND", NULL, 0);
    tw_block_free(out->allocator, d.ridge);
    return code == TW_OK && out->failed ? tw_no_memory(error) : code;
}
