/* Every bound on what comes from outside, in one place. */
#ifndef TW_BASE_LIMITS_H
#define TW_BASE_LIMITS_H

#define TW_JSON_BYTES_MOST (16u << 20)
#define TW_CSV_BYTES_MOST (64u << 20)
#define TW_CSV_ROWS_MOST 200000
#define TW_CSV_FIELDS_MOST 256
#define TW_CSV_CELLS_MOST 10000000
#define TW_JSON_DEPTH_MOST 32
#define TW_JSON_KEYS_MOST 256 /* of one object */
#define TW_JSON_VALUES_MOST 2000000
#define TW_COPIES_MOST 10000
#define TW_PRINTS_MOST 100000
#define TW_ICC_BYTES_MOST (32u << 20)
#define TW_IMAGE_SIDE_MOST 1000000u          /* pixels */
#define TW_IMAGE_PIXELS_MOST 1000000000000ll /* sides multiplied; a job's limits are far lower */
#define TW_IMAGE_PIXELS_USUAL 2000000000ll   /* 2 gigapixels, unless the job says otherwise */
#define TW_IMAGE_DECODED_USUAL (16ll << 30)  /* bytes, likewise */
#define TW_JPEG_MEMORY_MOST (2047l << 20)    /* of libjpeg, for one progressive image */
#define TW_TIFF_BLOCK_MOST (256u << 20)      /* a packed strip, or a row of tiles unpacked */
#define TW_SHEET_BYTES_MOST 2147483647ll     /* libharu keeps offsets in signed 32 bits */

#endif
