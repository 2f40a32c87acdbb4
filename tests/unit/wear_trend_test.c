/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Hours and shares of a stretch, sensor beside told, and which periods make the series that is
 * looked at for drift. The test itself and its false alarms: tests/reference/wear_drift_test.c.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "case_maker.h"
#include "springline/core/wear_trend.h"

static struct wear_stretch stretch_of(const struct case_maker *maker, int32_t from, int32_t to)
{
    struct wear_stretch stretch;

    wear_stretch_of(&maker->history, &maker->protocol, case_day(maker, from), case_day(maker, to),
                    &stretch);
    return stretch;
}

static void hours_are_of_one_source_and_all_known_days(void **state)
{
    static const int32_t minutes[] = {0, 0, 60, 120, 600}; /* zeros included */
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    case_trainer(&maker, 60, CASE_NEVER);
    for (int32_t i = 0; i < 5; i++)
        case_wear_day(&maker, SOURCE_SENSOR, 10 + i, minutes[i], ANSWER_YES);
    case_wear_day(&maker, SOURCE_TOLD, 10, 900, ANSWER_YES);
    struct wear_stretch stretch = stretch_of(&maker, 20, 1);
    assert_int_equal(stretch.period.days, 20);
    assert_int_equal(stretch.hours[SOURCE_SENSOR].known_days, 5);
    assert_int_equal(stretch.hours[SOURCE_SENSOR].mean_minutes, 156);
    assert_int_equal(stretch.hours[SOURCE_SENSOR].median_minutes, 60);
    assert_int_equal(stretch.hours[SOURCE_SENSOR].longest_gap_days, 2);
    assert_int_equal(stretch.hours[SOURCE_TOLD].mean_minutes, 900);
    assert_int_equal(stretch.hours[SOURCE_DIARY].known_days, 0);
}

static void months_are_cut_to_the_days_of_wear(void **state)
{
    struct case_maker maker;
    day from = 0, to = 0;

    (void)state;
    case_begin(&maker); /* today is 2026-06-01 */
    assert_false(wear_month(&maker.history, maker.today, 0, &from, &to));
    assert_false(wear_course(&maker.history, maker.today, &from, &to));
    case_trainer(&maker, 40, CASE_NEVER); /* 2026-04-22 */
    assert_true(wear_course(&maker.history, maker.today, &from, &to));
    assert_int_equal(from, case_day(&maker, 40));
    assert_int_equal(to, case_day(&maker, 1));
    assert_true(wear_month(&maker.history, maker.today, 0, &from, &to));
    assert_int_equal(from, case_day(&maker, 31)); /* May, whole */
    assert_int_equal(to, case_day(&maker, 1));
    assert_true(wear_month(&maker.history, maker.today, 1, &from, &to));
    assert_int_equal(from, case_day(&maker, 40));
    assert_int_equal(to, case_day(&maker, 32));
    assert_false(wear_month(&maker.history, maker.today, 2, &from, &to));
    assert_false(wear_month(&maker.history, maker.today, -1, &from, &to));
    maker.trainers[0].issued_on = maker.today; /* issued today: no day has passed */
    assert_false(wear_course(&maker.history, maker.today, &from, &to));
}

static struct wear_period month_of(const struct case_maker *maker, int32_t from, int32_t to)
{
    struct wear_period period;

    wear_month_judge(&maker->history, &maker->protocol, case_day(maker, from), case_day(maker, to),
                     &period);
    return period;
}

/* 31 of 56 days met over two months: a month whose visit
 * came later is no better for it. */
