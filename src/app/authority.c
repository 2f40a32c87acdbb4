/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/authority.h"

#include <string.h>

enum {
    O = 1,       /* orthodontist */
    A = 2,       /* assistant */
    D = 4,       /* desk */
    R = 8,       /* reader */
    NOBODY = 16, /* not among the people */
    WORKS = O | A | D,
    READS = O | A | D | R
};

/* Command by role. What is not here is no command on data (a key that moves a cursor) and is never
 * asked for; asked for all the same, it is refused. */
static const unsigned may[COMMAND_COUNT] = {
    /* sub-commands of the shell */
    [COMMAND_INIT] = READS | NOBODY, /* makes a store of one's own */
    [COMMAND_HELP] = READS | NOBODY,
    [COMMAND_VERSION] = READS | NOBODY,
    [COMMAND_VERIFY] = READS | NOBODY,
    [COMMAND_BACKUP] = WORKS | NOBODY, /* whoever can read the file has it already */
    [COMMAND_RECALL] = READS,
    [COMMAND_AUDIT] = READS,
    [COMMAND_ADVISE] = READS,
    [COMMAND_CHART] = READS,
    [COMMAND_PLAN] = READS,
    [COMMAND_UNSIGNED] = READS,
    [COMMAND_IMPORT] = O | A,
    [COMMAND_EXPORT] = O,
    [COMMAND_LOG] = O | R,
    [COMMAND_UNDO_IMPORT] = O,
    [COMMAND_ERASE] = O,
    /* what is read on screen */
    [COMMAND_TO_WHY] = READS,
    [COMMAND_TO_CASE] = READS,
    [COMMAND_TO_RECALL] = READS,
    [COMMAND_TO_AUDIT] = READS,
    [COMMAND_TO_UNSIGNED] = READS,
    [COMMAND_MONTH_CHANGES] = READS,
    [COMMAND_MONTH_NOW] = READS,
    [COMMAND_TO_CASELOAD] = READS,
    [COMMAND_TO_SETTINGS] = READS,
    [COMMAND_TO_PEOPLE] = READS,
    [COMMAND_TO_HISTORY] = READS,
    [COMMAND_TO_WIDTH_ERROR] = READS,
    [COMMAND_TO_PLAN] = READS,
    [COMMAND_TO_PICTURE] = READS,
    [COMMAND_TO_LOOP] = READS,
    [COMMAND_TO_SECRET] = READS, /* one's own */
    [COMMAND_TO_LOG] = O | R,
    /* the desk's work */
    [COMMAND_TO_CONTACT] = WORKS,
    [COMMAND_TO_BOOKING] = WORKS,
    [COMMAND_TO_BOOKING_END] = WORKS,
    [COMMAND_TO_MISSED] = WORKS,
    [COMMAND_TO_NEW_PATIENT] = WORKS,
    [COMMAND_TO_NEW_CASE] = WORKS,
    [COMMAND_TO_PATIENT] = WORKS,
    /* work at the chair */
    [COMMAND_TO_VISIT] = O | A,
    [COMMAND_TO_FIT] = O | A,
    [COMMAND_TO_TRAINER] = O | A,
    [COMMAND_TO_REPAIR] = O | A,
    [COMMAND_TO_OUT] = O | A,
    [COMMAND_TO_PASSIVE] = O | A,
    [COMMAND_TO_CHECK] = O | A,
    [COMMAND_TO_ELSEWHERE] = O | A,
    [COMMAND_TO_WIDTH] = O | A,
    [COMMAND_TO_WEAR] = O | A,
    [COMMAND_TO_TEETH] = O | A,
    [COMMAND_TO_ARCH_SIZE] = O | A,
    [COMMAND_TO_CASE_DATA] = O | A,
    [COMMAND_TO_QUESTIONS] = O | A,
    /* decisions */
    [COMMAND_OVERRIDE] = O,
    [COMMAND_SET_ASIDE] = O,
    [COMMAND_SIGN] = O,
    [COMMAND_AMEND] = O,
    [COMMAND_CLOSE_MONTH] = O,
    [COMMAND_WITHDRAW] = O,
    [COMMAND_TO_MAKE_PLAN] = O,
    [COMMAND_TO_PROTOCOL] = O,
    [COMMAND_TO_CLOSE] = O,
    [COMMAND_ADD] = O, /* a person, or a change of one */
    [COMMAND_RESET_SECRET] = O,
    [COMMAND_WRITE_SHEET] = O | R,
};

