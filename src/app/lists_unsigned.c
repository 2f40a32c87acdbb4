/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/lists_unsigned.h"

#include <inttypes.h>
#include <string.h>

#include "case_private.h"
#include "springline/app/grow.h"
#include "springline/app/lists_find.h"

enum { DAY_SECONDS = 86400 };

struct unsigned_maker {
    struct arena *arena;
    struct unsigned_list *list;
    size_t capacity;
    struct id *people; /* who recorded each row, for its name comes later */
    size_t people_capacity;
    instant now;
    struct text text;
};

static const char *kept(struct arena *arena, const char *text)
{
    return arena_text(arena, text == NULL ? "" : text, text == NULL ? 0 : strlen(text));
}

static int64_t days_since(instant at, instant now)
{
    return at == INSTANT_NONE || at > now ? 0 : (now - at) / DAY_SECONDS;
}

static const char *tell_what(struct unsigned_maker *maker, const struct unsigned_row *row)
{
    text_clear(&maker->text);
    text_add(&maker->text, row->withdrawal               ? "withdrawal of "
                           : row->visit.head.version > 1 ? "correction: "
                                                         : "");
    case_tell_visit(&maker->text, &row->visit, NULL);
    return maker->text.failed ? NULL : kept(maker->arena, text_string(&maker->text));
}

static enum status take(void *context, const struct unsigned_row *row, struct error *error)
{
    struct unsigned_maker *maker = context;
    struct unsigned_list *list = maker->list;

    if (!app_grow(maker->arena, (void **)&list->rows, list->count, &maker->capacity,
                  sizeof *list->rows) ||
        !app_grow(maker->arena, (void **)&maker->people, list->count, &maker->people_capacity,
                  sizeof *maker->people))
        return error_no_memory(error);
    struct listed_unsigned *made = &list->rows[list->count];
    *made = (struct listed_unsigned){.casefile = row->visit.casefile,
                                     .record = row->visit.head.record,
                                     .row = row->row,
                                     .withdrawal = row->withdrawal,
                                     .version = row->visit.head.version,
                                     .date = row->visit.date,
                                     .kind = row->visit.kind,
                                     .arch = row->visit.arch,
                                     .right = row->visit.right,
                                     .left = row->visit.left,
                                     .number = kept(maker->arena, row->number),
                                     .family = kept(maker->arena, row->family),
                                     .given = kept(maker->arena, row->given),
                                     .what = tell_what(maker, row),
                                     .by = "",
                                     .days = days_since(row->recorded_at, maker->now)};
    maker->people[list->count++] = row->person;
    return made->number == NULL || made->family == NULL || made->given == NULL || made->what == NULL
               ? error_no_memory(error)
               : STATUS_OK;
}

/* The name of one person goes to every row that they recorded. */
static enum status name_rows(void *context, const void *record, struct error *error)
{
    struct unsigned_maker *maker = context;
    const struct person *person = record;
    const char *name = kept(maker->arena, person->name);

    if (name == NULL)
        return error_no_memory(error);
    for (size_t i = 0; i < maker->list->count; i++) {
        if (id_equal(&maker->people[i], &person->head.record))
            maker->list->rows[i].by = name;
    }
    return STATUS_OK;
}

static bool is_found(const struct listed_unsigned *row, const char *folded)
{
    char date[DAY_TEXT_SIZE];
    const char *const texts[] = {row->number, row->family, row->given,
                                 row->what,   row->by,     day_to_text(row->date, date)};

    return lists_found(texts, sizeof texts / sizeof texts[0], folded);
}

static void keep_found(struct unsigned_list *list, const char *folded)
{
    size_t count = 0;

    for (size_t i = 0; i < list->count; i++) {
        if (is_found(&list->rows[i], folded))
            list->rows[count++] = list->rows[i];
    }
    list->count = count;
}

enum status lists_unsigned(struct app *app, const char *folded, struct arena *arena,
                           struct unsigned_list *list, struct error *error)
{
    struct unsigned_maker maker = {.arena = arena, .list = list, .now = store_instant(app->store)};

    *list = (struct unsigned_list){0};
    enum status status = store_each_unsigned(app->store, STORE_NOW, take, &maker, error);
    if (status == STATUS_OK)
        status = store_each_person(app->store, name_rows, &maker, error);
    text_release(&maker.text);
    if (status == STATUS_OK)
        keep_found(list, folded);
    else
        *list = (struct unsigned_list){0};
    return status;
}

const char *lists_unsigned_sort(const struct listed_unsigned *row)
{
    return row->withdrawal ? "withdrawal" : row->version > 1 ? "correction" : "visit";
}

enum status lists_unsigned_line(struct app *app, struct text *out, struct error *error)
{
    int64_t count;
    instant oldest;

    if (app->role != ROLE_ORTHODONTIST && app->role != ROLE_ASSISTANT)
        return STATUS_OK;
    enum status status = store_count_unsigned(app->store, &count, &oldest, error);
    if (status != STATUS_OK || count == 0)
        return status;
    int64_t days = days_since(oldest, store_instant(app->store));
    text_addf(out, "%" PRId64 " visit%s unsigned", count, count == 1 ? "" : "s");
    if (days > 0)
        text_addf(out, ", oldest %" PRId64 " day%s", days, days == 1 ? "" : "s");
    return out->failed ? error_no_memory(error) : STATUS_OK;
}
