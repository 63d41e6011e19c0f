/*
 * An image file's facts: what its structure says, found without decoding a pixel. One reader for
 * each format (png_facts.c, jpeg_facts.c, tiff_facts.c); image.c knows them apart by their first
 * bytes. Problems that leave nothing to print are returned: TW_DAMAGED, or TW_INPUT by name.
 */
#ifndef TW_IMAGE_IMAGE_H
#define TW_IMAGE_IMAGE_H

#include "base/error.h"
#include "base/file.h"
#include "image/source.h"

/* The profile taken for images that carry none, or none that can be used. */
typedef struct tw_assumed {
    const char *name;           /* as written; NULL: nothing is said */
    const unsigned char *bytes; /* NULL: sRGB, built in */
    size_t length;
    tw_place place; /* of its name in the job */
    bool refused;   /* it can be no image's profile, which is reported (colour_day.c) */
} tw_assumed;
/* The largest image that is taken. */
typedef struct tw_limits {
    int64_t pixels;  /* width times height */
    int64_t decoded; /* bytes of all its rows */
} tw_limits;

/* Facts about an image file, found without decoding pixels. */
typedef enum tw_image_format { TW_PNG, TW_JPEG, TW_TIFF } tw_image_format;
typedef enum tw_image_space { TW_GREY, TW_RGB, TW_CMYK } tw_image_space;

/* How a TIFF says packing methods, TIFF 6.0 and its Technical Note 2. */
enum {
    TW_TIFF_LZW = 5,
    TW_TIFF_JPEG = 7,
    TW_TIFF_DEFLATE = 8,
    TW_TIFF_PACKBITS = 32773,
    TW_TIFF_DEFLATE_OLD = 32946
};

/* The values of a tag, left where they lie in the file. */
typedef struct tw_tiff_list {
    unsigned type;
    uint64_t count;
    int64_t at;
} tw_tiff_list;

/* What a TIFF says beside what every image says. Strips and tiles are both blocks here. */
typedef struct tw_tiff {
    bool swapped; /* little-endian */
    bool big;     /* BigTIFF */
    bool tiled, separate, white_is_zero;
    bool multiplied;         /* alpha is associated */
    unsigned samples, extra; /* channels as stored; of them beyond the colours, alpha counted */
    unsigned compression, photometric, predictor;
    uint32_t block_width, block_height; /* pixels */
    tw_tiff_list blocks, block_bytes;   /* where they lie and how long they are */
} tw_tiff;

/* What is done to an image's pixels on their way to paper, along its stored axes. Zero: nothing,
 * and its bytes may pass through. */
typedef struct tw_treat {
    uint32_t width, height;     /* resampled to; both 0 = as they are */
    int64_t radius_x, radius_y; /* sharpening: millionths of a pixel of the result; 0 = none */
    int amount, threshold;      /* as in tw_sharpen */
    /* then cut out and made lighter or darker, for a test strip */
    uint32_t crop_x, crop_y, crop_width, crop_height; /* of the result; width 0 = all of it */
    int exposure;                                     /* twelfths of a stop, in light */
} tw_treat;

/* Rows `from` up to and without `to`, as stored. */
typedef struct tw_row_span {
    uint32_t from, to;
} tw_row_span;

/* A damaged image that is printed as far as it goes, because the person asked for that. `words`
 * come with the facts, or with the rest once it was decoded (settle/find_damage.c). */
typedef struct tw_damage {
    bool accepted;            /* facts are read past damage */
    const char *words;        /* what is wrong; NULL: nothing that is known */
    const tw_row_span *white; /* rows that are lost: ascending, apart */
    size_t white_count;
    uint32_t white_rows; /* all together */
    int passes;          /* of an interlaced or progressive one: how many it is made of; 0: all */
} tw_damage;

