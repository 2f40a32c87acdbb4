/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The speed of each case, pooled, and the day on which one of them reaches its target. */
#include "springline/core/forecast.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_fit.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>

enum { WEEK_DAYS = 7, HUNDREDTH_UM = 10, TARGET_STEPS = 2 /* as the rule target-reached */ };

static const double um_of_mm = 1000;

/* An error of nothing would give a case the weight of all others together. */
static double error_mm(um width_error)
{
    return (width_error < HUNDREDTH_UM ? HUNDREDTH_UM : width_error) / um_of_mm;
}

/* ---- the widths of one expander ---- */

static enum forecast_reason reason_of(enum trend_refusal refusal)
{
    switch (refusal) {
    case TREND_DRAWN:
        return FORECAST_GIVEN;
    case TREND_FEW:
        return FORECAST_FEW_WIDTHS;
    case TREND_SHORT:
    case TREND_ONE_DATE:
        return FORECAST_SHORT;
    default:
        return FORECAST_UNSOUND;
    }
}

/* Of what was measured up to the fit only the last, as of the fit: nothing moved the arch before.
 */
static void drop_earlier(struct trend_points *points)
{
    size_t before = 0;

    while (before < points->count && points->weeks[before] <= 0)
        before++;
    if (before == 0)
        return;
    points->weeks += before - 1;
    points->widths_mm += before - 1;
    points->count -= before - 1;
    points->weeks[0] = 0;
}

static bool is_first_fit(const struct history *history, const struct expander *expander)
{
    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *other = &history->expanders[i];
        if (other->arch == expander->arch && other->fitted_on != DAY_NONE &&
            other->fitted_on < expander->fitted_on)
            return false;
    }
    return true;
}

enum forecast_reason forecast_points(const struct history *history, const struct expander *expander,
                                     um width_error, day through, struct arena *arena,
                                     struct trend_points *points)
{
    struct trend trend;
    day from, to;

    *points = (struct trend_points){.count = 0};
    if (!trend_span(expander, through, &from, &to))
        return FORECAST_NOT_FITTED;
    if (is_first_fit(history, expander))
        from -= FORECAST_BASELINE_DAYS;
    if (!trend_points(history, expander, from, to, arena, points))
        return FORECAST_NO_MEMORY;
    drop_earlier(points);
    enum forecast_reason reason = reason_of(trend_fit(points, &trend));
    if (reason == FORECAST_GIVEN &&
        trend.residual_sd_mm > FORECAST_SCATTER_TIMES * error_mm(width_error))
        return FORECAST_SCATTER;
    return reason;
}

static double span_of(const struct trend_points *points)
{
    return points->count == 0 ? 0 : points->weeks[points->count - 1] - points->weeks[0];
}

enum forecast_reason forecast_best_points(const struct history *history,
                                          const struct expander *like, um width_error, day through,
                                          struct arena *arena, struct trend_points *points)
{
    enum forecast_reason best = FORECAST_NOT_FITTED;

    *points = (struct trend_points){.count = 0};
    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        struct trend_points tried;
        if (expander->arch != like->arch || expander->site != like->site ||
            expander->landmark != like->landmark)
            continue;
        enum forecast_reason reason =
            forecast_points(history, expander, width_error, through, arena, &tried);
        if (reason == FORECAST_NO_MEMORY)
            return reason;
        if (best != FORECAST_GIVEN ||
            (reason == FORECAST_GIVEN && span_of(&tried) > span_of(points))) {
            best = reason;
            *points = tried;
        }
    }
    return best;
}

/* ---- the practice ---- */

struct speed { /* a line through the widths of one case, weeks counted from the end of the lag */
    double mean_weeks, mean_width_mm, spread_weeks2, slope_mm, residual_ss_mm2;
};

/* False: all its widths lie in the slow start, or the arithmetic failed. moved: scratch. */
static bool speed_at(const struct trend_points *points, double lag_weeks, double *moved,
                     struct speed *speed)
{
    double intercept, variance, covariance, variance_slope;

    for (size_t i = 0; i < points->count; i++)
        moved[i] = fmax(0, points->weeks[i] - lag_weeks);
    speed->mean_weeks = gsl_stats_mean(moved, 1, points->count);
    speed->mean_width_mm = gsl_stats_mean(points->widths_mm, 1, points->count);
    speed->spread_weeks2 = gsl_stats_tss_m(moved, 1, points->count, speed->mean_weeks);
    if (!(speed->spread_weeks2 > 0) ||
        gsl_fit_linear(moved, 1, points->widths_mm, 1, points->count, &intercept, &speed->slope_mm,
                       &variance, &covariance, &variance_slope,
                       &speed->residual_ss_mm2) != GSL_SUCCESS)
        return false;
    return isfinite(speed->slope_mm) && isfinite(speed->residual_ss_mm2);
}

