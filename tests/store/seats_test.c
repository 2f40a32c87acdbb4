/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several processes on one file: nothing lost, nobody kept out, a killed one leaves nothing half.
 */
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "../../src/store/handle.h"
#include "kept_store.h"

/* One save of two rows that belong together: a wear day and a contact. In a child: no asserts. */
static enum status save_pair(struct kept_store *kept, int day_number)
{
    struct store_request request = {.id = store_new_id(kept->store), .command = "pair"};
    union any_row wear, contact;
    enum status status;

    kept_fill(kept, RECORD_WEAR_DAY, 1, &wear);
    kept_fill(kept, RECORD_CONTACT, 1, &contact);
    wear.wear_day.date = 21000 + day_number;
    contact.contact.at += day_number + 10;
    status = store_begin(kept->store, &request, &kept->error);
    if (status != STATUS_OK)
        return status;
    status = store_append(kept->store, RECORD_WEAR_DAY, &wear, &kept->error);
    if (status == STATUS_OK)
        status = store_append(kept->store, RECORD_CONTACT, &contact, &kept->error);
    if (status != STATUS_OK) {
        store_rollback(kept->store);
        return status;
    }
    return store_commit(kept->store, &kept->error);
}

/* A seat: opens the file itself (a connection must not cross a fork), saves count pairs, and writes
 * one byte to out for each save it was told is kept. */
static void run_seat(struct kept_store kept, int seat, int count, int out)
{
    kept.source.context = &kept;
    kept.counter = UINT64_C(0x1000000) * (uint64_t)(seat + 1) + (uint64_t)getpid();
    kept.store = NULL;
    if (store_open(kept.path, &kept.source, &kept.store, &kept.error) != STATUS_OK)
        _exit(2);
    for (int i = 0; i < count; i++) {
        if (save_pair(&kept, seat * 3000 + i) != STATUS_OK) {
            (void)fprintf(stderr, "# seat %d: %s\n", seat, kept.error.sentence);
            _exit(3);
        }
        if (write(out, "k", 1) != 1)
            _exit(4);
    }
    store_close(kept.store);
    _exit(0);
}

static pid_t start_seat(const struct kept_store *kept, int seat, int count, int out)
{
    pid_t child = fork();

    assert_true(child >= 0);
    if (child == 0)
        run_seat(*kept, seat, count, out);
    return child;
}

static int drain(int in)
{
    char bytes[256];
    int total = 0;
    ssize_t got;

    while ((got = read(in, bytes, sizeof bytes)) > 0)
        total += (int)got;
    return total;
}

static void is_sound(struct kept_store *kept)
{
    struct verify_report report;
    enum status status = store_verify(kept->store, &report, &kept->error);

    if (status != STATUS_OK)
        fail_msg("%s\n%s", kept->error.sentence, text_string(&report.findings));
    text_release(&report.findings);
}

static void closed(struct kept_store *kept, const char *name)
{
    kept_open(kept, name);
    kept_fill_all(kept, 1);
    store_close(kept->store);
    kept->store = NULL;
}

static void four_seats_save_at_once(void **state)
{
    enum { SEATS = 4, SAVES = 40 };
    struct kept_store kept;
    pid_t seats[SEATS];
    int ends[2], ended;

    (void)state;
    closed(&kept, "four");
    assert_int_equal(0, pipe(ends));
    for (int i = 0; i < SEATS; i++)
        seats[i] = start_seat(&kept, i, SAVES, ends[1]);
    (void)close(ends[1]);
    assert_int_equal(SEATS * SAVES, drain(ends[0]));
    (void)close(ends[0]);
    for (int i = 0; i < SEATS; i++) {
        assert_int_equal(seats[i], waitpid(seats[i], &ended, 0));
        assert_int_equal(0, ended);
    }
    kept_reopen(&kept);
    assert_int_equal(SEATS * SAVES + 1, kept_number(kept.path, "SELECT count(*) FROM wear_day"));
    assert_int_equal(SEATS * SAVES + 1, kept_number(kept.path, "SELECT count(*) FROM contact"));
    is_sound(&kept);
    kept_close(&kept);
}

