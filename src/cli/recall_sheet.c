/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "recall_sheet.h"

#include "springline/cli/output.h"
#include "springline/core/rules.h"

enum { NAME_COLUMN = 1, NAME_CELLS_LEAST = 14 };

static const struct cli_column columns[] = {
    {"case", COLUMN_TEXT},         {"name", COLUMN_WORD},      {"phone", COLUMN_TEXT},
    {"group", COLUMN_WORD},        {"due_on", COLUMN_WORD},    {"late", COLUMN_NUMBER},
    {"booked", COLUMN_WORD},       {"last_seen", COLUMN_WORD}, {"last_contact", COLUMN_WORD},
    {"last_verdict", COLUMN_WORD},
};

enum { COLUMN_COUNT = sizeof columns / sizeof columns[0] };

const char *recall_text(const char *text)
{
    return text == NULL ? "" : text;
}

void recall_verdict(struct text *out, const struct case_state *state)
{
    text_addf(out, "%s%s", word_text(&words_verdict, state->last_verdict),
              state->last_verdict != VERDICT_NONE && state->last_recomputed ? " recomputed" : "");
}

/* Each safety item with the day it arose, the leading one first. */
static void add_safety(struct text *out, const struct recall_row *row, day on)
{
    char date[DAY_TEXT_SIZE];

    if (row->safety == SAFETY_NONE)
        return;
    text_addf(out, "SAFETY: %s since %s", word_text(&words_safety, (int)row->safety),
              day_to_text(row->state->safety_from[row->safety], date));
    for (int safety = SAFETY_NONE + 1; safety < SAFETY_COUNT; safety++) {
        day from = row->state->safety_from[safety];

        if (safety != (int)row->safety && from != DAY_NONE && from <= on)
            text_addf(out, "; %s since %s", word_text(&words_safety, safety),
                      day_to_text(from, date));
    }
}

static void put_row(struct cli_table *table, const struct recall_row *row, day on)
{
    const struct case_state *state = row->state;
    const char *phone = recall_text(state->phone);
    char due[DAY_TEXT_SIZE], seen[DAY_TEXT_SIZE], contact[DAY_TEXT_SIZE], booked[DAY_TEXT_SIZE];
    struct text name = {0}, late = {0}, verdict = {0}, safety = {0};

    text_addf(&name, "%s, %s", recall_text(state->family), recall_text(state->given));
    text_addf(&late, "%d", (int)row->days_late);
    recall_verdict(&verdict, state);
    add_safety(&safety, row, on);
    const char *const cells[COLUMN_COUNT] = {recall_text(state->number),
                                             text_string(&name),
                                             phone[0] == '\0' ? "no number" : phone,
                                             word_text(&words_recall_group, (int)row->group),
                                             day_to_text(row->due_on, due),
                                             text_string(&late),
                                             day_to_text(row->booked, booked),
                                             day_to_text(state->last_seen, seen),
                                             day_to_text(state->last_contact, contact),
                                             text_string(&verdict)};
    table->note = text_string(&safety);
    cli_table_row(table, cells);
    table->failed = table->failed || name.failed || late.failed || verdict.failed || safety.failed;
    text_release(&name);
    text_release(&late);
    text_release(&verdict);
    text_release(&safety);
}

static long count_of(const struct recall_list *list, enum recall_group group)
{
    long count = 0;

    for (size_t i = 0; i < list->count; i++)
        count += list->rows[i]->row.group == group;
    return count;
}

/* "16 to call: 6 safety, 5 overdue, 5 due; 26 booked, 1 resting, 2 retention" */
static void add_totals(struct text *out, const struct recall_list *list, int line)
{
    long call =
        count_of(list, RECALL_SAFETY) + count_of(list, RECALL_OVERDUE) + count_of(list, RECALL_DUE);
    const char *mark = ": ";
    struct text sums = {0};

    text_addf(&sums, "%ld to call", call);
    for (int group = RECALL_SAFETY; group <= RECALL_RETENTION; group++) {
        long count = count_of(list, (enum recall_group)group);

        if (group == RECALL_BOOKED)
            mark = "; ";
        if (count == 0)
            continue;
        text_addf(&sums, "%s%ld %s", mark, count, word_text(&words_recall_group, group));
        mark = ", ";
    }
    text_add(out, "\n");
    cli_add_wrapped(out, "", text_string(&sums), line);
    out->failed = out->failed || sums.failed;
    text_release(&sums);
}

static void add_legend(struct text *out, const struct cli_session *session, day on, int line)
{
    char date[DAY_TEXT_SIZE];

    cli_add_wrapped(
        out, "",
        "due_on is the first day of the window, late counts the days from its last day; for "
        "a safety item both count from the day it arose.",
        line);
    cli_add_wrapped(out, "", "recomputed: worked out now, for a visit that was imported.", line);
    if (on < session->app.today) {
        struct text past = {0};

        text_addf(&past, "The list is that of %s; bookings are as they stand now.",
                  day_to_text(on, date));
        cli_add_wrapped(out, "", text_string(&past), line);
        out->failed = out->failed || past.failed;
        text_release(&past);
    }
}

enum status recall_put_text(struct cli_session *session, day on, const struct recall_list *list,
                            struct error *error)
{
    struct cli_table table;
    struct text tail = {0};
    const struct cli_layout layout = {.line = cli_line_cells(session->start->out),
                                      .ranks = {0, 0, 0, 0, 0, 1, 2, 3, 4, 5},
                                      .flexible = NAME_COLUMN,
                                      .least = NAME_CELLS_LEAST};

    cli_table_begin(&table, session->start->out, FORMAT_TEXT, columns, COLUMN_COUNT);
    table.fit = true;
    table.layout = &layout;
    for (size_t i = 0; i < list->count; i++)
        put_row(&table, &list->rows[i]->row, on);
    enum status status = cli_table_end(&table, error);
    if (status != STATUS_OK)
        return status;
    if (list->count == 0)
        return cli_nothing(error);
    add_totals(&tail, list, layout.line);
    add_legend(&tail, session, on, layout.line);
    text_add(&tail, "\n");
    cli_add_wrapped(&tail, "", app_caution,
                    layout.line < CLI_SHEET_COLUMNS ? layout.line : CLI_SHEET_COLUMNS);
    return cli_put(session->start->out, &tail, error);
}
