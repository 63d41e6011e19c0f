/*
 * Buffered positional reading (see source.h). pread leaves the descriptor's own place alone, so
 * that several readers may share one.
 */
#include "image/source.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

enum { FIRST_FILL = 64, SHORT_JUMP = 256 << 10, AHEAD = 4 << 20 };

void tw_source_start(tw_source *source, int descriptor, int64_t size, unsigned char *window,
                     size_t room) {
    *source = (tw_source){.descriptor = descriptor, .size = size, .window = window, .room = room};
    source->next_fill = FIRST_FILL;
}

int64_t tw_source_left(const tw_source *source) {
    return source->at < source->size ? source->size - source->at : 0;
}

/* Walking a PNG's chunks hops over a few kilobytes each time; the kernel takes that for random
 * reading and a cold disk would wait for every hop. So say what is coming. */
static void advise(tw_source *source) {
    int64_t jump = source->at - source->window_at - (int64_t)source->window_length;
    if (jump < 0 || jump > SHORT_JUMP || source->at + SHORT_JUMP < source->advised_to)
        return;
    (void)posix_fadvise(source->descriptor, (off_t)source->at, AHEAD, POSIX_FADV_WILLNEED);
    source->advised_to = source->at + AHEAD;
}

static size_t fill_size(tw_source *source) {
    bool straight_on = source->at == source->window_at + (int64_t)source->window_length;
    source->next_fill = straight_on ? source->next_fill * 2 : FIRST_FILL;
    if (source->next_fill > source->room)
        source->next_fill = source->room;
    int64_t left = tw_source_left(source);
    return left < (int64_t)source->next_fill ? (size_t)left : source->next_fill;
}

static tw_code fill(tw_source *source, tw_error *error) {
    if (source->at < 0 || tw_source_left(source) == 0)
        return tw_fail(error, TW_DAMAGED, "image-damaged", "the file ends at byte %lld, too early",
                       (long long)source->size);
    advise(source);
    size_t want = fill_size(source);
    ssize_t got;
    do
        got = pread(source->descriptor, source->window, want, (off_t)source->at);
    while (got < 0 && errno == EINTR);
    if (got < 0)
        return tw_fail(error, TW_IO, "read-failed", "cannot read at byte %lld: %s",
                       (long long)source->at, strerror(errno));
    if (got == 0)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "the file became shorter while it was read: nothing at byte %lld of %lld",
                       (long long)source->at, (long long)source->size);
    source->window_at = source->at;
    source->window_length = (size_t)got;
    return TW_OK;
}

tw_code tw_source_take(tw_source *source, size_t most, const unsigned char **bytes, size_t *got,
                       tw_error *error) {
    int64_t offset = source->at - source->window_at;
    if (offset < 0 || offset >= (int64_t)source->window_length) {
        tw_code code = fill(source, error);
        if (code != TW_OK)
            return code;
        offset = 0;
    }
    size_t have = source->window_length - (size_t)offset;
    *bytes = source->window + offset;
    *got = have < most ? have : most;
    source->at += (int64_t)*got;
    return TW_OK;
}

tw_code tw_source_read(tw_source *source, void *bytes, size_t length, tw_error *error) {
    unsigned char *to = bytes;
    while (length > 0) {
        const unsigned char *from;
        size_t got;
        tw_code code = tw_source_take(source, length, &from, &got, error);
        if (code != TW_OK)
            return code;
        memcpy(to, from, got);
        to += got;
        length -= got;
    }
    return TW_OK;
}

uint32_t tw_big32(const unsigned char *bytes) {
    return (uint32_t)bytes[0] << 24 | (uint32_t)bytes[1] << 16 | (uint32_t)bytes[2] << 8 | bytes[3];
}

uint32_t tw_big16(const unsigned char *bytes) {
    return (uint32_t)bytes[0] << 8 | bytes[1];
}

void tw_put_big16(unsigned char *bytes, unsigned value) {
    bytes[0] = (unsigned char)(value >> 8);
    bytes[1] = (unsigned char)value;
}

void tw_put_big32(unsigned char *bytes, uint32_t value) {
    tw_put_big16(bytes, value >> 16);
    tw_put_big16(bytes + 2, value & 0xFFFF);
}
