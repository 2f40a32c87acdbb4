/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Signing at the app layer, over a real store: with the save and later, by whom, and what waits.
 * 21 CFR 11.50 (printed name, instant, meaning), 11.70 (bound to its record), 11.200(a)(1)(i)
 * (proved at each signing).
 */
#include "signing.h"

#include <sqlite3.h>

#include "kept_store.h"
#include "springline/app/case_view.h"
#include "springline/app/keep.h"
#include "team.h"

static void good(enum status status, const struct error *error)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s: %s", (int)status, error->where, error->sentence);
}

/* ---- with the save ---- */

static void whoever_works_alone_signs_with_the_save(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;
    bool is_signed;

    (void)state;
    signing_open_alone(&bench, "sign_alone");
    assert_int_equal(sign_way(&bench.kept.app), SIGN_AT_ONCE);
    good(signing_save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    assert_true(is_signed);
    signing_assert_signature(&bench, "visit", "examined-and-decided", "alone");
    assert_int_equal(signing_waiting(&bench, &list), 0); /* nor do the imported visits of before */
    signing_assert_sound(&bench);
    form_bench_close(&bench);
}

static void a_pin_signs_with_the_save_and_nothing_typed_does_not(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;
    bool is_signed;

    (void)state;
    signing_open(&bench, "sign_pin");
    assert_int_equal(sign_way(&bench.kept.app), SIGN_BY_PIN);
    good(signing_save_visit(&bench, signing_prove(&bench, ""), &is_signed), &bench.error);
    assert_false(is_signed);
    assert_int_equal(signing_number(&bench, "SELECT count(*) FROM signature"), 0);
    assert_int_equal(signing_waiting(&bench, &list), 1);
    assert_int_equal(list.rows[0].days, 0);
    assert_string_equal(list.rows[0].by, "Dr Ada Example");
    assert_string_equal(list.rows[0].number, "C-0001");
    assert_true(strncmp(list.rows[0].what, "upper activation R 1.00 L 1.00", 30) == 0);
    signing_assert_sound(&bench);
    form_bench_close(&bench);

    bench = (struct form_bench){0};
    signing_open(&bench, "sign_pin_two");
    good(signing_save_visit(&bench, signing_prove(&bench, TEAM_PIN), &is_signed), &bench.error);
    assert_true(is_signed);
    signing_assert_signature(&bench, "visit", "examined-and-decided", "pin");
    assert_int_equal(
        signing_number(&bench, "SELECT count(*) FROM signature WHERE name = 'Dr Ada Example'"), 1);
    assert_int_equal(signing_waiting(&bench, &list), 0);
    signing_assert_sound(&bench);
    form_bench_close(&bench);
}

/* A save whose answer was lost is tried again: what it was then is told, and nothing twice. */
static void a_save_tried_twice_is_signed_once(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    signing_open(&bench, "sign_twice");
    form_bench_open(&bench, FORM_CHECK);
    form_bench_fill(&bench, "kind", "2");
    form_bench_fill(&bench, "date", "");
    bench.form.proof = signing_prove(&bench, TEAM_PIN);
    form_bench_save(&bench, "");
    assert_non_null(strstr(form_saved(&bench.form), "; signed."));
    good(form_save(&bench.kept.app, &bench.form, "", &bench.error), &bench.error);
    assert_non_null(strstr(form_saved(&bench.form), "; signed."));
    assert_int_equal(signing_number(&bench, "SELECT count(*) FROM signature"), 1);
    form_bench_close(&bench);
}

/* A saved visit counts at once: what is permitted and due follows from it, signed or not. */
static void unsigned_it_counts_all_the_same(void **state)
{
    static const char state_sql[] =
        "SELECT group_concat(coalesce(stage, '') || coalesce(last_seen, '') || coalesce(due_from, "
        "'') || coalesce(due_to, '') || last_verdict) FROM case_state";
    char unsigned_state[400], signed_state[400];
    struct form_bench bench = {0};
    bool is_signed;

    (void)state;
    signing_open(&bench, "sign_counts");
    kept_text(bench.kept.path, state_sql, signed_state, sizeof signed_state);
    good(signing_save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    kept_text(bench.kept.path, state_sql, unsigned_state, sizeof unsigned_state);
    assert_string_not_equal(signed_state, unsigned_state);
    form_bench_close(&bench);

    bench = (struct form_bench){0};
    signing_open(&bench, "sign_counts_two");
    good(signing_save_visit(&bench, signing_prove(&bench, TEAM_PIN), &is_signed), &bench.error);
    kept_text(bench.kept.path, state_sql, signed_state, sizeof signed_state);
    assert_string_equal(signed_state, unsigned_state);
    form_bench_close(&bench);
}

static void a_wrong_pin_signs_nothing_and_is_said(void **state)
{
    struct form_bench bench = {0};
    enum proof proof;

    (void)state;
    signing_open(&bench, "sign_wrong");
    assert_int_equal(sign_prove(&bench.kept.app, "C-0001", "2581", &proof, &bench.error),
                     STATUS_REFUSED);
    assert_int_equal(proof, PROOF_NONE);
    assert_true(strlen(bench.error.sentence) > 10);
    /* Too short for a PIN: a slip of the hand is no try. */
    assert_int_equal(signing_number(&bench, "SELECT pin_failures FROM secret"), 1);
    assert_int_equal(sign_prove(&bench.kept.app, "C-0001", "1", &proof, &bench.error),
                     STATUS_INPUT);
    assert_int_equal(signing_number(&bench, "SELECT pin_failures FROM secret"), 1);
    assert_int_equal(signing_prove(&bench, TEAM_PASSPHRASE), PROOF_PASSPHRASE);
    form_bench_close(&bench);
}

static void an_assistants_visit_waits_for_an_orthodontist(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;
    struct text line = {0};
    enum proof proof;
    bool is_signed;

    (void)state;
    signing_open(&bench, "sign_assistant");
    team_sit(&bench.kept, "ben");
    assert_int_equal(sign_way(&bench.kept.app), SIGN_LATER);
    assert_int_equal(sign_prove(&bench.kept.app, "C-0001", TEAM_PIN, &proof, &bench.error),
                     STATUS_REFUSED);
    assert_int_equal(
        signing_number(&bench, "SELECT count(*) FROM access WHERE what = 'refused' AND command "
                               "= 'sign' AND login = 'ben' AND subject = 'C-0001'"),
        1);
    /* A proof that was got in another way signs nothing either, and nothing is saved. */
    int64_t visits = signing_number(&bench, "SELECT count(*) FROM visit");
    assert_int_equal(signing_save_visit(&bench, PROOF_PIN, &is_signed), STATUS_REFUSED);
    assert_int_equal(signing_save_visit(&bench, PROOF_ALONE, &is_signed), STATUS_REFUSED);
    assert_int_equal(signing_number(&bench, "SELECT count(*) FROM visit"), visits);
    good(signing_save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    assert_false(is_signed);
    assert_int_equal(signing_waiting(&bench, &list), 1);
    assert_string_equal(list.rows[0].by, "Ben Benchworth");
    /* Chased: in the line of the day's list, for whom it concerns, with the days it waits. */
    bench.kept.now += 12 * 86400;
    good(lists_unsigned_line(&bench.kept.app, &line, &bench.error), &bench.error);
    assert_string_equal(text_string(&line), "1 visit unsigned, oldest 12 days");
    text_clear(&line);
    team_sit(&bench.kept, "dee");
    good(lists_unsigned_line(&bench.kept.app, &line, &bench.error), &bench.error);
    assert_string_equal(text_string(&line), "");
    text_release(&line);
    form_bench_close(&bench);
}

/* ---- later ---- */

static void it_is_signed_later_and_once(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;
    bool is_signed;

    (void)state;
    signing_open(&bench, "sign_later");
    team_sit(&bench.kept, "ben");
    good(signing_save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    struct id record = signing_newest(&bench)->head.record;
    assert_int_equal(signing_later(&bench, &record, TEAM_PIN), STATUS_REFUSED); /* Ben */
    team_sit(&bench.kept, "ada");
    assert_int_equal(signing_later(&bench, &record, ""), STATUS_REFUSED);
    assert_int_equal(signing_later(&bench, &record, "2222"), STATUS_REFUSED);
    assert_int_equal(signing_number(&bench, "SELECT count(*) FROM signature"), 0);
    good(signing_later(&bench, &record, TEAM_PIN), &bench.error);
    signing_assert_signature(&bench, "visit", "examined-and-decided", "pin");
    assert_int_equal(signing_waiting(&bench, &list), 0);
    assert_int_equal(signing_later(&bench, &record, TEAM_PIN), STATUS_INPUT);
    assert_string_equal(bench.error.sentence, "This is signed already.");
    signing_assert_sound(&bench);
    form_bench_close(&bench);
}

/* What came with an import was seen by nobody here; a founder without secrets can not sign. */
static void nobody_signs_what_they_did_not_see_or_without_a_secret(void **state)
{
    struct form_bench bench = {0};
    bool is_signed;

    (void)state;
    signing_open(&bench, "sign_imported");
    struct id imported = form_bench_history(&bench)->visits[0].head.record;
    assert_int_equal(signing_later(&bench, &imported, TEAM_PIN), STATUS_INPUT);
    assert_non_null(strstr(bench.error.sentence, "came with an import"));
    team_sit(&bench.kept, "founder");
    good(signing_save_visit(&bench, signing_prove(&bench, ""), &is_signed), &bench.error);
    struct id record = signing_newest(&bench)->head.record;
    assert_int_equal(signing_later(&bench, &record, "2580"), STATUS_REFUSED);
    form_bench_close(&bench);
}

static void what_changed_since_it_was_shown_is_not_signed(void **state)
{
    struct form_bench bench = {0};
    struct to_sign shown;
    bool is_signed;

    (void)state;
    signing_open(&bench, "sign_conflict");
    good(signing_save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    struct visit visit = *signing_newest(&bench);
    good(sign_ask(&bench.kept.app, &visit.head.record, &shown, &bench.error), &bench.error);
    bench.form.subject = (struct form_subject){0};
    struct form_subject subject = {.record = RECORD_VISIT, .row = visit.head.id};
    good(form_open(&bench.kept.app, FORM_CORRECT, &subject, &bench.form, &bench.error),
         &bench.error);
    form_bench_fill(&bench, "note", "seen with her mother");
    form_bench_save(&bench, "was left out");
    assert_int_equal(
        sign_later(&bench.kept.app, &visit.head.record, &shown, TEAM_PIN, &bench.error),
        STATUS_CONFLICT);
    assert_int_equal(signing_number(&bench, "SELECT count(*) FROM signature"), 0);
    form_bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(whoever_works_alone_signs_with_the_save),
        cmocka_unit_test(a_pin_signs_with_the_save_and_nothing_typed_does_not),
        cmocka_unit_test(a_save_tried_twice_is_signed_once),
        cmocka_unit_test(unsigned_it_counts_all_the_same),
        cmocka_unit_test(a_wrong_pin_signs_nothing_and_is_said),
        cmocka_unit_test(an_assistants_visit_waits_for_an_orthodontist),
        cmocka_unit_test(it_is_signed_later_and_once),
        cmocka_unit_test(nobody_signs_what_they_did_not_see_or_without_a_secret),
        cmocka_unit_test(what_changed_since_it_was_shown_is_not_signed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
