/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "store_case.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include <sodium.h>

static instant tick(void *context)
{
    return ((struct store_case *)context)->now++;
}

static void numbered(void *context, void *bytes, size_t count)
{
    struct store_case *kept = context;
    unsigned char seed[randombytes_SEEDBYTES] = {0};

    kept->counter++;
    memcpy(seed, &kept->counter, sizeof kept->counter);
    randombytes_buf_deterministic(bytes, count, seed);
}

static void good(enum status status, const struct error *error)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s: %s", (int)status, error->where, error->sentence);
}

void store_case_open(struct store_case *kept, const char *name, day today)
{
    struct error error = {0};
    const char *folder = getenv("TMPDIR");

    assert_true(sodium_init() >= 0);
    *kept = (struct store_case){0};
    assert_true(instant_from_text("2026-06-01T08:00:00Z", &kept->now));
    kept->source = (struct store_source){.now = tick, .random = numbered, .context = kept};
    snprintf(kept->path, sizeof kept->path, "%s/%s.db", folder == NULL ? "/tmp" : folder, name);
    unlink(kept->path);
    const struct founder founder = {.login = "founder", .name = "tester", .alone = true};
    good(app_init_store(kept->path, &kept->source, &founder, &error), &error);
    kept->app = (struct app){.today = today, .user = "tester", .seat = "tester@test"};
    good(store_open(kept->path, &kept->source, &kept->app.store, &error), &error);
}

void store_case_reopen(struct store_case *kept)
{
    struct error error = {0};

    store_close(kept->app.store);
    good(store_open(kept->path, &kept->source, &kept->app.store, &error), &error);
}

void store_case_close(struct store_case *kept)
{
    store_close(kept->app.store);
    unlink(kept->path);
}

/* Appends count records of size bytes: each a copy that belongs to the kept case. */
static void keep_rows(struct store_case *kept, enum record_kind kind, const void *rows,
                      size_t count)
{
    size_t size = record_tables[kind].size;
    struct error error = {0};
    unsigned char copy[1024];

    assert_true(size <= sizeof copy);
    for (size_t i = 0; i < count; i++) {
        memcpy(copy, (const unsigned char *)rows + i * size, size);
        struct row_head *head = (struct row_head *)(void *)copy;
        *head = (struct row_head){0};
        memcpy(copy + sizeof *head, &kept->casefile, sizeof kept->casefile);
        good(store_append(kept->app.store, kind, copy, &error), &error);
    }
}

void store_case_keep(struct store_case *kept, const struct case_maker *maker)
{
    const struct history *history = &maker->history;
    struct error error = {0};
    struct app_save save;
    struct store_request request = {
        .id = store_new_id(kept->app.store), .command = "import", .imported = true};
    struct patient patient = *history->patient;
    struct casefile casefile = *history->casefile;

    good(app_save_begin(&kept->app, COMMAND_IMPORT, &request, &save, &error), &error);
    patient.head = (struct row_head){0};
    good(store_append(kept->app.store, RECORD_PATIENT, &patient, &error), &error);
    casefile.head = (struct row_head){0};
    casefile.patient = patient.head.record;
    good(store_append(kept->app.store, RECORD_CASEFILE, &casefile, &error), &error);
    kept->casefile = casefile.head.record;
    keep_rows(kept, RECORD_TRAINER, history->trainers, history->trainer_count);
    keep_rows(kept, RECORD_EXPANDER, history->expanders, history->expander_count);
    keep_rows(kept, RECORD_VISIT, history->visits, history->visit_count);
    keep_rows(kept, RECORD_WIDTH, history->widths, history->width_count);
    keep_rows(kept, RECORD_WEAR_DAY, history->wear_days, history->wear_day_count);
    keep_rows(kept, RECORD_WEAR_COUNT, history->wear_counts, history->wear_count_count);
    keep_rows(kept, RECORD_CONTACT, history->contacts, history->contact_count);
    keep_rows(kept, RECORD_BOOKING, history->bookings, history->booking_count);
    good(app_save_touch(&save, &kept->casefile, &error), &error);
    good(app_save_commit(&save, &error), &error);
}
