/*
 * CIEDE2000 as Sharma, Wu & Dalal (2005) write it down, step by step; numbers in brackets are
 * their equations. Hues are kept in degrees, as there, so that each line can be compared.
 */
#include "colour/ciede2000.h"

#include <math.h>

#define DEGREES 57.29577951308232 /* a radian */
#define POW7_25 6103515625.0      /* 25^7 */
#define COS_30 0.8660254037844386 /* degrees */
#define COS_6 0.9945218953682733
#define SIN_6 0.10452846326765347
#define COS_63 0.4539904997395468
#define SIN_63 0.8910065241883679

typedef struct polar {
    double l, c, h; /* h in degrees, 0 <= h < 360; 0 for greys */
} polar;

static double pow7(double x) {
    double cube = x * x * x;
    return cube * cube * x;
}

/* C's hypot() minds numbers near its largest and smallest, which colours are not. */
static double length(double a, double b) {
    return sqrt(a * a + b * b);
}

/* (4) to (7): a* stretched near the neutral axis, then chroma and hue. */
static polar to_polar(tw_lab lab, double stretch) {
    double a = lab.a * (1 + stretch);
    double h = a == 0 && lab.b == 0 ? 0 : atan2(lab.b, a) * DEGREES;
    return (polar){lab.l, length(a, lab.b), h < 0 ? h + 360 : h};
}

/* (10) the signed way from one hue to the other, at most half a turn. */
static double hue_step(polar p, polar q) {
    double step = q.h - p.h;
    if (p.c * q.c == 0)
        return 0;
    if (step > 180)
        return step - 360;
    return step < -180 ? step + 360 : step;
}

/* (14) the hue in the middle of the shorter arc; a grey has none, so the other's counts. */
static double hue_mean(polar p, polar q) {
    double sum = p.h + q.h;
    if (p.c * q.c == 0)
        return sum;
    if (fabs(p.h - q.h) <= 180)
        return sum / 2;
    return sum < 360 ? (sum + 360) / 2 : (sum - 360) / 2;
}

/* (15), its cosines of h - 30, 2 h, 3 h + 6 and 4 h - 63 by the sums of angles from those of h: two
 * functions of the C library instead of four. */
static double hue_weight(double h) {
    double c = cos(h / DEGREES), s = sin(h / DEGREES);
    double c2 = c * c - s * s, s2 = 2 * s * c;
    double c3 = c2 * c - s2 * s, s3 = s2 * c + c2 * s;
    double c4 = c2 * c2 - s2 * s2, s4 = 2 * s2 * c2;
    return 1 - 0.17 * (c * COS_30 + s * 0.5) + 0.24 * c2 + 0.32 * (c3 * COS_6 - s3 * SIN_6) -
           0.20 * (c4 * COS_63 + s4 * SIN_63);
}

/* (16), (17), (21): how much hue and chroma lean on each other among blues. */
static double rotation(double c, double h) {
    double turn = 30 * exp(-((h - 275) / 25) * ((h - 275) / 25));
    double strength = 2 * sqrt(pow7(c) / (pow7(c) + POW7_25));
    return -sin(2 * turn / DEGREES) * strength;
}

double tw_ciede2000(tw_lab first, tw_lab second) {
    double chroma7 = pow7((length(first.a, first.b) + length(second.a, second.b)) / 2);
    double stretch = 0.5 * (1 - sqrt(chroma7 / (chroma7 + POW7_25)));
    polar p = to_polar(first, stretch), q = to_polar(second, stretch);
    double l = (p.l + q.l) / 2 - 50, c = (p.c + q.c) / 2, h = hue_mean(p, q);
    double step_h = 2 * sqrt(p.c * q.c) * sin(hue_step(p, q) / 2 / DEGREES);
    double weight_l = 1 + 0.015 * l * l / sqrt(20 + l * l);
    double weight_c = 1 + 0.045 * c;
    double weight_h = 1 + 0.015 * c * hue_weight(h);
    double by_l = (q.l - p.l) / weight_l, by_c = (q.c - p.c) / weight_c, by_h = step_h / weight_h;
    return sqrt(by_l * by_l + by_c * by_c + by_h * by_h + rotation(c, h) * by_c * by_h);
}
