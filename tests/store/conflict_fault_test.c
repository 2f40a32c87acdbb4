/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Two seats and one record while memory runs out: at every allocation of noticing it, of putting
 * both side by side, of going on over the newer record. What was typed is neither lost nor another,
 * what the other seat saved is not overwritten, and the same form goes on. The example data is
 * invented.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kept_store.h"
#include "memory_fault.h"
#include "springline/app/conflict.h"
#include "store_case.h"

enum phase { PHASE_NOTICE, PHASE_READ, PHASE_SETTLE, PHASES };

static const char *const phase_names[] = {"notice", "read", "settle"};

struct trial {
    struct store_case kept;
    struct form form;
    struct conflict conflict;
    struct error error;
    long failed;
};

static void type(struct app *app, struct form *form, const char *label, const char *typed)
{
    char sentence[200];

    for (int i = 0; i < form->field_count; i++) {
        if (strcmp(form->fields[i].label, label) == 0)
            assert_int_equal(form_enter(app, form, i, typed, sentence), ENTRY_TAKEN);
    }
}

static const char *entered(const struct form *form, const char *label)
{
    for (int i = 0; i < form->field_count; i++) {
        if (strcmp(form->fields[i].label, label) == 0)
            return form->fields[i].entered;
    }
    return "";
}

static void open_patient(struct trial *trial, struct app *app, struct form *form)
{
    struct form_subject subject = {.casefile = trial->kept.casefile};

    if (form_open(app, FORM_PATIENT, &subject, form, &trial->error) != STATUS_OK)
        fail_msg("%s", trial->error.sentence);
}

/* A copy of the store, in which another seat has changed the given name and the telephone since the
 * form was opened, and the form the telephone and the guardian. */
static void begin(struct trial *trial, const struct store_case *start)
{
    struct form theirs;
    char path[400];

    *trial = (struct trial){.kept = *start};
    kept_path(path, "conflict_fault_copy");
    snprintf(trial->kept.path, sizeof trial->kept.path, "%.250s", path);
    trial->kept.source.context = &trial->kept;
    kept_copy(start->path, trial->kept.path);
    assert_int_equal(
        store_open(trial->kept.path, &trial->kept.source, &trial->kept.app.store, &trial->error),
        STATUS_OK);
    open_patient(trial, &trial->kept.app, &trial->form);
    type(&trial->kept.app, &trial->form, "guardian", "Wilma");
    type(&trial->kept.app, &trial->form, "telephone", "555");
    assert_int_equal(form_put_draft(&trial->kept.app, &trial->form, &trial->error), STATUS_OK);
    struct app other = trial->kept.app;
    other.user = "other";
    other.seat = "other@pts/9";
    open_patient(trial, &other, &theirs);
    type(&other, &theirs, "given name", "Odalis");
    type(&other, &theirs, "telephone", "777");
    assert_int_equal(form_save(&other, &theirs, "spelled out", &trial->error), STATUS_OK);
    form_release(&theirs);
}

/* What failed said so, in one sentence, and the form holds what was typed. */
static void failed(struct trial *trial, enum status status, long nth)
{
    if (status != STATUS_NO_MEMORY && status != STATUS_UNUSABLE)
        fail_msg("%ld: status %d: %s", nth, (int)status, trial->error.sentence);
    assert_true(strlen(trial->error.sentence) > 10);
    assert_string_equal(entered(&trial->form, "telephone"), "555");
    assert_string_equal(entered(&trial->form, "guardian"), "Wilma");
    store_case_reopen(&trial->kept);
}

/* One step, during which the nth allocation fails if it is the phase's; then once more without. */
static void step(struct trial *trial, enum phase now, enum phase phase, long nth, bool forever)
{
    struct app *app = &trial->kept.app;

    for (int attempt = 0; attempt < 2; attempt++) {
        enum status status, wanted = now == PHASE_NOTICE ? STATUS_CONFLICT : STATUS_OK;
        if (now == phase && attempt == 0)
            memory_arm(nth, forever);
        if (now == PHASE_NOTICE)
            status = form_save(app, &trial->form, "read from the card", &trial->error);
        else if (now == PHASE_READ)
            status = conflict_read(app, &trial->form, &trial->conflict, &trial->error);
        else
            status = conflict_settle(app, &trial->form, &trial->conflict, &trial->error);
        if (now == phase && attempt == 0)
            trial->failed = memory_disarm();
        if (status == wanted)
            return;
        if (attempt > 0)
            fail_msg("%s %ld: status %d: %s", phase_names[now], nth, (int)status,
                     trial->error.sentence);
        failed(trial, status, nth);
    }
}

