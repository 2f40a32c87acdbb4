/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Signing, the list of what waits, and the verification of signatures while memory runs out, at
 * every allocation: done whole or not at all, told in one sentence, and tried again with success.
 */
#include "form_bench.h"

#include <sqlite3.h>

#include "kept_store.h"
#include "memory_fault.h"
#include "springline/app/lists_unsigned.h"
#include "springline/app/sign.h"
#include "team.h"

static void good(enum status status, const struct error *error)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s: %s", (int)status, error->where, error->sentence);
}

/* A check that Dr Ada has not signed yet. */
static struct id open_unsigned(struct form_bench *bench, const char *name)
{
    struct arena arena = {0};
    struct unsigned_list list;

    case_typical(&bench->maker);
    form_bench_keep(bench, name);
    team_join(&bench->kept);
    form_bench_open(bench, FORM_CHECK);
    form_bench_fill(bench, "kind", "2");
    form_bench_fill(bench, "date", "");
    form_bench_save(bench, "");
    good(lists_unsigned(&bench->kept.app, "", &arena, &list, &bench->error), &bench->error);
    assert_int_equal(list.count, 1);
    struct id row = list.rows[0].row;
    arena_release(&arena);
    return row;
}

static void is_memory(const struct form_bench *bench, enum status status, long nth)
{
    if (status != STATUS_NO_MEMORY && status != STATUS_UNUSABLE)
        fail_msg("allocation %ld: status %d: %s", nth, (int)status, bench->error.sentence);
    assert_true(strlen(bench->error.sentence) > 10);
}

/* One try: signs inside a save of its own, whose beginning and end do not fail. */
static enum status sign_once(struct form_bench *bench, const struct id *row, long nth, bool forever,
                             long *failed)
{
    struct app *app = &bench->kept.app;
    struct store_request request = {.id = store_new_id(app->store), .command = "sign"};
    struct app_save save;
    bool is_signed = false;

    bench->error = (struct error){0};
    good(app_save_begin(app, COMMAND_SIGN, &request, &save, &bench->error), &bench->error);
    memory_arm(nth, forever);
    enum status status = sign_saved(app, row, PROOF_PIN, &is_signed, &bench->error);
    *failed = memory_disarm();
    assert_true(is_signed == (status == STATUS_OK));
    if (status != STATUS_OK || *failed > 0) { /* SQLite can do without some of it */
        app_save_drop(&save);
        return status;
    }
    good(app_save_commit(&save, &bench->error), &bench->error);
    return status;
}

static void it_is_signed_or_it_is_not(void **state)
{
    struct form_bench bench = {0};
    long trials = 0;

    (void)state;
    for (int forever = 0; forever <= 1; forever++) {
        struct id row = open_unsigned(&bench, forever == 1 ? "sign_memory_on" : "sign_memory");
        long failed = 1;
        for (long nth = 1; failed > 0; nth++) {
            enum status status = sign_once(&bench, &row, nth, forever == 1, &failed);
            if (failed == 0)
                break;
            if (status != STATUS_OK)
                is_memory(&bench, status, nth);
            trials++;
            store_case_reopen(&bench.kept);
            assert_int_equal(kept_number(bench.kept.path, "SELECT count(*) FROM signature"), 0);
        }
        assert_int_equal(kept_number(bench.kept.path, "SELECT count(*) FROM signature"), 1);
        form_bench_close(&bench);
        bench = (struct form_bench){0};
    }
    print_message("# figure: signing with memory that ran out at %ld places: whole or not at all\n",
                  trials);
    assert_true(trials > 10);
}

static void the_list_and_the_verification_say_so(void **state)
{
    struct form_bench bench = {0};
    long trials = 0;

    (void)state;
    (void)open_unsigned(&bench, "sign_memory_list");
    for (int what = 0; what <= 1; what++) {
        long failed = 1;
        for (long nth = 1; failed > 0; nth++) {
            struct arena arena = {0};
            struct unsigned_list list = {0};
            struct text findings = {0};
            int64_t count;

            bench.error = (struct error){0};
            memory_arm(nth, false);
            enum status status =
                what == 0 ? lists_unsigned(&bench.kept.app, "", &arena, &list, &bench.error)
                          : store_verify_signatures(bench.kept.app.store, &findings, &count,
                                                    &bench.error);
            failed = memory_disarm();
            if (status == STATUS_OK)
                assert_int_equal(list.count, what == 0 ? 1 : 0);
            else
                is_memory(&bench, status, nth);
            trials += failed > 0;
            arena_release(&arena);
            text_release(&findings);
            if (status == STATUS_UNUSABLE)
                store_case_reopen(&bench.kept);
        }
    }
    assert_true(trials > 20);
    form_bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_is_signed_or_it_is_not),
        cmocka_unit_test(the_list_and_the_verification_say_so),
    };
    return cmocka_run_group_tests(tests, memory_install, NULL);
}
