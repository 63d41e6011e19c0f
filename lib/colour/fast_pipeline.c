/*
 * lcms2's pipeline computed here, many pixels at a time. lcms2 settles what the steps from profile
 * to profile are (colour.c has it hand them over); they are taken down as plain tables once, and
 * then run step by step over a strip of pixels, channel by channel, which a compiler turns into
 * vector code. The arithmetic is lcms2's without its rounding to 16 bits between steps: the same
 * curves (linear between entries), matrices, CIE L*a*b* (CIE 15, D50 as in ICC.1 7.2.16) and grids,
 * interpolated as lcms2 would: between the corners of a cube where L*a*b* comes in, else within a
 * tetrahedron of four of them (Kang, Color Technology for Electronic Imaging Devices, 1997, ch. 4).
 * Single precision, sums in a fixed order, no function of the C library: the same bytes everywhere.
 *
 * Pipelines with other steps (four inks in, curves that are formulas in the middle) are left to
 * lcms2.
 */
#include "colour/lcms.h"

#include <lcms2_plugin.h>
#include <string.h>

enum { AT_ONCE = 64, CHANNELS = 4, STEPS_MOST = 16, CURVE_MOST = 1 << 16 };

typedef enum step_kind { CURVES, MATRIX, TO_LAB, TO_XYZ, GRID } step_kind;

typedef struct step {
    step_kind kind;
    int in, out;
    float matrix[CHANNELS][CHANNELS + 1]; /* the last column is added */
    float *values[CHANNELS];              /* CURVES: `count` of each channel */
    uint32_t count[CHANNELS];             /* GRID: points a side */
    float (*nodes)[CHANNELS];             /* GRID: the first channel's side is the outermost */
    bool corners;                         /* GRID: between all eight */
} step;

struct tw_fast {
    const tw_allocator *allocator;
    int bits, in, out;
    bool lab;
    float *first[CHANNELS]; /* of every value that comes in */
    step steps[STEPS_MOST];
    size_t count;
};

/* A strip of pixels, each channel by itself. */
typedef struct strip {
    float of[CHANNELS][AT_ONCE];
} strip;

/* ------------------------------------------------ taking the steps down */

typedef enum taken { YES, OTHER, NO_MEMORY } taken;

static size_t values_of(const tw_fast *fast) {
    return fast->bits == 8 ? 256 : 65536;
}

static taken take_first(tw_fast *fast, const _cmsStageToneCurvesData *curves) {
    size_t count = values_of(fast);
    for (int c = 0; c < fast->in; c++) {
        fast->first[c] = tw_block_new(fast->allocator, count * sizeof(float));
        if (fast->first[c] == NULL)
            return NO_MEMORY;
        for (size_t i = 0; i < count; i++) {
            float value = (float)i / (float)(count - 1);
            fast->first[c][i] =
                curves == NULL ? value : cmsEvalToneCurveFloat(curves->TheCurves[c], value);
        }
    }
    return YES;
}

/* A curve that is a table of 16-bit values, or the straight line of a formula (no table then);
 * other formulas are not taken. */
static taken take_curve(const tw_fast *fast, step *to, int c, const cmsToneCurve *curve) {
    uint32_t count = cmsGetToneCurveEstimatedTableEntries(curve);
    const cmsUInt16Number *table = cmsGetToneCurveEstimatedTable(curve);
    if (count == 2 && cmsGetToneCurveParametricType(curve) == 1 && cmsIsToneCurveLinear(curve))
        return YES;
    if (cmsIsToneCurveMultisegment(curve) || cmsGetToneCurveParametricType(curve) != 0 ||
        count < 2 || count > CURVE_MOST)
        return OTHER;
    to->count[c] = count;
    to->values[c] = tw_block_new(fast->allocator, count * sizeof(float));
    for (uint32_t i = 0; to->values[c] != NULL && i < count; i++)
        to->values[c][i] = (float)table[i] / 65535;
    return to->values[c] == NULL ? NO_MEMORY : YES;
}

static taken take_curves(const tw_fast *fast, step *to, const _cmsStageToneCurvesData *curves) {
    taken result = YES;
    to->kind = CURVES;
    for (int c = 0; c < to->in && result == YES; c++)
        result = take_curve(fast, to, c, curves->TheCurves[c]);
    return result;
}

static taken take_matrix(step *to, const _cmsStageMatrixData *matrix) {
    to->kind = MATRIX;
    for (int row = 0; row < to->out; row++) {
        for (int c = 0; c < to->in; c++)
            to->matrix[row][c] = (float)matrix->Double[row * to->in + c];
        to->matrix[row][CHANNELS] = matrix->Offset == NULL ? 0 : (float)matrix->Offset[row];
    }
    return YES;
}

