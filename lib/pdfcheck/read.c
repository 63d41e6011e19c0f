/* The file of a PDF being read: bytes through one window, objects by number, failures. */
#include "pdfcheck/reader.h"

#include "base/file.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

enum { BEHIND = 64 }; /* bytes wanted behind an object, to see whether it is a stream */

/* ------------------------------------------------ what went wrong */

void tw_pdfin_stop(tw_pdfin *pdf, tw_code code, const char *words) {
    if (pdf->failure.code != TW_OK)
        return;
    if (code == TW_MEMORY)
        (void)tw_no_memory(&pdf->failure);
    else
        (void)tw_fail(&pdf->failure, code, "pdf-unreadable", "this PDF cannot be checked: %s",
                      words);
}

void tw_pdfin_note(tw_pdfin *pdf, const char *format, ...) {
    va_list list;
    if (pdf->damage++ > 0)
        return;
    va_start(list, format);
    (void)vsnprintf(pdf->first_damage, sizeof pdf->first_damage, format, list);
    va_end(list);
}

tw_code tw_pdfin_state(const tw_pdfin *pdf, tw_error *error) {
    if (pdf->failure.code != TW_OK && error != NULL)
        *error = pdf->failure;
    return pdf->failure.code;
}

size_t tw_pdfin_damage(const tw_pdfin *pdf, const char **first) {
    if (first != NULL)
        *first = pdf->first_damage;
    return pdf->damage;
}

/* ------------------------------------------------ bytes */

static size_t read_at(tw_pdfin *pdf, int64_t at, void *out, size_t room) {
    size_t done = 0;
    while (done < room) {
        ssize_t got =
            pread(pdf->descriptor, (char *)out + done, room - done, (off_t)(at + (int64_t)done));
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            tw_pdfin_stop(pdf, TW_IO, strerror(errno));
        if (got <= 0)
            break;
        done += (size_t)got;
    }
    return done;
}

size_t tw_pdfin_bytes(tw_pdfin *pdf, int64_t at, void *out, size_t room) {
    if (at < 0 || at >= pdf->size || pdf->failure.code != TW_OK)
        return 0;
    if ((int64_t)room > pdf->size - at)
        room = (size_t)(pdf->size - at);
    if (pdf->descriptor >= 0)
        return read_at(pdf, at, out, room);
    memcpy(out, pdf->bytes + at, room);
    return room;
}

int64_t tw_pdfin_size(const tw_pdfin *pdf) {
    return pdf->size;
}

/* One that is larger for a large object, and stays so. */
static bool make_window(tw_pdfin *pdf, size_t wanted) {
    size_t room = wanted > TW_PDFIN_WINDOW ? wanted : TW_PDFIN_WINDOW;
    if (pdf->window != NULL && wanted <= pdf->window_room)
        return true;
    tw_block_free(pdf->allocator, pdf->window);
    pdf->window = tw_block_new(pdf->allocator, room);
    pdf->window_room = pdf->window == NULL ? 0 : room;
    pdf->window_length = 0;
    if (pdf->window == NULL)
        tw_pdfin_stop(pdf, TW_MEMORY, NULL);
    return pdf->window != NULL;
}

const char *tw_pdfin_look(tw_pdfin *pdf, int64_t at, size_t wanted, size_t *got) {
    *got = 0;
    if (at < 0 || at >= pdf->size || pdf->failure.code != TW_OK)
        return "";
    if ((int64_t)wanted > pdf->size - at)
        wanted = (size_t)(pdf->size - at);
    if (pdf->descriptor < 0) {
        *got = wanted;
        return (const char *)pdf->bytes + at;
    }
    if (at < pdf->window_at ||
        at + (int64_t)wanted > pdf->window_at + (int64_t)pdf->window_length) {
        if (!make_window(pdf, wanted))
            return "";
        pdf->window_at = at;
        pdf->window_length =
            read_at(pdf, at, pdf->window, wanted > TW_PDFIN_WINDOW ? wanted : TW_PDFIN_WINDOW);
    }
    size_t left = pdf->window_length - (size_t)(at - pdf->window_at);
    *got = left < wanted ? left : wanted;
    return (const char *)pdf->window + (at - pdf->window_at);
}

/* ------------------------------------------------ objects */

