/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Forms of who is treated: a new patient, a new case, and what is known of either. */
#include <string.h>

#include "form_parts.h"
#include "form_templates.h"
#include "springline/app/grow.h"

/* Asked about once: older than this is more often a slip of the year than a growing child. A
 * setting of the program's own, no source. */
enum { AGE_ASKED_YEARS = 20 };
enum { SAME_NAME_MOST = 200 };

/* ---- numbers ---- */

struct numbers {
    const char *number, *chart; /* suggested */
};

/* The number after text: its last digits counted one up, as many as there are ("C-0051" after
 * "C-0050"). NULL: no memory. */
static const char *number_after(struct arena *arena, const char *text)
{
    size_t length = strlen(text), end = length, at;

    while (end > 0 && (text[end - 1] < '0' || text[end - 1] > '9'))
        end--;
    char *next = arena_alloc(arena, length + 2);
    if (next == NULL || end != length)
        return next;
    memcpy(next, text, length + 1);
    for (at = length; at > 0 && next[at - 1] == '9'; at--)
        next[at - 1] = '0';
    if (at > 0 && next[at - 1] >= '0' && next[at - 1] < '9') {
        next[at - 1]++;
        return next;
    }
    memmove(next + at + 1, next + at, length - at + 1); /* all nines: one digit more */
    next[at] = '1';
    return next;
}

/* Suggests the next numbers; the first ones of a new practice are C-0001 and P-0001. */
static enum status suggest(struct app *app, struct form *form, struct error *error)
{
    struct numbers *numbers = arena_alloc(&form->arena, sizeof *numbers);
    const char *number = "", *chart = "";

    if (numbers == NULL)
        return error_no_memory(error);
    enum status status = store_greatest_numbers(app->store, &form->arena, &number, &chart, error);
    if (status != STATUS_OK)
        return status;
    numbers->number = number_after(&form->arena, number[0] == '\0' ? "C-0000" : number);
    numbers->chart = number_after(&form->arena, chart[0] == '\0' ? "P-0000" : chart);
    if (numbers->number == NULL || numbers->chart == NULL)
        return error_no_memory(error);
    form_inner(form)->kept = numbers;
    return STATUS_OK;
}

/* ---- a number that is taken ---- */

static enum status check_chart(struct app *app, struct form *form, int slot, int *index,
                               struct error *error)
{
    const char *chart = form_now(form, slot)->patient.chart;
    struct id other;

    if (chart == NULL || chart[0] == '\0')
        return STATUS_OK;
    enum status status = store_find_patient(app->store, chart, STORE_NOW, &other, error);
    if (status == STATUS_NOT_FOUND)
        return STATUS_OK;
    return status != STATUS_OK
               ? status
               : form_refuse(form, slot, "chart", index, error,
                             "Chart %s is another patient's; take the number suggested, or open "
                             "that patient and add a case there.",
                             chart);
}

static enum status check_number(struct app *app, struct form *form, int slot, int *index,
                                struct error *error)
{
    const char *number = form_now(form, slot)->casefile.number;
    struct id other;

    if (number == NULL || number[0] == '\0')
        return STATUS_OK;
    enum status status = store_find_case(app->store, number, STORE_NOW, &other, error);
    if (status == STATUS_NOT_FOUND)
        return STATUS_OK;
    return status != STATUS_OK
               ? status
               : form_refuse(form, slot, "case", index, error,
                             "Case %s exists already; take the number suggested.", number);
}

/* ---- is this child here already? ---- */

struct namesake {
    struct app *app;
    struct arena *arena;
    struct id *cases;
    size_t count, capacity;
};

static enum status take_namesake(void *context, const struct case_state *state, day booked,
                                 struct error *error)
{
    struct namesake *found = context;

    (void)booked;
    if (!app_grow(found->arena, (void **)&found->cases, found->count, &found->capacity,
                  sizeof *found->cases))
        return error_no_memory(error);
    found->cases[found->count++] = state->casefile;
    return STATUS_OK;
}

static enum status tell_namesake(struct namesake *found, const struct id *casefile,
                                 const struct patient *patient, struct lines *lines,
                                 struct error *error)
{
    struct history history;
    char born[DAY_TEXT_SIZE];

    enum status status =
        store_read_case(found->app->store, casefile, STORE_NOW, found->arena, &history, error);
    if (status != STATUS_OK)
        return status;
    const struct patient *other = history.patient;
    if (id_equal(&other->head.record, &patient->head.record) || other->born != patient->born ||
        !form_folds_alike(other->family, patient->family))
        return STATUS_OK;
    return form_lines_done(form_add_line(found->arena, lines,
                                         "Is this child here already? %s, %s, born %s, is chart "
                                         "%s, case %s.",
                                         other->family, other->given == NULL ? "" : other->given,
                                         day_to_text(other->born, born), other->chart,
                                         history.casefile->number),
                           error);
}

