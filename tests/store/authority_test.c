/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Who may do what, at the app layer: every command by every role against a table written here from
 * the words of the order (the desk books and calls, the assistant prepares a visit, only an
 * orthodontist signs, overrides, changes a protocol or closes a month; common practice, no source),
 * then every form and the visit tried for real. 21 CFR 11.10(d), (g).
 */
#include "form_bench.h"

#include <sqlite3.h>

#include "kept_store.h"
#include "springline/app/authority.h"
#include "springline/app/exchange.h"
#include "springline/app/keep.h"
#include "springline/app/visit.h"

static const char *const logins[ROLE_COUNT] = {"nobody", "ortho", "assist", "desk", "reader"};

/* Everybody who may, a letter each: o a d r, and n for a login that is not among the people. */
static const struct {
    const char *who;
    const char *commands; /* by name, blanks between them */
} wanted[] = {
    {"oadrn", "init help version verify"},
    {"oadn", "backup"},
    {"oadr", "recall audit advise chart plan why case recall-list month caseload settings people "
             "history width-error plan-sheet picture loop-sheet unsigned unsigned-list "
             "since-close month-now secret"},
    {"oad", "contact booking booking-end missed new-patient new-case patient"},
    {"oa", "import visit fit trainer repair out passive check elsewhere width wear tooth-widths "
           "arch-size case-data questions"},
    {"o", "export undo-import override set-aside sign amend close-month erase withdraw make-plan "
          "protocol close add reset"},
    {"or", "write-sheet log log-list"},
};

static bool names(const char *list, const char *name)
{
    size_t length = strlen(name);

    for (const char *at = strstr(list, name); at != NULL; at = strstr(at + 1, name)) {
        if ((at == list || at[-1] == ' ') && (at[length] == ' ' || at[length] == '\0'))
            return true;
    }
    return false;
}

static bool is_wanted(enum command command, enum role role)
{
    static const char letters[ROLE_COUNT] = {'n', 'o', 'a', 'd', 'r'};

    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++) {
        if (names(wanted[i].commands, command_table[command].name))
            return strchr(wanted[i].who, letters[role]) != NULL;
    }
    return false;
}

/* One of each role. */
static void add_people(struct form_bench *bench)
{
    struct store *store = bench->kept.app.store;
    struct store_request request = {.id = store_new_id(store), .command = "people"};
    assert_int_equal(store_begin(store, &request, &bench->error), STATUS_OK);
    for (int role = ROLE_ORTHODONTIST; role < ROLE_COUNT; role++) {
        struct person person = {
            .login = logins[role], .name = word_text(&words_role, role), .role = (enum role)role};
        assert_int_equal(store_append(store, RECORD_PERSON, &person, &bench->error), STATUS_OK);
    }
    assert_int_equal(store_commit(store, &bench->error), STATUS_OK);
}

static void open_practice(struct form_bench *bench, const char *name)
{
    case_typical(&bench->maker);
    form_bench_keep(bench, name);
    add_people(bench);
}

static int64_t refusals(const struct form_bench *bench)
{
    return kept_number(bench->kept.path, "SELECT count(*) FROM access WHERE what = 'refused'");
}

static void every_command_by_every_role(void **state)
{
    struct form_bench bench = {0};
    int64_t refused = 0;
    int asked = 0;

    (void)state;
    open_practice(&bench, "authority_table");
    for (int command = 1; command < COMMAND_COUNT; command++) {
        for (int role = ROLE_NONE; role < ROLE_COUNT; role++) {
            bool may = is_wanted((enum command)command, (enum role)role);
            bench.kept.app.user = logins[role];
            enum status status =
                app_allow(&bench.kept.app, (enum command)command, "C-0001", &bench.error);
            if (status != (may ? STATUS_OK : STATUS_REFUSED))
                fail_msg("%s by %s: status %d", command_table[command].name, logins[role],
                         (int)status);
            refused += !may;
            asked++;
        }
    }
    assert_int_equal(refusals(&bench), refused); /* every one is in the log */
    assert_int_equal(kept_number(bench.kept.path,
                                 "SELECT count(*) FROM access WHERE what = 'refused' AND login = "
                                 "'desk' AND command = 'sign' AND subject = 'C-0001' AND detail = "
                                 "'desk' AND person IS NOT NULL"),
                     1);
    printf("# figure: %d commands by %d roles asked at the app layer, %lld refused and logged\n",
           asked / ROLE_COUNT, ROLE_COUNT, (long long)refused);
    form_bench_close(&bench);
}

/* Names every row of wanted[] there is: a slip in the table above would make a hole. */
static void the_table_here_names_real_commands(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++) {
        for (const char *at = wanted[i].commands; *at != '\0';) {
            size_t length = strcspn(at, " ");
            bool found = false;
            for (int command = 1; command < COMMAND_COUNT; command++)
                found = found || (strlen(command_table[command].name) == length &&
                                  memcmp(command_table[command].name, at, length) == 0);
            if (!found)
                fail_msg("no command is called %.*s", (int)length, at);
            at += length + (at[length] == ' ');
        }
    }
}

