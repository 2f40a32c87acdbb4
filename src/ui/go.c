/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From screen to screen: which command opens what. */
#include "door.h"
#include "springline/app/case_view.h"
#include "springline/app/plan_view.h"
#include "springline/ui/screens.h"

static enum form_kind form_of(enum command command)
{
    static const struct {
        enum command command;
        enum form_kind kind;
    } forms[] = {
        {COMMAND_TO_CONTACT, FORM_CONTACT},
        {COMMAND_TO_BOOKING, FORM_BOOKING},
        {COMMAND_TO_FIT, FORM_FIT},
        {COMMAND_TO_BOOKING_END, FORM_BOOKING_END},
        {COMMAND_TO_TRAINER, FORM_TRAINER},
        {COMMAND_TO_REPAIR, FORM_REPAIR},
        {COMMAND_TO_OUT, FORM_OUT},
        {COMMAND_TO_WIDTH, FORM_WIDTH},
        {COMMAND_TO_PATIENT, FORM_PATIENT},
        {COMMAND_TO_CASE_DATA, FORM_CASE},
        {COMMAND_TO_QUESTIONS, FORM_QUESTIONS},
        {COMMAND_TO_WEAR, FORM_WEAR},
        {COMMAND_TO_PASSIVE, FORM_PASSIVE},
        {COMMAND_TO_CHECK, FORM_CHECK},
        {COMMAND_TO_MISSED, FORM_MISSED},
        {COMMAND_TO_ELSEWHERE, FORM_ELSEWHERE},
        {COMMAND_TO_NEW_CASE, FORM_NEW_CASE},
        {COMMAND_TO_CLOSE, FORM_CLOSE},
        {COMMAND_TO_TEETH, FORM_TEETH},
        {COMMAND_TO_ARCH_SIZE, FORM_ARCH_SIZE},
        {COMMAND_TO_MAKE_PLAN, FORM_PLAN},
    };

    for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++) {
        if (forms[i].command == command)
            return forms[i].kind;
    }
    return FORM_NONE;
}

static void open_form(struct ui *ui, enum form_kind kind, const struct id *casefile)
{
    struct form_argument argument = {.kind = kind};

    if (casefile != NULL)
        argument.subject.casefile = *casefile;
    ui_push(ui, &form_screen, &argument);
}

static enum status fill_why(struct ui *ui, const void *subject, struct arena *arena,
                            struct lines *lines, struct error *error)
{
    return case_view_why(ui->app, subject, arena, lines, error);
}

static void open_why(struct ui *ui, const struct id *casefile)
{
    struct text_argument argument = {
        .fill = fill_why, .subject = casefile, .size = sizeof *casefile};

    ui_push(ui, &text_screen, &argument);
}

static enum status fill_plan(struct ui *ui, const void *subject, struct arena *arena,
                             struct lines *lines, struct error *error)
{
    return plan_view_lines(ui->app, subject, arena, lines, error);
}

static void open_plan(struct ui *ui, const struct id *casefile)
{
    struct text_argument argument = {
        .fill = fill_plan, .subject = casefile, .size = sizeof *casefile};

    ui_push(ui, &text_screen, &argument);
}

/* A case with a protocol of its own has its values changed; any other is given one. */
static void open_protocol(struct ui *ui, const struct id *casefile)
{
    struct arena arena = {0};
    struct error error = {0};
    const char *name = NULL;

    if (form_own_protocol(ui->app, casefile, &arena, &name, &error) != STATUS_OK)
        ui_say_error(ui, &error);
    else if (name != NULL)
        ui_push(ui, &settings_screen, name);
    else
        open_form(ui, FORM_PROTOCOL, casefile);
    arena_release(&arena);
}

static bool go_to_list(struct ui *ui, enum command command)
{
    switch ((int)command) {
    case COMMAND_TO_RECALL:
        ui_push(ui, &recall_screen, NULL);
        return true;
    case COMMAND_TO_AUDIT:
        ui_push(ui, &audit_screen, NULL);
        return true;
    case COMMAND_TO_UNSIGNED:
        ui_push(ui, &unsigned_screen, NULL);
        return true;
    case COMMAND_TO_CASELOAD:
        ui_push(ui, &caseload_screen, NULL);
        return true;
    case COMMAND_TO_SETTINGS:
        ui_push(ui, &settings_screen, NULL);
        return true;
    case COMMAND_TO_PEOPLE:
        ui_push(ui, &people_screen, NULL);
        return true;
    case COMMAND_TO_SECRET:
        ui_push(ui, &secret_screen, NULL);
        return true;
    case COMMAND_LOCK:
        ui_lock(ui, false);
        return true;
    case COMMAND_TO_NEW_PATIENT:
        open_form(ui, FORM_NEW_PATIENT, NULL);
        return true;
    default:
        return false;
    }
}

static bool is_of_case(enum command command)
{
    return command == COMMAND_TO_CASE || command == COMMAND_TO_VISIT || command == COMMAND_TO_WHY ||
           command == COMMAND_TO_PLAN || command == COMMAND_TO_PROTOCOL ||
           command == COMMAND_TO_PICTURE || command == COMMAND_TO_LOOP ||
           form_of(command) != FORM_NONE;
}

static void go_from_case(struct ui *ui, enum command command, const struct id *casefile)
{
    struct visit_argument visit = {.casefile = *casefile};

    switch ((int)command) {
    case COMMAND_TO_CASE:
        ui_push(ui, &case_screen, casefile);
        break;
    case COMMAND_TO_VISIT:
        ui_push(ui, &visit_screen, &visit);
        break;
    case COMMAND_TO_WHY:
        open_why(ui, casefile);
        break;
    case COMMAND_TO_PLAN:
        open_plan(ui, casefile);
        break;
    case COMMAND_TO_PICTURE:
        ui_push(ui, &picture_screen, casefile);
        break;
    case COMMAND_TO_PROTOCOL:
        open_protocol(ui, casefile);
        break;
    case COMMAND_TO_LOOP:
        ui_push(ui, &loop_screen, NULL);
        break;
    default:
        open_form(ui, form_of(command), casefile);
        break;
    }
}

bool screen_go(struct ui *ui, enum command command, const struct id *casefile)
{
    if (go_to_list(ui, command))
        return true;
    if (!is_of_case(command))
        return false;
    if (casefile == NULL || id_is_none(casefile))
        ui_say(ui, "No case is selected: select one first, or search for it.");
    else
        go_from_case(ui, command, casefile);
    return true;
}

void screen_visit_or_case(struct ui *ui, const struct id *casefile)
{
    struct visit_argument visit = {.casefile = *casefile};
    int depth = ui->depth;

    ui_push(ui, &visit_screen, &visit);
    if (ui->depth == depth) /* why there is no visit stands in the message */
        ui_push(ui, &case_screen, casefile);
}
