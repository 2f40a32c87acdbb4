/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "kept_store.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "springline/store/erase.h"

/* 2026-06-01T08:00:00Z. */
#define KEPT_START INT64_C(1780300800)

static instant tick(void *context)
{
    struct kept_store *kept = context;

    return kept->now++;
}

/* splitmix64 (Steele, Lea, Flood 2014): bytes that differ, the same in every run. */
static void bytes_of(void *context, void *bytes, size_t count)
{
    struct kept_store *kept = context;
    unsigned char *out = bytes;

    for (size_t i = 0; i < count; i++) {
        uint64_t z = kept->counter += UINT64_C(0x9e3779b97f4a7c15);

        z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
        z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
        out[i] = (unsigned char)(z ^ (z >> 31));
    }
}

static void good(struct kept_store *kept, enum status status, const char *what)
{
    if (status != STATUS_OK)
        fail_msg("%s: %d, %s", what, (int)status, kept->error.sentence);
}

void kept_path(char path[400], const char *name)
{
    static const char *const ends[] = {"-journal", "-wal", "-shm", ""};
    const char *folder = getenv("TMPDIR");
    char beside[420];

    (void)snprintf(path, 380, "%s/%s.db", folder != NULL ? folder : "/tmp", name);
    for (size_t i = 0; i < 4; i++) {
        (void)snprintf(beside, sizeof beside, "%s%s", path, ends[i]);
        (void)unlink(beside);
    }
}

void kept_source(struct kept_store *kept, const char *name)
{
    memset(kept, 0, sizeof *kept);
    kept->now = KEPT_START;
    kept->source = (struct store_source){tick, bytes_of, kept};
    kept_path(kept->path, name);
}

void kept_open(struct kept_store *kept, const char *name)
{
    kept_source(kept, name);
    good(kept, store_create(kept->path, &kept->source, &kept->store, &kept->error), "create");
}

void kept_reopen(struct kept_store *kept)
{
    store_close(kept->store);
    kept->store = NULL;
    good(kept, store_open(kept->path, &kept->source, &kept->store, &kept->error), "open");
}

void kept_close(struct kept_store *kept)
{
    char beside[420];

    store_close(kept->store);
    kept->store = NULL;
    (void)unlink(kept->path);
    (void)snprintf(beside, sizeof beside, "%s-journal", kept->path);
    (void)unlink(beside);
}

void kept_begin(struct kept_store *kept, const char *command)
{
    struct store_request request = {.id = store_new_id(kept->store),
                                    .command = command,
                                    .seat = "tester@pts/0",
                                    .person = kept->records[RECORD_PERSON],
                                    .imported = strcmp(command, "import") == 0,
                                    .label = "a file"};

    good(kept, store_begin(kept->store, &request, &kept->error), "begin");
}

void kept_commit(struct kept_store *kept)
{
    good(kept, store_commit(kept->store, &kept->error), "commit");
}

void kept_append(struct kept_store *kept, enum record_kind kind, void *row)
{
    good(kept, store_append(kept->store, kind, row, &kept->error), record_tables[kind].table);
    kept->records[kind] = ((struct row_head *)row)->record;
}

/* Never released: rows of a test point into it to its end. */
static struct arena texts;

/* A text of its own for each field and seed, kept for the life of the process. */
static const char *text_for(const char *table, const char *name, int seed)
{
    char buffer[120];
    char *text;

    (void)snprintf(buffer, sizeof buffer, "%s %s %d \xc3\x98", table, name, seed);
    if (strcmp(name, "findings") == 0)
        (void)snprintf(buffer, sizeof buffer, "[{\"rule\":\"too-soon\",\"days\":%d}]", seed);
    text = arena_text(&texts, buffer, strlen(buffer));
    assert_non_null(text);
    return text;
}

