/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Arch curves against what is known of them without this program: tabulated lengths and gains,
 * closed forms, GSL's complete elliptic integral, points of the beta curve, and for the beta
 * curve's length a second way of computing it.
 */
#include "table.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_sf_ellint.h>
#include <math.h>

#include "springline/core/arch_curve.h"

static double length(enum arch_curve curve, double width_mm, double depth_mm)
{
    double value = -1;

    if (arch_curve_length(curve, width_mm, depth_mm, &value) != CURVE_OK)
        fail_msg("no length of %s, %.2f by %.2f", word_text(&words_arch_curve, (int)curve),
                 width_mm, depth_mm);
    return value;
}

static void agrees(const char *what, double value, double expected, double tolerance)
{
    if (!(fabs(value - expected) <= tolerance))
        fail_msg("%s: %.12f, expected %.12f", what, value, expected);
}

/* Every width and depth of a grid over all that is taken for an arch. */
static void each_arch(void (*check)(double width_mm, double depth_mm))
{
    for (int i = 0; CURVE_WIDTH_MIN_MM + 4.25 * i <= CURVE_WIDTH_MAX_MM; i++)
        for (int k = 0; CURVE_DEPTH_MIN_MM + 3.25 * k <= CURVE_DEPTH_MAX_MM; k++)
            check(CURVE_WIDTH_MIN_MM + 4.25 * i, CURVE_DEPTH_MIN_MM + 3.25 * k);
}

static void the_table_of_lengths_and_gains(void **state)
{
    static const enum arch_curve order[] = {CURVE_PARABOLA, CURVE_ELLIPSE, CURVE_CATENARY,
                                            CURVE_BETA};
    struct table table;

    (void)state;
    table_open(&table, "arch_curve.csv", "width,depth,wider,parabola,ellipse,catenary,beta");
    while (table_next(&table, 9))
        for (int i = 0; i < 4; i++) {
            double width_mm = table_number(&table, 0), depth_mm = table_number(&table, 1);
            double wider_mm = table_number(&table, 2), value = -1;

            if (wider_mm > 0)
                assert_int_equal(arch_curve_room(order[i], width_mm, depth_mm, wider_mm, &value),
                                 CURVE_OK);
            else
                value = length(order[i], width_mm, depth_mm);
            if (!(fabs(value - table_number(&table, 3 + i)) <= 0.6e-4))
                fail_msg("line %d, %s: %.6f", table.number,
                         word_text(&words_arch_curve, (int)order[i]), value);
        }
}

/* Points and length at W 60, D 40: computed from the printed equation (research; equation from
 * memory, its constant from y(0) = D). */
static void beta_points(void **state)
{
    static const double rows[][2] = {{0, 40}, {10, 36.403067}, {20, 24.994358}, {30, 0}};
    double y = -1;

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_equal(arch_curve_height(CURVE_BETA, 60, 40, rows[i][0], &y), CURVE_OK);
        agrees("beta", y, rows[i][1], 0.6e-6);
        assert_int_equal(arch_curve_height(CURVE_BETA, 60, 40, -rows[i][0], &y), CURVE_OK);
        agrees("beta, left", y, rows[i][1], 0.6e-6);
    }
    agrees("beta length", length(CURVE_BETA, 60, 40), 106.2760, 0.6e-4);
}

static void ellipse_closed(double width_mm, double depth_mm)
{
    double a = fmax(width_mm / 2, depth_mm), b = fmin(width_mm / 2, depth_mm);
    double closed = 2 * a * gsl_sf_ellint_Ecomp(sqrt((1 - b / a) * (1 + b / a)), GSL_PREC_DOUBLE);
    /* Ramanujan's second approximation, as it has been used on casts (published): within a ten
     * thousandth even for the flattest of these. */
    double sum = width_mm / 2 + depth_mm, h = gsl_pow_2((a - b) / sum);
    double ramanujan = M_PI_2 * sum * (1 + 3 * h / (10 + sqrt(4 - 3 * h)));

    agrees("ellipse", length(CURVE_ELLIPSE, width_mm, depth_mm), closed, 1e-9);
    agrees("ellipse, Ramanujan", ramanujan, closed, 1e-4 * closed);
}

static void ellipse_by_the_complete_elliptic_integral(void **state)
{
    (void)state;
    each_arch(ellipse_closed);
}

static void parabola_closed(double width_mm, double depth_mm)
{
    double a = width_mm / 2;
    double closed = sqrt(a * a + 4 * depth_mm * depth_mm) +
                    a * a / (2 * depth_mm) * gsl_asinh(2 * depth_mm / a);

    agrees("parabola", length(CURVE_PARABOLA, width_mm, depth_mm), closed, 1e-9);
}

/* c by halving, another way than the program's. */
static void catenary_closed(double width_mm, double depth_mm)
{
    double a = width_mm / 2, low = a / 40, high = 1000 * a;

    for (int i = 0; i < 200; i++) {
        double c = (low + high) / 2;

        if (c * 2 * gsl_pow_2(sinh(a / c / 2)) > depth_mm)
            low = c;
        else
            high = c;
    }
    agrees("catenary", length(CURVE_CATENARY, width_mm, depth_mm), 2 * low * sinh(a / low), 1e-9);
}

static void parabola_and_catenary_by_their_closed_forms(void **state)
{
    (void)state;
    each_arch(parabola_closed);
    each_arch(catenary_closed);
}

/* The beta curve from its end: t = pi/2 - v^5 takes the cos^0.6 out of the end, and Simpson's rule
 * is then exact enough. */
static void beta_second_way(double width_mm, double depth_mm)
{
    enum { PARTS = 4000 };
    double end = pow(M_PI_2, 0.2), sum = 0;

    for (int i = 0; i <= PARTS; i++) {
        double v = end * i / PARTS, s = gsl_pow_5(v);
        double density =
            hypot(width_mm / 2 * sin(s), 1.6 * depth_mm * pow(sin(s), 0.6) * fmax(0, cos(s))) * 5 *
            gsl_pow_4(v);
        sum += density * (i == 0 || i == PARTS ? 1 : i % 2 == 1 ? 4 : 2);
    }
    agrees("beta, second way", length(CURVE_BETA, width_mm, depth_mm), 2 * sum * end / PARTS / 3,
           1e-8);
}

static void beta_by_another_substitution(void **state)
{
    (void)state;
    each_arch(beta_second_way);
}

/* Motoyoshi et al. 2002: molar cusps +7.76 mm, perimeter +2.86 mm, printed as 0.37. */
static void ratios_as_published(void **state)
{
    static const int32_t hundredths[] = {25, 33, 37, 70};

    (void)state;
    assert_int_equal(ARCH_RATIO_COUNT, sizeof hundredths / sizeof hundredths[0]);
    for (int i = 0; i < ARCH_RATIO_COUNT; i++) {
        assert_int_equal(arch_ratios[i].hundredths, hundredths[i]);
        assert_true(arch_ratios[i].source[0] != '\0' && arch_ratios[i].movement[0] != '\0');
    }
    assert_int_equal(lround(100 * 2.86 / 7.76), 37);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_table_of_lengths_and_gains),
        cmocka_unit_test(beta_points),
        cmocka_unit_test(ellipse_by_the_complete_elliptic_integral),
        cmocka_unit_test(parabola_and_catenary_by_their_closed_forms),
        cmocka_unit_test(beta_by_another_substitution),
        cmocka_unit_test(ratios_as_published),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
