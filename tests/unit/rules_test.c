/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The activation rules, each on both sides of its boundary. Every vignette starts from a course
 * without trouble (case_typical: 2.00 mm a side, nothing but step-size fires) and changes one
 * thing. The settings are the practice's defaults; which are published or common practice stands in
 * protocol.c. No published limit in mm per visit exists, so there is no outside value to check
 * against: expected values follow from the rule's own words.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "case_maker.h"

struct vignette {
    void (*arrange)(struct case_maker *maker, int32_t value);
    int32_t value;
    enum rule rule;
    enum effect effect; /* EFFECT_NONE: the rule must stay silent */
    um limit;
    um right, left; /* permitted */
};

/* Days ago of the newest activation; the others keep their distance. */
static void last_activation(struct case_maker *maker, int32_t ago)
{
    for (size_t i = 0; i < maker->history.visit_count; i++)
        maker->visits[i].date -= ago - 24;
}

static void fitted(struct case_maker *maker, int32_t ago)
{
    maker->expanders[0].fitted_on = case_day(maker, ago);
}

static void taken_out(struct case_maker *maker, int32_t ago)
{
    maker->expanders[0].out_on = case_day(maker, ago);
}

/* Common practice, no source: left in passively, the expander retains (domain.md 8). */
static void left_in(struct case_maker *maker, int32_t ago)
{
    maker->expanders[0].passive_on = case_day(maker, ago);
}

static void wound_earlier(struct case_maker *maker, int32_t ago)
{
    case_visit(maker, VISIT_CHECK, ARCH_UPPER, ago, 0, 0)->tissue = TISSUE_WOUND;
}

static void given_today(struct case_maker *maker, int32_t amount)
{
    case_visit(maker, VISIT_CHECK, ARCH_UPPER, 0, amount, 0);
}

static void given_today_lower(struct case_maker *maker, int32_t amount)
{
    case_visit(maker, VISIT_ACTIVATION, ARCH_LOWER, 0, amount, amount);
}

static void check_tied(struct case_maker *maker, int32_t answer)
{
    maker->expanders[0].tied = (enum answer)answer;
}

static void trainer_ended(struct case_maker *maker, int32_t ago)
{
    maker->trainers[0].ended_on = case_day(maker, ago);
}

static void trainer_issued(struct case_maker *maker, int32_t ago)
{
    maker->trainers[0].issued_on = case_day(maker, ago);
}

static void consented(struct case_maker *maker, int32_t ago)
{
    maker->casefile.consent_on = case_day(maker, ago);
}

/* The visits remain, but gave nothing. */
static void unactivated(struct case_maker *maker)
{
    for (size_t i = 0; i < maker->history.visit_count; i++)
        maker->visits[i].right = maker->visits[i].left = 0;
}

static void consented_unactivated(struct case_maker *maker, int32_t ago)
{
    consented(maker, ago);
    unactivated(maker);
}

static void asked(struct case_maker *maker, int32_t ago)
{
    maker->casefile.asked_on = case_day(maker, ago);
}

static void tissue(struct case_maker *maker, int32_t found)
{
    maker->question.examination.tissue = (enum tissue)found;
}

static void hardware(struct case_maker *maker, int32_t found)
{
    maker->question.examination.hardware = (uint32_t)found;
}

static void hardware_repaired(struct case_maker *maker, int32_t found)
{
    hardware(maker, found);
    maker->question.examination.repaired = ANSWER_YES;
}

static void hardware_not_repaired(struct case_maker *maker, int32_t found)
{
    hardware(maker, found);
    maker->question.examination.repaired = ANSWER_NO;
}

/* 3.00 mm within the window but long enough ago; each side's amount of the visit 24 days ago. */
static void window_amount(struct case_maker *maker, int32_t amount)
{
    maker->visits[2].right = amount;
    maker->visits[2].left = amount;
}

/* The visit so many days ago gave 3.00 mm; the newest, 24 days ago, 1.00. */
static void window_edge(struct case_maker *maker, int32_t ago)
{
    maker->visits[1].right = maker->visits[1].left = 3000;
    maker->visits[1].date = case_day(maker, ago);
    maker->widths[1].value = maker->widths[2].value; /* rate stays out of it */
}