static void a_count_over_a_months_end_is_spread(void **state)
{
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    case_trainer(&maker, 200, CASE_NEVER);
    case_count(&maker, SOURCE_TOLD, 87, 32, 31, 56); /* 2026-03-06 to 2026-04-30 */
    struct wear_period march = month_of(&maker, 92, 62), april = month_of(&maker, 61, 32);
    assert_int_equal(march.judged.known, 26);
    assert_int_equal(march.judged.met, 14); /* 31 * 26 / 56 = 14.4 */
    assert_int_equal(april.judged.known, 30);
    assert_int_equal(april.judged.met, 16); /* 16.6 */
    assert_int_equal(month_of(&maker, 31, 1).source, SOURCE_NONE);
    maker.wear_counts[0].days_asked = 28; /* every second day was asked for */
    maker.wear_counts[0].days_met = 14;
    assert_int_equal(month_of(&maker, 92, 62).sources[SOURCE_TOLD].known, 13);
    assert_int_equal(month_of(&maker, 92, 62).sources[SOURCE_TOLD].met, 6);
    maker.wear_counts[0].days_met = 29; /* says nothing possible */
    assert_int_equal(month_of(&maker, 92, 62).sources[SOURCE_TOLD].known, 0);
    maker.wear_counts[0].days_met = 14;
    maker.trainers[0].ended_on = case_day(&maker, 61); /* all of it in March */
    assert_int_equal(month_of(&maker, 92, 62).sources[SOURCE_TOLD].known, 26);
    assert_int_equal(month_of(&maker, 61, 32).days, 0);
}

/* Too many counts to hold: nothing is said rather than something left out. */
static void a_month_of_too_many_counts_is_unknown(void **state)
{
    static struct wear_count counts[WEAR_SPREAD_MOST + 1];
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    case_trainer(&maker, 200, CASE_NEVER);
    struct wear_count *count = case_count(&maker, SOURCE_DIARY, 40, 10, 31, 31);
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++)
        counts[i] = *count;
    maker.history.wear_counts = counts;
    maker.history.wear_count_count = WEAR_SPREAD_MOST;
    assert_int_equal(month_of(&maker, 31, 1).source, SOURCE_DIARY);
    maker.history.wear_count_count++;
    assert_int_equal(month_of(&maker, 31, 1).source, SOURCE_NONE);
}

static void sensor_and_told_are_compared_day_by_day(void **state)
{
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    case_trainer(&maker, 60, CASE_NEVER);
    case_wear_day(&maker, SOURCE_SENSOR, 5, 0, ANSWER_NO);
    case_wear_day(&maker, SOURCE_TOLD, 5, 300, ANSWER_YES);
    case_wear_day(&maker, SOURCE_SENSOR, 4, 90, ANSWER_YES);
    case_wear_day(&maker, SOURCE_TOLD, 4, 241, ANSWER_YES);
    case_wear_day(&maker, SOURCE_SENSOR, 3, -1, ANSWER_NO); /* missed, minutes not known */
    case_wear_day(&maker, SOURCE_TOLD, 3, 100, ANSWER_YES);
    case_wear_day(&maker, SOURCE_SENSOR, 2, 90, ANSWER_NONE); /* not known */
    case_wear_day(&maker, SOURCE_TOLD, 2, 100, ANSWER_YES);
    case_wear_day(&maker, SOURCE_TOLD, 1, 100, ANSWER_YES); /* the sensor knows nothing */
    struct wear_beside beside = stretch_of(&maker, 10, 1).beside;
    assert_int_equal(beside.days, 3);
    assert_int_equal(beside.sensor_met, 1);
    assert_int_equal(beside.told_met, 3);
    assert_int_equal(beside.minute_days, 2);
    assert_int_equal(beside.sensor_minutes, 45);
    assert_int_equal(beside.told_minutes, 271);
    assert_int_equal(beside.spans, 0);
    beside = stretch_of(&maker, 20, 11).beside;
    assert_int_equal(beside.days, 0);
}

static void a_told_count_is_compared_with_the_sensor_over_its_days(void **state)
{
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    case_trainer(&maker, 60, CASE_NEVER);
    case_count(&maker, SOURCE_TOLD, 20, 11, 9, 10);
    case_wear(&maker, SOURCE_SENSOR, 20, 16, 2); /* 5 of the 10 days, 2 met */
    struct wear_beside beside = stretch_of(&maker, 30, 1).beside;
    assert_int_equal(beside.spans, 1);
    assert_int_equal(beside.told.known, 10);
    assert_int_equal(beside.told.met, 9);
    assert_int_equal(beside.sensor.known, 5);
    assert_int_equal(beside.sensor.met, 2);
    maker.history.wear_day_count = 4; /* below wear_known_min */
    assert_int_equal(stretch_of(&maker, 30, 1).beside.spans, 0);
    maker.history.wear_day_count = 5;
    assert_int_equal(stretch_of(&maker, 10, 1).beside.spans, 0); /* its last day lies before */
    maker.wear_counts[0].days_met = 11;                          /* says nothing possible */
    assert_int_equal(stretch_of(&maker, 30, 1).beside.spans, 0);
    maker.wear_counts[0].days_met = 9;
    maker.trainers[0].ended_on = case_day(&maker, 20); /* nobody wore one */
    assert_int_equal(stretch_of(&maker, 30, 1).beside.spans, 0);
}

