/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What is signed is changed: corrections and withdrawals have signatures of their own, and only an
 * orthodontist makes them. Then what is no visit, what was before, the month, and what is told: 21
 * CFR 11.50(b).
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

/* ---- corrections and withdrawals ---- */

static void a_correction_needs_a_signature_of_its_own(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;
    bool is_signed;

    (void)state;
    signing_open(&bench, "sign_correct");
    good(signing_save_visit(&bench, signing_prove(&bench, TEAM_PIN), &is_signed), &bench.error);
    signing_correct(&bench, "seen with her mother", PROOF_NONE);
    assert_non_null(strstr(form_saved(&bench.form), "; not signed yet."));
    assert_int_equal(signing_waiting(&bench, &list), 1);
    assert_string_equal(lists_unsigned_sort(&list.rows[0]), "correction");
    good(signing_later(&bench, &list.rows[0].record, TEAM_PIN), &bench.error);
    signing_assert_signature(&bench, "visit", "corrected", "pin");
    signing_correct(&bench, "seen with her father", signing_prove(&bench, TEAM_PIN));
    assert_non_null(strstr(form_saved(&bench.form), "; signed."));
    assert_int_equal(bench.form.proof, PROOF_NONE);
    assert_int_equal(signing_number(&bench, "SELECT count(*) FROM signature"), 3);
    assert_int_equal(signing_waiting(&bench, &list), 0);
    signing_assert_sound(&bench);
    form_bench_close(&bench);
}

