/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/core/arch_curve.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_roots.h>
#include <math.h>
#include <stdbool.h>

static const char *const curve_texts[] = {"", "ellipse", "parabola", "catenary", "beta"};
const struct words words_arch_curve = {"arch curve", curve_texts, CURVE_COUNT};

const struct arch_ratio arch_ratios[ARCH_RATIO_COUNT] = {
    {25, "molar width, method not disclosed",
     "1982, as quoted in Bull Natl Res Cent 2021 (s42269-021-00602-1)"},
    {33, "molar width, by geometry, about 1 mm in 3 mm",
     "Am J Orthod Dentofacial Orthop 1991;100:421-427, as quoted by others"},
    {37, "lower molar width, buccal segments tipped, by a model", "Eur J Orthod 2002;24:125-130"},
    {70, "upper width, rapid expansion, measured",
     "Am J Orthod Dentofacial Orthop 1990, as quoted in Bull Natl Res Cent 2021"},
};

/* The exponent of the beta curve (Angle Orthod 1998;68:29-36; from memory). */
static const double beta_exponent = 0.8;

enum { INTERVALS_MAX = 200, STEPS_MAX = 200 };
static const double quadrature_error = 1e-11; /* relative */
static const double root_error_mm = 1e-9;

/* One curve: half its width, its depth, and of a catenary half width by parameter, u = a / c. */
struct shape {
    enum arch_curve curve;
    double half_mm, depth_mm, u;
};

static bool within(double value, double least, double most)
{
    return value >= least && value <= most; /* false for what is not a number */
}

/* ---- the catenary's parameter ---------------------------------------------------------------- */

/* (cosh u - 1) / u - depth / half: cosh u - 1 as 2 sinh(u/2)^2, which keeps its digits near 0. */
static double catenary_excess(double u, void *context)
{
    const struct shape *shape = context;
    double half_sinh = sinh(u / 2);
    double rise = u > 0 ? 2 * half_sinh * half_sinh / u : 0;

    return rise - shape->depth_mm / shape->half_mm;
}

/* The root of a growing function that is not above 0 at low and not below 0 at high. */
static enum curve_answer root_between(gsl_function *function, double low, double high, double error,
                                      double *root)
{
    gsl_root_fsolver *solver;
    int status;

    if (GSL_FN_EVAL(function, low) >= 0) {
        *root = low;
        return CURVE_OK;
    }
    solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    if (solver == NULL)
        return CURVE_NO_MEMORY;
    status = gsl_root_fsolver_set(solver, function, low, high);
    for (int step = 0; status == GSL_SUCCESS && step < STEPS_MAX; step++) {
        status = gsl_root_fsolver_iterate(solver);
        if (status != GSL_SUCCESS)
            break;
        status = gsl_root_test_interval(gsl_root_fsolver_x_lower(solver),
                                        gsl_root_fsolver_x_upper(solver), error, 1e-14);
        if (status == GSL_SUCCESS) {
            *root = gsl_root_fsolver_root(solver);
            gsl_root_fsolver_free(solver);
            return gsl_finite(*root) ? CURVE_OK : CURVE_NUMERIC;
        }
        if (status == GSL_CONTINUE)
            status = GSL_SUCCESS;
    }
    gsl_root_fsolver_free(solver);
    return CURVE_NUMERIC;
}

/* u of the catenary that hangs depth deep between its ends: (cosh u - 1) / u is at least u / 2, so
 * the root is at most twice depth by half width. */
static enum curve_answer catenary_parameter(struct shape *shape)
{
    gsl_function function = {catenary_excess, shape};

    return root_between(&function, 0, 2 * shape->depth_mm / shape->half_mm, 1e-14, &shape->u);
}

static enum curve_answer shape_make(enum arch_curve curve, double width_mm, double depth_mm,
                                    struct shape *shape)
{
    if (curve <= CURVE_NONE || curve >= CURVE_COUNT)
        return CURVE_UNKNOWN;
    if (!within(width_mm, CURVE_WIDTH_MIN_MM, CURVE_WIDTH_MAX_MM))
        return CURVE_WIDTH;
    if (!within(depth_mm, CURVE_DEPTH_MIN_MM, CURVE_DEPTH_MAX_MM))
        return CURVE_DEPTH;
    *shape = (struct shape){curve, width_mm / 2, depth_mm, 0};
    return curve == CURVE_CATENARY ? catenary_parameter(shape) : CURVE_OK;
}

/* ---- height ---------------------------------------------------------------------------------- */

/* At u = 2x / W from -1 to 1. */
static double height_at(const struct shape *shape, double u)
{
    double inside = (1 - u) * (1 + u);

    switch (shape->curve) {
    case CURVE_ELLIPSE:
        return shape->depth_mm * sqrt(inside);
    case CURVE_CATENARY:
        return shape->depth_mm - shape->half_mm / shape->u * 2 * gsl_pow_2(sinh(u * shape->u / 2));
    case CURVE_BETA:
        return shape->depth_mm * pow(inside, beta_exponent);
    default:
        return shape->depth_mm * inside;
    }
}

