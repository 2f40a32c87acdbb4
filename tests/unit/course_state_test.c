/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is kept of a case for the lists, and the verdicts of its past visits. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "small_case.h"
#include "springline/core/course.h"

enum { OPENED = 20000, FITTED = OPENED + 30 };

static void open_case(struct small_case *small)
{
    small_case_open(small, OPENED);
}

static void newest_is_the_newest_dated_row_bookings_apart(void **state)
{
    struct small_case small;
    struct case_state kept;

    (void)state;
    open_case(&small);
    course_state(&small.history, &kept);
    assert_int_equal(kept.newest, OPENED);
    small_booking(&small, OPENED + 500, BOOKED_STANDING);
    struct visit *visit = small_visit(&small, OPENED + 1, VISIT_CHECK, ARCH_NONE);
    visit->next_on = OPENED + 400; /* what is to come is no row of that day */
    course_state(&small.history, &kept);
    assert_int_equal(kept.newest, OPENED + 1);
    struct trainer *trainer = small_trainer(&small, OPENED + 2);
    course_state(&small.history, &kept);
    assert_int_equal(kept.newest, OPENED + 2);
    trainer->ended_on = OPENED + 3;
    struct expander *expander = small_expander(&small, ARCH_LOWER, DAY_NONE);
    expander->separators_on = OPENED + 4;
    course_state(&small.history, &kept);
    assert_int_equal(kept.newest, OPENED + 4);
    small_count(&small, SOURCE_DIARY, OPENED, OPENED + 5, 3);
    course_state(&small.history, &kept);
    assert_int_equal(kept.newest, OPENED + 5);
    small_wear_day(&small, SOURCE_SENSOR, OPENED + 6, true);
    course_state(&small.history, &kept);
    assert_int_equal(kept.newest, OPENED + 6);
    struct contact *contact = small_contact(&small, OPENED + 7);
    contact->again_on = OPENED + 90;
    course_state(&small.history, &kept);
    assert_int_equal(kept.newest, OPENED + 7);
    small.casefile.closed_on = OPENED + 8;
    course_state(&small.history, &kept);
    assert_int_equal(kept.newest, OPENED + 8);
    assert_int_equal(kept.stage, STAGE_CLOSED);
    assert_int_equal(course_stage_on(&kept, OPENED + 99, NULL, NULL), STAGE_CLOSED);
}

static void last_seen_passes_over_missed_visits(void **state)
{
    struct small_case small;
    struct case_state kept;

    (void)state;
    open_case(&small);
    course_state(&small.history, &kept);
    assert_int_equal(kept.last_seen, DAY_NONE);
    small_visit(&small, OPENED + 10, VISIT_CHECK, ARCH_NONE);
    small_visit(&small, OPENED + 20, VISIT_MISSED, ARCH_NONE);
    course_state(&small.history, &kept);
    assert_int_equal(kept.last_seen, OPENED + 10);
    assert_int_equal(kept.newest, OPENED + 20);
}

static void the_newest_contact_says_when_to_call_again(void **state)
{
    struct small_case small;
    struct case_state kept;

    (void)state;
    open_case(&small);
    course_state(&small.history, &kept);
    assert_int_equal(kept.last_contact, DAY_NONE);
    assert_int_equal(kept.again_on, DAY_NONE);
    small_contact(&small, OPENED + 9)->again_on = OPENED + 30;
    small_contact(&small, OPENED + 5)->again_on = OPENED + 20;
    course_state(&small.history, &kept);
    assert_int_equal(kept.last_contact, OPENED + 9);
    assert_int_equal(kept.again_on, OPENED + 30);
    small_contact(&small, OPENED + 11); /* reached, nothing to call for again */
    course_state(&small.history, &kept);
    assert_int_equal(kept.last_contact, OPENED + 11);
    assert_int_equal(kept.again_on, DAY_NONE);
}

