/*
 * What the files of the PDF writer share:
 *
 *   document.c    start, page, finish: the document around everything
 *   content.c     a page's ops -> its content stream, in exact decimals
 *   image.c       images as streams that pull their bytes when they are written
 *   icc_stream.c  the ICC profiles, each stored once
 *   font.c        the one face: which characters were used, and the font's objects
 *   meta.c        Info, XMP, output intents, the default grey
 *   stream.c      how bytes leave: streams with our own readers, and the file
 *
 * libharu keeps the objects, their numbers and the cross-reference table. Whatever is written by
 * its float calls would be rounded, so numbers that matter are written here as text.
 */
#ifndef TW_PDF_DOCUMENT_H
#define TW_PDF_DOCUMENT_H

#include "pdf/pdf.h"
#include "pdf/truetype.h"

#include <hpdf.h>
#include <hpdf_doc.h>

/* Bytes kept back before a write: large enough that the kernel is asked seldom. */
#define TW_PDF_BUFFER ((size_t)256 << 10)
/* The kernel is told to begin writing to the disk after each of these. */
#define TW_PDF_BATCH ((uint64_t)4 << 20)
/* Batches this far back are mostly on the disk already, and their memory can be given back. */
#define TW_PDF_BEHIND (4 * TW_PDF_BATCH)

typedef struct tw_pdf_box {
    HPDF_Page page;
    char width[TW_LENGTH_TEXT], height[TW_LENGTH_TEXT]; /* points */
} tw_pdf_box;

/* A stream object whose bytes come from an image's file or from memory, when they are written. */
typedef struct tw_pdf_stream {
    struct tw_pdf *pdf;
    HPDF_Dict dict;
    const char *entries; /* dictionary entries as text; for images made when opened */
    const unsigned char *bytes;
    size_t length;
    const tw_image *image; /* NULL: bytes */
    HPDF_Dict profile;     /* of an image; NULL: device colour */
    bool converts;         /* its pixels go `way` */
    tw_colour_way way;
    tw_pixels *pixels; /* open while its bytes stream */
} tw_pdf_stream;

typedef struct tw_pdf_profile {
    const unsigned char *bytes;
    size_t length;
    HPDF_Dict dict;
} tw_pdf_profile;

typedef struct tw_pdf_font {
    HPDF_Dict dict, descendant; /* NULL until the first text */
    tw_truetype face;
    uint32_t *characters; /* by character code in the PDF, from 1; 0 is .notdef */
    size_t count, room;
    uint32_t missing; /* the first character the face lacks, 0 = none */
} tw_pdf_font;

struct tw_pdf {
    const tw_allocator *allocator;
    tw_arena *arena; /* plain data of this document */
    tw_pdf_facts facts;
    const char *path;
    HPDF_Doc doc;
    HPDF_STATUS status, detail; /* libharu's first complaint */
    tw_error failure;           /* the first failure; code TW_OK = none */
    int descriptor;
    unsigned char *buffer;
    size_t held;
    uint64_t written; /* asked for so far, what is held back included */
    uint64_t on_way;  /* of these, told to the kernel to bring to the disk */
    tw_pdf_box *boxes;
    size_t box_count, box_room;
    tw_pdf_stream **images; /* by image and intent; NULL = not used yet */
    tw_pdf_profile *profiles;
    size_t profile_count, profile_room;
    tw_pdf_font font;
    HPDF_Dict grey;   /* the profile behind DeviceGray */
    bool device_cmyk; /* an image has no profile */
    uint64_t hash[2]; /* FNV-1a, 128 bits: high, low */
};

/* ------------------------------------------------ failures (pdf.c) */

/* Keep the first failure; returns its code. libharu only carries numbers, so whoever finds the
 * cause puts it here. */
