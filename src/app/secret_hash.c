/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Hashing of secrets: argon2id by libsodium, its cost measured; and the seal of what is stored. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "secret_private.h"

enum {
    TARGET_MS = 250,
    MEASURED = 2,        /* the quicker of them: what else runs here only adds */
    PASSES_LEAST = 2,    /* OWASP Password Storage cheat sheet: argon2id, 19 MiB and 2 passes */
    PASSES_MOST = 40,    /* a clock that stands still must not make a hash of minutes: ours */
    PASSES_BOUND = 1000, /* more, or more memory, is no string of ours and would only hang */
    MIB = 1024 * 1024,
    MEMORY_LEAST_MIB = 19,
    MEMORY_MOST_MIB = 64, /* RFC 9106, 4: the second recommended option; ten seats have room */
    MEMORY_BOUND_MIB = 1024
};

const struct secret_cost secret_cost_least = {PASSES_LEAST, (size_t)MEMORY_LEAST_MIB *MIB};

void secret_wipe(void *bytes, size_t size)
{
    sodium_memzero(bytes, size);
}

/* What is hashed: the kind and the login go before, so that a string proves nothing elsewhere. */
struct input {
    unsigned char bytes[1 + crypto_generichash_BYTES + PASSPHRASE_SIZE];
    size_t length;
};

/* False: it is longer than anything that can be set. */
static bool make_input(struct input *input, enum secret_kind kind, const char *login,
                       const char *typed)
{
    size_t length = strlen(typed);

    if (length >= PASSPHRASE_SIZE)
        return false;
    input->bytes[0] = (unsigned char)kind;
    (void)crypto_generichash(input->bytes + 1, crypto_generichash_BYTES,
                             (const unsigned char *)login, strlen(login), NULL, 0);
    memcpy(input->bytes + 1 + crypto_generichash_BYTES, typed, length);
    input->length = 1 + crypto_generichash_BYTES + length;
    return true;
}

int64_t secret_clock_ms(struct app *app)
{
    return app->clock_ms == NULL ? 0 : app->clock_ms(app->clock_context);
}

/* Milliseconds that one hash of this cost takes; at least 1. */
static int64_t measure(struct app *app, const struct secret_cost *cost)
{
    int64_t least = INT64_MAX;
    char stored[crypto_pwhash_STRBYTES];

    for (int i = 0; i < MEASURED; i++) {
        int64_t began = secret_clock_ms(app);
        if (crypto_pwhash_argon2id_str(stored, "", 0, cost->passes, cost->bytes) != 0)
            return INT64_MAX; /* there is no room for so much memory */
        int64_t took = secret_clock_ms(app) - began;
        least = took < least ? took : least;
    }
    return least < 1 ? 1 : least;
}

struct secret_cost secret_cost_now(struct app *app)
{
    struct secret_cost cost = {PASSES_LEAST, (size_t)MEMORY_MOST_MIB * MIB};

    if (app->clock_ms == NULL)
        return secret_cost_least;
    int64_t took = measure(app, &cost);
    if (took > TARGET_MS) {
        int64_t mib = took == INT64_MAX ? 0 : (int64_t)MEMORY_MOST_MIB * TARGET_MS / took;
        cost.bytes = (size_t)(mib < MEMORY_LEAST_MIB ? MEMORY_LEAST_MIB : mib) * MIB;
        return cost;
    }
    int64_t passes = PASSES_LEAST * TARGET_MS / took;
    cost.passes = (unsigned long long)(passes > PASSES_MOST ? PASSES_MOST : passes);
    return cost;
}

/* The number behind name in a stored string; 0: none. */
static unsigned long long number_behind(const char *stored, const char *name)
{
    const char *at = strstr(stored, name);
    char *end;

    if (at == NULL || at[strlen(name)] < '0' || at[strlen(name)] > '9')
        return 0;
    errno = 0;
    unsigned long long value = strtoull(at + strlen(name), &end, 10);
    return errno != 0 || (*end != ',' && *end != '$') ? 0 : value;
}

