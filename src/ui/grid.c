/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/ui/grid.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

#include "springline/ui/key.h"

enum { ZERO_WIDTH_NON_JOINER = 0x200C, ZERO_WIDTH_JOINER = 0x200D };

static const struct cell blank = {.character = ' ', .width = 1};

bool grid_resize(struct grid *grid, int rows, int columns)
{
    rows = rows < 1 ? 1 : rows;
    columns = columns < 1 ? 1 : columns;
    struct cell *cells = calloc((size_t)rows * (size_t)columns, sizeof *cells);

    if (cells == NULL)
        return false;
    free(grid->cells);
    grid->cells = cells;
    grid->rows = rows;
    grid->columns = columns;
    grid_erase(grid);
    return true;
}

void grid_release(struct grid *grid)
{
    free(grid->cells);
    text_release(&grid->scratch);
    *grid = (struct grid){0};
}

void grid_erase(struct grid *grid)
{
    size_t count = (size_t)grid->rows * (size_t)grid->columns;

    for (size_t i = 0; i < count; i++)
        grid->cells[i] = blank;
    grid->cursor_row = grid->cursor_column = 0;
}

/* The cell, or NULL outside. */
static struct cell *cell_at(const struct grid *grid, int row, int column)
{
    if (row < 0 || column < 0 || row >= grid->rows || column >= grid->columns)
        return NULL;
    return &grid->cells[(size_t)row * (size_t)grid->columns + (size_t)column];
}

/* One half of a double-width character goes: the other half becomes a blank. */
static void unpair(struct grid *grid, int row, int column)
{
    struct cell *cell = cell_at(grid, row, column);

    if (cell == NULL)
        return;
    int other = cell->width == 0 ? column - 1 : cell->width == 2 ? column + 1 : -1;
    struct cell *half = cell_at(grid, row, other);
    if (half != NULL)
        *half = (struct cell){.character = ' ', .width = 1, .look = half->look};
}

static void set_cell(struct grid *grid, int row, int column, uint32_t character, int width,
                     unsigned look)
{
    struct cell *cell = cell_at(grid, row, column);

    if (cell == NULL)
        return;
    if (width == 2 && cell_at(grid, row, column + 1) == NULL) {
        character = ' '; /* half a character can not be shown at the edge */
        width = 1;
    }
    unpair(grid, row, column);
    *cell = (struct cell){.character = character, .look = (uint16_t)look, .width = (uint16_t)width};
    if (width == 2) {
        unpair(grid, row, column + 1);
        *cell_at(grid, row, column + 1) =
            (struct cell){.character = 0, .look = (uint16_t)look, .width = 0};
    }
}

/* The same for a run of ASCII, or of blanks (ascii NULL): only its ends can halve a pair. */
static void set_run(struct grid *grid, int row, int column, int cells, unsigned look,
                    const char *ascii)
{
    int from = column < 0 ? -column : 0;
    int to = cells > grid->columns - column ? grid->columns - column : cells;

    if (row < 0 || row >= grid->rows || from >= to)
        return;
    unpair(grid, row, column + from);
    unpair(grid, row, column + to - 1);
    struct cell *run = cell_at(grid, row, column + from);
    for (int i = from; i < to; i++)
        run[i - from] = (struct cell){.character = ascii == NULL ? ' ' : (unsigned char)ascii[i],
                                      .look = (uint16_t)look,
                                      .width = 1};
}

static void add_mark(struct cell *cell, uint32_t mark)
{
    for (int i = 0; i < CELL_MARKS; i++) {
        if (cell->marks[i] == 0) {
            cell->marks[i] = mark;
            return;
        }
    }
}

/* Its length when the text is printable ASCII and nothing else; -1. */
static long ascii_length(const char *text)
{
    const unsigned char *byte = (const unsigned char *)text;

    while (*byte >= 0x20 && *byte < 0x7F)
        byte++;
    return *byte == '\0' ? (long)(byte - (const unsigned char *)text) : -1;
}

/* The text as this grid may hold it, harmless and, in a plain grid, ASCII. */
static const char *prepare(struct grid *grid, const char *text)
{
    char ascii[8];

    if (ascii_length(text) >= 0)
        return text;
    text_clear(&grid->scratch);
    text_add_shown(&grid->scratch, text);
    if (!grid->plain || grid->scratch.failed)
        return text_string(&grid->scratch);

    struct text shown = grid->scratch;
    grid->scratch = (struct text){0};
    size_t used;
    for (size_t at = 0; at < shown.length; at += used) {
        uint32_t character = '?';
        used = text_decode(shown.data + at, shown.length - at, &character);
        used = used == 0 ? 1 : used;
        if (text_character_width(character) > 0) {
            grid_transliterate(character, ascii);
            text_add(&grid->scratch, ascii);
        }
    }
    text_release(&shown);
    return text_string(&grid->scratch);
}

