/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <gsl/gsl_errno.h>
#include <sodium.h>

#include "printable.h"
#include "springline/app/exchange.h"
#include "springline/cli/csv.h"

void fuzz_demand(bool holds, const char *what)
{
    if (holds)
        return;
    fprintf(stderr, "fuzz: does not hold: %s\n", what);
    abort();
}

char *fuzz_string(const uint8_t *data, size_t size)
{
    size_t length = size == 0 ? 0 : strnlen((const char *)data, size);
    char *string = malloc(length + 1);

    fuzz_demand(string != NULL, "there is memory for the input");
    if (length > 0)
        memcpy(string, data, length);
    string[length] = '\0';
    return string;
}

void fuzz_printable(const char *text, bool lines, const char *what)
{
    const char *why = "";
    size_t at = 0;

    if (printable(text, strlen(text), lines, &at, &why))
        return;
    fprintf(stderr, "fuzz: %s: byte %zu: %s\n", what, at, why);
    abort();
}

void fuzz_refusal(enum status status, const struct error *error)
{
    fuzz_demand(error->status == status, "the error has the status that was returned");
    fuzz_demand(error->sentence[0] != '\0', "a refusal has its sentence");
    fuzz_printable(error->sentence, false, "the sentence of a refusal");
    fuzz_printable(error->where, false, "the place of a refusal");
}

/* ---- a small practice ---- */

static instant tick(void *context)
{
    return ((struct fuzz_store *)context)->now++;
}

static void numbered(void *context, void *bytes, size_t count)
{
    struct fuzz_store *made = context;
    unsigned char seed[randombytes_SEEDBYTES] = {0};

    made->counter++;
    memcpy(seed, &made->counter, sizeof made->counter);
    randombytes_buf_deterministic(bytes, count, seed);
}

static void must(enum status status, const struct error *error)
{
    if (status == STATUS_OK)
        return;
    fprintf(stderr, "fuzz: the small practice: %s: %s\n", error->where, error->sentence);
    abort();
}

/* Rows of the demo that belong to the two cases; their patients have the same digits. */
static bool is_wanted(const char *number)
{
    size_t length = strlen(number);

    return length == 6 && (strcmp(number + 2, "0007") == 0 || strcmp(number + 2, "0035") == 0);
}

static void import_kind(struct import *import, const char *folder, const char *kind)
{
    char path[512];
    struct csv_reader *reader = NULL;
    struct csv_row row;
    struct error error = {0};
    bool more = true, bad = false;

    snprintf(path, sizeof path, "%s/demo/%s.csv", folder, kind);
    FILE *in = fopen(path, "re");
    fuzz_demand(in != NULL, "the demo is where SPRINGLINE_SOURCE says");
    must(csv_open(in, path, &reader, &error), &error);
    must(csv_read(reader, &row, &more, &error), &error);
    must(import_file(import, path, row.cells, row.count, NULL, &error), &error);
    for (;;) {
        must(csv_read(reader, &row, &more, &error), &error);
        if (!more)
            break;
        if (is_wanted(row.cells[0]))
            must(import_row(import, row.line, row.cells, row.count, &bad, &error), &error);
    }
    csv_close(reader);
    fclose(in);
}

static void tell_bad(void *context, const char *file, long line, const char *column,
                     const char *sentence)
{
    (void)context;
    fprintf(stderr, "fuzz: the small practice: %s line %ld, %s: %s\n", file, line, column,
            sentence);
}

static void import_demo(struct fuzz_store *made)
{
    const char *folder = getenv("SPRINGLINE_SOURCE");
    struct exchange_totals totals = {0};
    struct import *import = NULL;
    struct error error = {0};

    must(import_begin(&made->app, "demo", tell_bad, NULL, &import, &error), &error);
    for (int i = 0; exchange_order[i] >= 0; i++)
        import_kind(import, folder == NULL ? "." : folder, record_tables[exchange_order[i]].csv);
    must(import_check(import, &error), &error);
    must(import_end(import, true, &totals, &error), &error);
    fuzz_demand(totals.bad == 0 && totals.added > 50, "the demo's rows are taken");
}

void fuzz_store_make(struct fuzz_store *made, const char *name)
{
    static const struct founder founder = {.login = "founder", .name = "tester", .alone = true};
    const char *folder = getenv("TMPDIR");
    struct error error = {0};

    gsl_set_error_handler_off();
    fuzz_demand(sodium_init() >= 0, "libsodium starts");
    *made = (struct fuzz_store){0};
    made->source = (struct store_source){.now = tick, .random = numbered, .context = made};
    fuzz_demand(instant_from_text("2026-11-25T08:00:00Z", &made->now), "a moment");
    snprintf(made->path, sizeof made->path, "%s/%s.%ld.db", folder == NULL ? "/dev/shm" : folder,
             name, (long)getpid());
    (void)unlink(made->path);
    must(app_init_store(made->path, &made->source, &founder, &error), &error);
    made->app = (struct app){.user = "tester", .seat = "tester@test"};
    fuzz_demand(day_from_text("2026-11-25", &made->app.today), "a day");
    must(store_open(made->path, &made->source, &made->app.store, &error), &error);
    import_demo(made);
    must(store_find_case(made->app.store, "C-0007", STORE_NOW, &made->cases[0], &error), &error);
    must(store_find_case(made->app.store, "C-0035", STORE_NOW, &made->cases[1], &error), &error);
    fuzz_store_wind(made);
}

void fuzz_store_wind(struct fuzz_store *made)
{
    fuzz_demand(instant_from_text("2026-11-25T09:00:00Z", &made->now), "a moment");
    made->counter = UINT32_MAX;
}
