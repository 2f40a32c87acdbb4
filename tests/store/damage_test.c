/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a row holds that it can not hold is told as damage, never guessed at; and what SQLite's
 * results become in words. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "../../src/store/handle.h"
#include "kept_store.h"

static enum status any_row(void *context, const void *record, struct error *error)
{
    (void)context;
    (void)record;
    (void)error;
    return STATUS_OK;
}

static enum status any_case(void *context, const struct history *history, struct error *error)
{
    return any_row(context, history, error);
}

static enum status any_state(void *context, const struct case_state *state, day booked,
                             struct error *error)
{
    (void)booked;
    return any_row(context, state, error);
}

static enum status any_booking(void *context, const struct booking *booking,
                               const struct case_state *state, struct error *error)
{
    (void)state;
    return any_row(context, booking, error);
}

static enum status any_draft(void *context, const struct draft *draft, struct error *error)
{
    return any_row(context, draft, error);
}

static const struct id an_import = {{7}};

/* An import of one booking, which is withdrawn. */
static void withdrawn_import(struct kept_store *kept)
{
    const struct store_request request = {.id = an_import, .command = "old", .imported = true};
    union any_row booking;

    kept_fill(kept, RECORD_BOOKING, 9, &booking);
    assert_int_equal(STATUS_OK, store_begin(kept->store, &request, &kept->error));
    kept_append(kept, RECORD_BOOKING, &booking);
    kept_commit(kept);
    kept_begin(kept, "withdraw");
    assert_int_equal(STATUS_OK, store_withdraw(kept->store, RECORD_BOOKING, &booking.head.id,
                                               "slip", &kept->error));
    kept_commit(kept);
}

/* A closed store with a row of each kind, a state, a draft, an expected next booking, and a record
 * that was withdrawn. */
