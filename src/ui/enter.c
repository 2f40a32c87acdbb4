/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "enter.h"

#include <string.h>

enum { BOUNCE_MS = 100 }; /* a digit taken at once must not bounce into the next field: judgement */
enum { TYPED_AT = 10 };

/* ---- modes and strokes ---- */

void enter_begin(const struct ui *ui, struct enter *enter)
{
    enter->mode = MODE_FIELDS;
    enter->bounce_at_ms = INT64_MIN / 2;
    enter_warn(ui, enter);
}

void enter_ask(const struct ui *ui, struct enter *enter, enum enter_mode mode)
{
    enter->mode = mode;
    enter_warn(ui, enter);
}

void enter_warn(const struct ui *ui, struct enter *enter)
{
    enter->asked_at_ms = ui_now_ms(ui);
}

unsigned enter_places(const struct enter *enter, bool by_point)
{
    switch (enter->mode) {
    case MODE_FIELDS:
        return PLACE_FORM | (by_point ? PLACE_CHOICE : 0U);
    case MODE_REASON:
        return PLACE_FORM | PLACE_CHOICE;
    case MODE_REASON_TEXT:
        return PLACE_FORM;
    case MODE_REVIEW:
        return enter_asks_secret(enter) ? PLACE_SECRET : PLACE_REVIEW;
    case MODE_OFFER_SURE:
    case MODE_LEAVE_SURE:
        return PLACE_SURE;
    default:
        return PLACE_ASK;
    }
}

static bool is_question(const struct enter *enter)
{
    return (enter_places(enter, false) & (PLACE_ASK | PLACE_SURE)) != 0;
}

bool enter_ignores(const struct ui *ui, const struct enter *enter, const struct key *key)
{
    int64_t now = ui_now_ms(ui);

    if (key->pasted)
        return enter->paste_stopped && !key->paste_begins;
    if (key->press == PRESS_ENTER || (is_question(enter) && key->press == PRESS_NONE))
        return now - enter->asked_at_ms < UI_DEAF_MS;
    return key->press == PRESS_NONE && key->character == enter->bounce_key &&
           now - enter->bounce_at_ms < BOUNCE_MS;
}

void enter_strike(struct enter *enter, const struct key *key)
{
    enter->paste_stopped = false;
    if (key->press != PRESS_ENTER && !is_question(enter))
        enter->asked_at_ms = INT64_MIN / 2;
    if (key->press != PRESS_NONE || key->character != enter->bounce_key)
        enter->bounce_at_ms = INT64_MIN / 2;
}

bool enter_choice(const struct ui *ui, struct enter *enter, uint32_t character, bool several,
                  bool at_once)
{
    struct editor *editor = &enter->editor;
    bool empty = editor->length == 0 || editor->fresh;
    bool whole = at_once && character >= '0' && character <= '9' &&
                 (!several || (character == '0' && empty));

    if (!several)
        editor_set(editor, "", 0, true);
    else if (!empty && (uint32_t)(unsigned char)editor->text[editor->length - 1] == character)
        return false;
    if (!editor_insert(editor, character) || !whole)
        return false;
    enter->bounce_at_ms = ui_now_ms(ui);
    enter->bounce_key = character;
    return true;
}

/* ---- signing at the review ---- */

static const char digits[] = "0123456789";

void enter_review(const struct ui *ui, struct enter *enter, bool signs)
{
    enter_ask(ui, enter, MODE_REVIEW);
    enter->signs = signs;
    enter->way = sign_way(ui->app);
    if (enter_asks_secret(enter))
        editor_set(&enter->editor, "", 0, false);
}

bool enter_asks_secret(const struct enter *enter)
{
    return enter->mode == MODE_REVIEW && enter->signs && enter->way == SIGN_BY_PIN;
}

bool enter_takes_secret(const struct enter *enter, const struct key *key)
{
    const struct editor *editor = &enter->editor;

    return enter_asks_secret(enter) && key->press == PRESS_NONE && !key->control &&
           strspn(editor->text, digits) < editor->length;
}

bool enter_secret_key(struct enter *enter, enum command command, const struct key *key)
{
    bool typed = command == COMMAND_TYPE_SECRET || command == COMMAND_NONE;

    if (typed && key->press == PRESS_NONE && !key->control)
        editor_insert(&enter->editor, key->character);
    else if (command == COMMAND_RUB_SECRET)
        editor_command(&enter->editor, COMMAND_RUB_OUT);
    else if (command == COMMAND_CLEAR)
        editor_command(&enter->editor, command);
    else
        return typed;
    return true;
}

void enter_forget(struct enter *enter)
{
    explicit_bzero(&enter->editor, sizeof enter->editor);
}

bool enter_prove(struct ui *ui, struct enter *enter, const char *subject, enum proof *proof)
{
    struct error error = {0};

    enum status status = sign_prove(ui->app, subject, enter->editor.text, proof, &error);
    enter_forget(enter);
    if (status == STATUS_OK)
        return true;
    /* What was typed ahead of this sentence is no answer to it. */
    enter_warn(ui, enter);
    ui_say(ui, "%s Nothing is saved yet: type it again; Enter alone saves unsigned.",
           error.sentence);
    return false;
}

/* ---- questions ---- */

/* Really thrown away? */
static enum enter_answer answer_sure(const struct ui *ui, struct enter *enter, enum command command)
{
    if (command == COMMAND_THROW_AWAY)
        return ANSWER_DROP;
    if (command == COMMAND_NO || command == COMMAND_BACK)
        enter_ask(ui, enter, enter->mode == MODE_OFFER_SURE ? MODE_OFFER : MODE_LEAVE);
    return ANSWER_OPEN;
}