bool secret_cost_of(const char *stored, struct secret_cost *cost)
{
    unsigned long long kib = number_behind(stored, "$m="), passes = number_behind(stored, ",t=");

    if (kib == 0 || kib > (unsigned long long)MEMORY_BOUND_MIB * 1024 || passes == 0 ||
        passes > PASSES_BOUND)
        return false;
    *cost = (struct secret_cost){passes, (size_t)kib * 1024};
    return true;
}

enum status secret_hash(enum secret_kind kind, const char *login, const char *typed,
                        const struct secret_cost *cost, char stored[crypto_pwhash_STRBYTES],
                        struct error *error)
{
    struct input input;

    if (!make_input(&input, kind, login, typed))
        return error_set(error, STATUS_INPUT, "secret", "This is longer than can be taken.");
    int made = crypto_pwhash_argon2id_str(stored, (const char *)input.bytes, input.length,
                                          cost->passes, cost->bytes);
    sodium_memzero(&input, sizeof input);
    return made == 0 ? STATUS_OK : error_no_memory(error);
}

enum status secret_matches(enum secret_kind kind, const char *login, const char *typed,
                           const char *stored, bool *matches, struct error *error)
{
    struct secret_cost cost;
    struct input input;

    *matches = false;
    if (!secret_cost_of(stored, &cost))
        return error_set(error, STATUS_DAMAGED, "secret",
                         "What is stored of this login's secrets was not put there by this "
                         "program; run springline verify.");
    if (!make_input(&input, kind, login, typed))
        return STATUS_OK;
    errno = 0;
    int verified =
        crypto_pwhash_argon2id_str_verify(stored, (const char *)input.bytes, input.length);
    int why = errno;
    sodium_memzero(&input, sizeof input);
    *matches = verified == 0;
    /* libsodium says EINVAL for another secret; ENOMEM must never count as a wrong try. */
    return verified != 0 && why == ENOMEM ? error_no_memory(error) : STATUS_OK;
}

/* ---- the seal ---- */

/* Each text with its length before it, so that no boundary can move. */
static void add_text(crypto_generichash_state *state, const char *text)
{
    uint64_t length = text == NULL ? UINT64_MAX : (uint64_t)strlen(text);
    unsigned char bytes[8];

    for (size_t i = 0; i < sizeof bytes; i++)
        bytes[i] = (unsigned char)(length >> (8 * i));
    (void)crypto_generichash_update(state, bytes, sizeof bytes);
    if (text != NULL)
        (void)crypto_generichash_update(state, (const unsigned char *)text, strlen(text));
}

void secret_seal(const struct secret *secret, char seal[SEAL_SIZE])
{
    unsigned char hash[crypto_generichash_BYTES];
    crypto_generichash_state state;
    char until[INSTANT_TEXT_SIZE];

    (void)crypto_generichash_init(&state, NULL, 0, sizeof hash);
    add_text(&state, secret->login);
    add_text(&state, secret->passphrase);
    add_text(&state, secret->pin);
    add_text(&state, instant_to_text(secret->once_until, until));
    (void)crypto_generichash_final(&state, hash, sizeof hash);
    (void)sodium_bin2hex(seal, SEAL_SIZE, hash, sizeof hash);
}

const char *secret_seal_in(const char *detail)
{
    static const char before[] = "stored as ";
    const char *at = detail == NULL ? NULL : strstr(detail, before);

    return at != NULL && strlen(at) == sizeof before - 1 + SEAL_SIZE - 1 ? at + sizeof before - 1
                                                                         : NULL;
}

enum status secret_put(struct app *app, const struct secret *secret, const struct log_entry *entry,
                       struct error *error)
{
    struct log_entry sealed = *entry;
    struct text detail = {0};
    char seal[SEAL_SIZE];

    enum status status = store_put_secret(app->store, secret, error);
    if (status != STATUS_OK)
        return status;
    secret_seal(secret, seal);
    text_addf(&detail, "%s; stored as %s", entry->detail, seal);
    sealed.login = secret->login;
    sealed.detail = text_string(&detail);
    status = detail.failed ? error_no_memory(error) : app_log_append(app, &sealed, error);
    text_release(&detail);
    return status;
}
