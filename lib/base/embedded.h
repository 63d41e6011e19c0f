/* Files built into the library by fonts-free/embed.c. */
#ifndef TW_BASE_EMBEDDED_H
#define TW_BASE_EMBEDDED_H

#include <stddef.h>

struct tw_embedded {
    const char *name;
    const unsigned char *bytes; /* a NUL follows */
    size_t length;
};

extern const struct tw_embedded tw_face_file[];
extern const struct tw_embedded tw_shipped_files[];
/* Their names less the ending, NULL at the end. */
extern const char *const tw_face_file_names[];
extern const char *const tw_shipped_files_names[];

#endif
