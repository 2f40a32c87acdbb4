/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Many seats save through the app, as people do: visits, contacts, bookings of a case of their own,
 * and again and again one field of one patient that all of them change. Nothing is lost, nothing
 * overwritten unseen, nobody is told that the store is busy. The bars are the design's: none lost,
 * none busy; what a save takes is printed. The paced part runs for 5 s, or for as many as
 * SPRINGLINE_PACED_SECONDS says.
 */
#include <errno.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include <sodium.h>

#include "kept_store.h"
#include "springline/app/conflict.h"
#include "store_case.h"

enum { SEATS_MOST = 20, PACED_SEATS = 10, PACED_SECOND_SAVES = 5, SHARED_EVERY = 10 };

/* ---- the practice ---- */

struct bench {
    struct store_case kept; /* closed while the seats are at work */
    struct case_maker maker;
    struct id own[SEATS_MOST], shared;
};

static void keep(struct bench *bench, const char *number, const char *chart, struct id *casefile)
{
    bench->maker.casefile.number = number;
    bench->maker.patient.chart = chart;
    bench->maker.patient.guardian = "0"; /* the shared one counts up */
    store_case_keep(&bench->kept, &bench->maker);
    *casefile = bench->kept.casefile;
}

static void begin(struct bench *bench, const char *name)
{
    char number[16], chart[16];

    *bench = (struct bench){.maker = {.today = DAY_NONE}};
    case_typical(&bench->maker);
    store_case_open(&bench->kept, name, bench->maker.today);
    for (int i = 0; i < SEATS_MOST; i++) {
        snprintf(number, sizeof number, "C-1%03d", i);
        snprintf(chart, sizeof chart, "K-1%03d", i);
        keep(bench, number, chart, &bench->own[i]);
    }
    keep(bench, "C-2000", "K-2000", &bench->shared);
    store_close(bench->kept.app.store); /* a connection must not cross a fork */
    bench->kept.app.store = NULL;
}

static void end(struct bench *bench)
{
    struct error error = {0};
    struct text findings = {0};

    store_case_reopen(&bench->kept);
    if (app_verify(&bench->kept.app, &findings, &error) != STATUS_OK)
        fail_msg("%s %s", error.sentence, text_string(&findings));
    text_release(&findings);
    store_case_close(&bench->kept);
}

/* ---- one seat, in a process of its own: no asserts ---- */

struct seat {
    struct app app;
    struct store_source source;
    struct id own, shared;
    struct error error;
    int64_t took_us;     /* of the save that is being made: what a person waits for */
    int conflicts, busy; /* saves that were told of others' first; refused as busy */
};

static instant real_now(void *context)
{
    (void)context;
    return (instant)time(NULL);
}

static void real_random(void *context, void *bytes, size_t count)
{
    (void)context;
    randombytes_buf(bytes, count);
}

static int64_t now_us(void)
{
    struct timespec time = {0};

    (void)clock_gettime(CLOCK_MONOTONIC, &time);
    return (int64_t)time.tv_sec * 1000000 + time.tv_nsec / 1000;
}

static enum status timed(struct seat *seat, int64_t began, enum status status)
{
    seat->took_us += now_us() - began;
    seat->busy += status == STATUS_BUSY;
    return status;
}

static enum status save_visit(struct seat *seat)
{
    struct visit_sheet sheet;
    char sentence[200];

    enum status status = visit_open(&seat->app, &seat->own, &sheet, &seat->error);
    if (status != STATUS_OK)
        return status;
    for (int i = 0; i < sheet.field_count; i++) {
        enum sheet_item item = sheet.fields[i].item;
        if (item == ITEM_TISSUE || item == ITEM_HARDWARE || item == ITEM_RIGHT || item == ITEM_LEFT)
            (void)visit_enter(&seat->app, &sheet, i, "0", sentence);
    }
    int64_t began = now_us();
    status = timed(seat, began, visit_save(&seat->app, &sheet, 0, "", &seat->error));
    visit_release(&sheet);
    return status;
}

struct typed {
    const char *label, *text;
};

