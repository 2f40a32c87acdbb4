/* SPDX-License-Identifier: GPL-3.0-or-later */
/* When a forecast is given and why not, and its arithmetic; coverage over invented practices:
 * tests/reference/calibration_test.c. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "case_maker.h"
#include "springline/core/forecast.h"

enum { WEEK = 7, PRACTICE_CASES = 12, PRACTICE_WIDTHS = 5 };

/* ---- an invented practice: speeds about 0.20 mm a week after a lag ---- */

struct practice_data {
    double weeks[PRACTICE_CASES][PRACTICE_WIDTHS], widths[PRACTICE_CASES][PRACTICE_WIDTHS];
    struct trend_points points[PRACTICE_CASES];
};

static void make_practice(struct practice_data *data, double lag)
{
    for (int i = 0; i < PRACTICE_CASES; i++) {
        double speed = 0.20 + 0.01 * (i % 5 - 2);
        for (int j = 0; j < PRACTICE_WIDTHS; j++) {
            double weeks = 4.0 * j, noise = (i + j) % 2 == 0 ? 0.1 : -0.1;
            data->weeks[i][j] = weeks;
            data->widths[i][j] = 36 + speed * fmax(0, weeks - lag) + noise;
        }
        data->points[i] = (struct trend_points){data->weeks[i], data->widths[i], PRACTICE_WIDTHS};
    }
}

static enum forecast_reason pool_of(double lag, size_t count, struct forecast_practice *practice)
{
    struct practice_data data;
    struct arena arena = {0};

    make_practice(&data, lag);
    enum forecast_reason reason = forecast_pool(data.points, count, 300, &arena, practice);
    arena_release(&arena);
    return reason;
}

static struct forecast forecast_of(const struct case_maker *maker)
{
    struct forecast_practice practice;
    struct forecast forecast;
    struct arena arena = {0};

    assert_int_equal(pool_of(0, PRACTICE_CASES, &practice), FORECAST_GIVEN);
    forecast_case(&maker->history, &maker->expanders[0], maker->today, &practice, &arena,
                  &forecast);
    arena_release(&arena);
    return forecast;
}

/* ---- the pool ---- */

static void a_practice_needs_ten_cases(void **state)
{
    struct forecast_practice practice;

    (void)state;
    assert_int_equal(pool_of(0, 9, &practice), FORECAST_FEW_CASES);
    assert_int_equal(practice.cases, 9);
    assert_int_equal(practice.pool.cases, 0);
    assert_int_equal(pool_of(0, 0, &practice), FORECAST_FEW_CASES);
    assert_int_equal(pool_of(0, 10, &practice), FORECAST_GIVEN);
    assert_int_equal(practice.cases, 10);
    assert_true(fabs(practice.pool.mean - 0.20) < 0.01);
}

static void the_lag_is_found(void **state)
{
    struct forecast_practice practice;

    (void)state;
    assert_int_equal(pool_of(0, PRACTICE_CASES, &practice), FORECAST_GIVEN);
    assert_true(practice.lag_weeks < 1);
    assert_int_equal(pool_of(3, PRACTICE_CASES, &practice), FORECAST_GIVEN);
    assert_true(fabs(practice.lag_weeks - 3) <= 0.5);
    assert_true(fabs(practice.pool.mean - 0.20) < 0.01);
    assert_int_equal(pool_of(6, PRACTICE_CASES, &practice), FORECAST_GIVEN);
    assert_true(fabs(practice.lag_weeks - 6) <= 1);
}

/* A practice whose widths all lie on lines is not taken to measure without an error. */
static void no_scatter_leaves_half_the_error(void **state)
{
    struct practice_data data;
    struct forecast_practice practice;
    struct arena arena = {0};

    (void)state;
    make_practice(&data, 0);
    for (int i = 0; i < PRACTICE_CASES; i++)
        for (int j = 0; j < PRACTICE_WIDTHS; j++)
            data.widths[i][j] = 36 + 0.2 * data.weeks[i][j];
    assert_int_equal(forecast_pool_at(data.points, PRACTICE_CASES, 0, 300, &arena, &practice),
                     FORECAST_GIVEN);
    assert_true(practice.residual_sd_mm == 0.15);
    assert_int_equal(forecast_pool_at(data.points, PRACTICE_CASES, 0, 0, &arena, &practice),
                     FORECAST_GIVEN);
    assert_true(practice.residual_sd_mm == 0.005);
    /* A lag beyond every width leaves no speed. */
    assert_int_equal(forecast_pool_at(data.points, PRACTICE_CASES, 50, 300, &arena, &practice),
                     FORECAST_FEW_CASES);
    arena_release(&arena);
}

/* ---- the days, against a search that knows no formula ---- */

static double least_room(const struct forecast_line *line, double weeks, double sign)
{
    return line->slope_mm * weeks + sign * line->times *
                                        sqrt(line->level_se_mm * line->level_se_mm +
                                             line->slope_se_mm * line->slope_se_mm * weeks * weeks);
}

/* The first of 400,000 steps up to 4,000 weeks at which the bound has come to the room; -1: none.
 */
