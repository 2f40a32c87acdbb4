/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "month_office.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kept_store.h"
#include "springline/app/keep.h"

void office_good(const struct office *office, enum status status)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s", (int)status, office->error.sentence);
}

void office_add_case(struct office *office, int number)
{
    static char names[OFFICE_CASES_MOST + 1][2][16];
    char *file = names[number][0], *chart = names[number][1];
    int64_t newest = 0;
    uint8_t hash[32];

    office_good(office, store_head(office->kept.app.store, &newest, hash, &office->error));
    snprintf(file, sizeof names[number][0], "C-%04d", number);
    snprintf(chart, sizeof names[number][1], "P-%04d", number);
    office->maker.casefile.number = file;
    office->maker.patient.chart = chart;
    store_case_keep(&office->kept, &office->maker);
    office->cases[number] = office->kept.casefile;
    office->imports[number] = newest + 1; /* its request row */
}

void office_open(struct office *office, const char *name, int cases)
{
    memset(office, 0, sizeof *office);
    case_typical(&office->maker);
    store_case_open(&office->kept, name, office->maker.today);
    for (int number = 1; number <= cases; number++)
        office_add_case(office, number);
}

void office_close(struct office *office)
{
    arena_release(&office->arena);
    store_case_close(&office->kept);
}

int64_t office_number(struct office *office, const char *sql)
{
    return kept_number(office->kept.path, sql);
}

/* ---- what is done to a practice ---- */

void office_begin(struct office *office, int number, bool import, struct app_save *save)
{
    const struct store_request request = {.id = store_new_id(office->kept.app.store),
                                          .command = import ? "import" : "correct",
                                          .label = "late.csv",
                                          .imported = import};

    office_good(office,
                app_save_begin(&office->kept.app, COMMAND_IMPORT, &request, save, &office->error));
    office_good(office, app_save_touch(save, &office->cases[number], &office->error));
}

void office_history(struct office *office, int number, struct history *history)
{
    arena_clear(&office->arena);
    office_good(office, store_read_case(office->kept.app.store, &office->cases[number], STORE_NOW,
                                        &office->arena, history, &office->error));
}

/* Its visit of 8 May. */
static struct visit office_visit(struct office *office, int number)
{
    struct history history;

    office_history(office, number, &history);
    for (size_t i = 0; i < history.visit_count; i++) {
        if (history.visits[i].date == day_of(2026, 5, 8))
            return history.visits[i];
    }
    fail_msg("no visit of May");
    return history.visits[0];
}

void office_correct_visit(struct office *office, int number, um amount)
{
    struct app_save save;
    struct visit visit = office_visit(office, number);

    visit.right = visit.left = amount;
    visit.head.reason = "written down wrong";
    office_begin(office, number, false, &save);
    office_good(office, store_append(office->kept.app.store, RECORD_VISIT, &visit, &office->error));
    office_good(office, app_save_commit(&save, &office->error));
}

void office_withdraw_visit(struct office *office, int number)
{
    struct app_save save;
    struct visit visit = office_visit(office, number);

    office_begin(office, number, false, &save);
    office_good(office, store_withdraw(office->kept.app.store, RECORD_VISIT, &visit.head.id,
                                       "another child", &office->error));
    office_good(office, app_save_commit(&save, &office->error));
}

/* One row of a case that comes with a late import. */
void office_import_row(struct office *office, int number, enum record_kind kind, void *row)
{
    struct app_save save;

    memset(row, 0, sizeof(struct row_head));
    memcpy((char *)row + sizeof(struct row_head), &office->cases[number], sizeof(struct id));
    office_begin(office, number, true, &save);
    office_good(office, store_append(office->kept.app.store, kind, row, &office->error));
    office_good(office, app_save_commit(&save, &office->error));
}

void office_import_visit(struct office *office, int number)
{
    struct visit visit = *case_visit(&office->maker, VISIT_CHECK, ARCH_UPPER, 12, UM_NONE, UM_NONE);

    office->maker.history.visit_count--;
    office_import_row(office, number, RECORD_VISIT, &visit);
}

/* A sensor that knows better than the diary: 12 of the 24 days of the period. */
void office_import_wear(struct office *office, int number)
{
    struct wear_count count = *case_count(&office->maker, SOURCE_SENSOR, 48, 25, 12, 24);

    office->maker.history.wear_count_count--;
    office_import_row(office, number, RECORD_WEAR_COUNT, &count);
}

