/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any record corrected field by field, or withdrawn; in both the old row stays visible. */
#include <string.h>

#include "form_parts.h"
#include "form_templates.h"
#include "people.h"
#include "springline/core/course.h"
#include "told.h"

/* ---- the row ---- */

/* The case a record belongs to is the form's, whatever the caller knew. */
static enum status know_case(struct app *app, struct form *form, struct error *error)
{
    const struct form_slot *slot = &form_inner(form)->slots[0];
    const struct id *owner = form_case_of(slot->record, &slot->now);

    if (owner == NULL || id_equal(owner, &form->subject.casefile))
        return STATUS_OK;
    form->subject.casefile = *owner;
    return form_read_history(app, form, error);
}

/* Someone else may have changed or withdrawn it since the list was drawn. */
static enum status check_current(struct app *app, struct form *form, struct error *error)
{
    const struct form_slot *slot = &form_inner(form)->slots[0];
    union any_record current;

    enum status status = store_read_current(app->store, slot->record, &slot->now.head.record,
                                            &form->arena, &current, error);
    if (status == STATUS_NOT_FOUND)
        return error_set(error, STATUS_NOT_FOUND, record_tables[slot->record].table,
                         "This record was withdrawn; nothing of it can be changed any more.");
    if (status == STATUS_OK && !id_equal(&current.head.id, &form->subject.row))
        return error_set(error, STATUS_CONFLICT, record_tables[slot->record].table,
                         "This record was corrected meanwhile; open its newest version.");
    return status;
}

/* The row of the subject into slot 0. */
static enum status take_row(struct app *app, struct form *form, struct error *error)
{
    struct form_slot *slot = &form_inner(form)->slots[0];

    slot->record = form->subject.record;
    slot->write = true;
    if (slot->record >= RECORD_JUDGED || slot->record < RECORD_PATIENT)
        return error_set(error, STATUS_INPUT, "record",
                         "A stored verdict is what was said then; it is never changed.");
    exchange_blank(slot->record, &slot->now);
    enum status status = store_read_row(app->store, slot->record, &form->subject.row, &form->arena,
                                        &slot->now, error);
    if (status == STATUS_NOT_FOUND)
        return error_set(error, STATUS_NOT_FOUND, record_tables[slot->record].table,
                         "The store holds no such record.");
    if (status != STATUS_OK)
        return status;
    slot->before = slot->now;
    slot->present = true;
    status = check_current(app, form, error);
    return status == STATUS_OK ? know_case(app, form, error) : status;
}

/* The verdict stored with a visit, now or in an earlier version of it; NULL: none. */
static const struct judged *stored_with(const struct history *history, const struct visit *visit)
{
    const struct judged *found = NULL;

    for (size_t i = 0; i < history->judged_count; i++) {
        const struct judged *judged = &history->judged[i];
        if (judged_with(judged, visit) &&
            (found == NULL || judged->head.sequence > found->head.sequence))
            found = judged;
    }
    return found;
}

/* An own copy of the template, its title with the record in it: "Withdrawal: width of 2026-11-25".
 * NULL: no memory. */
static struct form_template *own_template(struct form *form, const struct form_template *like)
{
    const struct form_slot *slot = &form_inner(form)->slots[0];
    struct form_template *template = arena_alloc(&form->arena, sizeof *template);
    struct text title = {0};

    if (template == NULL)
        return NULL;
    *template = *like;
    text_addf(&title, "%s: ", like->title);
    form_name(&title, slot->record, &slot->before);
    template->title =
        title.failed ? NULL : arena_text(&form->arena, text_string(&title), title.length);
    text_release(&title);
    form_inner(form)->template = template;
    return template->title == NULL ? NULL : template;
}

/* ---- correction ---- */

/* The field most often mistyped: the form begins there. */
static const char *first_field(enum record_kind kind)
{
    static const char *const firsts[RECORD_KIND_COUNT] = {
        [RECORD_PATIENT] = "family",       [RECORD_CASEFILE] = "consent_on",
        [RECORD_TRAINER] = "issued_on",    [RECORD_EXPANDER] = "fitted_on",
        [RECORD_VISIT] = "right_mm",       [RECORD_WIDTH] = "mm",
        [RECORD_WEAR_DAY] = "day_minutes", [RECORD_WEAR_COUNT] = "days_met",
        [RECORD_CONTACT] = "outcome",      [RECORD_BOOKING] = "state",
        [RECORD_TOOTH_WIDTH] = "mm",       [RECORD_ARCH_SEGMENT] = "back_right_mm",
        [RECORD_ARCH_DEPTH] = "mm",        [RECORD_PLAN] = "target_mm",
        [RECORD_PROTOCOL] = "step_max_mm", [RECORD_PERSON] = "name",
    };

    return firsts[kind];
}

