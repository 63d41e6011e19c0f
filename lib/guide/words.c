/*
 * The words of the guide: lengths as a ruler and a driver want them, sheet numbers, piles, and
 * names from outside made safe to set.
 */
#include "base/text.h"
#include "guide/pages.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define NAME_MOST 100 /* characters of a name from outside */
#define SHORT_HEAD 28 /* and of one that must stay short: its ends */
#define SHORT_TAIL 10
#define ELLIPSIS "\xE2\x80\xA6"
#define RULER (TW_IN / 32)
/* What a ruler's nearest mark may be off before it is not the truth any more. */
#define RULER_OFF_MOST (TW_MM / 10)

/* ------------------------------------------------ text */

const char *tw_guide_say(tw_guide *g, const char *format, ...) {
    va_list list, again;
    va_start(list, format);
    va_copy(again, list);
    int length = vsnprintf(NULL, 0, format, list);
    char *out = g->code != TW_OK || length < 0 ? NULL : tw_arena_take(g->arena, (size_t)length + 1);
    if (out != NULL)
        (void)vsnprintf(out, (size_t)length + 1, format, again);
    else
        tw_guide_check(g, tw_no_memory(g->error));
    va_end(again);
    va_end(list);
    return out == NULL ? "" : out;
}

/* A control character would break the line it stands in. */
static bool is_control(uint32_t c) {
    return c < 0x20 || (c >= 0x7F && c < 0xA0) || c == 0x2028 || c == 0x2029;
}

/* The next character, made safe; broken UTF-8 is U+FFFD a byte. `left` bytes follow *at. */
static uint32_t next_safe(const char **at, size_t left) {
    const char *from = *at;
    size_t most = left < 4 ? left : 4;
    for (size_t length = 1; length <= most; length++) /* one whole character, no more */
        if (tw_utf8_valid(from, length) == length) {
            uint32_t c = tw_utf8_next(at);
            return is_control(c) ? ' ' : c;
        }
    *at = from + 1;
    return 0xFFFD;
}

static size_t character_bytes(const char *text) {
    size_t length = 1;
    while (length < 4 && ((unsigned char)text[length] & 0xC0) == 0x80)
        length++;
    return length;
}

static size_t character_bytes_before(const char *text, size_t at) {
    size_t length = 1;
    while (length < 4 && length < at && ((unsigned char)text[at - length] & 0xC0) == 0x80)
        length++;
    return length;
}

static const char *made_safe(tw_guide *g, const char *text, size_t left, bool more) {
    char clean[4 * NAME_MOST + 1];
    size_t used = 0;
    const char *at = text, *end = text + left;
    for (int i = 0; i < NAME_MOST && at < end; i++)
        used += tw_utf8_put(next_safe(&at, (size_t)(end - at)), clean + used);
    clean[used] = '\0';
    return tw_guide_say(g, "%s%s", clean, more || at < end ? ELLIPSIS : "");
}

const char *tw_guide_name(tw_guide *g, const char *text) {
    if (text == NULL)
        return "";
    /* More is never looked at: one field of a table may hold megabytes. */
    size_t length = strnlen(text, 4 * NAME_MOST + 4);
    return made_safe(g, text, length, false);
}

const char *tw_guide_short(tw_guide *g, const char *text) {
    if (text == NULL)
        return "";
    size_t length = strlen(text), head = 0, tail = length;
    for (int i = 0; i < SHORT_HEAD && head < length; i++)
        head += character_bytes(text + head);
    for (int i = 0; i < SHORT_TAIL && tail > 0; i++)
        tail -= character_bytes_before(text, tail);
    if (length <= head || tail <= head)
        return made_safe(g, text, length, false);
    return tw_guide_say(g, "%s%s", made_safe(g, text, head, true),
                        made_safe(g, text + tail, length - tail, false));
}

