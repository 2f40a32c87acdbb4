/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Every allocation of a verification fails in turn, as in memory_test.c: it has by far the most,
 * and runs beside the others.
 */
#include "memory_trial.h"

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

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(verifying)};

    return cmocka_run_group_tests(tests, memory_install, NULL);
}
