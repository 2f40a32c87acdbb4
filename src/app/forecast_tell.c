/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Trend, response and forecast as sentences. */
#include <inttypes.h>
#include <math.h>

#include "forecast_private.h"
#include "told.h"

const char forecast_caution[] =
    "Decision support: no rule uses it. It takes for granted that the case goes on as it did: a "
    "hold, a rest or a lost trainer to come is not in it. The day is that of the width; the visit "
    "that shows it comes later.";

static const double band_share = 0.95, years_to_days = 365.25, hundred = 100;
enum { HUNDREDTH_UM = 10, MM_MAX = 10000 };

/* Hundredths as the rest of the program prints them; what lies beyond every mouth is not shown. */
static um shown_um(double mm)
{
    return fabs(mm) < MM_MAX ? (um)lround(mm * hundred) * HUNDREDTH_UM : UM_NONE;
}

void forecast_tell_mm(struct text *out, double mm)
{
    um value = shown_um(mm);

    text_add(out, value != UM_NONE && value >= 0 ? "+" : "");
    told_mm(out, value);
}

static void add_mm(struct text *out, const char *before, double mm, const char *after)
{
    text_add(out, before);
    told_mm(out, shown_um(mm));
    text_add(out, after);
}

static void add_day(struct text *out, const char *before, day date)
{
    char text[DAY_TEXT_SIZE];

    text_addf(out, "%s%s", before, day_to_text(date, text));
}

/* ---- the last change ---- */

void forecast_tell_change(struct text *out, const struct heading *heading)
{
    const struct width_view *view = &heading->view;
    int64_t change = (int64_t)view->latest.value - view->previous.value;

    if (view->latest.date == DAY_NONE) {
        text_add(out, "last change: no width of this measure is recorded");
        return;
    }
    if (view->previous.date == DAY_NONE) {
        text_add(out, "last change: none to tell; one date alone is measured, or no two that lie "
                      "14 days apart");
        return;
    }
    text_add(out, "last change: ");
    forecast_tell_mm(out, (double)change / 1000);
    add_day(out, " mm from ", view->previous.date);
    add_day(out, " to ", view->latest.date);
    bool real = change > view->mdc || change < -view->mdc;
    text_add(out, real ? ", real: more than the " : ", within measurement error: up to ");
    told_mm(out, view->mdc);
    text_add(out, real ? " mm that measuring alone can make" : " mm can not be told from none");
}

/* ---- the trend ---- */

static const char *trend_lack(enum trend_refusal refusal)
{
    switch (refusal) {
    case TREND_FEW:
        return "fewer than 3 dates are measured since the fit";
    case TREND_MANY:
        return "more than 1000 dates are measured; look for a slip of an import";
    case TREND_ONE_DATE:
    case TREND_SHORT:
        return "the widths since the fit span less than 6 weeks";
    case TREND_DRAWN:
    case TREND_UNSOUND:
    case TREND_NO_MEMORY:
        break;
    }
    return "it could not be worked out; look for a slip among the widths";
}

void forecast_tell_trend(struct text *out, const struct heading *heading)
{
    const struct trend *trend = &heading->trend;
    struct interval slope, band;

    if (heading->trend_refusal != TREND_DRAWN || !trend_slope_interval(trend, band_share, &slope) ||
        !trend_band(trend, trend->last_weeks, band_share, &band)) {
        text_addf(out, "trend: none, %s", trend_lack(heading->trend_refusal));
        return;
    }
    text_add(out, "trend: ");
    forecast_tell_mm(out, trend->slope_mm);
    text_add(out, " mm a week (95 % ");
    forecast_tell_mm(out, slope.low);
    text_add(out, " to ");
    forecast_tell_mm(out, slope.high);
    text_addf(out, ") over %zu dates, weeks %.0f to %.0f since the fit", trend->points,
              trend->first_weeks, trend->last_weeks);
    text_addf(out, "; the line stands at ");
    told_mm(out, shown_um(trend->slope_mm * trend->last_weeks + trend->intercept_mm));
    add_mm(out, " mm in the last (95 % ", band.low, " to ");
    told_mm(out, shown_um(band.high));
    add_mm(out, "), residual SD ", trend->residual_sd_mm, " mm");
}

void forecast_tell_theil_sen(struct text *out, const struct heading *heading)
{
    double error = heading->history->protocol->width_error / 1000.0;

    if (heading->trend_refusal != TREND_DRAWN || !trend_differs(&heading->trend, error))
        return;
    text_add(out, "Theil-Sen gives ");
    forecast_tell_mm(out, heading->trend.theil_sen_slope_mm);
    text_add(out, " mm a week: the two disagree, as they do when one width is a slip; look at "
                  "each");
}

/* ---- the response ---- */

static const char *response_lack(enum response_refusal refusal)
{
    switch (refusal) {
    case RESPONSE_NO_GAIN:
        return "there is no baseline on or before the first fit, or no width after it";
    case RESPONSE_NOT_GIVEN:
        return "nothing was activated before the newest width";
    case RESPONSE_ELSEWHERE:
    case RESPONSE_KNOWN:
        break;
    }
    return "an activation elsewhere does not say how much was given";
}

