/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The trend of a width: a straight line through its points, weeks since the fit across, millimetres
 * up (domain.md 5). Least squares by GSL, checked against NIST's certified Norris data; Theil-Sen
 * beside it (published: Theil 1950; Sen, J Am Stat Assoc 1968;63:1379), because one slip among few
 * points moves a least-squares line and hardly moves a median.
 *
 * Doubles in mm and weeks; nothing here is ever NaN or infinite when the answer is TREND_DRAWN.
 */
#ifndef SPRINGLINE_CORE_TREND_H
#define SPRINGLINE_CORE_TREND_H

#include "springline/core/statistics.h"
#include "springline/core/width.h"

enum {
    TREND_POINTS_MIN = 3,     /* practice setting of domain.md 5: below it, no line */
    TREND_SPAN_MIN_WEEKS = 6, /* the same, from the first point to the last */
    TREND_POINTS_MAX = 1000   /* ours: more dates than 19 years of weeks is a slip of an import, and
                                 Theil-Sen looks at every pair */
};

enum trend_refusal {
    TREND_DRAWN,    /* a line there is */
    TREND_FEW,      /* fewer than TREND_POINTS_MIN points */
    TREND_MANY,     /* more than TREND_POINTS_MAX points */
    TREND_ONE_DATE, /* all points lie on one day */
    TREND_SHORT,    /* the points span less than TREND_SPAN_MIN_WEEKS */
    TREND_UNSOUND,  /* a point is no number, or the arithmetic failed */
    TREND_NO_MEMORY /* the arena is exhausted */
};

/* Points in order of their dates, one a date. Owned by the arena they were made in. */
struct trend_points {
    double *weeks;
    double *widths_mm;
    size_t count;
};

struct trend {
    size_t points;
    double first_weeks, last_weeks;
    double mean_weeks, mean_width_mm; /* the point every least-squares line runs through */
    double spread_weeks2;             /* sum of (weeks - mean)^2 */
    double intercept_mm, intercept_se_mm;
    double slope_mm, slope_se_mm; /* a week */
    double residual_ss_mm2;       /* sum of squared residuals, points - 2 degrees of freedom */
    double residual_sd_mm;        /* 0 when all points lie on the line */
    bool has_theil_sen;           /* trend_theil_sen was asked */
    double theil_sen_slope_mm, theil_sen_intercept_mm;
};

/*
 * The widths that count for expander, dated from ... to (both included), repeats of a date
 * averaged, weeks counted from the expander's fitted_on. False: no memory. An expander that was
 * never fitted has no points. Any order of rows gives the same.
 */
bool trend_points(const struct history *history, const struct expander *expander, day from, day to,
                  struct arena *arena, struct trend_points *points);

/*
 * The days on which this expander moved the arch: from fitted_on to the earliest of out_on,
 * passive_on and through. What lies between two expanders (a rest, a repair) is in no one's span,
 * so that a gap never passes for slow movement. False: not fitted by through.
 */
bool trend_span(const struct expander *expander, day through, day *from, day *to);

/* Least squares of widths on weeks. On a refusal *trend is zeroed. All widths equal is a line of
 * slope 0. */
enum trend_refusal trend_fit(const struct trend_points *points, struct trend *trend);

/* Adds Theil-Sen: the median of the slopes of all pairs of different dates, and the median of
 * width - slope x weeks. Of points that trend_fit took; scratch in arena. */
enum trend_refusal trend_theil_sen(const struct trend_points *points, struct arena *arena,
                                   struct trend *trend);

/* The confidence interval (share 0.95: 95 %) of the slope, mm a week: Student's t with points - 2
 * degrees of freedom. False: share is not between 0 and 1, or there is no number for it. */
bool trend_slope_interval(const struct trend *trend, double share, struct interval *interval);

/* The confidence band of the line at weeks, mm, likewise: where the line lies, not where the next
 * measurement will. */
bool trend_band(const struct trend *trend, double weeks, double share, struct interval *interval);

/*
 * Do the two lines disagree? Their slopes differ by more than half the standard error of the
 * least-squares slope, and over the span of the points by more than least_mm (the error of a
 * width). Both limits are ours. Simulated with an error of 0.30 mm: of lines without a slip 6 of
 * 100 at most are flagged; with a slip of 3 mm 28 of 100 at 4 points, 53 to 61 at 5 to 12; of 3
 * points none is.
 */
bool trend_differs(const struct trend *trend, double least_mm);

#endif
