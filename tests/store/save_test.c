/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Saves: every field there and back, corrections, withdrawals, moments of the past, one save once.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kept_store.h"

/* Counts rows and keeps the last, texts and all, in an arena. */
struct gathered {
    int count;
    enum record_kind kind;
    union any_row last;
    char text[200];
};

static enum status gather(void *context, const void *record, struct error *error)
{
    struct gathered *gathered = context;

    (void)error;
    gathered->count++;
    memcpy(&gathered->last, record, record_tables[gathered->kind].size);
    if (gathered->kind == RECORD_VISIT)
        (void)snprintf(gathered->text, sizeof gathered->text, "%s", gathered->last.visit.note);
    return STATUS_OK;
}

static int count_at(struct kept_store *kept, enum record_kind kind, int64_t as_of)
{
    struct gathered gathered = {.kind = kind};

    assert_int_equal(STATUS_OK,
                     store_each_row(kept->store, kind, as_of, gather, &gathered, &kept->error));
    return gathered.count;
}

static enum status compare(void *context, const void *record, struct error *error)
{
    struct gathered *wanted = context;

    (void)error;
    kept_same_fields(wanted->kind, &wanted->last, record);
    wanted->count++;
    return STATUS_OK;
}

static void every_field_comes_back(void **state)
{
    struct kept_store kept;

    (void)state;
    kept_open(&kept, "fields");
    kept_fill_all(&kept, 7);
    for (int kind = 0; kind < KEPT_KINDS; kind++) {
        struct gathered wanted = {.kind = (enum record_kind)kind};

        kept_fill(&kept, wanted.kind, 7, &wanted.last);
        assert_int_equal(STATUS_OK, store_each_row(kept.store, wanted.kind, STORE_NOW, compare,
                                                   &wanted, &kept.error));
        assert_int_equal(1, wanted.count);
    }
    kept_close(&kept);
}

static void nothing_recorded_comes_back_as_nothing(void **state)
{
    struct kept_store kept;
    struct visit visit = {
        .date = 20610, .kind = VISIT_CHECK, .right = UM_NONE, .left = UM_NONE, .next_on = DAY_NONE};
    struct wear_day wear = {.date = 20610, .day_minutes = -1, .source = SOURCE_DIARY};
    struct gathered found = {.kind = RECORD_VISIT};

    (void)state;
    kept_open(&kept, "nothing");
    kept_fill_all(&kept, 1);
    visit.casefile = wear.casefile = kept.records[RECORD_CASEFILE];
    kept_begin(&kept, "visit");
    kept_append(&kept, RECORD_VISIT, &visit);
    kept_append(&kept, RECORD_WEAR_DAY, &wear);
    kept_commit(&kept);
    assert_int_equal(1, kept_number(kept.path,
                                    "SELECT count(*) FROM visit WHERE arch IS NULL AND right_um IS "
                                    "NULL AND tissue IS NULL AND hardware IS NULL AND note IS NULL "
                                    "AND next_on IS NULL AND \"by\" IS NULL"));
    assert_int_equal(STATUS_OK, store_each_row(kept.store, RECORD_VISIT, STORE_NOW, gather, &found,
                                               &kept.error));
    assert_int_equal(2, found.count);
    kept_same_fields(RECORD_VISIT, &visit, &found.last);
    found = (struct gathered){.kind = RECORD_WEAR_DAY};
    assert_int_equal(STATUS_OK, store_each_row(kept.store, RECORD_WEAR_DAY, STORE_NOW, gather,
                                               &found, &kept.error));
    kept_same_fields(RECORD_WEAR_DAY, &wear, &found.last);
    kept_close(&kept);
}

/* The spellings other programs may rely on (interchange.md): written by hand, read by SQLite. */
static void values_are_spelled_as_in_the_files(void **state)
{
    struct kept_store kept;
    char text[200];

    (void)state;
    kept_open(&kept, "spelled");
    kept_fill_all(&kept, 0);
    kept_text(
        kept.path,
        "SELECT date || ' ' || kind || ' ' || arch || ' ' || right_um || ' ' || tissue || ' ' "
        "|| hardware || ' ' || repaired FROM visit",
        text, sizeof text);
    assert_string_equal("2026-05-27 activation upper 5000 none loose-band:right;lost-bracket yes",
                        text);
    kept_text(kept.path, "SELECT teeth || ' ' || um FROM width", text, sizeof text);
    assert_string_equal("16-26 30000", text);
    kept_text(kept.path, "SELECT at || ' ' || channel FROM contact", text, sizeof text);
    assert_string_equal("2026-06-01T08:00:00Z telephone", text);
    kept_text(kept.path, "SELECT time || ' ' || state FROM booking", text, sizeof text);
    assert_string_equal("09:05 booked", text);
    kept_close(&kept);
}

