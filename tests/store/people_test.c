/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What always holds of the people: there is an orthodontist; a login belongs to one person for good
 * (45 CFR 164.312(a)(2)(i)); working alone ends for good when somebody else is entered. And the log
 * that tells of them (45 CFR 164.312(b)).
 */
#include "form_bench.h"

#include <sqlite3.h>

#include "kept_store.h"
#include "springline/app/authority.h"
#include "springline/app/keep.h"
#include "springline/app/lists_log.h"
#include "springline/app/lists_settings.h"
#include "springline/app/secret.h"

static void open_bench(struct form_bench *bench, const char *name)
{
    *bench = (struct form_bench){0};
    case_begin(&bench->maker);
    form_bench_keep(bench, name);
    bench->kept.app.user = "founder";
    assert_int_equal(app_know_person(&bench->kept.app, &bench->error), STATUS_OK);
}

static void fill_person(struct form_bench *bench, const char *login, const char *name,
                        const char *role)
{
    form_bench_open(bench, FORM_PERSON);
    form_bench_fill(bench, "login", login);
    form_bench_fill(bench, "name", name);
    form_bench_fill(bench, "role", role);
}

static void enter_person(struct form_bench *bench, const char *login, const char *name,
                         const char *role)
{
    fill_person(bench, login, name, role);
    form_bench_save(bench, "");
}

/* The current row of whoever has the login. */
static struct id row_of(struct form_bench *bench, const char *login)
{
    struct person probe = {.login = login}, found;

    arena_clear(&bench->arena);
    if (store_find_same_key(bench->kept.app.store, RECORD_PERSON, &probe, &bench->arena, &found,
                            &bench->error) != STATUS_OK)
        fail_msg("nobody has the login %s", login);
    return found.head.id;
}

static void open_person(struct form_bench *bench, const char *login)
{
    const struct id row = row_of(bench, login);

    form_bench_open_row(bench, FORM_PERSON, &row, SETTING_NONE);
}

static void open_leaving(struct form_bench *bench, const char *login)
{
    const struct form_subject subject = {.record = RECORD_PERSON, .row = row_of(bench, login)};

    form_release(&bench->form);
    if (form_open(&bench->kept.app, FORM_WITHDRAW, &subject, &bench->form, &bench->error) !=
        STATUS_OK)
        fail_msg("%s", bench->error.sentence);
}

static int64_t number(const struct form_bench *bench, const char *sql)
{
    return kept_number(bench->kept.path, sql);
}

static void there_is_always_an_orthodontist(void **state)
{
    struct form_bench bench;

    (void)state;
    open_bench(&bench, "people_last");
    enter_person(&bench, "ben", "Ben Benchworth", "assistant");
    open_person(&bench, "founder");
    form_bench_fill(&bench, "role", "desk");
    form_bench_refused(&bench, "There is always an orthodontist");
    open_person(&bench, "founder");
    form_bench_fill(&bench, "login", "somebody");
    form_bench_refused(&bench, "The only orthodontist keeps the login");
    open_leaving(&bench, "founder");
    form_bench_refused(&bench, "There is always an orthodontist");
    /* With a second one all three may be. */
    enter_person(&bench, "ada", "Dr Ada Example", "orthodontist");
    open_person(&bench, "founder");
    form_bench_fill(&bench, "login", "first");
    form_bench_says(&bench, "The passphrase and PIN of founder do not go along");
    form_bench_save(&bench, "a new account");
    bench.kept.app.user = "ada";
    open_person(&bench, "first");
    form_bench_fill(&bench, "role", "reader");
    form_bench_says(&bench, "The role acts at once");
    form_bench_save(&bench, "works elsewhere");
    open_leaving(&bench, "ada");
    form_bench_refused(&bench, "There is always an orthodontist");
    form_bench_close(&bench);
}

/* The same under every other door: whoever writes, a save without an orthodontist is none. */
static void no_save_leaves_the_practice_without_one(void **state)
{
    struct form_bench bench;
    struct app_save save;
    struct person same, founder = {.login = "founder"};

    (void)state;
    open_bench(&bench, "people_save");
    enter_person(&bench, "ben", "Ben Benchworth", "assistant");
    struct store *store = bench.kept.app.store;
    for (int leaves = 0; leaves <= 1; leaves++) {
        struct store_request request = {.id = store_new_id(store), .command = "people"};
        struct arena arena = {0};
        assert_int_equal(
            app_save_begin(&bench.kept.app, COMMAND_ADD, &request, &save, &bench.error), STATUS_OK);
        assert_int_equal(
            store_find_same_key(store, RECORD_PERSON, &founder, &arena, &same, &bench.error),
            STATUS_OK);
        same.role = ROLE_READER;
        same.head.reason = "trying it";
        if (leaves == 1)
            assert_int_equal(
                store_withdraw(store, RECORD_PERSON, &same.head.id, "leaves", &bench.error),
                STATUS_OK);
        else
            assert_int_equal(store_append(store, RECORD_PERSON, &same, &bench.error), STATUS_OK);
        assert_int_equal(app_save_commit(&save, &bench.error), STATUS_INPUT);
        assert_non_null(strstr(bench.error.sentence, "No orthodontist would be left"));
        arena_release(&arena);
    }
    assert_int_equal(number(&bench, "SELECT count(*) FROM person_current WHERE role = "
                                    "'orthodontist'"),
                     1);
    form_bench_close(&bench);
}