enum enter_answer enter_answer(const struct ui *ui, struct enter *enter, enum command command)
{
    bool offer = enter->mode == MODE_OFFER;

    if (enter->mode == MODE_OFFER_SURE || enter->mode == MODE_LEAVE_SURE)
        return answer_sure(ui, enter, command);
    if (command == COMMAND_YES)
        return offer ? ANSWER_GO_ON : ANSWER_KEEP;
    if (command == COMMAND_NO || command == COMMAND_BACK)
        return offer ? ANSWER_AWAY : ANSWER_STAY;
    if (command == COMMAND_THROW_AWAY)
        enter_ask(ui, enter, offer ? MODE_OFFER_SURE : MODE_LEAVE_SURE);
    return ANSWER_OPEN;
}

/* Before it is saved it is read once more; how it is signed belongs to that. */
static void hint_review(const struct enter *enter, struct text *out)
{
    text_add(out, "Right person, right values? ");
    if (enter_asks_secret(enter))
        text_add(out, "Your PIN and Enter saves and signs, Enter alone saves unsigned, / goes "
                      "back.");
    else if (enter->signs && enter->way == SIGN_AT_ONCE)
        text_add(out, "Enter or 1 saves and signs, / goes back.");
    else
        text_addf(out, "Enter or 1 saves, / goes back.%s",
                  enter->signs ? " It waits for an orthodontist to sign it." : "");
}

bool enter_hint(const struct enter *enter, struct text *out)
{
    switch (enter->mode) {
    case MODE_OFFER_SURE:
    case MODE_LEAVE_SURE:
        text_add(out, "Throw the entries away for good? - once more throws them away, / keeps "
                      "them.");
        return true;
    case MODE_LEAVE:
        text_add(out, "Not saved yet. Leave? Enter leaves and keeps the entries for later, / "
                      "stays, - throws them away.");
        return true;
    case MODE_REVIEW:
        hint_review(enter, out);
        return true;
    default:
        return false;
    }
}

void enter_add_saved_at(struct text *out, const struct draft *draft)
{
    char saved_at[INSTANT_TEXT_SIZE];

    instant_to_text(draft->saved_at, saved_at);
    text_addf(out, "%.10s %.5s UTC", saved_at, saved_at + 11);
}

/* ---- texts longer than their box ---- */

void pages_turn(struct pages *pages, enum command command)
{
    if (command == COMMAND_PAGE_AROUND && pages->at_end)
        pages->top = 0;
    else if (command == COMMAND_PAGE_NEXT || command == COMMAND_PAGE_AROUND)
        pages->top += pages->page;
    else if (command == COMMAND_PAGE_PREVIOUS)
        pages->top -= pages->page;
}

void pages_draw(struct ui *ui, struct panel *panel, struct pages *pages, int row, int rows)
{
    int all = panel_rows(panel, &ui->grid, ui->grid.columns);

    pages->page = rows > 3 ? rows - 2 : 1;
    if (pages->top > all - rows)
        pages->top = all - rows;
    if (pages->top < 0)
        pages->top = 0;
    pages->at_end = pages->top + rows >= all;
    panel_draw(panel, &ui->grid, row, 0, rows, ui->grid.columns, pages->top);
}

int enter_panel_draw(struct ui *ui, struct panel *panel, struct pages *pages,
                     const struct editor *editor, const char *head, int top, int bottom)
{
    int typed = editor != NULL ? 1 : 0;
    int rows = panel_rows(panel, &ui->grid, ui->grid.columns) + typed;
    int first = bottom - rows < top ? top : bottom - rows;

    pages_draw(ui, panel, pages, first, bottom - first - typed);
    if (editor != NULL) {
        grid_put(&ui->grid, bottom - 1, 0, TYPED_AT, LOOK_PLAIN, head);
        editor_draw(editor, &ui->grid, bottom - 1, TYPED_AT, ui->grid.columns - TYPED_AT,
                    LOOK_REVERSE);
    }
    return first;
}

/* The PIN as it is shown: a star for each character. */
static void mask(const struct editor *typed, struct editor *stars)
{
    *stars = (struct editor){.length = 0};
    for (size_t at = 0; at < typed->length; at++) {
        if (((unsigned char)typed->text[at] & 0xC0) != 0x80) /* not the rest of a character */
            editor_insert(stars, '*');
    }
}

int enter_review_draw(struct ui *ui, struct panel *panel, struct pages *pages,
                      const struct enter *enter, int top, int bottom)
{
    struct editor stars;

    mask(&enter->editor, &stars);
    return enter_panel_draw(ui, panel, pages, enter_asks_secret(enter) ? &stars : NULL, "PIN:", top,
                            bottom);
}

void enter_secret_draw(struct ui *ui, const struct enter *enter, int row)
{
    struct editor stars;

    if (!enter_asks_secret(enter))
        return;
    mask(&enter->editor, &stars);
    grid_put(&ui->grid, row, 0, TYPED_AT, LOOK_PLAIN, "PIN:");
    editor_draw(&stars, &ui->grid, row, TYPED_AT, ui->grid.columns - TYPED_AT, LOOK_REVERSE);
}

int enter_caution_rows(struct ui *ui)
{
    struct panel panel = {0};

    panel_add(&panel, LOOK_PLAIN, 0, app_caution);
    int rows = panel_rows(&panel, &ui->grid, ui->grid.columns);
    panel_release(&panel);
    return rows;
}

int enter_caution_draw(struct ui *ui, int bottom)
{
    struct panel panel = {0};
    int rows = enter_caution_rows(ui);

    panel_add(&panel, LOOK_PLAIN, 0, app_caution);
    panel_draw(&panel, &ui->grid, bottom - rows, 0, rows, ui->grid.columns, 0);
    panel_release(&panel);
    return bottom - rows;
}
