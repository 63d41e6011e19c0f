/*
 * The door for image files: which kind it is by its first bytes, never by its name, and the
 * steps that the readers of each kind share. A kind we do not print is refused by name, with
 * what to do about it.
 */
#include "image/facts.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/bytes.h"
#include "base/file.h"
#include "base/length.h"
#include "base/limits.h"
#include "image/icc_head.h"
#include "image/source.h"

typedef struct image_kind {
    const char *name;
    size_t at;
    const char *bytes;
    size_t length;
} image_kind;

/* The more particular first. Signatures: RFC
 * 9649 (WebP); ISO 14496-12 file types for HEIF and AVIF; ISO 18181-2 (JPEG XL); ISO 15444-1
 * (JPEG 2000); GIF89a; the others from memory. */
static const image_kind other_kinds[] = {
    {"a camera raw file (CR2)", 8, "CR", 2},
    {"a camera raw file (CR3)", 4, "ftypcrx ", 8},
    {"a camera raw file (ORF)", 0, "IIRO", 4},
    {"a camera raw file (ORF)", 0, "IIRS", 4},
    {"a camera raw file (RW2)", 0, "IIU\0", 4},
    {"a camera raw file (RAF)", 0, "FUJIFILMCCD-RAW", 15},
    {"a camera raw file (X3F)", 0, "FOVb", 4},
    {"a camera raw file (MRW)", 0, "\0MRM", 4},
    {"an AVIF", 4, "ftypavif", 8},
    {"an AVIF", 4, "ftypavis", 8},
    {"a HEIF (HEIC)", 4, "ftyphei", 7},
    {"a HEIF (HEIC)", 4, "ftyphev", 7},
    {"a HEIF", 4, "ftypmif1", 8},
    {"a HEIF", 4, "ftypmsf1", 8},
    {"a film (MP4 or QuickTime)", 4, "ftyp", 4},
    {"a WebP", 8, "WEBP", 4},
    {"a JPEG XL", 0, "\xFF\x0A", 2},
    {"a JPEG XL", 0, "\0\0\0\x0CJXL ", 8},
    {"a JPEG 2000", 0, "\0\0\0\x0CjP  ", 8},
    {"a JPEG 2000", 0, "\xFF\x4F\xFF\x51", 4},
    {"a GIF", 0, "GIF8", 4},
    {"a Photoshop document (PSD)", 0, "8BPS", 4},
    {"a PDF", 0, "%PDF", 4},
    {"a PostScript file", 0, "%!PS", 4},
    {"an OpenEXR", 0, "\x76\x2F\x31\x01", 4},
    {"an animated PNG relative (MNG)", 0, "\x8AMNG", 4},
    {"an SVG or XML file", 0, "<svg", 4},
    {"an SVG or XML file", 0, "<?xml", 5},
    {"a BMP", 0, "BM", 2},
};

static bool begins(const unsigned char *head, size_t length, const image_kind *kind) {
    return length >= kind->at + kind->length &&
           memcmp(head + kind->at, kind->bytes, kind->length) == 0;
}

static tw_code refuse_kind(const unsigned char *head, size_t length, tw_error *error) {
    const char *name = NULL;
    for (size_t i = 0; i < sizeof other_kinds / sizeof *other_kinds && name == NULL; i++) {
        bool tiff_like = memcmp(head, "II", 2) == 0 || memcmp(head, "RI", 2) == 0;
        if (other_kinds[i].at == 8 && !tiff_like)
            continue; /* "CR" and "WEBP" at byte 8 mean something only after II or RIFF */
        if (begins(head, length, &other_kinds[i]))
            name = other_kinds[i].name;
    }
    if (name != NULL)
        (void)tw_fail(error, TW_INPUT, "image-kind",
                      "the file is %s, only PNG, JPEG and TIFF are printed", name);
    else
        (void)tw_fail(
            error, TW_INPUT, "image-kind",
            "the file is no PNG, JPEG or TIFF: it begins with the bytes %02X %02X %02X %02X",
            head[0], head[1], head[2], head[3]);
    tw_fail_hint(error, "export it as TIFF, PNG or JPEG");
    return TW_INPUT;
}

/* Byte order, then 42 or 43 (BigTIFF). Canon's raw files say "CR" further on. */
static bool is_tiff(const unsigned char *head, size_t length) {
    bool little = memcmp(head, "II*\0", 4) == 0 || memcmp(head, "II+\0", 4) == 0;
    bool big = memcmp(head, "MM\0*", 4) == 0 || memcmp(head, "MM\0+", 4) == 0;
    return (little || big) && (length < 10 || memcmp(head + 8, "CR", 2) != 0);
}