static void type(struct seat *seat, struct form *form, const struct typed *typed)
{
    char sentence[200];

    for (int i = 0; i < form->field_count; i++) {
        if (!form->fields[i].skipped && strcmp(form->fields[i].label, typed->label) == 0 &&
            form_enter(&seat->app, form, i, typed->text, sentence) == ENTRY_ASK)
            (void)form_enter(&seat->app, form, i, typed->text, sentence);
    }
}

static enum status save_form(struct seat *seat, enum form_kind kind, const struct typed *typed,
                             int count)
{
    struct form_subject subject = {.casefile = seat->own};
    struct form form;

    enum status status = form_open(&seat->app, kind, &subject, &form, &seat->error);
    if (status != STATUS_OK)
        return status;
    for (int i = 0; i < count; i++)
        type(seat, &form, &typed[i]);
    int64_t began = now_us();
    status = timed(seat, began, form_save(&seat->app, &form, "", &seat->error));
    form_release(&form);
    return status;
}

static enum status save_contact(struct seat *seat)
{
    static const struct typed typed[] = {{"channel", "1"}, {"outcome", "1"}};

    return save_form(seat, FORM_CONTACT, typed, 2);
}

static enum status save_booking(struct seat *seat)
{
    static const struct typed typed[] = {{"date", "14"}, {"time", "0930"}, {"for", "6"}};

    return save_form(seat, FORM_BOOKING, typed, 3);
}

/* ---- the field that all seats change ---- */

/* One more than what is recorded; "" it is no number. */
static void type_next(struct seat *seat, struct form *form)
{
    for (int i = 0; i < form->field_count; i++) {
        char next[16], sentence[200];
        if (strcmp(form->fields[i].label, "guardian") != 0)
            continue;
        snprintf(next, sizeof next, "%ld", strtol(form->fields[i].recorded, NULL, 10) + 1);
        (void)form_enter(&seat->app, form, i, next, sentence);
    }
}

/* What was saved meanwhile is read; theirs is taken where both changed it, and counted on. */
static enum status settle(struct seat *seat, struct form *form)
{
    struct conflict conflict;

    seat->conflicts++;
    enum status status = conflict_read(&seat->app, form, &conflict, &seat->error);
    if (status != STATUS_OK)
        return status;
    for (int i = conflict_open_field(&conflict); i < conflict.field_count;
         i = conflict_open_field(&conflict))
        conflict_decide(&conflict, i, TAKE_THEIRS);
    status = conflict_settle(&seat->app, form, &conflict, &seat->error);
    conflict_release(&conflict);
    if (status == STATUS_OK)
        type_next(seat, form);
    return status;
}

static enum status save_shared(struct seat *seat)
{
    struct form_subject subject = {.casefile = seat->shared};
    struct form form;

    enum status status = form_open(&seat->app, FORM_PATIENT, &subject, &form, &seat->error);
    if (status != STATUS_OK)
        return status;
    type_next(seat, &form);
    do {
        int64_t began = now_us();
        status = timed(seat, began, form_save(&seat->app, &form, "counted on", &seat->error));
    } while (status == STATUS_CONFLICT && settle(seat, &form) == STATUS_OK);
    form_release(&form);
    return status;
}

/* Every save is of another day, so that no two are one record. */
static enum status save_one(struct seat *seat, day first, int at)
{
    seat->app.today = first + at;
    seat->took_us = 0;
    if (at % SHARED_EVERY == SHARED_EVERY - 1)
        return save_shared(seat);
    return at % 3 == 0 ? save_visit(seat) : at % 3 == 1 ? save_contact(seat) : save_booking(seat);
}

/* ---- all of them ---- */

struct figures { /* what a seat tells when it is done */
    int saves, conflicts, busy;
};

struct load {
    int seats, saves;
    int64_t every_us; /* a save; 0: one after the other */
};

static bool tell(int out, const void *bytes, size_t size)
{
    const char *at = bytes;

    while (size > 0) {
        ssize_t wrote = write(out, at, size);
        if (wrote <= 0)
            return false;
        at += wrote;
        size -= (size_t)wrote;
    }
    return true;
}