static void elsewhere_unknown(struct case_maker *maker, int32_t ago)
{
    struct visit *visit = case_visit(maker, VISIT_ACTIVATION, ARCH_UPPER, ago, UM_NONE, UM_NONE);
    visit->elsewhere = ANSWER_YES;
}

/* Wear of the last 24 days (today's period) as so many days met of those known. */
static void wear_of_20(struct case_maker *maker, int32_t met)
{
    maker->history.wear_day_count = 0;
    case_wear(maker, SOURCE_DIARY, 72, 25, 48);
    case_wear(maker, SOURCE_DIARY, 24, 5, met);
}

static void wear_known(struct case_maker *maker, int32_t days)
{
    maker->history.wear_day_count = 0;
    case_wear(maker, SOURCE_DIARY, 72, 25, 48);
    case_wear(maker, SOURCE_DIARY, 24, 25 - days, days);
}

/* A diary without a miss beside a sensor of so many days, all missed. */
static void sensor_days(struct case_maker *maker, int32_t days)
{
    case_wear(maker, SOURCE_SENSOR, 24, 25 - days, 0);
}

/* So many periods of 24 days, today's first, short: 14 of 24 met; those before are full. */
static void short_periods(struct case_maker *maker, int32_t periods)
{
    maker->history.wear_day_count = 0;
    case_visit(maker, VISIT_CHECK, ARCH_UPPER, 96, 0, 0);
    for (int32_t i = 0; i < 4; i++)
        case_wear(maker, SOURCE_DIARY, 24 * (i + 1), 24 * i + 1, i < periods ? 14 : 24);
}

/* As above, today's period low and the one before unknown. */
static void low_then_unknown(struct case_maker *maker, int32_t periods)
{
    maker->history.wear_day_count = 0;
    case_visit(maker, VISIT_CHECK, ARCH_UPPER, 96, 0, 0);
    case_wear(maker, SOURCE_DIARY, 24, 1, 4);
    for (int32_t i = 2; i < 4; i++)
        case_wear(maker, SOURCE_DIARY, 24 * (i + 1), 24 * i + 1, i <= periods ? 14 : 24);
}

/* Unknown periods, and a first wear record so many days ago. */
static void first_record(struct case_maker *maker, int32_t ago)
{
    maker->history.wear_day_count = 0;
    if (ago != CASE_NEVER)
        case_wear_day(maker, SOURCE_TOLD, ago, 90, ANSWER_YES);
}

static void tissue_at_last_visit(struct case_maker *maker, int32_t found)
{
    maker->visits[2].tissue = (enum tissue)found;
}

/* A wound at the last visit, of which a visit of the whole case since then says this. */
static void tissue_since(struct case_maker *maker, int32_t found)
{
    struct visit *visit = case_visit(maker, VISIT_CHECK, ARCH_NONE, 10, UM_NONE, UM_NONE);

    maker->visits[2].tissue = TISSUE_WOUND;
    visit->tissue = (enum tissue)found;
    visit->hardware = HARDWARE_NOT_RECORDED;
}

static void fault_on(struct case_maker *maker, int32_t ago)
{
    struct visit *visit = case_visit(maker, VISIT_REPAIR, ARCH_UPPER, ago, UM_NONE, UM_NONE);

    visit->hardware = hardware_bit(FAULT_LOST_LIGATURE, SIDE_LEFT);
    visit->repaired = ANSWER_YES;
}

static void fault_at_activation(struct case_maker *maker, int32_t visit)
{
    maker->visits[visit].hardware = hardware_bit(FAULT_LOST_LIGATURE, SIDE_LEFT);
    maker->visits[visit].repaired = ANSWER_YES;
}

static void relief_on(struct case_maker *maker, int32_t ago)
{
    case_visit(maker, VISIT_RELIEF, ARCH_UPPER, ago, UM_NONE, UM_NONE);
}

static void relief_today(struct case_maker *maker, int32_t relief)
{
    maker->question.examination.relief = relief != 0;
}

