/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Safety items, each on both sides of the day it begins. 56 days unseen and 7 days beyond the
 * separators' 7 are settings of the practice; the separators' week is common practice, no source.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "small_case.h"
#include "springline/core/course.h"
#include "springline/core/recall.h"

enum { OPENED = 20000, FITTED = OPENED + 30 };

static day stands_from(const struct small_case *small, enum safety item)
{
    struct case_state kept;

    course_state(&small->history, &kept);
    return kept.safety_from[item];
}

/* On the last day before it the list does not show it, on the next it leads. */
static void begins_on(const struct small_case *small, enum safety item, day first)
{
    struct case_state kept;
    struct recall_row row = {.group = RECALL_NONE};

    course_state(&small->history, &kept);
    assert_int_equal(kept.safety_from[item], first);
    assert_false(recall_row(&kept, first - 1, 0, DAY_NONE, &row) && row.safety == item);
    assert_true(recall_row(&kept, first, 0, first + 1, &row)); /* even with a booking */
    assert_int_equal(row.group, RECALL_SAFETY);
    assert_int_equal(row.safety, item);
    assert_int_equal(row.due_on, first);
    assert_int_equal(row.days_late, 0);
}

static void an_expander_in_place_unseen_for_longer_than_eight_weeks(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    struct expander *expander = small_expander(&small, ARCH_UPPER, FITTED);
    begins_on(&small, SAFETY_UNSEEN, FITTED + 57); /* never seen: from the fit */
    small_visit(&small, FITTED - 5, VISIT_CHECK, ARCH_UPPER);
    begins_on(&small, SAFETY_UNSEEN, FITTED + 57);
    small_visit(&small, FITTED + 10, VISIT_CHECK, ARCH_LOWER); /* the child was seen */
    begins_on(&small, SAFETY_UNSEEN, FITTED + 67);
    small_visit(&small, FITTED + 40, VISIT_MISSED, ARCH_UPPER);
    begins_on(&small, SAFETY_UNSEEN, FITTED + 67);
    small.protocol.restart_after_days = 40;
    begins_on(&small, SAFETY_UNSEEN, FITTED + 51);
    expander->passive_on = FITTED + 12; /* in place, if passively */
    begins_on(&small, SAFETY_UNSEEN, FITTED + 51);
    expander->out_on = FITTED + 41;
    assert_int_equal(stands_from(&small, SAFETY_UNSEEN), DAY_NONE);
}

static void the_expander_longest_unseen_counts(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_LOWER, FITTED + 20);
    small_expander(&small, ARCH_UPPER, FITTED);
    assert_int_equal(stands_from(&small, SAFETY_UNSEEN), FITTED + 57);
}

static void a_case_closed_with_its_expander_in(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    struct expander *expander = small_expander(&small, ARCH_UPPER, FITTED);
    small_visit(&small, FITTED + 30, VISIT_CHECK, ARCH_UPPER);
    assert_int_equal(stands_from(&small, SAFETY_CLOSED_WITH_EXPANDER), DAY_NONE);
    small.casefile.closed_on = FITTED + 35;
    begins_on(&small, SAFETY_CLOSED_WITH_EXPANDER, FITTED + 35);
    expander->out_on = FITTED + 35;
    assert_int_equal(stands_from(&small, SAFETY_CLOSED_WITH_EXPANDER), DAY_NONE);
}

static void separators_in_for_longer_than_two_weeks_without_bands(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    struct expander *expander = small_expander(&small, ARCH_UPPER, DAY_NONE);
    expander->separators_on = OPENED + 10;
    begins_on(&small, SAFETY_SEPARATORS, OPENED + 25);
    small_visit(&small, OPENED + 20, VISIT_CHECK, ARCH_UPPER); /* seen, but still in */
    begins_on(&small, SAFETY_SEPARATORS, OPENED + 25);
    small.protocol.separator_days = 5;
    begins_on(&small, SAFETY_SEPARATORS, OPENED + 23);
    expander->banded_on = OPENED + 20;
    assert_int_equal(stands_from(&small, SAFETY_SEPARATORS), DAY_NONE);
    expander->banded_on = DAY_NONE;
    expander->out_on = OPENED + 20; /* taken out again */
    assert_int_equal(stands_from(&small, SAFETY_SEPARATORS), DAY_NONE);
}

