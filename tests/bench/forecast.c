/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A forecast over 5,000 cases and 100,000 widths, beside reading those widths from the store in the
 * same run: at most 3 times as long. An invented practice in a store of its own, in TMPDIR, removed
 * at the end. Prints the ratio; fails only where it could not be measured.
 */
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "bars.h"
#include "springline/app/forecast_view.h"
#include "springline/core/protocol.h"

enum { CASES = 5000, WIDTHS = 20, TIMES = 5, TODAY = 20600, PATH = 512 };

static double now_ms(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static int compare(const void *a, const void *b)
{
    double left = *(const double *)a, right = *(const double *)b;

    return (left > right) - (left < right);
}

_Noreturn static void give_up(const struct error *error)
{
    fprintf(stderr, "bench: forecast: %s\n", error->sentence);
    exit(1);
}

static void good(enum status status, const struct error *error)
{
    if (status != STATUS_OK)
        give_up(error);
}

static instant clock_now(void *context)
{
    (void)context;
    return (instant)time(NULL);
}

static void random_bytes(void *context, void *bytes, size_t count)
{
    (void)context;
    randombytes_buf(bytes, count);
}

/* ---- the practice: a width every two weeks, 0.20 to 0.39 mm a week, a little noise ---- */

static struct id keep_case(struct store *store, int number, struct error *error)
{
    char chart[16], name[16];
    struct patient patient = {.chart = chart, .family = "Bench", .born = TODAY - 3500};
    struct casefile casefile = {.number = name,
                                .opened = TODAY - 400,
                                .consent_on = TODAY - 400,
                                .asked_on = TODAY - 400,
                                .closed_on = DAY_NONE};

    snprintf(chart, sizeof chart, "P-%05d", number);
    snprintf(name, sizeof name, "C-%05d", number);
    good(store_append(store, RECORD_PATIENT, &patient, error), error);
    casefile.patient = patient.head.record;
    good(store_append(store, RECORD_CASEFILE, &casefile, error), error);
    return casefile.head.record;
}

static void keep_widths(struct store *store, const struct id *casefile, int number,
                        struct error *error)
{
    day fitted = TODAY - 14 * WIDTHS;
    struct expander expander = {.casefile = *casefile,
                                .arch = ARCH_UPPER,
                                .separators_on = DAY_NONE,
                                .banded_on = fitted,
                                .fitted_on = fitted,
                                .wire = UM_NONE,
                                .loop_right = UM_NONE,
                                .loop_left = UM_NONE,
                                .sides = SIDES_BOTH,
                                .plan_gap = UM_NONE,
                                .site = SITE_INTERMOLAR,
                                .landmark = LANDMARK_FOSSA,
                                .teeth = {16, 26},
                                .target = 60000,
                                .passive_on = DAY_NONE,
                                .out_on = DAY_NONE};

    good(store_append(store, RECORD_EXPANDER, &expander, error), error);
    for (int i = 0; i < WIDTHS; i++) {
        um noise = (um)(randombytes_uniform(61) * 10) - 300;
        struct width width = {.casefile = *casefile,
                              .date = fitted + 14 * i,
                              .arch = ARCH_UPPER,
                              .site = SITE_INTERMOLAR,
                              .landmark = LANDMARK_FOSSA,
                              .teeth = {16, 26},
                              .method = METHOD_MOUTH,
                              .repeat = 1,
                              .value = 36000 + i * (400 + 20 * (number % 20)) + noise};
        good(store_append(store, RECORD_WIDTH, &width, error), error);
    }
}

static struct id make_practice(struct store *store, struct error *error)
{
    struct store_request request = {
        .id = store_new_id(store), .command = "import", .seat = "bench@none", .imported = true};
    struct id first = {{0}};

    good(store_begin(store, &request, error), error);
    for (int i = 1; i <= CASES; i++) {
        struct id casefile = keep_case(store, i, error);
        keep_widths(store, &casefile, i, error);
        first = i == 1 ? casefile : first;
    }
    good(store_commit(store, error), error);
    return first;
}

/* ---- the two readings ---- */

static enum status count_row(void *context, const void *record, struct error *error)
{
    (void)record;
    (void)error;
    ++*(long *)context;
    return STATUS_OK;
}

static double widths_ms(struct app *app)
{
    struct error error = {0};
    long count = 0;
    double began = now_ms();

    good(store_each_row(app->store, RECORD_WIDTH, STORE_NOW, count_row, &count, &error), &error);
    double took = now_ms() - began;
    if (count != (long)CASES * WIDTHS)
        error_set(&error, STATUS_DAMAGED, NULL, "%ld widths were read", count), give_up(&error);
    return took;
}

static double forecast_ms(struct app *app, const struct id *casefile, bool show)
{
    struct arena arena = {0};
    struct lines lines = {0};
    struct error error = {0};
    double began = now_ms();

    good(forecast_view_case(app, casefile, ARCH_UPPER, &arena, &lines, &error), &error);
    double took = now_ms() - began;
    if (lines.count < 4 || strstr(lines.line[3], "5000 cases") == NULL)
        error_set(&error, STATUS_DAMAGED, NULL, "No forecast was made of all cases."),
            give_up(&error);
    if (show)
        printf("%s\n%s\n", lines.line[2], lines.line[3]);
    arena_release(&arena);
    return took;
}

int main(void)
{
    static const struct store_source source = {.now = clock_now, .random = random_bytes};
    struct app app = {.user = "bench", .seat = "bench@none", .today = TODAY, .today_fixed = true};
    const char *folder = getenv("TMPDIR");
    struct error error = {0};
    struct bars bars = {0};
    char path[PATH];
    double widths[TIMES], forecasts[TIMES];

    if (sodium_init() < 0)
        return 1;
    snprintf(path, sizeof path, "%s/springline-forecast-%ld.db", folder == NULL ? "/tmp" : folder,
             (long)getpid());
    const struct founder founder = {.login = "bench", .alone = true};
    good(app_init_store(path, &source, &founder, &error), &error);
    good(store_open(path, &source, &app.store, &error), &error);
    struct id first = make_practice(app.store, &error);
    for (int i = 0; i < TIMES; i++) {
        widths[i] = widths_ms(&app);
        forecasts[i] = forecast_ms(&app, &first, i == 0);
    }
    qsort(widths, TIMES, sizeof *widths, compare);
    qsort(forecasts, TIMES, sizeof *forecasts, compare);
    printf("%d widths read: %.0f ms; a forecast over %d cases: %.0f ms\n", CASES * WIDTHS,
           widths[TIMES / 2], CASES, forecasts[TIMES / 2]);
    bars_add(&bars, "a forecast, beside reading the widths",
             forecasts[TIMES / 2] / widths[TIMES / 2], 3.0);
    bars_print(&bars);
    store_close(app.store);
    unlink(path);
    return 0;
}
