/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows from SQLite to structs. What can not be read is damage, never a guess. */
#include "cell.h"

#include <string.h>

/* The text of a column, in arena or (arena NULL) in the row; NULL when memory is exhausted. */
static const char *take_text(sqlite3_stmt *stmt, int column, struct arena *arena)
{
    const char *text = (const char *)sqlite3_column_text(stmt, column);

    if (text == NULL || arena == NULL)
        return text;
    return arena_text(arena, text, (size_t)sqlite3_column_bytes(stmt, column));
}

/* One word of a list of faults, as "loose-band:right", to its bit; 0: there is none such. */
static uint32_t fault_bit(const char *item, size_t length)
{
    for (int fault = FAULT_LOOSE_BAND; fault <= FAULT_COUNT; fault++) {
        const char *name = word_text(&words_fault, fault);
        size_t named = strlen(name);

        if (length < named || memcmp(item, name, named) != 0)
            continue;
        if (length == named)
            return hardware_bit((enum fault)fault, SIDE_NONE);
        for (int side = SIDE_RIGHT; side <= SIDE_LEFT; side++) {
            const char *word = word_text(&words_side, side);

            if (item[named] == ':' && length == named + 1 + strlen(word) &&
                memcmp(item + named + 1, word, strlen(word)) == 0)
                return hardware_bit((enum fault)fault, (enum side)side);
        }
    }
    return 0;
}

static bool read_hardware(const char *text, uint32_t *hardware)
{
    *hardware = HARDWARE_INTACT;
    if (strcmp(text, "intact") == 0)
        return true;
    *hardware = HARDWARE_NOT_RECORDED;
    for (;;) {
        size_t length = strcspn(text, ";");
        uint32_t bit = fault_bit(text, length);

        if (bit == 0)
            return false;
        *hardware |= bit;
        if (text[length] == '\0')
            return true;
        text += length + 1;
    }
}

static bool read_teeth(const char *text, struct teeth *teeth)
{
    static const int digits[] = {0, 1, 3, 4};

    if (strlen(text) != 5 || text[2] != '-')
        return false;
    for (size_t i = 0; i < 4; i++)
        if (text[digits[i]] < '1' || text[digits[i]] > '8')
            return false;
    teeth->right = (uint8_t)((text[0] - '0') * 10 + text[1] - '0');
    teeth->left = (uint8_t)((text[3] - '0') * 10 + text[4] - '0');
    return true;
}

/* A value spelled as text, into the field at at; false: no such spelling. */
static bool read_spelled(const struct field *field, const char *text, void *at)
{
    int word;

    switch (field->type) {
    case FIELD_DAY:
        return day_from_text(text, at);
    case FIELD_INSTANT:
        return instant_from_text(text, at);
    case FIELD_CLOCK:
        return clock_from_text(text, at);
    case FIELD_TEETH:
        return read_teeth(text, at);
    case FIELD_HARDWARE:
        return read_hardware(text, at);
    case FIELD_WORD:
        word = word_value(field->words, text);
        memcpy(at, &word, sizeof word);
        return word > 0;
    default:
        return false;
    }
}

/* What an empty column means. */
static void read_empty(const struct field *field, void *at)
{
    const int32_t none = -1, no_um = UM_NONE;
    const day no_day = DAY_NONE;
    const instant never = INSTANT_NONE;
    const char *const no_text = "";

    switch (field->type) {
    case FIELD_TEXT:
        memcpy(at, &no_text, sizeof no_text);
        break;
    case FIELD_DAY:
        memcpy(at, &no_day, sizeof no_day);
        break;
    case FIELD_INSTANT:
        memcpy(at, &never, sizeof never);
        break;
    case FIELD_UM:
        memcpy(at, &no_um, sizeof no_um);
        break;
    case FIELD_CLOCK:
    case FIELD_INT:
        memcpy(at, &none, sizeof none);
        break;
    case FIELD_WORD:
        memset(at, 0, sizeof(int));
        break;
    case FIELD_HARDWARE:
        memset(at, 0, sizeof(uint32_t));
        break;
    case FIELD_TEETH:
        memset(at, 0, sizeof(struct teeth));
        break;
    case FIELD_ID:
        memset(at, 0, sizeof(struct id));
        break;
    }
}

