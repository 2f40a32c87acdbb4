/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Signing in, the first start, one's own passphrase and PIN, a one-time passphrase, without a
 * terminal. Nothing of anybody treated is shown before it is known who sits there, and nothing
 * secret is ever shown. 45 CFR 164.312(d); ASVS 5.0 6.3.8.
 */
#include "doors.h"

#include <sqlite3.h>

#include "kept_store.h"
#include "springline/app/secret.h"

/* ---- the way in ---- */

static void a_login_of_the_machine_is_in_at_once(void **state)
{
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_login");
    doors_come(&desk, "ben");
    assert_shows(&desk, "Quillfeather, Odalys");
    assert_int_equal(desk.kept.app.role, ROLE_ASSISTANT);
    assert_int_equal(doors_log_rows(&desk, "signed-in", "ben"), 1);
    doors_pass(&desk, 200); /* the rest of the first screen */
    assert_shows(&desk, "no PIN of yours is set: * s");
    desk_close(&desk);
}

static void a_stranger_sees_nothing_and_is_told_nothing(void **state)
{
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_stranger");
    doors_set_secrets(&desk, "ben");
    doors_come(&desk, "stranger");
    assert_shows(&desk, "springline: sign in");
    doors_show_nobody(&desk);
    /* The same words for a login that is none and one that is, and the same delay behind it. */
    desk_keys(&desk, "nobody<Enter>not the right one");
    doors_hide(&desk, "not the right one");
    assert_shows(&desk, "****************");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Login or passphrase is wrong; the next try is taken in 1 s.");
    desk.kept.now += 10;
    desk_keys(&desk, "again wrong<Enter>");
    assert_shows(&desk, "Login or passphrase is wrong; the next try is taken in 2 s.");
    desk_keys(&desk, "<Up><Ctrl-U>ben<Enter>not the right one<Enter>");
    assert_shows(&desk, "Login or passphrase is wrong; the next try is taken in 1 s.");
    desk.kept.now += 10;
    desk_keys(&desk, "again wrong<Enter>");
    assert_shows(&desk, "Login or passphrase is wrong; the next try is taken in 2 s.");
    doors_show_nobody(&desk);
    assert_int_equal(doors_log_rows(&desk, "sign-in-failed", "ben"), 2);
    assert_int_equal(doors_log_rows(&desk, "sign-in-failed", ""), 2); /* and not what was typed */
    assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM sign_in_failure WHERE login "
                                                 "LIKE '%nobody%'"),
                     0);
    assert_int_equal(
        kept_number(desk.kept.path, "SELECT count(*) FROM sign_in_failure WHERE login GLOB '[?]*'"),
        1);
    /* Other keys lead nowhere. */
    desk_keys(&desk, "<Esc><Ctrl-L><Ctrl-K><Tab><Down>");
    doors_show_nobody(&desk);
    doors_pass(&desk, HOUR);
    doors_show_nobody(&desk);

    desk.kept.now += 10;
    desk_keys(&desk, "<Up><Up><Ctrl-U>ben<Enter>");
    desk_keys(&desk, doors_words);
    doors_hide(&desk, doors_words);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Quillfeather, Odalys");
    assert_shows(&desk, "2 wrong tries, the last at 2026-06-01");
    assert_string_equal(desk.kept.app.user, "ben");
    assert_string_equal(app_by(&desk.kept.app), "Ben Benchworth");
    assert_int_equal(doors_log_rows(&desk, "signed-in", "ben"), 1);
    desk_close(&desk);
}

/* What is typed too early is not tried, however right it is; the program goes on all the while. */
static void the_delay_is_kept_without_waiting(void **state)
{
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_delay");
    doors_set_secrets(&desk, "ben");
    doors_come(&desk, "stranger");
    for (int i = 0; i < 6; i++) {
        desk.kept.now += 100;
        desk_keys(&desk, i == 0 ? "ben<Enter>wrong one<Enter>" : "wrong one<Enter>");
    }
    assert_shows(&desk, "the next try is taken in 32 s");
    desk_keys(&desk, doors_words);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "this one was not tried");
    assert_int_equal(doors_log_rows(&desk, "sign-in-failed", "ben"), 6);
    desk.kept.now += 32;
    desk_keys(&desk, doors_words);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "6 wrong tries");
    desk_close(&desk);
}

