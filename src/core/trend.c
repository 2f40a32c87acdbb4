/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A line through the widths of one expander: least squares and Theil-Sen. */
#include "springline/core/trend.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_fit.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { WEEK_DAYS = 7, UM_OF_MM = 1000 };

/* ---- the points ---- */

struct dated { /* one measurement */
    day date;
    um value;
};

static int compare_dated(const void *a, const void *b)
{
    const struct dated *one = a, *other = b;

    if (one->date != other->date)
        return one->date < other->date ? -1 : 1;
    return one->value < other->value ? -1 : one->value > other->value;
}

static size_t take_widths(const struct history *history, const struct expander *expander, day from,
                          day to, struct dated *dated)
{
    size_t count = 0;

    for (size_t i = 0; i < history->width_count; i++) {
        const struct width *width = &history->widths[i];
        if (width->date == DAY_NONE || width->value == UM_NONE || width->date < from ||
            width->date > to || !width_counts(width, expander))
            continue;
        dated[count++] = (struct dated){width->date, width->value};
    }
    return count;
}

bool trend_points(const struct history *history, const struct expander *expander, day from, day to,
                  struct arena *arena, struct trend_points *points)
{
    *points = (struct trend_points){.count = 0};
    if (history->width_count == 0 || expander->fitted_on == DAY_NONE)
        return true;
    struct dated *dated = arena_array(arena, history->width_count, sizeof *dated);
    points->weeks = arena_array(arena, history->width_count, sizeof *points->weeks);
    points->widths_mm = arena_array(arena, history->width_count, sizeof *points->widths_mm);
    if (dated == NULL || points->weeks == NULL || points->widths_mm == NULL)
        return false;
    size_t count = take_widths(history, expander, from, to, dated);
    qsort(dated, count, sizeof *dated, compare_dated);
    for (size_t i = 0, next = 0; i < count; i = next) {
        double sum = 0;
        for (next = i; next < count && dated[next].date == dated[i].date; next++)
            sum += dated[next].value;
        points->weeks[points->count] =
            ((double)dated[i].date - (double)expander->fitted_on) / WEEK_DAYS;
        points->widths_mm[points->count++] = sum / (double)(next - i) / UM_OF_MM;
    }
    return true;
}

bool trend_span(const struct expander *expander, day through, day *from, day *to)
{
    if (expander->fitted_on == DAY_NONE || expander->fitted_on > through)
        return false;
    *from = expander->fitted_on;
    *to = through;
    if (expander->out_on != DAY_NONE && expander->out_on < *to)
        *to = expander->out_on;
    if (expander->passive_on != DAY_NONE && expander->passive_on < *to)
        *to = expander->passive_on;
    return true;
}

/* ---- least squares ---- */

static enum trend_refusal refusal_of(const struct trend_points *points)
{
    if (points->count < TREND_POINTS_MIN)
        return TREND_FEW;
    if (points->count > TREND_POINTS_MAX)
        return TREND_MANY;
    for (size_t i = 0; i < points->count; i++) {
        if (!isfinite(points->weeks[i]) || !isfinite(points->widths_mm[i]))
            return TREND_UNSOUND;
    }
    double low, high;
    gsl_stats_minmax(&low, &high, points->weeks, 1, points->count);
    if (high <= low)
        return TREND_ONE_DATE;
    return high - low < TREND_SPAN_MIN_WEEKS ? TREND_SHORT : TREND_DRAWN;
}

static bool all_finite(const struct trend *trend)
{
    return isfinite(trend->intercept_mm) && isfinite(trend->intercept_se_mm) &&
           isfinite(trend->slope_mm) && isfinite(trend->slope_se_mm) &&
           isfinite(trend->residual_sd_mm) && isfinite(trend->spread_weeks2) &&
           isfinite(trend->mean_width_mm);
}

enum trend_refusal trend_fit(const struct trend_points *points, struct trend *trend)
{
    enum trend_refusal refusal = refusal_of(points);
    double variance_intercept, covariance, variance_slope;

