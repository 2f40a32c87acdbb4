/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/cli/output.h"

#include <inttypes.h>
#include <string.h>
#include <unistd.h>

#include "springline/app/exchange.h"
#include "springline/cli/csv.h"
#include "table_text.h"

enum status cli_put(FILE *out, struct text *text, struct error *error)
{
    bool failed = text->failed;

    if (!failed && text->length > 0)
        (void)fwrite(text->data, 1, text->length, out);
    text_release(text);
    return failed ? error_no_memory(error) : STATUS_OK;
}

bool cli_is_terminal(FILE *out)
{
    int file = fileno(out);

    return file >= 0 && isatty(file) != 0;
}

enum status cli_put_csv(FILE *out, bool terminal, struct text *row, struct error *error)
{
    static const char line_end[] = "\r\n";
    struct text shown = {0};

    if (!terminal || row->failed || row->length < strlen(line_end))
        return cli_put(out, row, error);
    row->data[row->length - strlen(line_end)] = '\0';
    text_add_shown(&shown, row->data);
    text_add(&shown, line_end);
    text_release(row);
    return cli_put(out, &shown, error);
}

void cli_table_begin(struct cli_table *table, FILE *out, enum cli_format format,
                     const struct cli_column *columns, size_t count)
{
    const char *names[CLI_COLUMNS_MAX];
    struct text line = {0};
    struct error ignored;

    *table = (struct cli_table){.out = out,
                                .format = format,
                                .columns = columns,
                                .column_count = count,
                                .terminal = format == FORMAT_CSV && cli_is_terminal(out)};
    for (size_t i = 0; i < count; i++) {
        names[i] = columns[i].name;
        table->widths[i] = text_width(names[i]);
    }
    if (format != FORMAT_CSV)
        return;
    csv_add_row(&line, names, count);
    table->failed = cli_put_csv(out, table->terminal, &line, &ignored) != STATUS_OK;
}

static void add_csv_row(struct text *line, const struct cli_table *table, const char *const *cells)
{
    struct text guarded[CLI_COLUMNS_MAX] = {{0}};
    const char *given[CLI_COLUMNS_MAX];

    for (size_t i = 0; i < table->column_count; i++) {
        given[i] = cells[i];
        if (table->columns[i].type != COLUMN_TEXT)
            continue;
        exchange_guard(&guarded[i], cells[i]);
        given[i] = text_string(&guarded[i]);
        line->failed = line->failed || guarded[i].failed;
    }
    csv_add_row(line, given, table->column_count);
    for (size_t i = 0; i < table->column_count; i++)
        text_release(&guarded[i]);
}

static void add_json_row(struct text *line, const struct cli_table *table, const char *const *cells)
{
    text_add(line, table->row_count == 0 ? "[\n" : ",\n");
    text_addf(line, "{\"format_version\":%d", (int)CLI_FORMAT_VERSION);
    for (size_t i = 0; i < table->column_count; i++) {
        text_addf(line, ",\"%s\":", table->columns[i].name);
        if (cells[i][0] == '\0')
            text_add(line, "null");
        else if (table->columns[i].type == COLUMN_NUMBER)
            text_add(line, cells[i]);
        else
            cli_add_json(line, cells[i]);
    }
    text_add(line, "}");
}

void cli_table_row(struct cli_table *table, const char *const *cells)
{
    struct text line = {0};
    struct error ignored;

    if (table->format == FORMAT_TEXT)
        table_text_keep(table, cells);
    else if (table->format == FORMAT_CSV)
        add_csv_row(&line, table, cells);
    else
        add_json_row(&line, table, cells);
    table->failed =
        cli_put_csv(table->out, table->terminal, &line, &ignored) != STATUS_OK || table->failed;
    table->row_count++;
    table->note = NULL;
}

enum status cli_table_end(struct cli_table *table, struct error *error)
{
    if (table->format == FORMAT_TEXT)
        table_text_put(table);
    else if (table->format == FORMAT_JSON)
        (void)fputs(table->row_count == 0 ? "[]\n" : "\n]\n", table->out);
    bool failed = table->failed || table->cells.failed;
    text_release(&table->cells);
    return failed ? error_no_memory(error) : STATUS_OK;
}

/* \uHHHH, as a pair of surrogates above U+FFFF (RFC 8259 section 7). */
static void add_escape(struct text *out, uint32_t character)
{
    if (character > 0xFFFF) {
        character -= 0x10000;
        text_addf(out, "\\u%04" PRIx32, UINT32_C(0xD800) + (character >> 10));
        character = UINT32_C(0xDC00) + (character & 0x3FF);
    }
    text_addf(out, "\\u%04" PRIx32, character);
}

void cli_add_json(struct text *out, const char *text)
{
    size_t length = strlen(text);

    text_add_byte(out, '"');
    while (length > 0) {
        uint32_t character = 0;
        size_t used = text_decode(text, length, &character);

        if (used == 0)
            text_add(out, "\\ufffd");
        else if (character == '"' || character == '\\')
            text_addf(out, "\\%c", (int)character);
        else if (text_trouble(character) != NULL)
            add_escape(out, character);
        else
            text_append(out, text, used);
        text += used == 0 ? 1 : used;
        length -= used == 0 ? 1 : used;
    }
    text_add_byte(out, '"');
}
