/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "audit_month.h"

#include "springline/cli/output.h"

static const struct cli_column columns[] = {
    {"case", COLUMN_TEXT}, {"figure", COLUMN_WORD}, {"closed", COLUMN_WORD}, {"now", COLUMN_WORD}};

enum { COLUMN_COUNT = sizeof columns / sizeof columns[0] };

static enum status find(struct cli_session *session, day month, struct arena *arena,
                        struct month_closed *closed, struct error *error)
{
    char text[MONTH_TEXT_SIZE];
    enum status status = month_find(&session->app, month, arena, closed, error);

    if (status != STATUS_NOT_FOUND)
        return status;
    return error_set(error, STATUS_NO, "audit", "%s is not closed: there is nothing signed.",
                     month_to_text(month, text));
}

enum status audit_put_sheet(struct cli_session *session, day month, struct error *error)
{
    struct arena arena = {0};
    struct month_closed closed;
    struct text sheet = {0};

    enum status status = find(session, month, &arena, &closed, error);
    if (status == STATUS_OK)
        status = month_sheet_of(&session->app, &closed, &sheet, error);
    if (status == STATUS_OK)
        status = cli_put(session->start->out, &sheet, error);
    text_release(&sheet);
    arena_release(&arena);
    return status;
}

static enum status put_table(struct cli_session *session, const struct month_changes *changes,
                             struct error *error)
{
    struct cli_table table;

    cli_table_begin(&table, session->start->out, session->call.format, columns, COLUMN_COUNT);
    for (size_t i = 0; i < changes->count; i++) {
        const struct month_change *change = &changes->rows[i];
        const char *const cells[COLUMN_COUNT] = {change->number, change->figure, change->closed,
                                                 change->now};
        cli_table_row(&table, cells);
    }
    enum status status = cli_table_end(&table, error);
    return status == STATUS_OK && changes->count == 0 ? cli_nothing(error) : status;
}

enum status audit_put_changes(struct cli_session *session, day month, struct error *error)
{
    struct arena arena = {0};
    struct month_closed closed;
    struct month_changes changes;

    enum status status = find(session, month, &arena, &closed, error);
    if (status == STATUS_OK)
        status = month_changes(&session->app, &closed, &arena, &changes, error);
    if (status == STATUS_OK)
        status = put_table(session, &changes, error);
    arena_release(&arena);
    return status;
}

/* ---- beside the figures ---- */

static void add_drawn(struct text *out, const struct month_closed *closed)
{
    text_addf(out, "%s is ", closed->close.month);
    month_add_closed(out, closed);
    text_add(out, " and drawn as of its close; --now draws today's figures.");
}

enum status audit_say_closed(struct cli_session *session, const struct month_closed *closed,
                             enum month_truth truth, struct error *error)
{
    struct text text = {0};

    text_add(&text, "springline: audit: ");
    add_drawn(&text, closed);
    if (truth != MONTH_AS_SIGNED)
        text_add(&text, " ");
    month_add_truth(&text, closed, truth);
    text_add(&text, "\n");
    return cli_put(session->start->err, &text, error);
}

enum status audit_refuse_other(const struct month_closed *closed, struct error *error)
{
    struct text text = {0};

    month_add_truth(&text, closed, MONTH_OTHER);
    enum status status = error_set(error, STATUS_DAMAGED, "audit", "%s", text_string(&text));
    text_release(&text);
    return status;
}

static void wrap(struct text *out, struct text *paragraph, int line)
{
    if (paragraph->length > 0)
        cli_add_wrapped(out, "", text_string(paragraph), line);
    out->failed = out->failed || paragraph->failed;
    text_clear(paragraph);
}

void audit_add_closed(struct text *out, const struct audit_list *list, int line)
{
    const struct month_closed *closed = list->closed;
    struct text text = {0};

    if (list->other_rules)
        month_add_truth(&text, closed, MONTH_OTHER_RULES);
    wrap(out, &text, line);
    add_drawn(&text, closed);
    wrap(out, &text, line);
    month_add_signed(&text, closed);
    wrap(out, &text, line);
    text_add(out, "\n");
    text_release(&text);
}

enum status audit_add_not_signed(struct text *out, struct app *app, day month, int line,
                                 struct error *error)
{
    struct arena arena = {0};
    struct month_closed closed;
    struct text text = {0};

    enum status status = month_find(app, month, &arena, &closed, error);
    if (status == STATUS_OK) {
        text_addf(&text, "THESE ARE NOT THE FIGURES SIGNED: %s is ", closed.close.month);
        month_add_closed(&text, &closed);
        text_add(&text, ".");
        wrap(out, &text, line);
        text_add(out, "\n");
    }
    text_release(&text);
    arena_release(&arena);
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

enum status audit_add_changes(struct text *out, struct app *app, const struct month_closed *closed,
                              int line, struct error *error)
{
    struct arena arena = {0};
    struct month_changes changes;
    struct text text = {0};

    enum status status = month_changes(app, closed, &arena, &changes, error);
    if (status == STATUS_OK) {
        text_add(out, "\n");
        text_add(&text, "Today's figures: ");
        month_add_changed(&text, &changes);
        text_add(&text, changes.count > 0 ? ":" : ".");
        wrap(out, &text, line);
        for (size_t i = 0; i < changes.count; i++) {
            month_add_change(&text, &changes.rows[i]);
            cli_add_wrapped(out, "  ", text_string(&text), line);
            text_clear(&text);
        }
    }
    text_release(&text);
    arena_release(&arena);
    return status;
}
