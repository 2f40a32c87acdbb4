/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Forms while memory runs out, at every allocation of opening, entering, reviewing and saving, and
 * while the nth file operation of the save fails. After each the form is saved whole or not at all,
 * what was called saved is there, and the same form goes on: what was entered is neither lost nor
 * another. The example data is invented.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "fault_vfs.h"
#include "kept_store.h"
#include "memory_fault.h"
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

/* ---- memory ---- */

enum phase { PHASE_OPEN, PHASE_ENTER, PHASE_REVIEW, PHASE_SAVE, PHASES };

static const char *const phase_names[] = {"open", "enter", "review", "save"};

/* Memory is the only thing that may be said to have failed. */
static void is_memory(enum status status, const struct trial *trial, const char *what, long nth)
{
    if (status != STATUS_NO_MEMORY && status != STATUS_UNUSABLE)
        fail_msg("%s %ld: status %d: %s", what, nth, (int)status, trial->error.sentence);
    has_one_sentence(&trial->error);
}

struct run {
    const struct start *start;
    const struct script *script;
    enum phase phase;
    long nth;
    bool forever;
    long failed;  /* allocations */
    long refused; /* calls that said so */
};

static void arm(const struct run *run, enum phase phase)
{
    if (run->phase == phase)
        memory_arm(run->nth, run->forever);
}

static void disarm(struct run *run, enum phase phase)
{
    if (run->phase == phase)
        run->failed = memory_disarm();
}

static void open_short(struct run *run, struct trial *trial)
{
    arm(run, PHASE_OPEN);
    enum status status = open_form(run->start, run->script, trial);
    disarm(run, PHASE_OPEN);
    if (status == STATUS_OK)
        return;
    is_memory(status, trial, "open", run->nth);
    run->refused++;
    store_case_reopen(&trial->kept);
    if (open_form(run->start, run->script, trial) != STATUS_OK)
        fail_msg("%s", trial->error.sentence);
}

/* What was refused is typed again; what was taken is not. */
static void enter_short(struct run *run, struct trial *trial)
{
    arm(run, PHASE_ENTER);
    for (size_t i = 0; i < run->script->count; i++) {
        const struct typed *typed = &run->script->typed[i];
        if (enter(trial, typed) == ENTRY_TAKEN)
            continue;
        disarm(run, PHASE_ENTER);
        run->refused++;
        if (enter(trial, typed) != ENTRY_TAKEN)
            fail_msg("%s %ld: %s is not taken", run->script->name, run->nth, typed->label);
    }
    disarm(run, PHASE_ENTER);
}

/* The review after all must say what it says when nothing fails: no value was lost on the way. */
static void review_short(struct run *run, struct trial *trial)
{
    char told[4000];

    arm(run, PHASE_REVIEW);
    enum status status = review(trial, told);
    disarm(run, PHASE_REVIEW);
    if (status != STATUS_OK) {
        is_memory(status, trial, "review", run->nth);
        run->refused++;
        store_case_reopen(&trial->kept);
        assert_int_equal(review(trial, told), STATUS_OK);
    }
    if (strcmp(told, run->start->review) != 0)
        fail_msg("%s, %s, allocation %ld%s: the review is\n%snot\n%s", run->script->name,
                 phase_names[run->phase], run->nth, run->forever ? " and on" : "", told,
                 run->start->review);
}

static void save_short(struct run *run, struct trial *trial)
{
    arm(run, PHASE_SAVE);
    enum status status =
        form_save(&trial->kept.app, &trial->form, run->script->reason, &trial->error);
    disarm(run, PHASE_SAVE);
    if (status != STATUS_OK) {
        is_memory(status, trial, "save", run->nth);
        run->refused++;
    }
    is_whole(run->start, run->script, trial, status, phase_names[run->phase], run->nth);
}

/* The first allocations in turn, then some, unless SPRINGLINE_EVERY_BYTE asks for all. */
static long next_allocation(long nth)
{
    if (getenv("SPRINGLINE_EVERY_BYTE") != NULL || nth < 30)
        return 1;
    return nth < 300 ? 17 : 97;
}

static void run_short(const struct start *start, const struct script *script, enum phase phase,
                      bool forever)
{
    struct run run = {.start = start, .script = script, .phase = phase, .forever = forever};
    long trials = 0;

    for (run.nth = 1;; run.nth += next_allocation(run.nth)) {
        struct trial trial;

        run.failed = 0;
        copy_start(start, &trial);
        open_short(&run, &trial);
        enter_short(&run, &trial);
        review_short(&run, &trial);
        save_short(&run, &trial);
        if (trials++ % 16 == 0)
            is_sound(&trial);
        end_trial(&trial);
        if (run.failed == 0)
            break;
    }
    print_message("# %s, %s %s: %ld trials, %ld refused\n", script->name, phase_names[phase],
                  forever ? "for ever" : "once", trials, run.refused);
    if (!MEMORY_OWN_MALLOC && (phase == PHASE_ENTER || phase == PHASE_REVIEW))
        return; /* SQLite's allocations alone: these hardly need it */
    assert_true(trials > 3);
    assert_true(run.refused > 0);
}

