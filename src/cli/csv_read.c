/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One pass over the bytes, a block at a time; runs of plain bytes are copied whole. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "springline/cli/csv.h"

enum { BLOCK_BYTES = 65536, CELLS_AT_FIRST = 32 };

enum place {
    CELL_START,  /* nothing of the cell read yet */
    PLAIN,       /* in an unquoted cell */
    QUOTED,      /* between quotation marks */
    QUOTE_SEEN,  /* after a quotation mark that closes the cell or is half of a pair */
    RETURN_SEEN, /* after a carriage return that must be followed by a line feed */
    ROW_DONE
};

struct csv_reader {
    FILE *in;
    const char *name;
    size_t at, filled;   /* in block */
    bool started, ended; /* the first block was looked at; nothing more comes from in */
    enum place place;
    long line; /* physical line of the byte at */
    long row_line, quote_line, failed_line;
    struct text bytes; /* the row's cells, each with its NUL */
    size_t *starts;    /* where each cell begins in bytes */
    const char **cells;
    size_t count, capacity;
    char block[BLOCK_BYTES];
};

enum status csv_open(FILE *in, const char *name, struct csv_reader **reader, struct error *error)
{
    struct csv_reader *made = calloc(1, sizeof *made);

    if (made == NULL)
        return error_no_memory(error);
    made->in = in;
    made->name = name;
    made->line = 1;
    *reader = made;
    return STATUS_OK;
}

void csv_close(struct csv_reader *reader)
{
    if (reader == NULL)
        return;
    text_release(&reader->bytes);
    free(reader->starts);
    free(reader->cells);
    free(reader);
}

long csv_line(const struct csv_reader *reader)
{
    return reader->failed_line;
}

long csv_row_line(const struct csv_reader *reader)
{
    return reader->row_line;
}

/* A failure on a physical line; nothing more is read after it. */
static enum status refuse(struct csv_reader *reader, long line, struct error *error,
                          const char *sentence)
{
    struct text where = {0};

    reader->ended = true;
    reader->at = reader->filled = 0;
    reader->failed_line = line;
    text_addf(&where, "%s line %ld", reader->name, line);
    enum status status = error_set(error, STATUS_INPUT, text_string(&where), "%s", sentence);
    text_release(&where);
    return status;
}

/* Looks at the first bytes: passes over the byte order mark of UTF-8, refuses that of UTF-16. */
static enum status look_at_mark(struct csv_reader *reader, struct error *error)
{
    const char *first = reader->block;

    reader->started = true;
    if (reader->filled >= 2 &&
        (memcmp(first, "\xFF\xFE", 2) == 0 || memcmp(first, "\xFE\xFF", 2) == 0))
        return refuse(reader, 1, error, "The file is UTF-16; save it again as CSV in UTF-8.");
    if (reader->filled >= 3 && memcmp(first, "\xEF\xBB\xBF", 3) == 0)
        reader->at = 3;
    return STATUS_OK;
}

/* Reads the next block. */
static enum status fill(struct csv_reader *reader, struct error *error)
{
    reader->at = 0;
    errno = 0;
    reader->filled = fread(reader->block, 1, sizeof reader->block, reader->in);
    if (reader->filled < sizeof reader->block) {
        int problem = errno;

        reader->ended = true;
        if (ferror(reader->in)) {
            reader->filled = 0;
            reader->failed_line = reader->line;
            return error_set(error, STATUS_INPUT, reader->name, "The file can not be read: %s.",
                             strerror(problem));
        }
    }
    return reader->started ? STATUS_OK : look_at_mark(reader, error);
}

/* Room for one more cell than there are. */
static bool make_room(struct csv_reader *reader)
{
    if (reader->count < reader->capacity)
        return true;
    size_t wanted = reader->capacity == 0 ? CELLS_AT_FIRST : reader->capacity * 2;
    size_t *starts = realloc(reader->starts, wanted * sizeof *starts);
    if (starts == NULL)
        return false;
    reader->starts = starts;
    const char **cells = realloc(reader->cells, wanted * sizeof *cells);
    if (cells == NULL)
        return false;
    reader->cells = cells;
    reader->capacity = wanted;
    return true;
}

static enum status start_cell(struct csv_reader *reader, struct error *error)
{
    if (!make_room(reader))
        return error_no_memory(error);
    reader->starts[reader->count++] = reader->bytes.length;
    reader->place = CELL_START;
    return STATUS_OK;
}

static void end_cell(struct csv_reader *reader)
{
    text_append(&reader->bytes, "", 1);
}

/* The unquoted bytes that mean something. */
static bool is_special(char byte)
{
    return byte == ',' || byte == '"' || byte == '\n' || byte == '\r' || byte == '\0';
}

/* The byte that ends a cell, a row, or belongs nowhere; plain is true inside an unquoted cell. */
static enum status take_special(struct csv_reader *reader, char byte, bool plain,
                                struct error *error)
{
    reader->at++;
    switch (byte) {
    case ',':
        end_cell(reader);
        return start_cell(reader, error);
    case '\n':
        reader->line++;
        reader->place = ROW_DONE;
        return STATUS_OK;
    case '\r':
        reader->place = RETURN_SEEN;
        return STATUS_OK;
    case '\0':
        return refuse(reader, reader->line, error,
                      "There is a NUL byte, so this is not CSV text; save it again as CSV in "
                      "UTF-8.");
    default:
        break;
    }
    if (plain)
        return refuse(reader, reader->line, error,
                      "A quotation mark stands inside a cell that does not begin with one; put the "
                      "whole cell in quotation marks and double those inside.");
    reader->place = QUOTED;
    reader->quote_line = reader->line;
    return STATUS_OK;
}

