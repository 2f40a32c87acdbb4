/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "screen_inner.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/pidfd.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

int64_t screen_now_ns(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
}

static int64_t deadline_of(int deadline_ms)
{
    return screen_now_ns() +
           (int64_t)(deadline_ms > 0 ? deadline_ms : SCREEN_PATIENCE_MS) * 1000000;
}

static int left_ms(int64_t deadline_ns)
{
    int64_t left = (deadline_ns - screen_now_ns() + 999999) / 1000000;
    return left > 0 ? (int)left : 0;
}

/* ---- what the terminal tells us ---- */

static void queue_bytes(struct screen *screen, const char *bytes, size_t length)
{
    if (screen->pending_length + length > screen->pending_room) {
        size_t room = 2 * (screen->pending_length + length);
        char *larger = realloc(screen->pending, room);
        if (larger == NULL) {
            printf("# screen: out of memory\n");
            abort();
        }
        screen->pending = larger;
        screen->pending_room = room;
    }
    memcpy(screen->pending + screen->pending_length, bytes, length);
    screen->pending_length += length;
}

static void on_answer(const char *bytes, size_t length, void *user)
{
    queue_bytes(user, bytes, length);
}

static int on_osc(const char *command, size_t length, void *user)
{
    static const char mark[] = "777;ready;";
    struct screen *screen = user;
    if (length < sizeof mark - 1 || memcmp(command, mark, sizeof mark - 1) != 0) {
        return 0;
    }
    screen->ready_count++;
    screen->ready_at_ns = screen_now_ns();
    screen->mark_bytes += length + 3; /* ESC ] and BEL */
    return 1;
}

static int on_property(VTermProp property, VTermValue *value, void *user)
{
    struct screen *screen = user;
    if (property == VTERM_PROP_CURSORVISIBLE) {
        screen->cursor_visible = value->boolean != 0;
    } else if (property == VTERM_PROP_ALTSCREEN) {
        screen->alternate = value->boolean != 0;
    }
    return 1;
}

static const VTermScreenCallbacks screen_callbacks = {.settermprop = on_property};
static const VTermParserCallbacks parser_callbacks = {.osc = on_osc};

static bool make_terminal(struct screen *screen)
{
    screen->terminal = vterm_new(screen->rows, screen->columns);
    screen->row_text = calloc((size_t)screen->rows, sizeof *screen->row_text);
    if (screen->terminal == NULL || screen->row_text == NULL) {
        return false;
    }
    vterm_set_utf8(screen->terminal, 1);
    vterm_output_set_callback(screen->terminal, on_answer, screen);
    screen->cells = vterm_obtain_screen(screen->terminal);
    vterm_screen_enable_altscreen(screen->cells, 1);
    vterm_screen_set_callbacks(screen->cells, &screen_callbacks, screen);
    vterm_screen_set_unrecognised_fallbacks(screen->cells, &parser_callbacks, screen);
    vterm_screen_reset(screen->cells, 1);
    screen->cursor_visible = true;
    return true;
}

static void free_rows(struct screen *screen)
{
    for (int row = 0; screen->row_text != NULL && row < screen->rows; row++) {
        free(screen->row_text[row]);
    }
    free(screen->row_text);
    screen->row_text = NULL;
}

/* ---- start and end ---- */

/* Sets "NAME=VALUE" or unsets "NAME" in the child. */
static void child_variable(const char *text)
{
    char name[64];
    const char *value = strchr(text, '=');
    size_t length = value == NULL ? strlen(text) : (size_t)(value - text);
    if (length >= sizeof name) {
        _exit(126);
    }
    memcpy(name, text, length);
    name[length] = '\0';
    if ((value == NULL ? unsetenv(name) : setenv(name, value + 1, 1)) != 0) {
        _exit(126);
    }
}

static void child_environment(const struct screen_options *options)
{
    static const char *const made[] = {"TERM=xterm-256color",
                                       "LC_ALL=C.UTF-8",
                                       "TZ=UTC",
                                       "PATH=/usr/local/bin:/usr/bin:/bin",
                                       "SHELL=/bin/sh",
                                       "SPRINGLINE_READY_MARK=1"};
    static const char *const kept[] = {"HOME",           "TMPDIR",         "USER",
                                       "LOGNAME",        "XDG_DATA_HOME",  "XDG_CONFIG_HOME",
                                       "XDG_STATE_HOME", "XDG_CACHE_HOME", "XDG_RUNTIME_DIR",
                                       "ASAN_OPTIONS",   "UBSAN_OPTIONS"};
    char *values[sizeof kept / sizeof *kept];
    bool tested = getenv("SPRINGLINE_BUILD") != NULL;
    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++) {
        const char *value = tested ? getenv(kept[i]) : NULL;
        values[i] = value == NULL ? NULL : strdup(value);
    }
    clearenv();
    for (size_t i = 0; i < sizeof made / sizeof *made; i++) {
        child_variable(made[i]);
    }
    setenv("HOME", "/nonexistent", 1); /* a run by hand never meets the caller's own files */
    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++) {
        if (values[i] != NULL) {
            setenv(kept[i], values[i], 1);
        }
    }
    for (size_t i = 0; options->environment != NULL && options->environment[i] != NULL; i++) {
        child_variable(options->environment[i]);
    }
}

