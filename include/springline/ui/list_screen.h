/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What every list screen shares: rows read for a search that narrows as one types, the selected
 * record kept when rows come and go (also when another seat saved), sorting, the hint, the menu. A
 * list screen is one struct list_screen and a few small functions.
 *
 *     struct harvest { struct list_view view; struct harvest_list rows; };
 *     static const struct list_screen harvest_list_screen = {...};
 *     static enum status harvest_open(...)
 *     {
 *         return list_screen_open(ui, &harvest_list_screen, argument, state, error);
 *     }
 *     const struct screen_ops harvest_screen = {LIST_SCREEN("harvest", harvest_open)};
 *
 * Row 0 is the title; below it what the screen puts above its list, the line of the search, and the
 * list. Esc clears the search, and with none goes back, unless the screen is the first.
 */
#ifndef SPRINGLINE_UI_LIST_SCREEN_H
#define SPRINGLINE_UI_LIST_SCREEN_H

#include "springline/app/seat.h"
#include "springline/ui/editor.h"
#include "springline/ui/list.h"
#include "springline/ui/ui.h"

struct list_screen;

/* The state of every list screen begins with one. */
struct list_view {
    const struct list_screen *screen;
    struct list list;
    struct editor search;
    struct arena arena; /* the rows; cleared before each reading */
    bool ordered;       /* the remembered order was brought back */
    struct seat_mark mark;
    bool failed;         /* the last reading failed */
    bool narrowing;      /* during read: nothing but the search changed since the last reading */
    int64_t asked_at_ms; /* when the list came: Enter that bounces opens no row of it */
    int64_t back_at_ms;  /* when it came back: the key that saved, bouncing, is no search */
};

struct list_screen {
    const struct list_ops *list;
    size_t size;                         /* of the state, which is all zero at first */
    unsigned menu;                       /* places of its menu; 0: none */
    unsigned places;                     /* further places: PLACE_MONTH ... */
    const char *nothing, *nothing_found; /* instead of rows */
    /* Keeps what the screen was opened for. NULL: nothing. */
    enum status (*begin)(struct ui *ui, void *state, const void *argument, struct error *error);
    /* Reads the rows in which every word of folded is found ("" all; lists_found) into the view's
     * arena. On failure the list is shown empty, and the state must hold no rows. */
    enum status (*read)(struct ui *ui, void *state, const char *folded, struct error *error);
    void (*title)(struct ui *ui, const void *state, struct text *out);
    int list_least; /* rows of the list, its head among them, that above leaves; 0: the usual */
    /* Draws what stands between title and list into rows 1 ... of at most rows rows; returns the
     * rows it took. The search line is the list's own. NULL: nothing. */
    int (*above)(struct ui *ui, void *state, int row, int rows);
    /* Appends what is known of the selected row. */
    void (*hint)(struct ui *ui, const void *state, size_t row, struct text *out);
    /* Enter. */
    void (*open)(struct ui *ui, void *state, size_t row);
    /* The case of a row, for the menu's commands (screen_go); NULL: rows are no cases. */
    struct id (*casefile)(const void *state, size_t row);
    bool first;    /* the screen the program begins with: there is nothing to go back to */
    bool one_case; /* every row is of the one case: its commands work though none is found */
    /* Any other command; has_row false: the list is empty. NULL: none. It is the last thing done
     * for a key: it may close the screen. */
    void (*command)(struct ui *ui, void *state, enum command command, bool has_row, size_t row);
    /* Frees what begin and read took; also after a begin that failed. NULL: nothing. */
    void (*end)(struct ui *ui, void *state);
};

/* ---- the functions of struct screen_ops ---- */

/* Opens the screen: *state is one of its size. On failure nothing is left behind. */
enum status list_screen_open(struct ui *ui, const struct list_screen *screen, const void *argument,
                             void **state, struct error *error);
/* Frees the state. */
void list_screen_close(struct ui *ui, void *state);
/* Draws title, what stands above, the search and the list. */
void list_screen_draw(struct ui *ui, void *state, int rows);
/* A list that is searched, with a menu or a search that stands, and the screen's further places. */
unsigned list_screen_places(const void *state);
/* The places of the screen's menu. */
unsigned list_screen_menu(const void *state);
/* A hyphen behind a letter belongs to the search. */
bool list_screen_takes_text(const void *state, const struct key *key);
/* Enter right after the list came, and the key that saved right after it came back. */
bool list_screen_ignores(const struct ui *ui, const void *state, const struct key *key);
/* Searches, selects, sorts, opens; hands what it does not know to screen_go and to the screen. The
 * state may be gone afterwards, unless the screen is the first. */
void list_screen_command(struct ui *ui, void *state, enum command command, const struct key *key);
/* Appends what the screen knows of the selected row; nothing while there is none. */
void list_screen_hint(struct ui *ui, const void *state, struct text *out);
/* Reads the rows again when another seat saved: true then. */
bool list_screen_tick(struct ui *ui, void *state);
/* Reads the rows again; search and selected record stand. Where the search no longer finds the
 * record, which was changed meanwhile, it gives way and the record is shown among all. */
void list_screen_resume(struct ui *ui, void *state);

/* The case that every row is of; false: the list is of many. */
bool list_screen_open_case(const void *state, struct id *casefile);

/* Reads the rows again; a failure becomes the message. */
void list_screen_read(struct ui *ui, void *state);
/* Searches for the text ("" everything) and selects the record; what is typed next searches anew.
 * False: it is not among what was found, and another is selected, if any. */
bool list_screen_show(struct ui *ui, void *state, const char *search, const struct id *record);
/* Forgets the search and shows every row; the selected record stays selected. */
void list_screen_clear(struct ui *ui, void *state);
/* May the selected row's case be had? Its id; false: no row, or rows are no cases. */
bool list_screen_case(const void *state, struct id *casefile);

#define LIST_SCREEN(title, opener)                                                                 \
    .name = (title), .open = (opener), .close = list_screen_close, .draw = list_screen_draw,       \
    .places = list_screen_places, .menu = list_screen_menu, .takes_text = list_screen_takes_text,  \
    .ignores = list_screen_ignores, .command = list_screen_command, .hint = list_screen_hint,      \
    .tick = list_screen_tick, .resume = list_screen_resume, .casefile = list_screen_open_case

#endif