/* Names of rows and hashes are hexadecimal, of their own length; a month is a month. */
static const char *hexadecimal(const char *name, const char *text, int seed)
{
    static const struct {
        const char *name;
        int digits;
    } columns[] = {{"row", 32}, {"row_hash", 64}, {"hash", 64}, {"digest", 64}};
    char buffer[80];

    for (size_t i = 0; i < sizeof columns / sizeof columns[0]; i++) {
        if (strcmp(name, columns[i].name) == 0) {
            (void)snprintf(buffer, sizeof buffer, "%0*x", columns[i].digits, (unsigned)seed);
            return arena_text(&texts, buffer, strlen(buffer));
        }
    }
    if (strcmp(name, "month") != 0)
        return text;
    (void)snprintf(buffer, sizeof buffer, "%04d-05", 2000 + seed);
    return arena_text(&texts, buffer, strlen(buffer));
}

/* A table of the ledger. */
static const char *table_name(const char *table, const char *name, const char *text)
{
    return strcmp(name, "kind") == 0 && strcmp(table, "signature") == 0 ? "visit" : text;
}

static void fill_field(struct kept_store *kept, const char *table, const struct field *field,
                       int seed, void *row)
{
    char *at = (char *)row + field->offset;
    const char *text = text_for(table, field->name, seed);
    const int32_t number = 5000 + seed;
    const day date = 20600 + seed;
    const instant when = KEPT_START + seed;
    const struct teeth teeth = {16, 26};
    const uint32_t hardware =
        hardware_bit(FAULT_LOOSE_BAND, SIDE_RIGHT) | hardware_bit(FAULT_LOST_BRACKET, SIDE_NONE);
    const int word = 1, small = 1 + seed % 200, minutes = 545 + seed;

    switch (field->type) {
    case FIELD_TEXT:
        text = table_name(table, field->name, hexadecimal(field->name, text, seed));
        memcpy(at, &text, sizeof text);
        break;
    case FIELD_DAY:
        memcpy(at, &date, sizeof date);
        break;
    case FIELD_INSTANT:
        memcpy(at, &when, sizeof when);
        break;
    case FIELD_CLOCK:
        memcpy(at, &minutes, sizeof minutes);
        break;
    case FIELD_UM:
        memcpy(at, &number, sizeof number);
        break;
    case FIELD_INT:
        memcpy(at, &small, sizeof small);
        break;
    case FIELD_WORD:
        memcpy(at, &word, sizeof word);
        break;
    case FIELD_HARDWARE:
        memcpy(at, &hardware, sizeof hardware);
        break;
    case FIELD_TEETH:
        memcpy(at, &teeth, sizeof teeth);
        break;
    case FIELD_ID:
        memcpy(at, &kept->records[field->refers], sizeof(struct id));
        break;
    }
}

/* The limits of a protocol stand in an order. */
static void order_protocol(struct protocol *protocol)
{
    protocol->name = STORE_PRACTICE_PROTOCOL;
    protocol->step_grain = 250;
    protocol->first_step_max = 1000;
    protocol->step_max = 2000;
    protocol->entry_cap = 5000;
    protocol->interval_min_days = 21;
    protocol->interval_max_days = 28;
    protocol->restart_after_days = 56;
    protocol->wear_low_permille = 500;
    protocol->wear_full_permille = 800;
}

void kept_fill(struct kept_store *kept, enum record_kind kind, int seed, union any_row *row)
{
    const struct record_table *table = &record_tables[kind];

    memset(row, 0, sizeof *row);
    for (size_t i = 0; i < table->field_count; i++)
        fill_field(kept, table->table, &table->fields[i], seed, row);
    if (kind == RECORD_PROTOCOL)
        order_protocol(&row->protocol);
    if (kind == RECORD_CASEFILE)
        row->casefile.protocol = "";
    if (kind == RECORD_JUDGED)
        row->judged.verdict = 1 + seed % 4;
    if (kind == RECORD_WIDTH)
        row->width.value = 30000 + seed;
    if (kind == RECORD_TOOTH_WIDTH)
        row->tooth_width.tooth = 11 + seed % 8;
    if (kind == RECORD_EXPANDER) {
        row->expander.wire = 700;
        row->expander.target = 38000 + seed;
    }
}

