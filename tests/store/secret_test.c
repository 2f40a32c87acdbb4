/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Passphrases and PINs: what may be set, how it is kept, how often it may be tried. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "kept_store.h"
#include "springline/app/authority.h"
#include "springline/app/secret.h"
#include "store_case.h"

static const char words[] = "seven herons over the weir";
static const char pin[] = "83057162";

static void good(enum status status, const struct error *error)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s: %s", (int)status, error->where, error->sentence);
}

static void add_person(struct store_case *kept, const char *login, const char *name, enum role role)
{
    struct error error = {0};
    struct app_save save;
    struct person person = {.login = login, .name = name, .role = role};
    struct store_request request = {.id = store_new_id(kept->app.store), .command = "people"};

    good(app_save_begin(&kept->app, COMMAND_ADD, &request, &save, &error), &error);
    good(store_append(kept->app.store, RECORD_PERSON, &person, &error), &error);
    good(app_save_commit(&save, &error), &error);
}

/* An orthodontist "founder" who came by the login of the machine, and an assistant "ben". */
static void open_two(struct store_case *kept, const char *name)
{
    struct error error = {0};

    store_case_open(kept, name, 20600);
    kept->app.user = "founder";
    add_person(kept, "ben", "Ben Benchworth", ROLE_ASSISTANT);
    good(app_know_person(&kept->app, &error), &error);
    assert_false(kept->app.alone);
    kept->app.by_login = true;
    kept->app.signed_in_at = kept->now;
}

static void set_both(struct store_case *kept)
{
    struct error error = {0};
    const struct secret_change change = {.passphrase = words, .pin = pin};

    good(secret_change(&kept->app, &change, &error), &error);
}

static int64_t log_rows(const struct store_case *kept, const char *what)
{
    char query[120];

    (void)snprintf(query, sizeof query, "SELECT count(*) FROM access WHERE what = '%s'", what);
    return kept_number(kept->path, query);
}

static enum status prove(struct store_case *kept, const char *typed, enum proof *proof,
                         struct error *error)
{
    *error = (struct error){0};
    return secret_prove(&kept->app, typed, proof, error);
}

static void prove_right(struct store_case *kept, const char *typed, enum proof wanted)
{
    struct error error;
    enum proof proof;

    good(prove(kept, typed, &proof, &error), &error);
    assert_int_equal(proof, wanted);
}

static void prove_wrong(struct store_case *kept, const char *typed, const char *said)
{
    struct error error;
    enum proof proof;

    assert_int_equal(prove(kept, typed, &proof, &error), STATUS_REFUSED);
    assert_int_equal(proof, PROOF_NONE);
    if (strstr(error.sentence, said) == NULL)
        fail_msg("\"%s\" is not in: %s", said, error.sentence);
}

static bool holds(const unsigned char *bytes, size_t size, const char *text)
{
    return memmem(bytes, size, text, strlen(text)) != NULL;
}

static void either_proves_and_neither_is_kept(void **state)
{
    struct store_case kept;
    size_t size;

    (void)state;
    open_two(&kept, "secret_set");
    prove_wrong(&kept, "1234", "Neither a PIN nor a passphrase");
    set_both(&kept);
    prove_right(&kept, pin, PROOF_PIN);
    prove_right(&kept, words, PROOF_PASSPHRASE);
    assert_int_equal(log_rows(&kept, "secret-set"), 1);
    assert_int_equal(log_rows(&kept, "sign-in-failed"), 0);
    /* Nothing typed is in the file, in no free page of it either. */
    unsigned char *bytes = kept_bytes(kept.path, &size);
    assert_true(holds(bytes, size, "$argon2id$v=19$m=19456,t=2,p=1$"));
    assert_false(holds(bytes, size, words));
    assert_false(holds(bytes, size, pin));
    free(bytes);
    store_case_close(&kept);
}

static void a_practice_of_one_is_asked_nothing(void **state)
{
    struct store_case kept;

    (void)state;
    store_case_open(&kept, "secret_alone", 20600);
    prove_right(&kept, "", PROOF_ALONE);
    assert_int_equal(kept_number(kept.path, "SELECT count(*) FROM access"), 0);
    store_case_close(&kept);
}

