/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who sits here: the login of this seat among the people of the practice. */
#include <string.h>

#include "springline/app/app.h"

struct search {
    struct app *app;
    int found;
};

static enum status compare(void *context, const void *record, struct error *error)
{
    const struct person *person = record;
    struct search *search = context;
    struct app *app = search->app;

    if (person->login == NULL || strcmp(person->login, app->user) != 0)
        return STATUS_OK;
    const char *name = person->name == NULL ? "" : person->name;
    if (strlen(name) >= sizeof app->name)
        return error_set(error, STATUS_DAMAGED, "person",
                         "The name of %.60s is longer than any that is stored; run springline "
                         "verify.",
                         app->user);
    search->found++;
    app->person = person->head.record;
    memcpy(app->name, name, strlen(name) + 1);
    return STATUS_OK;
}

enum status app_know_person(struct app *app, struct error *error)
{
    struct search search = {.app = app};

    app->person = (struct id){0};
    app->name[0] = '\0';
    if (app->user == NULL || app->user[0] == '\0')
        return STATUS_OK;
    enum status status =
        store_each_row(app->store, RECORD_PERSON, STORE_NOW, compare, &search, error);
    /* Two people under one login: nobody's name is put under what somebody else may have done. */
    if (status != STATUS_OK || search.found > 1) {
        app->person = (struct id){0};
        app->name[0] = '\0';
    }
    return status;
}

const char *app_by(const struct app *app)
{
    if (app->name[0] != '\0')
        return app->name;
    return app->user == NULL ? "" : app->user;
}
