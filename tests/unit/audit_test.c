/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The month's audit. 0.80 and 0.50 are settings of the practice (0.80 is the usual adherence cut,
 * from memory), 0.50 of the days known and 14 days a period are settings too. Wilson's interval
 * (J Am Stat Assoc 1927;22:209) is checked in tests/reference; here that it is the one shown.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "small_case.h"
#include "springline/core/audit.h"

#define JUNE           day_of(2026, 6, 1)
#define LATER          day_of(2027, 6, 1) /* a today on which the months asked for are over */
#define TRAINER_ISSUED day_of(2026, 4, 22)

/* Fitted and active; seen on 22 April, 20 May and 17 June: 28 days between, and the period of
 * 20 May to 16 June closed in June, that of 22 April to 19 May in May. */
static void open_case(struct small_case *small)
{
    small_case_open(small, TRAINER_ISSUED);
    small_trainer(small, TRAINER_ISSUED);
    small_expander(small, ARCH_UPPER, TRAINER_ISSUED);
    small_visit(small, TRAINER_ISSUED, VISIT_CHECK, ARCH_UPPER);
    small_visit(small, day_of(2026, 5, 20), VISIT_CHECK, ARCH_UPPER);
    small_visit(small, day_of(2026, 6, 17), VISIT_CHECK, ARCH_UPPER);
}

static struct wear_count *june_count(struct small_case *small, enum source source, int32_t met,
                                     int32_t asked)
{
    struct wear_count *count =
        small_count(small, source, day_of(2026, 5, 20), day_of(2026, 6, 16), met);
    count->days_asked = asked;
    return count;
}

static struct wear_count *may_count(struct small_case *small, enum source source, int32_t met,
                                    int32_t asked)
{
    struct wear_count *count = small_count(small, source, TRAINER_ISSUED, day_of(2026, 5, 19), met);
    count->days_asked = asked;
    return count;
}

static struct audit_row audit(const struct small_case *small, day month)
{
    struct audit_row row = {.group = AUDIT_NONE};

    assert_true(audit_case(&small->history, month, LATER, &row));
    return row;
}

static void is_near(double value, double wanted, double tolerance)
{
    assert_true(fabs(value - wanted) <= tolerance);
}

static void adherence_falls_into_groups_at_its_bounds(void **state)
{
    static const struct {
        int32_t met, asked;
        enum audit_group group;
        bool low;
    } rows[] = {{28, 28, AUDIT_MEETING, false}, {16, 20, AUDIT_MEETING, false}, /* 0.80 exactly */
                {22, 28, AUDIT_BELOW, false},   {15, 20, AUDIT_BELOW, false},
                {14, 28, AUDIT_BELOW, false}, /* 0.50 exactly is not low */
                {13, 28, AUDIT_BELOW, true},    {0, 28, AUDIT_BELOW, true},
                {14, 14, AUDIT_MEETING, false}, /* half of 28 days known */
                {13, 13, AUDIT_UNKNOWN, false}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct small_case small;
        open_case(&small);
        june_count(&small, SOURCE_DIARY, rows[i].met, rows[i].asked);
        struct audit_row row = audit(&small, JUNE);
        assert_int_equal(row.group, rows[i].group);
        assert_int_equal(row.low, rows[i].low);
        assert_int_equal(row.days_asked, 28);
        if (rows[i].group == AUDIT_UNKNOWN)
            continue;
        assert_int_equal(row.source, SOURCE_DIARY);
        assert_int_equal(row.days_met, rows[i].met);
        assert_int_equal(row.days_known, rows[i].asked);
        is_near(row.adherence, (double)rows[i].met / rows[i].asked, 1e-12);
        is_near(row.unknown_share, (28.0 - rows[i].asked) / 28.0, 1e-12);
    }
}

static void a_day_in_a_thousand_short_is_below(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    small.protocol.wear_full_permille = 786; /* 22 of 28 days are 0.7857 */
    june_count(&small, SOURCE_DIARY, 22, 28);
    assert_int_equal(audit(&small, JUNE).group, AUDIT_BELOW);
    small.protocol.wear_full_permille = 785;
    assert_int_equal(audit(&small, JUNE).group, AUDIT_MEETING);
}

