/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The case screen over a real store and no terminal. Sums, gains and counts were worked out by hand
 * from the rows that are made here; what must be told, and what must never be lost, is from the
 * treatment's rules (alerts, safety items, the verdict with its condition before the permission).
 */
#include "desk.h"

typedef void (*maker_of_case)(struct case_maker *maker);

/* A desk of this size on the case screen of a case made by prepare. */
static void open_case(struct desk *desk, const char *name, int rows, int columns,
                      maker_of_case prepare)
{
    *desk = (struct desk){.headless = {.rows = rows, .columns = columns}};
    case_typical(&desk->maker);
    prepare(&desk->maker);
    store_case_open(&desk->kept, name, desk->maker.today);
    store_case_keep(&desk->kept, &desk->maker);
    desk_sit_down(desk);
    desk_keys(desk, "0001*1");
}

static void assert_hides(const struct desk *desk, const char *text)
{
    if (desk_shows(desk, text))
        fail_msg("on the screen: %s\n%s", text, text_string(&desk->headless.frame));
}

static void typical(struct case_maker *maker)
{
    case_booking(maker, 0, BOOKING_ACTIVATION, BOOKED_STANDING);
}

/* 1.00 mm a side was given three times; 40.00 - 36.00 = 4.00 mm; 24 of 24 days were met. */
static void it_is_understood_at_once(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "case_head", 24, 80, typical);
    assert_shows(&desk, "C-0001");
    assert_shows(&desk, "born ");
    assert_shows(&desk,
                 "upper, if tissue and hardware are sound: PROCEED permitted R 2.00 L 2.00 mm");
    assert_shows(&desk, "upper active: fitted 2025-12-03, fit checks passed; 3 activations, R 3.00 "
                        "L 3.00");
    assert_shows(&desk, "booked 2026-06-01 09:00 activation");
    assert_shows(&desk, "FULL, 24 of 24 days met (diary)");
    assert_shows(&desk, "upper width: 40.00 on 2026-05-08, +1.00 since 2026-04-10, +4.00 since "
                        "the fit; 10.00 to the target 50.00");
    assert_shows(&desk, app_caution);
    assert_hides(&desk, "ALERT");
    assert_hides(&desk, "SAFETY");
    desk_close(&desk);
}

/* A wound that nobody saw healed, no trainer, no consent, an allergy, two arches. */
static void troubled(struct case_maker *maker)
{
    maker->patient.alerts = "nickel allergy";
    maker->trainers[0].ended_on = case_day(maker, 3);
    maker->trainers[0].ended_reason = TRAINER_LOST;
    maker->casefile.consent_on = DAY_NONE;
    case_expander(maker, ARCH_LOWER, 60)->tied = ANSWER_NO;
    case_visit(maker, VISIT_CHECK, ARCH_UPPER, 5, UM_NONE, UM_NONE)->tissue = TISSUE_WOUND;
}

static void what_alarms_is_told_in_words(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "case_troubled", 24, 80, troubled);
    assert_shows(&desk, "ALERT: nickel allergy");
    assert_shows(&desk, "SAFETY: a wound or a fault is open since 2026-05-27");
    assert_shows(&desk, "upper, if tissue and hardware are sound: HOLD permitted R 0.00 L 0.00");
    assert_shows(&desk, "lower, if tissue and hardware are sound: HOLD permitted R 0.00 L 0.00");
    assert_shows(&desk, "The last visit, 2026-05-27, recorded a wound.");
    assert_shows(&desk, "Missing: a current trainer, consent");
    assert_shows(&desk, "fit checks: tied FAILED");
    assert_hides(&desk, "permitted R 2.00");
    desk_close(&desk);
}

/* The same on 40 x 12: shorter, nothing of it lost. */
static void a_small_screen_loses_nothing_that_alarms(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "case_small", 12, 40, troubled);
    assert_shows(&desk, "C-0001");
    assert_shows(&desk, "ALERT: nickel allergy");
    assert_shows(&desk, "SAFETY: wound or fault open");
    assert_shows(&desk, "upper if sound: HOLD R 0.00 L 0.00");
    assert_shows(&desk, "lower if sound: HOLD R 0.00 L 0.00");
    assert_shows(&desk, "missing: trainer consent");
    assert_shows(&desk, "lower: fit checks missing or failed");
    assert_shows(&desk, "born ");
    desk_close(&desk);
}

/* No trainer, and the width fell by 2.00 mm (more than the error, 2.772 times 0.30 mm). */
static void narrower(struct case_maker *maker)
{
    maker->trainers[0].ended_on = case_day(maker, 3);
    maker->trainers[0].ended_reason = TRAINER_LOST;
    case_width(maker, ARCH_UPPER, 4, 38000);
}

