/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What must hold of the people, whatever writes them: a form, an import, an import taken back.
 *
 * - There is always an orthodontist, once there was one: nobody else could make another.
 * - A login belongs to one person for good (45 CFR 164.312(a)(2)(i)): what it recorded stays
 * theirs.
 * - Working alone without being asked ends for good when somebody else is entered, and the one who
 *   worked alone must be able to come in then.
 */
#ifndef SPRINGLINE_APP_PEOPLE_H
#define SPRINGLINE_APP_PEOPLE_H

#include "springline/app/app.h"

/*
 * May a person be so from now on? before: as recorded, NULL: a new one. STATUS_INPUT with a
 * sentence, *field the name of the field it is about.
 */
enum status people_check(struct app *app, const struct person *now, const struct person *before,
                         const char **field, struct error *error);
/* May the person leave? STATUS_INPUT. */
enum status people_check_leaving(struct app *app, const struct person *person, struct error *error);

/* How many people are recorded. */
enum status people_count(struct app *app, int *count, struct error *error);

/* Inside a save, before it is committed: all of the above of what it wrote, and the end of working
 * alone. STATUS_INPUT: nothing of the save may be kept. */
enum status people_settle(struct app_save *save, struct error *error);

#endif
