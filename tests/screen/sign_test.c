/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Signing in a real terminal of 24 rows and 80 columns: how many keys a visit takes alone, and with
 * a PIN. At most four more is the order's own bar. C-0035 is the demo's case without trouble.
 */
#include <pwd.h>
#include <setjmp.h>
#include <sodium.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "kept_store.h"
#include "practice.h"
#include "springline/app/app.h"
#include "team.h"

enum { KEYS_MORE = 4, ROWS = 24, COLUMNS = 80 };

/* Found, opened, entered, up to the review: wear, width, both amounts as permitted. */
static const char visit[] = "0035\r20\r\r2\r00*\r*\r\r\r";

static instant now(void *context)
{
    (void)context;
    return (instant)time(NULL);
}

static void random_bytes(void *context, void *bytes, size_t count)
{
    (void)context;
    randombytes_buf(bytes, count);
}

/* The login of this test becomes an orthodontist with a PIN, another one works there too. */
static void add_me(struct practice *practice)
{
    const struct store_source source = {.now = now, .random = random_bytes};
    const struct passwd *me = getpwuid(getuid());
    struct app app = {.user = "founder", .seat = "founder@test"};
    struct error error = {0};

    assert_non_null(me);
    assert_true(sodium_init() >= 0);
    if (store_open(practice->path, &source, &app.store, &error) != STATUS_OK)
        fail_msg("%s", error.sentence);
    assert_int_equal(app_know_person(&app, &error), STATUS_OK);
    if (strcmp(app.login, me->pw_name) != 0) {
        team_add(&app, me->pw_name, "Dr Ada Example", ROLE_ORTHODONTIST);
        app.user = me->pw_name;
    }
    team_add(&app, "ben", "Ben Benchworth", ROLE_ASSISTANT);
    app.user = me->pw_name;
    assert_int_equal(app_know_person(&app, &error), STATUS_OK);
    assert_int_equal(app.role, ROLE_ORTHODONTIST);
    assert_false(app.alone);
    team_secrets(&app, now(NULL));
    store_close(app.store);
}

static void leave(struct screen *screen)
{
    assert_true(screen_send(screen, "\021", 1)); /* Ctrl-Q, on the day's list */
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    screen_free(screen);
}

static void assert_signed(struct practice *practice, const char *proof, int64_t wanted)
{
    static const char *const verify[] = {"verify", NULL};
    char sql[160];

    snprintf(sql, sizeof sql,
             "SELECT count(*) FROM signature WHERE kind = 'visit' AND meaning = "
             "'examined-and-decided' AND proof = '%s'",
             proof);
    assert_int_equal(kept_number(practice->path, sql), wanted);
    if (practice_run(practice, verify) != 0)
        fail_msg("%s", practice->output);
}

/* Types the keys and returns how many there were. */
static int type(struct screen *screen, const char *keys)
{
    practice_type(screen, keys);
    return (int)strlen(keys);
}

static void a_signed_visit_takes_four_keys_more(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "sign_alone");
    struct screen *screen = practice_screen(&practice, ROWS, COLUMNS, NULL);
    int alone = type(screen, visit);
    practice_shows(screen, "Enter or 1 saves and signs");
    alone += type(screen, "\r");
    practice_shows(screen, "Saved: C-0035");
    leave(screen);
    assert_signed(&practice, "alone", 1);
    practice_close(&practice);

    practice_open(&practice, "sign_pin");
    add_me(&practice);
    screen = practice_screen(&practice, ROWS, COLUMNS, NULL);
    int with_pin = type(screen, visit);
    practice_shows(screen, "PIN:");
    with_pin += type(screen, TEAM_PIN "\r");
    practice_shows(screen, "Saved: C-0035");
    leave(screen);
    assert_signed(&practice, "pin", 1);
    practice_close(&practice);
    print_message("# figure: at 80x24 a visit is found, entered and signed in %d keys alone, in %d "
                  "with a PIN of 4 digits\n",
                  alone, with_pin);
    assert_int_equal(with_pin, alone + KEYS_MORE);
}

/* Unsigned first, then from the list, by the shell's account of it too. */
static void an_unsigned_visit_is_listed_and_signed_from_the_list(void **state)
{
    static const char *const list[] = {"unsigned", "--format", "csv", NULL};
    static const char *const chart[] = {"chart", "C-0035", NULL};
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "sign_list");
    add_me(&practice);
    assert_int_equal(practice_run(&practice, list), 1);
    struct screen *screen = practice_screen(&practice, ROWS, COLUMNS, NULL);
    practice_type(screen, visit);
    practice_type(screen, "\r");
    practice_shows(screen, "not signed yet");
    assert_int_equal(practice_run(&practice, list), 0);
    assert_non_null(strstr(practice.output, "\r\nC-0035,Copperkettle,Isolde,2026-11-25,visit,"
                                            "activation,upper,1.25,1.25,"));
    assert_int_equal(practice_run(&practice, chart), 0);
    assert_non_null(strstr(practice.output, "           NOT SIGNED\n"));
    practice_type(screen, "*u");
    practice_shows(screen, "unsigned: 1 visit waits");
    practice_type(screen, "\r3" TEAM_PIN "\r");
    practice_shows(screen, "Every visit is signed.");
    assert_int_equal(practice_run(&practice, list), 1);
    practice_type(screen, "\033");
    leave(screen);
    assert_signed(&practice, "pin", 1);
    /* On paper too: name, moment, meaning. */
    assert_int_equal(practice_run(&practice, chart), 0);
    assert_null(strstr(practice.output, "NOT SIGNED"));
    assert_non_null(strstr(practice.output, "           signed by "));
    assert_non_null(strstr(practice.output, " UTC, examined and decided\n"));
    practice_close(&practice);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_signed_visit_takes_four_keys_more),
        cmocka_unit_test(an_unsigned_visit_is_listed_and_signed_from_the_list),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
