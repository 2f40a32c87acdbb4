/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Proving who sits here, and changing by what it is proved. */
#include "springline/app/secret.h"

#include <string.h>

#include "secret_private.h"

enum status secret_prove(struct app *app, const char *typed, enum proof *proof, struct error *error)
{
    *proof = PROOF_NONE;
    enum status status = app_know_person(app, error);
    if (status != STATUS_OK)
        return status;
    if (app->alone) {
        *proof = PROOF_ALONE;
        return STATUS_OK;
    }
    if (app->role == ROLE_NONE)
        return app_refuse(app, COMMAND_SIGN, NULL, error);
    struct attempt attempt = {
        .login = app->login, .typed = typed, .command = COMMAND_SIGN, .pin_too = true};
    status = secret_attempt(app, &attempt, error);
    if (status == STATUS_OK)
        status = secret_tell(&attempt, error);
    if (status == STATUS_OK && attempt.once)
        status = error_set(error, STATUS_REFUSED, "passphrase",
                           "This one-time passphrase signs nothing; first set your own from the "
                           "day's menu.");
    if (status == STATUS_OK)
        *proof = attempt.proof;
    return status;
}

static struct secret_standing standing_of(const struct secret *secret, int32_t failures)
{
    return (struct secret_standing){.passphrase = secret->passphrase != NULL,
                                    .pin = secret->pin != NULL,
                                    .once = secret->once_until != INSTANT_NONE,
                                    .pin_closed = secret->pin_failures >= PIN_TRIES,
                                    .failures = failures,
                                    .shut_out = failures >= SIGN_IN_TRIES};
}

enum status secret_look(struct app *app, const char *login, struct secret_standing *standing,
                        struct error *error)
{
    struct sign_in_failure failure = {0};
    struct arena arena = {0};
    struct secret secret;

    enum status status = store_read_secret(app->store, login, &arena, &secret, error);
    if (status == STATUS_NOT_FOUND)
        status = STATUS_OK;
    if (status == STATUS_OK)
        status = store_read_failure(app->store, login, &failure, error);
    if (status == STATUS_OK)
        *standing = standing_of(&secret, failure.failures);
    arena_release(&arena);
    return status;
}

/* ---- changing one's own ---- */

static enum status count_orthodontist(void *context, const void *record, struct error *error)
{
    const struct person *person = record;

    (void)error;
    *(int *)context += person->role == ROLE_ORTHODONTIST;
    return STATUS_OK;
}

static bool is_fresh(struct app *app)
{
    instant now = store_instant(app->store);

    return app->by_login && now >= app->signed_in_at && now - app->signed_in_at <= SECRET_FRESH_S;
}

enum status secret_asks_old(struct app *app, bool *asked, struct error *error)
{
    struct secret_standing standing;
    int orthodontists = 0;

    *asked = false;
    enum status status = app_know_person(app, error);
    if (status == STATUS_OK && app->alone)
        return STATUS_OK;
    if (status == STATUS_OK)
        status = secret_look(app, app->login, &standing, error);
    if (status == STATUS_OK)
        status = store_each_person(app->store, count_orthodontist, &orthodontists, error);
    if (status != STATUS_OK)
        return status;
    *asked = standing.passphrase || standing.pin;
    if (is_fresh(app)) {
        /* Nobody else could give this one a new passphrase. */
        *asked = *asked && (app->role != ROLE_ORTHODONTIST || orthodontists > 1);
        return STATUS_OK;
    }
    if (*asked)
        return STATUS_OK;
    return error_set(
        error, STATUS_REFUSED, "secret",
        "No passphrase of yours stands that could be asked for, and you logged in some "
        "time ago: leave the program, log in again, and set it at once.");
}

/* The new ones alone, without looking at the store. */
static enum status check_change(const struct app *app, const struct secret_change *change,
                                struct error *error)
{
    bool passphrase = change->passphrase != NULL && change->passphrase[0] != '\0';
    bool pin = change->pin != NULL && change->pin[0] != '\0';
    enum status status = STATUS_OK;

