/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/seat.h"

#include <string.h>

#include "springline/app/grow.h"

enum status seat_begin(struct app *app, struct error *error)
{
    enum status status = store_open_rest(app->store, error);

    return status == STATUS_OK ? app_know_person(app, error) : status;
}

void seat_on_waiting(struct app *app, store_waiting waiting, void *context)
{
    store_on_waiting(app->store, waiting, context);
}

struct collector {
    struct arena *arena;
    struct unsaved_list *list;
    size_t capacity;
};

static enum status collect(void *context, const struct draft *draft, struct error *error)
{
    struct collector *collector = context;
    struct unsaved_list *list = collector->list;

    if (strcmp(draft->form, "visit") != 0)
        return STATUS_OK;
    if (!app_grow(collector->arena, (void **)&list->rows, list->count, &collector->capacity,
                  sizeof *list->rows))
        return error_no_memory(error);
    struct unsaved *row = &list->rows[list->count];
    *row = (struct unsaved){.draft = *draft, .number = "", .family = "", .given = ""};
    row->draft.user = arena_text(collector->arena, draft->user, strlen(draft->user));
    row->draft.form = arena_text(collector->arena, draft->form, strlen(draft->form));
    row->draft.content = arena_text(collector->arena, draft->content, strlen(draft->content));
    if (row->draft.user == NULL || row->draft.form == NULL || row->draft.content == NULL)
        return error_no_memory(error);
    list->count++;
    return STATUS_OK;
}

/* Whose visit it is. */
static enum status name_one(struct app *app, struct arena *arena, struct unsaved *row,
                            struct error *error)
{
    struct history history;

    enum status status =
        store_read_case(app->store, &row->draft.casefile, STORE_NOW, arena, &history, error);
    if (status == STATUS_NOT_FOUND)
        return STATUS_OK;
    if (status == STATUS_OK) {
        row->number = history.casefile->number;
        row->family = history.patient->family == NULL ? "" : history.patient->family;
        row->given = history.patient->given == NULL ? "" : history.patient->given;
    }
    return status;
}

enum status seat_unsaved(struct app *app, struct arena *arena, struct unsaved_list *list,
                         struct error *error)
{
    struct collector collector = {.arena = arena, .list = list};

    *list = (struct unsaved_list){0};
    enum status status = store_each_draft(app->store, app->user, collect, &collector, error);
    for (size_t i = 0; i < list->count && status == STATUS_OK; i++)
        status = name_one(app, arena, &list->rows[i], error);
    return status;
}

enum status seat_throw_away(struct app *app, const struct id *casefile, struct error *error)
{
    return store_drop_draft(app->store, app->user, "visit", casefile, error);
}

bool seat_changed(struct app *app, struct seat_mark *mark)
{
    int64_t version = store_data_version(app->store), sequence = 0;
    uint8_t hash[32];

    if (version == mark->version)
        return false;
    store_hurry(app->store, true);
    enum status status = store_head(app->store, &sequence, hash, NULL);
    store_hurry(app->store, false);
    if (status != STATUS_OK && status != STATUS_NO)
        return false;
    bool changed = sequence != mark->sequence;
    *mark = (struct seat_mark){.version = version, .sequence = sequence};
    return changed;
}

bool seat_people_read(struct app *app, struct seat_mark *mark)
{
    const struct seat_mark before = *mark;
    const struct app known = *app;

    if (!seat_changed(app, mark))
        return false;
    store_hurry(app->store, true);
    enum status status = app_know_person(app, NULL);
    store_hurry(app->store, false);
    if (status == STATUS_OK)
        return true;
    *app = known; /* whoever was known is known still, and is asked for again the next time */
    *mark = before;
    return false;
}
