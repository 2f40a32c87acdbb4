/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/ui/list.h"

#include <stdlib.h>
#include <string.h>

void list_open(struct list *list, const struct list_ops *ops, const void *context)
{
    *list = (struct list){.ops = ops, .context = context, .sort_column = LIST_NATURAL, .page = 1};
}

void list_release(struct list *list)
{
    free(list->order);
    *list = (struct list){0};
}

/* A row with the text it is sorted by. */
struct sortable {
    char *text;
    size_t row;
    bool falling, leads;
};

static bool is_digit(char byte)
{
    return byte >= '0' && byte <= '9';
}

/* Compares the numbers that begin at both places, and goes behind them. */
static int compare_numbers(const char **a, const char **b)
{
    *a += strspn(*a, "0");
    *b += strspn(*b, "0");
    size_t length = strspn(*a, "0123456789"), other = strspn(*b, "0123456789");
    int order = length != other ? (length < other ? -1 : 1) : memcmp(*a, *b, length);
    *a += length;
    *b += other;
    return order;
}

/* 9 comes before 12, C-9 before C-12. */
static int compare_texts(const char *a, const char *b)
{
    while (*a != '\0' && *b != '\0') {
        int order = 0;
        if (is_digit(*a) && is_digit(*b))
            order = compare_numbers(&a, &b);
        else
            order = (unsigned char)*a++ - (unsigned char)*b++;
        if (order != 0)
            return order;
    }
    return (unsigned char)*a - (unsigned char)*b;
}

static int compare_sortables(const void *a, const void *b)
{
    const struct sortable *one = a, *other = b;
    /* Rows without a value come last, rows alike stay in their order. */
    bool one_empty = one->text[0] == '\0', other_empty = other->text[0] == '\0';
    int order = compare_texts(one->text, other->text);

    if (one->leads != other->leads)
        return one->leads ? -1 : 1;
    if (one_empty != other_empty)
        return one_empty ? 1 : -1;
    if (order != 0)
        return one->falling ? -order : order;
    return one->row < other->row ? -1 : one->row > other->row;
}

/* The folded text of a cell: names sort without regard to case and marks. */
static char *sort_text(const struct list *list, struct arena *arena, struct text *cell,
                       struct text *folded, size_t row)
{
    text_clear(cell);
    text_clear(folded);
    list->ops->cell(list->context, row, list->sort_column, cell);
    text_add_folded(folded, text_string(cell));
    return cell->failed || folded->failed ? NULL
                                          : arena_text(arena, text_string(folded), folded->length);
}

/* Brings order into the order of the sort column; without memory it stays as given. */
static void sort_rows(struct list *list)
{
    struct arena arena = {0};
    struct text cell = {0}, folded = {0};
    struct sortable *rows = arena_array(&arena, list->count, sizeof *rows);
    bool good = rows != NULL, falling = list->ops->columns[list->sort_column].falling;

    if (list->ops->every != NULL)
        list->ops->every(list->context);
    for (size_t i = 0; i < list->count && good; i++) {
        bool leads = list->ops->leads != NULL && list->ops->leads(list->context, i);
        rows[i] = (struct sortable){sort_text(list, &arena, &cell, &folded, i), i, falling, leads};
        good = rows[i].text != NULL;
    }
    if (good) {
        qsort(rows, list->count, sizeof *rows, compare_sortables);
        for (size_t i = 0; i < list->count; i++)
            list->order[i] = rows[i].row;
    }
    text_release(&cell);
    text_release(&folded);
    arena_release(&arena);
}

/* The place of the selected record; of several rows of one record the nearest to where it was. */
static void find_selected(struct list *list)
{
    size_t best = list->count, distance = SIZE_MAX;

    for (size_t i = 0; i < list->count && !id_is_none(&list->selected_id); i++) {
        struct id id = list->ops->id(list->context, list->order[i]);
        size_t away = i > list->selected ? i - list->selected : list->selected - i;
        if (id_equal(&id, &list->selected_id) && away < distance) {
            best = i;
            distance = away;
        }
    }
    if (best < list->count)
        list->selected = best;
    else if (list->selected >= list->count)
        list->selected = list->count == 0 ? 0 : list->count - 1;
}

static void remember_selected(struct list *list)
{
    list->selected_id = list->count == 0
                            ? (struct id){{0}}
                            : list->ops->id(list->context, list->order[list->selected]);
}

bool list_refresh(struct list *list)
{
    size_t count = list->ops->rows(list->context);
    size_t *order = realloc(list->order, (count == 0 ? 1 : count) * sizeof *order);

    list->count = order == NULL ? 0 : count;
    if (order == NULL)
        return false;
    list->order = order;
    for (size_t i = 0; i < count; i++)
        order[i] = i;
    if (list->sort_column != LIST_NATURAL)
        sort_rows(list);
    find_selected(list);
    remember_selected(list);
    return true;
}

