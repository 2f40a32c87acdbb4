/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Signing at the app layer, over a real store: what is signed with its save and what later, by
 * whom, as what, what waits, and who may change what is signed. 21 CFR 11.50 (printed name,
 * instant, meaning), 11.70 (bound to its record), 11.200(a)(1)(i) (proved at each signing).
 */
#include "form_bench.h"

#include <sqlite3.h>

#include "kept_store.h"
#include "springline/app/authority.h"
#include "springline/app/case_view.h"
#include "springline/app/keep.h"
#include "springline/app/lists_unsigned.h"
#include "springline/app/sign.h"
#include "springline/app/visit.h"
#include "team.h"

static void good(enum status status, const struct error *error)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s: %s", (int)status, error->where, error->sentence);
}

/* ---- a practice, a visit ---- */

static void open_alone(struct form_bench *bench, const char *name)
{
    case_typical(&bench->maker);
    form_bench_keep(bench, name);
}

static void open_team(struct form_bench *bench, const char *name)
{
    open_alone(bench, name);
    team_join(&bench->kept);
}

static void enter(struct form_bench *bench, struct visit_sheet *sheet, enum sheet_item item,
                  const char *typed)
{
    for (int i = 0; i < sheet->field_count; i++) {
        if (sheet->fields[i].item == item &&
            visit_enter(&bench->kept.app, sheet, i, typed, bench->sentence) != ENTRY_TAKEN)
            fail_msg("%s: %s", typed, bench->sentence);
    }
}

/* The visit of today, entered as far as the save; proof as it was given. */
static enum status save_visit(struct form_bench *bench, enum proof proof, bool *is_signed)
{
    struct visit_sheet sheet;

    good(visit_open(&bench->kept.app, &bench->kept.casefile, &sheet, &bench->error), &bench->error);
    enter(bench, &sheet, ITEM_TISSUE, "0");
    enter(bench, &sheet, ITEM_HARDWARE, "0");
    enter(bench, &sheet, ITEM_RIGHT, "1");
    enter(bench, &sheet, ITEM_LEFT, "1");
    sheet.proof = proof;
    enum status status = visit_save(&bench->kept.app, &sheet, 0, "", &bench->error);
    *is_signed = sheet.is_signed;
    assert_int_equal(sheet.proof, PROOF_NONE); /* a proof counts for one try */
    visit_release(&sheet);
    return status;
}

static enum proof prove(struct form_bench *bench, const char *typed)
{
    enum proof proof;

    good(sign_prove(&bench->kept.app, "C-0001", typed, &proof, &bench->error), &bench->error);
    return proof;
}

static int64_t number(const struct form_bench *bench, const char *sql)
{
    return kept_number(bench->kept.path, sql);
}

static const struct visit *newest_visit(struct form_bench *bench)
{
    const struct history *history = form_bench_history(bench);
    const struct visit *newest = NULL;

    for (size_t i = 0; i < history->visit_count; i++) {
        if (newest == NULL || history->visits[i].head.sequence > newest->head.sequence)
            newest = &history->visits[i];
    }
    assert_non_null(newest);
    return newest;
}

static size_t waiting(struct form_bench *bench, struct unsigned_list *list)
{
    arena_clear(&bench->arena);
    good(lists_unsigned(&bench->kept.app, "", &bench->arena, list, &bench->error), &bench->error);
    return list->count;
}

static void assert_sound(struct form_bench *bench)
{
    struct text out = {0};

    if (app_verify(&bench->kept.app, &out, &bench->error) != STATUS_OK)
        fail_msg("%s\n%s", bench->error.sentence, text_string(&out));
    text_release(&out);
}

/* The one signature: its words, that its hash is that of the ledger row of what it stands under,
 * and that it comes last in its save. */
static void assert_signature(struct form_bench *bench, const char *kind, const char *meaning,
                             const char *proof)
{
    char sql[600];

    snprintf(sql, sizeof sql,
             "SELECT count(*) FROM signature AS sign JOIN ledger ON lower(hex(ledger.row)) = "
             "sign.row AND ledger.kind = sign.kind WHERE sign.kind = '%s' AND sign.meaning = '%s' "
             "AND sign.proof = '%s' AND sign.name = (SELECT name FROM person WHERE record = "
             "sign.person ORDER BY version DESC LIMIT 1) AND sign.row_hash = "
             "lower(hex(ledger.hash)) AND sign.sequence = (SELECT max(sequence) FROM ledger)",
             kind, meaning, proof);
    assert_int_equal(number(bench, sql), 1);
}

/* ---- with the save ---- */

