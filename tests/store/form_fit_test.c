/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The fit sheet: separators a week before the bands, a wire of 0.70 mm, loops 5 to 7 mm wide, the
 * five fit checks, the lower arch three months after the upper: common practice, no source. Teeth
 * by ISO 3950.
 */
#include "form_bench.h"
#include "springline/core/rules.h"

static const char *const checks[] = {"ends passive in the tubes", "width equal to the tubes",
                                     "loops clear of tissue", "ligatures tied", "ends rounded"};

static const struct expander *of_arch(const struct history *history, enum arch arch, bool in)
{
    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (expander->arch == arch && (expander->out_on == DAY_NONE) == in)
            return expander;
    }
    fail_msg("no such expander");
    return NULL;
}

static void answer_health(struct form_bench *bench)
{
    static const char *const labels[] = {"nickel allergy", "latex allergy",
                                         "bleeding, heart condition", "asthma or epilepsy",
                                         "braces or loose molars"};

    for (size_t i = 0; i < sizeof labels / sizeof labels[0]; i++)
        form_bench_fill(bench, labels[i], "no");
}

/* A case of today, nothing recorded but the patient. */
static void begin_bare(struct form_bench *bench, const char *name)
{
    case_begin(&bench->maker);
    bench->maker.casefile.opened = bench->maker.today;
    bench->maker.casefile.consent_on = bench->maker.casefile.asked_on = DAY_NONE;
    form_bench_keep(bench, name);
}

static void plan(struct form_bench *bench)
{
    form_bench_fill(bench, "teeth", "");
    form_bench_fill(bench, "sides in plan", "both");
    form_bench_fill(bench, "site of the width", "intermolar");
    form_bench_fill(bench, "landmark", "gingival");
    form_bench_fill(bench, "target width mm", "37.5");
}

static void all_of_it_is_there(struct form_bench *bench, day first)
{
    const struct history *history = form_bench_history(bench);
    assert_int_equal(history->expander_count, 1);
    const struct expander *expander = of_arch(history, ARCH_UPPER, true);
    assert_int_equal(expander->separators_on, first);
    assert_int_equal(expander->banded_on, first + 9);
    assert_int_equal(expander->fitted_on, first + 16);
    assert_int_equal(expander->wire, 700);
    assert_int_equal(expander->loop_right, 7000);
    assert_int_equal(expander->ends_rounded, ANSWER_YES);
    assert_int_equal(expander->teeth.right, 16);
    assert_int_equal(expander->teeth.left, 26);
    assert_string_equal(expander->band_left, "32+");
    assert_int_equal(history->trainer_count, 1);
    assert_int_equal(history->trainers[0].issued_on, first + 9);
    assert_int_equal(history->casefile->asked_on, first + 9);
    assert_int_equal(history->casefile->consent_on, first + 1);
}

