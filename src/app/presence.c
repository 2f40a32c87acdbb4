/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/presence.h"

#include <string.h>

enum { SEAT_SIZE = 4 * 400 + 1 };

/* Without a name of its own a seat is nobody that others could be told of. */
static const char *seat_of(const struct app *app)
{
    return app->seat == NULL ? "" : app->seat;
}

bool presence_say(struct app *app, const struct id *casefile, instant *since)
{
    struct presence presence = {.seat = seat_of(app), .casefile = *casefile, .person = app->person};

    if (presence.seat[0] == '\0')
        return true;
    store_hurry(app->store, true);
    presence.seen_at = store_instant(app->store);
    if (*since == INSTANT_NONE)
        *since = presence.seen_at;
    presence.since = *since;
    bool said = store_put_presence(app->store, &presence, NULL) == STATUS_OK;
    store_hurry(app->store, false);
    return said;
}

bool presence_end(struct app *app)
{
    if (seat_of(app)[0] == '\0')
        return true;
    store_hurry(app->store, true);
    instant before = store_instant(app->store) - PRESENCE_STALE_S;
    bool said = store_drop_presence(app->store, seat_of(app), before, NULL) == STATUS_OK;
    store_hurry(app->store, false);
    return said;
}

bool presence_changed(struct app *app, int64_t *version)
{
    int64_t now = store_data_version(app->store);
    bool changed = now != *version;

    *version = now;
    return changed;
}

struct others {
    const char *own;
    instant alive; /* seen before that: gone */
    char seat[SEAT_SIZE];
    struct id person;
    instant since;
    int count;
};

static enum status note(void *context, const struct presence *presence, struct error *error)
{
    struct others *others = context;
    size_t length = strlen(presence->seat);

    (void)error;
    if (strcmp(presence->seat, others->own) == 0 || presence->seen_at < others->alive)
        return STATUS_OK;
    if (others->count++ > 0) /* the one that is there longest is named */
        return STATUS_OK;
    length = length < sizeof others->seat ? length : sizeof others->seat - 1;
    memcpy(others->seat, presence->seat, length);
    others->seat[length] = '\0';
    others->person = presence->person;
    others->since = presence->since;
    return STATUS_OK;
}

static void add_since(struct text *out, instant since)
{
    char text[INSTANT_TEXT_SIZE];

    instant_to_text(since, text);
    if (text[0] != '\0')
        text_addf(out, " since %.5s UTC", text + 11);
}

static void add_name(struct app *app, struct text *out, const struct id *person)
{
    struct arena arena = {0};
    struct person found = {0};

    if (!id_is_none(person) &&
        store_read_current(app->store, RECORD_PERSON, person, &arena, &found, NULL) == STATUS_OK) {
        text_add_shown(out, found.name == NULL ? "" : found.name);
        text_add(out, ", ");
    }
    arena_release(&arena);
}

static void tell(struct app *app, const struct others *others, struct text *out)
{
    if (others->count == 0)
        return;
    text_add(out, "open at another seat");
    add_since(out, others->since);
    text_add(out, ": ");
    add_name(app, out, &others->person);
    text_add_shown(out, others->seat);
    if (others->count > 1)
        text_addf(out, " (and %d more)", others->count - 1);
}

bool presence_others(struct app *app, const struct id *casefile, struct text *out)
{
    struct others others = {.own = seat_of(app)};

    store_hurry(app->store, true);
    others.alive = store_instant(app->store) - PRESENCE_STALE_S;
    enum status status = store_each_presence(app->store, casefile, note, &others, NULL);
    if (status == STATUS_OK)
        tell(app, &others, out);
    store_hurry(app->store, false);
    return status == STATUS_OK && !out->failed;
}
