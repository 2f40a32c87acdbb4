/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Closing a month: the review, and the one save that signs it. */
#include <inttypes.h>
#include <string.h>

#include "month_private.h"
#include "springline/app/authority.h"
#include "springline/app/sign.h"
#include "told.h"

enum {
    TRIES = 3,                    /* other seats may save while it is drawn */
    SHEET_MOST = 15 * 1024 * 1024 /* a row of the store has at most 16 MiB: some 140 000 cases */
};

/* ---- the review ---- */

static enum status check_ended(const struct app *app, day month, struct error *error)
{
    char text[MONTH_TEXT_SIZE];
    day end = day_month_start(month, 1);

    if (end != DAY_NONE && end <= app->today)
        return STATUS_OK;
    return error_set(error, STATUS_INPUT, "month",
                     "%s has not ended yet: a month is closed when its last day is over.",
                     month_to_text(month, text));
}

static enum status check_open(struct app *app, day month, struct error *error)
{
    struct arena arena = {0};
    struct month_closed closed;
    struct text told = {0};

    enum status status = month_find(app, month, &arena, &closed, error);
    if (status == STATUS_OK) {
        month_add_closed(&told, &closed);
        status = error_set(error, STATUS_INPUT, "month",
                           "%s is %s already; a month is closed once, and what is corrected "
                           "later is shown as a difference.",
                           closed.close.month, text_string(&told));
    } else if (status == STATUS_NOT_FOUND) {
        status = STATUS_OK;
    }
    text_release(&told);
    arena_release(&arena);
    return status;
}

/* What stands in the ledger must be what was recorded before anybody signs for it. */
static enum status check_sound(struct app *app, struct error *error)
{
    struct verify_report report = {0};
    enum status status = store_verify(app->store, &report, error);

    text_release(&report.findings);
    return status;
}

/* Visits that wait for a signature, and withdrawals of visits that do. */
static enum status count_unsigned(struct app *app, struct month_review *review, struct error *error)
{
    struct unsigned_sums sums = {0};
    enum status status =
        sign_unsigned_in_month(app, review->month, review->newest_row, &sums, error);

    if (status == STATUS_OK)
        review->unsigned_visits = (int32_t)(sums.visits + sums.withdrawals);
    return status;
}

/* Draws the month as of the ledger's newest row. */
static enum status draw(struct app *app, struct month_review *review, struct error *error)
{
    struct arena arena = {0};
    struct audit_list list = {0};
    char text[MONTH_TEXT_SIZE];

    text_clear(&review->sheet);
    enum status status = store_head(app->store, &review->newest_row, review->hash, error);
    if (status == STATUS_OK)
        status = lists_audit_on(app, review->month, review->through + 1, review->newest_row, &arena,
                                &list, error);
    if (status == STATUS_OK && list.count == 0)
        status = error_set(error, STATUS_INPUT, "month",
                           "No case is accounted for in %s; there is nothing to close.",
                           month_to_text(review->month, text));
    if (status == STATUS_OK)
        status = month_sheet_add(&review->sheet, &list, review->month, error);
    if (status == STATUS_OK && review->sheet.length > SHEET_MOST)
        status = error_set(error, STATUS_INPUT, "month",
                           "The account of %s is longer than one row of the store can be; it can "
                           "not be closed in one.",
                           month_to_text(review->month, text));
    if (status == STATUS_OK)
        status = count_unsigned(app, review, error);
    review->totals = list.totals;
    arena_release(&arena);
    return status;
}

enum status month_review(struct app *app, day month, struct month_review *review,
                         struct error *error)
{
    char text[MONTH_TEXT_SIZE];

    *review = (struct month_review){.month = month, .through = day_month_start(month, 1) - 1};
    enum status status = app_allow(app, COMMAND_CLOSE_MONTH, month_to_text(month, text), error);
    if (status == STATUS_OK)
        status = check_ended(app, month, error);
    if (status == STATUS_OK)
        status = check_open(app, month, error);
    if (status == STATUS_OK)
        status = check_sound(app, error);
    if (status == STATUS_OK)
        status = draw(app, review, error);
    if (status == STATUS_OK)
        review->request = store_new_id(app->store);
    else
        month_review_release(review);
    return status;
}

void month_review_release(struct month_review *review)
{
    text_release(&review->sheet);
    *review = (struct month_review){0};
}

static void add_groups(struct text *out, const struct month_review *review)
{
    const struct audit_totals *totals = &review->totals;

    text_addf(out, "%" PRId32 " %s: below the minimum %" PRId32 " (%" PRId32 " LOW), ",
              totals->cases, totals->cases == 1 ? "case" : "cases", totals->below, totals->low);
    text_addf(out, "unknown %" PRId32 ", not seen %" PRId32 ", meeting it %" PRId32 ".",
              totals->unknown, totals->not_seen, totals->meeting);
}

static void add_unsigned(struct text *out, const struct month_review *review)
{
    if (review->unsigned_visits == 0)
        text_add(out, "No visit of the month waits for a signature.");
    else
        text_addf(out,
                  "NOT SIGNED: %" PRId32 " %s of the month. They count all the same, and that "
                  "nobody signed them stands in the record.",
                  review->unsigned_visits, review->unsigned_visits == 1 ? "visit" : "visits");
}

