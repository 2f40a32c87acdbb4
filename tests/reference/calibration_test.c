/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Is the forecast calibrated? Invented practices whose truth is known: each case has a speed of its
 * own, begins slowly, is seen at irregular visits, and is measured with an error. How often does
 * the true day of the target lie in the 80 % interval, and is the shrunk speed nearer the truth
 * than the case's own?
 *
 * What is assumed, no source: speeds of 0.35 mm a week with SD 0.10 (the published "slow" rates
 * differ fourfold); the first weeks at a fifth of the speed, growing to all of it after 2 to 6
 * weeks (common practice says only "slow at first"); visits every 3 to 6 weeks, one in ten missed,
 * a width at 85 of 100. The error of a width is 0.30 mm (published: 0.22-0.31, see width_error_mm).
 * The figures depend on these; what they show is that the arithmetic gives what it promises.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include "springline/core/forecast.h"
#include "springline/core/protocol.h"

enum {
    FITTED = 20000, /* a day; every case of a practice begins on it */
    CASES = 40,
    WIDTHS = 64,
    WEEK_DAYS = 7
};

struct world {
    double speed_mm, speed_sd_mm; /* a week */
    double error_mm;
    double early;                   /* speed at the fit as a share of the later one */
    double slow_least, slow_most;   /* weeks until the whole speed is there */
    double room_least, room_most;   /* mm from the first width to the target */
    double weeks_least, weeks_most; /* of treatment so far */
};

static const struct world usual = {0.35, 0.10, 0.30, 0.2, 2, 6, 5, 9, 12, 30};

struct child {
    struct casefile casefile;
    struct expander expander;
    struct width widths[WIDTHS];
    struct history history;
    double speed_mm, slow_weeks;
    double target_weeks; /* from the fit until the width is there */
    day today;
};

struct figures {
    long given, covered;     /* both ends told */
    long open, open_covered; /* "not before" alone */
    long refused;            /* running cases without */
    double own2, shrunk2;    /* sums of squared errors of the speed */
    double bias;             /* sum of own speed - true */
    double weeks;            /* sum of interval lengths */
    double lag;              /* mean of the practices */
};

/* Weeks at the whole speed that move as far as weeks since the fit do. */
static double moved(const struct world *world, double slow, double weeks)
{
    double lost = slow * (1 - world->early) / 2;

    if (weeks >= slow)
        return weeks - lost;
    return world->early * weeks + (1 - world->early) * weeks * weeks / (2 * slow);
}

static um measured(const struct world *world, const struct child *child, double weeks, gsl_rng *rng)
{
    double mm = 34 + child->speed_mm * moved(world, child->slow_weeks, weeks);

    return (um)(10 * lround(100 * (mm + gsl_ran_gaussian(rng, world->error_mm))));
}

static void add_width(struct child *child, day date, um value)
{
    assert_true(child->history.width_count < WIDTHS);
    child->widths[child->history.width_count++] = (struct width){.date = date,
                                                                 .arch = ARCH_UPPER,
                                                                 .site = SITE_INTERMOLAR,
                                                                 .landmark = LANDMARK_GINGIVAL,
                                                                 .teeth = {16, 26},
                                                                 .method = METHOD_MOUTH,
                                                                 .repeat = 1,
                                                                 .value = value};
}

/* Visits until today, or until a width shows that the target is reached. */
static void treat(const struct world *world, struct child *child, const struct protocol *protocol,
                  gsl_rng *rng)
{
    day date = FITTED;
    um done = child->expander.target - 2 * protocol->step_grain;

    for (;;) {
        date += 21 + (day)gsl_rng_uniform_int(rng, 22);
        if (gsl_rng_uniform(rng) < 0.10)
            date += 21 + (day)gsl_rng_uniform_int(rng, 22);
        if (date > child->today)
            return;
        if (gsl_rng_uniform(rng) > 0.85)
            continue;
        um value = measured(world, child, (double)(date - FITTED) / WEEK_DAYS, rng);
        add_width(child, date, value);
        if (value > done) {
            child->expander.out_on = date;
            child->expander.out_reason = OUT_TARGET;
            return;
        }
    }
}

static void make_child(const struct world *world, const struct protocol *protocol, gsl_rng *rng,
                       struct child *child)
{
    double room = gsl_ran_flat(rng, world->room_least, world->room_most);

