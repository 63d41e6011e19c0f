/*
 * What an ICC profile says of itself: header, tag table, description. ICC.1:2010 (ISO 15076-1)
 * clauses 7.2, 7.3, 9.2.41 and 10.13; the older textual description is ICC.1:2001-04 6.5.17.
 * Everything is checked against the length before it is looked at.
 */
#include "image/icc_head.h"
#include "base/limits.h"
#include "base/text.h"
#include "image/source.h"

#include <string.h>

enum { HEADER = 128, TAGS_AT = 132, TAG_ENTRY = 12, TEXT_MOST = 400 };

typedef struct icc_tag {
    const unsigned char *bytes;
    size_t length;
} icc_tag;

static tw_code refuse(tw_error *error, const char *words) {
    return tw_fail(error, TW_INPUT, "profile", "the ICC profile %s", words);
}

static tw_code check_header(const unsigned char *bytes, size_t length, tw_error *error) {
    if (length > TW_ICC_BYTES_MOST)
        return tw_fail(error, TW_INPUT, "profile",
                       "the ICC profile is %zu bytes long, at most %u are read", length,
                       TW_ICC_BYTES_MOST);
    if (length < TAGS_AT)
        return tw_fail(error, TW_INPUT, "profile",
                       "the ICC profile is %zu bytes long, at least %d are needed", length,
                       TAGS_AT);
    if (memcmp(bytes + 36, "acsp", 4) != 0)
        return refuse(error, "lacks the signature \"acsp\" at byte 36");
    if (tw_big32(bytes) != length)
        return tw_fail(error, TW_INPUT, "profile",
                       "the ICC profile says it is %lu bytes long but is %zu",
                       (unsigned long)tw_big32(bytes), length);
    return TW_OK;
}

/* Every tag inside the profile, none over the header. */
static tw_code check_tags(const unsigned char *bytes, size_t length, tw_error *error) {
    size_t count = tw_big32(bytes + HEADER);
    if (count > (length - TAGS_AT) / TAG_ENTRY)
        return refuse(error, "has a tag table that runs past its end");
    for (size_t i = 0; i < count; i++) {
        const unsigned char *entry = bytes + TAGS_AT + i * TAG_ENTRY;
        size_t at = tw_big32(entry + 4), size = tw_big32(entry + 8);
        if (at < HEADER || at > length || size > length - at)
            return refuse(error, "has a tag that lies outside it");
    }
    return TW_OK;
}

static icc_tag find_tag(const unsigned char *bytes, const char *name) {
    size_t count = tw_big32(bytes + HEADER);
    for (size_t i = 0; i < count; i++) {
        const unsigned char *entry = bytes + TAGS_AT + i * TAG_ENTRY;
        if (memcmp(entry, name, 4) == 0)
            return (icc_tag){bytes + tw_big32(entry + 4), tw_big32(entry + 8)};
    }
    return (icc_tag){NULL, 0};
}

static void put_character(tw_buffer *text, uint32_t character) {
    char encoded[4];
    if (character < 0x20 || (character >= 0x7F && character < 0xA0))
        character = ' '; /* a control character has no place in a name */
    if (character >= 0xD800 && character < 0xE000)
        character = 0xFFFD; /* half of a surrogate pair */
    tw_buffer_add(text, encoded, tw_utf8_put(character, encoded));
}

/* Version 2: a count, then 7-bit text up to a NUL. */
static void read_ascii(icc_tag tag, tw_buffer *text) {
    if (tag.length < 12)
        return;
    size_t count = tw_big32(tag.bytes + 8);
    if (count > tag.length - 12)
        count = tag.length - 12;
    for (size_t i = 0; i < count && tag.bytes[12 + i] != 0 && text->length < TEXT_MOST; i++)
        put_character(text, tag.bytes[12 + i] < 0x80 ? tag.bytes[12 + i] : 0xFFFD);
}