static taken take_grid(const tw_fast *fast, step *to, const _cmsStageCLutData *grid) {
    const cmsInterpParams *facts = grid->Params;
    size_t nodes = 1;
    if (to->in != 3)
        return OTHER;
    to->kind = GRID;
    to->corners = (facts->dwFlags & CMS_LERP_FLAGS_TRILINEAR) != 0;
    for (int c = 0; c < 3; c++) {
        to->count[c] = facts->nSamples[c];
        nodes *= facts->nSamples[c];
    }
    if (nodes * (size_t)to->out != grid->nEntries || nodes == 0)
        return OTHER;
    to->nodes = tw_block_new(fast->allocator, nodes * sizeof *to->nodes);
    for (size_t i = 0; to->nodes != NULL && i < nodes; i++)
        for (size_t c = 0; c < (size_t)to->out; c++) {
            size_t at = i * (size_t)to->out + c;
            to->nodes[i][c] =
                grid->HasFloatValues ? grid->Tab.TFloat[at] : (float)grid->Tab.T[at] / 65535;
        }
    return to->nodes == NULL ? NO_MEMORY : YES;
}

static taken take_step(tw_fast *fast, const cmsStage *stage) {
    step *to = &fast->steps[fast->count];
    uint32_t in = cmsStageInputChannels(stage), out = cmsStageOutputChannels(stage);
    if (cmsStageType(stage) == cmsSigIdentityElemType)
        return YES;
    if (fast->count == STEPS_MOST || in > CHANNELS || out > CHANNELS)
        return OTHER;
    to->in = (int)in;
    to->out = (int)out;
    fast->count++;
    switch (cmsStageType(stage)) {
    case cmsSigCurveSetElemType:
        return take_curves(fast, to, cmsStageData(stage));
    case cmsSigMatrixElemType:
        return take_matrix(to, cmsStageData(stage));
    case cmsSigCLutElemType:
        return take_grid(fast, to, cmsStageData(stage));
    case cmsSigXYZ2LabElemType:
        to->kind = TO_LAB;
        return YES;
    case cmsSigLab2XYZElemType:
        to->kind = TO_XYZ;
        return YES;
    default:
        return OTHER;
    }
}

static taken take_all(tw_fast *fast, const cmsPipeline *pipeline) {
    const cmsStage *stage = cmsPipelineGetPtrToFirstStage(pipeline);
    bool curves = stage != NULL && cmsStageType(stage) == cmsSigCurveSetElemType;
    taken result = take_first(fast, curves ? cmsStageData(stage) : NULL);
    for (stage = curves ? cmsStageNext(stage) : stage; stage != NULL && result == YES;
         stage = cmsStageNext(stage))
        result = take_step(fast, stage);
    return result;
}

bool tw_fast_new(const tw_allocator *allocator, const cmsPipeline *pipeline, int bits, bool lab,
                 tw_fast **out) {
    uint32_t in = cmsPipelineInputChannels(pipeline), to = cmsPipelineOutputChannels(pipeline);
    *out = NULL;
    if (in > 3 || to > CHANNELS)
        return true;
    tw_fast *fast = tw_block_new(allocator, sizeof *fast);
    if (fast == NULL)
        return false;
    *fast =
        (tw_fast){.allocator = allocator, .bits = bits, .in = (int)in, .out = (int)to, .lab = lab};
    taken result = take_all(fast, pipeline);
    if (result == YES)
        *out = fast;
    else
        tw_fast_free(fast);
    return result != NO_MEMORY;
}

void tw_fast_free(tw_fast *fast) {
    if (fast == NULL)
        return;
    for (int c = 0; c < CHANNELS; c++)
        tw_block_free(fast->allocator, fast->first[c]);
    for (size_t i = 0; i < fast->count; i++) {
        for (int c = 0; c < CHANNELS; c++)
            tw_block_free(fast->allocator, fast->steps[i].values[c]);
        tw_block_free(fast->allocator, fast->steps[i].nodes);
    }
    tw_block_free(fast->allocator, fast);
}

/* ------------------------------------------------ the steps over a strip */

/* What is no number counts as 0. */
static inline float inside(float value) {
    float low = value > 0 ? value : 0;
    return low < 1 ? low : 1;
}

