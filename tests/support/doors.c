/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doors.h"

#include "kept_store.h"
#include "springline/app/secret.h"

const char doors_words[] = "seven herons over the weir";
const char doors_pin[] = "40718";

void doors_good(struct desk *desk, enum status status)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s", (int)status, desk->error.sentence);
}

static void add_person(struct desk *desk, const char *login, const char *name, enum role role)
{
    struct app *app = &desk->kept.app;
    struct app_save save;
    struct person person = {.login = login, .name = name, .role = role};
    struct store_request request = {.id = store_new_id(app->store), .command = "people"};

    doors_good(desk, app_save_begin(app, COMMAND_ADD, &request, &save, &desk->error));
    doors_good(desk, store_append(app->store, RECORD_PERSON, &person, &desk->error));
    doors_good(desk, app_save_commit(&save, &desk->error));
}

void doors_set_secrets(struct desk *desk, const char *login)
{
    const struct secret_change change = {.passphrase = doors_words, .pin = doors_pin};
    struct app app = desk->kept.app;

    app.user = login;
    app.by_login = true;
    app.signed_in_at = desk->kept.now;
    doors_good(desk, secret_change(&app, &change, &desk->error));
}

void doors_open(struct desk *desk, const char *name)
{
    *desk = (struct desk){.headless = {.rows = 24, .columns = 80}};
    case_typical(&desk->maker);
    case_booking(&desk->maker, 0, BOOKING_ACTIVATION, BOOKED_STANDING);
    store_case_open(&desk->kept, name, desk->maker.today);
    desk->kept.app.user = "founder";
    store_case_keep(&desk->kept, &desk->maker);
    add_person(desk, "ben", "Ben Benchworth", ROLE_ASSISTANT);
}

void doors_come(struct desk *desk, const char *login)
{
    desk->kept.app.user = login;
    desk_sit_down(desk);
    ui_begin(&desk->ui);
    ui_draw(&desk->ui);
}

void doors_pass(struct desk *desk, int64_t ms)
{
    desk->headless.clock_ms += ms;
    ui_event(&desk->ui, EVENT_NOTHING, NULL);
    ui_draw(&desk->ui);
}

const char *doors_frame(const struct desk *desk)
{
    return text_string(&desk->headless.frame);
}

void doors_show_nobody(const struct desk *desk)
{
    static const char *const told[] = {"Quillfeather", "Odalys", "C-0001", "booked", "activation"};

    for (size_t i = 0; i < sizeof told / sizeof told[0]; i++) {
        if (strstr(doors_frame(desk), told[i]) != NULL)
            fail_msg("%s is shown:\n%s", told[i], doors_frame(desk));
    }
}

void doors_hide(const struct desk *desk, const char *secret)
{
    if (strstr(doors_frame(desk), secret) != NULL)
        fail_msg("%s is shown:\n%s", secret, doors_frame(desk));
}

int64_t doors_log_rows(const struct desk *desk, const char *what, const char *login)
{
    char query[200];

    (void)snprintf(query, sizeof query,
                   "SELECT count(*) FROM access WHERE what = '%s' AND coalesce(login, '') = '%s'",
                   what, login);
    return kept_number(desk->kept.path, query);
}
