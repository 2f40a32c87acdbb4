/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Is every signature what it says? The walk along the ledger shows that a row is as it was written;
 * whoever can write the file and hash the whole ledger anew can still move a signature, for that
 * its words must fit the row it stands under (21 CFR 11.70).
 */
#include <string.h>

#include "signature.h"
#include "springline/store/signature.h"
#include "verify.h"

enum { ID_HEX = 2 * 16, HASH_HEX = 2 * HASH_SIZE, NAME_SIZE = 24 };

/* A signature as the file has it. */
struct under {
    int64_t sequence;
    char id[ID_HEX + 1], row[ID_HEX + 1];
    struct id row_id;
    enum record_kind kind; /* RECORD_KIND_COUNT: none that is signed */
    bool withdrawal;
    int meaning, proof;
};

enum question { OF_VISIT, OF_WITHDRAWAL, OF_MONTH, OF_SIGNER, OF_PEOPLE, OF_ROW, QUESTIONS };

struct signatures {
    struct verification *check;
    sqlite3_stmt *all, *ask[QUESTIONS];
};

/* The row signed, its place and what the ledger has there; the last column: version of a visit, of
 * a withdrawal the table of what was withdrawn. */
static const char *const question_sql[QUESTIONS] = {
    [OF_VISIT] = "SELECT kept.sequence, lower(hex(place.hash)), place.row = kept.id AND place.kind "
                 "= 'visit', kept.version FROM visit AS kept "
                 "LEFT JOIN ledger AS place ON place.sequence = kept.sequence WHERE kept.id = :row",
    [OF_WITHDRAWAL] = "SELECT kept.sequence, lower(hex(place.hash)), place.row = kept.id AND "
                      "place.kind = 'withdrawal', kept.kind = 'visit' FROM withdrawal AS kept "
                      "LEFT JOIN ledger AS place ON place.sequence = kept.sequence "
                      "WHERE kept.id = :row",
    [OF_MONTH] = "SELECT kept.sequence, lower(hex(place.hash)), place.row = kept.id AND place.kind "
                 "= 'month_close', kept.version FROM month_close AS kept "
                 "LEFT JOIN ledger AS place ON place.sequence = kept.sequence WHERE kept.id = :row",
    /* Who signed, as recorded at the moment of signing; the choice not to be asked counts while it
     * is newer than anything recorded of somebody else. */
    [OF_SIGNER] = "SELECT kept.role, kept.name = sign.name, CASE WHEN EXISTS (SELECT 1 FROM person "
                  "AS other WHERE other.record <> kept.record AND other.sequence > kept.sequence "
                  "AND other.sequence < sign.sequence) THEN 'no' ELSE kept.alone END "
                  "FROM signature AS sign "
                  "CROSS JOIN person AS kept ON kept.record = sign.person "
                  "AND kept.sequence < sign.sequence WHERE sign.sequence = :sequence "
                  "ORDER BY kept.sequence DESC LIMIT 1",
    /* People at that moment. */
    [OF_PEOPLE] =
        "SELECT (SELECT count(*) FROM person AS kept WHERE kept.sequence < sign.sequence "
        "AND NOT EXISTS (SELECT 1 FROM person AS newer WHERE newer.replaces = kept.id "
        "AND newer.sequence < sign.sequence) AND NOT EXISTS (SELECT 1 FROM withdrawal AS gone "
        "WHERE gone.row = kept.id AND gone.sequence < sign.sequence)) "
        "FROM signature AS sign WHERE sign.sequence = :sequence",
    [OF_ROW] = "SELECT (SELECT min(other.sequence) FROM signature AS other "
               "WHERE other.row = sign.row), EXISTS (SELECT 1 FROM withdrawal AS gone "
               "WHERE gone.row = sign.id), sign.version, "
               "(SELECT save.person IS sign.person FROM request AS save "
               "WHERE save.id = sign.request) FROM signature AS sign "
               "WHERE sign.sequence = :sequence",
};

static void find(struct signatures *all, const struct under *under, const char *what)
{
    verify_find(all->check, "ledger row %lld, signature %s: %s", (long long)under->sequence,
                under->id, what);
}

static const char *text_of(sqlite3_stmt *stmt, int column)
{
    const char *text = (const char *)sqlite3_column_text(stmt, column);

    return text == NULL ? "" : text;
}

static int digit_of(char digit)
{
    return digit >= '0' && digit <= '9'   ? digit - '0'
           : digit >= 'a' && digit <= 'f' ? digit - 'a' + 10
                                          : -1;
}

/* False: it is no identity of a row. */
static bool read_hex(const char *text, struct id *id)
{
    if (strlen(text) != ID_HEX)
        return false;
    for (size_t i = 0; i < sizeof id->bytes; i++) {
        int high = digit_of(text[2 * i]), low = digit_of(text[2 * i + 1]);
        if (high < 0 || low < 0)
            return false;
        id->bytes[i] = (uint8_t)(high * 16 + low);
    }
    return true;
}

