/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What several screens and sheets say in the same words. */
#ifndef SPRINGLINE_APP_TOLD_H
#define SPRINGLINE_APP_TOLD_H

#include "springline/app/visit.h"
#include "springline/core/rules.h"
#include "springline/core/wear.h"

/* Moves text into lines and empties it; false: no memory. */
bool told_end_line(struct arena *arena, struct lines *lines, struct text *text);

/* Millimetres with two decimals, or "?". */
void told_mm(struct text *out, um value);

/* "HOLD": a verdict in the word that stands out; "" for none. */
const char *told_verdict(int32_t verdict);

/* "upper, if tissue and hardware are sound: HOLD  permitted R 0.00 L 0.00 mm": what was not looked
 * at stands before the permission, nobody reads behind the number. */
void told_heading(struct text *out, const struct judgement *judgement, bool tissue_assumed,
                  bool hardware_assumed);

/* "upper width: 33.45 on 2026-10-28, +1.60 since the fit, target 41.00", of the widths up to
 * through; all of it "?" or "not measured" where nothing is known. */
void told_width(struct text *out, const struct history *history, const struct expander *expander,
                day through);

/* The same of the whole course: "upper width: 33.45 on 2026-10-28, -1.45 since 2026-09-02, +1.60
 * since the fit; 7.55 to the target 41.00". Since is the previous width of the rules (at least 14
 * days before); where that is the one of the fit it is told once. brief: without the target. */
void told_width_course(struct text *out, struct text *brief, const struct history *history,
                       const struct expander *expander, day through);

/* "LOW, 1 of 4 days met (told, runs high), 95 % 5-70 %", and why the class is lower than that. */
void told_wear(struct text *out, const struct wear_period *period);

/* "all five passed", or by name what did not or was not recorded. True: all five passed. */
bool told_checks(struct text *out, const struct expander *expander);

/* "R 1.25" of a visit; "-" where nothing was given, "?" only where an amount was given elsewhere
 * and is not known. */
void told_amount(struct text *out, const char *side, um amount, const struct visit *visit);

/* ", tissue mild, loose-band:right NOT repaired": what a visit found that is not sound. */
void told_findings(struct text *out, const struct visit *visit);

/* Was more given than was permitted? */
bool told_excess(const struct visit *visit, const struct judgement *judgement);

#endif
