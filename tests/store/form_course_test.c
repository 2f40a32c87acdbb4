/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The course of a case on forms: trainer, repair, removal, passive wear, checks, missed visits and
 * activations given elsewhere. What follows of each is the practice's own course of work (domain
 * notes of the project, no outside source).
 */
#include "form_bench.h"
#include "springline/core/course.h"
#include "springline/core/rules.h"

static const struct visit *newest_visit(const struct history *history)
{
    const struct visit *newest = NULL;

    for (size_t i = 0; i < history->visit_count; i++) {
        if (newest == NULL || history->visits[i].head.sequence > newest->head.sequence)
            newest = &history->visits[i];
    }
    assert_non_null(newest);
    return newest;
}

static const struct judged *verdict_of(const struct history *history, const struct visit *visit)
{
    for (size_t i = 0; i < history->judged_count; i++) {
        if (id_equal(&history->judged[i].visit, &visit->head.id))
            return &history->judged[i];
    }
    return NULL;
}

static void typical(struct form_bench *bench, const char *name)
{
    case_typical(&bench->maker);
    form_bench_keep(bench, name);
}

/* ---- the trainer ---- */

static void a_lost_trainer_is_replaced_in_one_form(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    typical(&bench, "course_trainer");
    form_bench_open(&bench, FORM_TRAINER);
    assert_null(form_bench_field(&bench, "replaced"));
    form_bench_fill(&bench, "ended on", "2026-05-30");
    form_bench_refused(&bench, "why it ended");
    form_bench_fill(&bench, "why it ended", "lost");
    assert_int_equal(form_bench_type(&bench, "replaced", "2"), ENTRY_REFUSED);
    assert_string_equal(bench.sentence, "Press one of 0 no, 1 yes.");
    form_bench_fill(&bench, "replaced", "1");
    form_bench_fill(&bench, "issued on", "2026-05-29");
    form_bench_refused(&bench, "before the old one ended");
    form_bench_fill(&bench, "issued on", "");
    form_bench_save(&bench, "");
    const struct history *history = form_bench_history(&bench);
    assert_int_equal(history->trainer_count, 2);
    assert_true(wear_trainer_current(history, bench.maker.today));
    assert_false(wear_trainer_current(history, bench.maker.today - 1));

    form_bench_open(&bench, FORM_TRAINER); /* stopped: nothing replaces it */
    form_bench_fill(&bench, "ended on", "");
    form_bench_fill(&bench, "why it ended", "stopped");
    assert_null(form_bench_field(&bench, "replaced"));
    form_bench_says(&bench, "No trainer is current then");
    form_bench_save(&bench, "");
    assert_int_equal(form_bench_history(&bench)->trainer_count, 2);

    bench.kept.app.today++; /* none current: only the day of a new one */
    form_bench_open(&bench, FORM_TRAINER);
    assert_null(form_bench_field(&bench, "ended on"));
    assert_string_equal(form_bench_field(&bench, "issued on")->if_empty, ""); /* ends a hold */
    form_bench_fill(&bench, "issued on", "0602");
    form_bench_save(&bench, "");
    assert_int_equal(form_bench_history(&bench)->trainer_count, 3);
    form_bench_close(&bench);
}

static void a_trainer_that_was_not_replaced_holds(void **state)
{
    struct form_bench bench = {0};
    struct judgement judgement;

    (void)state;
    typical(&bench, "course_no_trainer");
    form_bench_open(&bench, FORM_TRAINER);
    form_bench_fill(&bench, "ended on", "");
    form_bench_fill(&bench, "why it ended", "broken");
    form_bench_refused(&bench, "replaced"); /* nobody skips the question */
    form_bench_fill(&bench, "replaced", "0");
    assert_string_equal(form_bench_field(&bench, "replaced")->shown, "no");
    form_bench_save(&bench, "");
    assert_int_equal(form_bench_history(&bench)->trainer_count, 1);
    assert_true(rules_judge(form_bench_history(&bench), &bench.maker.question, &judgement));
    assert_int_equal(judgement.verdict, VERDICT_HOLD);
    assert_non_null(case_finding(&judgement, RULE_NO_TRAINER, SIDE_NONE));
    form_bench_close(&bench);
}

/* ---- repair ---- */

