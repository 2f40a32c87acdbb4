/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who sits here: the login of this seat among the people of the practice. */
#include <string.h>

#include "springline/app/app.h"

struct search {
    struct app *app;
    int people, orthodontists, found;
    bool alone; /* the only one so far, and chose not to be asked */
};

static enum status take(struct app *app, const struct person *person, struct error *error)
{
    if (strlen(person->name) >= sizeof app->name || strlen(person->login) >= sizeof app->login)
        return error_set(error, STATUS_DAMAGED, "person",
                         "The name of %.60s is longer than any that is stored; run springline "
                         "verify.",
                         person->login);
    app->person = person->head.record;
    app->role = person->role;
    memcpy(app->name, person->name, strlen(person->name) + 1);
    memcpy(app->login, person->login, strlen(person->login) + 1);
    return STATUS_OK;
}

static void forget(struct app *app)
{
    app->person = (struct id){0};
    app->role = ROLE_NONE;
    app->name[0] = '\0';
    app->login[0] = '\0';
    app->alone = false;
}

static enum status compare(void *context, const void *record, struct error *error)
{
    const struct person *person = record;
    struct search *search = context;
    struct app *app = search->app;
    bool same = app->user != NULL && app->user[0] != '\0' && strcmp(person->login, app->user) == 0;

    search->people++;
    search->orthodontists += person->role == ROLE_ORTHODONTIST;
    if (search->alone) { /* somebody else works here: the choice does not count any more */
        search->alone = false;
        if (search->found == 0)
            forget(app);
    }
    search->alone = search->people == 1 && person->alone == ANSWER_YES;
    if (!same && !search->alone)
        return STATUS_OK;
    search->found += same;
    return take(app, person, error);
}

enum status app_know_person(struct app *app, struct error *error)
{
    struct search search = {.app = app};

    forget(app);
    enum status status = store_each_person(app->store, compare, &search, error);
    /* Two people under one login: nobody's name is put under what somebody else may have done. */
    if (status != STATUS_OK || search.found > 1)
        forget(app);
    if (status == STATUS_OK) {
        app->alone = search.alone;
        app->nobody = search.orthodontists == 0;
    }
    return status;
}

const char *app_by(const struct app *app)
{
    if (app->name[0] != '\0')
        return app->name;
    return app->user == NULL ? "" : app->user;
}
