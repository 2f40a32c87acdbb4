/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A practice of one whose May 2026 can be closed, and what is done to a living practice after.
 * Every call fails the test when the store says no.
 */
#ifndef SPRINGLINE_TESTS_MONTH_OFFICE_H
#define SPRINGLINE_TESTS_MONTH_OFFICE_H

#include "springline/app/month.h"
#include "store_case.h"

#define MAY  day_of(2026, 5, 1)
#define JUNE day_of(2026, 6, 1)

enum { OFFICE_CASES_MOST = 12, SHEET_MOST = 65536 };

/* Cases C-0001 ..., typical ones, each imported by itself; today is 1 June 2026. */
struct office {
    struct store_case kept;
    struct case_maker maker;
    struct id cases[OFFICE_CASES_MOST + 1]; /* by number */
    int64_t imports[OFFICE_CASES_MOST + 1]; /* batch of each */
    struct arena arena;
    char sheet[SHEET_MOST]; /* of May, as it was signed */
    struct error error;
};

void office_open(struct office *office, const char *name, int cases);
void office_close(struct office *office);
void office_good(const struct office *office, enum status status);
/* The number a query gives on a connection of its own. */
int64_t office_number(struct office *office, const char *sql);

/* A save of the case with that number, touched. */
void office_begin(struct office *office, int number, bool import, struct app_save *save);
/* The case as it stands, in office->arena, which is emptied first. */
void office_history(struct office *office, int number, struct history *history);
void office_add_case(struct office *office, int number);
/* Its visit of 8 May: other amounts; withdrawn. */
void office_correct_visit(struct office *office, int number, um amount);
void office_withdraw_visit(struct office *office, int number);
/* One row of a case that comes with a late import; a check visit of 20 May; a sensor that knows
 * better than the diary, 12 of the 24 days of the period. */
void office_import_row(struct office *office, int number, enum record_kind kind, void *row);
void office_import_visit(struct office *office, int number);
void office_import_wear(struct office *office, int number);
void office_rename_patient(struct office *office, int number);
void office_change_settings(struct office *office, int number, int32_t wear_full,
                            int32_t retention_days);
/* Ten repeat pairs 0.30 mm apart: the practice's own error of a width (Dahlberg) is 0.30 / sqrt 2,
 * 0.21 mm. */
void office_measure_twice(struct office *office, int number);
void office_undo_import(struct office *office, int number);
void office_add_person(struct office *office, const char *login, enum role role);

/* Draws the review and lets it go. */
enum status office_try_review(struct office *office, day month);
/* Closes May and keeps its sheet. */
void office_close_may(struct office *office);
/* Texts in office->arena. */
struct month_closed office_find_may(struct office *office);
/* verify finds nothing and says this line. */
void office_sound(struct office *office, const char *line);

#endif
