/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/app.h"

#include <stdlib.h>
#include <string.h>

#include "people.h"
#include "springline/app/authority.h"
#include "springline/app/grow.h"
#include "springline/core/course.h"
#include "springline/core/protocol.h"

const char app_caution[] =
    "Decision support only: the licensed clinician examines, decides and answers for it; local law "
    "and guidance come first.";

/* A save of the program's own, or one whose authority was looked at. */
static enum status begin(struct app *app, const struct store_request *request,
                         struct app_save *save, struct error *error)
{
    struct store_request of_person = *request;

    *save = (struct app_save){.app = app};
    of_person.person = app->person;
    return store_begin(app->store, &of_person, error);
}

enum status app_save_begin(struct app *app, enum command command,
                           const struct store_request *request, struct app_save *save,
                           struct error *error)
{
    struct id person;

    enum status status = app_allow(app, command, NULL, error);
    if (status != STATUS_OK)
        return status;
    person = app->person;
    status = begin(app, request, save, error);
    if (status != STATUS_OK)
        return status;
    /* Nobody else's save comes between from here on: what holds now holds for the whole of this. */
    status = app_know_person(app, error);
    save->led = !app->nobody;
    if (app->alone)
        save->alone = app->person;
    if (status == STATUS_OK && id_equal(&person, &app->person) && authority_may(app->role, command))
        return STATUS_OK;
    app_save_drop(save);
    return status == STATUS_OK ? app_refuse(app, command, NULL, error) : status;
}

enum status app_save_touch(struct app_save *save, const struct id *casefile, struct error *error)
{
    if (save->touched_count > 0 && id_equal(&save->touched[save->touched_count - 1], casefile))
        return STATUS_OK;
    if (!app_grow(&save->arena, (void **)&save->touched, save->touched_count,
                  &save->touched_capacity, sizeof *save->touched))
        return error_no_memory(error);
    save->touched[save->touched_count++] = *casefile;
    return STATUS_OK;
}

static int compare_ids(const void *a, const void *b)
{
    return id_compare(a, b);
}

/* The derived state of one case from its current rows, inside the open transaction. */
static enum status rewrite_state(struct app *app, const struct id *casefile, struct arena *arena,
                                 struct error *error)
{
    struct history history;
    struct case_state state;

    enum status status = store_read_case(app->store, casefile, STORE_NOW, arena, &history, error);
    if (status != STATUS_OK)
        return status;
    course_state(&history, &state);
    return store_put_state(app->store, &state, error);
}

static enum status rewrite_states(struct app_save *save, struct error *error)
{
    struct arena arena = {0};
    enum status status = STATUS_OK;

    if (save->touched_count > 0)
        qsort(save->touched, save->touched_count, sizeof *save->touched, compare_ids);
    for (size_t i = 0; i < save->touched_count && status == STATUS_OK; i++) {
        if (i > 0 && id_equal(&save->touched[i], &save->touched[i - 1]))
            continue;
        arena_clear(&arena);
        status = rewrite_state(save->app, &save->touched[i], &arena, error);
    }
    arena_release(&arena);
    return status;
}

enum status app_save_commit(struct app_save *save, struct error *error)
{
    enum status status = people_settle(save, error);

    if (status == STATUS_OK)
        status = rewrite_states(save, error);
    if (status == STATUS_OK)
        status = store_commit(save->app->store, error);
    if (status != STATUS_OK)
        store_rollback(save->app->store);
    arena_release(&save->arena);
    return status;
}

void app_save_drop(struct app_save *save)
{
    store_rollback(save->app->store);
    arena_release(&save->arena);
}

static enum status touch_case(void *context, const struct history *history, struct error *error)
{
    return app_save_touch(context, &history->casefile->head.record, error);
}

enum status app_renew_states(struct app *app, struct error *error)
{
    struct app_save save;
    bool missing;

    enum status status = store_states_missing(app->store, &missing, error);
    if (status != STATUS_OK || !missing)
        return status;
    status = store_open_rest(app->store, error);
    if (status != STATUS_OK)
        return status;
    struct store_request request = {
        .id = store_new_id(app->store), .seat = app->seat, .command = "states"};
    status = begin(app, &request, &save, error);
    if (status != STATUS_OK)
        return status;
    status = store_each_case(app->store, STORE_NOW, touch_case, &save, error);
    if (status == STATUS_OK)
        return app_save_commit(&save, error);
    app_save_drop(&save);
    return status;
}

static struct person person_of(const struct founder *founder)
{
    bool named = founder->name != NULL && founder->name[0] != '\0';

    return (struct person){.login = founder->login,
                           .name = named ? founder->name : founder->login,
                           .role = ROLE_ORTHODONTIST,
                           .alone = founder->alone ? ANSWER_YES : ANSWER_NONE};
}

static enum status check_person(const struct person *person, struct error *error)
{
    enum status status =
        text_check(person->login, strlen(person->login), TEXT_CELL_CHARACTERS, "login", error);

    return status == STATUS_OK
               ? text_check(person->name, strlen(person->name), TEXT_CELL_CHARACTERS, "name", error)
               : status;
}

enum status app_init_store(const char *path, const struct store_source *source,
                           const struct founder *founder, struct error *error)
{
    struct store *store;
    struct protocol protocol;
    struct person person = person_of(founder);

    enum status status = check_person(&person, error);
    if (status == STATUS_OK)
        status = store_create(path, source, &store, error);
    if (status != STATUS_OK)
        return status;
    struct store_request request = {.id = store_new_id(store), .command = "init"};
    protocol_defaults(&protocol);
    status = store_begin(store, &request, error);
    if (status == STATUS_OK)
        status = store_append(store, RECORD_PERSON, &person, error);
    if (status == STATUS_OK)
        status = store_append(store, RECORD_PROTOCOL, &protocol, error);
    if (status == STATUS_OK)
        status = store_commit(store, error);
    if (status != STATUS_OK)
        store_rollback(store);
    store_close(store);
    return status;
}

/* Somebody is recorded under the login, in another role: this is the same person. */
static enum status append_founder(struct app *app, struct person *person, struct error *error)
{
    struct arena arena = {0};
    struct person same;

    enum status status =
        store_find_same_key(app->store, RECORD_PERSON, person, &arena, &same, error);
    if (status == STATUS_OK) {
        person->head = same.head;
        person->head.reason = "no orthodontist was recorded";
    }
    if (status == STATUS_OK || status == STATUS_NOT_FOUND)
        status = store_append(app->store, RECORD_PERSON, person, error);
    arena_release(&arena);
    return status;
}

enum status app_first_person(struct app *app, const struct founder *founder, struct error *error)
{
    struct person person = person_of(founder);
    struct app_save save;
    struct store_request request = {
        .id = store_new_id(app->store), .command = "init", .seat = app->seat};

    enum status status = check_person(&person, error);
    if (status == STATUS_OK)
        status = begin(app, &request, &save, error);
    if (status != STATUS_OK)
        return status;
    status = app_know_person(app, error);
    if (status == STATUS_OK && !app->nobody)
        status = error_set(error, STATUS_REFUSED, "people",
                           "An orthodontist is recorded here already, who enters new people in the "
                           "day's menu, 0 people.");
    if (status == STATUS_OK)
        status = append_founder(app, &person, error);
    if (status == STATUS_OK)
        status = app_save_commit(&save, error);
    else
        app_save_drop(&save);
    return status == STATUS_OK ? app_know_person(app, error) : status;
}
