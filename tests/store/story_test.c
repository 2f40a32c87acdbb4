/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The story of a record: every version of every kind, how it ended, what a save wrote and what
 * stands on it. Compared with what was written, and with plain SQL on a connection of its own.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kept_store.h"

/* What a visitor of versions saw: newest first. */
struct told {
    struct kept_store *kept;
    enum record_kind kind;
    int count, ended;
    int32_t versions[8];
    char reasons[8][40]; /* of the versions */
    char why[40];        /* of the withdrawal */
    struct id person, request;
};

static enum status tell(void *context, const void *record, const struct store_withdrawn *withdrawn,
                        struct error *error)
{
    struct told *told = context;
    const struct row_head *head = record;
    struct arena arena = {0};
    union any_row row;

    if (told->count < 8) {
        told->versions[told->count] = head->version;
        (void)snprintf(told->reasons[told->count], sizeof told->reasons[0], "%s", head->reason);
    }
    told->count++;
    if (withdrawn != NULL) {
        told->ended++;
        (void)snprintf(told->why, sizeof told->why, "%s", withdrawn->reason);
        told->person = withdrawn->person;
        told->request = withdrawn->request;
    }
    /* A visitor may read on: the same row by its id, of the same kind. */
    assert_int_equal(STATUS_OK,
                     store_read_row(told->kept->store, told->kind, &head->id, &arena, &row, error));
    kept_same_fields(told->kind, record, &row);
    arena_release(&arena);
    return STATUS_OK;
}

static void each_version(struct kept_store *kept, enum record_kind kind, const struct id *record,
                         struct told *told)
{
    memset(told, 0, sizeof *told);
    told->kept = kept;
    told->kind = kind;
    assert_int_equal(STATUS_OK,
                     store_each_version(kept->store, kind, record, tell, told, &kept->error));
}

/* A second version of the one full row of each kind, with its reason. */
static void two_versions(struct kept_store *kept)
{
    struct id first[RECORD_KIND_COUNT];

    memcpy(first, kept->records, sizeof first);
    kept_begin(kept, "correct");
    for (int kind = 0; kind < KEPT_KINDS; kind++) {
        union any_row row;

        kept_fill(kept, (enum record_kind)kind, 1, &row);
        row.head.version = 1;
        row.head.id = first[kind];
        row.head.reason = "read wrong";
        assert_int_equal(STATUS_OK,
                         store_append(kept->store, (enum record_kind)kind, &row, &kept->error));
        assert_int_equal(2, row.head.version);
    }
    kept_commit(kept);
}

static void every_version_of_every_kind_is_told(void **state)
{
    struct kept_store kept;
    struct told told;

    (void)state;
    kept_open(&kept, "versions");
    kept_fill_all(&kept, 1);
    two_versions(&kept);
    for (int kind = 0; kind < KEPT_KINDS; kind++) {
        each_version(&kept, (enum record_kind)kind, &kept.records[kind], &told);
        assert_int_equal(2, told.count);
        assert_int_equal(0, told.ended);
        assert_int_equal(2, told.versions[0]);
        assert_int_equal(1, told.versions[1]);
        assert_string_equal("read wrong", told.reasons[0]);
        assert_string_equal("", told.reasons[1]);
    }
    kept_close(&kept);
}

static void the_end_of_a_record_is_told_with_its_newest_version(void **state)
{
    struct kept_store kept;
    struct arena arena = {0};
    union any_row row;
    struct told told;

    (void)state;
    kept_open(&kept, "ended");
    kept_fill_all(&kept, 1);
    two_versions(&kept);
    for (int kind = RECORD_TRAINER; kind <= RECORD_PLAN; kind++) {
        const struct id *record = &kept.records[kind];

        assert_int_equal(STATUS_OK, store_read_current(kept.store, (enum record_kind)kind, record,
                                                       &arena, &row, &kept.error));
        assert_int_equal(2, row.head.version);
        kept_begin(&kept, "withdraw");
        assert_int_equal(STATUS_OK, store_withdraw(kept.store, (enum record_kind)kind, &row.head.id,
                                                   "the other child", &kept.error));
        kept_commit(&kept);
        each_version(&kept, (enum record_kind)kind, record, &told);
        assert_int_equal(2, told.count);
        assert_int_equal(1, told.ended);
        assert_string_equal("the other child", told.why);
        assert_false(id_is_none(&told.request));
        assert_int_equal(STATUS_NOT_FOUND, store_read_current(kept.store, (enum record_kind)kind,
                                                              record, &arena, &row, &kept.error));
        memset(&told, 0, sizeof told);
        told.kept = &kept;
        told.kind = (enum record_kind)kind;
        assert_int_equal(STATUS_OK, store_each_withdrawn(kept.store, (enum record_kind)kind,
                                                         &kept.records[RECORD_CASEFILE], tell,
                                                         &told, &kept.error));
        assert_int_equal(1, told.count);
        assert_int_equal(1, told.ended);
        assert_int_equal(2, told.versions[0]);
    }
    arena_release(&arena);
    kept_close(&kept);
}