static void a_correction_names_what_it_replaces(void **state)
{
    struct kept_store kept;
    union any_row first, second;
    struct id row, record;
    int64_t before, after;
    uint8_t hash[32];

    (void)state;
    kept_open(&kept, "correct");
    kept_fill_all(&kept, 1);
    kept_fill(&kept, RECORD_VISIT, 2, &first);
    kept_begin(&kept, "visit");
    kept_append(&kept, RECORD_VISIT, &first);
    kept_commit(&kept);
    row = first.head.id;
    record = first.head.record;
    assert_true(id_equal(&row, &record));
    assert_int_equal(1, first.head.version);
    assert_int_equal(STATUS_OK, store_head(kept.store, &before, hash, &kept.error));
    second = first;
    second.visit.note = "corrected";
    second.head.reason = "typed for the wrong side";
    kept_begin(&kept, "correct");
    kept_append(&kept, RECORD_VISIT, &second);
    kept_commit(&kept);
    assert_int_equal(2, second.head.version);
    assert_true(id_equal(&record, &second.head.record));
    assert_false(id_equal(&row, &second.head.id));
    assert_int_equal(STATUS_OK, store_head(kept.store, &after, hash, &kept.error));
    assert_int_equal(before + 2, after); /* the request and the row */
    assert_int_equal(3, kept_number(kept.path, "SELECT count(*) FROM visit"));
    assert_int_equal(2, count_at(&kept, RECORD_VISIT, STORE_NOW));
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM visit WHERE version = 2 AND "
                                               "reason = 'typed for the wrong side'"));

    struct gathered found = {.kind = RECORD_VISIT};
    assert_int_equal(STATUS_OK,
                     store_each_row(kept.store, RECORD_VISIT, before, gather, &found, &kept.error));
    assert_string_equal(first.visit.note, found.text);
    assert_int_equal(STATUS_OK,
                     store_each_row(kept.store, RECORD_VISIT, after, gather, &found, &kept.error));
    assert_string_equal("corrected", found.text);
    kept_close(&kept);
}

static void two_seats_can_not_replace_the_same_row(void **state)
{
    struct kept_store kept;
    struct store *other;
    union any_row mine, theirs;

    (void)state;
    kept_open(&kept, "conflict");
    kept_fill_all(&kept, 1);
    kept_fill(&kept, RECORD_BOOKING, 2, &mine);
    kept_begin(&kept, "booking");
    kept_append(&kept, RECORD_BOOKING, &mine);
    kept_commit(&kept);
    theirs = mine;
    assert_int_equal(STATUS_OK, store_open(kept.path, &kept.source, &other, &kept.error));
    struct store_request request = {.id = store_new_id(other), .command = "booking"};
    assert_int_equal(STATUS_OK, store_begin(other, &request, &kept.error));
    theirs.booking.state = BOOKED_KEPT;
    assert_int_equal(STATUS_OK, store_append(other, RECORD_BOOKING, &theirs, &kept.error));
    assert_int_equal(STATUS_OK, store_commit(other, &kept.error));
    store_close(other);

    mine.booking.state = BOOKED_CANCELLED;
    union any_row untouched = mine;
    kept_begin(&kept, "booking");
    assert_int_equal(STATUS_CONFLICT, store_append(kept.store, RECORD_BOOKING, &mine, &kept.error));
    assert_memory_equal(&untouched, &mine, sizeof mine);
    assert_non_null(strstr(kept.error.sentence, "changed or withdrawn by someone else"));
    kept_commit(&kept); /* the refused row left the save as it was */
    assert_int_equal(0, kept_number(kept.path, "SELECT count(*) FROM booking "
                                               "WHERE state = 'cancelled'"));
    kept_close(&kept);
}