/* Items for all fields of the record but references. */
static enum status make_items(struct form *form, struct error *error)
{
    struct form_inner *inner = form_inner(form);
    enum record_kind kind = inner->slots[0].record;
    const struct record_table *table = &record_tables[kind];
    const char *first = first_field(kind);
    struct form_template *template = own_template(form, &form_template_correct);
    struct form_item *items = arena_array(&form->arena, table->field_count, sizeof *items);
    int count = 0;

    if (template == NULL || items == NULL)
        return error_no_memory(error);
    for (size_t i = 0; i < table->field_count; i++) {
        const struct field *field = &table->fields[i];
        if (field->type == FIELD_ID)
            continue;
        items[count] = (struct form_item){.slot = 0,
                                          .name = field->name,
                                          .label = form_word_label(kind, field->name),
                                          .help = form_word_help(kind, field->name)};
        if ((field->flags & FIELD_REQUIRED) != 0)
            items[count].flags |= ITEM_REQUIRED;
        if (first != NULL && strcmp(field->name, first) == 0)
            items[count].flags |= ITEM_FIRST;
        count++;
    }
    template->items = items;
    template->item_count = count;
    return STATUS_OK;
}

static enum status prepare_correct(struct app *app, struct form *form, struct error *error)
{
    enum status status = take_row(app, form, error);

    return status == STATUS_OK ? make_items(form, error) : status;
}

/* Of what was permitted on that day more was given than was recorded: the reason is asked as at the
 * chair. Of a row that came with an import too, for this amount is typed here. */
static enum status check_correct(struct app *app, struct form *form, int *index,
                                 struct error *error)
{
    const struct form_slot *slot = &form_inner(form)->slots[0];
    const struct visit *now = &slot->now.visit, *before = &slot->before.visit;
    char right[MILLIMETRE_TEXT_SIZE], left[MILLIMETRE_TEXT_SIZE];
    struct judgement judgement;
    bool recomputed;

    (void)app;
    if (slot->record != RECORD_VISIT || (now->right <= before->right && now->left <= before->left))
        return STATUS_OK;
    bool said = now->override_reason != NULL && now->override_reason[0] != '\0';
    if (said || !course_verdict_of(&form->history, now, &judgement, &recomputed) ||
        !told_excess(now, &judgement))
        return STATUS_OK;
    return form_refuse(form, 0, "override_reason", index, error,
                       "That is more than the rules permitted on that day (right %s, left %s): "
                       "write why above permitted.",
                       millimetre_to_text(judgement.permitted_right, right),
                       millimetre_to_text(judgement.permitted_left, left));
}

/* The verdict given at the chair is a fact of then, also where its reasons were mistyped. */
static enum status warn_correct(struct app *app, struct form *form, struct arena *arena,
                                struct lines *lines, struct error *error)
{
    const struct form_slot *slot = &form_inner(form)->slots[0];
    const struct judged *judged = NULL;

    (void)app;
    if (slot->record == RECORD_VISIT)
        judged = stored_with(&form->history, &slot->before.visit);
    if (judged != NULL &&
        !form_add_line(arena, lines,
                       "The verdict stored with this visit, %s, stays; it is what was said then.",
                       word_text(&words_verdict, judged->verdict)))
        return error_no_memory(error);
    return STATUS_OK;
}

