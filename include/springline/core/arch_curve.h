/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The arch as a curve through its own width and depth: how long it is, how much room a wider one
 * gives, how much wider it must become. A curve widens the whole arch, canines too, so whoever
 * shows its answer labels it "whole arch widened" and shows the published ratios beside it.
 *
 * The curve lies in the plane of the arch: x from -width/2 to width/2, y the distance in front of
 * the line between the two molar landmarks, y(0) = depth, y(+-width/2) = 0.
 *
 *   ellipse   y = D sqrt(1 - u u), u = 2x / W         textbook mathematics
 *   parabola  y = D (1 - u u)                         textbook mathematics
 *   catenary  y = D + c - c cosh(x / c), c so that y(W/2) = 0     textbook mathematics
 *   beta      y = 4^0.8 D (1/2 + x/W)^0.8 (1/2 - x/W)^0.8
 *
 * Beta: Braun, Hnat, Fender & Legan, Angle Orthod 1998;68:29-36 (published: that it fits casts with
 * a mean correlation of 0.98, n 40). The equation itself is from memory; its printed constant
 * 3.0314 is 4^0.8, without which y(0) would not be D. They measured at the second molars.
 */
#ifndef SPRINGLINE_CORE_ARCH_CURVE_H
#define SPRINGLINE_CORE_ARCH_CURVE_H

#include <stdint.h>

#include "springline/base/word.h"

enum arch_curve {
    CURVE_NONE,
    CURVE_ELLIPSE,
    CURVE_PARABOLA,
    CURVE_CATENARY,
    CURVE_BETA,
    CURVE_COUNT /* one more than there are */
};
extern const struct words words_arch_curve;

/*
 * Widths and depths that are taken for an arch. Slip guards of our own, no source: a width entered
 * in centimetres or ten-fold falls outside (published molar widths of children: 31.9 mm palatal
 * gingival to a mean of 57.92 mm facial axis; depths to the first molars 28 to 32 mm).
 */
enum {
    CURVE_WIDTH_MIN_MM = 15,
    CURVE_WIDTH_MAX_MM = 100,
    CURVE_DEPTH_MIN_MM = 5,
    CURVE_DEPTH_MAX_MM = 60
};

/* No plan widens an arch by more (a bound of our own, no source): the inverse looks no further. */
enum { CURVE_GAIN_MAX_MM = 15 };

enum curve_answer {
    CURVE_OK,
    CURVE_UNKNOWN,      /* no such curve */
    CURVE_WIDTH,        /* the width (with what is to be gained) is none that an arch has */
    CURVE_DEPTH,        /* the depth is none that an arch has */
    CURVE_PLACE,        /* x lies outside the curve, or what is to be gained is negative */
    CURVE_OUT_OF_REACH, /* no widening up to CURVE_GAIN_MAX_MM gives so much room */
    CURVE_NO_MEMORY,
    CURVE_NUMERIC /* the quadrature or the root solver did not settle */
};

/* Each fills its last argument on CURVE_OK only, and never with anything but a finite number. Not a
 * number and infinity are refused like any other bad input. Relative error below 1e-9. */

/* y at x. */
enum curve_answer arch_curve_height(enum arch_curve curve, double width_mm, double depth_mm,
                                    double x_mm, double *y_mm);

/* Length of the whole curve from molar to molar, by quadrature. */
enum curve_answer arch_curve_length(enum arch_curve curve, double width_mm, double depth_mm,
                                    double *length_mm);

/* Room gained along the arch when it becomes wider by widening_mm (0 or more) at the same depth. */
enum curve_answer arch_curve_room(enum arch_curve curve, double width_mm, double depth_mm,
                                  double widening_mm, double *room_mm);

/* The least widening at the same depth that gives room_mm (0 or more) along the arch. */
enum curve_answer arch_curve_widening(enum arch_curve curve, double width_mm, double depth_mm,
                                      double room_mm, double *widening_mm);

/*
 * What has been published as room along the arch per millimetre of width. They differ because they
 * describe different movements; none is of a light-wire expander with loops.
 */
struct arch_ratio {
    int32_t hundredths;   /* of a millimetre of room per millimetre of width */
    const char *movement; /* which width, how moved: "molar width" */
    const char *source;   /* published; "as quoted in" where the paper itself was not read */
};

enum { ARCH_RATIO_COUNT = 4 };
/* Ascending. */
extern const struct arch_ratio arch_ratios[ARCH_RATIO_COUNT];

#endif
