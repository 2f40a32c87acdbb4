/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An import from its beginning to its end: one request, one transaction, any number of files. */
#include <stdlib.h>
#include <string.h>

#include "import_private.h"
#include "springline/app/authority.h"
#include "springline/app/grow.h"

void import_report(const struct import *import, long line, const char *column, const char *sentence)
{
    const char *file = import->file_count == 0 ? "" : import->files[import->file_count - 1];

    import->reporter(import->context, file, line, column, sentence);
}

struct import_place *import_place_of(struct import *import, int64_t sequence)
{
    int64_t at = sequence - import->first_sequence;

    if (at < 0 || (size_t)at >= import->place_count || import->places[at].file < 0)
        return NULL;
    return &import->places[at];
}

/* The cap above which an amount is told as a note. */
static enum status read_entry_cap(struct import *import, struct error *error)
{
    struct protocol protocol;

    enum status status = store_read_protocol(import->app->store, NULL, STORE_NOW,
                                             &import->row_arena, &protocol, error);
    import->entry_cap = status == STATUS_OK ? protocol.entry_cap : UM_NONE;
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

static void release(struct import *import)
{
    arena_release(&import->arena);
    arena_release(&import->row_arena);
    free(import);
}

enum status import_begin(struct app *app, const char *label, import_reporter reporter,
                         void *context, struct import **import, struct error *error)
{
    struct import *made = calloc(1, sizeof *made);

    if (made == NULL)
        return error_no_memory(error);
    made->app = app;
    made->reporter = reporter;
    made->context = context;
    made->kind = RECORD_KIND_COUNT;
    made->request = store_new_id(app->store);
    struct text shown = {0};
    text_add_shown(&shown, label); /* a path may hold any byte; a stored text may not */
    const struct store_request request = {.id = made->request,
                                          .command = "import",
                                          .seat = app->seat,
                                          .label = text_string(&shown),
                                          .imported = true};
    enum status status = shown.failed
                             ? error_no_memory(error)
                             : app_save_begin(app, COMMAND_IMPORT, &request, &made->save, error);
    text_release(&shown);
    if (status != STATUS_OK) {
        release(made);
        return status;
    }
    status = read_entry_cap(made, error);
    if (status != STATUS_OK) {
        app_save_drop(&made->save);
        release(made);
        return status;
    }
    *import = made;
    return STATUS_OK;
}

void import_set_notes(struct import *import, import_reporter notes)
{
    import->notes = notes;
}

static enum status refuse_unknown_kind(const char *file, const char *const *header, size_t count,
                                       struct error *error)
{
    enum record_kind closest = exchange_closest_kind(header, count);

    if (closest == RECORD_KIND_COUNT)
        return error_set(error, STATUS_INPUT, file,
                         "The first line names no columns of a kind this program knows, or those "
                         "of several; begin the file with a header row such as that of export.");
    return error_set(error, STATUS_INPUT, file,
                     "The header looks like that of %s, but the column %s is missing.",
                     record_tables[closest].csv, exchange_missing_key(closest, header, count));
}

static enum status check_header(enum record_kind kind, const char *file, const char *const *header,
                                size_t count, struct error *error)
{
    const struct record_table *table = &record_tables[kind];

    for (size_t i = 0; i < count; i++)
        for (size_t j = i + 1; j < count; j++)
            if (strcmp(header[i], header[j]) == 0)
                return error_set(error, STATUS_INPUT, file,
                                 "The header names the column \"%.60s\" twice; leave one of them.",
                                 header[i]);
    for (size_t i = 0; i < table->field_count; i++) {
        const struct field *field = &table->fields[i];
        bool there = false;

        for (size_t j = 0; j < count; j++)
            there = there || strcmp(header[j], field->name) == 0;
        if (!there && (field->flags & FIELD_REQUIRED) != 0)
            return error_set(error, STATUS_INPUT, file,
                             "The header of %s lacks the column %s, which every row needs.",
                             table->csv, field->name);
    }
    return STATUS_OK;
}

/* Finds the field of each column; unknown ones are named, one a line. */
static enum status map_columns(struct import *import, const char *const *header, size_t count,
                               struct text *unknown, struct error *error)
{
    import->columns = arena_array(&import->arena, count, sizeof *import->columns);
    if (import->columns == NULL)
        return error_no_memory(error);
    for (size_t i = 0; i < count; i++) {
        int field = exchange_field(import->kind, header[i]);

        if (field >= 0) {
            import->columns[i] = &record_tables[import->kind].fields[field];
        } else if (unknown != NULL) {
            text_add_shown(unknown, header[i]);
            text_add(unknown, "\n");
        }
    }
    import->column_count = count;
    return STATUS_OK;
}

/* More columns than any spreadsheet of a practice has; looking for doubles is quadratic. */
enum { COLUMNS_MAX = 1000 };

enum status import_file(struct import *import, const char *file, const char *const *header,
                        size_t count, struct text *unknown, struct error *error)
{
    enum record_kind kind = exchange_kind(header, count);

    if (kind == RECORD_KIND_COUNT)
        return refuse_unknown_kind(file, header, count, error);
    if (count > COLUMNS_MAX)
        return error_set(error, STATUS_INPUT, file,
                         "The header has %zu columns; leave out those beyond %d.", count,
                         (int)COLUMNS_MAX);
    enum status status = check_header(kind, file, header, count, error);
    if (status != STATUS_OK)
        return status;
    if (!app_grow(&import->arena, (void **)&import->files, import->file_count,
                  &import->file_capacity, sizeof *import->files))
        return error_no_memory(error);
    import->files[import->file_count] = arena_text(&import->arena, file, strlen(file));
    if (import->files[import->file_count] == NULL)
        return error_no_memory(error);
    import->file_count++;
    import->kind = kind;
    return map_columns(import, header, count, unknown, error);
}

/* The practice's own error of a width may have changed with what was read. */
static enum status commit(struct import *import, struct error *error)
{
    struct store_save_told told = {.sequence = 0};

    enum status status = app_save_width_error(&import->save, error);
    if (status == STATUS_OK)
        status =
            store_read_save(import->app->store, &import->request, &import->arena, &told, error);
    if (status != STATUS_OK) {
        app_save_drop(&import->save);
        return status;
    }
    status = app_save_commit(&import->save, error);
    import->totals.batch = status == STATUS_OK ? told.sequence : 0;
    return status;
}

enum status import_end(struct import *import, bool keep, struct exchange_totals *totals,
                       struct error *error)
{
    enum status status = STATUS_OK;

    /* An import that brings nothing new leaves no trace, not even its request. */
    if (keep && import->totals.bad == 0 && import->totals.added > 0)
        status = commit(import, error);
    else
        app_save_drop(&import->save);
    if (totals != NULL)
        *totals = import->totals;
    release(import);
    return status;
}