const struct form_template form_template_correct = {
    .kind = FORM_CORRECT,
    .name = "correct",
    .title = "Correction",
    .slots = {RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_correct,
    .check = check_correct,
    .warn = warn_correct,
};

/* ---- withdrawal ---- */

static enum status prepare_withdraw(struct app *app, struct form *form, struct error *error)
{
    enum status status = take_row(app, form, error);

    if (status == STATUS_OK && own_template(form, &form_template_withdraw) == NULL)
        status = error_no_memory(error);
    return status;
}

struct users {
    const struct id *patient;
    const char *protocol;
    const char *number; /* of the first case found, in arena */
    struct arena *arena;
};

static enum status find_case(void *context, const void *record, struct error *error)
{
    struct users *users = context;
    const struct casefile *casefile = record;
    const char *name = casefile->protocol == NULL ? "" : casefile->protocol;
    bool uses = users->patient != NULL ? id_equal(&casefile->patient, users->patient)
                                       : strcmp(name, users->protocol) == 0;

    if (users->number != NULL || !uses)
        return STATUS_OK;
    users->number = arena_text(users->arena, casefile->number, strlen(casefile->number));
    return users->number == NULL ? error_no_memory(error) : STATUS_OK;
}

/* A patient with a case, a protocol that a case has. */
static enum status refuse_if_used(struct app *app, struct form *form, struct error *error)
{
    const struct form_slot *slot = &form_inner(form)->slots[0];
    bool patient = slot->record == RECORD_PATIENT;
    struct users users = {.patient = patient ? &slot->now.head.record : NULL,
                          .protocol = patient ? NULL : slot->now.protocol.name,
                          .arena = &form->arena};

    if (!patient && strcmp(slot->now.protocol.name, STORE_PRACTICE_PROTOCOL) == 0)
        return error_set(error, STATUS_INPUT, "protocol",
                         "The practice's own protocol can not be withdrawn: without its limits "
                         "nothing is permitted; change its values.");
    enum status status =
        store_each_row(app->store, RECORD_CASEFILE, STORE_NOW, find_case, &users, error);
    if (status != STATUS_OK || users.number == NULL)
        return status;
    return error_set(error, STATUS_INPUT, record_tables[slot->record].table,
                     patient ? "Case %s is of this patient; withdraw the case first."
                             : "Case %s is judged by this protocol; give it another one first.",
                     users.number);
}

/* A case that holds anything. */
static enum status refuse_if_filled(struct app *app, struct form *form, struct error *error)
{
    const struct history *history = &form->history;
    struct assessment all;
    enum status status = store_read_assessment(app->store, &form->subject.casefile, STORE_NOW,
                                               &form->arena, &all, error);

    if (status != STATUS_OK)
        return status;
    size_t rows = history->trainer_count + history->expander_count + history->visit_count +
                  history->width_count + history->wear_day_count + history->wear_count_count +
                  history->contact_count + history->booking_count + all.tooth_width_count +
                  all.segment_count + all.depth_count + all.plan_count;

    if (rows == 0)
        return STATUS_OK;
    return error_set(error, STATUS_INPUT, history->casefile->number,
                     "Case %s holds %zu %s; withdraw these first, or close the case instead.",
                     history->casefile->number, rows, rows == 1 ? "record" : "records");
}

static enum status check_withdraw(struct app *app, struct form *form, int *index,
                                  struct error *error)
{
    *index = 0;
    switch (form_inner(form)->slots[0].record) {
    case RECORD_PATIENT:
    case RECORD_PROTOCOL:
        return refuse_if_used(app, form, error);
    case RECORD_CASEFILE:
        return refuse_if_filled(app, form, error);
    case RECORD_PERSON:
        return people_check_leaving(app, &form_inner(form)->slots[0].now.person, error);
    case RECORD_TRAINER:
    case RECORD_EXPANDER:
    case RECORD_VISIT:
    case RECORD_WIDTH:
    case RECORD_WEAR_DAY:
    case RECORD_WEAR_COUNT:
    case RECORD_CONTACT:
    case RECORD_BOOKING:
    case RECORD_TOOTH_WIDTH:
    case RECORD_ARCH_SEGMENT:
    case RECORD_ARCH_DEPTH:
    case RECORD_PLAN:
    case RECORD_JUDGED:
    case RECORD_ACCESS:
    case RECORD_SIGNATURE:
    case RECORD_MONTH_CLOSE:
    case RECORD_ERASURE:
    case RECORD_KIND_COUNT:
        break;
    }
    return STATUS_OK;
}

static enum status warn_withdraw(struct app *app, struct form *form, struct arena *arena,
                                 struct lines *lines, struct error *error)
{
    const struct form_slot *slot = &form_inner(form)->slots[0];
    struct text told = {0};

    (void)app;
    form_describe(&told, slot->record, &slot->now);
    bool done =
        !told.failed &&
        form_add_line(arena, lines,
                      "Withdrawn: %s. It counts nowhere any more; its rows stay to be read.",
                      text_string(&told));
    text_release(&told);
    if (done && slot->record == RECORD_VISIT &&
        stored_with(&form->history, &slot->now.visit) != NULL)
        done = form_add_line(arena, lines, "The verdict stored with this visit goes with it.");
    if (done && slot->record == RECORD_PERSON)
        done = form_add_line(arena, lines,
                             "%s can not come in any more, at once; what %s recorded and signed "
                             "stays, and nobody else ever gets the login %s.",
                             slot->now.person.name, slot->now.person.name, slot->now.person.login);
    return done ? STATUS_OK : error_no_memory(error);
}

static enum status append_withdraw(struct app *app, struct form *form, struct app_save *save,
                                   struct error *error)
{
    struct form_inner *inner = form_inner(form);
    const struct form_slot *slot = &inner->slots[0];

    (void)save;
    enum status status =
        store_withdraw(app->store, slot->record, &slot->now.head.id, inner->reason, error);
    if (status == STATUS_CONFLICT || status == STATUS_NOT_FOUND)
        return error_set(error, STATUS_CONFLICT, record_tables[slot->record].table,
                         "Another seat changed or withdrew this meanwhile; nothing was saved, open "
                         "it again.");
    if (status == STATUS_OK && slot->record == RECORD_CASEFILE)
        status = store_drop_state(app->store, &slot->now.head.record, error);
    return status;
}

const struct form_template form_template_withdraw = {
    .kind = FORM_WITHDRAW,
    .name = "withdraw",
    .title = "Withdrawal",
    .slots = {RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_withdraw,
    .check = check_withdraw,
    .warn = warn_withdraw,
    .append = append_withdraw,
};