static void ten_wrong_pins_close_it_for_every_seat(void **state)
{
    struct store_case kept;
    struct error error = {0};
    struct app other;

    (void)state;
    open_two(&kept, "secret_pin");
    set_both(&kept);
    other = kept.app;
    good(store_open(kept.path, &kept.source, &other.store, &error), &error);
    for (int i = 0; i < 9; i++) {
        enum proof proof;
        if (i % 2 == 0)
            prove_wrong(&kept, "5555", "is wrong; after");
        else
            assert_int_equal(secret_prove(&other, "20480", &proof, NULL), STATUS_REFUSED);
    }
    store_close(other.store);
    prove_right(&kept, pin, PROOF_PIN); /* in time: the count begins anew */
    for (int i = 0; i < 9; i++)
        prove_wrong(&kept, "5555", "is wrong; after");
    store_case_reopen(&kept); /* and stands in the store, not in the seat */
    prove_wrong(&kept, "5555", "the tenth time");
    /* The digits of this PIN are long enough for a passphrase, and are tried as one. */
    prove_wrong(&kept, pin, "passphrase is wrong");
    prove_wrong(&kept, "5555", "have closed the PIN");
    assert_int_equal(log_rows(&kept, "shut-out"), 1);
    assert_int_equal(kept_number(kept.path, "SELECT count(pin) FROM secret"), 0);
    kept.now += 1000;
    prove_right(&kept, words, PROOF_PASSPHRASE); /* does not revive it */
    prove_wrong(&kept, "5555", "have closed the PIN");
    const struct secret_change change = {.old = words, .pin = "406182"};
    good(secret_change(&kept.app, &change, &error), &error);
    prove_right(&kept, "406182", PROOF_PIN);
    store_case_close(&kept);
}

/* The delay doubles from a second to five minutes; a hundred wrong ones end it. */
static void wrong_passphrases_are_slowed_and_ended(void **state)
{
    static const int delays[] = {1, 2, 4, 8, 16, 32, 64, 128, 300, 300};
    struct store_case kept;
    struct error error = {0};

    (void)state;
    open_two(&kept, "secret_delay");
    set_both(&kept);
    for (int i = 0; i < 10; i++) {
        char said[60];
        (void)snprintf(said, sizeof said, "the next one is taken in %d s", delays[i]);
        prove_wrong(&kept, "not the right one", said);
        if (delays[i] > 8) { /* the clock of this test goes on by a second at each look */
            prove_wrong(&kept, words, "was not tried");
            prove_right(&kept, pin, PROOF_PIN); /* which has a count of its own */
        }
        kept.now += delays[i];
    }
    assert_int_equal(kept_number(kept.path, "SELECT failures FROM sign_in_failure"), 10);
    assert_int_equal(kept_raw(kept.path, false, "UPDATE sign_in_failure SET failures = 99"),
                     SQLITE_OK);
    prove_wrong(&kept, "not the right one", "passphrase is wrong");
    kept.now += 100000;
    prove_wrong(&kept, words, "have shut this login out");
    assert_int_equal(log_rows(&kept, "shut-out"), 1);
    struct secret_standing standing;
    good(secret_look(&kept.app, "founder", &standing, &error), &error);
    assert_true(standing.shut_out && standing.passphrase && standing.pin);
    assert_int_equal(standing.failures, 100);
    store_case_close(&kept);
}

static void a_right_passphrase_wipes_the_counts(void **state)
{
    struct store_case kept;

    (void)state;
    open_two(&kept, "secret_wipe");
    set_both(&kept);
    prove_wrong(&kept, "not the right one", "is wrong");
    prove_wrong(&kept, "5555", "after 9 more");
    kept.now += 10;
    prove_right(&kept, words, PROOF_PASSPHRASE);
    assert_int_equal(kept_number(kept.path, "SELECT count(*) FROM sign_in_failure"), 0);
    assert_int_equal(kept_number(kept.path, "SELECT pin_failures FROM secret"), 0);
    assert_int_equal(log_rows(&kept, "sign-in-failed"), 2);
    assert_int_equal(log_rows(&kept, "reopened"), 1);
    store_case_close(&kept);
}

