/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The pty harness itself, tried on programs that are not ours: less, vim and the shell. What they
 * show is known from their manuals; what libvterm makes of each sequence from ECMA-48 and the
 * control sequences document of xterm.
 */
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "screen.h"

static struct screen *start_shell(const char *script, const char *const *environment)
{
    const char *const arguments[] = {"-c", script, NULL};
    struct screen_options options = {
        .program = "/bin/sh", .arguments = arguments, .environment = environment};
    struct screen *screen = screen_start(&options);
    assert_non_null(screen);
    return screen;
}

/* A file of numbered lines in the test's own folder; the path is in text. */
static void make_lines(char *text, size_t size, int count)
{
    const char *folder = getenv("TMPDIR");
    snprintf(text, size, "%s/lines_%ld.txt", folder == NULL ? "/tmp" : folder, (long)getpid());
    FILE *file = fopen(text, "w");
    assert_non_null(file);
    for (int i = 1; i <= count; i++) {
        fprintf(file, "line %d of the sample\n", i);
    }
    assert_int_equal(fclose(file), 0);
}

static void less_pages_and_quits(void **state)
{
    (void)state;
    char path[4096];
    make_lines(path, sizeof path, 200);
    const char *const arguments[] = {path, NULL};
    const char *const environment[] = {"LESS=", "LESSHISTFILE=-", NULL};
    struct screen_options options = {.program = "less",
                                     .arguments = arguments,
                                     .environment = environment,
                                     .rows = 10,
                                     .columns = 60};
    struct screen *screen = screen_start(&options);
    assert_non_null(screen);
    assert_true(screen_wait_text(screen, 0, "line 1 of the sample", 0));
    assert_true(screen_wait_text(screen, 9, "lines_", 0));
    assert_true(screen_cell_at(screen, 9, 0).reverse);
    assert_true(screen_alternate(screen));
    size_t before = screen_bytes(screen);
    assert_true(screen_send(screen, " ", 1));
    assert_true(screen_wait_text(screen, 0, "line 10 of the sample", 0));
    assert_true(screen_bytes(screen) > before);
    assert_false(screen_find(screen, SCREEN_ANY_ROW, "line 1 of", NULL));
    assert_true(screen_resize(screen, 20, 40));
    assert_true(screen_send(screen, "r", 1)); /* less may miss the signal, never the key */
    assert_true(screen_wait_text(screen, 18, "line 28 of the sample", 0));
    assert_true(screen_send(screen, "q", 1));
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    assert_false(screen_alternate(screen));
    assert_int_equal(screen_process(screen), 0);
    screen_free(screen);
    assert_int_equal(unlink(path), 0);
}

static void vim_edits_and_asks_the_terminal(void **state)
{
    (void)state;
    const char *const arguments[] = {"-u", "NONE", "-i", "NONE", "-n", NULL};
    struct screen_options options = {.program = "vim", .arguments = arguments};
    struct screen *screen = screen_start(&options);
    assert_non_null(screen);
    assert_true(screen_wait_text(screen, 1, "~", 0));
    assert_true(screen_send(screen, "iw\xC3\xA9 \xE9\xBD\xBF x", 10));
    assert_true(screen_wait_text(screen, 0, "w\xC3\xA9 \xE9\xBD\xBF x", 0));
    struct screen_place place;
    assert_true(screen_find(screen, 0, "x", &place));
    assert_int_equal(place.column, 6); /* the third character is two cells wide */
    assert_int_equal(screen_cell_at(screen, 0, 3).width, 2);
    assert_int_equal(screen_cell_at(screen, 0, 3).character, 0x9F7F);
    assert_int_equal(screen_cursor(screen).row, 0);
    assert_true(screen_send(screen, "\033:cquit 7\r", 10));
    assert_int_equal(screen_wait_exit(screen, 0), 7);
    screen_free(screen);
}