bool authority_may(enum role role, enum command command)
{
    unsigned who = role == ROLE_NONE ? (unsigned)NOBODY : 1U << ((unsigned)role - 1);

    return command > COMMAND_NONE && command < COMMAND_COUNT && role < ROLE_COUNT &&
           (may[command] & who) != 0;
}

bool authority_asks(enum command command)
{
    return command > COMMAND_NONE && command < COMMAND_COUNT && may[command] != 0;
}

enum command authority_form(enum form_kind kind)
{
    static const enum command commands[FORM_KIND_COUNT] = {
        [FORM_NEW_PATIENT] = COMMAND_TO_NEW_PATIENT,
        [FORM_NEW_CASE] = COMMAND_TO_NEW_CASE,
        [FORM_PATIENT] = COMMAND_TO_PATIENT,
        [FORM_CASE] = COMMAND_TO_CASE_DATA,
        [FORM_QUESTIONS] = COMMAND_TO_QUESTIONS,
        [FORM_FIT] = COMMAND_TO_FIT,
        [FORM_TRAINER] = COMMAND_TO_TRAINER,
        [FORM_REPAIR] = COMMAND_TO_REPAIR,
        [FORM_OUT] = COMMAND_TO_OUT,
        [FORM_PASSIVE] = COMMAND_TO_PASSIVE,
        [FORM_CHECK] = COMMAND_TO_CHECK,
        [FORM_MISSED] = COMMAND_TO_MISSED,
        [FORM_ELSEWHERE] = COMMAND_TO_ELSEWHERE,
        [FORM_WIDTH] = COMMAND_TO_WIDTH,
        [FORM_WEAR] = COMMAND_TO_WEAR,
        [FORM_TEETH] = COMMAND_TO_TEETH,
        [FORM_ARCH_SIZE] = COMMAND_TO_ARCH_SIZE,
        [FORM_PLAN] = COMMAND_TO_MAKE_PLAN,
        [FORM_CONTACT] = COMMAND_TO_CONTACT,
        [FORM_BOOKING] = COMMAND_TO_BOOKING,
        [FORM_BOOKING_END] = COMMAND_TO_BOOKING_END,
        [FORM_CLOSE] = COMMAND_TO_CLOSE,
        [FORM_PROTOCOL] = COMMAND_TO_PROTOCOL,
        [FORM_SETTING] = COMMAND_TO_PROTOCOL,
        [FORM_PERSON] = COMMAND_ADD,
    };

    return kind < FORM_KIND_COUNT ? commands[kind] : COMMAND_NONE;
}

enum command authority_correct(enum record_kind kind)
{
    static const enum command commands[RECORD_KIND_COUNT] = {
        [RECORD_PATIENT] = COMMAND_TO_PATIENT,      [RECORD_CASEFILE] = COMMAND_TO_CASE_DATA,
        [RECORD_TRAINER] = COMMAND_TO_TRAINER,      [RECORD_EXPANDER] = COMMAND_TO_FIT,
        [RECORD_VISIT] = COMMAND_TO_VISIT,          [RECORD_WIDTH] = COMMAND_TO_WIDTH,
        [RECORD_WEAR_DAY] = COMMAND_TO_WEAR,        [RECORD_WEAR_COUNT] = COMMAND_TO_WEAR,
        [RECORD_CONTACT] = COMMAND_TO_CONTACT,      [RECORD_BOOKING] = COMMAND_TO_BOOKING,
        [RECORD_TOOTH_WIDTH] = COMMAND_TO_TEETH,    [RECORD_ARCH_SEGMENT] = COMMAND_TO_ARCH_SIZE,
        [RECORD_ARCH_DEPTH] = COMMAND_TO_ARCH_SIZE, [RECORD_PLAN] = COMMAND_TO_MAKE_PLAN,
        [RECORD_PROTOCOL] = COMMAND_TO_PROTOCOL,    [RECORD_PERSON] = COMMAND_ADD,
    };