static void a_fit_is_filled_over_three_visits(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    begin_bare(&bench, "fit_three_visits");
    day first = bench.maker.today;
    form_bench_open(&bench, FORM_FIT);
    assert_string_equal(form_bench_field(&bench, "arch")->if_empty, "upper");
    assert_null(form_bench_field(&bench, "wire mm")); /* with the fit only */
    form_bench_fill(&bench, "arch", "");
    form_bench_fill(&bench, "separators on", "2026-06-01");
    plan(&bench);
    form_bench_says(&bench, "Bands are due on 2026-06-08.");
    form_bench_says(&bench,
                    "Before an activation: not fitted, a fit check is missing or failed, no "
                    "trainer is current, no consent, the health questions are not asked, "
                    "no baseline width.");
    form_bench_save(&bench, "");

    bench.kept.app.today = first + 9; /* two days late, bands and trainer */
    form_bench_open(&bench, FORM_FIT);
    form_bench_fill(&bench, "arch", "1");
    assert_string_equal(form_bench_field(&bench, "separators on")->recorded, "2026-06-01");
    form_bench_fill(&bench, "bands on", "2026-06-10");
    form_bench_fill(&bench, "band size right", "32");
    form_bench_fill(&bench, "band size left", "32+");
    form_bench_fill(&bench, "consent on", "2026-06-02");
    answer_health(&bench);
    form_bench_refused(&bench, "asked on"); /* five answers need their day */
    assert_string_equal(form_bench_field(&bench, "asked on")->if_empty, ""); /* nobody asked yet */
    form_bench_fill(&bench, "asked on", "0610");
    assert_string_equal(form_bench_field(&bench, "trainer issued on")->if_empty, "");
    form_bench_fill(&bench, "trainer handed over today", "1");
    assert_string_equal(form_bench_field(&bench, "trainer issued on")->shown, "2026-06-10");
    form_bench_says(&bench, "Separators in for 9 days; the protocol's are 7 days.");
    form_bench_says(&bench,
                    "Before an activation: not fitted, a fit check is missing or failed, no "
                    "baseline width.");
    form_bench_save(&bench, "");

    bench.kept.app.today = first + 16;
    form_bench_open(&bench, FORM_FIT);
    form_bench_fill(&bench, "arch", "");
    assert_null(form_bench_field(&bench, "nickel allergy"));    /* asked already */
    assert_null(form_bench_field(&bench, "trainer issued on")); /* a trainer is current */
    assert_null(form_bench_field(&bench, "trainer handed over today"));
    form_bench_fill(&bench, "fitted on", "0617");
    assert_string_equal(form_bench_field(&bench, "wire mm")->if_empty, "0.70");
    form_bench_fill(&bench, "wire mm", "");
    assert_int_equal(form_bench_type(&bench, "right loop mm", "7.5"), ENTRY_ASK);
    form_bench_fill(&bench, "right loop mm", "7");
    form_bench_fill(&bench, "left loop mm", "5");
    for (size_t i = 0; i < 4; i++)
        form_bench_fill(&bench, checks[i], "yes");
    form_bench_fill(&bench, checks[4], "no");
    form_bench_says(&bench, "Before an activation: a fit check is missing or failed, no baseline");
    form_bench_fill(&bench, checks[4], "yes");
    form_bench_says(&bench, "Before an activation: no baseline width.");
    form_bench_save(&bench, "");

    all_of_it_is_there(&bench, first);
    form_bench_close(&bench);
}

static void days_stand_in_order_and_teeth_in_their_arch(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    begin_bare(&bench, "fit_order");
    form_bench_open(&bench, FORM_FIT);
    form_bench_fill(&bench, "arch", "upper");
    form_bench_fill(&bench, "separators on", "2026-05-25");
    form_bench_fill(&bench, "bands on", "2026-05-20");
    form_bench_refused(&bench, "before");
    form_bench_fill(&bench, "bands on", "");
    assert_int_equal(form_bench_type(&bench, "teeth", "4636"), ENTRY_REFUSED);
    assert_int_equal(form_bench_type(&bench, "teeth", "1927"), ENTRY_REFUSED); /* ISO 3950: no 19 */
    form_bench_fill(&bench, "teeth", "16-26");
    assert_int_equal(form_bench_type(&bench, "fitted on", "2026-06-02"), ENTRY_REFUSED);
    form_bench_fill(&bench, "fitted on", "2026-05-28");
    form_bench_fill(&bench, "ligatures tied", "yes");
    form_bench_fill(&bench, "fitted on", ""); /* not fitted: its checks are no checks */
    assert_null(form_bench_field(&bench, "ligatures tied"));
    form_bench_save(&bench, "");
    assert_int_equal(of_arch(form_bench_history(&bench), ARCH_UPPER, true)->tied, ANSWER_NONE);
    form_bench_close(&bench);
}

static void the_lower_arch_follows_and_early_is_told(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    bench.maker.expanders[0].fitted_on = bench.maker.today - 60;
    bench.maker.history.visit_count = 0;
    form_bench_keep(&bench, "fit_lower");
    form_bench_open(&bench, FORM_FIT);
    assert_string_equal(form_bench_field(&bench, "arch")->if_empty, "lower");
    form_bench_fill(&bench, "arch", "2");
    assert_string_equal(form_bench_field(&bench, "teeth")->if_empty, "46-36");
    assert_string_equal(form_bench_field(&bench, "target width mm")->if_empty, "");
    form_bench_fill(&bench, "fitted on", "2026-06-01");
    form_bench_says(&bench, "Lower fitted 60 days after the upper; usually 90 days");
    form_bench_save(&bench, "");
    assert_int_equal(form_bench_history(&bench)->expander_count, 2);
    form_bench_close(&bench);
}

