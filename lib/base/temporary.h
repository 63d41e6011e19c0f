/*
 * A temporary file without a name: gone when it is closed, whatever happens. In the folder TMPDIR
 * says, else /tmp. Failures are TW_IO "temporary-file".
 */
#ifndef TW_BASE_TEMPORARY_H
#define TW_BASE_TEMPORARY_H

#include "base/error.h"

TW_USE_RESULT tw_code tw_temporary_open(int *descriptor, tw_error *error);
/* Write or read `length` bytes at `at`, all of them. */
TW_USE_RESULT tw_code tw_temporary_put(int descriptor, const unsigned char *bytes, size_t length,
                                       int64_t at, tw_error *error);
TW_USE_RESULT tw_code tw_temporary_get(int descriptor, unsigned char *bytes, size_t length,
                                       int64_t at, tw_error *error);
void tw_temporary_close(int *descriptor); /* -1 allowed, and afterwards */

#endif