/* ---- what may be set ---- */

static void weak_ones_are_refused(void **state)
{
    static const struct {
        const char *typed;
        const char *said; /* NULL: taken */
    } cases[] = {
        {"", "8 to 128 characters"},
        {"tiny4me", "8 to 128 characters"},
        {"heronweir", NULL},
        {"        ", "commonest"},
        {"11111111", "commonest"},
        {"aaaaaaaaaaaa", "commonest"},
        {"1234567890", "commonest"},
        {"Password", "commonest"},
        {"password2026!", "commonest"},
        {"--QWERTYUIOP--", "commonest"},
        {"passw0rd", "commonest"},
        {"springline1", "commonest"},
        {"reception", "commonest"},
        {"ada.example", "login"},
        {"ADA.EXAMPLE1", "login"},
        {"Dr \xc3\x84"
         "da Exampl\xc3\xa9",
         "login"}, /* the name, with other marks */
        {"!!example!!", "login"},
        {"examples of herons", NULL},
        {"password of herons", NULL},
        {"\xe5\x85\xab\xe3\x81\xa4\xe3\x81\xae\xe5\xaf\x86\xe7\xa0\x81\xe3\x81\xa7", "fewer"},
        {"\xe5\x85\xab\xe3\x81\xa4\xe3\x81\xae\xe5\xaf\x86\xe7\xa0\x81\xe3\x81\xa7\xe3\x81\x99\xe3"
         "\x80\x82",
         NULL}, /* eight characters of three bytes */
        {"\xff\xfe\xfd heron weir", "no characters"},
    };
    char longest[PASSPHRASE_SIZE + 8];

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct error error = {0};
        enum status status =
            secret_check_passphrase("ada.example", "Dr Ada Example", cases[i].typed, &error);
        if (cases[i].said == NULL
                ? status != STATUS_OK
                : status != STATUS_INPUT || strstr(error.sentence, cases[i].said) == NULL)
            fail_msg("\"%s\": %d %s", cases[i].typed, (int)status, error.sentence);
    }
    /* 64 must be taken (ASVS 5.0 6.2.9); of four bytes too. */
    longest[0] = '\0';
    for (int i = 0; i < PASSPHRASE_MOST; i++)
        memcpy(longest + 4 * (size_t)i, i % 2 == 0 ? "\xf0\x9f\x90\xa6" : "\xf0\x9f\x8c\x8a", 5);
    assert_int_equal(secret_check_passphrase("ada", "Ada", longest, NULL), STATUS_OK);
    longest[PASSPHRASE_SIZE - 1] = 'x';
    longest[PASSPHRASE_SIZE] = '\0';
    assert_int_equal(secret_check_passphrase("ada", "Ada", longest, NULL), STATUS_INPUT);
}

static void weak_pins_are_refused(void **state)
{
    static const char *const refused[] = {"",      "123",      "123456789", "0000", "99999999",
                                          "1234",  "87654321", "7890",      "2109", "12a4",
                                          " 4071", "4071 ",    "-4071",     "4.71"};
    static const char *const taken[] = {"4071", "1235", "40718266", "1123", "9753"};

    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        if (secret_check_pin(refused[i], NULL) != STATUS_INPUT)
            fail_msg("\"%s\" was taken", refused[i]);
    }
    for (size_t i = 0; i < sizeof taken / sizeof taken[0]; i++) {
        if (secret_check_pin(taken[i], NULL) != STATUS_OK)
            fail_msg("\"%s\" was refused", taken[i]);
    }
}