static void the_interval_shown_is_wilsons(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    june_count(&small, SOURCE_DIARY, 0, 20);
    struct audit_row row = audit(&small, JUNE);
    /* 0 of 20: 0 to 0.16113 (check value of Wilson 1927). */
    is_near(row.low95, 0.0, 1e-9);
    is_near(row.high95, 0.16113, 5e-6);
}

static void an_unknown_month_says_how_much_is_unknown(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    struct audit_row row = audit(&small, JUNE);
    assert_int_equal(row.group, AUDIT_UNKNOWN);
    is_near(row.unknown_share, 1.0, 0.0);
    june_count(&small, SOURCE_TOLD, 7, 7);
    row = audit(&small, JUNE);
    assert_int_equal(row.group, AUDIT_UNKNOWN);
    assert_int_equal(row.days_known, 0); /* of no source */
    assert_int_equal(row.source, SOURCE_NONE);
    is_near(row.unknown_share, 0.75, 1e-12);
    assert_false(row.has_change);
}

static void one_source_is_chosen_for_all_periods(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    june_count(&small, SOURCE_TOLD, 28, 28);
    june_count(&small, SOURCE_DIARY, 20, 28);
    struct audit_row row = audit(&small, JUNE);
    assert_int_equal(row.source, SOURCE_DIARY);
    assert_int_equal(row.days_met, 20);
    struct wear_count *sensor = june_count(&small, SOURCE_SENSOR, 4, 13);
    assert_int_equal(audit(&small, JUNE).source, SOURCE_DIARY); /* knows too little */
    sensor->days_asked = 14;
    row = audit(&small, JUNE);
    assert_int_equal(row.source, SOURCE_SENSOR);
    assert_int_equal(row.days_known, 14);
    assert_true(row.low);
}

static void several_periods_of_a_month_are_summed_on_one_source(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, TRAINER_ISSUED);
    small_trainer(&small, TRAINER_ISSUED);
    /* Periods 18 May - 31 May and 1 June - 28 June, closed on 1 and 29 June. */
    small_visit(&small, day_of(2026, 5, 18), VISIT_CHECK, ARCH_NONE);
    small_visit(&small, day_of(2026, 6, 1), VISIT_CHECK, ARCH_NONE);
    small_visit(&small, day_of(2026, 6, 29), VISIT_CHECK, ARCH_NONE);
    small.protocol.wear_period_min_days = 13;
    small_count(&small, SOURCE_SENSOR, day_of(2026, 5, 18), day_of(2026, 5, 31), 7);
    small_count(&small, SOURCE_DIARY, day_of(2026, 6, 1), day_of(2026, 6, 28), 28);
    struct audit_row row = audit(&small, JUNE);
    /* Of 42 days the sensor knows 14, a third; the diary 28: only the diary is judged. */
    assert_int_equal(row.days_asked, 42);
    assert_int_equal(row.source, SOURCE_DIARY);
    assert_int_equal(row.days_known, 28);
    assert_int_equal(row.days_met, 28);
    small_count(&small, SOURCE_SENSOR, day_of(2026, 6, 1), day_of(2026, 6, 28), 21);
    row = audit(&small, JUNE);
    assert_int_equal(row.source, SOURCE_SENSOR);
    assert_int_equal(row.days_known, 42);
    assert_int_equal(row.days_met, 28);
    assert_int_equal(row.group, AUDIT_BELOW);
}

static void a_period_closed_on_the_first_of_the_month_belongs_to_it(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    june_count(&small, SOURCE_DIARY, 28, 28);
    may_count(&small, SOURCE_DIARY, 14, 28);
    struct visit *may = &small.visits[1];
    may->date = day_of(2026, 5, 31); /* closed on the last of May: not June's */
    struct audit_row row = audit(&small, JUNE);
    assert_int_equal(row.days_asked, 17);
    may->date = day_of(2026, 6, 1);
    row = audit(&small, JUNE);
    assert_int_equal(row.days_asked, 16 + 40);
    assert_int_equal(row.short_run, 0);
}

static void a_short_visit_hides_nothing(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    june_count(&small, SOURCE_DIARY, 7, 28);
    struct audit_row row = audit(&small, JUNE);
    assert_int_equal(row.days_met, 7);
    /* An emergency visit three days later closes the same period, which then ends with it. */
    small_visit(&small, day_of(2026, 6, 20), VISIT_REPAIR, ARCH_UPPER);
    row = audit(&small, JUNE);
    assert_int_equal(row.group, AUDIT_BELOW);
    assert_int_equal(row.days_asked, 31);
    assert_int_equal(row.days_met, 7);
    assert_int_equal(row.days_known, 28);
    assert_int_equal(row.visits, 2);
}

