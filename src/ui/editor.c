/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/ui/editor.h"

#include <string.h>

static size_t bytes_at(const struct editor *editor, size_t at, uint32_t *character)
{
    size_t used = text_decode(editor->text + at, editor->length - at, character);

    return used == 0 && at < editor->length ? 1 : used;
}

/* Where the character after the one at ends: a letter with all of its marks. */
static size_t next_stop(const struct editor *editor, size_t at)
{
    uint32_t character = 0;

    at += bytes_at(editor, at, &character);
    while (at < editor->length) {
        size_t used = bytes_at(editor, at, &character);
        if (text_character_width(character) > 0)
            break;
        at += used;
    }
    return at;
}

static size_t previous_stop(const struct editor *editor, size_t at)
{
    size_t stop = 0, next = 0;

    while (next < at) {
        stop = next;
        next = next_stop(editor, next);
    }
    return stop;
}

static int count_characters(const struct editor *editor)
{
    uint32_t character;
    int count = 0;

    for (size_t at = 0; at < editor->length; at += bytes_at(editor, at, &character))
        count++;
    return count;
}

static void cut(struct editor *editor, size_t from, size_t to)
{
    memmove(editor->text + from, editor->text + to, editor->length - to + 1);
    editor->length -= to - from;
    editor->cursor = from;
}

void editor_set(struct editor *editor, const char *text, int most, bool fresh)
{
    size_t length = strlen(text);
    uint32_t character;

    *editor = (struct editor){.most = most, .fresh = fresh};
    while (editor->length < length) {
        size_t used = text_decode(text + editor->length, length - editor->length, &character);
        if (used == 0 || editor->length + used >= EDITOR_BYTES)
            break;
        memcpy(editor->text + editor->length, text + editor->length, used);
        editor->length += used;
    }
    editor->cursor = editor->length;
}

bool editor_insert(struct editor *editor, uint32_t character)
{
    char bytes[5];

    if (text_trouble(character) != NULL)
        return false;
    if (editor->fresh)
        cut(editor, 0, editor->length);
    editor->fresh = false;
    size_t length = (size_t)key_utf8(character, bytes);
    if (editor->length + length >= EDITOR_BYTES ||
        (editor->most > 0 && count_characters(editor) >= editor->most))
        return false;
    memmove(editor->text + editor->cursor + length, editor->text + editor->cursor,
            editor->length - editor->cursor + 1);
    memcpy(editor->text + editor->cursor, bytes, length);
    editor->length += length;
    editor->cursor += length;
    return true;
}

bool editor_command(struct editor *editor, enum command command)
{
    switch ((int)command) {
    case COMMAND_LEFT:
        editor->cursor = previous_stop(editor, editor->cursor);
        break;
    case COMMAND_RIGHT:
        editor->cursor = next_stop(editor, editor->cursor);
        break;
    case COMMAND_LINE_START:
        editor->cursor = 0;
        break;
    case COMMAND_LINE_END:
        editor->cursor = editor->length;
        break;
    case COMMAND_RUB_OUT:
        cut(editor, previous_stop(editor, editor->cursor), editor->cursor);
        break;
    case COMMAND_DELETE:
        cut(editor, editor->cursor, next_stop(editor, editor->cursor));
        break;
    case COMMAND_CLEAR:
        cut(editor, 0, editor->length);
        break;
    default:
        return false;
    }
    editor->fresh = false;
    return true;
}

/* Cells of the bytes from ... to. */
static int cells_between(const struct editor *editor, struct grid *grid, size_t from, size_t to)
{
    char part[EDITOR_BYTES];

    memcpy(part, editor->text + from, to - from);
    part[to - from] = '\0';
    return grid_measure(grid, part);
}

void editor_draw(const struct editor *editor, struct grid *grid, int row, int column, int cells,
                 unsigned look)
{
    size_t from = 0;

    /* One cell stays free for the cursor behind the last character. */
    while (from < editor->cursor && cells_between(editor, grid, from, editor->cursor) >= cells)
        from = next_stop(editor, from);
    grid_put_padded(grid, row, column, cells, look, editor->text + from);
    grid_cursor(grid, row, column + cells_between(editor, grid, from, editor->cursor));
}
