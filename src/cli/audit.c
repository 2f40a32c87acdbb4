/* SPDX-License-Identifier: GPL-3.0-or-later */
/* audit: the account of one month. */
#include "audit_month.h"
#include "audit_sheet.h"
#include "springline/app/audit_view.h"
#include "springline/cli/commands.h"
#include "springline/cli/options.h"
#include "springline/cli/output.h"

static const struct cli_column columns[] = {
    {"case", COLUMN_TEXT},        {"family", COLUMN_TEXT},      {"given", COLUMN_TEXT},
    {"clinician", COLUMN_TEXT},   {"group", COLUMN_WORD},       {"days_known", COLUMN_NUMBER},
    {"days_met", COLUMN_NUMBER},  {"adherence", COLUMN_NUMBER}, {"low95", COLUMN_NUMBER},
    {"high95", COLUMN_NUMBER},    {"source", COLUMN_WORD},      {"unknown_share", COLUMN_NUMBER},
    {"visits", COLUMN_NUMBER},    {"holds", COLUMN_NUMBER},     {"reductions", COLUMN_NUMBER},
    {"rests", COLUMN_NUMBER},     {"overrides", COLUMN_NUMBER}, {"missed", COLUMN_NUMBER},
    {"short_run", COLUMN_NUMBER}, {"change", COLUMN_NUMBER},
};

enum { COLUMN_COUNT = sizeof columns / sizeof columns[0], NUMBER_SIZE = 16 };

struct asked {
    day month;
    int64_t as_of;
    const char *moment; /* as given; NULL: now */
    bool paper;         /* in pages, for a printer */
    bool now;           /* of a closed month too: today's figures */
    bool changes;       /* only what differs from the close */
    bool sheet;         /* only what was signed */
};

/* @SEQ: a place in the ledger that exists. */
static enum status read_sequence(struct cli_session *session, const char *text, int64_t *sequence,
                                 struct error *error)
{
    int64_t newest = 0;
    uint8_t hash[32];
    int32_t wanted = 0;

    enum status status = cli_read_number("--as-of", text, INT32_MAX / 10 - 1, &wanted, error);
    if (status == STATUS_OK)
        status = store_head(session->app.store, &newest, hash, error);
    if (status != STATUS_OK)
        return status;
    if (wanted == 0)
        return error_set(error, STATUS_NO, "--as-of",
                         "The ledger begins with row 1; there is nothing before it.");
    if (wanted > newest)
        return error_set(error, STATUS_INPUT, "--as-of",
                         "The ledger ends with row %lld; give one of its rows.", (long long)newest);
    *sequence = wanted;
    return STATUS_OK;
}

/* The ledger row up to which the audit reads. */
static enum status find_moment(struct cli_session *session, struct asked *asked,
                               struct error *error)
{
    uint8_t hash[32];
    instant at;

    if (asked->moment == NULL && !asked->paper)
        return STATUS_OK;
    /* Paper names the row it was drawn at: all of it is read as of that row. */
    if (asked->moment == NULL)
        return store_head(session->app.store, &asked->as_of, hash, error);
    if (asked->moment[0] == '@')
        return read_sequence(session, asked->moment + 1, &asked->as_of, error);
    if (!instant_from_text(asked->moment, &at))
        return error_set(error, STATUS_USAGE, "--as-of",
                         "\"%.40s\" is no moment; give YYYY-MM-DDTHH:MM:SSZ, or @ and a row of the "
                         "ledger.",
                         asked->moment);
    return store_sequence_at(session->app.store, at, &asked->as_of, error);
}

/* Which figures, and in which form: one of each. */
static enum status check_asked(struct cli_session *session, const struct asked *asked,
                               struct error *error)
{
    int figures = (asked->moment != NULL) + asked->now + asked->changes + asked->sheet;
    int forms = asked->paper + asked->changes + asked->sheet;

    if (figures > 1)
        return error_set(error, STATUS_USAGE, "audit",
                         "Give one of --as-of, --now, --changes and --sheet.");
    if (forms > 1)
        return error_set(error, STATUS_USAGE, "audit",
                         "--paper goes with neither --changes nor --sheet.");
    enum status status = STATUS_OK;
    if (asked->paper)
        status = cli_only_text(session, "audit --paper", error);
    if (asked->sheet)
        status = cli_only_text(session, "audit --sheet", error);
    return status;
}

static enum status read_asked(struct cli_session *session, struct asked *asked, struct error *error)
{
    const char *month = NULL;
    const struct cli_option options[] = {{"month", &month, NULL},
                                         {"as-of", &asked->moment, NULL},
                                         {"paper", NULL, &asked->paper},
                                         {"now", NULL, &asked->now},
                                         {"changes", NULL, &asked->changes},
                                         {"sheet", NULL, &asked->sheet}};

    *asked = (struct asked){.month = DAY_NONE, .as_of = STORE_NOW};
    enum status status = cli_read_options(&session->call, options,
                                          sizeof options / sizeof options[0], 0, 0, NULL, error);
    if (status == STATUS_OK)
        status = check_asked(session, asked, error);
    if (status != STATUS_OK)
        return status;
    if (month == NULL)
        return error_set(error, STATUS_USAGE, "audit", "Give the month: audit --month YYYY-MM.");
    if (!month_from_text(month, &asked->month))
        return error_set(error, STATUS_USAGE, "--month",
                         "\"%.40s\" is no month; give it as YYYY-MM.", month);
    return STATUS_OK;
}

