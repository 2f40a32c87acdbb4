/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The parts of a chart; chart_text puts them together. */
#ifndef SPRINGLINE_APP_CHART_PRIVATE_H
#define SPRINGLINE_APP_CHART_PRIVATE_H

#include "springline/base/text.h"
#include "springline/core/history.h"
#include "springline/store/signature.h"

/* A date, or "-". */
void chart_date(struct text *out, day date);
/* Millimetres with two decimals, or "-". */
void chart_value(struct text *out, um value);
/* The visit that follows previous (NULL: the first one) by date, arch and ledger; NULL at the end.
 */
const struct visit *chart_next_visit(const struct history *history, const struct visit *previous);
/* Visits oldest first, with amounts, sums per side since the arch's first activation, verdicts,
 * signatures. */
void chart_visits(struct text *out, const struct history *history,
                  const struct signed_rows *signed_rows, int columns);
/* Widths by arch, site, landmark and teeth: never two landmarks under one heading. */
void chart_widths(struct text *out, const struct history *history);
/* Wear by period and by calendar month, newest first, with its source and 95 % interval, hours by
 * day, sensor beside told; whether it drifts. */
void chart_wear(struct text *out, const struct history *history, day today, int columns);
/* What an arch that is held kept of its gain, its checks; nothing while it is moved. */
void chart_stability(struct text *out, const struct history *history, day today, int columns);

/* Of each arch its picture, columns wide, with what its signs mean. */
void chart_pictures(struct text *out, const struct history *history, day today, int columns);
/* Contacts oldest first, standing bookings, how many were missed and cancelled. */
void chart_desk(struct text *out, const struct history *history, day today);
/* The next date, overdue or not, when last seen, and every safety item that stands. */
void chart_next(struct text *out, const struct history *history, day today);

#endif