/* Patients of the same family name and birth date, each case of theirs one line. */
static enum status tell_namesakes(struct app *app, const struct patient *patient,
                                  struct arena *arena, struct lines *lines, struct error *error)
{
    struct namesake found = {.app = app, .arena = arena};
    struct text folded = {0};

    if (patient->family == NULL || patient->born == DAY_NONE)
        return STATUS_OK;
    text_add_folded(&folded, patient->family);
    enum status status = folded.failed ? error_no_memory(error)
                                       : store_search(app->store, text_string(&folded), app->today,
                                                      SAME_NAME_MOST, take_namesake, &found, error);
    text_release(&folded);
    for (size_t i = 0; i < found.count && status == STATUS_OK; i++)
        status = tell_namesake(&found, &found.cases[i], patient, lines, error);
    return status;
}

/* ---- a new patient ---- */

enum { NEW_PATIENT, NEW_CASE };

static enum status prepare_new_patient(struct app *app, struct form *form, struct error *error)
{
    struct form_inner *inner = form_inner(form);

    inner->slots[NEW_PATIENT].now.head.id = store_new_id(app->store);
    inner->new_casefile = store_new_id(app->store);
    inner->slots[NEW_CASE].now.head.id = inner->new_casefile;
    inner->slots[NEW_CASE].now.casefile.patient = inner->slots[NEW_PATIENT].now.head.id;
    return suggest(app, form, error);
}

static void follow_new_patient(struct app *app, struct form *form)
{
    const struct numbers *numbers = form_inner(form)->kept;

    (void)app;
    form_offer(form, NEW_PATIENT, "chart", numbers->chart);
    form_offer(form, NEW_CASE, "case", numbers->number);
}

static enum status check_new_patient(struct app *app, struct form *form, int *index,
                                     struct error *error)
{
    const struct patient *patient = &form_now(form, NEW_PATIENT)->patient;
    const struct casefile *casefile = &form_now(form, NEW_CASE)->casefile;
    char born[DAY_TEXT_SIZE];

    enum status status = check_chart(app, form, NEW_PATIENT, index, error);
    if (status == STATUS_OK)
        status = check_number(app, form, NEW_CASE, index, error);
    if (status == STATUS_OK && patient->born != DAY_NONE && casefile->opened < patient->born)
        status = form_refuse(form, NEW_CASE, "opened", index, error,
                             "The case can not be opened before the patient was born (%s).",
                             day_to_text(patient->born, born));
    return status;
}

/* What is missing that somebody will look for. */
static bool tell_gaps(const struct patient *patient, const struct casefile *casefile,
                      struct arena *arena, struct lines *lines)
{
    bool phone = (patient->phone != NULL && patient->phone[0] != '\0') ||
                 (patient->phone2 != NULL && patient->phone2[0] != '\0');

    if (!phone && !form_add_line(arena, lines, "No telephone: the family can not be called."))
        return false;
    return casefile == NULL || casefile->consent_on != DAY_NONE ||
           form_add_line(arena, lines, "No consent yet: it is asked for before an activation.");
}

static enum status warn_new_patient(struct app *app, struct form *form, struct arena *arena,
                                    struct lines *lines, struct error *error)
{
    const struct patient *patient = &form_now(form, NEW_PATIENT)->patient;

    enum status status = tell_namesakes(app, patient, arena, lines, error);
    if (status != STATUS_OK)
        return status;
    return form_lines_done(tell_gaps(patient, &form_now(form, NEW_CASE)->casefile, arena, lines),
                           error);
}

/* A slip of the year. */
static enum entry enter_born(struct app *app, struct form *form, int index, char sentence[200])
{
    const struct field *bound = form_inner(form)->bound[index];

    if (bound == NULL || strcmp(bound->name, "born") != 0)
        return ENTRY_TAKEN;
    day born = form_now(form, form_inner(form)->slot_of[index])->patient.born;
    int years = day_age_years(born, app->today);
    if (years < AGE_ASKED_YEARS)
        return ENTRY_TAKEN;
    return form_say(sentence, ENTRY_ASK,
                    "That is an age of %d years; a growing child is meant. Enter again to keep it.",
                    years);
}

static enum entry ask_clinician(struct app *app, struct form *form, int index, char sentence[200])
{
    const struct field *bound = form_inner(form)->bound[index];

    if (bound == NULL || strcmp(bound->name, "clinician") != 0)
        return ENTRY_TAKEN;
    return form_ask_clinician(
        app, form, form_now(form, form_inner(form)->slot_of[index])->casefile.clinician, sentence);
}

static enum entry enter_new_patient(struct app *app, struct form *form, int index,
                                    char sentence[200])
{
    enum entry entry = enter_born(app, form, index, sentence);

    return entry == ENTRY_TAKEN ? ask_clinician(app, form, index, sentence) : entry;
}

