/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "audit_sheet.h"

#include <inttypes.h>

#include "springline/app/month.h"
#include "springline/cli/output.h"

static void add_totals(struct text *out, day month, const struct audit_totals *totals)
{
    char text[MONTH_TEXT_SIZE];
    struct text line = {0};

    text_addf(&line, "%s: %d %s: %d below the minimum (%d low), %d unknown, %d not seen, ",
              month_to_text(month, text), (int)totals->cases, totals->cases == 1 ? "case" : "cases",
              (int)totals->below, (int)totals->low, (int)totals->unknown, (int)totals->not_seen);
    text_addf(&line, "%d meeting it.", (int)totals->meeting);
    text_add(out, "\n");
    cli_add_wrapped(out, "", text_string(&line), CLI_SHEET_COLUMNS);
    text_clear(&line);
    text_addf(&line, "Of these cases: visits %d, holds %d, reductions %d, rests %d, ",
              (int)totals->visits, (int)totals->holds, (int)totals->reductions, (int)totals->rests);
    text_addf(&line, "overrides %d, missed bookings %d.", (int)totals->overrides,
              (int)totals->missed);
    cli_add_wrapped(out, "  ", text_string(&line), CLI_SHEET_COLUMNS);
    out->failed = out->failed || line.failed;
    text_release(&line);
}

static void add_amount(struct text *out, um right, um left)
{
    char text[MILLIMETRE_TEXT_SIZE];

    text_addf(out, "right %s, ", right == UM_NONE ? "-" : millimetre_to_text(right, text));
    text_addf(out, "left %s mm", left == UM_NONE ? "-" : millimetre_to_text(left, text));
}

static void add_override(struct text *out, const char *number,
                         const struct audit_override *override)
{
    char date[DAY_TEXT_SIZE];
    struct text lead = {0}, line = {0};
    bool reason = override->reason != NULL && override->reason[0] != '\0';

    text_addf(&lead, "  %s  ", number);
    text_addf(&line, "%s %s: given ", day_to_text(override->date, date),
              word_text(&words_arch, (int) override->arch));
    add_amount(&line, override->given_right, override->given_left);
    text_add(&line, "; permitted ");
    add_amount(&line, override->permitted_right, override->permitted_left);
    text_addf(&line, "%s: ", override->recomputed ? " (recomputed)" : "");
    text_add(&line, reason ? override->reason : "no reason recorded");
    cli_add_wrapped(out, text_string(&lead), text_string(&line), CLI_SHEET_COLUMNS);
    out->failed = out->failed || lead.failed || line.failed;
    text_release(&lead);
    text_release(&line);
}

static void add_overrides(struct text *out, const struct audit_list *list)
{
    bool headed = false;

    for (size_t i = 0; i < list->count; i++) {
        const struct audit_row *row = &list->rows[i].row;
        int32_t shown = row->overrides < AUDIT_OVERRIDES_MAX ? row->overrides : AUDIT_OVERRIDES_MAX;

        for (int32_t j = 0; j < shown; j++) {
            text_add(out, headed ? "" : "\nMore given than permitted:\n");
            headed = true;
            add_override(out, list->rows[i].number, &row->override_rows[j]);
        }
        if (row->overrides > shown)
            text_addf(out, "  and %d more\n", (int)(row->overrides - shown));
    }
}

static void add_untrained(struct text *out, const struct audit_list *list)
{
    bool headed = false;

    for (size_t i = 0; i < list->count; i++) {
        const struct audit_row *row = &list->rows[i].row;

        if (row->untrained_days <= 0)
            continue;
        text_add(out, headed ? "" : "\nDays without a trainer:\n");
        headed = true;
        text_add(out, "  ");
        text_add_shown(out, list->rows[i].number);
        text_addf(out, "  %d\n", (int)row->untrained_days);
    }
}

/* Days after the last seen visit belong to a period that is still open. */
static void add_open_tails(struct text *out, const struct audit_list *list)
{
    long unknown = 0, open = 0;

    for (size_t i = 0; i < list->count; i++) {
        const struct audit_row *row = &list->rows[i].row;

        if (row->open_days <= 0)
            continue;
        text_add(out, open == 0 ? "\nSince the last visit, not counted above:\n" : "");
        open++;
        unknown += row->open_known <= 0;
        if (row->open_known <= 0)
            continue;
        text_add(out, "  ");
        text_add_shown(out, list->rows[i].number);
        text_addf(out, "  %3d of %3d known days met, of %3d days\n", (int)row->open_met,
                  (int)row->open_known, (int)row->open_days);
    }
    if (unknown > 0)
        text_addf(out, "  %ld %s nothing is known of since\n", unknown,
                  unknown == 1 ? "case" : "cases");
}

/* Printed, the head anchors the ledger outside the file: a cut tail would show. */
static enum status add_head(struct text *out, struct app *app, int64_t as_of, struct error *error)
{
    int64_t sequence;
    uint8_t hash[32];

    if (as_of != STORE_NOW) {
        text_addf(out, "\nAs of ledger row %" PRId64 ".\n", as_of);
        return STATUS_OK;
    }
    enum status status = store_head(app->store, &sequence, hash, error);
    if (status != STATUS_OK)
        return status;
    text_addf(out, "\nLedger row %" PRId64 ", hash\n  ", sequence);
    for (size_t i = 0; i < sizeof hash; i++)
        text_addf(out, "%02x", (unsigned)hash[i]);
    text_add(out, "\n");
    return STATUS_OK;
}

/* The row of the signature, whose hash is chained over the sheet and all before it. */
static void add_anchor(struct text *out, int64_t sequence, const uint8_t hash[32])
{
    text_addf(out,
              "\nTo hold the store against this sheet:\nspringline verify --against '%" PRId64
              ":\n  ",
              sequence);
    for (size_t i = 0; i < 32; i++)
        text_addf(out, "%02x", (unsigned)hash[i]);
    text_add(out, "'\n\n");
}

/* Of a closed month the signature, by which the file can be held against this sheet later; else
 * room for one. */
static enum status add_signature(struct text *out, struct app *app,
                                 const struct month_closed *closed, struct error *error)
{
    char today[DAY_TEXT_SIZE];
    uint8_t hash[32];
    struct text line = {0};
    enum status status = STATUS_OK;

    text_addf(out, "Printed %s.\n\n", day_to_text(app->today, today));
    if (closed == NULL) {
        text_add(out, "Signature: ________________________________\n\n");
        return STATUS_OK;
    }
    month_add_signed(&line, closed);
    cli_add_wrapped(out, "", text_string(&line), CLI_SHEET_COLUMNS);
    if (closed->signature.head.sequence > 0)
        status = store_hash_at(app->store, closed->signature.head.sequence, hash, error);
    if (closed->signature.head.sequence > 0 && status == STATUS_OK)
        add_anchor(out, closed->signature.head.sequence, hash);
    out->failed = out->failed || line.failed;
    text_release(&line);
    return status;
}

enum status audit_sheet_add(struct text *out, struct app *app, day month, int64_t as_of,
                            const struct audit_list *list, struct error *error)
{
    add_totals(out, month, &list->totals);
    add_totals(out, day_month_start(month, -1), &list->totals_before);
    add_overrides(out, list);
    add_untrained(out, list);
    add_open_tails(out, list);
    enum status status = add_head(out, app, as_of, error);
    if (status == STATUS_OK)
        status = add_signature(out, app, list->closed, error);
    cli_add_wrapped(out, "", app_caution, CLI_SHEET_COLUMNS);
    return status;
}