enum curve_answer arch_curve_height(enum arch_curve curve, double width_mm, double depth_mm,
                                    double x_mm, double *y_mm)
{
    struct shape shape;
    enum curve_answer answer = shape_make(curve, width_mm, depth_mm, &shape);

    if (answer != CURVE_OK)
        return answer;
    if (!within(x_mm, -shape.half_mm, shape.half_mm))
        return CURVE_PLACE;
    *y_mm = fmax(0, height_at(&shape, x_mm / shape.half_mm));
    return CURVE_OK;
}

/* ---- length ---------------------------------------------------------------------------------- */

/* dy/dt at x = (W/2) sin t: in t the slopes of ellipse and beta stay finite at the ends. */
static double slope_at(const struct shape *shape, double sine, double cosine)
{
    switch (shape->curve) {
    case CURVE_ELLIPSE:
        return shape->depth_mm * sine;
    case CURVE_CATENARY:
        return shape->half_mm * cosine * sinh(shape->u * sine);
    case CURVE_BETA:
        return shape->depth_mm * 2 * beta_exponent * pow(cosine, 2 * beta_exponent - 1) * sine;
    default:
        return shape->depth_mm * 2 * cosine * sine;
    }
}

static double length_density(double t, void *context)
{
    const struct shape *shape = context;
    double cosine = fmax(0, cos(t)); /* rounding at the end may leave it below 0 */

    return hypot(shape->half_mm * cosine, slope_at(shape, sin(t), cosine));
}

enum curve_answer arch_curve_length(enum arch_curve curve, double width_mm, double depth_mm,
                                    double *length_mm)
{
    struct shape shape;
    enum curve_answer answer = shape_make(curve, width_mm, depth_mm, &shape);
    gsl_function density = {length_density, &shape};
    gsl_integration_workspace *workspace;
    double half, error;
    int status;

    if (answer != CURVE_OK)
        return answer;
    workspace = gsl_integration_workspace_alloc(INTERVALS_MAX);
    if (workspace == NULL)
        return CURVE_NO_MEMORY;
    status = gsl_integration_qags(&density, 0, M_PI_2, 0, quadrature_error, INTERVALS_MAX,
                                  workspace, &half, &error);
    gsl_integration_workspace_free(workspace);
    if (status != GSL_SUCCESS || !gsl_finite(half))
        return CURVE_NUMERIC;
    *length_mm = 2 * half;
    return CURVE_OK;
}

/* ---- room and widening ----------------------------------------------------------------------- */

enum curve_answer arch_curve_room(enum arch_curve curve, double width_mm, double depth_mm,
                                  double widening_mm, double *room_mm)
{
    double before, after;
    enum curve_answer answer = arch_curve_length(curve, width_mm, depth_mm, &before);

    if (answer != CURVE_OK)
        return answer;
    if (!within(widening_mm, 0, CURVE_WIDTH_MAX_MM))
        return CURVE_PLACE;
    answer = arch_curve_length(curve, width_mm + widening_mm, depth_mm, &after);
    if (answer == CURVE_OK)
        *room_mm = fmax(0, after - before);
    return answer;
}

/* What the root solver is asked, and the first answer that was not good on the way. */
struct search {
    enum arch_curve curve;
    double width_mm, depth_mm, room_mm;
    enum curve_answer answer;
};

static double room_excess(double widening_mm, void *context)
{
    struct search *search = context;
    double room_mm = 0;
    enum curve_answer answer =
        arch_curve_room(search->curve, search->width_mm, search->depth_mm, widening_mm, &room_mm);

    if (answer != CURVE_OK && search->answer == CURVE_OK)
        search->answer = answer;
    return room_mm - search->room_mm;
}

enum curve_answer arch_curve_widening(enum arch_curve curve, double width_mm, double depth_mm,
                                      double room_mm, double *widening_mm)
{
    struct search search = {curve, width_mm, depth_mm, room_mm, CURVE_OK};
    gsl_function function = {room_excess, &search};
    double most = fmin(CURVE_GAIN_MAX_MM, CURVE_WIDTH_MAX_MM - width_mm), reached, root;
    enum curve_answer answer;

    if (!within(room_mm, 0, HUGE_VAL))
        return CURVE_PLACE;
    answer = arch_curve_room(curve, width_mm, depth_mm, fmax(0, most), &reached);
    if (answer != CURVE_OK)
        return answer;
    if (reached < room_mm)
        return CURVE_OUT_OF_REACH;
    answer = root_between(&function, 0, most, root_error_mm, &root);
    if (search.answer != CURVE_OK)
        return search.answer;
    if (answer == CURVE_OK)
        *widening_mm = root;
    return answer;
}
