/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One record with its verdict and its history, over a real store: who, when, what was changed and
 * why. The instants are the store's own (one second apart from 2026-06-01T08:00:00Z); the changes
 * are those made here.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "springline/app/case_view.h"
#include "springline/app/sentence.h"
#include "store_case.h"

struct bench {
    struct store_case kept;
    struct case_maker maker;
    struct arena arena;
    struct error error;
    struct case_view view;
    struct text told; /* the lines of the newest telling */
};

static void good(struct bench *bench, enum status status)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s: %s", (int)status, bench->error.where, bench->error.sentence);
}

static void open_bench(struct bench *bench, const char *name)
{
    *bench = (struct bench){.told = {0}};
    case_typical(&bench->maker);
    store_case_open(&bench->kept, name, bench->maker.today);
    store_case_keep(&bench->kept, &bench->maker);
}

static void close_bench(struct bench *bench)
{
    arena_release(&bench->arena);
    text_release(&bench->told);
    store_case_close(&bench->kept);
}

static const struct case_view *view(struct bench *bench, const char *folded)
{
    arena_clear(&bench->arena);
    good(bench, case_view_read(&bench->kept.app, &bench->kept.casefile, folded, &bench->arena,
                               &bench->view, &bench->error));
    return &bench->view;
}

/* The only row that a search finds. */
static const struct case_row *row(struct bench *bench, const char *folded)
{
    assert_int_equal(view(bench, folded)->count, 1);
    return &bench->view.rows[0];
}

static const char *tell(struct bench *bench, enum record_kind kind, const struct id *record)
{
    struct arena arena = {0};
    struct lines lines = {0};

    good(bench, case_view_record(&bench->kept.app, kind, record, &arena, &lines, &bench->error));
    text_clear(&bench->told);
    for (size_t i = 0; i < lines.count; i++)
        text_addf(&bench->told, "%s\n", lines.line[i]);
    arena_release(&arena);
    return text_string(&bench->told);
}

static void assert_told(const struct bench *bench, const char *text)
{
    if (strstr(text_string(&bench->told), text) == NULL)
        fail_msg("not told: %s\n%s", text, text_string(&bench->told));
}

static void begin(struct bench *bench, const char *command, struct app_save *save)
{
    const struct store_request request = {.id = store_new_id(bench->kept.app.store),
                                          .command = command,
                                          .seat = bench->kept.app.seat};

    good(bench, app_save_begin(&bench->kept.app, COMMAND_IMPORT, &request, save, &bench->error));
    good(bench, app_save_touch(save, &bench->kept.casefile, &bench->error));
}

static void sign_in(struct bench *bench)
{
    struct person person = {.login = "tester", .name = "Imelda Testwright", .role = ROLE_ASSISTANT};
    struct app_save save;

    begin(bench, "person", &save);
    good(bench, store_append(bench->kept.app.store, RECORD_PERSON, &person, &bench->error));
    good(bench, app_save_commit(&save, &bench->error));
    good(bench, app_know_person(&bench->kept.app, &bench->error));
}

/* A new version of a width: another value, for a reason. */
static struct id correct_width(struct bench *bench, const char *folded, um value,
                               const char *reason)
{
    struct arena arena = {0};
    struct app_save save;
    struct width width;
    struct id record = row(bench, folded)->id;

    good(bench, store_read_current(bench->kept.app.store, RECORD_WIDTH, &record, &arena, &width,
                                   &bench->error));
    width.value = value;
    width.head.reason = reason;
    begin(bench, "correct", &save);
    good(bench, store_append(bench->kept.app.store, RECORD_WIDTH, &width, &bench->error));
    good(bench, app_save_commit(&save, &bench->error));
    arena_release(&arena);
    return record;
}

static void a_correction_stays_in_the_history(void **state)
{
    struct bench bench;

    (void)state;
    open_bench(&bench, "record_correct");
    sign_in(&bench);
    struct id record = correct_width(&bench, "width 39.00", 38250, "mistyped");
    tell(&bench, RECORD_WIDTH, &record);
    assert_told(&bench, "width of 2026-04-10, case C-0001  Quillfeather, Odalys\n");
    assert_told(&bench, "\nwidth: 38.25 mm\n");
    assert_told(&bench, "history, newest first\nversion 2, 2026-06-01 08:0");
    assert_told(&bench, " UTC, by Imelda Testwright (tester@test), correct: width 39.00 mm -> "
                        "38.25 mm; reason: mistyped\nversion 1, 2026-06-01 08:0");
    assert_told(&bench, "imported from ");
    assert_string_equal(row(&bench, "width 38.25")->mark, "corrected");
    assert_non_null(strstr(row(&bench, "width 38.25")->more, "since 2025-12-03"));
    assert_int_equal(view(&bench, "width 39.00")->count, 0);
    close_bench(&bench);
}

