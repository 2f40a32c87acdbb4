/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What was measured in every case, read in one pass, and the forecast told from it. The numbers of
 * a forecast: tests/unit/forecast_test.c and tests/reference/calibration_test.c.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "springline/app/forecast_view.h"
#include "store_case.h"

enum { PRACTICE = 12 };

static void good(enum status status, const struct error *error)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s", (int)status, error->sentence);
}

/* Keeps the case under another number; its id. */
static struct id keep_as(struct store_case *kept, struct case_maker *maker, int number)
{
    char chart[16], name[16];

    snprintf(chart, sizeof chart, "P-%04d", number);
    snprintf(name, sizeof name, "C-%04d", number);
    maker->patient.chart = chart;
    maker->casefile.number = name;
    store_case_keep(kept, maker);
    return kept->casefile;
}

/* Ten visits in 20 weeks, slow until week 2, then 0.20 to 0.25 mm a week. */
static void make_course(struct case_maker *maker, int number)
{
    case_begin(maker);
    case_expander(maker, ARCH_UPPER, 140);
    for (int i = 0; i <= 10; i++) {
        int weeks = 2 * i, moved = weeks < 2 ? 0 : weeks - 2;
        int32_t noise = (i + number) % 2 == 0 ? 100 : -100;
        case_width(maker, ARCH_UPPER, 140 - 14 * i,
                   36000 + (200 + 10 * (number % 6)) * moved + noise);
    }
}

/* ---- the reading ---- */

struct seen {
    struct store *store;
    int cases;
    size_t expanders, widths;
};

/* Each case as reading it alone gives it. */
static enum status compare_case(void *context, const struct history *history, struct error *error)
{
    struct seen *seen = context;
    struct arena arena = {0};
    struct history whole;

    assert_true(history->expander_count > 0 && history->width_count > 0);
    good(store_read_case(seen->store, &history->expanders[0].casefile, STORE_NOW, &arena, &whole,
                         error),
         error);
    assert_int_equal(whole.expander_count, history->expander_count);
    assert_int_equal(whole.width_count, history->width_count);
    for (size_t i = 0; i < history->width_count; i++) {
        const struct width *width = &history->widths[i], *found = NULL;
        for (size_t j = 0; j < whole.width_count; j++) {
            if (id_equal(&whole.widths[j].head.id, &width->head.id))
                found = &whole.widths[j];
        }
        assert_non_null(found);
        assert_true(found->date == width->date && found->value == width->value &&
                    found->landmark == width->landmark && found->teeth.left == width->teeth.left &&
                    id_equal(&found->casefile, &width->casefile));
        assert_string_equal(width->by, "");
    }
    seen->cases++;
    seen->expanders += history->expander_count;
    seen->widths += history->width_count;
    arena_release(&arena);
    return STATUS_OK;
}

static struct seen read_all(struct store_case *kept)
{
    struct seen seen = {.store = kept->app.store};
    struct error error = {0};

    good(store_each_measured(kept->app.store, STORE_NOW, compare_case, &seen, &error), &error);
    return seen;
}

/* A case without widths and one without an expander give nothing; a width corrected twice is one,
 * a withdrawn one none. */
static void every_case_is_read_as_alone(void **state)
{
    struct store_request request = {.command = "test", .seat = "tester@test"};
    struct store_case kept;
    struct case_maker maker;
    struct error error = {0};
    struct arena arena = {0};
    struct history history;

    (void)state;
    case_begin(&maker);
    store_case_open(&kept, "measured", maker.today);
    assert_int_equal(read_all(&kept).cases, 0);
    keep_as(&kept, &maker, 1);
    case_expander(&maker, ARCH_UPPER, 100);
    keep_as(&kept, &maker, 2);
    case_typical(&maker);
    maker.history.expander_count = 0;
    keep_as(&kept, &maker, 3);
    case_typical(&maker);
    case_expander(&maker, ARCH_LOWER, 90);
    struct id fourth = keep_as(&kept, &maker, 4);
    make_course(&maker, 5);
    keep_as(&kept, &maker, 5);
    struct seen seen = read_all(&kept);
    assert_int_equal(seen.cases, 2);
    assert_int_equal(seen.expanders, 3);
    assert_int_equal(seen.widths, 3 + 11);

    good(store_read_case(kept.app.store, &fourth, STORE_NOW, &arena, &history, &error), &error);
    struct width width = history.widths[0];
    request.id = store_new_id(kept.app.store);
    good(store_begin(kept.app.store, &request, &error), &error);
    for (int i = 1; i <= 2; i++) {
        width.value = 36500 + i;
        width.head.reason = "misread";
        good(store_append(kept.app.store, RECORD_WIDTH, &width, &error), &error);
    }
    good(store_withdraw(kept.app.store, RECORD_WIDTH, &history.widths[1].head.id, "twice", &error),
         &error);
    good(store_commit(kept.app.store, &error), &error);
    assert_int_equal(read_all(&kept).widths, 2 + 11);
    arena_release(&arena);
    store_case_close(&kept);
}

static enum status stop(void *context, const struct history *history, struct error *error)
{
    (void)history;
    ++*(int *)context;
    return error_set(error, STATUS_NO, NULL, "Enough.");
}