static void read_utf16(const unsigned char *bytes, size_t length, tw_buffer *text) {
    for (size_t i = 0; i + 2 <= length && text->length < TEXT_MOST; i += 2) {
        uint32_t unit = tw_big16(bytes + i);
        if (unit == 0)
            return;
        if (unit >= 0xD800 && unit < 0xDC00 && i + 4 <= length) {
            uint32_t low = tw_big16(bytes + i + 2);
            if (low >= 0xDC00 && low < 0xE000) {
                unit = 0x10000 + ((unit - 0xD800) << 10) + (low - 0xDC00);
                i += 2;
            }
        }
        put_character(text, unit);
    }
}

/* Version 4: one text a language, UTF-16 big-endian. English when there is one, else the first:
 * the reader's locale must not reach an output. */
static void read_multilingual(icc_tag tag, tw_buffer *text) {
    if (tag.length < 16 || tw_big32(tag.bytes + 12) != 12)
        return;
    size_t count = tw_big32(tag.bytes + 8);
    if (count > (tag.length - 16) / 12)
        count = (tag.length - 16) / 12;
    const unsigned char *chosen = NULL;
    for (size_t i = 0; i < count; i++) {
        const unsigned char *record = tag.bytes + 16 + i * 12;
        bool english = memcmp(record, "en", 2) == 0;
        if (chosen == NULL || (english && memcmp(chosen, "en", 2) != 0))
            chosen = record;
    }
    if (chosen == NULL)
        return;
    size_t length = tw_big32(chosen + 4), at = tw_big32(chosen + 8);
    if (at <= tag.length && length <= tag.length - at)
        read_utf16(tag.bytes + at, length, text);
}

static tw_code read_description(tw_arena *arena, const unsigned char *bytes, tw_profile *out,
                                tw_error *error) {
    icc_tag tag = find_tag(bytes, "desc");
    if (tag.length < 8)
        return TW_OK;
    tw_buffer text;
    tw_buffer_start(&text, tw_arena_allocator(arena));
    if (memcmp(tag.bytes, "desc", 4) == 0)
        read_ascii(tag, &text);
    else if (memcmp(tag.bytes, "mluc", 4) == 0)
        read_multilingual(tag, &text);
    bool lost = text.failed;
    if (text.length > 0 && !lost) {
        out->description = tw_arena_copy(arena, text.bytes, text.length);
        lost = out->description == NULL;
    }
    tw_buffer_free(&text);
    return lost ? tw_no_memory(error) : TW_OK;
}

/* A four-byte signature as text; bytes no signature has become '?'. */
static void signature(const unsigned char *bytes, char out[5]) {
    for (int i = 0; i < 4; i++)
        out[i] = (char)(bytes[i] >= 0x20 && bytes[i] < 0x7F ? bytes[i] : '?');
    out[4] = '\0';
}

static int channels_of(const char *space) {
    if (strcmp(space, "GRAY") == 0)
        return 1;
    if (strcmp(space, "RGB ") == 0)
        return 3;
    return strcmp(space, "CMYK") == 0 ? 4 : 0;
}

tw_code tw_profile_read(tw_arena *arena, const unsigned char *bytes, size_t length, tw_profile *out,
                        tw_error *error) {
    *out = (tw_profile){0};
    tw_code code = check_header(bytes, length, error);
    if (code == TW_OK)
        code = check_tags(bytes, length, error);
    if (code != TW_OK)
        return code;
    signature(bytes + 12, out->device_class);
    signature(bytes + 16, out->space);
    signature(bytes + 20, out->connection);
    out->channels = channels_of(out->space);
    out->version_major = bytes[8];
    out->version_minor = bytes[9] >> 4;
    out->intent = (int)(tw_big32(bytes + 64) & 0xFFFF); /* the upper half is zero, 7.2.15 */
    return read_description(arena, bytes, out, error);
}

bool tw_profile_has_version(const tw_profile *profile) {
    return profile->version_major == 2 || profile->version_major == 4;
}

bool tw_profile_connects(const tw_profile *profile) {
    return strcmp(profile->connection, "XYZ ") == 0 || strcmp(profile->connection, "Lab ") == 0;
}

bool tw_profile_is_source(const tw_profile *profile) {
    static const char *const classes[] = {"scnr", "mntr", "prtr", "spac"};
    for (size_t i = 0; i < sizeof classes / sizeof *classes; i++)
        if (strcmp(profile->device_class, classes[i]) == 0)
            return true;
    return false;
}
