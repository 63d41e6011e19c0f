/*
 * How to part a piece of paper so that few cuts free its prints. Across the roll first; along it
 * first only where that takes fewer cuts and the cut is no longer than the roll is wide (nobody
 * wants a five-foot lengthwise cut). Neighbours that are all cut at the same places the other way
 * stay together for those cuts: three prints side by side over one strip of waste lose it in one
 * cut, not in three.
 *
 * It looks a few cuts ahead and counts; deeper it takes what comes first.
 */
#include "layout/cuts.h"

#include <string.h>

enum { BOTH_WAYS_TO = 3, STAGES_MOST = 3 }; /* the depth to which both axes are tried */

static int next_stage(int stage, tw_along axis) {
    int now = stage == 0 ? 1 : stage;
    return now + ((now % 2 == 1) != (axis == TW_ACROSS));
}

static size_t with_prints(const tw_lines *lines) {
    size_t parts = 0;
    for (size_t k = 0; k <= lines->count; k++)
        parts += lines->first[k + 1] > lines->first[k];
    return parts;
}

int tw_cuts_stage(const tw_hand *hand, const tw_lines *lines, tw_along axis) {
    return with_prints(lines) > 1 ? next_stage(hand->stage, axis) : hand->stage;
}

static bool is_whole(const tw_hand *hand) {
    const tw_trim *t = &hand->trims[0];
    return hand->count == 1 && memcmp(t->low, hand->low, sizeof t->low) == 0 &&
           memcmp(t->high, hand->high, sizeof t->high) == 0;
}

/* More than any count of cuts: a way that passes the stages. */
static const size_t NO_WAY = (size_t)1 << 40;

/* The k-th part of a piece cut at these lines. */
static tw_hand part_of(const tw_hand *hand, const tw_lines *lines, tw_along axis, size_t k) {
    tw_hand part = *hand;
    part.stage = tw_cuts_stage(hand, lines, axis);
    part.trims = hand->trims + lines->first[k];
    part.count = lines->first[k + 1] - lines->first[k];
    if (k > 0)
        part.low[axis] = lines->at[k - 1];
    if (k < lines->count)
        part.high[axis] = lines->at[k];
    return part;
}

static bool same_lines(const tw_lines *a, const tw_lines *b) {
    return a->count == b->count && memcmp(a->at, b->at, a->count * sizeof *a->at) == 0;
}

/* `parts` neighbours share the lines `shared` the other way: are fewer cuts needed when those are
 * made first? One by one: a cut between each two, and the lines in each. Together: the lines once,
 * and the cuts between in each band that holds prints. */
static bool together(const tw_cuts_scratch *s, const tw_hand *part, const tw_lines *shared,
                     size_t parts, tw_along axis) {
    tw_along other = axis == TW_ALONG ? TW_ACROSS : TW_ALONG;
    size_t bands = with_prints(shared);
    if (s->staged && next_stage(tw_cuts_stage(part, shared, other), axis) > STAGES_MOST)
        return false;
    size_t singly = (parts - 1) + parts * shared->count;
    size_t jointly = shared->count + (parts - 1) * bands;
    return jointly < singly || (jointly == singly && axis == TW_ALONG);
}

static void drop_lines(tw_lines *lines, size_t from, size_t count) {
    size_t rest = lines->count - from - count;
    memmove(&lines->at[from], &lines->at[from + count], rest * sizeof *lines->at);
    memmove(&lines->first[from + 1], &lines->first[from + 1 + count],
            (rest + 1) * sizeof *lines->first);
    lines->count -= count;
}

/* Leave out the lines inside groups that stay together; at least one line is left. */
static void group(tw_cuts_scratch *s, const tw_hand *hand, tw_along axis, tw_lines *lines) {
    tw_along other = axis == TW_ALONG ? TW_ACROSS : TW_ALONG;
    for (size_t k = 0; k < lines->count; k++) {
        tw_hand first = part_of(hand, lines, axis, k);
        size_t end = k + 1;
        if (first.count == 0)
            continue;
        tw_cuts_lines(&first, other, s->narrowest, &s->shared);
        while (s->shared.count > 0 && end <= lines->count) {
            tw_hand next = part_of(hand, lines, axis, end);
            if (next.count == 0)
                break;
            tw_cuts_lines(&next, other, s->narrowest, &s->next);
            if (!same_lines(&s->shared, &s->next))
                break;
            end++;
        }
        size_t inside = end - k - 1;
        if (inside > 0 && inside < lines->count && together(s, &first, &s->shared, end - k, axis))
            drop_lines(lines, k, inside);
    }
}

