/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The working list for the telephone. */
#include "springline/app/lists_call.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "aside.h"
#include "springline/app/lists_find.h"
#include "springline/core/rules.h"

enum { MONTH_AND_DAY = 5, TOLD_CONTACTS = 2 };

static bool says(const char *text)
{
    return text != NULL && text[0] != '\0';
}

static void add_day(struct text *out, const char *before, day date)
{
    char text[DAY_TEXT_SIZE];

    if (date != DAY_NONE)
        text_addf(out, "%s%s", before, day_to_text(date, text));
}

/* ---- reading ---- */

bool lists_call_waits(const struct listed_recall *listed, day today)
{
    return listed->row.group != RECALL_SAFETY && listed->again_on != DAY_NONE &&
           listed->again_on > today;
}

/* Puts the rows of one group, from ... to, into the list: those to be called now, then the later
 * ones. */
static void add_group(struct call_list *list, size_t from, size_t to, day today)
{
    for (int later = 0; later <= 1; later++) {
        for (size_t i = from; i < to; i++) {
            struct listed_recall *listed = list->recalls.rows[i];
            bool waits = lists_call_waits(listed, today);
            if (waits == (later == 1))
                list->rows[list->count++] = (struct call_row){.listed = listed, .later = waits};
        }
    }
}

void lists_call_release(struct call_list *list)
{
    arena_release(&list->arena);
    arena_release(&list->found_arena);
    *list = (struct call_list){0};
}

/* An empty list; its memory is kept for the next reading. */
static void empty_list(struct call_list *list)
{
    arena_clear(&list->arena);
    *list = (struct call_list){.arena = list->arena, .found_arena = list->found_arena};
}

enum status lists_call(struct app *app, struct call_list *list, struct error *error)
{
    empty_list(list);
    enum status status =
        lists_recall_rows(app, RECALL_RETENTION, &list->arena, &list->recalls, error);
    if (status == STATUS_OK) {
        list->rows = arena_array(&list->arena, list->recalls.count + 1, sizeof *list->rows);
        if (list->rows == NULL)
            status = error_no_memory(error);
    }
    if (status != STATUS_OK) {
        empty_list(list);
        return status;
    }
    for (size_t from = 0, to; from < list->recalls.count; from = to) {
        enum recall_group group = list->recalls.rows[from]->row.group;
        for (to = from; to < list->recalls.count && list->recalls.rows[to]->row.group == group;)
            to++;
        list->groups[group] = to - from;
        add_group(list, from, to, app->today);
    }
    for (size_t i = 0; i < list->count; i++)
        list->later += list->rows[i].later;
    return STATUS_OK;
}

/* ---- searching ---- */

static void add_words(const struct listed_recall *listed, day today, struct text *out)
{
    const struct case_state *state = listed->row.state;
    const char *const texts[] = {state->number, state->family, state->given, state->clinician};

    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        text_addf(out, "%s ", texts[i] == NULL ? "" : texts[i]);
    text_addf(out, "%s %s ", word_text(&words_recall_group, (int)listed->row.group),
              word_text(&words_verdict, state->last_verdict));
    lists_safety(out, &listed->row, today);
    text_add(out, " ");
    lists_safety_told(out, &listed->row, today);
    text_addf(out, " %s", lists_safety_word(listed->row.safety, true));
}

/* Makes the words of the rows whose states are known; a row without words is not found. */
static bool make_words(struct call_list *list, day today)
{
    struct text words = {0}, folded = {0};
    bool good = true;

    for (size_t i = 0; i < list->count && good; i++) {
        if (list->rows[i].words != NULL || list->rows[i].listed->row.state == NULL)
            continue;
        text_clear(&words);
        text_clear(&folded);
        add_words(list->rows[i].listed, today, &words);
        text_add_folded(&folded, text_string(&words));
        list->rows[i].words = words.failed || folded.failed
                                  ? NULL
                                  : arena_text(&list->arena, text_string(&folded), folded.length);
        good = list->rows[i].words != NULL;
    }
    text_release(&words);
    text_release(&folded);
    return good;
}

static bool is_found(const struct call_row *row, const char *folded, const char *digits)
{
    const struct case_state *state = row->listed->row.state;

    return folded[0] == '\0' || (row->words != NULL && lists_found_folded(row->words, folded)) ||
           (state != NULL && lists_phone_found(state->phone, digits));
}

enum status lists_call_find(struct app *app, struct call_list *list, const char *folded,
                            struct error *error)
{
    enum status status = STATUS_OK;
    char digits[LISTS_PHONE_SIZE];

    lists_phone_digits(folded, digits);
    arena_clear(&list->found_arena);
    list->found_count = 0;
    list->found = arena_array(&list->found_arena, list->count + 1, sizeof *list->found);
    if (list->found == NULL)
        return error_no_memory(error);
    if (folded[0] != '\0')
        status = lists_recall_states(app, &list->recalls, error);
    if (status == STATUS_OK && folded[0] != '\0' && !make_words(list, app->today))
        status = error_no_memory(error);
    for (size_t i = 0; i < list->count && status == STATUS_OK; i++) {
        if (is_found(&list->rows[i], folded, digits))
            list->found[list->found_count++] = &list->rows[i];
    }
    return status;
}

