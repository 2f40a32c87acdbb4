/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The head, the table and the legend of a printed month. */
#include <math.h>

#include "audit_month.h"
#include "audit_sheet.h"
#include "springline/app/audit_view.h"
#include "springline/cli/output.h"

static const struct cli_column columns[] = {
    {"case", COLUMN_TEXT},   {"name", COLUMN_WORD},      {"group", COLUMN_WORD},
    {"source", COLUMN_WORD}, {"met", COLUMN_NUMBER},     {"share", COLUMN_NUMBER},
    {"95 %", COLUMN_NUMBER}, {"unknown", COLUMN_NUMBER}, {"change", COLUMN_NUMBER},
    {"vis", COLUMN_NUMBER},  {"hold", COLUMN_NUMBER},    {"red", COLUMN_NUMBER},
    {"rest", COLUMN_NUMBER}, {"over", COLUMN_NUMBER},    {"miss", COLUMN_NUMBER},
    {"run", COLUMN_NUMBER},
};

enum {
    COLUMN_COUNT = sizeof columns / sizeof columns[0],
    CELL_SIZE = 40,
    NAME_COLUMN = 1,
    NAME_CELLS_LEAST = 14
};

static const char legend[] =
    "met: days met of days known. 95 %: Wilson interval; unsure: it still reaches the minimum. *: "
    "a "
    "period was judged lower than its days alone would give, because records overlap or are half "
    "filled; these sums of days can read milder. "
    "change: against the month before, same source, in percentage points (pt). told runs high: "
    "self-report exceeds sensors by 3.8 to 5.0 h a day (published). unknown: share of the days. "
    "vis visits, hold holds, red reductions, rest rests, over more given than permitted, miss "
    "missed bookings, run periods in a row short, low or unknown. Columns are left out where the "
    "line is short; clinician and every figure: --format csv.";

static int whole(double share)
{
    return (int)lround(share * 100.0);
}

/* "below, unsure": the interval still reaches the minimum; " *": it may read milder than the rule.
 */
static void write_group(const struct listed_audit *listed, char cell[CELL_SIZE])
{
    const struct audit_row *row = &listed->row;
    bool unsure = audit_view_unsure(listed);
    const char *mark = row->stricter ? " *" : "";

    if (row->low)
        (void)snprintf(cell, CELL_SIZE, "%s%s", unsure ? "low, unsure" : "below, low", mark);
    else
        (void)snprintf(cell, CELL_SIZE, "%s%s%s", word_text(&words_audit_group, (int)row->group),
                       unsure ? ", unsure" : "", mark);
}

/* The share is cut, not rounded: what is below the minimum must not look as if it met it. */
static void write_wear(const struct audit_row *row, char met[CELL_SIZE], char share[CELL_SIZE],
                       char interval[CELL_SIZE], char change[CELL_SIZE])
{
    met[0] = share[0] = interval[0] = change[0] = '\0';
    if (row->days_known > 0) {
        (void)snprintf(met, CELL_SIZE, "%d/%d", (int)row->days_met, (int)row->days_known);
        (void)snprintf(share, CELL_SIZE, "%d %%", (int)(row->days_met * 100 / row->days_known));
        (void)snprintf(interval, CELL_SIZE, "%d-%d %%", whole(row->low95), whole(row->high95));
    }
    if (row->has_change)
        (void)snprintf(change, CELL_SIZE, "%+d pt", whole(row->change));
}

static void write_counts(const struct audit_row *row, char cells[COLUMN_COUNT][CELL_SIZE])
{
    const int32_t counts[] = {row->visits,    row->holds,  row->reductions, row->rests,
                              row->overrides, row->missed, row->short_run};
    const size_t count = sizeof counts / sizeof counts[0];

    for (size_t i = 0; i < count; i++)
        (void)snprintf(cells[COLUMN_COUNT - count + i], CELL_SIZE, "%d", (int)counts[i]);
}

static void put_row(struct cli_table *table, const struct listed_audit *listed)
{
    const struct audit_row *row = &listed->row;
    char written[COLUMN_COUNT][CELL_SIZE] = {{0}};
    const char *cells[COLUMN_COUNT];
    struct text name = {0};

    text_addf(&name, "%s, %s", listed->family, listed->given);
    write_group(listed, written[2]);
    write_wear(row, written[4], written[5], written[6], written[8]);
    if (row->group != AUDIT_NOT_SEEN)
        (void)snprintf(written[7], CELL_SIZE, "%d %%", whole(row->unknown_share));
    write_counts(row, written);
    for (size_t i = 0; i < COLUMN_COUNT; i++)
        cells[i] = written[i];
    cells[0] = listed->number;
    cells[1] = text_string(&name);
    cells[3] = word_text(&words_source, (int)row->source);
    cli_table_row(table, cells);
    table->failed = table->failed || name.failed;
    text_release(&name);
}

