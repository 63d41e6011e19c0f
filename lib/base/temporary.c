#define _GNU_SOURCE /* NOLINT: mkostemp is POSIX's since 2024 only */
#include "base/temporary.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/file.h"

static tw_code failed(const char *what, tw_error *error) {
    (void)tw_fail(error, TW_IO, "temporary-file", "cannot %s a temporary file: %s", what,
                  strerror(errno));
    tw_fail_hint(error, "make room, or set TMPDIR to a folder with room");
    return TW_IO;
}

tw_code tw_temporary_open(int *descriptor, tw_error *error) {
    const char *folder = getenv("TMPDIR");
    char path[4096];
    *descriptor = -1;
    if (folder == NULL || folder[0] == '\0')
        folder = "/tmp";
    int length = snprintf(path, sizeof path, "%s/trimwell-XXXXXX", folder);
    if (length < 0 || (size_t)length >= sizeof path)
        return tw_fail(error, TW_IO, "temporary-file", "the path in TMPDIR is too long");
    *descriptor = mkostemp(path, O_CLOEXEC);
    if (*descriptor < 0)
        return failed("make", error);
    (void)unlink(path);
    return TW_OK;
}

tw_code tw_temporary_put(int descriptor, const unsigned char *bytes, size_t length, int64_t at,
                         tw_error *error) {
    while (length > 0) {
        ssize_t done = pwrite(descriptor, bytes, length, (off_t)at);
        if (done < 0 && errno == EINTR)
            continue;
        if (done <= 0)
            return failed("write", error);
        bytes += done;
        at += done;
        length -= (size_t)done;
    }
    return TW_OK;
}

tw_code tw_temporary_get(int descriptor, unsigned char *bytes, size_t length, int64_t at,
                         tw_error *error) {
    return tw_file_get(descriptor, bytes, length, at) ? TW_OK : failed("read", error);
}

void tw_temporary_close(int *descriptor) {
    if (*descriptor >= 0)
        (void)close(*descriptor);
    *descriptor = -1;
}