static void the_open_tail_stands_apart(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    june_count(&small, SOURCE_DIARY, 28, 28);
    for (day date = day_of(2026, 6, 17); date <= day_of(2026, 7, 5); date++)
        small_wear_day(&small, SOURCE_DIARY, date, date % 2 == 0);
    struct audit_row row = audit(&small, JUNE);
    assert_int_equal(row.days_known, 28);
    assert_int_equal(row.days_met, 28);
    assert_int_equal(row.open_days, 14); /* 17 to 30 June */
    assert_int_equal(row.open_known, 14);
    assert_int_equal(row.open_met, 7);
    assert_int_equal(row.group, AUDIT_MEETING);
}

static void not_seen_is_a_line_of_its_own(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    june_count(&small, SOURCE_DIARY, 28, 28);
    small.visits[2].kind = VISIT_MISSED;
    struct audit_row row = audit(&small, JUNE);
    assert_int_equal(row.group, AUDIT_NOT_SEEN);
    assert_int_equal(row.visits, 0);
    assert_int_equal(row.missed, 1);
    assert_int_equal(row.days_asked, 0);
    assert_int_equal(row.days_known, 0);
    is_near(row.unknown_share, 1.0, 0.0);
    assert_int_equal(row.open_days, 42); /* 20 May to 30 June */
    assert_int_equal(row.open_met, 28);
    row = audit(&small, day_month_start(JUNE, -1));
    assert_int_equal(row.group, AUDIT_UNKNOWN); /* seen in May, of which nothing is known */
}

static void seen_with_no_day_to_judge_is_unknown(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, TRAINER_ISSUED);
    small_trainer(&small, day_of(2026, 6, 17));
    small_visit(&small, day_of(2026, 6, 17), VISIT_CHECK, ARCH_NONE);
    struct audit_row row = audit(&small, JUNE);
    assert_int_equal(row.group, AUDIT_UNKNOWN);
    assert_int_equal(row.days_asked, 0);
    assert_int_equal(row.untrained_days, 0); /* before the first issue nothing was asked */
    assert_int_equal(row.open_days, 14);
}

static void only_open_cases_that_had_a_trainer_are_audited(void **state)
{
    struct small_case small;
    struct audit_row row = {.group = AUDIT_NONE};

    (void)state;
    open_case(&small);
    small.casefile.closed_on = day_of(2026, 7, 1);
    assert_true(audit_case(&small.history, JUNE, LATER, &row));
    small.casefile.closed_on = day_of(2026, 6, 30);
    row.group = AUDIT_NONE;
    assert_false(audit_case(&small.history, JUNE, LATER, &row));
    assert_int_equal(row.group, AUDIT_NONE);
    assert_true(audit_case(&small.history, day_month_start(JUNE, -1), LATER, &row));
    small.casefile.closed_on = DAY_NONE;
    small.trainers[0].issued_on = day_of(2026, 7, 1);
    assert_false(audit_case(&small.history, JUNE, LATER, &row));
    small.trainers[0].issued_on = day_of(2026, 6, 30);
    assert_true(audit_case(&small.history, JUNE, LATER, &row));
    small.casefile.opened = day_of(2026, 7, 1);
    assert_false(audit_case(&small.history, JUNE, LATER, &row));
    small.history.trainer_count = 0;
    assert_false(audit_case(&small.history, JUNE, LATER, &row));
}

static void days_without_a_trainer_are_named_and_not_judged(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    small.trainers[0].ended_on = day_of(2026, 6, 7);
    small_trainer(&small, day_of(2026, 6, 12));
    struct audit_row row = audit(&small, JUNE);
    assert_int_equal(row.untrained_days, 5); /* 7 to 11 June */
    assert_int_equal(row.days_asked, 23);
    assert_int_equal(audit(&small, day_month_start(JUNE, -1)).untrained_days, 0);
}