static double searched(const struct forecast_line *line, double room, double sign)
{
    for (int i = 0; i < 400000; i++) {
        if (least_room(line, i / 100.0, sign) >= room)
            return i / 100.0;
    }
    return -1;
}

static void days_agree_with_a_search(void **state)
{
    static const double slopes[] = {-0.05, 0, 0.05, 0.2, 0.5}, errors[] = {0.01, 0.03, 0.2};
    static const double rooms[] = {-1, 0.05, 0.5, 4, 12}, levels[] = {0, 0.1, 0.6};
    int given = 0, open = 0, never = 0;

    (void)state;
    for (int i = 0; i < 5 * 3 * 5 * 3; i++) {
        const struct forecast_line line = {.level_se_mm = levels[i % 3],
                                           .slope_mm = slopes[i / 3 % 5],
                                           .slope_se_mm = errors[i / 15 % 3],
                                           .times = 1.3};
        double room = rooms[i / 45];
        struct forecast_when when;
        forecast_reach(&line, room, &when);
        double earliest = searched(&line, room, 1), latest = searched(&line, room, -1);
        assert_int_equal(when.has_earliest, earliest >= 0);
        if (earliest > 0)
            assert_true(fabs(when.earliest_weeks - earliest) <= 0.0101);
        else
            assert_true(when.earliest_weeks <= 0);
        if (room > 0)
            assert_int_equal(when.has_latest, latest >= 0);
        if (when.has_latest && latest > 0)
            assert_true(fabs(when.latest_weeks - latest) <= 0.0101);
        given += when.has_latest;
        open += when.has_earliest && !when.has_latest;
        never += !when.has_earliest;
    }
    assert_true(given > 20 && open > 20 && never > 5);
}

/* ---- one case ---- */

static void a_course_without_trouble_is_given(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker); /* 36 to 40 in 22 weeks, target 50: 50 weeks at 0.2 mm a week */
    struct forecast forecast = forecast_of(&maker);
    assert_int_equal(forecast.reason, FORECAST_GIVEN);
    assert_int_equal(forecast.widths, 3);
    assert_true(forecast.earliest > case_day(&maker, -WEEK * 20));
    assert_true(forecast.earliest < forecast.latest);
    assert_true(forecast.latest < case_day(&maker, -WEEK * 100));
    assert_true(forecast.own_se_mm > 0 && forecast.shrunk_se_mm < forecast.own_se_mm);
    /* A baseline taken before the fit stands for its day; one too old does not. */
    maker.widths[0].date = case_day(&maker, 180 + FORECAST_BASELINE_DAYS);
    struct forecast before = forecast_of(&maker);
    assert_int_equal(before.reason, FORECAST_GIVEN);
    assert_true(before.earliest == forecast.earliest && before.latest == forecast.latest);
    maker.widths[0].date--;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_FEW_WIDTHS);
}

static void order_of_rows_does_not_matter(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    struct forecast first = forecast_of(&maker);
    struct width kept = maker.widths[0];
    maker.widths[0] = maker.widths[2];
    maker.widths[2] = kept;
    struct forecast other = forecast_of(&maker);
    assert_true(first.earliest == other.earliest && first.latest == other.latest);
    assert_true(first.shrunk_mm == other.shrunk_mm);
}

static void each_reason_by_the_record(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    struct expander *expander = &maker.expanders[0];
    const struct expander sound = *expander;
    expander->fitted_on = DAY_NONE;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_NOT_FITTED);
    expander->fitted_on = maker.today + 1;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_NOT_FITTED);
    *expander = sound;
    expander->out_on = maker.today;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_ENDED);
    expander->out_on = maker.today + 1;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_GIVEN);
    *expander = sound;
    expander->passive_on = maker.today;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_ENDED);
    *expander = sound;
    maker.casefile.closed_on = maker.today;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_ENDED);
    maker.casefile.closed_on = DAY_NONE;
    expander->target = UM_NONE;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_NO_TARGET);
    expander->target = 40500; /* two steps of 0.25 above the newest width */
    assert_int_equal(forecast_of(&maker).reason, FORECAST_GIVEN);
    expander->target = 40490;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_REACHED);
    *expander = sound;
    maker.widths[0].date = case_day(&maker, 179);
    assert_int_equal(forecast_of(&maker).reason, FORECAST_NO_BASELINE);
}

static void each_reason_by_the_widths(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    maker.history.width_count = 2;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_FEW_WIDTHS);
    assert_int_equal(forecast_of(&maker).widths, 2);
    maker.history.width_count = 3;
    maker.widths[1].landmark = LANDMARK_CUSP;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_FEW_WIDTHS);
    maker.widths[1].landmark = LANDMARK_FOSSA;
    maker.expanders[0].fitted_on = case_day(&maker, 66);
    maker.widths[0].date = case_day(&maker, 66); /* 66 - 24 days: six weeks to the day */
    assert_int_equal(forecast_of(&maker).reason, FORECAST_GIVEN);
    maker.expanders[0].fitted_on = maker.widths[0].date = case_day(&maker, 65);
    assert_int_equal(forecast_of(&maker).reason, FORECAST_SHORT);
    case_typical(&maker);
    maker.widths[2].value = 39000 - 831; /* MDC of 0.30 mm: 0.8316 */
    assert_int_equal(forecast_of(&maker).reason, FORECAST_GIVEN);
    maker.widths[2].value = 39000 - 833;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_LOST);
    case_typical(&maker);
    maker.widths[1].value = 30000;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_SCATTER);
    case_typical(&maker);
    maker.protocol.width_missing_days = 24;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_GIVEN);
    maker.protocol.width_missing_days = 23;
    assert_int_equal(forecast_of(&maker).reason, FORECAST_STALE);
}

