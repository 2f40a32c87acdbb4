/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "audit_page.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS_LEAST = 24, COLUMNS_LEAST = 60, HEAD_LINES = 4, BLOCKS_FIRST = 32 };

void page_begin(struct page_sheet *sheet, int rows, int columns)
{
    *sheet = (struct page_sheet){.rows = rows < ROWS_LEAST ? ROWS_LEAST : rows,
                                 .columns = columns < COLUMNS_LEAST ? COLUMNS_LEAST : columns,
                                 .left = "",
                                 .below = "",
                                 .aside = "",
                                 .foot = ""};
}

static int count_lines(const char *text, size_t length)
{
    int lines = 0;

    for (size_t i = 0; i < length; i++)
        lines += text[i] == '\n';
    return lines;
}

static bool make_room(struct page_sheet *sheet)
{
    if (sheet->count < sheet->capacity)
        return true;
    size_t capacity = sheet->capacity == 0 ? BLOCKS_FIRST : sheet->capacity * 2;
    struct page_block *blocks = capacity > SIZE_MAX / sizeof *blocks
                                    ? NULL
                                    : realloc(sheet->blocks, capacity * sizeof *blocks);
    if (blocks == NULL)
        return false;
    sheet->blocks = blocks;
    sheet->capacity = capacity;
    return true;
}

void page_end_block(struct page_sheet *sheet)
{
    size_t length = sheet->text.length - sheet->begun;

    if (length == 0 || sheet->text.failed)
        return;
    if (!make_room(sheet)) {
        sheet->failed = true;
        return;
    }
    sheet->blocks[sheet->count++] = (struct page_block){
        sheet->begun, length, count_lines(sheet->text.data + sheet->begun, length)};
    sheet->begun = sheet->text.length;
}

/* ---- laying out ---- */

struct page_cursor {
    struct text *out; /* NULL: only counting */
    struct text foot;
    int page, pages;
    int row, body; /* lines of the page's body used, and those it has */
};

/* left, and right at the end of the line; left is cut where both have no room. */
static void add_pair(struct text *out, const char *left, const char *right, int columns)
{
    int room = columns - text_width(right) - 2;
    struct text cut = {0};

    text_fit(&cut, left, room, true);
    text_addf(out, "%s  %s\n", text_string(&cut), right);
    out->failed = out->failed || cut.failed;
    text_release(&cut);
}

static void add_rule(struct text *out, int columns)
{
    for (int i = 0; i < columns; i++)
        text_add_byte(out, '-');
    text_add(out, "\n");
}

static void begin_page(const struct page_sheet *sheet, struct page_cursor *cursor)
{
    char number[48];

    cursor->page++;
    cursor->row = 0;
    if (cursor->out == NULL)
        return;
    (void)snprintf(number, sizeof number, "page %d of %d", cursor->page, cursor->pages);
    if (cursor->page > 1)
        text_add(cursor->out, "\f");
    add_pair(cursor->out, sheet->left, number, sheet->columns);
    add_pair(cursor->out, sheet->below, sheet->aside, sheet->columns);
    add_rule(cursor->out, sheet->columns);
    text_add(cursor->out, "\n");
}

static void end_page(const struct page_sheet *sheet, struct page_cursor *cursor)
{
    if (cursor->out == NULL)
        return;
    for (; cursor->row < cursor->body; cursor->row++)
        text_add(cursor->out, "\n");
    add_rule(cursor->out, sheet->columns);
    text_add(cursor->out, text_string(&cursor->foot));
}

/* A block longer than a page goes on on the next. */
static void add_lines(const struct page_sheet *sheet, struct page_cursor *cursor, const char *at,
                      int lines)
{
    for (; lines > 0; lines--) {
        size_t length = strcspn(at, "\n") + 1;

        if (cursor->row == cursor->body) {
            end_page(sheet, cursor);
            begin_page(sheet, cursor);
        }
        if (cursor->out != NULL)
            text_append(cursor->out, at, length);
        cursor->row++;
        at += length;
    }
}

/* A blank line stands between blocks, but not at the top of a page. */
static void add_block(const struct page_sheet *sheet, struct page_cursor *cursor,
                      const struct page_block *block)
{
    int gap = cursor->row > 0 ? 1 : 0;

    if (gap == 1 && cursor->row + gap + block->lines > cursor->body &&
        (block->lines <= cursor->body || cursor->row + gap >= cursor->body)) {
        end_page(sheet, cursor);
        begin_page(sheet, cursor);
        gap = 0;
    }
    if (gap == 1)
        add_lines(sheet, cursor, "\n", 1);
    add_lines(sheet, cursor, sheet->text.data + block->at, block->lines);
}

static void lay_out(const struct page_sheet *sheet, struct page_cursor *cursor)
{
    cursor->page = 0;
    begin_page(sheet, cursor);
    for (size_t i = 0; i < sheet->count; i++)
        add_block(sheet, cursor, &sheet->blocks[i]);
    end_page(sheet, cursor);
}

bool page_end(struct page_sheet *sheet, struct text *out)
{
    struct page_cursor cursor = {.out = NULL};

    page_end_block(sheet);
    text_add_wrapped(&cursor.foot, "", sheet->foot, sheet->columns);
    int foot = count_lines(text_string(&cursor.foot), cursor.foot.length) + 1;
    cursor.body = sheet->rows - 1 - HEAD_LINES - foot;
    bool good = !sheet->failed && !sheet->text.failed && !cursor.foot.failed;
    if (good) {
        lay_out(sheet, &cursor);
        cursor.pages = cursor.page;
        cursor.out = out;
        lay_out(sheet, &cursor);
    }
    text_release(&cursor.foot);
    text_release(&sheet->text);
    free(sheet->blocks);
    sheet->blocks = NULL;
    return good && !out->failed;
}
