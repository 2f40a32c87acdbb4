/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Any bytes as a text that somebody stored: what may be stored, how it is cut, wrapped, folded,
 * found, shown in cells, and written as JSON. Nothing of it steers a terminal.
 */
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "printable.h"
#include "springline/app/sentence.h"
#include "springline/base/text.h"
#include "springline/cli/output.h"
#include "springline/ui/editor.h"
#include "springline/ui/grid.h"

enum { FEW_COLUMNS = 12, GRID_ROWS = 3 };

static void try_check(const char *text, size_t length)
{
    struct error error = {0};
    const char *why = NULL;
    bool good = printable(text, length, false, NULL, &why);
    enum status status = text_check(text, length, SIZE_MAX, "family", &error);

    if (status != STATUS_OK)
        fuzz_refusal(status, &error);
    fuzz_demand(status != STATUS_OK || good, "what may be stored may be shown");
    fuzz_demand(status == STATUS_OK || !good || strstr(error.sentence, "piled") != NULL,
                "what may be shown may be stored, but for piles");
    fuzz_demand(text_is_utf8(text, length) || !good, "what may be shown is UTF-8");
}

static void try_showing(const char *text)
{
    struct text shown = {0}, again = {0};

    text_add_shown(&shown, text);
    fuzz_printable(text_string(&shown), false, "text_add_shown");
    text_add_shown(&again, text_string(&shown));
    fuzz_demand(strcmp(text_string(&shown), text_string(&again)) == 0, "what is shown stays");
    text_clear(&again);
    cli_add_lines(&again, text);
    fuzz_printable(text_string(&again), true, "cli_add_lines");
    text_release(&shown);
    text_release(&again);
}

static void try_fitting(const char *text, int cells)
{
    struct text fitted = {0};

    text_fit(&fitted, text, cells, false);
    fuzz_printable(text_string(&fitted), false, "text_fit");
    fuzz_demand(text_width(text_string(&fitted)) <= cells, "a fitted text has room");
    fuzz_demand(text_width(text) > cells || text_width(text_string(&fitted)) == text_width(text),
                "a text that has room is not cut");
    text_clear(&fitted);
    text_fit(&fitted, text, cells, true);
    fuzz_demand(text_width(text_string(&fitted)) == cells, "a padded text fills its room");
    text_release(&fitted);
}

static void try_wrapping(const char *text, int columns)
{
    struct text wrapped = {0};

    text_add_wrapped(&wrapped, "  - ", text, columns);
    fuzz_printable(text_string(&wrapped), true, "text_add_wrapped");
    for (char *line = wrapped.data, *end; *line != '\0'; line = end + 1) {
        end = strchr(line, '\n');
        fuzz_demand(end != NULL, "the last line is ended");
        *end = '\0';
        fuzz_demand(text_width(line) <= columns, "a wrapped line has room");
    }
    text_release(&wrapped);
}

static void try_finding(const char *text)
{
    struct text folded = {0}, bare = {0};
    size_t digits = 0;

    text_add_folded(&folded, text);
    fuzz_demand(text_matches(text, text_string(&folded)), "a text is found by itself");
    text_add_bare(&bare, text_string(&folded));
    fuzz_demand(bare.length <= folded.length, "a bare text is no longer");
    if (strchr(text_string(&folded), ' ') == NULL)
        fuzz_demand(text_finds(text_string(&folded), text_string(&folded)), "a word finds itself");
    fuzz_demand(text_number(text_string(&folded), folded.length, &digits) <= folded.length,
                "a number begins within its text");
    (void)text_says(text);
    text_release(&folded);
    text_release(&bare);
}

/* A string that was stored in findings comes back, whatever it holds but controls. */
static void try_json(const char *text)
{
    struct text json = {0}, array = {0}, back = {0};

    cli_add_json(&json, text);
    fuzz_printable(text_string(&json), false, "cli_add_json");
    text_add(&array, "[{\"text\":");
    sentence_json_string(&array, text);
    text_add(&array, "}]");
    struct sentence_stored stored = {.at = text_string(&array)};
    fuzz_demand(sentence_stored(&stored, &back), "a stored sentence is found");
    if (text_is_utf8(text, strlen(text)))
        fuzz_demand(strcmp(text_string(&back), text) == 0, "and is the one that was stored");
    text_clear(&back);
    fuzz_demand(!sentence_stored(&stored, &back), "there is no second one");
    text_release(&json);
    text_release(&array);
    text_release(&back);
}

static void try_grid(const char *text, int column, bool plain)
{
    struct grid grid = {.plain = plain};
    struct text shown = {0};
    struct editor editor;

    fuzz_demand(grid_resize(&grid, GRID_ROWS, FEW_COLUMNS), "there is memory");
    fuzz_demand(grid_put(&grid, 0, column - 4, FEW_COLUMNS, 0, text) <= FEW_COLUMNS,
                "a text stays in its cells");
    grid_put_right(&grid, 1, 0, FEW_COLUMNS, 0, text);
    editor_set(&editor, text, 0, false);
    (void)editor_insert(&editor, 0x00E4);
    (void)editor_command(&editor, COMMAND_LEFT);
    (void)editor_command(&editor, COMMAND_RUB_OUT);
    editor_draw(&editor, &grid, 2, 1, FEW_COLUMNS - 2, 0);
    fuzz_demand(grid.cursor_column >= 0 && grid.cursor_column < FEW_COLUMNS, "the cursor is seen");
    grid_text(&grid, &shown);
    fuzz_printable(text_string(&shown), true, "a grid");
    for (const char *at = text_string(&shown); plain && *at != '\0'; at++)
        fuzz_demand((unsigned char)*at < 0x80, "a plain grid is ASCII");
    text_release(&shown);
    grid_release(&grid);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    int column = size == 0 ? 0 : data[0] % (2 * FEW_COLUMNS);

    if (size == 0)
        return 0;
    char *text = fuzz_string(data + 1, size - 1);
    try_check((const char *)data + 1, size - 1);
    try_showing(text);
    try_fitting(text, column);
    try_wrapping(text, FEW_COLUMNS + column);
    try_finding(text);
    try_json(text);
    try_grid(text, column, false);
    try_grid(text, column, true);
    free(text);
    return 0;
}
