/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Running text broken into lines. */
#include <string.h>

#include "springline/base/text.h"

struct wrapped {
    struct text *out;
    int columns, indent;
    int used;   /* cells of the line so far */
    bool fresh; /* nothing stands on it but the lead or the indent */
};

static void break_line(struct wrapped *wrapped)
{
    text_addf(wrapped->out, "\n%*s", wrapped->indent, "");
    wrapped->used = wrapped->indent;
    wrapped->fresh = true;
}

/* A word without a blank, shown already; one that fits on no line is broken where it must. */
static void add_word(struct wrapped *wrapped, const char *word, size_t length)
{
    while (length > 0) {
        uint32_t character = 0;
        size_t bytes = text_decode(word, length, &character);
        int cells = text_character_width(character);

        if (wrapped->used + cells > wrapped->columns && !wrapped->fresh)
            break_line(wrapped);
        bytes = bytes == 0 ? 1 : bytes;
        text_append(wrapped->out, word, bytes);
        wrapped->used += cells;
        wrapped->fresh = false;
        word += bytes;
        length -= bytes;
    }
}

static int width_of(const char *word, size_t length)
{
    struct text copy = {0};

    text_append(&copy, word, length);
    int width = text_width(text_string(&copy));
    text_release(&copy);
    return width;
}

void text_add_wrapped(struct text *out, const char *lead, const char *text, int columns)
{
    int indent = text_width(lead);
    struct wrapped wrapped = {
        .out = out, .columns = columns, .indent = indent, .used = indent, .fresh = true};
    struct text shown = {0};

    text_add_shown(&shown, text);
    text_add_shown(out, lead);
    const char *at = text_string(&shown);
    for (at += strspn(at, " "); *at != '\0'; at += strspn(at, " ")) {
        size_t length = strcspn(at, " ");

        if (!wrapped.fresh && wrapped.used + 1 + width_of(at, length) > columns) {
            break_line(&wrapped);
        } else if (!wrapped.fresh) {
            text_add_byte(out, ' ');
            wrapped.used++;
        }
        add_word(&wrapped, at, length);
        at += length;
    }
    text_add(out, "\n");
    out->failed = out->failed || shown.failed;
    text_release(&shown);
}