static void a_withdrawal_ends_a_record(void **state)
{
    struct kept_store kept;
    union any_row row;
    int64_t before;
    uint8_t hash[32];
    struct id nobody = {{1}};

    (void)state;
    kept_open(&kept, "withdraw");
    kept_fill_all(&kept, 1);
    kept_fill(&kept, RECORD_WIDTH, 2, &row);
    kept_begin(&kept, "width");
    kept_append(&kept, RECORD_WIDTH, &row);
    kept_commit(&kept);
    assert_int_equal(STATUS_OK, store_head(kept.store, &before, hash, &kept.error));
    kept_begin(&kept, "undo");
    assert_int_equal(STATUS_INPUT,
                     store_withdraw(kept.store, RECORD_WIDTH, &row.head.id, "", &kept.error));
    assert_int_equal(STATUS_NOT_FOUND,
                     store_withdraw(kept.store, RECORD_WIDTH, &nobody, "slip", &kept.error));
    assert_int_equal(STATUS_NOT_FOUND,
                     store_withdraw(kept.store, RECORD_VISIT, &row.head.id, "slip", &kept.error));
    assert_int_equal(STATUS_OK,
                     store_withdraw(kept.store, RECORD_WIDTH, &row.head.id, "slip", &kept.error));
    assert_int_equal(STATUS_CONFLICT,
                     store_withdraw(kept.store, RECORD_WIDTH, &row.head.id, "slip", &kept.error));
    assert_int_equal(STATUS_CONFLICT, store_append(kept.store, RECORD_WIDTH, &row, &kept.error));
    kept_commit(&kept);
    assert_int_equal(1, count_at(&kept, RECORD_WIDTH, STORE_NOW));
    assert_int_equal(2, count_at(&kept, RECORD_WIDTH, before));
    /* Its key may be used again. */
    kept_fill(&kept, RECORD_WIDTH, 2, &row);
    kept_begin(&kept, "width");
    kept_append(&kept, RECORD_WIDTH, &row);
    kept_commit(&kept);
    assert_int_equal(2, count_at(&kept, RECORD_WIDTH, STORE_NOW));
    kept_close(&kept);
}

static void the_same_request_is_one_save(void **state)
{
    struct kept_store kept;
    struct store_request request = {.command = "visit"};
    union any_row row;

    (void)state;
    kept_open(&kept, "once");
    kept_fill_all(&kept, 1);
    request.id = store_new_id(kept.store);
    kept_fill(&kept, RECORD_VISIT, 2, &row);
    assert_int_equal(STATUS_OK, store_begin(kept.store, &request, &kept.error));
    kept_append(&kept, RECORD_VISIT, &row);
    kept_commit(&kept);
    assert_int_equal(STATUS_ALREADY, store_begin(kept.store, &request, &kept.error));
    /* Nothing is open: the next save begins. */
    kept_begin(&kept, "next");
    store_rollback(kept.store);
    /* What was rolled back was not saved, so the same request may come again. */
    request.id = store_new_id(kept.store);
    assert_int_equal(STATUS_OK, store_begin(kept.store, &request, &kept.error));
    store_rollback(kept.store);
    assert_int_equal(STATUS_OK, store_begin(kept.store, &request, &kept.error));
    kept_commit(&kept);
    kept_reopen(&kept);
    assert_int_equal(STATUS_ALREADY, store_begin(kept.store, &request, &kept.error));
    assert_int_equal(2, kept_number(kept.path, "SELECT count(*) FROM visit"));
    kept_close(&kept);
}

static void a_save_rolled_back_leaves_nothing(void **state)
{
    struct kept_store kept;
    union any_row row;
    int64_t before, after;
    uint8_t head[32], same[32];

    (void)state;
    kept_open(&kept, "rollback");
    kept_fill_all(&kept, 1);
    assert_int_equal(STATUS_OK, store_head(kept.store, &before, head, &kept.error));
    kept_fill(&kept, RECORD_VISIT, 2, &row);
    kept_begin(&kept, "import");
    kept_append(&kept, RECORD_VISIT, &row);
    store_rollback(kept.store);
    store_rollback(kept.store);
    assert_int_equal(STATUS_OK, store_head(kept.store, &after, same, &kept.error));
    assert_int_equal(before, after);
    assert_memory_equal(head, same, sizeof head);
    kept_begin(&kept, "visit");
    kept_fill(&kept, RECORD_VISIT, 2, &row);
    kept_append(&kept, RECORD_VISIT, &row);
    kept_reopen(&kept); /* closing rolls back */
    assert_int_equal(1, count_at(&kept, RECORD_VISIT, STORE_NOW));
    kept_close(&kept);
}

static void calls_out_of_order_are_refused(void **state)
{
    struct kept_store kept;
    struct store_request request = {.command = "visit"};
    union any_row row;
    struct case_state derived;

    (void)state;
    kept_open(&kept, "order");
    kept_fill_all(&kept, 1);
    kept_fill(&kept, RECORD_VISIT, 2, &row);
    kept_state(&kept, "C-1", &derived);
    assert_int_equal(STATUS_USAGE, store_append(kept.store, RECORD_VISIT, &row, &kept.error));
    assert_int_equal(STATUS_USAGE, store_withdraw(kept.store, RECORD_VISIT,
                                                  &kept.records[RECORD_VISIT], "x", &kept.error));
    assert_int_equal(STATUS_USAGE, store_put_state(kept.store, &derived, &kept.error));
    assert_int_equal(STATUS_USAGE, store_commit(kept.store, &kept.error));
    assert_int_equal(STATUS_USAGE, store_begin(kept.store, &request, &kept.error)); /* no id */
    kept_begin(&kept, "visit");
    request.id = store_new_id(kept.store);
    assert_int_equal(STATUS_USAGE, store_begin(kept.store, &request, &kept.error));
    kept_commit(&kept);
    kept_close(&kept);
}