void kept_fill_all(struct kept_store *kept, int seed)
{
    static const enum record_kind order[] = {
        RECORD_PERSON,      RECORD_PROTOCOL,     RECORD_PATIENT,    RECORD_CASEFILE,
        RECORD_TRAINER,     RECORD_EXPANDER,     RECORD_VISIT,      RECORD_WIDTH,
        RECORD_WEAR_DAY,    RECORD_WEAR_COUNT,   RECORD_CONTACT,    RECORD_BOOKING,
        RECORD_TOOTH_WIDTH, RECORD_ARCH_SEGMENT, RECORD_ARCH_DEPTH, RECORD_PLAN,
        RECORD_JUDGED,      RECORD_ACCESS,       RECORD_SIGNATURE,  RECORD_MONTH_CLOSE};

    kept_begin(kept, "fill");
    for (size_t i = 0; i < sizeof order / sizeof order[0]; i++) {
        union any_row row;

        /* There is one protocol of the practice. */
        if (order[i] == RECORD_PROTOCOL && !id_is_none(&kept->records[RECORD_PROTOCOL]))
            continue;
        kept_fill(kept, order[i], seed, &row);
        kept_append(kept, order[i], &row);
    }
    kept_commit(kept);
}

void kept_erase(struct kept_store *kept, int seed)
{
    const struct id before = kept->records[RECORD_PATIENT];
    struct store *erasing;
    struct store_erased erased;
    union any_row row;

    kept_begin(kept, "patient");
    kept_fill(kept, RECORD_PATIENT, seed, &row);
    kept_append(kept, RECORD_PATIENT, &row);
    kept_commit(kept);
    good(kept, store_open_erasing(kept->store, &erasing, &kept->error), "open to erase");
    struct store_request request = {.id = store_new_id(erasing), .command = "erase"};
    good(kept, store_begin(erasing, &request, &kept->error), "begin to erase");
    good(kept,
         store_erase_patient(erasing, &row.head.record, "asked for in writing", &erased,
                             &kept->error),
         "erase");
    good(kept, store_commit(erasing, &kept->error), "commit the erasure");
    store_close(erasing);
    kept->records[RECORD_PATIENT] = before;
}

static bool same_field(const struct field *field, const void *a, const void *b)
{
    static const size_t sizes[] = {
        [FIELD_DAY] = sizeof(day),           [FIELD_INSTANT] = sizeof(instant),
        [FIELD_CLOCK] = sizeof(int32_t),     [FIELD_UM] = sizeof(um),
        [FIELD_INT] = sizeof(int32_t),       [FIELD_WORD] = sizeof(int),
        [FIELD_HARDWARE] = sizeof(uint32_t), [FIELD_TEETH] = sizeof(struct teeth),
        [FIELD_ID] = sizeof(struct id)};
    const char *at_a = (const char *)a + field->offset, *at_b = (const char *)b + field->offset;
    const char *text_a, *text_b;

    if (field->type != FIELD_TEXT)
        return memcmp(at_a, at_b, sizes[field->type]) == 0;
    memcpy(&text_a, at_a, sizeof text_a);
    memcpy(&text_b, at_b, sizeof text_b);
    return strcmp(text_a != NULL ? text_a : "", text_b != NULL ? text_b : "") == 0;
}

void kept_same_fields(enum record_kind kind, const void *a, const void *b)
{
    const struct record_table *table = &record_tables[kind];

    for (size_t i = 0; i < table->field_count; i++)
        if (!same_field(&table->fields[i], a, b))
            fail_msg("%s.%s is not the same", table->table, table->fields[i].name);
}