const char *tw_guide_numbers(tw_guide *g, const int *numbers, size_t count) {
    tw_buffer out;
    tw_buffer_start(&out, tw_arena_allocator(g->arena));
    for (size_t i = 0, end; i < count; i = end) {
        for (end = i + 1; end < count && numbers[end] == numbers[end - 1] + 1;)
            end++;
        tw_buffer_print(&out, i == 0 ? "%d" : ", %d", numbers[i]);
        if (end - i == 2)
            tw_buffer_print(&out, ", %d", numbers[end - 1]);
        else if (end - i > 2)
            tw_buffer_print(&out, " to %d", numbers[end - 1]);
    }
    if (out.failed)
        tw_guide_check(g, tw_no_memory(g->error));
    const char *text = tw_guide_say(g, "%s", out.bytes == NULL ? "" : out.bytes);
    tw_buffer_free(&out);
    return text;
}

const char *tw_guide_pile(tw_guide *g, const tw_print *print) {
    if (print->order != NULL)
        return tw_guide_short(g, print->order);
    return print->filler ? "fillers" : "prints";
}

/* ------------------------------------------------ measures */

const char *tw_guide_inches(tw_guide *g, tw_nm value) {
    char text[TW_LENGTH_TEXT];
    (void)tw_length_both(value, text);
    char *unit = strstr(text, " in");
    if (unit != NULL)
        *unit = '\0';
    return tw_guide_say(g, "%s", text);
}

const char *tw_guide_mm(tw_guide *g, tw_nm value) {
    char text[TW_LENGTH_TEXT];
    (void)tw_mm_rounded(value, 2, text);
    size_t length = strlen(text);
    if (strchr(text, '.') != NULL) {
        while (text[length - 1] == '0')
            text[--length] = '\0';
        if (text[length - 1] == '.')
            text[length - 1] = '\0';
    }
    return tw_guide_say(g, "%s", text);
}

const char *tw_guide_size_text(tw_guide *g, tw_size size) {
    return tw_guide_say(g, "%s x %s in (%s x %s mm)", tw_guide_inches(g, size.width),
                        tw_guide_inches(g, size.height), tw_guide_mm(g, size.width),
                        tw_guide_mm(g, size.height));
}

const char *tw_guide_both(tw_guide *g, tw_nm value) {
    return tw_guide_say(g, "%s in (%s mm)", tw_guide_inches(g, value), tw_guide_mm(g, value));
}

const char *tw_guide_feet(tw_guide *g, tw_nm value) {
    char inches[TW_LENGTH_TEXT];
    /* Whole 1/2 in first, so that "12 in" never stands beside feet. */
    tw_nm halves = (value + TW_IN / 4) / (TW_IN / 2);
    tw_nm cm = (value + TW_CM / 2) / TW_CM;
    (void)tw_inch_ruler(halves % 24 * (TW_IN / 2), inches);
    return tw_guide_say(g, "%lld ft %s (%lld.%02lld m)", (long long)(halves / 24), inches,
                        (long long)(cm / 100), (long long)(cm % 100));
}

const char *tw_guide_stop(tw_guide *g, tw_nm value) {
    char inches[TW_LENGTH_TEXT], mm[TW_LENGTH_TEXT];
    (void)tw_inch_ruler(value, inches);
    (void)tw_mm_rounded(value, 1, mm);
    tw_nm shown = (value + RULER / 2) / RULER * RULER;
    tw_nm off = shown > value ? shown - value : value - shown;
    if (off > RULER_OFF_MOST)
        return tw_guide_say(g, "%s mm\nnear %s", mm, inches);
    return tw_guide_say(g, "%s\n%s mm", inches, mm);
}

/* ------------------------------------------------ papers */

const tw_paper *tw_guide_paper(const tw_guide *g, size_t paper_index) {
    return &g->plan->job->papers[paper_index];
}

int tw_guide_count(const tw_guide *g, size_t paper_index) {
    int count = 0;
    for (size_t i = 0; i < g->plan->sheet_count; i++)
        count += g->plan->sheets[i].paper_index == paper_index;
    return count;
}
