/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Hours, drift, and sensor beside told, in the same words on chart, case screen and month. */
#ifndef SPRINGLINE_APP_TOLD_WEAR_H
#define SPRINGLINE_APP_TOLD_WEAR_H

#include "springline/app/visit.h"
#include "springline/core/wear_trend.h"

/* Months that are told: two years. */
enum { TOLD_MONTHS_MOST = 24 };

/* Appends "sensor, by day: mean 1.6 h, median 1.5 h, 28 days; longest gap 4 days, at the
 * end 3 met in a row" (up to the last known day). False, nothing appended: no single day is known.
 */
bool told_hours(struct text *out, enum source source, const struct wear_hours *hours);

/* Appends what sensor and family say of the same days, with the difference. False: nothing to
 * compare. */
bool told_beside(struct text *out, const struct wear_beside *beside);

/* Appends "drifting down, 95 to 45 % over 6 periods since 2026-05-27 (told, runs high), median -9
 * points a period", or that it does not, or why that can not be told. */
void told_drift(struct text *out, const struct wear_drift *drift);

/* Appends how that was found out and how often it is wrong. */
void told_drift_how(struct text *out, const struct wear_drift *drift);

/* The hours of every source of a stretch, then sensor beside told, a line each; false: no memory.
 */
bool told_stretch_lines(struct arena *arena, struct lines *lines, struct text *text,
                        const struct wear_stretch *stretch);

#endif
