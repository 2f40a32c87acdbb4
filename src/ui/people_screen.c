/* SPDX-License-Identifier: GPL-3.0-or-later */
/* people: who works in the practice, by the login they come with. */
#include "door.h"
#include "springline/app/lists_settings.h"
#include "springline/app/sign_in.h"
#include "springline/ui/list_screen.h"
#include "springline/ui/screens.h"

struct people {
    struct list_view view;
    struct person_list people;
    struct text note; /* how people are asked here, or what is missing of one's own */
};

enum column { LOGIN, NAME, ROLE, COLUMNS };

static const struct list_column columns[COLUMNS] = {
    [LOGIN] = {.head = "login", .cells = 12},
    [NAME] = {.head = "name", .cells = 10, .stretch = true},
    [ROLE] = {.head = "role", .cells = 12},
};

static size_t row_count(const void *state)
{
    return ((const struct people *)state)->people.count;
}

static const struct person *person_at(const void *state, size_t row)
{
    return &((const struct people *)state)->people.rows[row];
}

static struct id row_id(const void *state, size_t row)
{
    return person_at(state, row)->head.record;
}

static void row_cell(const void *state, size_t row, int column, struct text *out)
{
    const struct person *person = person_at(state, row);

    text_add(out, column == LOGIN  ? person->login
                  : column == NAME ? person->name
                                   : word_text(&words_role, (int)person->role));
}

static const struct list_ops list = {
    .columns = columns, .column_count = COLUMNS, .rows = row_count, .cell = row_cell, .id = row_id};

static enum status read_rows(struct ui *ui, void *state, const char *folded, struct error *error)
{
    struct people *people = state;

    text_clear(&people->note);
    if (sign_in_note(ui->app, &people->note, NULL) != STATUS_OK)
        text_clear(&people->note);
    return lists_people(ui->app, folded, &people->view.arena, &people->people, error);
}

static void add_title(struct ui *ui, const void *state, struct text *out)
{
    const struct people *people = state;

    (void)ui;
    text_addf(out, "people: %zu%s", people->people.count,
              people->view.search.length > 0 ? " found" : "");
    if (people->note.length > 0)
        text_addf(out, ", %s", text_string(&people->note));
}

static void add_hint(struct ui *ui, const void *state, size_t row, struct text *out)
{
    const struct person *person = person_at(state, row);

    (void)ui;
    text_addf(out,
              "%s, %s, login %s. Enter changes it, with a reason; * adds a person, resets, lists.",
              person->name, word_text(&words_role, (int)person->role), person->login);
}

static void edit(struct ui *ui, const struct id *row)
{
    struct form_argument argument = {.kind = FORM_PERSON, .subject = {.row = *row}};

    ui_push(ui, &form_screen, &argument);
}

static void open_row(struct ui *ui, void *state, size_t row)
{
    edit(ui, &person_at(state, row)->head.id);
}

static void command_here(struct ui *ui, void *state, enum command command, bool has_row, size_t row)
{
    struct record_argument argument = {.kind = RECORD_PERSON};
    const struct id nobody = {{0}};

    if (command == COMMAND_ADD) {
        edit(ui, &nobody);
    } else if (command == COMMAND_TO_HISTORY && has_row) {
        argument.record = row_id(state, row);
        ui_push(ui, &record_screen, &argument);
    } else if (command == COMMAND_TO_LOG) {
        ui_push(ui, &log_screen, NULL);
    } else if (command == COMMAND_RESET_SECRET && has_row) {
        ui_push(ui, &reset_screen, person_at(state, row)->login);
    } else if (command == COMMAND_TO_HISTORY || command == COMMAND_RESET_SECRET) {
        ui_say(ui, "Nobody is selected.");
    }
}

static void end(struct ui *ui, void *state)
{
    (void)ui;
    text_release(&((struct people *)state)->note);
}

static const struct list_screen people_list_screen = {
    .list = &list,
    .size = sizeof(struct people),
    .menu = PLACE_PEOPLE_MENU,
    .nothing = "Nobody is entered yet. * adds a person.",
    .nothing_found = "Nobody has this in the name, login or role. / removes a character.",
    .read = read_rows,
    .title = add_title,
    .hint = add_hint,
    .open = open_row,
    .command = command_here,
    .end = end};

static enum status open(struct ui *ui, const void *argument, void **state, struct error *error)
{
    return list_screen_open(ui, &people_list_screen, argument, state, error);
}

const struct screen_ops people_screen = {LIST_SCREEN("people", open)};