static void full_store(struct kept_store *kept, const char *name)
{
    struct case_state derived;
    struct draft draft = {.user = "ane", .form = "visit", .filled = 3, .content = "typed"};

    kept_open(kept, name);
    kept_fill_all(kept, 1);
    kept_state(kept, "C-0042", &derived);
    kept_begin(kept, "visit");
    assert_int_equal(STATUS_OK, store_put_state(kept->store, &derived, &kept->error));
    kept_commit(kept);
    draft.casefile = kept->records[RECORD_CASEFILE];
    draft.request = store_new_id(kept->store);
    draft.saved_at = kept->now;
    assert_int_equal(STATUS_OK, store_put_draft(kept->store, &draft, &kept->error));
    withdrawn_import(kept);
    store_close(kept->store);
    kept->store = NULL;
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

enum reading {
    ROWS,
    CASES,
    STATES,
    BOOKINGS,
    DRAFTS,
    HEAD,
    MOMENT,
    BEGIN,
    FIND,
    STORY,
    GONE,
    IMPORTS,
    NEWEST,
    PLACES
};

/* The readings of the past. */
static enum status read_story(struct kept_store *kept, enum reading reading, enum record_kind kind)
{
    struct error *error = &kept->error;
    instant at;

    switch (reading) {
    case STORY:
        return store_each_version(kept->store, kind, &kept->records[kind], any_version, NULL,
                                  error);
    case GONE:
        return store_each_withdrawn(kept->store, kind, &kept->records[RECORD_CASEFILE], any_version,
                                    NULL, error);
    case IMPORTS:
        return store_each_import(kept->store, any_save, NULL, error);
    case NEWEST:
        return store_newest_save(kept->store, "old", &at, error);
    case PLACES:
        return store_each_row_of_save(kept->store, &an_import, any_place, NULL, error);
    default:
        return STATUS_USAGE;
    }
}

static enum status read_back(struct kept_store *kept, enum reading reading, enum record_kind kind)
{
    struct store_request request = {.id = store_new_id(kept->store), .command = "x"};
    struct error *error = &kept->error;
    struct id id;
    int64_t sequence;
    uint8_t hash[32];

    switch (reading) {
    case ROWS:
        return store_each_row(kept->store, kind, STORE_NOW, any_row, NULL, error);
    case CASES:
        return store_each_case(kept->store, STORE_NOW, any_case, NULL, error);
    case STATES:
        return store_each_state(kept->store, 20000, any_state, NULL, error);
    case BOOKINGS:
        return store_each_booking(kept->store, 20601, any_booking, NULL, error);
    case DRAFTS:
        return store_each_draft(kept->store, "ane", any_draft, NULL, error);
    case HEAD:
        return store_head(kept->store, &sequence, hash, error);
    case MOMENT:
        return store_sequence_at(kept->store, kept->now, &sequence, error);
    case BEGIN:
        return store_begin(kept->store, &request, error);
    case FIND:
        return store_find_patient(kept->store, "patient chart 1 \xc3\x98", STORE_NOW, &id, error);
    default:
        return read_story(kept, reading, kind);
    }
}

/* Where the search for a moment looks first. */
#define MIDDLE "sequence = (SELECT (max(sequence) + 1) / 2 FROM ledger)"

static const struct {
    enum reading reading;
    enum record_kind kind;
    const char *sql, *says;
} tries[] = {
    {ROWS, RECORD_VISIT, "UPDATE visit SET date = '2026-02-30'", "date"},
    {ROWS, RECORD_VISIT, "UPDATE visit SET kind = 'dance'", "kind"},
    {ROWS, RECORD_VISIT, "UPDATE visit SET arch = 'middle'", "arch"},
    {ROWS, RECORD_VISIT, "UPDATE visit SET hardware = 'fine'", "hardware"},
    {ROWS, RECORD_VISIT, "UPDATE visit SET hardware = 'loose-band:middle'", "hardware"},
    {ROWS, RECORD_VISIT, "UPDATE visit SET hardware = 'loose-band;'", "hardware"},
    {ROWS, RECORD_VISIT, "UPDATE visit SET hardware = 'loose-bandage'", "hardware"},
    {ROWS, RECORD_VISIT, "UPDATE visit SET right_um = 99999999999", "right_mm"},
    {ROWS, RECORD_VISIT, "UPDATE visit SET recorded_at = 'yesterday'", "head"},
    {ROWS, RECORD_VISIT, "UPDATE visit SET id = x'00'", "head"},
    {ROWS, RECORD_VISIT, "UPDATE visit SET request = zeroblob(16)", "request"},
    {ROWS, RECORD_WIDTH, "UPDATE width SET teeth = '16-2'", "teeth"},
    {ROWS, RECORD_WIDTH, "UPDATE width SET teeth = '16/26'", "teeth"},
    {ROWS, RECORD_WIDTH, "UPDATE width SET teeth = '19-26'", "teeth"},
    {ROWS, RECORD_CONTACT, "UPDATE contact SET at = '2026-06-01 08:00:00'", "at"},
    {ROWS, RECORD_CONTACT, "UPDATE contact SET cleared = 'maybe'", "cleared"},
    {ROWS, RECORD_CASEFILE, "UPDATE casefile SET nickel = 'perhaps'", "nickel"},
    {ROWS, RECORD_CASEFILE, "UPDATE casefile SET medical = 1", "medical"},
    {STORY, RECORD_VISIT, "UPDATE visit SET kind = 'dance'", "kind"},
    {STORY, RECORD_BOOKING, "UPDATE withdrawal SET recorded_at = 'x'", "withdrawal"},
    {STORY, RECORD_BOOKING, "UPDATE withdrawal SET request = x'01'", "withdrawal"},
    {GONE, RECORD_BOOKING, "UPDATE withdrawal SET person = x'01'", "withdrawal"},
    {GONE, RECORD_BOOKING, "UPDATE booking SET time = '25:00'", "time"},
    {IMPORTS, RECORD_VISIT, "UPDATE request SET recorded_at = 'x'", "request"},
    {IMPORTS, RECORD_VISIT, "UPDATE request SET person = x'01'", "request"},
    {NEWEST, RECORD_VISIT, "UPDATE request SET recorded_at = 'x'", "request"},
    {PLACES, RECORD_VISIT, "UPDATE ledger SET row = x'01'", "ledger"},
    {PLACES, RECORD_VISIT, "UPDATE ledger SET kind = 'nothing'", "ledger"},
    {ROWS, RECORD_BOOKING, "UPDATE booking SET time = '25:00'", "time"},
    {ROWS, RECORD_JUDGED, "UPDATE judged SET visit = x'01'", "visit"},
    {CASES, RECORD_CASEFILE, "UPDATE casefile SET record = x'01'", "record"},
    {CASES, RECORD_CASEFILE, "UPDATE casefile SET patient = zeroblob(16)", "whom the store does"},
    {CASES, RECORD_CASEFILE, "UPDATE patient SET born = 'x'", "born"},
    {STATES, RECORD_CASEFILE, "UPDATE case_state SET stage = 'better'", "stage"},
    {STATES, RECORD_CASEFILE, "UPDATE case_state SET due_from = 'soon'", "due_from"},
    {STATES, RECORD_CASEFILE, "UPDATE booking SET date = '2026-99-99'", "date"},
    {BOOKINGS, RECORD_CASEFILE, "UPDATE booking SET kind = 'party'", "kind"},
    {BOOKINGS, RECORD_CASEFILE, "UPDATE case_state SET newest = 'x'", "newest"},
    {DRAFTS, RECORD_CASEFILE, "UPDATE draft SET saved_at = 'x'", "draft"},
    {DRAFTS, RECORD_CASEFILE, "UPDATE draft SET casefile = x'01'", "draft"},
    {HEAD, RECORD_CASEFILE, "UPDATE ledger SET hash = x'01'", "ledger"},
    {HEAD, RECORD_CASEFILE, "UPDATE ledger SET recorded_at = 'x'", "ledger"},
    {BEGIN, RECORD_CASEFILE, "UPDATE ledger SET hash = x'01'", "ledger"},
    {MOMENT, RECORD_CASEFILE, "UPDATE ledger SET recorded_at = 'x' WHERE " MIDDLE, "ledger"},
    {MOMENT, RECORD_CASEFILE, "DELETE FROM ledger WHERE " MIDDLE, "ledger"},
    {FIND, RECORD_PATIENT, "UPDATE patient SET record = x'01'", "record"},
};

static void what_can_not_be_read_is_damage(void **state)
{
    struct kept_store kept;

    (void)state;
    full_store(&kept, "damage");
    for (size_t i = 0; i < sizeof tries / sizeof tries[0]; i++) {
        struct kept_store copy = kept;
        char sql[300];

        copy.source.context = &copy;
        kept_path(copy.path, "damage-copy");
        kept_copy(kept.path, copy.path);
        /* Sound, the same reading has nothing to say. */
        kept_reopen(&copy);
        assert_int_equal(STATUS_OK, read_back(&copy, tries[i].reading, tries[i].kind));
        store_close(copy.store);
        copy.store = NULL;
        (void)snprintf(sql, sizeof sql, "PRAGMA ignore_check_constraints=ON; %s", tries[i].sql);
        assert_int_equal(SQLITE_OK, kept_raw(copy.path, true, sql));
        kept_reopen(&copy);
        memset(&copy.error, 0, sizeof copy.error);
        enum status status = read_back(&copy, tries[i].reading, tries[i].kind);
        if (status != STATUS_DAMAGED || strstr(copy.error.sentence, tries[i].says) == NULL)
            fail_msg("%s: %d %s", tries[i].sql, (int)status, copy.error.sentence);
        kept_close(&copy);
    }
    kept_close(&kept);
}

/* A store of no practice is not opened. */
static void a_store_without_its_practice(void **state)
{
    struct kept_store kept;
    struct store *store = NULL;

    (void)state;
    full_store(&kept, "practice");
    assert_int_equal(SQLITE_OK, kept_raw(kept.path, true, "DELETE FROM practice"));
    assert_int_equal(STATUS_UNUSABLE, store_open(kept.path, &kept.source, &store, &kept.error));
    assert_int_equal(STATUS_UNUSABLE, kept.error.status);
    assert_null(store);
    kept_close(&kept);
}

/* A page of the middle overwritten: readers say damage, verify finds it, nobody crashes. */
static void a_torn_page(void **state)
{
    struct kept_store kept;
    struct verify_report report;

    (void)state;
    full_store(&kept, "torn");
    long page = (long)kept_number(kept.path, "SELECT rootpage FROM sqlite_schema WHERE name = "
                                             "'visit'");
    FILE *file = fopen(kept.path, "r+b");
    assert_non_null(file);
    assert_int_equal(0, fseek(file, (page - 1) * 4096, SEEK_SET));
    for (int i = 0; i < 4096; i++)
        assert_int_equal(0xa5, fputc(0xa5, file));
    assert_int_equal(0, fclose(file));
    kept_reopen(&kept);
    assert_int_equal(STATUS_DAMAGED,
                     store_each_case(kept.store, STORE_NOW, any_case, NULL, &kept.error));
    assert_non_null(strstr(kept.error.sentence, "damaged"));
    assert_int_equal(STATUS_DAMAGED, store_verify(kept.store, &report, &kept.error));
    assert_non_null(strstr(text_string(&report.findings), "visit"));
    text_release(&report.findings);
    kept_close(&kept);
}

static void results_in_words(void **state)
{
    static const struct {
        int code;
        enum status status;
    } wanted[] = {
        {SQLITE_BUSY, STATUS_BUSY},
        {SQLITE_LOCKED, STATUS_BUSY},
        {SQLITE_BUSY_RECOVERY, STATUS_BUSY},
        {SQLITE_NOMEM, STATUS_NO_MEMORY},
        {SQLITE_IOERR_NOMEM, STATUS_NO_MEMORY},
        {SQLITE_FULL, STATUS_UNUSABLE},
        {SQLITE_IOERR_WRITE, STATUS_UNUSABLE},
        {SQLITE_IOERR_FSYNC, STATUS_UNUSABLE},
        {SQLITE_CORRUPT, STATUS_DAMAGED},
        {SQLITE_NOTADB, STATUS_DAMAGED},
        {SQLITE_READONLY, STATUS_UNUSABLE},
        {SQLITE_PERM, STATUS_UNUSABLE},
        {SQLITE_CANTOPEN, STATUS_UNUSABLE},
        {SQLITE_TOOBIG, STATUS_INPUT},
        {SQLITE_CONSTRAINT, STATUS_INPUT},
        {SQLITE_MISUSE, STATUS_UNUSABLE},
        {SQLITE_AUTH, STATUS_UNUSABLE},
    };
    struct kept_store kept;

    (void)state;
    kept_open(&kept, "words-of-results");
    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++) {
        memset(&kept.error, 0, sizeof kept.error);
        assert_int_equal(wanted[i].status, store_failure(kept.store, wanted[i].code, &kept.error));
        assert_int_equal(wanted[i].status, kept.error.status);
        assert_true(strlen(kept.error.sentence) > 10);
        assert_null(strchr(kept.error.sentence, '\n'));
    }
    kept_close(&kept);
}

