/*
 * Facts of a JPEG from its segments up to the first scan: ITU-T T.81 Annex B for the structure,
 * T.871 for JFIF, Exif 2.32 for APP1, the Adobe segment APP14 as T.872 6.5.3 has it. The scans
 * are looked through only where the file does not end in EOI.
 */
#include "image/jpeg_facts.h"

#include <string.h>

#include "base/length.h"
#include "image/jpeg_watch.h"

enum { SOI = 0xD8, EOI = 0xD9, SOS = 0xDA, APP0 = 0xE0, APP1 = 0xE1, APP2 = 0xE2, APP14 = 0xEE };

static tw_code damaged(tw_error *error, int64_t at, const char *words) {
    return tw_fail(error, TW_DAMAGED, "image-damaged", "the JPEG is damaged at byte %lld: %s",
                   (long long)at, words);
}

static tw_code refuse(tw_error *error, const char *words) {
    (void)tw_fail(error, TW_INPUT, "image-kind",
                  "the JPEG is %s, only 8-bit baseline and progressive JPEGs are printed", words);
    tw_fail_hint(error, "export it again as a baseline JPEG, or as PNG");
    return TW_INPUT;
}

/* T.81 Table B.1. Neither DCTDecode nor libjpeg takes any of these. */
static const char *other_frame(unsigned marker) {
    if (marker == 0xC3)
        return "lossless";
    if (marker == 0xDE || (marker >= 0xC5 && marker <= 0xC7))
        return "hierarchical";
    if (marker == 0xCB)
        return "lossless and arithmetic coded";
    if (marker >= 0xCD && marker <= 0xCF)
        return "hierarchical and arithmetic coded";
    return marker == 0xF7 ? "JPEG-LS" : NULL;
}

static tw_code next_segment(tw_jpeg_reader *jpeg, tw_error *error) {
    unsigned char bytes[2];
    jpeg->marker_at = jpeg->source.at;
    tw_code code = tw_source_read(&jpeg->source, bytes, 1, error);
    if (code == TW_OK && bytes[0] != 0xFF)
        return damaged(error, jpeg->marker_at, "a marker is wanted there");
    while (code == TW_OK && bytes[0] == 0xFF) /* fill bytes, B.1.1.2 */
        code = tw_source_read(&jpeg->source, bytes, 1, error);
    if (code != TW_OK)
        return code;
    jpeg->marker = bytes[0];
    if (jpeg->marker == EOI)
        return damaged(error, jpeg->marker_at, "it ends without image data");
    if (jpeg->marker < 0xC0 || (jpeg->marker >= 0xD0 && jpeg->marker <= SOI))
        return damaged(error, jpeg->marker_at, "a marker stands where none may be");
    code = tw_source_read(&jpeg->source, bytes, 2, error);
    if (code != TW_OK)
        return code;
    if (tw_big16(bytes) < 2)
        return damaged(error, jpeg->marker_at, "a segment's length is under 2");
    jpeg->data_at = jpeg->source.at;
    jpeg->length = tw_big16(bytes) - 2;
    if (jpeg->length > tw_source_left(&jpeg->source))
        return damaged(error, jpeg->marker_at, "the file ends inside a segment");
    return TW_OK;
}

static tw_code check_frame(tw_jpeg_reader *jpeg, const unsigned char *bytes, tw_error *error) {
    unsigned components = bytes[5];
    if (bytes[0] != 8)
        return refuse(error, bytes[0] == 12 ? "of 12 bits" : "not of 8 bits");
    if (components != 1 && components != 3 && components != 4)
        return refuse(error, "of neither 1, 3 nor 4 colour components");
    if (jpeg->length != 6 + 3 * components)
        return damaged(error, jpeg->marker_at, "the frame header has a wrong length");
    if (tw_big16(bytes + 1) == 0)
        return refuse(error, "without a height in its header");
    for (unsigned i = 0; i < components; i++) {
        unsigned sampling = bytes[7 + 3 * i];
        unsigned across = sampling >> 4, down = sampling & 15;
        if (across < 1 || across > 4 || down < 1 || down > 4 || bytes[8 + 3 * i] > 3)
            return damaged(error, jpeg->marker_at, "the frame header holds impossible values");
        jpeg->ids[i] = bytes[6 + 3 * i];
    }
    jpeg->image->jpeg_components = (int)components;
    jpeg->image->progressive = jpeg->marker == 0xC2 || jpeg->marker == 0xCA;
    jpeg->image->arithmetic = tw_jpeg_is_arithmetic(jpeg->marker);
    return tw_image_set_size(jpeg->image, tw_big16(bytes + 3), tw_big16(bytes + 1), error);
}

