/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A store opened in two steps: a first screen can be read between them, and nothing else. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "kept_store.h"

static enum status count_state(void *context, const struct case_state *state, day booked,
                               struct error *error)
{
    (void)state;
    (void)booked;
    (void)error;
    ++*(int *)context;
    return STATUS_OK;
}

static enum status count_booking(void *context, const struct booking *booking,
                                 const struct case_state *state, struct error *error)
{
    (void)booking;
    (void)state;
    (void)error;
    ++*(int *)context;
    return STATUS_OK;
}

static enum status count_draft(void *context, const struct draft *draft, struct error *error)
{
    (void)draft;
    (void)error;
    ++*(int *)context;
    return STATUS_OK;
}

struct first_screen {
    int states, bookings, drafts;
    char number[16]; /* of the state of the newest case */
    int64_t sequence;
};

static void read_first(struct kept_store *kept, day on, struct first_screen *seen)
{
    uint8_t hash[32];
    struct arena arena = {0};
    struct case_state state;

    memset(seen, 0, sizeof *seen);
    (void)store_data_version(kept->store);
    assert_int_equal(STATUS_OK, store_head(kept->store, &seen->sequence, hash, &kept->error));
    assert_int_equal(STATUS_OK,
                     store_each_state(kept->store, on, count_state, &seen->states, &kept->error));
    assert_int_equal(STATUS_OK, store_each_booking(kept->store, on, count_booking, &seen->bookings,
                                                   &kept->error));
    assert_int_equal(STATUS_OK, store_each_draft(kept->store, "tester", count_draft, &seen->drafts,
                                                 &kept->error));
    assert_int_equal(STATUS_OK, store_read_state(kept->store, &kept->records[RECORD_CASEFILE],
                                                 &arena, &state, &kept->error));
    snprintf(seen->number, sizeof seen->number, "%s", state.number);
    arena_release(&arena);
}

/* A store with rows of every kind, a state and a draft; *on is the day of its booking. */
static void full_store(struct kept_store *kept, const char *name, day *on)
{
    struct case_state state = {.stage = STAGE_ACTIVE, .number = "C-1"};
    struct draft draft = {.user = "tester", .form = "visit", .content = "{}"};
    union any_row booking;

    kept_open(kept, name);
    kept_fill_all(kept, 1);
    kept_fill(kept, RECORD_BOOKING, 2, &booking);
    *on = booking.booking.date;
    kept_begin(kept, "booking");
    kept_append(kept, RECORD_BOOKING, &booking);
    state.casefile = kept->records[RECORD_CASEFILE];
    assert_int_equal(STATUS_OK, store_put_state(kept->store, &state, &kept->error));
    kept_commit(kept);
    draft.casefile = kept->records[RECORD_CASEFILE];
    draft.saved_at = kept->now;
    draft.request = store_new_id(kept->store);
    assert_int_equal(STATUS_OK, store_put_draft(kept->store, &draft, &kept->error));
}

static void open_first(struct kept_store *kept)
{
    store_close(kept->store);
    kept->store = NULL;
    assert_int_equal(STATUS_OK,
                     store_open_first(kept->path, &kept->source, &kept->store, &kept->error));
}

static void a_first_screen_reads_as_from_a_whole_store(void **state)
{
    struct kept_store kept;
    struct first_screen whole, first;
    day on;

    (void)state;
    full_store(&kept, "first", &on);
    kept_reopen(&kept);
    read_first(&kept, on, &whole);
    assert_true(whole.states > 0 && whole.bookings > 0 && whole.drafts == 1);
    open_first(&kept);
    read_first(&kept, on, &first);
    assert_int_equal(whole.states, first.states);
    assert_int_equal(whole.bookings, first.bookings);
    assert_int_equal(whole.drafts, first.drafts);
    assert_int_equal(whole.sequence, first.sequence);
    assert_string_equal("C-1", whole.number);
    assert_string_equal("C-1", first.number);
    kept_close(&kept);
}

/* Between the steps a save is refused in words, not made by half. */
static void nothing_is_saved_between_the_steps(void **state)
{
    struct kept_store kept;
    struct store_request request = {.command = "early"};
    struct id found;
    day on;

    (void)state;
    full_store(&kept, "between", &on);
    open_first(&kept);
    request.id = store_new_id(kept.store);
    assert_true(store_begin(kept.store, &request, &kept.error) != STATUS_OK);
    assert_true(strlen(kept.error.sentence) > 0);
    assert_true(store_find_case(kept.store, "C-1", STORE_NOW, &found, &kept.error) != STATUS_OK);

    assert_int_equal(STATUS_OK, store_open_rest(kept.store, &kept.error));
    assert_int_equal(STATUS_OK, store_open_rest(kept.store, &kept.error)); /* it is whole */
    kept_begin(&kept, "later");
    kept_commit(&kept);
    kept_close(&kept);
}

/* A draft names its case on the first screen: reading the case brings the second step forward. */
static void a_case_can_be_read_between_the_steps(void **state)
{
    struct kept_store kept;
    struct arena arena = {0};
    struct history history;
    day on;

    (void)state;
    full_store(&kept, "case", &on);
    open_first(&kept);
    assert_int_equal(STATUS_OK, store_read_case(kept.store, &kept.records[RECORD_CASEFILE],
                                                STORE_NOW, &arena, &history, &kept.error));
    assert_true(history.visit_count > 0);
    arena_release(&arena);
    kept_begin(&kept, "save");
    kept_commit(&kept);
    kept_close(&kept);
}

/* What the first step does not look at is found by the second, with the sentence of store_open. */
static void the_second_step_finds_what_lacks(void **state)
{
    struct kept_store kept;
    struct error told = {0};
    struct store *store = NULL;
    day on;

    (void)state;
    full_store(&kept, "lacking", &on);
    store_close(kept.store);
    kept.store = NULL;
    assert_int_equal(SQLITE_OK,
                     kept_raw(kept.path, true, "ALTER TABLE width RENAME COLUMN um TO length"));
    assert_int_equal(STATUS_UNUSABLE, store_open(kept.path, &kept.source, &store, &told));
    assert_null(store);
    open_first(&kept);
    for (int i = 0; i < 2; i++) {
        memset(&kept.error, 0, sizeof kept.error);
        assert_int_equal(STATUS_UNUSABLE, store_open_rest(kept.store, &kept.error));
        assert_int_equal(STATUS_UNUSABLE, kept.error.status);
        assert_string_equal(told.sentence, kept.error.sentence);
    }
    kept_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_first_screen_reads_as_from_a_whole_store),
        cmocka_unit_test(nothing_is_saved_between_the_steps),
        cmocka_unit_test(a_case_can_be_read_between_the_steps),
        cmocka_unit_test(the_second_step_finds_what_lacks),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
