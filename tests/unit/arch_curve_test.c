/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Arch curves: properties and bad input; against the outside: tests/reference. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "springline/core/arch_curve.h"

static const enum arch_curve curves[] = {CURVE_ELLIPSE, CURVE_PARABOLA, CURVE_CATENARY, CURVE_BETA};

enum { CURVES = sizeof curves / sizeof curves[0] };

static double room(enum arch_curve curve, double width_mm, double depth_mm, double widening_mm)
{
    double value = -1;

    if (arch_curve_room(curve, width_mm, depth_mm, widening_mm, &value) != CURVE_OK)
        fail_msg("no room of %d, %.2f by %.2f, %.2f wider", (int)curve, width_mm, depth_mm,
                 widening_mm);
    return value;
}

static void every_curve_has_a_name(void **state)
{
    (void)state;
    for (int i = 0; i < CURVES; i++)
        assert_int_equal(
            word_value(&words_arch_curve, word_text(&words_arch_curve, (int)curves[i])), curves[i]);
    assert_string_equal(word_text(&words_arch_curve, CURVE_COUNT), "");
}

/* Deepest in the middle, the same on both sides, on the line at the molars. */
static void heights_are_sound(void **state)
{
    (void)state;
    for (int i = 0; i < CURVES; i++)
        for (int half = 0; half <= 50; half++) {
            double x = 0.5 * half, right = -1, left = -1, before = -1;

            assert_int_equal(arch_curve_height(curves[i], 50, 30, x, &right), CURVE_OK);
            assert_int_equal(arch_curve_height(curves[i], 50, 30, -x, &left), CURVE_OK);
            assert_true(fabs(right - left) < 1e-12);
            assert_true(right >= 0 && right <= 30);
            if (half == 0) {
                assert_true(fabs(right - 30) < 1e-12);
                continue;
            }
            assert_int_equal(arch_curve_height(curves[i], 50, 30, x - 0.5, &before), CURVE_OK);
            assert_true(right < before);
            if (half == 50)
                assert_true(right < 1e-9);
        }
}

/* Longer than the two straight lines to the molars, shorter than round the corners; more widening,
 * more room. */
static void lengths_are_sound(void **state)
{
    (void)state;
    for (int i = 0; i < CURVES; i++)
        for (int width = CURVE_WIDTH_MIN_MM; width <= CURVE_WIDTH_MAX_MM - 5; width += 5)
            for (int depth = CURVE_DEPTH_MIN_MM; depth <= CURVE_DEPTH_MAX_MM; depth += 5) {
                double length = -1;

                assert_int_equal(arch_curve_length(curves[i], width, depth, &length), CURVE_OK);
                assert_true(length > 2 * hypot(width / 2.0, depth));
                assert_true(length < width + 2 * depth);
                assert_true(room(curves[i], width, depth, 0) == 0);
                assert_true(room(curves[i], width, depth, 1) > 0);
                assert_true(room(curves[i], width, depth, 5) > room(curves[i], width, depth, 1));
                /* No more than both ends going straight outwards. */
                assert_true(room(curves[i], width, depth, 5) < 5);
            }
}

/* What a widening gives takes that widening. */
static void widening_is_the_inverse(void **state)
{
    (void)state;
    for (int i = 0; i < CURVES; i++)
        for (int width = 20; width <= 70; width += 10)
            for (int depth = 15; depth <= 50; depth += 7)
                for (int step = 0; step <= 8; step++) {
                    double widening = 1.75 * step, back = -1;
                    double gained = room(curves[i], width, depth, widening);

                    assert_int_equal(arch_curve_widening(curves[i], width, depth, gained, &back),
                                     CURVE_OK);
                    if (!(fabs(back - widening) < 1e-6))
                        fail_msg("%d, %d by %d: %.9f, not %.9f", (int)curves[i], width, depth, back,
                                 widening);
                }
}