/* A visitor that starts the reading it stands in is told, and harms nothing. */
static enum status start_again(void *context, const void *record, struct error *error)
{
    struct kept_store *kept = context;
    enum status status = store_each_row(kept->store, RECORD_VISIT, STORE_NOW, any_row, NULL, error);

    (void)record;
    assert_int_equal(STATUS_UNUSABLE, status);
    return status;
}

/* Other readings may stand in each other. */
static enum status look_elsewhere(void *context, const struct history *history, struct error *error)
{
    struct kept_store *kept = context;
    struct arena arena = {0};
    struct history again;
    enum status status = store_read_case(kept->store, &history->casefile->head.record, STORE_NOW,
                                         &arena, &again, error);

    if (status == STATUS_OK)
        assert_string_equal(history->casefile->number, again.casefile->number);
    arena_release(&arena);
    if (status == STATUS_OK)
        status = store_each_row(kept->store, RECORD_WIDTH, STORE_NOW, any_row, NULL, error);
    return status;
}

static void readings_within_readings(void **state)
{
    struct kept_store kept;

    (void)state;
    kept_open(&kept, "within");
    kept_fill_all(&kept, 1);
    assert_int_equal(STATUS_UNUSABLE, store_each_row(kept.store, RECORD_VISIT, STORE_NOW,
                                                     start_again, &kept, &kept.error));
    assert_int_equal(STATUS_OK,
                     store_each_case(kept.store, STORE_NOW, look_elsewhere, &kept, &kept.error));
    /* And within a save they see what it wrote. */
    union any_row row;
    struct arena arena = {0};
    kept_begin(&kept, "visit");
    kept_fill(&kept, RECORD_WIDTH, 2, &row);
    kept_append(&kept, RECORD_WIDTH, &row);
    union any_row found;
    assert_int_equal(STATUS_OK, store_find_same_key(kept.store, RECORD_WIDTH, &row, &arena, &found,
                                                    &kept.error));
    arena_release(&arena);
    kept_commit(&kept);
    kept_close(&kept);
}

