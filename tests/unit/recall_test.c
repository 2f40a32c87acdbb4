/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The group of a case on a day, and the order of the list. All days here are invented. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "springline/core/recall.h"

enum { NEWEST = 20000, FROM = NEWEST + 21, TO = NEWEST + 28 };

static struct case_state due_state(enum stage stage)
{
    struct case_state kept = {.stage = stage,
                              .stage_upper = stage,
                              .stability_from_upper = DAY_NONE,
                              .stability_from_lower = DAY_NONE,
                              .newest = NEWEST,
                              .last_seen = NEWEST,
                              .due_from = FROM,
                              .due_to = TO,
                              .again_on = DAY_NONE,
                              .last_contact = DAY_NONE,
                              .number = "C-0001"};

    for (int i = 0; i < SAFETY_COUNT; i++)
        kept.safety_from[i] = DAY_NONE;
    return kept;
}

static enum recall_group group_on(const struct case_state *kept, day on, int32_t within, day booked)
{
    struct recall_row row = {.group = RECALL_NONE};

    if (!recall_row(kept, on, within, booked, &row)) {
        assert_int_equal(row.group, RECALL_NONE); /* untouched */
        return RECALL_NONE;
    }
    assert_ptr_equal(row.state, kept);
    assert_int_not_equal(row.group, RECALL_NONE);
    return row.group;
}

static void due_inside_the_window_and_overdue_past_its_last_day(void **state)
{
    struct case_state kept = due_state(STAGE_ACTIVE);
    struct recall_row row;

    (void)state;
    assert_int_equal(group_on(&kept, FROM - 1, 0, DAY_NONE), RECALL_NONE);
    assert_int_equal(group_on(&kept, FROM, 0, DAY_NONE), RECALL_DUE);
    assert_int_equal(group_on(&kept, TO, 0, DAY_NONE), RECALL_DUE);
    assert_int_equal(group_on(&kept, TO + 1, 0, DAY_NONE), RECALL_OVERDUE);
    assert_true(recall_row(&kept, TO, 0, DAY_NONE, &row));
    assert_int_equal(row.due_on, FROM);
    assert_int_equal(row.days_late, 0);
    assert_true(recall_row(&kept, TO + 3, 0, DAY_NONE, &row));
    assert_int_equal(row.due_on, FROM);
    assert_int_equal(row.days_late, 3);
    assert_int_equal(row.safety, SAFETY_NONE);
}

static void within_looks_ahead(void **state)
{
    struct case_state kept = due_state(STAGE_ACTIVE);

    (void)state;
    assert_int_equal(group_on(&kept, FROM - 8, 7, DAY_NONE), RECALL_NONE);
    assert_int_equal(group_on(&kept, FROM - 7, 7, DAY_NONE), RECALL_DUE);
    assert_int_equal(group_on(&kept, NEWEST, INT32_MAX, DAY_NONE), RECALL_DUE);
    assert_int_equal(group_on(&kept, TO + 1, 7, DAY_NONE), RECALL_OVERDUE);
}

static void a_booking_that_stands_takes_the_place_of_due_and_overdue(void **state)
{
    struct case_state kept = due_state(STAGE_ACTIVE);
    struct recall_row row;

    (void)state;
    assert_int_equal(group_on(&kept, NEWEST, 0, FROM), RECALL_BOOKED);
    assert_int_equal(group_on(&kept, FROM, 0, FROM), RECALL_BOOKED);  /* today is to come */
    assert_int_equal(group_on(&kept, FROM, 0, FROM - 1), RECALL_DUE); /* a past one does not */
    assert_true(recall_row(&kept, TO + 2, 0, TO + 9, &row));
    assert_int_equal(row.group, RECALL_BOOKED);
    assert_int_equal(row.booked, TO + 9);
    assert_int_equal(row.days_late, 2);
}