static void beyond_the_bound_is_out_of_reach(void **state)
{
    (void)state;
    for (int i = 0; i < CURVES; i++) {
        double most = room(curves[i], 50, 30, CURVE_GAIN_MAX_MM), widening = 7;

        assert_int_equal(arch_curve_widening(curves[i], 50, 30, most + 0.01, &widening),
                         CURVE_OUT_OF_REACH);
        assert_int_equal(arch_curve_widening(curves[i], 50, 30, HUGE_VAL, &widening),
                         CURVE_OUT_OF_REACH);
        assert_true(widening == 7);
        assert_int_equal(arch_curve_widening(curves[i], 50, 30, most - 0.01, &widening), CURVE_OK);
        assert_true(widening < CURVE_GAIN_MAX_MM && widening > CURVE_GAIN_MAX_MM - 0.1);
        /* An arch that is all but the widest of all can gain only what is left. */
        assert_int_equal(arch_curve_widening(curves[i], CURVE_WIDTH_MAX_MM, 30, 0.5, &widening),
                         CURVE_OUT_OF_REACH);
    }
}

static void bad_input_is_refused(void **state)
{
    static const struct {
        double width, depth;
        enum curve_answer answer;
    } rows[] = {
        {0, 30, CURVE_WIDTH},           {-50, 30, CURVE_WIDTH},         {500, 30, CURVE_WIDTH},
        {5, 30, CURVE_WIDTH},           {1e300, 30, CURVE_WIDTH},       {HUGE_VAL, 30, CURVE_WIDTH},
        {(double)NAN, 30, CURVE_WIDTH}, {50, 0, CURVE_DEPTH},           {50, -30, CURVE_DEPTH},
        {50, 300, CURVE_DEPTH},         {50, 3, CURVE_DEPTH},           {50, 1e-300, CURVE_DEPTH},
        {50, HUGE_VAL, CURVE_DEPTH},    {50, (double)NAN, CURVE_DEPTH},
    };
    double value = 7;

    (void)state;
    for (int c = 0; c < CURVES; c++)
        for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
            double width = rows[i].width, depth = rows[i].depth;

            assert_int_equal(arch_curve_height(curves[c], width, depth, 0, &value), rows[i].answer);
            assert_int_equal(arch_curve_length(curves[c], width, depth, &value), rows[i].answer);
            assert_int_equal(arch_curve_room(curves[c], width, depth, 1, &value), rows[i].answer);
            assert_int_equal(arch_curve_widening(curves[c], width, depth, 1, &value),
                             rows[i].answer);
        }
    assert_true(value == 7);
}

static void bad_places_and_curves_are_refused(void **state)
{
    static const double beside[] = {-25.001, 25.001, HUGE_VAL, -HUGE_VAL, (double)NAN};
    static const double negative[] = {-0.001, -HUGE_VAL, (double)NAN};
    double value = 7;

    (void)state;
    for (size_t i = 0; i < sizeof beside / sizeof beside[0]; i++)
        assert_int_equal(arch_curve_height(CURVE_BETA, 50, 30, beside[i], &value), CURVE_PLACE);
    for (size_t i = 0; i < sizeof negative / sizeof negative[0]; i++) {
        assert_int_equal(arch_curve_room(CURVE_BETA, 50, 30, negative[i], &value), CURVE_PLACE);
        assert_int_equal(arch_curve_widening(CURVE_BETA, 50, 30, negative[i], &value), CURVE_PLACE);
    }
    assert_int_equal(arch_curve_room(CURVE_BETA, 50, 30, 51, &value), CURVE_WIDTH);
    assert_int_equal(arch_curve_room(CURVE_BETA, 50, 30, HUGE_VAL, &value), CURVE_PLACE);
    assert_int_equal(arch_curve_height(CURVE_NONE, 50, 30, 0, &value), CURVE_UNKNOWN);
    assert_int_equal(arch_curve_length(CURVE_COUNT, 50, 30, &value), CURVE_UNKNOWN);
    assert_int_equal(arch_curve_room(CURVE_NONE, 50, 30, 1, &value), CURVE_UNKNOWN);
    assert_int_equal(arch_curve_widening(CURVE_COUNT, 50, 30, 1, &value), CURVE_UNKNOWN);
    assert_true(value == 7);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_curve_has_a_name),
        cmocka_unit_test(heights_are_sound),
        cmocka_unit_test(lengths_are_sound),
        cmocka_unit_test(widening_is_the_inverse),
        cmocka_unit_test(beyond_the_bound_is_out_of_reach),
        cmocka_unit_test(bad_input_is_refused),
        cmocka_unit_test(bad_places_and_curves_are_refused),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
