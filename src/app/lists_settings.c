/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/lists_settings.h"

#include <inttypes.h>
#include <string.h>

#include "springline/app/grow.h"
#include "springline/app/lists_find.h"
#include "springline/app/sentence.h"

const char lists_settings_caution[] =
    "These limits are the practice's own: no published limit in mm per visit exists. The licensed "
    "clinician decides.";

static const char *kept(struct arena *arena, const char *text)
{
    return arena_text(arena, text == NULL ? "" : text, text == NULL ? 0 : strlen(text));
}

/* Keeps the text and empties it; NULL: no memory. */
static const char *keep_text(struct arena *arena, struct text *text)
{
    const char *copy = text->failed ? NULL : arena_text(arena, text_string(text), text->length);

    text_release(text);
    return copy;
}

/* ---- settings ---- */

/* A number for the row that does not change while the program runs. */
static struct id id_of_setting(enum setting setting)
{
    struct id id = {{0}};

    id.bytes[0] = 1;
    id.bytes[1] = (uint8_t)setting;
    return id;
}

static bool make_row(const struct protocol *protocol, enum setting setting, struct arena *arena,
                     struct listed_setting *row)
{
    const struct setting_row *known = &protocol_settings[setting];
    int32_t value = protocol_value(protocol, setting);
    struct text shown = {0}, usual = {0};
    enum standing standing = value == known->value ? known->standing : STANDING_SETTING;

    sentence_value(&shown, known->unit, value);
    if (value != known->value) {
        sentence_value(&usual, known->unit, known->value);
        text_addf(&usual, ", %s", standing_text(known->standing));
    }
    *row = (struct listed_setting){.setting = setting,
                                   .id = id_of_setting(setting),
                                   .name = known->name,
                                   .value = keep_text(arena, &shown),
                                   .standing = standing_text(standing),
                                   .usual = keep_text(arena, &usual),
                                   .source = known->source};
    return row->value != NULL && row->usual != NULL;
}

static bool is_found(const struct listed_setting *row, const char *folded)
{
    const char *const texts[] = {row->name, row->value, row->standing, row->usual, row->source};

    return lists_found(texts, sizeof texts / sizeof texts[0], folded);
}

static enum status make_rows(const char *folded, struct arena *arena, struct setting_list *list,
                             struct error *error)
{
    list->rows = arena_array(arena, SETTING_COUNT, sizeof *list->rows);
    if (list->rows == NULL)
        return error_no_memory(error);
    for (enum setting setting = SETTING_NONE + 1; setting < SETTING_COUNT; setting++) {
        struct listed_setting *row = &list->rows[list->count];
        if (!make_row(&list->protocol, setting, arena, row))
            return error_no_memory(error);
        list->count += is_found(row, folded);
    }
    return STATUS_OK;
}

/* Who wrote this version: the person, else the seat of the save; "" not known. */
static enum status find_writer(struct app *app, const struct row_head *head, struct arena *arena,
                               const char **by, struct error *error)
{
    struct person person = {.name = NULL};
    struct store_save_told told;
    enum status status = STATUS_NOT_FOUND;

    *by = "";
    if (!id_is_none(&head->person))
        status =
            store_read_current(app->store, RECORD_PERSON, &head->person, arena, &person, error);
    if (status == STATUS_OK)
        *by = person.name == NULL ? "" : person.name;
    if (status != STATUS_NOT_FOUND)
        return status;
    status = store_read_save(app->store, &head->request, arena, &told, error);
    if (status == STATUS_OK && told.seat != NULL)
        *by = told.seat;
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

static enum status make_title(struct app *app, struct arena *arena, struct setting_list *list,
                              struct error *error)
{
    const struct row_head *head = &list->protocol.head;
    const char *by;
    char date[DAY_TEXT_SIZE];
    struct text title = {0};

    enum status status = find_writer(app, head, arena, &by, error);
    if (status != STATUS_OK)
        return status;
    text_addf(&title, "%s, version %" PRId32 " of %s",
              list->protocol.name == NULL ? "" : list->protocol.name, head->version,
              day_to_text(instant_day(head->recorded_at), date));
    if (by[0] != '\0')
        text_addf(&title, ", by %s", by);
    list->title = keep_text(arena, &title);
    return list->title == NULL ? error_no_memory(error) : STATUS_OK;
}

enum status lists_settings(struct app *app, const char *name, const char *folded,
                           struct arena *arena, struct setting_list *list, struct error *error)
{
    *list = (struct setting_list){.title = ""};
    enum status status =
        store_read_protocol(app->store, name, STORE_NOW, arena, &list->protocol, error);
    if (status == STATUS_OK)
        status = make_title(app, arena, list, error);
    if (status == STATUS_OK)
        status = make_rows(folded, arena, list, error);
    if (status != STATUS_OK)
        *list = (struct setting_list){.title = ""};
    return status;
}

void lists_setting_tell(const struct listed_setting *row, struct text *out)
{
    text_addf(out, "%s: %s, %s. %s", row->name, row->value, row->standing,
              lists_setting_does(row->setting));
    if (row->usual[0] != '\0')
        text_addf(out, " Default: %s.", row->usual);
    if (row->source[0] != '\0')
        text_addf(out, " Source of the default: %s.", row->source);
    if (row->setting == SETTING_WIDTH_ERROR)
        text_add(out, " Own pairs, bias, MDC: * 0.");
}

/* ---- people ---- */

struct people_maker {
    struct arena *arena;
    struct person_list *list;
    size_t capacity;
    const char *folded;
};

static enum status take_person(void *context, const void *record, struct error *error)
{
    struct people_maker *maker = context;
    struct person_list *list = maker->list;
    const struct person *person = record;
    const char *const texts[] = {person->login, person->name,
                                 word_text(&words_role, (int)person->role)};

    if (!lists_found(texts, sizeof texts / sizeof texts[0], maker->folded))
        return STATUS_OK;
    if (!app_grow(maker->arena, (void **)&list->rows, list->count, &maker->capacity,
                  sizeof *list->rows))
        return error_no_memory(error);
    struct person *row = &list->rows[list->count];
    *row = *person;
    row->login = kept(maker->arena, person->login);
    row->name = kept(maker->arena, person->name);
    row->head.reason = kept(maker->arena, person->head.reason);
    if (row->login == NULL || row->name == NULL || row->head.reason == NULL)
        return error_no_memory(error);
    list->count++;
    return STATUS_OK;
}

enum status lists_people(struct app *app, const char *folded, struct arena *arena,
                         struct person_list *list, struct error *error)
{
    struct people_maker maker = {.arena = arena, .list = list, .folded = folded};

    *list = (struct person_list){0};
    enum status status =
        store_each_row(app->store, RECORD_PERSON, STORE_NOW, take_person, &maker, error);
    if (status != STATUS_OK)
        *list = (struct person_list){0};
    return status;
}
