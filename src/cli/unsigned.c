/* SPDX-License-Identifier: GPL-3.0-or-later */
/* unsigned: the visits that nobody has signed, the oldest first. */
#include <inttypes.h>

#include "springline/app/lists_unsigned.h"
#include "springline/cli/commands.h"
#include "springline/cli/options.h"
#include "springline/cli/output.h"

static const struct cli_column columns[] = {
    {"case", COLUMN_TEXT}, {"family", COLUMN_TEXT},     {"given", COLUMN_TEXT},
    {"date", COLUMN_WORD}, {"to_sign", COLUMN_WORD},    {"kind", COLUMN_WORD},
    {"arch", COLUMN_WORD}, {"right_mm", COLUMN_NUMBER}, {"left_mm", COLUMN_NUMBER},
    {"by", COLUMN_TEXT},   {"days", COLUMN_NUMBER},
};

enum { COLUMN_COUNT = sizeof columns / sizeof columns[0], FAMILY_COLUMN = 1, FAMILY_LEAST = 8 };

static const char *amount(um value, char text[MILLIMETRE_TEXT_SIZE])
{
    return value == UM_NONE ? "" : millimetre_to_text(value, text);
}

static void put_row(struct cli_table *table, const struct listed_unsigned *row)
{
    char date[DAY_TEXT_SIZE], right[MILLIMETRE_TEXT_SIZE], left[MILLIMETRE_TEXT_SIZE];
    struct text days = {0};

    text_addf(&days, "%" PRId64, row->days);
    const char *const cells[COLUMN_COUNT] = {row->number,
                                             row->family,
                                             row->given,
                                             day_to_text(row->date, date),
                                             lists_unsigned_sort(row),
                                             word_text(&words_visit_kind, (int)row->kind),
                                             word_text(&words_arch, (int)row->arch),
                                             amount(row->right, right),
                                             amount(row->left, left),
                                             row->by,
                                             text_string(&days)};
    cli_table_row(table, cells);
    table->failed = table->failed || days.failed;
    text_release(&days);
}

static enum status put_list(struct cli_session *session, const struct unsigned_list *list,
                            struct error *error)
{
    struct cli_table table;
    const struct cli_layout layout = {.line = cli_line_cells(session->start->out),
                                      .ranks = {0, 0, 3, 0, 0, 4, 5, 6, 7, 2, 0},
                                      .flexible = FAMILY_COLUMN,
                                      .least = FAMILY_LEAST};

    cli_table_begin(&table, session->start->out, session->call.format, columns, COLUMN_COUNT);
    if (session->call.format == FORMAT_TEXT) {
        table.fit = true;
        table.layout = &layout;
    }
    for (size_t i = 0; i < list->count; i++)
        put_row(&table, &list->rows[i]);
    enum status status = cli_table_end(&table, error);
    return status == STATUS_OK && list->count == 0 ? cli_nothing(error) : status;
}

enum status cli_unsigned(struct cli_session *session, struct error *error)
{
    struct arena arena = {0};
    struct unsigned_list list = {0};

    enum status status = cli_read_options(&session->call, NULL, 0, 0, 0, NULL, error);
    if (status == STATUS_OK)
        status = cli_open(session, error);
    if (status == STATUS_OK)
        status = lists_unsigned(&session->app, "", &arena, &list, error);
    if (status == STATUS_OK)
        status = put_list(session, &list, error);
    arena_release(&arena);
    return status;
}
