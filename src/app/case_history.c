/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What became of a record: who entered it, who changed what and why, who withdrew it. */
#include <inttypes.h>
#include <string.h>

#include "case_private.h"
#include "form_engine.h"
#include "springline/app/grow.h"
#include "springline/app/sentence.h"

/* ---- reading ---- */

/* Copies one text of a record into the arena. */
static bool keep_text(struct arena *arena, void *copy, size_t offset)
{
    const char *text;

    memcpy(&text, (const char *)copy + offset, sizeof text);
    if (text == NULL)
        return true;
    text = arena_text(arena, text, strlen(text));
    memcpy((char *)copy + offset, &text, sizeof text);
    return text != NULL;
}

static union any_record *copy_record(struct arena *arena, enum record_kind kind, const void *record)
{
    const struct record_table *table = &record_tables[kind];
    union any_record *copy = arena_alloc(arena, sizeof *copy);

    if (copy == NULL)
        return NULL;
    memcpy(copy, record, table->size);
    bool good = keep_text(arena, copy, offsetof(struct row_head, reason));
    for (size_t i = 0; i < table->field_count && good; i++) {
        if (table->fields[i].type == FIELD_TEXT)
            good = keep_text(arena, copy, table->fields[i].offset);
    }
    return good ? copy : NULL;
}

static enum status add_version(void *context, const void *record,
                               const struct store_withdrawn *withdrawn, struct error *error)
{
    struct record_story *story = context;
    struct record_version version = {.record = copy_record(story->arena, story->kind, record),
                                     .withdrawn = withdrawn != NULL};

    if (withdrawn != NULL) {
        version.gone = *withdrawn;
        if (!keep_text(story->arena, &version.gone, offsetof(struct store_withdrawn, reason)))
            return error_no_memory(error);
    }
    if (version.record == NULL || !app_grow(story->arena, (void **)&story->versions, story->count,
                                            &story->capacity, sizeof *story->versions))
        return error_no_memory(error);
    story->versions[story->count++] = version;
    return STATUS_OK;
}

enum status case_story_read(struct app *app, enum record_kind kind, const struct id *record,
                            struct arena *arena, struct record_story *story, struct error *error)
{
    *story = (struct record_story){.kind = kind, .arena = arena};
    return store_each_version(app->store, kind, record, add_version, story, error);
}

/* ---- telling ---- */

void case_tell_instant(struct text *out, instant at)
{
    char text[INSTANT_TEXT_SIZE];

    instant_to_text(at, text);
    if (text[0] == '\0')
        text_add(out, "at an unknown time");
    else
        text_addf(out, "%.10s %.5s UTC", text, text + 11);
}

void case_tell_label(struct text *out, enum record_kind kind, const struct field *field)
{
    /* What people say otherwise than the column. */
    static const char *const said[][2] = {
        {"mm", "width"}, {"cleared", "safety set aside"}, {"cleared_by", "safety set aside by"}};
    static const char millimetres[] = "_mm";
    size_t length = strlen(field->name), unit = sizeof millimetres - 1;

    if (kind == RECORD_ARCH_DEPTH && strcmp(field->name, "mm") == 0) {
        text_add(out, "depth");
        return;
    }
    for (size_t i = 0; i < sizeof said / sizeof said[0]; i++) {
        if (strcmp(field->name, said[i][0]) == 0) {
            text_add(out, said[i][1]);
            return;
        }
    }
    if (length > unit && strcmp(field->name + length - unit, millimetres) == 0)
        length -= unit;
    for (size_t i = 0; i < length; i++)
        text_add_byte(out, field->name[i] == '_' ? ' ' : field->name[i]);
}

/* The setting of a protocol that a field holds; SETTING_NONE: it holds another thing. */
static enum setting setting_of(enum record_kind kind, const struct field *field)
{
    for (int i = SETTING_NONE + 1; i < SETTING_COUNT && kind == RECORD_PROTOCOL; i++) {
        if (protocol_settings[i].offset == field->offset)
            return (enum setting)i;
    }
    return SETTING_NONE;
}

void case_tell_field(struct text *out, enum record_kind kind, const struct field *field,
                     const union any_record *record)
{
    enum setting setting = setting_of(kind, field);

    if (!form_recorded(kind, field, record))
        text_add(out, "not recorded");
    else if (setting != SETTING_NONE)
        sentence_value(out, protocol_settings[setting].unit, exchange_int(field, record));
    else if (field->type == FIELD_TEXT)
        text_add_shown(out, exchange_text(field, record));
    else
        form_add_shown(out, field, record);
}

