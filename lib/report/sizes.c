/*
 * What each format costs on a paper: how many lie across either way, how much of the paper's
 * width is lost, what one print alone takes and what each of a full row takes; and which formats
 * fill a row together with nothing lost. The border is the template's own: what an image of
 * another shape shows more of it may lie better, never worse.
 */
#include "report/sizes.h"

#include <string.h>

#include "base/number.h"
#include "layout/pieces.h"

enum { PAIRS_MOST = 24 };

/* A format lying one way. */
typedef struct lying {
    const tw_template *format;
    int way;
    tw_nm width, height, room; /* room: what the columns of it may take, one gap more */
    tw_nm gap, page;
    int64_t across; /* 0 = it does not fit so */
} lying;

static tw_layout_problem problem_of(const tw_paper *paper) {
    return (tw_layout_problem){
        .stock = {.roll = paper->kind == TW_ROLL,
                  .width = paper->width,
                  .length = paper->length,
                  .count = paper->count,
                  .side = paper->side,
                  .lead = paper->lead,
                  .tail = paper->tail,
                  .edge_trim = paper->edge_trim,
                  .shortest_sheet = paper->shortest_sheet,
                  .longest_sheet = paper->longest_sheet,
                  .sheet_most = 5080 * TW_MM},
        .settings = {.turn = paper->turn != TW_NO, .narrowest_strip = TW_IN / 8, .stages = 3},
    };
}

/* On the sides without border the picture bleeds, where it is not said otherwise by 1/8 in. */
static tw_piece piece_of(const tw_template *format) {
    tw_piece piece = {.width = format->size.width,
                      .height = format->size.height,
                      .may_turn = !format->lie_upright};
    for (int side = 0; side < 4; side++) {
        tw_nm border = format->border.side[side];
        tw_nm bleed = format->has_bleed ? format->bleed : border == 0 ? TW_IN / 8 : 0;
        piece.bleed.side[side] = border > 0 ? 0 : bleed;
        piece.visible.side[side] = border > 0 ? border : -bleed;
    }
    return piece;
}

/* Columns of it that lie across with what is left over nothing, or wide enough to cut off. */
static int64_t count_across(const tw_layout_problem *problem, const lying *l) {
    int64_t count = l->room / (l->width + l->gap);
    bool joins = problem->stock.width + l->gap > l->room || (count > 1 && l->gap > 0);
    while (count > 1 && !joins &&
           !tw_strip_ok(l->room - count * (l->width + l->gap), problem->settings.narrowest_strip))
        count--;
    return count;
}

static lying lie_so(const tw_layout_problem *problem, const tw_template *format, int way) {
    tw_piece piece = piece_of(format);
    tw_lie lie = tw_piece_lie(problem, &piece, way == 1);
    tw_nm start, rest;
    lying l = {.format = format, .way = way, .width = lie.width, .height = lie.height};
    if (!lie.may || (way == 1 && lie.width == lie.height))
        return l;
    l.gap = tw_gap(&problem->settings, lie.bleed.side[TW_RIGHT], lie.bleed.side[TW_LEFT]);
    l.room = problem->stock.width - lie.keep.side[TW_LEFT] - lie.keep.side[TW_RIGHT] + l.gap;
    l.across = count_across(problem, &l);
    tw_page_need need = {lie.keep.side[TW_TOP], lie.height, lie.keep.side[TW_BOTTOM], true};
    l.page = tw_page_length(problem, &need, &start, &rest);
    return l;
}

/* ---------------------------------------------------------------- the table */

static void add_money(tw_buffer *out, const tw_paper *paper, tw_nm length, int64_t prints) {
    char text[TW_LENGTH_TEXT];
    tw_nm whole = paper->kind == TW_ROLL ? paper->length : paper->length * paper->count;
    if (!paper->has_price || prints == 0 || whole == 0) {
        tw_buffer_print(out, "%12s", "-");
        return;
    }
    tw_money money = paper->price;
    money.minor = tw_scale(tw_scale(paper->price.minor, length, whole), 1, prints);
    tw_buffer_print(out, "%12s", tw_money_text(money, text));
}

static void add_line(tw_buffer *out, const tw_paper *paper, const lying *l) {
    char page[TW_LENGTH_TEXT], lost[TW_LENGTH_TEXT];
    tw_nm used = l->across * l->width;
    tw_decimal_text(tw_scale(paper->width - used, 1000, paper->width), 1, true, lost, sizeof lost);
    tw_buffer_print(out, "  %-16s%-8s%4lld  %6s %%  %-14s", l->format->name,
                    l->way == 1 ? "turned" : "", (long long)l->across, lost,
                    tw_inch_ruler(l->page, page));
    add_money(out, paper, l->page, 1);
    add_money(out, paper, l->page, l->across);
    tw_buffer_string(out, "\n");
}

