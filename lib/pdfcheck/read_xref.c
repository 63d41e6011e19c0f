/*
 * Where objects are: ISO 32000-1, 7.5.4 (tables), 7.5.5 (trailer), 7.5.8 (streams). Sections are
 * chained from the newest to the oldest; the newest that speaks of an object is right.
 */
#include "pdfcheck/reader.h"

#include <string.h>

enum { SECTIONS_MOST = 4096, TAIL = 2048 };

typedef struct chain {
    tw_pdfin *pdf;
    int64_t at; /* of the section to be read; -1 = no more */
    int64_t seen[SECTIONS_MOST];
    size_t seen_count;
} chain;

/* ------------------------------------------------ entries */

/* Room for `count` objects, which a file of this size must be able to hold. */
static bool make_room(tw_pdfin *pdf, uint64_t count) {
    if (count <= pdf->count)
        return true;
    if (count > TW_PDFIN_OBJECTS_MOST) {
        tw_pdfin_stop(pdf, TW_INPUT, "it says that it has more than 1000000 objects");
        return false;
    }
    tw_pdfin_entry *entries = tw_block_resize(
        pdf->allocator, pdf->entries, pdf->count * sizeof *entries, count * sizeof *entries);
    if (entries == NULL) {
        tw_pdfin_stop(pdf, TW_MEMORY, NULL);
        return false;
    }
    memset(entries + pdf->count, 0, (count - pdf->count) * sizeof *entries);
    pdf->entries = entries;
    pdf->count = (size_t)count;
    return true;
}

static void set_entry(tw_pdfin *pdf, int64_t number, tw_pdfin_where where, int64_t at,
                      uint32_t index) {
    tw_pdfin_entry *entry = &pdf->entries[number];
    if (entry->known)
        return;
    entry->known = true;
    entry->where = (unsigned char)where;
    entry->at = at;
    entry->index = index;
}

/* ------------------------------------------------ tables */

/* "0000000123 00000 n", 20 bytes with the line end (7.5.4). */
static bool read_entries(tw_pdfin *pdf, int64_t at, int64_t first, int64_t count) {
    for (int64_t i = 0; i < count; i++) {
        size_t got = 0;
        const char *line = tw_pdfin_look(pdf, at + 20 * i, 20, &got);
        tw_pdfin_text text = {.pdf = pdf, .bytes = line, .length = got};
        int64_t place = got == 20 ? tw_pdfin_parse_count(&text, pdf->size) : -1;
        if (place < 0 || tw_pdfin_parse_count(&text, 65535) < 0)
            return false;
        bool used = tw_pdfin_parse_word(&text, "n");
        if (!used && !tw_pdfin_parse_word(&text, "f"))
            return false;
        set_entry(pdf, first + i, used ? TW_PDFIN_PLAIN : TW_PDFIN_FREE, pdf->start + place, 0);
    }
    return true;
}

/* One subsection; *at is moved behind it. False when none begins here. */
static bool read_subsection(tw_pdfin *pdf, int64_t *at, bool *good) {
    tw_pdfin_text text = {.pdf = pdf};
    text.bytes = tw_pdfin_look(pdf, *at, 64, &text.length);
    int64_t first = tw_pdfin_parse_count(&text, TW_PDFIN_OBJECTS_MOST);
    int64_t count = first < 0 ? -1 : tw_pdfin_parse_count(&text, TW_PDFIN_OBJECTS_MOST);
    if (count < 0)
        return false;
    tw_pdfin_skip_space(&text);
    *at += (int64_t)text.at;
    *good = count <= (pdf->size - *at) / 20 && make_room(pdf, (uint64_t)(first + count)) &&
            read_entries(pdf, *at, first, count);
    *at += 20 * count;
    return *good;
}

