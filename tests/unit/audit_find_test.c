/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which rows of the month a search finds, and what stands today beside what the month says. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "springline/app/audit_view.h"
#include "store_case.h"

static void rows_are_found_by_name_group_clinician_and_source(void **state)
{
    const struct listed_audit listed = {
        .number = "C-0018",
        .family = "Étoile",
        .given = "Pip",
        .clinician = "Dr Wimple",
        .wear_full_permille = 800,
        .row = {.group = AUDIT_BELOW, .low = true, .source = SOURCE_DIARY, .days_known = 20}};

    (void)state;
    assert_true(audit_view_matches(&listed, ""));
    assert_true(audit_view_matches(&listed, "etoile"));
    assert_true(audit_view_matches(&listed, "low pip"));
    assert_true(audit_view_matches(&listed, "below wimple diary"));
    assert_true(audit_view_matches(&listed, "bel"));
    assert_false(audit_view_matches(&listed, "meeting"));
    struct listed_audit short_of = listed;
    short_of.row.low = false;
    assert_false(audit_view_matches(&short_of, "low")); /* though it stands in "below" */
    assert_false(audit_view_matches(&listed, "low sensor"));
}

static void rows_are_found_by_what_was_counted(void **state)
{
    struct listed_audit listed = {.number = "C-0018",
                                  .family = "Marrow",
                                  .given = "Pip",
                                  .clinician = "",
                                  .row = {.group = AUDIT_MEETING, .overrides = 1, .missed = 2}};
    struct text text = {0};

    (void)state;
    assert_true(audit_view_matches(&listed, "over"));
    assert_true(audit_view_matches(&listed, "override"));
    assert_true(audit_view_matches(&listed, "missed pip"));
    assert_false(audit_view_matches(&listed, "hold"));
    assert_false(audit_view_matches(&listed, "rest"));
    assert_false(audit_view_matches(&listed, "reduction"));
    assert_false(audit_view_matches(&listed, "safety"));
    listed.safety = 1U << SAFETY_SEPARATORS;
    assert_true(audit_view_matches(&listed, "safety"));
    audit_view_tell(&listed, &text);
    assert_non_null(
        strstr(text_string(&text),
               "C-0018 Marrow, Pip: SAFETY today: separators left in. visits 0, overrides 1"));
    text_release(&text);
}

/* Nobody looked for 57 days, longer than the 56 after which it is a safety item (the practice's own
 * setting). */
static void a_safety_item_is_named_in_the_month(void **state)
{
    struct case_maker maker;
    struct store_case kept;
    struct audit_shown shown;
    struct arena arena = {0};
    struct error error = {0};

    (void)state;
    case_typical(&maker);
    maker.history.wear_day_count = maker.history.visit_count = maker.history.width_count = 0;
    case_visit(&maker, VISIT_CHECK, ARCH_UPPER, 57, UM_NONE, UM_NONE);
    store_case_open(&kept, "audit_find_safety", maker.today);
    store_case_keep(&kept, &maker);
    audit_shown_begin(&shown, maker.today);
    assert_int_equal(audit_shown_read(&kept.app, &shown, "safety", &arena, &error), STATUS_OK);
    assert_int_equal(shown.found_count, 1);
    assert_int_equal(shown.found[0]->safety, 1U << SAFETY_UNSEEN);
    arena_release(&arena);
    audit_shown_release(&shown);
    store_case_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_are_found_by_name_group_clinician_and_source),
        cmocka_unit_test(rows_are_found_by_what_was_counted),
        cmocka_unit_test(a_safety_item_is_named_in_the_month),
    };

    return cmocka_run_group_tests_name("audit_find", tests, NULL, NULL);
}
