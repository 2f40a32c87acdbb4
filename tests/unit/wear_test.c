/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Wear: what meets the minimum, who wears a trainer, how periods are formed and judged. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../../src/core/wear_private.h"
#include "case_maker.h"

static void a_day_meets_the_minimum_or_not(void **state)
{
    static const struct {
        int32_t minutes;
        enum answer night;
        enum day_state with_night, without_night;
    } days[] = {
        {60, ANSWER_YES, DAY_MET, DAY_MET},
        {59, ANSWER_YES, DAY_MISSED, DAY_MISSED},
        {0, ANSWER_YES, DAY_MISSED, DAY_MISSED},
        {60, ANSWER_NO, DAY_MISSED, DAY_MET},
        {59, ANSWER_NO, DAY_MISSED, DAY_MISSED},
        {60, ANSWER_NONE, DAY_UNKNOWN, DAY_MET},
        {59, ANSWER_NONE, DAY_MISSED_HALF, DAY_MISSED},
        {-1, ANSWER_YES, DAY_UNKNOWN, DAY_UNKNOWN},
        {-1, ANSWER_NO, DAY_MISSED, DAY_UNKNOWN},
        {-1, ANSWER_NONE, DAY_UNKNOWN, DAY_UNKNOWN},
    };
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
        const struct wear_day *record =
            case_wear_day(&maker, SOURCE_DIARY, 5, days[i].minutes, days[i].night);
        maker.protocol.wear_night = ANSWER_YES;
        assert_int_equal(wear_day_state(record, &maker.protocol), days[i].with_night);
        maker.protocol.wear_night = ANSWER_NO;
        assert_int_equal(wear_day_state(record, &maker.protocol), days[i].without_night);
    }
}

static void a_trainer_is_current_from_issue_to_the_day_before_its_end(void **state)
{
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    assert_false(wear_trainer_current(&maker.history, maker.today));
    case_trainer(&maker, 50, 20);
    case_trainer(&maker, 10, CASE_NEVER);
    assert_false(wear_trainer_current(&maker.history, case_day(&maker, 51)));
    assert_true(wear_trainer_current(&maker.history, case_day(&maker, 50)));
    assert_true(wear_trainer_current(&maker.history, case_day(&maker, 21)));
    assert_false(wear_trainer_current(&maker.history, case_day(&maker, 20)));
    assert_false(wear_trainer_current(&maker.history, case_day(&maker, 11)));
    assert_true(wear_trainer_current(&maker.history, case_day(&maker, 10)));
    maker.trainers[1].issued_on = DAY_NONE;
    assert_false(wear_trainer_current(&maker.history, maker.today));
}

static void a_missed_visit_shows_nobody(void **state)
{
    struct visit visit = {.kind = VISIT_MISSED};

    (void)state;
    assert_false(visit_seen(&visit));
    visit.kind = VISIT_NONE;
    assert_false(visit_seen(&visit));
    for (int kind = VISIT_ACTIVATION; kind < VISIT_MISSED; kind++) {
        visit.kind = (enum visit_kind)kind;
        assert_true(visit_seen(&visit));
    }
}

static struct wear_periods periods_of(const struct case_maker *maker)
{
    struct wear_periods periods;
    struct reach reach = {maker->today, NULL};

    wear_periods(&maker->history, &maker->protocol, maker->today, reach, &periods);
    return periods;
}

static void assert_period(const struct case_maker *maker, const struct wear_period *period,
                          int32_t from, int32_t to)
{
    assert_int_equal(maker->today - period->from, from);
    assert_int_equal(maker->today - period->to, to);
}

/* Visits 72, 48 and 24 days ago; the trainer 200; the case opened 400. */
static void periods_are_formed_back_from_today(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    struct wear_periods periods = periods_of(&maker);
    assert_int_equal(periods.count, 4);
    assert_period(&maker, &periods.period[0], 24, 1);
    assert_period(&maker, &periods.period[1], 48, 25);
    assert_period(&maker, &periods.period[2], 72, 49);
    assert_period(&maker, &periods.period[3], 200, 73);
    assert_true(id_is_none(&periods.period[0].closed_by));
    assert_true(id_equal(&periods.period[1].closed_by, &maker.visits[2].head.id));
    assert_true(id_equal(&periods.period[3].closed_by, &maker.visits[0].head.id));
    assert_int_equal(periods.first_record, case_day(&maker, 60));
    assert_false(periods.cut);

    maker.casefile.opened = case_day(&maker, 60); /* the later of issue and opening */
    periods = periods_of(&maker);
    assert_int_equal(periods.count, 3);
    assert_period(&maker, &periods.period[2], 60, 49);
}