static void attributes_colours_and_cursor(void **state)
{
    (void)state;
    struct screen *screen = start_shell("printf '\\033[2;3H\\033[1mB\\033[0;7mR\\033[0;4mU\\033[0m"
                                        "\\033[31;44mC\\033[0mD\\033[?25l done'; read x",
                                        NULL);
    assert_true(screen_wait_text(screen, 1, "BRUCD done", 0));
    assert_true(screen_cell_at(screen, 1, 2).bold);
    assert_true(screen_cell_at(screen, 1, 3).reverse);
    assert_true(screen_cell_at(screen, 1, 4).underline);
    assert_false(screen_cell_at(screen, 1, 4).bold);
    assert_int_equal(screen_cell_at(screen, 1, 5).foreground, 1);
    assert_int_equal(screen_cell_at(screen, 1, 5).background, 4);
    assert_int_equal(screen_cell_at(screen, 1, 6).foreground, SCREEN_DEFAULT_COLOUR);
    assert_int_equal(screen_cell_at(screen, 99, 0).character, 0);
    assert_int_equal(screen_cursor(screen).column, 12);
    assert_false(screen_cursor_visible(screen));
    screen_free(screen);
}

static void ready_marks_are_counted_and_cost_nothing(void **state)
{
    (void)state;
    struct screen *screen = start_shell("stty raw -echo; n=0; while :; do n=$((n+1));"
                                        "printf '\\r%04d' $n; printf '\\033]777;ready;%d\\007' $n;"
                                        "k=$(dd bs=1 count=1 2>/dev/null); done",
                                        NULL);
    assert_true(screen_wait_ready(screen, 0));
    assert_int_equal(screen_ready_count(screen), 1);
    assert_int_equal(screen_bytes(screen), 5);
    for (unsigned i = 2; i < 20; i++) {
        char text[8];
        assert_true(screen_press(screen, "j"));
        snprintf(text, sizeof text, "%04u", i);
        assert_string_equal(screen_row(screen, 0), text);
        assert_int_equal(screen_ready_count(screen), i);
        assert_int_equal(screen_bytes(screen), 5 * i);
        assert_true(screen_ready_at_ns(screen) <= screen_now_ns());
    }
    assert_true(screen_keys(screen, "abc"));
    assert_string_equal(screen_row(screen, 0), "0022");
    screen_free(screen);
}

static void answers_the_device_report(void **state)
{
    (void)state;
    struct screen *screen = start_shell("stty raw -echo; printf '\\033[5;7H\\033[6n';"
                                        "a=$(dd bs=1 count=6 2>/dev/null);"
                                        "printf '%s' \"$a\" | od -An -c; read x",
                                        NULL);
    assert_true(screen_wait_text(screen, SCREEN_ANY_ROW, "033   [   5   ;   7   R", 0));
    screen_free(screen);
}

static void makes_the_environment(void **state)
{
    (void)state;
    const char *const environment[] = {"EXTRA=yes", "TZ", NULL};
    assert_int_equal(setenv("LEAKED", "from the caller", 1), 0);
    struct screen *screen = start_shell("echo \"$TERM,$LC_ALL,$TZ,$EXTRA,$LEAKED,"
                                        "$SPRINGLINE_READY_MARK.\"; stty size",
                                        environment);
    assert_true(screen_wait_text(screen, SCREEN_ANY_ROW, "xterm-256color,C.UTF-8,,yes,,1.", 0));
    assert_true(screen_wait_text(screen, SCREEN_ANY_ROW, "24 80", 0));
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    screen_free(screen);
    assert_int_equal(unsetenv("LEAKED"), 0);
}