/* Binds the one parameter of a question and asks; true: a row stands there. */
static bool ask(struct signatures *all, enum question which, const struct under *under,
                enum status *status, struct error *error)
{
    sqlite3_stmt *stmt = all->ask[which];
    int code = SQLITE_OK;

    if (stmt == NULL || *status != STATUS_OK)
        return false;
    (void)sqlite3_reset(stmt);
    if (which <= OF_MONTH)
        code = sqlite3_bind_blob(stmt, 1, under->row_id.bytes, (int)sizeof under->row_id.bytes,
                                 SQLITE_STATIC);
    else
        code = sqlite3_bind_int64(stmt, 1, under->sequence);
    if (code != SQLITE_OK)
        *status = store_failure(all->check->store, code, error);
    return verify_step(all->check, stmt, "signatures", status, error);
}

/* ---- one signature ---- */

static enum question question_of(const struct under *under)
{
    return under->withdrawal                   ? OF_WITHDRAWAL
           : under->kind == RECORD_MONTH_CLOSE ? OF_MONTH
                                               : OF_VISIT;
}

static bool means_right(const struct under *under, int version)
{
    if (under->withdrawal)
        return under->meaning == MEANING_WITHDRAWN;
    if (under->kind == RECORD_MONTH_CLOSE)
        return under->meaning == MEANING_MONTH_CLOSED;
    return under->meaning == (version > 1 ? MEANING_CORRECTED : MEANING_EXAMINED_AND_DECIDED);
}

static enum status check_row(struct signatures *all, const struct under *under, const char *hash,
                             struct error *error)
{
    enum question which = question_of(under);
    sqlite3_stmt *stmt = all->ask[which];
    enum status status = STATUS_OK;

    if (!ask(all, which, under, &status, error)) {
        if (status == STATUS_OK)
            find(all, under, "the row that it signs is not in the store");
        return status;
    }
    if (sqlite3_column_int(stmt, 2) == 0 || strcmp(text_of(stmt, 1), hash) != 0)
        find(all, under, "it was given for another row: its hash is not that of the row's place");
    if (sqlite3_column_int64(stmt, 0) >= under->sequence)
        find(all, under, "it was recorded before the row that it signs");
    if (!means_right(under, sqlite3_column_int(stmt, 3)) ||
        (under->withdrawal && sqlite3_column_int(stmt, 3) == 0))
        find(all, under, "its meaning is none that such a row is signed with");
    return status;
}

static enum status check_signer(struct signatures *all, const struct under *under,
                                struct error *error)
{
    sqlite3_stmt *stmt = all->ask[OF_SIGNER], *people = all->ask[OF_PEOPLE];
    enum status status = STATUS_OK;

    if (!ask(all, OF_SIGNER, under, &status, error)) {
        if (status == STATUS_OK)
            find(all, under, "whoever signed was not among the people then");
        return status;
    }
    if (strcmp(text_of(stmt, 0), word_text(&words_role, ROLE_ORTHODONTIST)) != 0)
        find(all, under, "whoever signed was no orthodontist then");
    if (sqlite3_column_int(stmt, 1) == 0)
        find(all, under, "the name is not that of the person who signed");
    if (under->proof != PROOF_ALONE || !ask(all, OF_PEOPLE, under, &status, error))
        return status;
    if (sqlite3_column_int(people, 0) != 1 ||
        strcmp(text_of(stmt, 2), word_text(&words_answer, ANSWER_YES)) != 0)
        find(all, under, "it was given without a proof, in a practice that asks for one");
    return status;
}

static enum status check_once(struct signatures *all, const struct under *under,
                              struct error *error)
{
    sqlite3_stmt *stmt = all->ask[OF_ROW];
    enum status status = STATUS_OK;

    if (!ask(all, OF_ROW, under, &status, error))
        return status;
    if (sqlite3_column_int64(stmt, 0) < under->sequence)
        find(all, under, "the row that it signs was signed before");
    if (sqlite3_column_int(stmt, 1) != 0 || sqlite3_column_int(stmt, 2) != 1)
        find(all, under, "a signature is never replaced nor withdrawn");
    if (sqlite3_column_int(stmt, 3) == 0)
        find(all, under, "it came with a save of somebody else");
    return status;
}

static void copy(char *to, size_t size, const char *from)
{
    size_t length = strlen(from) < size ? strlen(from) : size - 1;

    memcpy(to, from, length);
    to[length] = '\0';
}

static void read_under(sqlite3_stmt *stmt, struct under *under)
{
    const char *kind = text_of(stmt, 2);

    *under = (struct under){.sequence = sqlite3_column_int64(stmt, 0), .kind = RECORD_KIND_COUNT};
    copy(under->id, sizeof under->id, text_of(stmt, 1));
    copy(under->row, sizeof under->row, text_of(stmt, 3));
    under->withdrawal = strcmp(kind, "withdrawal") == 0;
    if (strcmp(kind, record_tables[RECORD_VISIT].table) == 0)
        under->kind = RECORD_VISIT;
    else if (strcmp(kind, record_tables[RECORD_MONTH_CLOSE].table) == 0)
        under->kind = RECORD_MONTH_CLOSE;
    under->meaning = word_value(&words_meaning, text_of(stmt, 5));
    under->proof = word_value(&words_proof, text_of(stmt, 6));
}