static void names_are_copied_and_never_missing(void **state)
{
    struct small_case small;
    struct case_state kept;

    (void)state;
    open_case(&small);
    course_state(&small.history, &kept);
    assert_string_equal(kept.number, "C-0001");
    assert_string_equal(kept.family, "");
    assert_string_equal(kept.phone, "");
    assert_string_equal(kept.clinician, "");
    small.patient.family = "Quillfeather";
    small.patient.given = "Tansy";
    small.patient.phone2 = "555 0102";
    course_state(&small.history, &kept);
    assert_string_equal(kept.family, "Quillfeather");
    assert_string_equal(kept.given, "Tansy");
    assert_string_equal(kept.phone, "555 0102");
    small.patient.phone = "555 0101";
    course_state(&small.history, &kept);
    assert_string_equal(kept.phone, "555 0101");
    assert_true(id_equal(&kept.casefile, &small.casefile.head.record));
}

static void a_stored_verdict_stands_as_it_was_given(void **state)
{
    struct small_case small;
    struct judgement judgement;
    bool recomputed = true;

    (void)state;
    open_case(&small);
    small_expander(&small, ARCH_UPPER, FITTED);
    struct visit *visit = small_activation(&small, FITTED + 1, ARCH_UPPER, 1000);
    struct judged *judged = small_judged(&small, visit, VERDICT_REDUCE, FITTED + 22, FITTED + 29);
    judged->permitted_right = 500;
    judged->permitted_left = 750;
    assert_true(course_verdict_of(&small.history, visit, &judgement, &recomputed));
    assert_false(recomputed);
    assert_int_equal(judgement.verdict, VERDICT_REDUCE);
    assert_int_equal(judgement.permitted_right, 500);
    assert_int_equal(judgement.permitted_left, 750);
    assert_int_equal(judgement.next_from, FITTED + 22);
    assert_int_equal(judgement.next_to, FITTED + 29);
    /* Another row of the same arch and date shares it; the other arch does not. */
    struct visit *same = small_visit(&small, FITTED + 1, VISIT_REPAIR, ARCH_UPPER);
    small_visit(&small, FITTED + 1, VISIT_MISSED, ARCH_UPPER);
    assert_true(course_verdict_of(&small.history, same, &judgement, &recomputed));
    assert_false(recomputed);
    assert_int_equal(judgement.verdict, VERDICT_REDUCE);
    struct visit *other = small_visit(&small, FITTED + 1, VISIT_CHECK, ARCH_LOWER);
    assert_false(course_verdict_of(&small.history, other, &judgement, &recomputed));
}

/* What was stored is passed over, whatever it says; what was recorded since then counts. */
static void the_verdict_by_the_record_as_it_stands_is_always_judged_again(void **state)
{
    struct small_case small;
    struct judgement now, recomputed_one;
    bool recomputed;

    (void)state;
    small_case_open(&small, OPENED);
    small_trainer(&small, OPENED);
    struct expander *expander = small_expander(&small, ARCH_UPPER, FITTED);
    small_count(&small, SOURCE_SENSOR, FITTED - 10, FITTED + 9, 20);
    struct visit *visit = small_activation(&small, FITTED + 10, ARCH_UPPER, 1000);
    assert_true(course_verdict_of(&small.history, visit, &recomputed_one, &recomputed));
    assert_true(recomputed);
    struct judged *judged = small_judged(&small, visit, VERDICT_REST, FITTED + 31, FITTED + 38);
    assert_true(course_verdict_now(&small.history, visit, &now));
    assert_int_equal(now.arch, ARCH_UPPER);
    assert_int_equal(now.verdict, recomputed_one.verdict);
    assert_int_equal(now.verdict, VERDICT_PROCEED);
    assert_int_equal(now.permitted_right, 1000); /* the first step: first_step_max_mm, common
                                                    practice, no source */
    assert_true(now.finding_count > 0);
    expander->ends_rounded = ANSWER_NO; /* a correction: fit-check holds */
    judged->verdict = VERDICT_PROCEED;
    assert_true(course_verdict_now(&small.history, visit, &now));
    assert_int_equal(now.verdict, VERDICT_HOLD);
    assert_int_equal(now.permitted_right, 0);
    assert_int_equal(now.permitted_left, 0);
    expander->ends_rounded = ANSWER_YES;
    small.protocol.first_step_max = 750; /* under the settings that the history carries */
    assert_true(course_verdict_now(&small.history, visit, &now));
    assert_int_equal(now.permitted_left, 750);
    small_activation(&small, FITTED + 11, ARCH_UPPER, 1000); /* what came later says nothing */
    assert_true(course_verdict_now(&small.history, visit, &now));
    assert_int_equal(now.permitted_left, 750);
    small_activation(&small, FITTED + 9, ARCH_UPPER, 1000); /* what came before: too soon */
    assert_true(course_verdict_now(&small.history, visit, &now));
    assert_int_equal(now.verdict, VERDICT_HOLD);
}