/* What is kept of logins that are none goes after a month, with the next good sign-in. */
static void counts_of_no_login_go_after_a_month(void **state)
{
    static const char unknown[] = "SELECT count(*) FROM sign_in_failure WHERE login GLOB '[?]*'";
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_month");
    doors_come(&desk, "stranger");
    desk_keys(&desk, "nobody<Enter>not the right one<Enter>");
    desk_stand_up(&desk);
    desk.kept.now += 29 * (instant)86400;
    doors_come(&desk, "ben");
    assert_int_equal(kept_number(desk.kept.path, unknown), 1);
    desk_stand_up(&desk);
    desk.kept.now += 2 * (instant)86400;
    doors_come(&desk, "ben");
    assert_int_equal(kept_number(desk.kept.path, unknown), 0);
    desk_close(&desk);
}

static void failures_are_told_to_whoever_comes_by_login(void **state)
{
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_told");
    doors_set_secrets(&desk, "ben");
    doors_come(&desk, "ben");
    desk_stand_up(&desk);
    doors_come(&desk, "stranger");
    for (int i = 0; i < 3; i++) {
        desk.kept.now += 100;
        desk_keys(&desk, i == 0 ? "ben<Enter>wrong one<Enter>" : "wrong one<Enter>");
    }
    desk_stand_up(&desk);
    doors_come(&desk, "ben");
    assert_shows(&desk, "3 wrong tries since you signed in on 2026-06-01 08:");
    assert_shows(&desk, "UTC, the last at 2026-06-01 08:");
    desk_stand_up(&desk);
    doors_come(&desk, "ben");
    assert_false(desk_shows(&desk, "wrong tries"));
    desk_close(&desk);
}

static void the_first_start_makes_the_first_orthodontist(void **state)
{
    struct desk desk;

    (void)state;
    for (int alone = 0; alone <= 1; alone++) {
        doors_open(&desk, alone == 1 ? "door_first_alone" : "door_first");
        /* As a store of an older version: nobody in it but the desk. */
        assert_int_equal(kept_raw(desk.kept.path, true, "UPDATE person SET role = 'desk'"),
                         SQLITE_OK);
        doors_come(&desk, "ada");
        assert_shows(&desk, "springline: the first start");
        doors_show_nobody(&desk);
        desk_keys(&desk, "Dr Ada Example<Enter>x");
        if (alone == 1) {
            desk_keys(&desk, "1<Enter>");
            assert_shows(&desk, "Quillfeather, Odalys");
        } else {
            desk_keys(&desk, "2password1<Enter>password1<Enter>40718<Enter>40718<Enter>");
            assert_shows(&desk, "among the commonest passwords");
            doors_show_nobody(&desk);
            assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM person_current"), 2);
            desk_keys(&desk, doors_words);
            desk_keys(&desk, "<Enter>seven herons<Enter>40718<Enter>40718<Enter>");
            assert_shows(&desk, "The two were not the same");
            desk_keys(&desk, doors_words);
            desk_keys(&desk, "<Enter>");
            desk_keys(&desk, doors_words);
            desk_keys(&desk, "<Enter>40718<Enter>40718");
            doors_hide(&desk, doors_words);
            doors_hide(&desk, "40718");
            desk_keys(&desk, "<Enter>");
            assert_shows(&desk, "Quillfeather, Odalys");
            enum proof proof;
            doors_good(&desk, secret_prove(&desk.kept.app, "40718", &proof, &desk.error));
            assert_int_equal(proof, PROOF_PIN);
        }
        assert_int_equal(desk.kept.app.role, ROLE_ORTHODONTIST);
        assert_string_equal(app_by(&desk.kept.app), "Dr Ada Example");
        assert_string_equal(desk.kept.app.login, "ada");
        desk_close(&desk);
    }
}

/* ---- what changes at another seat ---- */

