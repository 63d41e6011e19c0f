/*
 * The marker structure of a JPEG as its bytes go by (see jpeg_watch.h). ITU-T T.81: B.1.1 for
 * markers and fill bytes, B.1.1.5 for entropy-coded segments (FF is followed by 00, or by a
 * restart marker that counts 0..7 round), B.2.1 for the order of segments.
 */
#include "image/jpeg_watch.h"

#include <string.h>

enum { SOI = 0xD8, EOI = 0xD9, SOS = 0xDA, DRI = 0xDD, RST0 = 0xD0, RST7 = 0xD7 };
/* In the order a file goes through them. */
enum {
    AT_START,
    AT_SOI,
    AT_MARKER,
    AT_CODE,
    AT_LENGTH,
    AT_LENGTH_LOW,
    IN_SEGMENT,
    IN_SCAN,
    IN_SCAN_FF
};

bool tw_jpeg_is_frame(unsigned marker) {
    return marker >= 0xC0 && marker <= 0xC2;
}

bool tw_jpeg_is_arithmetic(unsigned marker) {
    return marker == 0xC9 || marker == 0xCA;
}

static tw_code damaged(tw_error *error, int64_t at, const char *words) {
    return tw_fail(error, TW_DAMAGED, "image-damaged", "the JPEG is damaged at byte %lld: %s",
                   (long long)at, words);
}

static uint32_t head16(const tw_jpeg_watch *watch, size_t at) {
    return (uint32_t)watch->head[at] << 8 | watch->head[at + 1];
}

static tw_code end_frame(tw_jpeg_watch *watch, tw_error *error) {
    if (watch->has_frame)
        return damaged(error, watch->marker_at, "a second frame begins");
    if (watch->head_length < 6)
        return damaged(error, watch->marker_at, "the frame header is too short");
    watch->has_frame = true;
    watch->height = head16(watch, 1);
    watch->width = head16(watch, 3);
    return TW_OK;
}

/* All of a segment went by. */
static tw_code end_segment(tw_jpeg_watch *watch, tw_error *error) {
    watch->state = AT_MARKER;
    if (tw_jpeg_is_frame(watch->marker) || tw_jpeg_is_arithmetic(watch->marker))
        return end_frame(watch, error);
    if (watch->marker == DRI) {
        if (watch->head_length != 2)
            return damaged(error, watch->marker_at, "the restart interval has a wrong length");
        watch->restart_interval = head16(watch, 0);
    }
    if (watch->marker == SOS) {
        if (!watch->has_frame)
            return damaged(error, watch->marker_at, "a scan begins before the frame header");
        watch->has_scan = true;
        watch->next_restart = 0;
        watch->state = IN_SCAN;
    }
    return TW_OK;
}

/* A marker's second byte outside entropy-coded data. */
static tw_code begin_marker(tw_jpeg_watch *watch, unsigned code, tw_error *error) {
    watch->marker = code;
    watch->marker_at = watch->at - 1;
    watch->head_length = 0;
    watch->state = AT_LENGTH;
    if (code == EOI) {
        watch->ended = true;
        return watch->has_scan ? TW_OK
                               : damaged(error, watch->marker_at, "it ends without image data");
    }
    if (code < 0xC0 || (code >= RST0 && code <= SOI))
        return damaged(error, watch->marker_at, "a marker stands where none may be");
    bool other_frame = code >= 0xC3 && code <= 0xCF && code != 0xC4 && code != 0xC8 &&
                       code != 0xCC && !tw_jpeg_is_arithmetic(code);
    if (other_frame)
        return damaged(error, watch->marker_at, "a part of an unexpected kind begins");
    return TW_OK;
}

static tw_code scan_marker(tw_jpeg_watch *watch, unsigned code, tw_error *error) {
    watch->state = IN_SCAN;
    if (code == 0x00)
        return TW_OK;
    if (code < RST0 || code > RST7)
        return begin_marker(watch, code, error);
    if (watch->restart_interval == 0 || code - RST0 != watch->next_restart)
        return damaged(error, watch->at - 1, "a restart marker is missing or out of turn");
    watch->next_restart = (watch->next_restart + 1) % 8;
    return TW_OK;
}