static void changing_asks_for_the_old_one(void **state)
{
    struct store_case kept;
    struct error error = {0};
    bool asked;

    (void)state;
    open_two(&kept, "secret_old");
    add_person(&kept, "cleo", "Cleo Clinicall", ROLE_ORTHODONTIST);
    good(secret_asks_old(&kept.app, &asked, &error), &error);
    assert_false(asked); /* fresh, and none is set */
    kept.now += SECRET_FRESH_S;
    assert_int_equal(secret_asks_old(&kept.app, &asked, &error), STATUS_REFUSED);
    kept.app.signed_in_at = kept.now;
    struct secret_change change = {.pin = "4071"};
    good(secret_change(&kept.app, &change, &error), &error);
    good(secret_asks_old(&kept.app, &asked, &error), &error);
    assert_true(asked);
    change = (struct secret_change){.passphrase = words};
    assert_int_equal(secret_change(&kept.app, &change, &error), STATUS_REFUSED);
    assert_non_null(strstr(error.sentence, "present PIN"));
    change.old = "4071"; /* as long as there is no passphrase */
    good(secret_change(&kept.app, &change, &error), &error);
    change = (struct secret_change){.old = "4071", .passphrase = "other herons, other weirs"};
    assert_int_equal(secret_change(&kept.app, &change, &error), STATUS_REFUSED);
    kept.now += 10;
    change.old = words;
    change.passphrase = words;
    assert_int_equal(secret_change(&kept.app, &change, &error), STATUS_INPUT);
    change.passphrase = "other herons, other weirs";
    good(secret_change(&kept.app, &change, &error), &error);
    prove_right(&kept, "other herons, other weirs", PROOF_PASSPHRASE);
    prove_right(&kept, "4071", PROOF_PIN); /* stays */
    change = (struct secret_change){.old = "other herons, other weirs"};
    assert_int_equal(secret_change(&kept.app, &change, &error), STATUS_INPUT);
    store_case_close(&kept);
}

/* Nobody else could help the only orthodontist: a login of the machine, just made, is enough. */
static void the_only_orthodontist_is_never_locked_out(void **state)
{
    struct store_case kept;
    struct error error = {0};
    bool asked;

    (void)state;
    open_two(&kept, "secret_only");
    set_both(&kept);
    good(secret_asks_old(&kept.app, &asked, &error), &error);
    assert_false(asked);
    kept.now += 2 * SECRET_FRESH_S;
    good(secret_asks_old(&kept.app, &asked, &error), &error);
    assert_true(asked);
    kept.app.signed_in_at = kept.now;
    kept.app.by_login = false; /* signed in with a passphrase */
    good(secret_asks_old(&kept.app, &asked, &error), &error);
    assert_true(asked);
    store_case_close(&kept);
}

/* ---- a one-time passphrase ---- */

static void a_reset_gives_a_passphrase_for_once(void **state)
{
    struct store_case kept;
    struct error error = {0};
    struct secret_standing standing;
    char once[SECRET_ONCE_SIZE], again[SECRET_ONCE_SIZE];
    struct app ben;

    (void)state;
    open_two(&kept, "secret_reset");
    assert_int_equal(secret_reset(&kept.app, "founder", once, &error), STATUS_REFUSED);
    assert_string_equal(once, "");
    assert_int_equal(secret_reset(&kept.app, "nobody", once, &error), STATUS_NOT_FOUND);
    good(secret_reset(&kept.app, "ben", once, &error), &error);
    good(secret_reset(&kept.app, "ben", again, &error), &error);
    assert_string_not_equal(once, again);
    assert_int_equal(strlen(again), SECRET_ONCE_SIZE - 1);
    good(secret_look(&kept.app, "ben", &standing, &error), &error);
    assert_true(standing.once && standing.passphrase && !standing.pin);
    assert_int_equal(log_rows(&kept, "secret-reset"), 2);

    ben = kept.app;
    ben.user = "ben";
    enum proof proof;
    assert_int_equal(secret_prove(&ben, again, &proof, &error), STATUS_REFUSED);
    assert_non_null(strstr(error.sentence, "signs nothing"));
    assert_int_equal(proof, PROOF_NONE);
    assert_int_equal(secret_reset(&ben, "founder", once, &error),
                     STATUS_REFUSED); /* no assistant */
    struct secret_change change = {.old = again, .pin = "4071"};
    assert_int_equal(secret_change(&ben, &change, &error), STATUS_REFUSED);
    change.passphrase = words;
    change.old = once; /* the first one went when the second was given */
    ben.by_login = false;
    assert_int_equal(secret_change(&ben, &change, &error), STATUS_REFUSED);
    kept.now += 10;
    change.old = again;
    good(secret_change(&ben, &change, &error), &error);
    good(secret_prove(&ben, words, &proof, &error), &error);
    assert_int_equal(secret_prove(&ben, again, &proof, &error), STATUS_REFUSED);

    good(secret_reset(&kept.app, "ben", once, &error), &error);
    kept.now += SECRET_ONCE_S;
    change = (struct secret_change){.old = once, .passphrase = "other herons, other weirs"};
    assert_int_equal(secret_change(&ben, &change, &error), STATUS_REFUSED);
    assert_non_null(strstr(error.sentence, "older than 24 hours"));
    store_case_close(&kept);
}

