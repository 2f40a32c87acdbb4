/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whose name a row carries, and who may do what: the person of this login, or nobody. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "kept_store.h"
#include "springline/app/seat.h"
#include "store_case.h"

static void good(enum status status, const struct error *error)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s: %s", (int)status, error->where, error->sentence);
}

/* A person kept in a save of their own. */
static struct person keep_person(struct store_case *kept, const char *login, const char *name)
{
    struct error error = {0};
    struct app_save save;
    struct person person = {.login = login, .name = name, .role = ROLE_ASSISTANT};
    struct store_request request = {.id = store_new_id(kept->app.store), .command = "people"};

    good(app_save_begin(&kept->app, COMMAND_IMPORT, &request, &save, &error), &error);
    good(store_append(kept->app.store, RECORD_PERSON, &person, &error), &error);
    good(app_save_commit(&save, &error), &error);
    return person;
}

/* The person of the newest row of a kind, as an SQLite of its own reads it: hex, or "-". */
static void newest_person(const struct store_case *kept, const char *table, char *text, size_t size)
{
    char query[200];

    (void)snprintf(query, sizeof query,
                   "SELECT CASE WHEN person IS NULL THEN '-' ELSE hex(person) END FROM %s ORDER BY "
                   "sequence DESC LIMIT 1",
                   table);
    kept_text(kept->path, query, text, size);
}

static void assert_newest_person(const struct store_case *kept, const char *table,
                                 const struct id *person)
{
    char found[100], wanted[ID_TEXT_SIZE];

    newest_person(kept, table, found, sizeof found);
    if (id_is_none(person)) {
        assert_string_equal(found, "-");
        return;
    }
    for (char *at = found; *at != '\0'; at++)
        *at = *at >= 'A' && *at <= 'F' ? (char)(*at - 'A' + 'a') : *at;
    assert_string_equal(found, id_to_text(person, wanted));
}

static void whoever_works_alone_is_not_asked(void **state)
{
    struct store_case kept;
    struct error error = {0};

    (void)state;
    store_case_open(&kept, "person_none", 20600);
    good(app_know_person(&kept.app, &error), &error);
    assert_true(kept.app.alone);
    assert_int_equal(kept.app.role, ROLE_ORTHODONTIST);
    assert_string_equal(app_by(&kept.app), "tester"); /* the founder's name, whatever the login */
    /* Somebody else works here too: from now on the login counts, and this one is nobody's. */
    keep_person(&kept, "other", "Orla Otherhouse");
    good(app_know_person(&kept.app, &error), &error);
    assert_true(id_is_none(&kept.app.person));
    assert_false(kept.app.alone);
    assert_int_equal(kept.app.role, ROLE_NONE);
    assert_string_equal(app_by(&kept.app), "tester"); /* the login */
    kept.app.user = "";
    good(app_know_person(&kept.app, &error), &error);
    assert_string_equal(app_by(&kept.app), "");
    kept.app.user = NULL;
    good(app_know_person(&kept.app, &error), &error);
    assert_string_equal(app_by(&kept.app), "");
    assert_int_equal(kept.app.role, ROLE_NONE);
    kept.app.user = "founder";
    good(app_know_person(&kept.app, &error), &error);
    assert_int_equal(kept.app.role, ROLE_ORTHODONTIST);
    assert_false(kept.app.alone);
    store_case_close(&kept);
}

static void the_person_of_the_login_is_known_and_every_row_says_so(void **state)
{
    struct store_case kept;
    struct case_maker maker;
    struct error error = {0};

    (void)state;
    store_case_open(&kept, "person_known", 20600);
    struct person person = keep_person(&kept, "tester", "Tilda Testingale");
    keep_person(&kept, "TESTER", "Another Name"); /* logins are told apart by case */
    keep_person(&kept, "tester2", "Third Name");
    good(seat_begin(&kept.app, &error), &error); /* as a screen starts */
    assert_true(id_equal(&kept.app.person, &person.head.record));
    assert_string_equal(app_by(&kept.app), "Tilda Testingale");

    case_typical(&maker);
    store_case_keep(&kept, &maker);
    assert_newest_person(&kept, "request", &person.head.record);
    assert_newest_person(&kept, "visit", &person.head.record);
    assert_newest_person(&kept, "casefile", &person.head.record);
    store_case_close(&kept);
}