static void bands_recorded_with_another_row_of_the_arch_end_separators(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, DAY_NONE)->separators_on = OPENED + 10;
    struct expander *other = small_expander(&small, ARCH_UPPER, DAY_NONE);
    other->banded_on = OPENED + 9; /* before the separators: not theirs */
    assert_int_equal(stands_from(&small, SAFETY_SEPARATORS), OPENED + 25);
    other->banded_on = OPENED + 17;
    assert_int_equal(stands_from(&small, SAFETY_SEPARATORS), DAY_NONE);
    other->arch = ARCH_LOWER;
    assert_int_equal(stands_from(&small, SAFETY_SEPARATORS), OPENED + 25);
}

static void bands_without_a_wire_unseen_as_long(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    struct expander *expander = small_expander(&small, ARCH_UPPER, DAY_NONE);
    expander->separators_on = OPENED + 10;
    expander->banded_on = OPENED + 17;
    begins_on(&small, SAFETY_BANDS, OPENED + 74);
    small_visit(&small, OPENED + 20, VISIT_CHECK, ARCH_NONE);
    begins_on(&small, SAFETY_BANDS, OPENED + 77);
    struct expander *other = small_expander(&small, ARCH_UPPER, OPENED + 24);
    assert_int_equal(stands_from(&small, SAFETY_BANDS), DAY_NONE); /* the wire of another row */
    other->arch = ARCH_LOWER;
    assert_int_equal(stands_from(&small, SAFETY_BANDS), OPENED + 77);
    other->fitted_on = DAY_NONE;
    expander->fitted_on = OPENED + 24;
    assert_int_equal(stands_from(&small, SAFETY_BANDS), DAY_NONE);
    assert_int_equal(stands_from(&small, SAFETY_UNSEEN), OPENED + 81);
}

static void a_wound_stands_until_a_later_visit_of_the_arch_finds_it_healed(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED);
    small_expander(&small, ARCH_LOWER, FITTED);
    small_visit(&small, FITTED + 5, VISIT_CHECK, ARCH_UPPER)->tissue = TISSUE_MILD;
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), DAY_NONE);
    struct visit *wounded = small_visit(&small, FITTED + 10, VISIT_CHECK, ARCH_UPPER);
    wounded->tissue = TISSUE_WOUND;
    begins_on(&small, SAFETY_OPEN_TROUBLE, FITTED + 10);
    small_visit(&small, FITTED + 10, VISIT_REPAIR, ARCH_UPPER); /* the same day heals nothing */
    small_visit(&small, FITTED + 12, VISIT_CHECK, ARCH_LOWER);  /* nor the other arch */
    small_visit(&small, FITTED + 13, VISIT_MISSED, ARCH_UPPER);
    struct visit *later = small_visit(&small, FITTED + 14, VISIT_CHECK, ARCH_UPPER);
    later->tissue = TISSUE_NONE; /* not recorded is not healed */
    begins_on(&small, SAFETY_OPEN_TROUBLE, FITTED + 10);
    later->tissue = TISSUE_WOUND;
    begins_on(&small, SAFETY_OPEN_TROUBLE, FITTED + 10);
    later->tissue = TISSUE_MILD;
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), DAY_NONE);
}

