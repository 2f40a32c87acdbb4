/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * verify works every stored verdict out again. Of a practice that has worked for months every one
 * comes out as it was stored; one that was altered, or a row behind it, is named though the whole
 * ledger was hashed anew, which the chain alone can not see.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "../../src/store/handle.h"
#include "chance.h"
#include "entered.h"
#include "forge.h"
#include "kept_store.h"
#include "springline/core/rules.h"

enum { SEED = 2026, ROUNDS = 8, VISITS_A_ROUND = 40 };

/* Enough for so many visits, and never fewer than what every sort of thing needs to happen. */
static int rounds(void)
{
    int wanted = (int)(chance_trials(0) / VISITS_A_ROUND);

    return wanted > ROUNDS ? wanted : ROUNDS;
}

static void must_be_sound(struct entered *entered, struct text *out)
{
    text_clear(out);
    if (app_verify(&entered->app, out, &entered->error) != STATUS_OK)
        fail_msg("%s %s", entered->error.sentence, text_string(out));
}

static void every_verdict_comes_out_as_it_was_stored(void **state)
{
    struct entered *entered = *state;
    struct text out = {0};
    char wanted[100];

    must_be_sound(entered, &out);
    int64_t stored = kept_number(entered->path, "SELECT count(*) FROM judged");
    assert_true(stored > 200);
    (void)snprintf(wanted, sizeof wanted,
                   "verdicts: %lld worked out again, every one as it was stored\n",
                   (long long)stored);
    if (strstr(text_string(&out), wanted) == NULL)
        fail_msg("%s: %s", wanted, text_string(&out));
    assert_null(strstr(text_string(&out), "no damage"));
    /* Nothing that a verdict could be judged by wrongly is missing from what was done. */
    assert_true(entered->both_arches > 10 && entered->overrides > 5 && entered->forms > 10 &&
                entered->corrected > 10 && entered->withdrawn > 3 && entered->settings > 3 &&
                entered->fitted > 5);
    print_message(
        "# figure: %lld stored verdicts worked out again, all as stored: %d sheets (%d of "
        "two arches, %d above the permitted), %d forms, between %d corrections, %d "
        "withdrawals, %d changes of settings\n",
        (long long)stored, entered->sheets, entered->both_arches, entered->overrides,
        entered->forms, entered->corrected, entered->withdrawn, entered->settings);
    text_release(&out);
}

/* ---- behind the program ---- */

/* A stored verdict of which nothing is derived: a later one of its case stands. */
static const char older[] =
    "EXISTS (SELECT 1 FROM visit AS own JOIN visit AS later ON later.casefile = own.casefile "
    "JOIN judged AS newer ON newer.visit = later.id WHERE own.id = judged.visit "
    "AND later.date > own.date) AND EXISTS (SELECT 1 FROM visit_current AS own JOIN "
    "casefile_current AS file ON file.record = own.casefile WHERE own.id = judged.visit)";

/* What is done to one stored verdict that meets a condition, and what is said of it. */
struct forgery {
    const char *change, *condition, *says;
};

/* The id of the verdict, as SQL has it: x'...'. */
static void find_row(const char *path, const struct forgery *forgery, char row[40])
{
    char sql[1200];

    (void)snprintf(sql, sizeof sql,
                   "SELECT 'x''' || hex(id) || '''' FROM judged WHERE %s AND %s ORDER BY id "
                   "LIMIT 1",
                   older, forgery->condition);
    kept_text(path, sql, row, 40);
}

/* Runs SQL and hashes the ledger anew; the copy is opened in place of the store. */
static void forge(struct entered *entered, const struct entered *whole, const char *sql)
{
    *entered = *whole;
    (void)snprintf(entered->path, sizeof entered->path, "%.400s.forged", whole->path);
    entered->source.context = entered;
    entered->app.store = NULL;
    kept_copy(whole->path, entered->path);
    if (forge_sql(entered->path, sql) == 0)
        fail_msg("nothing was changed: %s", sql);
    forge_rehash_signed(entered->path);
    entered_reopen(entered);
}

static void drop_forged(struct entered *entered)
{
    entered_shut(entered);
    assert_int_equal(unlink(entered->path), 0);
}

/* The chain, the references, the file: nothing of it speaks. */
static void chain_is_quiet(struct entered *entered, const char *sql)
{
    struct verify_report report;

    if (store_verify(entered->app.store, &report, &entered->error) != STATUS_OK)
        fail_msg("%s: %s", sql, text_string(&report.findings));
    text_release(&report.findings);
}

/* "verdict of C-0018, visit of 2026-10-30 upper: " of the row. */
static void named(const char *path, const char *row, char *name, size_t size)
{
    char sql[900];

    (void)snprintf(sql, sizeof sql,
                   "SELECT 'verdict of ' || file.\"case\" || ', visit of ' || visit.date || ' ' || "
                   "visit.arch || ': ' FROM judged JOIN visit ON visit.id = judged.visit JOIN "
                   "casefile AS file ON file.id = visit.casefile WHERE judged.id = %s",
                   row);
    kept_text(path, sql, name, size);
}