/* Killed wherever it happens to be: what was told as kept is there, and no save is half there. */
static void a_killed_seat_leaves_whole_saves(void **state)
{
    enum { KILLS = 40 };
    struct kept_store kept;
    int told = 0;

    (void)state;
    closed(&kept, "killed");
    for (int i = 0; i < KILLS; i++) {
        const struct timespec moment = {0, 1000000L * (10 + (i * 7) % 90)};
        int ends[2], ended;

        assert_int_equal(0, pipe(ends));
        pid_t seat = start_seat(&kept, i, 3000, ends[1]);
        (void)close(ends[1]);
        (void)nanosleep(&moment, NULL);
        assert_int_equal(0, kill(seat, SIGKILL));
        assert_int_equal(seat, waitpid(seat, &ended, 0));
        assert_true(WIFSIGNALED(ended) && WTERMSIG(ended) == SIGKILL);
        told += drain(ends[0]);
        (void)close(ends[0]);
    }
    kept_reopen(&kept);
    int64_t days = kept_number(kept.path, "SELECT count(*) FROM wear_day") - 1;
    int64_t contacts = kept_number(kept.path, "SELECT count(*) FROM contact") - 1;
    int64_t saves = kept_number(kept.path, "SELECT count(*) FROM request WHERE command = 'pair'");
    assert_int_equal(days, contacts);
    assert_int_equal(days, saves);
    /* A save may be kept and its seat killed before it could say so: at most one for each kill. */
    assert_true(saves >= told && saves <= told + KILLS);
    assert_true(told > 0);
    is_sound(&kept);
    print_message("# %d kills, %d saves told, %d kept\n", KILLS, told, (int)saves);
    kept_close(&kept);
}

struct told {
    int times;
    int32_t first_ms;
};

static void on_wait(void *context, int32_t waited_ms)
{
    struct told *told = context;

    if (told->times++ == 0)
        told->first_ms = waited_ms;
}

static void a_held_store_is_busy_not_stuck(void **state)
{
    struct kept_store kept;
    struct store *other;
    struct store_request request = {.command = "wait"}, held = {.command = "hold"};
    struct told told = {0};
    struct timespec before, after;

    (void)state;
    kept_open(&kept, "busy");
    kept_fill_all(&kept, 1);
    assert_int_equal(STATUS_OK, store_open(kept.path, &kept.source, &other, &kept.error));
    held.id = store_new_id(other);
    assert_int_equal(STATUS_OK, store_begin(other, &held, &kept.error));
    assert_int_equal(WAIT_MS, kept.store->wait_ms);
    kept.store->wait_ms = 300;
    store_on_waiting(kept.store, on_wait, &told);
    request.id = store_new_id(kept.store);
    (void)clock_gettime(CLOCK_MONOTONIC, &before);
    assert_int_equal(STATUS_BUSY, store_begin(kept.store, &request, &kept.error));
    (void)clock_gettime(CLOCK_MONOTONIC, &after);
    int64_t took =
        (after.tv_sec - before.tv_sec) * 1000 + (after.tv_nsec - before.tv_nsec) / 1000000;
    assert_true(took >= 290);
    assert_true(told.times >= 1);
    assert_true(told.first_ms >= WAIT_SHOWN_MS);
    assert_non_null(strstr(kept.error.sentence, "Another seat"));
    /* Reading goes on while another seat writes, and looking for changes does not wait. */
    int64_t version = store_data_version(kept.store);
    assert_int_equal(STATUS_OK, store_commit(other, &kept.error));
    assert_true(store_data_version(kept.store) != version);
    assert_int_equal(STATUS_OK, store_begin(kept.store, &request, &kept.error));
    kept_commit(&kept);
    store_close(other);
    kept_close(&kept);
}