    *child = (struct child){.casefile = {.closed_on = DAY_NONE},
                            .expander = {.arch = ARCH_UPPER,
                                         .fitted_on = FITTED,
                                         .sides = SIDES_BOTH,
                                         .site = SITE_INTERMOLAR,
                                         .landmark = LANDMARK_GINGIVAL,
                                         .teeth = {16, 26},
                                         .target = (um)(10 * lround(100 * (34 + room))),
                                         .passive_on = DAY_NONE,
                                         .out_on = DAY_NONE}};
    child->history = (struct history){.casefile = &child->casefile,
                                      .protocol = protocol,
                                      .expanders = &child->expander,
                                      .expander_count = 1,
                                      .widths = child->widths};
    child->speed_mm = fmax(0.05, world->speed_mm + gsl_ran_gaussian(rng, world->speed_sd_mm));
    child->slow_weeks = gsl_ran_flat(rng, world->slow_least, world->slow_most);
    child->target_weeks = (double)(child->expander.target - 34000) / 1000 / child->speed_mm +
                          child->slow_weeks * (1 - world->early) / 2;
    child->today =
        FITTED + (day)(WEEK_DAYS * gsl_ran_flat(rng, world->weeks_least, world->weeks_most));
    add_width(child, FITTED, measured(world, child, 0, rng));
    treat(world, child, protocol, rng);
}

static void judge_child(const struct child *child, const struct forecast_practice *practice,
                        struct arena *arena, struct figures *figures)
{
    double truth = FITTED + WEEK_DAYS * child->target_weeks;
    struct forecast forecast;

    forecast_case(&child->history, &child->expander, child->today, practice, arena, &forecast);
    if (forecast.reason == FORECAST_ENDED)
        return;
    if (forecast.own_se_mm > 0) {
        figures->own2 += pow(forecast.own_mm - child->speed_mm, 2);
        figures->shrunk2 += pow(forecast.shrunk_mm - child->speed_mm, 2);
        figures->bias += forecast.own_mm - child->speed_mm;
    }
    if (forecast.reason == FORECAST_GIVEN) {
        assert_true(forecast.earliest <= forecast.latest && forecast.earliest >= child->today);
        figures->given++;
        /* What lies before today is not told: the first day told stands for all before it. */
        bool early = forecast.earliest > child->today && truth < forecast.earliest;
        figures->covered += !early && truth <= forecast.latest;
        figures->weeks += (double)(forecast.latest - forecast.earliest) / WEEK_DAYS;
    } else if (forecast.reason == FORECAST_NOT_BEFORE) {
        figures->open++;
        figures->open_covered += truth >= forecast.earliest;
    } else {
        figures->refused++;
    }
}

/* lag_weeks below 0: the program's own choice. */
static void run_practice(const struct world *world, int cases, double lag_weeks, gsl_rng *rng,
                         struct figures *figures)
{
    static struct child children[CASES]; /* too many for a stack under the sanitizers */
    struct trend_points points[CASES];
    struct forecast_practice practice;
    struct protocol protocol;
    struct arena arena = {0};
    size_t count = 0;

    protocol_defaults(&protocol);
    for (int i = 0; i < cases; i++) {
        make_child(world, &protocol, rng, &children[i]);
        if (forecast_best_points(&children[i].history, &children[i].expander, protocol.width_error,
                                 children[i].today, &arena, &points[count]) == FORECAST_GIVEN)
            count++;
    }
    if (lag_weeks < 0)
        (void)forecast_pool(points, count, protocol.width_error, &arena, &practice);
    else
        (void)forecast_pool_at(points, count, lag_weeks, protocol.width_error, &arena, &practice);
    figures->lag += practice.lag_weeks;
    for (int i = 0; i < cases; i++)
        judge_child(&children[i], &practice, &arena, figures);
    arena_release(&arena);
}

static struct figures run(const struct world *world, int cases, double lag_weeks,
                          unsigned long seed, int practices)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    struct figures figures = {0};

    assert_non_null(rng);
    gsl_rng_set(rng, seed);
    for (int i = 0; i < practices; i++)
        run_practice(world, cases, lag_weeks, rng, &figures);
    gsl_rng_free(rng);
    figures.lag /= practices;
    return figures;
}

