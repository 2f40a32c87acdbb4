/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Every allocation of a verification fails in turn, as in memory_test.c: it has by far the most,
 * and runs beside the others.
 */
#include "memory_trial.h"
#include "springline/app/visit.h"
#include "store_case.h"

static enum status walk(struct kept_store *kept, struct prepared *rows)
{
    struct verify_report report;
    enum status status = store_verify(kept->store, &report, &kept->error);

    (void)rows;
    text_release(&report.findings);
    return status;
}

static void verifying(void **state)
{
    (void)state;
    try_action("verify", walk, false, 1);
}

/* A visit of today from the sheet, with width, wear and verdict. */
static void save_visit(struct store_case *kept)
{
    static const struct {
        enum sheet_item item;
        const char *typed;
    } entries[] = {{ITEM_WEAR_MET, "20"}, {ITEM_WEAR_SOURCE, "3"}, {ITEM_WIDTH, "40.5"},
                   {ITEM_TISSUE, "0"},    {ITEM_HARDWARE, "0"},    {ITEM_RIGHT, "1.00"},
                   {ITEM_LEFT, "1.00"}};
    struct visit_sheet sheet;
    struct error error;
    char sentence[200];

    assert_int_equal(STATUS_OK, visit_open(&kept->app, &kept->casefile, &sheet, &error));
    for (size_t i = 0; i < sizeof entries / sizeof entries[0]; i++) {
        for (int j = 0; j < sheet.field_count; j++) {
            if (sheet.fields[j].item == entries[i].item)
                assert_int_equal(ENTRY_TAKEN,
                                 visit_enter(&kept->app, &sheet, j, entries[i].typed, sentence));
        }
    }
    assert_int_equal(STATUS_OK, visit_save(&kept->app, &sheet, 0, "", &error));
    visit_release(&sheet);
}

/* States and verdicts too: memory that runs out is never taken for damage, nor for soundness. */
static void verifying_states_and_verdicts(void **state)
{
    struct store_case kept;
    struct case_maker maker;
    long trials = 0, refused = 0;

    (void)state;
    case_typical(&maker);
    store_case_open(&kept, "memory_states", maker.today);
    store_case_keep(&kept, &maker);
    save_visit(&kept);
    for (long nth = 1;; nth += nth < 40 ? 1 : nth / 40) {
        struct text out = {0};
        struct error error = {0};

        memory_arm(nth, false);
        enum status status = app_verify(&kept.app, &out, &error);
        long failed = memory_disarm();
        if (status != STATUS_OK && status != STATUS_NO_MEMORY)
            fail_msg("allocation %ld: %d %s %s", nth, (int)status, error.sentence,
                     text_string(&out));
        if (status == STATUS_OK &&
            strstr(text_string(&out), "verdicts: 1 worked out again, every one as it was stored") ==
                NULL)
            fail_msg("allocation %ld: %s", nth, text_string(&out));
        text_release(&out);
        refused += status != STATUS_OK;
        if (failed == 0)
            break;
        trials++;
    }
    print_message("# figure: verify, states and verdicts: %ld trials, %ld refused\n", trials,
                  refused);
    assert_true(trials > 100);
    assert_true(refused > trials / 2);
    store_case_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(verifying),
                                       cmocka_unit_test(verifying_states_and_verdicts)};

    return cmocka_run_group_tests(tests, memory_install, NULL);
}