/* The person's name as it is now, and the seat; the seat alone where nobody was signed in. */
static enum status tell_person(struct app *app, struct text *out, const struct id *person,
                               const char *seat, struct error *error)
{
    struct arena arena = {0};
    struct person found = {0};
    enum status status = STATUS_NOT_FOUND;
    bool seated = seat != NULL && seat[0] != '\0';

    if (!id_is_none(person))
        status = store_read_current(app->store, RECORD_PERSON, person, &arena, &found, error);
    if (status == STATUS_NOT_FOUND && !id_is_none(person))
        status = store_read_row(app->store, RECORD_PERSON, person, &arena, &found, error);
    bool named = status == STATUS_OK;
    text_add(out, named ? "by " : seated ? "at " : "by nobody named");
    if (named)
        text_add_shown(out, found.name == NULL ? "" : found.name);
    text_add(out, named && seated ? " (" : "");
    if (seated)
        text_add_shown(out, seat);
    text_add(out, named && seated ? ")" : "");
    arena_release(&arena);
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

enum status case_tell_doer(struct app *app, struct text *out, const struct id *person,
                           const struct id *request, struct text *command, struct error *error)
{
    struct arena arena = {0};
    struct store_save_told save = {0};

    enum status status = store_read_save(app->store, request, &arena, &save, error);
    if (status == STATUS_NOT_FOUND) {
        text_add(out, "by a save that is not in the store");
        status = STATUS_OK;
    } else if (status == STATUS_OK && save.imported) {
        text_add(out, "imported from ");
        text_add_shown(out, save.label == NULL ? "" : save.label);
        text_addf(out, " (batch %" PRId64 ")", save.sequence);
    } else if (status == STATUS_OK) {
        text_add_shown(command, save.command == NULL ? "" : save.command);
        status = tell_person(app, out, person, save.seat, error);
    }
    arena_release(&arena);
    return status;
}

void case_tell_changes(struct text *out, enum record_kind kind, const union any_record *now,
                       const union any_record *before)
{
    const struct record_table *table = &record_tables[kind];
    bool first = true;

    for (size_t i = 0; i < table->field_count; i++) {
        const struct field *field = &table->fields[i];
        if (field->type == FIELD_ID || exchange_same(field, now, before))
            continue;
        text_add(out, first ? "" : ", ");
        case_tell_label(out, kind, field);
        text_add(out, " ");
        case_tell_field(out, kind, field, before);
        text_add(out, " -> ");
        case_tell_field(out, kind, field, now);
        first = false;
    }
    text_add(out, first ? "nothing changed" : "");
}

static enum status tell_version(struct app *app, const struct record_story *story, size_t at,
                                struct text *out, struct error *error)
{
    const union any_record *record = story->versions[at].record;
    const struct row_head *head = &record->head;
    struct text command = {0};

    text_addf(out, "version %" PRId32 ", ", head->version);
    case_tell_instant(out, head->recorded_at);
    text_add(out, ", ");
    enum status status = case_tell_doer(app, out, &head->person, &head->request, &command, error);
    if (command.length > 0)
        text_addf(out, ", %s", text_string(&command));
    if (at + 1 < story->count) {
        text_add(out, ": ");
        case_tell_changes(out, story->kind, record, story->versions[at + 1].record);
    }
    if (head->reason != NULL && head->reason[0] != '\0') {
        text_add(out, "; reason: ");
        text_add_shown(out, head->reason);
    }
    out->failed = out->failed || command.failed;
    text_release(&command);
    return status;
}

enum status case_tell_end(struct app *app, struct text *out, const struct store_withdrawn *gone,
                          struct error *error)
{
    struct text command = {0};

    text_add(out, "withdrawn ");
    case_tell_instant(out, gone->at);
    text_add(out, ", ");
    enum status status = case_tell_doer(app, out, &gone->person, &gone->request, &command, error);
    text_release(&command);
    text_add(out, "; reason: ");
    text_add_shown(out, gone->reason == NULL ? "" : gone->reason);
    return status;
}

enum status case_story_tell(struct app *app, const struct record_story *story, struct lines *lines,
                            struct error *error)
{
    enum status status = STATUS_OK;
    struct text line = {0};
    bool good = true;

    if (story->versions[0].withdrawn) {
        status = case_tell_end(app, &line, &story->versions[0].gone, error);
        good = told_end_line(story->arena, lines, &line);
    }
    for (size_t i = 0; i < story->count && status == STATUS_OK && good; i++) {
        status = tell_version(app, story, i, &line, error);
        good = told_end_line(story->arena, lines, &line);
    }
    text_release(&line);
    return status != STATUS_OK ? status : good ? STATUS_OK : error_no_memory(error);
}