static const struct forgery forgeries[] = {
    {"verdict = 1, permitted_right_um = 1000", "verdict = 3",
     "hold right 0.00 left 0.00 mm follows from the rows of then"},
    {"permitted_left_um = permitted_left_um + 250", "verdict <= 2", "is stored, "},
    {"permitted_right_um = permitted_right_um - 250", "permitted_right_um >= 250", "is stored, "},
    {"next_to = date(next_to, '+1 day')", "next_to IS NOT NULL", "next visit "},
    {"next_from = NULL, next_to = NULL", "next_to IS NOT NULL", "no next visit is stored"},
    {"findings = '[]'", "verdict = 3", "its reasons are not those"},
    {"findings = replace(findings, '\"rule\":\"wear-unknown\"', '\"rule\":\"wear-thin\"')",
     "findings LIKE '%\"wear-unknown\"%'", "its reasons are not those"},
    {"findings = replace(findings, '\"known\":', '\"known\":1')", "findings LIKE '%\"known\":%'",
     "its reasons are not those"},
    {"protocol = (SELECT id FROM protocol ORDER BY sequence LIMIT 1)",
     "protocol <> (SELECT id FROM protocol ORDER BY sequence LIMIT 1)",
     "its protocol is not the one the case had then"},
    {"width_error_um = width_error_um + 10", "1", "its width error is not that of its protocol"},
};
enum { FORGERIES = sizeof forgeries / sizeof forgeries[0] };

/* Only verify's own look at the verdicts finds it, and says nothing of anything else. */
static void try_forgery(const struct entered *whole, size_t which)
{
    struct entered entered;
    struct text out = {0};
    char sql[600], name[200], row[40];

    find_row(whole->path, &forgeries[which], row);
    named(whole->path, row, name, sizeof name);
    (void)snprintf(sql, sizeof sql, "UPDATE judged SET %s WHERE id = %s", forgeries[which].change,
                   row);
    forge(&entered, whole, sql);
    chain_is_quiet(&entered, sql);
    enum status status = app_verify(&entered.app, &out, &entered.error);
    const char *at = strstr(text_string(&out), name);
    if (status != STATUS_DAMAGED || strcmp(entered.error.where, "judged") != 0 || at == NULL ||
        strstr(at, forgeries[which].says) == NULL)
        fail_msg("%s (%s): %d %s", sql, name, (int)status, text_string(&out));
    assert_non_null(strstr(text_string(&out), "derived states: all follow from the rows\n"));
    if (strncmp(entered.error.sentence, "1 of ", 5) != 0)
        fail_msg("%s: %s %s", sql, entered.error.sentence, text_string(&out));
    text_release(&out);
    drop_forged(&entered);
}

static void an_altered_verdict_is_named(void **state)
{
    entered_shut(*state);
    for (size_t i = 0; i < FORGERIES; i++)
        try_forgery(*state, i);
    entered_reopen(*state);
    print_message(
        "# figure: %d verdicts altered and the ledger hashed anew: %d named, none of them "
        "seen by the chain\n",
        (int)FORGERIES, (int)FORGERIES);
}

/* Not the verdict but what it rested on. */
static void an_altered_row_behind_a_verdict_shows(void **state)
{
    static const char *const changes[] = {
        "UPDATE wear_count SET days_met = 0 WHERE days_met > 9",
        "UPDATE width SET um = um + 4000 WHERE site = 'intermolar' AND method = 'mouth'",
        "UPDATE trainer SET ended_on = '2025-01-01', ended_reason = 'lost'",
        "UPDATE expander SET target_um = 20000",
        "UPDATE protocol SET step_max_um = step_max_um + 250",
        "UPDATE visit SET tissue = 'wound' WHERE tissue = 'none'",
    };
    struct entered *whole = *state;

    entered_shut(whole);
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        struct entered entered;
        struct text out = {0};

        forge(&entered, whole, changes[i]);
        chain_is_quiet(&entered, changes[i]);
        enum status status = app_verify(&entered.app, &out, &entered.error);
        if (status != STATUS_DAMAGED || strstr(text_string(&out), "verdict of C-") == NULL)
            fail_msg("%s: %d %s", changes[i], (int)status, text_string(&out));
        text_release(&out);
        drop_forged(&entered);
    }
    entered_reopen(whole);
}

