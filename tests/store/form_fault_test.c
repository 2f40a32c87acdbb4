/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Forms while memory runs out, at every allocation of opening, entering, reviewing and saving.
 * After each the form is saved whole or not at all, what was called saved is there, and the same
 * form goes on: what was entered is neither lost nor another.
 */
#include "form_trial.h"
#include "memory_fault.h"

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
    return nth < 300 ? 37 : 251;
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fit_sheet_short_of_memory),
        cmocka_unit_test(a_correction_short_of_memory),
        cmocka_unit_test(a_removal_short_of_memory),
        cmocka_unit_test(tooth_widths_short_of_memory),
        cmocka_unit_test(segments_and_depth_short_of_memory),
    };

    return cmocka_run_group_tests(tests, memory_install, NULL);
}
