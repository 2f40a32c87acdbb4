/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Is wear drifting down? The exact chance against Kendall's distribution and against counting every
 * order, and the stated false-alarm rate against simulated cases whose truth is known. The
 * generator is GSL's mt19937 with a fixed seed: the figures printed are the same on every machine.
 */
#include "table.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>

#include "springline/core/protocol.h"
#include "springline/core/wear_trend.h"

static void agrees_with_kendalls_distribution(void **state)
{
    struct table table;

    (void)state;
    table_open(&table, "kendall.csv", "n,falling,chance");
    while (table_next(&table, 50)) {
        int32_t groups[WEAR_DRIFT_MOST], n = (int32_t)table_whole(&table, 0);

        for (int32_t i = 0; i < n; i++)
            groups[i] = 1;
        double chance = wear_drift_chance(groups, (size_t)n, (int32_t)table_whole(&table, 1));
        if (fabs(chance - table_number(&table, 2)) > 1e-11)
            fail_msg("line %d: %.12f", table.number, chance);
    }
}

/* ---- ties, by counting every order ---- */

struct orders {
    int32_t values[8];
    int count, falling;
    long all, as_many;
};

static void count_orders(struct orders *orders, int from)
{
    if (from == orders->count) {
        int falling = 0;

        for (int i = 0; i < orders->count; i++)
            for (int j = i + 1; j < orders->count; j++)
                falling += orders->values[j] < orders->values[i];
        orders->all++;
        orders->as_many += falling >= orders->falling;
        return;
    }
    for (int i = from; i < orders->count; i++) {
        int32_t first = orders->values[from];

        orders->values[from] = orders->values[i];
        orders->values[i] = first;
        count_orders(orders, from + 1);
        first = orders->values[from];
        orders->values[from] = orders->values[i];
        orders->values[i] = first;
    }
}

static void equal_shares_agree_with_counting_every_order(void **state)
{
    static const struct {
        int32_t groups[8];
        size_t count;
    } rows[] = {{{2, 1, 1, 1}, 4}, {{3, 2}, 2},       {{1, 1, 1, 1, 1}, 5},   {{5}, 1},
                {{2, 2, 2}, 3},    {{4, 1, 2, 1}, 4}, {{1, 2, 1, 1, 2, 1}, 6}};

    (void)state;
    for (size_t row = 0; row < sizeof rows / sizeof rows[0]; row++)
        for (int falling = 0; falling <= 28; falling++) {
            struct orders orders = {.falling = falling};

            for (size_t group = 0; group < rows[row].count; group++)
                for (int32_t i = 0; i < rows[row].groups[group]; i++)
                    orders.values[orders.count++] = (int32_t)group;
            count_orders(&orders, 0);
            double chance = wear_drift_chance(rows[row].groups, rows[row].count, falling);
            assert_true(fabs(chance - (double)orders.as_many / (double)orders.all) < 1e-14);
        }
}

/* ---- simulated cases ---- */

struct course {
    double share[WEAR_DRIFT_MOST]; /* true share of days met, oldest first */
    int periods;
    double persistence; /* correlation of a day with the day before */
};

/* Days met, one after the other, in periods of 21 to 28 days (the default interval). */
static void live(const struct course *course, gsl_rng *rng, struct wear_periods *periods)
{
    bool met = gsl_rng_uniform(rng) < course->share[0];

    *periods = (struct wear_periods){.count = course->periods};
    for (int i = 0; i < course->periods; i++) {
        struct wear_period *period = &periods->period[course->periods - 1 - i];
        struct wear_tally *tally = &period->sources[SOURCE_DIARY];

        period->days = 21 + (int32_t)gsl_rng_uniform_int(rng, 8);
        for (int32_t day_of = 0; day_of < period->days; day_of++) {
            if (gsl_rng_uniform(rng) >= course->persistence)
                met = gsl_rng_uniform(rng) < course->share[i];
            tally->known++;
            tally->met += met;
        }
    }
}

static double logistic(double x)
{
    return 1 / (1 + exp(-x));
}

/* Shares that swing around one level: normal on the logit scale, sd 0.8, each correlated so much
 * with the one before. */
static void swing(struct course *course, double level, double correlation, gsl_rng *rng)
{
    double at = gsl_ran_gaussian(rng, 1);

    for (int i = 0; i < course->periods; i++) {
        course->share[i] = logistic(log(level / (1 - level)) + 0.8 * at);
        at = correlation * at + sqrt(1 - correlation * correlation) * gsl_ran_gaussian(rng, 1);
    }
}

static void slide(struct course *course, double from, double to)
{
    for (int i = 0; i < course->periods; i++)
        course->share[i] = from + (to - from) * i / (course->periods - 1);
}