static enum status check_signature(struct signatures *all, struct error *error)
{
    char hash[HASH_HEX + 1];
    struct under under;

    read_under(all->all, &under);
    copy(hash, sizeof hash, text_of(all->all, 4));
    if (!read_hex(under.row, &under.row_id) ||
        (under.kind == RECORD_KIND_COUNT && !under.withdrawal)) {
        find(all, &under, "it names no row");
        return STATUS_OK;
    }
    enum status status = check_row(all, &under, hash, error);
    if (status == STATUS_OK)
        status = check_signer(all, &under, error);
    return status == STATUS_OK ? check_once(all, &under, error) : status;
}

/* ---- what waits ---- */

/* What is in one of the two and not in the other. */
static enum status compare_waiting(struct verification *check, const char *sql, const char *what,
                                   struct error *error)
{
    sqlite3_stmt *stmt = NULL;
    enum status status = verify_prepare(check, sql, &stmt, error);

    if (status == STATUS_OK && stmt != NULL && sqlite3_bind_parameter_count(stmt) > 0 &&
        sqlite3_bind_int64(stmt, 1, STORE_NOW) != SQLITE_OK)
        status = store_failure(check->store, SQLITE_NOMEM, error);
    while (verify_step(check, stmt, "unsigned_row", &status, error))
        verify_find(check, "%s %s: %s", text_of(stmt, 1), text_of(stmt, 0), what);
    sqlite3_finalize(stmt);
    return status;
}

static enum status check_waiting(struct verification *check, struct error *error)
{
    static const char kept[] = "SELECT row, kind, visit, sequence FROM unsigned_row";
    static const char late[] =
        "SELECT lower(hex(id)), 'signature' FROM signature WHERE sequence <= (SELECT since FROM "
        "signing) UNION ALL SELECT '', 'signing' WHERE (SELECT count(*) FROM signing) <> 1";
    struct text sql = {0};

    text_addf(&sql, "%s EXCEPT SELECT * FROM (%s)", kept, UNSIGNED_AS_OF);
    enum status status =
        sql.failed ? error_no_memory(error)
                   : compare_waiting(check, text_string(&sql),
                                     "it is listed as unsigned, and does not wait", error);
    text_clear(&sql);
    text_addf(&sql, "SELECT * FROM (%s) EXCEPT %s", UNSIGNED_AS_OF, kept);
    if (status == STATUS_OK && sql.failed)
        status = error_no_memory(error);
    if (status == STATUS_OK)
        status = compare_waiting(check, text_string(&sql),
                                 "it waits for a signature, and is not listed", error);
    text_release(&sql);
    if (status == STATUS_OK)
        status = compare_waiting(check, late, "signing is said to have begun later", error);
    return status;
}

/* ---- all of them ---- */

static enum status check_each(struct signatures *all, int64_t *count, struct error *error)
{
    enum status status = verify_prepare(
        all->check,
        "SELECT sequence, lower(hex(id)), kind, row, row_hash, meaning, proof FROM signature "
        "ORDER BY sequence",
        &all->all, error);

    for (int i = 0; i < QUESTIONS && status == STATUS_OK; i++)
        status = verify_prepare(all->check, question_sql[i], &all->ask[i], error);
    while (verify_step(all->check, all->all, "signatures", &status, error)) {
        ++*count;
        status = check_signature(all, error);
    }
    sqlite3_finalize(all->all);
    for (int i = 0; i < QUESTIONS; i++)
        sqlite3_finalize(all->ask[i]);
    return status;
}

enum status store_verify_signatures(struct store *store, struct text *findings, int64_t *signatures,
                                    struct error *error)
{
    struct verify_report report = {0};
    struct verification check = {.store = store, .report = &report};
    struct signatures all = {.check = &check};
    bool began = false;
    enum status status = read_begin(store, &began, error);

    *signatures = 0;
    if (status != STATUS_OK)
        return status;
    status = check_each(&all, signatures, error);
    if (status == STATUS_OK)
        status = check_waiting(&check, error);
    status = read_end(store, began, status, error);
    text_add(findings, text_string(&report.findings));
    if (check.found > FINDINGS_SHOWN)
        text_addf(findings, "and %lld more\n", (long long)(check.found - FINDINGS_SHOWN));
    bool failed = report.findings.failed || findings->failed;
    text_release(&report.findings);
    if (status != STATUS_OK || check.found == 0)
        return status == STATUS_OK && failed ? error_no_memory(error) : status;
    return error_set(error, STATUS_DAMAGED, "signature",
                     "What is signed is not what was recorded (%lld findings): stop working in the "
                     "store and restore the newest backup.",
                     (long long)check.found);
}
