/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Counts of days met of days asked: what they know, how they add, and what they show. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../../src/app/chart_private.h"
#include "case_maker.h"
#include "springline/app/sentence.h"
#include "springline/app/visit.h"
#include "springline/core/audit.h"
#include "springline/core/wear.h"

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

static void counts_add_unless_they_overlap(void **state)
{
    struct case_maker maker;

    (void)state;
    begin(&maker);
    case_count(&maker, SOURCE_DIARY, 28, 15, 13, 14);
    case_count(&maker, SOURCE_DIARY, 14, 1, 10, 14);
    struct wear_period period = judge(&maker);
    assert_int_equal(period.judged.met, 23);
    assert_int_equal(period.judged.known, 28);
    assert_int_equal(period.class, WEAR_FULL);
    maker.wear_counts[1].from = case_day(&maker, 15); /* one day in common: the lower stands */
    period = judge(&maker);
    assert_int_equal(period.judged.met, 10);
    assert_int_equal(period.judged.known, 14);
    assert_int_equal(period.class, WEAR_SHORT);
    case_count(&maker, SOURCE_TOLD, 28, 1, 0, 28); /* another source is another matter */
    assert_int_equal(judge(&maker).judged.met, 10);
}

/* 9 of 20 beside 5 of 10: low, and no better for one more missed day. */
static void counts_that_overlap_convict_but_do_not_acquit(void **state)
{
    struct case_maker maker;

    (void)state;
    begin(&maker);
    case_count(&maker, SOURCE_DIARY, 28, 9, 9, 20);
    case_count(&maker, SOURCE_DIARY, 10, 1, 5, 10);
    assert_int_equal(judge(&maker).class, WEAR_LOW);
    maker.wear_counts[1].days_met = 4;
    struct wear_period period = judge(&maker);
    assert_int_equal(period.class, WEAR_LOW);
    assert_int_equal(period.judged.met, 4); /* the numbers told are those of the one that stands */
    assert_int_equal(period.judged.known, 10);
    maker.wear_counts[0].days_met = 19;
    maker.wear_counts[1].days_met = 9; /* full, but the one that stands knows too little */
    assert_int_equal(judge(&maker).class, WEAR_UNKNOWN);
}

static void a_count_belongs_to_the_period_of_its_last_day(void **state)
{
    struct case_maker maker;

    (void)state;
    begin(&maker);
    case_count(&maker, SOURCE_DIARY, 40, 1, 36, 40); /* cut to 28 days, its share kept */
    struct wear_period period = judge(&maker);
    assert_int_equal(period.judged.known, 28);
    assert_int_equal(period.judged.met, 25);
    assert_int_equal(period.class, WEAR_FULL);
    maker.wear_counts[0].days_met = 33; /* 23 of 28 */
    assert_int_equal(judge(&maker).class, WEAR_FULL);
    maker.wear_counts[0].days_met = 32; /* 0.80 of 40, but 22 of 28 are less: those are shown */
    period = judge(&maker);
    assert_int_equal(period.judged.met, 22);
    assert_int_equal(period.class, WEAR_SHORT);
    assert_false(period.stricter);
    maker.wear_counts[0].to = maker.today;
    assert_int_equal(judge(&maker).class, WEAR_UNKNOWN);
    maker.wear_counts[0].to = case_day(&maker, 29);
    assert_int_equal(judge(&maker).class, WEAR_UNKNOWN);
    maker.wear_counts[0].from = case_day(&maker, 67);
    maker.wear_counts[0].to = case_day(&maker, 28);
    assert_int_equal(judge(&maker).class, WEAR_SHORT);
}

