/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text on a terminal: how wide it is, cut to fit, and made harmless. */
#include "springline/base/text.h"

#include <limits.h>
#include <string.h>

/* One character, or one byte that is not UTF-8, of a text. */
struct piece {
    uint32_t character;
    size_t bytes;
    int cells;
    bool plain; /* may go to a terminal as it is */
};

/* marks counts those on the letter before, 0 at first. */
static struct piece piece_at(const char *text, size_t length, int *marks)
{
    struct piece piece = {.cells = 1};

    piece.bytes = text_decode(text, length, &piece.character);
    if (piece.bytes == 0) {
        piece.bytes = 1;
        *marks = 0;
        return piece;
    }
    piece.plain = text_trouble(piece.character) == NULL;
    piece.cells = text_character_width(piece.character);
    *marks = piece.cells == 0 ? *marks + 1 : 0;
    if (*marks > TEXT_MARKS_MOST) {
        piece.plain = false;
        piece.cells = 1;
    }
    return piece;
}

int text_width(const char *text)
{
    size_t length = strlen(text);
    int cells = 0, marks = 0;

    while (length > 0) {
        struct piece piece = piece_at(text, length, &marks);

        if (cells > INT_MAX - 2)
            break;
        cells += piece.cells;
        text += piece.bytes;
        length -= piece.bytes;
    }
    return cells;
}

/* True when text takes more than cells cells; reads no further than it must. */
static bool is_wider(const char *text, size_t length, int cells)
{
    int marks = 0;

    while (length > 0 && cells >= 0) {
        struct piece piece = piece_at(text, length, &marks);

        cells -= piece.cells;
        text += piece.bytes;
        length -= piece.bytes;
    }
    return cells < 0;
}

void text_fit(struct text *out, const char *text, int cells, bool pad)
{
    size_t length = strlen(text);
    bool cut;
    int left = cells, marks = 0;

    if (cells <= 0)
        return;
    cut = is_wider(text, length, cells);
    if (cut)
        left--; /* for the mark */
    while (length > 0) {
        struct piece piece = piece_at(text, length, &marks);

        if (piece.cells > left)
            break;
        if (piece.plain)
            text_append(out, text, piece.bytes);
        else
            text_add_byte(out, '?');
        left -= piece.cells;
        text += piece.bytes;
        length -= piece.bytes;
    }
    if (cut)
        text_add_byte(out, '~');
    for (; pad && left > 0; left--)
        text_add_byte(out, ' ');
}

void text_add_shown(struct text *out, const char *text)
{
    size_t length = strlen(text);
    int marks = 0;

    while (length > 0) {
        struct piece piece = piece_at(text, length, &marks);

        if (piece.plain)
            text_append(out, text, piece.bytes);
        else if (piece.character < 0x80) /* a control, or a byte that is not UTF-8 */
            text_addf(out, "\\x%02X", (unsigned)(unsigned char)text[0]);
        else
            text_addf(out, "\\u{%04X}", (unsigned)piece.character);
        text += piece.bytes;
        length -= piece.bytes;
    }
}
