/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * For tests of the shell: makes the only person of a store another one, as the program itself would
 * record it, ledger and all:
 *
 *     set_person STORE LOGIN ROLE [NAME]
 */
#include <sodium.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "springline/store/store.h"

static instant now(void *context)
{
    (void)context;
    return (instant)time(NULL);
}

static void random_bytes(void *context, void *bytes, size_t count)
{
    (void)context;
    randombytes_buf(bytes, count);
}

struct change {
    const char *login, *name;
    enum role role;
    struct person person;
};

static enum status take(void *context, const void *record, struct error *error)
{
    struct change *change = context;

    (void)error;
    change->person = *(const struct person *)record;
    change->person.login = change->login;
    change->person.name = change->name;
    change->person.role = change->role;
    change->person.alone = ANSWER_NONE;
    change->person.head.reason = "a test of roles";
    return STATUS_OK;
}

static enum status change_person(struct store *store, struct change *change, struct error *error)
{
    struct store_request request = {.id = store_new_id(store), .command = "person"};

    enum status status = store_each_row(store, RECORD_PERSON, STORE_NOW, take, change, error);
    if (status == STATUS_OK)
        status = store_begin(store, &request, error);
    if (status == STATUS_OK)
        status = store_append(store, RECORD_PERSON, &change->person, error);
    return status == STATUS_OK ? store_commit(store, error) : status;
}

int main(int argc, char **argv)
{
    const struct store_source source = {.now = now, .random = random_bytes};
    struct store *store = NULL;
    struct error error = {0};

    if (argc < 4 || argc > 5 || sodium_init() < 0) {
        fputs("usage: set_person STORE LOGIN ROLE [NAME]\n", stderr);
        return 2;
    }
    struct change change = {.login = argv[2],
                            .name = argc == 5 ? argv[4] : "Tester",
                            .role = (enum role)word_value(&words_role, argv[3])};
    enum status status = store_open(argv[1], &source, &store, &error);
    if (status == STATUS_OK)
        status = change_person(store, &change, &error);
    if (status != STATUS_OK)
        fprintf(stderr, "set_person: %s\n", error.sentence);
    store_close(store);
    return status == STATUS_OK ? 0 : 1;
}