/* Every form is refused when it is opened, and, opened by somebody who may, when it is saved by
 * somebody who may not: a role that changes acts at once. */
static void every_form_by_every_role(void **state)
{
    struct form_bench bench = {0};
    int tried = 0;

    (void)state;
    open_practice(&bench, "authority_forms");
    for (int kind = FORM_NEW_PATIENT; kind < FORM_KIND_COUNT; kind++) {
        struct form_subject subject = {.casefile = bench.kept.casefile};
        if (kind == FORM_CORRECT || kind == FORM_WITHDRAW)
            continue; /* by record, below */
        enum command command = authority_form((enum form_kind)kind);
        assert_true(command != COMMAND_NONE);
        for (int role = ROLE_NONE; role < ROLE_COUNT; role++) {
            struct form form;
            bench.kept.app.user = logins[role];
            int64_t before = refusals(&bench);
            enum status status =
                form_open(&bench.kept.app, (enum form_kind)kind, &subject, &form, &bench.error);
            if ((status == STATUS_REFUSED) == is_wanted(command, (enum role)role))
                fail_msg("form %d by %s: status %d, %s", kind, logins[role], (int)status,
                         bench.error.sentence);
            assert_int_equal(refusals(&bench) - before, status == STATUS_REFUSED);
            tried++;
            if (status != STATUS_OK)
                continue;
            bench.kept.app.user = logins[ROLE_READER];
            before = kept_number(bench.kept.path, "SELECT count(*) FROM ledger WHERE kind NOT IN "
                                                  "('access', 'request')");
            assert_int_equal(form_save(&bench.kept.app, &form, "why not", &bench.error),
                             STATUS_REFUSED);
            assert_int_equal(before, kept_number(bench.kept.path,
                                                 "SELECT count(*) FROM ledger WHERE kind NOT IN "
                                                 "('access', 'request')"));
            form_release(&form);
        }
    }
    printf("# figure: %d openings of forms, by every role\n", tried);
    form_bench_close(&bench);
}

static void every_record_is_corrected_by_those_who_write_it(void **state)
{
    static const enum record_kind kinds[] = {RECORD_VISIT, RECORD_EXPANDER, RECORD_WIDTH,
                                             RECORD_TRAINER};
    struct form_bench bench = {0};

    (void)state;
    open_practice(&bench, "authority_records");
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        const struct history *history = form_bench_history(&bench);
        const struct row_head *head = kinds[i] == RECORD_VISIT      ? &history->visits[0].head
                                      : kinds[i] == RECORD_EXPANDER ? &history->expanders[0].head
                                      : kinds[i] == RECORD_WIDTH    ? &history->widths[0].head
                                                                    : &history->trainers[0].head;
        struct form_subject subject = {
            .casefile = bench.kept.casefile, .record = kinds[i], .row = head->id};
        for (int role = ROLE_NONE; role < ROLE_COUNT; role++) {
            struct form form;
            bool writes = role == ROLE_ORTHODONTIST || role == ROLE_ASSISTANT;
            bool withdraws = role == ROLE_ORTHODONTIST || (writes && kinds[i] == RECORD_WIDTH);
            bench.kept.app.user = logins[role];
            enum status status =
                form_open(&bench.kept.app, FORM_CORRECT, &subject, &form, &bench.error);
            assert_int_equal(status, writes ? STATUS_OK : STATUS_REFUSED);
            if (status == STATUS_OK)
                form_release(&form);
            status = form_open(&bench.kept.app, FORM_WITHDRAW, &subject, &form, &bench.error);
            assert_int_equal(status, withdraws ? STATUS_OK : STATUS_REFUSED);
            if (status == STATUS_OK)
                form_release(&form);
        }
    }
    /* What the program keeps of itself is corrected by nobody. */
    for (int kind = RECORD_JUDGED; kind < RECORD_KIND_COUNT; kind++) {
        assert_int_equal(authority_correct((enum record_kind)kind), COMMAND_NONE);
        assert_int_equal(authority_withdraw((enum record_kind)kind), COMMAND_NONE);
    }
    form_bench_close(&bench);
}

/* What a form decides beside what it is for. */
static void decisions_inside_a_form_are_the_orthodontists(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    open_practice(&bench, "authority_decisions");
    bench.kept.app.user = logins[ROLE_ASSISTANT];
    form_bench_open(&bench, FORM_CASE);
    form_bench_fill(&bench, "clinician", "orthodontist");
    form_bench_save(&bench, "another clinician"); /* an assistant writes the case's data */
    form_bench_open(&bench, FORM_CASE);
    struct form_field *protocol = form_bench_field(&bench, "protocol");
    assert_non_null(protocol);
    form_bench_fill(&bench, "protocol", STORE_PRACTICE_PROTOCOL);
    assert_int_equal(form_save(&bench.kept.app, &bench.form, "its own limits", &bench.error),
                     STATUS_REFUSED);
    assert_non_null(strstr(bench.error.sentence, "this is for an orthodontist to do"));
    form_bench_close(&bench);
}