static void an_unrepaired_fault_is_a_safety_item(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    typical(&bench, "course_repair");
    form_bench_open(&bench, FORM_REPAIR);
    assert_string_equal(form_bench_field(&bench, "arch")->if_empty, "upper");
    assert_int_equal(form_bench_type(&bench, "arch", "lower"), ENTRY_REFUSED); /* nothing there */
    form_bench_fill(&bench, "date", "");
    form_bench_fill(&bench, "arch", "");
    form_bench_fill(&bench, "hardware found", "0");
    assert_null(form_bench_field(&bench, "all repaired"));
    form_bench_fill(&bench, "hardware found", "1r2");
    form_bench_refused(&bench, "all repaired");
    form_bench_fill(&bench, "all repaired", "no");
    form_bench_says(&bench, "The fault stays a safety item");
    form_bench_says(&bench, "A safety item arises: wound or fault open");
    form_bench_says(&bench, "The tissue was not recorded");
    form_bench_save(&bench, "");
    const struct history *history = form_bench_history(&bench);
    const struct visit *visit = newest_visit(history);
    assert_int_equal(visit->kind, VISIT_REPAIR);
    assert_int_equal(visit->hardware, hardware_bit(FAULT_LOOSE_BAND, SIDE_RIGHT) |
                                          hardware_bit(FAULT_BROKEN_WIRE, SIDE_NONE));
    assert_string_equal(visit->by, "tester");
    const struct judged *judged = verdict_of(history, visit); /* saved here, so judged here */
    assert_non_null(judged);
    assert_int_equal(judged->verdict, VERDICT_HOLD);

    bench.kept.app.today++;
    form_bench_open(&bench, FORM_REPAIR);
    form_bench_fill(&bench, "date", "");
    form_bench_fill(&bench, "arch", "upper");
    form_bench_fill(&bench, "hardware found", "1r2");
    form_bench_fill(&bench, "all repaired", "yes");
    form_bench_says(&bench, "A safety item goes: wound or fault open");
    form_bench_save(&bench, "");
    form_bench_open(&bench, FORM_REPAIR); /* the same visit twice */
    form_bench_fill(&bench, "date", "");
    form_bench_fill(&bench, "arch", "upper");
    form_bench_fill(&bench, "hardware found", "0");
    form_bench_refused(&bench, "recorded already");
    form_bench_close(&bench);
}

/* ---- out, passive, refit ---- */

static void out_for_a_rest_and_in_again(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    case_booking(&bench.maker, 0, BOOKING_ACTIVATION, BOOKED_STANDING);
    case_booking(&bench.maker, -9, BOOKING_ACTIVATION, BOOKED_STANDING);
    form_bench_keep(&bench, "course_rest");
    form_bench_open(&bench, FORM_OUT);
    assert_null(form_bench_field(&bench, "arch")); /* only one is in place */
    assert_string_equal(bench.form.fields[0].shown, "upper");
    form_bench_fill(&bench, "taken out on", "");
    form_bench_refused(&bench, "why it came out");
    form_bench_fill(&bench, "why it came out", "rest");
    form_bench_fill(&bench, "tissue", "1"); /* mild, as on the visit sheet */
    form_bench_says(&bench, "The upper arch is then in: resting.");
    form_bench_says(&bench, "new visit: ");
    form_bench_says(&bench, "; kind removal; ");
    form_bench_says(&bench, "The booking of 2026-06-01 at 09:00 becomes kept.\n");
    assert_null(strstr(form_bench_review(&bench), "2026-06-10 at")); /* still to come */
    form_bench_save(&bench, "");
    const struct history *history = form_bench_history(&bench);
    assert_int_equal(history->booking_count, 2);
    for (size_t i = 0; i < 2; i++)
        assert_int_equal(history->bookings[i].state, history->bookings[i].date == bench.maker.today
                                                         ? BOOKED_KEPT
                                                         : BOOKED_STANDING);
    assert_int_equal(history->expanders[0].out_on, bench.maker.today);
    assert_int_equal(history->expanders[0].out_reason, OUT_REST);
    const struct visit *visit = newest_visit(history);
    assert_int_equal(visit->kind, VISIT_REMOVAL);
    assert_int_equal(visit->date, bench.maker.today);
    assert_int_equal(visit->arch, ARCH_UPPER);
    assert_int_equal(visit->tissue, TISSUE_MILD);
    /* the verdict is of the case as it stands: nothing is in place any more */
    assert_int_equal(verdict_of(history, visit)->verdict, VERDICT_HOLD);
    assert_non_null(strstr(verdict_of(history, visit)->findings, "not-in-place"));
    assert_int_equal(course_arch_stage(history, ARCH_UPPER, bench.maker.today), STAGE_RESTING);
    assert_non_null(strstr(form_bench_refusal(&bench, FORM_OUT), "no expander in place"));
    assert_non_null(strstr(form_bench_refusal(&bench, FORM_PASSIVE), "no expander in place"));
    form_bench_close(&bench);
}

