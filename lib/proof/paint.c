/*
 * Printed colours as a screen shows them, and the gamut map. L*a*b* to XYZ after CIE 15, to sRGB
 * after IEC 61966-2-1 with its matrix adapted to D50 (Bradford), inverted.
 */
#include "colour/tone.h"
#include "proof/proof.h"

#include <math.h>

typedef struct xyz {
    double x, y, z; /* of the white of D50, each 1 */
} xyz;

static double from_root(double t) {
    return t > 6.0 / 29 ? t * t * t : 3 * (6.0 / 29) * (6.0 / 29) * (t - 4.0 / 29);
}

static xyz to_xyz(tw_lab lab) {
    double fy = (lab.l + 16) / 116;
    return (xyz){from_root(fy + lab.a / 500), from_root(fy), from_root(fy - lab.b / 200)};
}

static unsigned char encode(const tw_tone *srgb, double light) {
    const double full = (double)((int64_t)1 << TW_TONE_BITS);
    double inside = light <= 0 ? 0 : light >= 1 ? 1 : light;
    return (unsigned char)tw_tone_code(srgb, 0, (int64_t)(inside * full + 0.5));
}

static void to_srgb(const tw_tone *srgb, xyz c, unsigned char out[3]) {
    double x = c.x * 0.96422, y = c.y, z = c.z * 0.82521; /* D50 (ICC.1, 7.2.16) */
    out[0] = encode(srgb, 3.1338561 * x - 1.6168667 * y - 0.4906146 * z);
    out[1] = encode(srgb, -0.9787684 * x + 1.9161415 * y + 0.0334540 * z);
    out[2] = encode(srgb, 0.0719453 * x - 0.2289914 * y + 1.4052427 * z);
}

/* As the paper lies beside the screen: its own white and black. */
static xyz on_paper(xyz c, xyz white) {
    return (xyz){c.x * white.x, c.y * white.y, c.z * white.z};
}

/* The paper's black brought down to the screen's, white to white. */
static xyz stretched(xyz c, double black) {
    return (xyz){(c.x - black) / (1 - black), (c.y - black) / (1 - black),
                 (c.z - black) / (1 - black)};
}

tw_code tw_proof_paint(const tw_allocator *allocator, const tw_proof_picture *picture,
                       const tw_icc_facts *paper, bool simulate, unsigned char *out,
                       tw_error *error) {
    const tw_image screen = {.space = TW_RGB, .says_srgb = true};
    tw_tone *srgb = NULL;
    tw_code code = tw_tone_new(allocator, &screen, 8, &srgb, error);
    if (code != TW_OK)
        return code;
    xyz white = to_xyz(paper->white);
    double black = white.y > 0 ? to_xyz(paper->black).y / white.y : 0;
    for (size_t i = 0; i < (size_t)picture->width * picture->height; i++) {
        xyz c = to_xyz(picture->printed[i]);
        to_srgb(srgb, simulate ? on_paper(c, white) : stretched(c, black), out + 3 * i);
    }
    tw_tone_free(allocator, srgb);
    return TW_OK;
}

/* Steps of the map, by CIEDE2000 between wanted and printed; below the first it stays grey. */
static const struct {
    double from;
    unsigned char rgb[3];
} steps[] = {{10, {160, 0, 120}}, {6, {220, 40, 30}}, {3, {240, 140, 20}}, {1.5, {245, 220, 90}}};

void tw_proof_map(const tw_proof_picture *picture, unsigned char *out) {
    for (size_t i = 0; i < (size_t)picture->width * picture->height; i++, out += 3) {
        double far = picture->difference[i];
        double light = picture->wanted[i].l * 1.6 + 70;
        unsigned char grey = (unsigned char)(light < 0 ? 0 : light > 230 ? 230 : light);
        out[0] = out[1] = out[2] = grey;
        for (size_t s = 0; s < sizeof steps / sizeof steps[0]; s++)
            if (far > steps[s].from) {
                for (int c = 0; c < 3; c++)
                    out[c] = steps[s].rgb[c];
                break;
            }
    }
}