/* A case with a speed of its own, measured so often that no other case counts. */
static struct forecast steady(double a_week, um target)
{
    struct forecast_practice practice = {
        .cases = 30, .residual_sd_mm = 0.1, .pool = {.cases = 30, .mean = 0.2, .tau2 = 1}};
    struct forecast forecast;
    struct arena arena = {0};
    struct case_maker maker;

    case_begin(&maker);
    case_expander(&maker, ARCH_UPPER, 70)->target = target;
    for (int week = 0; week <= 10; week++)
        case_width(&maker, ARCH_UPPER, 70 - WEEK * week,
                   (um)(36000 + lround(1000 * a_week * week)));
    forecast_case(&maker.history, &maker.expanders[0], maker.today, &practice, &arena, &forecast);
    arena_release(&arena);
    if (forecast.earliest != DAY_NONE)
        assert_true(forecast.earliest >= maker.today);
    return forecast;
}

static void what_does_not_move_has_no_day(void **state)
{
    (void)state;
    assert_int_equal(steady(0.3, 45000).reason, FORECAST_GIVEN);
    assert_int_equal(steady(0, 45000).reason, FORECAST_NOT_BEFORE); /* all widths equal */
    assert_int_equal(steady(0, 45000).latest, DAY_NONE);
    assert_true(steady(0, 45000).earliest != DAY_NONE);
    assert_int_equal(steady(-0.3, 45000).reason, FORECAST_NOT_MOVING);
    assert_int_equal(steady(-0.3, 45000).earliest, DAY_NONE);
    assert_int_equal(steady(0.05, 60000).reason, FORECAST_NOT_BEFORE); /* beyond two years */
}

/* The rest between two expanders is in neither's speed. */
static void a_rest_is_not_slow_growth(void **state)
{
    struct case_maker maker;
    struct arena arena = {0};
    struct trend_points points;

    (void)state;
    case_begin(&maker);
    struct expander *first = case_expander(&maker, ARCH_UPPER, 300);
    first->out_on = case_day(&maker, 200);
    first->out_reason = OUT_REST;
    struct expander *second = case_expander(&maker, ARCH_UPPER, 100);
    for (int i = 0; i <= 6; i++)
        case_width(&maker, ARCH_UPPER, 300 - 14 * i, 36000 + 400 * i); /* to day 216 */
    case_width(&maker, ARCH_UPPER, 150, 38000);                        /* in the rest */
    for (int i = 0; i < 4; i++)
        case_width(&maker, ARCH_UPPER, 100 - 14 * i, 38000 + 400 * i);
    assert_int_equal(forecast_points(&maker.history, second, 300, maker.today, &arena, &points),
                     FORECAST_GIVEN);
    assert_int_equal(points.count, 4);
    assert_true(points.weeks[0] == 0);
    /* To the pool the case gives its longest course, once. */
    assert_int_equal(
        forecast_best_points(&maker.history, second, 300, maker.today, &arena, &points),
        FORECAST_GIVEN);
    assert_int_equal(points.count, 7);
    second->landmark = LANDMARK_CUSP;
    assert_int_equal(
        forecast_best_points(&maker.history, second, 300, maker.today, &arena, &points),
        FORECAST_FEW_WIDTHS);
    arena_release(&arena);
}

static void too_few_cases_is_told_last(void **state)
{
    const struct forecast_practice none = {.cases = 4};
    struct case_maker maker;
    struct forecast forecast;
    struct arena arena = {0};

    (void)state;
    case_typical(&maker);
    forecast_case(&maker.history, &maker.expanders[0], maker.today, &none, &arena, &forecast);
    assert_int_equal(forecast.reason, FORECAST_FEW_CASES);
    maker.history.width_count = 1;
    forecast_case(&maker.history, &maker.expanders[0], maker.today, &none, &arena, &forecast);
    assert_int_equal(forecast.reason, FORECAST_FEW_WIDTHS);
    arena_release(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_practice_needs_ten_cases),
        cmocka_unit_test(the_lag_is_found),
        cmocka_unit_test(no_scatter_leaves_half_the_error),
        cmocka_unit_test(days_agree_with_a_search),
        cmocka_unit_test(a_course_without_trouble_is_given),
        cmocka_unit_test(order_of_rows_does_not_matter),
        cmocka_unit_test(each_reason_by_the_record),
        cmocka_unit_test(each_reason_by_the_widths),
        cmocka_unit_test(what_does_not_move_has_no_day),
        cmocka_unit_test(a_rest_is_not_slow_growth),
        cmocka_unit_test(too_few_cases_is_told_last),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
