/* Calling the renderers and reading the netpbm files they write (see raster.h). */
#include "raster.h"

#include <unistd.h>

const char *const renderer_names[RENDERERS] = {"poppler", "MuPDF", "Ghostscript"};

static void draw(renderer with, const char *file, int dpi, bool colour) {
    (void)unlink("page.pnm");
    if (with == POPPLER)
        shell("pdftoppm -aa no -aaVector no -singlefile -r %d %s '%s' page && mv page.%s page.pnm",
              dpi, colour ? "" : "-gray", file, colour ? "ppm" : "pgm");
    else if (with == MUPDF)
        shell("mutool draw -q -A 0 -r %d -c %s -F %s -o page.pnm '%s' 1", dpi,
              colour ? "rgb" : "gray", colour ? "ppm" : "pgm", file);
    else
        shell("gs -q -dSAFER -dNOPAUSE -dBATCH -dLastPage=1 -sDEVICE=%s -r%d "
              "-sOutputFile=page.pnm '%s'",
              colour ? "ppmraw" : "pgmraw", dpi, file);
}

/* The next number of a netpbm header; comments run from # to the line's end. */
static int header_number(const unsigned char **at) {
    while (strchr(" \t\r\n#", **at) != NULL)
        *at += **at == '#' ? strcspn((const char *)*at, "\n") : 1;
    char *end;
    long value = strtol((const char *)*at, &end, 10);
    *at = (const unsigned char *)end;
    return (int)value;
}

raster render(renderer with, const char *file, int dpi, bool colour) {
    size_t length;
    draw(with, file, dpi, colour);
    unsigned char *bytes = whole_file("page.pnm", &length);
    const unsigned char *at = bytes + 2;
    raster r = {.channels = colour ? 3 : 1};
    assert_memory_equal(bytes, colour ? "P6" : "P5", 2);
    r.width = header_number(&at);
    r.height = header_number(&at);
    assert_int_equal(header_number(&at), 255);
    at++; /* one white space ends the header */
    size_t size = (size_t)r.width * (size_t)r.height * (size_t)r.channels;
    assert_true((size_t)(bytes + length - at) >= size);
    memmove(bytes, at, size);
    r.pixels = bytes;
    return r;
}

int pixel_at(const raster *r, int x, int y, int channel) {
    if (x < 0 || y < 0 || x >= r->width || y >= r->height)
        fail_msg("%d, %d is outside the raster of %d x %d", x, y, r->width, r->height);
    return r->pixels[((size_t)y * (size_t)r->width + (size_t)x) * (size_t)r->channels +
                     (size_t)channel];
}