/* A store that was closed by an error answers every call with that, and can be closed. */
static void a_closed_store_says_so(void **state)
{
    struct kept_store kept;
    struct store_request request = {.command = "x"};
    struct draft draft = {.user = "ane", .form = "visit"};
    struct history history;
    struct arena arena = {0};
    struct verify_report report;
    struct error *error = &kept.error;
    struct id id = {{1}};
    int64_t sequence;
    uint8_t hash[32];
    union any_row row;

    (void)state;
    kept_open(&kept, "closed");
    kept_fill_all(&kept, 1);
    kept_fill(&kept, RECORD_VISIT, 2, &row);
    connection_close(kept.store);
    request.id = id;
    assert_int_equal(STATUS_UNUSABLE, store_begin(kept.store, &request, error));
    assert_non_null(strstr(error->sentence, "was closed after an error"));
    assert_int_equal(STATUS_UNUSABLE, store_append(kept.store, RECORD_VISIT, &row, error));
    assert_int_equal(STATUS_UNUSABLE, store_commit(kept.store, error));
    store_rollback(kept.store);
    assert_int_equal(STATUS_UNUSABLE,
                     store_read_case(kept.store, &id, STORE_NOW, &arena, &history, error));
    assert_int_equal(STATUS_UNUSABLE, store_find_case(kept.store, "C", STORE_NOW, &id, error));
    assert_int_equal(STATUS_UNUSABLE,
                     store_find_same_key(kept.store, RECORD_VISIT, &row, &arena, &row, error));
    for (int reading = ROWS; reading <= MOMENT; reading++)
        assert_int_equal(STATUS_UNUSABLE, read_back(&kept, (enum reading)reading, RECORD_VISIT));
    assert_int_equal(STATUS_UNUSABLE, store_put_draft(kept.store, &draft, error));
    assert_int_equal(STATUS_UNUSABLE, store_drop_draft(kept.store, "a", "b", &id, error));
    assert_int_equal(STATUS_UNUSABLE, store_verify(kept.store, &report, error));
    assert_int_equal(STATUS_UNUSABLE, store_head(kept.store, &sequence, hash, error));
    (void)store_data_version(kept.store);
    assert_true(store_instant(kept.store) > 0);
    kept_reopen(&kept);
    kept_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_can_not_be_read_is_damage),
        cmocka_unit_test(a_store_without_its_practice),
        cmocka_unit_test(a_torn_page),
        cmocka_unit_test(results_in_words),
        cmocka_unit_test(readings_within_readings),
        cmocka_unit_test(a_closed_store_says_so),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
