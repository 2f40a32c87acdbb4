/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/ui/panel.h"

#include <string.h>

void panel_add(struct panel *panel, unsigned look, int hang, const char *text)
{
    panel_add_marked(panel, look, hang, text, "", 0, 0);
}

void panel_add_marked(struct panel *panel, unsigned look, int hang, const char *text,
                      const char *word, unsigned mark, unsigned edge)
{
    const char *at = strstr(text, word);

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
        (struct panel_line){.text = copy,
                            .look = look,
                            .hang = hang,
                            .mark_from = at == NULL ? 0 : (size_t)(at - text),
                            .mark_length = at == NULL ? 0 : strlen(word),
                            .mark = mark,
                            .edge = edge};
}

void panel_clear(struct panel *panel)
{
    arena_clear(&panel->arena);
    *panel = (struct panel){.arena = panel->arena, .below = panel->below};
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
        if (*at == ' ' && (at == text || at[-1] != ' ')) /* the rest of the gap goes with it */
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
    const struct panel_line *line;
};

/* Cells of length bytes of a text. */
static int cells_of(struct grid *grid, const char *text, size_t length)
{
    int cells = 0;

    for (size_t at = 0, bytes; at < length; at += bytes)
        cells += step(grid, text + at, &bytes);
    return cells;
}

/* Gives the part of the mark that lies in this piece its look. */
static void mark_piece(const struct box *box, int row, int column, const char *piece, size_t length)
{
    const struct panel_line *line = box->line;
    size_t from = (size_t)(piece - line->text), to = from + length;
    size_t first = line->mark_from > from ? line->mark_from : from;
    size_t end = line->mark_from + line->mark_length;

    end = end < to ? end : to;
    if (first >= end)
        return;
    int at = column + cells_of(box->grid, piece, first - from);
    grid_look(box->grid, row, at, cells_of(box->grid, line->text + first, end - first), line->mark);
    if (line->edge != 0 && first == line->mark_from && first > from)
        grid_look(box->grid, row, at - 1, 1, line->edge);
}

static void draw_piece(void *context, int index, int indent, const char *piece, size_t length)
{
    struct box *box = context;
    int at = box->base + index - box->offset;
    struct text text = {0};

    if (at < 0 || at >= box->rows)
        return;
    text_append(&text, piece, length);
    grid_put(box->grid, box->row + at, box->column + indent, box->width - indent, box->line->look,
             text_string(&text));
    mark_piece(box, box->row + at, box->column + indent, piece, length);
    text_release(&text);
}

/* Says at the end of a row that there is more. Words never hide part of a text: where there is no
 * room behind it the row is theirs. A short sign may stand on the text's end. */
static void draw_notice(struct grid *grid, int row, int column, int width, const char *words)
{
    enum { SIGN_CELLS = 3 };
    int cells = grid_measure(grid, words), used = width;

    while (used > 0 && grid_cell(grid, row, column + used - 1).character == ' ')
        used--;
    if (cells <= SIGN_CELLS || used + 2 + cells <= width)
        grid_put(grid, row, column + width - cells, cells, LOOK_BOLD, words);
    else
        grid_put_right(grid, row, column, width, LOOK_BOLD, words);
}

int panel_draw(struct panel *panel, struct grid *grid, int row, int column, int rows, int width,
               int offset)
{
    struct box box = {
        .grid = grid, .row = row, .column = column, .rows = rows, .width = width, .offset = offset};

    for (size_t i = 0; i < panel->count; i++) {
        box.line = &panel->lines[i];
        box.base += walk_line(&panel->lines[i], grid, width, draw_piece, &box);
    }
    int drawn = box.base - offset < rows ? box.base - offset : rows;
    if (drawn > 1 && offset > 0)
        draw_notice(grid, row, column, width, "more above: PageUp");
    if (drawn > 0 && box.base - offset > rows)
        draw_notice(grid, row + rows - 1, column, width,
                    panel->below == NULL ? "more below: PageDown" : panel->below);
    return drawn < 0 ? 0 : drawn;
}
