/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Values from structs to SQLite. */
#include "cell.h"

#include <string.h>

struct cell cell_null(void)
{
    return (struct cell){CELL_NULL, 0, NULL, 0};
}

struct cell cell_integer(int64_t value)
{
    return (struct cell){CELL_INTEGER, value, NULL, 0};
}

struct cell cell_text(const char *text)
{
    if (text == NULL || text[0] == '\0')
        return cell_null();
    return (struct cell){CELL_TEXT, 0, text, strlen(text)};
}

struct cell cell_blob(const void *bytes, size_t length)
{
    return (struct cell){CELL_BLOB, 0, bytes, length};
}

struct cell cell_id(const struct id *id)
{
    return id_is_none(id) ? cell_null() : cell_blob(id->bytes, sizeof id->bytes);
}

/* The cell of text, which stood for something: empty means that it could not be written. */
static enum status formatted(const char *text, const char *what, struct arena *arena,
                             struct cell *cell, struct error *error)
{
    size_t length = strlen(text);
    char *copy;

    if (length == 0)
        return error_set(error, STATUS_INPUT, what,
                         "%s holds a value that the store has no spelling for; correct it.", what);
    copy = arena_text(arena, text, length);
    if (copy == NULL)
        return error_no_memory(error);
    *cell = (struct cell){CELL_TEXT, 0, copy, length};
    return STATUS_OK;
}

enum status cell_instant(instant at, struct arena *arena, struct cell *cell, struct error *error)
{
    char buffer[INSTANT_TEXT_SIZE];

    return formatted(instant_to_text(at, buffer), "instant", arena, cell, error);
}

static enum status hardware_cell(uint32_t hardware, const char *what, struct arena *arena,
                                 struct cell *cell, struct error *error)
{
    const uint32_t known = (UINT32_C(2) << (FAULT_COUNT * 3)) - 2;
    struct text list = {0};
    enum status status;

    if (hardware == HARDWARE_INTACT) {
        *cell = cell_text("intact");
        return STATUS_OK;
    }
    /* Intact and faulty at once, or a bit of no fault: the list stays empty and is refused. */
    if ((hardware & ~known) == 0)
        for (int fault = FAULT_LOOSE_BAND; fault <= FAULT_COUNT; fault++)
            for (int side = SIDE_NONE; side <= SIDE_LEFT; side++)
                if ((hardware & hardware_bit((enum fault)fault, (enum side)side)) != 0)
                    text_addf(&list, "%s%s%s%s", list.length > 0 ? ";" : "",
                              word_text(&words_fault, fault), side != SIDE_NONE ? ":" : "",
                              word_text(&words_side, side));
    if (list.failed)
        status = error_no_memory(error);
    else
        status = formatted(text_string(&list), what, arena, cell, error);
    text_release(&list);
    return status;
}

static enum status teeth_cell(struct teeth teeth, const char *what, struct arena *arena,
                              struct cell *cell, struct error *error)
{
    char text[6] = {0};

    if (teeth.right >= 10 && teeth.right <= 99 && teeth.left >= 10 && teeth.left <= 99) {
        text[0] = (char)('0' + teeth.right / 10);
        text[1] = (char)('0' + teeth.right % 10);
        text[2] = '-';
        text[3] = (char)('0' + teeth.left / 10);
        text[4] = (char)('0' + teeth.left % 10);
    }
    return formatted(text, what, arena, cell, error);
}

/* The field holds nothing: NULL in the store. */
static bool is_empty(const struct field *field, const void *at)
{
    int32_t number = 0;
    instant when;
    struct teeth teeth;

    switch (field->type) {
    case FIELD_TEXT:
    case FIELD_ID:
        return false; /* told by their cells */
    case FIELD_INSTANT:
        memcpy(&when, at, sizeof when);
        return when == INSTANT_NONE;
    case FIELD_TEETH:
        memcpy(&teeth, at, sizeof teeth);
        return teeth.right == 0 && teeth.left == 0;
    case FIELD_DAY:
        memcpy(&number, at, sizeof number);
        return number == DAY_NONE;
    case FIELD_UM:
        memcpy(&number, at, sizeof number);
        return number == UM_NONE;
    case FIELD_CLOCK:
    case FIELD_INT:
        memcpy(&number, at, sizeof number);
        return number < 0;
    case FIELD_WORD:
    case FIELD_HARDWARE:
        memcpy(&number, at, sizeof number);
        return number == 0;
    }
    return false;
}