void kept_state(struct kept_store *kept, const char *number, struct case_state *state)
{
    memset(state, 0, sizeof *state);
    state->casefile = kept->records[RECORD_CASEFILE];
    state->stage = STAGE_ACTIVE;
    state->stage_upper = STAGE_ACTIVE;
    state->stage_lower = STAGE_RETENTION;
    state->stability_from_upper = 20901;
    state->stability_from_lower = DAY_NONE;
    state->newest = 20600;
    state->last_seen = 20599;
    state->due_from = 20621;
    state->due_to = 20628;
    for (int i = 0; i < SAFETY_COUNT; i++)
        state->safety_from[i] = i == SAFETY_NONE ? DAY_NONE : 20700 + i;
    state->again_on = 20610;
    state->last_contact = 20605;
    state->last_verdict = 3;
    state->last_recomputed = true;
    state->number = number;
    state->family = "\xc3\x98"
                    "deg\xc3\xa5rd";
    state->given = "Ane";
    state->phone = "000 111";
    state->clinician = "A. Nyone";
}

static int drop_all(sqlite3 *db)
{
    struct text sql = {0};
    sqlite3_stmt *stmt = NULL;
    text_add(&sql, "BEGIN;");
    int code = sqlite3_prepare_v2(db, "SELECT name FROM sqlite_schema WHERE type = 'trigger'", -1,
                                  &stmt, NULL);

    while (code == SQLITE_OK && sqlite3_step(stmt) == SQLITE_ROW)
        text_addf(&sql, "DROP TRIGGER %s;", (const char *)sqlite3_column_text(stmt, 0));
    sqlite3_finalize(stmt);
    text_add(&sql, "COMMIT");
    if (code == SQLITE_OK)
        code = sqlite3_exec(db, text_string(&sql), NULL, NULL, NULL);
    text_release(&sql);
    return code;
}

int kept_raw(const char *path, bool drop_triggers, const char *sql)
{
    sqlite3 *db = NULL;
    int code = sqlite3_open(path, &db);

    if (code == SQLITE_OK)
        code = sqlite3_extended_result_codes(db, 1);
    /* What a test writes need not outlive a power cut. */
    if (code == SQLITE_OK)
        code = sqlite3_exec(db, "PRAGMA synchronous=OFF", NULL, NULL, NULL);
    if (code == SQLITE_OK && drop_triggers)
        code = drop_all(db);
    if (code == SQLITE_OK)
        code = sqlite3_exec(db, sql, NULL, NULL, NULL);
    (void)sqlite3_close(db);
    return code;
}

void kept_text(const char *path, const char *sql, char *text, size_t size)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *stmt = NULL;

    assert_int_equal(SQLITE_OK, sqlite3_open(path, &db));
    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        fail_msg("%s: %s", sql, sqlite3_errmsg(db));
    assert_int_equal(SQLITE_ROW, sqlite3_step(stmt));
    const char *found = (const char *)sqlite3_column_text(stmt, 0);
    (void)snprintf(text, size, "%s", found != NULL ? found : "");
    sqlite3_finalize(stmt);
    assert_int_equal(SQLITE_OK, sqlite3_close(db));
}

int64_t kept_number(const char *path, const char *sql)
{
    char text[40];

    kept_text(path, sql, text, sizeof text);
    return strtoll(text, NULL, 10);
}

unsigned char *kept_bytes(const char *path, size_t *size)
{
    FILE *file = fopen(path, "rb");
    unsigned char *bytes;
    long length;

    assert_non_null(file);
    assert_int_equal(0, fseek(file, 0, SEEK_END));
    length = ftell(file);
    assert_true(length >= 0);
    rewind(file);
    bytes = malloc((size_t)length + 1);
    assert_non_null(bytes);
    assert_int_equal((size_t)length, fread(bytes, 1, (size_t)length, file));
    (void)fclose(file);
    *size = (size_t)length;
    return bytes;
}

void kept_copy(const char *from, const char *to)
{
    size_t size;
    unsigned char *bytes = kept_bytes(from, &size);
    FILE *file = fopen(to, "wb");

    assert_non_null(file);
    assert_int_equal(size, fwrite(bytes, 1, size, file));
    assert_int_equal(0, fclose(file));
    free(bytes);
}