static void whoever_works_alone_signs_with_the_save(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;
    bool is_signed;

    (void)state;
    open_alone(&bench, "sign_alone");
    assert_int_equal(sign_way(&bench.kept.app), SIGN_AT_ONCE);
    good(save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    assert_true(is_signed);
    assert_signature(&bench, "visit", "examined-and-decided", "alone");
    assert_int_equal(waiting(&bench, &list), 0); /* nor do the imported visits of before */
    assert_sound(&bench);
    form_bench_close(&bench);
}

static void a_pin_signs_with_the_save_and_nothing_typed_does_not(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;
    bool is_signed;

    (void)state;
    open_team(&bench, "sign_pin");
    assert_int_equal(sign_way(&bench.kept.app), SIGN_BY_PIN);
    good(save_visit(&bench, prove(&bench, ""), &is_signed), &bench.error);
    assert_false(is_signed);
    assert_int_equal(number(&bench, "SELECT count(*) FROM signature"), 0);
    assert_int_equal(waiting(&bench, &list), 1);
    assert_int_equal(list.rows[0].days, 0);
    assert_string_equal(list.rows[0].by, "Dr Ada Example");
    assert_string_equal(list.rows[0].number, "C-0001");
    assert_true(strncmp(list.rows[0].what, "upper activation R 1.00 L 1.00", 30) == 0);
    assert_sound(&bench);
    form_bench_close(&bench);

    bench = (struct form_bench){0};
    open_team(&bench, "sign_pin_two");
    good(save_visit(&bench, prove(&bench, TEAM_PIN), &is_signed), &bench.error);
    assert_true(is_signed);
    assert_signature(&bench, "visit", "examined-and-decided", "pin");
    assert_int_equal(number(&bench, "SELECT count(*) FROM signature WHERE name = 'Dr Ada Example'"),
                     1);
    assert_int_equal(waiting(&bench, &list), 0);
    assert_sound(&bench);
    form_bench_close(&bench);
}

/* A save whose answer was lost is tried again: what it was then is told, and nothing twice. */
static void a_save_tried_twice_is_signed_once(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    open_team(&bench, "sign_twice");
    form_bench_open(&bench, FORM_CHECK);
    form_bench_fill(&bench, "kind", "2");
    form_bench_fill(&bench, "date", "");
    bench.form.proof = prove(&bench, TEAM_PIN);
    form_bench_save(&bench, "");
    assert_non_null(strstr(form_saved(&bench.form), "; signed."));
    good(form_save(&bench.kept.app, &bench.form, "", &bench.error), &bench.error);
    assert_non_null(strstr(form_saved(&bench.form), "; signed."));
    assert_int_equal(number(&bench, "SELECT count(*) FROM signature"), 1);
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
    open_team(&bench, "sign_counts");
    kept_text(bench.kept.path, state_sql, signed_state, sizeof signed_state);
    good(save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    kept_text(bench.kept.path, state_sql, unsigned_state, sizeof unsigned_state);
    assert_string_not_equal(signed_state, unsigned_state);
    form_bench_close(&bench);

    bench = (struct form_bench){0};
    open_team(&bench, "sign_counts_two");
    good(save_visit(&bench, prove(&bench, TEAM_PIN), &is_signed), &bench.error);
    kept_text(bench.kept.path, state_sql, signed_state, sizeof signed_state);
    assert_string_equal(signed_state, unsigned_state);
    form_bench_close(&bench);
}

static void a_wrong_pin_signs_nothing_and_is_said(void **state)
{
    struct form_bench bench = {0};
    enum proof proof;

    (void)state;
    open_team(&bench, "sign_wrong");
    assert_int_equal(sign_prove(&bench.kept.app, "C-0001", "2581", &proof, &bench.error),
                     STATUS_REFUSED);
    assert_int_equal(proof, PROOF_NONE);
    assert_true(strlen(bench.error.sentence) > 10);
    /* Too short for a PIN: a slip of the hand is no try. */
    assert_int_equal(number(&bench, "SELECT pin_failures FROM secret"), 1);
    assert_int_equal(sign_prove(&bench.kept.app, "C-0001", "1", &proof, &bench.error),
                     STATUS_INPUT);
    assert_int_equal(number(&bench, "SELECT pin_failures FROM secret"), 1);
    assert_int_equal(prove(&bench, TEAM_PASSPHRASE), PROOF_PASSPHRASE);
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
    open_team(&bench, "sign_assistant");
    team_sit(&bench.kept, "ben");
    assert_int_equal(sign_way(&bench.kept.app), SIGN_LATER);
    assert_int_equal(sign_prove(&bench.kept.app, "C-0001", TEAM_PIN, &proof, &bench.error),
                     STATUS_REFUSED);
    assert_int_equal(number(&bench,
                            "SELECT count(*) FROM access WHERE what = 'refused' AND command "
                            "= 'sign' AND login = 'ben' AND subject = 'C-0001'"),
                     1);
    /* A proof that was got in another way signs nothing either, and nothing is saved. */
    int64_t visits = number(&bench, "SELECT count(*) FROM visit");
    assert_int_equal(save_visit(&bench, PROOF_PIN, &is_signed), STATUS_REFUSED);
    assert_int_equal(save_visit(&bench, PROOF_ALONE, &is_signed), STATUS_REFUSED);
    assert_int_equal(number(&bench, "SELECT count(*) FROM visit"), visits);
    good(save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    assert_false(is_signed);
    assert_int_equal(waiting(&bench, &list), 1);
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

static enum status later(struct form_bench *bench, const struct id *record, const char *typed)
{
    struct to_sign shown;

    enum status status = sign_ask(&bench->kept.app, record, &shown, &bench->error);
    return status == STATUS_OK ? sign_later(&bench->kept.app, record, &shown, typed, &bench->error)
                               : status;
}

static void it_is_signed_later_and_once(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;
    bool is_signed;

    (void)state;
    open_team(&bench, "sign_later");
    team_sit(&bench.kept, "ben");
    good(save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    struct id record = newest_visit(&bench)->head.record;
    assert_int_equal(later(&bench, &record, TEAM_PIN), STATUS_REFUSED); /* Ben */
    team_sit(&bench.kept, "ada");
    assert_int_equal(later(&bench, &record, ""), STATUS_REFUSED);
    assert_int_equal(later(&bench, &record, "2222"), STATUS_REFUSED);
    assert_int_equal(number(&bench, "SELECT count(*) FROM signature"), 0);
    good(later(&bench, &record, TEAM_PIN), &bench.error);
    assert_signature(&bench, "visit", "examined-and-decided", "pin");
    assert_int_equal(waiting(&bench, &list), 0);
    assert_int_equal(later(&bench, &record, TEAM_PIN), STATUS_INPUT);
    assert_string_equal(bench.error.sentence, "This is signed already.");
    assert_sound(&bench);
    form_bench_close(&bench);
}

/* What came with an import was seen by nobody here; a founder without secrets can not sign. */
static void nobody_signs_what_they_did_not_see_or_without_a_secret(void **state)
{
    struct form_bench bench = {0};
    bool is_signed;

    (void)state;
    open_team(&bench, "sign_imported");
    struct id imported = form_bench_history(&bench)->visits[0].head.record;
    assert_int_equal(later(&bench, &imported, TEAM_PIN), STATUS_INPUT);
    assert_non_null(strstr(bench.error.sentence, "came with an import"));
    team_sit(&bench.kept, "founder");
    good(save_visit(&bench, prove(&bench, ""), &is_signed), &bench.error);
    struct id record = newest_visit(&bench)->head.record;
    assert_int_equal(later(&bench, &record, "2580"), STATUS_REFUSED);
    form_bench_close(&bench);
}

static void what_changed_since_it_was_shown_is_not_signed(void **state)
{
    struct form_bench bench = {0};
    struct to_sign shown;
    bool is_signed;

    (void)state;
    open_team(&bench, "sign_conflict");
    good(save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    struct visit visit = *newest_visit(&bench);
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
    assert_int_equal(number(&bench, "SELECT count(*) FROM signature"), 0);
    form_bench_close(&bench);
}

/* ---- corrections and withdrawals ---- */

static enum status change(struct form_bench *bench, enum form_kind kind, const struct id *row)
{
    struct form_subject subject = {.record = RECORD_VISIT, .row = *row};

    form_release(&bench->form);
    return form_open(&bench->kept.app, kind, &subject, &bench->form, &bench->error);
}

static void corrected(struct form_bench *bench, const char *note, enum proof proof)
{
    struct id row = newest_visit(bench)->head.id;

    good(change(bench, FORM_CORRECT, &row), &bench->error);
    assert_true(form_signs(&bench->form));
    form_bench_fill(bench, "note", note);
    bench->form.proof = proof;
    form_bench_save(bench, "a slip");
}

static void a_correction_needs_a_signature_of_its_own(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;
    bool is_signed;

    (void)state;
    open_team(&bench, "sign_correct");
    good(save_visit(&bench, prove(&bench, TEAM_PIN), &is_signed), &bench.error);
    corrected(&bench, "seen with her mother", PROOF_NONE);
    assert_non_null(strstr(form_saved(&bench.form), "; not signed yet."));
    assert_int_equal(waiting(&bench, &list), 1);
    assert_string_equal(lists_unsigned_sort(&list.rows[0]), "correction");
    good(later(&bench, &list.rows[0].record, TEAM_PIN), &bench.error);
    assert_signature(&bench, "visit", "corrected", "pin");
    corrected(&bench, "seen with her father", prove(&bench, TEAM_PIN));
    assert_non_null(strstr(form_saved(&bench.form), "; signed."));
    assert_int_equal(bench.form.proof, PROOF_NONE);
    assert_int_equal(number(&bench, "SELECT count(*) FROM signature"), 3);
    assert_int_equal(waiting(&bench, &list), 0);
    assert_sound(&bench);
    form_bench_close(&bench);
}

static void a_withdrawal_is_signed_as_withdrawn(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;
    bool is_signed;

    (void)state;
    open_team(&bench, "sign_withdraw");
    good(save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    struct visit visit = *newest_visit(&bench);
    good(change(&bench, FORM_WITHDRAW, &visit.head.id), &bench.error);
    assert_true(form_signs(&bench.form));
    form_bench_save(&bench, "wrong child");
    assert_int_equal(waiting(&bench, &list), 1); /* of the two, what counts now */
    assert_string_equal(lists_unsigned_sort(&list.rows[0]), "withdrawal");
    assert_true(list.rows[0].withdrawal);
    good(later(&bench, &visit.head.record, TEAM_PIN), &bench.error);
    assert_signature(&bench, "withdrawal", "withdrawn", "pin");
    assert_int_equal(waiting(&bench, &list), 0);
    assert_sound(&bench);
    form_bench_close(&bench);

    bench = (struct form_bench){0};
    open_team(&bench, "sign_withdraw_two");
    struct id imported = form_bench_history(&bench)->visits[0].head.id;
    good(change(&bench, FORM_WITHDRAW, &imported), &bench.error);
    bench.form.proof = prove(&bench, TEAM_PIN);
    form_bench_save(&bench, "of another child"); /* of an imported visit too: it is decided here */
    assert_signature(&bench, "withdrawal", "withdrawn", "pin");
    assert_sound(&bench);
    form_bench_close(&bench);
}

static void what_is_signed_is_an_orthodontists_to_change(void **state)
{
    struct form_bench bench = {0};
    bool is_signed;

    (void)state;
    open_team(&bench, "sign_amend");
    team_sit(&bench.kept, "ben");
    good(save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    corrected(&bench, "Ben's own, unsigned", PROOF_NONE); /* nobody answers for it yet */
    struct visit visit = *newest_visit(&bench);
    /* Ben begins, Ada signs at another seat, Ben saves. */
    good(change(&bench, FORM_CORRECT, &visit.head.id), &bench.error);
    form_bench_fill(&bench, "note", "once more");
    team_sit(&bench.kept, "ada");
    good(later(&bench, &visit.head.record, TEAM_PIN), &bench.error);
    team_sit(&bench.kept, "ben");
    assert_int_equal(form_save(&bench.kept.app, &bench.form, "a slip", &bench.error),
                     STATUS_REFUSED);
    assert_non_null(strstr(bench.error.sentence, "orthodontist"));
    assert_int_equal(number(&bench,
                            "SELECT count(*) FROM access WHERE what = 'refused' AND command "
                            "= 'amend' AND login = 'ben' AND subject = 'C-0001'"),
                     1);
    assert_int_equal(change(&bench, FORM_CORRECT, &visit.head.id), STATUS_REFUSED);
    assert_int_equal(change(&bench, FORM_WITHDRAW, &visit.head.id), STATUS_REFUSED);
    /* Signed once, it stays so, however it was corrected since. */
    team_sit(&bench.kept, "ada");
    corrected(&bench, "Ada's, not signed", PROOF_NONE);
    struct id row = newest_visit(&bench)->head.id;
    team_sit(&bench.kept, "ben");
    assert_int_equal(change(&bench, FORM_CORRECT, &row), STATUS_REFUSED);
    form_bench_close(&bench);
}

/* ---- what is no visit, and what was before ---- */

static void that_nobody_came_is_not_signed_but_a_visit_made_of_it_is(void **state)
{
    struct form_bench bench = {0};
    struct unsigned_list list;

    (void)state;
    open_team(&bench, "sign_missed");
    form_bench_open(&bench, FORM_MISSED);
    form_bench_fill(&bench, "missed on", "0531");
    assert_false(form_signs(&bench.form));
    form_bench_save(&bench, "");
    assert_int_equal(waiting(&bench, &list), 0);
    form_bench_open(&bench, FORM_CHECK);
    form_bench_fill(&bench, "kind", "2");
    form_bench_fill(&bench, "date", "");
    assert_true(form_signs(&bench.form));
    form_bench_save(&bench, "");
    assert_int_equal(waiting(&bench, &list), 1);
    /* Corrected into one that was missed, its findings would be gone: that is signed. */
    struct id row = list.rows[0].row, record = list.rows[0].record;
    good(later(&bench, &record, TEAM_PIN), &bench.error);
    good(change(&bench, FORM_CORRECT, &row), &bench.error);
    form_bench_fill(&bench, "kind of visit", "7");
    assert_true(form_signs(&bench.form));
    form_bench_save(&bench, "she did not come");
    assert_int_equal(waiting(&bench, &list), 1);
    assert_int_equal(list.rows[0].kind, VISIT_MISSED);
    good(later(&bench, &record, TEAM_PIN), &bench.error);
    assert_sound(&bench);
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
    open_team(&bench, "sign_undo");
    snprintf(batch, sizeof batch, "@%lld",
             (long long)number(&bench, "SELECT sequence FROM request WHERE imported = 1"));
    good(keep_undo_import(&bench.kept.app, batch, &out, &bench.error), &bench.error);
    text_release(&out);
    assert_true(number(&bench, "SELECT count(*) FROM withdrawal WHERE kind = 'visit'") > 0);
    assert_int_equal(waiting(&bench, &list), 0);
    assert_sound(&bench);
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
    open_team(&bench, "sign_before");
    good(save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    struct visit visit = *newest_visit(&bench);
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
    assert_int_equal(waiting(&bench, &list), 0);
    day month = day_month_start(bench.kept.app.today, 0);
    good(sign_unsigned_in_month(&bench.kept.app, month, STORE_NOW, &sums, &bench.error),
         &bench.error);
    assert_int_equal(sums.before, 1);
    assert_int_equal(sums.visits, 0);
    good(later(&bench, &visit.head.record, TEAM_PIN), &bench.error); /* it may be, all the same */
    good(sign_unsigned_in_month(&bench.kept.app, month, STORE_NOW, &sums, &bench.error),
         &bench.error);
    assert_int_equal(sums.before, 0);
    assert_sound(&bench);
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
    open_team(&bench, "sign_month");
    struct app *app = &bench.kept.app;
    day month = day_month_start(app->today, 0);
    good(store_head(app->store, &before, hash, &bench.error), &bench.error);
    good(save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    struct visit visit = *newest_visit(&bench);
    good(store_head(app->store, &saved, hash, &bench.error), &bench.error);
    good(change(&bench, FORM_WITHDRAW, &visit.head.id), &bench.error);
    form_bench_save(&bench, "wrong child");
    good(store_head(app->store, &withdrawn, hash, &bench.error), &bench.error);
    good(later(&bench, &visit.head.record, TEAM_PIN), &bench.error);

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
    open_team(&bench, "sign_told");
    good(save_visit(&bench, PROOF_NONE, &is_signed), &bench.error);
    struct id record = newest_visit(&bench)->head.record;
    record_page(&bench, &record, &page);
    holds(&page, "NOT SIGNED: it counts, and waits for an orthodontist to sign it\n");
    arena_clear(&bench.arena);
    good(case_view_read(&bench.kept.app, &bench.kept.casefile, "unsigned", &bench.arena, &view,
                        &bench.error),
         &bench.error);
    assert_int_equal(view.count, 1); /* found by the word that stands in its row */
    assert_true(strncmp(view.rows[0].what, "unsigned: upper activation", 26) == 0);
    good(later(&bench, &record, TEAM_PIN), &bench.error);
    corrected(&bench, "seen with her mother", PROOF_NONE);
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
        cmocka_unit_test(whoever_works_alone_signs_with_the_save),
        cmocka_unit_test(a_pin_signs_with_the_save_and_nothing_typed_does_not),
        cmocka_unit_test(a_save_tried_twice_is_signed_once),
        cmocka_unit_test(unsigned_it_counts_all_the_same),
        cmocka_unit_test(a_wrong_pin_signs_nothing_and_is_said),
        cmocka_unit_test(an_assistants_visit_waits_for_an_orthodontist),
        cmocka_unit_test(it_is_signed_later_and_once),
        cmocka_unit_test(nobody_signs_what_they_did_not_see_or_without_a_secret),
        cmocka_unit_test(what_changed_since_it_was_shown_is_not_signed),
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