void office_rename_patient(struct office *office, int number)
{
    struct app_save save;
    struct history history;

    office_history(office, number, &history);
    struct patient patient = *history.patient;
    patient.family = "Renamed";
    patient.given = "Entirely";
    patient.head.reason = "adopted";
    office_begin(office, number, false, &save);
    office_good(office,
                store_append(office->kept.app.store, RECORD_PATIENT, &patient, &office->error));
    office_good(office, app_save_commit(&save, &office->error));
}

void office_change_settings(struct office *office, int number, int32_t wear_full,
                            int32_t retention_days)
{
    struct app_save save;
    struct protocol protocol;

    arena_clear(&office->arena);
    office_good(office, store_read_protocol(office->kept.app.store, NULL, STORE_NOW, &office->arena,
                                            &protocol, &office->error));
    protocol.wear_full_permille = wear_full;
    protocol.retention_days = retention_days;
    protocol.head.reason = "agreed";
    office_begin(office, number, false, &save);
    office_good(office,
                store_append(office->kept.app.store, RECORD_PROTOCOL, &protocol, &office->error));
    office_good(office, app_save_commit(&save, &office->error));
}

/* Ten repeat pairs 0.30 mm apart: the practice's own error of a width (Dahlberg, J Orthod Soc 1940)
 * is 0.30 / sqrt 2 = 0.21 mm. */
void office_measure_twice(struct office *office, int number)
{
    struct app_save save;

    office_begin(office, number, true, &save);
    for (int32_t pair = 0; pair < 10; pair++) {
        for (int32_t repeat = 1; repeat <= 2; repeat++) {
            struct width width = *case_width(&office->maker, ARCH_UPPER, 100 + pair, 37000);

            office->maker.history.width_count--;
            width.head = (struct row_head){0};
            width.casefile = office->cases[number];
            width.repeat = repeat;
            width.value += repeat == 2 ? 300 : 0;
            office_good(office,
                        store_append(office->kept.app.store, RECORD_WIDTH, &width, &office->error));
        }
    }
    office_good(office, app_save_width_error(&save, &office->error));
    office_good(office, app_save_commit(&save, &office->error));
}

void office_undo_import(struct office *office, int number)
{
    struct text out = {0};
    char batch[32];

    snprintf(batch, sizeof batch, "@%lld", (long long)office->imports[number]);
    office_good(office, keep_undo_import(&office->kept.app, batch, &out, &office->error));
    text_release(&out);
}

/* ---- closing and drawing again ---- */

enum status office_try_review(struct office *office, day month)
{
    struct month_review review;

    memset(&office->error, 0, sizeof office->error);
    enum status status = month_review(&office->kept.app, month, &review, &office->error);
    month_review_release(&review);
    return status;
}

void office_close_may(struct office *office)
{
    struct month_review review;

    office_good(office, month_review(&office->kept.app, MAY, &review, &office->error));
    office_good(office, month_close(&office->kept.app, &review, "", &office->error));
    assert_true(review.sheet.length < sizeof office->sheet);
    snprintf(office->sheet, sizeof office->sheet, "%s", text_string(&review.sheet));
    month_review_release(&review);
}

struct month_closed office_find_may(struct office *office)
{
    struct month_closed closed;

    office_good(office,
                month_find(&office->kept.app, MAY, &office->arena, &closed, &office->error));
    return closed;
}

void office_sound(struct office *office, const char *line)
{
    struct text out = {0};
    enum status status = app_verify(&office->kept.app, &out, &office->error);

    if (status != STATUS_OK)
        fail_msg("%s %s", office->error.sentence, text_string(&out));
    if (strstr(text_string(&out), line) == NULL)
        fail_msg("\"%s\" is not in: %s", line, text_string(&out));
    text_release(&out);
}

void office_add_person(struct office *office, const char *login, enum role role)
{
    struct person person = {.login = login, .name = login, .role = role};
    struct app_save save;

    office_begin(office, 1, false, &save);
    office_good(office,
                store_append(office->kept.app.store, RECORD_PERSON, &person, &office->error));
    office_good(office, app_save_commit(&save, &office->error));
}