/* A visit lies far enough back at 14 days before the last day of the period: 15 before today. */
static void a_short_visit_between_hides_nothing(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    case_visit(&maker, VISIT_REPAIR, ARCH_UPPER, 14, 0, 0);
    struct wear_periods periods = periods_of(&maker);
    assert_period(&maker, &periods.period[0], 24, 1);
    maker.visits[3].date = case_day(&maker, 15);
    periods = periods_of(&maker);
    assert_period(&maker, &periods.period[0], 15, 1);
    assert_period(&maker, &periods.period[1], 48, 16); /* 24 days ago is 8 before the end */
    maker.visits[3].kind = VISIT_MISSED;
    periods = periods_of(&maker);
    assert_period(&maker, &periods.period[0], 24, 1);
    assert_period(&maker, &periods.period[1], 48, 25);
    maker.visits[2].date = case_day(&maker, 33); /* 14 days before the older period's last day */
    maker.visits[3] = maker.visits[2];
    maker.visits[3].date = case_day(&maker, 19);
    periods = periods_of(&maker);
    assert_period(&maker, &periods.period[0], 19, 1);
    assert_period(&maker, &periods.period[1], 48, 20);
    maker.visits[2].date = case_day(&maker, 34);
    periods = periods_of(&maker);
    assert_period(&maker, &periods.period[1], 34, 20);
}

/* Of two rows of one date the one with the lower id closes the period, in whatever order. */
static void the_visit_being_entered_closes_no_period(void **state)
{
    struct case_maker maker;
    struct wear_periods periods;
    const struct id request = {{3}};
    struct reach reach;

    (void)state;
    case_typical(&maker);
    maker.visits[2].head.request = request;
    struct visit *twin = case_visit(&maker, VISIT_CHECK, ARCH_LOWER, 24, 0, 0);
    reach = (struct reach){maker.today, &request};
    periods = periods_of(&maker);
    assert_true(id_equal(&periods.period[1].closed_by, &maker.visits[2].head.id));
    wear_periods(&maker.history, &maker.protocol, maker.today, reach, &periods);
    assert_period(&maker, &periods.period[0], 24, 1);
    assert_true(id_equal(&periods.period[1].closed_by, &twin->head.id));
    twin->head.id = (struct id){{0, 1}};
    maker.visits[2].head.id = (struct id){{1}};
    periods = periods_of(&maker);
    assert_true(id_equal(&periods.period[1].closed_by, &twin->head.id));
    twin->head.request = request;
    wear_periods(&maker.history, &maker.protocol, maker.today, reach, &periods);
    assert_period(&maker, &periods.period[0], 48, 1);
}

static void no_trainer_no_period(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    maker.trainers[0].issued_on = maker.today;
    assert_int_equal(periods_of(&maker).count, 0);
    maker.trainers[0].issued_on = case_day(&maker, 1);
    assert_int_equal(periods_of(&maker).count, 1);
    maker.history.trainer_count = 0;
    assert_int_equal(periods_of(&maker).count, 0);
}

static void more_periods_than_fit_are_said_to_be_cut(void **state)
{
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    maker.casefile.opened = DAY_NONE;
    case_trainer(&maker, 2000, CASE_NEVER);
    for (int32_t i = 1; i <= 70; i++)
        case_visit(&maker, VISIT_CHECK, ARCH_UPPER, 20 * i, 0, 0);
    struct wear_periods periods = periods_of(&maker);
    assert_int_equal(periods.count, WEAR_PERIODS_MAX);
    assert_true(periods.cut);
}

static struct wear_period judge(const struct case_maker *maker)
{
    struct wear_period period;

    wear_judge(&maker->history, &maker->protocol, case_day(maker, 28), case_day(maker, 1), &period);
    return period;
}

/* A case with a trainer and nothing else; the period is the last 28 days. */
static void begin(struct case_maker *maker)
{
    case_begin(maker);
    case_trainer(maker, 100, CASE_NEVER);
}

