/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The caseload: response of an arch, what followed an override, and the figures over all arches.
 * Gains and sums were worked out by hand from the rows made here. Spearman's coefficient without
 * ties is 1 - 6 sum d^2 / (n (n^2 - 1)) (Spearman, Am J Psychol 1904;15:72-101; the formula from
 * memory); quartiles of 1, 2, 3, 4 by type 7 of Hyndman & Fan (Am Stat 1996;50:361-365; from
 * memory) are 1.75, 2.5 and 3.25.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "case_maker.h"
#include "springline/core/caseload.h"

static struct caseload_arch upper_of(const struct case_maker *maker)
{
    struct caseload_arch row;

    assert_true(caseload_arch(&maker->history, ARCH_UPPER, maker->today, &row));
    return row;
}

/* 40.00 - 36.00 = 4.00 mm; before the width 24 days ago 1.00 mm a side was given 72 and 48 days
 * ago: 4.00 mm, just what counts (lag_total_mm); the one of that day does not. */
static void response_of_the_typical_case(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    struct caseload_arch row = upper_of(&maker);
    assert_true(row.measured && row.at_work && !row.lag);
    assert_int_equal(row.gain, 4000);
    assert_int_equal(row.given, 4000);
    assert_true(fabs(row.response - 1.0) < 1e-12);
    assert_int_equal(row.latest, case_day(&maker, 24));
    /* 72 days ago nothing was known of the wear: half of the first step of 1.00 was permitted. */
    assert_int_equal(row.override_count, 1);
    assert_true(row.overrides[0].recomputed);
    assert_int_equal(row.overrides[0].permitted_right, 500);
    /* Known are 36 (60 to 25 days ago) of the 156 days from the fit on: too few. */
    assert_int_equal(row.class, WEAR_UNKNOWN);
    case_wear(&maker, SOURCE_SENSOR, 180, 61, 60);
    row = upper_of(&maker);
    assert_int_equal(row.source, SOURCE_SENSOR); /* 60 of 120, and never with the diary's 36 */
    assert_int_equal(row.met, 60);
    assert_int_equal(row.known, 120);
    assert_int_equal(row.class, WEAR_SHORT);
}

/* The response alone is that of the row, with the measure of its widths. */
static void response_alone(void **state)
{
    struct case_maker maker;
    struct caseload_arch row = {.given = 7};

    (void)state;
    case_typical(&maker);
    assert_true(caseload_response(&maker.history, ARCH_UPPER, maker.today, &row));
    assert_true(fabs(row.response - 1.0) < 1e-12);
    assert_int_equal(row.site, SITE_INTERMOLAR);
    assert_int_equal(row.landmark, LANDMARK_FOSSA);
    assert_int_equal(upper_of(&maker).landmark, LANDMARK_FOSSA);
    row.given = 7;
    assert_false(caseload_response(&maker.history, ARCH_LOWER, maker.today, &row));
    maker.protocol.lag_total = 4001;
    assert_false(caseload_response(&maker.history, ARCH_UPPER, maker.today, &row));
    assert_int_equal(row.given, 7);
}

static void what_is_not_known_is_no_response(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    maker.protocol.lag_total = 4001;
    assert_false(upper_of(&maker).measured); /* too little was given */
    case_typical(&maker);
    maker.history.width_count = 1;
    assert_false(upper_of(&maker).measured); /* one width is no gain */
    case_typical(&maker);
    maker.widths[0].landmark = LANDMARK_CUSP;
    assert_false(upper_of(&maker).measured); /* two landmarks are none either */
    case_typical(&maker);
    case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 60, UM_NONE, 500)->elsewhere = ANSWER_YES;
    assert_false(upper_of(&maker).measured); /* nobody knows what was given */
    case_typical(&maker);
    struct caseload_arch row = {.given = 7};
    assert_false(caseload_arch(&maker.history, ARCH_LOWER, maker.today, &row));
    assert_false(caseload_arch(&maker.history, ARCH_UPPER, case_day(&maker, 181), &row));
    assert_int_equal(row.given, 7);
}

