/* JPEG files for tests, by libjpeg; and libjpeg's own reading of one (see make_image.h). */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>

#include "make_image.h"

static void write_part(struct jpeg_compress_struct *jpeg, const made_jpeg *what, unsigned number,
                       unsigned parts) {
    size_t each = (what->profile_length + parts - 1) / parts;
    size_t from = each * (number - 1);
    size_t left = from < what->profile_length ? what->profile_length - from : 0;
    size_t length = left < each ? left : each;
    unsigned char *bytes = malloc(14 + length);
    memcpy(bytes, "ICC_PROFILE", 12);
    bytes[12] = (unsigned char)number;
    bytes[13] = (unsigned char)parts;
    if (length > 0)
        memcpy(bytes + 14, what->profile + from, length);
    jpeg_write_marker(jpeg, JPEG_APP0 + 2, bytes, (unsigned)(14 + length));
    free(bytes);
}

static void write_profile(struct jpeg_compress_struct *jpeg, const made_jpeg *what) {
    unsigned parts = what->profile_parts == 0 ? 1 : what->profile_parts;
    for (unsigned i = 1; i <= parts; i++) {
        unsigned number = what->parts_backwards ? parts + 1 - i : i;
        if (number != what->part_left_out)
            write_part(jpeg, what, number, parts);
        if (number == what->part_doubled)
            write_part(jpeg, what, number, parts);
    }
}

static void write_exif(struct jpeg_compress_struct *jpeg, const made_jpeg *what) {
    unsigned char *bytes = malloc(6 + what->exif_length);
    memcpy(bytes, "Exif\0", 6);
    memcpy(bytes + 6, what->exif, what->exif_length);
    jpeg_write_marker(jpeg, JPEG_APP0 + 1, bytes, (unsigned)(6 + what->exif_length));
    free(bytes);
}

static J_COLOR_SPACE space_of(int components) {
    return components == 1 ? JCS_GRAYSCALE : components == 3 ? JCS_RGB : JCS_CMYK;
}

static void set_up(struct jpeg_compress_struct *jpeg, const made_jpeg *what) {
    jpeg->image_width = what->width;
    jpeg->image_height = what->height;
    jpeg->input_components = what->components;
    jpeg->in_color_space = space_of(what->components);
    jpeg_set_defaults(jpeg);
    if (what->stored_rgb)
        jpeg_set_colorspace(jpeg, JCS_RGB);
    if (what->ycck)
        jpeg_set_colorspace(jpeg, JCS_YCCK);
    jpeg_set_quality(jpeg, what->lossless_like ? 100 : 90, TRUE);
    jpeg->arith_code = what->arithmetic;
    if (what->progressive)
        jpeg_simple_progression(jpeg);
    jpeg->restart_interval = what->restart;
    if (what->no_adobe)
        jpeg->write_Adobe_marker = FALSE;
    if (what->no_jfif)
        jpeg->write_JFIF_header = FALSE;
    jpeg->density_unit = (UINT8)what->density_unit;
    jpeg->X_density = (UINT16)(what->density_x == 0 ? 1 : what->density_x);
    jpeg->Y_density = (UINT16)(what->density_y == 0 ? 1 : what->density_y);
}

static void write_rows(struct jpeg_compress_struct *jpeg, const made_jpeg *what) {
    unsigned char *row = malloc((size_t)what->width * (size_t)what->components);
    for (uint32_t y = 0; y < what->height; y++) {
        for (uint32_t x = 0; x < what->width; x++)
            for (int c = 0; c < what->components; c++)
                row[x * (uint32_t)what->components + (uint32_t)c] =
                    (unsigned char)made_sample(x, y, c, 8);
        (void)jpeg_write_scanlines(jpeg, &row, 1);
    }
    free(row);
}

void make_jpeg(const char *path, const made_jpeg *what) {
    struct jpeg_compress_struct jpeg;
    struct jpeg_error_mgr errors;
    FILE *file = fopen(path, "wb");
    if (file == NULL)
        abort();
    jpeg.err = jpeg_std_error(&errors); /* its failures end the program */
    jpeg_create_compress(&jpeg);
    jpeg_stdio_dest(&jpeg, file);
    set_up(&jpeg, what);
    jpeg_start_compress(&jpeg, TRUE);
    if (what->exif != NULL)
        write_exif(&jpeg, what);
    if (what->profile != NULL)
        write_profile(&jpeg, what);
    write_rows(&jpeg, what);
    jpeg_finish_compress(&jpeg);
    jpeg_destroy_compress(&jpeg);
    if (what->after != NULL)
        (void)fputs(what->after, file);
    if (fclose(file) != 0)
        abort();
}

unsigned char *read_jpeg_rows(const char *path, size_t *row_bytes, uint32_t *height) {
    struct jpeg_decompress_struct jpeg;
    struct jpeg_error_mgr errors;
    FILE *file = fopen(path, "rb");
    if (file == NULL)
        abort();
    jpeg.err = jpeg_std_error(&errors);
    jpeg_create_decompress(&jpeg);
    jpeg_stdio_src(&jpeg, file);
    (void)jpeg_read_header(&jpeg, TRUE);
    (void)jpeg_start_decompress(&jpeg);
    *row_bytes = (size_t)jpeg.output_width * (size_t)jpeg.output_components;
    *height = jpeg.output_height;
    unsigned char *all = malloc(*row_bytes * *height);
    while (jpeg.output_scanline < jpeg.output_height) {
        unsigned char *row = all + jpeg.output_scanline * *row_bytes;
        (void)jpeg_read_scanlines(&jpeg, &row, 1);
    }
    (void)jpeg_finish_decompress(&jpeg);
    jpeg_destroy_decompress(&jpeg);
    (void)fclose(file);
    return all;
}
