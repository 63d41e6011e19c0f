/* Flat PNGs by libpng, JPEGs by libjpeg and TIFFs by libtiff (see flat_image.h). */
#include "flat_image.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>
#include <png.h>
#include <tiffio.h>

#include "make_image.h"

static void fill_row(const flat_image *what, uint32_t y, unsigned char *row) {
    for (uint32_t x = 0; x < what->width; x++) {
        int corner = (y >= what->height / 2 ? 2 : 0) + (x >= what->width / 2 ? 1 : 0);
        memcpy(row + 3 * (size_t)x, what->corner[corner], 3);
    }
}

static unsigned char *exif_of(const flat_image *what, size_t *length) {
    *length = 0;
    return what->orientation == 0 ? NULL : make_exif(true, what->orientation, 0, 0, 0, length);
}

static FILE *start_file(const char *path) {
    FILE *file = fopen(path, "wb");
    if (file == NULL)
        abort();
    return file;
}

void flat_png(const char *path, const flat_image *what) {
    size_t exif_length;
    unsigned char *exif = exif_of(what, &exif_length), *row = malloc(3 * (size_t)what->width);
    FILE *file = start_file(path);
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
    png_infop info = png_create_info_struct(png);
    if (info == NULL || row == NULL || setjmp(png_jmpbuf(png)) != 0)
        abort();
    png_init_io(png, file);
    png_set_IHDR(png, info, what->width, what->height, 8, PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    png_set_sRGB(png, info, PNG_sRGB_INTENT_PERCEPTUAL);
    if (exif != NULL)
        png_set_eXIf_1(png, info, (png_uint_32)exif_length, exif);
    png_write_info(png, info);
    for (uint32_t y = 0; y < what->height; y++) {
        fill_row(what, y, row);
        png_write_row(png, row);
    }
    png_write_end(png, info);
    png_destroy_write_struct(&png, &info);
    free(row);
    free(exif);
    if (fclose(file) != 0)
        abort();
}

/* Exif lies in an APP1 segment after its six bytes of name (CIPA DC-008, 4.7.2). */
static void write_exif(struct jpeg_compress_struct *jpeg, const flat_image *what) {
    size_t length;
    unsigned char *exif = exif_of(what, &length), segment[256] = "Exif\0";
    if (exif != NULL && length + 6 <= sizeof segment) {
        memcpy(segment + 6, exif, length);
        jpeg_write_marker(jpeg, JPEG_APP0 + 1, segment, (unsigned)length + 6);
    }
    free(exif);
}

void flat_jpeg(const char *path, const flat_image *what) {
    struct jpeg_compress_struct jpeg;
    struct jpeg_error_mgr errors;
    FILE *file = start_file(path);
    unsigned char *row = malloc(3 * (size_t)what->width);
    if (row == NULL)
        abort();
    jpeg.err = jpeg_std_error(&errors); /* its failures end the program */
    jpeg_create_compress(&jpeg);
    jpeg_stdio_dest(&jpeg, file);
    jpeg.image_width = what->width;
    jpeg.image_height = what->height;
    jpeg.input_components = 3;
    jpeg.in_color_space = JCS_RGB;
    jpeg_set_defaults(&jpeg);
    jpeg_set_quality(&jpeg, 95, TRUE);
    jpeg.comp_info[0].h_samp_factor = jpeg.comp_info[0].v_samp_factor = 1;
    jpeg_start_compress(&jpeg, TRUE);
    write_exif(&jpeg, what);
    for (uint32_t y = 0; y < what->height; y++) {
        fill_row(what, y, row);
        (void)jpeg_write_scanlines(&jpeg, &row, 1);
    }
    jpeg_finish_compress(&jpeg);
    jpeg_destroy_compress(&jpeg);
    free(row);
    if (fclose(file) != 0)
        abort();
}

void flat_tiff(const char *path, const flat_image *what) {
    TIFF *tiff = TIFFOpen(path, "w");
    unsigned char *row = malloc(3 * (size_t)what->width);
    if (tiff == NULL || row == NULL)
        abort();
    TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, what->width);
    TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, what->height);
    TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, 8);
    TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, 3);
    TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_RGB);
    TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
    TIFFSetField(tiff, TIFFTAG_COMPRESSION, COMPRESSION_LZW);
    TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, 50);
    TIFFSetField(tiff, TIFFTAG_ORIENTATION, what->orientation == 0 ? 1 : what->orientation);
    for (uint32_t y = 0; y < what->height; y++) {
        fill_row(what, y, row);
        if (TIFFWriteScanline(tiff, row, y, 0) < 0)
            abort();
    }
    TIFFClose(tiff);
    free(row);
}