/* "12 0 obj" and the value. */
static bool parse_object(tw_pdfin_text *text, int64_t *number, tw_pdfin_value *out) {
    *number = tw_pdfin_parse_count(text, INT32_MAX);
    return *number >= 0 && tw_pdfin_parse_count(text, 65535) >= 0 &&
           tw_pdfin_parse_word(text, "obj") && tw_pdfin_parse(text, out);
}

/* A stream's bytes begin after "stream" and a line end (7.3.8.1). `at`: of text->bytes. */
static void parse_stream(tw_pdfin_text *text, int64_t at, tw_pdfin_value *out) {
    if (out->kind != TW_PDFIN_DICT || !tw_pdfin_parse_word(text, "stream"))
        return;
    if (text->at < text->length && text->bytes[text->at] == '\r')
        text->at++;
    if (text->at < text->length && text->bytes[text->at] == '\n')
        text->at++;
    out->kind = TW_PDFIN_STREAM;
    out->at = at + (int64_t)text->at;
}

static const tw_pdfin_value *keep(tw_pdfin *pdf, const tw_pdfin_value *value) {
    tw_pdfin_value *kept = tw_arena_take(pdf->arena, sizeof *kept);
    if (kept == NULL)
        tw_pdfin_stop(pdf, TW_MEMORY, NULL);
    else
        *kept = *value;
    return kept;
}

/* With more bytes each time, until it is whole. */
const tw_pdfin_value *tw_pdfin_value_at(tw_pdfin *pdf, int64_t at, int64_t *number) {
    for (size_t wanted = 4096; pdf->failure.code == TW_OK; wanted *= 4) {
        tw_pdfin_text text = {.pdf = pdf, .references = true};
        tw_pdfin_value value = tw_pdfin_null;
        text.bytes = tw_pdfin_look(pdf, at, wanted, &text.length);
        pdf->looked += (int64_t)text.length;
        if (pdf->looked > TW_PDFIN_LOOKED_MOST)
            tw_pdfin_stop(pdf, TW_INPUT, "it holds more than can be looked through");
        bool last = text.length < wanted || wanted >= TW_PDFIN_OBJECT_MOST;
        bool good = parse_object(&text, number, &value);
        if (good && (last || text.length - text.at >= BEHIND)) {
            parse_stream(&text, at, &value);
            return keep(pdf, &value);
        }
        if (last || (!good && !text.cut))
            return NULL;
    }
    return NULL;
}

/* ------------------------------------------------ object streams (7.5.7) */

static bool read_heads(tw_pdfin *pdf, tw_pdfin_pack *pack) {
    int64_t *heads = tw_arena_array(pdf->arena, 2 * pack->count, sizeof *heads);
    tw_pdfin_text text = {.pdf = pdf, .bytes = pack->bytes, .length = pack->first};
    if (heads == NULL) {
        tw_pdfin_stop(pdf, TW_MEMORY, NULL);
        return false;
    }
    for (size_t i = 0; i < 2 * pack->count; i++)
        if ((heads[i] = tw_pdfin_parse_count(&text, INT32_MAX)) < 0)
            return false;
    pack->heads = heads;
    return true;
}

static bool unpack_pack(tw_pdfin *pdf, const tw_pdfin_value *stream, tw_pdfin_pack *pack) {
    const tw_pdfin_value *count = tw_pdfin_get(pdf, stream, "N");
    const tw_pdfin_value *first = tw_pdfin_get(pdf, stream, "First");
    const char *why;
    tw_buffer bytes;
    bool good = tw_pdfin_is_name(tw_pdfin_get(pdf, stream, "Type"), "ObjStm") && count->whole &&
                first->whole && tw_pdfin_unpack(pdf, stream, &bytes, &why);
    if (!good)
        return false;
    int64_t numbers = count->number / TW_PDFIN_ONE, from = first->number / TW_PDFIN_ONE;
    if (numbers < 0 || from < 0 || (uint64_t)from > bytes.length || numbers > from / 2 + 1) {
        tw_buffer_free(&bytes);
        return false;
    }
    pack->length = bytes.length;
    pack->bytes = tw_arena_copy(pdf->arena, bytes.bytes == NULL ? "" : bytes.bytes, bytes.length);
    tw_buffer_free(&bytes);
    pack->first = (size_t)from;
    pack->count = (size_t)numbers;
    if (pack->bytes == NULL)
        tw_pdfin_stop(pdf, TW_MEMORY, NULL);
    return pack->bytes != NULL && read_heads(pdf, pack);
}

