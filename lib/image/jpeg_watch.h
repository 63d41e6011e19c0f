/*
 * Watching a JPEG's bytes go by: its marker structure from SOI to EOI (ITU-T T.81 Annex B) is
 * held to without decoding anything. Used when a file's end is in doubt, and while the bytes
 * stream into a sheet.
 */
#ifndef TW_IMAGE_JPEG_WATCH_H
#define TW_IMAGE_JPEG_WATCH_H

#include "base/error.h"

typedef struct tw_jpeg_watch {
    int state;
    int64_t at; /* place of the next byte in the file */
    unsigned marker;
    int64_t marker_at;
    uint32_t left;          /* bytes of the segment still to come */
    unsigned char head[16]; /* the segment's first bytes */
    size_t head_length;
    bool has_frame, has_scan, ended;
    bool stops; /* set by the caller: at each scan's first byte, and where its data ends */
    uint32_t width, height; /* of the frame, once seen */
    uint32_t restart_interval;
    unsigned next_restart; /* 0..7 */
} tw_jpeg_watch;

/* A zeroed struct starts at SOI. Looks at `length` bytes; *used of them belong to the image: all,
 * or up to EOI (then `ended`), or up to where it stops. Breaches are TW_DAMAGED with the byte's
 * place. */
TW_USE_RESULT tw_code tw_jpeg_watch_bytes(tw_jpeg_watch *watch, const unsigned char *bytes,
                                          size_t length, size_t *used, tw_error *error);
/* The file has no more bytes: TW_DAMAGED when the image has not ended. */
TW_USE_RESULT tw_code tw_jpeg_watch_end(const tw_jpeg_watch *watch, tw_error *error);

/* The next byte is of a scan's data; `marker_at` and `head` are its header's. */
bool tw_jpeg_watch_in_data(const tw_jpeg_watch *watch);
/* Back to `marker_at`, which is looked at next. */
void tw_jpeg_watch_back(tw_jpeg_watch *watch);

/* How far the bytes seen so far are whole: up to where they end, but to the start of a segment that
 * they end in, or that broke a rule. A JPEG that is cut there can be told to end. */
int64_t tw_jpeg_watch_whole(const tw_jpeg_watch *watch, tw_code seen);

/* SOF0, 1 and 2: Huffman coded, sequential or progressive. */
bool tw_jpeg_is_frame(unsigned marker);
/* SOF9 and 10: the same, arithmetic coded. */
bool tw_jpeg_is_arithmetic(unsigned marker);

#endif
