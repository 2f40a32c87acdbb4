/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The columns of every table of the ledger, drawn from record_tables[]. */
#include <string.h>

#include "handle.h"

static const char *const record_head[] = {"id",       "record",      "version",  "replaces",
                                          "sequence", "recorded_at", "practice", "person",
                                          "request",  "reason"};
static const char *const request_columns[] = {
    "id", "sequence", "recorded_at", "practice", "person", "seat", "command", "label", "imported"};
static const char *const withdrawal_columns[] = {
    "id", "sequence", "recorded_at", "practice", "person", "request", "kind", "row", "reason"};

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* The word mm, standing alone or between underscores, in name; NULL: none. */
static const char *find_mm(const char *name)
{
    const char *found = name;

    while ((found = strstr(found, "mm")) != NULL) {
        bool begins = found == name || found[-1] == '_';
        bool ends = found[2] == '\0' || found[2] == '_';

        if (begins && ends)
            return found;
        found += 2;
    }
    return NULL;
}

void column_name(struct text *out, const struct field *field)
{
    const char *mm = field->type == FIELD_UM ? find_mm(field->name) : NULL;

    if (field->type == FIELD_ID)
        text_add(out, record_tables[field->refers].table);
    else if (mm == NULL)
        text_add(out, field->name);
    else
        text_addf(out, "%.*sum%s", (int)(mm - field->name), field->name, mm + 2);
}

static void set_column(struct column *column, const char *name, bool hashed)
{
    column->name = name;
    column->name_length = strlen(name);
    column->field = NULL;
    column->hashed = hashed;
}

static bool set_field(struct arena *arena, struct column *column, const struct field *field)
{
    struct text name = {0};
    bool good;

    column_name(&name, field);
    column->name = arena_text(arena, text_string(&name), name.length);
    column->name_length = name.length;
    column->field = field;
    column->hashed = (field->flags & FIELD_PERSONAL) == 0;
    good = !name.failed && column->name != NULL;
    text_release(&name);
    return good;
}

static bool make_plain(struct arena *arena, struct shape *shape, const char *table,
                       const char *const *names, size_t count)
{
    struct column *columns = arena_array(arena, count, sizeof *columns);

    if (columns == NULL)
        return false;
    for (size_t i = 0; i < count; i++)
        set_column(&columns[i], names[i], true);
    *shape = (struct shape){table, columns, count, 0, count};
    return true;
}

static bool make_record(struct arena *arena, struct shape *shape, const struct record_table *table)
{
    size_t head = COUNT(record_head), personal = 0, count = 0;
    struct column *columns = arena_array(arena, head + 2 + table->field_count, sizeof *columns);

    if (columns == NULL || head + 2 + table->field_count > COLUMNS_MAX)
        return false;
    for (size_t i = 0; i < table->field_count; i++)
        personal += (table->fields[i].flags & FIELD_PERSONAL) != 0;
    for (; count < head; count++)
        set_column(&columns[count], record_head[count], true);
    if (personal > 0) {
        set_column(&columns[count++], "salts", false);
        set_column(&columns[count++], "seals", true);
    }
    *shape = (struct shape){table->table, columns, count + table->field_count, personal, count};
    for (size_t i = 0; i < table->field_count; i++)
        if (!set_field(arena, &columns[count + i], &table->fields[i]))
            return false;
    return true;
}

bool shapes_make(struct store *store)
{
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++)
        if (!make_record(&store->arena, &store->shapes[kind], &record_tables[kind]))
            return false;
    return make_plain(&store->arena, &store->shapes[TABLE_REQUEST], "request", request_columns,
                      COUNT(request_columns)) &&
           make_plain(&store->arena, &store->shapes[TABLE_WITHDRAWAL], "withdrawal",
                      withdrawal_columns, COUNT(withdrawal_columns));
}