static void a_fault_stands_until_it_is_repaired_or_found_intact(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED);
    struct visit *faulty = small_visit(&small, FITTED + 10, VISIT_CHECK, ARCH_UPPER);
    faulty->hardware = hardware_bit(FAULT_LOOSE_BAND, SIDE_LEFT);
    faulty->repaired = ANSWER_YES;
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), DAY_NONE);
    faulty->repaired = ANSWER_NONE; /* not recorded is not repaired */
    begins_on(&small, SAFETY_OPEN_TROUBLE, FITTED + 10);
    struct visit *later = small_visit(&small, FITTED + 14, VISIT_REPAIR, ARCH_UPPER);
    later->hardware = HARDWARE_NOT_RECORDED;
    begins_on(&small, SAFETY_OPEN_TROUBLE, FITTED + 10);
    later->repaired = ANSWER_YES;
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), DAY_NONE);
    later->date = FITTED + 10; /* repaired the same day by a row of its own */
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), DAY_NONE);
    later->repaired = ANSWER_NONE;
    later->hardware = HARDWARE_INTACT; /* but two findings of one day contradict each other */
    begins_on(&small, SAFETY_OPEN_TROUBLE, FITTED + 10);
    later->date = FITTED + 11;
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), DAY_NONE);
}

static void a_repair_ends_the_faults_it_names(void **state)
{
    static const struct {
        enum side found, repaired;
        bool open;
    } rows[] = {{SIDE_LEFT, SIDE_LEFT, false},
                {SIDE_LEFT, SIDE_RIGHT, true},
                {SIDE_LEFT, SIDE_NONE, false}, /* without its side: on both */
                {SIDE_NONE, SIDE_RIGHT, false},
                {SIDE_NONE, SIDE_NONE, false}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct small_case small;
        small_case_open(&small, OPENED);
        small_expander(&small, ARCH_UPPER, FITTED);
        small_visit(&small, FITTED + 10, VISIT_CHECK, ARCH_UPPER)->hardware =
            hardware_bit(FAULT_LOOSE_BAND, rows[i].found);
        struct visit *later = small_visit(&small, FITTED + 14, VISIT_REPAIR, ARCH_UPPER);
        later->hardware = hardware_bit(FAULT_LOOSE_BAND, rows[i].repaired);
        later->repaired = ANSWER_YES;
        assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE),
                         rows[i].open ? FITTED + 10 : DAY_NONE);
        later->hardware = hardware_bit(FAULT_BENT_WIRE, SIDE_NONE); /* another fault */
        assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), FITTED + 10);
    }
}

static void a_fault_of_the_wire_leaves_with_it_a_loose_band_may_not(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    struct expander *expander = small_expander(&small, ARCH_UPPER, FITTED);
    struct visit *faulty = small_visit(&small, FITTED + 10, VISIT_REMOVAL, ARCH_UPPER);
    faulty->hardware = hardware_bit(FAULT_BROKEN_WIRE, SIDE_LEFT);
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), FITTED + 10);
    expander->out_on = FITTED + 10;
    expander->out_reason = OUT_REPAIR;
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), DAY_NONE);
    expander->out_on = FITTED + 9; /* out before: whatever broke is in the mouth still */
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), FITTED + 10);
    expander->out_on = FITTED + 10;
    faulty->hardware |= hardware_bit(FAULT_LOOSE_BAND, SIDE_LEFT);
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), FITTED + 10);
    faulty->hardware = HARDWARE_INTACT;
    faulty->tissue = TISSUE_WOUND; /* a wound has to be seen healed */
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), FITTED + 10);
}

static void trouble_without_an_arch_stands_until_each_arch_is_seen_free_of_it(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    struct visit *wounded = small_visit(&small, OPENED + 10, VISIT_CHECK, ARCH_NONE);
    wounded->tissue = TISSUE_WOUND;
    struct visit *later = small_visit(&small, OPENED + 15, VISIT_CHECK, ARCH_LOWER);
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), DAY_NONE); /* no expander at all */
    later->tissue = TISSUE_NONE;
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), OPENED + 10);
    struct expander *upper = small_expander(&small, ARCH_UPPER, OPENED);
    small_expander(&small, ARCH_LOWER, OPENED);
    later->tissue = TISSUE_SOUND;
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), OPENED + 10);
    later->arch = ARCH_UPPER;
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), OPENED + 10);
    struct visit *last = small_visit(&small, OPENED + 16, VISIT_CHECK, ARCH_LOWER);
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), DAY_NONE);
    upper->arch = ARCH_LOWER; /* only the lower has an expander */
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), DAY_NONE);
    last->tissue = TISSUE_WOUND;
    last->arch = ARCH_NONE;
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), OPENED + 10);
}