static void a_safety_item_leads_even_with_a_booking(void **state)
{
    struct case_state kept = due_state(STAGE_ACTIVE);
    struct recall_row row;

    (void)state;
    kept.safety_from[SAFETY_UNSEEN] = TO + 20;
    assert_int_equal(group_on(&kept, TO + 19, 0, TO + 30), RECALL_BOOKED);
    assert_int_equal(group_on(&kept, TO + 19, 0, DAY_NONE), RECALL_OVERDUE);
    assert_int_equal(group_on(&kept, TO + 20, 0, TO + 30), RECALL_SAFETY);
    /* The item that has stood longest leads. */
    kept.safety_from[SAFETY_OPEN_TROUBLE] = TO + 10;
    assert_true(recall_row(&kept, TO + 25, 0, TO + 30, &row));
    assert_int_equal(row.safety, SAFETY_OPEN_TROUBLE);
    assert_int_equal(row.due_on, TO + 10);
    assert_int_equal(row.days_late, 15);
    assert_int_equal(row.booked, TO + 30);
    kept.safety_from[SAFETY_UNSEEN] = TO + 10;
    assert_true(recall_row(&kept, TO + 25, 0, DAY_NONE, &row));
    assert_int_equal(row.safety, SAFETY_UNSEEN); /* together: the first named */
}

static void resting_and_retention_hold_what_is_not_due(void **state)
{
    static const struct {
        enum stage stage;
        enum recall_group group;
    } rows[] = {{STAGE_RESTING, RECALL_RESTING},     {STAGE_RETENTION, RECALL_RETENTION},
                {STAGE_STABILITY, RECALL_RETENTION}, {STAGE_ACTIVE, RECALL_NONE},
                {STAGE_FITTED, RECALL_NONE},         {STAGE_BANDED, RECALL_NONE},
                {STAGE_SEPARATORS, RECALL_NONE},     {STAGE_PLANNED, RECALL_NONE},
                {STAGE_ASSESSED, RECALL_NONE}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct case_state kept = due_state(rows[i].stage);
        struct recall_row row;
        assert_int_equal(group_on(&kept, FROM - 1, 0, DAY_NONE), rows[i].group);
        assert_int_equal(group_on(&kept, FROM, 0, DAY_NONE), RECALL_DUE);
        assert_int_equal(group_on(&kept, TO + 1, 0, DAY_NONE), RECALL_OVERDUE);
        assert_int_equal(group_on(&kept, FROM - 1, 0, FROM), RECALL_BOOKED);
        kept.due_from = kept.due_to = DAY_NONE;
        assert_int_equal(group_on(&kept, TO + 900, 0, DAY_NONE), rows[i].group);
        if (recall_row(&kept, TO + 900, 0, DAY_NONE, &row)) {
            assert_int_equal(row.due_on, DAY_NONE);
            assert_int_equal(row.days_late, 0);
        }
    }
}

static void retention_that_turned_to_stability_stays_in_its_group(void **state)
{
    struct case_state kept = due_state(STAGE_RETENTION);

    (void)state;
    kept.stability_from_upper = NEWEST + 5;
    assert_int_equal(group_on(&kept, NEWEST + 10, 0, DAY_NONE), RECALL_RETENTION);
    kept.stage_lower = STAGE_ACTIVE; /* at work: the case is not one in retention */
    assert_int_equal(group_on(&kept, NEWEST + 10, 0, DAY_NONE), RECALL_NONE);
}

static void a_closed_case_is_on_no_list_without_a_safety_item(void **state)
{
    struct case_state kept = due_state(STAGE_CLOSED);

    (void)state;
    kept.due_from = kept.due_to = DAY_NONE;
    assert_int_equal(group_on(&kept, TO + 1, 0, DAY_NONE), RECALL_NONE);
    assert_int_equal(group_on(&kept, TO + 1, 0, TO + 9), RECALL_NONE);
    kept.safety_from[SAFETY_CLOSED_WITH_EXPANDER] = TO + 1;
    assert_int_equal(group_on(&kept, TO + 1, 0, DAY_NONE), RECALL_SAFETY);
}

