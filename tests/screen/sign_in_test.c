/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The door in a real terminal, over the demo practice: a practice of one gives up working unasked,
 * its orthodontist sets a passphrase and a PIN, locks the seat in the middle of a visit and opens
 * it again; a login that is nobody's sees nothing. C-0035 is the demo's case without trouble.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "kept_store.h"
#include "practice.h"

static const char words[] = "nine herons over the weir";
static const char pin[] = "40718266";

static const char *const verify_arguments[] = {"verify", NULL};
static const char *const log_arguments[] = {"--format", "csv", "log", NULL};

/* Text, not commands: key by key, a ready mark behind each. */
static void type_text(struct screen *screen, const char *text)
{
    assert_true(screen_keys(screen, text));
}

static void enter(struct screen *screen, const char *text)
{
    type_text(screen, text);
    practice_type(screen, "\r");
}

static void shows_nobody(struct screen *screen)
{
    static const char *const told[] = {"C-0035", "C-00", "booked", "wear", "verdict"};

    for (size_t i = 0; i < sizeof told / sizeof told[0]; i++) {
        if (screen_find(screen, SCREEN_ANY_ROW, told[i], NULL)) {
            screen_dump(screen, told[i]);
            fail_msg("%s is shown", told[i]);
        }
    }
}

static bool file_holds(const char *path, const char *text)
{
    FILE *file = fopen(path, "re");
    char *bytes = malloc(64U << 20);
    assert_non_null(file);
    assert_non_null(bytes);
    size_t size = fread(bytes, 1, 64U << 20, file);
    assert_int_equal(fclose(file), 0);
    bool found = memmem(bytes, size, text, strlen(text)) != NULL;
    free(bytes);
    return found;
}

/* Nobody is asked any more, and whoever sits here sets what they sign and come in with. */
static void give_up_working_unasked(struct screen *screen)
{
    practice_shows(screen, "alone: nobody is asked");
    practice_type(screen, "*0");
    practice_shows(screen, "people: 1, alone: nobody is asked");
    practice_type(screen, "\r\r\r\r0\r");
    practice_shows(screen, "why");
    enter(screen, "others will work here");
    practice_type(screen, "\r");
    practice_shows(screen, "Saved");
    practice_type(screen, "\033");
    practice_type(screen, "*s");
    practice_shows(screen, "your passphrase and PIN");
    enter(screen, words);
    enter(screen, words);
    enter(screen, pin);
    type_text(screen, pin);
    assert_false(screen_find(screen, SCREEN_ANY_ROW, pin, NULL));
    practice_type(screen, "\r");
    practice_shows(screen, "Set. The PIN signs and opens the lock");
}

static void a_seat_locked_in_the_middle_of_a_visit(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "sign_in_lock");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    give_up_working_unasked(screen);
    practice_type(screen, "0035\r17\r1");
    practice_shows(screen, "[1 ");
    assert_true(screen_press(screen, "\013")); /* Ctrl-K */
    practice_shows(screen, "springline: locked");
    practice_shows(screen, "Locked 20");
    shows_nobody(screen);
    /* Nothing typed here reaches what is behind, at any size. */
    assert_true(screen_resize(screen, 12, 40));
    assert_true(screen_wait_ready(screen, 0));
    shows_nobody(screen);
    enter(screen, "777123");
    practice_shows(screen, "This PIN is wrong");
    shows_nobody(screen);
    assert_true(screen_resize(screen, 24, 80));
    assert_true(screen_wait_ready(screen, 0));
    type_text(screen, pin);
    practice_shows(screen, "********");
    practice_type(screen, "\r");
    practice_shows(screen, "C-0035");
    practice_shows(screen, "[1 "); /* as it was */
    practice_type(screen, "8");
    practice_shows(screen, "[18 ");
    assert_true(screen_send(screen, "\021", 1)); /* Ctrl-Q */
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    screen_free(screen);
    char cost[80];
    kept_text(practice.path, "SELECT substr(pin, 1, instr(pin, ',p=') - 1) FROM secret", cost,
              sizeof cost);
    print_message("# figure: a quarter second of argon2id here: %s\n", cost);
    assert_int_equal(practice_run(&practice, verify_arguments), 0);
    assert_int_equal(practice_run(&practice, log_arguments), 0);
    static const char *const logged[] = {"signed-in", "secret-set", "locked", "sign-in-failed",
                                         "reopened"};
    for (size_t i = 0; i < sizeof logged / sizeof logged[0]; i++) {
        if (strstr(practice.output, logged[i]) == NULL)
            fail_msg("not in the log: %s\n%s", logged[i], practice.output);
    }
    assert_null(strstr(practice.output, words));
    assert_false(file_holds(practice.path, words));
    assert_false(file_holds(practice.path, pin));
    practice_close(&practice);
}

/* Gives the only person of the store another login, as tests/cli/roles.sh does. */
static void give_login_away(const struct practice *practice)
{
    const char *build = getenv("SPRINGLINE_BUILD");
    char helper[PRACTICE_PATH];
    int status = 0;

    snprintf(helper, sizeof helper, "%s/tests/support/set_person", build == NULL ? "build" : build);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        execl(helper, helper, practice->path, "somebody else", "orthodontist", (char *)NULL);
        _exit(127);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(status, 0);
}

static void a_login_that_is_nobodys_sees_nothing(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "sign_in_stranger");
    give_login_away(&practice);
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    practice_shows(screen, "springline: sign in");
    shows_nobody(screen);
    enter(screen, "somebody else");
    enter(screen, words);
    practice_shows(screen, "Login or passphrase is wrong; the next try is taken in 1 s.");
    practice_type(screen, "\033");
    shows_nobody(screen);
    assert_true(screen_send(screen, "\021", 1)); /* Ctrl-Q */
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    screen_free(screen);
    assert_false(file_holds(practice.path, words));
    practice_close(&practice);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_seat_locked_in_the_middle_of_a_visit),
        cmocka_unit_test(a_login_that_is_nobodys_sees_nothing),
    };

    return cmocka_run_group_tests_name("sign_in", tests, NULL, NULL);
}