/* The dictionary after "trailer". */
static const tw_pdfin_value *read_trailer(tw_pdfin *pdf, int64_t at) {
    for (size_t wanted = 4096;; wanted *= 8) {
        tw_pdfin_text text = {.pdf = pdf, .references = true};
        tw_pdfin_value *value = tw_arena_take(pdf->arena, sizeof *value);
        text.bytes = tw_pdfin_look(pdf, at, wanted, &text.length);
        if (value == NULL)
            tw_pdfin_stop(pdf, TW_MEMORY, NULL);
        if (value == NULL || !tw_pdfin_parse_word(&text, "trailer"))
            return &tw_pdfin_null;
        if (tw_pdfin_parse(&text, value))
            return value;
        if (!text.cut || text.length < wanted || wanted > TW_PDFIN_OBJECT_MOST)
            return &tw_pdfin_null;
    }
}

static const tw_pdfin_value *read_table(tw_pdfin *pdf, int64_t at) {
    tw_pdfin_text text = {.pdf = pdf};
    bool good = true;
    text.bytes = tw_pdfin_look(pdf, at, 64, &text.length);
    if (!tw_pdfin_parse_word(&text, "xref"))
        return &tw_pdfin_null;
    tw_pdfin_skip_space(&text);
    at += (int64_t)text.at;
    while (read_subsection(pdf, &at, &good)) {
    }
    return good ? read_trailer(pdf, at) : &tw_pdfin_null;
}

/* ------------------------------------------------ streams */

typedef struct columns {
    int64_t width[3];
    int64_t all;
} columns;

static bool read_columns(tw_pdfin *pdf, const tw_pdfin_value *stream, columns *out) {
    const tw_pdfin_value *list = tw_pdfin_get(pdf, stream, "W");
    out->all = 0;
    for (size_t i = 0; i < 3; i++) {
        const tw_pdfin_value *item = tw_pdfin_item(pdf, list, i);
        out->width[i] = item->number / TW_PDFIN_ONE;
        if (item->kind != TW_PDFIN_NUMBER || out->width[i] < 0 || out->width[i] > 8)
            return false;
        out->all += out->width[i];
    }
    return out->all > 0;
}

static int64_t field(const unsigned char **at, int64_t width, int64_t usual) {
    uint64_t value = 0;
    if (width == 0)
        return usual;
    for (int64_t i = 0; i < width; i++)
        value = value << 8 | *(*at)++;
    return value > INT64_MAX ? INT64_MAX : (int64_t)value;
}

static void set_row(tw_pdfin *pdf, const unsigned char *at, const columns *w, int64_t number) {
    int64_t type = field(&at, w->width[0], 1);
    int64_t second = field(&at, w->width[1], 0), third = field(&at, w->width[2], 0);
    if (type == 1 && second <= pdf->size)
        set_entry(pdf, number, TW_PDFIN_PLAIN, pdf->start + second, 0);
    else if (type == 2 && second < (int64_t)TW_PDFIN_OBJECTS_MOST && third <= UINT32_MAX)
        set_entry(pdf, number, TW_PDFIN_PACKED, second, (uint32_t)third);
    else
        set_entry(pdf, number, TW_PDFIN_FREE, 0, 0);
}

static bool read_rows(tw_pdfin *pdf, const tw_pdfin_value *stream, const tw_buffer *bytes,
                      const columns *w) {
    const tw_pdfin_value *index = tw_pdfin_get(pdf, stream, "Index");
    size_t pairs = tw_pdfin_items(index) / 2, at = 0;
    int64_t whole = tw_pdfin_get(pdf, stream, "Size")->number / TW_PDFIN_ONE;
    for (size_t i = 0; i < (pairs == 0 ? 1 : pairs); i++) {
        int64_t first = pairs == 0 ? 0 : tw_pdfin_item(pdf, index, 2 * i)->number / TW_PDFIN_ONE;
        int64_t count =
            pairs == 0 ? whole : tw_pdfin_item(pdf, index, 2 * i + 1)->number / TW_PDFIN_ONE;
        if (first < 0 || count < 0 || first > INT32_MAX ||
            count > (int64_t)(bytes->length - at) / w->all ||
            !make_room(pdf, (uint64_t)(first + count)))
            return false;
        for (int64_t k = 0; k < count; k++, at += (size_t)w->all)
            set_row(pdf, (const unsigned char *)bytes->bytes + at, w, first + k);
    }
    return true;
}