static void an_expander_in_place_is_completed_not_doubled(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    bench.maker.expanders[0].tied = ANSWER_NONE;
    form_bench_keep(&bench, "fit_complete");
    form_bench_open(&bench, FORM_FIT);
    form_bench_fill(&bench, "arch", "lower");
    form_bench_fill(&bench, "separators on", "2026-06-01");
    form_bench_fill(&bench, "arch", "upper"); /* another arch: another row under the fields */
    assert_string_equal(form_bench_field(&bench, "separators on")->recorded, "2025-11-26");
    form_bench_fill(&bench, "ligatures tied", "yes");
    form_bench_says(&bench, "fitted on 2025-12-03 is in place: this completes or corrects");
    form_bench_save(&bench, ""); /* filled, not changed */
    form_bench_open(&bench, FORM_FIT);
    form_bench_fill(&bench, "arch", "upper");
    form_bench_fill(&bench, "target width mm", "48");
    form_bench_refused(&bench, "reason");
    form_bench_save(&bench, "the plan was made smaller");
    const struct history *history = form_bench_history(&bench);
    assert_int_equal(history->expander_count, 1);
    assert_int_equal(history->expanders[0].tied, ANSWER_YES);
    assert_int_equal(history->expanders[0].target, 48000);
    form_bench_close(&bench);
}

static void a_refit_takes_the_plan_and_nothing_measured(void **state)
{
    struct form_bench bench = {0};
    static const struct {
        const char *label, *offered;
    } plans[] = {
        {"teeth", "16-26"},      {"sides in plan", "right"},   {"site of the width", "intermolar"},
        {"landmark", "fossa"},   {"target width mm", "50.00"}, {"band size right", "32"},
        {"band size left", "33"}};

    (void)state;
    case_typical(&bench.maker);
    struct expander *old = &bench.maker.expanders[0];
    old->sides = SIDES_RIGHT;
    old->band_right = "32";
    old->band_left = "33";
    old->out_on = bench.maker.today - 10;
    old->out_reason = OUT_REST;
    form_bench_keep(&bench, "fit_refit");
    form_bench_open(&bench, FORM_FIT);
    form_bench_fill(&bench, "arch", "");
    form_bench_fill(&bench, "fitted on", "2026-06-01");
    for (size_t i = 0; i < sizeof checks / sizeof checks[0]; i++) {
        assert_string_equal(form_bench_field(&bench, checks[i])->if_empty, "");
        assert_string_equal(form_bench_field(&bench, checks[i])->entered, "");
    }
    assert_string_equal(form_bench_field(&bench, "right loop mm")->if_empty, "");
    for (size_t i = 0; i < sizeof plans / sizeof plans[0]; i++) {
        const struct form_field *field = form_bench_field(&bench, plans[i].label);
        assert_string_equal(field->if_empty, plans[i].offered);
        assert_string_equal(field->entered, ""); /* offered, never filled in */
    }
    form_bench_fill(&bench, "sides in plan", "");
    assert_null(form_bench_field(&bench, "planned right - left mm")); /* of both sides only */
    form_bench_says(&bench, "A new upper expander; the last was taken out on 2026-05-22.");
    form_bench_says(&bench, "a fit check is missing or failed");
    form_bench_save(&bench, "");
    const struct history *history = form_bench_history(&bench);
    assert_int_equal(history->expander_count, 2);
    assert_int_equal(of_arch(history, ARCH_UPPER, true)->sides, SIDES_RIGHT);
    assert_int_equal(of_arch(history, ARCH_UPPER, true)->passive_ends, ANSWER_NONE);
    form_bench_close(&bench);
}