/* The pack of this number, unpacked at its first use; one that is broken has no items. */
static const tw_pdfin_pack *pack_of(tw_pdfin *pdf, int64_t number) {
    if (number < 0 || (size_t)number >= pdf->count || pdf->entries[number].where != TW_PDFIN_PLAIN)
        return NULL; /* never inside another one */
    if (pdf->entries[number].pack > 0)
        return &pdf->packs[pdf->entries[number].pack - 1];
    tw_pdfin_pack pack = {.count = 0};
    if (!unpack_pack(pdf, tw_pdfin_object(pdf, number), &pack))
        pack.count = 0;
    tw_pdfin_pack *packs =
        tw_arena_grow(pdf->arena, pdf->packs, pdf->pack_count, &pdf->pack_room, sizeof *packs);
    if (packs == NULL) {
        tw_pdfin_stop(pdf, TW_MEMORY, NULL);
        return NULL;
    }
    pdf->packs = packs;
    packs[pdf->pack_count] = pack;
    pdf->entries[number].pack = (uint32_t)pdf->pack_count + 1;
    return &packs[pdf->pack_count++];
}

static const tw_pdfin_value *packed_value(tw_pdfin *pdf, int64_t number,
                                          const tw_pdfin_entry *entry) {
    const tw_pdfin_pack *pack = pack_of(pdf, entry->at);
    size_t index = entry->index;
    if (pack == NULL || index >= pack->count || pack->heads[2 * index] != number)
        return NULL;
    size_t at = pack->first + (size_t)pack->heads[2 * index + 1];
    if (at >= pack->length)
        return NULL;
    /* the NUL behind the bytes is white space and ends the last value */
    tw_pdfin_text text = {
        .pdf = pdf, .bytes = pack->bytes, .length = pack->length + 1, .at = at, .references = true};
    tw_pdfin_value *value = tw_arena_take(pdf->arena, sizeof *value);
    if (value == NULL)
        tw_pdfin_stop(pdf, TW_MEMORY, NULL);
    return value != NULL && tw_pdfin_parse(&text, value) ? value : NULL;
}

/* ------------------------------------------------ by number */

const tw_pdfin_value *tw_pdfin_object(tw_pdfin *pdf, int64_t number) {
    if (number < 0 || (size_t)number >= pdf->count || pdf->failure.code != TW_OK)
        return &tw_pdfin_null;
    tw_pdfin_entry *entry = &pdf->entries[number];
    if (entry->value != NULL)
        return entry->value;
    if (entry->where == TW_PDFIN_FREE || entry->open)
        return &tw_pdfin_null;
    int64_t own = number;
    entry->open = true;
    const tw_pdfin_value *value = entry->where == TW_PDFIN_PLAIN
                                      ? tw_pdfin_value_at(pdf, entry->at, &own)
                                      : packed_value(pdf, number, entry);
    entry->open = false;
    if (value == NULL || own != number) {
        tw_pdfin_note(pdf, "object %lld cannot be read", (long long)number);
        value = &tw_pdfin_null;
    }
    entry->value = value;
    return value;
}

const tw_pdfin_value *tw_pdfin_follow(tw_pdfin *pdf, const tw_pdfin_value *value) {
    for (int i = 0; i < 32 && value->kind == TW_PDFIN_REF; i++)
        value = tw_pdfin_object(pdf, value->number);
    return value->kind == TW_PDFIN_REF ? &tw_pdfin_null : value;
}

bool tw_pdfin_is_dict(const tw_pdfin_value *value) {
    return value->kind == TW_PDFIN_DICT || value->kind == TW_PDFIN_STREAM;
}

const tw_pdfin_value *tw_pdfin_raw(const tw_pdfin_value *dict, const char *key) {
    size_t length = strlen(key);
    for (size_t i = 0; tw_pdfin_is_dict(dict) && i + 1 < dict->length; i += 2)
        if (dict->items[i].length == length && memcmp(dict->items[i].text, key, length) == 0)
            return &dict->items[i + 1];
    return &tw_pdfin_null;
}