static void a_withdrawal_is_signed_as_withdrawn(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;
    bool is_signed;

    (void)state;
    signing_open(&bench, "sign_withdraw");
    good(signing_save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    struct visit visit = *signing_newest(&bench);
    good(signing_change(&bench, FORM_WITHDRAW, &visit.head.id), &bench.error);
    assert_true(form_signs(&bench.form));
    form_bench_save(&bench, "wrong child");
    assert_int_equal(signing_waiting(&bench, &list), 1); /* of the two, what counts now */
    assert_string_equal(lists_unsigned_sort(&list.rows[0]), "withdrawal");
    assert_true(list.rows[0].withdrawal);
    good(signing_later(&bench, &visit.head.record, TEAM_PIN), &bench.error);
    signing_assert_signature(&bench, "withdrawal", "withdrawn", "pin");
    assert_int_equal(signing_waiting(&bench, &list), 0);
    signing_assert_sound(&bench);
    form_bench_close(&bench);

    bench = (struct form_bench){0};
    signing_open(&bench, "sign_withdraw_two");
    struct id imported = form_bench_history(&bench)->visits[0].head.id;
    good(signing_change(&bench, FORM_WITHDRAW, &imported), &bench.error);
    bench.form.proof = signing_prove(&bench, TEAM_PIN);
    form_bench_save(&bench, "of another child"); /* of an imported visit too: it is decided here */
    signing_assert_signature(&bench, "withdrawal", "withdrawn", "pin");
    signing_assert_sound(&bench);
    form_bench_close(&bench);
}

static void what_is_signed_is_an_orthodontists_to_change(void **state)
{
    struct form_bench bench = {0};
    bool is_signed;

    (void)state;
    signing_open(&bench, "sign_amend");
    team_sit(&bench.kept, "ben");
    good(signing_save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    signing_correct(&bench, "Ben's own, unsigned", PROOF_NONE); /* nobody answers for it yet */
    struct visit visit = *signing_newest(&bench);
    /* Ben begins, Ada signs at another seat, Ben saves. */
    good(signing_change(&bench, FORM_CORRECT, &visit.head.id), &bench.error);
    form_bench_fill(&bench, "note", "once more");
    team_sit(&bench.kept, "ada");
    good(signing_later(&bench, &visit.head.record, TEAM_PIN), &bench.error);
    team_sit(&bench.kept, "ben");
    assert_int_equal(form_save(&bench.kept.app, &bench.form, "a slip", &bench.error),
                     STATUS_REFUSED);
    assert_non_null(strstr(bench.error.sentence, "orthodontist"));
    assert_int_equal(
        signing_number(&bench, "SELECT count(*) FROM access WHERE what = 'refused' AND command "
                               "= 'amend' AND login = 'ben' AND subject = 'C-0001'"),
        1);
    assert_int_equal(signing_change(&bench, FORM_CORRECT, &visit.head.id), STATUS_REFUSED);
    assert_int_equal(signing_change(&bench, FORM_WITHDRAW, &visit.head.id), STATUS_REFUSED);
    /* Signed once, it stays so, however it was corrected since. */
    team_sit(&bench.kept, "ada");
    signing_correct(&bench, "Ada's, not signed", PROOF_NONE);
    struct id row = signing_newest(&bench)->head.id;
    team_sit(&bench.kept, "ben");
    assert_int_equal(signing_change(&bench, FORM_CORRECT, &row), STATUS_REFUSED);
    form_bench_close(&bench);
}

/* ---- what is no visit, and what was before ---- */

static void that_nobody_came_is_not_signed_but_a_visit_made_of_it_is(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;

    (void)state;
    signing_open(&bench, "sign_missed");
    form_bench_open(&bench, FORM_MISSED);
    form_bench_fill(&bench, "missed on", "0531");
    assert_false(form_signs(&bench.form));
    form_bench_save(&bench, "");
    assert_int_equal(signing_waiting(&bench, &list), 0);
    form_bench_open(&bench, FORM_CHECK);
    form_bench_fill(&bench, "kind", "2");
    form_bench_fill(&bench, "date", "");
    assert_true(form_signs(&bench.form));
    form_bench_save(&bench, "");
    assert_int_equal(signing_waiting(&bench, &list), 1);
    /* Corrected into one that was missed, its findings would be gone: that is signed. */
    struct id row = list.rows[0].row, record = list.rows[0].record;
    good(signing_later(&bench, &record, TEAM_PIN), &bench.error);
    good(signing_change(&bench, FORM_CORRECT, &row), &bench.error);
    form_bench_fill(&bench, "kind of visit", "7");
    assert_true(form_signs(&bench.form));
    form_bench_save(&bench, "she did not come");
    assert_int_equal(signing_waiting(&bench, &list), 1);
    assert_int_equal(list.rows[0].kind, VISIT_MISSED);
    good(signing_later(&bench, &record, TEAM_PIN), &bench.error);
    signing_assert_sound(&bench);
    form_bench_close(&bench);
}

/* An import that is taken back whole withdraws visits: one decision, not one each. */
static void an_import_taken_back_asks_for_no_signatures(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;
    struct text out = {0};
    char batch[32];

    (void)state;
    signing_open(&bench, "sign_undo");
    snprintf(batch, sizeof batch, "@%lld",
             (long long)signing_number(&bench, "SELECT sequence FROM request WHERE imported = 1"));
    good(keep_undo_import(&bench.kept.app, batch, &out, &bench.error), &bench.error);
    text_release(&out);
    assert_true(signing_number(&bench, "SELECT count(*) FROM withdrawal WHERE kind = 'visit'") > 0);
    assert_int_equal(signing_waiting(&bench, &list), 0);
    signing_assert_sound(&bench);
    form_bench_close(&bench);
}

/* A store of an older version: its visits could not be signed, and nobody is asked for it now. */
static void visits_of_before_are_not_chased(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;
    struct unsigned_sums sums;
    bool is_signed;

    (void)state;
    signing_open(&bench, "sign_before");
    good(signing_save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    struct visit visit = *signing_newest(&bench);
    store_close(bench.kept.app.store);
    bench.kept.app.store = NULL;
    /* As if the rung had been climbed now. */
    assert_int_equal(kept_raw(bench.kept.path, false,
                              "DROP TRIGGER signing_is_never_changed; UPDATE signing SET since = "
                              "(SELECT max(sequence) FROM ledger); DELETE FROM unsigned_row; "
                              "CREATE TRIGGER signing_is_never_changed BEFORE UPDATE ON signing\n"
                              "BEGIN\n    SELECT RAISE(ABORT, 'signing: rows are never changed');\n"
                              "END"),
                     SQLITE_OK);
    store_case_reopen(&bench.kept);
    assert_int_equal(signing_waiting(&bench, &list), 0);
    day month = day_month_start(bench.kept.app.today, 0);
    good(sign_unsigned_in_month(&bench.kept.app, month, STORE_NOW, &sums, &bench.error),
         &bench.error);
    assert_int_equal(sums.before, 1);
    assert_int_equal(sums.visits, 0);
    good(signing_later(&bench, &visit.head.record, TEAM_PIN),
         &bench.error); /* it may be, all the same */
    good(sign_unsigned_in_month(&bench.kept.app, month, STORE_NOW, &sums, &bench.error),
         &bench.error);
    assert_int_equal(sums.before, 0);
    signing_assert_sound(&bench);
    form_bench_close(&bench);
}

/* ---- the month, as of then ---- */

static void a_month_counts_what_was_unsigned_then(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_sums sums;
    bool is_signed;
    uint8_t hash[32];
    int64_t before, saved, withdrawn;

    (void)state;
    signing_open(&bench, "sign_month");
    struct app *app = &bench.kept.app;
    day month = day_month_start(app->today, 0);
    good(store_head(app->store, &before, hash, &bench.error), &bench.error);
    good(signing_save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    struct visit visit = *signing_newest(&bench);
    good(store_head(app->store, &saved, hash, &bench.error), &bench.error);
    good(signing_change(&bench, FORM_WITHDRAW, &visit.head.id), &bench.error);
    form_bench_save(&bench, "wrong child");
    good(store_head(app->store, &withdrawn, hash, &bench.error), &bench.error);
    good(signing_later(&bench, &visit.head.record, TEAM_PIN), &bench.error);

    const struct {
        int64_t as_of, visits, withdrawals;
    } then[] = {{before, 0, 0}, {saved, 1, 0}, {withdrawn, 0, 1}, {STORE_NOW, 0, 0}};
    for (size_t i = 0; i < sizeof then / sizeof then[0]; i++) {
        good(sign_unsigned_in_month(app, month, then[i].as_of, &sums, &bench.error), &bench.error);
        assert_int_equal(sums.visits, then[i].visits);
        assert_int_equal(sums.withdrawals, then[i].withdrawals);
        assert_int_equal(sums.before, 0);
    }
    good(sign_unsigned_in_month(app, day_month_start(month, -1), saved, &sums, &bench.error),
         &bench.error);
    assert_int_equal(sums.visits, 0);
    form_bench_close(&bench);
}

/* ---- what is told ---- */

static void record_page(struct form_bench *bench, const struct id *record, struct text *out)
{
    struct arena arena = {0};
    struct lines lines = {0};

    text_clear(out);
    good(case_view_record(&bench->kept.app, RECORD_VISIT, record, &arena, &lines, &bench->error),
         &bench->error);
    for (size_t i = 0; i < lines.count; i++)
        text_addf(out, "%s\n", lines.line[i]);
    arena_release(&arena);
}

static void holds(const struct text *page, const char *wanted)
{
    if (strstr(text_string(page), wanted) == NULL)
        fail_msg("not on the page: %s\n%s", wanted, text_string(page));
}

/* 21 CFR 11.50(b): name, instant and meaning in every form in which a person reads the record. */
static void the_record_says_who_signed_when_and_as_what(void **state)
{
    struct form_bench bench = {0};
    struct text page = {0};
    struct case_view view;
    bool is_signed;

    (void)state;
    signing_open(&bench, "sign_told");
    good(signing_save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    struct id record = signing_newest(&bench)->head.record;
    record_page(&bench, &record, &page);
    holds(&page, "NOT SIGNED: it counts, and waits for an orthodontist to sign it\n");
    arena_clear(&bench.arena);
    good(case_view_read(&bench.kept.app, &bench.kept.casefile, "unsigned", &bench.arena, &view,
                        &bench.error),
         &bench.error);
    assert_int_equal(view.count, 1); /* found by the word that stands in its row */
    assert_true(strncmp(view.rows[0].what, "unsigned: upper activation", 26) == 0);
    good(signing_later(&bench, &record, TEAM_PIN), &bench.error);
    signing_correct(&bench, "seen with her mother", PROOF_NONE);
    record_page(&bench, &record, &page);
    holds(&page, "version 2: NOT SIGNED");
    holds(&page, "version 1: signed by Dr Ada Example, 2026-06-01 08:0");
    holds(&page, " UTC, examined and decided (PIN)\n");
    struct id imported = form_bench_history(&bench)->visits[0].head.record;
    record_page(&bench, &imported, &page);
    holds(&page, "not signed: it came with an import\n");
    text_release(&page);
    form_bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_correction_needs_a_signature_of_its_own),
        cmocka_unit_test(a_withdrawal_is_signed_as_withdrawn),
        cmocka_unit_test(what_is_signed_is_an_orthodontists_to_change),
        cmocka_unit_test(that_nobody_came_is_not_signed_but_a_visit_made_of_it_is),
        cmocka_unit_test(an_import_taken_back_asks_for_no_signatures),
        cmocka_unit_test(visits_of_before_are_not_chased),
        cmocka_unit_test(a_month_counts_what_was_unsigned_then),
        cmocka_unit_test(the_record_says_who_signed_when_and_as_what),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