/* ---- what is done behind the program's back ---- */

static void expect_finding(struct store_case *kept, const char *said)
{
    struct text out = {0};
    struct error error = {0};

    if (said == NULL) {
        good(app_verify(&kept->app, &out, &error), &error);
    } else {
        assert_int_equal(app_verify(&kept->app, &out, &error), STATUS_DAMAGED);
        if (strstr(text_string(&out), said) == NULL)
            fail_msg("\"%s\" is not in: %s", said, text_string(&out));
    }
    text_release(&out);
}

static void a_secret_put_there_another_way_is_found_and_proves_nothing(void **state)
{
    struct store_case kept;
    struct error error = {0};
    char once[SECRET_ONCE_SIZE];

    (void)state;
    open_two(&kept, "secret_swapped");
    set_both(&kept);
    good(secret_reset(&kept.app, "ben", once, &error), &error);
    expect_finding(&kept, NULL);
    prove_wrong(&kept, "5555", "is wrong"); /* counts are no secret */
    expect_finding(&kept, NULL);
    /* The string of ben's passphrase, which he knows, under another login. */
    assert_int_equal(kept_raw(kept.path, false,
                              "CREATE TABLE aside AS SELECT * FROM secret; UPDATE secret SET "
                              "passphrase = (SELECT passphrase FROM aside WHERE login = 'ben') "
                              "WHERE login = 'founder'"),
                     SQLITE_OK);
    prove_wrong(&kept, once, "is wrong");
    kept_raw(kept.path, false, "UPDATE secret SET passphrase = pin WHERE login = 'founder'");
    kept.now += 10;
    prove_wrong(&kept, "83057162x", "is wrong");
    kept.now += 10;
    assert_int_equal(kept_raw(kept.path, false,
                              "UPDATE secret SET passphrase = '$argon2id$v=19$"
                              "m=4000000000,t=9,p=1$aaaa$aaaa'"),
                     SQLITE_OK);
    enum proof proof;
    assert_int_equal(prove(&kept, words, &proof, &error), STATUS_DAMAGED);
    kept_raw(kept.path, false,
             "DELETE FROM secret; INSERT INTO secret SELECT * FROM aside; "
             "DROP TABLE aside");
    expect_finding(&kept, NULL);

    kept_raw(kept.path, false, "UPDATE secret SET once_until = NULL WHERE login = 'ben'");
    expect_finding(&kept, "secret of ben: it is not the one");
    kept_raw(kept.path, false, "DELETE FROM secret WHERE login = 'ben'");
    expect_finding(&kept, "secret of ben: it was set, and is not there");
    kept_raw(kept.path, false,
             "INSERT INTO secret SELECT 'eve', passphrase, pin, set_at, "
             "once_until, pin_failures FROM secret");
    expect_finding(&kept, "secret of eve: no row of the log");
    store_case_close(&kept);
}

/* ---- the cost ---- */

/* A clock that goes on by a set time at each look: a hash takes so long. */
struct slow {
    int64_t now_ms, step_ms;
};

static void hash_takes(struct slow *slow, int64_t ms)
{
    slow->step_ms = ms;
}

static int64_t look(void *context)
{
    struct slow *slow = context;

    return slow->now_ms += slow->step_ms;
}