/* ---- telling ---- */

/* Appends more unless the whole would be wider than cells; false: it would. */
static bool add_fitting(struct text *out, int cells, const char *more)
{
    if (text_width(text_string(out)) + text_width(more) > cells)
        return false;
    text_add(out, more);
    return true;
}

void lists_call_title(const struct call_list *list, int cells, struct text *out)
{
    size_t others = list->count;
    char part[48];
    bool room = true;

    text_add(out, "recall");
    for (int group = RECALL_SAFETY; group <= RECALL_DUE; group++) {
        others -= list->groups[group];
        snprintf(part, sizeof part, "%s %zu %s", group == RECALL_SAFETY ? ":" : ",",
                 list->groups[group], word_text(&words_recall_group, group));
        room = room && add_fitting(out, cells, part);
    }
    snprintf(part, sizeof part, ", %zu others", others);
    room = room && add_fitting(out, cells, part);
    snprintf(part, sizeof part, "; %zu to be called later", list->later);
    if (list->later > 0 && room)
        add_fitting(out, cells, part);
}

void lists_call_late(const struct call_row *row, struct text *out)
{
    const struct recall_row *recall = &row->listed->row;

    if (recall->group == RECALL_SAFETY || recall->days_late > 0)
        text_addf(out, "%s%" PRId32 " d", recall->group == RECALL_SAFETY ? "!" : "",
                  recall->days_late);
}

void lists_verdict(struct text *out, const struct case_state *state)
{
    text_add(out, word_text(&words_verdict, (int)state->last_verdict));
    text_add(out, state->last_verdict != VERDICT_NONE && state->last_recomputed ? " r" : "");
}

void lists_call_again(const struct listed_recall *listed, struct text *out)
{
    char again[DAY_TEXT_SIZE];

    day_to_text(listed->again_on, again);
    text_addf(out, "again %s", again + strlen(again) - MONTH_AND_DAY);
}

void lists_call_why(const struct call_row *row, struct text *out)
{
    const struct recall_row *recall = &row->listed->row;

    if (recall->group == RECALL_SAFETY) {
        text_add(out, lists_safety_word(recall->safety, true));
        return;
    }
    text_add(out, word_text(&words_recall_group, (int)recall->group));
    if (row->later) {
        text_add(out, ", ");
        lists_call_again(row->listed, out);
    } else if (recall->group == RECALL_BOOKED)
        add_day(out, " ", recall->booked);
    else if (recall->group == RECALL_DUE)
        add_day(out, " from ", recall->due_on);
}

/* Newest first; of two at one instant the one recorded last. */
static int compare_contacts(const void *a, const void *b)
{
    const struct contact *one = *(const struct contact *const *)a;
    const struct contact *other = *(const struct contact *const *)b;

    if (one->at != other->at)
        return one->at > other->at ? -1 : 1;
    return one->head.sequence > other->head.sequence ? -1
                                                     : one->head.sequence < other->head.sequence;
}

/* The contacts of a case, newest first; NULL: no memory. */
static const struct contact **contacts_by_day(const struct history *history, struct arena *arena)
{
    const struct contact **contacts =
        arena_array(arena, history->contact_count + 1, sizeof *contacts);

    for (size_t i = 0; contacts != NULL && i < history->contact_count; i++)
        contacts[i] = &history->contacts[i];
    if (contacts != NULL && history->contact_count > 1)
        qsort(contacts, history->contact_count, sizeof *contacts, compare_contacts);
    return contacts;
}

const struct case_state *lists_call_state(struct app *app, const struct call_list *list,
                                          const struct call_row *row)
{
    return lists_recall_state(app, &list->recalls, row->listed);
}

const char *lists_call_outcome(struct app *app, const struct call_list *list, struct call_row *row)
{
    struct arena arena = {0};
    struct history history;

    if (lists_call_state(app, list, row)->last_contact == DAY_NONE)
        return row->listed->row.state == NULL ? "?" : "";
    if (!row->outcome_read && store_read_case(app->store, &row->listed->casefile, STORE_NOW, &arena,
                                              &history, NULL) == STATUS_OK) {
        const struct contact **contacts = contacts_by_day(&history, &arena);
        row->outcome_read = contacts != NULL;
        if (row->outcome_read && history.contact_count > 0)
            row->outcome = contacts[0]->outcome;
    }
    arena_release(&arena);
    return row->outcome_read ? word_text(&words_outcome, (int)row->outcome) : "?";
}

static bool add_number(struct text *out, const char *before, const char *phone,
                       const char *guardian)
{
    if (!says(phone))
        return false;
    text_addf(out, "%s%s", before, phone);
    if (says(guardian))
        text_addf(out, " (%s)", guardian);
    return true;
}