static tw_code read_frame(tw_jpeg_reader *jpeg, tw_error *error) {
    unsigned char bytes[18] = {0};
    if (jpeg->has_frame)
        return damaged(error, jpeg->marker_at, "a second frame begins");
    jpeg->has_frame = true;
    if (jpeg->length < 9)
        return damaged(error, jpeg->marker_at, "the frame header is too short");
    size_t length = jpeg->length < sizeof bytes ? jpeg->length : sizeof bytes;
    tw_code code = tw_source_read(&jpeg->source, bytes, length, error);
    return code == TW_OK ? check_frame(jpeg, bytes, error) : code;
}

/* T.871 10.1: "JFIF", NUL, version, unit (1 per inch, 2 per centimetre), two densities. */
static tw_code read_jfif(tw_jpeg_reader *jpeg, tw_error *error) {
    unsigned char bytes[12];
    if (jpeg->length < sizeof bytes)
        return TW_OK;
    tw_code code = tw_source_read(&jpeg->source, bytes, sizeof bytes, error);
    if (code != TW_OK || memcmp(bytes, "JFIF", 5) != 0)
        return code;
    jpeg->has_jfif = true;
    int64_t x = tw_big16(bytes + 8), y = tw_big16(bytes + 10);
    if (x == 0 || y == 0 || bytes[7] > 2)
        return TW_OK;
    jpeg->image->aspect_x = (uint32_t)x;
    jpeg->image->aspect_y = (uint32_t)y;
    if (bytes[7] == 0) /* only their ratio is meant */
        return TW_OK;
    bool inches = bytes[7] == 1;
    jpeg->image->density_x = inches ? tw_scale(x, 10000, 254) : x * 100;
    jpeg->image->density_y = inches ? tw_scale(y, 10000, 254) : y * 100;
    return TW_OK;
}

static tw_code read_adobe(tw_jpeg_reader *jpeg, tw_error *error) {
    unsigned char bytes[12];
    if (jpeg->length < sizeof bytes)
        return TW_OK;
    tw_code code = tw_source_read(&jpeg->source, bytes, sizeof bytes, error);
    if (code != TW_OK || memcmp(bytes, "Adobe", 5) != 0)
        return code;
    jpeg->has_adobe = true;
    jpeg->adobe_transform = bytes[11];
    return TW_OK;
}

/* The first Exif block counts. JFIF's resolution goes before Exif's: editors keep it up to date. */
static tw_code read_exif(tw_jpeg_reader *jpeg, tw_error *error) {
    const tw_allocator *allocator = tw_arena_allocator(jpeg->arena);
    unsigned char name[6];
    if (jpeg->has_exif || jpeg->length < sizeof name)
        return TW_OK;
    tw_code code = tw_source_read(&jpeg->source, name, sizeof name, error);
    if (code != TW_OK || memcmp(name, "Exif\0", sizeof name) != 0)
        return code;
    jpeg->has_exif = true;
    size_t length = jpeg->length - sizeof name;
    unsigned char *bytes = tw_block_new(allocator, length);
    if (bytes == NULL)
        return tw_no_memory(error);
    code = tw_source_read(&jpeg->source, bytes, length, error);
    if (code == TW_OK)
        tw_image_set_exif(jpeg->image, bytes, length);
    tw_block_free(allocator, bytes);
    return code;
}

static tw_code read_segment(tw_jpeg_reader *jpeg, tw_error *error) {
    if (tw_jpeg_is_frame(jpeg->marker) || tw_jpeg_is_arithmetic(jpeg->marker))
        return read_frame(jpeg, error);
    if (other_frame(jpeg->marker) != NULL)
        return refuse(error, other_frame(jpeg->marker));
    switch (jpeg->marker) {
    case APP0:
        return read_jfif(jpeg, error);
    case APP1:
        return read_exif(jpeg, error);
    case APP2:
        return tw_jpeg_part(jpeg, error);
    case APP14:
        return read_adobe(jpeg, error);
    case SOS:
        jpeg->at_scan = true;
        return jpeg->has_frame
                   ? TW_OK
                   : damaged(error, jpeg->marker_at, "a scan begins before the frame header");
    default:
        return TW_OK;
    }
}

