/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "signing.h"

#include <sqlite3.h>

#include "kept_store.h"
#include "springline/app/visit.h"
#include "team.h"

static void good(enum status status, const struct error *error)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s: %s", (int)status, error->where, error->sentence);
}

/* ---- a practice, a visit ---- */

void signing_open_alone(struct form_bench *bench, const char *name)
{
    case_typical(&bench->maker);
    form_bench_keep(bench, name);
}

void signing_open(struct form_bench *bench, const char *name)
{
    signing_open_alone(bench, name);
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
enum status signing_save_visit(struct form_bench *bench, enum proof proof, bool *is_signed)
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

enum proof signing_prove(struct form_bench *bench, const char *typed)
{
    enum proof proof;

    good(sign_prove(&bench->kept.app, "C-0001", typed, &proof, &bench->error), &bench->error);
    return proof;
}

int64_t signing_number(const struct form_bench *bench, const char *sql)
{
    return kept_number(bench->kept.path, sql);
}

const struct visit *signing_newest(struct form_bench *bench)
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

size_t signing_waiting(struct form_bench *bench, struct unsigned_list *list)
{
    arena_clear(&bench->arena);
    good(lists_unsigned(&bench->kept.app, "", &bench->arena, list, &bench->error), &bench->error);
    return list->count;
}

void signing_assert_sound(struct form_bench *bench)
{
    struct text out = {0};

    if (app_verify(&bench->kept.app, &out, &bench->error) != STATUS_OK)
        fail_msg("%s\n%s", bench->error.sentence, text_string(&out));
    text_release(&out);
}

/* The one signature: its words, that its hash is that of the ledger row of what it stands under,
 * and that it comes last in its save. */
void signing_assert_signature(struct form_bench *bench, const char *kind, const char *meaning,
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
    assert_int_equal(signing_number(bench, sql), 1);
}

enum status signing_later(struct form_bench *bench, const struct id *record, const char *typed)
{
    struct to_sign shown;

    enum status status = sign_ask(&bench->kept.app, record, &shown, &bench->error);
    return status == STATUS_OK ? sign_later(&bench->kept.app, record, &shown, typed, &bench->error)
                               : status;
}

enum status signing_change(struct form_bench *bench, enum form_kind kind, const struct id *row)
{
    struct form_subject subject = {.record = RECORD_VISIT, .row = *row};

    form_release(&bench->form);
    return form_open(&bench->kept.app, kind, &subject, &bench->form, &bench->error);
}

void signing_correct(struct form_bench *bench, const char *note, enum proof proof)
{
    struct id row = signing_newest(bench)->head.id;

    good(signing_change(bench, FORM_CORRECT, &row), &bench->error);
    assert_true(form_signs(&bench->form));
    form_bench_fill(bench, "note", note);
    bench->form.proof = proof;
    form_bench_save(bench, "a slip");
}
