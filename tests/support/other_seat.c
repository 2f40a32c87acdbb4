/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "other_seat.h"

void other_sits_down(struct desk *desk, struct other *other, const char *name)
{
    desk->kept.app.user = "founder"; /* not alone any more */
    *other = (struct other){.app = desk->kept.app};
    other->app.seat = "other@pts/9";
    other->app.user = "other";
    if (store_open(desk->kept.path, &desk->kept.source, &other->app.store, &other->error) !=
        STATUS_OK)
        fail_msg("%s", other->error.sentence);
    struct person person = {.login = "other", .name = name, .role = ROLE_ORTHODONTIST};
    struct store_request request = {.id = store_new_id(other->app.store), .command = "person"};
    assert_int_equal(store_begin(other->app.store, &request, &other->error), STATUS_OK);
    assert_int_equal(store_append(other->app.store, RECORD_PERSON, &person, &other->error),
                     STATUS_OK);
    assert_int_equal(store_commit(other->app.store, &other->error), STATUS_OK);
    assert_int_equal(app_know_person(&other->app, &other->error), STATUS_OK);
}

void other_stands_up(struct other *other)
{
    form_release(&other->form);
    store_close(other->app.store);
}

void other_opens(struct desk *desk, struct other *other, enum form_kind kind)
{
    struct form_subject subject = {.casefile = desk->kept.casefile};

    form_release(&other->form);
    if (form_open(&other->app, kind, &subject, &other->form, &other->error) != STATUS_OK)
        fail_msg("%s", other->error.sentence);
}

void other_types(struct other *other, const char *label, const char *typed)
{
    char sentence[200];

    for (int i = 0; i < other->form.field_count; i++) {
        if (other->form.fields[i].skipped || strcmp(other->form.fields[i].label, label) != 0)
            continue;
        if (form_enter(&other->app, &other->form, i, typed, sentence) == ENTRY_ASK)
            (void)form_enter(&other->app, &other->form, i, typed, sentence);
        if (other->form.fields[i].wrong)
            fail_msg("%s: %s", label, sentence);
        return;
    }
    fail_msg("no field %s", label);
}

void other_saves(struct other *other)
{
    if (form_save(&other->app, &other->form, "asked on the telephone", &other->error) != STATUS_OK)
        fail_msg("%s", other->error.sentence);
}

void other_changes(struct desk *desk, struct other *other, const char *label, const char *value)
{
    other_opens(desk, other, FORM_PATIENT);
    other_types(other, label, value);
    other_saves(other);
}