/* Whether three components are YCbCr and four are YCCK: the JFIF marker says so, else Adobe's,
 * else the components' names, as the IJG's library has always decided it. */
static void set_colours(tw_jpeg_reader *jpeg) {
    tw_image *image = jpeg->image;
    image->format = TW_JPEG;
    image->depth = 8;
    image->colour_transform = -1;
    if (image->jpeg_components == 1) {
        image->space = TW_GREY;
    } else if (image->jpeg_components == 3) {
        bool named_rgb = memcmp(jpeg->ids, "RGB", 3) == 0;
        bool stored_rgb = jpeg->has_adobe ? jpeg->adobe_transform == 0 : named_rgb;
        image->space = TW_RGB;
        image->colour_transform = jpeg->has_jfif || !stored_rgb;
    } else {
        image->space = TW_CMYK;
        image->colour_transform = jpeg->has_adobe && jpeg->adobe_transform == 2;
        image->inverted_cmyk = jpeg->has_adobe; /* Adobe's writers store 255 - ink */
    }
}

/* EOI as the last two bytes is what a whole file has; else something follows it (a phone's film,
 * a second picture) or the file was cut: then all of it is looked through. */
static tw_code check_end(tw_jpeg_reader *jpeg, tw_error *error) {
    unsigned char last[2];
    tw_jpeg_watch watch = {0};
    jpeg->source.at = jpeg->source.size - 2;
    tw_code code = tw_source_read(&jpeg->source, last, 2, error);
    if (code != TW_OK || (last[0] == 0xFF && last[1] == EOI))
        return code;
    jpeg->source.at = 0;
    while (code == TW_OK && !watch.ended && tw_source_left(&jpeg->source) > 0) {
        const unsigned char *bytes;
        size_t got, used;
        code = tw_source_take(&jpeg->source, sizeof jpeg->window, &bytes, &got, error);
        if (code == TW_OK)
            code = tw_jpeg_watch_bytes(&watch, bytes, got, &used, error);
    }
    return code == TW_OK ? tw_jpeg_watch_end(&watch, error) : code;
}

/* Huffman codes have at least one bit (T.81 Annex C), and every block of 64 samples of the finest
 * component has at least one: a file too short for its pixels shows here, before paper is planned
 * for them. Arithmetic coding can do with less. 512 = 64 samples x 8 bits. */
static tw_code check_data(const tw_jpeg_reader *jpeg, tw_error *error) {
    const tw_image *image = jpeg->image;
    if (image->arithmetic || (int64_t)image->width * image->height / 512 <= jpeg->source.size)
        return TW_OK;
    return tw_fail(error, TW_DAMAGED, "image-damaged",
                   "the JPEG is %lld bytes long, too few for %lu x %lu pixels",
                   (long long)jpeg->source.size, (unsigned long)image->width,
                   (unsigned long)image->height);
}

tw_code tw_jpeg_read(tw_arena *arena, int descriptor, int64_t size, tw_image *out,
                     tw_error *error) {
    tw_jpeg_reader jpeg = {.arena = arena, .image = out};
    unsigned char start[2];
    tw_source_start(&jpeg.source, descriptor, size, jpeg.window, sizeof jpeg.window);
    tw_code code = tw_source_read(&jpeg.source, start, sizeof start, error);
    if (code == TW_OK && (start[0] != 0xFF || start[1] != SOI))
        return damaged(error, 0, "it does not begin as a JPEG");
    while (code == TW_OK && !jpeg.at_scan) {
        code = next_segment(&jpeg, error);
        if (code == TW_OK)
            code = read_segment(&jpeg, error);
        jpeg.source.at = jpeg.data_at + jpeg.length;
    }
    if (code != TW_OK)
        return code;
    set_colours(&jpeg);
    code = tw_jpeg_profile(&jpeg, error);
    if (code == TW_OK)
        code = check_end(&jpeg, error);
    if (code == TW_OK)
        code = check_data(&jpeg, error);
    return code == TW_DAMAGED ? tw_image_keep_damage(arena, out, error) : code;
}