static void change_ben(struct desk *desk, bool leaves)
{
    struct store *other = NULL;
    struct store_request request = {.command = "person", .seat = "elsewhere"};
    struct person same, ben = {.login = "ben"};
    struct arena arena = {0};

    doors_good(desk, store_open(desk->kept.path, &desk->kept.source, &other, &desk->error));
    request.id = store_new_id(other);
    doors_good(desk, store_begin(other, &request, &desk->error));
    doors_good(desk, store_find_same_key(other, RECORD_PERSON, &ben, &arena, &same, &desk->error));
    same.role = ROLE_READER;
    same.head.reason = "trying it";
    if (leaves)
        doors_good(desk,
                   store_withdraw(other, RECORD_PERSON, &same.head.id, "leaves", &desk->error));
    else
        doors_good(desk, store_append(other, RECORD_PERSON, &same, &desk->error));
    doors_good(desk, store_commit(other, &desk->error));
    store_close(other);
    arena_release(&arena);
}

static void a_change_of_role_acts_on_an_open_session(void **state)
{
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_role");
    doors_set_secrets(&desk, "ben");
    doors_come(&desk, "ben");
    desk_keys(&desk, "1<Enter>");
    assert_shows(&desk, "wear");
    change_ben(&desk, false); /* a reader from now on */
    desk_keys(&desk, "20<Enter><Enter>2<Enter>0<Enter>0<Enter><Enter><Enter><Enter><Enter><Enter>"
                     "<Enter><Enter>");
    desk_keys(&desk, "/2<Enter>2<Enter><Enter><Enter><Enter><Enter><Enter>");
    assert_shows(&desk, "Ben Benchworth is recorded here as reader; this is for");
    assert_int_equal(desk_visits(&desk), desk.maker.history.visit_count);
    assert_int_equal(desk.kept.app.role, ROLE_READER);
    change_ben(&desk, true);
    doors_pass(&desk, 200);
    assert_shows(&desk, "This login is not among the people of this practice any more.");
    assert_shows(&desk, "springline: sign in");
    doors_show_nobody(&desk);
    desk_keys(&desk, "ben<Enter>");
    desk_keys(&desk, doors_words);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Login or passphrase is wrong");
    desk_close(&desk);
}

/* ---- one's own, and a one-time one ---- */

static void one_sets_ones_own(void **state)
{
    struct desk desk;
    enum proof proof;

    (void)state;
    doors_open(&desk, "door_own");
    doors_come(&desk, "ben");
    desk_keys(&desk, "*s");
    assert_shows(&desk, "your passphrase and PIN");
    assert_false(desk_shows(&desk, "now :")); /* none stands that could be asked for */
    desk_keys(&desk, "<Enter>1234<Enter>1234<Enter>");
    assert_shows(&desk, "are guessed first; choose another PIN");
    desk_keys(&desk, "<Enter>40718<Enter>40719<Enter>");
    assert_shows(&desk, "The two were not the same");
    desk_keys(&desk, "40718<Enter>40718<Enter>");
    assert_shows(&desk, "Set. The PIN signs and opens the lock");
    doors_good(&desk, secret_prove(&desk.kept.app, "40718", &proof, &desk.error));
    /* Now the old one is asked for. */
    desk_keys(&desk, "*s");
    desk_keys(&desk, "77777<Enter>");
    desk_keys(&desk, doors_words);
    desk_keys(&desk, "<Enter>");
    desk_keys(&desk, doors_words);
    desk_keys(&desk, "<Enter><Enter>");
    assert_shows(&desk, "This PIN is wrong; after 9 more");
    doors_hide(&desk, doors_words);
    desk_keys(&desk, "40718<Enter>");
    desk_keys(&desk, doors_words);
    desk_keys(&desk, "<Enter>");
    desk_keys(&desk, doors_words);
    desk_keys(&desk, "<Enter><Enter>");
    assert_shows(&desk, "Set. The PIN signs");
    doors_good(&desk, secret_prove(&desk.kept.app, doors_words, &proof, &desk.error));
    assert_int_equal(proof, PROOF_PASSPHRASE);
    desk_keys(&desk, "*s<Esc>");
    assert_shows(&desk, "Nothing was changed.");
    desk_close(&desk);
}