    return kind < RECORD_KIND_COUNT ? commands[kind] : COMMAND_NONE;
}

enum command authority_withdraw(enum record_kind kind)
{
    bool treatment = kind == RECORD_VISIT || kind == RECORD_EXPANDER || kind == RECORD_CASEFILE ||
                     kind == RECORD_PATIENT || kind == RECORD_TRAINER;

    return treatment ? COMMAND_WITHDRAW : authority_correct(kind);
}

/* ---- the log ---- */

enum status app_log_append(struct app *app, const struct log_entry *entry, struct error *error)
{
    struct access access = {
        .what = entry->what,
        .login = entry->login != NULL ? entry->login : app->user,
        .command = entry->command == COMMAND_NONE ? "" : command_table[entry->command].name,
        .subject = entry->subject,
        .detail = entry->detail};

    return store_append(app->store, RECORD_ACCESS, &access, error);
}

enum status app_log(struct app *app, const struct log_entry *entry, struct error *error)
{
    struct store_request request = {
        .id = store_new_id(app->store), .command = "log", .seat = app->seat, .person = app->person};

    enum status status = store_begin(app->store, &request, error);
    if (status != STATUS_OK)
        return status;
    status = app_log_append(app, entry, error);
    if (status == STATUS_OK)
        return store_commit(app->store, error);
    store_rollback(app->store);
    return status;
}

/* "an orthodontist", or "an orthodontist or an assistant". */
static void add_who(struct text *out, enum command command)
{
    static const char *const said[ROLE_COUNT] = {[ROLE_ORTHODONTIST] = "an orthodontist",
                                                 [ROLE_ASSISTANT] = "an assistant",
                                                 [ROLE_DESK] = "the desk",
                                                 [ROLE_READER] = "a reader"};

    for (int role = ROLE_ORTHODONTIST; role < ROLE_COUNT; role++) {
        if (authority_may((enum role)role, command))
            text_addf(out, "%s%s", out->length > 0 ? " or " : "", said[role]);
    }
    if (out->length == 0)
        text_add(out, "nobody");
}

static enum status tell_refusal(const struct app *app, enum command command, struct error *error)
{
    struct text who = {0};

    if (app->nobody && app->role == ROLE_NONE)
        return error_set(
            error, STATUS_REFUSED, "people",
            "No orthodontist is recorded here: make the first one with springline init "
            "--name NAME, or start springline alone.");
    if (app->role == ROLE_NONE)
        return error_set(error, STATUS_REFUSED, "people",
                         "%.60s is not among the people of this practice; an orthodontist enters "
                         "this login in the day's menu, 0 people.",
                         app->user == NULL || app->user[0] == '\0' ? "This login" : app->user);
    add_who(&who, command);
    enum status status =
        error_set(error, STATUS_REFUSED, command_table[command].name,
                  "%.60s is recorded here as %s; this is for %.120s to do. It was not done.",
                  app->name, word_text(&words_role, (int)app->role), text_string(&who));
    text_release(&who);
    return status;
}

enum status app_refuse(struct app *app, enum command command, const char *subject,
                       struct error *error)
{
    struct log_entry entry = {.what = ACCESS_REFUSED,
                              .command = command,
                              .subject = subject,
                              .detail = word_text(&words_role, (int)app->role)};

    /* A store with nobody has no log to keep yet. A refusal stands whether it could be logged or
     * not. */
    if (!app->nobody || app->role != ROLE_NONE)
        (void)app_log(app, &entry, NULL);
    return tell_refusal(app, command, error);
}

enum status app_allow(struct app *app, enum command command, const char *subject,
                      struct error *error)
{
    enum status status = app_know_person(app, error);

    if (status != STATUS_OK || authority_may(app->role, command))
        return status;
    return app_refuse(app, command, subject, error);
}
