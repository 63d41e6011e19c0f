/*
 * XMP (ISO 16684-1): the packet a sheet carries, and as much of reading one as comparing needs:
 * simple properties by namespace and name, as elements or attributes, and the first text of a
 * language alternative. The XML is only looked at for being balanced UTF-8.
 */
#ifndef TW_PDF_XMP_H
#define TW_PDF_XMP_H

#include "base/text.h"

#define TW_XMP_DC "http://purl.org/dc/elements/1.1/"
#define TW_XMP_BASIC "http://ns.adobe.com/xap/1.0/"
#define TW_XMP_MEDIA "http://ns.adobe.com/xap/1.0/mm/"
#define TW_XMP_PDF "http://ns.adobe.com/pdf/1.3/"
#define TW_XMP_ARCHIVE "http://www.aiim.org/pdfa/ns/id/"
#define TW_XMP_PRINT "http://www.npes.org/pdfx/ns/id/"

/* Balanced, UTF-8, with an rdf:RDF in it. */
bool tw_xmp_valid(const char *text, size_t length);
/* The property's text with its entities decoded, into `out`; false when it is not there. `text`
 * must be NUL ended. */
bool tw_xmp_get(const char *text, const char *space, const char *name, char *out, size_t room);

/* What a packet says. */
typedef struct tw_xmp_facts {
    const char *title, *creator;
    const char *producer;   /* or NULL */
    const char *date;       /* ISO 8601, or NULL */
    const char *identifier; /* 32 hexadecimal digits */
    bool print, archive;    /* names PDF/X-4, PDF/A-2b */
} tw_xmp_facts;
void tw_xmp_write(const tw_xmp_facts *facts, tw_buffer *out);

#endif
