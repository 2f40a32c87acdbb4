/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The loop sheet: what must hold of any loop, and dimensions that are none. Figures:
 * tests/reference/loop_test.c. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "springline/core/loop.h"

static const struct loop usual = {0.7, 5, 3, LOOP_MODULUS_ASSUMED_GPA};

static struct loop_stiffness of(struct loop loop)
{
    struct loop_stiffness stiffness = {0};

    assert_int_equal(loop_stiffness_of(&loop, &stiffness), LOOP_GOOD);
    return stiffness;
}

/* Over every size allowed: finite, above 0, held the stiffer, and no moment above the height. */
static void every_loop_is_softer_free_than_held(void **state)
{
    (void)state;
    for (int i = 0; i <= 10; i++)
        for (int j = 0; j <= 16; j++)
            for (int k = 0; k <= 12; k++) {
                double wire = 0.2 + 0.13 * i, leg = 1.25 * j, radius = wire + (10 - wire) * k / 12;
                struct loop_stiffness stiffness = of((struct loop){wire, leg, radius, 193});

                assert_true(isfinite(stiffness.free) && isfinite(stiffness.held));
                assert_true(stiffness.free > 0 && stiffness.held > stiffness.free);
                assert_true(stiffness.moment_mm > 0 && stiffness.moment_mm < leg + radius);
            }
}

/* Stiffness goes with the fourth power of the wire and with the modulus; a longer leg or a wider
 * bow is softer. */
static void a_thicker_wire_is_stiffer(void **state)
{
    struct loop twice = usual, drawn = usual, longer = usual, wider = usual;
    struct loop_stiffness k = of(usual);

    (void)state;
    twice.wire_mm *= 2;
    assert_true(fabs(of(twice).free / k.free - 16) < 1e-9);
    drawn.modulus_gpa = LOOP_MODULUS_DRAWN_GPA;
    assert_true(fabs(of(drawn).held / k.held - 160.0 / 193.0) < 1e-12);
    longer.leg_mm += 1;
    assert_true(of(longer).free < k.free && of(longer).held < k.held);
    wider.radius_mm += 0.5;
    assert_true(of(wider).free < k.free && of(wider).held < k.held);
}

static void the_ratio_is_left_over_right(void **state)
{
    struct loop longer = usual;

    (void)state;
    longer.leg_mm += 1;
    struct loop_stiffness right = of(usual), left = of(longer);
    struct loop_ratio ratio = loop_ratio_of(&left, &right), same = loop_ratio_of(&right, &right);
    assert_true(ratio.free < 1 && ratio.held < 1);
    assert_true(same.free == 1 && same.held == 1);
}

static void dimensions_that_are_none_are_refused(void **state)
{
    static const struct {
        struct loop loop;
        enum loop_answer answer;
    } rows[] = {{{0, 5, 3, 193}, LOOP_WIRE},        {{-0.7, 5, 3, 193}, LOOP_WIRE},
                {{0.19, 5, 3, 193}, LOOP_WIRE},     {{7, 5, 3, 193}, LOOP_WIRE},
                {{NAN, 5, 3, 193}, LOOP_WIRE},      {{0.7, -0.1, 3, 193}, LOOP_LEG},
                {{0.7, 20.1, 3, 193}, LOOP_LEG},    {{0.7, INFINITY, 3, 193}, LOOP_LEG},
                {{0.7, NAN, 3, 193}, LOOP_LEG},     {{0.7, 5, 0, 193}, LOOP_RADIUS},
                {{0.7, 5, -1, 193}, LOOP_RADIUS},   {{0.7, 5, 0.69, 193}, LOOP_RADIUS},
                {{0.7, 5, 10.1, 193}, LOOP_RADIUS}, {{0.7, 5, NAN, 193}, LOOP_RADIUS},
                {{0.7, 5, 3, 0}, LOOP_MODULUS},     {{0.7, 5, 3, 1930}, LOOP_MODULUS},
                {{0.7, 5, 3, NAN}, LOOP_MODULUS}};
    struct loop_stiffness stiffness = {7, 7, 7};
    double arm = 7;

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_int_equal(loop_stiffness_of(&rows[i].loop, &stiffness), rows[i].answer);
    assert_true(stiffness.free == 7 && stiffness.held == 7 && stiffness.moment_mm == 7);
    assert_int_equal(loop_cantilever(0.7, 0, 193, &arm), LOOP_LENGTH);
    assert_int_equal(loop_cantilever(0.7, 3.4, 193, &arm), LOOP_LENGTH);
    assert_int_equal(loop_cantilever(0.7, 201, 193, &arm), LOOP_LENGTH);
    assert_int_equal(loop_cantilever(0.7, NAN, 193, &arm), LOOP_LENGTH);
    assert_int_equal(loop_cantilever(0, 20, 193, &arm), LOOP_WIRE);
    assert_int_equal(loop_cantilever(0.7, 20, -1, &arm), LOOP_MODULUS);
    assert_true(arm == 7);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_loop_is_softer_free_than_held),
        cmocka_unit_test(a_thicker_wire_is_stiffer),
        cmocka_unit_test(the_ratio_is_left_over_right),
        cmocka_unit_test(dimensions_that_are_none_are_refused),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
