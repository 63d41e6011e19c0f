/* A profile as a paper's and as an image's: refused by name, or a transform that runs. */
#include "fuzz.h"

#include "colour/colour.h"

static void convert(const tw_icc from, const tw_icc to) {
    static const unsigned char pixels[] = {0, 0, 0, 0, 255, 128, 64, 32, 255, 255, 255, 255};
    const tw_colour_way way = {from, to, TW_PERCEPTUAL, true, 8};
    uint16_t samples[3 * 4];
    tw_lab lab;
    tw_error error;
    tw_colour *colour = NULL;
    if (tw_colour_open(NULL, &way, &colour, &error) != TW_OK)
        return;
    if (to.bytes == NULL)
        tw_colour_run(colour, pixels, &lab, 1);
    else
        tw_colour_run(colour, pixels, samples, 3);
    tw_colour_close(colour);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    static const tw_icc lab = {NULL, 0};
    const tw_icc icc = {bytes, length};
    tw_icc_facts facts;
    tw_error error = {0};
    tw_code code = tw_icc_check(NULL, icc, TW_ICC_SOURCE, 0, "it", &error);
    if (code == TW_OK)
        convert(icc, lab);
    else
        must_be_sound(&error, code);
    if (tw_icc_ends_read(NULL, icc, &facts, &error) == TW_OK)
        convert(icc, icc);
    return 0;
}
