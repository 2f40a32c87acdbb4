/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A real program on a pseudo-terminal, its screen read by libvterm.
 *
 * Nothing here sleeps: every wait is a predicate with a deadline, and ends at once when the program
 * ends. A wait that fails prints its reason, the whole screen with the cursor, and the last bytes
 * received, each line behind "# ", and returns false; the test then asserts on the result.
 *
 * The ready mark. With SPRINGLINE_READY_MARK set in its environment (screen_start sets it) the
 * program writes ESC ] 777 ; ready ; COUNTER BEL after each repaint, when no input is pending,
 * right before it blocks. So: send one key, wait for the mark, look. Several keys in one
 * screen_send may bring more than one mark; screen_keys sends them one by one.
 */
#ifndef SPRINGLINE_TESTS_SCREEN_H
#define SPRINGLINE_TESTS_SCREEN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <sys/types.h>

enum {
    SCREEN_ANY_ROW = -1,         /* for screen_find and screen_wait_text */
    SCREEN_DEFAULT_COLOUR = -1,  /* struct screen_cell: the terminal's own colour */
    SCREEN_RGB_COLOUR = 256,     /* struct screen_cell: a colour that is not of the palette */
    SCREEN_PATIENCE_MS = 10000,  /* how long a wait lasts when its deadline_ms is 0 */
    SCREEN_STILL_RUNNING = -1000 /* screen_wait_exit: the deadline passed */
};

struct screen;

struct screen_options {
    const char *program;          /* NULL: $SPRINGLINE_PROGRAM, or build/springline */
    const char *const *arguments; /* without the program's name, closed by NULL; NULL: none */
    const char *const
        *environment;      /* closed by NULL: "NAME=VALUE" sets, "NAME" unsets; NULL: none */
    const char *directory; /* where it starts; NULL: here */
    FILE *log;   /* gets every byte that the program sends; stays the caller's; may be NULL */
    int rows;    /* 0: 24 */
    int columns; /* 0: 80 */
};

struct screen_place {
    int row;    /* from 0 */
    int column; /* in cells, from 0 */
};

struct screen_cell {
    uint32_t character; /* the cell's first code point; 0 if the cell is empty */
    int width;          /* 1, or 2 for a double-width character */
    int foreground;     /* a palette index, SCREEN_RGB_COLOUR or SCREEN_DEFAULT_COLOUR */
    int background;
    bool bold;
    bool underline;
    bool reverse;
    bool blink;
};

/*
 * Starts the program with an environment made here: TERM=xterm-256color, LC_ALL=C.UTF-8, TZ=UTC,
 * PATH, the ready mark, HOME and the XDG folders of the running test, and options->environment on
 * top. NULL after a message when the pseudo-terminal or the process cannot be had. The caller ends
 * with screen_free.
 */
struct screen *screen_start(const struct screen_options *options);

/* Kills the program if it still runs, reaps it, and frees everything. NULL is fine. */
void screen_free(struct screen *screen);

/* Sends the bytes. False after a message if the program does not take them within the patience. */
bool screen_send(struct screen *screen, const char *bytes, size_t length);

/* Sends the text, and waits for the ready mark that follows it. */
bool screen_press(struct screen *screen, const char *text);

/* screen_press for each byte of the text on its own, as a person types. Not for ESC sequences. */
bool screen_keys(struct screen *screen, const char *text);

/* Changes the size, first the screen's, then the program's (SIGWINCH). */
bool screen_resize(struct screen *screen, int rows, int columns);

/* Waits for a ready mark that came after the last send, resize or start. */
bool screen_wait_ready(struct screen *screen, int deadline_ms);

/* Waits until the row (or any, SCREEN_ANY_ROW) holds the text. */
bool screen_wait_text(struct screen *screen, int row, const char *text, int deadline_ms);

/* Waits until predicate(screen, context) is true; what names it in the failure message. */
bool screen_wait(struct screen *screen, bool (*predicate)(struct screen *screen, void *context),
                 void *context, const char *what, int deadline_ms);

/*
 * Waits for the program to end. Returns its exit status, -N if signal N killed it, or, after a
 * message, SCREEN_STILL_RUNNING. May be called again and answers the same.
 */
int screen_wait_exit(struct screen *screen, int deadline_ms);

/* Reads what has come so far without waiting; for checks on counters. */
void screen_drain(struct screen *screen);

/* The row's text, UTF-8, blanks at the end cut; "" outside the screen. Lives until the next call
 * for the same row. */
const char *screen_row(struct screen *screen, int row);

/* Whether the row (or any) holds the text as the screen stands now; *place (may be NULL) gets the
 * first one. */
bool screen_find(struct screen *screen, int row, const char *text, struct screen_place *place);

/* One cell; an empty one outside the screen. */
struct screen_cell screen_cell_at(const struct screen *screen, int row, int column);

/* Where the cursor stands. */
struct screen_place screen_cursor(const struct screen *screen);

/* Whether the cursor is shown. */
bool screen_cursor_visible(const struct screen *screen);

/* Whether the program is on the alternate screen; false again once it has cleaned up. */
bool screen_alternate(const struct screen *screen);

/* Bytes the program has sent so far, ready marks not counted. */
size_t screen_bytes(const struct screen *screen);

/* Ready marks seen so far. */
unsigned screen_ready_count(const struct screen *screen);

/* When the last ready mark was read; nanoseconds of screen_now_ns. */
int64_t screen_ready_at_ns(const struct screen *screen);

/* The monotonic clock in nanoseconds. */
int64_t screen_now_ns(void);

/* The program's process, for kill(2); 0 once it is reaped. */
pid_t screen_process(const struct screen *screen);

/* Sends the program a signal. */
bool screen_signal(struct screen *screen, int signal_number);

/* Closes the terminal under the program, as a dropped line does. Then only screen_wait_exit,
 * screen_process, screen_signal and screen_free make sense. */
void screen_close_master(struct screen *screen);

/* Prints the reason, the screen, the cursor and the last bytes received to stdout, behind "# ". */
void screen_dump(struct screen *screen, const char *reason);

#endif
