/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/sign.h"

#include <string.h>

#include "springline/app/authority.h"
#include "springline/app/secret.h"

enum { PIN_DIGITS_LEAST = 4 };

/* ---- with a save ---- */

enum sign_way sign_way(const struct app *app)
{
    if (!authority_may(app->role, COMMAND_SIGN))
        return SIGN_LATER;
    return app->alone ? SIGN_AT_ONCE : SIGN_BY_PIN;
}

/* A digit or two before Enter are a slip of the hand, and no try. */
static bool is_slip(const char *typed)
{
    size_t length = strlen(typed);

    return length < PIN_DIGITS_LEAST && strspn(typed, "0123456789") == length;
}

enum status sign_prove(struct app *app, const char *subject, const char *typed, enum proof *proof,
                       struct error *error)
{
    *proof = PROOF_NONE;
    if (typed[0] == '\0')
        return STATUS_OK;
    enum status status = app_allow(app, COMMAND_SIGN, subject, error);
    if (status != STATUS_OK || app->alone)
        return status;
    if (is_slip(typed))
        return error_set(error, STATUS_INPUT, "PIN", "A PIN has at least %d digits.",
                         PIN_DIGITS_LEAST);
    return secret_prove(app, typed, proof, error);
}

void sign_hex(const uint8_t *bytes, size_t count, char *out)
{
    static const char digits[] = "0123456789abcdef";

    for (size_t i = 0; i < count; i++) {
        out[2 * i] = digits[bytes[i] >> 4];
        out[2 * i + 1] = digits[bytes[i] & 15];
    }
    out[2 * count] = '\0';
}

enum status sign_append(struct app *app, const char *table, const struct id *row, int64_t sequence,
                        enum meaning meaning, enum proof proof, struct error *error)
{
    uint8_t hash[32];
    char row_hash[2 * sizeof hash + 1], id[2 * sizeof row->bytes + 1];

    if (proof == PROOF_NONE || !authority_may(app->role, COMMAND_SIGN) ||
        (proof == PROOF_ALONE && !app->alone))
        return error_set(error, STATUS_REFUSED, "sign",
                         "Only an orthodontist who proves who they are signs; nothing was saved.");
    enum status status = store_hash_at(app->store, sequence, hash, error);
    if (status != STATUS_OK)
        return status;
    sign_hex(hash, sizeof hash, row_hash);
    sign_hex(row->bytes, sizeof row->bytes, id);
    struct signature signature = {.kind = table,
                                  .row = id,
                                  .row_hash = row_hash,
                                  .name = app_by(app),
                                  .meaning = meaning,
                                  .proof = proof};
    return store_append(app->store, RECORD_SIGNATURE, &signature, error);
}

enum meaning sign_means(const struct to_sign *to_sign)
{
    return to_sign->withdrawal    ? MEANING_WITHDRAWN
           : to_sign->version > 1 ? MEANING_CORRECTED
                                  : MEANING_EXAMINED_AND_DECIDED;
}

static enum status append(struct app *app, const struct to_sign *to_sign, enum proof proof,
                          struct error *error)
{
    return sign_append(app, to_sign->withdrawal ? "withdrawal" : "visit", &to_sign->row,
                       to_sign->sequence, sign_means(to_sign), proof, error);
}

/* Looked at inside the save: somebody may have joined the practice meanwhile. */
static enum proof proof_now(const struct app *app, enum proof given)
{
    return sign_way(app) == SIGN_AT_ONCE ? PROOF_ALONE : given;
}

enum status sign_saved(struct app *app, const struct id *row, enum proof given, bool *is_signed,
                       struct error *error)
{
    enum proof proof = proof_now(app, given);
    struct to_sign to_sign;

    *is_signed = false;
    if (proof == PROOF_NONE)
        return STATUS_OK;
    enum status status = store_read_to_sign(app->store, row, &to_sign, error);
    if (status != STATUS_OK || to_sign.signing != SIGNING_WAITS)
        return status;
    status = append(app, &to_sign, proof, error);
    *is_signed = status == STATUS_OK;
    return status;
}

static enum status look_for_signature(void *context, enum record_kind kind, const struct id *row,
                                      struct error *error)
{
    bool *is_signed = context;

    (void)row;
    (void)error;
    *is_signed = *is_signed || kind == RECORD_SIGNATURE;
    return STATUS_OK;
}

enum status sign_was_saved(struct app *app, const struct id *request, bool *is_signed,
                           struct error *error)
{
    *is_signed = false;
    return store_each_row_of_save(app->store, request, look_for_signature, is_signed, error);
}

/* ---- later ---- */

struct newest {
    struct id row, casefile;
};

static enum status take_newest(void *context, const void *record,
                               const struct store_withdrawn *withdrawn, struct error *error)
{
    const struct visit *visit = record;

    (void)withdrawn;
    (void)error;
    *(struct newest *)context = (struct newest){visit->head.id, visit->casefile};
    return STATUS_NO; /* the newest comes first, and is enough */
}

