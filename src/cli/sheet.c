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

void cli_add_wrapped(struct text *out, const char *lead, const char *text, int columns)
{
    text_add_wrapped(out, lead, text, columns);
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
