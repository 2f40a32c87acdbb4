/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "screen_inner.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CELL_BYTES = 4 * VTERM_MAX_CHARS_PER_CELL };

static size_t put_utf8(char *text, uint32_t c)
{
    if (c < 0x80) {
        text[0] = (char)c;
        return 1;
    }
    size_t more = c < 0x800 ? 1 : c < 0x10000 ? 2 : 3;
    static const unsigned char first[] = {0, 0xC0, 0xE0, 0xF0};
    text[0] = (char)(first[more] | (c >> (6 * more)));
    for (size_t i = 1; i <= more; i++) {
        text[i] = (char)(0x80 | ((c >> (6 * (more - i))) & 0x3F));
    }
    return more + 1;
}

/* One cell's text; an empty cell is a blank, the right half of a wide character nothing. */
static size_t put_cell(const struct screen *screen, int row, int column, char *text)
{
    VTermScreenCell cell;
    VTermPos place = {.row = row, .col = column};
    if (!vterm_screen_get_cell(screen->cells, place, &cell) || cell.chars[0] == 0) {
        text[0] = ' ';
        return 1;
    }
    size_t length = 0;
    for (size_t i = 0; i < VTERM_MAX_CHARS_PER_CELL && cell.chars[i] != 0; i++) {
        if (cell.chars[i] != (uint32_t)-1) {
            length += put_utf8(text + length, cell.chars[i]);
        }
    }
    return length;
}

const char *screen_row(struct screen *screen, int row)
{
    if (row < 0 || row >= screen->rows) {
        return "";
    }
    char **text = &screen->row_text[row];
    if (*text == NULL && (*text = malloc((size_t)screen->columns * CELL_BYTES + 1)) == NULL) {
        return "";
    }
    size_t length = 0, end = 0;
    for (int column = 0; column < screen->columns; column++) {
        size_t cell = put_cell(screen, row, column, *text + length);
        bool blank = cell == 1 && (*text)[length] == ' ';
        length += cell;
        end = blank ? end : length;
    }
    (*text)[end] = '\0';
    return *text;
}

bool screen_find(struct screen *screen, int row, const char *text, struct screen_place *place)
{
    int first = row == SCREEN_ANY_ROW ? 0 : row;
    int last = row == SCREEN_ANY_ROW ? screen->rows - 1 : row;
    for (int at = first; at <= last; at++) {
        const char *line = screen_row(screen, at);
        const char *found = strstr(line, text);
        if (found == NULL) {
            continue;
        }
        char cell[CELL_BYTES];
        int column = 0;
        for (size_t bytes = 0; bytes < (size_t)(found - line); column++) {
            bytes += put_cell(screen, at, column, cell);
        }
        if (place != NULL) {
            *place = (struct screen_place){at, column};
        }
        return true;
    }
    return false;
}

static int colour_of(const VTermColor *colour, bool is_default)
{
    if (is_default) {
        return SCREEN_DEFAULT_COLOUR;
    }
    return VTERM_COLOR_IS_INDEXED(colour) ? colour->indexed.idx : SCREEN_RGB_COLOUR;
}

struct screen_cell screen_cell_at(const struct screen *screen, int row, int column)
{
    VTermScreenCell cell;
    VTermPos place = {.row = row, .col = column};
    if (row < 0 || row >= screen->rows || column < 0 || column >= screen->columns ||
        !vterm_screen_get_cell(screen->cells, place, &cell)) {
        return (struct screen_cell){.foreground = SCREEN_DEFAULT_COLOUR,
                                    .background = SCREEN_DEFAULT_COLOUR};
    }
    return (struct screen_cell){
        .character = cell.chars[0] == (uint32_t)-1 ? 0 : cell.chars[0],
        .width = cell.width,
        .foreground = colour_of(&cell.fg, VTERM_COLOR_IS_DEFAULT_FG(&cell.fg)),
        .background = colour_of(&cell.bg, VTERM_COLOR_IS_DEFAULT_BG(&cell.bg)),
        .bold = cell.attrs.bold,
        .underline = cell.attrs.underline != 0,
        .reverse = cell.attrs.reverse,
        .blink = cell.attrs.blink,
    };
}

struct screen_place screen_cursor(const struct screen *screen)
{
    VTermPos place;
    vterm_state_get_cursorpos(vterm_obtain_state(screen->terminal), &place);
    return (struct screen_place){place.row, place.col};
}

bool screen_cursor_visible(const struct screen *screen)
{
    return screen->cursor_visible;
}

bool screen_alternate(const struct screen *screen)
{
    return screen->alternate;
}

size_t screen_bytes(const struct screen *screen)
{
    return screen->received - screen->mark_bytes;
}

unsigned screen_ready_count(const struct screen *screen)
{
    return screen->ready_count;
}

int64_t screen_ready_at_ns(const struct screen *screen)
{
    return screen->ready_at_ns;
}

pid_t screen_process(const struct screen *screen)
{
    return screen->process;
}

bool screen_signal(struct screen *screen, int signal_number)
{
    return screen->process > 0 && kill(screen->process, signal_number) == 0;
}

void screen_dump(struct screen *screen, const char *reason)
{
    struct screen_place cursor = screen_cursor(screen);
    printf("# screen: %s\n# %d rows, %d columns, cursor at row %d, column %d%s\n", reason,
           screen->rows, screen->columns, cursor.row, cursor.column,
           screen->cursor_visible ? "" : " (hidden)");
    for (int row = 0; row < screen->rows; row++) {
        printf("# %3d |%s\n", row, screen_row(screen, row));
    }
    printf("# last bytes: ");
    size_t count = screen->received < SCREEN_TAIL_BYTES ? screen->received : SCREEN_TAIL_BYTES;
    for (size_t i = screen->received - count; i < screen->received; i++) {
        unsigned char c = (unsigned char)screen->tail[i % SCREEN_TAIL_BYTES];
        if (c >= 0x20 && c < 0x7F && c != '\\') {
            putchar(c);
        } else {
            printf("\\x%02X", c);
        }
    }
    printf("\n");
    fflush(stdout);
}
