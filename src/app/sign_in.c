/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/sign_in.h"

#include <string.h>

#include "secret_private.h"

bool sign_in_known(const struct app *app)
{
    return app->alone || app->role != ROLE_NONE;
}

/* "2026-11-25 10:12 UTC" */
static void add_instant(struct text *out, instant at)
{
    char text[INSTANT_TEXT_SIZE];

    instant_to_text(at, text);
    text_addf(out, "%.10s %.5s UTC", text, text + 11);
}

/* ---- what failed since ---- */

struct since {
    int64_t sequence; /* of the newest row 'signed-in'; 0: never */
    instant signed_in_at, newest_at;
    int failures;
};

static enum status take_signed_in(void *context, const void *record, struct error *error)
{
    const struct row_head *head = record;
    struct since *since = context;

    (void)error;
    since->sequence = head->sequence;
    since->signed_in_at = head->recorded_at;
    return STATUS_NO; /* the newest is enough */
}

static enum status count_failed(void *context, const void *record, struct error *error)
{
    const struct row_head *head = record;
    struct since *since = context;

    (void)error;
    if (head->sequence < since->sequence)
        return STATUS_NO;
    if (since->failures == 0)
        since->newest_at = head->recorded_at;
    since->failures++;
    return STATUS_OK;
}

/* "3 wrong tries since 2026-06-01 08:00 UTC, the last at 2026-06-02 09:15 UTC." */
static enum status tell_failures(struct app *app, const char *login, struct text *told,
                                 struct error *error)
{
    struct since since = {0};

    text_clear(told);
    enum status status =
        store_each_access(app->store, ACCESS_SIGNED_IN, login, take_signed_in, &since, error);
    if (status == STATUS_OK)
        status = store_each_access(app->store, ACCESS_SIGN_IN_FAILED, login, count_failed, &since,
                                   error);
    if (status != STATUS_OK || since.failures == 0)
        return status;
    text_addf(told, "%d wrong %s", since.failures, since.failures == 1 ? "try" : "tries");
    if (since.sequence > 0) {
        text_add(told, " since you signed in on ");
        add_instant(told, since.signed_in_at);
    }
    text_add(told, since.failures == 1 ? ", at " : ", the last at ");
    add_instant(told, since.newest_at);
    text_add(told, ".");
    return told->failed ? error_no_memory(error) : STATUS_OK;
}

/* ---- signing in ---- */

static void begin_session(struct app *app, bool by_login)
{
    app->by_login = by_login;
    app->signed_in_at = store_instant(app->store);
}

/* The row 'signed-in', and the count of failures wiped, in one save. */
static enum status log_signed_in(struct app *app, const char *how, struct error *error)
{
    const struct sign_in_failure none = {.newest_at = INSTANT_NONE};
    const struct log_entry entry = {
        .what = ACCESS_SIGNED_IN, .command = COMMAND_SIGN_IN, .login = app->login, .detail = how};
    const struct store_request request = {.id = store_new_id(app->store),
                                          .command = command_table[COMMAND_SIGN_IN].name,
                                          .seat = app->seat,
                                          .person = app->person};

    enum status status = store_begin(app->store, &request, error);
    if (status != STATUS_OK)
        return status;
    status = app_log_append(app, &entry, error);
    if (status == STATUS_OK)
        status = store_put_failure(app->store, app->login, &none, error);
    if (status == STATUS_OK)
        return store_commit(app->store, error);
    store_rollback(app->store);
    return status;
}

enum status sign_in_by_login(struct app *app, struct text *told, struct error *error)
{
    text_clear(told);
    begin_session(app, true);
    if (!sign_in_known(app))
        return STATUS_OK;
    enum status status = tell_failures(app, app->login, told, error);
    return status == STATUS_OK
               ? log_signed_in(app, app->alone ? "nobody is asked" : "login of the machine", error)
               : status;
}

