/*
 * Tags and values of a TIFF's directories (TIFF 6.0 section 2; BigTIFF: 8-byte offsets and
 * counts, 20-byte entries). Nothing is held: a value is read where it lies, so that a directory
 * of any size costs no memory.
 */
#include "image/tiff_facts.h"

#include <string.h>

enum {
    BYTE = 1,
    SHORT = 3,
    LONG = 4,
    RATIONAL = 5,
    UNDEFINED = 7,
    IFD = 13,
    LONG8 = 16,
    IFD8 = 18
};
/* More than any writer makes; a hostile count is not walked. */
enum { ENTRIES_MOST = 4096, PAGES_MOST = 1000 };

/* 0: a type that no tag we read may have. */
static unsigned type_bytes(unsigned type) {
    switch (type) {
    case BYTE:
    case UNDEFINED:
        return 1;
    case SHORT:
        return 2;
    case LONG:
    case IFD:
        return 4;
    case RATIONAL:
    case LONG8:
    case IFD8:
        return 8;
    default:
        return 0;
    }
}

static uint64_t number(const unsigned char *bytes, unsigned count, bool swapped) {
    uint64_t value = 0;
    for (unsigned i = 0; i < count; i++)
        value = value << 8 | bytes[swapped ? count - 1 - i : i];
    return value;
}

static tw_code read_number(tw_source *source, bool swapped, int64_t at, unsigned count,
                           uint64_t *out, tw_error *error) {
    unsigned char bytes[8];
    source->at = at;
    tw_code code = tw_source_read(source, bytes, count, error);
    *out = code == TW_OK ? number(bytes, count, swapped) : 0;
    return code;
}

tw_code tw_tiff_value(tw_source *source, const tw_tiff *tiff, const tw_tiff_list *list,
                      uint64_t index, uint64_t *out, tw_error *error) {
    unsigned size = type_bytes(list->type);
    *out = 0;
    if (index >= list->count || size == 0 || list->type == RATIONAL)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "a tag of the TIFF holds fewer numbers than it must");
    return read_number(source, tiff->swapped, list->at + (int64_t)(index * size), size, out, error);
}

/* ------------------------------------------------ directories */

static unsigned count_bytes(const tw_tiff *tiff) {
    return tiff->big ? 8 : 2;
}

static unsigned offset_bytes(const tw_tiff *tiff) {
    return tiff->big ? 8 : 4;
}

static int64_t entry_bytes(const tw_tiff *tiff) {
    return tiff->big ? 20 : 12;
}

static tw_code open_directory(tw_tiff_reader *reader, uint64_t at, int64_t *entries_at,
                              uint64_t *entries, tw_error *error) {
    const tw_tiff *tiff = &reader->image->tiff;
    if (at < 8 || at >= (uint64_t)reader->source.size)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "the TIFF's directory should be at byte %llu of %lld",
                       (unsigned long long)at, (long long)reader->source.size);
    tw_code code =
        read_number(&reader->source, tiff->swapped, (int64_t)at, count_bytes(tiff), entries, error);
    if (code != TW_OK)
        return code;
    *entries_at = (int64_t)at + count_bytes(tiff);
    int64_t room = (reader->source.size - *entries_at) / entry_bytes(tiff);
    if (*entries >= 1 && *entries <= ENTRIES_MOST && *entries <= (uint64_t)room)
        return TW_OK;
    return tw_fail(error, TW_DAMAGED, "image-damaged",
                   "the TIFF's directory at byte %llu says it has %llu entries; 1 to %d are taken, "
                   "and all must be in the file",
                   (unsigned long long)at, (unsigned long long)*entries, ENTRIES_MOST);
}

/* "II" or "MM", 42 and an offset; BigTIFF: 43, the offsets' size 8, 0 and an offset of 8. */
tw_code tw_tiff_open(tw_tiff_reader *reader, tw_error *error) {
    tw_tiff *tiff = &reader->image->tiff;
    unsigned char head[16] = {0};
    uint64_t first = 0;
    reader->source.at = 0;
    tw_code code = tw_source_read(&reader->source, head, 8, error);
    if (code != TW_OK)
        return code;
    tiff->swapped = head[0] == 'I';
    tiff->big = number(head + 2, 2, tiff->swapped) == 43;
    if (tiff->big && (number(head + 4, 2, tiff->swapped) != 8 || head[6] != 0 || head[7] != 0))
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "the TIFF's header holds impossible values");
    code = read_number(&reader->source, tiff->swapped, tiff->big ? 8 : 4, offset_bytes(tiff),
                       &first, error);
    if (code == TW_OK)
        code = open_directory(reader, first, &reader->entries_at, &reader->entries, error);
    if (code == TW_OK)
        reader->next_at = reader->entries_at + (int64_t)reader->entries * entry_bytes(tiff);
    return code;
}