static void lines_of(tw_cuts_scratch *s, tw_hand *hand, tw_along axis, tw_lines *lines) {
    tw_cuts_lines(hand, axis, s->narrowest, lines);
    if (lines->count > 1)
        group(s, hand, axis, lines);
}

static size_t count_parts(tw_cuts_scratch *s, tw_hand *hand, tw_along axis, int depth);

/* About how many cuts free the prints of this piece. */
static size_t count_cuts(tw_cuts_scratch *s, tw_hand *hand, int depth) {
    if (hand->count == 0 || is_whole(hand))
        return 0;
    if (depth == TW_CUTS_DEPTH)
        return hand->count;
    size_t across = count_parts(s, hand, TW_ACROSS, depth);
    bool both = depth < BOTH_WAYS_TO || across == SIZE_MAX;
    size_t along = both && (across == SIZE_MAX ||
                            hand->high[TW_ACROSS] - hand->low[TW_ACROSS] <= s->longest_along)
                       ? count_parts(s, hand, TW_ALONG, depth)
                       : SIZE_MAX;
    size_t least = along < across ? along : across;
    return least == SIZE_MAX ? NO_WAY : least;
}

static size_t count_parts(tw_cuts_scratch *s, tw_hand *hand, tw_along axis, int depth) {
    tw_lines *lines = &s->level[depth];
    lines_of(s, hand, axis, lines);
    if (lines->count == 0 ||
        (s->staged && with_prints(lines) > 1 && next_stage(hand->stage, axis) > STAGES_MOST))
        return SIZE_MAX;
    size_t cuts = lines->count;
    for (size_t k = 0; k <= lines->count; k++) {
        tw_hand part = part_of(hand, lines, axis, k);
        cuts += count_cuts(s, &part, depth + 1);
    }
    return cuts;
}

/* Blank strips at the page's ends are there to carry the ticks of the cuts along the roll: those
 * cuts are made while the strips are still on, although that is more cuts. */
static bool along_under_strips(tw_cuts_scratch *s, tw_hand *hand, tw_lines *out) {
    if (s->page_end <= 0 || hand->low[TW_ACROSS] != 0 || hand->high[TW_ACROSS] != s->page_end ||
        count_parts(s, hand, TW_ALONG, 0) >= NO_WAY)
        return false;
    tw_cuts_lines(hand, TW_ALONG, s->narrowest, out);
    return out->count > 0;
}

tw_along tw_cuts_choose(tw_cuts_scratch *s, tw_hand *hand, tw_lines *out) {
    tw_along axis = TW_ACROSS;
    if (along_under_strips(s, hand, out))
        return TW_ALONG;
    if (hand->high[TW_ACROSS] - hand->low[TW_ACROSS] <= s->longest_along) {
        size_t across = count_parts(s, hand, TW_ACROSS, 0);
        size_t along = count_parts(s, hand, TW_ALONG, 0);
        bool either = along == across && along < NO_WAY;
        axis = along < across || (either && s->prefer_along) ? TW_ALONG : TW_ACROSS;
    }
    lines_of(s, hand, axis, out);
    if (out->count == 0 && axis == TW_ACROSS) {
        axis = TW_ALONG;
        lines_of(s, hand, axis, out);
    }
    return axis;
}

static tw_code take_lines(tw_arena *arena, size_t trims, tw_lines *out, tw_error *error) {
    out->at = tw_arena_array(arena, 2 * trims + 2, sizeof *out->at);
    out->first = tw_arena_array(arena, 2 * trims + 4, sizeof *out->first);
    return out->at == NULL || out->first == NULL ? tw_no_memory(error) : TW_OK;
}

tw_code tw_cuts_start(tw_arena *arena, size_t trims, tw_cuts_scratch *out, tw_error *error) {
    tw_code code = take_lines(arena, trims, &out->shared, error);
    if (code == TW_OK)
        code = take_lines(arena, trims, &out->next, error);
    for (int depth = 0; code == TW_OK && depth < TW_CUTS_DEPTH; depth++)
        code = take_lines(arena, trims, &out->level[depth], error);
    return code;
}
