/* Exif blocks, ICC profiles and files for the image tests (see make_image.h). */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "make_image.h"

static void put(unsigned char *to, bool big_endian, uint32_t value, size_t count) {
    for (size_t i = 0; i < count; i++) {
        size_t place = big_endian ? count - 1 - i : i;
        to[place] = (unsigned char)(value >> 8 * i);
    }
}

/* Four letters. */
static void put_name(unsigned char *to, const char *name) {
    for (int i = 0; i < 4; i++)
        to[i] = (unsigned char)name[i];
}

/* A directory entry (TIFF 6.0, section 2); a SHORT lies left in the value field. */
static unsigned char *put_entry(unsigned char *to, bool big_endian, uint32_t tag, uint32_t type,
                                uint32_t value) {
    put(to, big_endian, tag, 2);
    put(to + 2, big_endian, type, 2);
    put(to + 4, big_endian, 1, 4);
    put(to + 8, big_endian, value, type == 3 ? 2 : 4);
    return to + 12;
}

unsigned char *make_exif(bool big_endian, int orientation, uint32_t over, uint32_t under, int unit,
                         size_t *length) {
    uint32_t count = (orientation > 0 ? 1u : 0u) + (unit > 0 ? 3u : 0u);
    uint32_t ratio_at = 8 + 2 + 12 * count + 4;
    unsigned char *bytes = calloc(1, ratio_at + 8);
    bytes[0] = bytes[1] = big_endian ? 'M' : 'I';
    put(bytes + 2, big_endian, 42, 2);
    put(bytes + 4, big_endian, 8, 4);
    put(bytes + 8, big_endian, count, 2);
    unsigned char *at = bytes + 10;
    if (orientation > 0)
        at = put_entry(at, big_endian, 274, 3, (uint32_t)orientation);
    if (unit > 0) {
        at = put_entry(at, big_endian, 282, 5, ratio_at);
        at = put_entry(at, big_endian, 283, 5, ratio_at);
        (void)put_entry(at, big_endian, 296, 3, (uint32_t)unit);
    }
    put(bytes + ratio_at, big_endian, over, 4);
    put(bytes + ratio_at + 4, big_endian, under, 4);
    *length = ratio_at + 8;
    return bytes;
}

/* ICC.1:2001-04 6.5.17 (desc) or ICC.1:2010 10.13 (mluc); `text` is ASCII. Returns its length. */
static size_t put_description(unsigned char *tag, int version, const char *text) {
    size_t length = strlen(text);
    if (version < 4) {
        put_name(tag, "desc");
        put(tag + 8, true, (uint32_t)length + 1, 4);
        memcpy(tag + 12, text, length + 1);
        return (12 + length + 1 + 78 + 3) & ~(size_t)3;
    }
    put_name(tag, "mluc");
    put(tag + 8, true, 1, 4);
    put(tag + 12, true, 12, 4);
    put_name(tag + 16, "enUS");
    put(tag + 20, true, (uint32_t)(2 * length), 4);
    put(tag + 24, true, 28, 4);
    for (size_t i = 0; i < length; i++)
        tag[28 + 2 * i + 1] = (unsigned char)text[i];
    return (28 + 2 * length + 3) & ~(size_t)3;
}

unsigned char *make_icc(const char *device_class, const char *space, int version,
                        const char *description, size_t *length) {
    unsigned char *bytes = calloc(1, 144 + 256 + 2 * strlen(description));
    size_t tag = put_description(bytes + 144, version, description);
    *length = 144 + tag;
    put(bytes, true, (uint32_t)*length, 4);
    bytes[8] = (unsigned char)version;
    bytes[9] = version >= 4 ? 0x30 : 0x10;
    put_name(bytes + 12, device_class);
    put_name(bytes + 16, space);
    put_name(bytes + 20, "XYZ ");
    put_name(bytes + 36, "acsp");
    put(bytes + 68, true, 0xF6D6, 4); /* the D50 illuminant, which libpng wants to see */
    put(bytes + 72, true, 0x10000, 4);
    put(bytes + 76, true, 0xD32D, 4);
    put(bytes + 128, true, 1, 4);
    put_name(bytes + 132, "desc");
    put(bytes + 136, true, 144, 4);
    put(bytes + 140, true, (uint32_t)tag, 4);
    return bytes;
}

unsigned char *read_file(const char *path, size_t *length) {
    FILE *file = fopen(path, "rb");
    if (file == NULL || fseek(file, 0, SEEK_END) != 0)
        abort();
    *length = (size_t)ftell(file);
    rewind(file);
    unsigned char *bytes = malloc(*length + 1);
    if (fread(bytes, 1, *length, file) != *length)
        abort();
    (void)fclose(file);
    return bytes;
}

void write_file(const char *path, const void *bytes, size_t length) {
    FILE *file = fopen(path, "wb");
    if (file == NULL || fwrite(bytes, 1, length, file) != length || fclose(file) != 0)
        abort();
}

static char folder[] = "/tmp/trimwell-test-XXXXXX";
static char used[64][64]; /* names given out, to be removed */
static size_t used_count;

static void clean_up(void) {
    char path[160];
    for (size_t i = 0; i < used_count; i++) {
        (void)snprintf(path, sizeof path, "%.60s/%.63s", folder, used[i]);
        (void)unlink(path);
    }
    (void)rmdir(folder);
}

static void remember(const char *name) {
    for (size_t i = 0; i < used_count; i++)
        if (strcmp(used[i], name) == 0)
            return;
    if (used_count == sizeof used / sizeof *used)
        abort();
    (void)snprintf(used[used_count++], sizeof *used, "%s", name);
}

const char *scratch(const char *name) {
    static char paths[8][160];
    static unsigned turn;
    if (used_count == 0) {
        if (mkdtemp(folder) == NULL)
            abort();
        (void)atexit(clean_up);
    }
    remember(name);
    char *path = paths[turn++ % 8];
    (void)snprintf(path, sizeof paths[0], "%.60s/%.63s", folder, name);
    return path;
}
