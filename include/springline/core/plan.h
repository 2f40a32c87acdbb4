/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * From a shortage to a plan (domain.md 6): how much wider, how many activations, how long, which
 * phases on which days. Everything is a range, and says where it has no upper end. The target is
 * chosen by a person: nothing here takes one from an index of tooth widths, which fit few children
 * within 1 mm (18-45 %, published).
 */
#ifndef SPRINGLINE_CORE_PLAN_H
#define SPRINGLINE_CORE_PLAN_H

#include "springline/core/arch_curve.h"
#include "springline/core/protocol.h"
#include "springline/core/record.h"

enum plan_refusal {
    PLAN_OK,
    PLAN_SHORTAGE, /* nothing is short, or more than any arch is */
    PLAN_WIDTH,    /* the width is none that an arch has, or not recorded */
    PLAN_LANDMARK, /* site or landmark of the width is not recorded: a target means nothing */
    PLAN_GAIN,     /* the target is not wider than the arch, or by more than CURVE_GAIN_MAX_MM */
    PLAN_SIDES,    /* which sides the expander is to move is not recorded */
    PLAN_PROTOCOL, /* the protocol is refused, or permits no step at all */
    PLAN_RESPONSE, /* the practice's response is no range of a gain */
    PLAN_DAYS,     /* a day is not recorded, impossible, or in another order than the treatment */
    PLAN_TOO_LONG, /* more than PLAN_STEPS_MAX activations or PLAN_DAYS_MAX even at the quickest */
    PLAN_NO_MEMORY
};

/* ---- from the shortage to a width ------------------------------------------------------------ */

/* No arch is short of more: a slip guard of our own, no source. */
enum { PLAN_SHORTAGE_MAX = 30000 };

struct plan_widening {
    enum curve_answer answer; /* of a published ratio: CURVE_OK or CURVE_OUT_OF_REACH */
    um widening; /* rounded up to a hundredth of a millimetre; UM_NONE unless CURVE_OK */
};

struct plan_widths {
    enum plan_refusal refusal;
    struct plan_widening curves[CURVE_COUNT]; /* by enum arch_curve: "whole arch widened" */
    struct plan_widening ratios[ARCH_RATIO_COUNT];
    /* The range over those that reach it. UM_NONE for least: none does. UM_NONE for most: one does
     * not, so there is no upper end. */
    um curve_least, curve_most, ratio_least, ratio_most;
};

/*
 * How much wider the arch must become to gain shortage (above 0) of room along it, at the same
 * depth: by each curve through width and depth, and by each published ratio. Without a depth
 * (UM_NONE) the curves answer CURVE_DEPTH and the ratios stand. A larger shortage never needs less.
 */
void plan_widths(um shortage, um width, um depth, struct plan_widths *widths);

/* ---- from the width to a course -------------------------------------------------------------- */

/*
 * The practice's own response: millimetres of width per millimetre activated, both sides summed, as
 * a range, and the cases behind it. No such ratio is published. With no case there is no range:
 * then only the least number at full transfer is told (1 mm of width per mm activated), labelled
 * so, and no upper end. A low end of 0 or less leaves the upper end open too.
 */
struct plan_response {
    double low, high;
    int32_t cases;
};
/* Can a course be worked out by it? With no case, yes; else from a range of finite ends, the high
 * one above 0 and no more than 5 (a slip guard of our own, no source). */
bool plan_response_stands(const struct plan_response *response);

/* An activation of the arch that was given, with any expander: the larger amount of the sides. */
struct plan_step {
    day date;
    um side;
};

struct plan_question {
    const struct protocol *protocol;
    enum sides sides;
    enum site site; /* of width and target */
    enum landmark landmark;
    um width, target; /* as measured last, and chosen by a person */
    day width_on;     /* steps given on it or later are not in the width yet and are taken off what
                       * is still to be opened */
    struct plan_response response;
    day start;                               /* nothing that is planned lies before it */
    day separators_on, banded_on, fitted_on; /* DAY_NONE: to come */
    day fit_not_before; /* lower arch: the upper's fit + lower_after_days; DAY_NONE: any day */
    const struct plan_step *given; /* on or before start, any order */
    size_t given_count;
};

enum plan_phase {
    PHASE_SEPARATORS,
    PHASE_BANDS,
    PHASE_FIT,
    PHASE_ACTIVE, /* first activation to the visit at which the target is measured */
    PHASE_RETENTION,
    PHASE_STABILITY_1, /* months after the end of retention */
    PHASE_STABILITY_3,
    PHASE_STABILITY_6,
    PHASE_STABILITY_12,
    PHASE_COUNT
};
/* Value v + 1 spells phase v: "separators" ... "stability-12". */
extern const struct words words_plan_phase;

/* The first day of a phase and its last, each as a range; a visit begins and ends on one day. */
struct plan_span {
    day from_earliest, from_latest, to_earliest, to_latest; /* DAY_NONE: no such end, or unknown */
    bool done; /* its first day is recorded, or a later phase has begun */
};

/* No upper end; and beyond which a course is none: bounds of our own, no source. */
enum { PLAN_OPEN = -1, PLAN_STEPS_MAX = 200, PLAN_DAYS_MAX = 3650 };
struct plan_range {
    int32_t least, most; /* PLAN_OPEN */
};

/* At the fit the ends are passive; bands and fit come on one day or up to so many days apart while
 * the wire is bent: common practice, no source. */
enum { PLAN_FIT_AFTER_BANDS_DAYS = 7 };

struct plan_course {
    enum plan_refusal refusal;
    um gain;            /* target - width */
    um side_least;      /* still to be opened on each side in plan, whole grains */
    um side_most;       /* UM_NONE: open */
    bool full_transfer; /* no response of the practice: the least number at 1 mm per mm */
    struct plan_range activations; /* still to be given; 0: measure first */
    struct plan_range days;   /* from the first to come to the visit that measures the target */
    struct plan_range visits; /* still to come, separators to that visit */
    struct plan_span phases[PHASE_COUNT];
    /* By growth alone (core/response.h), over the longest known active phase; UM_NONE: within a
     * year. */
    um growth_low, growth_high;
};

/*
 * The course of one arch by the protocol: every step as large as it permits (first_step_max on the
 * first, or after a pause beyond restart_after_days; step_max on the others; window_max in
 * window_days; whole grains), the quickest with an activation on the first day permitted from
 * interval_min_days on and the greatest response, the slowest each interval_max_days and the least
 * response. Smaller steps, holds and rests take longer: no upper end covers them.
 *
 * Separators on start (a lower arch later, by fit_not_before), bands separator_days after them, the
 * fit on that day or up to PLAN_FIT_AFTER_BANDS_DAYS later, the first activation an interval after
 * the fit, the measuring visit an interval after the last, retention_days of retention from there,
 * stability 1, 3, 6 and 12 months after it (common practice, no source).
 *
 * A larger target never needs fewer activations, fewer visits or a shorter time.
 */
void plan_course(const struct plan_question *question, struct plan_course *course);

#endif
