/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Forms that are filled in while something fails: what is typed, the store each trial begins from,
 * and what must hold after the save. Included by one file of a test program. The example data is
 * invented.
 */
#ifndef SPRINGLINE_TESTS_FORM_TRIAL_H
#define SPRINGLINE_TESTS_FORM_TRIAL_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kept_store.h"
#include "springline/app/form.h"
#include "store_case.h"

/* ---- the forms ---- */

struct typed {
    const char *label, *text;
};

/* A lower expander from separators to fit, the health questions, a booking of the day, an alert. */
static const struct typed fit_typed[] = {{"arch", "2"},
                                         {"separators on", "0518"},
                                         {"bands on", "0525"},
                                         {"teeth", ""},
                                         {"band size right", "32"},
                                         {"band size left", "32+"},
                                         {"fitted on", "0601"},
                                         {"wire mm", ""},
                                         {"right loop mm", "6.5"},
                                         {"left loop mm", "6,25"},
                                         {"ends passive in the tubes", "1"},
                                         {"width equal to the tubes", "1"},
                                         {"loops clear of tissue", "0"},
                                         {"ligatures tied", "1"},
                                         {"ends rounded", "1"},
                                         {"sides in plan", "both"},
                                         {"site of the width", "1"},
                                         {"landmark", "3"},
                                         {"target width mm", "46"},
                                         {"nickel allergy", "1"},
                                         {"latex allergy", "0"},
                                         {"bleeding, heart condition", "0"},
                                         {"asthma or epilepsy", "0"},
                                         {"braces or loose molars", "0"},
                                         {"asked on", "0601"}};
static const struct typed correct_typed[] = {
    {"width mm", "40.5"}, {"method", "2"}, {"measured by", "Pia Lanternhouse"}};
static const struct typed out_typed[] = {{"taken out on", ""},  {"why it came out", "2"},
                                         {"tissue", "1"},       {"hardware found", "1r2"},
                                         {"all repaired", "1"}, {"note", "wire broke at lunch"}};

/* Two teeth that are usual and one that is asked about; segments and a depth. */
static const struct typed teeth_typed[] = {{"arch", "2"},     {"date", ""},      {"method", "2"},
                                           {"41 mm", "5.40"}, {"31 mm", "5,45"}, {"85 mm", "13"}};
static const struct typed size_typed[] = {{"arch", "1"},
                                          {"date", ""},
                                          {"method", "3"},
                                          {"right back mm", "20.30"},
                                          {"left back mm", "20.60"},
                                          {"depth mm", "29.5"},
                                          {"line between", ""}};

struct script {
    const char *name;
    enum form_kind kind;
    const struct typed *typed;
    size_t count;
    const char *reason;
};
#define SCRIPT(kind, typed, reason)                                                                \
    {                                                                                              \
#typed, kind, typed, sizeof(typed) / sizeof(typed)[0], reason                              \
    }
static const struct script scripts[] = {
    SCRIPT(FORM_FIT, fit_typed, ""),        SCRIPT(FORM_CORRECT, correct_typed, "caliper misread"),
    SCRIPT(FORM_OUT, out_typed, ""),        SCRIPT(FORM_TEETH, teeth_typed, ""),
    SCRIPT(FORM_ARCH_SIZE, size_typed, ""),
};
enum { SCRIPT_FIT, SCRIPT_CORRECT, SCRIPT_OUT, SCRIPT_TEETH, SCRIPT_SIZE };

/* ---- the store every trial begins from ---- */

struct start {
    struct store_case kept; /* closed: its file is copied */
    struct form_subject subject;
    char before[200], after[200]; /* how many rows of each kind */
    char review[4000];
};

struct trial {
    struct store_case kept;
    struct form form;
    struct error error;
};

static void count_rows(const char *path, char counts[200])
{
    kept_text(path,
              "SELECT (SELECT count(*) FROM patient) || ' ' || (SELECT count(*) FROM casefile) "
              "|| ' ' || (SELECT count(*) FROM expander) || ' ' || (SELECT count(*) FROM visit) "
              "|| ' ' || (SELECT count(*) FROM judged) || ' ' || (SELECT count(*) FROM width) "
              "|| ' ' || (SELECT count(*) FROM booking) || ' ' || (SELECT count(*) FROM trainer) "
              "|| ' ' || (SELECT count(*) FROM tooth_width) || ' ' || (SELECT count(*) FROM "
              "arch_segment) || ' ' || (SELECT count(*) FROM arch_depth)",
              counts, 200);
}

static void copy_start(const struct start *start, struct trial *trial)
{
    char path[400];

    *trial = (struct trial){.kept = start->kept};
    kept_path(path, "form_fault_copy");
    snprintf(trial->kept.path, sizeof trial->kept.path, "%.250s", path);
    trial->kept.source.context = &trial->kept;
    kept_copy(start->kept.path, trial->kept.path);
    if (store_open(trial->kept.path, &trial->kept.source, &trial->kept.app.store, &trial->error) !=
        STATUS_OK)
        fail_msg("%s", trial->error.sentence);
}

static void end_trial(struct trial *trial)
{
    form_release(&trial->form);
    store_case_close(&trial->kept);
}

static enum status open_form(const struct start *start, const struct script *script,
                             struct trial *trial)
{
    return form_open(&trial->kept.app, script->kind, &start->subject, &trial->form, &trial->error);
}