static void what_is_not_there_is_not_found(void **state)
{
    struct kept_store kept;
    struct arena arena = {0};
    union any_row row;
    struct told told = {.count = 0};
    struct store_save_told save;
    struct id strange;
    instant at;

    (void)state;
    kept_open(&kept, "absent");
    kept_fill_all(&kept, 1);
    strange = store_new_id(kept.store);
    for (int i = 0; i < RECORD_KIND_COUNT; i++) {
        enum record_kind kind = (enum record_kind)i;

        assert_int_equal(STATUS_NOT_FOUND,
                         store_each_version(kept.store, kind, &strange, tell, &told, &kept.error));
        assert_int_equal(STATUS_NOT_FOUND,
                         store_read_row(kept.store, kind, &strange, &arena, &row, &kept.error));
        assert_int_equal(STATUS_NOT_FOUND,
                         store_read_current(kept.store, kind, &strange, &arena, &row, &kept.error));
        assert_int_equal(
            STATUS_OK, store_each_withdrawn(kept.store, kind, &strange, tell, &told, &kept.error));
    }
    assert_int_equal(0, told.count);
    assert_int_equal(STATUS_NOT_FOUND,
                     store_read_save(kept.store, &strange, &arena, &save, &kept.error));
    assert_int_equal(STATUS_NOT_FOUND, store_newest_save(kept.store, "backup", &at, &kept.error));
    arena_release(&arena);
    kept_close(&kept);
}

/* ---- saves ---- */

static struct id import_begin(struct kept_store *kept, const char *label)
{
    struct store_request request = {.id = store_new_id(kept->store),
                                    .command = "import",
                                    .seat = "tester@tty1",
                                    .label = label,
                                    .imported = true};

    assert_int_equal(STATUS_OK, store_begin(kept->store, &request, &kept->error));
    return request.id;
}

/* An import of a patient with a case and a width; the records are remembered. */
static struct id import_one(struct kept_store *kept, const char *label, int seed)
{
    static const enum record_kind kinds[] = {RECORD_PATIENT, RECORD_CASEFILE, RECORD_WIDTH};
    struct id request = import_begin(kept, label);

    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        union any_row row;

        kept_fill(kept, kinds[i], seed, &row);
        kept_append(kept, kinds[i], &row);
    }
    kept_commit(kept);
    return request;
}

struct imports {
    int count;
    int64_t sequence[4], rows[4], withdrawn[4];
    char label[4][40];
};

static enum status tell_import(void *context, const struct store_save_told *told,
                               struct error *error)
{
    struct imports *imports = context;
    int at = imports->count++;

    (void)error;
    assert_true(at < 4 && told->imported);
    imports->sequence[at] = told->sequence;
    imports->rows[at] = told->rows;
    imports->withdrawn[at] = told->withdrawn;
    (void)snprintf(imports->label[at], sizeof imports->label[0], "%s", told->label);
    return STATUS_OK;
}

static void a_save_tells_who_and_what(void **state)
{
    struct kept_store kept;
    struct arena arena = {0};
    struct store_save_told told;
    struct id request;
    struct imports imports = {0};

    (void)state;
    kept_open(&kept, "told");
    kept_fill_all(&kept, 1);
    request = import_one(&kept, "/old/practice", 2);
    (void)import_one(&kept, "second", 3);
    assert_int_equal(STATUS_OK, store_read_save(kept.store, &request, &arena, &told, &kept.error));
    assert_true(id_equal(&request, &told.id));
    assert_true(told.imported && id_is_none(&told.person));
    assert_string_equal("import", told.command);
    assert_string_equal("tester@tty1", told.seat);
    assert_string_equal("/old/practice", told.label);
    /* Its place by SQL: the number that a batch is called by. */
    assert_int_equal(
        kept_number(kept.path, "SELECT sequence FROM request WHERE label LIKE '/old%'"),
        told.sequence);
    assert_int_equal(STATUS_OK, store_each_import(kept.store, tell_import, &imports, &kept.error));
    assert_int_equal(2, imports.count);
    assert_int_equal(told.sequence, imports.sequence[0]);
    assert_true(imports.sequence[1] > imports.sequence[0]);
    assert_string_equal("second", imports.label[1]);
    for (int i = 0; i < 2; i++) {
        assert_int_equal(3, imports.rows[i]);
        assert_int_equal(0, imports.withdrawn[i]);
    }
    arena_release(&arena);
    kept_close(&kept);
}