/* ---- drift ---- */

/* Visits every 25 days, and a count for each period between them: met of 20, oldest first. */
static void course_of(struct case_maker *maker, enum source source, const int32_t *met,
                      int32_t periods)
{
    case_begin(maker);
    case_trainer(maker, 25 * periods + 5, CASE_NEVER);
    case_visit(maker, VISIT_CHECK, ARCH_NONE, 25 * periods + 5, UM_NONE, UM_NONE);
    for (int32_t i = 0; i < periods; i++) {
        int32_t ends = 25 * (periods - 1 - i) + 5;
        case_visit(maker, VISIT_CHECK, ARCH_NONE, ends, UM_NONE, UM_NONE);
        if (met[i] >= 0)
            case_count(maker, source, ends + 20, ends + 1, met[i], 20);
    }
}

static struct wear_drift drift_of(const struct case_maker *maker)
{
    struct wear_drift drift;

    wear_drift_until(&maker->history, &maker->protocol, maker->today, &drift);
    return drift;
}

/* Of five periods that fall at each step: 1 order of 120. Kendall's S is -10. */
static void a_fall_at_every_step_is_drift(void **state)
{
    static const int32_t met[] = {20, 18, 16, 13, 9};
    struct case_maker maker;

    (void)state;
    course_of(&maker, SOURCE_DIARY, met, 5);
    struct wear_drift drift = drift_of(&maker);
    assert_int_equal(drift.answer, WEAR_DRIFT_DOWN);
    assert_int_equal(drift.source, SOURCE_DIARY);
    assert_int_equal(drift.periods, 5);
    assert_int_equal(drift.score, -10);
    assert_true(fabs(drift.p - 1.0 / 120) < 1e-15);
    assert_true(drift.first == 1.0 && drift.last == 0.45);
    assert_true(drift.slope < -0.10 && drift.slope > -0.15);
    assert_int_equal(drift.from, case_day(&maker, 130));
    assert_int_equal(drift.to, case_day(&maker, 6));
}

static void rising_level_and_trifling_wear_is_none(void **state)
{
    static const int32_t rows[][5] = {{9, 13, 16, 18, 20},
                                      {15, 15, 15, 15, 15},
                                      {0, 0, 0, 0, 0},
                                      {20, 20, 20, 20, 19},
                                      {16, 20, 14, 18, 15}};
    struct case_maker maker;

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        course_of(&maker, SOURCE_DIARY, rows[i], 5);
        struct wear_drift drift = drift_of(&maker);
        assert_int_equal(drift.answer, WEAR_DRIFT_NONE);
        assert_true(drift.p > 0 && drift.p <= 1 && isfinite(drift.slope));
    }
}

/* A sure but small fall marks nobody: 100 to 96 % of hundreds of days. */
static void a_trifling_fall_is_none(void **state)
{
    struct wear_periods periods = {.count = 6};
    struct protocol protocol;
    struct wear_drift drift;

    (void)state;
    protocol_defaults(&protocol);
    for (int i = 0; i < 6; i++) {
        periods.period[i].days = 100;
        periods.period[i].sources[SOURCE_SENSOR] = (struct wear_tally){.known = 100, .met = 94 + i};
    }
    wear_drift_of(&periods, &protocol, &drift);
    assert_int_equal(drift.score, -15);
    assert_true(drift.p < 0.01);
    assert_int_equal(drift.answer, WEAR_DRIFT_NONE);
}