static void select_by(struct list *list, long rows)
{
    long at = (long)list->selected + rows, last = (long)list->count - 1;

    at = at > last ? last : at;
    list->selected = at < 0 ? 0 : (size_t)at;
    if (list->count > 0)
        remember_selected(list);
}

static void sort_by_next(struct list *list)
{
    do
        list->sort_column++;
    while (list->sort_column < list->ops->column_count &&
           list->ops->columns[list->sort_column].unsorted);
    if (list->sort_column >= list->ops->column_count)
        list->sort_column = LIST_NATURAL;
    list_refresh(list);
}

bool list_command(struct list *list, enum command command)
{
    long all = (long)list->count;

    switch ((int)command) {
    case COMMAND_NEXT:
        select_by(list, 1);
        return true;
    case COMMAND_PREVIOUS:
        select_by(list, -1);
        return true;
    case COMMAND_FIRST:
        select_by(list, -all);
        return true;
    case COMMAND_LAST:
        select_by(list, all);
        return true;
    case COMMAND_PAGE_NEXT:
        select_by(list, list->page);
        return true;
    case COMMAND_PAGE_PREVIOUS:
        select_by(list, -list->page);
        return true;
    case COMMAND_SORT:
        sort_by_next(list);
        return true;
    default:
        return false;
    }
}

void list_sort(struct list *list, int column)
{
    list->sort_column = column;
    (void)list_refresh(list);
}

int list_column_headed(const struct list *list, const char *head)
{
    for (int i = 0; i < list->ops->column_count; i++) {
        if (!list->ops->columns[i].unsorted && strcmp(list->ops->columns[i].head, head) == 0)
            return i;
    }
    return LIST_NATURAL;
}

bool list_selected(const struct list *list, size_t *row)
{
    if (list->count == 0)
        return false;
    *row = list->order[list->selected];
    return true;
}

/* Takes columns away, the least needed first, until used fits; only those of keep least or more.
 * The one sorted by stays: what orders the rows is what one looks at. */
static int drop_columns(const struct list *list, int cells, int used, int least,
                        int given[LIST_COLUMNS_MAX])
{
    const struct list_column *columns = list->ops->columns;

    while (used > cells) {
        int gone = -1;
        for (int i = 0; i < list->ops->column_count; i++) {
            if (given[i] > 0 && columns[i].keep >= least && i != list->sort_column &&
                (gone < 0 || columns[i].keep > columns[gone].keep))
                gone = i;
        }
        if (gone < 0)
            break;
        used -= given[gone] + 1;
        given[gone] = 0;
    }
    return used;
}

/* " v", behind the head of the column sorted by. */
static const char *sort_mark(const struct list *list)
{
    return list->ops->columns[list->sort_column].falling ? " v" : " ^";
}

/* What a column needs: its cells; the one sorted by those of its head with the mark. */
static int wanted_cells(const struct list *list, struct grid *grid, int column)
{
    const struct list_column *known = &list->ops->columns[column];
    int marked = column == list->sort_column
                     ? grid_measure(grid, known->head) + (int)strlen(sort_mark(list))
                     : 0;

    return marked > known->cells ? marked : known->cells;
}

/* Where there is no room for the column sorted by it goes too, if it may. Returns what is used. */
static int drop_sorted(const struct list *list, int cells, int used, int given[LIST_COLUMNS_MAX])
{
    const struct list_column *sorted = &list->ops->columns[list->sort_column];
    int *own = &given[list->sort_column];

    if (used <= cells)
        return used;
    used -= sorted->keep > 0 ? *own + 1 : *own - sorted->cells;
    *own = sorted->keep > 0 ? 0 : sorted->cells;
    return used;
}

/* What each column gets; 0: not shown. Two cells stand before the first for the mark. */
static void share_cells(const struct list *list, struct grid *grid, int cells,
                        int given[LIST_COLUMNS_MAX])
{
    const struct list_column *columns = list->ops->columns;
    int used = 1, wish = 0, stretch = -1;

    for (int i = 0; i < list->ops->column_count; i++) {
        given[i] = wanted_cells(list, grid, i);
        used += given[i] + 1;
        if (columns[i].stretch) {
            stretch = i;
            wish = columns[i].wish > columns[i].cells ? columns[i].wish - columns[i].cells : 0;
        }
    }
    used = drop_columns(list, cells - wish, used, LIST_LUXURY, given);
    used = drop_columns(list, cells, used, 1, given);
    if (list->sort_column != LIST_NATURAL)
        used = drop_sorted(list, cells, used, given);
    if (stretch >= 0 && given[stretch] > 0 && used < cells)
        given[stretch] += cells - used;
}

