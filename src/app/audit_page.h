/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Blocks of lines laid out on pages for a printer. */
#ifndef SPRINGLINE_APP_AUDIT_PAGE_H
#define SPRINGLINE_APP_AUDIT_PAGE_H

#include <stdbool.h>
#include <stddef.h>

#include "springline/base/text.h"

/* Lines that stand on one page, where they fit on one. */
struct page_block {
    size_t at, length; /* in the sheet's text: whole lines, each ended */
    int lines;
};

struct page_sheet {
    int rows, columns;         /* of the paper */
    const char *left;          /* head: first line; the page number stands right of it */
    const char *below, *aside; /* head: second line, left and right */
    const char *foot;          /* wrapped to columns */
    struct text text;
    struct page_block *blocks; /* owned */
    size_t count, capacity;
    size_t begun; /* where the block being written begins */
    bool failed;
};

/* Starts a sheet; texts of the head and the foot must outlive it. */
void page_begin(struct page_sheet *sheet, int rows, int columns);
/* Ends the block that was written into sheet->text since the last; a block without lines is none.
 */
void page_end_block(struct page_sheet *sheet);
/* Appends the pages to out, form feeds between them; releases the sheet. False: no memory. */
bool page_end(struct page_sheet *sheet, struct text *out);

#endif