static double *scratch_for(const struct trend_points *cases, size_t count, struct arena *arena)
{
    size_t most = 0;

    for (size_t i = 0; i < count; i++)
        most = cases[i].count > most ? cases[i].count : most;
    return arena_array(arena, most, sizeof(double));
}

enum forecast_reason forecast_pool_at(const struct trend_points *cases, size_t count,
                                      double lag_weeks, um width_error, struct arena *arena,
                                      struct forecast_practice *practice)
{
    double *slopes = arena_array(arena, count, sizeof *slopes);
    double *errors = arena_array(arena, count, sizeof *errors);
    double *moved = scratch_for(cases, count, arena);
    double squares = 0, freedom = 0;

    *practice = (struct forecast_practice){.lag_weeks = lag_weeks};
    if (slopes == NULL || errors == NULL || moved == NULL)
        return FORECAST_NO_MEMORY;
    for (size_t i = 0; i < count; i++) {
        struct speed speed;
        if (!speed_at(&cases[i], lag_weeks, moved, &speed))
            continue;
        slopes[practice->cases] = speed.slope_mm;
        errors[practice->cases++] = 1 / sqrt(speed.spread_weeks2);
        squares += speed.residual_ss_mm2;
        freedom += (double)cases[i].count - 2;
    }
    if (practice->cases < FORECAST_CASES_MIN)
        return FORECAST_FEW_CASES;
    practice->residual_sd_mm = fmax(error_mm(width_error) / 2, sqrt(squares / freedom));
    for (size_t i = 0; i < practice->cases; i++)
        errors[i] *= practice->residual_sd_mm;
    return pool_fit(slopes, errors, practice->cases, &practice->pool) ? FORECAST_GIVEN
                                                                      : FORECAST_UNSOUND;
}

/* What the lines of all cases leave at a lag. Those without one keep their scatter about a mean. */
static double left_at(const struct trend_points *cases, size_t count, double lag_weeks,
                      double *moved)
{
    double squares = 0;

    for (size_t i = 0; i < count; i++) {
        struct speed speed;
        if (speed_at(&cases[i], lag_weeks, moved, &speed))
            squares += speed.residual_ss_mm2;
        else
            squares += gsl_stats_tss(cases[i].widths_mm, 1, cases[i].count);
    }
    return squares;
}

enum forecast_reason forecast_pool(const struct trend_points *cases, size_t count, um width_error,
                                   struct arena *arena, struct forecast_practice *practice)
{
    double best = 0, least = HUGE_VAL;
    double *moved = scratch_for(cases, count, arena);

    *practice = (struct forecast_practice){.cases = count};
    if (moved == NULL)
        return FORECAST_NO_MEMORY;
    if (count < FORECAST_CASES_MIN)
        return FORECAST_FEW_CASES;
    for (int step = 0; step <= FORECAST_LAG_MAX_WEEKS * FORECAST_LAG_STEPS; step++) {
        double lag = (double)step / FORECAST_LAG_STEPS, left = left_at(cases, count, lag, moved);
        if (left < least) {
            least = left;
            best = lag;
        }
    }
    return forecast_pool_at(cases, count, best, width_error, arena, practice);
}

/* ---- one case ---- */

static bool is_by(day date, day today)
{
    return date != DAY_NONE && date <= today;
}

/* What stands against a forecast by the record alone. */
static enum forecast_reason nearest_reason(const struct history *history,
                                           const struct expander *expander, day today,
                                           const struct width_view *view)
{
    um step = history->protocol->step_grain;

    if (!is_by(expander->fitted_on, today))
        return FORECAST_NOT_FITTED;
    if (is_by(expander->out_on, today) || is_by(expander->passive_on, today) ||
        is_by(history->casefile->closed_on, today))
        return FORECAST_ENDED;
    if (expander->target == UM_NONE)
        return FORECAST_NO_TARGET;
    if (view->baseline.date == DAY_NONE)
        return FORECAST_NO_BASELINE;
    if (view->latest.value > expander->target - TARGET_STEPS * step)
        return FORECAST_REACHED;
    if (view->previous.date != DAY_NONE && view->previous.value - view->latest.value > view->mdc)
        return FORECAST_LOST; /* a line through it would promise what is going the other way */
    return FORECAST_GIVEN;
}

