/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Signatures in the hands of somebody who can write the file and hash the whole ledger anew
 * (tests/support/forge.h): the chain finds nothing then, and each signature must still fit the row
 * that it stands under. 21 CFR 11.70: a signature can not be excised, copied or otherwise
 * transferred to another record by ordinary means.
 */
#include "form_bench.h"

#include <sqlite3.h>

#include "forge.h"
#include "kept_store.h"
#include "springline/app/sign.h"
#include "team.h"

static void good(enum status status, const struct error *error)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s: %s", (int)status, error->where, error->sentence);
}

static enum proof prove(struct form_bench *bench)
{
    enum proof proof;

    good(sign_prove(&bench->kept.app, NULL, TEAM_PIN, &proof, &bench->error), &bench->error);
    return proof;
}

/* A check of a day: a visit that is entered in three fields. */
static void add_check(struct form_bench *bench, const char *date, bool with_pin)
{
    form_bench_open(bench, FORM_CHECK);
    form_bench_fill(bench, "kind", "2");
    form_bench_fill(bench, "date", date);
    bench->form.proof = with_pin ? prove(bench) : PROOF_NONE;
    form_bench_save(bench, "");
}

/* One visit signed by Dr Ada, one by Ben that nobody signed, one signed and withdrawn and that
 * signed too; closed. The newest row is a signature. */
static void open_signed(struct form_bench *bench, const char *name)
{
    struct form_subject subject = {.record = RECORD_VISIT};

    case_typical(&bench->maker);
    form_bench_keep(bench, name);
    team_join(&bench->kept);
    add_check(bench, "0530", true);
    const struct history *history = form_bench_history(bench);
    for (size_t i = 0; i < history->visit_count; i++) {
        if (!history->visits[i].head.imported)
            subject.row = history->visits[i].head.id;
    }
    form_release(&bench->form);
    good(form_open(&bench->kept.app, FORM_WITHDRAW, &subject, &bench->form, &bench->error),
         &bench->error);
    bench->form.proof = prove(bench);
    form_bench_save(bench, "wrong child");
    team_sit(&bench->kept, "ben");
    add_check(bench, "0531", false);
    team_sit(&bench->kept, "ada");
    add_check(bench, "0601", true);
    store_close(bench->kept.app.store);
    bench->kept.app.store = NULL;
}

/* Both verifications of a file; the chain's must be sound. */
static enum status verify(struct form_bench *bench, const char *path, struct text *out)
{
    struct app app = bench->kept.app;
    struct verify_report report;

    good(store_open(path, &bench->kept.source, &app.store, &bench->error), &bench->error);
    if (store_verify(app.store, &report, &bench->error) != STATUS_OK)
        fail_msg("%s\n%s", bench->error.sentence, text_string(&report.findings));
    text_release(&report.findings);
    text_clear(out);
    enum status status = app_verify(&app, out, &bench->error);
    store_close(app.store);
    return status;
}

#define COPY "0123456789abcdef0123456789abcdef"
/* The newest signature under another row, whose name goes between the two: the copy has a place of
 * its own at the end of the ledger. */
#define COPIED_UNDER                                                                               \
    "INSERT INTO signature (id, record, version, sequence, recorded_at, practice, person, "        \
    "request, kind, row, row_hash, name, meaning, proof) SELECT x'" COPY "', x'" COPY "', 1, "     \
    "(SELECT max(sequence) + 1 FROM ledger), recorded_at, practice, person, request, kind, "
#define AT_THE_END                                                                                 \
    ", row_hash, name, meaning, proof FROM signature ORDER BY sequence DESC LIMIT 1; "             \
    "INSERT INTO ledger (sequence, kind, row, recorded_at, hash) SELECT sequence, 'signature', "   \
    "id, recorded_at, zeroblob(32) FROM signature WHERE id = x'" COPY "';"
#define NEWEST " WHERE sequence = (SELECT max(sequence) FROM signature)"
#define BENS   "(SELECT lower(hex(id)) FROM visit WHERE date = '2026-05-31')"