static void run_curves(const step *s, const strip *in, strip *out) {
    for (int c = 0; c < s->in; c++) {
        if (s->values[c] == NULL) {
            memcpy(out->of[c], in->of[c], sizeof out->of[c]);
            continue;
        }
        const float *values = s->values[c];
        uint32_t last = s->count[c] - 1;
        for (int i = 0; i < AT_ONCE; i++) {
            float at = inside(in->of[c][i]) * (float)last;
            uint32_t k = (uint32_t)at;
            k = k < last ? k : last - 1;
            float part = at - (float)k;
            out->of[c][i] = values[k] + part * (values[k + 1] - values[k]);
        }
    }
}

static void run_matrix(const step *s, const strip *in, strip *out) {
    for (int row = 0; row < s->out; row++) {
        const float *m = s->matrix[row];
        float *sums = out->of[row];
        for (int i = 0; i < AT_ONCE; i++)
            sums[i] = m[CHANNELS];
        for (int c = 0; c < s->in; c++)
            for (int i = 0; i < AT_ONCE; i++)
                sums[i] += m[c] * in->of[c][i];
    }
}

#define KNEE (24.0F / 116)

/* The cube root, from a guess out of the number's exponent made better twice by Halley's rule; and
 * CIE 15's straight line near black. */
static void run_root(const float *in, float factor, float *out) {
    for (int i = 0; i < AT_ONCE; i++) {
        float x = in[i] * factor, safe = x > KNEE * KNEE * KNEE ? x : 1;
        uint32_t bits;
        memcpy(&bits, &safe, sizeof bits);
        bits = bits / 3 + 0x2A5137A0;
        float y;
        memcpy(&y, &bits, sizeof y);
        for (int k = 0; k < 2; k++) {
            float cube = y * y * y;
            y = y * (cube + 2 * safe) / (2 * cube + safe);
        }
        out[i] = x > KNEE * KNEE * KNEE ? y : x * (841.0F / 108) + 16.0F / 116;
    }
}

/* ICC's encodings: XYZ of 1 + 32767/32768 is 1; L* of 100 and a*, b* of -128 to 127 are 0 to 1. */
#define XYZ_FULL (1 + 32767.0F / 32768)
#define WHITE_X 0.9642F
#define WHITE_Z 0.8249F

static void run_to_lab(const strip *in, strip *out) {
    float x[AT_ONCE], y[AT_ONCE], z[AT_ONCE];
    run_root(in->of[0], XYZ_FULL / WHITE_X, x);
    run_root(in->of[1], XYZ_FULL, y);
    run_root(in->of[2], XYZ_FULL / WHITE_Z, z);
    for (int i = 0; i < AT_ONCE; i++) {
        out->of[0][i] = (116 * y[i] - 16) / 100;
        out->of[1][i] = (500 * (x[i] - y[i]) + 128) / 255;
        out->of[2][i] = (200 * (y[i] - z[i]) + 128) / 255;
    }
}

static inline float from_root(float t) {
    return t > KNEE ? t * t * t : (108.0F / 841) * (t - 16.0F / 116);
}

static void run_to_xyz(const strip *in, strip *out) {
    for (int i = 0; i < AT_ONCE; i++) {
        float y = (in->of[0][i] * 100 + 16) / 116;
        float x = y + (in->of[1][i] * 255 - 128) / 500;
        float z = y - (in->of[2][i] * 255 - 128) / 200;
        out->of[0][i] = from_root(x) * (WHITE_X / XYZ_FULL);
        out->of[1][i] = from_root(y) * (1 / XYZ_FULL);
        out->of[2][i] = from_root(z) * (WHITE_Z / XYZ_FULL);
    }
}

/* Where a value lies on one side of the grid: the point before it, how far it is on the way to the
 * next one, and how many nodes on that is. */
typedef struct place {
    size_t node, on;
    float part;
} place;

static inline place place_of(float value, uint32_t points, size_t stride) {
    float at = inside(value) * (float)(points - 1);
    uint32_t k = (uint32_t)at;
    return (place){k * stride, k + 1 < points ? stride : 0, at - (float)k};
}

static inline void order(place *a, place *b) {
    place larger = a->part >= b->part ? *a : *b, smaller = a->part >= b->part ? *b : *a;
    *a = larger;
    *b = smaller;
}

typedef const float (*grid_node)[CHANNELS];

/* Along the sides of the cube in the order of the parts, from the corner before to the one after.
 */
static inline void between_four(grid_node node, place a, place b, place c, float to[CHANNELS]) {
    order(&a, &b);
    order(&b, &c);
    order(&a, &b);
    const float *n0 = node[0], *n1 = node[a.on], *n2 = node[a.on + b.on];
    const float *n3 = node[a.on + b.on + c.on];
    for (int k = 0; k < CHANNELS; k++)
        to[k] =
            n0[k] + a.part * (n1[k] - n0[k]) + b.part * (n2[k] - n1[k]) + c.part * (n3[k] - n2[k]);
}