static void days_without_a_trainer_lie_outside(void **state)
{
    struct case_maker maker;

    (void)state;
    begin(&maker);
    maker.trainers[0].ended_on = case_day(&maker, 20);
    case_trainer(&maker, 10, CASE_NEVER);
    case_wear(&maker, SOURCE_DIARY, 28, 1, 18);
    struct wear_period period = judge(&maker);
    assert_int_equal(period.days, 18); /* 28 to 21, 10 to 1 days ago */
    assert_int_equal(period.untrained_days, 10);
    assert_int_equal(period.judged.known, 18);
    assert_int_equal(period.judged.met, 8);
    assert_int_equal(period.class, WEAR_LOW);

    maker.trainers[1].issued_on = case_day(&maker, 25); /* courses that overlap count once */
    assert_int_equal(judge(&maker).days, 28);
    maker.trainers[1].issued_on = maker.today;
    maker.trainers[0].ended_on = case_day(&maker, 28);
    period = judge(&maker);
    assert_int_equal(period.days, 0);
    assert_int_equal(period.untrained_days, 28);
    assert_int_equal(period.class, WEAR_UNKNOWN);
    assert_int_equal(period.source, SOURCE_NONE);
}

/* A child without any trainer between two visits is not judged well for the want of days. */
static void a_period_without_any_trainer_reduces(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_typical(&maker);
    maker.trainers[0].ended_on = case_day(&maker, 24);
    case_trainer(&maker, 0, CASE_NEVER);
    case_judge(&maker, &judgement);
    const struct finding *finding = case_finding(&judgement, RULE_WEAR_UNKNOWN, SIDE_NONE);
    assert_non_null(finding);
    assert_int_equal(case_number(finding, "untrained"), 24);
    assert_int_equal(judgement.permitted_right, 1000);
}

static void the_best_source_that_knows_enough_is_judged(void **state)
{
    struct case_maker maker;

    (void)state;
    begin(&maker);
    case_wear(&maker, SOURCE_TOLD, 28, 1, 28);
    struct wear_period period = judge(&maker);
    assert_int_equal(period.source, SOURCE_TOLD);
    assert_int_equal(period.class, WEAR_FULL);
    case_wear(&maker, SOURCE_SENSOR, 28, 16, 0); /* 13 of 28 days: too few to judge on */
    period = judge(&maker);
    assert_int_equal(period.source, SOURCE_TOLD);
    assert_int_equal(period.differs, SOURCE_SENSOR);
    assert_int_equal(period.differs_class, WEAR_LOW);
    case_wear(&maker, SOURCE_DIARY, 28, 1, 20);
    period = judge(&maker);
    assert_int_equal(period.source, SOURCE_DIARY);
    assert_int_equal(period.class, WEAR_SHORT);
    assert_int_equal(period.differs, SOURCE_SENSOR);
    case_wear_day(&maker, SOURCE_SENSOR, 15, 90, ANSWER_YES);
    period = judge(&maker);
    assert_int_equal(period.source, SOURCE_SENSOR);
    assert_int_equal(period.judged.known, 14);
    assert_int_equal(period.judged.met, 1);
    assert_int_equal(period.class, WEAR_LOW);
    assert_int_equal(period.differs, SOURCE_NONE);
    assert_true(period.thin);
    assert_int_equal(period.sources[SOURCE_TOLD].met, 28); /* kept apart, never mixed */
    assert_int_equal(period.sources[SOURCE_DIARY].met, 20);
}

static void the_larger_of_day_records_and_counts_is_known(void **state)
{
    struct case_maker maker;

    (void)state;
    begin(&maker);
    case_wear(&maker, SOURCE_DIARY, 28, 9, 20); /* 20 of 20 */
    case_count(&maker, SOURCE_DIARY, 20, 1, 5, 20);
    struct wear_period period = judge(&maker);
    assert_false(period.judged.from_counts); /* a tie: day records */
    assert_int_equal(period.class, WEAR_FULL);
    maker.wear_counts[0].from = case_day(&maker, 21);
    maker.wear_counts[0].days_asked = 21;
    period = judge(&maker);
    assert_true(period.judged.from_counts);
    assert_int_equal(period.judged.met, 5);
    assert_int_equal(period.judged.known, 21);
    assert_int_equal(period.class, WEAR_LOW);
}

