/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Closed months: found, and drawn again as of their close. */
#include <string.h>

#include "month_private.h"
#include "springline/app/grow.h"
#include "springline/app/sign.h"

/* ---- found ---- */

struct month_reader {
    struct arena *arena;
    struct month_list *list;
};

static const char *kept(struct arena *arena, const char *text)
{
    return arena_text(arena, text == NULL ? "" : text, text == NULL ? 0 : strlen(text));
}

static enum status take_close(void *context, const void *record, struct error *error)
{
    struct month_reader *reader = context;
    struct month_list *list = reader->list;
    struct month_closed closed = {.close = *(const struct month_close *)record};
    struct month_close *close = &closed.close;

    if (!app_grow(reader->arena, (void **)&list->rows, list->count, &list->capacity,
                  sizeof *list->rows))
        return error_no_memory(error);
    close->month = kept(reader->arena, close->month);
    close->hash = kept(reader->arena, close->hash);
    close->digest = kept(reader->arena, close->digest);
    close->head.reason = close->sheet = "";
    if (close->month == NULL || close->hash == NULL || close->digest == NULL)
        return error_no_memory(error);
    if (!month_from_text(close->month, &closed.first))
        return error_set(error, STATUS_DAMAGED, "month_close",
                         "The store holds a closed month that is none; run springline verify.");
    list->rows[list->count++] = closed;
    return STATUS_OK;
}

/* The signature under the row, if there is one. */
static enum status find_signature(struct app *app, struct arena *arena, struct month_closed *closed,
                                  struct error *error)
{
    char row[2 * sizeof closed->close.head.id.bytes + 1];
    struct signature probe = {.row = row};

    sign_hex(closed->close.head.id.bytes, sizeof closed->close.head.id.bytes, row);
    enum status status =
        store_find_same_key(app->store, RECORD_SIGNATURE, &probe, arena, &closed->signature, error);
    if (status != STATUS_NOT_FOUND)
        return status;
    closed->signature = (struct signature){.name = "nobody", .row_hash = "", .kind = "", .row = ""};
    return STATUS_OK;
}

enum status month_each(struct app *app, const char *month, struct arena *arena,
                       struct month_list *list, struct error *error)
{
    *list = (struct month_list){0};

    struct month_reader reader = {arena, list};
    enum status status = store_each_month(app->store, month, take_close, &reader, error);
    for (size_t i = 0; i < list->count && status == STATUS_OK; i++)
        status = find_signature(app, arena, &list->rows[i], error);
    return status;
}

enum status month_find(struct app *app, day month, struct arena *arena, struct month_closed *closed,
                       struct error *error)
{
    struct month_list list = {0};
    char text[MONTH_TEXT_SIZE];

    enum status status = month_each(app, month_to_text(month, text), arena, &list, error);
    if (status == STATUS_OK && list.count == 0)
        return STATUS_NOT_FOUND;
    if (status == STATUS_OK)
        *closed = list.rows[0];
    return status;
}

/* ---- drawn again ---- */

static enum status not_as_closed(const struct month_closed *closed, const char *what,
                                 struct error *error)
{
    return error_set(error, STATUS_DAMAGED, closed->close.month,
                     "The closed month %s: %s. Run springline verify and restore the newest backup "
                     "that is sound; today's figures can still be drawn (--now; on screen 9 in the "
                     "menu).",
                     closed->close.month, what);
}

/* The row of the ledger that the close names must still have the hash that was signed. */
static enum status check_place(struct app *app, const struct month_closed *closed,
                               struct error *error)
{
    uint8_t hash[32];
    char text[2 * sizeof hash + 1];
    enum status status = store_hash_at(app->store, closed->close.newest_row, hash, error);

    if (status == STATUS_NOT_FOUND)
        return not_as_closed(closed, "the ledger does not reach the row it was drawn as of", error);
    if (status != STATUS_OK)
        return status;
    sign_hex(hash, sizeof hash, text);
    if (strcmp(text, closed->close.hash) != 0)
        return not_as_closed(closed, "the ledger's row it was drawn as of has another hash now",
                             error);
    return STATUS_OK;
}

enum status month_read_sheet(struct app *app, const struct month_closed *closed,
                             struct arena *arena, const char **sheet, struct error *error)
{
    struct month_close close;
    char digest[MONTH_DIGEST_TEXT];

    enum status status = store_read_row(app->store, RECORD_MONTH_CLOSE, &closed->close.head.id,
                                        arena, &close, error);
    if (status == STATUS_NOT_FOUND)
        return not_as_closed(closed, "its row is gone", error);
    if (status != STATUS_OK)
        return status;
    month_digest(close.sheet, strlen(close.sheet), digest);
    if (strcmp(digest, close.digest) != 0)
        return not_as_closed(closed, "its sheet does not have the digest it was signed with",
                             error);
    *sheet = close.sheet;
    return check_place(app, closed, error);
}

enum status month_sheet_of(struct app *app, const struct month_closed *closed, struct text *out,
                           struct error *error)
{
    struct arena arena = {0};
    const char *sheet = "";
    enum status status = month_read_sheet(app, closed, &arena, &sheet, error);

    if (status == STATUS_OK)
        text_add(out, sheet);
    arena_release(&arena);
    return status == STATUS_OK && out->failed ? error_no_memory(error) : status;
}

static enum status compare(const struct month_closed *closed, const struct audit_list *list,
                           const char *sheet, enum month_truth *truth, struct error *error)
{
    struct text drawn = {0};
    enum status status = month_sheet_add(&drawn, list, closed->first, error);

    if (status == STATUS_OK && strcmp(text_string(&drawn), sheet) == 0)
        *truth = MONTH_AS_SIGNED;
    else
        *truth = closed->close.rules_version == RULES_VERSION ? MONTH_OTHER : MONTH_OTHER_RULES;
    text_release(&drawn);
    return status;
}

enum status month_redraw(struct app *app, const struct month_closed *closed, struct arena *arena,
                         struct audit_list *list, enum month_truth *truth, struct error *error)
{
    struct arena aside = {0}; /* of the sheet, which is long */
    const char *sheet = "";

    *list = (struct audit_list){0};
    *truth = MONTH_OTHER;
    enum status status = month_read_sheet(app, closed, &aside, &sheet, error);
    if (status == STATUS_OK)
        status = lists_audit_on(app, closed->first, closed->close.through + 1,
                                closed->close.newest_row, arena, list, error);
    if (status == STATUS_OK)
        status = compare(closed, list, sheet, truth, error);
    if (status != STATUS_OK)
        *list = (struct audit_list){0};
    list->closed = status == STATUS_OK ? closed : NULL;
    list->other_rules = status == STATUS_OK && *truth == MONTH_OTHER_RULES;
    arena_release(&aside);
    return status;
}
