/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The loop sheet: how stiff a bent loop is, from the wire and its dimensions. A bench aid, never
 * used by the rules: it says which of two loops is the stiffer, and how much. Force is not inferred
 * from activation: how the ends are held and the free length decide it (a loop of 7 mm is several
 * times as stiff as an arm of 20 mm), and no published ratio of loop activation to molar width
 * exists. Pure.
 *
 * One vertical loop: two straight legs of length H joined by a semicircle of radius R, force along
 * the arch at its feet, which lie 2R apart. By Castigliano's theorem, bending only (derived here;
 * checked against an independent plane frame in tests/reference/loop_test.c):
 *
 *     I = pi d^4 / 64
 *     A = 2 H^3 / 3 + R (pi H^2 + 4 H R + pi R^2 / 2)
 *     B = H^2 + pi R H + 2 R^2          C = 2 H + pi R
 *     feet free to rotate:       k = E I / A
 *     feet held from rotating:   k = E I / (A - B^2 / C)
 *
 * The truth lies between the two. Shear and stretching of the wire are left out, and curvature is
 * taken as small: with R near d the bow is a few per cent less stiff than this says.
 *
 * Modulus of stainless steel wire: usually assumed 193 to 200 GPa, and 20 % lower, 154 to 160 GPa,
 * as measured on drawn wire (published: Goldberg, Vanderby & Burstone, J Dent Res 1977;56:1227).
 */
#ifndef SPRINGLINE_CORE_LOOP_H
#define SPRINGLINE_CORE_LOOP_H

#include <stdbool.h>

/* GPa; both published, see above. */
enum { LOOP_MODULUS_ASSUMED_GPA = 193, LOOP_MODULUS_DRAWN_GPA = 160 };

struct loop {
    double wire_mm;     /* diameter d */
    double leg_mm;      /* H, straight part of a leg */
    double radius_mm;   /* R, of the bow, to the middle of the wire */
    double modulus_gpa; /* E */
};

enum loop_answer {
    LOOP_GOOD,
    LOOP_WIRE,    /* d not within 0.2 to 1.5 mm */
    LOOP_LEG,     /* H not within 0 to 20 mm */
    LOOP_RADIUS,  /* R not within d to 10 mm: a tighter bow is no beam any more */
    LOOP_MODULUS, /* E not within 50 to 250 GPa */
    LOOP_LENGTH   /* of a cantilever: L not within 5 d to 200 mm */
};
/* The bounds are our own (practice setting): beyond them a value is a slip, or the formulas do not
 * hold. NaN and infinity lie within none. */

struct loop_stiffness {
    double free, held; /* N/mm, feet free to rotate and held from it; free < held */
    double moment_mm;  /* M/F of the held feet, B / C */
};

/* The range of one loop; *stiffness untouched unless LOOP_GOOD. */
enum loop_answer loop_stiffness_of(const struct loop *loop, struct loop_stiffness *stiffness);

struct loop_ratio {
    double free, held; /* with the feet of both free, and of both held */
};
/* Left over right: 1 is as stiff. Needs two results. */
struct loop_ratio loop_ratio_of(const struct loop_stiffness *left,
                                const struct loop_stiffness *right);

/* A straight arm held at one end: k = 3 E I / L^3 in N/mm. *stiffness untouched unless LOOP_GOOD.
 */
enum loop_answer loop_cantilever(double wire_mm, double length_mm, double modulus_gpa,
                                 double *stiffness);

#endif
