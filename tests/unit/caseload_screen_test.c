/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The caseload over a real store and no terminal: twelve cases made here, whose responses, medians
 * and rank correlation were worked out by hand. The layout is our own design, no source.
 */
#include "desk.h"
#include "springline/app/caseload.h"

enum { CASES = 12 };

/* Case i of 0 to 11: 2.00 mm a side given, a gain of 0.80 + i 0.20 mm: 0.20, 0.25 ... 0.75 a mm;
 * worn on 40 + 4 i of the 91 days by the sensor, so that wear and response rise together. A first
 * step of 2.00 is more than the 1.00 permitted at most: each is an override as well. */
static void make_case(struct case_maker *maker, int i)
{
    static char numbers[CASES][8], charts[CASES][8];

    case_begin(maker);
    snprintf(numbers[i], sizeof numbers[i], "C-%04d", i + 1);
    snprintf(charts[i], sizeof charts[i], "%d", i + 1);
    maker->casefile.number = numbers[i];
    maker->patient.chart = charts[i];
    case_trainer(maker, 101, CASE_NEVER);
    case_expander(maker, ARCH_UPPER, 101);
    case_width(maker, ARCH_UPPER, 101, 36000);
    case_width(maker, ARCH_UPPER, 10, 36800 + 200 * i);
    case_visit(maker, VISIT_ACTIVATION, ARCH_UPPER, 40, 2000, 2000);
    case_wear(maker, SOURCE_SENSOR, 101, 11, 40 + 4 * i);
}

/* The caseload of the first count cases. */
static void open_caseload(struct desk *desk, const char *name, int count, int rows, int columns)
{
    *desk = (struct desk){.headless = {.rows = rows, .columns = columns}};
    for (int i = 0; i < count; i++) {
        make_case(&desk->maker, i);
        if (i == 0)
            store_case_open(&desk->kept, name, desk->maker.today);
        store_case_keep(&desk->kept, &desk->maker);
    }
    desk_sit_down(desk);
    desk_keys(desk, "*7*l");
}

/* Of twelve the lowest tenth is one. Median of 0.20 ... 0.75: (0.45 + 0.50) / 2; quartiles at 2.75
 * and 8.25 steps of 0.05 from 0.20. Shares below 0.50: 40 and 44 of 91; 0.80 from 73 on: 76, 80, 84
 * of 91; the seven between are short: 0.30 ... 0.60. */
static void what_every_arch_gained(void **state)
{
    static const char *const shown[] = {
        "Caseload: 24 rows",
        "from 4.00 mm given: 12 of 12 arches, median 0.47, quartiles 0.34 to 0.61",
        "full 3, median 0.70; short 7, median 0.45; low 2, median 0.23; unknown 0",
        "sensor +1.00, n 12, diary none, n 0, told none, n 0; it says nothing of why",
        "Lagging: 0 by width-lag, 1 more in the lowest tenth. More given than permitted in 365 "
        "days: 12",
        app_caution,
        "lowest 10th 0.20 +0.80 4.00",
        "more given +0.80 4.00",
        "+0.80 mm of width for 4.00 mm given before",
        "0.20 mm a mm. Wear from the fit to then: low, 40 of 91 days met (sensor). In the lowest "
        "tenth of all arches."};
    struct desk desk;

    (void)state;
    open_caseload(&desk, "caseload_all", CASES, 24, 80);
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++)
        assert_shows(&desk, shown[i]);
    /* 40 of the 61 days before it were met: short, half of the first step of 1.00. */
    desk_keys(&desk, "+");
    assert_shows(&desk, "more given than permitted: R 2.00 L 2.00, permitted R 0.50 L 0.50 "
                        "(recomputed), no reason recorded.");
    assert_shows(&desk, "No visit followed yet. Width: +0.80 mm, within measurement error.");
    desk_keys(&desk, "<Enter>"); /* a row opens to its case */
    assert_string_equal(desk.ui.stack[desk.ui.depth - 1].ops->name, "case");
    assert_shows(&desk, "C-0001");
    desk_keys(&desk, "<Esc><Esc>");
    assert_shows(&desk, "Audit of");
    desk_close(&desk);
}

/* Below ten there is neither a rank correlation nor a lowest tenth. */
static void few_arches_give_no_correlation(void **state)
{
    struct desk desk;

    (void)state;
    open_caseload(&desk, "caseload_few", 9, 24, 80);
    assert_shows(&desk, "sensor none, n 9");
    assert_shows(&desk, "Lagging: 0 by width-lag, 0 more in the lowest tenth.");
    desk_close(&desk);
}

static void without_an_arch_it_says_so(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "caseload_none");
    desk_keys(&desk, "<Esc>*l");
    assert_shows(&desk, "from 4.00 mm given: 1 of 1 arches, median 1.00");
    desk_close(&desk);
    desk = (struct desk){.headless = {.rows = 24, .columns = 80}};
    case_begin(&desk.maker);
    store_case_open(&desk.kept, "caseload_empty", desk.maker.today);
    store_case_keep(&desk.kept, &desk.maker);
    desk_sit_down(&desk);
    desk_keys(&desk, "*l");
    assert_shows(&desk, "from 4.00 mm given: 0 of 0 arches");
    assert_shows(&desk, "No arch has been given enough, and measured since.");
    assert_false(desk_shows(&desk, "nan"));
    desk_close(&desk);
}

static void it_is_searched_and_works_small(void **state)
{
    struct desk desk;

    (void)state;
    open_caseload(&desk, "caseload_small", CASES, 12, 40);
    assert_shows(&desk, "lowest 10th");
    desk_keys(&desk, "short");
    assert_shows(&desk, "Caseload: 7 found");
    desk_keys(&desk, "<Esc>more");
    assert_shows(&desk, "Caseload: 12 found");
    desk_close(&desk);
}

/* Read again when a row was saved, and only then. */
static void it_follows_what_another_seat_saved(void **state)
{
    struct desk desk;
    struct case_maker maker;

    (void)state;
    open_caseload(&desk, "caseload_seats", 2, 24, 80);
    assert_shows(&desk, "2 of 2 arches");
    struct store_case seat = desk.kept;
    assert_int_equal(store_open(seat.path, &seat.source, &seat.app.store, &desk.error), STATUS_OK);
    make_case(&maker, 2);
    store_case_keep(&seat, &maker);
    store_close(seat.app.store);
    assert_true(ui_event(&desk.ui, EVENT_NOTHING, NULL));
    ui_draw(&desk.ui);
    assert_shows(&desk, "3 of 3 arches");
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_every_arch_gained),
        cmocka_unit_test(few_arches_give_no_correlation),
        cmocka_unit_test(without_an_arch_it_says_so),
        cmocka_unit_test(it_is_searched_and_works_small),
        cmocka_unit_test(it_follows_what_another_seat_saved),
    };

    return cmocka_run_group_tests_name("caseload screen", tests, NULL, NULL);
}