/* Two rules hold: neither may hide behind a number; 50.00 - 38.00 = 12.00. */
static void every_rule_that_holds_is_named(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "case_narrower", 24, 80, narrower);
    assert_shows(&desk, "No trainer is current today; without it the expansion does not hold. "
                        "HOLD. Also held by: width loss");
    assert_shows(&desk, "upper width: 38.00 on 2026-05-28, -2.00 since 2026-05-08, +2.00 since the "
                        "fit; 12.00 to the target 50.00");
    desk_resize(&desk, 16, 80); /* one row for both */
    assert_shows(&desk, "held by: no trainer, width loss");
    desk_resize(&desk, 12, 40);
    assert_shows(&desk, "upper if sound: HOLD R 0.00 L 0.00");
    assert_shows(&desk, "held by: no trainer, width loss");
    assert_shows(&desk, "missing: trainer");
    desk_close(&desk);
}

static void limits_of_its_own_are_said(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "case_practice", 24, 80, typical);
    assert_hides(&desk, "limits");
    desk_keys(&desk, "*i1small arch<Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    desk_keys(&desk, "<Enter>"); /* and its values are there to be changed */
    assert_shows(&desk, "settings: C-0001, version 1");
    desk_keys(&desk, "<Esc>");
    assert_shows(&desk, "limits of its own: protocol C-0001, version 1 of ");
    desk_close(&desk);
}

static void closed(struct case_maker *maker)
{
    maker->casefile.closed_on = case_day(maker, 2);
    maker->casefile.closed_reason = CLOSED_DISCONTINUED;
}

/* Closed with the expander still in: a safety item, and nothing is permitted. */
static void a_closed_case_permits_nothing(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "case_closed", 24, 80, closed);
    assert_shows(&desk, "SAFETY: the case is closed, an expander is still in place");
    assert_shows(&desk, "CLOSED 2026-05-30 (discontinued): nothing is to be activated");
    assert_hides(&desk, "permitted R");
    desk_keys(&desk, "*1");
    assert_shows(&desk, "nothing is permitted");
    assert_hides(&desk, "permitted R");
    desk_close(&desk);
}

static void passive(struct case_maker *maker)
{
    maker->expanders[0].passive_on = case_day(maker, 10);
}

static void retention_is_no_permission(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "case_passive", 24, 80, passive);
    assert_shows(&desk, "upper RETENTION: left in passively since 2026-05-22; no activation is "
                        "planned");
    assert_hides(&desk, "PROCEED permitted");
    desk_close(&desk);
}

/* A second expander in the arch: the first is out, sums run on over both. */
static void second(struct case_maker *maker)
{
    maker->expanders[0].out_on = case_day(maker, 20);
    maker->expanders[0].out_reason = OUT_REPAIR;
    case_expander(maker, ARCH_UPPER, 10);
    case_expander(maker, ARCH_LOWER, CASE_NEVER)->separators_on = case_day(maker, 3);
}

/* And activated once: 0.75 since this fit, 3.00 + 0.75 of the arch. */
static void second_activated(struct case_maker *maker)
{
    second(maker);
    case_visit(maker, VISIT_ACTIVATION, ARCH_UPPER, 3, 750, 500);
}

static void activations_are_told_of_the_fit_and_of_the_arch(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "case_again", 24, 80, second_activated);
    assert_shows(&desk, "1 activation since this fit, R 0.75 L 0.50; 4 activations of the arch in "
                        "all, R 3.75 L 3.50");
    desk_close(&desk);
}

static void the_expander_in_place_is_the_one_told(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "case_second", 24, 80, second);
    assert_shows(&desk,
                 "upper: fitted 2026-05-22, fit checks passed; no activation since this fit yet; "
                 "3 activations of the arch in all, R 3.00 L 3.00");
    /* The first activation of an expander: at most 1.00 mm (common practice, no source). */
    assert_shows(&desk, "upper, if tissue and hardware are sound: PROCEED permitted R 1.00 L 1.00");
    assert_hides(&desk, "lower, if tissue"); /* not fitted: nothing to judge */
    assert_shows(&desk, "lower: separators 2026-05-29, not fitted");
    desk_keys(&desk, "expander repair");
    assert_shows(&desk, "upper out 2026-05-12 (repair)");
    desk_close(&desk);
}

/* 40.00 at the fossa, a cusp width between: 20 mm apart by landmark alone (published: palatal
 * gingival 31.9-42.3 mm, facial axis mean 57.92 mm), so never one list, never a difference. */
static void landmarks(struct case_maker *maker)
{
    struct width *cusp = case_width(maker, ARCH_UPPER, 38, 52000);

    cusp->landmark = LANDMARK_CUSP;
    cusp = case_width(maker, ARCH_UPPER, 10, 52300);
    cusp->landmark = LANDMARK_CUSP;
}

static void landmarks_are_never_compared(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "case_landmarks", 43, 132, landmarks);
    desk_keys(&desk, "width");
    assert_shows(&desk, "2026-05-08 width: +1.00 (since 2026-04-10)");
    assert_shows(&desk, "fossa 16-26 40.00, cast +1.00");
    assert_shows(&desk, "fossa 16-26 39.00, cast +3.00");
    /* Within the error of measuring there is no change to speak of; "error" would accuse the row.
     */
    assert_shows(&desk, "cusp 16-26 52.30, cast no change");
    desk_keys(&desk, " 52.30");
    assert_shows(&desk, "no change (+0.30 since 2026-04-24; at most ");
    assert_shows(&desk, "can not be told from the error of measuring)");
    desk_keys(&desk, "//////");
    assert_shows(&desk, "cusp 16-26 52.00, cast");
    assert_shows(&desk, "upper width: 40.00 on 2026-05-08, +1.00 since 2026-04-10, +4.00");
    desk_close(&desk);
}

