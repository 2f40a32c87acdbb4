/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Every allocation of the store fails in turn, SQLite's and the program's own, once and from then
 * on: no crash, one status, and the store is whole afterwards. Under AddressSanitizer, which owns
 * malloc, SQLite's allocations alone.
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

#include "memory_trial.h"

static enum status any_row(void *context, const void *record, struct error *error)
{
    (void)context;
    (void)record;
    (void)error;
    return STATUS_OK;
}

static enum status any_state(void *context, const struct case_state *state, day booked,
                             struct error *error)
{
    (void)booked;
    return any_row(context, state, error);
}

static enum status any_draft(void *context, const struct draft *draft, struct error *error)
{
    return any_row(context, draft, error);
}

static enum status save(struct kept_store *kept, struct prepared *rows)
{
    struct store_request request = {.id = store_new_id(kept->store),
                                    .command = "import",
                                    .imported = true,
                                    .seat = "t@1",
                                    .label = "l"};
    struct error *error = &kept->error;
    enum status status = store_begin(kept->store, &request, error);

    if (status != STATUS_OK)
        return status;
    status = store_append(kept->store, RECORD_VISIT, &rows->visit, error);
    if (status == STATUS_OK)
        status = store_append(kept->store, RECORD_PATIENT, &rows->patient, error);
    if (status == STATUS_OK)
        status = store_withdraw(kept->store, RECORD_PATIENT, &rows->patient.head.id, "x", error);
    if (status == STATUS_OK)
        status = store_put_state(kept->store, &rows->derived, error);
    if (status == STATUS_OK)
        return store_commit(kept->store, error);
    store_rollback(kept->store);
    return status;
}

static enum status look(struct kept_store *kept, struct prepared *rows)
{
    struct arena arena = {0};
    struct history history;
    union any_row found;
    struct error *error = &kept->error;
    enum status status = store_read_case(kept->store, &kept->records[RECORD_CASEFILE], STORE_NOW,
                                         &arena, &history, error);

    if (status == STATUS_OK)
        status =
            store_find_same_key(kept->store, RECORD_WIDTH, &rows->width, &arena, &found, error);
    if (status == STATUS_NOT_FOUND)
        status = store_each_row(kept->store, RECORD_VISIT, STORE_NOW, any_row, NULL, error);
    if (status == STATUS_OK)
        status = store_each_state(kept->store, 20600, any_state, NULL, error);
    if (status == STATUS_OK)
        status = store_search(kept->store, "a", 20600, 5, any_state, NULL, error);
    if (status == STATUS_OK)
        status = store_put_draft(kept->store, &rows->draft, error);
    if (status == STATUS_OK)
        status = store_each_draft(kept->store, "ane", any_draft, NULL, error);
    arena_release(&arena);
    return status;
}

static enum status any_version(void *context, const void *record,
                               const struct store_withdrawn *withdrawn, struct error *error)
{
    (void)withdrawn;
    return any_row(context, record, error);
}

static enum status any_save(void *context, const struct store_save_told *told, struct error *error)
{
    return any_row(context, told, error);
}

static enum status any_place(void *context, enum record_kind kind, const struct id *row,
                             struct error *error)
{
    (void)kind;
    return any_row(context, row, error);
}

/* OK when what was looked for is not there. */
static enum status or_absent(enum status status)
{
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

/* What was recorded of the past. */
static enum status look_back(struct kept_store *kept, struct prepared *rows)
{
    const struct id *record = &kept->records[RECORD_VISIT];
    struct arena arena = {0};
    union any_row found;
    struct store_save_told told;
    enum record_kind kind;
    struct id row;
    int64_t sequence;
    const char *number, *chart;
    struct error *error = &kept->error;
    enum status status =
        store_each_version(kept->store, RECORD_VISIT, record, any_version, NULL, error);

    (void)rows;
    if (status == STATUS_OK)
        status = store_read_current(kept->store, RECORD_VISIT, record, &arena, &found, error);
    if (status == STATUS_OK)
        status = store_read_save(kept->store, &found.head.request, &arena, &told, error);
    if (status == STATUS_OK)
        status = store_each_row_of_save(kept->store, &told.id, any_place, NULL, error);
    if (status == STATUS_OK)
        status =
            or_absent(store_find_dependent(kept->store, &told.id, &kind, &row, &sequence, error));
    if (status == STATUS_OK)
        status = store_each_import(kept->store, any_save, NULL, error);
    if (status == STATUS_OK)
        status = store_each_withdrawn(kept->store, RECORD_VISIT, &kept->records[RECORD_CASEFILE],
                                      any_version, NULL, error);
    if (status == STATUS_OK)
        status = store_greatest_numbers(kept->store, &arena, &number, &chart, error);
    arena_release(&arena);
    return status;
}

/* A copy, whole or not there. */
static enum status back_up(struct kept_store *kept, struct prepared *rows)
{
    static const char *const endings[] = {"", ".part", ".part-journal", ".manifest"};
    char path[420], name[440];
    struct store_copy copy;
    enum status status;

    (void)rows;
    (void)snprintf(path, sizeof path, "%s.copy", kept->path);
    status = store_backup(kept->store, path, &copy, &kept->error);
    (void)memory_disarm();
    for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++) {
        bool wanted = status == STATUS_OK && (i == 0 || i == 3);

        (void)snprintf(name, sizeof name, "%s%s", path, endings[i]);
        assert_int_equal(wanted, unlink(name) == 0);
    }
    return status;
}

static enum status reopen(struct kept_store *kept, struct prepared *rows)
{
    (void)rows;
    store_close(kept->store);
    kept->store = NULL;
    return store_open(kept->path, &kept->source, &kept->store, &kept->error);
}

static void saving(void **state)
{
    (void)state;
    try_action("save", save, false, 1);
    try_action("save", save, true, 1);
}

static void reading(void **state)
{
    (void)state;
    try_action("read", look, false, 1);
    try_action("read", look, true, 1);
}

static void looking_back(void **state)
{
    (void)state;
    try_action("story", look_back, false, 1);
    try_action("story", look_back, true, 1);
}

static void backing_up(void **state)
{
    (void)state;
    try_action("backup", back_up, false, 60);
}

static void opening(void **state)
{
    (void)state;
    try_action("open", reopen, false, 1);
    try_action("open", reopen, true, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(saving),     cmocka_unit_test(reading), cmocka_unit_test(looking_back),
        cmocka_unit_test(backing_up), cmocka_unit_test(opening),
    };

    return cmocka_run_group_tests(tests, memory_install, NULL);
}
