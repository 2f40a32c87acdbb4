/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/core/response.h"

#include <math.h>

static const double year_days = 365.25, um_of_mm = 1000;

/* Sums what was given on the arch before a day. False: an amount is not known. */
static bool sum_given(const struct history *history, enum arch arch, day before, int64_t *given)
{
    *given = 0;
    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->arch != arch || visit->date == DAY_NONE || visit->date >= before)
            continue;
        if (visit->elsewhere == ANSWER_YES && visit->kind == VISIT_ACTIVATION &&
            (visit->right == UM_NONE || visit->left == UM_NONE))
            return false;
        *given += visit->right > 0 ? visit->right : 0;
        *given += visit->left > 0 ? visit->left : 0;
    }
    return *given <= INT32_MAX;
}

enum response_refusal response_of(const struct history *history, const struct protocol *protocol,
                                  const struct expander *expander, day through,
                                  struct response *response)
{
    struct width_view view;
    int64_t given;

    *response = (struct response){.from = DAY_NONE, .to = DAY_NONE};
    width_view(history, protocol, expander, through, &view);
    if (!view.has_gain)
        return RESPONSE_NO_GAIN;
    if (!sum_given(history, expander->arch, view.latest.date, &given))
        return RESPONSE_ELSEWHERE;
    if (given == 0)
        return RESPONSE_NOT_GIVEN;
    double years = ((double)view.latest.date - (double)view.baseline.date) / year_days;
    double repeats = 1.0 / view.latest.repeats + 1.0 / view.baseline.repeats;
    *response = (struct response){
        .from = view.baseline.date,
        .to = view.latest.date,
        .gain = view.gain,
        .given = (um)given,
        .ratio = (double)view.gain / (double)given,
        .ratio_se = (double)protocol->width_error * sqrt(repeats) / (double)given,
        .growth_low_mm = years * GROWTH_LOW_UM_A_YEAR / um_of_mm,
        .growth_high_mm = years * GROWTH_HIGH_UM_A_YEAR / um_of_mm,
        .long_gain = years * GROWTH_HIGH_UM_A_YEAR > (double)protocol->width_error};
    return RESPONSE_KNOWN;
}