static void what_can_not_be_judged_again_is_left_untouched(void **state)
{
    struct small_case small;
    struct judgement now = {.verdict = VERDICT_REST, .permitted_left = 7};

    (void)state;
    small_case_open(&small, OPENED);
    struct visit *visit = small_activation(&small, FITTED + 10, ARCH_UPPER, 1000);
    small_judged(&small, visit, VERDICT_PROCEED, FITTED + 31, FITTED + 38);
    assert_false(course_verdict_now(&small.history, visit, &now)); /* no expander at all */
    struct expander *expander = small_expander(&small, ARCH_UPPER, FITTED + 11);
    assert_false(course_verdict_now(&small.history, visit, &now)); /* nor fitted by then */
    expander->fitted_on = FITTED + 10;
    visit->arch = ARCH_NONE;
    assert_false(course_verdict_now(&small.history, visit, &now));
    visit->arch = ARCH_LOWER;
    assert_false(course_verdict_now(&small.history, visit, &now));
    visit->arch = ARCH_UPPER;
    visit->kind = VISIT_MISSED;
    assert_false(course_verdict_now(&small.history, visit, &now));
    assert_int_equal(now.verdict, VERDICT_REST);
    assert_int_equal(now.permitted_left, 7);
    visit->kind = VISIT_ACTIVATION;
    assert_true(course_verdict_now(&small.history, visit, &now));
    assert_int_not_equal(now.permitted_left, 7);
}

static void of_several_stored_verdicts_of_a_day_the_newest_speaks_for_the_others(void **state)
{
    struct small_case small;
    struct judgement judgement;
    bool recomputed;

    (void)state;
    open_case(&small);
    small_expander(&small, ARCH_UPPER, FITTED);
    struct visit *rows[3];
    for (int i = 0; i < 3; i++)
        rows[i] =
            small_visit(&small, FITTED + 1, (enum visit_kind)(VISIT_ACTIVATION + i), ARCH_UPPER);
    struct judged *older = small_judged(&small, rows[0], VERDICT_HOLD, FITTED, FITTED);
    struct judged *newer = small_judged(&small, rows[1], VERDICT_PROCEED, FITTED, FITTED);
    assert_true(course_verdict_of(&small.history, rows[2], &judgement, &recomputed));
    assert_int_equal(judgement.verdict, VERDICT_PROCEED);
    assert_true(course_verdict_of(&small.history, rows[0], &judgement, &recomputed));
    assert_int_equal(judgement.verdict, VERDICT_HOLD); /* its own */
    older->head.sequence = newer->head.sequence + 1;
    assert_true(course_verdict_of(&small.history, rows[2], &judgement, &recomputed));
    assert_int_equal(judgement.verdict, VERDICT_HOLD);
    older->head.sequence = newer->head.sequence; /* not yet in the ledger: the ids settle it */
    assert_true(course_verdict_of(&small.history, rows[2], &judgement, &recomputed));
    assert_int_equal(judgement.verdict, VERDICT_PROCEED);
    newer->verdict = VERDICT_NONE;
    assert_true(course_verdict_of(&small.history, rows[2], &judgement, &recomputed));
    assert_int_equal(judgement.verdict, VERDICT_HOLD);
}