typedef struct tw_image {
    const char *name; /* as the order named it (first use) */
    const char *path;
    tw_image_format format;
    tw_image_space space;
    uint32_t width, height; /* as stored */
    int depth;              /* bits a channel as stored: 1 2 4 8 16 */
    bool palette, alpha, interlaced, progressive;
    bool arithmetic;      /* JPEG: its entropy coding, which a PDF cannot hold */
    bool transparent_key; /* PNG tRNS on grey or RGB; palette with tRNS sets alpha */
    bool inverted_cmyk;   /* JPEG with an Adobe marker */
    int jpeg_components;  /* 1 3 4 */
    int orientation;      /* Exif 1..8, 1 when unsaid */
    uint32_t upright_width, upright_height; /* after Exif */
    int64_t density_x, density_y;           /* pixels per metre, 0 = unsaid */
    uint32_t aspect_x, aspect_y;  /* pixels on equal lengths along the stored axes; 0 = square */
    const unsigned char *profile; /* embedded ICC, NULL = none */
    size_t profile_length;
    const char *profile_description;    /* NULL when none or unreadable */
    bool says_srgb;                     /* PNG sRGB chunk or code points */
    int64_t bytes;                      /* size of the file */
    tw_file_state state;                /* as it stood when these facts were read */
    const char *profile_problem;        /* why an embedded profile is not usable, or NULL */
    const char *profile_made;           /* of what the profile was built here; NULL: embedded */
    const char *colour_note;            /* what the file says twice or wrongly of its colours */
    const unsigned char *palette_bytes; /* PNG colour type 3: palette_size times red, green, blue */
    int palette_size;                   /* also set where a PLTE only suggests colours */
    int64_t data_at,
        data_bytes; /* PNG: the first IDAT chunk; the payload of them all. TIFF: its only block */
    int pages;      /* TIFF: pictures in the file; the first is printed */
    tw_tiff tiff;   /* of a TIFF */
    const tw_assumed *assumed;   /* the job's, where it has no usable profile (colour_day.c) */
    const unsigned char *source; /* what it is converted from (colour_day.c); NULL: it is not */
    size_t source_length;
    int colour_transform; /* JPEG: 1 YCbCr or YCCK, 0 RGB or CMYK as stored, -1 grey */
    tw_treat treat;       /* set by prints/treat.c: no fact of the file */
    tw_damage damage;
} tw_image;

/* The facts of one image file, from its structure alone: kind by its first bytes, never by its
 * name. Damage that structure shows is TW_DAMAGED; an unknown kind TW_INPUT by name. */
TW_USE_RESULT tw_code tw_image_read(tw_arena *arena, const char *path, tw_image *out,
                                    tw_error *error);
/* The same, but damage among the pixels or behind them is kept in out->damage and the facts stand:
 * how much is intact is found by decoding. Damage before the pixels stays TW_DAMAGED. */
TW_USE_RESULT tw_code tw_image_read_damaged(tw_arena *arena, const char *path, tw_image *out,
                                            tw_error *error);
/* Bytes of all its rows as decoded: transparency counted, less than 8 bits as 8. */
int64_t tw_image_decoded_bytes(const tw_image *image);
/* TW_INPUT "image-size" when the image is larger than the job's limits: asked before anything of
 * it is decoded. */
TW_USE_RESULT tw_code tw_image_within(const tw_image *image, const tw_limits *limits,
                                      tw_error *error);
/* One format each; `descriptor` is open at any place, `size` is the file's. */
TW_USE_RESULT tw_code tw_png_read(tw_arena *arena, int descriptor, int64_t size, tw_image *out,
                                  tw_error *error);
TW_USE_RESULT tw_code tw_jpeg_read(tw_arena *arena, int descriptor, int64_t size, tw_image *out,
                                   tw_error *error);
TW_USE_RESULT tw_code tw_tiff_read(tw_arena *arena, int descriptor, int64_t size, tw_image *out,
                                   tw_error *error);
/* One of a TIFF tag's values, read from its file; TW_DAMAGED when there are not so many. */
TW_USE_RESULT tw_code tw_tiff_value(tw_source *source, const tw_tiff *tiff,
                                    const tw_tiff_list *list, uint64_t index, uint64_t *out,
                                    tw_error *error);
bool tw_tiff_is_deflate(const tw_tiff *tiff);
/* What is printed of a damaged image, in a phrase: "rows 30 to 59 of 0 to 59 are white (50.0 %)",
 * or that it is coarser. Returns `out`. */
#define TW_DAMAGE_TEXT 160
char *tw_damage_text(const tw_image *image, char out[TW_DAMAGE_TEXT]);
/* White rows of all, thousandths, half up. */
int tw_damage_share(const tw_image *image);
/* Are the pixels made anew: resampled, sharpened, white in part, cut out or exposed anew? */
bool tw_image_is_treated(const tw_image *image);
/* Pixels along its stored axes once treated. */
void tw_image_treated_size(const tw_image *image, uint32_t *width, uint32_t *height);
/* May the file's own bytes go into a PDF as they are? (pass_through.c says why not) */
bool tw_image_passes(const tw_image *image);
/* Pixels per metre of a TIFF or Exif resolution (unit 2: inch, 3: centimetre), rounded half up; 0
 * when it says none. */
int64_t tw_per_metre(uint32_t over, uint32_t under, uint64_t unit);
/* Orientation and resolution from an Exif block (TIFF header on). Leaves *out alone when the
 * block says nothing usable. */
void tw_exif_read(const unsigned char *bytes, size_t length, int *orientation, int64_t *density_x,
                  int64_t *density_y);

#endif