static void of_two_arches_one_is_chosen(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    case_expander(&bench.maker, ARCH_LOWER, 60);
    form_bench_keep(&bench, "course_two_out");
    form_bench_open(&bench, FORM_OUT);
    form_bench_fill(&bench, "taken out on", "");
    form_bench_fill(&bench, "why it came out", "target");
    form_bench_refused(&bench, "arch");
    form_bench_fill(&bench, "arch", "2");
    form_bench_fill(&bench, "taken out on", "");
    form_bench_fill(&bench, "why it came out", "target");
    form_bench_says(&bench, "The lower arch is then in: retention.");
    form_bench_says(&bench, "Retention lasts 180 days");
    form_bench_save(&bench, "");
    const struct history *history = form_bench_history(&bench);
    for (size_t i = 0; i < history->expander_count; i++)
        assert_true((history->expanders[i].out_on == DAY_NONE) ==
                    (history->expanders[i].arch == ARCH_UPPER));
    form_bench_close(&bench);
}

static void left_in_passively_is_retention(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    typical(&bench, "course_passive");
    form_bench_open(&bench, FORM_PASSIVE);
    assert_string_equal(form_bench_field(&bench, "passive from")->if_empty, "");
    form_bench_fill(&bench, "passive from", "0601");
    form_bench_says(&bench, "no further activation is meant");
    form_bench_says(&bench, "The upper arch is then in: retention.");
    form_bench_save(&bench, "");
    assert_int_equal(course_stage(form_bench_history(&bench), bench.maker.today), STAGE_RETENTION);
    assert_non_null(strstr(form_bench_refusal(&bench, FORM_PASSIVE), "not left in passively yet"));
    form_bench_close(&bench);
}

/* ---- checks ---- */

static void a_check_needs_no_expander(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    case_booking(&bench.maker, 0, BOOKING_ASSESSMENT, BOOKED_STANDING);
    form_bench_keep(&bench, "course_check");
    form_bench_open(&bench, FORM_CHECK);
    assert_string_equal(form_bench_field(&bench, "kind")->if_empty, "");
    assert_int_equal(form_bench_type(&bench, "kind", "1"), ENTRY_REFUSED); /* an activation */
    form_bench_fill(&bench, "kind", "check");
    form_bench_fill(&bench, "date", "");
    assert_null(form_bench_field(&bench, "tissue")); /* findings belong to an arch */
    form_bench_fill(&bench, "arch", "upper");
    assert_null(form_bench_field(&bench, "hardware found"));
    form_bench_fill(&bench, "width mm", "34.20");
    form_bench_refused(&bench, "site");
    form_bench_fill(&bench, "site", "intermolar");
    form_bench_fill(&bench, "landmark", "gingival");
    form_bench_fill(&bench, "teeth", "16-26");
    form_bench_fill(&bench, "method", "");
    form_bench_save(&bench, "");
    const struct history *history = form_bench_history(&bench);
    assert_int_equal(history->width_count, 1);
    assert_int_equal(history->widths[0].value, 34200);
    assert_int_equal(history->widths[0].method, METHOD_MOUTH);
    assert_int_equal(history->widths[0].repeat, 1);
    assert_int_equal(newest_visit(history)->arch, ARCH_UPPER);
    assert_null(verdict_of(history, newest_visit(history))); /* nothing to judge */
    assert_int_equal(history->bookings[0].state, BOOKED_KEPT);
    form_bench_close(&bench);
}

