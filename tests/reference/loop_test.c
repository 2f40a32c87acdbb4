/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The stiffness of a loop, against figures computed elsewhere and against a plane frame that knows
 * nothing of Castigliano: straight Euler-Bernoulli beams assembled by the direct stiffness method
 * (a textbook method; the element is the usual one of two nodes and six displacements).
 */
#include "table.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_math.h>

#include "springline/core/loop.h"

enum {
    LEG_ELEMENTS = 100,
    BOW_ELEMENTS = 200,
    ELEMENTS = 2 * LEG_ELEMENTS + BOW_ELEMENTS,
    NODES = ELEMENTS + 1,
    PER_NODE = 3, /* along x, along y, rotation */
    SIZE = NODES * PER_NODE
};

/* Nodes from foot to foot: up one leg, over the bow, down the other. */
static void place_node(const struct loop *loop, int node, double at[2])
{
    double h = loop->leg_mm, r = loop->radius_mm;
    double angle = M_PI * (node - LEG_ELEMENTS) / BOW_ELEMENTS;

    if (node <= LEG_ELEMENTS) {
        at[0] = -r;
        at[1] = h * node / LEG_ELEMENTS;
    } else if (node <= LEG_ELEMENTS + BOW_ELEMENTS) {
        at[0] = -r * cos(angle);
        at[1] = h + r * sin(angle);
    } else {
        at[0] = r;
        at[1] = h * (ELEMENTS - node) / LEG_ELEMENTS;
    }
}

/* The element's stiffness in the frame's axes. The wire does not stretch: 10,000 times as stiff
 * along its axis as a wire of that thickness, for the formula counts bending alone. */
static void element_stiffness(const struct loop *loop, const double from[2], const double to[2],
                              double matrix[6][6])
{
    double dx = to[0] - from[0], dy = to[1] - from[1], length = hypot(dx, dy);
    double c = dx / length, s = dy / length;
    double area = M_PI * gsl_pow_2(loop->wire_mm) / 4;
    double axial = 1e4 * loop->modulus_gpa * 1000 * area / length;
    double ei = loop->modulus_gpa * 1000 * M_PI * gsl_pow_4(loop->wire_mm) / 64;
    double shear = 12 * ei / gsl_pow_3(length), mixed = 6 * ei / gsl_pow_2(length);
    const double local[6][6] = {{axial, 0, 0, -axial, 0, 0},
                                {0, shear, mixed, 0, -shear, mixed},
                                {0, mixed, 4 * ei / length, 0, -mixed, 2 * ei / length},
                                {-axial, 0, 0, axial, 0, 0},
                                {0, -shear, -mixed, 0, shear, -mixed},
                                {0, mixed, 2 * ei / length, 0, -mixed, 4 * ei / length}};
    double turn[6][6] = {{c, s}, {-s, c}, {0, 0, 1}, {0, 0, 0, c, s}, {0, 0, 0, -s, c}};

    turn[5][5] = 1;
    for (int i = 0; i < 6; i++)
        for (int j = 0; j < 6; j++) {
            matrix[i][j] = 0;
            for (int k = 0; k < 6; k++)
                for (int l = 0; l < 6; l++)
                    matrix[i][j] += turn[k][i] * local[k][l] * turn[l][j];
        }
}

static void assemble(const struct loop *loop, gsl_matrix *frame)
{
    gsl_matrix_set_zero(frame);
    for (int e = 0; e < ELEMENTS; e++) {
        double from[2], to[2], matrix[6][6];

        place_node(loop, e, from);
        place_node(loop, e + 1, to);
        element_stiffness(loop, from, to, matrix);
        for (size_t i = 0; i < 6; i++)
            for (size_t j = 0; j < 6; j++) {
                double *at =
                    gsl_matrix_ptr(frame, (size_t)e * PER_NODE + i, (size_t)e * PER_NODE + j);
                *at += matrix[i][j];
            }
    }
}

static void hold(gsl_matrix *frame, int displacement)
{
    for (size_t i = 0; i < SIZE; i++) {
        gsl_matrix_set(frame, i, (size_t)displacement, 0);
        gsl_matrix_set(frame, (size_t)displacement, i, 0);
    }
    gsl_matrix_set(frame, (size_t)displacement, (size_t)displacement, 1);
}