/* An entry whose tag matched: where do its values lie? Small ones lie in the entry itself. */
static tw_code take_entry(tw_tiff_reader *reader, const unsigned char *entry, int64_t at,
                          tw_tiff_list *out, tw_error *error) {
    const tw_tiff *tiff = &reader->image->tiff;
    unsigned offsets = offset_bytes(tiff), type = (unsigned)number(entry + 2, 2, tiff->swapped);
    uint64_t count = number(entry + 4, offsets, tiff->swapped), size = type_bytes(type);
    uint64_t file = (uint64_t)reader->source.size;
    uint64_t value_at = (uint64_t)at + 4 + offsets;
    if (size == 0 || count == 0)
        return TW_OK; /* of no use: as if it were not there */
    if (count > file || count * size > offsets)
        value_at = number(entry + 4 + offsets, offsets, tiff->swapped);
    if (count > file || value_at > file || count * size > file - value_at)
        return tw_fail(
            error, TW_DAMAGED, "image-damaged",
            "tag %llu of the TIFF has %llu values at byte %llu, and the file ends at %llu",
            (unsigned long long)number(entry, 2, tiff->swapped), (unsigned long long)count,
            (unsigned long long)value_at, (unsigned long long)file);
    *out = (tw_tiff_list){.type = type, .count = count, .at = (int64_t)value_at};
    return TW_OK;
}

tw_code tw_tiff_find(tw_tiff_reader *reader, unsigned tag, tw_tiff_list *out, tw_error *error) {
    const tw_tiff *tiff = &reader->image->tiff;
    unsigned char entry[20];
    size_t size = (size_t)entry_bytes(tiff);
    *out = (tw_tiff_list){0};
    reader->source.at = reader->entries_at;
    for (uint64_t i = 0; i < reader->entries; i++) {
        int64_t at = reader->source.at;
        tw_code code = tw_source_read(&reader->source, entry, size, error);
        if (code != TW_OK)
            return code;
        if (number(entry, 2, tiff->swapped) == tag)
            return take_entry(reader, entry, at, out, error);
    }
    return TW_OK;
}

tw_code tw_tiff_number(tw_tiff_reader *reader, unsigned tag, uint64_t fallback, uint64_t *out,
                       tw_error *error) {
    tw_tiff_list list;
    *out = fallback;
    tw_code code = tw_tiff_find(reader, tag, &list, error);
    if (code != TW_OK || list.count == 0)
        return code;
    return tw_tiff_value(&reader->source, &reader->image->tiff, &list, 0, out, error);
}

tw_code tw_tiff_ratio(tw_tiff_reader *reader, unsigned tag, uint32_t *over, uint32_t *under,
                      tw_error *error) {
    bool swapped = reader->image->tiff.swapped;
    tw_tiff_list list;
    uint64_t a = 0, b = 0;
    tw_code code = tw_tiff_find(reader, tag, &list, error);
    if (code == TW_OK && list.count > 0 && list.type == RATIONAL) {
        code = read_number(&reader->source, swapped, list.at, 4, &a, error);
        if (code == TW_OK)
            code = read_number(&reader->source, swapped, list.at + 4, 4, &b, error);
    }
    *over = (uint32_t)a;
    *under = (uint32_t)b;
    return code;
}

/* ------------------------------------------------ pages */

/* Tags are in ascending order: NewSubfileType is first where it is there at all. Bit 0: a smaller
 * version of another picture, bit 2: a mask. */
static tw_code is_page(tw_tiff_reader *reader, int64_t entries_at, bool *page, tw_error *error) {
    const tw_tiff *tiff = &reader->image->tiff;
    unsigned char entry[20];
    reader->source.at = entries_at;
    tw_code code = tw_source_read(&reader->source, entry, (size_t)entry_bytes(tiff), error);
    if (code != TW_OK)
        return code;
    uint64_t bits = number(entry + 4 + offset_bytes(tiff), 4, tiff->swapped);
    *page = number(entry, 2, tiff->swapped) != TW_TAG_SUBFILE || (bits & 5) == 0;
    return TW_OK;
}

/* What is wrong with a later directory is no business of the first picture: the count ends. */
tw_code tw_tiff_pages(tw_tiff_reader *reader, int *pages, tw_error *error) {
    const tw_tiff *tiff = &reader->image->tiff;
    int64_t next_at = reader->next_at;
    *pages = 1;
    for (int i = 0; i < PAGES_MOST; i++) {
        tw_error ignored = {.code = TW_OK};
        int64_t entries_at = 0;
        uint64_t next = 0, entries = 0;
        bool page = false;
        tw_code code = read_number(&reader->source, tiff->swapped, next_at, offset_bytes(tiff),
                                   &next, &ignored);
        if (code == TW_OK && next != 0)
            code = open_directory(reader, next, &entries_at, &entries, &ignored);
        if (code == TW_OK && next != 0)
            code = is_page(reader, entries_at, &page, &ignored);
        bool first = i == 0 && next == 0; /* its own directory is whole to the last byte */
        if (code == TW_IO || (code != TW_OK && first))
            return tw_fail(error, code, ignored.name, "%s", ignored.message);
        if (code != TW_OK || next == 0)
            return TW_OK;
        *pages += page;
        next_at = entries_at + (int64_t)entries * entry_bytes(tiff);
    }
    return TW_OK;
}
