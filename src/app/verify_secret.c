/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Secrets are seat state and stand outside the ledger; the log stands inside. Its newest row about
 * a login says what must be stored now.
 */
#include <string.h>

#include "secret_private.h"
#include "springline/app/grow.h"

struct sealed {
    const char *login;
    char seal[SEAL_SIZE];
    int64_t sequence;
    bool stored; /* a secret of this login stands */
};

struct check {
    struct arena arena;
    struct sealed *rows;
    size_t count, capacity;
    struct text *out;
    int found;
};

static struct sealed *sealed_of(struct check *check, const char *login)
{
    for (size_t i = 0; i < check->count; i++) {
        if (strcmp(check->rows[i].login, login) == 0)
            return &check->rows[i];
    }
    return NULL;
}

/* The newest seal of each login. */
static enum status take_row(void *context, const void *record, struct error *error)
{
    const struct access *access = record;
    struct check *check = context;
    const char *seal = secret_seal_in(access->detail);
    struct sealed *row = seal == NULL ? NULL : sealed_of(check, access->login);

    if (seal == NULL || (row != NULL && row->sequence > access->head.sequence))
        return STATUS_OK;
    if (row == NULL) {
        if (!app_grow(&check->arena, (void **)&check->rows, check->count, &check->capacity,
                      sizeof *check->rows))
            return error_no_memory(error);
        row = &check->rows[check->count];
        *row = (struct sealed){.login =
                                   arena_text(&check->arena, access->login, strlen(access->login))};
        if (row->login == NULL)
            return error_no_memory(error);
        check->count++;
    }
    memcpy(row->seal, seal, SEAL_SIZE);
    row->sequence = access->head.sequence;
    return STATUS_OK;
}

static void find(struct check *check, const char *login, const char *what)
{
    text_add(check->out, "secret of ");
    text_add_shown(check->out, login);
    text_addf(check->out, ": %s\n", what);
    check->found++;
}

static enum status compare_secret(void *context, const struct secret *secret, struct error *error)
{
    struct check *check = context;
    struct sealed *row = sealed_of(check, secret->login);
    char seal[SEAL_SIZE];

    (void)error;
    secret_seal(secret, seal);
    if (row == NULL)
        find(check, secret->login, "no row of the log says that it was set");
    else if (sodium_memcmp(seal, row->seal, SEAL_SIZE) != 0)
        find(check, secret->login, "it is not the one that the log says was set");
    if (row != NULL)
        row->stored = true;
    return STATUS_OK;
}

enum status secret_verify(struct app *app, struct text *out, struct error *error)
{
    static const enum access_what sorts[] = {ACCESS_SECRET_SET, ACCESS_SECRET_RESET,
                                             ACCESS_SHUT_OUT};
    struct check check = {.out = out};
    enum status status = STATUS_OK;

    for (size_t i = 0; i < sizeof sorts / sizeof sorts[0] && status == STATUS_OK; i++)
        status = store_each_access(app->store, sorts[i], NULL, take_row, &check, error);
    if (status == STATUS_OK)
        status = store_each_secret(app->store, compare_secret, &check, error);
    for (size_t i = 0; i < check.count && status == STATUS_OK; i++) {
        if (!check.rows[i].stored)
            find(&check, check.rows[i].login, "it was set, and is not there");
    }
    if (status == STATUS_OK && check.found > 0)
        status = error_set(error, STATUS_DAMAGED, "secret",
                           "Secrets of %d logins were changed past the program: an orthodontist "
                           "gives these logins new ones at once.",
                           check.found);
    arena_release(&check.arena);
    return status;
}