static void the_change_is_from_the_month_before_on_the_same_source(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    june_count(&small, SOURCE_DIARY, 21, 28);
    assert_false(audit(&small, JUNE).has_change); /* May was not judged */
    struct wear_count *may = may_count(&small, SOURCE_DIARY, 14, 28);
    struct audit_row row = audit(&small, JUNE);
    assert_true(row.has_change);
    is_near(row.change, 0.25, 1e-12);
    may->days_met = 28;
    is_near(audit(&small, JUNE).change, -0.25, 1e-12);
    may->source = SOURCE_TOLD; /* never two sources in one figure */
    assert_false(audit(&small, JUNE).has_change);
    may->source = SOURCE_DIARY;
    small.visits[1].date = day_of(2026, 4, 30); /* not seen in May */
    assert_false(audit(&small, JUNE).has_change);
}

static void the_run_counts_short_low_and_unknown_periods_back(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    assert_int_equal(audit(&small, JUNE).short_run, 2); /* nothing known of either */
    struct wear_count *june = june_count(&small, SOURCE_DIARY, 21, 28);
    /* The period before ends before the case's first wear record: it ends the run. */
    assert_int_equal(audit(&small, JUNE).short_run, 1);
    struct wear_day *first = small_wear_day(&small, SOURCE_DIARY, day_of(2026, 5, 19), true);
    assert_int_equal(audit(&small, JUNE).short_run, 2); /* the first record is its last day */
    first->date = day_of(2026, 5, 20);
    assert_int_equal(audit(&small, JUNE).short_run, 1);
    struct wear_count *may = may_count(&small, SOURCE_DIARY, 13, 28);
    assert_int_equal(audit(&small, JUNE).short_run, 2);
    may->days_met = 28;
    assert_int_equal(audit(&small, JUNE).short_run, 1);
    june->days_met = 28;
    may->days_met = 0;
    assert_int_equal(audit(&small, JUNE).short_run, 0);
}

static void verdicts_are_counted_once_a_visit_under_the_gravest(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, TRAINER_ISSUED);
    small_trainer(&small, TRAINER_ISSUED);
    small_expander(&small, ARCH_UPPER, TRAINER_ISSUED);
    small_expander(&small, ARCH_LOWER, TRAINER_ISSUED);
    static const struct {
        int day_of_month;
        enum verdict upper, lower;
    } rows[] = {{1, VERDICT_PROCEED, VERDICT_HOLD},
                {4, VERDICT_REDUCE, VERDICT_PROCEED},
                {9, VERDICT_PROCEED, VERDICT_PROCEED},
                {15, VERDICT_REST, VERDICT_HOLD},
                {30, VERDICT_HOLD, VERDICT_HOLD}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        day date = day_of(2026, 6, rows[i].day_of_month);
        small_judged(&small, small_visit(&small, date, VISIT_CHECK, ARCH_UPPER), rows[i].upper,
                     date + 21, date + 28);
        small_judged(&small, small_visit(&small, date, VISIT_CHECK, ARCH_LOWER), rows[i].lower,
                     date + 21, date + 28);
    }
    /* Outside of the month, and a visit of the case as a whole. */
    small_judged(&small, small_visit(&small, JUNE - 1, VISIT_CHECK, ARCH_UPPER), VERDICT_HOLD, JUNE,
                 JUNE);
    small_judged(&small, small_visit(&small, day_of(2026, 7, 1), VISIT_CHECK, ARCH_UPPER),
                 VERDICT_HOLD, JUNE, JUNE);
    small_visit(&small, day_of(2026, 6, 20), VISIT_CHECK, ARCH_NONE);
    struct audit_row row = audit(&small, JUNE);
    assert_int_equal(row.visits, 6);
    assert_int_equal(row.holds, 2);
    assert_int_equal(row.reductions, 1);
    assert_int_equal(row.rests, 1);
    assert_int_equal(row.overrides, 0);
}

static void more_than_permitted_is_an_override_with_its_reason(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    struct visit *visit = &small.visits[2];
    struct judged *judged = small_judged(&small, visit, VERDICT_REDUCE, JUNE, JUNE);
    visit->right = visit->left = 1000;
    visit->override_reason = "";
    assert_int_equal(audit(&small, JUNE).overrides, 0); /* exactly what was permitted */
    judged->permitted_left = 750;
    struct audit_row row = audit(&small, JUNE);
    assert_int_equal(row.overrides, 1);
    assert_int_equal(row.override_rows[0].date, visit->date);
    assert_int_equal(row.override_rows[0].arch, ARCH_UPPER);
    assert_int_equal(row.override_rows[0].given_left, 1000);
    assert_int_equal(row.override_rows[0].permitted_left, 750);
    assert_int_equal(row.override_rows[0].permitted_right, 1000);
    assert_string_equal(row.override_rows[0].reason, "");
    assert_false(row.override_rows[0].recomputed);
    visit->override_reason = "growth spurt, seen weekly";
    assert_string_equal(audit(&small, JUNE).override_rows[0].reason, "growth spurt, seen weekly");
}

