/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who answers for a printed month, and how the store can be held against it later. */
#include <inttypes.h>

#include "audit_page.h"
#include "audit_private.h"
#include "springline/app/sign.h"

enum { HASH_BYTES = 32, GROUP_BYTES = 2, LINE_BYTES = 16 };

static void wrap(struct page_sheet *sheet, struct text *line)
{
    text_add_wrapped(&sheet->text, "", text_string(line), sheet->columns);
    sheet->failed = sheet->failed || line->failed;
    text_clear(line);
}

/* ---- the front ---- */

/* Of a month that is not closed, or of which today's figures are drawn. */
static enum status add_open(struct text *line, struct app *app, day month, int64_t as_of,
                            struct error *error)
{
    struct arena arena = {0};
    struct month_closed closed;
    struct unsigned_sums sums = {0};

    enum status status = month_find(app, month, &arena, &closed, error);
    if (status == STATUS_OK) {
        text_addf(line, "THESE ARE NOT THE FIGURES SIGNED: %s is ", closed.close.month);
        month_add_closed(line, &closed);
        text_add(line, ". ");
    } else if (status == STATUS_NOT_FOUND) {
        text_add(line, "Not closed: nobody has signed this account. ");
        status = STATUS_OK;
    }
    if (status == STATUS_OK)
        status = sign_unsigned_in_month(app, month, as_of, &sums, error);
    text_addf(line, "Visits of the month that wait for a signature: %" PRId64 ".",
              sums.visits + sums.withdrawals);
    arena_release(&arena);
    return status;
}

static enum status add_since(struct text *line, struct app *app, const struct month_closed *closed,
                             struct error *error)
{
    struct arena arena = {0};
    struct month_changes changes;
    char date[DAY_TEXT_SIZE];

    enum status status = month_changes(app, closed, &arena, &changes, error);
    if (status == STATUS_OK) {
        text_addf(line, "By %s, when this was drawn, ", day_to_text(app->today, date));
        month_add_changed(line, &changes);
        text_add(line, changes.count > 0 ? "; audit --changes lists it." : ".");
    }
    arena_release(&arena);
    return status;
}

enum status audit_paper_standing(struct page_sheet *sheet, struct app *app,
                                 const struct audit_list *list, day month, int64_t as_of,
                                 struct error *error)
{
    struct text line = {0};
    enum status status = STATUS_OK;

    if (list->closed == NULL) {
        status = add_open(&line, app, month, as_of, error);
    } else {
        if (list->other_rules) {
            month_add_truth(&line, list->closed, MONTH_OTHER_RULES);
            wrap(sheet, &line);
        }
        month_add_signed(&line, list->closed);
        wrap(sheet, &line);
        status = add_since(&line, app, list->closed, error);
    }
    wrap(sheet, &line);
    page_end_block(sheet);
    text_release(&line);
    return status;
}

/* ---- the end ---- */

/* The command to be typed or pasted, the hash in groups of four digits, eight to a line. */
static void add_hash(struct text *out, int64_t sequence, const uint8_t hash[HASH_BYTES])
{
    text_addf(out, "springline verify --against '%" PRId64 ":\n", sequence);
    for (size_t i = 0; i < HASH_BYTES; i++) {
        if (i % LINE_BYTES == 0)
            text_add(out, "    ");
        else if (i % GROUP_BYTES == 0)
            text_add(out, " ");
        text_addf(out, "%02x", (unsigned)hash[i]);
        if (i % LINE_BYTES == LINE_BYTES - 1)
            text_add(out, i == HASH_BYTES - 1 ? "'\n" : "\n");
    }
}

static const char chained[] =
    "The row's hash is chained over every row up to there: while the command below finds the store "
    "sound and the hash still the same, nothing this sheet rests on was changed or taken away. To "
    "print it anew: springline audit --month ";

static void add_drawn(struct text *line, const struct app *app, day month, int64_t as_of)
{
    char date[DAY_TEXT_SIZE], text[MONTH_TEXT_SIZE];

    text_addf(line, "Drawn %s as of row %" PRId64 " of the store's ledger. %s",
              day_to_text(app->today, date), as_of, chained);
    text_addf(line, "%s --as-of @%" PRId64 " --paper", month_to_text(month, text), as_of);
}

/* The signature's own row: what was signed is among the rows before it. */
static void add_drawn_closed(struct text *line, const struct app *app,
                             const struct month_closed *closed)
{
    char date[DAY_TEXT_SIZE];

    text_addf(line,
              "Drawn %s as of row %" PRId32 " of the store's ledger, as it was closed; row %" PRId64
              " is the signature. %s%s --paper",
              day_to_text(app->today, date), closed->close.newest_row,
              closed->signature.head.sequence, chained, closed->close.month);
}

enum status audit_paper_anchor(struct page_sheet *sheet, struct app *app,
                               const struct audit_list *list, day month, int64_t as_of,
                               struct error *error)
{
    const struct month_closed *closed = list->closed;
    uint8_t hash[HASH_BYTES];
    struct text line = {0};

    if (closed != NULL && closed->signature.head.sequence <= 0)
        closed = NULL; /* nobody's signature, which the front says */
    int64_t sequence = closed == NULL ? as_of : closed->signature.head.sequence;
    enum status status = store_hash_at(app->store, sequence, hash, error);
    if (status != STATUS_OK)
        return status;
    if (closed == NULL)
        add_drawn(&line, app, month, as_of);
    else
        add_drawn_closed(&line, app, closed);
    wrap(sheet, &line);
    add_hash(&sheet->text, sequence, hash);
    page_end_block(sheet);
    text_release(&line);
    return STATUS_OK;
}

/* Read and answered for: by whom, and when. A line of its own each, none torn from the others. Of a
 * closed month who signed stands there in print. */
void audit_paper_signature(struct page_sheet *sheet, const struct audit_list *list)
{
    static const char *const labels[] = {"Name:", "Date:", "Signature:"};
    char at[INSTANT_TEXT_SIZE];

    if (list->closed != NULL) {
        const struct month_closed *closed = list->closed;
        struct text line = {0};

        text_add(&line, "Signed: ");
        text_add_shown(&line, closed->signature.name);
        text_addf(&line, ", %s, %s", instant_to_text(closed->close.head.recorded_at, at),
                  sign_meaning(closed->signature.meaning));
        wrap(sheet, &line);
        text_release(&line);
    } else {
        for (size_t i = 0; i < sizeof labels / sizeof labels[0]; i++)
            text_addf(&sheet->text, "%s%-10s ________________________________\n",
                      i == 0 ? "" : "\n", labels[i]);
    }
    page_end_block(sheet);
}