/* One newton apart along the arch at the second foot, the first one fixed in place. */
static double frame_stiffness(const struct loop *loop, bool held)
{
    enum { LAST = SIZE - PER_NODE };
    gsl_matrix *frame = gsl_matrix_alloc(SIZE, SIZE);
    gsl_vector *load = gsl_vector_calloc(SIZE), *moved = gsl_vector_alloc(SIZE);

    assert_true(frame != NULL && load != NULL && moved != NULL);
    assemble(loop, frame);
    hold(frame, 0);
    hold(frame, 1);
    hold(frame, LAST + 1);
    if (held) {
        hold(frame, 2);
        hold(frame, LAST + 2);
    }
    gsl_vector_set(load, LAST, 1);
    assert_int_equal(gsl_linalg_cholesky_decomp1(frame), GSL_SUCCESS);
    assert_int_equal(gsl_linalg_cholesky_solve(frame, load, moved), GSL_SUCCESS);
    double stiffness = 1 / gsl_vector_get(moved, LAST);
    gsl_matrix_free(frame);
    gsl_vector_free(load);
    gsl_vector_free(moved);
    return stiffness;
}

static void agrees_with_the_table(void **state)
{
    struct table table;

    (void)state;
    table_open(&table, "loop.csv", "leg,radius,wire,free,held,moment");
    while (table_next(&table, 3)) {
        const struct loop loop = {.wire_mm = table_number(&table, 2),
                                  .leg_mm = table_number(&table, 0),
                                  .radius_mm = table_number(&table, 1),
                                  .modulus_gpa = LOOP_MODULUS_ASSUMED_GPA};
        struct loop_stiffness stiffness;

        assert_int_equal(loop_stiffness_of(&loop, &stiffness), LOOP_GOOD);
        if (fabs(stiffness.free - table_number(&table, 3)) > 0.6e-5 ||
            fabs(stiffness.held - table_number(&table, 4)) > 0.6e-5 ||
            fabs(stiffness.moment_mm - table_number(&table, 5)) > 0.6e-5)
            fail_msg("line %d: %.6f %.6f %.6f", table.number, stiffness.free, stiffness.held,
                     stiffness.moment_mm);
    }
}

static void agrees_with_a_plane_frame(void **state)
{
    struct table table;

    (void)state;
    table_open(&table, "loop.csv", "leg,radius,wire,free,held,moment");
    while (table_next(&table, 3)) {
        const struct loop loop = {.wire_mm = table_number(&table, 2),
                                  .leg_mm = table_number(&table, 0),
                                  .radius_mm = table_number(&table, 1),
                                  .modulus_gpa = LOOP_MODULUS_ASSUMED_GPA};
        struct loop_stiffness stiffness;

        assert_int_equal(loop_stiffness_of(&loop, &stiffness), LOOP_GOOD);
        double free = frame_stiffness(&loop, false), held = frame_stiffness(&loop, true);
        print_message("loop H %.1f R %.1f d %.4f: frame %.5f free, %.5f held; formula %.5f, %.5f\n",
                      loop.leg_mm, loop.radius_mm, loop.wire_mm, free, held, stiffness.free,
                      stiffness.held);
        assert_true(fabs(stiffness.free / free - 1) < 1e-4);
        assert_true(fabs(stiffness.held / held - 1) < 1e-4);
    }
}

static void a_straight_arm_agrees_with_the_table(void **state)
{
    struct table table;

    (void)state;
    table_open(&table, "cantilever.csv", "wire,at15,at20,at25");
    while (table_next(&table, 4)) {
        for (int column = 1; column <= 3; column++) {
            double stiffness = 0;

            assert_int_equal(loop_cantilever(table_number(&table, 0), 10 + 5 * column,
                                             LOOP_MODULUS_ASSUMED_GPA, &stiffness),
                             LOOP_GOOD);
            if (fabs(stiffness - table_number(&table, column)) > 0.6e-5)
                fail_msg("line %d: %.6f", table.number, stiffness);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_the_table),
        cmocka_unit_test(agrees_with_a_plane_frame),
        cmocka_unit_test(a_straight_arm_agrees_with_the_table),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