static void the_wire_of_another_arch_or_time_does_not_end_a_fault(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    struct expander *upper = small_expander(&small, ARCH_UPPER, FITTED);
    struct expander *lower = small_expander(&small, ARCH_LOWER, FITTED);
    small_visit(&small, FITTED + 10, VISIT_CHECK, ARCH_UPPER)->hardware =
        hardware_bit(FAULT_BENT_WIRE, SIDE_NONE);
    lower->out_on = FITTED + 12;
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), FITTED + 10);
    upper->fitted_on = FITTED + 11; /* not the one that was bent */
    upper->out_on = FITTED + 12;
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), FITTED + 10);
    upper->fitted_on = FITTED;
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), DAY_NONE);
    small_expander(&small, ARCH_UPPER, FITTED + 1); /* one of the two is in the mouth still */
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), FITTED + 10);
}

static void the_oldest_trouble_still_open_gives_the_day(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED);
    small_visit(&small, FITTED + 30, VISIT_CHECK, ARCH_UPPER)->tissue = TISSUE_WOUND;
    small_visit(&small, FITTED + 20, VISIT_CHECK, ARCH_UPPER)->hardware =
        hardware_bit(FAULT_LOST_LIGATURE, SIDE_RIGHT);
    small_visit(&small, FITTED + 10, VISIT_CHECK, ARCH_UPPER)->tissue = TISSUE_WOUND;
    /* The first wound was healed on the twentieth day, the ligature intact on the thirtieth. */
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), FITTED + 30);
}

/* A contact that reached the family on a day, with everything that sets an item aside. */
static struct contact *set_aside(struct small_case *small, day on, day until)
{
    struct contact *contact = small_contact(small, on);

    contact->again_on = until;
    contact->cleared = ANSWER_YES;
    contact->cleared_by = "Dr Example";
    contact->note = "on a long journey, wears the trainer, mother looks every day";
    return contact;
}

/* Set aside: the practice's own rule, no source; the longest is restart_after_days, 56 by default.
 */
static void a_contact_sets_aside_what_stood_on_its_day(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED); /* unseen: stands from FITTED + 57 */
    struct contact *contact = set_aside(&small, FITTED + 57, FITTED + 70);
    begins_on(&small, SAFETY_UNSEEN, FITTED + 70);
    contact->at -= 43200 + 1; /* the last second of the day before: nothing stood then */
    begins_on(&small, SAFETY_UNSEEN, FITTED + 57);
    contact->at += 1;
    begins_on(&small, SAFETY_UNSEEN, FITTED + 70);
    contact->at = (instant)(FITTED + 60) * 86400;
    begins_on(&small, SAFETY_UNSEEN, FITTED + 70);
    contact->again_on = FITTED + 60; /* the same day: it leads the list today */
    begins_on(&small, SAFETY_UNSEEN, FITTED + 60);
    contact->again_on = FITTED + 50; /* never from a day before it arose */
    begins_on(&small, SAFETY_UNSEEN, FITTED + 57);
}

static void nothing_is_set_aside_for_longer_than_a_restart(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED);
    struct contact *contact = set_aside(&small, FITTED + 60, FITTED + 60 + 55);
    begins_on(&small, SAFETY_UNSEEN, FITTED + 60 + 55);
    contact->again_on = FITTED + 60 + 56;
    begins_on(&small, SAFETY_UNSEEN, FITTED + 60 + 56);
    contact->again_on = FITTED + 60 + 57;
    begins_on(&small, SAFETY_UNSEEN, FITTED + 60 + 56);
    contact->again_on = INT32_MAX;
    begins_on(&small, SAFETY_UNSEEN, FITTED + 60 + 56);
    small.protocol.restart_after_days = 40; /* unseen from FITTED + 41 */
    begins_on(&small, SAFETY_UNSEEN, FITTED + 60 + 40);
}