/* A share with four decimals; empty when there is none. */
static const char *share_text(bool known, double share, char buffer[NUMBER_SIZE])
{
    buffer[0] = '\0';
    if (known)
        (void)snprintf(buffer, NUMBER_SIZE, "%.4f", share);
    return buffer;
}

static const char *count_text(int32_t count, char buffer[NUMBER_SIZE])
{
    (void)snprintf(buffer, NUMBER_SIZE, "%d", (int)count);
    return buffer;
}

static void put_row(struct cli_table *table, const struct listed_audit *listed)
{
    const struct audit_row *row = &listed->row;
    bool judged = row->days_known > 0, seen = row->group != AUDIT_NOT_SEEN;
    char buffers[COLUMN_COUNT][NUMBER_SIZE];

    const char *const cells[COLUMN_COUNT] = {
        listed->number,
        listed->family,
        listed->given,
        listed->clinician,
        word_text(&words_audit_group, (int)row->group),
        count_text(row->days_known, buffers[5]),
        count_text(row->days_met, buffers[6]),
        share_text(judged, row->adherence, buffers[7]),
        share_text(judged, row->low95, buffers[8]),
        share_text(judged, row->high95, buffers[9]),
        word_text(&words_source, (int)row->source),
        share_text(seen, row->unknown_share, buffers[11]),
        count_text(row->visits, buffers[12]),
        count_text(row->holds, buffers[13]),
        count_text(row->reductions, buffers[14]),
        count_text(row->rests, buffers[15]),
        count_text(row->overrides, buffers[16]),
        count_text(row->missed, buffers[17]),
        count_text(row->short_run, buffers[18]),
        share_text(row->has_change, row->change, buffers[19]),
    };
    cli_table_row(table, cells);
}

static enum status put_paper(struct cli_session *session, const struct asked *asked,
                             const struct audit_list *list, struct error *error)
{
    struct text paper = {0};
    enum status status = audit_view_paper(&session->app, list, asked->month, asked->as_of,
                                          AUDIT_PAPER_ROWS, AUDIT_PAPER_COLUMNS, &paper, error);

    if (status == STATUS_OK)
        status = audit_log_printed(&session->app, asked->month, list->count, asked->as_of, error);
    if (status == STATUS_OK)
        return cli_put(session->start->out, &paper, error);
    text_release(&paper);
    return status;
}

static enum status put_audit(struct cli_session *session, const struct asked *asked,
                             const struct audit_list *list, struct error *error)
{
    struct cli_table table;

    if (asked->paper) {
        enum status paper = put_paper(session, asked, list, error);
        return paper == STATUS_OK && list->count == 0 ? cli_nothing(error) : paper;
    }
    if (session->call.format == FORMAT_TEXT)
        return audit_put_text(session, asked->month, asked->as_of, list, error);
    cli_table_begin(&table, session->start->out, session->call.format, columns, COLUMN_COUNT);
    for (size_t i = 0; i < list->count; i++)
        put_row(&table, &list->rows[i]);
    enum status status = cli_table_end(&table, error);
    return status == STATUS_OK && list->count == 0 ? cli_nothing(error) : status;
}

/* A closed month as of its close; said on the messages where the output has no room for it. */
static enum status put_closed(struct cli_session *session, struct asked *asked,
                              const struct month_closed *closed, struct arena *arena,
                              struct error *error)
{
    struct audit_list list;
    enum month_truth truth = MONTH_OTHER;

    asked->as_of = closed->close.newest_row;
    enum status status = month_redraw(&session->app, closed, arena, &list, &truth, error);
    if (status == STATUS_OK && truth == MONTH_OTHER)
        return audit_refuse_other(closed, error);
    if (status == STATUS_OK && session->call.format != FORMAT_TEXT)
        status = audit_say_closed(session, closed, truth, error);
    return status == STATUS_OK ? put_audit(session, asked, &list, error) : status;
}

static enum status put_moment(struct cli_session *session, struct asked *asked, struct arena *arena,
                              struct error *error)
{
    struct audit_list list = {0};

    enum status status = find_moment(session, asked, error);
    if (status == STATUS_OK)
        status = lists_audit(&session->app, asked->month, asked->as_of, arena, &list, error);
    return status == STATUS_OK ? put_audit(session, asked, &list, error) : status;
}

/* Asked for no moment, a closed month is drawn as of its close. */
static enum status put_month(struct cli_session *session, struct asked *asked, struct error *error)
{
    struct arena arena = {0};
    struct month_closed closed;
    bool asks = asked->moment != NULL || asked->now;

    enum status status =
        asks ? STATUS_NOT_FOUND : month_find(&session->app, asked->month, &arena, &closed, error);
    if (status == STATUS_OK)
        status = put_closed(session, asked, &closed, &arena, error);
    else if (status == STATUS_NOT_FOUND)
        status = put_moment(session, asked, &arena, error);
    arena_release(&arena);
    return status;
}

enum status cli_audit(struct cli_session *session, struct error *error)
{
    struct asked asked;

    enum status status = read_asked(session, &asked, error);
    if (status == STATUS_OK)
        status = cli_open(session, error);
    if (status != STATUS_OK)
        return status;
    if (asked.sheet)
        return audit_put_sheet(session, asked.month, error);
    if (asked.changes)
        return audit_put_changes(session, asked.month, error);
    return put_month(session, &asked, error);
}
