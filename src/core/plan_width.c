/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a shortage along the arch to how much wider it must become. */
#include <math.h>

#include "springline/core/plan.h"

enum { HUNDREDTH_UM = 10, HUNDREDTHS_PER_MM = 100, UM_PER_MM = 1000 };

static bool is_arch_width(um width)
{
    return width >= CURVE_WIDTH_MIN_MM * UM_PER_MM && width <= CURVE_WIDTH_MAX_MM * UM_PER_MM;
}

/* Rounded up to a hundredth, so that what is shown is enough; what the solver leaves below its own
 * error is none. */
static um up_to_hundredth(double value_mm)
{
    return (um)ceil(value_mm * HUNDREDTHS_PER_MM - 1e-6) * HUNDREDTH_UM;
}

static struct plan_widening by_curve(enum arch_curve curve, um shortage, um width, um depth)
{
    struct plan_widening widening = {CURVE_DEPTH, UM_NONE};
    double needed_mm = 0;

    if (depth == UM_NONE)
        return widening;
    widening.answer =
        arch_curve_widening(curve, (double)width / UM_PER_MM, (double)depth / UM_PER_MM,
                            (double)shortage / UM_PER_MM, &needed_mm);
    if (widening.answer == CURVE_OK)
        widening.widening = up_to_hundredth(needed_mm);
    return widening;
}

static struct plan_widening by_ratio(const struct arch_ratio *ratio, um shortage)
{
    double needed_mm = (double)shortage / UM_PER_MM * 100 / ratio->hundredths;

    if (needed_mm > CURVE_GAIN_MAX_MM)
        return (struct plan_widening){CURVE_OUT_OF_REACH, UM_NONE};
    return (struct plan_widening){CURVE_OK, up_to_hundredth(needed_mm)};
}

/* The range over count answers: no least where none is reached, no most where one is not. */
static void range_of(const struct plan_widening *answers, int count, um *least, um *most)
{
    bool open = false;

    *least = *most = UM_NONE;
    for (int i = 0; i < count; i++) {
        if (answers[i].answer != CURVE_OK) {
            open = true;
            continue;
        }
        if (*least == UM_NONE || answers[i].widening < *least)
            *least = answers[i].widening;
        if (answers[i].widening > *most)
            *most = answers[i].widening;
    }
    if (open)
        *most = UM_NONE;
}

void plan_widths(um shortage, um width, um depth, struct plan_widths *widths)
{
    *widths = (struct plan_widths){.refusal = PLAN_OK,
                                   .curve_least = UM_NONE,
                                   .curve_most = UM_NONE,
                                   .ratio_least = UM_NONE,
                                   .ratio_most = UM_NONE};
    if (shortage <= 0 || shortage > PLAN_SHORTAGE_MAX)
        widths->refusal = PLAN_SHORTAGE;
    else if (!is_arch_width(width))
        widths->refusal = PLAN_WIDTH;
    if (widths->refusal != PLAN_OK)
        return;
    for (int i = CURVE_NONE + 1; i < CURVE_COUNT; i++) {
        widths->curves[i] = by_curve((enum arch_curve)i, shortage, width, depth);
        if (widths->curves[i].answer == CURVE_NO_MEMORY)
            widths->refusal = PLAN_NO_MEMORY;
    }
    for (int i = 0; i < ARCH_RATIO_COUNT; i++)
        widths->ratios[i] = by_ratio(&arch_ratios[i], shortage);
    if (widths->refusal != PLAN_OK)
        return;
    range_of(widths->curves + CURVE_NONE + 1, CURVE_COUNT - 1, &widths->curve_least,
             &widths->curve_most);
    range_of(widths->ratios, ARCH_RATIO_COUNT, &widths->ratio_least, &widths->ratio_most);
}
