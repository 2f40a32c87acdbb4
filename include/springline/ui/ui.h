/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The screens' common ground: a stack of screens, one frame per event, the status line, the footer
 * and the help, all of it the same for every screen and every back end.
 *
 * The last row is the footer. Above it stands one text: what the last key brought ("Saved ..."), or
 * the screen's hint; of a question both, the question first. The rows above are the screen's own.
 */
#ifndef SPRINGLINE_UI_UI_H
#define SPRINGLINE_UI_UI_H

#include "springline/app/app.h"
#include "springline/app/command.h"
#include "springline/app/seat.h"
#include "springline/ui/config.h"
#include "springline/ui/display.h"
#include "springline/ui/memory.h"
#include "springline/ui/panel.h"

enum {
    UI_ROWS_LEAST = 12,
    UI_COLUMNS_LEAST = 40,
    UI_DEPTH_MAX = 8,
    UI_DOORS_MAX = 2, /* above them: the lock, and somebody else signing in there */
    UI_TICK_MS = 200,
    UI_DEAF_MS = 150 /* a rubber key that bounces must not answer what it has just brought up:
                        judgement */
};

struct ui;

/* A screen: data (state) and this table. state is made by open and freed by close. */
struct screen_ops {
    const char *name;
    /* argument: what the screen is opened for. On failure nothing is left behind. */
    enum status (*open)(struct ui *ui, const void *argument, void **state, struct error *error);
    void (*close)(struct ui *ui, void *state);
    /* Draws into rows 0 ... rows - 1 of ui->grid, and puts the cursor on the focus. */
    void (*draw)(struct ui *ui, void *state, int rows);
    /* Which commands may be given now: enum place bits. */
    unsigned (*places)(const void *state);
    /* The places of its menu, from which COMMAND_MENU offers the commands; NULL or 0: none. A
     * command chosen there comes to command like any other. */
    unsigned (*menu)(const void *state);
    /* True when the key is text where the focus stands, though it may name a command. */
    bool (*takes_text)(const void *state, const struct key *key);
    /* True when the key is the bounce of the one before: nothing at all happens. NULL: never. */
    bool (*ignores)(const struct ui *ui, const void *state, const struct key *key);
    /* Does a command; COMMAND_NONE: key is text, or pasted. */
    void (*command)(struct ui *ui, void *state, enum command command, const struct key *key);
    /* Appends the hint: what may be typed now. */
    void (*hint)(struct ui *ui, const void *state, struct text *out);
    /* Every UI_TICK_MS without a key; true when the screen must be drawn. NULL: nothing to do. */
    bool (*tick)(struct ui *ui, void *state);
    /* It is the top screen again, after the one above was closed. NULL: nothing to do. */
    void (*resume)(struct ui *ui, void *state);
    /* The line drops: keep what is being typed. NULL: nothing to keep. */
    void (*hang_up)(struct ui *ui, void *state);
    /* The case that is open here, so that other seats are told; false: none is. NULL: the screen is
     * about no case of its own, and the one below counts. */
    bool (*casefile)(const void *state, struct id *casefile);
};

/* What main adds to the app. A zeroed struct is none of it. */
struct ui_setup {
    const char *notice;          /* the first message; NULL: none */
    const struct config *config; /* keys of the user's own; NULL: those of the command list */
    const char *memory_path;     /* where the order of the lists is remembered; NULL: nowhere */
    day (*today)(void *context); /* asked again and again, so that a program left open over midnight
                                    knows the new day; NULL: the app's day stays */
    void *context;
};

/* Who else has the case open that is open here, and what the others were told of this seat
 * (presence.c). */
struct ui_presence {
    struct id casefile;  /* open here; none */
    instant since;       /* when it was opened here */
    struct id said;      /* what the others were told; none: nothing */
    int64_t said_at_ms;  /* and when */
    int64_t asked_at_ms; /* when it was looked who else is there */
    int64_t version;
    bool stale;         /* it could not be looked: again at the next tick */
    struct text others; /* a line for the head of the screen; "" nobody */
};