static void add_format(tw_buffer *out, const tw_layout_problem *problem, const tw_paper *paper,
                       const tw_template *format) {
    bool any = false;
    if (format->by_picture) {
        tw_buffer_print(out, "  %-16sits size follows the picture\n", format->name);
        return;
    }
    for (int way = 0; way < 2; way++) {
        lying l = lie_so(problem, format, way);
        if (l.across > 0)
            add_line(out, paper, &l);
        any = any || l.across > 0;
    }
    if (!any)
        tw_buffer_print(out, "  %-16sfits this paper no way round\n", format->name);
}

/* Why a row may take more length than the print has. */
static void say_shortest(tw_buffer *out, const tw_layout_problem *problem, const tw_paper *paper,
                         const tw_template *templates, size_t count) {
    char text[TW_LENGTH_TEXT];
    bool longer = false;
    for (size_t i = 0; i < 2 * count && paper->kind == TW_ROLL && !longer; i++) {
        lying l = {0};
        if (!templates[i / 2].by_picture)
            l = lie_so(problem, &templates[i / 2], (int)(i % 2));
        longer = l.across > 0 && l.page == paper->shortest_sheet && l.height < l.page;
    }
    if (longer)
        tw_buffer_print(out, "\nno sheet of this roll may be shorter than %s\n",
                        tw_length_both(paper->shortest_sheet, text));
}

/* ---------------------------------------------------------------- rows of two formats */

/* Columns of `a`, and beside them columns of so many `b` above each other, fill the row. */
static bool add_pair(tw_buffer *out, const tw_paper *paper, const lying *a, const lying *b) {
    if (a->gap != 0 || b->gap != 0 || a->room != paper->width || b->room != paper->width ||
        a->height % b->height != 0)
        return false;
    for (int64_t n = a->across; n > 0; n--) {
        tw_nm rest = paper->width - n * a->width;
        if (rest <= 0 || rest % b->width != 0)
            continue;
        int64_t beside = rest / b->width * (a->height / b->height);
        tw_buffer_print(out, "  %lld of %s%s and %lld of %s%s\n", (long long)n, a->format->name,
                        a->way == 1 ? " turned" : "", (long long)beside, b->format->name,
                        b->way == 1 ? " turned" : "");
        return true;
    }
    return false;
}

static void add_pairs(tw_buffer *out, const tw_layout_problem *problem, const tw_paper *paper,
                      const tw_template *templates, size_t count) {
    int said = 0;
    tw_buffer_string(out, "\nrows of two formats with nothing lost:\n");
    for (size_t i = 0; i < 2 * count && said < PAIRS_MOST; i++)
        for (size_t k = 0; k < 2 * count && said < PAIRS_MOST; k++) {
            if (i / 2 == k / 2 || templates[i / 2].by_picture || templates[k / 2].by_picture)
                continue;
            lying a = lie_so(problem, &templates[i / 2], (int)(i % 2));
            lying b = lie_so(problem, &templates[k / 2], (int)(k % 2));
            bool once = a.height > b.height || (a.height == b.height && i < k);
            if (a.across > 0 && b.across > 0 && once)
                said += add_pair(out, paper, &a, &b);
        }
    if (said == 0)
        tw_buffer_string(out, "  none of these\n");
}

tw_code tw_sizes_write(const tw_paper *paper, const tw_template *templates, size_t count,
                       tw_buffer *out, tw_error *error) {
    tw_layout_problem problem = problem_of(paper);
    char width[TW_LENGTH_TEXT];
    tw_buffer_print(out, "%s: %s wide\n\n", paper->name, tw_length_both(paper->width, width));
    tw_buffer_print(out, "  %-16s%-8s%6s  %6s  %-14s%12s%12s\n", "format", "", "across", "lost",
                    "  length", "one alone", "each of a");
    tw_buffer_print(out, "  %-16s%-8s%6s  %6s  %-14s%12s%12s\n", "", "", "", "across", "", "",
                    "full row");
    for (size_t i = 0; i < count; i++)
        add_format(out, &problem, paper, &templates[i]);
    say_shortest(out, &problem, paper, templates, count);
    add_pairs(out, &problem, paper, templates, count);
    return out->failed ? tw_no_memory(error) : TW_OK;
}