static void a_verdict_not_stored_is_recomputed_as_of_its_date(void **state)
{
    struct small_case small;
    struct judgement judgement;
    bool recomputed = false;

    (void)state;
    open_case(&small);
    small_trainer(&small, OPENED);
    small_count(&small, SOURCE_DIARY, OPENED, FITTED - 1, 30);
    small_expander(&small, ARCH_UPPER, FITTED);
    struct visit *first = small_activation(&small, FITTED, ARCH_UPPER, 1000);
    struct visit *soon = small_activation(&small, FITTED + 20, ARCH_UPPER, 1000);
    assert_true(course_verdict_of(&small.history, first, &judgement, &recomputed));
    assert_true(recomputed);
    /* 1.00 mm is the first step, 21 to 28 days the interval: common practice, no source. */
    assert_int_equal(judgement.verdict, VERDICT_PROCEED);
    assert_int_equal(judgement.permitted_right, 1000);
    assert_int_equal(judgement.next_from, FITTED + 21);
    assert_int_equal(judgement.next_to, FITTED + 28);
    /* The later activation was given a day too soon; the first was not, though it stands before. */
    assert_true(course_verdict_of(&small.history, soon, &judgement, &recomputed));
    assert_int_equal(judgement.verdict, VERDICT_HOLD);
    assert_int_equal(judgement.permitted_left, 0);
}

static void the_findings_of_all_rows_of_a_date_are_recomputed_together(void **state)
{
    struct small_case small;
    struct judgement judgement;
    bool recomputed;

    (void)state;
    open_case(&small);
    small_trainer(&small, OPENED);
    small_count(&small, SOURCE_DIARY, OPENED, FITTED - 1, 30);
    small_expander(&small, ARCH_UPPER, FITTED);
    struct visit *given = small_activation(&small, FITTED, ARCH_UPPER, 1000);
    struct visit *repair = small_visit(&small, FITTED, VISIT_REPAIR, ARCH_UPPER);
    repair->hardware = hardware_bit(FAULT_BENT_WIRE, SIDE_LEFT);
    assert_true(course_verdict_of(&small.history, given, &judgement, &recomputed));
    assert_int_equal(judgement.verdict, VERDICT_HOLD); /* an unrepaired fault */
    repair->repaired = ANSWER_YES;
    assert_true(course_verdict_of(&small.history, given, &judgement, &recomputed));
    assert_int_equal(judgement.verdict, VERDICT_PROCEED); /* at the first step */
    repair->kind = VISIT_RELIEF;
    assert_true(course_verdict_of(&small.history, given, &judgement, &recomputed));
    assert_int_equal(judgement.verdict, VERDICT_HOLD); /* the loop was closed that day */
    repair->kind = VISIT_REPAIR;
    repair->tissue = TISSUE_WOUND;
    assert_true(course_verdict_of(&small.history, given, &judgement, &recomputed));
    assert_int_equal(judgement.verdict, VERDICT_HOLD);
}

static void there_is_no_verdict_where_none_can_be(void **state)
{
    struct small_case small;
    struct judgement judgement;
    bool recomputed;

    (void)state;
    open_case(&small);
    struct visit *early = small_visit(&small, OPENED, VISIT_CHECK, ARCH_UPPER);
    assert_false(course_verdict_of(&small.history, early, &judgement, &recomputed));
    small_expander(&small, ARCH_UPPER, FITTED);
    assert_false(course_verdict_of(&small.history, early, &judgement, &recomputed));
    struct visit *whole = small_visit(&small, FITTED + 1, VISIT_CHECK, ARCH_NONE);
    assert_false(course_verdict_of(&small.history, whole, &judgement, &recomputed));
    struct visit *missed = small_visit(&small, FITTED + 1, VISIT_MISSED, ARCH_UPPER);
    assert_false(course_verdict_of(&small.history, missed, &judgement, &recomputed));
}