    if (!passphrase && !pin)
        return error_set(error, STATUS_INPUT, "secret",
                         "Type a new passphrase, a new PIN, or both.");
    if (passphrase)
        status = secret_check_passphrase(app->login, app->name, change->passphrase, error);
    if (status == STATUS_OK && passphrase && change->old != NULL &&
        strcmp(change->old, change->passphrase) == 0)
        status = error_set(error, STATUS_INPUT, "passphrase",
                           "The new passphrase is the old one; choose another.");
    if (status == STATUS_OK && pin)
        status = secret_check_pin(change->pin, error);
    return status;
}

/* STATUS_OK: the old one is right, or is not asked for. */
static enum status prove_old(struct app *app, const struct secret_change *change,
                             struct error *error)
{
    struct secret_standing standing;
    bool asked;

    enum status status = secret_asks_old(app, &asked, error);
    if (status != STATUS_OK || !asked)
        return status;
    status = secret_look(app, app->login, &standing, error);
    if (status != STATUS_OK)
        return status;
    if (change->old == NULL || change->old[0] == '\0')
        return error_set(error, STATUS_REFUSED, "secret", "First type your present %s.",
                         standing.passphrase ? "passphrase" : "PIN");
    /* A PIN, which falls sooner, must not be the way to a new passphrase. */
    struct attempt attempt = {.login = app->login,
                              .typed = change->old,
                              .command = COMMAND_TO_SECRET,
                              .pin_too = !standing.passphrase};
    status = secret_attempt(app, &attempt, error);
    return status == STATUS_OK ? secret_tell(&attempt, error) : status;
}

/* The strings of a change, made before the save: they take long. */
struct made {
    char passphrase[crypto_pwhash_STRBYTES], pin[crypto_pwhash_STRBYTES];
};

static enum status make(struct app *app, const struct secret_change *change, struct made *made,
                        struct error *error)
{
    const struct secret_cost cost = secret_cost_now(app);
    enum status status = STATUS_OK;

    *made = (struct made){{0}, {0}};
    if (change->passphrase != NULL && change->passphrase[0] != '\0')
        status = secret_hash(SECRET_PASSPHRASE, app->login, change->passphrase, &cost,
                             made->passphrase, error);
    if (status == STATUS_OK && change->pin != NULL && change->pin[0] != '\0')
        status = secret_hash(SECRET_PIN, app->login, change->pin, &cost, made->pin, error);
    return status;
}

static enum status write_change(struct app *app, struct arena *arena, const struct made *made,
                                struct error *error)
{
    bool passphrase = made->passphrase[0] != '\0', pin = made->pin[0] != '\0';
    const struct log_entry entry = {.what = ACCESS_SECRET_SET,
                                    .command = COMMAND_TO_SECRET,
                                    .detail = passphrase && pin ? "passphrase and PIN set"
                                              : pin             ? "PIN set"
                                                                : "passphrase set"};
    struct secret secret;

    enum status status = store_read_secret(app->store, app->login, arena, &secret, error);
    if (status != STATUS_OK && status != STATUS_NOT_FOUND)
        return status;
    secret.login = app->login;
    secret.set_at = store_instant(app->store);
    if (passphrase) {
        secret.passphrase = made->passphrase;
        secret.once_until = INSTANT_NONE;
    } else if (secret.once_until != INSTANT_NONE) {
        return error_set(
            error, STATUS_REFUSED, "passphrase",
            "Your passphrase is a one-time one: set a passphrase of your own with it.");
    }
    if (pin) {
        secret.pin = made->pin;
        secret.pin_failures = 0;
    }
    return secret_put(app, &secret, &entry, error);
}

enum status secret_write(struct app *app, const struct secret_change *change, struct error *error)
{
    struct arena arena = {0};
    struct made made;
    struct app_save save;
    struct store_request request = {.id = store_new_id(app->store),
                                    .command = command_table[COMMAND_TO_SECRET].name,
                                    .seat = app->seat};