static void an_import_is_marked_on_each_row(void **state)
{
    struct kept_store kept;
    union any_row row;
    struct history history;
    struct arena arena = {0};
    int imported = 0;

    (void)state;
    kept_open(&kept, "imported");
    kept_fill_all(&kept, 1);
    kept_fill(&kept, RECORD_VISIT, 2, &row);
    kept_begin(&kept, "import");
    kept_append(&kept, RECORD_VISIT, &row);
    assert_true(row.head.imported);
    kept_commit(&kept);
    assert_int_equal(STATUS_OK, store_read_case(kept.store, &kept.records[RECORD_CASEFILE],
                                                STORE_NOW, &arena, &history, &kept.error));
    assert_int_equal(2, history.visit_count);
    for (size_t i = 0; i < history.visit_count; i++)
        imported += history.visits[i].head.imported;
    assert_int_equal(1, imported);
    arena_release(&arena);
    kept_close(&kept);
}

static void the_clock_of_the_store_never_runs_back(void **state)
{
    struct kept_store kept;
    union any_row row;
    instant latest;

    (void)state;
    kept_open(&kept, "clock");
    kept_fill_all(&kept, 1);
    kept_fill(&kept, RECORD_VISIT, 2, &row);
    kept_begin(&kept, "visit");
    kept_append(&kept, RECORD_VISIT, &row);
    kept_commit(&kept);
    latest = row.head.recorded_at;
    kept.now -= 86400; /* somebody set the machine's clock back */
    assert_int_equal(latest, store_instant(kept.store));
    kept_fill(&kept, RECORD_VISIT, 3, &row);
    kept_begin(&kept, "visit");
    kept_append(&kept, RECORD_VISIT, &row);
    assert_int_equal(latest, store_instant(kept.store));
    kept_commit(&kept);
    assert_int_equal(latest, row.head.recorded_at);
    kept.now += 2 * 86400;
    assert_true(store_instant(kept.store) > latest);
    kept_close(&kept);
}

static void a_moment_is_a_place_in_the_ledger(void **state)
{
    struct kept_store kept;
    instant moments[40];
    int64_t heads[40], found;
    uint8_t hash[32];

    (void)state;
    kept_open(&kept, "moment");
    assert_int_equal(STATUS_OK, store_head(kept.store, &found, hash, &kept.error));
    assert_int_equal(0, found);
    assert_int_equal(STATUS_NO, store_sequence_at(kept.store, kept.now, &found, &kept.error));
    kept_fill_all(&kept, 1);
    for (int i = 0; i < 40; i++) {
        union any_row row;

        kept_fill(&kept, RECORD_WEAR_DAY, 10 + i, &row);
        kept.now += 100;
        kept_begin(&kept, "wear");
        kept_append(&kept, RECORD_WEAR_DAY, &row);
        kept_commit(&kept);
        moments[i] = row.head.recorded_at;
        assert_int_equal(STATUS_OK, store_head(kept.store, &heads[i], hash, &kept.error));
        assert_int_equal(row.head.sequence, heads[i]);
    }
    for (int i = 0; i < 40; i++) {
        assert_int_equal(STATUS_OK, store_sequence_at(kept.store, moments[i], &found, &kept.error));
        assert_int_equal(heads[i], found);
        assert_int_equal(STATUS_OK,
                         store_sequence_at(kept.store, moments[i] + 50, &found, &kept.error));
        assert_int_equal(heads[i], found);
        assert_int_equal(i + 2, count_at(&kept, RECORD_WEAR_DAY, found));
    }
    assert_int_equal(STATUS_NO, store_sequence_at(kept.store, 0, &found, &kept.error));
    assert_non_null(strstr(kept.error.sentence, "1970-01-01T00:00:00Z"));
    kept_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_field_comes_back),
        cmocka_unit_test(nothing_recorded_comes_back_as_nothing),
        cmocka_unit_test(values_are_spelled_as_in_the_files),
        cmocka_unit_test(a_correction_names_what_it_replaces),
        cmocka_unit_test(two_seats_can_not_replace_the_same_row),
        cmocka_unit_test(a_withdrawal_ends_a_record),
        cmocka_unit_test(the_same_request_is_one_save),
        cmocka_unit_test(a_save_rolled_back_leaves_nothing),
        cmocka_unit_test(calls_out_of_order_are_refused),
        cmocka_unit_test(an_import_is_marked_on_each_row),
        cmocka_unit_test(the_clock_of_the_store_never_runs_back),
        cmocka_unit_test(a_moment_is_a_place_in_the_ledger),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