/* 1.00 + 1.00 + 1.00, newest first. */
static void typing_finds_rows(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "case_find", 24, 80, typical);
    desk_keys(&desk, "visit");
    assert_shows(&desk, "> 2026-05-08 visit upper activation R 1.00 L 1.00 (sum 3.00 3.00)");
    assert_shows(&desk, "2026-04-14 visit upper activation R 1.00 L 1.00 (sum 2.00 2.00)");
    assert_hides(&desk, "trainer  issued");
    desk_keys(&desk, "<Esc>2026-04");
    assert_shows(&desk, "2026-04-14 visit");
    assert_hides(&desk, "2026-05-08 visit");
    desk_keys(&desk, "<Esc>UPPER fossa 39");
    assert_shows(&desk, "39.00");
    assert_hides(&desk, "width upper intermolar fossa 16-26 40.00");
    desk_keys(&desk, "<Esc>wear day 2026-05-30");
    assert_shows(&desk, "90 minutes by day, night yes (diary)");
    desk_keys(&desk, "<Esc>zzz");
    assert_shows(&desk, "No record has this.");
    desk_keys(&desk, "*1"); /* the case is the same, found or not */
    assert_shows(&desk, "C-0001  Quillfeather, Odalys  born");
    assert_shows(&desk, "step-size");
    desk_close(&desk);
}

static void a_row_opens_and_keeps_its_place(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "case_open", 24, 80, typical);
    desk_keys(&desk, "+++");
    assert_shows(&desk, "> 2026-04-14 visit");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "visit of 2026-04-14, case C-0001");
    assert_shows(&desk, "right: 1.00 mm");
    assert_shows(&desk, "1 correct");
    desk_keys(&desk, "<End>");
    assert_shows(&desk, "version 1, 2026-06-01");
    assert_shows(&desk, "imported from");
    desk_keys(&desk, "<Esc>");
    assert_shows(&desk, "> 2026-04-14 visit");
    desk_keys(&desk, "<Esc>");
    assert_shows(&desk, "1 still booked");
    desk_close(&desk);
}

/* Every day of the newest period was met: 24 of 24 from the day of the last visit on. */
static void a_wear_period_opens_to_its_days(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "case_wear", 24, 80, typical);
    desk_keys(&desk, "period<Enter>");
    assert_shows(&desk, "2026-05-08 to 2026-05-31: FULL, 24 of 24 days met (diary)");
    assert_shows(&desk, "diary: 24 of 24 known days met, from single days");
    assert_shows(&desk, "2026-05-31 90 minutes by day, night yes (diary)");
    desk_close(&desk);
}

/* One case of ten that are needed: trend and response in the row, why there is no forecast behind
 * it. 36.00, 39.00 and 40.00 mm in weeks 0, 18 2/7 and 22 2/7: 49.33 / 282.3 mm a week by hand;
 * 4.00 mm for 4.00 mm activated. */
static void a_trend_opens_to_its_forecast(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "case_trend", 24, 80, typical);
    desk_keys(&desk, "trend");
    assert_shows(&desk, "upper trend: +0.17 mm a week over 3 dates;");
    assert_shows(&desk, "+1.00 mm for each mm acti");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "no forecast: 1 case of this practice has enough widths");
    assert_shows(&desk, "last change: +1.00 mm from 2026-04-10 to 2026-05-08, real");
    assert_shows(&desk, "Decision support: no rule uses it.");
    assert_shows(&desk, "C-0001");
    desk_keys(&desk, "<Esc>");
    assert_shows(&desk, "upper trend: +0.17 mm a week");
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_is_understood_at_once),
        cmocka_unit_test(what_alarms_is_told_in_words),
        cmocka_unit_test(a_small_screen_loses_nothing_that_alarms),
        cmocka_unit_test(every_rule_that_holds_is_named),
        cmocka_unit_test(limits_of_its_own_are_said),
        cmocka_unit_test(a_closed_case_permits_nothing),
        cmocka_unit_test(retention_is_no_permission),
        cmocka_unit_test(the_expander_in_place_is_the_one_told),
        cmocka_unit_test(activations_are_told_of_the_fit_and_of_the_arch),
        cmocka_unit_test(landmarks_are_never_compared),
        cmocka_unit_test(typing_finds_rows),
        cmocka_unit_test(a_row_opens_and_keeps_its_place),
        cmocka_unit_test(a_wear_period_opens_to_its_days),
        cmocka_unit_test(a_trend_opens_to_its_forecast),
    };
    return cmocka_run_group_tests_name("case_view", tests, NULL, NULL);
}