static void too_few_periods_are_refused(void **state)
{
    static const int32_t met[] = {20, 17, 13, 8};
    struct case_maker maker;
    struct wear_drift drift;

    (void)state;
    course_of(&maker, SOURCE_DIARY, met, 4);
    drift = drift_of(&maker);
    assert_int_equal(drift.answer, WEAR_DRIFT_TOO_FEW);
    assert_int_equal(drift.periods, 4);
    assert_true(drift.p == 1);
    assert_int_equal(drift.from, DAY_NONE);
    case_begin(&maker); /* no trainer, no visit */
    drift = drift_of(&maker);
    assert_int_equal(drift.answer, WEAR_DRIFT_TOO_FEW);
    assert_int_equal(drift.periods, 0);
}

/* Unknown periods are passed over; sources are not mixed; a source that stopped says nothing. */
static void the_series_is_of_one_source_that_still_knows(void **state)
{
    static const int32_t met[] = {20, 18, -1, 16, 13, 9}, all[] = {20, 18, 17, 16, 13, 9};
    struct case_maker maker;

    (void)state;
    course_of(&maker, SOURCE_TOLD, met, 6);
    assert_int_equal(drift_of(&maker).answer, WEAR_DRIFT_DOWN);
    assert_int_equal(drift_of(&maker).periods, 5);
    /* Four of the five told, one by sensor: of no source five. */
    maker.wear_counts[1].source = SOURCE_SENSOR;
    assert_int_equal(drift_of(&maker).answer, WEAR_DRIFT_TOO_FEW);
    /* Told stops: the newest period is known by the sensor alone. */
    course_of(&maker, SOURCE_TOLD, all, 6);
    assert_int_equal(drift_of(&maker).answer, WEAR_DRIFT_DOWN);
    maker.wear_counts[5].source = SOURCE_SENSOR;
    assert_int_equal(drift_of(&maker).answer, WEAR_DRIFT_TOO_FEW);
    assert_int_equal(drift_of(&maker).periods, 5);
}

/* Thirteen periods: the oldest, full one is out of sight. */
static void only_the_newest_periods_are_looked_at(void **state)
{
    static const int32_t met[] = {20, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5};
    struct case_maker maker;

    (void)state;
    course_of(&maker, SOURCE_DIARY, met, 13);
    struct wear_drift drift = drift_of(&maker);
    assert_int_equal(drift.periods, WEAR_DRIFT_MOST);
    assert_int_equal(drift.score, 0);
    assert_true(drift.p == 1);
}

/* The days since the last visit are no period yet. */
static void days_since_the_last_visit_do_not_count(void **state)
{
    static const int32_t met[] = {20, 18, 16, 13, 9};
    struct case_maker maker;

    (void)state;
    course_of(&maker, SOURCE_DIARY, met, 5);
    maker.today += 19; /* 24 days since */
    case_wear(&maker, SOURCE_DIARY, 23, 1, 23);
    assert_int_equal(drift_of(&maker).periods, 5);
    assert_int_equal(drift_of(&maker).answer, WEAR_DRIFT_DOWN);
}

static void more_values_than_it_can_count_are_chance(void **state)
{
    static const int32_t many[] = {7, 6}, wrong[] = {-1, 3};

    (void)state;
    assert_true(wear_drift_chance(many, 2, 40) == 1);
    assert_true(wear_drift_chance(wrong, 2, 3) == 1);
    assert_true(wear_drift_chance(NULL, 0, 0) == 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hours_are_of_one_source_and_all_known_days),
        cmocka_unit_test(months_are_cut_to_the_days_of_wear),
        cmocka_unit_test(a_count_over_a_months_end_is_spread),
        cmocka_unit_test(a_month_of_too_many_counts_is_unknown),
        cmocka_unit_test(sensor_and_told_are_compared_day_by_day),
        cmocka_unit_test(a_told_count_is_compared_with_the_sensor_over_its_days),
        cmocka_unit_test(a_fall_at_every_step_is_drift),
        cmocka_unit_test(rising_level_and_trifling_wear_is_none),
        cmocka_unit_test(a_trifling_fall_is_none),
        cmocka_unit_test(too_few_periods_are_refused),
        cmocka_unit_test(the_series_is_of_one_source_that_still_knows),
        cmocka_unit_test(only_the_newest_periods_are_looked_at),
        cmocka_unit_test(days_since_the_last_visit_do_not_count),
        cmocka_unit_test(more_values_than_it_can_count_are_chance),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
