/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does the result hold, in the same words on chart and case screen. */
#ifndef SPRINGLINE_APP_TOLD_STABILITY_H
#define SPRINGLINE_APP_TOLD_STABILITY_H

#include "springline/app/visit.h"
#include "springline/core/stability.h"

/* Appends "upper held since 2026-09-25: 37.10 to 37.35 on 2026-10-30, +0.25 mm (within error)"; a
 * real relapse with its share of the gain; or what is missing to tell. */
void told_stability(struct text *out, const struct stability *stability);

/* "RELAPSE", "no change", "wider", "no width": the same in a word. */
const char *told_stability_mark(const struct stability *stability);

/* Appends "checks: 1 month due 2027-04-24, 3 months ... made 2027-06-26"; the end of retention. */
void told_checks_due(struct text *out, const struct stability *stability);

/* All of it, a line each, with the published figures and their standing; false: no memory. */
bool told_stability_lines(struct arena *arena, struct lines *lines, struct text *text,
                          const struct stability *stability);

/* The published figures alone. */
extern const char *const told_stability_published[];
extern const size_t told_stability_published_count;

#endif