/* Enter alone, down the whole sheet, records nothing and permits nothing. */
static void what_is_only_offered_is_not_saved(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    begin_bare(&bench, "fit_offered");
    form_bench_open(&bench, FORM_FIT);
    for (int i = bench.form.first; i < bench.form.field_count; i = form_step(&bench.form, i, 1)) {
        enum entry entry = form_enter(&bench.kept.app, &bench.form, i, "", bench.sentence);
        assert_int_equal(entry, ENTRY_TAKEN);
    }
    assert_string_equal(form_bench_field(&bench, "teeth")->shown, "16-26");
    form_bench_refused(&bench, "Nothing was entered but what the sheet offers");
    form_bench_fill(&bench, "trainer handed over today", "1"); /* a change of mind leaves no day */
    form_bench_fill(&bench, "trainer handed over today", "0");
    assert_false(form_bench_field(&bench, "trainer issued on")->filled);
    form_bench_refused(&bench, "Nothing was entered");
    form_bench_fill(&bench, "trainer issued on", "0530"); /* another day is no answer of today */
    form_bench_fill(&bench, "trainer handed over today", "0");
    form_bench_save(&bench, "");
    const struct history *history = form_bench_history(&bench);
    assert_int_equal(history->expander_count, 0); /* nobody planned one */
    assert_int_equal(history->trainer_count, 1);
    assert_int_equal(history->trainers[0].issued_on, bench.maker.today - 2);
    assert_int_equal(history->casefile->consent_on, DAY_NONE);
    assert_int_equal(history->casefile->asked_on, DAY_NONE);
    form_bench_close(&bench);
}

/* A sheet without its fit checks permits nothing, whatever else is good. */
static void a_sheet_without_checks_holds(void **state)
{
    struct form_bench bench = {0};
    struct judgement judgement;

    (void)state;
    case_begin(&bench.maker);
    case_trainer(&bench.maker, 30, CASE_NEVER);
    case_wear(&bench.maker, SOURCE_DIARY, 30, 1, 30);
    form_bench_keep(&bench, "fit_holds");
    form_bench_open(&bench, FORM_FIT);
    form_bench_fill(&bench, "arch", "");
    form_bench_fill(&bench, "fitted on", "2026-06-01");
    plan(&bench);
    form_bench_save(&bench, "");
    struct question question = bench.maker.question;
    assert_true(rules_judge(form_bench_history(&bench), &question, &judgement));
    assert_int_equal(judgement.verdict, VERDICT_HOLD);
    form_bench_open(&bench, FORM_FIT);
    form_bench_fill(&bench, "arch", "upper");
    for (size_t i = 0; i < sizeof checks / sizeof checks[0]; i++)
        form_bench_fill(&bench, checks[i], "yes");
    form_bench_save(&bench, "");
    assert_true(rules_judge(form_bench_history(&bench), &question, &judgement));
    assert_int_not_equal(judgement.verdict, VERDICT_HOLD);
    form_bench_close(&bench);
}

static void a_fit_of_today_keeps_the_booking(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    case_booking(&bench.maker, 0, BOOKING_SEPARATORS, BOOKED_STANDING);
    case_booking(&bench.maker, -7, BOOKING_BANDS, BOOKED_STANDING);
    form_bench_keep(&bench, "fit_booking");
    form_bench_open(&bench, FORM_FIT);
    form_bench_fill(&bench, "arch", "");
    form_bench_fill(&bench, "separators on", "2026-06-01");
    form_bench_save(&bench, "");
    const struct history *history = form_bench_history(&bench);
    for (size_t i = 0; i < history->booking_count; i++)
        assert_int_equal(history->bookings[i].state, history->bookings[i].date == bench.maker.today
                                                         ? BOOKED_KEPT
                                                         : BOOKED_STANDING);
    form_bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fit_is_filled_over_three_visits),
        cmocka_unit_test(days_stand_in_order_and_teeth_in_their_arch),
        cmocka_unit_test(the_lower_arch_follows_and_early_is_told),
        cmocka_unit_test(an_expander_in_place_is_completed_not_doubled),
        cmocka_unit_test(a_refit_takes_the_plan_and_nothing_measured),
        cmocka_unit_test(what_is_only_offered_is_not_saved),
        cmocka_unit_test(a_sheet_without_checks_holds),
        cmocka_unit_test(a_fit_of_today_keeps_the_booking),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
