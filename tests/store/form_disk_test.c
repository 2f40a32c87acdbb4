/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Forms while the nth file operation of the save fails. After each the form is saved whole or not
 * at all, what was called saved is there, and the same form goes on.
 */
#include "fault_vfs.h"
#include "form_trial.h"

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

/* The first of every sort fail in turn, then some, unless SPRINGLINE_EVERY_BYTE asks for all. */
static void files_fail(int which)
{
    struct start start;

    begin(&start, &scripts[which]);
    for (int sort = 0; sort < FAULT_SORTS; sort++) {
        for (int forever = 0; forever < 2; forever++) {
            int nth = 1, trials = 0;

            while (try_fault(&start, &scripts[which], (enum fault_sort)sort, nth, forever != 0)) {
                bool first = nth < (sort == FAULT_WRITE && forever == 0 ? 20 : 6);
                nth += first || getenv("SPRINGLINE_EVERY_BYTE") != NULL ? 1
                       : forever == 0                                   ? 13
                                                                        : 29;
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
    (void)state;
    fault_install();
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fit_sheet_on_a_failing_disk),
        cmocka_unit_test(a_correction_on_a_failing_disk),
        cmocka_unit_test(tooth_widths_on_a_failing_disk),
    };

    return cmocka_run_group_tests(tests, install, NULL);
}