static void an_imported_override_is_recomputed_and_may_lack_a_reason(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    june_count(&small, SOURCE_DIARY, 28, 28);
    may_count(&small, SOURCE_DIARY, 28, 28);
    struct visit *visit = &small.visits[2];
    visit->kind = VISIT_ACTIVATION;
    visit->right = visit->left = 1000; /* the first step: common practice, no source */
    assert_int_equal(audit(&small, JUNE).overrides, 0);
    visit->left = 1250;
    struct audit_row row = audit(&small, JUNE);
    assert_int_equal(row.overrides, 1);
    assert_true(row.override_rows[0].recomputed);
    assert_int_equal(row.override_rows[0].permitted_left, 1000);
    assert_string_equal(row.override_rows[0].reason, "");
}

static void amounts_of_one_day_add_up_to_an_override(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    struct visit *visit = &small.visits[2];
    small_judged(&small, visit, VERDICT_PROCEED, JUNE, JUNE);
    visit->right = visit->left = 750;
    struct visit *second = small_visit(&small, visit->date, VISIT_REPAIR, ARCH_UPPER);
    second->right = 500;
    second->override_reason = "loop had closed";
    struct audit_row row = audit(&small, JUNE);
    assert_int_equal(row.overrides, 1);
    assert_int_equal(row.override_rows[0].given_right, 1250);
    assert_int_equal(row.override_rows[0].given_left, 750);
    assert_string_equal(row.override_rows[0].reason, "loop had closed");
    small_case_reverse(&small);
    assert_int_equal(audit(&small, JUNE).override_rows[0].given_right, 1250);
    small_case_reverse(&small);
    visit->override_reason = "asked by the clinician"; /* the newer row's reason is shown */
    assert_string_equal(audit(&small, JUNE).override_rows[0].reason, "loop had closed");
    small_case_reverse(&small);
    assert_string_equal(audit(&small, JUNE).override_rows[0].reason, "loop had closed");
}

static void more_overrides_than_there_is_room_for_are_still_counted(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    for (int i = 1; i <= 20; i++) {
        struct visit *visit = small_activation(&small, day_of(2026, 6, i), ARCH_UPPER, 2000);
        small_judged(&small, visit, VERDICT_HOLD, JUNE, JUNE);
    }
    struct audit_row row = audit(&small, JUNE);
    assert_int_equal(row.overrides, 20);
    assert_int_equal(row.override_rows[AUDIT_OVERRIDES_MAX - 1].date, day_of(2026, 6, 16));
}

static void missed_counts_once_a_date_and_cancelled_is_not_missed(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    small_booking(&small, day_of(2026, 6, 1), BOOKED_MISSED);
    small_booking(&small, day_of(2026, 6, 1), BOOKED_MISSED);
    small_visit(&small, day_of(2026, 6, 1), VISIT_MISSED, ARCH_UPPER);
    small_visit(&small, day_of(2026, 6, 30), VISIT_MISSED, ARCH_NONE);
    small_visit(&small, day_of(2026, 6, 2), VISIT_NONE, ARCH_NONE); /* of no kind: neither */
    small_booking(&small, day_of(2026, 6, 3), BOOKED_CANCELLED)->cancelled_by = CANCELLER_FAMILY;
    small_booking(&small, day_of(2026, 6, 4), BOOKED_KEPT);
    small_booking(&small, day_of(2026, 6, 5), BOOKED_STANDING);
    small_booking(&small, day_of(2026, 5, 31), BOOKED_MISSED);
    small_booking(&small, day_of(2026, 7, 1), BOOKED_MISSED);
    assert_int_equal(audit(&small, JUNE).missed, 2);
}

