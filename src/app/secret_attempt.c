/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Trying what was typed. The hash takes a quarter second and holds no lock; what it says is told
 * only after a save in which the counts were looked at again, so that many seats at once get no
 * more tries than one.
 */
#include <stdio.h>
#include <string.h>

#include "secret_private.h"

/* What a try stands on. */
struct trial {
    struct attempt *attempt;
    struct secret secret;
    struct sign_in_failure failure;
    instant now;
    bool as_pin, as_passphrase;
    bool rehash;
    char stored[crypto_pwhash_STRBYTES];
    char counted_as[SEAL_SIZE + 1]; /* the login in sign_in_failure */
};

/* The slowest that a stored secret is hashed; the least where there is none. */
static enum status take_cost(void *context, const struct secret *secret, struct error *error)
{
    struct secret_cost *slowest = context, cost;
    const char *const strings[] = {secret->passphrase, secret->pin};

    (void)error;
    for (size_t i = 0; i < 2; i++) {
        if (strings[i] != NULL && secret_cost_of(strings[i], &cost) &&
            (double)cost.passes * (double)cost.bytes >
                (double)slowest->passes * (double)slowest->bytes)
            *slowest = cost;
    }
    return STATUS_OK;
}

static enum status slow_hash(struct app *app, const char *text, const struct secret_cost *cost,
                             unsigned char hash[crypto_generichash_BYTES], struct error *error)
{
    const struct id site = store_site(app->store);

    _Static_assert(sizeof site.bytes == crypto_pwhash_argon2id_SALTBYTES, "a salt of 16 bytes");
    return crypto_pwhash_argon2id(hash, crypto_generichash_BYTES, text, strlen(text), site.bytes,
                                  cost->passes, cost->bytes, crypto_pwhash_ALG_ARGON2ID13) == 0
               ? STATUS_OK
               : error_no_memory(error);
}

/*
 * An unknown login is counted like any other, or the delay would tell which logins there are; but
 * under a slow hash, for a passphrase may have been typed where the login belongs. Done for a known
 * login too: both take the same time.
 */
static enum status name_counted(struct app *app, struct trial *trial, struct error *error)
{
    unsigned char hash[crypto_generichash_BYTES];

    if (!trial->attempt->at_door)
        return STATUS_OK;
    enum status status = slow_hash(app, trial->attempt->login, &secret_cost_least, hash, error);
    trial->counted_as[0] = '?';
    (void)sodium_bin2hex(trial->counted_as + 1, SEAL_SIZE, hash, sizeof hash);
    return status;
}

static const char *counted_login(const struct trial *trial)
{
    return trial->attempt->unknown ? trial->counted_as : trial->attempt->login;
}

static enum status read_counts(struct app *app, struct arena *arena, struct trial *trial,
                               struct error *error)
{
    trial->now = store_instant(app->store);
    enum status status =
        store_read_secret(app->store, trial->attempt->login, arena, &trial->secret, error);
    if (status == STATUS_NOT_FOUND) {
        trial->secret.login = trial->attempt->login;
        status = STATUS_OK;
    }
    if (status == STATUS_OK)
        status = store_read_failure(app->store, counted_login(trial), &trial->failure, error);
    return status;
}

/* Seconds until the next passphrase is taken. */
static int64_t wait_of(const struct sign_in_failure *failure, instant now)
{
    enum { DOUBLINGS = 8 };

    if (failure->failures < 1)
        return 0;
    int64_t delay =
        failure->failures > DOUBLINGS ? SECRET_DELAY_MOST_S : INT64_C(1) << (failure->failures - 1);
    int64_t left = failure->newest_at + delay - now;
    return left < 0 ? 0 : left;
}

/* May a passphrase be tried now? */
static enum attempt_result look_at_passphrase(struct trial *trial)
{
    trial->attempt->wait_s = wait_of(&trial->failure, trial->now);
    if (trial->failure.failures >= SIGN_IN_TRIES)
        return ATTEMPT_SHUT_OUT;
    return trial->attempt->wait_s > 0 ? ATTEMPT_WAIT : ATTEMPT_RIGHT;
}

/* As what may it be tried? ATTEMPT_RIGHT: as something. */
static enum attempt_result look(struct trial *trial)
{
    struct attempt *attempt = trial->attempt;
    const struct secret *secret = &trial->secret;
    bool closed = secret->pin_failures >= PIN_TRIES;
    bool is_pin = attempt->pin_too && secret_is_pin(attempt->typed);
    /* Eight digits may be either. */
    bool is_passphrase = !is_pin || strlen(attempt->typed) >= PASSPHRASE_LEAST;
    enum attempt_result result = is_passphrase ? look_at_passphrase(trial) : ATTEMPT_NO_PIN;

