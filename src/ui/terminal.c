/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <curses.h>
#include <errno.h>
#include <langinfo.h>
#include <locale.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>
#include <wchar.h>

#include "terminal_private.h"

enum {
    ESCAPE_MS = 25,    /* a lone ESC is told from a sequence after so long; ESCDELAY overrides */
    FAILURES_MOST = 8, /* reads that fail in a row although input is there: it is gone */
    CHUNK = 128        /* cells handed to curses at once */
};

static const int ending_signals[ENDING_SIGNALS] = {SIGHUP, SIGTERM, SIGINT, SIGQUIT};

/* Set by the handlers below and by nothing else. */
static volatile sig_atomic_t terminal_ending;

static void note_ending(int signal_number)
{
    (void)signal_number;
    terminal_ending = 1;
}

/* Set and not empty, as NO_COLOR is read. */
static bool is_wished(const char *name)
{
    const char *value = getenv(name);

    return value != NULL && value[0] != '\0';
}

enum charset terminal_locale(void)
{
    if (is_wished("SPRINGLINE_ASCII"))
        return terminal_ascii();
    if (setlocale(LC_CTYPE, "") != NULL && strcmp(nl_langinfo(CODESET), "UTF-8") == 0)
        return CHARSET_UTF8;
    if (setlocale(LC_CTYPE, "C.UTF-8") != NULL)
        return CHARSET_ASSUMED;
    return terminal_ascii();
}

enum charset terminal_ascii(void)
{
    setlocale(LC_CTYPE, "C");
    return CHARSET_ASCII;
}

