/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The user's own settings of the screens (springline.5), over the demo practice. Where they are
 * looked for: XDG base directories; a relative folder is ignored. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "practice.h"

enum { PATH = 400 };

/* A folder that holds springline/config with these lines; its path in folder. */
static void write_config(char folder[PATH], const char *name, const char *lines)
{
    char path[PATH + 40];

    snprintf(folder, PATH, "%s/%s_%ld", getenv("TMPDIR"), name, (long)getpid());
    assert_int_equal(mkdir(folder, 0700), 0);
    snprintf(path, sizeof path, "%s/springline", folder);
    assert_int_equal(mkdir(path, 0700), 0);
    snprintf(path, sizeof path, "%s/springline/config", folder);
    FILE *file = fopen(path, "we");
    assert_non_null(file);
    assert_true(fputs(lines, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static void remove_config(const char *folder)
{
    char path[PATH + 40];

    snprintf(path, sizeof path, "%s/springline/config", folder);
    assert_int_equal(unlink(path), 0);
    snprintf(path, sizeof path, "%s/springline", folder);
    assert_int_equal(rmdir(path), 0);
    assert_int_equal(rmdir(folder), 0);
}

static void leave(struct screen *screen)
{
    assert_true(screen_send(screen, "\021", 1)); /* Ctrl-Q */
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    screen_free(screen);
}

/* A key of one's own works beside the arrows, and stands in the footer and in the help. */
static void own_keys(void **state)
{
    struct practice practice = {0};
    char folder[PATH], home[PATH + 32];

    (void)state;
    practice_open(&practice, "own_keys");
    write_config(folder, "own", "# mine\nkey next = Ctrl-N\nkey previous = Ctrl-P -\n");
    snprintf(home, sizeof home, "XDG_CONFIG_HOME=%s", folder);
    struct screen *screen = practice_screen(&practice, 24, 80, (const char *const[]){home, NULL});
    practice_shows(screen, "Ctrl-N Ctrl-P row");
    practice_shows(screen, "> 08:30 C-0047");
    assert_true(screen_press(screen, "\016")); /* Ctrl-N */
    practice_shows(screen, "> 09:00 C-0035");
    assert_true(screen_press(screen, "\033[A"));
    practice_shows(screen, "> 08:30 C-0047");
    assert_true(screen_press(screen, "?"));
    practice_shows(screen, "Ctrl-P - Up");
    assert_true(screen_press(screen, "\033"));
    leave(screen);
    remove_config(folder);
    practice_close(&practice);
}

/* The user's own goes before the system's. */
static void the_own_goes_before_the_shared(void **state)
{
    struct practice practice = {0};
    char shared[PATH], own[PATH], shared_is[PATH + 64], own_is[PATH + 32];

    (void)state;
    practice_open(&practice, "shared");
    write_config(shared, "shared", "ascii = yes\nkey sort = Ctrl-T\n");
    write_config(own, "own", "ascii = no\n");
    snprintf(shared_is, sizeof shared_is, "XDG_CONFIG_DIRS=relative:%s", shared);
    snprintf(own_is, sizeof own_is, "XDG_CONFIG_HOME=%s", own);
    struct screen *screen =
        practice_screen(&practice, 24, 80, (const char *const[]){shared_is, NULL});
    practice_shows(screen, "Ljosalfabrekka, Yrr");
    leave(screen);
    screen = practice_screen(&practice, 24, 80, (const char *const[]){shared_is, own_is, NULL});
    practice_shows(screen, "Ljósálfabrekka, Ýrr");
    assert_true(screen_press(screen, "\024")); /* Ctrl-T sorts */
    assert_true(screen_press(screen, "?"));
    practice_shows(screen, "Ctrl-T Tab");
    assert_true(screen_press(screen, "\033"));
    leave(screen);
    remove_config(shared);
    remove_config(own);
    practice_close(&practice);
}

/* A slip ends the start with file, line and what to do; commands without screens do not look. */
static void a_slip_is_told(void **state)
{
    struct practice practice = {0};
    char folder[PATH], home[PATH + 32];

    (void)state;
    practice_open(&practice, "slip");
    write_config(folder, "slip", "\nkey next = -\n");
    snprintf(home, sizeof home, "XDG_CONFIG_HOME=%s", folder);
    const char *const arguments[] = {"--store", practice.path, NULL};
    const char *const recall[] = {"--store", practice.path, "recall", NULL};
    const char *const environment[] = {practice.today, home, NULL};
    struct screen_options options = {.program = getenv("SPRINGLINE_PROGRAM"),
                                     .arguments = arguments,
                                     .environment = environment,
                                     .columns = 250};
    struct screen *screen = screen_start(&options);
    assert_non_null(screen);
    assert_int_equal(screen_wait_exit(screen, 0), 4);
    practice_shows(screen, "config line 2: - is the key of \"previous\" at the same place");
    screen_free(screen);
    options.arguments = recall;
    screen = screen_start(&options);
    assert_non_null(screen);
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    screen_free(screen);
    remove_config(folder);
    practice_close(&practice);
}

static bool has_colour(struct screen *screen)
{
    assert_true(screen_keys(screen, "0035\r")); /* a verdict has a coloured edge */
    practice_shows(screen, "are sound: PROCEED");
    for (int row = 0; row < 24; row++) {
        for (int column = 0; column < 80; column++) {
            struct screen_cell cell = screen_cell_at(screen, row, column);
            if (cell.foreground != SCREEN_DEFAULT_COLOUR ||
                cell.background != SCREEN_DEFAULT_COLOUR)
                return true;
        }
    }
    return false;
}

/* "colour = yes" goes before NO_COLOR, "colour = no" needs none. */
static void colour(void **state)
{
    struct practice practice = {0};
    char with[PATH], without[PATH], with_is[PATH + 32], without_is[PATH + 32];

    (void)state;
    practice_open(&practice, "colour");
    write_config(with, "with", "colour = yes\n");
    write_config(without, "without", "colour = no\n");
    snprintf(with_is, sizeof with_is, "XDG_CONFIG_HOME=%s", with);
    snprintf(without_is, sizeof without_is, "XDG_CONFIG_HOME=%s", without);
    struct screen *screen =
        practice_screen(&practice, 24, 80, (const char *const[]){with_is, "NO_COLOR=1", NULL});
    assert_true(has_colour(screen));
    screen_free(screen);
    screen = practice_screen(&practice, 24, 80, (const char *const[]){without_is, NULL});
    assert_false(has_colour(screen));
    screen_free(screen);
    remove_config(with);
    remove_config(without);
    practice_close(&practice);
}

/* The order of a list comes back at the next start; safety items lead in every order. */
static void the_order_is_remembered(void **state)
{
    struct practice practice = {0};
    char folder[PATH], state_is[PATH + 32], path[PATH + 32];

    (void)state;
    practice_open(&practice, "order");
    snprintf(folder, sizeof folder, "%s/state_%ld", getenv("TMPDIR"), (long)getpid());
    snprintf(state_is, sizeof state_is, "XDG_STATE_HOME=%s", folder);
    const char *const more[] = {state_is, NULL};
    struct screen *screen = practice_screen(&practice, 24, 80, more);
    assert_true(screen_keys(screen, "*6"));
    practice_shows(screen, "> C-0004"); /* the longest standing safety item */
    assert_true(screen_press(screen, "\t"));
    assert_true(screen_press(screen, "\t"));
    practice_shows(screen, "name ^");
    leave(screen);
    screen = practice_screen(&practice, 24, 80, more);
    assert_true(screen_keys(screen, "*6"));
    practice_shows(screen, "name ^");
    assert_true(screen_press(screen, "\033[H"));
    assert_true(screen_find(screen, 3, "C-0046 ", NULL)); /* Drizzlecombe: first of the six */
    assert_true(screen_find(screen, 9, "C-0029 ", NULL)); /* Applewhistle: first of the others */
    leave(screen);
    snprintf(path, sizeof path, "%s/springline/lists", folder);
    assert_int_equal(unlink(path), 0);
    snprintf(path, sizeof path, "%s/springline", folder);
    assert_int_equal(rmdir(path), 0);
    assert_int_equal(rmdir(folder), 0);
    practice_close(&practice);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(own_keys),
        cmocka_unit_test(the_own_goes_before_the_shared),
        cmocka_unit_test(a_slip_is_told),
        cmocka_unit_test(colour),
        cmocka_unit_test(the_order_is_remembered),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
