/* Samples out of PDFs (see pdf_pixels.h). */
#include "pdf_pixels.h"

#include "make_image.h"

/* A JPEG stays one: qpdf leaves a DCTDecode stream with parameters alone. */
pixels by_qpdf(const char *file, const char *object, bool jpeg) {
    pixels p;
    size_t row_bytes;
    uint32_t height;
    shell("qpdf --show-object=%d --%s-stream-data '%s' >pixels", atoi(object),
          jpeg ? "raw" : "filtered", file);
    if (!jpeg)
        p.bytes = whole_file("pixels", &p.length);
    else {
        p.bytes = read_jpeg_rows("pixels", &row_bytes, &height);
        p.length = row_bytes * height;
    }
    return p;
}

pixels by_mupdf(const char *file, const char *object) {
    pixels p;
    shell("mutool show -b -o pixels '%s' %d", file, atoi(object));
    p.bytes = whole_file("pixels", &p.length);
    return p;
}

void assert_pixels(const char *what, const char *tool, pixels seen, pixels wanted) {
    if (seen.length != wanted.length)
        fail_msg("%s by %s: %zu bytes, and %zu are right", what, tool, seen.length, wanted.length);
    for (size_t i = 0; i < seen.length; i++)
        if (seen.bytes[i] != wanted.bytes[i])
            fail_msg("%s by %s: byte %zu is %d, and %d is right", what, tool, i, seen.bytes[i],
                     wanted.bytes[i]);
    free(seen.bytes);
}

/* The image on a page of its own; the object it became. */
void compose_image(const char *image, pdf_page *page) {
    char order[128];
    (void)snprintf(order, sizeof order, "1,%s,small,1\n", image);
    write_day("day",
              "\"kind\": \"roll\", \"width\": \"4in\", \"length\": \"9ft\", "
              "\"margins\": {\"side\": \"0in\", \"lead\": \"0in\", \"tail\": \"0in\"}",
              "{\"name\": \"small\", \"picture\": \"1in\", \"border\": \"1/2in\"}", order, "");
    cJSON_Delete(compose("day", "out.d"));
    read_pdf_page("out.d/sheet-01.pdf", page);
    assert_int_equal(page->picture_count, 1);
}