/* CELL_START and PLAIN: copies the run up to the next byte that means something. */
static enum status step_plain(struct csv_reader *reader, struct error *error)
{
    size_t end = reader->at;

    while (end < reader->filled && !is_special(reader->block[end]))
        end++;
    if (end > reader->at) {
        text_append(&reader->bytes, reader->block + reader->at, end - reader->at);
        reader->place = PLAIN;
        reader->at = end;
    }
    if (end == reader->filled)
        return STATUS_OK;
    return take_special(reader, reader->block[end], reader->place == PLAIN, error);
}

/* QUOTED: everything up to the next quotation mark belongs to the cell. */
static enum status step_quoted(struct csv_reader *reader, struct error *error)
{
    size_t end = reader->at;

    for (; end < reader->filled && reader->block[end] != '"'; end++) {
        if (reader->block[end] == '\0')
            return take_special(reader, '\0', false, error);
        reader->line += reader->block[end] == '\n';
    }
    text_append(&reader->bytes, reader->block + reader->at, end - reader->at);
    reader->at = end;
    if (end < reader->filled) {
        reader->at++;
        reader->place = QUOTE_SEEN;
    }
    return STATUS_OK;
}

static enum status step_after_quote(struct csv_reader *reader, struct error *error)
{
    char byte = reader->block[reader->at];

    if (byte == '"') {
        reader->at++;
        text_add_byte(&reader->bytes, '"');
        reader->place = QUOTED;
        return STATUS_OK;
    }
    if (is_special(byte))
        return take_special(reader, byte, false, error);
    return refuse(reader, reader->line, error,
                  "Text follows a closing quotation mark; a quotation mark inside a quoted cell "
                  "must be doubled.");
}

static enum status step_after_return(struct csv_reader *reader, struct error *error)
{
    if (reader->block[reader->at] != '\n')
        return refuse(reader, reader->line, error,
                      "A carriage return stands without a line feed; save the file with CRLF or LF "
                      "line ends, and put quotation marks around cells that hold line breaks.");
    return take_special(reader, '\n', false, error);
}

static enum status step(struct csv_reader *reader, struct error *error)
{
    switch (reader->place) {
    case QUOTED:
        return step_quoted(reader, error);
    case QUOTE_SEEN:
        return step_after_quote(reader, error);
    case RETURN_SEEN:
        return step_after_return(reader, error);
    case CELL_START:
    case PLAIN:
    case ROW_DONE:
        break;
    }
    return step_plain(reader, error);
}

/* The file ends inside a row: a last line without a line end is good. */
static enum status end_of_file(struct csv_reader *reader, struct error *error)
{
    if (reader->place == QUOTED)
        return refuse(reader, reader->quote_line, error,
                      "A quotation mark opens here and is never closed.");
    if (reader->place == RETURN_SEEN)
        return refuse(reader, reader->line, error,
                      "The file ends in a carriage return without a line feed; save it with CRLF "
                      "or LF line ends.");
    reader->place = ROW_DONE;
    return STATUS_OK;
}

/* Reads on until the row is whole. */
static enum status read_row(struct csv_reader *reader, struct error *error)
{
    enum status status = start_cell(reader, error);

    while (status == STATUS_OK && reader->place != ROW_DONE) {
        if (reader->at == reader->filled && reader->ended)
            status = end_of_file(reader, error);
        else if (reader->at == reader->filled)
            status = fill(reader, error);
        else
            status = step(reader, error);
        if (status == STATUS_OK && reader->bytes.length > CSV_ROW_BYTES_MAX)
            status = refuse(reader, reader->place == QUOTED ? reader->quote_line : reader->row_line,
                            error,
                            "A row is larger than 1 MiB; most likely a quotation mark opens here "
                            "and is never closed.");
    }
    return status;
}

enum status csv_read(struct csv_reader *reader, struct csv_row *row, bool *more,
                     struct error *error)
{
    enum status status = STATUS_OK;

    *more = false;
    text_clear(&reader->bytes);
    reader->count = 0;
    reader->row_line = reader->line;
    if (reader->at == reader->filled && !reader->ended)
        status = fill(reader, error);
    if (status != STATUS_OK || (reader->at == reader->filled && reader->ended))
        return status;
    status = read_row(reader, error);
    if (status != STATUS_OK)
        return status;
    end_cell(reader);
    if (reader->bytes.failed)
        return error_no_memory(error);
    for (size_t i = 0; i < reader->count; i++)
        reader->cells[i] = reader->bytes.data + reader->starts[i];
    row->cells = reader->cells;
    row->count = reader->count;
    row->line = reader->row_line;
    row->blank = reader->count == 1 && reader->bytes.length == 1 && reader->quote_line < row->line;
    *more = true;
    return STATUS_OK;
}