tw_code tw_pdf_keep(tw_pdf *pdf, const tw_error *failure);
/* libharu's own complaint, if there is one, becomes the failure; TW_OK when all is well. */
tw_code tw_pdf_state(tw_pdf *pdf);
tw_code tw_pdf_no_memory(tw_pdf *pdf);
/* TW_BUG when the text is not UTF-8. */
tw_code tw_pdf_valid(tw_pdf *pdf, const char *text);
/* Mix bytes into the document's identifier. */
void tw_pdf_mix(tw_pdf *pdf, const void *bytes, size_t length);
void tw_pdf_mix_number(tw_pdf *pdf, int64_t number);

/* ------------------------------------------------ streams and the file (stream.c) */

TW_USE_RESULT tw_code tw_pdf_open(tw_pdf *pdf, tw_error *error);
/* Everything to the disk: header, objects, trailer; then fsync and close. */
TW_USE_RESULT tw_code tw_pdf_write(tw_pdf *pdf);
void tw_pdf_close(tw_pdf *pdf);
/* A new stream object whose bytes are pulled at writing. NULL after a failure. */
tw_pdf_stream *tw_pdf_stream_new(tw_pdf *pdf, const char *entries);
unsigned tw_pdf_number(HPDF_Dict dict); /* its object number */
/* A new object that is a dictionary of these entries, as text in the arena. NULL: a failure. */
HPDF_Dict tw_pdf_dict(tw_pdf *pdf, char *entries);
HPDF_STATUS tw_pdf_write_text(HPDF_Dict dict, HPDF_Stream out); /* such a one's write_fn */
/* The buffer's text in the document's arena, the buffer freed. NULL after a failure. */
char *tw_pdf_keep_text(tw_pdf *pdf, tw_buffer *text);

/* ------------------------------------------------ images and profiles */

/* The image's object, made at its first use with this intent (0: its own colours). NULL after a
 * failure. */
HPDF_Dict tw_pdf_image(tw_pdf *pdf, size_t index, int intent);
#define TW_PDF_INTENTS ((size_t)TW_ABSOLUTE + 1) /* objects an image may have */
/* Called when the object is written: opens the pixels and writes the dictionary's entries. */
tw_code tw_pdf_image_entries(tw_pdf_stream *stream, HPDF_Stream out);
/* The profile object for an image: its own, or sRGB or its grey for untagged ones. *out NULL:
 * device colour (untagged CMYK). */
tw_code tw_pdf_profile_for(tw_pdf *pdf, const tw_image *image, HPDF_Dict *out);
/* The output intent's; not called without one. */
tw_code tw_pdf_intent_profile(tw_pdf *pdf, HPDF_Dict *out);
/* The paper's own, for converted images. */
tw_code tw_pdf_paper_profile(tw_pdf *pdf, HPDF_Dict *out);

/* ------------------------------------------------ text */

/* UTF-8 to UTF-16BE with its byte order mark. */
void tw_pdf_utf16(const char *text, tw_buffer *out);

/* The font's name in this page's resources. NULL after a failure. */
const char *tw_pdf_font_name(tw_pdf *pdf, HPDF_Page page);
/* UTF-8 as the hexadecimal string the font wants, without its brackets. */
void tw_pdf_encode(tw_pdf *pdf, const char *text, tw_buffer *out);
/* Fill the font's objects from what was used. */
tw_code tw_pdf_font_finish(tw_pdf *pdf);

/* ------------------------------------------------ the document's own facts (meta.c) */

/* Gives the page's resources a profile for DeviceGray. */
tw_code tw_pdf_default_grey(tw_pdf *pdf, HPDF_Page page);
/* An entry of Info. */
void tw_pdf_info(tw_pdf *pdf, const char *key, const char *text);
/* Info, output intents and XMP, once all else is known. */
tw_code tw_pdf_meta_finish(tw_pdf *pdf);

/* ------------------------------------------------ content */

/* The page's content as PDF operators. */
tw_code tw_pdf_content(tw_pdf *pdf, HPDF_Page page, const tw_page *from, tw_buffer *out);

#endif