/* What a visitor says ends the reading, and the store can be read again. */
static void a_visitor_can_end_it(void **state)
{
    struct store_case kept;
    struct case_maker maker;
    struct error error = {0};
    int calls = 0;

    (void)state;
    make_course(&maker, 1);
    store_case_open(&kept, "measured_end", maker.today);
    keep_as(&kept, &maker, 1);
    keep_as(&kept, &maker, 2);
    assert_int_equal(store_each_measured(kept.app.store, STORE_NOW, stop, &calls, &error),
                     STATUS_NO);
    assert_int_equal(calls, 1);
    assert_string_equal(error.sentence, "Enough.");
    assert_int_equal(read_all(&kept).cases, 2);
    store_case_close(&kept);
}

/* ---- the words ---- */

struct told_case {
    struct arena arena;
    struct lines lines;
};

static void tell(struct store_case *kept, const struct id *casefile, struct told_case *told)
{
    struct error error = {0};

    *told = (struct told_case){.lines = {0}};
    good(forecast_view_case(&kept->app, casefile, ARCH_UPPER, &told->arena, &told->lines, &error),
         &error);
}

static bool holds(const struct told_case *told, const char *text)
{
    for (size_t i = 0; i < told->lines.count; i++) {
        assert_null(strstr(told->lines.line[i], "nan"));
        assert_null(strstr(told->lines.line[i], "inf"));
        assert_null(strchr(told->lines.line[i], '\n'));
        if (strstr(told->lines.line[i], text) != NULL)
            return true;
    }
    return false;
}

static void tells(struct store_case *kept, const struct id *casefile, const char *text)
{
    struct told_case told;

    tell(kept, casefile, &told);
    if (!holds(&told, text)) {
        for (size_t i = 0; i < told.lines.count; i++)
            print_message("%s\n", told.lines.line[i]);
        fail_msg("not told: %s", text);
    }
    arena_release(&told.arena);
}

/*
 * Twelve cases: the number behind the forecast, both speeds and the lag. 0.20 + 0.01 x (12 % 6) mm
 * a week; after 20 weeks of which 2 are lost it stands at 39.6, 10.4 mm below the target: 52 weeks.
 */
static void a_forecast_is_told_with_what_it_rests_on(void **state)
{
    struct store_case kept;
    struct case_maker maker;
    struct id last = {{0}};

    (void)state;
    make_course(&maker, 1);
    store_case_open(&kept, "forecast", maker.today);
    for (int i = 1; i <= 9; i++)
        last = keep_as(&kept, (make_course(&maker, i), &maker), i);
    tells(&kept, &last,
          "no forecast: 9 cases of this practice have enough widths of this arch, "
          "site and landmark, 10 are needed.");
    for (int i = 10; i <= PRACTICE; i++)
        last = keep_as(&kept, (make_course(&maker, i), &maker), i);
    tells(&kept, &last, "forecast: target 50.00 mm reached between 2027-0");
    tells(&kept, &last, "worked out from 12 cases of this practice and 11 dates of this one: +0.2");
    tells(&kept, &last, "2.0 weeks of slow start are left out of both");
    tells(&kept, &last, "trend: +0.19 mm a week (95 % ");
    tells(&kept, &last, "within measurement error: up to 0.83 mm can not be told from none");
    tells(&kept, &last, "response: none, nothing was activated before the newest width");
    tells(&kept, &last, "Decision support: no rule uses it.");
    tells(&kept, &last, "C-0012  ");
    store_case_close(&kept);
}

/* Degenerate records: one width, all equal, 64 of them, dates out of order, a slip. */
static void what_can_not_be_told_says_why(void **state)
{
    struct store_case kept;
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    store_case_open(&kept, "forecast_why", maker.today);
    struct id typical = keep_as(&kept, &maker, 1);
    tells(&kept, &typical,
          "response: +1.00 mm of width for each mm activated (95 % +0.79 to +1.21"
          "): +4.00 for 4.00 mm, right and left summed");
    tells(&kept, &typical,
          "last change: +1.00 mm from 2026-04-10 to 2026-05-08, real: more than "
          "the 0.83 mm");
    maker.history.width_count = 1;
    struct id one = keep_as(&kept, &maker, 2);
    tells(&kept, &one, "no forecast: 1 date is measured up to now, 3 are needed");
    tells(&kept, &one, "trend: none, fewer than 3 dates are measured since the fit");
    tells(&kept, &one, "last change: none to tell");
    maker.history.width_count = 0;
    struct id none = keep_as(&kept, &maker, 3);
    tells(&kept, &none, "no forecast: no width was taken on or before the first fit");
    tells(&kept, &none, "last change: no width of this measure is recorded");
    case_typical(&maker);
    maker.widths[1].value = maker.widths[2].value = 36000;
    struct id equal = keep_as(&kept, &maker, 4);
    tells(&kept, &equal, "trend: +0.00 mm a week (95 % +0.00 to +0.00) over 3 dates");
    case_typical(&maker);
    maker.widths[1].value = 25000;
    struct id slip = keep_as(&kept, &maker, 5);
    tells(&kept, &slip, "no forecast: the widths scatter more than measuring explains");
    case_typical(&maker);
    maker.widths[1].value = 90000;
    struct id lost = keep_as(&kept, &maker, 7);
    tells(&kept, &lost, "no forecast: the newest width is less than the one before");
    case_typical(&maker);
    maker.expanders[0].fitted_on = maker.today + 3;
    struct id ahead = keep_as(&kept, &maker, 6);
    struct told_case told;
    tell(&kept, &ahead, &told);
    assert_int_equal(told.lines.count, 1); /* who, and nothing else */
    arena_release(&told.arena);
    store_case_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_case_is_read_as_alone),
        cmocka_unit_test(a_visitor_can_end_it),
        cmocka_unit_test(a_forecast_is_told_with_what_it_rests_on),
        cmocka_unit_test(what_can_not_be_told_says_why),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