int64_t terminal_now_ms(void *self)
{
    struct timespec now = {0};

    (void)self;
    /* Goes on while the machine sleeps: a seat left in a lid that was shut is locked. */
    clock_gettime(CLOCK_BOOTTIME, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

static void terminal_size(void *self, int *rows, int *columns)
{
    (void)self;
    getmaxyx(stdscr, *rows, *columns);
}

static attr_t attributes_of(const struct terminal *terminal, unsigned look, short *pair)
{
    attr_t attributes = A_NORMAL;

    if ((look & LOOK_BOLD) != 0)
        attributes |= A_BOLD;
    if ((look & LOOK_REVERSE) != 0)
        attributes |= A_REVERSE;
    if ((look & LOOK_UNDERLINE) != 0)
        attributes |= A_UNDERLINE;
    *pair = terminal->colours ? (short)((look & LOOK_COLOUR) >> 4) : 0;
    return attributes;
}

/* What curses shows for a cell. A character whose width the C library sees otherwise would shift
 * the row: a question mark stands for it. */
static void make_cell(const struct terminal *terminal, const struct cell *cell, cchar_t *shown)
{
    wchar_t text[CELL_MARKS + 2] = {(wchar_t)cell->character};
    short pair;
    attr_t attributes = attributes_of(terminal, cell->look, &pair);

    if ((cell->character < 0x20 || cell->character > 0x7E) && wcwidth(text[0]) != cell->width)
        text[0] = L'?';
    for (int i = 0; i < CELL_MARKS && cell->marks[i] != 0 && text[0] != L'?'; i++)
        text[i + 1] = wcwidth((wchar_t)cell->marks[i]) == 0 ? (wchar_t)cell->marks[i] : L'\0';
    if (setcchar(shown, text, attributes, pair, NULL) == ERR)
        setcchar(shown, L"?", attributes, pair, NULL);
}

/* Hands the cells from start to before end of a row to curses; none of them is half of a pair. */
static void show_cells(const struct terminal *terminal, const struct grid *grid, int row, int start,
                       int end)
{
    const struct cell *cells = &grid->cells[(size_t)row * (size_t)grid->columns];
    cchar_t chunk[CHUNK];
    int count = 0;

    for (int column = start; column < end; column++) {
        if (count > 0 && (count == CHUNK || cells[column].width != 1)) {
            mvwadd_wchnstr(stdscr, row, column - count, chunk, count);
            count = 0;
        }
        if (cells[column].width == 1)
            make_cell(terminal, &cells[column], &chunk[count++]);
    }
    if (count > 0)
        mvwadd_wchnstr(stdscr, row, end - count, chunk, count);
}

/* A row that is blank in stdscr. Where curses sees a double-width character otherwise than the
 * grid, its right half stays blank. */
static void show_whole(const struct terminal *terminal, const struct grid *grid, int row)
{
    show_cells(terminal, grid, row, 0, grid->columns);
    for (int column = 0; column < grid->columns; column++) {
        struct cell cell = grid_cell(grid, row, column);
        cchar_t shown;
        if (cell.width != 2)
            continue;
        make_cell(terminal, &cell, &shown);
        mvwadd_wchnstr(stdscr, row, column, &shown, 1);
    }
}

/* Brings a row of stdscr from the cells of old to those of the grid. */
static void show_row(const struct terminal *terminal, const struct grid *grid, int row,
                     const struct cell *old)
{
    const struct cell *new = &grid->cells[(size_t)row * (size_t)grid->columns];
    int start = 0, end = grid->columns;
    bool pairs = false;

    if (memcmp(old, new, (size_t)end * sizeof *new) == 0)
        return;
    while (memcmp(&old[start], &new[start], sizeof *new) == 0)
        start++;
    while (memcmp(&old[end - 1], &new[end - 1], sizeof *new) == 0)
        end--;
    for (int column = 0; column < grid->columns && !pairs; column++)
        pairs = old[column].width != 1 || new[column].width != 1;
    if (!pairs) {
        show_cells(terminal, grid, row, start, end);
        return;
    }
    wmove(stdscr, row, 0);
    wclrtoeol(stdscr);
    show_whole(terminal, grid, row);
}
/* From here on nothing is known of what stdscr holds. */
void terminal_forget(struct terminal *terminal)
{
    free(terminal->shown);
    terminal->shown = NULL;
}

/* Blanks stdscr and remembers that; without memory every frame is handed over whole. */
static void begin_blank(struct terminal *terminal, const struct grid *grid)
{
    const struct cell blank = {.character = ' ', .width = 1};
    size_t count = (size_t)grid->rows * (size_t)grid->columns;

    terminal_forget(terminal);
    werase(stdscr);
    terminal->shown = calloc(count, sizeof *terminal->shown);
    terminal->shown_rows = grid->rows;
    terminal->shown_columns = grid->columns;
    for (size_t i = 0; i < count && terminal->shown != NULL; i++)
        terminal->shown[i] = blank;
}

static void terminal_show(void *self, const struct grid *grid)
{
    struct terminal *terminal = self;
    size_t columns = (size_t)grid->columns, count = (size_t)grid->rows * columns;

    if (terminal->shown == NULL || terminal->shown_rows != grid->rows ||
        terminal->shown_columns != grid->columns)
        begin_blank(terminal, grid);
    for (int row = 0; row < grid->rows; row++) {
        if (terminal->shown != NULL)
            show_row(terminal, grid, row, &terminal->shown[(size_t)row * columns]);
        else
            show_whole(terminal, grid, row);
    }
    if (terminal->shown != NULL)
        memcpy(terminal->shown, grid->cells, count * sizeof *grid->cells);
    wmove(stdscr, grid->cursor_row, grid->cursor_column);
    wnoutrefresh(stdscr);
    doupdate();
    terminal->unmarked = true;
}

static void terminal_repaint(void *self)
{
    (void)self;
    clearok(curscr, TRUE);
}

/* For tests: nothing is pending and the program is about to wait. */
static void mark_ready(struct terminal *terminal)
{
    char mark[48];

    if (!terminal->ready_mark || !terminal->unmarked)
        return;
    terminal->unmarked = false;
    int length = snprintf(mark, sizeof mark, "\033]777;ready;%u\a", ++terminal->marks);
    if (write(terminal->out, mark, (size_t)length) < 0)
        terminal->ready_mark = false;
}

/* After a read that brought nothing: is the terminal still there? */
static bool is_gone(struct terminal *terminal)
{
    struct pollfd input = {.fd = terminal->in, .events = POLLIN};

    if (poll(&input, 1, 0) <= 0) {
        terminal->failures = 0;
        return false;
    }
    if ((input.revents & (POLLHUP | POLLERR | POLLNVAL)) != 0)
        return true;
    return ++terminal->failures > FAILURES_MOST;
}

/* A size that changed while the program was stopped brings no signal: it is asked for. */
static bool notice_size(struct terminal *terminal)
{
    struct winsize size = {0};

    if (ioctl(terminal->out, TIOCGWINSZ, &size) != 0 || size.ws_row == 0 || size.ws_col == 0 ||
        !is_term_resized(size.ws_row, size.ws_col))
        return false;
    terminal_forget(terminal);
    return resizeterm(size.ws_row, size.ws_col) == OK;
}

static enum event terminal_read(void *self, int wait_ms, struct key *key)
{
    struct terminal *terminal = self;

    for (;;) {
        if (terminal_ending)
            return EVENT_END;
        int code = terminal_code(terminal, 0);
        if (code == CODE_NOTHING && wait_ms > 0 && !terminal_ending) {
            mark_ready(terminal);
            code = terminal_code(terminal, wait_ms);
        }
        if (code == CODE_NOTHING) {
            if (terminal_ending || is_gone(terminal))
                return EVENT_END;
            if (wait_ms > 0)
                terminal->pasting = false; /* a paste whose end was lost */
            return notice_size(terminal) ? EVENT_RESIZE : EVENT_NOTHING;
        }
        terminal->failures = 0;
        terminal->unmarked = true;
        if (code == KEY_RESIZE)
            return EVENT_RESIZE;
        if (terminal_decode(terminal, code, key))
            return EVENT_KEY;
    }
}

static const struct display_ops terminal_ops = {.size = terminal_size,
                                                .show = terminal_show,
                                                .repaint = terminal_repaint,
                                                .wipe = terminal_wipe,
                                                .read = terminal_read,
                                                .now_ms = terminal_now_ms};

struct display terminal_display(struct terminal *terminal)
{
    return (struct display){.ops = &terminal_ops, .self = terminal, .plain = terminal->plain};
}

/* Opens curses on TERM, or on the common entry where TERM is an unknown kind of xterm. */
static enum status open_screen(struct terminal *terminal, FILE *in, FILE *out, struct error *error)
{
    const char *name = getenv("TERM");

    if (name == NULL || name[0] == '\0')
        return error_set(error, STATUS_UNUSABLE, "TERM",
                         "TERM is not set, so the screens can not be drawn; set it, for example "
                         "TERM=xterm-256color, or use a sub-command: springline help.");
    enum terminal_kind kind = terminal_kind_of(name, terminal->out);
    if (kind == KIND_UNKNOWN && strncmp(name, "xterm", 5) == 0) {
        name = "xterm-256color";
        kind = terminal_kind_of(name, terminal->out);
    }
    if (kind == KIND_NO_CURSOR)
        return error_set(error, STATUS_UNUSABLE, "TERM",
                         "A terminal of type TERM=%.60s can not place its cursor, so the screens "
                         "can not be drawn; use a sub-command: springline help.",
                         name);
    use_tioctl(TRUE); /* the terminal's size, not LINES and COLUMNS of the environment */
    if (kind == KIND_GOOD)
        terminal->screen = newterm(name, out, in);
    if (terminal->screen == NULL)
        return error_set(error, STATUS_UNUSABLE, "TERM",
                         "The terminal type TERM=%.60s is not known on this machine; set one that "
                         "is, for example TERM=xterm-256color.",
                         getenv("TERM"));
    return STATUS_OK;
}

static void start_colours(struct terminal *terminal, enum choice wanted)
{
    bool unwanted = wanted == CHOICE_NONE ? is_wished("NO_COLOR") : wanted == CHOICE_NO;

    if (unwanted || !has_colors() || start_color() == ERR || COLORS < 8 ||
        use_default_colors() == ERR)
        return;
    static const short colours[] = {COLOR_RED,  COLOR_GREEN,   COLOR_YELLOW,
                                    COLOR_BLUE, COLOR_MAGENTA, COLOR_CYAN};
    for (short i = 0; i < 6; i++)
        init_pair((short)(i + 1), colours[i], -1);
    terminal->colours = true;
}

/* Ctrl-S and Ctrl-Q are keys; curses keeps these modes as those of the program. */
static void stop_flow_control(const struct terminal *terminal)
{
    struct termios modes;

    if (tcgetattr(terminal->in, &modes) != 0)
        return;
    modes.c_iflag &= ~(tcflag_t)(IXON | IXOFF);
    if (tcsetattr(terminal->in, TCSADRAIN, &modes) == 0)
        def_prog_mode();
}

static enum status start_modes(struct terminal *terminal, const struct config *config,
                               struct error *error)
{
    cbreak();
    noecho();
    nonl();
    intrflush(stdscr, FALSE);
    stop_flow_control(terminal);
    if (getenv("ESCDELAY") == NULL)
        set_escdelay(config->escape_delay_ms > 0 ? config->escape_delay_ms : ESCAPE_MS);
    terminal->input = newpad(1, 1);
    if (terminal->input == NULL)
        return error_no_memory(error);
    terminal_take_modes(terminal);
    keypad(terminal->input, TRUE);
    terminal_define_keys();
    start_colours(terminal, config->colour);
    return STATUS_OK;
}

static void take_signals(void)
{
    struct sigaction action = {.sa_handler = note_ending};

    sigemptyset(&action.sa_mask);
    for (int i = 0; i < ENDING_SIGNALS; i++)
        sigaction(ending_signals[i], &action, NULL);
}

enum status terminal_open(FILE *in, FILE *out, enum charset charset, const struct config *config,
                          struct terminal **terminal, struct error *error)
{
    static const struct config none;

    if (config == NULL)
        config = &none;
    if (!isatty(fileno(in)) || !isatty(fileno(out)))
        return error_set(error, STATUS_UNUSABLE, "terminal",
                         "The screens need a terminal for input and output; without one use a "
                         "sub-command, for example: springline recall (springline help lists "
                         "them).");
    struct terminal *made = calloc(1, sizeof *made);
    if (made == NULL)
        return error_no_memory(error);
    made->in = fileno(in);
    made->out = fileno(out);
    made->held = CODE_NONE_HELD;
    made->escape_at_ms = INT64_MIN;
    made->plain = charset == CHARSET_ASCII;
    made->ready_mark = getenv("SPRINGLINE_READY_MARK") != NULL;
    for (int i = 0; i < ENDING_SIGNALS; i++)
        sigaction(ending_signals[i], NULL, &made->before[i]);

    enum status status = open_screen(made, in, out, error);
    if (status == STATUS_OK) {
        take_signals();
        status = start_modes(made, config, error);
    }
    if (status != STATUS_OK) {
        terminal_close(made);
        return status;
    }
    *terminal = made;
    return STATUS_OK;
}

void terminal_close(struct terminal *terminal)
{
    if (terminal == NULL)
        return;
    if (terminal->screen != NULL) {
        if (!isendwin())
            endwin();
        if (terminal->input != NULL)
            delwin(terminal->input);
        delscreen(terminal->screen);
    }
    for (int i = 0; i < ENDING_SIGNALS; i++)
        sigaction(ending_signals[i], &terminal->before[i], NULL);
    terminal_forget(terminal);
    free(terminal->keypad_on);
    free(terminal->keypad_off);
    free(terminal);
}
