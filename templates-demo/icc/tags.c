#include "tags.h"

#include <math.h>
#include <string.h>

void icc_put(unsigned char *at, uint32_t value, size_t size) {
    for (size_t i = 0; i < size; i++)
        at[i] = (unsigned char)(value >> 8 * (size - 1 - i));
}

/* Four letters, no NUL. */
static void put_name(unsigned char *at, const char *name) {
    for (size_t i = 0; i < 4; i++)
        at[i] = (unsigned char)name[i];
}

void icc_start(icc_writer *w, uint32_t version, const char *class_name, const char *space,
               const char *pcs, size_t most) {
    unsigned char *out = w->bytes;
    icc_put(out + 8, version, 4);
    put_name(out + 12, class_name);
    put_name(out + 16, space);
    put_name(out + 20, pcs);
    icc_put(out + 24, 2027, 2); /* a made-up, fixed date */
    icc_put(out + 26, 1, 2);
    icc_put(out + 28, 1, 2);
    put_name(out + 36, "acsp");
    icc_put(out + 68, 0xF6D6, 4); /* D50 */
    icc_put(out + 72, 0x10000, 4);
    icc_put(out + 76, 0xD32D, 4);
    w->length = 132 + 12 * most;
    w->tags = 0;
}

static void add_entry(icc_writer *w, const char *name, uint32_t at, uint32_t size) {
    unsigned char *entry = w->bytes + 132 + 12 * w->tags++;
    put_name(entry, name);
    icc_put(entry + 4, at, 4);
    icc_put(entry + 8, size, 4);
    icc_put(w->bytes + 128, (uint32_t)w->tags, 4);
}

unsigned char *icc_add(icc_writer *w, const char *name, const char *type, size_t size) {
    unsigned char *data = w->bytes + w->length;
    add_entry(w, name, (uint32_t)w->length, (uint32_t)size);
    put_name(data, type);
    w->length += (size + 3) & ~(size_t)3;
    return data;
}

void icc_same(icc_writer *w, const char *name) {
    unsigned char *entry = w->bytes + 132 + 12 * w->tags++;
    memcpy(entry, entry - 12, 12);
    put_name(entry, name);
    icc_put(w->bytes + 128, (uint32_t)w->tags, 4);
}

void icc_add_xyz(icc_writer *w, const char *name, const double xyz[3]) {
    unsigned char *data = icc_add(w, name, "XYZ ", 20);
    for (size_t i = 0; i < 3; i++)
        icc_put(data + 8 + 4 * i, (uint32_t)(int32_t)floor(xyz[i] * 65536 + 0.5), 4);
}

/* multiLocalizedUnicodeType with one text (ICC.1:2010, 10.13). */
static void add_localized(icc_writer *w, const char *name, const char *text) {
    size_t length = strlen(text);
    unsigned char *data = icc_add(w, name, "mluc", 28 + 2 * length);
    icc_put(data + 8, 1, 4);
    icc_put(data + 12, 12, 4);
    data[16] = 'e', data[17] = 'n', data[18] = 'U', data[19] = 'S';
    icc_put(data + 20, (uint32_t)(2 * length), 4);
    icc_put(data + 24, 28, 4);
    for (size_t i = 0; i < length; i++)
        data[28 + 2 * i + 1] = (unsigned char)text[i];
}

void icc_add_words(icc_writer *w, const char *description, const char *rights) {
    size_t length = strlen(description) + 1;
    if (w->bytes[8] >= 4) {
        add_localized(w, "desc", description);
        add_localized(w, "cprt", rights);
        return;
    }
    unsigned char *data = icc_add(w, "desc", "desc", 12 + length + 78);
    icc_put(data + 8, (uint32_t)length, 4);
    memcpy(data + 12, description, length);
    data = icc_add(w, "cprt", "text", 8 + strlen(rights) + 1);
    memcpy(data + 8, rights, strlen(rights) + 1);
}

size_t icc_end(icc_writer *w) {
    icc_put(w->bytes, (uint32_t)w->length, 4);
    return w->length;
}
