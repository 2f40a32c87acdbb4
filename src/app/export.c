/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The current rows of a kind as cells, in the order the store gives them: by key. */
#include <stdlib.h>
#include <string.h>

#include "exchange_private.h"
#include "springline/app/authority.h"
#include "springline/app/grow.h"

/* A record that others refer to, by its id. */
struct named {
    struct id id;
    const char *number;
};

struct names {
    struct named *rows;
    size_t count, capacity;
};

struct export
{
    enum record_kind kind;
    export_writer writer;
    void *context;
    struct arena arena;
    struct names names;
    struct text cells;
    size_t starts[EXCHANGE_FIELDS_MAX];
    const char *columns[EXCHANGE_FIELDS_MAX];
};

static int compare_named(const void *a, const void *b)
{
    return id_compare(&((const struct named *)a)->id, &((const struct named *)b)->id);
}

static enum status collect(void *context, const void *record, struct error *error)
{
    struct export *export = context;
    const union any_record *row = record;
    /* chart and case lead their tables */
    const struct field *field = &record_tables[export->kind].fields[0];
    const char *number = exchange_text(field, row);
    struct names *names = &export->names;

    if (!app_grow(&export->arena, (void **)&names->rows, names->count, &names->capacity,
                  sizeof *names->rows))
        return error_no_memory(error);
    number = arena_text(&export->arena, number, strlen(number));
    if (number == NULL)
        return error_no_memory(error);
    names->rows[names->count++] = (struct named){row->head.record, number};
    return STATUS_OK;
}

/* The kind that rows of kind refer to; RECORD_KIND_COUNT: none. */
static enum record_kind referred(enum record_kind kind)
{
    const struct record_table *table = &record_tables[kind];

    for (size_t i = 0; i < table->field_count; i++)
        if (table->fields[i].type == FIELD_ID)
            return table->fields[i].refers;
    return RECORD_KIND_COUNT;
}

static enum status collect_names(struct app *app, struct export *export, struct error *error)
{
    enum record_kind kind = export->kind, others = referred(kind);

    if (others == RECORD_KIND_COUNT)
        return STATUS_OK;
    export->kind = others;
    enum status status = store_each_row(app->store, others, STORE_NOW, collect, export, error);
    export->kind = kind;
    if (export->names.count > 0)
        qsort(export->names.rows, export->names.count, sizeof *export->names.rows, compare_named);
    return status;
}

static enum status add_reference(struct export *export, const struct field *field,
                                 const union any_record *record, struct error *error)
{
    struct named wanted = {0};
    const struct named *found = NULL;

    memcpy(&wanted.id, (const char *)record + field->offset, sizeof wanted.id);
    if (export->names.count > 0)
        found =
            bsearch(&wanted, export->names.rows, export->names.count, sizeof wanted, compare_named);
    if (found == NULL)
        return error_set(error, STATUS_DAMAGED, record_tables[export->kind].table,
                         "A row refers to a %s that is not there; run springline verify.",
                         record_tables[field->refers].table);
    exchange_guard(&export->cells, found->number);
    return STATUS_OK;
}

/* The cells of one row, each with its NUL, then pointers to them. */
static enum status write_row(void *context, const void *record, struct error *error)
{
    struct export *export = context;
    const struct record_table *table = &record_tables[export->kind];
    enum status status = STATUS_OK;
    size_t count = 0;

    text_clear(&export->cells);
    for (size_t i = 0; i < table->field_count && status == STATUS_OK; i++) {
        const struct field *field = &table->fields[i];

        if ((field->flags & FIELD_NOT_IN_CSV) != 0)
            continue;
        export->starts[count++] = export->cells.length;
        if (field->type == FIELD_ID)
            status = add_reference(export, field, record, error);
        else
            exchange_add_cell(&export->cells, field, record);
        text_append(&export->cells, "", 1);
    }
    if (status != STATUS_OK)
        return status;
    if (export->cells.failed)
        return error_no_memory(error);
    for (size_t i = 0; i < count; i++)
        export->columns[i] = export->cells.data + export->starts[i];
    return export->writer(export->context, export->columns, count, error);
}

static enum status write_header(struct export *export, struct error *error)
{
    const struct record_table *table = &record_tables[export->kind];
    size_t count = 0;

    for (size_t i = 0; i < table->field_count; i++)
        if ((table->fields[i].flags & FIELD_NOT_IN_CSV) == 0)
            export->columns[count++] = table->fields[i].name;
    return export->writer(export->context, export->columns, count, error);
}

enum status export_rows(struct app *app, enum record_kind kind, export_writer writer, void *context,
                        struct error *error)
{
    struct export export = {.kind = kind, .writer = writer, .context = context};
    enum status status = collect_names(app, &export, error);

    if (status == STATUS_OK)
        status = write_header(&export, error);
    if (status == STATUS_OK)
        status = store_each_row(app->store, kind, STORE_NOW, write_row, &export, error);
    text_release(&export.cells);
    arena_release(&export.arena);
    return status;
}

enum status export_log(struct app *app, const char *rows, struct error *error)
{
    const struct log_entry entry = {
        .what = ACCESS_EXPORTED, .command = COMMAND_EXPORT, .detail = rows};

    return app_log(app, &entry, error);
}
