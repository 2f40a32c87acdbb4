/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Axes: round ends and ticks, dates, and what has no range at all. The expected ticks were written
 * down by hand from the rule (1, 2 or 5 times a power of ten: common practice, no source); the
 * dates of months from the calendar.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "springline/core/scale.h"

static struct scale_range range_of(int64_t low, int64_t high)
{
    struct scale_range range = {0};

    scale_add(&range, high);
    scale_add(&range, low);
    return range;
}

static void assert_ticks(const struct scale *scale, int count, const int64_t *ticks)
{
    assert_int_equal(scale->count, count);
    for (int i = 0; i < count; i++)
        assert_int_equal(scale->ticks[i], ticks[i]);
}

static void numbers_have_round_ends(void **state)
{
    static const struct {
        int64_t low, high;
        int most, count;
        int64_t ticks[8];
    } rows[] = {
        {31260, 41000, 6, 4, {30000, 35000, 40000, 45000}}, /* by 2 mm they would be seven */
        {0, 3000, 7, 7, {0, 500, 1000, 1500, 2000, 2500, 3000}},
        {0, 1000, 3, 3, {0, 500, 1000}},
        {0, 1000, 6, 6, {0, 200, 400, 600, 800, 1000}},
        {-1, 1, 3, 3, {-1, 0, 1}},
        {-1500, -400, 4, 4, {-1500, -1000, -500, 0}},
        {9, 11, 3, 3, {9, 10, 11}},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct scale_range range = range_of(rows[i].low, rows[i].high);
        struct scale scale;
        assert_true(scale_numbers(&range, 1, rows[i].most, &scale));
        assert_ticks(&scale, rows[i].count, rows[i].ticks);
        assert_int_equal(scale.first, rows[i].ticks[0]);
        assert_int_equal(scale.last, rows[i].ticks[rows[i].count - 1]);
        assert_int_equal(scale.step, SCALE_NUMBERS);
    }
}

static void one_value_stands_in_the_middle(void **state)
{
    struct scale_range range = range_of(36000, 36000);
    struct scale scale;

    (void)state;
    assert_true(scale_numbers(&range, 2000, 11, &scale));
    assert_int_equal(scale.first, 35000);
    assert_int_equal(scale.last, 37000);
    assert_int_equal(scale_place(&scale, 36000, 10), 5);
    range = range_of(36000, 36010); /* a hundredth of a millimetre is not blown up */
    assert_true(scale_numbers(&range, 2000, 11, &scale));
    assert_true(scale.first <= 35010 && scale.last >= 37000);
    range = range_of(0, 0);
    assert_true(scale_numbers(&range, 0, 11, &scale)); /* no least: one */
    assert_true(scale.first < 0 && scale.last > 0);
}

static void nothing_has_no_axis(void **state)
{
    struct scale_range none = {0};
    struct scale scale = {.first = 7, .last = 9, .count = 5};

    (void)state;
    assert_false(scale_numbers(&none, 1, 5, &scale));
    assert_false(scale_dates(&none, 5, &scale));
    struct scale_range never = range_of(INT32_MIN, day_of(2026, 1, 1)); /* DAY_NONE */
    assert_false(scale_dates(&never, 5, &scale));
    never = range_of(day_of(2026, 1, 1), day_of(2999, 12, 31) + 1);
    assert_false(scale_dates(&never, 5, &scale));
    assert_int_equal(scale.first, 7);
    assert_int_equal(scale.count, 5);
    scale.last = scale.first;
    assert_int_equal(scale_place(&scale, 7, 100), 0); /* no length: nothing is divided by it */
}

/* xorshift, so that a failure comes again. */
static uint64_t next_random(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return *seed;
}

static int64_t leading_digit(int64_t value)
{
    while (value >= 10)
        value /= 10;
    return value;
}

static void any_range_has_a_sound_axis(void **state)
{
    uint64_t seed = 88172645463325252U;

    (void)state;
    for (int i = 0; i < 100000; i++) {
        int64_t low = (int64_t)(next_random(&seed) >> (1 + next_random(&seed) % 60));
        int64_t wide = (int64_t)(next_random(&seed) >> (1 + next_random(&seed) % 60));
        int most = (int)(next_random(&seed) % 30);
        low = next_random(&seed) % 2 == 0 ? low : -low;
        struct scale_range range = range_of(low, low > INT64_MAX - wide ? INT64_MAX : low + wide);
        struct scale scale;
        assert_true(scale_numbers(&range, 1, most, &scale));
        assert_in_range(scale.count, 2, most < 3 ? 3 : most > 24 ? 24 : most);
        assert_true(scale.first <= range.low && range.high <= scale.last);
        assert_true(scale.ticks[0] == scale.first && scale.ticks[scale.count - 1] == scale.last);
        int64_t step = scale.ticks[1] - scale.ticks[0], digit = leading_digit(step);
        assert_true(digit == 1 || digit == 2 || digit == 5);
        for (int t = 1; t < scale.count; t++)
            assert_int_equal(scale.ticks[t] - scale.ticks[t - 1], step);
        int64_t a = scale_place(&scale, range.low, 1000000);
        int64_t b = scale_place(&scale, range.high, 1000000);
        assert_true(0 <= a && a <= b && b <= 1000000);
        assert_int_equal(scale_place(&scale, INT64_MIN, 79), 0);
        assert_int_equal(scale_place(&scale, INT64_MAX, 79), 79);
    }
}