static void a_corrected_name_is_the_same_person(void **state)
{
    struct store_case kept;
    struct error error = {0};
    struct app_save save;

    (void)state;
    store_case_open(&kept, "person_corrected", 20600);
    struct person person = keep_person(&kept, "tester", "Tilda Testingale");
    struct id record = person.head.record;
    good(app_know_person(&kept.app, &error), &error);
    person.name = "Tilda Newname";
    person.head.reason = "married";
    struct store_request request = {.id = store_new_id(kept.app.store), .command = "people"};
    good(app_save_begin(&kept.app, COMMAND_IMPORT, &request, &save, &error), &error);
    good(store_append(kept.app.store, RECORD_PERSON, &person, &error), &error);
    good(app_save_commit(&save, &error), &error);
    good(app_know_person(&kept.app, &error), &error);
    assert_true(id_equal(&kept.app.person, &record));
    assert_string_equal(app_by(&kept.app), "Tilda Newname");

    request = (struct store_request){.id = store_new_id(kept.app.store), .command = "people"};
    good(app_save_begin(&kept.app, COMMAND_IMPORT, &request, &save, &error), &error);
    good(store_withdraw(kept.app.store, RECORD_PERSON, &person.head.id, "left", &error), &error);
    good(app_save_commit(&save, &error), &error);
    assert_newest_person(&kept, "withdrawal", &record); /* she signed it while she was known */
    good(app_know_person(&kept.app, &error), &error);
    assert_true(id_is_none(&kept.app.person));
    assert_string_equal(app_by(&kept.app), "tester");
    assert_false(kept.app.alone); /* the founder is alone again, and must choose anew */
    store_case_close(&kept);
}

static void two_people_under_one_login_are_nobody(void **state)
{
    struct store_case kept;
    struct error error = {0};

    (void)state;
    store_case_open(&kept, "person_twice", 20600);
    keep_person(&kept, "tester", "Tilda Testingale");
    good(app_know_person(&kept.app, &error), &error);
    assert_string_equal(app_by(&kept.app), "Tilda Testingale");
    /* The store refuses a second one; a file that somebody wrote by hand may hold it. */
    keep_person(&kept, "other", "Tom Testingale");
    assert_int_equal(
        kept_raw(kept.path, true, "UPDATE person SET login = 'tester' WHERE login = 'other'"),
        SQLITE_OK);
    good(app_know_person(&kept.app, &error), &error);
    assert_true(id_is_none(&kept.app.person));
    assert_string_equal(app_by(&kept.app), "tester");
    store_case_close(&kept);
}

/* Nobody writes in another's name. */
static void a_save_carries_who_sits_here(void **state)
{
    struct store_case kept;
    struct error error = {0};
    struct app_save save;

    (void)state;
    store_case_open(&kept, "person_named", 20600);
    struct person tester = keep_person(&kept, "tester", "Tilda Testingale");
    struct person other = keep_person(&kept, "other", "Orla Otherhouse");
    struct store_request request = {
        .id = store_new_id(kept.app.store), .command = "people", .person = other.head.record};
    struct person third = {.login = "third", .name = "Third Name", .role = ROLE_READER};
    good(app_save_begin(&kept.app, COMMAND_IMPORT, &request, &save, &error), &error);
    good(store_append(kept.app.store, RECORD_PERSON, &third, &error), &error);
    good(app_save_commit(&save, &error), &error);
    assert_newest_person(&kept, "person", &tester.head.record);
    store_case_close(&kept);
}

/* The longest name the store takes: 400 characters (schema), here of four bytes each. */
static void the_longest_name_is_kept_whole(void **state)
{
    struct store_case kept;
    struct error error = {0};
    char name[TEXT_CELL_CHARACTERS * 4 + 1];

    (void)state;
    for (size_t i = 0; i < TEXT_CELL_CHARACTERS; i++)
        memcpy(name + i * 4, "\xF0\x90\x8C\xB0", 4); /* U+10330, Gothic ahsa */
    name[sizeof name - 1] = '\0';
    store_case_open(&kept, "person_long", 20600);
    keep_person(&kept, "tester", name);
    good(app_know_person(&kept.app, &error), &error);
    assert_string_equal(app_by(&kept.app), name);
    store_case_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(whoever_works_alone_is_not_asked),
        cmocka_unit_test(the_person_of_the_login_is_known_and_every_row_says_so),
        cmocka_unit_test(a_corrected_name_is_the_same_person),
        cmocka_unit_test(two_people_under_one_login_are_nobody),
        cmocka_unit_test(a_save_carries_who_sits_here),
        cmocka_unit_test(the_longest_name_is_kept_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
