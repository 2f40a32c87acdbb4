/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verify: closed months. */
#include <inttypes.h>
#include <string.h>

#include "month_private.h"
#include "springline/app/sign.h"

struct check {
    struct app *app;
    struct text *out;
    size_t bad, other_rules;
};

static void find(struct check *check, const struct month_closed *closed, const char *what)
{
    text_add(check->out, "closed month ");
    text_add_shown(check->out, closed->close.month);
    text_addf(check->out, ": %s\n", what);
    check->bad++;
}

/* The signature must be of this very row: of its content, at its place. */
static enum status check_signature(struct check *check, const struct month_closed *closed,
                                   struct error *error)
{
    uint8_t hash[32];
    char text[2 * sizeof hash + 1];

    if (id_is_none(&closed->signature.head.id)) {
        find(check, closed, "nobody's signature stands under it");
        return STATUS_OK;
    }
    enum status status = store_hash_at(check->app->store, closed->close.head.sequence, hash, error);
    if (status != STATUS_OK)
        return status;
    sign_hex(hash, sizeof hash, text);
    if (strcmp(text, closed->signature.row_hash) != 0)
        find(check, closed, "its signature is of another row");
    if (closed->signature.meaning != MEANING_MONTH_CLOSED)
        find(check, closed, "it was signed as something else");
    return STATUS_OK;
}

static enum status check_drawn(struct check *check, const struct month_closed *closed,
                               struct error *error)
{
    struct arena arena = {0};
    struct audit_list list;
    enum month_truth truth = MONTH_OTHER;
    struct error problem = {0};

    enum status status = month_redraw(check->app, closed, &arena, &list, &truth, &problem);
    arena_release(&arena);
    if (status == STATUS_DAMAGED) {
        find(check, closed, problem.sentence);
        return STATUS_OK;
    }
    if (status != STATUS_OK)
        return error_set(error, status, problem.where, "%s", problem.sentence);
    if (truth == MONTH_OTHER)
        find(check, closed, "drawn as of its close it does not come out as it was signed");
    if (truth == MONTH_OTHER_RULES) {
        text_addf(check->out,
                  "closed month %s: signed under version %" PRId32
                  " of the rules; by version %d some figures come out otherwise (information)\n",
                  closed->close.month, closed->close.rules_version, (int)RULES_VERSION);
        check->other_rules++;
    }
    return STATUS_OK;
}

enum status month_verify(struct app *app, struct text *out, struct error *error)
{
    struct check check = {.app = app, .out = out};
    struct arena arena = {0};
    struct month_list list;

    enum status status = month_each(app, NULL, &arena, &list, error);
    for (size_t i = 0; i < list.count && status == STATUS_OK; i++) {
        status = check_signature(&check, &list.rows[i], error);
        if (status == STATUS_OK)
            status = check_drawn(&check, &list.rows[i], error);
    }
    if (status == STATUS_OK && check.bad > 0)
        status = error_set(error, STATUS_DAMAGED, "month_close",
                           "%zu findings in %zu closed months: they are not what was signed; stop "
                           "working in the store and restore the newest backup that is sound.",
                           check.bad, list.count);
    else if (status == STATUS_OK && list.count > 0 && check.other_rules == 0)
        text_addf(out, "closed months: %zu, every one as it was signed\n", list.count);
    arena_release(&arena);
    return status == STATUS_OK && out->failed ? error_no_memory(error) : status;
}