static _Noreturn void run_child(const struct screen_options *options, const char *program)
{
    size_t count = 0;
    while (options->arguments != NULL && options->arguments[count] != NULL) {
        count++;
    }
    char **arguments = calloc(count + 2, sizeof *arguments);
    if (arguments == NULL || (options->directory != NULL && chdir(options->directory) != 0)) {
        _exit(126);
    }
    arguments[0] = strdup(program);
    for (size_t i = 0; i < count; i++) {
        arguments[i + 1] = strdup(options->arguments[i]);
    }
    sigset_t none;
    sigemptyset(&none);
    sigprocmask(SIG_SETMASK, &none, NULL);
    child_environment(options);
    close_range(3, ~0U, 0);
    execvp(program, arguments);
    fprintf(stderr, "cannot start %s: %s\n", program, strerror(errno));
    _exit(127);
}

struct screen *screen_start(const struct screen_options *options)
{
    const char *program = options->program;
    if (program == NULL) {
        program = getenv("SPRINGLINE_PROGRAM");
    }
    if (program == NULL) {
        program = "build/springline";
    }
    struct screen *screen = calloc(1, sizeof *screen);
    if (screen == NULL) {
        return NULL;
    }
    screen->master = -1;
    screen->process_fd = -1;
    screen->log = options->log;
    screen->rows = options->rows > 0 ? options->rows : 24;
    screen->columns = options->columns > 0 ? options->columns : 80;
    struct winsize size = {.ws_row = (unsigned short)screen->rows,
                           .ws_col = (unsigned short)screen->columns};
    fflush(stdout);
    fflush(stderr);
    pid_t process = make_terminal(screen) ? forkpty(&screen->master, NULL, NULL, &size) : -1;
    if (process == 0) {
        run_child(options, program);
    }
    if (process > 0) {
        screen->process = process;
        screen->process_fd = pidfd_open(process, 0);
    }
    if (process < 0 || screen->process_fd < 0 || fcntl(screen->master, F_SETFL, O_NONBLOCK) != 0 ||
        fcntl(screen->master, F_SETFD, FD_CLOEXEC) != 0) {
        printf("# screen: cannot start %s: %s\n", program, strerror(errno));
        screen_free(screen);
        return NULL;
    }
    return screen;
}

static void reap(struct screen *screen)
{
    int status = 0;
    while (waitpid(screen->process, &status, 0) < 0 && errno == EINTR) {
    }
    screen->exit_status = WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
    screen->process = 0;
}

void screen_close_master(struct screen *screen)
{
    if (screen->master >= 0) {
        close(screen->master);
    }
    screen->master = -1;
    screen->line_closed = true;
}

void screen_free(struct screen *screen)
{
    if (screen == NULL) {
        return;
    }
    screen_close_master(screen);
    if (screen->process > 0) {
        kill(screen->process, SIGKILL);
        reap(screen);
    }
    if (screen->process_fd >= 0) {
        close(screen->process_fd);
    }
    free_rows(screen);
    if (screen->terminal != NULL) {
        vterm_free(screen->terminal);
    }
    free(screen->pending);
    free(screen);
}

/* ---- reading, writing, waiting ---- */

/* Hands bytes to the terminal. It forgets a control string that is cut between two writes, so the
 * beginning of a ready mark at the end waits for its rest. */
static void feed(struct screen *screen, const char *bytes, size_t length)
{
    char all[SCREEN_READ_BYTES + SCREEN_HELD_BYTES];
    size_t count = screen->held_length, whole;

    memcpy(all, screen->held, count);
    memcpy(all + count, bytes, length);
    count += length;
    whole = count;
    for (size_t at = count; at > 0 && count - at < SCREEN_HELD_BYTES - 1 && all[at - 1] != '\a';
         at--) {
        if (all[at - 1] == '\033' && (at == count || all[at] == ']')) {
            whole = at - 1;
            break;
        }
    }
    screen->held_length = count - whole;
    memcpy(screen->held, all + whole, count - whole);
    vterm_input_write(screen->terminal, all, whole);
    vterm_screen_flush_damage(screen->cells);
}

static void take_input(struct screen *screen)
{
    char bytes[SCREEN_READ_BYTES];
    ssize_t length = read(screen->master, bytes, sizeof bytes);
    if (length > 0) {
        if (screen->log != NULL) {
            (void)fwrite(bytes, 1, (size_t)length, screen->log);
        }
        for (size_t i = length > SCREEN_TAIL_BYTES ? (size_t)length - SCREEN_TAIL_BYTES : 0;
             i < (size_t)length; i++) {
            screen->tail[(screen->received + i) % SCREEN_TAIL_BYTES] = bytes[i];
        }
        screen->received += (size_t)length;
        feed(screen, bytes, (size_t)length);
    } else if (length == 0 || (errno != EAGAIN && errno != EINTR)) {
        screen->line_closed = true; /* EIO: the program's end is closed */
    }
}

