/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "team.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "springline/app/authority.h"
#include "springline/app/secret.h"

static void good(enum status status, const struct error *error)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s: %s", (int)status, error->where, error->sentence);
}

void team_add(struct app *app, const char *login, const char *name, enum role role)
{
    struct error error = {0};
    struct app_save save;
    struct person person = {.login = login, .name = name, .role = role};
    struct store_request request = {.id = store_new_id(app->store), .command = "person"};

    good(app_save_begin(app, COMMAND_ADD, &request, &save, &error), &error);
    good(store_append(app->store, RECORD_PERSON, &person, &error), &error);
    good(app_save_commit(&save, &error), &error);
}

void team_secrets(struct app *app, instant now)
{
    const struct secret_change change = {.passphrase = TEAM_PASSPHRASE, .pin = TEAM_PIN};
    struct error error = {0};

    app->by_login = true; /* a fresh login of the machine, for the first secrets */
    app->signed_in_at = now;
    good(secret_change(app, &change, &error), &error);
}

void team_sit(struct store_case *kept, const char *login)
{
    struct error error = {0};

    kept->app.user = login;
    good(app_know_person(&kept->app, &error), &error);
}

void team_join(struct store_case *kept)
{
    team_add(&kept->app, "ada", "Dr Ada Example", ROLE_ORTHODONTIST);
    team_sit(kept, "ada");
    team_add(&kept->app, "ben", "Ben Benchworth", ROLE_ASSISTANT);
    team_add(&kept->app, "dee", "Dee Deskington", ROLE_DESK);
    team_sit(kept, "ada");
    team_secrets(&kept->app, kept->now);
    assert_false(kept->app.alone);
}