    enum status status = make(app, change, &made, error);
    if (status == STATUS_OK)
        status = app_save_begin(app, COMMAND_TO_SECRET, &request, &save, error);
    if (status != STATUS_OK)
        return status;
    status = write_change(app, &arena, &made, error);
    if (status == STATUS_OK)
        status = app_save_commit(&save, error);
    else
        app_save_drop(&save);
    arena_release(&arena);
    return status;
}

enum status secret_change(struct app *app, const struct secret_change *change, struct error *error)
{
    enum status status = app_allow(app, COMMAND_TO_SECRET, NULL, error);

    if (status == STATUS_OK)
        status = check_change(app, change, error);
    if (status == STATUS_OK)
        status = prove_old(app, change, error);
    return status == STATUS_OK ? secret_write(app, change, error) : status;
}

/* ---- another's, by an orthodontist ---- */

struct wanted {
    const char *login;
    bool found;
};

static enum status find_login(void *context, const void *record, struct error *error)
{
    struct wanted *wanted = context;

    (void)error;
    wanted->found =
        wanted->found || strcmp(((const struct person *)record)->login, wanted->login) == 0;
    return STATUS_OK;
}

/* Sixteen letters and digits that are not mistaken for each other: 80 bits. */
static void make_once(struct app *app, char once[SECRET_ONCE_SIZE])
{
    static const char signs[] = "abcdefghijkmnpqrstuvwxyz23456789";
    struct id random = store_new_id(app->store);
    char *at = once;

    _Static_assert(sizeof signs - 1 == 32, "five bits a sign");
    for (size_t i = 0; i < sizeof random.bytes; i++) {
        if (i > 0 && i % 4 == 0)
            *at++ = '-';
        *at++ = signs[random.bytes[i] & 31];
    }
    *at = '\0';
    sodium_memzero(&random, sizeof random);
}

static enum status write_reset(struct app *app, const char *login, const char *stored,
                               struct error *error)
{
    const struct log_entry entry = {.what = ACCESS_SECRET_RESET,
                                    .command = COMMAND_RESET_SECRET,
                                    .detail = "a one-time passphrase given for 24 hours"};
    const instant now = store_instant(app->store);
    const struct secret secret = {
        .login = login, .passphrase = stored, .set_at = now, .once_until = now + SECRET_ONCE_S};
    struct wanted wanted = {.login = login};

    enum status status = store_each_person(app->store, find_login, &wanted, error);
    if (status == STATUS_OK && !wanted.found)
        status = error_set(error, STATUS_NOT_FOUND, "people",
                           "Nobody with the login %.60s works here now.", login);
    if (status == STATUS_OK && strcmp(login, app->login) == 0)
        status = error_set(error, STATUS_REFUSED, "people",
                           "This is yourself: your own passphrase is changed in the day's menu.");
    if (status == STATUS_OK)
        status = store_put_failure(app->store, login,
                                   &(struct sign_in_failure){.newest_at = INSTANT_NONE}, error);
    return status == STATUS_OK ? secret_put(app, &secret, &entry, error) : status;
}

enum status secret_reset(struct app *app, const char *login, char once[SECRET_ONCE_SIZE],
                         struct error *error)
{
    const struct secret_cost cost = secret_cost_now(app);
    struct store_request request = {.id = store_new_id(app->store),
                                    .command = command_table[COMMAND_RESET_SECRET].name,
                                    .seat = app->seat};
    char stored[crypto_pwhash_STRBYTES];
    struct app_save save;

    make_once(app, once);
    enum status status = secret_hash(SECRET_PASSPHRASE, login, once, &cost, stored, error);
    if (status == STATUS_OK)
        status = app_save_begin(app, COMMAND_RESET_SECRET, &request, &save, error);
    if (status == STATUS_OK) {
        status = write_reset(app, login, stored, error);
        if (status == STATUS_OK)
            status = app_save_commit(&save, error);
        else
            app_save_drop(&save);
    }
    if (status != STATUS_OK)
        sodium_memzero(once, SECRET_ONCE_SIZE);
    return status;
}