static inline void between_two(const float *from, const float *on, float part, float to[CHANNELS]) {
    for (int k = 0; k < CHANNELS; k++)
        to[k] = from[k] + part * (on[k] - from[k]);
}

static inline void between_eight(grid_node node, place a, place b, place c, float to[CHANNELS]) {
    float n00[CHANNELS], n01[CHANNELS], n10[CHANNELS], n11[CHANNELS];
    between_two(node[0], node[c.on], c.part, n00);
    between_two(node[b.on], node[b.on + c.on], c.part, n01);
    between_two(node[a.on], node[a.on + c.on], c.part, n10);
    between_two(node[a.on + b.on], node[a.on + b.on + c.on], c.part, n11);
    between_two(n00, n01, b.part, n00);
    between_two(n10, n11, b.part, n10);
    between_two(n00, n10, a.part, to);
}

static void run_grid(const step *s, const strip *in, strip *out) {
    size_t deep = (size_t)s->count[1] * s->count[2];
    for (int i = 0; i < AT_ONCE; i++) {
        float to[CHANNELS];
        place a = place_of(in->of[0][i], s->count[0], deep);
        place b = place_of(in->of[1][i], s->count[1], s->count[2]);
        place c = place_of(in->of[2][i], s->count[2], 1);
        grid_node node = (grid_node)(s->nodes + a.node + b.node + c.node);
        if (s->corners)
            between_eight(node, a, b, c, to);
        else
            between_four(node, a, b, c, to);
        for (int k = 0; k < CHANNELS; k++)
            out->of[k][i] = to[k];
    }
}

static void run_step(const step *s, const strip *in, strip *out) {
    switch (s->kind) {
    case CURVES:
        run_curves(s, in, out);
        break;
    case MATRIX:
        run_matrix(s, in, out);
        break;
    case TO_LAB:
        run_to_lab(in, out);
        break;
    case TO_XYZ:
        run_to_xyz(in, out);
        break;
    case GRID:
        run_grid(s, in, out);
        break;
    }
}

/* ------------------------------------------------ pixels in and out */

static void load(const tw_fast *fast, const unsigned char *pixels, size_t count, strip *to) {
    size_t samples = (size_t)fast->in;
    for (size_t c = 0; c < samples; c++) {
        const float *first = fast->first[c];
        for (size_t i = 0; i < count; i++) {
            const unsigned char *at = pixels + (i * samples + c) * (fast->bits == 8 ? 1 : 2);
            uint16_t wide;
            if (fast->bits == 8)
                to->of[c][i] = first[*at];
            else if (fast->bits == 16)
                to->of[c][i] = first[at[0] << 8 | at[1]];
            else
                to->of[c][i] = (memcpy(&wide, at, 2), first[wide]);
        }
    }
}

static void store(const tw_fast *fast, const strip *from, size_t count, uint16_t *samples) {
    size_t each = (size_t)fast->out;
    for (size_t c = 0; c < each; c++)
        for (size_t i = 0; i < count; i++)
            samples[i * each + c] = (uint16_t)(inside(from->of[c][i]) * 65535 + 0.5F);
}

static void store_lab(const strip *from, size_t count, tw_lab *out) {
    for (size_t i = 0; i < count; i++)
        out[i] = (tw_lab){(double)from->of[0][i] * 100, (double)from->of[1][i] * 255 - 128,
                          (double)from->of[2][i] * 255 - 128};
}

void tw_fast_run(const tw_fast *fast, const void *in, void *out, size_t count) {
    const unsigned char *pixels = in;
    size_t pixel = (size_t)fast->in * (fast->bits == 8 ? 1 : 2);
    strip strips[2];
    memset(strips, 0, sizeof strips); /* the last strip is not full */
    for (size_t done = 0; done < count; done += AT_ONCE) {
        size_t now = count - done < AT_ONCE ? count - done : AT_ONCE;
        load(fast, pixels + done * pixel, now, &strips[0]);
        for (size_t i = 0; i < fast->count; i++)
            run_step(&fast->steps[i], &strips[i % 2], &strips[1 - i % 2]);
        const strip *last = &strips[fast->count % 2];
        if (fast->lab)
            store_lab(last, now, (tw_lab *)out + done);
        else
            store(fast, last, now, (uint16_t *)out + done * (size_t)fast->out);
    }
}