const tw_pdfin_value *tw_pdfin_get(tw_pdfin *pdf, const tw_pdfin_value *dict, const char *key) {
    return tw_pdfin_follow(pdf, tw_pdfin_raw(dict, key));
}

size_t tw_pdfin_items(const tw_pdfin_value *array) {
    return array->kind == TW_PDFIN_ARRAY ? array->length : 0;
}

const tw_pdfin_value *tw_pdfin_item(tw_pdfin *pdf, const tw_pdfin_value *array, size_t index) {
    return index < tw_pdfin_items(array) ? tw_pdfin_follow(pdf, &array->items[index])
                                         : &tw_pdfin_null;
}

bool tw_pdfin_is_name(const tw_pdfin_value *value, const char *name) {
    size_t length = strlen(name);
    return value->kind == TW_PDFIN_NAME && value->length == length &&
           memcmp(value->text, name, length) == 0;
}

const tw_pdfin_value *tw_pdfin_trailer(const tw_pdfin *pdf) {
    return pdf->trailer;
}

size_t tw_pdfin_object_count(const tw_pdfin *pdf) {
    return pdf->count;
}

/* ------------------------------------------------ open and close */

static tw_pdfin *new_reader(const tw_allocator *allocator) {
    tw_arena *arena = tw_arena_new(allocator, TW_PDFIN_ARENA_MOST);
    tw_pdfin *pdf = arena == NULL ? NULL : tw_arena_take(arena, sizeof *pdf);
    if (pdf == NULL) {
        tw_arena_free(arena);
        return NULL;
    }
    *pdf = (tw_pdfin){.allocator = tw_arena_allocator(arena),
                      .arena = arena,
                      .descriptor = -1,
                      .trailer = &tw_pdfin_null};
    return pdf;
}

/* Readers look for the header in the first 1024 bytes (Annex H, implementation note 13 of the
 * 1.7 reference); where it is, offsets start. */
static tw_code start(tw_pdfin *pdf, tw_error *error) {
    size_t got = 0;
    const char *head = tw_pdfin_look(pdf, 0, 1024, &got);
    size_t at = 0;
    while (at + 5 <= got && memcmp(head + at, "%PDF-", 5) != 0)
        at++;
    if (at + 5 > got && pdf->failure.code == TW_OK)
        return tw_fail(error, TW_DAMAGED, "no-pdf",
                       "this is not a PDF: \"%%PDF-\" is not in its first 1024 bytes");
    pdf->start = (int64_t)at;
    tw_pdfin_find_objects(pdf);
    return tw_pdfin_state(pdf, error);
}

static tw_code finish_open(tw_pdfin *pdf, tw_pdfin **out, tw_error *error) {
    tw_code code = start(pdf, error);
    if (code == TW_OK)
        *out = pdf;
    else
        tw_pdfin_close(pdf);
    return code;
}

tw_code tw_pdfin_open_bytes(const tw_allocator *allocator, const void *bytes, size_t length,
                            tw_pdfin **out, tw_error *error) {
    tw_pdfin *pdf = new_reader(allocator);
    *out = NULL;
    if (pdf == NULL)
        return tw_no_memory(error);
    pdf->bytes = bytes;
    pdf->size = (int64_t)length;
    return finish_open(pdf, out, error);
}

tw_code tw_pdfin_open(const tw_allocator *allocator, const char *path, tw_pdfin **out,
                      tw_error *error) {
    tw_pdfin *pdf = new_reader(allocator);
    *out = NULL;
    if (pdf == NULL)
        return tw_no_memory(error);
    tw_code code = tw_file_open(path, &pdf->descriptor, &pdf->size, error);
    if (code != TW_OK)
        tw_pdfin_close(pdf);
    else
        code = finish_open(pdf, out, error);
    if (code != TW_OK)
        tw_fail_at(error, path, 0, 0);
    return code;
}

void tw_pdfin_close(tw_pdfin *pdf) {
    if (pdf == NULL)
        return;
    if (pdf->descriptor >= 0)
        (void)close(pdf->descriptor);
    tw_block_free(pdf->allocator, pdf->window);
    tw_block_free(pdf->allocator, pdf->entries);
    tw_arena_free(pdf->arena);
}