/* 20 of 40 is one half, but cut to 21 days it is 10 of 21, and low. */
static void a_cut_count_is_judged_as_it_is_shown(void **state)
{
    struct case_maker maker;
    struct wear_period period;

    (void)state;
    begin(&maker);
    case_count(&maker, SOURCE_DIARY, 40, 1, 20, 40);
    wear_judge(&maker.history, &maker.protocol, case_day(&maker, 21), case_day(&maker, 1), &period);
    assert_int_equal(period.judged.met, 10);
    assert_int_equal(period.judged.known, 21);
    assert_int_equal(period.class, WEAR_LOW);
    assert_false(period.stricter);
    period = judge(&maker); /* 14 of 28 */
    assert_int_equal(period.judged.met, 14);
    assert_int_equal(period.class, WEAR_SHORT);
}

/* The audit sums the whole days that were judged. */
static void the_audit_counts_the_days_shown(void **state)
{
    struct case_maker maker;
    struct audit_row row;

    (void)state;
    begin(&maker); /* today is 2026-06-01 */
    maker.casefile.opened = case_day(&maker, 22);
    case_visit(&maker, VISIT_CHECK, ARCH_UPPER, 1, 0, 0);
    case_count(&maker, SOURCE_DIARY, 41, 2, 20, 40);
    assert_true(audit_case(&maker.history, day_of(2026, 5, 1), maker.today, &row));
    assert_int_equal(row.days_known, 21);
    assert_int_equal(row.days_met, 10);
    assert_int_equal(row.group, AUDIT_BELOW);
    assert_true(row.low);
}

/* Counts that add up to more days than there are keep their common share. */
static void counts_are_cut_together(void **state)
{
    struct case_maker maker;

    (void)state;
    begin(&maker);
    case_count(&maker, SOURCE_DIARY, 40, 21, 20, 20);
    case_count(&maker, SOURCE_DIARY, 20, 1, 9, 20);
    struct wear_period period = judge(&maker);
    assert_int_equal(period.judged.known, 28);
    assert_int_equal(period.judged.met, 20); /* 29 of 40 are 20.3 of 28 */
    assert_int_equal(period.class, WEAR_SHORT);
    maker.wear_counts[1].days_met = 12;
    period = judge(&maker);
    assert_int_equal(period.judged.met, 22); /* 32 of 40, but 22.4 of 28 are 22: not 0.80 */
    assert_int_equal(period.class, WEAR_SHORT);
    maker.wear_counts[1].days_met = 13;
    assert_int_equal(judge(&maker).class, WEAR_FULL); /* 23 of 28 */
}

/* Nobody wore on days without a trainer, whatever was counted. */
static void a_count_knows_no_day_without_a_trainer(void **state)
{
    struct case_maker maker;

    (void)state;
    begin(&maker);
    maker.trainers[0].ended_on = case_day(&maker, 20);
    case_trainer(&maker, 10, CASE_NEVER); /* 28 to 21, 10 to 1 days ago: 18 days */
    case_count(&maker, SOURCE_DIARY, 28, 1, 26, 28);
    struct wear_period period = judge(&maker);
    assert_int_equal(period.judged.known, 18);
    assert_int_equal(period.judged.met, 16); /* 16.7 */
    maker.wear_counts[0].from = case_day(&maker, 20);
    maker.wear_counts[0].days_met = maker.wear_counts[0].days_asked = 20;
    period = judge(&maker);
    assert_int_equal(period.judged.known, 10); /* of its own 20 days, not of the period's 18 */
    assert_int_equal(period.judged.met, 10);
    maker.wear_counts[0].to = case_day(&maker, 11);
    period = judge(&maker);
    assert_int_equal(period.class, WEAR_UNKNOWN);
    assert_int_equal(period.sources[SOURCE_DIARY].known, 0);
    case_count(&maker, SOURCE_DIARY, 12, 1, 4, 10); /* and stands beside nothing that overlaps */
    period = judge(&maker);
    assert_int_equal(period.judged.met, 4);
    assert_int_equal(period.judged.known, 10);
    assert_false(period.stricter);
}

/* Where overlapping or half-filled records lower the class, the days shown would not: it is said.
 */
