/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who sits at this seat: the way in, the lock, and whoever may not sit here any more. */
#include "door.h"
#include "springline/app/sign_in.h"
#include "springline/ui/screens.h"

enum { MINUTE_MS = 60 * 1000, SECOND_MS = 1000 };

void ui_keep_typed(struct ui *ui)
{
    for (int i = ui->depth - 1; i >= 0; i--) {
        if (ui->stack[i].ops->hang_up != NULL)
            ui->stack[i].ops->hang_up(ui, ui->stack[i].state);
    }
}

static void close_all(struct ui *ui)
{
    for (; ui->depth > 0; ui->depth--)
        ui->stack[ui->depth - 1].ops->close(ui, ui->stack[ui->depth - 1].state);
    ui->doors = 0;
    ui->helping = ui->choosing = false;
    text_clear(&ui->kept);
}

/* Above the screens there is always room for the doors. */
static enum status push_door(struct ui *ui, const struct screen_ops *ops, const void *argument,
                             struct error *error)
{
    void *state = NULL;

    enum status status =
        ui->doors < UI_DOORS_MAX ? ops->open(ui, argument, &state, error) : error_no_memory(error);
    if (status != STATUS_OK)
        return status;
    ui->stack[ui->depth].ops = ops;
    ui->stack[ui->depth].state = state;
    ui->depth++;
    ui->doors++;
    return STATUS_OK;
}

void ui_push_door(struct ui *ui, const struct screen_ops *ops, const void *argument)
{
    struct error error = {0};

    if (push_door(ui, ops, argument, &error) != STATUS_OK) {
        ui_say_error(ui, &error);
        ui_leave(ui);
    }
}

enum status ui_open_first(struct ui *ui, struct error *error)
{
    void *state = NULL;

    if (!sign_in_known(ui->app))
        return push_door(ui, ui->app->nobody ? &first_screen : &sign_in_screen, NULL, error);
    enum status status = today_screen.open(ui, NULL, &state, error);
    if (status != STATUS_OK)
        return status;
    ui->stack[0].ops = &today_screen;
    ui->stack[0].state = state;
    ui->depth = 1;
    return STATUS_OK;
}

void ui_begin(struct ui *ui)
{
    struct text told = {0};
    struct error error = {0};

    (void)seat_changed(ui->app, &ui->mark);
    if (sign_in_by_login(ui->app, &told, &error) != STATUS_OK)
        ui_say_error(ui, &error);
    else if (told.length > 0)
        ui_say(ui, "%s", text_string(&told));
    text_release(&told);
}

void ui_enter(struct ui *ui, const char *told)
{
    struct error error = {0};

    close_all(ui);
    ui->key_at_ms = ui->session_at_ms = ui_now_ms(ui);
    (void)seat_changed(ui->app, &ui->mark);
    text_clear(&ui->message);
    if (ui_open_first(ui, &error) != STATUS_OK) {
        ui_push_door(ui, &sign_in_screen, NULL);
        ui_say_error(ui, &error);
    } else if (told[0] != '\0') {
        ui_say(ui, "%s", told);
    }
}

/* ---- the lock ---- */

/* What stood there is gone before the store is asked anything, which may have to wait. */
static void wipe(struct ui *ui)
{
    grid_erase(&ui->grid);
    ui->display->ops->wipe(ui->display->self);
    ui->display->ops->show(ui->display->self, &ui->grid);
}

static void shut(struct ui *ui, bool ended)
{
    struct text told = {0};

    wipe(ui);
    text_clear(&ui->kept);
    text_add(&ui->kept, text_string(&ui->message));
    text_clear(&ui->message);
    ui->helping = ui->choosing = false;
    sign_in_lock_told(ui->app, &told);
    const struct lock_argument argument = {.told = text_string(&told), .ended = ended};
    ui_push_door(ui, &lock_screen, &argument);
    text_release(&told);
    ui_draw(ui);
}

/* What a screen says while it keeps what is typed is for whoever opens the lock. */
static void keep_behind(struct ui *ui)
{
    ui_keep_typed(ui);
    if (ui->message.length == 0)
        return;
    text_clear(&ui->kept);
    text_add(&ui->kept, text_string(&ui->message));
    text_clear(&ui->message);
}

static void lock(struct ui *ui, bool idle, bool ended)
{
    struct error error = {0};

    shut(ui, ended);
    keep_behind(ui);
    if (sign_in_lock(ui->app, idle, &error) != STATUS_OK) /* it is locked all the same */
        ui_say_error(ui, &error);
}

void ui_lock(struct ui *ui, bool idle)
{
    if (ui->app->alone)
        ui_say(ui, "Nobody is asked here who they are: a lock would keep nobody out.");
    else
        lock(ui, idle, false);
}

static int64_t lock_ms(const struct ui *ui)
{
    int minutes = ui->setup.config == NULL ? 0 : ui->setup.config->lock_minutes;

    return (int64_t)(minutes > 0 ? minutes : SIGN_IN_LOCK_MIN) * MINUTE_MS;
}

bool ui_session_ended(const struct ui *ui)
{
    return ui_now_ms(ui) - ui->session_at_ms >= (int64_t)SIGN_IN_SESSION_S * SECOND_MS;
}

bool ui_lock_due(struct ui *ui)
{
    bool ended = ui_session_ended(ui);

    if (ui->app->alone || ui->doors > 0 || (!ended && ui_now_ms(ui) - ui->key_at_ms < lock_ms(ui)))
        return false;
    lock(ui, true, ended);
    return true;
}

/* The Enter that opened it, felt twice, must not act on what it has just brought up. */
static void begin_deaf(struct ui *ui)
{
    ui->menu_key = (struct key){.press = PRESS_ENTER};
    ui->menu_at_ms = ui_now_ms(ui);
}

void ui_reopen(struct ui *ui, bool anew)
{
    ui_pop(ui);
    ui->key_at_ms = ui_now_ms(ui);
    if (anew)
        ui->session_at_ms = ui->key_at_ms;
    text_clear(&ui->message);
    text_add(&ui->message, ui->kept.length > 0 ? text_string(&ui->kept) : "Open again.");
    text_clear(&ui->kept);
    begin_deaf(ui);
}

/* ---- the people ---- */

bool ui_watch_people(struct ui *ui)
{
    if (ui->doors > 0 || !seat_people_read(ui->app, &ui->mark) || sign_in_known(ui->app))
        return false;
    wipe(ui);
    ui_keep_typed(ui);
    ui_enter(ui, "");
    ui_say(ui, "This login is not among the people of this practice any more.");
    return true;
}