static void short_of_memory(int which)
{
    struct start start;

    begin(&start, &scripts[which]);
    for (enum phase phase = PHASE_OPEN; phase < PHASES; phase++) {
        run_short(&start, &scripts[which], phase, false);
        if (phase == PHASE_SAVE) /* elsewhere the first refusal ends it */
            run_short(&start, &scripts[which], phase, true);
    }
    end(&scripts[which]);
}

static void a_fit_sheet_short_of_memory(void **state)
{
    (void)state;
    short_of_memory(SCRIPT_FIT);
}

static void a_correction_short_of_memory(void **state)
{
    (void)state;
    short_of_memory(SCRIPT_CORRECT);
}

static void a_removal_short_of_memory(void **state)
{
    (void)state;
    short_of_memory(SCRIPT_OUT);
}

static void tooth_widths_short_of_memory(void **state)
{
    (void)state;
    short_of_memory(SCRIPT_TEETH);
}

static void segments_and_depth_short_of_memory(void **state)
{
    (void)state;
    short_of_memory(SCRIPT_SIZE);
}

/* ---- files ---- */

/* One trial; false when the fault did not fire any more. */
static bool try_fault(const struct start *start, const struct script *script, enum fault_sort sort,
                      int nth, bool forever)
{
    struct trial trial;

    copy_start(start, &trial);
    assert_int_equal(open_form(start, script, &trial), STATUS_OK);
    for (size_t i = 0; i < script->count; i++)
        assert_int_equal(enter(&trial, &script->typed[i]), ENTRY_TAKEN);
    fault_arm(sort, nth, forever);
    enum status status = form_save(&trial.kept.app, &trial.form, script->reason, &trial.error);
    int fired = fault_disarm();
    is_whole(start, script, &trial, status, fault_name(sort), nth);
    if (nth % 8 == 1)
        is_sound(&trial);
    end_trial(&trial);
    return fired > 0;
}

/* Every write fails once in turn; of the other sorts the first ones, then some. */
static void files_fail(int which)
{
    struct start start;

    begin(&start, &scripts[which]);
    for (int sort = 0; sort < FAULT_SORTS; sort++) {
        for (int forever = 0; forever < 2; forever++) {
            int nth = 1, trials = 0;

            while (try_fault(&start, &scripts[which], (enum fault_sort)sort, nth, forever != 0)) {
                bool all = sort == FAULT_WRITE && forever == 0;
                nth += all || nth < 6 || getenv("SPRINGLINE_EVERY_BYTE") != NULL ? 1
                       : forever == 0                                            ? 5
                                                                                 : 11;
                trials++;
            }
            print_message("# %s, %s %s: %d trials\n", scripts[which].name,
                          fault_name((enum fault_sort)sort), forever ? "for ever" : "once", trials);
            if (trials == 0 && sort != FAULT_READ) /* the cache may hold all that is read */
                fail_msg("%s never fired", fault_name((enum fault_sort)sort));
        }
    }
    end(&scripts[which]);
}

static void a_fit_sheet_on_a_failing_disk(void **state)
{
    (void)state;
    files_fail(SCRIPT_FIT);
}

static void a_correction_on_a_failing_disk(void **state)
{
    (void)state;
    files_fail(SCRIPT_CORRECT);
}

/* Several rows of one kind, without a slot of their own: all or none. */
static void tooth_widths_on_a_failing_disk(void **state)
{
    (void)state;
    files_fail(SCRIPT_TEETH);
}

static int install(void **state)
{
    int failed = memory_install(state); /* before SQLite is first used */

    fault_install();
    return failed;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fit_sheet_short_of_memory),
        cmocka_unit_test(a_correction_short_of_memory),
        cmocka_unit_test(a_removal_short_of_memory),
        cmocka_unit_test(tooth_widths_short_of_memory),
        cmocka_unit_test(segments_and_depth_short_of_memory),
        cmocka_unit_test(a_fit_sheet_on_a_failing_disk),
        cmocka_unit_test(a_correction_on_a_failing_disk),
        cmocka_unit_test(tooth_widths_on_a_failing_disk),
    };

    return cmocka_run_group_tests(tests, install, NULL);
}