enum { CASES = 5000 };
static const double levels[] = {0.3, 0.5, 0.7, 0.85, 0.95};
static const int lengths[] = {5, 6, 8, 10, 12};

struct setting_of {
    const char *name;
    double persistence, correlation; /* correlation < 0: the share does not swing */
    double bound;                    /* as the header states it; above 1: printed only */
};

/* The greatest share of cases marked over all levels and lengths. */
static double worst_rate(const struct setting_of *setting, gsl_rng *rng)
{
    double worst = 0;

    for (size_t i = 0; i < sizeof levels / sizeof levels[0]; i++)
        for (size_t j = 0; j < sizeof lengths / sizeof lengths[0]; j++) {
            int marked = 0;

            for (int k = 0; k < CASES; k++) {
                struct course course = {.periods = lengths[j], .persistence = setting->persistence};
                static struct wear_periods periods;
                struct protocol protocol;
                struct wear_drift drift;

                if (setting->correlation < 0)
                    slide(&course, levels[i], levels[i]);
                else
                    swing(&course, levels[i], setting->correlation, rng);
                live(&course, rng, &periods);
                protocol_defaults(&protocol);
                wear_drift_of(&periods, &protocol, &drift);
                assert_int_not_equal(drift.answer, WEAR_DRIFT_TOO_FEW);
                assert_int_equal(wear_drift_down(&periods, &protocol),
                                 drift.answer == WEAR_DRIFT_DOWN);
                marked += drift.answer == WEAR_DRIFT_DOWN;
            }
            worst = fmax(worst, (double)marked / CASES);
        }
    return worst;
}

/* Three standard errors of a simulated share beyond the bound are chance: the worst of 25. */
static void false_alarms_are_as_stated(void **state)
{
    static const struct setting_of settings[] = {
        {"steady, days independent", 0, -1, WEAR_DRIFT_ALARMS / 100.0},
        {"steady, days correlated 0.6", 0.6, -1, WEAR_DRIFT_ALARMS / 100.0},
        {"swinging, periods independent", 0.3, 0, WEAR_DRIFT_ALARMS / 100.0},
        {"swinging, periods correlated 0.3", 0.3, 0.3, WEAR_DRIFT_ALARMS_ALIKE / 100.0},
        {"swinging, periods correlated 0.6", 0.3, 0.6, WEAR_DRIFT_ALARMS_SWINGING / 100.0}};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    (void)state;
    assert_non_null(rng);
    gsl_rng_set(rng, 20260601);
    for (size_t i = 0; i < sizeof settings / sizeof settings[0]; i++) {
        double rate = worst_rate(&settings[i], rng), bound = settings[i].bound;

        print_message("# figure: drift, %s: marked at most %.4f of unchanged cases\n",
                      settings[i].name, rate);
        assert_true(rate <= bound + 3 * sqrt(bound * fabs(1 - bound) / CASES));
    }
    gsl_rng_free(rng);
}

static double power(double from, double to, int periods, gsl_rng *rng)
{
    int marked = 0;

    for (int k = 0; k < CASES; k++) {
        struct course course = {.periods = periods, .persistence = 0.3};
        static struct wear_periods lived;
        struct protocol protocol;
        struct wear_drift drift;

        slide(&course, from, to);
        live(&course, rng, &lived);
        protocol_defaults(&protocol);
        wear_drift_of(&lived, &protocol, &drift);
        marked += drift.answer == WEAR_DRIFT_DOWN;
    }
    return (double)marked / CASES;
}

/* What the test sees of a real drift, printed; of a fall from 90 to 50 % over ten periods, eight
 * months, most must be found. */
static void a_real_drift_is_found(void **state)
{
    static const double falls[][2] = {{0.9, 0.7}, {0.9, 0.5}, {0.8, 0.3}, {0.95, 0.85}};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    (void)state;
    assert_non_null(rng);
    gsl_rng_set(rng, 19640229);
    for (size_t i = 0; i < sizeof falls / sizeof falls[0]; i++)
        for (size_t j = 0; j < sizeof lengths / sizeof lengths[0]; j++)
            print_message("# figure: drift, %2.0f to %2.0f %% over %2d periods: found in %.3f\n",
                          falls[i][0] * 100, falls[i][1] * 100, lengths[j],
                          power(falls[i][0], falls[i][1], lengths[j], rng));
    assert_true(power(0.9, 0.5, 10, rng) > 0.8);
    assert_true(power(0.5, 0.9, 8, rng) == 0); /* wear that rises */
    gsl_rng_free(rng);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_kendalls_distribution),
        cmocka_unit_test(equal_shares_agree_with_counting_every_order),
        cmocka_unit_test(false_alarms_are_as_stated),
        cmocka_unit_test(a_real_drift_is_found),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