/* Rules may change, and words: that is told, and is no damage. */
static void other_rules_and_other_words_are_no_damage(void **state)
{
    static const struct forgery tries[] = {
        {"rules_version = 1", "verdict = 3",
         "verdicts of another version of the rules: 1, and of 0 the rules of now give another "
         "answer\n"},
        {"rules_version = 1, verdict = 1, permitted_right_um = 500", "verdict = 3",
         ": given by rules version 1, and by those of now (2) hold right 0.00 left 0.00 mm\n"},
        {"findings = replace(findings, 'The protocol', 'Our protocol')",
         "findings LIKE '%The protocol%'",
         "a reason is worded otherwise than this version words it\n"},
        {"findings = replace(findings, '\"standing\":\"', '\"standing\":\"x')",
         "findings LIKE '%standing%'", "verdicts with a reason in other words: 1\n"},
    };
    struct entered *whole = *state;

    entered_shut(whole);
    for (size_t i = 0; i < sizeof tries / sizeof tries[0]; i++) {
        struct entered entered;
        struct text out = {0};
        char sql[600], row[40];

        find_row(whole->path, &tries[i], row);
        (void)snprintf(sql, sizeof sql, "UPDATE judged SET %s WHERE id = %s", tries[i].change, row);
        forge(&entered, whole, sql);
        must_be_sound(&entered, &out);
        if (strstr(text_string(&out), tries[i].says) == NULL)
            fail_msg("%s: %s", sql, text_string(&out));
        text_release(&out);
        drop_forged(&entered);
    }
    entered_reopen(whole);
}

/* A visit put under a row that is a case's, but not its first: no case shows it. */
static void a_verdict_without_a_case_is_missed(void **state)
{
    static const struct forgery any = {"", "1", ""};
    struct entered *whole = *state, entered;
    struct text out = {0};
    char sql[400], row[40];

    entered_shut(whole);
    find_row(whole->path, &any, row);
    (void)snprintf(
        sql, sizeof sql,
        "UPDATE visit SET casefile = (SELECT id FROM casefile WHERE version > 1 LIMIT 1) "
        "WHERE id = (SELECT visit FROM judged WHERE id = %s)",
        row);
    forge(&entered, whole, sql);
    chain_is_quiet(&entered, "casefile");
    assert_int_equal(app_verify(&entered.app, &out, &entered.error), STATUS_DAMAGED);
    if (strstr(text_string(&out), "verdicts: 1 belong to no case\n") == NULL)
        fail_msg("%s", text_string(&out));
    text_release(&out);
    drop_forged(&entered);
    entered_reopen(whole);
}

/* ---- beside others ---- */

/* Another seat, which saves each time verify begins to read anew, and would not wait. */
struct beside {
    struct store *store;
    struct draft draft;
    int saved;
    struct error error;
};

static int save_beside(unsigned type, void *context, void *statement, void *sql)
{
    struct beside *beside = context;

    (void)type;
    (void)statement;
    if (strcmp(sql, "BEGIN DEFERRED") != 0)
        return 0;
    if (store_put_draft(beside->store, &beside->draft, &beside->error) != STATUS_OK)
        fail_msg("%s", beside->error.sentence);
    beside->saved++;
    return 0;
}

static void saves_are_let_in_between_cases(void **state)
{
    struct entered *entered = *state;
    struct beside beside = {.draft = {.user = "beside", .form = "visit", .content = "typed"}};
    struct text out = {0};

    beside.draft.saved_at = entered->now;
    beside.draft.casefile = entered->cases[0];
    beside.draft.request = entered->cases[0];
    assert_int_equal(store_open(entered->path, &entered->source, &beside.store, &beside.error),
                     STATUS_OK);
    beside.store->wait_ms = 0;
    sqlite3 *db = entered->app.store->db;
    assert_int_equal(sqlite3_trace_v2(db, SQLITE_TRACE_STMT, save_beside, &beside), SQLITE_OK);
    must_be_sound(entered, &out);
    assert_int_equal(sqlite3_trace_v2(db, 0, NULL, NULL), SQLITE_OK);
    assert_true((size_t)beside.saved > entered->case_count);
    text_release(&out);
    store_close(beside.store);
}

static struct entered practice;

static int work(void **state)
{
    const uint64_t seed = chance_seed(SEED);

    entered_open(&practice, "verdicts", seed);
    print_message("# seed %llu\n", (unsigned long long)seed);
    for (int i = 0; i < rounds(); i++)
        entered_round(&practice);
    *state = &practice;
    return 0;
}

static int finish(void **state)
{
    entered_close(*state);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_verdict_comes_out_as_it_was_stored),
        cmocka_unit_test(saves_are_let_in_between_cases),
        cmocka_unit_test(an_altered_verdict_is_named),
        cmocka_unit_test(an_altered_row_behind_a_verdict_shows),
        cmocka_unit_test(other_rules_and_other_words_are_no_damage),
        cmocka_unit_test(a_verdict_without_a_case_is_missed),
    };

    return cmocka_run_group_tests(tests, work, finish);
}
