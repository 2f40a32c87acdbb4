/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Does the result hold (domain.md 8): what an arch lost after it was no longer moved, and the
 * checks that are due. Pure.
 *
 * An arch is held from passive_on (the expander left in as retention) or, without it, from the day
 * it was taken out because the target was reached. Widths count as anywhere: the expander's arch,
 * site, landmark and teeth only (width.h), repeats of one date averaged.
 *
 * Published beside it (what others saw; none of them with this appliance):
 * - 6 months of retention appear enough in the short term: systematic review of 6 trials, Dental
 *   Press J Orthod 2017;22(2) (published).
 * - Almost 80 % of corrections of a unilateral crossbite were stable about 6.5 to 8 years later,
 *   n 100: Angle Orthod 2007;77:237-243 (published; of crossbites, not of millimetres).
 * - 90 % of the intermolar gain was kept 15 years later, n 41, upper widening by the inner bow of a
 *   facebow: Angle Orthod 2004;74:439-449 (published).
 * - Growth alone adds about 0.2 to 0.7 mm a year (published range; domain.md 6): a width that is
 *   unchanged after a year has lost as much.
 */
#ifndef SPRINGLINE_CORE_STABILITY_H
#define SPRINGLINE_CORE_STABILITY_H

#include "springline/core/repeat.h"
#include "springline/core/width.h"

/* 1, 3, 6 and 12 months after the end of retention, or after a later removal (course.h; common
 * practice, no source). */
enum { STABILITY_CHECKS = 4 };
struct stability_check {
    int32_t months;
    day due;  /* first day */
    day made; /* first stability visit that shows the arch on or after due; DAY_NONE: not yet. One
                 late visit makes the checks before it too. */
};

enum stability_answer {
    STABILITY_NO_END,   /* no width tells where the arch stood when it was no longer moved */
    STABILITY_NO_LATER, /* none was measured since */
    STABILITY_MEASURED
};

/* Days after the last movement in which a width still tells where the arch stood then; a setting of
 * our own (S), no source. What is lost within them goes unseen. */
enum { STABILITY_END_DAYS = 14 };

struct stability {
    enum stability_answer answer;
    const struct expander *expander;
    day held_from;
    day retention_end;
    /*
     * end: the newest width after the arch's last activation and on or before held_from; else the
     * first one within STABILITY_END_DAYS after it. One measured on the day of an activation was
     * measured before it and tells nothing of the end. latest: newest after end.
     */
    struct width_point baseline, end, latest;
    um mdc;                       /* as width_view */
    um change;                    /* latest - end, below 0 a relapse; UM_NONE unless MEASURED */
    enum repeat_change change_is; /* more than measuring alone makes? */
    um gain;                      /* end - baseline; UM_NONE: one of them is not known */
    bool has_share;               /* the gain is real and above 0, and a change is known */
    double share_lost;            /* -change / gain: 0.1 is 10 % of the gain lost */
    double share_error;           /* mdc / gain: what the error of measuring makes of it */
    struct stability_check checks[STABILITY_CHECKS];
};

/* The arch as of today. False, *stability untouched: it is not held (still moved, out for a rest or
 * a repair, never fitted, given up). */
bool stability_of(const struct history *history, enum arch arch, day today,
                  struct stability *stability);

#endif
