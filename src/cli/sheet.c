/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Running text on printed sheets. */
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>

#include "springline/cli/output.h"

int cli_line_cells(FILE *out)
{
    const char *given = getenv("COLUMNS");
    long cells = given == NULL ? 0 : strtol(given, NULL, 10);
    struct winsize size;

    if (cells <= 0 && ioctl(fileno(out), TIOCGWINSZ, &size) == 0)
        cells = size.ws_col;
    if (cells <= 0 || cells > CLI_LINE_MOST)
        return CLI_LINE_MOST;
    return cells < CLI_LINE_LEAST ? CLI_LINE_LEAST : (int)cells;
}

/* The next word at *at, after blanks; its length, 0 at the end. */
static size_t next_word(const char **at)
{
    *at += strspn(*at, " ");
    return strcspn(*at, " ");
}

static int width_of(const char *word, size_t length)
{
    struct text copy = {0};

    text_append(&copy, word, length);
    int width = text_width(text_string(&copy));
    text_release(&copy);
    return width;
}

void cli_add_wrapped(struct text *out, const char *lead, const char *text, int columns)
{
    struct text shown = {0};
    int indent = text_width(lead), used = indent;
    bool fresh = true;

    text_add_shown(&shown, text);
    text_add_shown(out, lead);
    const char *at = text_string(&shown);
    for (size_t length; (length = next_word(&at)) > 0; at += length) {
        int width = width_of(at, length);

        if (!fresh && used + 1 + width > columns) {
            text_addf(out, "\n%*s", indent, "");
            used = indent;
            fresh = true;
        }
        if (!fresh)
            text_add_byte(out, ' ');
        text_append(out, at, length);
        used += width + !fresh;
        fresh = false;
    }
    text_add(out, "\n");
    out->failed = out->failed || shown.failed;
    text_release(&shown);
}

void cli_add_lines(struct text *out, const char *lines)
{
    while (lines[0] != '\0') {
        size_t length = strcspn(lines, "\n");
        struct text line = {0};

        text_append(&line, lines, length);
        text_add_shown(out, text_string(&line));
        text_add(out, "\n");
        out->failed = out->failed || line.failed;
        text_release(&line);
        lines += length + (lines[length] == '\n');
    }
}
