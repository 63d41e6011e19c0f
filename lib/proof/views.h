/*
 * Images as the last proof in a folder saw them, kept there in one file: the next proof need not
 * decode those that stand as they did. A view is of the whole image, so it holds for any crop,
 * size, paper and intent.
 *
 * The file is one record after another, each for itself: a key (what the view was made of), the
 * check sum of the record (CRC-32 as zlib has it) and the pixels. A view is used where its key is,
 * byte by byte, the one that would be written now. It is there to save time alone: whatever is
 * wrong with it, it is as if it were not there.
 */
#ifndef TW_PROOF_VIEWS_H
#define TW_PROOF_VIEWS_H

#include "proof/proof.h"

#define TW_VIEWS_FILE ".trimwell-views"

typedef struct tw_kept_view tw_kept_view;

typedef struct tw_proof_views {
    const tw_allocator *allocator;
    int descriptor;      /* of the file; -1: there is none */
    tw_kept_view *items; /* by key; their pixels are left on the disk */
    size_t count;
    int64_t now;          /* seconds, on the clock of the files' stamps */
    size_t images, again; /* told by threads.c: proofed; of them taken from here */
} tw_proof_views;

/* What is kept in `folder`. `now`: before any image's pixels are read. Close it at any rate. */
void tw_proof_views_open(tw_proof_views *views, const tw_allocator *allocator, const char *folder,
                         int64_t now);
void tw_proof_views_close(tw_proof_views *views);

/* Fill view->pixels, all else of which is set; false: not kept, and nothing is said of them. For
 * any thread. */
bool tw_proof_views_take(const tw_proof_views *views, const tw_proof_view *view);
/* The view as a record; nothing where it must not be kept. */
void tw_proof_views_pack(const tw_proof_views *views, const tw_proof_view *view, tw_buffer *out);
/* A line for the report, where any was taken. */
void tw_proof_views_text(const tw_proof_views *views, tw_buffer *out);

#endif