void forecast_reach(const struct forecast_line *line, double room_mm, struct forecast_when *when)
{
    double times2 = line->times * line->times, level2 = line->level_se_mm * line->level_se_mm;
    double slope2 = line->slope_se_mm * line->slope_se_mm;
    double sure = line->slope_mm * line->slope_mm - times2 * slope2;
    double root = line->times * sqrt(fmax(0, room_mm * room_mm * slope2 + level2 * sure));
    double ahead = room_mm * line->slope_mm + root;

    *when = (struct forecast_when){.has_earliest = true};
    if (room_mm > line->times * line->level_se_mm) {
        when->has_earliest = line->slope_mm + line->times * line->slope_se_mm > 0 && ahead > 0;
        if (when->has_earliest)
            when->earliest_weeks = (room_mm * room_mm - times2 * level2) / ahead;
    }
    when->has_latest = when->has_earliest && line->slope_mm > 0 && sure > 0;
    if (when->has_latest)
        when->latest_weeks = ahead / sure;
}

/* Weeks after the fit as a day, not beyond the last that is looked at. */
static day day_of_weeks(const struct expander *expander, double weeks, bool up, day last)
{
    double days = weeks * WEEK_DAYS, away = (double)last - (double)expander->fitted_on;

    if (!(days < away))
        return last;
    return expander->fitted_on + (day)(up ? ceil(days) : floor(days));
}

/* start_weeks: where the weeks of *when begin, counted from the fit. */
static void set_days(const struct expander *expander, day today, double start_weeks,
                     const struct forecast_when *when, struct forecast *forecast)
{
    day last = today + FORECAST_AHEAD_DAYS, latest = last;

    if (!when->has_earliest) {
        forecast->reason = FORECAST_NOT_MOVING;
        return;
    }
    day earliest = day_of_weeks(expander, start_weeks + when->earliest_weeks, false, last);
    if (when->has_latest)
        latest = day_of_weeks(expander, start_weeks + when->latest_weeks, true, last);
    if (latest < today) {
        forecast->reason = FORECAST_BY_NOW;
        return;
    }
    forecast->earliest = earliest < today ? today : earliest;
    forecast->reason = latest < last ? FORECAST_GIVEN : FORECAST_NOT_BEFORE;
    forecast->latest = latest < last ? latest : DAY_NONE;
}

/* From widths that gave a speed and a practice that was pooled. */
static void carry_on(const struct expander *expander, day today, const struct trend_points *points,
                     const struct forecast_practice *practice, struct arena *arena,
                     struct forecast *forecast)
{
    double sd = practice->residual_sd_mm;
    double *moved = scratch_for(points, 1, arena);
    struct forecast_line line = {.level_se_mm = sd / sqrt((double)points->count)};
    struct forecast_when when;
    struct speed speed;

    forecast->reason = moved == NULL ? FORECAST_NO_MEMORY : FORECAST_SHORT;
    if (moved == NULL || !speed_at(points, practice->lag_weeks, moved, &speed))
        return;
    forecast->own_mm = speed.slope_mm;
    forecast->own_se_mm = sd / sqrt(speed.spread_weeks2);
    line.level_mm = speed.mean_width_mm;
    line.times = gsl_cdf_tdist_Pinv(0.5 + FORECAST_SHARE_PERMILLE / 2000.0,
                                    (double)(practice->pool.cases - 2));
    if (!isfinite(line.times) ||
        !pool_shrink(&practice->pool, forecast->own_mm, forecast->own_se_mm, &line.slope_mm,
                     &line.slope_se_mm)) {
        forecast->reason = FORECAST_UNSOUND;
        return;
    }
    forecast->shrunk_mm = line.slope_mm;
    forecast->shrunk_se_mm = line.slope_se_mm;
    forecast_reach(&line, expander->target / um_of_mm - line.level_mm, &when);
    set_days(expander, today, practice->lag_weeks + speed.mean_weeks, &when, forecast);
}

void forecast_case(const struct history *history, const struct expander *expander, day today,
                   const struct forecast_practice *practice, struct arena *arena,
                   struct forecast *forecast)
{
    const struct protocol *protocol = history->protocol;
    struct trend_points points;

    *forecast = (struct forecast){.earliest = DAY_NONE, .latest = DAY_NONE};
    width_view(history, protocol, expander, today, &forecast->view);
    forecast->reason = nearest_reason(history, expander, today, &forecast->view);
    if (forecast->reason != FORECAST_GIVEN)
        return;
    forecast->reason =
        forecast_points(history, expander, protocol->width_error, today, arena, &points);
    forecast->widths = points.count;
    if (forecast->reason != FORECAST_GIVEN)
        return;
    if (forecast->view.latest.date < today - protocol->width_missing_days)
        forecast->reason = FORECAST_STALE;
    else if (practice->pool.cases < FORECAST_CASES_MIN)
        forecast->reason = FORECAST_FEW_CASES;
    else
        carry_on(expander, today, &points, practice, arena, forecast);
}