/* whole: the ledger is walked too. */
static void is_saved(struct trial *trial, bool whole)
{
    struct arena arena = {0};
    struct history history;
    struct text findings = {0};

    assert_int_equal(store_read_case(trial->kept.app.store, &trial->kept.casefile, STORE_NOW,
                                     &arena, &history, &trial->error),
                     STATUS_OK);
    assert_string_equal(history.patient->given, "Odalis");
    assert_string_equal(history.patient->guardian, "Wilma");
    assert_string_equal(history.patient->phone, "555");
    assert_int_equal(history.patient->head.version, 3);
    arena_release(&arena);
    assert_int_equal(kept_number(trial->kept.path, "SELECT count(*) FROM draft"), 0);
    if (whole && app_verify(&trial->kept.app, &findings, &trial->error) != STATUS_OK)
        fail_msg("%s %s", trial->error.sentence, text_string(&findings));
    text_release(&findings);
}

/* What memory kept from being typed over the newer record stands there as not right yet, and is
 * typed again: it is refused, never left out. */
static void type_what_is_wrong(struct trial *trial)
{
    static const char *const typed[][2] = {{"guardian", "Wilma"}, {"telephone", "555"}};

    for (int i = 0; i < trial->form.field_count; i++) {
        for (size_t j = 0; j < sizeof typed / sizeof typed[0]; j++) {
            if (trial->form.fields[i].wrong &&
                strcmp(trial->form.fields[i].label, typed[j][0]) == 0)
                type(&trial->kept.app, &trial->form, typed[j][0], typed[j][1]);
        }
    }
}

static long run(const struct store_case *start, enum phase phase, long nth, bool forever)
{
    struct trial trial;

    begin(&trial, start);
    step(&trial, PHASE_NOTICE, phase, nth, forever);
    step(&trial, PHASE_READ, phase, nth, forever);
    for (int i = conflict_open_field(&trial.conflict); i < trial.conflict.field_count;
         i = conflict_open_field(&trial.conflict))
        conflict_decide(&trial.conflict, i, TAKE_MINE);
    step(&trial, PHASE_SETTLE, phase, nth, forever);
    conflict_release(&trial.conflict);
    type_what_is_wrong(&trial);
    if (form_save(&trial.kept.app, &trial.form, "read from the card", &trial.error) != STATUS_OK)
        fail_msg("%s %ld: %s", phase_names[phase], nth, trial.error.sentence);
    is_saved(&trial, nth % 16 == 1);
    form_release(&trial.form);
    store_case_close(&trial.kept);
    return trial.failed;
}

static long next_allocation(long nth)
{
    if (getenv("SPRINGLINE_EVERY_BYTE") != NULL || nth < 20)
        return 1;
    return nth < 300 ? 31 : 151;
}

static void nothing_is_lost_without_memory(void **state)
{
    struct store_case start;
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    store_case_open(&start, "conflict_fault", maker.today);
    store_case_keep(&start, &maker);
    store_close(start.app.store);
    start.app.store = NULL;
    for (int phase = 0; phase < PHASES; phase++) {
        for (int forever = 0; forever <= 1; forever++) {
            long trials = 0;
            for (long nth = 1; run(&start, (enum phase)phase, nth, forever == 1) > 0;
                 nth += next_allocation(nth))
                trials++;
            print_message("# %s %s: %ld trials\n", phase_names[phase],
                          forever == 1 ? "for ever" : "once", trials);
            if (MEMORY_OWN_MALLOC)
                assert_true(trials > 3);
        }
    }
    store_case_close(&start);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_is_lost_without_memory),
    };

    return cmocka_run_group_tests(tests, memory_install, NULL);
}