static void a_login_is_never_given_again(void **state)
{
    struct form_bench bench;
    struct app_save save;

    (void)state;
    open_bench(&bench, "people_login");
    enter_person(&bench, "ben", "Ben Benchworth", "assistant");
    open_leaving(&bench, "ben");
    form_bench_says(&bench, "nobody else ever gets the login ben");
    form_bench_save(&bench, "works elsewhere now");
    fill_person(&bench, "ben", "Benedict Otherhouse", "desk");
    form_bench_refused(&bench, "The login ben is or was that of Ben Benchworth");
    /* One that was changed, too; its own person may have it back. */
    enter_person(&bench, "cleo", "Cleo Clinicall", "desk");
    open_person(&bench, "cleo");
    form_bench_fill(&bench, "login", "clio");
    form_bench_save(&bench, "a slip");
    fill_person(&bench, "cleo", "Cleo Secondly", "desk");
    form_bench_refused(&bench, "The login cleo is or was that of Cleo Clinicall");
    open_person(&bench, "clio");
    form_bench_fill(&bench, "login", "ben");
    form_bench_refused(&bench, "is or was that of Ben Benchworth");
    open_person(&bench, "clio");
    form_bench_fill(&bench, "login", "cleo");
    form_bench_save(&bench, "it was none");
    /* And past the forms. */
    struct person again = {.login = "ben", .name = "Benedict Otherhouse", .role = ROLE_DESK};
    struct store_request request = {.id = store_new_id(bench.kept.app.store), .command = "people"};
    assert_int_equal(app_save_begin(&bench.kept.app, COMMAND_ADD, &request, &save, &bench.error),
                     STATUS_OK);
    assert_int_equal(store_append(bench.kept.app.store, RECORD_PERSON, &again, &bench.error),
                     STATUS_OK);
    assert_int_equal(app_save_commit(&save, &bench.error), STATUS_INPUT);
    assert_non_null(strstr(bench.error.sentence, "never given to another person"));
    form_bench_close(&bench);
}

static void working_alone_ends_for_good(void **state)
{
    struct form_bench bench;

    (void)state;
    open_bench(&bench, "people_alone");
    assert_true(bench.kept.app.alone);
    fill_person(&bench, "ben", "Ben Benchworth", "assistant");
    assert_null(form_bench_field(&bench, "works alone"));
    form_bench_says(&bench, "Until now nobody was asked here who they are. From now on everybody");
    form_bench_says(&bench, "You, tester, have no PIN yet: set one in the day's menu, s, or you "
                            "can sign nothing");
    form_bench_says(&bench, "Ben Benchworth comes in with that login of this machine, or with a "
                            "one-time passphrase");
    form_bench_save(&bench, "");
    assert_false(bench.kept.app.alone);
    assert_int_equal(bench.kept.app.role, ROLE_ORTHODONTIST);
    /* It does not come back by itself when the other leaves; it is chosen again. */
    open_leaving(&bench, "ben");
    form_bench_save(&bench, "works elsewhere now");
    assert_int_equal(app_know_person(&bench.kept.app, &bench.error), STATUS_OK);
    assert_false(bench.kept.app.alone);
    open_person(&bench, "founder");
    form_bench_fill(&bench, "works alone", "yes");
    form_bench_says(&bench, "From now on nobody is asked who they are");
    form_bench_save(&bench, "alone again");
    assert_true(bench.kept.app.alone);
    form_bench_close(&bench);
}

static void whoever_works_alone_is_not_shut_out_by_it(void **state)
{
    struct form_bench bench;

    (void)state;
    open_bench(&bench, "people_shut");
    bench.kept.app.user = "machine"; /* nobody asked for it so far */
    fill_person(&bench, "ben", "Ben Benchworth", "assistant");
    form_bench_refused(&bench, "you come with the login machine, and yours is recorded as founder");
    open_person(&bench, "founder");
    form_bench_fill(&bench, "works alone", "no");
    form_bench_refused(&bench, "first change your own");
    open_person(&bench, "founder");
    form_bench_fill(&bench, "login", "machine");
    form_bench_save(&bench, "the account of this machine");
    enter_person(&bench, "ben", "Ben Benchworth", "assistant");
    assert_int_equal(bench.kept.app.role, ROLE_ORTHODONTIST);
    form_bench_close(&bench);
}