struct places {
    int count;
    enum record_kind kinds[8];
    struct id rows[8];
};

static enum status tell_place(void *context, enum record_kind kind, const struct id *row,
                              struct error *error)
{
    struct places *places = context;

    (void)error;
    assert_true(places->count < 8);
    places->kinds[places->count] = kind;
    places->rows[places->count++] = *row;
    return STATUS_OK;
}

static void the_current_rows_of_a_save_come_newest_first(void **state)
{
    struct kept_store kept;
    struct places places = {0}, fewer = {0};
    struct id request;

    (void)state;
    kept_open(&kept, "rows");
    kept_fill_all(&kept, 1);
    request = import_one(&kept, "one", 2);
    (void)import_one(&kept, "other", 3);
    assert_int_equal(
        STATUS_OK, store_each_row_of_save(kept.store, &request, tell_place, &places, &kept.error));
    assert_int_equal(3, places.count);
    assert_int_equal(RECORD_WIDTH, places.kinds[0]);
    assert_int_equal(RECORD_CASEFILE, places.kinds[1]);
    assert_int_equal(RECORD_PATIENT, places.kinds[2]);
    kept_begin(&kept, "withdraw");
    assert_int_equal(
        STATUS_OK, store_withdraw(kept.store, RECORD_WIDTH, &places.rows[0], "slip", &kept.error));
    kept_commit(&kept);
    assert_int_equal(STATUS_OK,
                     store_each_row_of_save(kept.store, &request, tell_place, &fewer, &kept.error));
    assert_int_equal(2, fewer.count);
    kept_close(&kept);
}

/* What stands on the save; the kind, or RECORD_KIND_COUNT: nothing. */
static enum record_kind dependent(struct kept_store *kept, const struct id *request, struct id *row)
{
    enum record_kind kind = RECORD_KIND_COUNT;
    int64_t sequence = 0;
    enum status status =
        store_find_dependent(kept->store, request, &kind, row, &sequence, &kept->error);

    assert_true(status == STATUS_OK || status == STATUS_NOT_FOUND);
    assert_int_equal(status == STATUS_OK, sequence > 0);
    return status == STATUS_OK ? kind : RECORD_KIND_COUNT;
}

/* Every kind that belongs to a case or a patient, recorded later and withdrawn again. */
static void a_later_row_stands_on_a_save_until_it_is_withdrawn(void **state)
{
    struct kept_store kept;
    struct id request, row;

    (void)state;
    kept_open(&kept, "stands");
    kept_fill_all(&kept, 1);
    request = import_one(&kept, "one", 2);
    assert_int_equal(RECORD_KIND_COUNT, dependent(&kept, &request, &row));
    for (int kind = RECORD_CASEFILE; kind <= RECORD_PLAN; kind++) {
        union any_row later;
        struct id casefile = kept.records[RECORD_CASEFILE];

        kept_fill(&kept, (enum record_kind)kind, 5, &later);
        kept_begin(&kept, "later");
        kept_append(&kept, (enum record_kind)kind, &later);
        kept_commit(&kept);
        kept.records[RECORD_CASEFILE] = casefile;
        assert_int_equal(kind, dependent(&kept, &request, &row));
        assert_true(id_equal(&row, &later.head.id));
        kept_begin(&kept, "withdraw");
        assert_int_equal(STATUS_OK, store_withdraw(kept.store, (enum record_kind)kind,
                                                   &later.head.id, "slip", &kept.error));
        kept_commit(&kept);
        assert_int_equal(RECORD_KIND_COUNT, dependent(&kept, &request, &row));
    }
    kept_close(&kept);
}