static void the_last_verdict_is_the_gravest_of_the_last_visit_with_one(void **state)
{
    struct small_case small;
    struct case_state kept;

    (void)state;
    open_case(&small);
    small_expander(&small, ARCH_UPPER, FITTED);
    small_expander(&small, ARCH_LOWER, FITTED);
    course_state(&small.history, &kept);
    assert_int_equal(kept.last_verdict, VERDICT_NONE);
    struct visit *upper = small_activation(&small, FITTED + 30, ARCH_UPPER, 1000);
    struct visit *lower = small_visit(&small, FITTED + 30, VISIT_ACTIVATION, ARCH_LOWER);
    small_judged(&small, upper, VERDICT_PROCEED, FITTED + 51, FITTED + 58);
    struct judged *hold = small_judged(&small, lower, VERDICT_HOLD, FITTED + 31, FITTED + 37);
    small_visit(&small, FITTED + 60, VISIT_CHECK, ARCH_NONE);
    course_state(&small.history, &kept);
    assert_int_equal(kept.last_verdict, VERDICT_HOLD);
    assert_false(kept.last_recomputed);
    assert_int_equal(kept.last_seen, FITTED + 60);
    hold->verdict = 99; /* says nothing the rules know: what the rules say now stands instead */
    course_state(&small.history, &kept);
    assert_int_equal(kept.last_verdict, VERDICT_HOLD); /* no trainer was ever issued */
    assert_true(kept.last_recomputed);
    small.judged[0].verdict = VERDICT_HOLD; /* the upper's was stored as a hold: that is told */
    course_state(&small.history, &kept);
    assert_false(kept.last_recomputed);
    small_case_reverse(&small);
    course_state(&small.history, &kept);
    assert_false(kept.last_recomputed);
}

static bool same_state(const struct case_state *a, const struct case_state *b)
{
    return a->stage == b->stage && a->stage_upper == b->stage_upper &&
           a->stage_lower == b->stage_lower && a->newest == b->newest &&
           a->last_seen == b->last_seen && a->due_from == b->due_from && a->due_to == b->due_to &&
           memcmp(a->safety_from, b->safety_from, sizeof a->safety_from) == 0 &&
           a->again_on == b->again_on && a->last_contact == b->last_contact &&
           a->last_verdict == b->last_verdict && a->last_recomputed == b->last_recomputed;
}

static void the_order_of_the_rows_does_not_matter(void **state)
{
    struct small_case small;
    struct case_state forth, back;

    (void)state;
    open_case(&small);
    small_trainer(&small, OPENED);
    struct expander *old = small_expander(&small, ARCH_UPPER, FITTED);
    old->out_on = FITTED + 50;
    old->out_reason = OUT_REPAIR;
    small_expander(&small, ARCH_UPPER, FITTED + 60);
    small_expander(&small, ARCH_UPPER, FITTED + 60)->passive_on = FITTED + 90; /* a double */
    for (day date = FITTED; date < FITTED + 300; date += 25) {
        small_activation(&small, date, ARCH_UPPER, 750);
        struct visit *check = small_visit(&small, date, VISIT_CHECK, ARCH_UPPER);
        check->hardware = hardware_bit(FAULT_LOOSE_BAND, date % 2 == 0 ? SIDE_LEFT : SIDE_RIGHT);
        check->repaired = date % 3 == 0 ? ANSWER_YES : ANSWER_NO;
        check->next_on = date % 5 == 0 ? date + 20 : DAY_NONE;
        if (small.history.contact_count < SMALL_FEW)
            small_contact(&small, FITTED + 1 + date % 2)->again_on = date + 5;
        course_state(&small.history, &forth);
        small_case_reverse(&small);
        course_state(&small.history, &back);
        assert_true(same_state(&forth, &back));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(newest_is_the_newest_dated_row_bookings_apart),
        cmocka_unit_test(last_seen_passes_over_missed_visits),
        cmocka_unit_test(the_newest_contact_says_when_to_call_again),
        cmocka_unit_test(names_are_copied_and_never_missing),
        cmocka_unit_test(a_stored_verdict_stands_as_it_was_given),
        cmocka_unit_test(the_verdict_by_the_record_as_it_stands_is_always_judged_again),
        cmocka_unit_test(what_can_not_be_judged_again_is_left_untouched),
        cmocka_unit_test(of_several_stored_verdicts_of_a_day_the_newest_speaks_for_the_others),
        cmocka_unit_test(a_verdict_not_stored_is_recomputed_as_of_its_date),
        cmocka_unit_test(the_findings_of_all_rows_of_a_date_are_recomputed_together),
        cmocka_unit_test(there_is_no_verdict_where_none_can_be),
        cmocka_unit_test(the_last_verdict_is_the_gravest_of_the_last_visit_with_one),
        cmocka_unit_test(the_order_of_the_rows_does_not_matter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