static void a_call_to_be_made_again_does_not_change_the_group(void **state)
{
    struct case_state kept = due_state(STAGE_ACTIVE);

    (void)state;
    kept.again_on = TO + 30;
    kept.last_contact = TO;
    assert_int_equal(group_on(&kept, TO + 1, 0, DAY_NONE), RECALL_OVERDUE);
}

static void the_list_is_ordered(void **state)
{
    static const struct {
        enum recall_group group;
        int32_t days_late;
        day due_on;
        const char *number;
    } sorted[] = {
        {RECALL_SAFETY, 9, NEWEST, "C-0009"},       {RECALL_SAFETY, 0, NEWEST, "C-0008"},
        {RECALL_OVERDUE, 12, NEWEST + 3, "C-0007"}, {RECALL_OVERDUE, 5, NEWEST + 1, "C-0006"},
        {RECALL_OVERDUE, 5, NEWEST + 2, "C-0003"},  {RECALL_OVERDUE, 5, NEWEST + 2, "C-0004"},
        {RECALL_DUE, 0, NEWEST, "C-0005"},          {RECALL_BOOKED, 40, NEWEST, "C-0010"},
        {RECALL_BOOKED, 0, NEWEST, "C-0011"},       {RECALL_BOOKED, 0, DAY_NONE, "C-0002"},
        {RECALL_RESTING, 0, NEWEST + 50, "C-0012"}, {RECALL_RETENTION, 0, NEWEST + 20, "C-0014"},
        {RECALL_RETENTION, 0, DAY_NONE, NULL},      {RECALL_RETENTION, 0, DAY_NONE, "C-0013"}};
    enum { COUNT = sizeof sorted / sizeof *sorted };
    struct case_state states[COUNT];
    struct recall_row rows[COUNT];

    (void)state;
    for (size_t i = 0; i < COUNT; i++) {
        size_t from = i * 5 % COUNT; /* 5 and 14 share no factor: a thorough mixing */
        states[i] = due_state(STAGE_ACTIVE);
        states[i].number = sorted[from].number;
        rows[i] = (struct recall_row){.state = &states[i],
                                      .group = sorted[from].group,
                                      .days_late = sorted[from].days_late,
                                      .due_on = sorted[from].due_on};
        assert_int_equal(recall_compare(&rows[i], &rows[i]), 0);
    }
    qsort(rows, COUNT, sizeof *rows, recall_compare);
    for (size_t i = 0; i < COUNT; i++) {
        assert_int_equal(rows[i].group, sorted[i].group);
        assert_int_equal(rows[i].days_late, sorted[i].days_late);
        if (sorted[i].number == NULL)
            assert_null(rows[i].state->number);
        else
            assert_string_equal(rows[i].state->number, sorted[i].number);
    }
}

static void groups_are_spelled_as_the_interchange_says(void **state)
{
    static const char *const spelled[] = {"",       "safety",  "overdue",  "due",
                                          "booked", "resting", "retention"};

    (void)state;
    assert_int_equal(words_recall_group.count, RECALL_RETENTION + 1);
    for (int i = RECALL_NONE; i <= RECALL_RETENTION; i++)
        assert_string_equal(word_text(&words_recall_group, i), spelled[i]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(due_inside_the_window_and_overdue_past_its_last_day),
        cmocka_unit_test(within_looks_ahead),
        cmocka_unit_test(a_booking_that_stands_takes_the_place_of_due_and_overdue),
        cmocka_unit_test(a_safety_item_leads_even_with_a_booking),
        cmocka_unit_test(resting_and_retention_hold_what_is_not_due),
        cmocka_unit_test(retention_that_turned_to_stability_stays_in_its_group),
        cmocka_unit_test(a_closed_case_is_on_no_list_without_a_safety_item),
        cmocka_unit_test(a_call_to_be_made_again_does_not_change_the_group),
        cmocka_unit_test(the_list_is_ordered),
        cmocka_unit_test(groups_are_spelled_as_the_interchange_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
