/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One record with its verdict and history; correct it, withdraw it, sign it. */
#include "springline/app/case_view.h"
#include "springline/app/sign.h"
#include "text_view.h"

static enum status fill_record(struct ui *ui, const void *subject, struct arena *arena,
                               struct lines *lines, struct error *error)
{
    const struct record_argument *record = subject;

    return case_view_record(ui->app, record->kind, &record->record, arena, lines, error);
}

static enum status record_open(struct ui *ui, const void *argument, void **state,
                               struct error *error)
{
    const struct text_argument text = {
        .fill = fill_record, .subject = argument, .size = sizeof(struct record_argument)};

    return text_view_open(ui, &text, state, error);
}

static const struct record_argument *record_of(const void *state)
{
    return ((const struct text_view *)state)->argument.subject;
}

static unsigned record_places(const void *state)
{
    /* The values of a protocol are changed in the settings, each with its reason. */
    return PLACE_READ | (record_of(state)->kind == RECORD_PROTOCOL ? 0U : PLACE_RECORD_MENU) |
           (record_of(state)->kind == RECORD_VISIT ? PLACE_SIGN_MENU : 0U);
}

/* Opens the form that changes the record; of one that was withdrawn says why not. */
static void change(struct ui *ui, const struct record_argument *record, enum form_kind kind)
{
    struct form_argument form = {.kind = kind,
                                 .subject = {.casefile = record->casefile, .record = record->kind}};
    struct error error = {0};

    if (case_view_current(ui->app, record->kind, &record->record, &form.subject.row, &error) ==
        STATUS_OK)
        ui_push(ui, &form_screen, &form);
    else
        ui_say_error(ui, &error);
}

static void record_command(struct ui *ui, void *state, enum command command, const struct key *key)
{
    const struct record_argument *record = record_of(state);
    bool changes = command == COMMAND_CORRECT || command == COMMAND_WITHDRAW;

    if (command == COMMAND_SIGN)
        ui_push(ui, &sign_screen, record);
    else if (!changes)
        text_view_command(ui, state, command, key);
    else if (record->kind == RECORD_PERSON && command == COMMAND_CORRECT)
        change(ui, record, FORM_PERSON);
    else
        change(ui, record, command == COMMAND_CORRECT ? FORM_CORRECT : FORM_WITHDRAW);
}

/* Signed, the next one is waiting where this one was chosen. */
static void record_resume(struct ui *ui, void *state)
{
    const struct record_argument *record = record_of(state);
    struct to_sign to_sign = {.signing = SIGNING_WAITS};

    if (record->until_signed && sign_find(ui->app, &record->record, &to_sign, NULL) == STATUS_OK &&
        to_sign.signing == SIGNING_DONE)
        ui_pop(ui);
    else
        text_view_resume(ui, state);
}

const struct screen_ops record_screen = {.name = "record",
                                         .open = record_open,
                                         .close = text_view_close,
                                         .draw = text_view_draw,
                                         .places = record_places,
                                         .takes_text = text_view_takes_text,
                                         .command = record_command,
                                         .hint = text_view_hint,
                                         .tick = text_view_tick,
                                         .resume = record_resume};