static tw_code step(tw_jpeg_watch *watch, unsigned byte, tw_error *error) {
    switch (watch->state) {
    case AT_START:
    case AT_SOI:
        if (byte != (watch->state == AT_START ? 0xFFu : (unsigned)SOI))
            return damaged(error, watch->at, "it does not begin as a JPEG");
        watch->state++;
        return TW_OK;
    case AT_MARKER:
        if (byte != 0xFF)
            return damaged(error, watch->at, "a marker is wanted there");
        watch->state = AT_CODE;
        return TW_OK;
    case AT_CODE:
        return byte == 0xFF ? TW_OK : begin_marker(watch, byte, error); /* FF: a fill byte */
    case AT_LENGTH:
        watch->left = byte << 8;
        watch->state = AT_LENGTH_LOW;
        return TW_OK;
    case AT_LENGTH_LOW:
        watch->left |= byte;
        if (watch->left < 2)
            return damaged(error, watch->at - 1, "a segment's length is under 2");
        watch->left -= 2;
        watch->state = IN_SEGMENT;
        return watch->left == 0 ? end_segment(watch, error) : TW_OK;
    default:
        return byte == 0xFF ? TW_OK : scan_marker(watch, byte, error);
    }
}

/* The long stretches, taken at once: returns how many bytes of `length` went by. */
static size_t stride(tw_jpeg_watch *watch, const unsigned char *bytes, size_t length) {
    if (watch->state == IN_SEGMENT) {
        size_t count = watch->left < length ? watch->left : length;
        size_t room = sizeof watch->head - watch->head_length;
        size_t keep = count < room ? count : room;
        memcpy(watch->head + watch->head_length, bytes, keep);
        watch->head_length += keep;
        watch->left -= (uint32_t)count;
        return count;
    }
    const unsigned char *found = memchr(bytes, 0xFF, length);
    if (found == NULL)
        return length;
    watch->state = IN_SCAN_FF;
    return (size_t)(found - bytes) + 1;
}

bool tw_jpeg_watch_in_data(const tw_jpeg_watch *watch) {
    return watch->state == IN_SCAN || watch->state == IN_SCAN_FF;
}

void tw_jpeg_watch_back(tw_jpeg_watch *watch) {
    watch->at = watch->marker_at;
    watch->state = AT_MARKER;
    watch->ended = false;
}

tw_code tw_jpeg_watch_bytes(tw_jpeg_watch *watch, const unsigned char *bytes, size_t length,
                            size_t *used, tw_error *error) {
    tw_code code = TW_OK;
    size_t i = 0;
    bool data = tw_jpeg_watch_in_data(watch);
    while (code == TW_OK && i < length && !watch->ended) {
        if (watch->stops && data != tw_jpeg_watch_in_data(watch))
            break;
        if (watch->state == IN_SEGMENT || watch->state == IN_SCAN) {
            size_t count = stride(watch, bytes + i, length - i);
            i += count;
            watch->at += (int64_t)count;
            if (watch->state == IN_SEGMENT && watch->left == 0)
                code = end_segment(watch, error);
        } else {
            code = step(watch, bytes[i], error);
            i++;
            watch->at++;
        }
    }
    *used = i;
    return code;
}

tw_code tw_jpeg_watch_end(const tw_jpeg_watch *watch, tw_error *error) {
    if (watch->ended)
        return TW_OK;
    return tw_fail(error, TW_DAMAGED, "image-damaged",
                   "the JPEG is cut short: it ends at byte %lld without its end marker",
                   (long long)watch->at);
}

int64_t tw_jpeg_watch_whole(const tw_jpeg_watch *watch, tw_code seen) {
    int64_t back = seen == TW_OK ? 1 : 2; /* a marker's first byte, or both */
    switch (watch->state) {
    case AT_MARKER:
    case IN_SCAN:
        return seen == TW_OK ? watch->at : watch->at - back;
    case AT_CODE:
    case IN_SCAN_FF:
        return watch->at - back;
    default:
        return watch->marker_at;
    }
}