static const struct form_item new_patient_items[] = {
    {NEW_PATIENT, "chart", "chart", "Number of the patient's chart; Enter takes the next one.",
     "patient", ITEM_REQUIRED},
    {NEW_CASE, "case", "case", "Number of the case; Enter takes the next one.", NULL,
     ITEM_REQUIRED},
    {NEW_PATIENT, "family", "family name", "Family name of the child.", NULL,
     ITEM_REQUIRED | ITEM_FIRST},
    {NEW_PATIENT, "given", "given name", "Given name of the child.", NULL, 0},
    {NEW_PATIENT, "born", "born", "Birth date of the child, YYYY-MM-DD.", NULL, 0},
    {NEW_PATIENT, "sex", "sex", "Sex of the child; arch widths differ by it.", NULL, 0},
    {NEW_PATIENT, "guardian", "guardian", "Who answers for the child.", "family", 0},
    {NEW_PATIENT, "phone", "telephone", "Number under which the family is called first.", NULL, 0},
    {NEW_PATIENT, "guardian2", "second guardian", "Another person who answers for the child.", NULL,
     0},
    {NEW_PATIENT, "phone2", "second telephone", "Number when the first is not answered.", NULL, 0},
    {NEW_PATIENT, "alerts", "alerts", "What everybody must see: allergies, illnesses, medicines.",
     NULL, 0},
    {NEW_CASE, "opened", "opened", "Day the case begins.", "case", ITEM_REQUIRED | ITEM_TODAY},
    {NEW_CASE, "consent_on", "consent on",
     "Day the family consented to the treatment; empty: not "
     "yet.",
     NULL, 0},
    {NEW_CASE, "clinician", "clinician", "Who examines, decides and answers for the treatment.",
     NULL, 0},
};
const struct form_template form_template_new_patient = {
    .kind = FORM_NEW_PATIENT,
    .name = "new-patient",
    .title = "New patient",
    .items = new_patient_items,
    .item_count = sizeof new_patient_items / sizeof new_patient_items[0],
    .slots = {RECORD_PATIENT, RECORD_CASEFILE, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_new_patient,
    .follow = follow_new_patient,
    .check = check_new_patient,
    .warn = warn_new_patient,
    .enter = enter_new_patient,
};

/* ---- another case of the same patient ---- */

static enum status prepare_new_case(struct app *app, struct form *form, struct error *error)
{
    struct form_inner *inner = form_inner(form);

    inner->new_casefile = store_new_id(app->store);
    inner->slots[0].now.head.id = inner->new_casefile;
    inner->slots[0].now.casefile.patient = form->history.patient->head.record;
    return suggest(app, form, error);
}

static void follow_new_case(struct app *app, struct form *form)
{
    const struct numbers *numbers = form_inner(form)->kept;

    (void)app;
    form_offer(form, 0, "case", numbers->number);
    form_offer(form, 0, "clinician", form->history.casefile->clinician);
}

static enum status check_new_case(struct app *app, struct form *form, int *index,
                                  struct error *error)
{
    return check_number(app, form, 0, index, error);
}

static enum status warn_new_case(struct app *app, struct form *form, struct arena *arena,
                                 struct lines *lines, struct error *error)
{
    const struct casefile *old = form->history.casefile;
    bool open = old->closed_on == DAY_NONE || old->closed_on > app->today;

    return form_lines_done(
        (!open ||
         form_add_line(arena, lines, "Case %s of this patient is still open.", old->number)) &&
            tell_gaps(form->history.patient, &form_now(form, 0)->casefile, arena, lines),
        error);
}

static const struct form_item new_case_items[] = {
    {0, "case", "case", "Number of the new case; Enter takes the next one.", NULL,
     ITEM_REQUIRED | ITEM_FIRST},
    {0, "opened", "opened", "Day the case begins.", NULL, ITEM_REQUIRED | ITEM_TODAY},
    {0, "consent_on", "consent on", "Day the family consented to this treatment; empty: not yet.",
     NULL, 0},
    {0, "clinician", "clinician", "Who examines, decides and answers for the treatment.", NULL, 0},
};
const struct form_template form_template_new_case = {
    .kind = FORM_NEW_CASE,
    .name = "new-case",
    .title = "New case of this patient",
    .items = new_case_items,
    .item_count = sizeof new_case_items / sizeof new_case_items[0],
    .slots = {RECORD_CASEFILE, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_new_case,
    .follow = follow_new_case,
    .check = check_new_case,
    .warn = warn_new_case,
    .enter = ask_clinician,
};

/* ---- the patient ---- */

static enum status prepare_patient(struct app *app, struct form *form, struct error *error)
{
    (void)app;
    (void)error;
    form_put_row(form, 0, form->history.patient);
    return STATUS_OK;
}

static enum status warn_patient(struct app *app, struct form *form, struct arena *arena,
                                struct lines *lines, struct error *error)
{
    const struct patient *before = form->history.patient;
    const struct patient *patient = &form_now(form, 0)->patient;

    if (before->born != patient->born || !form_folds_alike(before->family, patient->family)) {
        enum status status = tell_namesakes(app, patient, arena, lines, error);
        if (status != STATUS_OK)
            return status;
    }
    return form_lines_done(tell_gaps(patient, NULL, arena, lines), error);
}

static const struct form_item patient_items[] = {
    {0, "chart", "chart", "Number of the patient's chart.", NULL, ITEM_LOCKED},
    {0, "family", "family name", "Family name of the child.", NULL, ITEM_REQUIRED | ITEM_FIRST},
    {0, "given", "given name", "Given name of the child.", NULL, 0},
    {0, "born", "born", "Birth date of the child, YYYY-MM-DD.", NULL, 0},
    {0, "sex", "sex", "Sex of the child; arch widths differ by it.", NULL, 0},
    {0, "guardian", "guardian", "Who answers for the child.", "family", 0},
    {0, "phone", "telephone", "Number under which the family is called first.", NULL, 0},
    {0, "guardian2", "second guardian", "Another person who answers for the child.", NULL, 0},
    {0, "phone2", "second telephone", "Number when the first is not answered.", NULL, 0},
    {0, "alerts", "alerts", "What everybody must see: allergies, illnesses, medicines.", NULL, 0},
};
const struct form_template form_template_patient = {
    .kind = FORM_PATIENT,
    .name = "patient",
    .title = "Patient",
    .items = patient_items,
    .item_count = sizeof patient_items / sizeof patient_items[0],
    .slots = {RECORD_PATIENT, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_patient,
    .warn = warn_patient,
    .enter = enter_born,
};

/* ---- the case ---- */

static enum status prepare_case(struct app *app, struct form *form, struct error *error)
{
    (void)app;
    (void)error;
    form_put_row(form, 0, form->history.casefile);
    return STATUS_OK;
}

/* A protocol that is not there would be no limits at all. */
static enum entry enter_case(struct app *app, struct form *form, int index, char sentence[200])
{
    const char *name = form_now(form, 0)->casefile.protocol;
    struct protocol protocol;
    struct error error = {0};

    if (index == form_index(form, 0, "clinician"))
        return ask_clinician(app, form, index, sentence);
    if (index != form_index(form, 0, "protocol") || name == NULL || name[0] == '\0')
        return ENTRY_TAKEN;
    enum status status =
        store_read_protocol(app->store, name, STORE_NOW, &form->arena, &protocol, &error);
    if (status == STATUS_OK)
        return ENTRY_TAKEN;
    if (status != STATUS_NOT_FOUND)
        return form_say(sentence, ENTRY_REFUSED, "%.190s", error.sentence);
    return form_say(sentence, ENTRY_REFUSED,
                    "There is no protocol called %.60s; leave it empty for the practice's.", name);
}

static enum status warn_case(struct app *app, struct form *form, struct arena *arena,
                             struct lines *lines, struct error *error)
{
    const struct casefile *casefile = &form_now(form, 0)->casefile;
    const char *name = casefile->protocol == NULL ? "" : casefile->protocol;
    const char *before = form->history.casefile->protocol;

    (void)app;
    if (strcmp(name, before == NULL ? "" : before) != 0 &&
        !form_add_line(arena, lines, "From now on the limits of %s apply to this case.",
                       name[0] == '\0' ? "the practice's protocol" : name))
        return error_no_memory(error);
    return form_lines_done(casefile->consent_on != DAY_NONE ||
                               form_add_line(arena, lines,
                                             "No consent yet: it is asked for before an "
                                             "activation."),
                           error);
}

static const struct form_item case_items[] = {
    {0, "case", "case", "Number of the case.", NULL, ITEM_LOCKED},
    {0, "opened", "opened", "Day the case was opened.", NULL, ITEM_LOCKED},
    {0, "consent_on", "consent on", "Day the family consented to the treatment; empty: not yet.",
     NULL, ITEM_FIRST},
    {0, "clinician", "clinician", "Who examines, decides and answers for the treatment.", NULL, 0},
    {0, "protocol", "protocol", "Name of the case's own limits; empty: those of the practice.",
     NULL, 0},
};
const struct form_template form_template_case = {
    .kind = FORM_CASE,
    .name = "case",
    .title = "Case",
    .items = case_items,
    .item_count = sizeof case_items / sizeof case_items[0],
    .slots = {RECORD_CASEFILE, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_case,
    .warn = warn_case,
    .enter = enter_case,
};