/* Types one entry; an unusual value is kept. */
static enum entry enter(struct trial *trial, const struct typed *typed)
{
    char sentence[200] = "";
    enum entry entry = ENTRY_REFUSED;

    for (int i = 0; i < trial->form.field_count; i++) {
        const struct form_field *field = &trial->form.fields[i];
        if (field->skipped || strcmp(field->label, typed->label) != 0)
            continue;
        entry = form_enter(&trial->kept.app, &trial->form, i, typed->text, sentence);
        if (entry != ENTRY_TAKEN)
            assert_true(strlen(sentence) > 10);
        if (entry == ENTRY_ASK)
            entry = form_enter(&trial->kept.app, &trial->form, i, typed->text, sentence);
        return entry;
    }
    return entry;
}

static enum status review(struct trial *trial, char told[4000])
{
    struct arena arena = {0};
    struct lines lines = {0};

    enum status status = form_review(&trial->kept.app, &trial->form, &arena, &lines, &trial->error);
    size_t used = 0;
    told[0] = '\0';
    for (size_t i = 0; status == STATUS_OK && i < lines.count; i++)
        used += (size_t)snprintf(told + used, 4000 - used, "%s\n", lines.line[i]);
    arena_release(&arena);
    return status;
}

static void is_sound(struct trial *trial)
{
    struct text findings = {0};

    store_case_reopen(&trial->kept);
    if (app_verify(&trial->kept.app, &findings, &trial->error) != STATUS_OK)
        fail_msg("%s: %s", trial->error.sentence, text_string(&findings));
    text_release(&findings);
}

/* Nothing fails: what the form writes, and what its review says. */
static void learn(struct start *start, const struct script *script)
{
    struct trial trial;

    copy_start(start, &trial);
    count_rows(trial.kept.path, start->before);
    if (open_form(start, script, &trial) != STATUS_OK)
        fail_msg("%s", trial.error.sentence);
    for (size_t i = 0; i < script->count; i++) {
        if (enter(&trial, &script->typed[i]) != ENTRY_TAKEN)
            fail_msg("%s is not taken", script->typed[i].label);
    }
    assert_int_equal(review(&trial, start->review), STATUS_OK);
    if (form_save(&trial.kept.app, &trial.form, script->reason, &trial.error) != STATUS_OK)
        fail_msg("%s", trial.error.sentence);
    count_rows(trial.kept.path, start->after);
    assert_string_not_equal(start->before, start->after);
    is_sound(&trial);
    end_trial(&trial);
}

static void begin(struct start *start, const struct script *script)
{
    struct case_maker maker = {0};
    struct error error = {0};
    struct arena arena = {0};
    struct history history;
    char path[400];

    *start = (struct start){0};
    case_typical(&maker);
    case_booking(&maker, 0, BOOKING_FIT, BOOKED_STANDING);
    maker.casefile.asked_on = DAY_NONE;
    maker.casefile.nickel = maker.casefile.latex = maker.casefile.medical = ANSWER_NONE;
    maker.casefile.seizure = maker.casefile.anchor = ANSWER_NONE;
    kept_path(path, script->name);
    store_case_open(&start->kept, script->name, maker.today);
    store_case_keep(&start->kept, &maker);
    start->subject.casefile = start->kept.casefile;
    assert_int_equal(store_read_case(start->kept.app.store, &start->kept.casefile, STORE_NOW,
                                     &arena, &history, &error),
                     STATUS_OK);
    if (script->kind == FORM_CORRECT) {
        start->subject.record = RECORD_WIDTH;
        start->subject.row = history.widths[history.width_count - 1].head.id;
    }
    arena_release(&arena);
    store_close(start->kept.app.store);
    start->kept.app.store = NULL;
    learn(start, script);
}

static void end(const struct script *script)
{
    char path[400];

    kept_path(path, script->name); /* the journal goes too */
}

/* ---- what must hold after a save that met a failure ---- */

static void has_one_sentence(const struct error *error)
{
    size_t length = strlen(error->sentence);

    assert_true(length > 10);
    assert_null(strchr(error->sentence, '\n'));
    assert_int_equal('.', error->sentence[length - 1]);
}

/* All or nothing, and the truth told; then the same form is saved after all, once. */
static void is_whole(const struct start *start, const struct script *script, struct trial *trial,
                     enum status saved, const char *what, long nth)
{
    char counts[200];
    bool unknown = saved != STATUS_OK && strstr(trial->error.sentence, "is not known") != NULL;

    if (saved != STATUS_OK)
        has_one_sentence(&trial->error);
    store_case_reopen(&trial->kept);
    count_rows(trial->kept.path, counts);
    bool there = strcmp(counts, start->after) == 0;
    if (!there && strcmp(counts, start->before) != 0)
        fail_msg("%s %s %ld: half a form: %s", script->name, what, nth, counts);
    if (there != (saved == STATUS_OK) && !unknown)
        fail_msg("%s %s %ld: called %s: %s", script->name, what, nth,
                 there ? "not saved and kept" : "saved and lost", trial->error.sentence);
    if (form_save(&trial->kept.app, &trial->form, script->reason, &trial->error) != STATUS_OK)
        fail_msg("%s %s %ld: not saved again: %s", script->name, what, nth, trial->error.sentence);
    assert_true(strlen(form_saved(&trial->form)) > strlen("Saved."));
    count_rows(trial->kept.path, counts);
    assert_string_equal(counts, start->after);
}

#endif
