/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/conflict.h"

#include <string.h>

#include "form_engine.h"
#include "meanwhile.h"

enum { ALL_KINDS = ~0U >> 1 }; /* of a form: nothing of its case is passed over */

/* ---- what was saved meanwhile ---- */

static enum status find_saved(struct app *app, const struct form *form, int64_t to,
                              struct arena *arena, struct meanwhile *list, struct error *error)
{
    const struct form_inner *inner = form_inner(form);
    enum status status = STATUS_OK;

    if (form->history.casefile != NULL)
        status = meanwhile_of_case(app, &form->subject.casefile, form->opened_at, to, ALL_KINDS,
                                   arena, list, error);
    for (int i = 0; i < FORM_SLOTS && status == STATUS_OK; i++) {
        const struct form_slot *slot = &inner->slots[i];
        if (slot->record < RECORD_KIND_COUNT && slot->present)
            status = meanwhile_of_record(app, slot->record, &slot->now.head.record, form->opened_at,
                                         to, arena, list, error);
    }
    meanwhile_sort(list);
    return status;
}

enum status conflict_check(struct app *app, const struct form *form, struct error *error)
{
    struct meanwhile list = {0};
    struct arena arena = {0};

    enum status status = find_saved(app, form, STORE_NOW, &arena, &list, error);
    if (status == STATUS_OK && list.count > 0)
        status = error_set(error, STATUS_CONFLICT, form->title,
                           "Something that this stands on was saved meanwhile: nothing is saved "
                           "here yet.");
    arena_release(&arena);
    return status;
}

/* ---- the form over what is recorded now ---- */

struct reading {
    struct app *app;
    const struct form *old;
    struct conflict *conflict;
    struct meanwhile list;
};

static enum status stick(struct reading *reading, const char *sentence, struct error *error)
{
    struct conflict *conflict = reading->conflict;

    form_release(&conflict->newer);
    conflict->stuck = arena_text(&conflict->arena, sentence, strlen(sentence));
    return conflict->stuck == NULL ? error_no_memory(error) : STATUS_OK;
}

/* What the form was opened for, as its newest version. */
static enum status find_subject(const struct reading *reading, struct form_subject *subject,
                                struct error *error)
{
    const struct form_slot *slot = &form_inner(reading->old)->slots[0];
    union any_record current;

    *subject = reading->old->subject;
    if (id_is_none(&subject->row) || !slot->present)
        return STATUS_OK;
    enum status status =
        store_read_current(reading->app->store, slot->record, &slot->now.head.record,
                           &reading->conflict->arena, &current, error);
    if (status == STATUS_OK)
        subject->row = current.head.id;
    return status == STATUS_NOT_FOUND ? STATUS_OK : status; /* the template says that it is gone */
}

/* Is the newer form about another record than the old one? Then what was typed belongs nowhere. */
static bool is_about_another(const struct form *old, const struct form *newer)
{
    for (int i = 0; i < FORM_SLOTS; i++) {
        const struct form_slot *before = &form_inner(old)->slots[i];
        const struct form_slot *now = &form_inner(newer)->slots[i];
        if (before->present &&
            (!now->present || !id_equal(&before->now.head.record, &now->now.head.record)))
            return true;
    }
    return false;
}

static enum status type_again(struct reading *reading, struct error *error)
{
    struct text typed = {0};

    (void)form_add_typed_lines(&typed, reading->old);
    bool done = !typed.failed;
    if (done)
        form_enter_lines(reading->app, &reading->conflict->newer, text_string(&typed));
    text_release(&typed);
    return done ? STATUS_OK : error_no_memory(error);
}

static enum status open_newer(struct reading *reading, struct error *error)
{
    struct conflict *conflict = reading->conflict;
    struct form_subject subject;
    struct error refusal = {0};

    enum status status = find_subject(reading, &subject, error);
    if (status != STATUS_OK)
        return status;
    status = form_open(reading->app, reading->old->kind, &subject, &conflict->newer, &refusal);
    if (status == STATUS_INPUT || status == STATUS_NOT_FOUND || status == STATUS_CONFLICT)
        return stick(reading, refusal.sentence, error);
    if (status != STATUS_OK) {
        if (error != NULL)
            *error = refusal;
        return status;
    }
    conflict->newer.request = reading->old->request;
    conflict->newer.opened_at = conflict->seen;
    status = type_again(reading, error);
    if (status == STATUS_OK && is_about_another(reading->old, &conflict->newer))
        status = stick(reading,
                       "What was typed here is about a record that can not be changed in this way "
                       "any more; read it in the case.",
                       error);
    return status;
}

/* ---- field by field ---- */