/* The person of a login, the name in the arena. */
struct found {
    const char *login;
    struct arena *arena;
    const char *name; /* NULL: there is no such login */
};

static enum status find_person(void *context, const void *record, struct error *error)
{
    const struct person *person = record;
    struct found *found = context;

    if (strcmp(person->login, found->login) != 0)
        return STATUS_OK;
    found->name = arena_text(found->arena, person->name, strlen(person->name));
    return found->name == NULL ? error_no_memory(error) : STATUS_OK;
}

/* The same words whether the login exists or not; more only to whoever typed what is right. */
static enum status tell_at_door(const struct attempt *attempt, struct error *error)
{
    switch (attempt->result) {
    case ATTEMPT_RIGHT:
        return STATUS_OK;
    case ATTEMPT_WAIT:
        return error_set(
            error, STATUS_REFUSED, "sign-in",
            "After wrong tries the next one for this login is taken in %ld s; this one "
            "was not tried.",
            (long)attempt->wait_s);
    case ATTEMPT_SHUT_OUT:
        return error_set(error, STATUS_REFUSED, "sign-in",
                         "A hundred wrong tries have shut this login out; an orthodontist gives it "
                         "a new passphrase on the people screen.");
    case ATTEMPT_EXPIRED:
        return secret_tell(attempt, error);
    default:
        return error_set(error, STATUS_REFUSED, "sign-in",
                         "Login or passphrase is wrong; the next try is taken in %ld s.",
                         (long)attempt->wait_s);
    }
}

/* Sits down as login. False: it is longer than any that is stored. */
static bool sit_down(struct app *app, const char *login)
{
    size_t length = strlen(login);

    if (length >= sizeof app->signed_in_as)
        return false;
    memmove(app->signed_in_as, login, length + 1);
    app->user = app->signed_in_as;
    return true;
}

/* A one-time passphrase was right: the person's own takes its place, and only then they are in. */
static enum status replace_once(struct app *app, const struct sign_in_entry *entry,
                                struct error *error)
{
    const struct secret_change change = {.passphrase = entry->replacement};
    const char *user = app->user;
    char before[sizeof app->signed_in_as];

    if (strcmp(entry->replacement, entry->passphrase) == 0)
        return error_set(error, STATUS_INPUT, "passphrase",
                         "The new passphrase is the one-time one; choose another.");
    memcpy(before, app->signed_in_as, sizeof before);
    if (!sit_down(app, entry->login))
        return error_no_memory(error);
    enum status status = app_know_person(app, error);
    if (status == STATUS_OK)
        status = secret_write(app, &change, error);
    if (status == STATUS_OK)
        return log_signed_in(app, "passphrase, after a one-time one", error);
    memcpy(app->signed_in_as, before, sizeof before);
    app->user = user;
    (void)app_know_person(app, NULL);
    return status;
}

static enum status enter(struct app *app, const struct sign_in_entry *entry, bool once,
                         struct error *error)
{
    enum status status = once ? replace_once(app, entry, error) : STATUS_OK;

    if (status != STATUS_OK)
        return status;
    if (!sit_down(app, entry->login))
        return error_no_memory(error);
    begin_session(app, false);
    return app_know_person(app, error);
}

/* May the replacement stand? Asked before anything is tried. */
static enum status check_replacement(const struct sign_in_entry *entry, const struct found *found,
                                     struct error *error)
{
    if (entry->replacement == NULL || entry->replacement[0] == '\0')
        return STATUS_OK;
    return secret_check_passphrase(entry->login, found->name, entry->replacement, error);
}

enum status sign_in_with(struct app *app, const struct sign_in_entry *entry, bool *replace,
                         struct text *told, struct error *error)
{
    struct arena arena = {0};
    struct found found = {.login = entry->login, .arena = &arena};
    struct attempt attempt = {.login = entry->login,
                              .typed = entry->passphrase,
                              .command = COMMAND_SIGN_IN,
                              .at_door = true,
                              .success = ACCESS_SIGNED_IN,
                              .detail = "passphrase"};
    bool replaces = entry->replacement != NULL && entry->replacement[0] != '\0';

