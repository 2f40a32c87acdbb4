/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "table_text.h"

#include <string.h>

/* Blanks between two columns of a text table; cells that one long name of many may take there. */
enum { COLUMN_GAP = 2, TEXT_CELLS_MAX = 24 };

static void keep_cells(struct cli_table *table, const char *const *cells)
{
    for (size_t i = 0; i < table->column_count; i++) {
        size_t before = table->cells.length;
        struct text shown = {0};

        text_add_shown(&shown, cells[i]);
        if (table->columns[i].type == COLUMN_TEXT && table->fit)
            text_fit(&table->cells, text_string(&shown), TEXT_CELLS_MAX, false);
        else
            text_add(&table->cells, text_string(&shown));
        text_append(&table->cells, "", 1);
        table->failed = table->failed || shown.failed;
        text_release(&shown);
        if (table->cells.failed)
            return;
        int width = text_width(table->cells.data + before);
        if (width > table->widths[i])
            table->widths[i] = width;
    }
}

void table_text_keep(struct cli_table *table, const char *const *cells)
{
    keep_cells(table, cells);
    text_add_shown(&table->cells, table->note == NULL ? "" : table->note);
    text_append(&table->cells, "", 1);
}

/* The cells of a line of the columns that are shown. */
static int line_width(const struct cli_table *table, const bool hidden[CLI_COLUMNS_MAX])
{
    int width = 0;

    for (size_t i = 0; i < table->column_count; i++)
        if (!hidden[i])
            width += table->widths[i] + (width > 0 ? COLUMN_GAP : 0);
    return width;
}

/* The shown column that goes first; column_count: all that are left stay. */
static size_t next_to_go(const struct cli_table *table, const bool hidden[CLI_COLUMNS_MAX])
{
    size_t found = table->column_count;

    for (size_t i = 0; i < table->column_count; i++)
        if (!hidden[i] && table->layout->ranks[i] > 0 &&
            (found == table->column_count || table->layout->ranks[i] > table->layout->ranks[found]))
            found = i;
    return found;
}

/* Which columns are left out, and how wide the flexible one is. */
static void lay_out(struct cli_table *table, bool hidden[CLI_COLUMNS_MAX])
{
    const struct cli_layout *layout = table->layout;

    if (layout == NULL)
        return;
    int *width = &table->widths[layout->flexible];
    int spare = *width > layout->least ? *width - layout->least : 0;
    while (line_width(table, hidden) - spare > layout->line) {
        size_t found = next_to_go(table, hidden);

        if (found == table->column_count)
            break;
        hidden[found] = true;
    }
    int over = line_width(table, hidden) - layout->line;
    *width -= over <= 0 ? 0 : over < spare ? over : spare;
}

static void add_cell(struct text *line, const struct cli_table *table, size_t column,
                     const char *cell)
{
    struct text cut = {0};
    int width = table->widths[column];

    text_fit(&cut, cell, width, false);
    int blanks = width - text_width(text_string(&cut));
    if (table->columns[column].type == COLUMN_NUMBER)
        text_addf(line, "%*s%s", blanks, "", text_string(&cut));
    else
        text_addf(line, "%s%*s", text_string(&cut), blanks, "");
    line->failed = line->failed || cut.failed;
    text_release(&cut);
}

/* One line of a text table, without blanks at its end. */
static void add_text_row(struct text *line, const struct cli_table *table, const char *const *cells,
                         const bool hidden[CLI_COLUMNS_MAX])
{
    for (size_t i = 0; i < table->column_count; i++) {
        if (hidden[i])
            continue;
        if (line->length > 0)
            text_addf(line, "%*s", (int)COLUMN_GAP, "");
        add_cell(line, table, i, cells[i]);
    }
    while (line->length > 0 && line->data[line->length - 1] == ' ')
        line->data[--line->length] = '\0';
    text_add(line, "\n");
}

static void put_line(struct cli_table *table, struct text *line)
{
    struct error ignored;

    table->failed = cli_put(table->out, line, &ignored) != STATUS_OK || table->failed;
}

static const char *next_cell(const char **at)
{
    const char *cell = *at;

    *at += strlen(cell) + 1;
    return cell;
}

void table_text_put(struct cli_table *table)
{
    const char *cells[CLI_COLUMNS_MAX];
    const char *at = text_string(&table->cells);
    bool hidden[CLI_COLUMNS_MAX] = {false};
    struct text line = {0};

    lay_out(table, hidden);
    for (size_t i = 0; i < table->column_count; i++)
        cells[i] = table->columns[i].name;
    add_text_row(&line, table, cells, hidden);
    put_line(table, &line);
    for (size_t row = 0; row < table->row_count && !table->cells.failed; row++) {
        for (size_t i = 0; i < table->column_count; i++)
            cells[i] = next_cell(&at);
        add_text_row(&line, table, cells, hidden);
        const char *note = next_cell(&at);
        if (note[0] != '\0')
            cli_add_wrapped(&line, "        ", note,
                            table->layout == NULL ? CLI_LINE_MOST : table->layout->line);
        put_line(table, &line);
    }
}