static void a_stricter_class_is_said_to_be(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    begin(&maker);
    case_count(&maker, SOURCE_DIARY, 28, 21, 4, 8); /* stands, though the next knows more */
    case_count(&maker, SOURCE_DIARY, 22, 3, 19, 20);
    case_count(&maker, SOURCE_DIARY, 2, 1, 2, 2);
    struct wear_period period = judge(&maker);
    assert_int_equal(period.judged.met, 6);
    assert_int_equal(period.judged.known, 10);
    assert_int_equal(period.class, WEAR_SHORT); /* the 10 shown are too few of 28 to be judged */
    assert_true(period.stricter);

    maker.wear_counts[1].days_met = 9; /* 0.45 of 20 and 2 of 2: half by the longer, 11 of 22 */
    period = judge(&maker);
    assert_int_equal(period.judged.met, 11);
    assert_int_equal(period.judged.known, 22);
    assert_int_equal(period.class, WEAR_SHORT);
    assert_false(period.stricter);
    maker.wear_counts[0].from = case_day(&maker, 22 + 23); /* a longer one beside it, 12 of 25 */
    maker.wear_counts[0].days_asked = 25;
    maker.wear_counts[0].days_met = 12;
    period = judge(&maker); /* by its weight 0.45 of 25 and 2 of 2 are less than half of 27 */
    assert_int_equal(period.judged.met, 11);
    assert_int_equal(period.class, WEAR_LOW);
    assert_true(period.stricter);

    case_expander(&maker, ARCH_UPPER, 60);
    case_visit(&maker, VISIT_CHECK, ARCH_UPPER, 28, 0, 0);
    case_judge(&maker, &judgement);
    const struct finding *low = case_finding(&judgement, RULE_WEAR_LOW, SIDE_NONE);
    assert_non_null(low);
    assert_int_equal(case_number(low, "stricter"), 1);
    struct text text = {0};
    sentence_finding(&text, low);
    assert_string_equal(text_string(&text),
                        "Wear since 2026-05-04: 11 days of 22 days met (diary); low is below 50 %. "
                        "Because records overlap or are half filled, the stricter stands. HOLD.");
    text_release(&text);
}

