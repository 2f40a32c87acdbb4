/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Memory that runs out within GSL: a refusal, nothing filled, and the next call is good again. */
#include "memory_fault.h"

#include <gsl/gsl_errno.h>

#include "springline/core/arch_curve.h"

static const enum arch_curve curves[] = {CURVE_ELLIPSE, CURVE_PARABOLA, CURVE_CATENARY, CURVE_BETA};

/* Each allocation of a search for the widening fails in turn, until none does. */
static void each_allocation_of_a_curve(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof curves / sizeof curves[0]; i++) {
        long failed = 0;

        for (long nth = 1;; nth++) {
            double widening_mm = 7;

            memory_arm(nth, nth % 2 == 0);
            enum curve_answer answer = arch_curve_widening(curves[i], 50, 30, 3, &widening_mm);
            if (memory_disarm() == 0) {
                assert_int_equal(answer, CURVE_OK);
                assert_true(widening_mm > 3 && widening_mm < 6);
                break;
            }
            failed++;
            assert_int_equal(answer, CURVE_NO_MEMORY);
            assert_true(widening_mm == 7);
        }
        /* Where the sanitizer owns malloc, GSL's can not be made to fail. */
        assert_true(failed > 10 || !MEMORY_OWN_MALLOC);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(each_allocation_of_a_curve)};

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, memory_install, NULL);
}
