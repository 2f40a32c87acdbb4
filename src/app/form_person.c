/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A person: login, name, role, and of a practice of one the choice that nobody is asked. */
#include <string.h>

#include "form_parts.h"
#include "form_templates.h"
#include "people.h"
#include "springline/app/secret.h"

struct person_kept {
    int others; /* people beside this one */
};

static enum status prepare_person(struct app *app, struct form *form, struct error *error)
{
    struct person_kept *kept = arena_alloc(&form->arena, sizeof *kept);
    bool new = id_is_none(&form->subject.row);

    if (kept == NULL)
        return error_no_memory(error);
    form_inner(form)->kept = kept;
    enum status status = new ? STATUS_OK : form_read_current(app, form, RECORD_PERSON, error);
    if (status == STATUS_OK)
        status = people_count(app, &kept->others, error);
    kept->others -= new ? 0 : 1;
    return status;
}

/* Only a person who is alone can choose it. */
static void follow_person(struct app *app, struct form *form)
{
    const struct person_kept *kept = form_inner(form)->kept;

    (void)app;
    form_skip(form, 0, "alone", kept->others > 0);
}

static enum status check_person(struct app *app, struct form *form, int *index, struct error *error)
{
    const struct form_slot *slot = &form_inner(form)->slots[0];
    struct error wrong = {0};
    const char *field;

    enum status status = people_check(app, &slot->now.person,
                                      slot->present ? &slot->before.person : NULL, &field, &wrong);
    if (status == STATUS_INPUT)
        return form_refuse(form, 0, field, index, error, "%s", wrong.sentence);
    if (status != STATUS_OK && error != NULL)
        *error = wrong;
    return status;
}

/* The end of working alone: what whoever worked so has to do to go on working. */
static enum status warn_end_of_alone(struct app *app, struct arena *arena, struct lines *lines,
                                     struct error *error)
{
    struct secret_standing standing;

    enum status status = secret_look(app, app->login, &standing, error);
    if (status != STATUS_OK)
        return status;
    bool added = form_add_line(arena, lines,
                               "Until now nobody was asked here who they are. From now on "
                               "everybody is, and the seat locks when it is left.");
    if (added && !standing.pin)
        added = form_add_line(arena, lines,
                              "You, %s, have no PIN yet: set one in the day's menu, s, or you can "
                              "sign nothing and open no lock.",
                              app_by(app));
    return form_lines_done(added, error);
}

static bool differs(const char *a, const char *b)
{
    return strcmp(a == NULL ? "" : a, b == NULL ? "" : b) != 0;
}

static bool warn_change(const struct form_slot *slot, struct arena *arena, struct lines *lines)
{
    const struct person *now = &slot->now.person, *before = &slot->before.person;
    bool added = true;

    if (slot->present && now->role != before->role)
        added =
            form_add_line(arena, lines, "The role acts at once, also where this person sits now.");
    if (added && slot->present && differs(now->login, before->login))
        added = form_add_line(arena, lines,
                              "The passphrase and PIN of %s do not go along with the new login.",
                              before->login);
    if (added && !slot->present)
        added = form_add_line(arena, lines,
                              "%s comes in with that login of this machine, or with a one-time "
                              "passphrase: people, * 3.",
                              now->name);
    return added;
}

static enum status warn_person(struct app *app, struct form *form, struct arena *arena,
                               struct lines *lines, struct error *error)
{
    const struct form_slot *slot = &form_inner(form)->slots[0];
    bool ends = app->alone && (!slot->present || slot->now.person.alone != ANSWER_YES);
    bool begins = slot->now.person.alone == ANSWER_YES && slot->before.person.alone != ANSWER_YES;

    enum status status = ends ? warn_end_of_alone(app, arena, lines, error) : STATUS_OK;
    if (status == STATUS_OK && begins &&
        !form_add_line(arena, lines,
                       "From now on nobody is asked who they are: whoever can open this program "
                       "here works and signs as %s.",
                       slot->now.person.name))
        status = error_no_memory(error);
    return status == STATUS_OK ? form_lines_done(warn_change(slot, arena, lines), error) : status;
}

static const struct form_item items[] = {
    {0, "login", "login", "Name of the account with which this person sits down here.", NULL,
     ITEM_REQUIRED | ITEM_FIRST},
    {0, "name", "name", "Name as it stands beside what this person records.", NULL, ITEM_REQUIRED},
    {0, "role", "role", "What this person does here.", NULL, ITEM_REQUIRED},
    {0, "alone", "works alone",
     "Yes: as long as nobody else works here, nobody is asked who they are.", NULL, 0},
};
const struct form_template form_template_person = {
    .kind = FORM_PERSON,
    .name = "person",
    .title = "Person",
    .items = items,
    .item_count = sizeof items / sizeof items[0],
    .slots = {RECORD_PERSON, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_person,
    .follow = follow_person,
    .check = check_person,
    .warn = warn_person,
};