static void right_ahead(struct case_maker *maker, int32_t by)
{
    maker->visits[0].right = 1000 + by;
}

static void proposed_ahead(struct case_maker *maker, int32_t by)
{
    maker->question.proposal = (struct proposal){.right = UM_NONE, .left = by};
}

static void planned_gap(struct case_maker *maker, int32_t gap)
{
    maker->expanders[0].plan_gap = gap;
}

/* Latest width 24 days ago, so many days after the first of two visits of 1.00 mm a side. */
static void lag_after(struct case_maker *maker, int32_t days)
{
    maker->visits[0].date = case_day(maker, 24 + days);
    maker->widths[2].value = 36100;
    maker->widths[1].value = 36100;
}

static void lag_gain(struct case_maker *maker, int32_t gain)
{
    lag_after(maker, 60);
    maker->visits[0].right = maker->visits[0].left = 3000; /* 8.00 mm in all: 2.00 mm wanted */
    maker->widths[2].value = 36000 + gain;
    maker->widths[1].value = 36000 + gain;
}

static void lag_total(struct case_maker *maker, int32_t right)
{
    lag_after(maker, 60);
    maker->visits[0].right = right;
}

static void lag_elsewhere(struct case_maker *maker, int32_t ago)
{
    lag_gain(maker, 0);
    elsewhere_unknown(maker, ago);
}

/* Previous width 28 days before the latest: 4.00 mm and the MDC are at the limit of 1.00 a week. */
static void width_gained(struct case_maker *maker, int32_t change)
{
    maker->widths[1].value = maker->widths[2].value - change;
}

static void width_gained_close(struct case_maker *maker, int32_t days)
{
    maker->widths[1].date = maker->widths[2].date - days;
    maker->widths[1].value = maker->widths[2].value - 9000;
    maker->widths[0].value = maker->widths[2].value; /* the baseline is no help to the rate */
    maker->visits[0].right = maker->visits[0].left = 500;
}

static void width_lost(struct case_maker *maker, int32_t change)
{
    maker->widths[1].value = maker->widths[2].value + change;
}

static void width_lost_before_fit(struct case_maker *maker, int32_t fitted_ago)
{
    width_lost(maker, 2000);
    maker->expanders[0].fitted_on = case_day(maker, fitted_ago);
    maker->visits[0].date = case_day(maker, 45);
}

/* 2.00 mm were given at the latest width's visit: the room is 2.00 less, whatever is in plan. */
static void target(struct case_maker *maker, int32_t value)
{
    maker->expanders[0].target = value;
}

static void target_measured_today(struct case_maker *maker, int32_t value)
{
    maker->expanders[0].target = value;
    case_width(maker, ARCH_UPPER, 0, 40000);
}

static void target_one_side(struct case_maker *maker, int32_t value)
{
    maker->expanders[0].target = value;
    maker->expanders[0].sides = SIDES_RIGHT;
}

static void no_target_unactivated(struct case_maker *maker, int32_t value)
{
    maker->expanders[0].target = value;
    unactivated(maker);
}

static void baseline(struct case_maker *maker, int32_t ago)
{
    maker->widths[0].date = case_day(maker, ago);
}

static void baseline_of_other_teeth(struct case_maker *maker, int32_t right)
{
    maker->widths[0].teeth.right = (uint8_t)right;
}

/* Every width so many days older than the newest should be. */
static void newest_width(struct case_maker *maker, int32_t ago)
{
    for (size_t i = 0; i < maker->history.width_count; i++)
        maker->widths[i].date -= ago - 24;
}

static void newest_width_fitted_later(struct case_maker *maker, int32_t fitted_ago)
{
    maker->history.width_count = 0;
    maker->expanders[0].fitted_on = case_day(maker, fitted_ago);
}

static void newest_width_unactivated(struct case_maker *maker, int32_t ago)
{
    newest_width(maker, ago);
    unactivated(maker);
}

/* The lower arch, fitted so many days after the upper. */
static void lower_after(struct case_maker *maker, int32_t days)
{
    case_expander(maker, ARCH_LOWER, 180 - days);
    maker->question.arch = ARCH_LOWER;
}

