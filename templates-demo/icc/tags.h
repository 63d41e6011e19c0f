/* The bytes of an ICC profile as it grows: header, tag table, tags (ICC.1:2001-04 clause 6). */
#ifndef ICC_TAGS_H
#define ICC_TAGS_H

#include <stddef.h>
#include <stdint.h>

typedef struct icc_writer {
    unsigned char *bytes; /* the caller's, zeroed; room for all that is added */
    size_t length;
    size_t tags;
} icc_writer;

enum { ICC_VERSION_2 = 0x02100000, ICC_VERSION_4 = 0x04200000 };

/* Header with D50 and a made-up, fixed date; room for `most` tags in the table. */
void icc_start(icc_writer *w, uint32_t version, const char *class_name, const char *space,
               const char *pcs, size_t most);
/* A tag table entry and zeroed room for its data, which begins with its type. Returns the data. */
unsigned char *icc_add(icc_writer *w, const char *name, const char *type, size_t size);
/* Another name for the data added last. */
void icc_same(icc_writer *w, const char *name);
void icc_add_xyz(icc_writer *w, const char *name, const double xyz[3]);
/* desc and cprt in the way of the profile's version. ASCII. */
void icc_add_words(icc_writer *w, const char *description, const char *rights);
/* The length, which is also written into the header. */
size_t icc_end(icc_writer *w);

/* Big-endian, `size` bytes. */
void icc_put(unsigned char *at, uint32_t value, size_t size);

#endif
