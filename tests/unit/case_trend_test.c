/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Drift, months, sensor beside told and relapse on the case screen, over a real store and no
 * terminal. Figures were worked out by hand from the rows made here.
 */
#include "desk.h"

typedef void (*maker_of_case)(struct case_maker *maker);

static void open_case(struct desk *desk, const char *name, maker_of_case prepare)
{
    *desk = (struct desk){.headless = {.rows = 43, .columns = 132}};
    case_begin(&desk->maker); /* today is 2026-06-01 */
    prepare(&desk->maker);
    store_case_open(&desk->kept, name, desk->maker.today);
    store_case_keep(&desk->kept, &desk->maker);
    desk_sit_down(desk);
    desk_keys(desk, "0001*1");
}

/* Five periods of 28 days, 27 to 9 of 28 days met by what the family tells. */
static void falling(struct case_maker *maker)
{
    static const int32_t met[] = {27, 23, 18, 14, 9};

    case_trainer(maker, 141, CASE_NEVER);
    for (int32_t i = 0; i < 5; i++) {
        int32_t ends = 28 * (4 - i) + 1;
        case_visit(maker, VISIT_CHECK, ARCH_NONE, ends, UM_NONE, UM_NONE);
        case_count(maker, SOURCE_TOLD, ends + 28, ends + 1, met[i], 28);
    }
}

static void a_case_that_drifts_is_told_at_once(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "trend_falling", falling);
    assert_shows(&desk, "DRIFTING DOWN");
    desk_keys(&desk, "trend");
    assert_shows(&desk, "DRIFTING DOWN, 96 % to 32 % over 5 periods since 2026-01-11 (told, runs "
                        "high), median -16 points a period");
    assert_shows(&desk, "DRIFT");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Mann and Kendall's test, one-sided: S -10, exact p 0.008.");
    assert_shows(&desk, "at most 5 in 100 are marked");
    assert_shows(&desk, "never one of the rules");
    desk_close(&desk);
}

/* Of the month: found by typing it, told in the row's sentence, with the test behind the figure.
 * Two periods end in May, 23 of 56 days met; one in April, 18 of 28. */
static void the_month_says_who_drifts(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "trend_month", falling);
    desk_keys(&desk, "<Esc><Esc>*7");
    assert_shows(&desk, "2026-05");
    desk_keys(&desk, "drift");
    assert_shows(&desk, "short run 3, -23 points against the month before, DRIFTING DOWN");
    desk_keys(&desk, "<Enter>trend");
    assert_shows(&desk, "DRIFTING DOWN, 96 % to 32 % over 5 periods since 2026-01-11");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "at most 5 in 100 are marked, 10 where neighbouring periods resemble each");
    assert_shows(&desk, "2026-05-03 to 2026-05-30, 28 days with a trainer: LOW, 9 of 28 days met");
    assert_shows(&desk, "2026-01-11 to 2026-02-07, 28 days with a trainer: FULL, 27 of 28");
    desk_close(&desk);
}

/* Four periods: nobody is marked. */
static void too_short(struct case_maker *maker)
{
    falling(maker);
    maker->history.wear_count_count--; /* the newest is not known */
}

static void the_month_marks_nobody_on_too_few_periods(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "trend_short", too_short);
    desk_keys(&desk, "<Esc><Esc>*7drift");
    assert_shows(&desk, "No case of the month has this.");
    desk_close(&desk);
}

/* The same days by sensor, the half of them met: 28 of 28 days known, 14 met. */
static void sensed(struct case_maker *maker)
{
    case_trainer(maker, 40, CASE_NEVER);
    case_visit(maker, VISIT_CHECK, ARCH_NONE, 29, UM_NONE, UM_NONE);
    case_visit(maker, VISIT_CHECK, ARCH_NONE, 1, UM_NONE, UM_NONE);
    case_wear(maker, SOURCE_SENSOR, 29, 2, 14);
    case_count(maker, SOURCE_TOLD, 29, 2, 28, 28);
}

static void sensor_and_told_stand_side_by_side(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "trend_sensed", sensed);
    assert_shows(&desk, "drift can not be told: 5 periods of one source must be known, there is 1");
    desk_keys(&desk, "month<Enter>");
    assert_shows(&desk, "2026-05-01 to 2026-05-31: ");
    assert_shows(&desk,
                 "sensor, by day: mean 0.8 h, median 0.8 h, 28 days; longest gap 14 days, at "
                 "the end 0 met in a row");
    assert_shows(&desk,
                 "sensor beside told, over the days of 1 count: sensor 14 of 28 met, told 28 "
                 "of 28, told 50 points more");
    assert_shows(&desk, "3.8 to 5.0 h a day");
    desk_close(&desk);
}

/* Taken out at 41.00 of 36.00 and 39.50 later: 1.50 of 5.00 mm lost. MDC of 0.30 mm: 0.83. */
static void relapsed(struct case_maker *maker)
{
    struct expander *expander = case_expander(maker, ARCH_UPPER, 390);

    expander->out_on = case_day(maker, 200);
    expander->out_reason = OUT_TARGET;
    case_width(maker, ARCH_UPPER, 390, 36000);
    case_visit(maker, VISIT_REMOVAL, ARCH_UPPER, 200, UM_NONE, UM_NONE);
    case_width(maker, ARCH_UPPER, 200, 41000);
    case_width(maker, ARCH_UPPER, 10, 39500);
}

static void a_relapse_is_told_with_its_error(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "trend_relapsed", relapsed);
    assert_shows(&desk, "upper held since 2025-11-13: 41.00 to 39.50 on 2026-05-22, -1.50 mm, "
                        "RELAPSE beyond error (0.83); that is 30 %");
    desk_keys(&desk, "relapse");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "of the gain of 5.00 mm (measuring alone: up to 17 %)");
    assert_shows(&desk, "retention to 2026-05-12; checks: 1 month due 2026-06-12, 3 months due "
                        "2026-08-12, 6 months due 2026-11-12, 12 months due 2027-05-12");
    assert_shows(&desk, "90 % of the intermolar gain was kept 15 years later");
    desk_close(&desk);
}

static void small_relapse(struct case_maker *maker)
{
    relapsed(maker);
    maker->widths[2].value = 40400;
}

static void a_small_change_is_within_error(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "trend_small", small_relapse);
    assert_shows(&desk, "-0.60 mm, within error (0.83); that is 12 % of the gain of 5.00 mm");
    if (desk_shows(&desk, "RELAPSE"))
        fail_msg("a change within error was called a relapse");
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_case_that_drifts_is_told_at_once),
        cmocka_unit_test(the_month_says_who_drifts),
        cmocka_unit_test(the_month_marks_nobody_on_too_few_periods),
        cmocka_unit_test(sensor_and_told_stand_side_by_side),
        cmocka_unit_test(a_relapse_is_told_with_its_error),
        cmocka_unit_test(a_small_change_is_within_error),
    };

    return cmocka_run_group_tests_name("case_trend", tests, NULL, NULL);
}