/* ---- what is held against the promise ---- */

/*
 * The first seed that was tried. Seeds 1 to 50 gave, in the usual world: coverage 81.4 to 84.4 %,
 * mean 82.6; squared error of the shrunk speed 0.79 to 0.91 of the own one's. Seeds 1 to 20 in
 * every world below: coverage 76.0 to 84.9 %.
 */
enum { SEED = 1, PRACTICES = 100 };

static double coverage_of(const struct figures *figures)
{
    return (double)figures->covered / (double)figures->given;
}

static struct figures show(const char *name, const struct world *world, int cases, double lag_weeks)
{
    struct figures figures = run(world, cases, lag_weeks, SEED, PRACTICES);
    double speeds = (double)(figures.given + figures.open);

    printf("# figure: %-26s %2d cases, lag %.1f weeks: %5ld forecasts of %.1f weeks cover %.1f %%; "
           "squared error shrunk/own %.2f; speed off by %+.3f mm a week\n",
           name, cases, figures.lag, figures.given, figures.weeks / (double)figures.given,
           100 * coverage_of(&figures), figures.shrunk2 / figures.own2, figures.bias / speeds);
    assert_true(figures.given > 500);
    return figures;
}

static void covers_as_promised(const char *name, const struct world *world, int cases)
{
    struct figures figures = show(name, world, cases, -1);

    if (coverage_of(&figures) < 0.75 || coverage_of(&figures) > 0.85)
        fail_msg("%s: %.3f", name, coverage_of(&figures));
    /* Where the least day alone is told it is the lower end of an interval of 80 %: 90 % lie after
     * it. Few are told so, so that the bar is low. */
    if (figures.open >= 100 && figures.open_covered * 100 < figures.open * 80)
        fail_msg("%s: %ld of %ld not before", name, figures.open_covered, figures.open);
    if (figures.shrunk2 >= figures.own2)
        fail_msg("%s: shrinkage does not help", name);
}

static void intervals_cover_75_to_85_percent(void **state)
{
    struct world world;

    (void)state;
    covers_as_promised("usual", &usual, CASES);
    covers_as_promised("few cases", &usual, 15);
    world = usual;
    world.speed_sd_mm = 0.03;
    covers_as_promised("cases alike", &world, CASES);
    world.speed_sd_mm = 0.15;
    covers_as_promised("cases unlike", &world, CASES);
    world = usual;
    world.error_mm = 0.20;
    covers_as_promised("measured better than known", &world, CASES);
    world.error_mm = 0.50;
    covers_as_promised("measured worse than known", &world, CASES);
    world = usual;
    world.weeks_least = 10;
    world.weeks_most = 18;
    covers_as_promised("young cases", &world, CASES);
    world = usual;
    world.room_least = 15;
    world.room_most = 25;
    covers_as_promised("far targets", &world, CASES);
    world = usual;
    world.early = 1;
    covers_as_promised("no slow start", &world, CASES);
    world = usual;
    world.slow_least = world.slow_most = 8;
    covers_as_promised("slow for 8 weeks", &world, CASES);
    world.early = 0;
    world.slow_least = 0;
    world.slow_most = 12;
    covers_as_promised("slow for 0 to 12 weeks", &world, CASES);
}

/* Without the lag every speed is a tenth too small, and what lies far ahead is missed. */
static void the_slow_start_does_not_bias(void **state)
{
    struct world far = usual;

    (void)state;
    far.room_least = 15;
    far.room_most = 25;
    struct figures without = show("far targets, no lag", &far, CASES, 0);
    struct figures with = show("far targets, lag", &far, CASES, -1);
    assert_true(coverage_of(&without) < 0.70);
    assert_true(coverage_of(&with) > 0.75);
    without = show("usual, no lag", &usual, CASES, 0);
    with = show("usual, lag", &usual, CASES, -1);
    assert_true(without.bias / (double)(without.given + without.open) < -0.025);
    assert_true(fabs(with.bias / (double)(with.given + with.open)) < 0.007);
    assert_true(with.own2 / (double)with.given < without.own2 / (double)without.given);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(intervals_cover_75_to_85_percent),
        cmocka_unit_test(the_slow_start_does_not_bias),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
