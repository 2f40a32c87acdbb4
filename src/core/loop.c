/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/core/loop.h"

#include <math.h>

#include <gsl/gsl_math.h>

static const double newton_mm2_in_gpa = 1000; /* 1 GPa = 1000 N/mm2 */

static bool within(double value, double low, double high)
{
    return isfinite(value) && value >= low && value <= high;
}

static enum loop_answer check_wire(double wire_mm, double modulus_gpa)
{
    if (!within(wire_mm, 0.2, 1.5))
        return LOOP_WIRE;
    return within(modulus_gpa, 50, 250) ? LOOP_GOOD : LOOP_MODULUS;
}

static double bending_stiffness(double wire_mm, double modulus_gpa)
{
    return modulus_gpa * newton_mm2_in_gpa * M_PI * gsl_pow_4(wire_mm) / 64;
}

enum loop_answer loop_stiffness_of(const struct loop *loop, struct loop_stiffness *stiffness)
{
    const double h = loop->leg_mm, r = loop->radius_mm;
    enum loop_answer answer = check_wire(loop->wire_mm, loop->modulus_gpa);

    if (answer != LOOP_GOOD)
        return answer;
    if (!within(h, 0, 20))
        return LOOP_LEG;
    if (!within(r, loop->wire_mm, 10))
        return LOOP_RADIUS;
    double ei = bending_stiffness(loop->wire_mm, loop->modulus_gpa);
    double a = 2 * gsl_pow_3(h) / 3 + r * (M_PI * h * h + 4 * h * r + M_PI * r * r / 2);
    double b = h * h + M_PI * r * h + 2 * r * r, c = 2 * h + M_PI * r;
    stiffness->free = ei / a;
    stiffness->held = ei / (a - b * b / c); /* above 0: Cauchy and Schwarz, the bow is no point */
    stiffness->moment_mm = b / c;
    return LOOP_GOOD;
}

struct loop_ratio loop_ratio_of(const struct loop_stiffness *left,
                                const struct loop_stiffness *right)
{
    return (struct loop_ratio){left->free / right->free, left->held / right->held};
}

enum loop_answer loop_cantilever(double wire_mm, double length_mm, double modulus_gpa,
                                 double *stiffness)
{
    enum loop_answer answer = check_wire(wire_mm, modulus_gpa);

    if (answer != LOOP_GOOD)
        return answer;
    if (!within(length_mm, 5 * wire_mm, 200))
        return LOOP_LENGTH;
    *stiffness = 3 * bending_stiffness(wire_mm, modulus_gpa) / gsl_pow_3(length_mm);
    return LOOP_GOOD;
}