static void places_are_rounded_half_up(void **state)
{
    struct scale scale = {.first = 0, .last = 8};

    (void)state;
    assert_int_equal(scale_place(&scale, 0, 4), 0);
    assert_int_equal(scale_place(&scale, 1, 4), 1); /* 0.5 */
    assert_int_equal(scale_place(&scale, 2, 4), 1);
    assert_int_equal(scale_place(&scale, 3, 4), 2); /* 1.5 */
    assert_int_equal(scale_place(&scale, 8, 4), 4);
    assert_int_equal(scale_place(&scale, 4, -3), 0);
}

static void dates_by_days_months_and_years(void **state)
{
    struct scale scale;
    struct scale_range range = range_of(day_of(2026, 6, 24), day_of(2026, 11, 25));

    (void)state;
    assert_true(scale_dates(&range, 6, &scale));
    assert_int_equal(scale.step, SCALE_MONTHS);
    assert_int_equal(scale.first, day_of(2026, 6, 24));
    assert_int_equal(scale.last, day_of(2026, 11, 25));
    assert_ticks(&scale, 5,
                 (const int64_t[]){day_of(2026, 7, 1), day_of(2026, 8, 1), day_of(2026, 9, 1),
                                   day_of(2026, 10, 1), day_of(2026, 11, 1)});
    assert_true(scale_dates(&range, 4, &scale)); /* every second month, counted from January */
    assert_ticks(&scale, 3,
                 (const int64_t[]){day_of(2026, 7, 1), day_of(2026, 9, 1), day_of(2026, 11, 1)});
    range = range_of(day_of(2026, 11, 18), day_of(2026, 11, 25));
    assert_true(scale_dates(&range, 3, &scale));
    assert_int_equal(scale.step, SCALE_DAYS);
    assert_ticks(&scale, 1, (const int64_t[]){day_of(2026, 11, 23)}); /* the Monday */
    range = range_of(day_of(2019, 3, 1), day_of(2026, 11, 25));
    assert_true(scale_dates(&range, 4, &scale));
    assert_int_equal(scale.step, SCALE_YEARS);
    assert_ticks(&scale, 4,
                 (const int64_t[]){day_of(2020, 1, 1), day_of(2022, 1, 1), day_of(2024, 1, 1),
                                   day_of(2026, 1, 1)});
}

static void one_date_and_all_dates(void **state)
{
    struct scale scale;
    struct scale_range range = range_of(day_of(2026, 11, 25), day_of(2026, 11, 25));

    (void)state;
    assert_true(scale_dates(&range, 6, &scale));
    assert_int_equal(scale_place(&scale, day_of(2026, 11, 25), 14), 7);
    range = range_of(day_of(1800, 1, 1), day_of(1800, 1, 1)); /* there is none before it */
    assert_true(scale_dates(&range, 6, &scale));
    assert_true(scale.first < scale.last);
    range = range_of(day_of(1800, 1, 1), day_of(2999, 12, 31));
    for (int most = 0; most < 30; most++) {
        assert_true(scale_dates(&range, most, &scale));
        assert_in_range(scale.count, 1, most < 3 ? 3 : most > 24 ? 24 : most);
    }
}

/* Ticks rise, lie on the axis, and begin a month where they are months. */
static void any_dates_have_a_sound_axis(void **state)
{
    uint64_t seed = 362436069U;
    const day earliest = day_of(1800, 1, 1), latest = day_of(2999, 12, 31);

    (void)state;
    for (int i = 0; i < 20000; i++) {
        int64_t first = earliest + (int64_t)(next_random(&seed) % 430000);
        int64_t last = first + (int64_t)(next_random(&seed) >> (44 + next_random(&seed) % 20));
        int most = 3 + (int)(next_random(&seed) % 20);
        struct scale_range range = range_of(first, last > latest ? latest : last);
        struct scale scale;
        assert_true(scale_dates(&range, most, &scale));
        assert_true(scale.first < scale.last && scale.count <= most);
        for (int t = 0; t < scale.count; t++) {
            int day_of_month = 0;
            assert_true(scale.first <= scale.ticks[t] && scale.ticks[t] <= scale.last);
            assert_true(t == 0 || scale.ticks[t] > scale.ticks[t - 1]);
            day_civil((day)scale.ticks[t], NULL, NULL, &day_of_month);
            assert_true(scale.step == SCALE_DAYS || day_of_month == 1);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_have_round_ends),
        cmocka_unit_test(one_value_stands_in_the_middle),
        cmocka_unit_test(nothing_has_no_axis),
        cmocka_unit_test(any_range_has_a_sound_axis),
        cmocka_unit_test(places_are_rounded_half_up),
        cmocka_unit_test(dates_by_days_months_and_years),
        cmocka_unit_test(one_date_and_all_dates),
        cmocka_unit_test(any_dates_have_a_sound_axis),
    };

    return cmocka_run_group_tests_name("scale", tests, NULL, NULL);
}