static void assert_says(const char *text, const char *words)
{
    if (strstr(text, words) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", text, words);
}

/* Chart and visit screen print the class beside the days: they say it as well. */
static void a_stricter_class_is_said_wherever_it_is_shown(void **state)
{
    static const char because[] = "records overlap or are half filled, the stricter stands";
    struct case_maker maker;
    struct visit_sheet sheet = {.date = DAY_NONE};
    struct lines lines = {0};
    struct arena arena = {0};
    struct text text = {0};

    (void)state;
    begin(&maker);
    case_visit(&maker, VISIT_CHECK, ARCH_UPPER, 28, 0, 0);
    case_wear(&maker, SOURCE_DIARY, 28, 16, 13);
    case_wear_day(&maker, SOURCE_DIARY, 15, 50, ANSWER_NONE);
    sheet.history = sheet.live = maker.history;
    sheet.date = maker.today;
    chart_wear(&text, &maker.history, maker.today, 100);
    assert_says(text_string(&text), "2026-05-31  unknown");
    assert_says(text_string(&text), because);
    assert_int_equal(visit_lines_past(NULL, &sheet, 0, &arena, &lines), STATUS_OK);
    assert_says(lines.line[0], "UNKNOWN, because");
    assert_says(lines.line[0], because);

    maker.wear_days[13].night = ANSWER_NO; /* missed by its night, whatever the minutes */
    text_clear(&text);
    chart_wear(&text, &maker.history, maker.today, 100);
    assert_says(text_string(&text), "13 of 14 days met");
    assert_null(strstr(text_string(&text), because));
    text_release(&text);
    arena_release(&arena);
}

/* Enough days to judge by the letter, but half-filled ones among them: unknown, and said so. */
static void an_unknown_class_is_said_to_be_stricter(void **state)
{
    struct case_maker maker;

    (void)state;
    begin(&maker);
    case_wear(&maker, SOURCE_DIARY, 28, 16, 13);
    case_wear_day(&maker, SOURCE_DIARY, 15, 50, ANSWER_NONE);
    struct wear_period period = judge(&maker); /* 13 of 14 met, 14 of 28 known */
    assert_int_equal(period.class, WEAR_UNKNOWN);
    assert_int_equal(period.sources[SOURCE_DIARY].known, 14);
    assert_true(period.stricter);
    maker.history.wear_day_count--;
    assert_false(judge(&maker).stricter);
}

/* The better source says less by the worst of what it may mean: its own days are shown, and that.
 */
static void a_stricter_difference_is_said_to_be(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    begin(&maker);
    case_wear(&maker, SOURCE_TOLD, 28, 1, 28);
    case_count(&maker, SOURCE_SENSOR, 28, 21, 6, 8);
    case_count(&maker, SOURCE_SENSOR, 21, 20, 1, 2);
    struct wear_period period = judge(&maker);
    assert_int_equal(period.source, SOURCE_TOLD);
    assert_int_equal(period.differs, SOURCE_SENSOR);
    assert_int_equal(period.differs_tally.met, 1);
    assert_int_equal(period.differs_tally.known, 2); /* alone they would be too few to differ */
    assert_true(period.differs_stricter);
    assert_false(period.stricter);
    case_expander(&maker, ARCH_UPPER, 60);
    case_visit(&maker, VISIT_CHECK, ARCH_UPPER, 28, 0, 0);
    case_judge(&maker, &judgement);
    const struct finding *differs = case_finding(&judgement, RULE_WEAR_DIFFERS, SIDE_NONE);
    assert_non_null(differs);
    assert_int_equal(case_number(differs, "stricter"), 1);
    assert_int_equal(case_number(differs, "known"), 2);
    maker.history.wear_count_count = 1; /* 6 of 8 alone */
    period = judge(&maker);
    assert_int_equal(period.differs_tally.known, 8);
    assert_false(period.differs_stricter);
}

static void impossible_counts_know_nothing(void **state)
{
    struct case_maker maker;

    (void)state;
    begin(&maker);
    struct wear_count *count = case_count(&maker, SOURCE_DIARY, 28, 1, 29, 28);
    assert_int_equal(judge(&maker).class, WEAR_UNKNOWN);
    count->days_met = -1;
    assert_int_equal(judge(&maker).class, WEAR_UNKNOWN);
    count->days_met = count->days_asked = 0;
    assert_int_equal(judge(&maker).class, WEAR_UNKNOWN);
    count->days_met = count->days_asked = 28;
    count->from = count->to + 1;
    assert_int_equal(judge(&maker).class, WEAR_UNKNOWN);
    count->from = count->to; /* 28 days asked in one: one is known */
    struct wear_period period = judge(&maker);
    assert_int_equal(period.sources[SOURCE_DIARY].known, 1);
    assert_int_equal(period.class, WEAR_UNKNOWN);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(counts_add_unless_they_overlap),
        cmocka_unit_test(counts_that_overlap_convict_but_do_not_acquit),
        cmocka_unit_test(a_count_belongs_to_the_period_of_its_last_day),
        cmocka_unit_test(a_cut_count_is_judged_as_it_is_shown),
        cmocka_unit_test(the_audit_counts_the_days_shown),
        cmocka_unit_test(counts_are_cut_together),
        cmocka_unit_test(a_count_knows_no_day_without_a_trainer),
        cmocka_unit_test(a_stricter_class_is_said_to_be),
        cmocka_unit_test(a_stricter_class_is_said_wherever_it_is_shown),
        cmocka_unit_test(an_unknown_class_is_said_to_be_stricter),
        cmocka_unit_test(a_stricter_difference_is_said_to_be),
        cmocka_unit_test(impossible_counts_know_nothing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