static enum status spelled_cell(const struct field *field, const void *at, struct arena *arena,
                                struct cell *cell, struct error *error)
{
    char buffer[INSTANT_TEXT_SIZE];
    int32_t number = 0;
    uint32_t bits = 0;
    instant when = INSTANT_NONE;
    struct teeth teeth = {0, 0};

    if (field->type == FIELD_INSTANT)
        memcpy(&when, at, sizeof when);
    else if (field->type == FIELD_TEETH)
        memcpy(&teeth, at, sizeof teeth);
    else if (field->type == FIELD_HARDWARE)
        memcpy(&bits, at, sizeof bits);
    else
        memcpy(&number, at, sizeof number);
    switch (field->type) {
    case FIELD_DAY:
        return formatted(day_to_text(number, buffer), field->name, arena, cell, error);
    case FIELD_INSTANT:
        return formatted(instant_to_text(when, buffer), field->name, arena, cell, error);
    case FIELD_CLOCK:
        return formatted(clock_to_text(number, buffer), field->name, arena, cell, error);
    case FIELD_WORD:
        return formatted(word_text(field->words, number), field->name, arena, cell, error);
    case FIELD_TEETH:
        return teeth_cell(teeth, field->name, arena, cell, error);
    case FIELD_HARDWARE:
        return hardware_cell(bits, field->name, arena, cell, error);
    default:
        *cell = cell_integer(number);
        return STATUS_OK;
    }
}

enum status cell_of_field(const struct field *field, const void *record, struct arena *arena,
                          struct cell *cell, struct error *error)
{
    const char *at = (const char *)record + field->offset;
    const char *text;
    struct id id;

    if (field->type == FIELD_TEXT) {
        memcpy(&text, at, sizeof text);
        *cell = cell_text(text);
        return STATUS_OK;
    }
    if (field->type == FIELD_ID) {
        memcpy(&id, at, sizeof id);
        *cell = id_is_none(&id) ? cell_null() : cell_blob(at, sizeof id.bytes);
        return STATUS_OK;
    }
    if (is_empty(field, at)) {
        *cell = cell_null();
        return STATUS_OK;
    }
    return spelled_cell(field, at, arena, cell, error);
}

struct cell cell_of_column(sqlite3_stmt *stmt, int column)
{
    struct cell cell = cell_null();
    double real;

    switch (sqlite3_column_type(stmt, column)) {
    case SQLITE_INTEGER:
        return cell_integer(sqlite3_column_int64(stmt, column));
    case SQLITE_FLOAT:
        real = sqlite3_column_double(stmt, column);
        cell.type = CELL_REAL;
        memcpy(&cell.integer, &real, sizeof real);
        return cell;
    case SQLITE_TEXT:
        cell.type = CELL_TEXT;
        cell.bytes = sqlite3_column_blob(stmt, column); /* the bytes as they stand */
        break;
    case SQLITE_BLOB:
        cell.type = CELL_BLOB;
        cell.bytes = sqlite3_column_blob(stmt, column);
        break;
    default:
        return cell;
    }
    cell.length = cell.bytes == NULL ? 0 : (size_t)sqlite3_column_bytes(stmt, column);
    return cell;
}

int cell_bind(sqlite3_stmt *stmt, int index, const struct cell *cell)
{
    switch (cell->type) {
    case CELL_INTEGER:
        return sqlite3_bind_int64(stmt, index, cell->integer);
    case CELL_TEXT:
        return sqlite3_bind_text64(stmt, index, cell->bytes, cell->length, SQLITE_STATIC,
                                   SQLITE_UTF8);
    case CELL_BLOB:
        return sqlite3_bind_blob64(stmt, index, cell->bytes, cell->length, SQLITE_STATIC);
    case CELL_NULL:
    case CELL_REAL:
        break;
    }
    return sqlite3_bind_null(stmt, index);
}
