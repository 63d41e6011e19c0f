/* Small PNG files: whole pictures, and the chunks of those that are made row by row. */
#ifndef TW_IMAGE_PNG_WRITE_H
#define TW_IMAGE_PNG_WRITE_H

#include "base/text.h"

/* A chunk (PNG, W3C, 5.3): length, type of four letters, bytes, CRC over type and bytes. */
void tw_png_add_chunk(tw_buffer *out, const char *type, const unsigned char *bytes, size_t length);
/* Signature, IHDR of an RGB picture of 8 bits, and the sRGB chunk (perceptual; 11.3.2.5). */
void tw_png_begin(tw_buffer *out, uint32_t width, uint32_t height);
/* A whole picture, RGB of 8 bits; out->failed says that memory ran out. */
void tw_png_write(const unsigned char *rgb, uint32_t width, uint32_t height, tw_buffer *out);

#endif
