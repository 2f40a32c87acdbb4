/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Millimetres gained for each millimetre activated. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "case_maker.h"
#include "springline/core/response.h"

static enum response_refusal response_now(const struct case_maker *maker, struct response *response)
{
    return response_of(&maker->history, &maker->protocol, &maker->expanders[0], maker->today,
                       response);
}

/* By hand: 40.00 - 36.00 for 2 x 2.00 mm given before the newest width (that of its own day is not
 * counted), error 0.30 sqrt(2) / 4.00. */
static void gain_for_what_was_given(void **state)
{
    struct case_maker maker;
    struct response response;

    (void)state;
    case_typical(&maker);
    assert_int_equal(response_now(&maker, &response), RESPONSE_KNOWN);
    assert_int_equal(response.gain, 4000);
    assert_int_equal(response.given, 4000);
    assert_true(response.ratio == 1);
    assert_true(fabs(response.ratio_se - 0.30 * sqrt(2) / 4) < 1e-12);
    assert_int_equal(response.from, case_day(&maker, 180));
    assert_int_equal(response.to, case_day(&maker, 24));
    /* A second reading of the newest width: the error of a mean of two. */
    case_width(&maker, ARCH_UPPER, 24, 40000);
    assert_int_equal(response_now(&maker, &response), RESPONSE_KNOWN);
    assert_true(fabs(response.ratio_se - 0.30 * sqrt(1.5) / 4) < 1e-12);
}

/* 0.2 to 0.7 mm a year (published): 156 days are 0.085 to 0.299 mm, a day more than 0.30. */
static void growth_stands_beside_long_gains(void **state)
{
    struct case_maker maker;
    struct response response;

    (void)state;
    case_typical(&maker);
    assert_int_equal(response_now(&maker, &response), RESPONSE_KNOWN);
    assert_true(fabs(response.growth_low_mm - 0.2 * 156 / 365.25) < 1e-12);
    assert_true(fabs(response.growth_high_mm - 0.7 * 156 / 365.25) < 1e-12);
    assert_false(response.long_gain);
    maker.widths[0].date--;
    assert_int_equal(response_now(&maker, &response), RESPONSE_KNOWN);
    assert_true(response.long_gain);
}

static void what_is_not_known_is_refused(void **state)
{
    struct case_maker maker;
    struct response response;

    (void)state;
    case_typical(&maker);
    struct visit *elsewhere =
        case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 25, UM_NONE, UM_NONE);
    elsewhere->elsewhere = ANSWER_YES;
    assert_int_equal(response_now(&maker, &response), RESPONSE_ELSEWHERE);
    assert_true(response.given == 0 && response.from == DAY_NONE);
    elsewhere->date = case_day(&maker, 24); /* not before the newest width */
    assert_int_equal(response_now(&maker, &response), RESPONSE_KNOWN);
    maker.history.visit_count = 0;
    assert_int_equal(response_now(&maker, &response), RESPONSE_NOT_GIVEN);
    maker.history.width_count = 1;
    assert_int_equal(response_now(&maker, &response), RESPONSE_NO_GAIN);
    maker.history.width_count = 0;
    assert_int_equal(response_now(&maker, &response), RESPONSE_NO_GAIN);
}

/* A width that shrank is a response below zero, not none. */
static void a_loss_is_below_zero(void **state)
{
    struct case_maker maker;
    struct response response;

    (void)state;
    case_typical(&maker);
    maker.widths[2].value = 35000;
    assert_int_equal(response_now(&maker, &response), RESPONSE_KNOWN);
    assert_true(response.ratio == -0.25);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gain_for_what_was_given),
        cmocka_unit_test(growth_stands_beside_long_gains),
        cmocka_unit_test(what_is_not_known_is_refused),
        cmocka_unit_test(a_loss_is_below_zero),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