static void a_contact_that_lacks_anything_sets_nothing_aside(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED);
    struct contact *contact = set_aside(&small, FITTED + 60, FITTED + 70);
    const struct contact whole = *contact;
    begins_on(&small, SAFETY_UNSEEN, FITTED + 70);
    for (int i = ANSWER_NONE; i <= ANSWER_NO; i++) {
        contact->cleared = (enum answer)i;
        begins_on(&small, SAFETY_UNSEEN, i == ANSWER_YES ? FITTED + 70 : FITTED + 57);
    }
    *contact = whole;
    for (int i = OUTCOME_NONE; i <= OUTCOME_REFUSED; i++) {
        contact->outcome = (enum outcome)i;
        begins_on(&small, SAFETY_UNSEEN, i == OUTCOME_REACHED ? FITTED + 70 : FITTED + 57);
    }
    *contact = whole;
    contact->again_on = DAY_NONE;
    begins_on(&small, SAFETY_UNSEEN, FITTED + 57);
    for (int i = 0; i < 2; i++) {
        *contact = whole;
        contact->note = i == 0 ? NULL : "";
        begins_on(&small, SAFETY_UNSEEN, FITTED + 57);
        *contact = whole;
        contact->cleared_by = i == 0 ? NULL : "";
        begins_on(&small, SAFETY_UNSEEN, FITTED + 57);
    }
    *contact = whole;
    begins_on(&small, SAFETY_UNSEEN, FITTED + 70);
}

static void what_arises_after_the_contact_stands_as_always(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED);
    small_expander(&small, ARCH_LOWER, FITTED);
    small_visit(&small, FITTED + 10, VISIT_CHECK, ARCH_UPPER)->tissue = TISSUE_WOUND;
    const struct contact *contact = set_aside(&small, FITTED + 12, FITTED + 30);
    begins_on(&small, SAFETY_OPEN_TROUBLE, FITTED + 30);
    struct visit *later = small_visit(&small, FITTED + 12, VISIT_CHECK, ARCH_LOWER);
    later->tissue = TISSUE_WOUND; /* on the day of the contact, but recorded after it */
    begins_on(&small, SAFETY_OPEN_TROUBLE, FITTED + 12);
    later->date = FITTED + 11; /* entered late: the clinician did not know of it */
    begins_on(&small, SAFETY_OPEN_TROUBLE, FITTED + 11);
    later->date = FITTED + 12;
    later->head.sequence = contact->head.sequence - 1; /* recorded before the call: known to it */
    begins_on(&small, SAFETY_OPEN_TROUBLE, FITTED + 30);
    later->date = FITTED + 13;
    begins_on(&small, SAFETY_OPEN_TROUBLE, FITTED + 13);
    later->tissue = TISSUE_SOUND;
    begins_on(&small, SAFETY_OPEN_TROUBLE, FITTED + 30);
    small_visit(&small, FITTED + 14, VISIT_CHECK, ARCH_UPPER); /* seen, and healed */
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), DAY_NONE);
    /* Unseen counts from that visit on, and arises after the contact. */
    assert_int_equal(stands_from(&small, SAFETY_UNSEEN), FITTED + 14 + 57);
}

/* In the morning the family says the child is well; in the afternoon somebody closes the case. */
static void a_case_closed_after_the_contact_leads_at_once(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED);
    const struct contact *contact = set_aside(&small, FITTED + 60, FITTED + 90);
    begins_on(&small, SAFETY_UNSEEN, FITTED + 90);
    small.casefile.closed_on = FITTED + 60;
    small.casefile.head.sequence = contact->head.sequence + 1;
    begins_on(&small, SAFETY_CLOSED_WITH_EXPANDER, FITTED + 60);
    small.casefile.head.sequence = contact->head.sequence - 1;
    assert_int_equal(stands_from(&small, SAFETY_CLOSED_WITH_EXPANDER), FITTED + 90);
}

