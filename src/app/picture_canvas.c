/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture_canvas.h"

#include <stdlib.h>

bool canvas_make(struct arena *arena, int columns, int rows, struct canvas *canvas)
{
    size_t cells = (size_t)columns * (size_t)rows;

    *canvas = (struct canvas){.columns = columns,
                              .rows = rows,
                              .signs = arena_array(arena, cells, sizeof *canvas->signs),
                              .dots = arena_array(arena, cells, sizeof *canvas->dots)};
    return canvas->signs != NULL && canvas->dots != NULL;
}

/* The place of a cell; -1 outside. */
static int place(const struct canvas *canvas, int row, int column)
{
    if (row < 0 || row >= canvas->rows || column < 0 || column >= canvas->columns)
        return -1;
    return row * canvas->columns + column;
}

void canvas_put(struct canvas *canvas, int row, int column, char sign)
{
    int at = place(canvas, row, column);

    if (at >= 0)
        canvas->signs[at] = sign;
}

char canvas_at(const struct canvas *canvas, int row, int column)
{
    int at = place(canvas, row, column);

    return at >= 0 ? canvas->signs[at] : '\0';
}

void canvas_put_free(struct canvas *canvas, int row, int column, char sign)
{
    if (canvas_at(canvas, row, column) == '\0')
        canvas_put(canvas, row, column, sign);
}

void canvas_write(struct canvas *canvas, int row, int column, const char *text)
{
    for (; *text != '\0'; text++, column++)
        canvas_put(canvas, row, column, *text);
}

void canvas_dot(struct canvas *canvas, int x, int y)
{
    /* Dots 1 2 3 7 stand on the left, 4 5 6 8 on the right (Unicode 15, block Braille Patterns). */
    static const unsigned char bits[DOTS_DOWN][DOTS_ACROSS] = {
        {0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}};
    int at = x < 0 || y < 0 ? -1 : place(canvas, y / DOTS_DOWN, x / DOTS_ACROSS);

    if (at >= 0)
        canvas->dots[at] = (unsigned char)(canvas->dots[at] | bits[y % DOTS_DOWN][x % DOTS_ACROSS]);
}

void canvas_line(struct canvas *canvas, int x, int y, int to_x, int to_y, int every)
{
    int across = to_x - x, down = to_y - y;
    int steps = abs(across) > abs(down) ? abs(across) : abs(down);

    canvas_dot(canvas, x, y);
    for (int i = every; i <= steps; i += every)
        canvas_dot(canvas, x + across * i / steps, y + down * i / steps);
}

static void add_pattern(struct text *out, unsigned char dots)
{
    /* U+2800 + dots in UTF-8: E2, A0 + the two high bits, 80 + the six low ones. */
    text_add_byte(out, (char)0xE2);
    text_add_byte(out, (char)(0xA0 | dots >> 6));
    text_add_byte(out, (char)(0x80 | (dots & 0x3F)));
}

void canvas_row(const struct canvas *canvas, int row, struct text *out)
{
    int last = canvas->columns - 1;

    for (; last >= 0; last--) {
        int at = place(canvas, row, last);
        if (at >= 0 &&
            ((canvas->signs[at] != '\0' && canvas->signs[at] != ' ') || canvas->dots[at] != 0))
            break;
    }
    for (int column = 0; column <= last; column++) {
        int at = place(canvas, row, column);
        if (canvas->signs[at] != '\0')
            text_add_byte(out, canvas->signs[at]);
        else if (canvas->dots[at] != 0)
            add_pattern(out, canvas->dots[at]);
        else
            text_add_byte(out, ' ');
    }
}