static void lower_alone(struct case_maker *maker, int32_t fitted_ago)
{
    maker->history.expander_count = 0;
    case_expander(maker, ARCH_LOWER, fitted_ago);
    maker->question.arch = ARCH_LOWER;
}

static void as_it_is(struct case_maker *maker, int32_t value)
{
    (void)maker;
    (void)value;
}

enum { LOOSE_BAND_RIGHT = 4, BENT_WIRE = 128 };

static const struct vignette vignettes[] = {
    {as_it_is, 0, RULE_STEP_SIZE, EFFECT_LIMIT, 2000, 2000, 2000},
    {fitted, 23, RULE_FIRST_STEP, EFFECT_LIMIT, 1000, 1000, 1000},
    {fitted, 24, RULE_FIRST_STEP, EFFECT_NONE, 0, 2000, 2000},
    {fitted, 23, RULE_STEP_SIZE, EFFECT_NONE, 0, 1000, 1000},
    {fitted, -1, RULE_NOT_IN_PLACE, EFFECT_HOLD, 0, 0, 0},
    {fitted, 0, RULE_NOT_IN_PLACE, EFFECT_NONE, 0, 1000, 1000},
    {taken_out, 0, RULE_NOT_IN_PLACE, EFFECT_HOLD, 0, 0, 0},
    {taken_out, -1, RULE_NOT_IN_PLACE, EFFECT_NONE, 0, 2000, 2000},
    {left_in, 0, RULE_PASSIVE, EFFECT_HOLD, 0, 0, 0},
    {left_in, -1, RULE_PASSIVE, EFFECT_NONE, 0, 2000, 2000},
    {wound_earlier, 0, RULE_TISSUE_WOUND, EFFECT_HOLD, 0, 0, 0}, /* sound again the same day */
    {wound_earlier, 1, RULE_TISSUE_WOUND, EFFECT_NONE, 0, 1000, 1000},
    {given_today, 10, RULE_DONE_TODAY, EFFECT_HOLD, 0, 0, 0},
    {given_today, 0, RULE_DONE_TODAY, EFFECT_NONE, 0, 2000, 2000},
    {given_today_lower, 1000, RULE_DONE_TODAY, EFFECT_NONE, 0, 2000, 2000},
    {check_tied, ANSWER_NO, RULE_FIT_CHECK, EFFECT_HOLD, 0, 0, 0},
    {check_tied, ANSWER_NONE, RULE_FIT_CHECK, EFFECT_HOLD, 0, 0, 0},
    {check_tied, ANSWER_YES, RULE_FIT_CHECK, EFFECT_NONE, 0, 2000, 2000},
    {trainer_ended, 0, RULE_NO_TRAINER, EFFECT_HOLD, 0, 0, 0},
    {trainer_ended, -1, RULE_NO_TRAINER, EFFECT_NONE, 0, 2000, 2000},
    {trainer_issued, -1, RULE_NO_TRAINER, EFFECT_HOLD, 0, 0, 0},
    {trainer_issued, 0, RULE_NO_TRAINER, EFFECT_NONE, 0, 2000, 2000},
    {consented, CASE_NEVER, RULE_NO_CONSENT, EFFECT_CAUTION, UM_NONE, 2000, 2000},
    {consented, -1, RULE_NO_CONSENT, EFFECT_CAUTION, UM_NONE, 2000, 2000},
    {consented, 0, RULE_NO_CONSENT, EFFECT_NONE, 0, 2000, 2000},
    {consented_unactivated, CASE_NEVER, RULE_NO_CONSENT, EFFECT_HOLD, 0, 0, 0},
    {consented_unactivated, -1, RULE_NO_CONSENT, EFFECT_HOLD, 0, 0, 0},
    {consented_unactivated, 0, RULE_NO_CONSENT, EFFECT_NONE, 0, 1000, 1000},
    {asked, CASE_NEVER, RULE_NOT_ASKED, EFFECT_CAUTION, UM_NONE, 2000, 2000},
    {asked, 0, RULE_NOT_ASKED, EFFECT_NONE, 0, 2000, 2000},
    {tissue, TISSUE_NONE, RULE_NOT_EXAMINED, EFFECT_HOLD, 0, 0, 0},
    {hardware, HARDWARE_NOT_RECORDED, RULE_NOT_EXAMINED, EFFECT_HOLD, 0, 0, 0},
    {hardware, HARDWARE_INTACT, RULE_NOT_EXAMINED, EFFECT_NONE, 0, 2000, 2000},
    {last_activation, 20, RULE_TOO_SOON, EFFECT_HOLD, 0, 0, 0},
    {last_activation, 21, RULE_TOO_SOON, EFFECT_NONE, 0, 2000, 2000},
    {elsewhere_unknown, 20, RULE_TOO_SOON, EFFECT_HOLD, 0, 0, 0},
    {elsewhere_unknown, 21, RULE_TOO_SOON, EFFECT_NONE, 0, 1000, 1000},
    {last_activation, 28, RULE_SEEN_LATE, EFFECT_NONE, 0, 2000, 2000},
    {last_activation, 29, RULE_SEEN_LATE, EFFECT_CAUTION, UM_NONE, 2000, 2000},
    {last_activation, 56, RULE_RESTART, EFFECT_NONE, 0, 2000, 2000},
    {last_activation, 57, RULE_RESTART, EFFECT_LIMIT, 1000, 1000, 1000},
    {window_amount, 2000, RULE_WINDOW_SUM, EFFECT_NONE, 0, 2000, 2000},
    {window_amount, 2010, RULE_WINDOW_SUM, EFFECT_LIMIT, 1990, 1750, 1750},
    {window_amount, 4000, RULE_WINDOW_SUM, EFFECT_LIMIT, 0, 0, 0},
    {window_amount, 4500, RULE_WINDOW_SUM, EFFECT_LIMIT, 0, 0, 0},
    {window_edge, 41, RULE_WINDOW_SUM, EFFECT_LIMIT, 0, 0, 0},
    {window_edge, 42, RULE_WINDOW_SUM, EFFECT_NONE, 0, 2000, 2000},
    {elsewhere_unknown, 41, RULE_WINDOW_SUM, EFFECT_LIMIT, 1000, 1000, 1000},
    {elsewhere_unknown, 42, RULE_WINDOW_SUM, EFFECT_NONE, 0, 2000, 2000},
    {wear_known, 11, RULE_WEAR_UNKNOWN, EFFECT_LIMIT, 1000, 1000, 1000},
    {wear_known, 12, RULE_WEAR_UNKNOWN, EFFECT_NONE, 0, 2000, 2000},
    {wear_known, 19, RULE_WEAR_THIN, EFFECT_CAUTION, UM_NONE, 2000, 2000},
    {wear_known, 20, RULE_WEAR_THIN, EFFECT_NONE, 0, 2000, 2000},
    {wear_known, 11, RULE_WEAR_THIN, EFFECT_NONE, 0, 1000, 1000},
    {sensor_days, 6, RULE_WEAR_DIFFERS, EFFECT_NONE, 0, 2000, 2000},
    {sensor_days, 7, RULE_WEAR_DIFFERS, EFFECT_LIMIT, 1000, 1000, 1000},
    {sensor_days, 11, RULE_WEAR_DIFFERS, EFFECT_LIMIT, 1000, 1000, 1000},
    {sensor_days, 12, RULE_WEAR_DIFFERS, EFFECT_NONE, 0, 0, 0},
    {wear_of_20, 16, RULE_WEAR_SHORT, EFFECT_NONE, 0, 2000, 2000},
    {wear_of_20, 15, RULE_WEAR_SHORT, EFFECT_LIMIT, 1000, 1000, 1000},
    {wear_of_20, 10, RULE_WEAR_SHORT, EFFECT_LIMIT, 1000, 1000, 1000},
    {wear_of_20, 10, RULE_WEAR_LOW, EFFECT_NONE, 0, 1000, 1000},
    {wear_of_20, 9, RULE_WEAR_LOW, EFFECT_HOLD, 0, 0, 0},
    {wear_of_20, 9, RULE_WEAR_SHORT, EFFECT_NONE, 0, 0, 0},
    {short_periods, 1, RULE_WEAR_RUN, EFFECT_NONE, 0, 1000, 1000},
    {short_periods, 2, RULE_WEAR_RUN, EFFECT_HOLD, 0, 0, 0},
    {short_periods, 3, RULE_WEAR_REST, EFFECT_NONE, 0, 0, 0}, /* today's is short, not low */
    {first_record, 23, RULE_WEAR_RUN, EFFECT_NONE, 0, 1000, 1000},
    {first_record, 25, RULE_WEAR_RUN, EFFECT_HOLD, 0, 0, 0},
    {first_record, CASE_NEVER, RULE_WEAR_RUN, EFFECT_HOLD, 0, 0, 0},
    {low_then_unknown, 2, RULE_WEAR_REST, EFFECT_NONE, 0, 0, 0},
    {low_then_unknown, 3, RULE_WEAR_REST, EFFECT_REST, 0, 0, 0},
    {tissue, TISSUE_MILD, RULE_TISSUE_MILD, EFFECT_LIMIT, 1000, 1000, 1000},
    {tissue, TISSUE_SOUND, RULE_TISSUE_MILD, EFFECT_NONE, 0, 2000, 2000},
    {tissue, TISSUE_WOUND, RULE_TISSUE_WOUND, EFFECT_HOLD, 0, 0, 0},
    {tissue, TISSUE_MILD, RULE_TISSUE_WOUND, EFFECT_NONE, 0, 1000, 1000},
    {tissue_at_last_visit, TISSUE_WOUND, RULE_TISSUE_HEALED, EFFECT_LIMIT, 1000, 1000, 1000},
    {tissue_at_last_visit, TISSUE_MILD, RULE_TISSUE_HEALED, EFFECT_NONE, 0, 2000, 2000},
    {tissue_since, TISSUE_NONE, RULE_TISSUE_HEALED, EFFECT_LIMIT, 1000, 1000, 1000},
    {tissue_since, TISSUE_SOUND, RULE_TISSUE_HEALED, EFFECT_NONE, 0, 2000, 2000},
    {hardware, LOOSE_BAND_RIGHT, RULE_HARDWARE, EFFECT_HOLD, 0, 0, 0},
    {hardware_not_repaired, BENT_WIRE, RULE_HARDWARE, EFFECT_HOLD, 0, 0, 0},
    {hardware_repaired, BENT_WIRE, RULE_HARDWARE, EFFECT_LIMIT, 1000, 1000, 1000},
    {hardware_repaired, HARDWARE_INTACT, RULE_HARDWARE, EFFECT_NONE, 0, 2000, 2000},
    {fault_on, 24, RULE_HARDWARE_RECENT, EFFECT_LIMIT, 1000, 1000, 1000},
    {fault_on, 25, RULE_HARDWARE_RECENT, EFFECT_NONE, 0, 2000, 2000},
    {fault_at_activation, 2, RULE_HARDWARE_RECENT, EFFECT_NONE, 0, 2000, 2000},
    {relief_on, 24, RULE_RELIEVED, EFFECT_LIMIT, 1000, 1000, 1000},
    {relief_on, 25, RULE_RELIEVED, EFFECT_NONE, 0, 2000, 2000},
    {relief_on, 0, RULE_RELIEVED, EFFECT_HOLD, 0, 0, 0},
    {relief_today, 1, RULE_RELIEVED, EFFECT_HOLD, 0, 0, 0},
    {right_ahead, 1000, RULE_SIDE_GAP, EFFECT_NONE, 0, 2000, 2000},
    {right_ahead, 1010, RULE_SIDE_GAP, EFFECT_CAUTION, UM_NONE, 2000, 2000},
    {proposed_ahead, 1000, RULE_SIDE_GAP, EFFECT_NONE, 0, 2000, 2000},
    {proposed_ahead, 1010, RULE_SIDE_GAP, EFFECT_CAUTION, UM_NONE, 2000, 2000},
    {planned_gap, 1000, RULE_SIDE_GAP, EFFECT_NONE, 0, 2000, 2000},
    {planned_gap, 1010, RULE_SIDE_GAP, EFFECT_CAUTION, UM_NONE, 2000, 2000},
    {lag_after, 55, RULE_WIDTH_LAG, EFFECT_NONE, 0, 2000, 2000},
    {lag_after, 56, RULE_WIDTH_LAG, EFFECT_HOLD, 0, 0, 0},
    {lag_gain, 1168, RULE_WIDTH_LAG, EFFECT_HOLD, 0, 0, 0}, /* 1168 + 831.56 < 2000 */
    {lag_gain, 1169, RULE_WIDTH_LAG, EFFECT_NONE, 0, 2000, 2000},
    {lag_total, 1000, RULE_WIDTH_LAG, EFFECT_HOLD, 0, 0, 0},
    {lag_total, 990, RULE_WIDTH_LAG, EFFECT_NONE, 0, 2000, 2000},
    {lag_elsewhere, 25, RULE_WIDTH_LAG, EFFECT_NONE, 0, 1000, 1000},
    {lag_elsewhere, 24, RULE_WIDTH_LAG, EFFECT_HOLD, 0, 0, 0},
    {width_gained, 4831, RULE_WIDTH_RATE, EFFECT_NONE, 0, 2000, 2000},
    {width_gained, 4832, RULE_WIDTH_RATE, EFFECT_HOLD, 0, 0, 0}, /* 4000 + 831.56 */
    {width_gained_close, 13, RULE_WIDTH_RATE, EFFECT_NONE, 0, 2000, 2000},
    {width_gained_close, 14, RULE_WIDTH_RATE, EFFECT_HOLD, 0, 0, 0},
    {width_lost, 831, RULE_WIDTH_LOSS, EFFECT_NONE, 0, 2000, 2000},
    {width_lost, 832, RULE_WIDTH_LOSS, EFFECT_HOLD, 0, 0, 0},
    {width_lost_before_fit, 53, RULE_WIDTH_LOSS, EFFECT_HOLD, 0, 0, 0},
    {width_lost_before_fit, 52, RULE_WIDTH_LOSS, EFFECT_NONE, 0, 2000, 2000},
    {target, 46000, RULE_TARGET_NEAR, EFFECT_NONE, 0, 2000, 2000},
    {target, 45990, RULE_TARGET_NEAR, EFFECT_LIMIT, 1995, 1750, 1750},
    {target, 42500, RULE_TARGET_NEAR, EFFECT_LIMIT, 250, 250, 250},
    {target, 42490, RULE_TARGET_NEAR, EFFECT_HOLD, 0, 0, 0},
    {target_measured_today, 40500, RULE_TARGET_NEAR, EFFECT_LIMIT, 250, 250, 250},
    {target_measured_today, 44000, RULE_TARGET_NEAR, EFFECT_NONE, 0, 2000, 2000},
    {target_one_side, 44000, RULE_TARGET_NEAR, EFFECT_NONE, 0, 2000, 0},
    {target_one_side, 43990, RULE_TARGET_NEAR, EFFECT_LIMIT, 1990, 1750, 0},
    {target, 40500, RULE_TARGET_REACHED, EFFECT_NONE, 0, 0, 0},
    {target, 40490, RULE_TARGET_REACHED, EFFECT_HOLD, 0, 0, 0},
    {target, UM_NONE, RULE_NO_TARGET, EFFECT_CAUTION, UM_NONE, 2000, 2000},
    {target, 50000, RULE_NO_TARGET, EFFECT_NONE, 0, 2000, 2000},
    {no_target_unactivated, UM_NONE, RULE_NO_TARGET, EFFECT_NONE, 0, 1000, 1000},
    {baseline, 180, RULE_NO_BASELINE, EFFECT_NONE, 0, 2000, 2000},
    {baseline, 179, RULE_NO_BASELINE, EFFECT_CAUTION, UM_NONE, 2000, 2000},
    {baseline_of_other_teeth, 17, RULE_NO_BASELINE, EFFECT_CAUTION, UM_NONE, 2000, 2000},
    {newest_width, 42, RULE_WIDTH_STALE, EFFECT_NONE, 0, 2000, 2000},
    {newest_width, 43, RULE_WIDTH_STALE, EFFECT_CAUTION, UM_NONE, 2000, 2000},
    {newest_width_fitted_later, 42, RULE_WIDTH_STALE, EFFECT_NONE, 0, 2000, 2000},
    {newest_width_fitted_later, 43, RULE_WIDTH_STALE, EFFECT_CAUTION, UM_NONE, 2000, 2000},
    {newest_width, 84, RULE_WIDTH_MISSING, EFFECT_NONE, 0, 2000, 2000},
    {newest_width, 85, RULE_WIDTH_MISSING, EFFECT_LIMIT, 1000, 1000, 1000},
    {newest_width_unactivated, 85, RULE_WIDTH_MISSING, EFFECT_NONE, 0, 1000, 1000},
    {newest_width_unactivated, 85, RULE_WIDTH_STALE, EFFECT_NONE, 0, 1000, 1000},
    {lower_after, 89, RULE_LOWER_EARLY, EFFECT_CAUTION, UM_NONE, 1000, 1000},
    {lower_after, 90, RULE_LOWER_EARLY, EFFECT_NONE, 0, 1000, 1000},
    {lower_after, -1, RULE_LOWER_EARLY, EFFECT_CAUTION, UM_NONE, 1000, 1000},
    {lower_alone, 100, RULE_LOWER_EARLY, EFFECT_NONE, 0, 1000, 1000},
};

