/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A list of records: a screen gives columns and an ops table, the list draws, scrolls, sorts, and
 * keeps the selected record by its id when rows come, go or move. Only the rows that are seen are
 * asked for their texts.
 */
#ifndef SPRINGLINE_UI_LIST_H
#define SPRINGLINE_UI_LIST_H

#include "springline/app/command.h"
#include "springline/base/id.h"
#include "springline/ui/grid.h"

struct list_column {
    const char *head;
    int cells; /* the cells it takes; of the stretching column the least */
    int keep;  /* 0: always shown; else the column with the largest goes first when it is tight */
    bool stretch;  /* takes the cells that are left */
    int wish;      /* of the stretching column: columns of keep LIST_LUXURY and more make room */
    bool right;    /* numbers: set to the right */
    bool falling;  /* sorted with the largest first */
    bool unsorted; /* its texts are made for the rows seen only: never sorted by */
};

struct list_ops {
    const struct list_column *columns;
    int column_count;
    size_t (*rows)(const void *context);
    /* Appends the text of one cell. */
    void (*cell)(const void *context, size_t row, int column, struct text *out);
    /* What the row is about; several rows may share it. */
    struct id (*id)(const void *context, size_t row);
    /* How the row looks; NULL: all plain. */
    unsigned (*look)(const void *context, size_t row);
    /* The texts of every row are asked for next, to sort by them. NULL: nothing to make ready. */
    void (*every)(const void *context);
    /* Does the row stand before the others however the list is sorted? NULL: none does. */
    bool (*leads)(const void *context, size_t row);
};

enum { LIST_COLUMNS_MAX = 16, LIST_NATURAL = -1, LIST_LUXURY = 4 };

struct list {
    const struct list_ops *ops;
    const void *context;
    size_t *order; /* rows in the order shown; owned */
    size_t count;
    size_t selected, top; /* places in order */
    struct id selected_id;
    int sort_column; /* LIST_NATURAL: as the screen gave them */
    int page;        /* rows of the last drawing */
};

/* Starts a list over context. */
void list_open(struct list *list, const struct list_ops *ops, const void *context);
/* Frees what it owns. */
void list_release(struct list *list);

/* The rows changed: reads them again and finds the selected record. False: no memory, empty now. */
bool list_refresh(struct list *list);

/* Does COMMAND_NEXT, PREVIOUS, FIRST, LAST, PAGE_NEXT, PAGE_PREVIOUS or SORT (each call sorts by
 * the next column, after the last as given; without regard to case and marks, numbers by their
 * size, what is empty last). False when command is none of them. */
bool list_command(struct list *list, enum command command);

/* Sorts by a column from now on; LIST_NATURAL: as the screen gives the rows. */
void list_sort(struct list *list, int column);
/* The column with this head that can be sorted by; LIST_NATURAL: there is none. */
int list_column_headed(const struct list *list, const char *head);

/* The selected row of the context; false when the list is empty. */
bool list_selected(const struct list *list, size_t *row);

/* Has the column room in so many cells? */
bool list_shows(const struct list *list, struct grid *grid, int cells, int column);

/* Draws head and rows into the box; empty is shown instead of rows when there are none. The head
 * says which column the rows are sorted by, also when that one is not shown. With focus the text
 * cursor is put on the selected row. */
void list_draw(struct list *list, struct grid *grid, int row, int rows, int cells,
               const char *empty, bool focus);

#endif