    trial->as_pin = is_pin && secret->pin != NULL && !closed;
    trial->as_passphrase = is_passphrase && result == ATTEMPT_RIGHT;
    if (trial->as_pin)
        return ATTEMPT_RIGHT;
    if (is_pin && closed && !is_passphrase)
        return ATTEMPT_PIN_CLOSED;
    if (!attempt->at_door && secret->pin == NULL && secret->passphrase == NULL)
        return closed ? ATTEMPT_PIN_CLOSED : ATTEMPT_NOTHING_SET;
    return result;
}

/* A login without a passphrase takes as long as one that has one. */
static enum status pretend(struct app *app, const char *typed, struct error *error)
{
    unsigned char hash[crypto_generichash_BYTES];
    struct secret_cost cost = secret_cost_least;

    enum status status = store_each_secret(app->store, take_cost, &cost, error);
    return status == STATUS_OK ? slow_hash(app, typed, &cost, hash, error) : status;
}

/* A passphrase that was quick to hash is hashed again at what this machine can do now. */
static enum status hash_again(struct app *app, struct trial *trial, int64_t took,
                              struct error *error)
{
    struct secret_cost had, now;

    if (app->clock_ms == NULL || took > SECRET_QUICK_MS ||
        !secret_cost_of(trial->secret.passphrase, &had))
        return STATUS_OK;
    now = secret_cost_now(app);
    /* Only a clear rise: two measurements of one machine are never the same. */
    trial->rehash =
        (double)now.passes * (double)now.bytes > 1.5 * (double)had.passes * (double)had.bytes;
    return trial->rehash ? secret_hash(SECRET_PASSPHRASE, trial->attempt->login,
                                       trial->attempt->typed, &now, trial->stored, error)
                         : STATUS_OK;
}

static enum status try_passphrase(struct app *app, struct trial *trial, bool *right,
                                  struct error *error)
{
    struct attempt *attempt = trial->attempt;

    if (trial->secret.passphrase == NULL || attempt->unknown)
        return pretend(app, attempt->typed, error);
    int64_t began = secret_clock_ms(app);
    enum status status = secret_matches(SECRET_PASSPHRASE, attempt->login, attempt->typed,
                                        trial->secret.passphrase, right, error);
    if (status != STATUS_OK || !*right)
        return status;
    return hash_again(app, trial, secret_clock_ms(app) - began, error);
}

/* The slow part: what it says is not told before settle has counted it. */
static enum status compare(struct app *app, struct trial *trial, struct error *error)
{
    struct attempt *attempt = trial->attempt;
    bool right = false;
    enum status status = STATUS_OK;

    attempt->result = trial->as_pin ? ATTEMPT_WRONG_PIN : ATTEMPT_WRONG_PASSPHRASE;
    if (trial->as_pin)
        status = secret_matches(SECRET_PIN, attempt->login, attempt->typed, trial->secret.pin,
                                &right, error);
    attempt->proof = PROOF_PIN;
    if (status == STATUS_OK && !right && trial->as_passphrase) {
        status = try_passphrase(app, trial, &right, error);
        attempt->proof = PROOF_PASSPHRASE;
    }
    if (right)
        attempt->result = ATTEMPT_RIGHT;
    return status;
}

/* ---- counting ---- */

static enum status log_row(struct app *app, const struct attempt *attempt, enum access_what what,
                           const char *detail, struct error *error)
{
    const struct log_entry entry = {.what = what,
                                    .command = attempt->command,
                                    .login = attempt->unknown ? "" : attempt->login,
                                    .detail = detail};

    return app_log_append(app, &entry, error);
}

static enum status count_pin(struct app *app, struct trial *trial, struct error *error)
{
    struct attempt *attempt = trial->attempt;
    const struct log_entry closed = {.what = ACCESS_SHUT_OUT,
                                     .command = attempt->command,
                                     .detail = "the PIN is closed after ten wrong ones"};
    char detail[60];