static void wait_until(int64_t moment_us)
{
    for (int64_t left = moment_us - now_us(); left > 0; left = moment_us - now_us()) {
        const struct timespec time = {left / 1000000, (long)(left % 1000000) * 1000};
        (void)nanosleep(&time, NULL);
    }
}

/* Saves, and tells how long each took, then what it met. */
static int work(const struct bench *bench, const struct load *load, int which, int64_t begins_us,
                int out)
{
    struct seat seat = {.app = bench->kept.app, .own = bench->own[which], .shared = bench->shared};
    char name[32];
    struct figures figures = {0};

    snprintf(name, sizeof name, "seat%d@pts/%d", which, which);
    seat.app.user = seat.app.seat = name;
    seat.app.today_fixed = true;
    seat.source = (struct store_source){.now = real_now, .random = real_random};
    if (store_open(bench->kept.path, &seat.source, &seat.app.store, &seat.error) != STATUS_OK)
        return 2;
    /* Paced seats do not strike all at one moment. */
    int64_t begin_us = begins_us + load->every_us * which / load->seats;
    for (int i = 0; i < load->saves; i++) {
        wait_until(begin_us + load->every_us * i);
        if (save_one(&seat, bench->maker.today, i) != STATUS_OK) {
            (void)fprintf(stderr, "# seat %d, save %d: %s\n", which, i, seat.error.sentence);
            return 3;
        }
        figures.saves++;
        if (!tell(out, &seat.took_us, sizeof seat.took_us))
            return 4;
    }
    figures.conflicts = seat.conflicts;
    figures.busy = seat.busy;
    store_close(seat.app.store);
    return tell(out, &figures, sizeof figures) ? 0 : 4;
}

static bool hear(int in, void *bytes, size_t size)
{
    char *at = bytes;

    while (size > 0) {
        ssize_t got = read(in, at, size);
        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            return false;
        at += got;
        size -= (size_t)got;
    }
    return true;
}

static int compare(const void *a, const void *b)
{
    const int64_t first = *(const int64_t *)a, second = *(const int64_t *)b;

    return (first > second) - (first < second);
}

struct result {
    int64_t *took_us; /* of every save, sorted */
    size_t count;
    struct figures all;
    double seconds;
};

static void run(const struct bench *bench, const struct load *load, struct result *outcome)
{
    pid_t seats[SEATS_MOST];
    int in[SEATS_MOST];
    int64_t began = now_us(), begins = began + 300000; /* all are there by then */

    *outcome = (struct result){
        .took_us = calloc((size_t)load->seats * (size_t)load->saves, sizeof *outcome->took_us)};
    assert_non_null(outcome->took_us);
    for (int i = 0; i < load->seats; i++) {
        int ends[2];
        assert_int_equal(pipe(ends), 0);
        in[i] = ends[0];
        seats[i] = fork();
        assert_true(seats[i] >= 0);
        if (seats[i] == 0)
            _exit(work(bench, load, i, begins, ends[1]));
        (void)close(ends[1]);
    }
    /* What a seat tells fits into its pipe. */
    for (int i = 0; i < load->seats; i++) {
        struct figures figures = {0};
        int ended;
        for (int j = 0; j < load->saves; j++)
            outcome->count += hear(in[i], &outcome->took_us[outcome->count], sizeof(int64_t));
        (void)hear(in[i], &figures, sizeof figures);
        (void)close(in[i]);
        assert_int_equal(waitpid(seats[i], &ended, 0), seats[i]);
        assert_int_equal(ended, 0);
        outcome->all.saves += figures.saves;
        outcome->all.conflicts += figures.conflicts;
        outcome->all.busy += figures.busy;
    }
    outcome->seconds = (double)(now_us() - begins) / 1e6;
    qsort(outcome->took_us, outcome->count, sizeof *outcome->took_us, compare);
}

static double share_ms(const struct result *outcome, int permille)
{
    size_t at = outcome->count * (size_t)permille / 1000;

    return (double)outcome->took_us[at < outcome->count ? at : outcome->count - 1] / 1000;
}