static const tw_pdfin_value *read_stream(tw_pdfin *pdf, int64_t at) {
    int64_t number;
    tw_buffer bytes;
    columns w;
    const char *why;
    const tw_pdfin_value *stream = tw_pdfin_value_at(pdf, at, &number);
    if (stream == NULL || stream->kind != TW_PDFIN_STREAM ||
        !tw_pdfin_is_name(tw_pdfin_raw(stream, "Type"), "XRef") || !read_columns(pdf, stream, &w) ||
        !tw_pdfin_unpack(pdf, stream, &bytes, &why))
        return &tw_pdfin_null;
    bool good = read_rows(pdf, stream, &bytes, &w);
    tw_buffer_free(&bytes);
    return good ? stream : &tw_pdfin_null;
}

/* ------------------------------------------------ the chain */

static bool begin_section(chain *c) {
    for (size_t i = 0; i < c->seen_count; i++)
        if (c->seen[i] == c->at)
            return false;
    if (c->seen_count == SECTIONS_MOST)
        return false;
    c->seen[c->seen_count++] = c->at;
    return true;
}

static const tw_pdfin_value *read_section(tw_pdfin *pdf, int64_t at) {
    size_t got = 0;
    const char *head = tw_pdfin_look(pdf, at, 16, &got);
    tw_pdfin_text text = {.pdf = pdf, .bytes = head, .length = got};
    tw_pdfin_skip_space(&text);
    bool table = text.at < text.length && text.bytes[text.at] == 'x';
    return table ? read_table(pdf, at) : read_stream(pdf, at);
}

/* Where a trailer's key says that another section is; -1 = it says none. */
static int64_t section_of(tw_pdfin *pdf, const tw_pdfin_value *trailer, const char *key) {
    const tw_pdfin_value *place = tw_pdfin_raw(trailer, key);
    return place->kind != TW_PDFIN_NUMBER || place->number < 0
               ? -1
               : pdf->start + place->number / TW_PDFIN_ONE;
}

static void follow_chain(chain *c) {
    tw_pdfin *pdf = c->pdf;
    while (c->at >= 0 && begin_section(c) && pdf->failure.code == TW_OK) {
        const tw_pdfin_value *trailer = read_section(pdf, c->at);
        if (!tw_pdfin_is_dict(trailer)) {
            tw_pdfin_note(pdf, "the cross-reference section at byte %lld cannot be read",
                          (long long)c->at);
            return;
        }
        if (!tw_pdfin_is_dict(pdf->trailer))
            pdf->trailer = trailer;
        int64_t hidden = section_of(pdf, trailer, "XRefStm"); /* of hybrid files, 7.5.8.4 */
        if (hidden >= 0)
            (void)read_stream(pdf, hidden);
        c->at = section_of(pdf, trailer, "Prev");
    }
}

/* What the last "startxref" says; -1 when there is none. */
static int64_t find_start(tw_pdfin *pdf) {
    int64_t from = pdf->size > TAIL ? pdf->size - TAIL : 0;
    size_t got = 0;
    const char *tail = tw_pdfin_look(pdf, from, TAIL, &got);
    for (size_t i = got; i-- > 0;)
        if (got - i > 9 && memcmp(tail + i, "startxref", 9) == 0) {
            tw_pdfin_text text = {.pdf = pdf, .bytes = tail, .length = got, .at = i + 9};
            int64_t place = tw_pdfin_parse_count(&text, pdf->size);
            return place < 0 ? -1 : pdf->start + place;
        }
    return -1;
}

void tw_pdfin_find_objects(tw_pdfin *pdf) {
    chain *c = tw_arena_take(pdf->arena, sizeof *c);
    if (c == NULL) {
        tw_pdfin_stop(pdf, TW_MEMORY, NULL);
        return;
    }
    c->pdf = pdf;
    c->at = find_start(pdf);
    follow_chain(c);
    if (!tw_pdfin_is_dict(tw_pdfin_get(pdf, pdf->trailer, "Root")))
        tw_pdfin_stop(pdf, TW_DAMAGED, "its cross-references do not lead to its objects");
}