/* A recorded wound holds; whoever takes it back lifts the hold. */
static void a_wound_is_taken_back_by_the_orthodontist(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    bench.maker.visits[1].tissue = TISSUE_WOUND;
    form_bench_keep(&bench, "authority_wound");
    add_people(&bench);
    const struct history *history = form_bench_history(&bench);
    const struct visit *visit = NULL;
    for (size_t i = 0; i < history->visit_count; i++) {
        if (history->visits[i].tissue == TISSUE_WOUND)
            visit = &history->visits[i];
    }
    assert_non_null(visit);
    struct form_subject subject = {
        .casefile = bench.kept.casefile, .record = RECORD_VISIT, .row = visit->head.id};
    for (int role = ROLE_ASSISTANT; role >= ROLE_ORTHODONTIST; role--) {
        bench.kept.app.user = logins[role];
        form_release(&bench.form);
        assert_int_equal(
            form_open(&bench.kept.app, FORM_CORRECT, &subject, &bench.form, &bench.error),
            STATUS_OK);
        form_bench_fill(&bench, "tissue", "0");
        enum status status =
            form_save(&bench.kept.app, &bench.form, "read from another chart", &bench.error);
        assert_int_equal(status, role == ROLE_ORTHODONTIST ? STATUS_OK : STATUS_REFUSED);
    }
    form_bench_close(&bench);
}

static void an_import_a_copy_and_an_undo_by_every_role(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    open_practice(&bench, "authority_keep");
    for (int role = ROLE_NONE; role < ROLE_COUNT; role++) {
        struct import *import = NULL;
        struct exchange_totals totals;
        struct text out = {0};
        char path[300];
        bool imports = role == ROLE_ORTHODONTIST || role == ROLE_ASSISTANT;

        bench.kept.app.user = logins[role];
        enum status status =
            import_begin(&bench.kept.app, "a file", NULL, NULL, &import, &bench.error);
        assert_int_equal(status, imports ? STATUS_OK : STATUS_REFUSED);
        if (status == STATUS_OK)
            assert_int_equal(import_end(import, false, &totals, &bench.error), STATUS_OK);
        status = keep_undo_import(&bench.kept.app, "@4", &out, &bench.error);
        assert_int_equal(status == STATUS_REFUSED, role != ROLE_ORTHODONTIST);
        (void)snprintf(path, sizeof path, "%s.copy%d", bench.kept.path, role);
        status = keep_backup(&bench.kept.app, path, &out, &bench.error);
        assert_int_equal(status, role == ROLE_READER ? STATUS_REFUSED : STATUS_OK);
        (void)remove(path);
        (void)snprintf(path, sizeof path, "%s.copy%d.manifest", bench.kept.path, role);
        (void)remove(path);
        text_release(&out);
    }
    form_bench_close(&bench);
}

static void a_visit_is_opened_by_who_may_save_it(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    open_practice(&bench, "authority_visit");
    for (int role = ROLE_NONE; role < ROLE_COUNT; role++) {
        struct visit_sheet sheet;
        bool may = role == ROLE_ORTHODONTIST || role == ROLE_ASSISTANT;

        bench.kept.app.user = logins[role];
        enum status status =
            visit_open(&bench.kept.app, &bench.kept.casefile, &sheet, &bench.error);
        assert_int_equal(status, may ? STATUS_OK : STATUS_REFUSED);
        if (status == STATUS_OK)
            visit_release(&sheet);
    }
    form_bench_close(&bench);
}

/* Somebody who left, or was given less to do, is stopped in the middle of what is open. */
static void a_change_of_role_acts_at_once(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    open_practice(&bench, "authority_at_once");
    bench.kept.app.user = logins[ROLE_ASSISTANT];
    form_bench_open(&bench, FORM_WIDTH);
    assert_int_equal(
        kept_raw(bench.kept.path, true, "UPDATE person SET role = 'reader' WHERE login = 'assist'"),
        SQLITE_OK);
    assert_int_equal(form_save(&bench.kept.app, &bench.form, "", &bench.error), STATUS_REFUSED);
    assert_non_null(strstr(bench.error.sentence, "recorded here as reader"));
    assert_int_equal(
        kept_raw(bench.kept.path, true, "UPDATE person SET login = 'gone' WHERE login = 'assist'"),
        SQLITE_OK);
    assert_int_equal(form_save(&bench.kept.app, &bench.form, "", &bench.error), STATUS_REFUSED);
    assert_non_null(strstr(bench.error.sentence, "not among the people"));
    form_bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_command_by_every_role),
        cmocka_unit_test(the_table_here_names_real_commands),
        cmocka_unit_test(every_form_by_every_role),
        cmocka_unit_test(every_record_is_corrected_by_those_who_write_it),
        cmocka_unit_test(decisions_inside_a_form_are_the_orthodontists),
        cmocka_unit_test(a_wound_is_taken_back_by_the_orthodontist),
        cmocka_unit_test(an_import_a_copy_and_an_undo_by_every_role),
        cmocka_unit_test(a_visit_is_opened_by_who_may_save_it),
        cmocka_unit_test(a_change_of_role_acts_at_once),
    };
    return cmocka_run_group_tests_name("authority", tests, NULL, NULL);
}