static void people_are_an_orthodontists(void **state)
{
    struct form_bench bench;
    struct form form;
    const struct form_subject none = {.record = RECORD_PERSON};

    (void)state;
    open_bench(&bench, "people_rights");
    enter_person(&bench, "ben", "Ben Benchworth", "assistant");
    const struct form_subject founder = {.record = RECORD_PERSON, .row = row_of(&bench, "founder")};
    bench.kept.app.user = "ben";
    assert_int_equal(form_open(&bench.kept.app, FORM_PERSON, &none, &form, &bench.error),
                     STATUS_REFUSED);
    assert_int_equal(form_open(&bench.kept.app, FORM_PERSON, &founder, &form, &bench.error),
                     STATUS_REFUSED);
    assert_int_equal(form_open(&bench.kept.app, FORM_WITHDRAW, &founder, &form, &bench.error),
                     STATUS_REFUSED);
    form_bench_close(&bench);
}

/* ---- the log ---- */

static void log_about(struct form_bench *bench, enum access_what what, const char *login,
                      const char *detail)
{
    const struct log_entry entry = {.what = what, .login = login, .detail = detail};

    assert_int_equal(app_log(&bench->kept.app, &entry, &bench->error), STATUS_OK);
}

static size_t log_count(struct form_bench *bench, const char *folded, day from, day to, size_t most,
                        struct log_list *list)
{
    const struct log_asked asked = {.from = from, .to = to, .folded = folded, .most = most};

    arena_clear(&bench->arena);
    if (lists_log(&bench->kept.app, &asked, &bench->arena, list, &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
    return list->count;
}

static void the_log_is_read_newest_first_and_searched(void **state)
{
    struct form_bench bench;
    struct log_list list;

    (void)state;
    open_bench(&bench, "people_log");
    enter_person(&bench, "ben", "Ben Benchworth", "assistant");
    enter_person(&bench, "rea", "Rea Readwell", "reader");
    log_about(&bench, ACCESS_SIGNED_IN, "ben", "login of the machine");
    const day first = instant_day(bench.kept.now);
    bench.kept.now += 2 * SECONDS_OF_DAY;
    log_about(&bench, ACCESS_SIGN_IN_FAILED, "ben", "PIN, wrong try 1 of 10");
    bench.kept.now += 2 * SECONDS_OF_DAY;
    log_about(&bench, ACCESS_EXPORTED, "founder", "12 patients");
    assert_int_equal(log_count(&bench, "", DAY_NONE, DAY_NONE, 0, &list), 3);
    assert_string_equal(list.rows[0].what, "exported");
    assert_string_equal(list.rows[0].person, "tester"); /* the founder's name */
    assert_string_equal(list.rows[0].seat, "tester@test");
    assert_string_equal(list.rows[2].what, "signed-in");
    assert_string_equal(list.rows[2].login, "ben");
    assert_int_equal(log_count(&bench, "", DAY_NONE, DAY_NONE, 2, &list), 2);
    assert_true(list.more);
    assert_int_equal(log_count(&bench, "wrong ben", DAY_NONE, DAY_NONE, 0, &list), 1);
    assert_int_equal(log_count(&bench, "", first + 1, first + 3, 0, &list), 1);
    assert_string_equal(list.rows[0].what, "sign-in-failed");
    assert_int_equal(log_count(&bench, "", first, first, 0, &list), 1);
    assert_int_equal(log_count(&bench, "", first + 5, DAY_NONE, 0, &list), 0);
    bench.kept.app.user = "rea";
    assert_int_equal(log_count(&bench, "", DAY_NONE, DAY_NONE, 0, &list), 3);
    bench.kept.app.user = "ben";
    const struct log_asked asked = {.from = DAY_NONE, .to = DAY_NONE, .folded = ""};
    assert_int_equal(lists_log(&bench.kept.app, &asked, &bench.arena, &list, &bench.error),
                     STATUS_REFUSED);
    assert_int_equal(list.count, 0);
    assert_int_equal(number(&bench, "SELECT count(*) FROM access WHERE what = 'refused'"), 1);
    form_bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(there_is_always_an_orthodontist),
        cmocka_unit_test(no_save_leaves_the_practice_without_one),
        cmocka_unit_test(a_login_is_never_given_again),
        cmocka_unit_test(working_alone_ends_for_good),
        cmocka_unit_test(whoever_works_alone_is_not_shut_out_by_it),
        cmocka_unit_test(people_are_an_orthodontists),
        cmocka_unit_test(the_log_is_read_newest_first_and_searched),
    };

    return cmocka_run_group_tests_name("people", tests, NULL, NULL);
}
