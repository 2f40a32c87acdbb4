/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "springline/cli/csv.h"

static void add_quoted(struct text *out, const char *cell)
{
    text_add_byte(out, '"');
    for (;;) {
        size_t run = strcspn(cell, "\"");

        text_append(out, cell, run);
        if (cell[run] == '\0')
            break;
        text_add(out, "\"\"");
        cell += run + 1;
    }
    text_add_byte(out, '"');
}

void csv_add_row(struct text *out, const char *const *cells, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (i > 0)
            text_add_byte(out, ',');
        if (cells[i][strcspn(cells[i], ",\"\r\n")] != '\0' || (count == 1 && cells[i][0] == '\0'))
            add_quoted(out, cells[i]);
        else
            text_add(out, cells[i]);
    }
    text_add(out, "\r\n");
}
