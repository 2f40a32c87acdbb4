/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Where a case is heading, in words: the last change against the error of measuring, the trend, the
 * response, the forecast with its range of dates or why there is none. Decision support: nothing of
 * it is read by a rule, and the text says so. The numbers: core/trend.h, response.h, forecast.h.
 */
#ifndef SPRINGLINE_APP_FORECAST_VIEW_H
#define SPRINGLINE_APP_FORECAST_VIEW_H

#include "springline/app/visit.h"

/*
 * The lines of an arch (ARCH_NONE: of every arch with a fitted expander), the widths up to today.
 * Where a forecast can be, reads what was measured in every case of the practice, once: not for
 * every key. No fitted expander: no line.
 */
enum status forecast_view_tell(struct app *app, const struct history *history, enum arch arch,
                               struct arena *arena, struct lines *lines, struct error *error);

/* The same of a case by its id, with number, name and birth date as the first line. */
enum status forecast_view_case(struct app *app, const struct id *casefile, enum arch arch,
                               struct arena *arena, struct lines *lines, struct error *error);

/* Appends trend and response of one expander in one line, from the case alone: cheap enough for a
 * row of a list. False: no memory. */
bool forecast_view_brief(struct text *out, const struct history *history,
                         const struct expander *expander, day today);

#endif