void forecast_tell_response(struct text *out, const struct heading *heading)
{
    const struct response *response = &heading->response;

    if (heading->response_refusal != RESPONSE_KNOWN) {
        text_addf(out, "response: none, %s", response_lack(heading->response_refusal));
        return;
    }
    text_add(out, "response: ");
    forecast_tell_mm(out, response->ratio);
    text_add(out, " mm of width for each mm activated (95 % ");
    forecast_tell_mm(out, response->ratio - 1.96 * response->ratio_se);
    text_add(out, " to ");
    forecast_tell_mm(out, response->ratio + 1.96 * response->ratio_se);
    text_add(out, "): ");
    forecast_tell_mm(out, response->gain / 1000.0);
    text_add(out, " for ");
    told_mm(out, response->given);
    text_add(out, " mm, right and left summed");
}

void forecast_tell_growth(struct text *out, const struct heading *heading)
{
    const struct response *response = &heading->response;

    if (heading->response_refusal != RESPONSE_KNOWN || !response->long_gain)
        return;
    add_mm(out, "growth alone may have added ", response->growth_low_mm, " to ");
    told_mm(out, shown_um(response->growth_high_mm));
    text_addf(out, " mm of that in %.1f years (0.2 to 0.7 mm a year, published)",
              ((double)response->to - (double)response->from) / years_to_days);
}

/* ---- the forecast ---- */

/* What keeps a forecast from being given, and what to do; NULL: told with numbers. */
static const char *forecast_lack(enum forecast_reason reason)
{
    static const char *const texts[] = {
        [FORECAST_NOT_MOVING] = "by its widths the arch does not widen; look at wear, expander and "
                                "measurements",
        [FORECAST_BY_NOW] = "by its widths the target should be reached by now; measure",
        [FORECAST_NOT_FITTED] = "the expander is not fitted; record the fit",
        [FORECAST_ENDED] = "the expander is out or passive, or the case is closed",
        [FORECAST_NO_TARGET] = "no target is recorded; correct the expander",
        [FORECAST_NO_BASELINE] = "no width was taken on or before the first fit; enter it if it "
                                 "was measured",
        [FORECAST_REACHED] = "the newest width is within two steps of the target; plan retention",
        [FORECAST_LOST] = "the newest width is less than the one before by more than measuring "
                          "explains; find out why before looking ahead",
        [FORECAST_SHORT] = "the widths since the fit span less than 6 weeks, or lie in the slow "
                           "start; measure again at the next visit",
        [FORECAST_SCATTER] = "the widths scatter more than measuring explains; look for a slip "
                             "among them and correct it",
        [FORECAST_UNSOUND] = "it could not be worked out; look for a slip among the widths",
        [FORECAST_NO_MEMORY] = "memory ran out"};

    return reason < sizeof texts / sizeof texts[0] ? texts[reason] : NULL;
}

static void tell_lack(struct text *out, const struct heading *heading)
{
    const struct forecast *forecast = &heading->forecast;
    const char *lack = forecast_lack(forecast->reason);

    text_add(out, "no forecast: ");
    if (lack != NULL) {
        text_add(out, lack);
    } else if (forecast->reason == FORECAST_STALE) {
        text_addf(out, "the newest width is older than %" PRId32 " days; measure first",
                  heading->history->protocol->width_missing_days);
    } else if (forecast->reason == FORECAST_FEW_WIDTHS) {
        text_addf(out, "%zu date%s measured up to now, %d are needed; measure at each visit",
                  forecast->widths, forecast->widths == 1 ? " is" : "s are", TREND_POINTS_MIN);
    } else {
        text_addf(out,
                  "%zu case%s of this practice %s enough widths of this arch, site and landmark, "
                  "%d are needed",
                  heading->practice.cases, heading->practice.cases == 1 ? "" : "s",
                  heading->practice.cases == 1 ? "has" : "have", FORECAST_CASES_MIN);
    }
}

void forecast_tell_date(struct text *out, const struct heading *heading)
{
    const struct forecast *forecast = &heading->forecast;

    if (forecast->reason != FORECAST_GIVEN && forecast->reason != FORECAST_NOT_BEFORE) {
        tell_lack(out, heading);
        return;
    }
    text_add(out, "forecast: target ");
    told_mm(out, heading->expander->target);
    if (forecast->reason == FORECAST_GIVEN) {
        add_day(out, " mm reached between ", forecast->earliest);
        add_day(out, " and ", forecast->latest);
        text_addf(out, " (%d %% interval)", FORECAST_SHARE_PERMILLE / 10);
    } else {
        add_day(out, " mm not before ", forecast->earliest);
        if (forecast->earliest > heading->today)
            text_addf(out, " (%d of 100 such cases come later)", 50 + FORECAST_SHARE_PERMILLE / 20);
        text_add(out, "; no latest day can be told: it may hardly move, or it lies more than two "
                      "years ahead");
    }
}

void forecast_tell_basis(struct text *out, const struct heading *heading)
{
    const struct forecast *forecast = &heading->forecast;
    const struct forecast_practice *practice = &heading->practice;

    if (forecast->reason != FORECAST_GIVEN && forecast->reason != FORECAST_NOT_BEFORE)
        return;
    text_addf(out, "worked out from %zu cases of this practice and %zu dates of this one: ",
              practice->cases, forecast->widths);
    forecast_tell_mm(out, forecast->shrunk_mm);
    text_add(out, " mm a week, its own ");
    forecast_tell_mm(out, forecast->own_mm);
    text_add(out, " drawn towards the practice's ");
    forecast_tell_mm(out, practice->pool.mean);
    text_addf(out, "; %.1f weeks of slow start are left out of both", practice->lag_weeks);
}