/* The month, what it covers, and what it is judged by. */
static void add_head(struct text *out, day month, day today, const struct protocol *protocol,
                     int line)
{
    char name[MONTH_TEXT_SIZE], from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];
    day last = day_month_start(month, 1) - 1;
    bool running = last >= today;
    struct text head = {0};

    text_addf(&head, "Audit of %s, ", month_to_text(month, name));
    if (running)
        text_addf(&head, "running, up to %s.", day_to_text(today, to));
    else
        text_addf(&head, "%s to %s.", day_to_text(month, from), day_to_text(last, to));
    text_addf(&head,
              " Cases not closed at the month's end that have had a trainer. A day is met with %d "
              "minutes by day%s. The minimum is %d %% of the days known; low is below %d %%.",
              (int)protocol->wear_day_min_minutes,
              protocol->wear_night == ANSWER_YES ? " and the night worn" : "",
              (int)(protocol->wear_full_permille / 10), (int)(protocol->wear_low_permille / 10));
    cli_add_wrapped(out, "", text_string(&head), line);
    text_add(out, "\n");
    out->failed = out->failed || head.failed;
    text_release(&head);
}

static enum status put_table(struct cli_session *session, const struct audit_list *list, int line,
                             struct error *error)
{
    struct cli_table table;
    const struct cli_layout layout = {.line = line,
                                      .ranks = {0, 0, 0, 2, 0, 0, 1, 4, 3, 11, 8, 9, 10, 5, 6, 7},
                                      .flexible = NAME_COLUMN,
                                      .least = NAME_CELLS_LEAST};

    cli_table_begin(&table, session->start->out, FORMAT_TEXT, columns, COLUMN_COUNT);
    table.fit = true;
    table.layout = &layout;
    for (size_t i = 0; i < list->count; i++)
        put_row(&table, &list->rows[i]);
    return cli_table_end(&table, error);
}

/* Whose wear is drifting down, by number: a word of each would widen every row. */
static void add_drifting(struct text *out, const struct audit_list *list, int line)
{
    struct text text = {0};

    for (size_t i = 0; i < list->count; i++) {
        if (list->rows[i].row.drifting)
            text_addf(&text, "%s%s", text.length == 0 ? "DRIFTING DOWN: " : ", ",
                      list->rows[i].number);
    }
    if (text.length > 0) {
        text_addf(
            &text,
            ". Share of days met, period by period: Mann and Kendall's test, one-sided, p at "
            "most %.2f, and a fall of at least %d points. Of cases whose wear does not change "
            "at most %d in 100 are marked, %d where neighbouring periods resemble each other, %d "
            "in "
            "long swings.",
            WEAR_DRIFT_LEVEL_PERMILLE / 1000.0, WEAR_DRIFT_FALL_PERMILLE / 10, WEAR_DRIFT_ALARMS,
            WEAR_DRIFT_ALARMS_ALIKE, WEAR_DRIFT_ALARMS_SWINGING);
        cli_add_wrapped(out, "", text_string(&text), line);
        text_add(out, "\n");
    }
    out->failed = out->failed || text.failed;
    text_release(&text);
}

static enum status put_head(struct cli_session *session, day month, const struct audit_list *list,
                            int line, struct error *error)
{
    /* What was closed had ended, whatever day is today. */
    day today = list->closed != NULL ? list->closed->close.through + 1 : session->app.today;
    struct text head = {0};
    enum status status = STATUS_OK;

    add_head(&head, month, today, &list->protocol, line);
    if (list->closed != NULL)
        audit_add_closed(&head, list, line);
    else
        status = audit_add_not_signed(&head, &session->app, month, line, error);
    if (status == STATUS_OK)
        return cli_put(session->start->out, &head, error);
    text_release(&head);
    return status;
}

enum status audit_put_text(struct cli_session *session, day month, int64_t as_of,
                           const struct audit_list *list, struct error *error)
{
    int line = cli_line_cells(session->start->out);
    struct text sheet = {0};
    enum status status = STATUS_OK;

    if (list->count > 0)
        status = put_head(session, month, list, line, error);
    if (status == STATUS_OK)
        status = put_table(session, list, line, error);
    if (status != STATUS_OK)
        return status;
    if (list->count == 0)
        return cli_nothing(error);
    text_add(&sheet, "\n");
    add_drifting(&sheet, list, line);
    cli_add_wrapped(&sheet, "", legend, line);
    if (list->closed != NULL)
        status = audit_add_changes(&sheet, &session->app, list->closed, line, error);
    if (status == STATUS_OK)
        status = audit_sheet_add(&sheet, &session->app, month, as_of, list, error);
    if (status != STATUS_OK) {
        text_release(&sheet);
        return status;
    }
    return cli_put(session->start->out, &sheet, error);
}