struct ui {
    struct app *app;
    struct ui_setup setup;
    struct display *display;
    struct grid grid;
    struct {
        const struct screen_ops *ops;
        void *state;
    } stack[UI_DEPTH_MAX + UI_DOORS_MAX];
    int depth;
    int doors; /* of them, on top: nothing below is drawn or asked (session.c) */
    int64_t key_at_ms, session_at_ms; /* the last key; when the session began */
    struct text kept;                 /* the message that the lock took down */
    struct seat_mark mark;            /* whether somebody changed who may sit here */
    struct memory memory;
    struct text message; /* stands until the next key */
    struct panel help;
    bool helping;
    int help_top;
    bool choosing;       /* the menu of the top screen is open (menu.c) */
    int menu_chosen;     /* its selected line */
    int menu_rows;       /* rows it was last drawn into */
    struct key menu_key; /* the key that opened the menu or chose in it, and when: struck twice, */
    int64_t menu_at_ms;  /* it must not act a second time on what it has just brought up */
    struct ui_presence presence;
    int32_t waited_s; /* another seat saves, and this is said on the screen; -1: it is not */
    bool ending;
};

/* Opens the screens on today. */
enum status ui_start(struct ui *ui, struct app *app, struct display *display,
                     const struct ui_setup *setup, struct error *error);
/* Closes every screen and frees everything. */
void ui_stop(struct ui *ui);

/* Draws one frame and shows it. */
void ui_draw(struct ui *ui);
/* Handles one event. Returns true when a frame must be drawn. */
bool ui_event(struct ui *ui, enum event event, const struct key *key);

/* ui_start, then one frame per event until the user leaves or the line drops, then ui_stop. */
enum status ui_run(struct app *app, struct display *display, const struct ui_setup *setup,
                   struct error *error);

/* ---- of the screens' common ground (presence.c) ---- */

/* After anything that may have opened or left a case: looks who else has it open. */
void ui_presence_turn(struct ui *ui);
/* Every tick: tells the others what is open here and looks who else is there; true when that is
 * said otherwise than before. Waits for nobody. */
bool ui_presence_tick(struct ui *ui);
/* The program ends: nothing is open here. */
void ui_presence_end(struct ui *ui);

/* ---- for screens ---- */

/* Who else has the case open: one line for its head, bold; "" nobody. */
const char *ui_presence_line(const struct ui *ui);
/* Sets the message. */
void ui_say(struct ui *ui, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* The sentence of an error as the message. */
void ui_say_error(struct ui *ui, const struct error *error);
/* Opens a screen above the current one; a failure becomes the message. */
void ui_push(struct ui *ui, const struct screen_ops *ops, const void *argument);
/* Closes the top screen. */
void ui_pop(struct ui *ui);
/* Opens the menu of the top screen (menu.c). */
void ui_menu_open(struct ui *ui);
/* Draws the menu over rows 1 ... rows - 1. */
void ui_menu_draw(struct ui *ui, int rows);
/* Takes a key for the menu: true when *command was chosen, and then the menu is closed. */
bool ui_menu_key(struct ui *ui, const struct key *key, enum command *command);
/* Ends the program after this event. */
void ui_leave(struct ui *ui);

/* ---- who sits here: session.c ---- */

/* After the store is whole and the first screen stands: the session of who is known begins and is
 * logged; the message says what failed since. */
void ui_begin(struct ui *ui);
/* Opens what comes first: the day's list where it is known who sits here, else the door. On failure
 * nothing is open. */
enum status ui_open_first(struct ui *ui, struct error *error);
/* Opens a door above everything; where there is no memory for it the program ends, what is typed
 * kept. */
void ui_push_door(struct ui *ui, const struct screen_ops *ops, const void *argument);
/* Somebody signed in: every screen closes and the day's list opens, with told as the message. */
void ui_enter(struct ui *ui, const char *told);
/* Locks the seat: what is typed is kept, the screen and its past wiped. A practice of one that is
 * asked nothing is not locked. */
void ui_lock(struct ui *ui, bool idle);
/* The lock is opened: the screens stand as they were. anew: the session begins again. */
void ui_reopen(struct ui *ui, bool anew);
/* Is the session older than a session may be? */
bool ui_session_ended(const struct ui *ui);
/* Locks where it is time to; true then. */
bool ui_lock_due(struct ui *ui);
/* At each tick: shuts out whoever may not sit here any more; true when the screen must be drawn. */
bool ui_watch_people(struct ui *ui);
/* Every screen keeps what is being typed. */
void ui_keep_typed(struct ui *ui);

/* Milliseconds of the display's clock. */
int64_t ui_now_ms(const struct ui *ui);
/* Cells of row 0 that are the screen's: the badge stands behind them while the date is fixed. */
int ui_title_cells(const struct ui *ui);

#endif