static void stored_cost(const struct store_case *kept, char text[80])
{
    kept_text(kept->path,
              "SELECT substr(passphrase, 1, instr(passphrase, ',p=')) FROM secret "
              "WHERE login = 'founder'",
              text, 80);
}

static void the_cost_follows_the_clock(void **state)
{
    static const struct {
        int step_ms;
        const char *stored;
    } cases[] = {
        {50, "$argon2id$v=19$m=65536,t=10,"},  /* two passes take a fifth of a quarter second */
        {125, "$argon2id$v=19$m=65536,t=4,"},  /* half of it */
        {250, "$argon2id$v=19$m=65536,t=2,"},  /* all of it */
        {500, "$argon2id$v=19$m=32768,t=2,"},  /* twice: half the memory */
        {5000, "$argon2id$v=19$m=19456,t=2,"}, /* never below 19 MiB and 2 passes (OWASP) */
        {0, "$argon2id$v=19$m=65536,t=40,"},   /* a clock that stands still */
    };
    struct slow slow = {0};
    struct store_case kept;
    struct error error = {0};
    char found[80];

    (void)state;
    open_two(&kept, "secret_cost");
    kept.app.clock_ms = look;
    kept.app.clock_context = &slow;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        hash_takes(&slow, cases[i].step_ms);
        kept.app.signed_in_at = kept.now;
        const struct secret_change change = {.passphrase = words};
        good(secret_change(&kept.app, &change, &error), &error);
        stored_cost(&kept, found);
        if (strcmp(found, cases[i].stored) != 0)
            fail_msg("%d ms: %s", cases[i].step_ms, found);
    }
    store_case_close(&kept);
}

static void a_cheap_hash_is_made_anew(void **state)
{
    struct slow slow = {.step_ms = 500};
    struct store_case kept;
    struct error error = {0};
    char found[80];

    (void)state;
    open_two(&kept, "secret_rehash");
    kept.app.clock_ms = look;
    kept.app.clock_context = &slow;
    set_both(&kept);
    hash_takes(&slow, 120); /* quicker, but half as much again is not reached at 32 MiB to 64 */
    prove_right(&kept, pin, PROOF_PIN);
    stored_cost(&kept, found);
    assert_string_equal(found, "$argon2id$v=19$m=32768,t=2,");
    prove_right(&kept, words, PROOF_PASSPHRASE);
    stored_cost(&kept, found);
    assert_string_equal(found, "$argon2id$v=19$m=65536,t=4,");
    assert_int_equal(log_rows(&kept, "secret-set"), 2);
    expect_finding(&kept, NULL);
    hash_takes(&slow, 100); /* t=5: no clear rise */
    prove_right(&kept, words, PROOF_PASSPHRASE);
    stored_cost(&kept, found);
    assert_string_equal(found, "$argon2id$v=19$m=65536,t=4,");
    hash_takes(&slow, 1000); /* slower: stays */
    prove_right(&kept, words, PROOF_PASSPHRASE);
    good(secret_prove(&kept.app, words, &(enum proof){0}, &error), &error);
    stored_cost(&kept, found);
    assert_string_equal(found, "$argon2id$v=19$m=65536,t=4,");
    store_case_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(either_proves_and_neither_is_kept),
        cmocka_unit_test(a_practice_of_one_is_asked_nothing),
        cmocka_unit_test(ten_wrong_pins_close_it_for_every_seat),
        cmocka_unit_test(wrong_passphrases_are_slowed_and_ended),
        cmocka_unit_test(a_right_passphrase_wipes_the_counts),
        cmocka_unit_test(weak_ones_are_refused),
        cmocka_unit_test(weak_pins_are_refused),
        cmocka_unit_test(changing_asks_for_the_old_one),
        cmocka_unit_test(the_only_orthodontist_is_never_locked_out),
        cmocka_unit_test(a_reset_gives_a_passphrase_for_once),
        cmocka_unit_test(a_secret_put_there_another_way_is_found_and_proves_nothing),
        cmocka_unit_test(the_cost_follows_the_clock),
        cmocka_unit_test(a_cheap_hash_is_made_anew),
    };

    return cmocka_run_group_tests_name("secret", tests, NULL, NULL);
}
