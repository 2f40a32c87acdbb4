/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What must hold of where a case stands and of its audit for every history, over invented ones. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "case_random.h"
#include "springline/base/arena.h"
#include "springline/core/audit.h"
#include "springline/core/course.h"

enum { CASES = 20000, SEED = 20260601 };

static void same_dates(const struct case_state *a, const struct case_state *b)
{
    assert_int_equal(a->last_seen, b->last_seen);
    assert_int_equal(a->due_from, b->due_from);
    assert_int_equal(a->due_to, b->due_to);
    assert_memory_equal(a->safety_from, b->safety_from, sizeof a->safety_from);
    assert_int_equal(a->last_verdict, b->last_verdict);
    assert_int_equal(a->last_recomputed, b->last_recomputed);
}

static void same_stages(const struct case_state *a, const struct case_state *b)
{
    assert_int_equal(a->stage, b->stage);
    assert_int_equal(a->stage_upper, b->stage_upper);
    assert_int_equal(a->stage_lower, b->stage_lower);
}

/* Contacts around the days on which items stand, most of which set them aside. */
static void call_some(struct case_maker *maker, struct random *random)
{
    int32_t calls = random_between(random, 0, 4);

    for (int32_t i = 0; i < calls; i++) {
        struct contact *contact =
            case_contact(maker, random_between(random, 0, 6) * 20,
                         random_chance(random, 90) ? OUTCOME_REACHED : OUTCOME_LEFT_WORD);
        contact->cleared = random_chance(random, 80) ? ANSWER_YES : ANSWER_NONE;
        contact->cleared_by = "Dr Example";
        contact->note = random_chance(random, 90) ? "a reason" : NULL;
        contact->again_on = instant_day(contact->at) + random_between(random, -10, 90);
    }
}

/* Is any item set aside? */
static bool some_set_aside(const struct case_maker *maker, const struct case_state *kept)
{
    struct history silent = maker->history;
    struct case_state without;

    silent.contact_count = 0;
    course_state(&silent, &without);
    return memcmp(kept->safety_from, without.safety_from, sizeof without.safety_from) != 0;
}

static void the_order_of_the_rows_does_not_matter(void **state)
{
    struct random random = {SEED}, calls = {SEED + 3};
    struct case_maker maker;
    int aside = 0;

    (void)state;
    for (int i = 0; i < CASES; i++) {
        struct case_state kept, shuffled;
        struct audit_row row = {0}, row_shuffled = {0};
        day month;

        case_random(&maker, &random);
        call_some(&maker, &calls);
        month = day_month_start(maker.today, -random_between(&random, 0, 8));
        course_state(&maker.history, &kept);
        aside += some_set_aside(&maker, &kept);
        bool audited = audit_case(&maker.history, month, month + 365, &row);
        case_shuffle(&maker, &random);
        course_state(&maker.history, &shuffled);
        same_dates(&kept, &shuffled);
        same_stages(&kept, &shuffled);
        assert_int_equal(kept.newest, shuffled.newest);
        assert_int_equal(kept.again_on, shuffled.again_on);
        assert_int_equal(audit_case(&maker.history, month, month + 365, &row_shuffled), audited);
        for (size_t o = 0; o < AUDIT_OVERRIDES_MAX; o++) {
            const char *reason = row.override_rows[o].reason;
            const char *other = row_shuffled.override_rows[o].reason;
            assert_int_equal(reason == NULL, other == NULL);
            if (reason != NULL && other != NULL)
                assert_string_equal(reason, other);
            row.override_rows[o].reason = row_shuffled.override_rows[o].reason = NULL;
        }
        assert_int_equal(row.group, row_shuffled.group);
        assert_int_equal(row.days_met, row_shuffled.days_met);
        assert_int_equal(row.days_known, row_shuffled.days_known);
        assert_int_equal(row.open_met, row_shuffled.open_met);
        assert_int_equal(row.short_run, row_shuffled.short_run);
        assert_int_equal(row.holds, row_shuffled.holds);
        assert_int_equal(row.overrides, row_shuffled.overrides);
        for (size_t o = 0; o < AUDIT_OVERRIDES_MAX; o++) {
            assert_int_equal(row.override_rows[o].date, row_shuffled.override_rows[o].date);
            assert_int_equal(row.override_rows[o].given_left,
                             row_shuffled.override_rows[o].given_left);
            assert_int_equal(row.override_rows[o].permitted_left,
                             row_shuffled.override_rows[o].permitted_left);
        }
    }
    assert_true(aside > CASES / 100); /* else nothing was set aside in any order */
}

/* Some expanders are kept as retention: time alone moves those cases on. */
static void retain_some(struct case_maker *maker, struct random *random)
{
    for (size_t i = 0; i < maker->history.expander_count; i++) {
        struct expander *expander = &maker->expanders[i];
        if (expander->fitted_on == DAY_NONE || !random_chance(random, 30))
            continue;
        day over = expander->fitted_on + random_between(random, 0, 90);
        if (random_chance(random, 50)) {
            expander->passive_on = over;
        } else {
            expander->out_on = over;
            expander->out_reason = OUT_TARGET;
        }
    }
}