static enum status find_newest(struct app *app, const struct id *record, struct newest *newest,
                               struct to_sign *to_sign, struct error *error)
{
    *newest = (struct newest){0};
    *to_sign = (struct to_sign){.signing = SIGNING_NONE};
    enum status status =
        store_each_version(app->store, RECORD_VISIT, record, take_newest, newest, error);
    return status == STATUS_NO ? store_read_to_sign(app->store, &newest->row, to_sign, error)
                               : status;
}

enum status sign_find(struct app *app, const struct id *record, struct to_sign *to_sign,
                      struct error *error)
{
    struct newest newest;

    return find_newest(app, record, &newest, to_sign, error);
}

static enum status is_wanted(const struct to_sign *to_sign, struct error *error)
{
    if (to_sign->signing == SIGNING_DONE)
        return error_set(error, STATUS_INPUT, "sign", "This is signed already.");
    if (to_sign->signing == SIGNING_NONE)
        return error_set(error, STATUS_INPUT, "sign",
                         "This is not signed here: it came with an import, or nobody was seen.");
    return STATUS_OK;
}

/* Under the number of the case a refusal is logged; of a case that was withdrawn under none. */
static enum status allow_case(struct app *app, const struct id *record, struct error *error)
{
    struct arena arena = {0};
    struct casefile casefile = {.number = NULL};

    enum status status =
        store_read_current(app->store, RECORD_CASEFILE, record, &arena, &casefile, error);
    if (status == STATUS_OK || status == STATUS_NOT_FOUND)
        status = app_allow(app, COMMAND_SIGN, casefile.number, error);
    arena_release(&arena);
    return status;
}

enum status sign_ask(struct app *app, const struct id *record, struct to_sign *to_sign,
                     struct error *error)
{
    struct newest newest;

    enum status status = find_newest(app, record, &newest, to_sign, error);
    if (status == STATUS_OK)
        status = is_wanted(to_sign, error);
    return status == STATUS_OK ? allow_case(app, &newest.casefile, error) : status;
}

/* Inside the save: what is signed is what was shown. */
static enum status sign_shown(struct app *app, const struct id *record, const struct to_sign *shown,
                              enum proof given, struct error *error)
{
    enum proof proof = proof_now(app, given);
    struct to_sign now;

    enum status status = sign_find(app, record, &now, error);
    if (status != STATUS_OK)
        return status;
    if (!id_equal(&now.row, &shown->row) || now.signing != shown->signing)
        return error_set(error, STATUS_CONFLICT, "sign",
                         "Another seat corrected, withdrew or signed this meanwhile; read it again "
                         "before signing.");
    if (proof == PROOF_NONE)
        return error_set(error, STATUS_REFUSED, "sign", "Type your PIN to sign; it is not signed.");
    return append(app, &now, proof, error);
}

enum status sign_later(struct app *app, const struct id *record, const struct to_sign *shown,
                       const char *typed, struct error *error)
{
    enum proof proof;
    struct app_save save;
    struct store_request request = {.command = "sign", .seat = app->seat};

    enum status status = is_wanted(shown, error);
    if (status == STATUS_OK)
        status = sign_prove(app, NULL, typed, &proof, error);
    if (status != STATUS_OK)
        return status;
    request.id = store_new_id(app->store);
    status = app_save_begin(app, COMMAND_SIGN, &request, &save, error);
    if (status != STATUS_OK)
        return status;
    status = sign_shown(app, record, shown, proof, error);
    if (status == STATUS_OK)
        return app_save_commit(&save, error);
    app_save_drop(&save);
    return status;
}

enum status sign_may_amend(struct app *app, const struct id *record, struct error *error)
{
    bool is_signed;
    enum status status = store_visit_is_signed(app->store, record, &is_signed, error);

    if (status != STATUS_OK || !is_signed || authority_may(app->role, COMMAND_AMEND))
        return status;
    return STATUS_REFUSED;
}

enum status sign_unsigned_in_month(struct app *app, day month, int64_t as_of,
                                   struct unsigned_sums *sums, struct error *error)
{
    return store_sum_unsigned(app->store, month, day_month_start(month, 1) - 1, as_of, sums, error);
}

/* ---- telling ---- */

const char *sign_meaning(enum meaning meaning)
{
    static const char *const said[] = {[MEANING_NONE] = "",
                                       [MEANING_EXAMINED_AND_DECIDED] = "examined and decided",
                                       [MEANING_CORRECTED] = "corrected",
                                       [MEANING_WITHDRAWN] = "withdrawn",
                                       [MEANING_MONTH_CLOSED] = "month closed"};

    return said[meaning];
}

void sign_tell(struct text *out, const struct signed_row *row)
{
    char at[INSTANT_TEXT_SIZE];

    if (row->signing != SIGNING_DONE) {
        text_add(out, "not signed");
        return;
    }
    instant_to_text(row->at, at);
    text_add(out, "signed by ");
    text_add_shown(out, row->name);
    text_addf(out, ", %.10s %.5s UTC, %s", at, at + 11, sign_meaning(row->meaning));
}

const struct signed_row *sign_of(const struct signed_rows *rows, const struct id *visit,
                                 bool withdrawal)
{
    for (size_t i = 0; i < rows->count; i++) {
        if (rows->rows[i].withdrawal == withdrawal && id_equal(&rows->rows[i].visit, visit))
            return &rows->rows[i];
    }
    return NULL;
}