/* Nobody was signed in: the seat is all that is known. */
static void who_works_alone_is_named(void **state)
{
    struct bench bench;

    (void)state;
    open_bench(&bench, "record_seat");
    struct id record = correct_width(&bench, "width 39.00", 38250, "mistyped");
    tell(&bench, RECORD_WIDTH, &record);
    assert_told(&bench, " UTC, by tester (tester@test), correct: width 39.00 mm -> 38.25 mm");
    close_bench(&bench);
}

static void what_was_withdrawn_is_shown_on_demand(void **state)
{
    struct bench bench;
    struct app_save save;
    struct id found;

    (void)state;
    open_bench(&bench, "record_withdraw");
    sign_in(&bench);
    struct id record = row(&bench, "width 39.00")->id;
    struct id current = bench.view.rows[0].row;
    good(&bench, case_view_current(&bench.kept.app, RECORD_WIDTH, &record, &found, &bench.error));
    assert_true(id_equal(&found, &current));
    begin(&bench, "withdraw", &save);
    good(&bench, store_withdraw(bench.kept.app.store, RECORD_WIDTH, &current, "another child's",
                                &bench.error));
    good(&bench, app_save_commit(&save, &bench.error));

    assert_int_equal(view(&bench, "width 39.00")->count, 0);
    const struct case_row *shown = row(&bench, "withdrawn");
    assert_string_equal(shown->mark, "withdrawn");
    assert_non_null(strstr(shown->more, "another child's"));
    assert_non_null(strstr(shown->what, "39.00"));
    assert_true(id_equal(&shown->id, &record));
    assert_int_equal(view(&bench, "withd width")->count, 1);
    assert_int_equal(view(&bench, "withdrawn visit")->count, 0);
    /* And by its day, however it is typed: 52 days before 2026-06-01. */
    assert_string_equal(row(&bench, "width 2026-04-10")->mark, "withdrawn");
    assert_string_equal(row(&bench, "width 20260410")->mark, "withdrawn");
    tell(&bench, RECORD_WIDTH, &record);
    assert_told(&bench, "WITHDRAWN: withdrawn 2026-06-01 ");
    assert_told(&bench, "by Imelda Testwright (tester@test); reason: another child's");
    assert_int_equal(
        case_view_current(&bench.kept.app, RECORD_WIDTH, &record, &found, &bench.error),
        STATUS_NOT_FOUND);
    assert_non_null(strstr(bench.error.sentence, "was withdrawn on 2026-06-01"));
    /* The gain and the change count without it: 40.00 - 36.00. */
    assert_string_equal(row(&bench, "width 40.00")->mark, "+4.00");
    assert_non_null(strstr(row(&bench, "width 40.00")->more, "since 2025-12-03"));
    close_bench(&bench);
}

/* ---- stored verdicts ---- */

/* A visit of today with the verdict of the typical case: a full step. Returns its record. */
static struct id save_visit(struct bench *bench, um amount)
{
    struct arena arena = {0};
    struct judgement judgement;
    struct protocol protocol;
    struct text findings = {0};
    struct app_save save;

    case_judge(&bench->maker, &judgement);
    assert_int_equal(judgement.verdict, VERDICT_PROCEED);
    sentence_findings_json(&findings, &judgement);
    struct visit visit =
        *case_visit(&bench->maker, VISIT_ACTIVATION, ARCH_UPPER, 0, amount, amount);
    visit.head = (struct row_head){0};
    visit.casefile = bench->kept.casefile;
    good(bench, store_read_protocol(bench->kept.app.store, NULL, STORE_NOW, &arena, &protocol,
                                    &bench->error));
    begin(bench, "visit", &save);
    good(bench, store_append(bench->kept.app.store, RECORD_VISIT, &visit, &bench->error));
    struct judged judged = {.visit = visit.head.id,
                            .verdict = VERDICT_PROCEED,
                            .permitted_right = judgement.permitted_right,
                            .permitted_left = judgement.permitted_left,
                            .next_from = case_day(&bench->maker, -21),
                            .next_to = case_day(&bench->maker, -28),
                            .protocol = protocol.head.id,
                            .rules_version = RULES_VERSION,
                            .width_error = protocol.width_error,
                            .findings = text_string(&findings)};
    good(bench, store_append(bench->kept.app.store, RECORD_JUDGED, &judged, &bench->error));
    good(bench, app_save_commit(&save, &bench->error));
    text_release(&findings);
    arena_release(&arena);
    return visit.head.record;
}

static void a_stored_verdict_is_told_with_its_reasons(void **state)
{
    struct bench bench;

    (void)state;
    open_bench(&bench, "record_verdict");
    struct id record = save_visit(&bench, 2000);
    const struct case_row *shown = row(&bench, "visit 20260601");
    assert_string_equal(shown->mark, "PROCEED"); /* stored: not recomputed */
    assert_false(shown->trouble);
    tell(&bench, RECORD_VISIT, &record);
    assert_told(&bench, "verdict stored with version 1: PROCEED, permitted R 2.00 L 2.00 mm; next "
                        "visit 2026-06-22 to 2026-06-29\n");
    assert_told(&bench, "judged by protocol practice version 1, rules version 2, width error 0.30 "
                        "mm\n");
    assert_told(&bench, "The protocol's largest step is 2.00 mm. At most 2.00 mm.\n");
    assert_null(strstr(text_string(&bench.told), "MARKED"));
    assert_null(strstr(text_string(&bench.told), "MORE THAN PERMITTED"));
    close_bench(&bench);
}

