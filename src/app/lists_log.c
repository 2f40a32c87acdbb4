/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/lists_log.h"

#include <string.h>

#include "springline/app/authority.h"
#include "springline/app/grow.h"
#include "springline/app/lists_find.h"
#include "springline/store/secret.h"

/* Names of people who left are told too: each is looked up once. */
struct named {
    struct id person;
    const char *name;
};

struct log_maker {
    struct app *app;
    const struct log_asked *asked;
    struct arena *arena;
    struct log_list *list;
    size_t capacity;
    struct named *names;
    size_t name_count, name_capacity;
};

static const char *kept(struct arena *arena, const char *text)
{
    return arena_text(arena, text == NULL ? "" : text, text == NULL ? 0 : strlen(text));
}

/* The name as it is now, or, of somebody who left, as it was. NULL: no memory, or a failure. */
static enum status find_name(struct log_maker *maker, const struct id *person, const char **name,
                             struct error *error)
{
    struct person found = {.name = NULL};

    enum status status =
        store_read_current(maker->app->store, RECORD_PERSON, person, maker->arena, &found, error);
    if (status == STATUS_NOT_FOUND)
        status =
            store_read_row(maker->app->store, RECORD_PERSON, person, maker->arena, &found, error);
    *name = found.name == NULL ? "" : found.name;
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

static enum status name_of(struct log_maker *maker, const struct id *person, const char **name,
                           struct error *error)
{
    *name = "";
    if (id_is_none(person))
        return STATUS_OK;
    for (size_t i = 0; i < maker->name_count; i++) {
        if (id_equal(&maker->names[i].person, person)) {
            *name = maker->names[i].name;
            return STATUS_OK;
        }
    }
    enum status status = find_name(maker, person, name, error);
    if (status != STATUS_OK)
        return status;
    if (!app_grow(maker->arena, (void **)&maker->names, maker->name_count, &maker->name_capacity,
                  sizeof *maker->names))
        return error_no_memory(error);
    maker->names[maker->name_count++] = (struct named){*person, *name};
    return STATUS_OK;
}

static const char *instant_kept(struct arena *arena, instant at)
{
    char text[INSTANT_TEXT_SIZE];

    instant_to_text(at, text);
    if (strlen(text) != INSTANT_TEXT_SIZE - 1)
        return kept(arena, text);
    text[10] = ' ';
    text[19] = '\0';
    return kept(arena, text);
}

static bool is_asked(const struct log_asked *asked, const struct listed_log *row, day date)
{
    const char *const texts[] = {row->at,   row->what,    row->login,   row->person,
                                 row->seat, row->command, row->subject, row->detail};

    return (asked->from == DAY_NONE || date >= asked->from) &&
           (asked->to == DAY_NONE || date <= asked->to) &&
           (asked->folded[0] == '\0' ||
            lists_found(texts, sizeof texts / sizeof texts[0], asked->folded));
}

static bool keep_row(struct log_maker *maker, const struct store_logged *logged,
                     const struct listed_log *row)
{
    struct log_list *list = maker->list;
    struct arena *arena = maker->arena;

    if (!app_grow(arena, (void **)&list->rows, list->count, &maker->capacity, sizeof *list->rows))
        return false;
    struct listed_log *own = &list->rows[list->count];
    *own = (struct listed_log){.id = logged->access.head.record,
                               .recorded_at = logged->access.head.recorded_at,
                               .at = instant_kept(arena, logged->access.head.recorded_at),
                               .what = row->what,
                               .login = kept(arena, row->login),
                               .person = row->person,
                               .seat = kept(arena, row->seat),
                               .command = kept(arena, row->command),
                               .subject = kept(arena, row->subject),
                               .detail = kept(arena, row->detail)};
    list->count++;
    return own->at != NULL && own->login != NULL && own->seat != NULL && own->command != NULL &&
           own->subject != NULL && own->detail != NULL;
}

static enum status take_row(void *context, const void *record, struct error *error)
{
    const struct store_logged *logged = record;
    const struct access *access = &logged->access;
    struct log_maker *maker = context;
    const struct log_asked *asked = maker->asked;
    day date = instant_day(access->head.recorded_at);
    char at[INSTANT_TEXT_SIZE];
    struct listed_log row = {.at = instant_to_text(access->head.recorded_at, at),
                             .what = word_text(&words_access_what, (int)access->what),
                             .login = access->login,
                             .seat = logged->seat == NULL ? "" : logged->seat,
                             .command = access->command,
                             .subject = access->subject,
                             .detail = access->detail};

    if (asked->from != DAY_NONE && date < asked->from)
        return STATUS_NO; /* recorded_at never runs back: nothing older is asked for */
    enum status status = name_of(maker, &access->head.person, &row.person, error);
    if (status != STATUS_OK || !is_asked(asked, &row, date))
        return status;
    if (asked->most > 0 && maker->list->count == asked->most) {
        maker->list->more = true;
        return STATUS_NO;
    }
    return keep_row(maker, logged, &row) ? STATUS_OK : error_no_memory(error);
}

enum status lists_log(struct app *app, const struct log_asked *asked, struct arena *arena,
                      struct log_list *list, struct error *error)
{
    struct log_maker maker = {.app = app, .asked = asked, .arena = arena, .list = list};

    *list = (struct log_list){0};
    enum status status = app_allow(app, COMMAND_TO_LOG, NULL, error);
    if (status == STATUS_OK)
        status = store_each_access(app->store, ACCESS_NONE, NULL, take_row, &maker, error);
    if (status != STATUS_OK)
        *list = (struct log_list){0};
    return status;
}