/* A field on both forms. */
struct pair {
    int old, newer;
    const struct field *bound; /* NULL: the template's own */
    const union any_record *before, *mine, *theirs;
};

static bool make_pair(const struct reading *reading, int newer, struct pair *pair)
{
    const struct form *old = reading->old, *form = &reading->conflict->newer;
    const struct form_inner *inner = form_inner(form), *was = form_inner(old);
    int slot = inner->slot_of[newer];

    *pair = (struct pair){.newer = newer, .bound = inner->bound[newer]};
    pair->old = form_index(old, slot, inner->template->items[newer].name);
    if (pair->old < 0 || !inner->slots[slot].present || form->fields[newer].skipped)
        return false;
    pair->before = &was->opened[slot];
    pair->mine = &was->slots[slot].now;
    pair->theirs = &inner->opened[slot];
    return true;
}

static bool differ(const struct pair *pair, const union any_record *a, const union any_record *b,
                   const char *a_shown, const char *b_shown)
{
    return pair->bound == NULL ? strcmp(a_shown, b_shown) != 0 : !exchange_same(pair->bound, a, b);
}

/* "nothing", or what stands there; NULL: no memory. */
static const char *value_of(struct reading *reading, const struct pair *pair,
                            const union any_record *record, const char *shown)
{
    const struct form_inner *inner = form_inner(&reading->conflict->newer);
    struct text text = {0};

    if (pair->bound != NULL)
        form_add_value(&text, inner->slots[inner->slot_of[pair->newer]].record, pair->bound,
                       record);
    else
        text_add(&text, shown[0] == '\0' ? "nothing" : shown);
    const char *kept =
        text.failed ? NULL : arena_text(&reading->conflict->arena, text_string(&text), text.length);
    text_release(&text);
    return kept;
}

/* The newest save that changed the field; NULL: none did. */
static const struct meanwhile_row *saved_with(const struct reading *reading,
                                              const struct pair *pair)
{
    const struct id *record = &pair->theirs->head.record;

    for (size_t i = reading->list.count; i-- > 0;) {
        const struct meanwhile_row *row = &reading->list.rows[i];
        if (!id_equal(&row->now->head.record, record) || row->withdrawn)
            continue;
        if (row->before == NULL || pair->bound == NULL ||
            !exchange_same(pair->bound, row->now, row->before))
            return row;
    }
    return NULL;
}

/* Who saved theirs, and when. */
static enum status name_saver(struct reading *reading, const struct pair *pair,
                              struct conflict_field *field, struct error *error)
{
    const struct meanwhile_row *row = saved_with(reading, pair);
    struct text by = {0}, command = {0};

    field->by = "";
    if (row == NULL)
        return STATUS_OK;
    enum status status = meanwhile_tell_save(reading->app, &by, row, &command, error);
    if (status == STATUS_OK) {
        field->by =
            by.failed ? NULL : arena_text(&reading->conflict->arena, text_string(&by), by.length);
        status = field->by == NULL ? error_no_memory(error) : STATUS_OK;
    }
    text_release(&by);
    text_release(&command);
    return status;
}

static enum status name_record(struct reading *reading, int newer, struct conflict_field *field,
                               struct error *error)
{
    const struct form_inner *inner = form_inner(&reading->conflict->newer);
    const struct form_slot *slot = &inner->slots[inner->slot_of[newer]];
    struct text name = {0};

    form_name(&name, slot->record, &slot->before);
    field->record =
        name.failed ? NULL : arena_text(&reading->conflict->arena, text_string(&name), name.length);
    text_release(&name);
    return field->record == NULL ? error_no_memory(error) : STATUS_OK;
}

static enum status add_field(struct reading *reading, const struct pair *pair,
                             enum conflict_take take, struct error *error)
{
    struct conflict *conflict = reading->conflict;
    const struct form_field *old = &reading->old->fields[pair->old];
    const struct form_field *newer = &conflict->newer.fields[pair->newer];
    struct conflict_field *field = &conflict->fields[conflict->field_count];

    *field = (struct conflict_field){
        .label = newer->label, .both = take == TAKE_OPEN, .take = take, .index = pair->newer};
    field->before = value_of(reading, pair, pair->before, old->recorded);
    field->mine = value_of(reading, pair, pair->mine, old->shown);
    field->theirs = value_of(reading, pair, pair->theirs, newer->recorded);
    if (field->before == NULL || field->mine == NULL || field->theirs == NULL)
        return error_no_memory(error);
    enum status status = name_record(reading, pair->newer, field, error);
    if (status == STATUS_OK && take != TAKE_MINE)
        status = name_saver(reading, pair, field, error);
    else
        field->by = "";
    if (status == STATUS_OK)
        conflict->field_count++;
    return status;
}

