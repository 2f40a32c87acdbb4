/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "people.h"

#include <string.h>

struct count {
    const struct id *but; /* left out; NULL: nobody */
    int people, orthodontists;
};

static enum status count_person(void *context, const void *record, struct error *error)
{
    const struct person *person = record;
    struct count *count = context;

    (void)error;
    if (count->but != NULL && id_equal(count->but, &person->head.record))
        return STATUS_OK;
    count->people++;
    count->orthodontists += person->role == ROLE_ORTHODONTIST;
    return STATUS_OK;
}

static enum status count_others(struct app *app, const struct id *but, struct count *count,
                                struct error *error)
{
    *count = (struct count){.but = but};
    return store_each_person(app->store, count_person, count, error);
}

enum status people_count(struct app *app, int *count, struct error *error)
{
    struct count counted;

    enum status status = count_others(app, NULL, &counted, error);
    *count = counted.people;
    return status;
}

static enum status tell_taken(const char *login, const char *name, struct error *error)
{
    return error_set(error, STATUS_INPUT, "login",
                     "The login %.60s is or was that of %.100s, and a login is never given to "
                     "another person; choose another.",
                     login, name);
}

static enum status check_login(struct app *app, const struct person *now, struct error *error)
{
    struct arena arena = {0};
    const char *name;

    enum status status =
        store_login_owner(app->store, now->login, &now->head.record, &arena, &name, error);
    if (status == STATUS_OK)
        status = tell_taken(now->login, name, error);
    else if (status == STATUS_NOT_FOUND)
        status = STATUS_OK;
    arena_release(&arena);
    return status;
}

/* Whoever works alone is asked for the login as soon as somebody else is there, and must be able to
 * come in as an orthodontist then. */
static enum status check_end_of_alone(struct app *app, const struct person *now, bool alone,
                                      struct error *error)
{
    const char *user = app->user == NULL ? "" : app->user;
    bool mine = id_equal(&now->head.record, &app->person);
    bool here = strcmp(now->login, user) == 0 && now->role == ROLE_ORTHODONTIST;

    if (!app->alone || alone || here || (!mine && strcmp(app->login, user) == 0))
        return STATUS_OK;
    return error_set(
        error, STATUS_INPUT, "login",
        "From then on everybody is asked, and you could not come in: you come with the "
        "login %.60s, and yours is recorded as %.60s; first change your own.",
        user, mine ? now->login : app->login);
}

enum status people_check(struct app *app, const struct person *now, const struct person *before,
                         const char **field, struct error *error)
{
    struct count others;
    bool was = before != NULL && before->role == ROLE_ORTHODONTIST;

    *field = "login";
    enum status status = check_login(app, now, error);
    if (status == STATUS_OK)
        status = count_others(app, &now->head.record, &others, error);
    if (status != STATUS_OK)
        return status;
    if (was && others.orthodontists == 0 && !app->alone && strcmp(now->login, before->login) != 0)
        return error_set(error, STATUS_INPUT, "login",
                         "The only orthodontist keeps the login: with another one nobody might "
                         "come in any more; first enter a second orthodontist.");
    bool alone = now->alone == ANSWER_YES && others.people == 0;
    status = check_end_of_alone(app, now, alone, error);
    if (status != STATUS_OK)
        return status;
    *field = "role";
    if (was && others.orthodontists == 0 && now->role != ROLE_ORTHODONTIST)
        return error_set(error, STATUS_INPUT, "role",
                         "There is always an orthodontist: first enter another one, then change "
                         "this role.");
    *field = "alone";
    if (now->alone == ANSWER_YES && others.people > 0)
        return error_set(error, STATUS_INPUT, "alone",
                         "Where several people work, everybody is asked who they are.");
    return STATUS_OK;
}

enum status people_check_leaving(struct app *app, const struct person *person, struct error *error)
{
    struct count others;

    enum status status = count_others(app, &person->head.record, &others, error);
    if (status != STATUS_OK || person->role != ROLE_ORTHODONTIST || others.orthodontists > 0)
        return status;
    return error_set(error, STATUS_INPUT, "people",
                     "There is always an orthodontist: first enter another one, then withdraw "
                     "%.100s.",
                     person->name);
}

/* ---- inside a save ---- */

static enum status check_logins(struct app *app, struct error *error)
{
    struct arena arena = {0};
    const char *login, *name;

    enum status status = store_login_taken(app->store, &arena, &login, &name, error);
    if (status == STATUS_OK)
        status = tell_taken(login, name, error);
    else if (status == STATUS_NOT_FOUND)
        status = STATUS_OK;
    arena_release(&arena);
    return status;
}

/* The choice is over for good: were it not, it would come back by itself when the others leave. */
static enum status end_alone(struct app_save *save, struct error *error)
{
    struct app *app = save->app;
    struct arena arena = {0};
    struct person person;

    enum status status =
        store_read_current(app->store, RECORD_PERSON, &save->alone, &arena, &person, error);
    if (status == STATUS_OK && person.alone == ANSWER_YES) {
        person.alone = ANSWER_NO;
        person.head.reason = "somebody else works here from now on";
        status = store_append(app->store, RECORD_PERSON, &person, error);
    } else if (status == STATUS_NOT_FOUND) {
        status = STATUS_OK;
    }
    arena_release(&arena);
    return status;
}

enum status people_settle(struct app_save *save, struct error *error)
{
    struct app *app = save->app;
    bool was_alone = !id_is_none(&save->alone);
    struct count all = {0};

    if (!save->led) /* older than these rules, or made just now */
        return STATUS_OK;
    enum status status = check_logins(app, error);
    if (status == STATUS_OK)
        status = count_others(app, NULL, &all, error);
    if (status == STATUS_OK && all.orthodontists == 0)
        status = error_set(error, STATUS_INPUT, "people",
                           "No orthodontist would be left, and nobody could enter another; nothing "
                           "was saved.");
    if (status != STATUS_OK || !was_alone || all.people < 2)
        return status;
    return end_alone(save, error);
}