enum status month_review_lines(const struct month_review *review, struct arena *arena,
                               struct lines *lines, struct error *error)
{
    char from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE], hash[2 * sizeof review->hash + 1];
    struct text text = {0};

    text_addf(&text, "Close %.7s: %s to %s.", day_to_text(review->month, from), from,
              day_to_text(review->through, to));
    bool good = told_end_line(arena, lines, &text);
    add_groups(&text, review);
    good = good && told_end_line(arena, lines, &text);
    add_unsigned(&text, review);
    good = good && told_end_line(arena, lines, &text);
    text_add(&text, "Signed and closed, this account of the month is frozen: it is drawn the same "
                    "ever after, what is corrected later is shown as a difference, and the month "
                    "can not be opened again.");
    good = good && told_end_line(arena, lines, &text);
    sign_hex(review->hash, sizeof review->hash, hash);
    text_addf(&text, "As of row %" PRId64 " of the ledger, hash %.16s...", review->newest_row,
              hash);
    good = good && told_end_line(arena, lines, &text);
    text_add(&text, app_caution);
    good = good && told_end_line(arena, lines, &text);
    text_release(&text);
    return good ? STATUS_OK : error_no_memory(error);
}

/* ---- the close ---- */

/* Draws it once more where the ledger grew; other figures are for a person to read first. */
static enum status draw_again(struct app *app, struct month_review *review, struct error *error)
{
    int64_t newest = 0;
    uint8_t hash[32];
    struct month_review drawn = {
        .month = review->month, .through = review->through, .request = review->request};

    enum status status = store_head(app->store, &newest, hash, error);
    if (status != STATUS_OK || newest == review->newest_row)
        return status;
    status = draw(app, &drawn, error);
    bool same = status == STATUS_OK && drawn.unsigned_visits == review->unsigned_visits &&
                strcmp(text_string(&drawn.sheet), text_string(&review->sheet)) == 0;
    if (status != STATUS_OK) {
        text_release(&drawn.sheet);
        return status;
    }
    text_release(&review->sheet);
    *review = drawn;
    return same ? STATUS_OK
                : error_set(error, STATUS_CONFLICT, "month",
                            "Something was saved meanwhile and the figures are others now; nothing "
                            "was closed. Read them again.");
}

static enum status append(struct app *app, const struct month_review *review, enum proof proof,
                          struct error *error)
{
    char month[MONTH_TEXT_SIZE], hash[2 * sizeof review->hash + 1], digest[MONTH_DIGEST_TEXT];
    struct month_close close = {.month = month_to_text(review->month, month),
                                .through = review->through,
                                .newest_row = (int32_t)review->newest_row,
                                .hash = hash,
                                .sheet = text_string(&review->sheet),
                                .digest = digest,
                                .rules_version = RULES_VERSION,
                                .cases = review->totals.cases,
                                .unsigned_visits = review->unsigned_visits};

    sign_hex(review->hash, sizeof review->hash, hash);
    month_digest(text_string(&review->sheet), review->sheet.length, digest);
    enum status status = store_append(app->store, RECORD_MONTH_CLOSE, &close, error);
    if (status != STATUS_OK)
        return status;
    return sign_append(app, record_tables[RECORD_MONTH_CLOSE].table, &close.head.id,
                       close.head.sequence, MEANING_MONTH_CLOSED, proof, error);
}

/* One save. *grown: another seat saved since it was drawn; nothing is open then. */
static enum status save(struct app *app, const struct month_review *review, enum proof proof,
                        bool *grown, struct error *error)
{
    const struct store_request request = {
        .id = review->request, .command = "close-month", .seat = app->seat};
    struct app_save save;
    int64_t newest = 0;
    uint8_t hash[32];

    *grown = false;
    enum status status = app_save_begin(app, COMMAND_CLOSE_MONTH, &request, &save, error);
    if (status != STATUS_OK)
        return status;
    /* Nobody else saves from here on. The save's own request row is the newest. */
    status = store_head(app->store, &newest, hash, error);
    *grown = status == STATUS_OK && newest != review->newest_row + 1;
    if (status == STATUS_OK && !*grown)
        status = append(app, review, proof, error);
    if (status == STATUS_OK && !*grown)
        return app_save_commit(&save, error);
    app_save_drop(&save);
    return status;
}

/* Nothing typed is no try, and no signature but in a practice of one that is not asked. */
static enum status prove(struct app *app, const char *month, const char *typed, enum proof *proof,
                         struct error *error)
{
    enum status status = sign_prove(app, month, typed, proof, error);

    if (status != STATUS_OK || *proof != PROOF_NONE)
        return status;
    *proof = app->alone ? PROOF_ALONE : PROOF_NONE;
    return app->alone ? STATUS_OK
                      : error_set(error, STATUS_REFUSED, "sign",
                                  "Type your PIN to sign; nothing was closed.");
}

enum status month_close(struct app *app, struct month_review *review, const char *typed,
                        struct error *error)
{
    char month[MONTH_TEXT_SIZE];
    enum proof proof = PROOF_NONE;
    bool grown = true;

    enum status status =
        app_allow(app, COMMAND_CLOSE_MONTH, month_to_text(review->month, month), error);
    if (status == STATUS_OK)
        status = prove(app, month, typed, &proof, error);
    for (int i = 0; i < TRIES && grown && status == STATUS_OK; i++) {
        status = draw_again(app, review, error);
        if (status == STATUS_OK)
            status = save(app, review, proof, &grown, error);
    }
    if (status == STATUS_OK && grown)
        status = error_set(error, STATUS_BUSY, "month",
                           "Others save faster than the month can be drawn; nothing was closed. "
                           "Try again when fewer are at work.");
    return status;
}