static void ends_are_told_apart(void **state)
{
    (void)state;
    struct screen *screen = start_shell("exit 5", NULL);
    assert_int_equal(screen_wait_exit(screen, 0), 5);
    assert_int_equal(screen_wait_exit(screen, 0), 5);
    screen_free(screen);

    screen = start_shell("kill -SEGV $$", NULL);
    assert_int_equal(screen_wait_exit(screen, 0), -SIGSEGV);
    screen_free(screen);

    screen = start_shell("echo set; exec sleep 60", NULL);
    assert_true(screen_wait_text(screen, SCREEN_ANY_ROW, "set", 0));
    assert_true(screen_signal(screen, SIGTERM));
    assert_int_equal(screen_wait_exit(screen, 0), -SIGTERM);
    screen_free(screen);

    screen = start_shell("trap 'exit 6' HUP; echo set; while :; do read x; done", NULL);
    assert_true(screen_wait_text(screen, SCREEN_ANY_ROW, "set", 0));
    screen_close_master(screen);
    assert_int_equal(screen_wait_exit(screen, 0), 6);
    screen_free(screen);

    struct screen_options missing = {.program = "/nonexistent/program"};
    screen = screen_start(&missing);
    assert_non_null(screen);
    assert_int_equal(screen_wait_exit(screen, 0), 127);
    assert_true(screen_find(screen, SCREEN_ANY_ROW, "cannot start", NULL));
    screen_free(screen);
}

/* What a failing wait prints goes to a file here, and is looked at. */
static void failures_are_shown(void **state)
{
    (void)state;
    struct screen *screen = start_shell("printf 'visible\\033[3;4H'; read x", NULL);
    assert_true(screen_wait_text(screen, 0, "visible", 0));
    FILE *kept = tmpfile();
    assert_non_null(kept);
    fflush(stdout);
    int stdout_copy = dup(STDOUT_FILENO);
    assert_true(dup2(fileno(kept), STDOUT_FILENO) >= 0);
    bool found = screen_wait_text(screen, 0, "never there", 50);
    int status = screen_wait_exit(screen, 50);
    assert_true(screen_send(screen, "\n", 1));
    bool ended = screen_wait_text(screen, 0, "never there", 0);
    fflush(stdout);
    dup2(stdout_copy, STDOUT_FILENO);
    close(stdout_copy);
    assert_false(found);
    assert_false(ended);
    assert_int_equal(status, SCREEN_STILL_RUNNING);

    char text[16384] = "";
    rewind(kept);
    size_t length = fread(text, 1, sizeof text - 1, kept);
    text[length] = '\0';
    fclose(kept);
    assert_non_null(strstr(text, "# screen: time ran out while waiting for: never there\n"));
    assert_non_null(strstr(text, "24 rows, 80 columns, cursor at row 2, column 3"));
    assert_non_null(strstr(text, "|visible\n"));
    assert_non_null(strstr(text, "last bytes: visible\\x1B[3;4H\n"));
    assert_non_null(strstr(text, "time ran out while waiting for the program to end"));
    assert_non_null(strstr(text, "# screen: the program ended while waiting for: never there"));
    screen_free(screen);
}

static void takes_and_gives_a_lot(void **state)
{
    (void)state;
    enum { COUNT = 100000 };
    struct screen *screen =
        start_shell("stty raw -echo; echo go; dd bs=1000 count=100 iflag=fullblock "
                    "2>/dev/null | wc -c; read x",
                    NULL);
    assert_true(screen_wait_text(screen, 0, "go", 0));
    char *bytes = malloc(COUNT);
    assert_non_null(bytes);
    memset(bytes, 'x', COUNT);
    assert_true(screen_send(screen, bytes, COUNT));
    assert_true(screen_wait_text(screen, SCREEN_ANY_ROW, "100000", 0));
    free(bytes);
    screen_free(screen);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(less_pages_and_quits),
        cmocka_unit_test(vim_edits_and_asks_the_terminal),
        cmocka_unit_test(attributes_colours_and_cursor),
        cmocka_unit_test(ready_marks_are_counted_and_cost_nothing),
        cmocka_unit_test(answers_the_device_report),
        cmocka_unit_test(makes_the_environment),
        cmocka_unit_test(ends_are_told_apart),
        cmocka_unit_test(failures_are_shown),
        cmocka_unit_test(takes_and_gives_a_lot),
    };
    return cmocka_run_group_tests_name("harness", tests, NULL, NULL);
}