void lists_call_numbers(struct text *out, const struct patient *patient)
{
    bool first = add_number(out, "tel. ", patient->phone, patient->guardian);
    bool second = add_number(out, first ? ", or " : "tel. ", patient->phone2, patient->guardian2);

    if (!first && !second)
        text_add(out, "no number");
}

static void add_who(struct text *out, const struct history *history)
{
    enum { NAME_CELLS = 40 };
    const struct patient *patient = history->patient;
    struct text name = {0};

    text_addf(&name, "%s, %s", patient->family == NULL ? "" : patient->family,
              patient->given == NULL ? "" : patient->given);
    text_addf(out, "%s ", history->casefile->number);
    text_fit(out, text_string(&name), NAME_CELLS, false);
    text_release(&name);
    text_add(out, "  ");
    lists_call_numbers(out, patient);
}

static void add_contact(struct text *out, const struct contact *contact)
{
    add_day(out, "  ", instant_day(contact->at));
    text_addf(out, " %s %s", word_text(&words_channel, (int)contact->channel),
              word_text(&words_outcome, (int)contact->outcome));
    add_day(out, ", call again ", contact->again_on);
    if (contact->cleared == ANSWER_YES && says(contact->cleared_by))
        text_addf(out, ", safety set aside by %s", contact->cleared_by);
    if (says(contact->note))
        text_addf(out, ": %s", contact->note);
    text_add(out, ".");
}

void lists_call_safety(struct text *out, const struct recall_row *recall, day today)
{
    text_add(out, "SAFETY");
    add_day(out, " from ", recall->due_on);
    text_addf(out, ": %s", lists_safety_word(recall->safety, false));
    for (int safety = SAFETY_NONE + 1; safety < SAFETY_COUNT; safety++) {
        day from = recall->state->safety_from[safety];
        if (safety == (int)recall->safety || from == DAY_NONE || from > today)
            continue;
        add_day(out, "; from ", from);
        text_addf(out, ": %s", lists_safety_word((enum safety)safety, false));
    }
}

/* What does not lead the list today because a clinician answers for it. */
static bool add_aside(struct text *out, const struct history *history, day today,
                      struct arena *arena)
{
    struct text aside = {0};

    bool good = aside_tell(&aside, history, today, arena);
    if (aside.length > 0)
        text_addf(out, "  %s.", text_string(&aside));
    text_release(&aside);
    return good;
}

enum status lists_call_tell(struct app *app, const struct call_list *list,
                            const struct call_row *row, struct text *out, struct error *error)
{
    struct recall_row told = row->listed->row;
    const struct recall_row *recall = &told;
    struct arena arena = {0};
    struct history history;
    const struct contact **contacts = NULL;

    told.state = lists_call_state(app, list, row);
    enum status status =
        store_read_case(app->store, &row->listed->casefile, STORE_NOW, &arena, &history, error);
    if (status == STATUS_OK && (contacts = contacts_by_day(&history, &arena)) == NULL)
        status = error_no_memory(error);
    if (status == STATUS_OK) {
        add_who(out, &history);
        text_add(out, recall->safety != SAFETY_NONE ? "  " : "");
        if (recall->safety != SAFETY_NONE)
            lists_call_safety(out, recall, app->today);
        else
            add_day(out, "  due from ", recall->due_on);
        add_day(out, "  booked ", recall->booked);
        if (!add_aside(out, &history, app->today, &arena))
            status = error_no_memory(error);
        for (size_t i = 0; i < history.contact_count && i < TOLD_CONTACTS; i++)
            add_contact(out, contacts[i]);
        if (history.contact_count == 0)
            text_add(out, "  No contact yet.");
    }
    arena_release(&arena);
    return status;
}

void lists_call_cell(struct app *app, const struct call_list *list, struct call_row *row,
                     enum call_cell cell, struct text *out)
{
    const struct case_state *state = lists_call_state(app, list, row);

    switch (cell) {
    case CALL_CELL_CASE:
        text_add(out, row->listed->number);
        break;
    case CALL_CELL_NAME:
        text_addf(out, "%s, %s", state->family, state->given);
        break;
    case CALL_CELL_WHY:
        lists_call_why(row, out);
        break;
    case CALL_CELL_LATE:
        lists_call_late(row, out);
        break;
    case CALL_CELL_PHONE:
        text_add(out, state->phone[0] == '\0' ? "no number" : state->phone);
        break;
    case CALL_CELL_CONTACT:
        add_day(out, "", state->last_contact);
        break;
    case CALL_CELL_OUTCOME:
        text_add(out, lists_call_outcome(app, list, row));
        break;
    case CALL_CELL_AGAIN:
        add_day(out, "", row->listed->again_on);
        break;
    case CALL_CELL_BOOKED:
        add_day(out, "", row->listed->row.booked);
        break;
    case CALL_CELL_VERDICT:
    case CALL_CELL_COUNT:
        lists_verdict(out, state);
        break;
    }
}