    *trend = (struct trend){.points = 0};
    if (refusal != TREND_DRAWN)
        return refusal;
    struct trend made = {.points = points->count};
    if (gsl_fit_linear(points->weeks, 1, points->widths_mm, 1, points->count, &made.intercept_mm,
                       &made.slope_mm, &variance_intercept, &covariance, &variance_slope,
                       &made.residual_ss_mm2) != GSL_SUCCESS)
        return TREND_UNSOUND;
    gsl_stats_minmax(&made.first_weeks, &made.last_weeks, points->weeks, 1, points->count);
    made.mean_weeks = gsl_stats_mean(points->weeks, 1, points->count);
    made.mean_width_mm = gsl_stats_mean(points->widths_mm, 1, points->count);
    made.spread_weeks2 = gsl_stats_tss_m(points->weeks, 1, points->count, made.mean_weeks);
    made.intercept_se_mm = sqrt(variance_intercept);
    made.slope_se_mm = sqrt(variance_slope);
    made.residual_sd_mm = sqrt(made.residual_ss_mm2 / (double)(points->count - 2));
    if (!all_finite(&made))
        return TREND_UNSOUND;
    *trend = made;
    return TREND_DRAWN;
}

/* The half width of an interval of share, in standard errors. */
static bool student(const struct trend *trend, double share, double *times)
{
    if (trend->points < TREND_POINTS_MIN || !(share > 0) || !(share < 1))
        return false;
    *times = gsl_cdf_tdist_Pinv((1 + share) / 2, (double)(trend->points - 2));
    return isfinite(*times);
}

bool trend_slope_interval(const struct trend *trend, double share, struct interval *interval)
{
    double times;

    if (!student(trend, share, &times))
        return false;
    interval->low = trend->slope_mm - times * trend->slope_se_mm;
    interval->high = trend->slope_mm + times * trend->slope_se_mm;
    return true;
}

bool trend_band(const struct trend *trend, double weeks, double share, struct interval *interval)
{
    double times, away = weeks - trend->mean_weeks;

    if (!isfinite(weeks) || !student(trend, share, &times))
        return false;
    /* About the mean, where level and slope do not depend on each other: nothing cancels. */
    double level = trend->mean_width_mm + trend->slope_mm * away;
    double error = trend->residual_sd_mm *
                   sqrt(1 / (double)trend->points + away * away / trend->spread_weeks2);
    interval->low = level - times * error;
    interval->high = level + times * error;
    return isfinite(interval->low) && isfinite(interval->high);
}

/* ---- Theil-Sen ---- */

static double median(double *values, size_t count)
{
    gsl_sort(values, 1, count);
    return gsl_stats_median_from_sorted_data(values, 1, count);
}

enum trend_refusal trend_theil_sen(const struct trend_points *points, struct arena *arena,
                                   struct trend *trend)
{
    enum trend_refusal refusal = refusal_of(points);
    size_t count = 0;

    if (refusal != TREND_DRAWN)
        return refusal;
    double *values = arena_array(arena, points->count * (points->count - 1) / 2, sizeof *values);
    if (values == NULL)
        return TREND_NO_MEMORY;
    for (size_t i = 0; i < points->count; i++) {
        for (size_t j = i + 1; j < points->count; j++) {
            double weeks = points->weeks[j] - points->weeks[i];
            if (weeks != 0)
                values[count++] = (points->widths_mm[j] - points->widths_mm[i]) / weeks;
        }
    }
    double slope = median(values, count);
    for (size_t i = 0; i < points->count; i++)
        values[i] = points->widths_mm[i] - slope * points->weeks[i];
    double intercept = median(values, points->count);
    if (!isfinite(slope) || !isfinite(intercept))
        return TREND_UNSOUND;
    trend->has_theil_sen = true;
    trend->theil_sen_slope_mm = slope;
    trend->theil_sen_intercept_mm = intercept;
    return TREND_DRAWN;
}

bool trend_differs(const struct trend *trend, double least_mm)
{
    double apart = fabs(trend->theil_sen_slope_mm - trend->slope_mm);

    return trend->has_theil_sen && apart > trend->slope_se_mm / 2 &&
           apart * (trend->last_weeks - trend->first_weeks) > least_mm;
}