bool list_shows(const struct list *list, struct grid *grid, int cells, int column)
{
    int given[LIST_COLUMNS_MAX];

    share_cells(list, grid, cells, given);
    return given[column] > 0;
}

/* Sorted by a column whose head has no room for its mark: the head says it at its end. Returns the
 * cells left of it. */
static int draw_hidden_sort(const struct list *list, struct grid *grid, int row, int cells)
{
    struct text by = {0};

    text_addf(&by, " by %s%s", list->ops->columns[list->sort_column].head, sort_mark(list));
    int used = grid_measure(grid, text_string(&by));
    used = used > cells ? cells : used;
    grid_put_right(grid, row, cells - used, used, LOOK_UNDERLINE, text_string(&by));
    text_release(&by);
    return cells - used;
}

static bool shows_mark(const struct list *list, struct grid *grid,
                       const int given[LIST_COLUMNS_MAX])
{
    return given[list->sort_column] >= wanted_cells(list, grid, list->sort_column);
}

/* A head is drawn whole or, where the sort's own words need its room, not at all. */
static void draw_head(const struct list *list, struct grid *grid, int row, int cells,
                      const int given[LIST_COLUMNS_MAX])
{
    bool sorted = list->sort_column != LIST_NATURAL,
         marked = sorted && shows_mark(list, grid, given);
    int end = sorted && !marked ? draw_hidden_sort(list, grid, row, cells) : cells;

    for (int i = 0, at = 2; i<list->ops->column_count; at += given[i]> 0 ? given[i] + 1 : 0, i++) {
        const char *head = list->ops->columns[i].head;
        if (given[i] == 0 || (end < cells && at + grid_measure(grid, head) > end))
            continue;
        int used = grid_put(grid, row, at, given[i], LOOK_UNDERLINE, head);
        if (marked && i == list->sort_column)
            grid_put(grid, row, at + used, given[i] - used, LOOK_UNDERLINE, sort_mark(list));
    }
}

/* The cells of a selected row that are reversed: its mark and the leading columns that never go,
 * which say whose row it is. The whole row, sent twice for each key that moves, is too much for a
 * slow line. */
static int reversed_cells(const struct list *list, const int given[LIST_COLUMNS_MAX])
{
    int end = 2;

    for (int i = 0; i < list->ops->column_count && list->ops->columns[i].keep == 0; i++)
        end += given[i] > 0 ? given[i] + 1 : 0;
    return end;
}

static void draw_row(const struct list *list, struct grid *grid, int at, size_t place, int cells,
                     const int given[LIST_COLUMNS_MAX])
{
    size_t row = list->order[place];
    bool selected = place == list->selected;
    unsigned look = list->ops->look == NULL ? LOOK_PLAIN : list->ops->look(list->context, row);
    struct text cell = {0};
    int column = 2;

    grid_put_padded(grid, at, 0, cells, look, selected ? ">" : "");
    for (int i = 0; i < list->ops->column_count; i++) {
        if (given[i] == 0)
            continue;
        text_clear(&cell);
        list->ops->cell(list->context, row, i, &cell);
        if (list->ops->columns[i].right)
            grid_put_right(grid, at, column, given[i], look, text_string(&cell));
        else
            grid_put(grid, at, column, given[i], look, text_string(&cell));
        column += given[i] + 1;
    }
    if (selected)
        grid_look(grid, at, 0, reversed_cells(list, given), look | LOOK_REVERSE);
    text_release(&cell);
}

void list_draw(struct list *list, struct grid *grid, int row, int rows, int cells,
               const char *empty, bool focus)
{
    int given[LIST_COLUMNS_MAX] = {0};

    if (rows < 2)
        return;
    share_cells(list, grid, cells, given);
    draw_head(list, grid, row, cells, given);
    list->page = rows - 1;
    if (list->selected < list->top)
        list->top = list->selected;
    if (list->selected >= list->top + (size_t)list->page)
        list->top = list->selected + 1 - (size_t)list->page;
    if (list->count < (size_t)list->page || list->top > list->count - (size_t)list->page)
        list->top = list->count < (size_t)list->page ? 0 : list->count - (size_t)list->page;
    for (int i = 0; i < list->page && list->top + (size_t)i < list->count; i++)
        draw_row(list, grid, row + 1 + i, list->top + (size_t)i, cells, given);
    if (list->count == 0)
        grid_put(grid, row + 1, 2, cells - 2, LOOK_PLAIN, empty);
    if (focus)
        grid_cursor(grid, row + 1 + (list->count == 0 ? 0 : (int)(list->selected - list->top)), 2);
}