static void a_correction_stands_on_a_save_until_its_record_is_withdrawn(void **state)
{
    struct kept_store kept;
    struct id request, row, width;
    union any_row later;

    (void)state;
    kept_open(&kept, "corrected");
    kept_fill_all(&kept, 1);
    request = import_one(&kept, "one", 2);
    width = kept.records[RECORD_WIDTH];
    kept_fill(&kept, RECORD_WIDTH, 4, &later);
    later.head.id = width;
    later.head.version = 1;
    for (int i = 0; i < 2; i++) { /* corrected twice: the first correction is named */
        struct id before = later.head.id;

        kept_begin(&kept, "correct");
        assert_int_equal(STATUS_OK, store_append(kept.store, RECORD_WIDTH, &later, &kept.error));
        kept_commit(&kept);
        assert_int_equal(RECORD_WIDTH, dependent(&kept, &request, &row));
        assert_true(i == 0 ? id_equal(&row, &later.head.id) : id_equal(&row, &before));
    }
    kept_begin(&kept, "withdraw");
    assert_int_equal(STATUS_OK,
                     store_withdraw(kept.store, RECORD_WIDTH, &later.head.id, "slip", &kept.error));
    kept_commit(&kept);
    assert_int_equal(RECORD_KIND_COUNT, dependent(&kept, &request, &row));
    kept_close(&kept);
}

/* Between the two steps of opening, for the first screen. */
static void the_newest_save_of_a_command_is_known_early(void **state)
{
    struct kept_store kept;
    instant first, second;

    (void)state;
    kept_open(&kept, "newest");
    kept_begin(&kept, "backup");
    kept_commit(&kept);
    assert_int_equal(STATUS_OK, store_newest_save(kept.store, "backup", &first, &kept.error));
    kept_begin(&kept, "backup");
    kept_commit(&kept);
    kept_begin(&kept, "visit");
    kept_commit(&kept);
    store_close(kept.store);
    kept.store = NULL;
    assert_int_equal(STATUS_OK,
                     store_open_first(kept.path, &kept.source, &kept.store, &kept.error));
    assert_int_equal(STATUS_OK, store_newest_save(kept.store, "backup", &second, &kept.error));
    assert_true(second > first);
    assert_int_equal(STATUS_NOT_FOUND, store_newest_save(kept.store, "", &second, &kept.error));
    kept_close(&kept);
}

static void add_numbers(struct kept_store *kept, int seed, const char *chart, const char *number)
{
    union any_row row;

    kept_fill(kept, RECORD_PATIENT, seed, &row);
    row.patient.chart = chart;
    kept_begin(kept, "new");
    kept_append(kept, RECORD_PATIENT, &row);
    kept_fill(kept, RECORD_CASEFILE, seed, &row);
    row.casefile.number = number;
    kept_append(kept, RECORD_CASEFILE, &row);
    kept_commit(kept);
}

static void the_greatest_numbers_count_by_their_digits(void **state)
{
    static const char *const numbers[][2] = {
        {"P-9", "C-0099"},
        {"P-10", "C-0051"},
        {"P-zz", "C-0100"},
        {"P-20251125093000000", "C-12-"}}; /* no counted ones */
    struct kept_store kept;
    struct arena arena = {0};
    const char *number, *chart;

    (void)state;
    kept_open(&kept, "numbers");
    assert_int_equal(STATUS_OK,
                     store_greatest_numbers(kept.store, &arena, &number, &chart, &kept.error));
    assert_string_equal("", number);
    assert_string_equal("", chart);
    for (int i = 0; i < 4; i++)
        add_numbers(&kept, i, numbers[i][0], numbers[i][1]);
    assert_int_equal(STATUS_OK,
                     store_greatest_numbers(kept.store, &arena, &number, &chart, &kept.error));
    assert_string_equal("C-0100", number);
    assert_string_equal("P-10", chart);
    arena_release(&arena);
    kept_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_version_of_every_kind_is_told),
        cmocka_unit_test(the_end_of_a_record_is_told_with_its_newest_version),
        cmocka_unit_test(what_is_not_there_is_not_found),
        cmocka_unit_test(a_save_tells_who_and_what),
        cmocka_unit_test(the_current_rows_of_a_save_come_newest_first),
        cmocka_unit_test(a_later_row_stands_on_a_save_until_it_is_withdrawn),
        cmocka_unit_test(a_correction_stands_on_a_save_until_its_record_is_withdrawn),
        cmocka_unit_test(the_newest_save_of_a_command_is_known_early),
        cmocka_unit_test(the_greatest_numbers_count_by_their_digits),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