    *replace = false;
    enum status status = store_each_person(app->store, find_person, &found, error);
    attempt.unknown = found.name == NULL;
    if (status == STATUS_OK)
        status = tell_failures(app, entry->login, told, error);
    if (status == STATUS_OK)
        status = check_replacement(entry, &found, error);
    if (status == STATUS_OK)
        status = secret_attempt(app, &attempt, error);
    if (status == STATUS_OK)
        status = tell_at_door(&attempt, error);
    if (status == STATUS_OK && attempt.once && !replaces)
        *replace = true;
    else if (status == STATUS_OK)
        status = enter(app, entry, attempt.once, error);
    if (status != STATUS_OK || *replace)
        text_clear(told);
    arena_release(&arena);
    return status;
}

/* ---- the lock ---- */

void sign_in_lock_told(struct app *app, struct text *told)
{
    text_add(told, "Locked ");
    add_instant(told, store_instant(app->store));
    text_add(told, " by ");
    text_add_shown(told, app_by(app));
    text_add(told, ".");
}

enum status sign_in_lock(struct app *app, bool idle, struct error *error)
{
    const struct log_entry entry = {.what = ACCESS_LOCKED,
                                    .command = COMMAND_LOCK,
                                    .login = app->login,
                                    .detail = idle ? "no key for a while" : "by hand"};

    app->by_login = false;
    return app_log(app, &entry, error);
}

enum status sign_in_reopen(struct app *app, const char *typed, bool ended, struct error *error)
{
    struct secret_standing standing;

    enum status status = app_know_person(app, error);

    if (status != STATUS_OK)
        return status;
    if (app->role == ROLE_NONE)
        return error_set(error, STATUS_REFUSED, "people",
                         "This login is not among the people of this practice any more; Ctrl-Q "
                         "leaves, and what was typed is kept.");
    status = secret_look(app, app->login, &standing, error);
    if (status != STATUS_OK)
        return status;
    if (!standing.passphrase && (ended || !standing.pin))
        return error_set(error, STATUS_REFUSED, "secret",
                         "No %s of yours is set: Ctrl-Q leaves, what was typed is kept, and your "
                         "login lets you in again.",
                         ended ? "passphrase" : "PIN or passphrase");
    struct attempt attempt = {.login = app->login,
                              .typed = typed,
                              .command = COMMAND_LOCK,
                              .pin_too = !ended,
                              .success = ended ? ACCESS_SIGNED_IN : ACCESS_REOPENED,
                              .detail = ended ? "passphrase, in the same session" : NULL};
    status = secret_attempt(app, &attempt, error);
    if (status == STATUS_OK)
        status = secret_tell(&attempt, error);
    if (status == STATUS_OK && attempt.once)
        return error_set(error, STATUS_REFUSED, "passphrase",
                         "A one-time passphrase opens no lock: Esc, then sign in with it.");
    if (status == STATUS_OK && ended)
        app->signed_in_at = store_instant(app->store);
    return status;
}

enum status sign_in_note(struct app *app, struct text *out, struct error *error)
{
    struct secret_standing standing;

    if (app->alone) {
        text_add(out, "alone: nobody is asked");
        return STATUS_OK;
    }
    enum status status = secret_look(app, app->login, &standing, error);
    if (status != STATUS_OK || app->role == ROLE_NONE)
        return status;
    text_addf(out, "here: %s", app->name);
    if (standing.once)
        text_add(out, ", set a passphrase of your own: * s");
    else if (standing.pin_closed)
        text_add(out, ", your PIN is closed: * s");
    else if (!standing.pin)
        text_add(out, ", no PIN of yours is set: * s");
    return STATUS_OK;
}
