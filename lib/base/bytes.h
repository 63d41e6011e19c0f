/* Amounts of bytes from text and back: "16 GiB", "500 MB". */
#ifndef TW_BASE_BYTES_H
#define TW_BASE_BYTES_H

#include "trimwell.h"

/* A number and B, kB, MB, GB, TB (thousands) or KiB, MiB, GiB, TiB (1024s; IEC 80000-13), case
 * ignored; what is not a whole byte rounds half up. TW_INPUT "bad-bytes" for anything else, for a
 * number over 10^9 and for more than 10^15 bytes. */
TW_USE_RESULT tw_code tw_bytes_read(const char *text, int64_t *out, tw_error *error);
/* "1.5 GiB", "640 KiB", "17 bytes": to a tenth, rounded half up. Returns out. */
#define TW_BYTES_TEXT 32
char *tw_bytes_text(int64_t bytes, char out[TW_BYTES_TEXT]);

#endif
