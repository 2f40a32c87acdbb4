/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the parts of a forecast's view share: forecast_view.c reads, forecast_tell.c says. */
#ifndef SPRINGLINE_APP_FORECAST_PRIVATE_H
#define SPRINGLINE_APP_FORECAST_PRIVATE_H

#include "springline/base/text.h"
#include "springline/core/forecast.h"
#include "springline/core/response.h"

/* Everything worked out of one expander. */
struct heading {
    const struct history *history;
    const struct expander *expander;
    day today;
    struct width_view view;
    enum trend_refusal trend_refusal;
    struct trend trend;
    enum response_refusal response_refusal;
    struct response response;
    struct forecast_practice practice;
    struct forecast forecast;
};

/* Fills all but practice and forecast, from the case alone. False: no memory. */
bool heading_make(const struct history *history, const struct expander *expander, day today,
                  struct heading *heading);

/* Each appends one sentence without a line break; nothing where there is nothing to say. */
void forecast_tell_change(struct text *out, const struct heading *heading);
void forecast_tell_trend(struct text *out, const struct heading *heading);
void forecast_tell_theil_sen(struct text *out, const struct heading *heading);
void forecast_tell_response(struct text *out, const struct heading *heading);
void forecast_tell_growth(struct text *out, const struct heading *heading);
void forecast_tell_date(struct text *out, const struct heading *heading);
void forecast_tell_basis(struct text *out, const struct heading *heading);
/* "+0.31": mm to hundredths, with its sign; "?" where it is no number of a mouth. */
void forecast_tell_mm(struct text *out, double mm);

/* What holds of every forecast. */
extern const char forecast_caution[];

#endif