/* The sixteen signs behind the title, as they stand on the screen. */
static void read_once(const struct desk *desk, char once[SECRET_ONCE_SIZE])
{
    const char *at = strchr(doors_frame(desk), '\n');

    while (at != NULL && at[1] == '\n')
        at = strchr(at + 1, '\n');
    assert_non_null(at);
    memcpy(once, at + 1, SECRET_ONCE_SIZE - 1);
    once[SECRET_ONCE_SIZE - 1] = '\0';
    assert_int_equal(strspn(once, "abcdefghijkmnpqrstuvwxyz23456789-"), SECRET_ONCE_SIZE - 1);
}

static void a_one_time_passphrase_is_shown_once_and_replaced(void **state)
{
    struct desk desk;
    char once[SECRET_ONCE_SIZE];

    (void)state;
    doors_open(&desk, "door_once");
    doors_come(&desk, "founder");
    desk_keys(&desk, "*0<Home>*3");
    assert_shows(&desk, "one-time passphrase of ben");
    desk_keys(&desk, "/");
    assert_int_equal(doors_log_rows(&desk, "secret-reset", "ben"), 0);
    desk_keys(&desk, "*3<Enter>");
    assert_shows(&desk, "it is shown this once, lives 24 hours");
    read_once(&desk, once);
    desk_keys(&desk, "<Esc>");
    doors_hide(&desk, once);
    assert_int_equal(doors_log_rows(&desk, "secret-reset", "ben"), 1);
    desk_keys(&desk, "*4");
    assert_shows(&desk, "log: ");
    assert_shows(&desk, "secret-reset");
    doors_hide(&desk, once);
    desk_keys(&desk, "reset");
    assert_shows(&desk, "1 found");
    desk_stand_up(&desk);

    doors_come(&desk, "stranger");
    desk_keys(&desk, "ben<Enter>");
    desk_keys(&desk, once);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "This passphrase was for once: choose one of your own.");
    doors_show_nobody(&desk);
    desk_keys(&desk, once);
    desk_keys(&desk, "<Enter>");
    desk_keys(&desk, once);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "The new passphrase is the one-time one");
    doors_show_nobody(&desk);
    assert_int_equal(doors_log_rows(&desk, "signed-in", "ben"), 0);
    desk_keys(&desk, doors_words);
    desk_keys(&desk, "<Enter>");
    desk_keys(&desk, doors_words);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Quillfeather");
    assert_int_equal(doors_log_rows(&desk, "signed-in", "ben"), 1);
    assert_string_equal(desk.kept.app.user, "ben");
    desk_close(&desk);
}

static void everything_fits_into_forty_columns(void **state)
{
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_small");
    doors_set_secrets(&desk, "ben");
    desk.headless.rows = 12;
    desk.headless.columns = 40;
    doors_come(&desk, "stranger");
    assert_shows(&desk, "springline: sign in");
    desk_keys(&desk, "ben<Enter>");
    desk_keys(&desk, doors_words);
    assert_shows(&desk, "**********************"); /* 26 characters in 25 cells */
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Quillfeather");
    desk_keys(&desk, "<Ctrl-K>");
    assert_shows(&desk, "springline: locked");
    assert_shows(&desk, "UTC by Ben Benchworth.");
    doors_show_nobody(&desk);
    desk_keys(&desk, doors_pin);
    desk_keys(&desk, "<Enter>*s");
    assert_shows(&desk, "your passphrase and PIN");
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_login_of_the_machine_is_in_at_once),
        cmocka_unit_test(a_stranger_sees_nothing_and_is_told_nothing),
        cmocka_unit_test(the_delay_is_kept_without_waiting),
        cmocka_unit_test(counts_of_no_login_go_after_a_month),
        cmocka_unit_test(failures_are_told_to_whoever_comes_by_login),
        cmocka_unit_test(the_first_start_makes_the_first_orthodontist),
        cmocka_unit_test(a_change_of_role_acts_on_an_open_session),
        cmocka_unit_test(one_sets_ones_own),
        cmocka_unit_test(a_one_time_passphrase_is_shown_once_and_replaced),
        cmocka_unit_test(everything_fits_into_forty_columns),
    };

    return cmocka_run_group_tests_name("sign_in_screen", tests, NULL, NULL);
}