/* 8.00 mm given, the first 90 days before the width: 0.25 x 8.00 = 2.00; gain + MDC (2.772 x 0.30 =
 * 0.83) must stay below it. */
static void lag_is_that_of_the_rule(void **state)
{
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    case_trainer(&maker, 180, CASE_NEVER);
    struct expander *expander = case_expander(&maker, ARCH_UPPER, 180);
    case_width(&maker, ARCH_UPPER, 180, 36000);
    struct width *latest = case_width(&maker, ARCH_UPPER, 10, 37100);
    case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 100, 2000, 2000);
    case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 60, 2000, 2000);
    assert_true(upper_of(&maker).lag);
    latest->value = 37200;
    assert_false(upper_of(&maker).lag);
    latest->value = 37100;
    expander->out_on = case_day(&maker, 1); /* not at work: measured, and no lag */
    assert_false(upper_of(&maker).lag);
    assert_true(upper_of(&maker).measured);
    expander->out_on = DAY_NONE;
    maker.casefile.closed_on = maker.today;
    assert_false(upper_of(&maker).at_work);
}

/* The first step after the fit may be 1.00 mm: 1.50 is more. */
static void what_followed_an_override(void **state)
{
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    case_trainer(&maker, 180, CASE_NEVER);
    case_expander(&maker, ARCH_UPPER, 180);
    case_width(&maker, ARCH_UPPER, 100, 36000);
    struct visit *given = case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 90, 1500, 1500);
    case_judged(&maker, given, VERDICT_REDUCE, 1000, 1000);
    struct caseload_arch row = upper_of(&maker);
    assert_int_equal(row.override_count, 1);
    assert_int_equal(row.overrides[0].next, DAY_NONE);
    assert_int_equal(row.overrides[0].change, CHANGE_NOT_MEASURED);
    assert_false(row.overrides[0].has_reason || row.overrides[0].recomputed);
    assert_int_equal(row.overrides[0].given_right, 1500);
    assert_int_equal(row.overrides[0].permitted_left, 1000);

    given->override_reason = "away until March";
    struct visit *next = case_visit(&maker, VISIT_CHECK, ARCH_UPPER, 60, UM_NONE, UM_NONE);
    next->tissue = TISSUE_MILD;
    next->hardware = hardware_bit(FAULT_LOOSE_BAND, SIDE_LEFT);
    case_visit(&maker, VISIT_CHECK, ARCH_NONE, 60, UM_NONE, UM_NONE); /* of the whole case, sound */
    case_visit(&maker, VISIT_MISSED, ARCH_UPPER, 70, UM_NONE, UM_NONE);
    struct width *after = case_width(&maker, ARCH_UPPER, 60, 36800);
    case_width(&maker, ARCH_UPPER, 30, 39000); /* not the first after it */
    row = upper_of(&maker);
    assert_true(row.overrides[0].has_reason);
    assert_int_equal(row.overrides[0].next, case_day(&maker, 60));
    assert_int_equal(row.overrides[0].tissue, TISSUE_MILD);
    assert_int_equal(row.overrides[0].hardware, hardware_bit(FAULT_LOOSE_BAND, SIDE_LEFT));
    assert_int_equal(row.overrides[0].by, 800);
    assert_int_equal(row.overrides[0].change, CHANGE_WITHIN_ERROR); /* MDC 0.83 */
    after->value = 36840;
    assert_int_equal(upper_of(&maker).overrides[0].change, CHANGE_REAL);
    after->value = 35160; /* narrower is a change as well */
    assert_int_equal(upper_of(&maker).overrides[0].change, CHANGE_REAL);
    assert_int_equal(upper_of(&maker).overrides[0].by, -840);
}