    trial->secret.pin_failures++;
    attempt->tries_left = PIN_TRIES - trial->secret.pin_failures;
    (void)snprintf(detail, sizeof detail, "PIN, wrong try %d of %d",
                   (int)trial->secret.pin_failures, (int)PIN_TRIES);
    enum status status = log_row(app, attempt, ACCESS_SIGN_IN_FAILED, detail, error);
    if (status != STATUS_OK || attempt->tries_left > 0)
        return status == STATUS_OK ? store_put_secret(app->store, &trial->secret, error) : status;
    trial->secret.pin = NULL;
    return secret_put(app, &trial->secret, &closed, error);
}

static enum status count_passphrase(struct app *app, struct trial *trial, struct error *error)
{
    struct attempt *attempt = trial->attempt;
    char detail[80];

    trial->failure.failures++;
    trial->failure.newest_at = trial->now;
    attempt->wait_s = wait_of(&trial->failure, trial->now);
    (void)snprintf(detail, sizeof detail, "%s, try %d in a row",
                   attempt->unknown ? "no such login" : "passphrase", (int)trial->failure.failures);
    enum status status = log_row(app, attempt, ACCESS_SIGN_IN_FAILED, detail, error);
    if (status == STATUS_OK && trial->failure.failures >= SIGN_IN_TRIES)
        status = log_row(app, attempt, ACCESS_SHUT_OUT, "passphrase, too many wrong tries", error);
    if (status == STATUS_OK)
        status = store_put_failure(app->store, counted_login(trial), &trial->failure, error);
    return status;
}

static enum status keep_rehash(struct app *app, struct trial *trial, struct error *error)
{
    const struct log_entry entry = {.what = ACCESS_SECRET_SET,
                                    .command = trial->attempt->command,
                                    .detail = "the same passphrase, hashed at a higher cost"};

    trial->secret.passphrase = trial->stored;
    return secret_put(app, &trial->secret, &entry, error);
}

/* Wipes the counts that a right try ends, and logs it. *wrote: there is something to commit. */
static enum status count_right(struct app *app, struct trial *trial, bool *wrote,
                               struct error *error)
{
    struct attempt *attempt = trial->attempt;
    bool by_passphrase = attempt->proof == PROOF_PASSPHRASE;
    bool pins = trial->secret.pin_failures > 0 && trial->secret.pin_failures < PIN_TRIES;
    bool tries = by_passphrase && trial->failure.failures > 0;
    enum access_what what = attempt->success;
    enum status status = STATUS_OK;

    if (attempt->once) /* not signed in before it is replaced */
        return STATUS_OK;
    *wrote = what != ACCESS_NONE || pins || tries || trial->rehash;
    if (pins)
        trial->secret.pin_failures = 0;
    if (trial->rehash)
        status = keep_rehash(app, trial, error);
    else if (pins)
        status = store_put_secret(app->store, &trial->secret, error);
    if (status == STATUS_OK && tries)
        status = store_put_failure(app->store, attempt->login,
                                   &(struct sign_in_failure){.newest_at = INSTANT_NONE}, error);
    if (status == STATUS_OK && what != ACCESS_NONE)
        status = log_row(app, attempt, what, attempt->detail, error);
    else if (status == STATUS_OK && (pins || tries))
        status = log_row(app, attempt, ACCESS_REOPENED, "right after wrong tries", error);
    return status;
}

static bool same(const char *a, const char *b)
{
    return a == b || (a != NULL && b != NULL && strcmp(a, b) == 0);
}

/* Is what was compared still what stands, and may it still be tried? */
static enum status look_again(struct app *app, struct arena *arena, struct trial *trial,
                              struct error *error)
{
    struct secret had = trial->secret;
    struct attempt *attempt = trial->attempt;
    bool as_pin = trial->as_pin, as_passphrase = trial->as_passphrase;

    enum status status = read_counts(app, arena, trial, error);
    if (status != STATUS_OK)
        return status;
    if (!same(had.passphrase, trial->secret.passphrase) || !same(had.pin, trial->secret.pin))
        return error_set(error, STATUS_CONFLICT, "secret",
                         "The secrets of this login were changed just now; type it again.");
    enum attempt_result now = look(trial);
    if (now != ATTEMPT_RIGHT)
        attempt->result = now;
    else if (as_pin != trial->as_pin || as_passphrase != trial->as_passphrase)
        return error_set(error, STATUS_CONFLICT, "secret",
                         "Somebody else tries this login at this moment; type it again.");
    return STATUS_OK;
}

static enum status count(struct app *app, struct trial *trial, bool *wrote, struct error *error)
{
    struct attempt *attempt = trial->attempt;