int grid_measure(struct grid *grid, const char *text)
{
    long ascii = ascii_length(text);

    return ascii >= 0 && ascii <= INT_MAX ? (int)ascii : text_width(prepare(grid, text));
}

/* As grid_put, for length bytes of ASCII. */
static int put_ascii(struct grid *grid, int row, int column, int cells, unsigned look,
                     const char *text, long length)
{
    bool cut = length > cells;
    int used = cut ? cells - 1 : (int)length;

    if (cells <= 0)
        return 0;
    set_run(grid, row, column, used, look, text);
    if (!cut)
        return used;
    set_run(grid, row, column + used, 1, look, "~");
    return cells;
}

int grid_put(struct grid *grid, int row, int column, int cells, unsigned look, const char *text)
{
    long ascii = ascii_length(text);
    if (ascii >= 0)
        return put_ascii(grid, row, column, cells, look, text, ascii);

    const char *ready = prepare(grid, text);
    size_t length = strlen(ready), used;
    bool cut = text_width(ready) > cells;
    int room = cut ? cells - 1 : cells, at = 0;
    struct cell *last = NULL;

    if (cells <= 0)
        return 0;
    for (; length > 0; ready += used, length -= used) {
        uint32_t character = '?';
        used = text_decode(ready, length, &character);
        used = used == 0 ? 1 : used;
        int width = text_character_width(character);
        if (width == 0) {
            if (last != NULL && character != ZERO_WIDTH_JOINER &&
                character != ZERO_WIDTH_NON_JOINER)
                add_mark(last, character);
            continue;
        }
        if (at + width > room)
            break;
        set_cell(grid, row, column + at, character, width, look);
        last = cell_at(grid, row, column + at);
        at += width;
    }
    if (cut) {
        set_cell(grid, row, column + at, '~', 1, look);
        at++;
    }
    return at;
}

void grid_put_padded(struct grid *grid, int row, int column, int cells, unsigned look,
                     const char *text)
{
    int used = grid_put(grid, row, column, cells, look, text);

    set_run(grid, row, column + used, cells - used, look, NULL);
}

void grid_put_right(struct grid *grid, int row, int column, int cells, unsigned look,
                    const char *text)
{
    int width = grid_measure(grid, text);
    int before = width < cells ? cells - width : 0;

    set_run(grid, row, column, before, look, NULL);
    grid_put_padded(grid, row, column + before, cells - before, look, text);
}

void grid_look(struct grid *grid, int row, int column, int cells, unsigned look)
{
    for (int i = 0; i < cells; i++) {
        struct cell *cell = cell_at(grid, row, column + i);
        if (cell != NULL)
            cell->look = (uint16_t)look;
    }
}

void grid_cursor(struct grid *grid, int row, int column)
{
    row = row < 0 ? 0 : row;
    column = column < 0 ? 0 : column;
    grid->cursor_row = row < grid->rows ? row : grid->rows - 1;
    grid->cursor_column = column < grid->columns ? column : grid->columns - 1;
}

struct cell grid_cell(const struct grid *grid, int row, int column)
{
    const struct cell *cell = cell_at(grid, row, column);

    return cell == NULL ? blank : *cell;
}

/* Where the last cell that is not blank ends. */
static int row_end(const struct grid *grid, int row)
{
    int end = grid->columns;

    while (end > 0 && grid_cell(grid, row, end - 1).character == ' ')
        end--;
    return end;
}

void grid_row_text(const struct grid *grid, int row, struct text *out)
{
    int end = row_end(grid, row);
    char bytes[5];

    for (int column = 0; column < end; column++) {
        struct cell cell = grid_cell(grid, row, column);
        if (cell.width == 0)
            continue;
        text_append(out, bytes, (size_t)key_utf8(cell.character, bytes));
        for (int i = 0; i < CELL_MARKS && cell.marks[i] != 0; i++)
            text_append(out, bytes, (size_t)key_utf8(cell.marks[i], bytes));
    }
}

void grid_text(const struct grid *grid, struct text *out)
{
    for (int row = 0; row < grid->rows; row++) {
        grid_row_text(grid, row, out);
        text_add_byte(out, '\n');
    }
}