static void totals_add_up(void **state)
{
    struct audit_totals totals = {0};
    struct audit_row row = {
        .visits = 2, .holds = 1, .reductions = 3, .rests = 4, .overrides = 5, .missed = 6};

    (void)state;
    row.group = AUDIT_BELOW;
    row.low = true;
    audit_add(&totals, &row);
    row.low = false;
    audit_add(&totals, &row);
    row.group = AUDIT_UNKNOWN;
    audit_add(&totals, &row);
    row.group = AUDIT_NOT_SEEN;
    audit_add(&totals, &row);
    row.group = AUDIT_MEETING;
    audit_add(&totals, &row);
    audit_add(&totals, &row);
    assert_int_equal(totals.cases, 6);
    assert_int_equal(totals.below, 2);
    assert_int_equal(totals.low, 1);
    assert_int_equal(totals.unknown, 1);
    assert_int_equal(totals.not_seen, 1);
    assert_int_equal(totals.meeting, 2);
    assert_int_equal(totals.visits, 12);
    assert_int_equal(totals.holds, 6);
    assert_int_equal(totals.reductions, 18);
    assert_int_equal(totals.rests, 24);
    assert_int_equal(totals.overrides, 30);
    assert_int_equal(totals.missed, 36);
}

static void groups_are_spelled_and_ordered(void **state)
{
    (void)state;
    assert_int_equal(words_audit_group.count, 5);
    assert_string_equal(word_text(&words_audit_group, AUDIT_BELOW), "below");
    assert_string_equal(word_text(&words_audit_group, AUDIT_UNKNOWN), "unknown");
    assert_string_equal(word_text(&words_audit_group, AUDIT_NOT_SEEN), "not-seen");
    assert_string_equal(word_text(&words_audit_group, AUDIT_MEETING), "meeting");
}

/* Days that have not come are nobody's: a running month ends with today, its tail yesterday. */
static void a_running_month_ends_today(void **state)
{
    struct small_case small;
    struct audit_row row;

    (void)state;
    open_case(&small);
    assert_true(audit_case(&small.history, JUNE, day_of(2026, 6, 24), &row));
    assert_int_equal(row.open_days, 7); /* 17 to 23 June */
    assert_true(audit_case(&small.history, JUNE, day_of(2026, 6, 17), &row));
    assert_int_equal(row.open_days, 0);
    assert_int_equal(row.visits, 1);
    assert_true(audit_case(&small.history, JUNE, day_of(2026, 6, 16), &row));
    assert_int_equal(row.group, AUDIT_NOT_SEEN);
    assert_int_equal(row.visits, 0);
    small.trainers[0].ended_on = day_of(2026, 6, 20);
    assert_true(audit_case(&small.history, JUNE, day_of(2026, 6, 24), &row));
    assert_int_equal(row.untrained_days, 4); /* 20 to 23 June: on its end day it is not current */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(adherence_falls_into_groups_at_its_bounds),
        cmocka_unit_test(a_day_in_a_thousand_short_is_below),
        cmocka_unit_test(the_interval_shown_is_wilsons),
        cmocka_unit_test(an_unknown_month_says_how_much_is_unknown),
        cmocka_unit_test(one_source_is_chosen_for_all_periods),
        cmocka_unit_test(several_periods_of_a_month_are_summed_on_one_source),
        cmocka_unit_test(a_period_closed_on_the_first_of_the_month_belongs_to_it),
        cmocka_unit_test(a_short_visit_hides_nothing),
        cmocka_unit_test(the_open_tail_stands_apart),
        cmocka_unit_test(not_seen_is_a_line_of_its_own),
        cmocka_unit_test(seen_with_no_day_to_judge_is_unknown),
        cmocka_unit_test(only_open_cases_that_had_a_trainer_are_audited),
        cmocka_unit_test(days_without_a_trainer_are_named_and_not_judged),
        cmocka_unit_test(the_change_is_from_the_month_before_on_the_same_source),
        cmocka_unit_test(the_run_counts_short_low_and_unknown_periods_back),
        cmocka_unit_test(verdicts_are_counted_once_a_visit_under_the_gravest),
        cmocka_unit_test(more_than_permitted_is_an_override_with_its_reason),
        cmocka_unit_test(an_imported_override_is_recomputed_and_may_lack_a_reason),
        cmocka_unit_test(amounts_of_one_day_add_up_to_an_override),
        cmocka_unit_test(more_overrides_than_there_is_room_for_are_still_counted),
        cmocka_unit_test(missed_counts_once_a_date_and_cancelled_is_not_missed),
        cmocka_unit_test(totals_add_up),
        cmocka_unit_test(groups_are_spelled_and_ordered),
        cmocka_unit_test(a_running_month_ends_today),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
