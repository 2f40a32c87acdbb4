/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which widths count for an expander, and what they are compared with. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "case_maker.h"

static struct width_view view_of(const struct case_maker *maker, int32_t through)
{
    struct width_view view;

    width_view(&maker->history, &maker->protocol, &maker->expanders[0], case_day(maker, through),
               &view);
    return view;
}

static void only_the_same_place_counts(void **state)
{
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    struct expander *expander = case_expander(&maker, ARCH_UPPER, 100);
    struct width *width = case_width(&maker, ARCH_UPPER, 50, 36000);
    const struct width same = *width;
    assert_true(width_counts(width, expander));
    width->method = METHOD_SCAN; /* how it was measured is no other place */
    assert_true(width_counts(width, expander));
    width->arch = ARCH_LOWER;
    assert_false(width_counts(width, expander));
    *width = same;
    width->site = SITE_INTERCANINE;
    assert_false(width_counts(width, expander));
    *width = same;
    width->landmark = LANDMARK_CUSP;
    assert_false(width_counts(width, expander));
    *width = same;
    width->teeth.right = 55;
    assert_false(width_counts(width, expander));
    *width = same;
    width->teeth.left = 65;
    assert_false(width_counts(width, expander));
}

/* Two places that nobody recorded are not the same place. */
static void what_is_not_recorded_never_matches(void **state)
{
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    struct expander *expander = case_expander(&maker, ARCH_UPPER, 100);
    struct width *width = case_width(&maker, ARCH_UPPER, 50, 36000);
    expander->landmark = width->landmark = LANDMARK_NONE;
    assert_false(width_counts(width, expander));
    expander->landmark = width->landmark = LANDMARK_FOSSA;
    expander->site = width->site = SITE_NONE;
    assert_false(width_counts(width, expander));
    expander->site = width->site = SITE_INTERMOLAR;
    expander->teeth = width->teeth = (struct teeth){0, 0};
    assert_false(width_counts(width, expander));
}

static void latest_baseline_previous(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    struct width_view view = view_of(&maker, 0);
    assert_int_equal(view.latest.value, 40000);
    assert_int_equal(view.previous.value, 39000);
    assert_int_equal(view.baseline.value, 36000);
    assert_int_equal(view.first_fitted, case_day(&maker, 180));
    assert_true(view.has_gain);
    assert_int_equal(view.gain, 4000);
    view = view_of(&maker, 25); /* as it was the day before */
    assert_int_equal(view.latest.value, 39000);
    assert_int_equal(view.previous.value, 36000);
    view = view_of(&maker, 181);
    assert_int_equal(view.latest.date, DAY_NONE);
    assert_int_equal(view.baseline.date, DAY_NONE);
    assert_false(view.has_gain);
}

static void previous_lies_at_least_14_days_before(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    case_width(&maker, ARCH_UPPER, 37, 39500); /* 13 days before the latest */
    assert_int_equal(view_of(&maker, 0).previous.value, 39000);
    maker.widths[3].date = case_day(&maker, 38);
    assert_int_equal(view_of(&maker, 0).previous.value, 39500);
}

/* baseline: on or before the arch's first fitting, not this expander's. */
static void a_refit_keeps_the_baseline(void **state)
{
    struct case_maker maker;
    struct width_view view;

    (void)state;
    case_typical(&maker);
    struct expander *refit = case_expander(&maker, ARCH_UPPER, 50);
    case_expander(&maker, ARCH_LOWER, 300); /* the other arch's fit is not this one's */
    width_view(&maker.history, &maker.protocol, refit, maker.today, &view);
    assert_int_equal(view.first_fitted, case_day(&maker, 180));
    assert_int_equal(view.baseline.value, 36000);
    maker.widths[2].date = case_day(&maker, 180); /* the latest is of the day of the fit */
    maker.history.width_count = 1;
    assert_false(view_of(&maker, 0).has_gain);
    maker.widths[0].date = case_day(&maker, 179);
    view = view_of(&maker, 0);
    assert_int_equal(view.baseline.date, DAY_NONE);
    assert_false(view.has_gain);
}

static void repeats_of_one_date_are_averaged(void **state)
{
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    case_expander(&maker, ARCH_UPPER, 100);
    case_width(&maker, ARCH_UPPER, 30, 36000);
    case_width(&maker, ARCH_UPPER, 30, 36010);
    struct width_view view = view_of(&maker, 0);
    assert_int_equal(view.latest.value, 36005);
    assert_int_equal(view.latest.repeats, 2);
    case_width(&maker, ARCH_UPPER, 30, 36010); /* 36006.67 */
    view = view_of(&maker, 0);
    assert_int_equal(view.latest.value, 36007);
    case_width(&maker, ARCH_UPPER, 30, UM_NONE); /* not measured */
    assert_int_equal(view_of(&maker, 0).latest.repeats, 3);
    maker.history.width_count = 2;
    maker.widths[1].value = 36001; /* half a micrometre: away from zero */
    assert_int_equal(view_of(&maker, 0).latest.value, 36001);
}

/*
 * MDC = 1.96 sqrt(2) error (published: Bland & Altman 1986). From the published errors of arch
 * widths: 0.22 -> 0.610 mm, 0.31 -> 0.859 mm, and 0.5 -> 1.386 mm.
 */
static void the_smallest_detectable_change(void **state)
{
    static const um errors[] = {220, 310, 500}, changes[] = {610, 859, 1386};
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    for (size_t i = 0; i < 3; i++) {
        maker.protocol.width_error = errors[i];
        assert_int_equal(view_of(&maker, 0).mdc, changes[i]);
    }
}

/* Dahlberg 1940; the pairs of Bland & Altman 1986 give 15.306669 and 19.910831 (research values,
 * tests/reference), here in hundredths of a millimetre. Ten pairs: domain.md 2. */
static void ten_pairs_make_an_own_error(void **state)
{
    um error = 300;

    (void)state;
    assert_false(width_own_error(9, 9 * 160000, &error));
    assert_int_equal(error, 300);
    assert_true(width_own_error(10, 10 * 160000, &error));
    assert_int_equal(error, 280);
    assert_true(width_own_error(17, 7966 * 100, &error)); /* 153.07 um */
    assert_int_equal(error, 150);
    assert_true(width_own_error(17, 13479 * 100, &error)); /* 199.11 um */
    assert_int_equal(error, 200);
    assert_true(width_own_error(10, 0, &error)); /* never 0: that would call every change real */
    assert_int_equal(error, 10);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(only_the_same_place_counts),
        cmocka_unit_test(what_is_not_recorded_never_matches),
        cmocka_unit_test(latest_baseline_previous),
        cmocka_unit_test(previous_lies_at_least_14_days_before),
        cmocka_unit_test(a_refit_keeps_the_baseline),
        cmocka_unit_test(repeats_of_one_date_are_averaged),
        cmocka_unit_test(the_smallest_detectable_change),
        cmocka_unit_test(ten_pairs_make_an_own_error),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
