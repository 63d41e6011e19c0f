/*
 * The TIFF facts reader's own state: tiff_ifd.c finds tags and their values, tiff_facts.c says what
 * they mean, tiff_check.c refuses what is not printed and finds data that is not there.
 */
#ifndef TW_IMAGE_TIFF_FACTS_H
#define TW_IMAGE_TIFF_FACTS_H

#include "image/facts.h"
#include "image/source.h"

/* TIFF 6.0 (Adobe, 1992) and its Technical Notes; BigTIFF from the libtiff project's description;
 * 34675: ICC.1:2010 Annex B.3; 50706: DNG 1.4. */
enum {
    TW_TAG_SUBFILE = 254,
    TW_TAG_WIDTH = 256,
    TW_TAG_HEIGHT = 257,
    TW_TAG_BITS = 258,
    TW_TAG_COMPRESSION = 259,
    TW_TAG_PHOTOMETRIC = 262,
    TW_TAG_FILL_ORDER = 266,
    TW_TAG_STRIPS = 273,
    TW_TAG_ORIENTATION = 274,
    TW_TAG_SAMPLES = 277,
    TW_TAG_STRIP_ROWS = 278,
    TW_TAG_STRIP_BYTES = 279,
    TW_TAG_X_RESOLUTION = 282,
    TW_TAG_Y_RESOLUTION = 283,
    TW_TAG_PLANAR = 284,
    TW_TAG_RESOLUTION_UNIT = 296,
    TW_TAG_PREDICTOR = 317,
    TW_TAG_COLOUR_MAP = 320,
    TW_TAG_TILE_WIDTH = 322,
    TW_TAG_TILE_HEIGHT = 323,
    TW_TAG_TILES = 324,
    TW_TAG_TILE_BYTES = 325,
    TW_TAG_SUBIFDS = 330,
    TW_TAG_INK_SET = 332,
    TW_TAG_EXTRA_SAMPLES = 338,
    TW_TAG_SAMPLE_FORMAT = 339,
    TW_TAG_ICC = 34675,
    TW_TAG_DNG = 50706
};

typedef struct tw_tiff_reader {
    tw_arena *arena;
    tw_image *image;
    tw_source source;
    unsigned char window[4096];
    int64_t entries_at; /* of the first directory */
    uint64_t entries;
    int64_t next_at; /* where the place of the next directory stands */
} tw_tiff_reader;

/* ------------------------------------------------ tiff_ifd.c */

/* The header and the bounds of the first directory; big, swapped and both *_at are set. */
TW_USE_RESULT tw_code tw_tiff_open(tw_tiff_reader *tiff, tw_error *error);
/* The tag's values; count 0 when it is not there. */
TW_USE_RESULT tw_code tw_tiff_find(tw_tiff_reader *tiff, unsigned tag, tw_tiff_list *out,
                                   tw_error *error);
/* A single unsigned number (the first of its values); `fallback` when the tag is not there. */
TW_USE_RESULT tw_code tw_tiff_number(tw_tiff_reader *tiff, unsigned tag, uint64_t fallback,
                                     uint64_t *out, tw_error *error);
/* A RATIONAL; 0 and 0 when it is not there or of another type. */
TW_USE_RESULT tw_code tw_tiff_ratio(tw_tiff_reader *tiff, unsigned tag, uint32_t *over,
                                    uint32_t *under, tw_error *error);
/* How many full pictures the file holds, from its chain of directories; stops at 1000. */
TW_USE_RESULT tw_code tw_tiff_pages(tw_tiff_reader *tiff, int *pages, tw_error *error);

/* ------------------------------------------------ tiff_check.c */

/* Refuses by name, with the remedy, what is read but not printed. */
TW_USE_RESULT tw_code tw_tiff_check_kind(tw_tiff_reader *tiff, tw_error *error);
/* Every strip or tile is there, whole, and of a size that memory can hold. */
TW_USE_RESULT tw_code tw_tiff_check_data(tw_tiff_reader *tiff, tw_error *error);

#endif