    if (attempt->result == ATTEMPT_WRONG_PIN || attempt->result == ATTEMPT_WRONG_PASSPHRASE) {
        *wrote = true;
        return attempt->result == ATTEMPT_WRONG_PIN ? count_pin(app, trial, error)
                                                    : count_passphrase(app, trial, error);
    }
    if (attempt->result != ATTEMPT_RIGHT)
        return STATUS_OK;
    attempt->once = attempt->proof == PROOF_PASSPHRASE && trial->secret.once_until != INSTANT_NONE;
    if (attempt->once && trial->secret.once_until < trial->now) {
        attempt->result = ATTEMPT_EXPIRED;
        return STATUS_OK;
    }
    return count_right(app, trial, wrote, error);
}

static enum status settle(struct app *app, struct arena *arena, struct trial *trial,
                          struct error *error)
{
    /* Who stands at the door is nobody yet, and not the person whose seat it is. */
    const struct id nobody = {{0}};
    const struct store_request request = {.id = store_new_id(app->store),
                                          .command = command_table[trial->attempt->command].name,
                                          .seat = app->seat,
                                          .person = trial->attempt->at_door ? nobody : app->person};
    bool wrote = false;

    enum status status = store_begin(app->store, &request, error);
    if (status != STATUS_OK)
        return status;
    status = look_again(app, arena, trial, error);
    if (status == STATUS_OK)
        status = count(app, trial, &wrote, error);
    if (status == STATUS_OK && wrote)
        return store_commit(app->store, error);
    store_rollback(app->store);
    return status;
}

enum status secret_attempt(struct app *app, struct attempt *attempt, struct error *error)
{
    struct trial trial = {.attempt = attempt};
    struct arena arena = {0};

    enum status status = name_counted(app, &trial, error);
    if (status == STATUS_OK)
        status = read_counts(app, &arena, &trial, error);
    if (status == STATUS_OK)
        attempt->result = look(&trial);
    if (status == STATUS_OK && attempt->result == ATTEMPT_RIGHT) {
        status = compare(app, &trial, error);
        if (status == STATUS_OK)
            status = settle(app, &arena, &trial, error);
    }
    if (status != STATUS_OK)
        attempt->result = ATTEMPT_NOTHING_SET;
    arena_release(&arena);
    return status;
}

enum status secret_tell(const struct attempt *attempt, struct error *error)
{
    long wait_s = (long)attempt->wait_s;

    switch (attempt->result) {
    case ATTEMPT_RIGHT:
        return STATUS_OK;
    case ATTEMPT_WRONG_PIN:
        if (attempt->tries_left <= 0)
            return error_set(
                error, STATUS_REFUSED, "PIN",
                "This PIN is wrong, the tenth time: it is closed. Type the passphrase, "
                "and set a new PIN.");
        return error_set(error, STATUS_REFUSED, "PIN",
                         "This PIN is wrong; after %d more the PIN is closed.",
                         (int)attempt->tries_left);
    case ATTEMPT_WRONG_PASSPHRASE:
        return error_set(error, STATUS_REFUSED, "passphrase",
                         "This passphrase is wrong; the next one is taken in %ld s.", wait_s);
    case ATTEMPT_WAIT:
        return error_set(error, STATUS_REFUSED, "passphrase",
                         "After wrong passphrases the next one is taken in %ld s; this one was not "
                         "tried.",
                         wait_s);
    case ATTEMPT_SHUT_OUT:
        return error_set(error, STATUS_REFUSED, "passphrase",
                         "A hundred wrong passphrases have shut this login out; an orthodontist "
                         "gives it a new one on the people screen.");
    case ATTEMPT_PIN_CLOSED:
        return error_set(error, STATUS_REFUSED, "PIN",
                         "Ten wrong PINs have closed the PIN: type the passphrase, and set a new "
                         "PIN with it from the day's menu; without one, log in anew and set it.");
    case ATTEMPT_NO_PIN:
        return error_set(error, STATUS_REFUSED, "PIN",
                         "No PIN is set for you; type the passphrase.");
    case ATTEMPT_EXPIRED:
        return error_set(error, STATUS_REFUSED, "passphrase",
                         "This one-time passphrase is older than 24 hours; an orthodontist gives a "
                         "new one.");
    case ATTEMPT_NOTHING_SET:
    default:
        return error_set(error, STATUS_REFUSED, "secret",
                         "Neither a PIN nor a passphrase of yours is set; set them from the day's "
                         "menu, then do this again.");
    }
}