static tw_code read_kind(tw_arena *arena, int descriptor, int64_t size, tw_image *out,
                         tw_error *error) {
    unsigned char window[64], head[16] = {0};
    tw_source source;
    tw_source_start(&source, descriptor, size, window, sizeof window);
    size_t length = size < (int64_t)sizeof head ? (size_t)size : sizeof head;
    if (length == 0)
        return tw_fail(error, TW_INPUT, "image-kind", "the file is empty");
    tw_code code = tw_source_read(&source, head, length, error);
    if (code != TW_OK)
        return code;
    if (memcmp(head, "\x89PNG", 4) == 0)
        return tw_png_read(arena, descriptor, size, out, error);
    if (head[0] == 0xFF && head[1] == 0xD8)
        return tw_jpeg_read(arena, descriptor, size, out, error);
    if (is_tiff(head, length))
        return tw_tiff_read(arena, descriptor, size, out, error);
    return refuse_kind(head, length, error);
}

/* Whole pixels an inch where that is what the rounded density says: 11811 a metre are 300. */
static int64_t an_inch(int64_t per_metre) {
    int64_t whole = tw_scale(per_metre, 254, 10000);
    return tw_scale(whole, 10000, 254) == per_metre ? whole : 0;
}

/* How the pixels are shaped, from the densities where nothing said it plainly. Past ten to one it
 * is a slip of the writer and no shape: the pixels are taken as square. */
static void set_aspect(tw_image *image) {
    int64_t x = image->aspect_x, y = image->aspect_y;
    if (x == 0 || y == 0) {
        bool inches = an_inch(image->density_x) > 0 && an_inch(image->density_y) > 0;
        x = inches ? an_inch(image->density_x) : image->density_x;
        y = inches ? an_inch(image->density_y) : image->density_y;
    }
    bool uneven = x > 0 && y > 0 && x != y && x <= 10 * y && y <= 10 * x;
    image->aspect_x = uneven && x <= UINT32_MAX && y <= UINT32_MAX ? (uint32_t)x : 0;
    image->aspect_y = image->aspect_x == 0 ? 0 : (uint32_t)y;
}

static void set_upright(tw_image *image) {
    bool swapped = image->orientation >= 5;
    image->upright_width = swapped ? image->height : image->width;
    image->upright_height = swapped ? image->width : image->height;
}

/* The facts, of a file that stands still while they are read. */
static tw_code read_still(tw_arena *arena, int descriptor, int64_t size, tw_image *out,
                          tw_error *error) {
    tw_file_state after;
    tw_code code = tw_file_look(descriptor, &out->state, error);
    if (code == TW_OK)
        code = read_kind(arena, descriptor, size, out, error);
    if (code == TW_OK)
        code = tw_file_look(descriptor, &after, error);
    if (code != TW_OK || (tw_file_state_same(&after, &out->state) && after.size == size))
        return code;
    return tw_fail(error, TW_INPUT, "image-changed", "the file was changed while it was read");
}

static tw_code read_image(tw_arena *arena, const char *path, bool damaged_too, tw_image *out,
                          tw_error *error) {
    int descriptor = -1;
    int64_t size = 0;
    *out = (tw_image){.damage = {.accepted = damaged_too}};
    tw_code code = tw_file_open(path, &descriptor, &size, error);
    if (code != TW_OK)
        return code;
    out->bytes = size;
    out->orientation = 1;
    out->path = tw_arena_string(arena, path);
    code =
        out->path == NULL ? tw_no_memory(error) : read_still(arena, descriptor, size, out, error);
    (void)close(descriptor);
    if (code != TW_OK) {
        tw_fail_at(error, path, 0, 0);
        return code;
    }
    out->name = tw_path_last(out->path);
    set_upright(out);
    set_aspect(out);
    return TW_OK;
}

tw_code tw_image_read(tw_arena *arena, const char *path, tw_image *out, tw_error *error) {
    return read_image(arena, path, false, out, error);
}

tw_code tw_image_read_damaged(tw_arena *arena, const char *path, tw_image *out, tw_error *error) {
    return read_image(arena, path, true, out, error);
}

/* ------------------------------------------------ shared steps */

tw_code tw_image_keep_damage(tw_arena *arena, tw_image *image, tw_error *error) {
    if (!image->damage.accepted)
        return TW_DAMAGED;
    if (image->damage.words == NULL)
        image->damage.words =
            tw_arena_string(arena, error == NULL ? "it is damaged" : error->message);
    if (image->damage.words == NULL)
        return tw_no_memory(error);
    if (error != NULL)
        *error = (tw_error){.code = TW_OK};
    return TW_OK;
}

tw_code tw_image_set_size(tw_image *image, uint32_t width, uint32_t height, tw_error *error) {
    if (width == 0 || height == 0)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "the file says the image is %lu x %lu pixels", (unsigned long)width,
                       (unsigned long)height);
    if (width > TW_IMAGE_SIDE_MOST || height > TW_IMAGE_SIDE_MOST)
        return tw_fail(error, TW_INPUT, "image-size",
                       "the image is %lu x %lu pixels, at most %u a side are taken",
                       (unsigned long)width, (unsigned long)height, TW_IMAGE_SIDE_MOST);
    image->width = width;
    image->height = height;
    return TW_OK;
}