static void half_filled_days_convict_but_do_not_acquit(void **state)
{
    struct case_maker maker;

    (void)state;
    begin(&maker);
    case_wear(&maker, SOURCE_DIARY, 28, 16, 13);
    for (int32_t ago = 15; ago >= 1; ago--)
        case_wear_day(&maker, SOURCE_DIARY, ago, 70, ANSWER_NONE);
    assert_int_equal(judge(&maker).class, WEAR_UNKNOWN); /* 13 known of 28 */
    maker.wear_days[13].day_minutes = 50;
    assert_int_equal(judge(&maker).class, WEAR_UNKNOWN); /* 14 known, one by a half-filled day */
    for (size_t i = 13; i < 28; i++)
        maker.wear_days[i].day_minutes = 50;
    struct wear_period period = judge(&maker);
    assert_int_equal(period.class, WEAR_LOW); /* 13 of 28 */
    assert_int_equal(period.judged.known, 28);
}

static struct wear_hours hours_of(const struct case_maker *maker)
{
    struct wear_hours hours;

    wear_hours(&maker->history, &maker->protocol, SOURCE_SENSOR, case_day(maker, 10),
               case_day(maker, 1), &hours);
    return hours;
}

static void hours_gaps_and_runs(void **state)
{
    static const int32_t minutes[] = {120, 90, 0, 30, 240, 60, 61}; /* 10 to 4 days ago */
    struct case_maker maker;

    (void)state;
    begin(&maker);
    struct wear_hours hours = hours_of(&maker);
    assert_int_equal(hours.known_days, 0);
    assert_int_equal(hours.mean_minutes, 0);
    for (int32_t i = 0; i < 7; i++)
        case_wear_day(&maker, SOURCE_SENSOR, 10 - i, minutes[i], ANSWER_YES);
    case_wear(&maker, SOURCE_TOLD, 10, 1, 10);
    hours = hours_of(&maker);
    assert_int_equal(hours.known_days, 7);
    assert_int_equal(hours.mean_minutes, 86); /* 601 / 7, the 0 included */
    assert_int_equal(hours.median_minutes, 61);
    assert_int_equal(hours.longest_gap_days, 2);
    assert_int_equal(hours.current_run_days, 3);
    case_wear_day(&maker, SOURCE_SENSOR, 2, 100, ANSWER_YES); /* 3 days ago is unknown */
    hours = hours_of(&maker);
    assert_int_equal(hours.current_run_days, 1);
    assert_int_equal(hours.median_minutes, 75); /* the mean of the middle two, 61 and 90 */
    case_wear_day(&maker, SOURCE_SENSOR, 1, -1, ANSWER_NO); /* known, but no minutes to average */
    hours = hours_of(&maker);
    assert_int_equal(hours.known_days, 9);
    assert_int_equal(hours.median_minutes, 75);
    assert_int_equal(hours.current_run_days, 0);
    case_wear_day(&maker, SOURCE_SENSOR, 8, 200, ANSWER_YES); /* of two the one with less counts */
    assert_int_equal(hours_of(&maker).mean_minutes, 88);      /* 701 / 8 */
    maker.trainers[0].ended_on = case_day(&maker, 8);
    hours = hours_of(&maker);
    assert_int_equal(hours.known_days, 2); /* the days since have no trainer */
    assert_int_equal(hours.mean_minutes, 105);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_day_meets_the_minimum_or_not),
        cmocka_unit_test(a_trainer_is_current_from_issue_to_the_day_before_its_end),
        cmocka_unit_test(a_missed_visit_shows_nobody),
        cmocka_unit_test(periods_are_formed_back_from_today),
        cmocka_unit_test(a_short_visit_between_hides_nothing),
        cmocka_unit_test(the_visit_being_entered_closes_no_period),
        cmocka_unit_test(no_trainer_no_period),
        cmocka_unit_test(more_periods_than_fit_are_said_to_be_cut),
        cmocka_unit_test(days_without_a_trainer_lie_outside),
        cmocka_unit_test(a_period_without_any_trainer_reduces),
        cmocka_unit_test(the_best_source_that_knows_enough_is_judged),
        cmocka_unit_test(the_larger_of_day_records_and_counts_is_known),
        cmocka_unit_test(half_filled_days_convict_but_do_not_acquit),
        cmocka_unit_test(hours_gaps_and_runs),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