static enum status compare_field(struct reading *reading, int newer, struct error *error)
{
    const struct form_field *field = &reading->conflict->newer.fields[newer];
    struct pair pair;

    if (!make_pair(reading, newer, &pair))
        return STATUS_OK;
    const struct form_field *old = &reading->old->fields[pair.old];
    bool here = form_is_typed(reading->old, pair.old) &&
                differ(&pair, pair.mine, pair.before, old->shown, old->recorded);
    bool there = differ(&pair, pair.theirs, pair.before, field->recorded, old->recorded);
    if (!here && !there)
        return STATUS_OK;
    if (!there)
        return add_field(reading, &pair, TAKE_MINE, error);
    if (!here)
        return add_field(reading, &pair, TAKE_THEIRS, error);
    return add_field(reading, &pair,
                     differ(&pair, pair.mine, pair.theirs, old->shown, field->recorded) ? TAKE_OPEN
                                                                                        : TAKE_SAME,
                     error);
}

static enum status compare_fields(struct reading *reading, struct error *error)
{
    enum status status = STATUS_OK;

    for (int i = 0; i < reading->conflict->newer.field_count && status == STATUS_OK; i++)
        status = compare_field(reading, i, error);
    return status;
}

/* The place is read first: what is saved after it is told by the next save at the latest. */
static enum status read_all(struct reading *reading, struct error *error)
{
    struct conflict *conflict = reading->conflict;
    uint8_t head[32];

    conflict->stuck = "";
    enum status status = store_head(reading->app->store, &conflict->seen, head, error);
    if (status == STATUS_OK)
        status = find_saved(reading->app, reading->old, conflict->seen, &conflict->arena,
                            &reading->list, error);
    if (status == STATUS_OK)
        status =
            meanwhile_tell(reading->app, &reading->list, &conflict->arena, &conflict->saved, error);
    if (status == STATUS_OK)
        status = open_newer(reading, error);
    return status == STATUS_OK ? compare_fields(reading, error) : status;
}

enum status conflict_read(struct app *app, const struct form *form, struct conflict *conflict,
                          struct error *error)
{
    struct reading reading = {.app = app, .old = form, .conflict = conflict};

    *conflict = (struct conflict){0};
    enum status status = read_all(&reading, error);
    if (status != STATUS_OK)
        conflict_release(conflict);
    return status;
}

/* ---- what is decided ---- */

int conflict_open_field(const struct conflict *conflict)
{
    int index = 0;

    while (index < conflict->field_count && conflict->fields[index].take != TAKE_OPEN)
        index++;
    return index;
}

void conflict_decide(struct conflict *conflict, int field, enum conflict_take take)
{
    if (conflict->fields[field].both && (take == TAKE_MINE || take == TAKE_THEIRS))
        conflict->fields[field].take = take;
}

/* The draft of the newer form first: what is typed is never without one. */
static enum status move_draft(struct app *app, struct form *old, struct form *newer,
                              struct error *error)
{
    char before[FORM_DRAFT_NAME_SIZE], after[FORM_DRAFT_NAME_SIZE];
    bool same = strcmp(form_draft_name(old, before), form_draft_name(newer, after)) == 0;

    enum status status = form_put_draft(app, newer, error);
    if (status == STATUS_OK && (!same || !form_dirty(newer)))
        status = form_end_draft(app, old, error);
    return status;
}

enum status conflict_settle(struct app *app, struct form *form, struct conflict *conflict,
                            struct error *error)
{
    int open = conflict_open_field(conflict);

    if (conflict->stuck[0] != '\0')
        return error_set(error, STATUS_INPUT, form->title, "%s", conflict->stuck);
    if (open < conflict->field_count)
        return error_set(error, STATUS_INPUT, form->title,
                         "\"%s\" was changed at both seats: decide which of the two it is.",
                         conflict->fields[open].label);
    for (int i = 0; i < conflict->field_count; i++) {
        const struct conflict_field *field = &conflict->fields[i];
        if (field->both && field->take == TAKE_THEIRS)
            form_restore(app, &conflict->newer, field->index);
    }
    enum status status = move_draft(app, form, &conflict->newer, error);
    if (status != STATUS_OK)
        return status;
    form_release(form);
    *form = conflict->newer;
    conflict->newer = (struct form){0};
    return STATUS_OK;
}

void conflict_release(struct conflict *conflict)
{
    form_release(&conflict->newer);
    arena_release(&conflict->arena);
    *conflict = (struct conflict){0};
}