static void give_output(struct screen *screen)
{
    ssize_t length = write(screen->master, screen->pending, screen->pending_length);
    if (length > 0) {
        screen->pending_length -= (size_t)length;
        memmove(screen->pending, screen->pending + length, screen->pending_length);
    } else if (length < 0 && errno != EAGAIN && errno != EINTR) {
        screen->line_closed = true;
    }
}

/* Waits at most that long for something to read, write or reap, and does the first two. True if
 * the program has ended. */
static bool turn(struct screen *screen, int wait_ms, bool watch_process)
{
    struct pollfd watched[2] = {
        {.fd = screen->line_closed ? -1 : screen->master, .events = POLLIN},
        {.fd = watch_process ? screen->process_fd : -1, .events = POLLIN},
    };
    if (screen->pending_length > 0) {
        watched[0].events |= POLLOUT;
    }
    if (poll(watched, 2, wait_ms) <= 0) {
        return false;
    }
    if (watched[0].revents & POLLOUT) {
        give_output(screen);
    }
    if (watched[0].revents & (POLLIN | POLLHUP | POLLERR)) {
        take_input(screen);
    }
    return watched[1].revents != 0;
}

void screen_drain(struct screen *screen)
{
    size_t before = (size_t)-1;
    while (!screen->line_closed && screen->received != before) {
        before = screen->received;
        turn(screen, 0, false);
    }
}

bool screen_wait(struct screen *screen, bool (*predicate)(struct screen *screen, void *context),
                 void *context, const char *what, int deadline_ms)
{
    int64_t deadline = deadline_of(deadline_ms);
    char reason[200];
    while (!predicate(screen, context)) {
        if (screen->line_closed || left_ms(deadline) == 0) {
            snprintf(reason, sizeof reason, "%s while waiting for: %s",
                     screen->line_closed ? "the program ended" : "time ran out", what);
            screen_dump(screen, reason);
            return false;
        }
        turn(screen, left_ms(deadline), false);
    }
    return true;
}

static bool is_sent(struct screen *screen, void *context)
{
    (void)context;
    return screen->pending_length == 0;
}

bool screen_send(struct screen *screen, const char *bytes, size_t length)
{
    screen_drain(screen); /* a ready mark that is already here answers something earlier */
    screen->ready_wanted = screen->ready_count + 1;
    queue_bytes(screen, bytes, length);
    return screen_wait(screen, is_sent, NULL, "the program to take what was typed", 0);
}

bool screen_press(struct screen *screen, const char *text)
{
    return screen_send(screen, text, strlen(text)) && screen_wait_ready(screen, 0);
}

bool screen_keys(struct screen *screen, const char *text)
{
    for (; *text != '\0'; text++) {
        if (!screen_send(screen, text, 1) || !screen_wait_ready(screen, 0)) {
            return false;
        }
    }
    return true;
}

bool screen_resize(struct screen *screen, int rows, int columns)
{
    screen_drain(screen);
    free_rows(screen);
    screen->row_text = calloc((size_t)rows, sizeof *screen->row_text);
    screen->rows = rows;
    screen->columns = columns;
    screen->ready_wanted = screen->ready_count + 1;
    struct winsize size = {.ws_row = (unsigned short)rows, .ws_col = (unsigned short)columns};
    vterm_set_size(screen->terminal, rows, columns);
    return screen->row_text != NULL && ioctl(screen->master, TIOCSWINSZ, &size) == 0;
}

static bool is_ready(struct screen *screen, void *context)
{
    (void)context;
    return screen->ready_count > 0 && screen->ready_count >= screen->ready_wanted;
}

bool screen_wait_ready(struct screen *screen, int deadline_ms)
{
    return screen_wait(screen, is_ready, NULL, "the ready mark", deadline_ms);
}

struct wanted_text {
    int row;
    const char *text;
};

static bool has_text(struct screen *screen, void *context)
{
    const struct wanted_text *wanted = context;
    return screen_find(screen, wanted->row, wanted->text, NULL);
}

bool screen_wait_text(struct screen *screen, int row, const char *text, int deadline_ms)
{
    struct wanted_text wanted = {row, text};
    return screen_wait(screen, has_text, &wanted, text, deadline_ms);
}

int screen_wait_exit(struct screen *screen, int deadline_ms)
{
    int64_t deadline = deadline_of(deadline_ms);
    while (screen->process > 0) {
        if (turn(screen, left_ms(deadline), true)) {
            screen_drain(screen);
            reap(screen);
        } else if (left_ms(deadline) == 0) {
            screen_dump(screen, "time ran out while waiting for the program to end");
            return SCREEN_STILL_RUNNING;
        }
    }
    return screen->exit_status;
}