/* A commit that can not get past another seat's reading: certain, nothing was saved. */
static void a_reader_in_the_way_of_a_commit(void **state)
{
    struct kept_store kept;
    sqlite3 *reader = NULL;
    sqlite3_stmt *stmt = NULL;

    (void)state;
    kept_open(&kept, "reader");
    kept_fill_all(&kept, 1);
    assert_int_equal(SQLITE_OK, sqlite3_open(kept.path, &reader));
    assert_int_equal(SQLITE_OK,
                     sqlite3_prepare_v2(reader, "SELECT row FROM ledger", -1, &stmt, NULL));
    assert_int_equal(SQLITE_ROW, sqlite3_step(stmt));
    kept.store->wait_ms = 50;
    struct store_request request = {.id = store_new_id(kept.store), .command = "visit"};
    union any_row row;
    assert_int_equal(STATUS_OK, store_begin(kept.store, &request, &kept.error));
    kept_fill(&kept, RECORD_WEAR_DAY, 9, &row);
    kept_append(&kept, RECORD_WEAR_DAY, &row);
    assert_int_equal(STATUS_BUSY, store_commit(kept.store, &kept.error));
    assert_non_null(strstr(kept.error.sentence, "Another seat"));
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM wear_day"));
    sqlite3_finalize(stmt);
    assert_int_equal(SQLITE_OK, sqlite3_close(reader));
    /* The same save again, under the same request. */
    assert_int_equal(STATUS_OK, store_begin(kept.store, &request, &kept.error));
    kept_fill(&kept, RECORD_WEAR_DAY, 9, &row);
    kept_append(&kept, RECORD_WEAR_DAY, &row);
    kept_commit(&kept);
    assert_int_equal(2, kept_number(kept.path, "SELECT count(*) FROM wear_day"));
    is_sound(&kept);
    kept_close(&kept);
}

/* A visitor that stops half-way, or fails, must not keep the others out: they save at once. */
static enum status stop(void *context, const void *record, struct error *error)
{
    (void)context;
    (void)record;
    return error_set(error, STATUS_NO, NULL, "Stop.");
}

static enum status stop_state(void *context, const struct case_state *state, day booked,
                              struct error *error)
{
    (void)booked;
    return stop(context, state, error);
}

static enum status stop_booking(void *context, const struct booking *booking,
                                const struct case_state *state, struct error *error)
{
    (void)state;
    return stop(context, booking, error);
}

static enum status stop_case(void *context, const struct history *history, struct error *error)
{
    return stop(context, history, error);
}

static enum status stop_draft(void *context, const struct draft *draft, struct error *error)
{
    return stop(context, draft, error);
}

static void no_reading_is_left_open(void **state)
{
    struct kept_store kept;
    struct store *other;
    struct case_state derived;
    struct draft draft = {.user = "ane", .form = "visit", .filled = 1, .content = "x"};
    struct error *error = &kept.error;

    (void)state;
    kept_open(&kept, "open-reads");
    kept_fill_all(&kept, 1);
    kept_fill_all(&kept, 2);
    kept_state(&kept, "C-1", &derived);
    kept_begin(&kept, "state");
    assert_int_equal(STATUS_OK, store_put_state(kept.store, &derived, error));
    kept_commit(&kept);
    draft.saved_at = kept.now;
    draft.request = store_new_id(kept.store);
    assert_int_equal(STATUS_OK, store_put_draft(kept.store, &draft, error));
    assert_int_equal(STATUS_OK, store_open(kept.path, &kept.source, &other, error));
    other->wait_ms = 0; /* refused at once if anything is still being read */
    for (int i = 0; i < 6; i++) {
        struct store_request request = {.id = store_new_id(other), .command = "other"};
        enum status status =
            i == 0   ? store_each_row(kept.store, RECORD_VISIT, STORE_NOW, stop, NULL, error)
            : i == 1 ? store_each_case(kept.store, STORE_NOW, stop_case, NULL, error)
            : i == 2 ? store_each_state(kept.store, 20600, stop_state, NULL, error)
            : i == 3 ? store_search(kept.store, "", 20600, 5, stop_state, NULL, error)
            : i == 4 ? store_each_booking(kept.store, 20602, stop_booking, NULL, error)
                     : store_each_draft(kept.store, "ane", stop_draft, NULL, error);

        if (status != STATUS_NO)
            fail_msg("%d: %d %s", i, (int)status, error->sentence);
        if (store_begin(other, &request, error) != STATUS_OK ||
            store_commit(other, error) != STATUS_OK)
            fail_msg("after %d: %s", i, error->sentence);
    }
    store_close(other);
    kept_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(four_seats_save_at_once),
        cmocka_unit_test(a_killed_seat_leaves_whole_saves),
        cmocka_unit_test(a_held_store_is_busy_not_stuck),
        cmocka_unit_test(a_reader_in_the_way_of_a_commit),
        cmocka_unit_test(no_reading_is_left_open),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