static bool vignette_holds(const struct vignette *vignette, struct judgement *judgement)
{
    struct case_maker maker;

    case_typical(&maker);
    vignette->arrange(&maker, vignette->value);
    case_judge(&maker, judgement);
    const struct finding *finding = case_finding(judgement, vignette->rule, SIDE_NONE);
    if (vignette->effect == EFFECT_NONE) {
        if (finding != NULL)
            return false;
    } else if (finding == NULL || finding->effect != vignette->effect ||
               finding->limit != vignette->limit) {
        return false;
    }
    return judgement->permitted_right == vignette->right &&
           judgement->permitted_left == vignette->left;
}

static void each_rule_on_both_sides_of_its_boundary(void **state)
{
    size_t failed = 0;

    (void)state;
    for (size_t i = 0; i < sizeof vignettes / sizeof vignettes[0]; i++) {
        const struct vignette *vignette = &vignettes[i];
        struct judgement judgement;
        if (vignette_holds(vignette, &judgement))
            continue;
        failed++;
        print_message("%s (%d): expected %d %d; ", rule_row(vignette->rule)->name,
                      (int)vignette->value, (int)vignette->right, (int)vignette->left);
        case_print(&judgement);
    }
    assert_int_equal(failed, 0);
}

static void every_rule_has_a_vignette_on_each_side(void **state)
{
    (void)state;
    for (int rule = RULE_NONE + 1; rule < RULE_COUNT; rule++) {
        bool fires = false, silent = false;
        for (size_t i = 0; i < sizeof vignettes / sizeof vignettes[0]; i++) {
            if (vignettes[i].rule != (enum rule)rule)
                continue;
            fires = fires || vignettes[i].effect != EFFECT_NONE;
            silent = silent || vignettes[i].effect == EFFECT_NONE;
        }
        if (!fires || !silent)
            fail_msg("%s lacks a vignette", rule_row((enum rule)rule)->name);
    }
}

static void the_typical_case_proceeds(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_typical(&maker);
    case_judge(&maker, &judgement);
    assert_int_equal(judgement.verdict, VERDICT_PROCEED);
    assert_int_equal(judgement.finding_count, 2);
    assert_int_equal(judgement.nominal_right, 2000);
    assert_false(judgement.lag_switched_off);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_typical_case_proceeds),
        cmocka_unit_test(each_rule_on_both_sides_of_its_boundary),
        cmocka_unit_test(every_rule_has_a_vignette_on_each_side),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