static void more_than_permitted_is_told(void **state)
{
    struct bench bench;

    (void)state;
    open_bench(&bench, "record_more");
    struct id record = save_visit(&bench, 2250);
    assert_string_equal(row(&bench, "visit 20260601")->mark, "MORE");
    assert_non_null(strstr(bench.view.rows[0].more, "PROCEED stored, permitted R 2.00 L 2.00; MORE "
                                                    "THAN PERMITTED was given"));
    tell(&bench, RECORD_VISIT, &record);
    assert_told(&bench, "MORE THAN PERMITTED was given");
    close_bench(&bench);
}

/* It turns out that the trainer was lost three days before: no activation without one. */
static void a_verdict_that_stands_no_more_is_marked(void **state)
{
    struct bench bench;
    struct app_save save;

    (void)state;
    open_bench(&bench, "record_marked");
    struct id record = save_visit(&bench, 2000);
    struct arena arena = {0};
    struct trainer trainer;
    struct id trainer_id = row(&bench, "trainer")->id;
    good(&bench, store_read_current(bench.kept.app.store, RECORD_TRAINER, &trainer_id, &arena,
                                    &trainer, &bench.error));
    trainer.ended_on = case_day(&bench.maker, 3);
    trainer.ended_reason = TRAINER_LOST;
    begin(&bench, "trainer", &save);
    good(&bench, store_append(bench.kept.app.store, RECORD_TRAINER, &trainer, &bench.error));
    good(&bench, app_save_commit(&save, &bench.error));
    arena_release(&arena);

    const struct case_row *shown = row(&bench, "visit 20260601");
    assert_string_equal(shown->mark, "now HOLD");
    assert_true(shown->trouble);
    tell(&bench, RECORD_VISIT, &record);
    assert_told(&bench, "verdict stored with version 1: PROCEED");
    assert_told(&bench, "MARKED: ");
    assert_told(&bench, "No trainer is current today");
    close_bench(&bench);
}

/* Nothing stored with an imported visit: worked out, and said so. */
static void an_imported_visit_is_judged_anew(void **state)
{
    struct bench bench;

    (void)state;
    open_bench(&bench, "record_imported");
    const struct case_row *shown = row(&bench, "visit 20260508");
    assert_string_equal(shown->mark, "PROCEED r");
    assert_non_null(strstr(shown->more, "not stored"));
    struct id record = shown->id;
    tell(&bench, RECORD_VISIT, &record);
    assert_told(&bench, "no verdict was stored; by the record and today's limits: PROCEED");
    close_bench(&bench);
}

static void a_record_that_is_not_there_is_told(void **state)
{
    struct bench bench;
    struct arena arena = {0};
    struct lines lines = {0};
    const struct id nothing = {{9}};

    (void)state;
    open_bench(&bench, "record_none");
    assert_int_equal(
        case_view_record(&bench.kept.app, RECORD_WIDTH, &nothing, &arena, &lines, &bench.error),
        STATUS_NOT_FOUND);
    assert_int_not_equal(bench.error.sentence[0], '\0');
    assert_int_equal(
        case_view_read(&bench.kept.app, &nothing, "", &arena, &bench.view, &bench.error),
        STATUS_NOT_FOUND);
    arena_release(&arena);
    close_bench(&bench);
}

/* Every kind of record of a case can be opened. */
static void every_row_can_be_opened(void **state)
{
    struct bench bench;
    size_t opened = 0;

    (void)state;
    open_bench(&bench, "record_every");
    view(&bench, "");
    for (size_t i = 0; i < bench.view.count; i++) {
        const struct case_row *shown = &bench.view.rows[i];
        if (id_is_none(&shown->row))
            continue;
        tell(&bench, shown->record, &shown->id);
        assert_told(&bench, "history, newest first\nversion 1, ");
        opened++;
    }
    /* expander, trainer, three visits, three widths, patient, case */
    assert_int_equal(opened, 10);
    assert_int_equal(view(&bench, "wear day")->count > 60, true);
    close_bench(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_correction_stays_in_the_history),
        cmocka_unit_test(who_works_alone_is_named),
        cmocka_unit_test(what_was_withdrawn_is_shown_on_demand),
        cmocka_unit_test(a_stored_verdict_is_told_with_its_reasons),
        cmocka_unit_test(more_than_permitted_is_told),
        cmocka_unit_test(a_verdict_that_stands_no_more_is_marked),
        cmocka_unit_test(an_imported_visit_is_judged_anew),
        cmocka_unit_test(a_record_that_is_not_there_is_told),
        cmocka_unit_test(every_row_can_be_opened),
    };
    return cmocka_run_group_tests_name("case_record", tests, NULL, NULL);
}