static void the_newest_overrides_are_kept(void **state)
{
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    case_expander(&maker, ARCH_UPPER, 390);
    for (int32_t ago = 380; ago > 10; ago -= 30) { /* 13 of them, one more than a year ago */
        struct visit *visit = case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, ago, 2000, 0);
        case_judged(&maker, visit, VERDICT_HOLD, 0, 0);
    }
    /* A second row of one day is the same day. */
    struct visit *again = case_visit(&maker, VISIT_REPAIR, ARCH_UPPER, 20, 250, 0);
    case_judged(&maker, again, VERDICT_HOLD, 0, 0);
    struct caseload_arch row = upper_of(&maker);
    assert_int_equal(row.override_count, 12);
    for (int i = 0; i < CASELOAD_OVERRIDES_MAX; i++)
        assert_int_equal(row.overrides[i].date, case_day(&maker, 20 + 30 * i));
    assert_int_equal(row.overrides[0].given_right, 2250);
}

/* ---- over all of them ---- */

static void spread_and_tenth(void **state)
{
    double four[] = {4, 1, 3, 2}, twenty[20];
    struct caseload_spread spread = {.n = 7};
    double most = 0;

    (void)state;
    assert_false(caseload_spread(four, 0, &spread));
    assert_int_equal(spread.n, 7);
    assert_true(caseload_spread(four, 4, &spread));
    assert_true(fabs(spread.median - 2.5) < 1e-12 && fabs(spread.low - 1.75) < 1e-12 &&
                fabs(spread.high - 3.25) < 1e-12);
    assert_true(caseload_spread(four, 1, &spread)); /* sorted: 1 */
    assert_true(fabs(spread.median - 1) < 1e-12 && fabs(spread.high - 1) < 1e-12);
    for (int i = 0; i < 20; i++)
        twenty[i] = i;
    assert_false(caseload_tenth(twenty, 9, &most));
    assert_true(caseload_tenth(twenty, 10, &most) && most < 0.5); /* one of ten */
    assert_true(caseload_tenth(twenty, 19, &most) && most < 0.5);
    assert_true(caseload_tenth(twenty, 20, &most) && most > 0.5 && most < 1.5); /* two of twenty */
}

static void rank_correlation(void **state)
{
    /* Ranks of b against 1 to 10: 1, 2, 3, ... with three pairs changed: sum d^2 = 2 + 2 + 8 = 12;
     * 1 - 72 / 990 = 0.927272... */
    const double a[] = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10};
    const double b[] = {20, 10, 30, 50, 40, 80, 70, 60, 90, 100};
    const double same[] = {3, 3, 3, 3, 3, 3, 3, 3, 3, 3};
    /* Ties in the middle: ranks 1.5 1.5 3.5 3.5 ...; the same in both, so exactly 1. */
    const double ties[] = {1, 1, 2, 2, 3, 3, 4, 4, 5, 5};
    double work[20], rho = 7, falling[10];

    (void)state;
    assert_false(caseload_rank(a, b, 9, work, &rho));
    assert_false(caseload_rank(a, same, 10, work, &rho));
    assert_false(caseload_rank(same, b, 10, work, &rho));
    assert_true(rho > 6);
    assert_true(caseload_rank(a, b, 10, work, &rho));
    assert_true(fabs(rho - (1 - 72.0 / 990)) < 1e-12);
    assert_true(caseload_rank(ties, ties, 10, work, &rho) && fabs(rho - 1) < 1e-12);
    for (int i = 0; i < 10; i++)
        falling[i] = -a[i] * a[i];
    assert_true(caseload_rank(a, falling, 10, work, &rho) && fabs(rho + 1) < 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(response_of_the_typical_case),
        cmocka_unit_test(response_alone),
        cmocka_unit_test(what_is_not_known_is_no_response),
        cmocka_unit_test(lag_is_that_of_the_rule),
        cmocka_unit_test(what_followed_an_override),
        cmocka_unit_test(the_newest_overrides_are_kept),
        cmocka_unit_test(spread_and_tenth),
        cmocka_unit_test(rank_correlation),
    };

    return cmocka_run_group_tests_name("caseload", tests, NULL, NULL);
}
