/*
 * The slug: one line in the waste that says what this sheet is and how it went through the
 * printer. It takes the longest free strip, level or turned a quarter; it shrinks to fit before
 * it leaves words out, and where no waste takes it there is none.
 */
#include "sheet/draw.h"

#include "base/face.h"

#define CLEAR TW_MM
#define SIZES 4
#define WORDS 6

static tw_nm size_at(int step) {
    return TW_IN * (7 - step) / 72; /* 7 pt down to 4 pt */
}

/* Middle dots between the words that are there. `feed` ends it. */
static const char *join(tw_drawing *d, const char *const *words, size_t count, const char *feed) {
    const char *text = "";
    for (size_t i = 0; i < count && text != NULL; i++)
        if (words[i] != NULL && words[i][0] != '\0')
            text = tw_arena_print(d->arena, "%s%s \xC2\xB7 ", text, words[i]);
    return text == NULL ? NULL : tw_arena_print(d->arena, "%s%s", text, feed);
}

/* From everything to the least that still tells sheets apart. `turned`: a quarter clockwise, so
 * the arrow is one that then points to the leading edge. */
static bool make_words(tw_drawing *d, bool turned, const char *out[WORDS]) {
    const tw_job_data *job = d->plan->job;
    const char *feed = turned ? "feed \xE2\x97\x80" : "feed \xE2\x96\xB2";
    const char *sheet =
        tw_arena_print(d->arena, "sheet %d of %zu", d->sheet->number, d->plan->sheet_count);
    const char *name = job->papers[d->sheet->paper_index].name;
    const char *paper = name;
    if (d->sheet->roll > 0)
        paper = tw_arena_print(d->arena, "%s, roll %d", name, d->sheet->roll);
    else if (d->sheet->offcut > 0)
        paper = tw_arena_print(d->arena, "%s, offcut %d", name, d->sheet->offcut);
    if (sheet == NULL || paper == NULL)
        return false;
    const char *scale = "print at 100 %", *off = NULL, *off_short = NULL;
    if (job->papers[d->sheet->paper_index].converts) {
        off = "colour management off in the driver";
        off_short = "driver colour off";
    }
    const char *all[] = {job->name, job->date, paper, sheet, scale, off};
    const char *little[] = {sheet, "100 %", off_short};
    const char *least[] = {sheet, off_short};
    out[0] = join(d, all, 6, feed);
    out[1] = join(d, all + 2, 4, feed);
    out[2] = join(d, all + 3, 3, feed);
    out[3] = join(d, little, 3, feed);
    out[4] = join(d, least, 2, feed);
    out[5] = join(d, least, 1, feed);
    for (int i = 0; i < WORDS; i++)
        if (out[i] == NULL)
            return false;
    return true;
}

/* The longest strip that takes a line of each size, once for both directions. */
typedef struct strips {
    tw_rect strip[2][SIZES]; /* TW_ACROSS, TW_ALONG */
} strips;

static tw_nm thickness(tw_nm size) {
    return size * 95 / 100 + size / 4;
}

static tw_code find_strips(tw_drawing *d, strips *out) {
    for (int along = 0; along < 2; along++)
        for (int step = 0; step < SIZES; step++) {
            tw_seek seek = {.along = along == 0 ? TW_ACROSS : TW_ALONG, .clear = CLEAR};
            tw_code code = tw_room_longest(&d->room, thickness(size_at(step)), &seek,
                                           &out->strip[along][step], d->error);
            if (code != TW_OK)
                return code;
        }
    return TW_OK;
}

static tw_code draw_at(tw_drawing *d, tw_rect strip, bool turned, tw_nm size, const char *text) {
    tw_nm x = turned ? strip.x + size / 4 : strip.x;
    tw_nm y = turned ? strip.y : strip.y + size * 95 / 100;
    return tw_draw_text(d, TW_ROLE_SLUG, x, y, size, turned ? 1 : 0, text);
}

tw_code tw_draw_slug(tw_drawing *d) {
    const char *words[2][WORDS];
    strips free_strips;
    if (d->marks->place == TW_MARKS_NONE)
        return TW_OK;
    if (!make_words(d, false, words[0]) || !make_words(d, true, words[1]))
        return tw_no_memory(d->error);
    tw_code code = find_strips(d, &free_strips);
    for (int n = 0; n < WORDS * SIZES * 2 && code == TW_OK; n++) {
        int turned = n % 2, step = n / 2 % SIZES, say = n / (2 * SIZES);
        tw_rect strip = free_strips.strip[turned][step];
        tw_nm room = turned ? strip.height : strip.width;
        if (tw_face_width(words[turned][say], size_at(step)) <= room)
            return draw_at(d, strip, turned, size_at(step), words[turned][say]);
    }
    return code;
}