static const struct {
    const char *sql, *says;
} forgeries[] = {
    {COPIED_UNDER BENS AT_THE_END, "it was given for another row"}, /* copied to another visit */
    {"UPDATE signature SET row = " BENS NEWEST, "it was given for another row"}, /* moved */
    {"UPDATE signature SET row = " BENS NEWEST, "it waits for a signature, and is not listed"},
    {COPIED_UNDER "row" AT_THE_END, "the row that it signs was signed before"}, /* doubled */
    {"UPDATE signature SET name = 'Dr Eve Example'" NEWEST, "the name is not that of the person"},
    {"UPDATE signature SET person = (SELECT record FROM person WHERE login = 'ben')" NEWEST,
     "whoever signed was no orthodontist then"},
    {"UPDATE signature SET person = NULL" NEWEST, "whoever signed was not among the people then"},
    {"UPDATE signature SET person = (SELECT record FROM person WHERE login = 'founder'), name = "
     "'tester'" NEWEST,
     "it came with a save of somebody else"},
    {"UPDATE signature SET meaning = 'corrected'" NEWEST, "its meaning is none"},
    {"UPDATE signature SET meaning = 'withdrawn'" NEWEST, "its meaning is none"},
    {"UPDATE signature SET proof = 'alone'" NEWEST, "it was given without a proof"},
    {"UPDATE signature SET row = '" COPY "'" NEWEST, "the row that it signs is not in the store"},
    {"UPDATE signature SET kind = 'month_close'" NEWEST, "the row that it signs is not in the"},
    {"UPDATE signature SET row_hash = replace(row_hash, '0', '1')" NEWEST,
     "it was given for another row"},
    /* The visit itself changed under its signature. */
    {"UPDATE visit SET tissue = 'wound' WHERE date = '2026-06-01' AND version = 1",
     "it was given for another row"},
    {"UPDATE withdrawal SET reason = 'some other reason'", "it was given for another row"},
    /* What waits. */
    {"DELETE FROM unsigned_row", "it waits for a signature, and is not listed"},
    {"INSERT INTO unsigned_row SELECT row, kind, zeroblob(16), sequence FROM signature",
     "it is listed as unsigned, and does not wait"},
    {"UPDATE signing SET since = (SELECT max(sequence) FROM ledger); DELETE FROM unsigned_row",
     "signing is said to have begun later"},
    {"DELETE FROM signing", "signing is said to have begun later"},
};

static void each_forgery_is_found_though_the_chain_is_whole(void **state)
{
    struct form_bench bench = {0};
    struct text out = {0};
    char copy[400];

    (void)state;
    open_signed(&bench, "forged");
    if (verify(&bench, bench.kept.path, &out) != STATUS_OK)
        fail_msg("%s\n%s", bench.error.sentence, text_string(&out));
    assert_non_null(
        strstr(text_string(&out), "signatures: 3, each under the row it was given for\n"));
    for (size_t i = 0; i < sizeof forgeries / sizeof forgeries[0]; i++) {
        kept_path(copy, "forged-copy");
        kept_copy(bench.kept.path, copy);
        (void)forge_sql(copy, forgeries[i].sql);
        forge_rehash(copy);
        if (verify(&bench, copy, &out) != STATUS_DAMAGED)
            fail_msg("not found: %s\n%s", forgeries[i].sql, text_string(&out));
        if (strstr(text_string(&out), forgeries[i].says) == NULL)
            fail_msg("%s\nsays\n%s", forgeries[i].sql, text_string(&out));
    }
    print_message("# figure: %zu forgeries with a ledger hashed anew, each found\n",
                  sizeof forgeries / sizeof forgeries[0]);
    text_release(&out);
    good(store_open(bench.kept.path, &bench.kept.source, &bench.kept.app.store, &bench.error),
         &bench.error);
    form_bench_close(&bench);
}

/* The forger's own tool changes nothing else: hashed anew without a change, the store is sound. */
static void hashing_anew_is_no_finding(void **state)
{
    struct form_bench bench = {0};
    struct text out = {0};
    char copy[400];

    (void)state;
    open_signed(&bench, "forged_not");
    kept_path(copy, "forged-not-copy");
    kept_copy(bench.kept.path, copy);
    forge_rehash(copy);
    if (verify(&bench, copy, &out) != STATUS_OK)
        fail_msg("%s\n%s", bench.error.sentence, text_string(&out));
    text_release(&out);
    good(store_open(bench.kept.path, &bench.kept.source, &bench.kept.app.store, &bench.error),
         &bench.error);
    form_bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hashing_anew_is_no_finding),
        cmocka_unit_test(each_forgery_is_found_though_the_chain_is_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