static void print(const char *what, const struct load *load, const struct result *outcome)
{
    print_message("# figure: %s: %d seats, %d saves in %.1f s, a save p50 %.1f ms, p99 %.1f ms, "
                  "at most %.1f ms; %d busy, %d told of others first\n",
                  what, load->seats, outcome->all.saves, outcome->seconds, share_ms(outcome, 500),
                  share_ms(outcome, 990), share_ms(outcome, 1000), outcome->all.busy,
                  outcome->all.conflicts);
}

/* Every save is in the store once, with its rows; the shared field was counted up once for each. */
static void all_are_there(struct bench *bench, const struct load *load)
{
    const char *path = bench->kept.path;
    int shared = load->saves / SHARED_EVERY, visits = 0, contacts = 0, bookings = 0;
    char counted[16], wanted[16];

    for (int i = 0; i < load->saves; i++) {
        bool own = i % SHARED_EVERY != SHARED_EVERY - 1;
        visits += own && i % 3 == 0;
        contacts += own && i % 3 == 1;
        bookings += own && i % 3 == 2;
    }
    assert_int_equal(kept_number(path, "SELECT count(*) FROM request WHERE seat LIKE 'seat%'"),
                     load->seats * load->saves);
    assert_int_equal(kept_number(path, "SELECT count(*) FROM visit WHERE note IS NULL AND request "
                                       "IN (SELECT id FROM request WHERE seat LIKE 'seat%')"),
                     load->seats * visits);
    assert_int_equal(kept_number(path, "SELECT count(*) FROM judged"), load->seats * visits);
    assert_int_equal(kept_number(path, "SELECT count(*) FROM contact"), load->seats * contacts);
    assert_int_equal(kept_number(path, "SELECT count(*) FROM booking WHERE version = 1"),
                     load->seats * bookings);
    kept_text(path, "SELECT guardian FROM patient_current WHERE chart = 'K-2000'", counted,
              sizeof counted);
    snprintf(wanted, sizeof wanted, "%d", load->seats * shared);
    assert_string_equal(counted, wanted);
    assert_int_equal(kept_number(path, "SELECT count(*) FROM draft"), 0);
}

static void twenty_seats_save_as_fast_as_they_can(void **state)
{
    const struct load load = {.seats = SEATS_MOST, .saves = 200};
    struct bench bench;
    struct result outcome;

    (void)state;
    begin(&bench, "many_fast");
    run(&bench, &load, &outcome);
    print("as fast as they can", &load, &outcome);
    assert_int_equal(outcome.all.saves, 4000);
    assert_int_equal(outcome.all.busy, 0);
    assert_true(outcome.all.conflicts > 0); /* else nothing was at stake */
    all_are_there(&bench, &load);
    free(outcome.took_us);
    end(&bench);
}

static int paced_seconds(void)
{
    const char *said = getenv("SPRINGLINE_PACED_SECONDS");
    long seconds = said == NULL ? 0 : strtol(said, NULL, 10);

    return seconds > 0 && seconds <= 600 ? (int)seconds : 5;
}

static void ten_seats_save_at_the_pace_of_people(void **state)
{
    const struct load load = {.seats = PACED_SEATS,
                              .saves = PACED_SECOND_SAVES * paced_seconds(),
                              .every_us = 1000000 / PACED_SECOND_SAVES};
    struct bench bench;
    struct result outcome;

    (void)state;
    begin(&bench, "many_paced");
    run(&bench, &load, &outcome);
    print("50 a second", &load, &outcome);
    assert_int_equal(outcome.all.saves, load.seats * load.saves);
    assert_int_equal(outcome.all.busy, 0);
    all_are_there(&bench, &load);
    free(outcome.took_us);
    end(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(twenty_seats_save_as_fast_as_they_can),
        cmocka_unit_test(ten_seats_save_at_the_pace_of_people),
    };

    return sodium_init() < 0 ? 1 : cmocka_run_group_tests(tests, NULL, NULL);
}
