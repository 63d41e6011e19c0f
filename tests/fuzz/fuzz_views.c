/*
 * Fuzz target: the file of views a proof left, taken as it is and with the parts a fuzzer does not
 * guess put right (what tells this program's records, check sums). A view is only ever taken where
 * the file holds the very record that would be written for it.
 */
#include "fuzz.h"

#include <sys/stat.h>
#include <unistd.h>
#include <zlib.h>

#include "image/source.h"
#include "proof/views.h"

enum { W = 4, H = 3, PIXELS = W * H * 3, OURS = 28, NOW = 5000 };

static char folder[] = "/tmp/trimwell-views-XXXXXX";
static char file[sizeof folder + sizeof TW_VIEWS_FILE];

static void clean(void) {
    (void)unlink(file);
    (void)rmdir(folder);
}

static void write_views(const uint8_t *bytes, size_t length) {
    if (file[0] == '\0') {
        must(mkdtemp(folder) != NULL && atexit(clean) == 0);
        snprintf(file, sizeof file, "%s/%s", folder, TW_VIEWS_FILE);
    }
    FILE *out = fopen(file, "wb");
    must(out != NULL && fwrite(bytes, 1, length, out) == length && fclose(out) == 0);
}

static void pack(const tw_proof_view *view, tw_buffer *out) {
    const tw_proof_views at = {.descriptor = -1, .now = NOW};
    tw_buffer_start(out, NULL);
    tw_proof_views_pack(&at, view, out);
    must(!out->failed && out->length > PIXELS);
}

static bool holds(const uint8_t *bytes, size_t length, const tw_buffer *record) {
    for (size_t at = 0; at + record->length <= length; at++)
        if (memcmp(bytes + at, record->bytes, record->length) == 0)
            return true;
    return false;
}

/* Into one block of exactly its size: a sanitizer sees a byte too many. */
static bool take(const tw_image *image, const uint8_t *bytes, size_t length) {
    tw_proof_views views;
    tw_proof_view view = {.image = image, .across = W, .down = H, .pixel_bytes = 3};
    view.pixels = calloc(PIXELS, 1);
    must(view.pixels != NULL);
    write_views(bytes, length);
    tw_proof_views_open(&views, NULL, folder, NOW);
    bool taken = tw_proof_views_take(&views, &view);
    if (taken) {
        tw_buffer record;
        pack(&view, &record);
        must(holds(bytes, length, &record));
        tw_buffer_free(&record);
    }
    tw_proof_views_close(&views);
    free(view.pixels);
    return taken;
}

/* Records one behind another, as far as their lengths go. */
static void mend(uint8_t *bytes, size_t length, const tw_buffer *sample) {
    size_t key = sample->length - PIXELS - 4;
    for (size_t at = 0; length - at >= key + 4;) {
        uint8_t *record = bytes + at;
        size_t pixels = tw_big32(record + key - 4), left = length - at - key - 4;
        memcpy(record, sample->bytes, OURS);
        if (pixels > left)
            return;
        uLong sum = crc32(crc32(0, record, (uInt)key), record + key + 4, (uInt)pixels);
        tw_put_big32(record + key, (uint32_t)sum);
        at += key + 4 + pixels;
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    unsigned char pixels[PIXELS] = {0};
    const tw_image image = {.state = {100, 1000, 1, 2, 3, 1001, 4},
                            .space = TW_RGB,
                            .width = W,
                            .height = H,
                            .depth = 8,
                            .orientation = 1};
    const tw_proof_view view = {
        .image = &image, .across = W, .down = H, .pixel_bytes = 3, .pixels = pixels};
    tw_buffer sample;
    uint8_t *copy = malloc(length + 1);
    must(copy != NULL);
    memcpy(copy, bytes, length);
    pack(&view, &sample);
    mend(copy, length, &sample);
    (void)take(&image, bytes, length);
    (void)take(&image, copy, length);
    must(take(&image, (const uint8_t *)sample.bytes, sample.length));
    tw_buffer_free(&sample);
    free(copy);
    return 0;
}
