/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/ui/panel.h"

#include <string.h>

void panel_add(struct panel *panel, unsigned look, int hang, const char *text)
{
    panel_add_signed(panel, look, 0, hang, text);
}

void panel_add_signed(struct panel *panel, unsigned look, unsigned sign, int hang, const char *text)
{
    if (panel->count == panel->capacity) {
        size_t capacity = panel->capacity == 0 ? 16 : panel->capacity * 2;
        struct panel_line *lines = arena_array(&panel->arena, capacity, sizeof *lines);
        if (lines == NULL) {
            panel->failed = true;
            return;
        }
        if (panel->count > 0)
            memcpy(lines, panel->lines, panel->count * sizeof *lines);
        panel->lines = lines;
        panel->capacity = capacity;
    }
    char *copy = arena_text(&panel->arena, text, strlen(text));
    if (copy == NULL) {
        panel->failed = true;
        return;
    }
    panel->lines[panel->count++] =
        (struct panel_line){.text = copy, .look = look, .hang = hang, .sign = sign};
}

void panel_clear(struct panel *panel)
{
    arena_clear(&panel->arena);
    *panel = (struct panel){.arena = panel->arena};
}

void panel_release(struct panel *panel)
{
    arena_release(&panel->arena);
    *panel = (struct panel){0};
}

/* Cells of one character of the text in this grid; *bytes it has. */
static int step(struct grid *grid, const char *text, size_t *bytes)
{
    char one[8];
    uint32_t character = 0;

    if ((unsigned char)*text >= 0x20 && (unsigned char)*text < 0x7F) {
        *bytes = 1;
        return 1;
    }
    size_t used = text_decode(text, strnlen(text, sizeof one - 1), &character);

    *bytes = used == 0 ? 1 : used;
    memcpy(one, text, *bytes);
    one[*bytes] = '\0';
    return grid_measure(grid, one);
}

const char *panel_wrap(struct grid *grid, const char *text, int width, const char **piece,
                       size_t *length)
{
    const char *at = text, *blank = NULL;
    int cells = 0;
    size_t bytes = 1;

    if (*text == '\0')
        return NULL;
    while (*at != '\0') {
        cells += step(grid, at, &bytes);
        if (cells > width && *at != ' ')
            break;
        if (*at == ' ')
            blank = at;
        at += bytes;
    }
    if (*at != '\0' && blank != NULL && blank > text)
        at = blank;
    else if (*at != '\0' && at == text)
        at += bytes; /* not even one character fits: it is cut when it is drawn */
    *piece = text;
    *length = (size_t)(at - text);
    while (*at == ' ')
        at++;
    return at;
}

/* Walks the wrapped rows of a line and returns their number; emit (may be NULL) gets each. */
static int walk_line(const struct panel_line *line, struct grid *grid, int width,
                     void (*emit)(void *context, int index, int indent, const char *piece,
                                  size_t length),
                     void *context)
{
    const char *rest = line->text, *piece;
    size_t length;
    int index = 0;

    while ((rest = panel_wrap(grid, rest, index == 0 ? width : width - line->hang, &piece,
                              &length)) != NULL) {
        if (emit != NULL)
            emit(context, index, index == 0 ? 0 : line->hang, piece, length);
        index++;
    }
    return index == 0 ? 1 : index;
}

int panel_rows(struct panel *panel, struct grid *grid, int width)
{
    int rows = 0;

    for (size_t i = 0; i < panel->count; i++)
        rows += walk_line(&panel->lines[i], grid, width, NULL, NULL);
    return rows;
}

struct box {
    struct grid *grid;
    int row, column, rows, width, offset; /* where; offset: rows passed over */
    int base;                             /* rows of the lines before this one */
    unsigned look, sign;
};

static void draw_piece(void *context, int index, int indent, const char *piece, size_t length)
{
    struct box *box = context;
    int at = box->base + index - box->offset;
    struct text text = {0};

    if (at < 0 || at >= box->rows)
        return;
    text_append(&text, piece, length);
    grid_put(box->grid, box->row + at, box->column + indent, box->width - indent, box->look,
             text_string(&text));
    if (index == 0 && box->sign != 0)
        grid_look(box->grid, box->row + at, box->column, 1, box->sign);
    text_release(&text);
}

int panel_draw(struct panel *panel, struct grid *grid, int row, int column, int rows, int width,
               int offset)
{
    struct box box = {
        .grid = grid, .row = row, .column = column, .rows = rows, .width = width, .offset = offset};

    for (size_t i = 0; i < panel->count; i++) {
        box.look = panel->lines[i].look;
        box.sign = panel->lines[i].sign;
        box.base += walk_line(&panel->lines[i], grid, width, draw_piece, &box);
    }
    int drawn = box.base - offset < rows ? box.base - offset : rows;
    if (drawn > 0 && offset > 0)
        grid_put(grid, row, column + width - 2, 2, LOOK_BOLD, " ^");
    if (drawn > 0 && box.base - offset > rows)
        grid_put(grid, row + rows - 1, column + width - 2, 2, LOOK_BOLD, " v");
    return drawn < 0 ? 0 : drawn;
}