static void a_stability_check_follows_retention(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    bench.maker.expanders[0].out_on = bench.maker.today - 10;
    bench.maker.expanders[0].out_reason = OUT_TARGET;
    form_bench_keep(&bench, "course_stability");
    form_bench_open(&bench, FORM_CHECK);
    assert_string_equal(form_bench_field(&bench, "kind")->if_empty, "");
    form_bench_fill(&bench, "kind", "stability");
    form_bench_fill(&bench, "date", "");
    form_bench_fill(&bench, "arch", "");
    form_bench_fill(&bench, "width mm", "39.50");
    form_bench_fill(&bench, "site", "");
    form_bench_fill(&bench, "landmark", "");
    form_bench_fill(&bench, "teeth", "");
    form_bench_fill(&bench, "method", "");
    form_bench_says(&bench, "within measurement error");
    form_bench_save(&bench, "");
    assert_int_equal(newest_visit(form_bench_history(&bench))->kind, VISIT_STABILITY);
    form_bench_close(&bench);
}

/* ---- missed, elsewhere ---- */

static void a_missed_visit_ends_its_booking(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    case_booking(&bench.maker, 2, BOOKING_ACTIVATION, BOOKED_STANDING);
    form_bench_keep(&bench, "course_missed");
    form_bench_open(&bench, FORM_MISSED);
    assert_string_equal(form_bench_field(&bench, "missed on")->if_empty, "2026-05-30");
    form_bench_fill(&bench, "missed on", "2026-05-08"); /* 24 days ago: a visit was recorded */
    form_bench_refused(&bench, "the child came");
    form_bench_fill(&bench, "missed on", "");
    form_bench_says(&bench, "The booking of 2026-05-30 at 09:00 becomes missed.");
    form_bench_save(&bench, "");
    const struct history *history = form_bench_history(&bench);
    assert_int_equal(history->bookings[0].state, BOOKED_MISSED);
    assert_int_equal(newest_visit(history)->kind, VISIT_MISSED);
    assert_null(verdict_of(history, newest_visit(history)));
    form_bench_open(&bench, FORM_MISSED);
    form_bench_fill(&bench, "missed on", "2026-05-30");
    form_bench_refused(&bench, "recorded already"); /* missed counts once a date */
    form_bench_close(&bench);
}

static void an_activation_given_elsewhere_may_lack_its_amounts(void **state)
{
    struct form_bench bench = {0};
    struct judgement judgement;

    (void)state;
    case_typical(&bench.maker);
    bench.maker.casefile.opened = bench.maker.today - 10;
    bench.maker.history.visit_count = 0;
    form_bench_keep(&bench, "course_elsewhere");
    form_bench_open(&bench, FORM_ELSEWHERE);
    form_bench_fill(&bench, "date", "2026-05-20");
    form_bench_fill(&bench, "arch", "");
    form_bench_says(&bench, "as 2.00 mm a side in the protocol's window");
    assert_null(strstr(form_bench_review(&bench), "really given elsewhere"));
    form_bench_save(&bench, "");
    const struct visit *visit = newest_visit(form_bench_history(&bench));
    assert_int_equal(visit->elsewhere, ANSWER_YES);
    assert_int_equal(visit->right, UM_NONE);
    assert_int_equal(form_bench_history(&bench)->judged_count, 0); /* never judged on entry */
    assert_true(rules_judge(form_bench_history(&bench), &bench.maker.question, &judgement));
    assert_non_null(case_finding(&judgement, RULE_TOO_SOON, SIDE_RIGHT));

    form_bench_open(&bench, FORM_ELSEWHERE);
    form_bench_fill(&bench, "date", "2026-05-25");
    form_bench_fill(&bench, "arch", "upper");
    assert_int_equal(form_bench_type(&bench, "right mm", "12.5"), ENTRY_REFUSED);
    form_bench_fill(&bench, "right mm", "1.25");
    form_bench_fill(&bench, "left mm", "1");
    form_bench_says(&bench, "really given elsewhere");
    form_bench_save(&bench, "");
    assert_int_equal(newest_visit(form_bench_history(&bench))->right, 1250);
    form_bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_lost_trainer_is_replaced_in_one_form),
        cmocka_unit_test(a_trainer_that_was_not_replaced_holds),
        cmocka_unit_test(an_unrepaired_fault_is_a_safety_item),
        cmocka_unit_test(out_for_a_rest_and_in_again),
        cmocka_unit_test(of_two_arches_one_is_chosen),
        cmocka_unit_test(left_in_passively_is_retention),
        cmocka_unit_test(a_check_needs_no_expander),
        cmocka_unit_test(a_stability_check_follows_retention),
        cmocka_unit_test(a_missed_visit_ends_its_booking),
        cmocka_unit_test(an_activation_given_elsewhere_may_lack_its_amounts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
