/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The question with which the day's list begins when a visit was begun and not saved. */
#include "springline/ui/screens.h"
#include "today_view.h"

enum status today_unsaved_read(struct ui *ui, struct today_unsaved *unsaved, struct error *error)
{
    arena_clear(&unsaved->arena);
    enum status status = seat_unsaved(ui->app, &unsaved->arena, &unsaved->list, error);
    if (status != STATUS_OK)
        unsaved->list = (struct unsaved_list){0};
    return status;
}

void today_unsaved_release(struct today_unsaved *unsaved)
{
    arena_release(&unsaved->arena);
    *unsaved = (struct today_unsaved){0};
}

const struct unsaved *today_unsaved_of(const struct today_unsaved *unsaved,
                                       const struct id *casefile)
{
    for (size_t i = 0; i < unsaved->list.count; i++) {
        if (id_equal(&unsaved->list.rows[i].draft.casefile, casefile))
            return &unsaved->list.rows[i];
    }
    return NULL;
}

void today_unsaved_numbers(const struct today_unsaved *unsaved, struct text *out)
{
    for (size_t i = 0; i < unsaved->list.count; i++)
        text_addf(out, "%s %s", i == 0 ? "not saved yet:" : ",", unsaved->list.rows[i].number);
}

void today_unsaved_when(const struct unsaved *unsaved, struct text *out)
{
    char saved_at[INSTANT_TEXT_SIZE];

    instant_to_text(unsaved->draft.saved_at, saved_at);
    text_addf(out, "%.10s %.5s UTC", saved_at, saved_at + 11);
}

/* Whose visit it is; a long name is cut, for behind it stands what the keys do. */
static void add_whose(struct text *out, const struct unsaved *unsaved)
{
    enum { NAME_CELLS = 40 };
    struct text name = {0};

    text_addf(&name, "%s, %s", unsaved->family, unsaved->given);
    text_addf(out, "%s ", unsaved->number);
    text_fit(out, text_string(&name), NAME_CELLS, false);
    text_release(&name);
}

void today_unsaved_question(const struct today_unsaved *unsaved, struct text *out)
{
    const struct unsaved *newest = &unsaved->list.rows[0];

    text_add(out, unsaved->sure ? "Throw the visit of " : "A visit of ");
    add_whose(out, newest);
    if (unsaved->sure) {
        text_add(out, " away for good? - once more throws it away, / keeps it.");
        return;
    }
    text_add(out, " was not saved (");
    today_unsaved_when(newest, out);
    text_add(out, "). Enter goes on with it, / sets it aside, - throws it away; typing searches.");
}

static void throw_away(struct ui *ui, struct today_unsaved *unsaved)
{
    struct error error = {0};

    if (seat_throw_away(ui->app, &unsaved->list.rows[0].draft.casefile, &error) != STATUS_OK ||
        today_unsaved_read(ui, unsaved, &error) != STATUS_OK)
        ui_say_error(ui, &error);
    unsaved->asking = unsaved->sure = false;
}

/* The others are not asked about: their rows are marked, and the sheet asks when such a case is
 * opened. */
bool today_unsaved_answer(struct ui *ui, struct today_unsaved *unsaved, enum command command)
{
    struct visit_argument argument = {.casefile = unsaved->list.rows[0].draft.casefile,
                                      .resume = true};
    bool no = command == COMMAND_NO || command == COMMAND_BACK, sure = unsaved->sure;

    if (command == COMMAND_YES) {
        unsaved->asking = false;
        ui_push(ui, &visit_screen, &argument);
    } else if (command == COMMAND_THROW_AWAY && sure) {
        throw_away(ui, unsaved);
    } else if (command == COMMAND_THROW_AWAY) {
        unsaved->sure = true;
    } else if (no && sure) {
        unsaved->sure = false;
    } else if (no) {
        unsaved->asking = false;
    }
    return unsaved->asking && unsaved->sure != sure;
}