int64_t tw_image_decoded_bytes(const tw_image *image) {
    static const int channels[] = {[TW_GREY] = 1, [TW_RGB] = 3, [TW_CMYK] = 4};
    int64_t samples = channels[image->space] + (image->alpha || image->transparent_key);
    return (int64_t)image->width * image->height * samples * (image->depth == 16 ? 2 : 1);
}

tw_code tw_image_within(const tw_image *image, const tw_limits *limits, tw_error *error) {
    int64_t pixels = (int64_t)image->width * image->height;
    int64_t decoded = tw_image_decoded_bytes(image);
    char seen[TW_BYTES_TEXT], most[TW_BYTES_TEXT];
    if (pixels > limits->pixels) {
        tw_fail(error, TW_INPUT, "image-size",
                "it is %lu x %lu = %lld pixels, limits.pixels allows %lld",
                (unsigned long)image->width, (unsigned long)image->height, (long long)pixels,
                (long long)limits->pixels);
        tw_fail_hint(error, "print a smaller copy, or raise limits.pixels in the job");
        return TW_INPUT;
    }
    if (decoded <= limits->decoded)
        return TW_OK;
    tw_fail(error, TW_INPUT, "image-size",
            "its %lu x %lu pixels are %s when decoded, limits.decoded allows %s",
            (unsigned long)image->width, (unsigned long)image->height, tw_bytes_text(decoded, seen),
            tw_bytes_text(limits->decoded, most));
    tw_fail_hint(error, "print a smaller copy, or raise limits.decoded in the job");
    return TW_INPUT;
}

/* Why a sound profile cannot go with this image. ISO 32000-1 Table 66: N must equal the
 * profile's channels; the rest: icc_head.h. */
static tw_code check_fit(const tw_image *image, const tw_profile *profile, tw_error *wrong) {
    static const int channels[] = {[TW_GREY] = 1, [TW_RGB] = 3, [TW_CMYK] = 4};
    static const char *const names[] = {[TW_GREY] = "grey", [TW_RGB] = "RGB", [TW_CMYK] = "CMYK"};
    if (profile->channels != channels[image->space])
        return tw_fail(wrong, TW_INPUT, "profile", "the image is %s, its profile is for \"%s\"",
                       names[image->space], profile->space);
    if (!tw_profile_has_version(profile))
        return tw_fail(wrong, TW_INPUT, "profile",
                       "its profile is of ICC version %d.%d; versions 2 and 4 are read",
                       profile->version_major, profile->version_minor);
    if (!tw_profile_is_source(profile))
        return tw_fail(wrong, TW_INPUT, "profile",
                       "its profile is of class \"%s\", not input, display, output or colour space",
                       profile->device_class);
    if (!tw_profile_connects(profile))
        return tw_fail(wrong, TW_INPUT, "profile",
                       "its profile connects through \"%s\"; it must be \"XYZ \" or \"Lab \"",
                       profile->connection);
    return TW_OK;
}

/* Some writers pad the block to a multiple of four after the size was written. */
static size_t without_padding(const unsigned char *bytes, size_t length) {
    if (length < 4)
        return length;
    size_t said = tw_big32(bytes);
    return length > said && length - said < 4 ? said : length;
}

tw_code tw_image_set_profile(tw_arena *arena, tw_image *image, const unsigned char *bytes,
                             size_t length, tw_error *error) {
    tw_profile profile;
    tw_error wrong = {0};
    length = without_padding(bytes, length);
    tw_code code = tw_profile_read(arena, bytes, length, &profile, &wrong);
    if (code == TW_OK)
        code = check_fit(image, &profile, &wrong);
    if (code == TW_MEMORY)
        return tw_no_memory(error);
    if (code != TW_OK) {
        image->profile_problem = tw_arena_string(arena, wrong.message);
        return image->profile_problem == NULL ? tw_no_memory(error) : TW_OK;
    }
    image->profile = (const unsigned char *)tw_arena_copy(arena, (const char *)bytes, length);
    image->profile_length = length;
    image->profile_description = profile.description;
    return image->profile == NULL ? tw_no_memory(error) : TW_OK;
}

void tw_image_set_exif(tw_image *image, const unsigned char *bytes, size_t length) {
    int64_t x = 0, y = 0;
    tw_exif_read(bytes, length, &image->orientation, &x, &y);
    if (image->density_x == 0 && image->aspect_x == image->aspect_y) { /* JFIF's 1:1 says nothing */
        image->density_x = x;
        image->density_y = y;
        image->aspect_x = image->aspect_y = 0;
    }
}