static bool read_integer(sqlite3_stmt *stmt, int column, void *at)
{
    int64_t wide = sqlite3_column_int64(stmt, column);
    int32_t value;

    if (sqlite3_column_type(stmt, column) != SQLITE_INTEGER || wide < INT32_MIN + 1 ||
        wide > INT32_MAX)
        return false;
    value = (int32_t)wide;
    memcpy(at, &value, sizeof value);
    return true;
}

static enum status read_field(sqlite3_stmt *stmt, int column, const struct field *field,
                              const char *table, struct arena *arena, void *record,
                              struct error *error)
{
    char *at = (char *)record + field->offset;
    const char *text;
    struct id id;
    int type = sqlite3_column_type(stmt, column);

    if (type == SQLITE_NULL) {
        read_empty(field, at);
        return STATUS_OK;
    }
    if (field->type == FIELD_ID) {
        if (!query_column_id(stmt, column, &id))
            return store_damaged(table, field->name, error);
        memcpy(at, &id, sizeof id);
        return STATUS_OK;
    }
    if (field->type == FIELD_UM || field->type == FIELD_INT)
        return read_integer(stmt, column, at) ? STATUS_OK
                                              : store_damaged(table, field->name, error);
    if (type != SQLITE_TEXT)
        return store_damaged(table, field->name, error);
    text = take_text(stmt, column, field->type == FIELD_TEXT ? arena : NULL);
    if (text == NULL)
        return error_no_memory(error);
    if (field->type == FIELD_TEXT) {
        memcpy(at, &text, sizeof text);
        return STATUS_OK;
    }
    return read_spelled(field, text, at) ? STATUS_OK : store_damaged(table, field->name, error);
}

enum status fields_read(sqlite3_stmt *stmt, int first, const struct field *fields, size_t count,
                        const char *table, struct arena *arena, void *record, struct error *error)
{
    for (size_t i = 0; i < count; i++) {
        enum status status =
            read_field(stmt, first + (int)i, &fields[i], table, arena, record, error);

        if (status != STATUS_OK)
            return status;
    }
    return STATUS_OK;
}

/* Whether a request was an import; the last answer is kept, for rows come in batches. */
static enum status request_imported(struct store *store, const struct id *request, bool *imported,
                                    struct error *error)
{
    struct query query;
    enum status status;
    bool found = false;

    if (!id_is_none(request) && id_equal(request, &store->known_request)) {
        *imported = store->known_imported;
        return STATUS_OK;
    }
    query = query_start(store, store->statements[STATEMENT_REQUEST_FIND]);
    query_id(&query, ":id", request);
    while (query_row(&query)) {
        *imported = sqlite3_column_int(query.stmt, 0) != 0;
        found = true;
    }
    status = query_end(&query, error);
    if (status != STATUS_OK)
        return status;
    if (!found)
        return store_damaged("request", "id", error);
    store->known_request = *request;
    store->known_imported = *imported;
    return STATUS_OK;
}

enum status row_read(struct store *store, sqlite3_stmt *stmt, enum record_kind kind,
                     struct arena *arena, void *record, struct error *error)
{
    const struct record_table *table = &record_tables[kind];
    struct row_head *head = record;
    const char *recorded_at = (const char *)sqlite3_column_text(stmt, 4);
    enum status status;

    memset(record, 0, table->size);
    head->version = sqlite3_column_int(stmt, 2);
    head->sequence = sqlite3_column_int64(stmt, 3);
    if (!query_column_id(stmt, 0, &head->id) || !query_column_id(stmt, 1, &head->record) ||
        !query_column_id(stmt, 5, &head->person) || !query_column_id(stmt, 6, &head->request) ||
        !instant_from_text(recorded_at, &head->recorded_at))
        return store_damaged(table->table, NULL, error);
    head->reason = "";
    if (sqlite3_column_type(stmt, 7) != SQLITE_NULL) {
        head->reason = take_text(stmt, 7, arena);
        if (head->reason == NULL)
            return error_no_memory(error);
    }
    status = request_imported(store, &head->request, &head->imported, error);
    if (status != STATUS_OK)
        return status;
    status = fields_read(stmt, HEAD_COLUMNS, table->fields, table->field_count, table->table, arena,
                         record, error);
    /* Here, so that no list and no sheet can show a child without a name and not say why. */
    if (status == STATUS_OK && kind == RECORD_PATIENT &&
        ((struct patient *)record)->family[0] == '\0')
        ((struct patient *)record)->family = patient_erased;
    return status;
}
