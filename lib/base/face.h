/*
 * The one face built into the library (see fonts-free/): its bytes, which characters it has and
 * how wide they are. Facts only; drawing is the PDF writer's.
 */
#ifndef TW_BASE_FACE_H
#define TW_BASE_FACE_H

#include "base/length.h"

const unsigned char *tw_face_bytes(size_t *length);
bool tw_face_has(uint32_t character);
/* Width of UTF-8 text set at `size` (nm of the em); a character the face lacks counts as the box
 * that stands for it (U+25A1). */
tw_nm tw_face_width(const char *text, tw_nm size);

/* The same of any TrueType file in memory; of one that is damaged the answers are false and 0, or
 * at worst wrong, and nothing past its end is read. */
bool tw_font_has(const unsigned char *bytes, size_t length, uint32_t character);
tw_nm tw_font_width(const unsigned char *bytes, size_t length, const char *text, tw_nm size);

#endif
