/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The widths that count for an expander: latest, baseline, previous, and what can be told apart. */
#include "springline/core/width.h"

#include <math.h>

#include "springline/core/statistics.h"

/* Two widths closer together than this are too near for a trend (domain: "at least 14 days"). */
enum { PREVIOUS_DAYS = 14 };

bool width_counts(const struct width *width, const struct expander *expander)
{
    /* What was not recorded is not the same: an unknown landmark never matches an unknown one. */
    return width->arch == expander->arch && width->site == expander->site &&
           width->landmark == expander->landmark && width->teeth.right == expander->teeth.right &&
           width->teeth.left == expander->teeth.left && width->arch != ARCH_NONE &&
           width->site != SITE_NONE && width->landmark != LANDMARK_NONE &&
           width->teeth.right != 0 && width->teeth.left != 0;
}

static bool width_stands(const struct width *width, const struct expander *expander)
{
    return width->date != DAY_NONE && width->value != UM_NONE && width_counts(width, expander);
}

static day first_fitted_of(const struct history *history, enum arch arch)
{
    day first = DAY_NONE;

    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (expander->arch == arch && expander->fitted_on != DAY_NONE &&
            (first == DAY_NONE || expander->fitted_on < first))
            first = expander->fitted_on;
    }
    return first;
}

/* The newest date of a width on or before through; DAY_NONE, which lies before all, when none. */
static day newest_date(const struct history *history, const struct expander *expander, day through)
{
    day newest = DAY_NONE;

    for (size_t i = 0; i < history->width_count; i++) {
        const struct width *width = &history->widths[i];
        if (width->date > newest && width->date <= through && width_stands(width, expander))
            newest = width->date;
    }
    return newest;
}

/* The mean of the repeats of one date. */
static struct width_point point_on(const struct history *history, const struct expander *expander,
                                   day date)
{
    struct width_point point = {.date = DAY_NONE, .value = UM_NONE, .repeats = 0};
    int64_t sum = 0;

    if (date == DAY_NONE)
        return point;
    for (size_t i = 0; i < history->width_count; i++) {
        const struct width *width = &history->widths[i];
        if (width->date == date && width_stands(width, expander)) {
            sum += width->value;
            point.repeats++;
        }
    }
    point.date = date;
    point.value = (um)lround((double)sum / point.repeats); /* both exact; halves away from zero */
    return point;
}

struct width_point width_newest(const struct history *history, const struct expander *expander,
                                day from, day to)
{
    day date = newest_date(history, expander, to);

    return point_on(history, expander, date >= from ? date : DAY_NONE);
}

struct width_point width_oldest(const struct history *history, const struct expander *expander,
                                day from, day to)
{
    day oldest = DAY_NONE;

    for (size_t i = 0; i < history->width_count; i++) {
        const struct width *width = &history->widths[i];
        if (width->date >= from && width->date <= to && width_stands(width, expander) &&
            (oldest == DAY_NONE || width->date < oldest))
            oldest = width->date;
    }
    return point_on(history, expander, oldest);
}

void width_view(const struct history *history, const struct protocol *protocol,
                const struct expander *expander, day through, struct width_view *view)
{
    day latest = newest_date(history, expander, through), before = DAY_NONE, previous = DAY_NONE;

    view->first_fitted = first_fitted_of(history, expander->arch);
    if (view->first_fitted != DAY_NONE)
        before = view->first_fitted < through ? view->first_fitted : through;
    if (before != DAY_NONE)
        before = newest_date(history, expander, before);
    if (latest != DAY_NONE)
        previous = newest_date(history, expander, latest - PREVIOUS_DAYS);
    view->latest = point_on(history, expander, latest);
    view->baseline = point_on(history, expander, before);
    view->previous = point_on(history, expander, previous);
    view->mdc = (um)lround(statistics_mdc95((double)protocol->width_error));
    view->has_gain = view->baseline.date != DAY_NONE && latest > view->first_fitted;
    view->gain = view->has_gain ? view->latest.value - view->baseline.value : UM_NONE;
}

bool width_own_error(int64_t pairs, int64_t sum_squares_um2, um *error)
{
    enum { HUNDREDTH_UM = 10 };

    if (pairs < WIDTH_PAIRS_MIN || sum_squares_um2 < 0)
        return false;
    double dahlberg = sqrt((double)sum_squares_um2 / (2.0 * (double)pairs));
    um hundredths = (um)lround(dahlberg / HUNDREDTH_UM);
    *error = (hundredths < 1 ? 1 : hundredths) * HUNDREDTH_UM;
    return true;
}