static void every_item_is_set_aside_by_the_contact(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED);
    small_visit(&small, FITTED + 30, VISIT_CHECK, ARCH_UPPER)->hardware =
        hardware_bit(FAULT_LOOSE_BAND, SIDE_LEFT);
    small.casefile.closed_on = FITTED + 35;
    set_aside(&small, FITTED + 100, FITTED + 110);
    assert_int_equal(stands_from(&small, SAFETY_OPEN_TROUBLE), FITTED + 110);
    assert_int_equal(stands_from(&small, SAFETY_CLOSED_WITH_EXPANDER), FITTED + 110);
    assert_int_equal(stands_from(&small, SAFETY_UNSEEN), FITTED + 110);

    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, DAY_NONE)->separators_on = OPENED + 10;
    small_expander(&small, ARCH_LOWER, DAY_NONE)->banded_on = OPENED + 10;
    struct contact *contact = set_aside(&small, OPENED + 10 + 57, OPENED + 80);
    assert_int_equal(stands_from(&small, SAFETY_SEPARATORS), OPENED + 80);
    assert_int_equal(stands_from(&small, SAFETY_BANDS), OPENED + 80);
    contact->at -= 86400; /* the bands were not late yet */
    assert_int_equal(stands_from(&small, SAFETY_SEPARATORS), OPENED + 80);
    assert_int_equal(stands_from(&small, SAFETY_BANDS), OPENED + 10 + 57);
}

static void the_newest_contact_that_sets_aside_decides(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED);
    set_aside(&small, FITTED + 60, FITTED + 90);
    struct contact *newer = set_aside(&small, FITTED + 70, FITTED + 80);
    begins_on(&small, SAFETY_UNSEEN, FITTED + 80);
    newer->again_on = FITTED + 100;
    begins_on(&small, SAFETY_UNSEEN, FITTED + 100);
    newer->at = (instant)(FITTED + 60) * 86400 + 43200; /* at one instant: the earlier */
    begins_on(&small, SAFETY_UNSEEN, FITTED + 90);
    small_case_reverse(&small);
    begins_on(&small, SAFETY_UNSEEN, FITTED + 90);
    small_contact(&small, FITTED + 75); /* a call that clears nothing brings nothing back */
    begins_on(&small, SAFETY_UNSEEN, FITTED + 90);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_expander_in_place_unseen_for_longer_than_eight_weeks),
        cmocka_unit_test(the_expander_longest_unseen_counts),
        cmocka_unit_test(a_case_closed_with_its_expander_in),
        cmocka_unit_test(separators_in_for_longer_than_two_weeks_without_bands),
        cmocka_unit_test(bands_recorded_with_another_row_of_the_arch_end_separators),
        cmocka_unit_test(bands_without_a_wire_unseen_as_long),
        cmocka_unit_test(a_wound_stands_until_a_later_visit_of_the_arch_finds_it_healed),
        cmocka_unit_test(a_fault_stands_until_it_is_repaired_or_found_intact),
        cmocka_unit_test(a_repair_ends_the_faults_it_names),
        cmocka_unit_test(a_fault_of_the_wire_leaves_with_it_a_loose_band_may_not),
        cmocka_unit_test(trouble_without_an_arch_stands_until_each_arch_is_seen_free_of_it),
        cmocka_unit_test(the_wire_of_another_arch_or_time_does_not_end_a_fault),
        cmocka_unit_test(the_oldest_trouble_still_open_gives_the_day),
        cmocka_unit_test(a_contact_sets_aside_what_stood_on_its_day),
        cmocka_unit_test(nothing_is_set_aside_for_longer_than_a_restart),
        cmocka_unit_test(a_contact_that_lacks_anything_sets_nothing_aside),
        cmocka_unit_test(what_arises_after_the_contact_stands_as_always),
        cmocka_unit_test(a_case_closed_after_the_contact_leads_at_once),
        cmocka_unit_test(every_item_is_set_aside_by_the_contact),
        cmocka_unit_test(the_newest_contact_that_sets_aside_decides),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
