/*
 * Weights of resampling (see resample_weights.h), in doubles with sums, products, quotients and
 * floor() alone, none of them fused: IEEE 754 fixes every bit, which it does not for the C
 * library's sin().
 */
#include "pixels/resample_weights.h"

#include <float.h>
#include <math.h>

#define PI 3.14159265358979323846

_Static_assert(FLT_EVAL_METHOD == 0, "floats must be computed as floats: use SSE2 on x86");

/* sin(pi x): to the nearest whole number it is a short series, whose next term is under 1e-17. */
static double sine_of_pi(double x) {
    double whole = floor(x + 0.5), t = (x - whole) * PI, term = t, sum = t;
    for (int n = 2; n <= 22; n += 2) {
        term = -term * t * t / (n * (n + 1));
        sum += term;
    }
    return whole / 2 == floor(whole / 2) ? sum : -sum;
}

static double lanczos(double x, int lobes) {
    if (x == 0)
        return 1;
    if (x <= -lobes || x >= lobes)
        return 0;
    return lobes * sine_of_pi(x) * sine_of_pi(x / lobes) / (PI * PI * x * x);
}

/* I0(2 sqrt(q)) by its series, sum of q^n / (n!)^2: no root is taken. For q to 11, as here, the
 * next term is under 1e-24. */
static double bessel(double q) {
    double term = 1, sum = 1;
    for (int n = 1; n <= 25; n++) {
        term = term * q / ((double)n * n);
        sum += term;
    }
    return sum;
}

static double kaiser(double x, int lobes) {
    const double beta = 6.5, q = beta * beta / 4;
    double part = x / lobes;
    if (x == 0)
        return 1;
    if (part <= -1 || part >= 1)
        return 0;
    return sine_of_pi(x) / (PI * x) * bessel(q * (1 - part * part)) / bessel(q);
}

/* Of the kernel for new samples that lie `x` old ones away, or new ones where they are fewer. */
static double kernel(const tw_taps *taps, double x) {
    int lobes = (int)taps->lobes;
    return taps->to < taps->from ? lanczos(x, lobes) : kaiser(x, lobes);
}

uint32_t tw_lanczos_lobes(uint32_t from, uint32_t to) {
    return to < from ? 8 : 4;
}

/* Where the middle of new sample k lies among the old ones, whose middles are at i + 1/2. */
static double middle_of(const tw_taps *taps, uint32_t k) {
    return (2.0 * k + 1) * taps->from / (2.0 * taps->to);
}

static double stretch_of(const tw_taps *taps) {
    return taps->from > taps->to ? (double)taps->from / taps->to : 1;
}

/* The samples within reach; there is always one, as the reach is at least 4. */
static void find_samples(const tw_taps *taps, uint32_t k, tw_tap *tap) {
    double middle = middle_of(taps, k), reach = taps->lobes * stretch_of(taps);
    double low = ceil(middle - reach - 0.5), high = floor(middle + reach - 0.5);
    tap->first = low <= 0 ? 0 : (uint32_t)low;
    uint32_t last = high >= taps->from - 1 ? taps->from - 1 : (uint32_t)high;
    tap->count = last - tap->first + 1;
}

static void weigh(const tw_taps *taps, uint32_t k, const tw_tap *tap, float *weights) {
    double middle = middle_of(taps, k), stretch = stretch_of(taps), sum = 0;
    for (uint32_t i = 0; i < tap->count; i++)
        sum += kernel(taps, (tap->first + i + 0.5 - middle) / stretch);
    for (uint32_t i = 0; i < tap->count; i++)
        weights[i] = (float)(kernel(taps, (tap->first + i + 0.5 - middle) / stretch) / sum);
}

/* New sample j is begun while k is not done when its first sample comes no later than k's last. */
static uint32_t most_open(const tw_taps *taps) {
    uint32_t most = 1;
    for (uint32_t k = 0, j = 0; k < taps->to; k++) {
        const tw_tap *tap = &taps->items[k];
        while (j < taps->to && taps->items[j].first < tap->first + tap->count)
            j++;
        most = j - k > most ? j - k : most;
    }
    return most;
}

tw_code tw_taps_new(const tw_allocator *allocator, uint32_t from, uint32_t to, tw_taps **out,
                    tw_error *error) {
    tw_taps *taps = *out = tw_block_new(allocator, sizeof *taps + to * sizeof(tw_tap));
    size_t count = 0, at = 0;
    if (taps == NULL)
        return tw_no_memory(error);
    *taps = (tw_taps){
        .from = from, .to = to, .lobes = tw_lanczos_lobes(from, to), .items = (tw_tap *)(taps + 1)};
    for (uint32_t k = 0; k < to; k++) {
        find_samples(taps, k, &taps->items[k]);
        count += taps->items[k].count;
    }
    taps->weights = tw_block_new(allocator, count * sizeof(float));
    if (taps->weights == NULL) {
        tw_taps_free(allocator, taps);
        *out = NULL;
        return tw_no_memory(error);
    }
    for (uint32_t k = 0; k < to; k++) {
        weigh(taps, k, &taps->items[k], taps->weights + at);
        taps->items[k].weights = taps->weights + at;
        at += taps->items[k].count;
    }
    taps->open_most = most_open(taps);
    return TW_OK;
}

void tw_taps_free(const tw_allocator *allocator, tw_taps *taps) {
    if (taps == NULL)
        return;
    tw_block_free(allocator, taps->weights);
    tw_block_free(allocator, taps);
}
