/* See store.h. Rows are encoded one at a time, so that only the drawn light is in memory. */
#include "store.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>
#include <png.h>

#include "icc.h"

typedef struct encoder {
    const scene *s;
    const uint16_t *pixels;
    uint32_t width, height; /* as stored */
    int channels;
    double matrix[9];
    unsigned char *row;    /* one encoded row */
    uint16_t curve[65536]; /* linear to encoded */
    unsigned char profile[ICC_MOST];
    size_t profile_length;
} encoder;

static uint32_t linear(double value) {
    return value <= 0 ? 0 : value >= 65535 ? 65535 : (uint32_t)(value + 0.5);
}

static void put_sample(const encoder *e, unsigned char **out, double light) {
    unsigned value = e->curve[linear(light)];
    if (e->s->bits == 16)
        *(*out)++ = (unsigned char)(value >> 8);
    *(*out)++ = (unsigned char)(e->s->bits == 16 ? value & 255 : (value + 128) / 257);
}

/* Where stored pixel x, y is in the upright picture. Orientation 6 (TIFF 6.0, tag 274): the
 * stored rows are the upright picture's columns from the left, read from the bottom up. */
static const uint16_t *upright(const encoder *e, uint32_t x, uint32_t y) {
    uint32_t across = x, down = y;
    if (e->s->orientation == 6) {
        across = e->s->width - 1 - y;
        down = x;
    }
    return e->pixels + ((size_t)down * e->s->width + across) * 3;
}

static void encode_row(encoder *e, uint32_t y) {
    const double *m = e->matrix;
    unsigned char *out = e->row;
    for (uint32_t x = 0; x < e->width; x++) {
        const uint16_t *p = upright(e, x, y);
        if (e->channels == 1) /* luminance, Rec. ITU-R BT.709 */
            put_sample(e, &out, 0.2126 * p[0] + 0.7152 * p[1] + 0.0722 * p[2]);
        else
            for (int i = 0; i < 9; i += 3)
                put_sample(e, &out, m[i] * p[0] + m[i + 1] * p[1] + m[i + 2] * p[2]);
    }
}

static bool write_png(encoder *e, FILE *file) {
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
    png_infop info = png == NULL ? NULL : png_create_info_struct(png);
    if (info == NULL || setjmp(png_jmpbuf(png))) {
        png_destroy_write_struct(&png, &info);
        return false;
    }
    png_init_io(png, file);
    png_set_IHDR(png, info, e->width, e->height, e->s->bits,
                 e->channels == 1 ? PNG_COLOR_TYPE_GRAY : PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    png_set_iCCP(png, info, e->s->profile == LOOK_WIDE_RGB ? "demo wide RGB" : "demo", 0,
                 e->profile, (png_uint_32)e->profile_length);
    /* Grain leaves little to gain: the quick way is nearly as small. */
    png_set_compression_level(png, 1);
    png_set_filter(png, 0, PNG_FILTER_SUB);
    png_write_info(png, info);
    for (uint32_t y = 0; y < e->height; y++) {
        encode_row(e, y);
        png_write_row(png, e->row);
    }
    png_write_end(png, NULL);
    png_destroy_write_struct(&png, &info);
    return true;
}

/* An Exif block that says the orientation alone (CIPA DC-008, TIFF 6.0). */
static void write_exif(struct jpeg_compress_struct *jpeg, int orientation) {
    unsigned char exif[] = "Exif\0\0MM\0*\0\0\0\10\0\1\1\22\0\3\0\0\0\1\0\0\0\0\0\0\0\0";
    exif[6 + 8 + 2 + 9] = (unsigned char)orientation;
    jpeg_write_marker(jpeg, JPEG_APP0 + 1, exif, 6 + 8 + 2 + 12 + 4);
}

static bool write_jpeg(encoder *e, FILE *file) {
    struct jpeg_compress_struct jpeg;
    struct jpeg_error_mgr errors;
    jpeg.err = jpeg_std_error(&errors); /* ends the program with a message: fine for a demo */
    jpeg_create_compress(&jpeg);
    jpeg_stdio_dest(&jpeg, file);
    jpeg.image_width = e->width;
    jpeg.image_height = e->height;
    jpeg.input_components = e->channels;
    jpeg.in_color_space = e->channels == 1 ? JCS_GRAYSCALE : JCS_RGB;
    jpeg_set_defaults(&jpeg);
    jpeg_set_quality(&jpeg, 93, TRUE);
    jpeg_start_compress(&jpeg, TRUE);
    if (e->s->orientation > 1)
        write_exif(&jpeg, e->s->orientation);
    jpeg_write_icc_profile(&jpeg, e->profile, (unsigned)e->profile_length);
    for (uint32_t y = 0; y < e->height; y++) {
        JSAMPROW row = e->row;
        encode_row(e, y);
        jpeg_write_scanlines(&jpeg, &row, 1);
    }
    jpeg_finish_compress(&jpeg);
    jpeg_destroy_compress(&jpeg);
    return true;
}

static void prepare(encoder *e, const scene *s, const uint16_t *pixels) {
    bool turned = s->orientation == 6;
    e->s = s;
    e->pixels = pixels;
    e->width = turned ? s->height : s->width;
    e->height = turned ? s->width : s->height;
    e->channels = s->profile == LOOK_GREY ? 1 : 3;
    e->profile_length = icc_build(s->profile, e->profile);
    icc_matrix(s->profile, e->matrix);
    for (int i = 0; i < 65536; i++)
        e->curve[i] = (uint16_t)(icc_encode(i / 65535.0) * 65535 + 0.5);
}

bool store(const scene *s, const uint16_t *pixels, const char *path) {
    encoder *e = calloc(1, sizeof *e);
    FILE *file = fopen(path, "wb");
    bool good = false;
    if (e != NULL && file != NULL) {
        prepare(e, s, pixels);
        e->row = malloc((size_t)e->width * (size_t)e->channels * (size_t)(s->bits / 8));
        good = e->row != NULL && (s->jpeg ? write_jpeg(e, file) : write_png(e, file));
        free(e->row);
    }
    if (file != NULL && fclose(file) != 0)
        good = false;
    free(e);
    if (!good)
        fprintf(stderr, "make-images: %s could not be written\n", path);
    return good;
}