/* A row that says nothing but its own date moves newest on; everything else has to stand already,
 * or be told by the state kept before. */
static void the_state_holds_for_any_later_day(void **state)
{
    struct random random = {SEED + 1}, calls = {SEED + 4};
    struct case_maker maker;
    int turned = 0, due = 0, safety = 0;

    (void)state;
    for (int i = 0; i < CASES; i++) {
        struct case_state kept, later;
        enum stage upper, lower;

        case_random(&maker, &random);
        call_some(&maker, &calls);
        retain_some(&maker, &random);
        course_state(&maker.history, &kept);
        day on = kept.newest + random_between(&random, 1, 400);
        struct contact *silent = case_contact(&maker, 0, OUTCOME_NONE);
        silent->at = (instant)on * 86400;
        course_state(&maker.history, &later);
        assert_int_equal(later.newest, on);
        same_dates(&kept, &later);
        assert_int_equal(course_stage_on(&kept, on, &upper, &lower), later.stage);
        assert_int_equal(upper, later.stage_upper);
        assert_int_equal(lower, later.stage_lower);
        turned += kept.stage != later.stage;
        due += kept.due_from != DAY_NONE;
        for (int item = SAFETY_NONE + 1; item < SAFETY_COUNT; item++)
            safety += kept.safety_from[item] != DAY_NONE;
    }
    assert_true(turned > 0); /* else the property was not put to the test */
    assert_true(due > CASES / 10);
    assert_true(safety > CASES / 10);
}

static void check_row(const struct audit_row *row)
{
    assert_true(row->days_met >= 0 && row->days_met <= row->days_known);
    assert_true(row->days_known <= row->days_asked);
    assert_true(row->unknown_share >= 0.0 && row->unknown_share <= 1.0);
    assert_true(row->open_met <= row->open_known && row->open_known <= row->open_days);
    assert_true(row->holds + row->reductions + row->rests <= row->visits);
    assert_true(row->untrained_days >= 0 && row->untrained_days <= 31);
    assert_int_equal(row->group == AUDIT_NOT_SEEN, row->visits == 0);
    assert_int_equal(row->group == AUDIT_BELOW || row->group == AUDIT_MEETING,
                     row->source != SOURCE_NONE);
    if (row->source == SOURCE_NONE) {
        assert_int_equal(row->days_known, 0);
        assert_false(row->has_change);
        return;
    }
    assert_true(row->low95 <= row->adherence && row->adherence <= row->high95);
    assert_true(!row->has_change || fabs(row->change) <= 1.0);
    assert_true(!row->low || row->group == AUDIT_BELOW);
}

/* What is dated after a month says nothing of it: its audit stays the same for ever. */
static void later_rows_do_not_change_the_audit_of_a_month(void **state)
{
    struct random random = {SEED + 2};
    struct case_maker maker;
    struct arena arena = {0};
    int groups[AUDIT_MEETING + 1] = {0}, overrides = 0;

    (void)state;
    for (int i = 0; i < CASES; i++) {
        struct history until;
        struct audit_row row, before;

        case_random(&maker, &random);
        day month = day_month_start(maker.today, -random_between(&random, 0, 8));
        assert_true(history_until(&maker.history, day_month_start(month, 1) - 1, &arena, &until));
        bool audited = audit_case(&maker.history, month, month + 365, &row);
        assert_int_equal(audit_case(&until, month, month + 365, &before), audited);
        if (audited) {
            check_row(&row);
            assert_int_equal(row.group, before.group);
            assert_int_equal(row.source, before.source);
            assert_int_equal(row.days_met, before.days_met);
            assert_int_equal(row.days_known, before.days_known);
            assert_int_equal(row.days_asked, before.days_asked);
            assert_int_equal(row.short_run, before.short_run);
            assert_int_equal(row.open_known, before.open_known);
            assert_int_equal(row.untrained_days, before.untrained_days);
            assert_int_equal(row.holds, before.holds);
            assert_int_equal(row.reductions, before.reductions);
            assert_int_equal(row.overrides, before.overrides);
            assert_int_equal(row.missed, before.missed);
            assert_int_equal(row.has_change, before.has_change);
            groups[row.group]++;
            overrides += row.overrides;
        }
        arena_clear(&arena);
    }
    arena_release(&arena);
    for (int group = AUDIT_BELOW; group <= AUDIT_MEETING; group++)
        assert_true(groups[group] > CASES / 100);
    assert_true(overrides > CASES / 100);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_order_of_the_rows_does_not_matter),
        cmocka_unit_test(the_state_holds_for_any_later_day),
        cmocka_unit_test(later_rows_do_not_change_the_audit_of_a_month),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
