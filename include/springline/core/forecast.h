/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * When will the target be reached? Decision support, never read by the rules (domain.md 5).
 *
 * The model. After a slow start each expander moves its arch at a speed of its own, the same from
 * week to week. The speed of a case is the least-squares slope of its widths; its standard error
 * follows from how far apart these lie and from one residual SD common to the practice (of three to
 * six widths a case's own is chance). The speeds of the practice's cases are pooled by a
 * random-effects model (pool.h), the case's is drawn towards their mean by its own error, and the
 * straight line through the mean of its widths is carried to the target. The interval holds the day
 * on which the width itself is there: a visit that shows it comes later, on a day that nobody knows
 * today, and so what a future measurement errs by is not in it.
 *
 * The slow start (domain.md 1: common practice, no source) would make every speed too small, and
 * the more so the younger the case. It is a bend common to the practice: until lag weeks after the
 * fit the arch stands still, from then on it moves. The lag is the one at which the lines of all
 * pooled cases leave the least sum of squares. tests/reference/calibration_test.c shows coverage
 * and bias with and without. To leave out the widths of the first six weeks instead was tried
 * there: as well calibrated, but of 100 cases under way 29 got a forecast, not 80.
 *
 * A rest is never in a speed: only widths from the fit of one expander to the day it is out or
 * passive are used (trend_span), one expander a case. At the arch's first fit the baseline stands
 * for its day if it is not older than FORECAST_BASELINE_DAYS.
 */
#ifndef SPRINGLINE_CORE_FORECAST_H
#define SPRINGLINE_CORE_FORECAST_H

#include "springline/core/pool.h"
#include "springline/core/trend.h"

/* All ours: no source. */
enum {
    /* Cases behind a pooled speed; as many as repeat pairs before the practice's own error counts.
     */
    FORECAST_CASES_MIN = 10,
    /* Of the prediction interval: domain.md 5. */
    FORECAST_SHARE_PERMILLE = 800,
    /* A slow start is looked for up to so many weeks, in halves of a week. */
    FORECAST_LAG_MAX_WEEKS = 8,
    FORECAST_LAG_STEPS = 2,
    /* As width_stale_days. */
    FORECAST_BASELINE_DAYS = 42,
    /* A residual SD beyond so many errors of a width: a slip among them; that it is chance is below
     * 1 in 1,000,000. */
    FORECAST_SCATTER_TIMES = 5,
    /* A straight line is carried no further. */
    FORECAST_AHEAD_DAYS = 730
};

enum forecast_reason {
    FORECAST_GIVEN,      /* earliest and latest */
    FORECAST_NOT_BEFORE, /* earliest only: the interval of the speed includes none at all, or the
                            latest day lies beyond FORECAST_AHEAD_DAYS */
    FORECAST_NOT_MOVING, /* even at the fast end of its interval the width does not grow */
    FORECAST_BY_NOW,     /* the whole interval is past: a width is due */
    FORECAST_NOT_FITTED, /* no fit, or a later one */
    FORECAST_ENDED,      /* out, left in passively, or the case is closed */
    FORECAST_NO_TARGET,
    FORECAST_NO_BASELINE, /* no width on or before the arch's first fit */
    FORECAST_REACHED,     /* newest width within two steps of the target (rule target-reached) */
    FORECAST_LOST,        /* newest width below the previous one by more than the MDC */
    FORECAST_STALE,       /* newest width older than the protocol's width_missing_days */
    FORECAST_FEW_WIDTHS,  /* fewer than TREND_POINTS_MIN dates */
    FORECAST_SHORT,       /* these span less than TREND_SPAN_MIN_WEEKS, or lie in the slow start */
    FORECAST_SCATTER,     /* they scatter more than measuring explains */
    FORECAST_FEW_CASES,   /* fewer than FORECAST_CASES_MIN cases of this arch, site and landmark */
    FORECAST_UNSOUND,     /* a number could not be worked out */
    FORECAST_NO_MEMORY
};

/* The speeds of the practice's cases at one arch, site and landmark. */
struct forecast_practice {
    size_t cases;
    double lag_weeks;      /* of the slow start */
    double residual_sd_mm; /* about each case's own line; at least half the error of a width */
    struct pool pool;      /* mm a week; zeroed where there is none */
};

struct forecast {
    enum forecast_reason reason;
    day earliest, latest;           /* DAY_NONE: none; never before today */
    struct width_view view;         /* as of today */
    size_t widths;                  /* dates used */
    double own_mm, own_se_mm;       /* speed of the case, mm a week; 0 where not worked out */
    double shrunk_mm, shrunk_se_mm; /* drawn towards the practice's */
};

/*
 * The widths of one expander that count for its speed, up to through, in arena. width_error: of a
 * protocol; below a hundredth of a millimetre it counts as that. FORECAST_GIVEN, or why they give
 * none: _NOT_FITTED, _FEW_WIDTHS, _SHORT, _SCATTER, _UNSOUND, _NO_MEMORY; points are filled all the
 * same, but for the last. history->protocol is not read.
 */
enum forecast_reason forecast_points(const struct history *history, const struct expander *expander,
                                     um width_error, day through, struct arena *arena,
                                     struct trend_points *points);

/*
 * The widths a case gives to the pool: of its expanders of like's arch, site and landmark those
 * that span the most weeks. The teeth may be others than like's: speeds, not widths, are compared.
 * Results as above.
 */
enum forecast_reason forecast_best_points(const struct history *history,
                                          const struct expander *like, um width_error, day through,
                                          struct arena *arena, struct trend_points *points);

/* Pools the speeds of count cases at the lag that suits them best. FORECAST_GIVEN, _FEW_CASES
 * (practice->cases says how many), _UNSOUND, _NO_MEMORY. */
enum forecast_reason forecast_pool(const struct trend_points *cases, size_t count, um width_error,
                                   struct arena *arena, struct forecast_practice *practice);

/* The same at a lag that is given: what a test holds beside it. */
enum forecast_reason forecast_pool_at(const struct trend_points *cases, size_t count,
                                      double lag_weeks, um width_error, struct arena *arena,
                                      struct forecast_practice *practice);

/* The forecast of one expander as of today; forecast->reason says what there is. practice is of its
 * arch, site and landmark; that it has too few cases is told once nothing nearer stands against a
 * forecast. */
void forecast_case(const struct history *history, const struct expander *expander, day today,
                   const struct forecast_practice *practice, struct arena *arena,
                   struct forecast *forecast);

/* ---- the arithmetic alone, for whoever checks it ---- */

struct forecast_line {            /* a line through a mean, and what is not known of it */
    double level_mm, level_se_mm; /* at the mean */
    double slope_mm, slope_se_mm; /* a week */
    double times;                 /* half width of the interval in standard errors */
};

struct forecast_when { /* weeks from the line's mean */
    bool has_earliest; /* false: never */
    bool has_latest;   /* false: there is no last week, the slope may be none */
    double earliest_weeks, latest_weeks;
};

/*
 * When level + slope x weeks -+ times x its error comes to room_mm above the level (Fieller's
 * interval; published: J R Stat Soc B 1954;16:175). Where room_mm is within the error of the level,
 * earliest_weeks is 0.
 */
void forecast_reach(const struct forecast_line *line, double room_mm, struct forecast_when *when);

#endif
