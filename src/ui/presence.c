/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Which case is open at this seat, told to the others on ticks, when no key is waiting; and who
 * else has it open, looked up when it is opened, when the store was written to, and now and then,
 * because a seat that was killed says nothing any more.
 */
#include "springline/app/presence.h"

#include <string.h>

#include "springline/ui/ui.h"

enum { ASK_MS = 30000 }; /* no change of the store tells that a seat is gone */

const char *ui_presence_line(const struct ui *ui)
{
    return text_string(&ui->presence.others);
}

/* The case of the topmost screen that is about one. */
static struct id case_on_top(const struct ui *ui)
{
    struct id casefile = {0};

    for (int i = ui->depth - 1; i >= 0; i--) {
        if (ui->stack[i].ops->casefile == NULL)
            continue;
        if (!ui->stack[i].ops->casefile(ui->stack[i].state, &casefile))
            casefile = (struct id){0};
        break;
    }
    return casefile;
}

/* True: the line is another one than before. */
static bool look(struct ui *ui)
{
    struct ui_presence *presence = &ui->presence;
    struct text others = {0};

    presence->asked_at_ms = ui_now_ms(ui);
    presence->stale =
        !id_is_none(&presence->casefile) && !presence_others(ui->app, &presence->casefile, &others);
    bool changed =
        !presence->stale && strcmp(text_string(&others), text_string(&presence->others)) != 0;
    if (changed) {
        text_clear(&presence->others);
        text_add(&presence->others, text_string(&others));
    }
    text_release(&others);
    return changed;
}

void ui_presence_turn(struct ui *ui)
{
    struct ui_presence *presence = &ui->presence;
    struct id casefile = case_on_top(ui);

    if (id_equal(&casefile, &presence->casefile))
        return;
    presence->casefile = casefile;
    presence->since = INSTANT_NONE;
    text_clear(&presence->others);
    (void)look(ui);
}

/* A case that was only leafed through is told to nobody. */
static void say(struct ui *ui)
{
    struct ui_presence *presence = &ui->presence;
    bool open = !id_is_none(&presence->casefile);
    int64_t now = ui_now_ms(ui);

    if (id_equal(&presence->said, &presence->casefile) &&
        (!open || now - presence->said_at_ms < PRESENCE_RENEW_S * INT64_C(1000)))
        return;
    bool said =
        open ? presence_say(ui->app, &presence->casefile, &presence->since) : presence_end(ui->app);
    if (!said)
        return;
    presence->said = presence->casefile;
    presence->said_at_ms = now;
}

bool ui_presence_tick(struct ui *ui)
{
    struct ui_presence *presence = &ui->presence;

    say(ui);
    bool changed = presence_changed(ui->app, &presence->version);
    bool again = ui_now_ms(ui) - presence->asked_at_ms >= ASK_MS;
    return (changed || again || presence->stale) && look(ui);
}

void ui_presence_end(struct ui *ui)
{
    if (!id_is_none(&ui->presence.said))
        (void)presence_end(ui->app);
    text_release(&ui->presence.others);
}
