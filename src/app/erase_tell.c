/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What an erasure would blank, told before it is done, and what it can not reach. */
#include <ctype.h>
#include <inttypes.h>
#include <string.h>

#include "erase_private.h"
#include "springline/app/authority.h"
#include "springline/app/grow.h"
#include "springline/store/subject.h"

/* A shorter word of a name says nothing; a telephone number of fewer digits is none. Our own
 * settings, no source. */
enum { WORD_LEAST = 3, DIGITS_LEAST = 5, PLACES_SHOWN = 20 };

/* ---- names of the family ---- */

static bool keep_word(struct erase_names *names, const char *word, size_t length)
{
    for (size_t i = 0; i < names->count; i++)
        if (strlen(names->words[i]) == length && memcmp(names->words[i], word, length) == 0)
            return true;
    if (!app_grow(&names->arena, (void **)&names->words, names->count, &names->capacity,
                  sizeof *names->words))
        return false;
    names->words[names->count] = arena_text(&names->arena, word, length);
    return names->words[names->count++] != NULL;
}

static bool keep_name(struct erase_names *names, const char *name)
{
    struct text folded = {0};
    bool good = true;

    text_add_folded(&folded, name);
    for (const char *at = text_string(&folded); *at != '\0' && good;) {
        size_t length = strcspn(at, " ");

        if (length >= WORD_LEAST)
            good = keep_word(names, at, length);
        at += length + (at[length] == ' ');
    }
    good = good && !folded.failed;
    text_release(&folded);
    return good;
}

static void add_digits(struct text *out, const char *text)
{
    for (; *text != '\0'; text++)
        if (isdigit((unsigned char)*text))
            text_add_byte(out, *text);
}

static bool keep_number(struct erase_names *names, const char *number)
{
    struct text digits = {0};
    bool good = true;

    add_digits(&digits, number);
    if (digits.length >= DIGITS_LEAST)
        good = keep_word(names, text_string(&digits), digits.length);
    good = good && !digits.failed;
    text_release(&digits);
    return good;
}

static enum status add_names(void *context, const struct store_subject_row *row,
                             struct error *error)
{
    const struct patient *patient = row->record;
    struct erase_names *names = context;

    return (erase_done(patient) || keep_name(names, patient->family)) &&
                   keep_name(names, patient->given) && keep_name(names, patient->guardian) &&
                   keep_name(names, patient->guardian2) && keep_number(names, patient->phone) &&
                   keep_number(names, patient->phone2)
               ? STATUS_OK
               : error_no_memory(error);
}

enum status erase_names_read(struct app *app, const struct erase_subject *subject,
                             struct erase_names *names, struct error *error)
{
    enum status status = STATUS_OK;

    *names = (struct erase_names){.count = 0};
    for (size_t i = 0; i < subject->count && status == STATUS_OK; i++)
        status = store_each_subject_row(app->store, RECORD_PATIENT, &subject->patients[i],
                                        add_names, names, error);
    return status;
}

void erase_names_release(struct erase_names *names)
{
    arena_release(&names->arena);
    *names = (struct erase_names){.count = 0};
}

static bool is_letter(char byte)
{
    return isalnum((unsigned char)byte) || ((unsigned char)byte & 0x80U) != 0;
}

/* Scripts that part no words have no ends of a word to look for. */
static bool stands_alone(const char *text, const char *found, size_t length)
{
    if (((unsigned char)found[0] & 0x80U) != 0)
        return true;
    return (found == text || !is_letter(found[-1])) && !is_letter(found[length]);
}

static bool word_stands(const char *folded, const char *digits, const char *word)
{
    size_t length = strlen(word);

    if (isdigit((unsigned char)word[0]) && strspn(word, "0123456789") == length)
        return strstr(digits, word) != NULL;
    for (const char *at = strstr(folded, word); at != NULL; at = strstr(at + 1, word))
        if (stands_alone(folded, at, length))
            return true;
    return false;
}

bool erase_names_find(const struct erase_names *names, const char *text, const char **found)
{
    struct text folded = {0}, digits = {0};

    *found = NULL;
    text_add_folded(&folded, text);
    add_digits(&digits, text);
    bool good = !folded.failed && !digits.failed;
    for (size_t i = 0; i < names->count && good && *found == NULL; i++)
        if (word_stands(text_string(&folded), text_string(&digits), names->words[i]))
            *found = names->words[i];
    text_release(&folded);
    text_release(&digits);
    return good;
}

/* ---- what can not be erased ---- */

struct looking {
    struct app *app;
    struct text *out;
    struct erase_names names;
    size_t reasons, labels, places, loose;
    struct text shown; /* the places with a name, and the forms */
};

static enum status look_at_text(void *context, const struct store_plain_text *text,
                                struct error *error)
{
    struct looking *looking = context;
    const char *found;

    looking->reasons += strcmp(text->column, "reason") == 0;
    looking->labels += strcmp(text->column, "label") == 0;
    if (!erase_names_find(&looking->names, text->text, &found))
        return error_no_memory(error);
    if (found == NULL)
        return STATUS_OK;
    looking->places++;
    if (looking->places <= PLACES_SHOWN)
        text_addf(&looking->shown, "  ledger row %" PRId64 ", %s, %s: holds \"%s\"\n",
                  text->sequence, text->table, text->column, found);
    return STATUS_OK;
}

/* A form that belongs to no case may be of a sister: it is told, and left. */
static enum status look_at_form(void *context, const struct draft *draft, struct error *error)
{
    struct looking *looking = context;
    const char *found;

    if (!erase_names_find(&looking->names, draft->content, &found))
        return error_no_memory(error);
    if (found == NULL)
        return STATUS_OK;
    looking->loose++;
    text_addf(&looking->shown, "  unsaved form \"%s\" of ", draft->form);
    text_add_shown(&looking->shown, draft->user);
    text_addf(&looking->shown, ": holds \"%s\"; it is not removed\n", found);
    return STATUS_OK;
}

static enum status tell_plain(struct looking *looking, const struct erase_subject *subject,
                              struct error *error)
{
    enum status status = erase_names_read(looking->app, subject, &looking->names, error);

    for (size_t i = 0; i < subject->count && status == STATUS_OK; i++)
        status = store_each_plain_text(looking->app->store, &subject->patients[i], look_at_text,
                                       looking, error);
    if (status == STATUS_OK)
        status = store_each_loose_draft(looking->app->store, look_at_form, looking, error);
    if (status != STATUS_OK)
        return status;
    text_addf(looking->out,
              "can not be erased, for the ledger covers them as they are: %zu reasons of changes "
              "and withdrawals, %zu names of imports, the chart and case numbers\n",
              looking->reasons, looking->labels);
    if (looking->places == 0 && looking->loose == 0)
        text_add(looking->out, "no name or telephone number of the family was found in these\n");
    else
        text_addf(looking->out, "a name or number of the family stands in %zu of these texts:\n",
                  looking->places);
    text_add(looking->out, text_string(&looking->shown));
    if (looking->places > PLACES_SHOWN)
        text_addf(looking->out, "  and %zu more\n", looking->places - PLACES_SHOWN);
    looking->out->failed = looking->out->failed || looking->shown.failed;
    return STATUS_OK;
}

/* ---- who and what ---- */

static enum status tell_patient(struct looking *looking, const struct erase_subject *subject,
                                struct error *error)
{
    struct arena arena = {0};
    struct patient patient;

    enum status status = store_read_current(looking->app->store, RECORD_PATIENT,
                                            &subject->patients[0], &arena, &patient, error);
    text_add(looking->out, "patient ");
    text_add_shown(looking->out, subject->chart);
    if (status == STATUS_OK) {
        text_add(looking->out, ": ");
        text_add_shown(looking->out, patient.family);
        text_add(looking->out, patient.given[0] == '\0' ? "" : ", ");
        text_add_shown(looking->out, patient.given);
        if (patient.born != DAY_NONE) {
            char born[DAY_TEXT_SIZE];

            text_addf(looking->out, ", born %s", day_to_text(patient.born, born));
        }
    } else if (status == STATUS_NOT_FOUND) {
        text_add(looking->out, ": withdrawn");
        status = STATUS_OK;
    }
    text_add(looking->out, "\n");
    if (subject->count > 1)
        text_addf(looking->out,
                  "with %zu withdrawn records of the same number, name and birth "
                  "date\n",
                  subject->count - 1);
    if (subject->unlike > 0)
        text_addf(looking->out,
                  "%" PRId32 " withdrawn records of the same number, but of another name or birth "
                  "date, stay as they are\n",
                  subject->unlike);
    arena_release(&arena);
    return status;
}

static enum status tell_blanks(struct looking *looking, const struct erase_subject *subject,
                               struct error *error)
{
    struct store_erased sum = {.values = 0};
    const char *before = " (";

    for (size_t i = 0; i < subject->count; i++) {
        struct store_erased one;
        enum status status =
            store_count_erasable(looking->app->store, &subject->patients[i], &one, error);

        if (status != STATUS_OK)
            return status;
        erase_add(&sum, &one);
    }
    text_addf(looking->out, "to be blanked: %" PRId32 " values of %" PRId32 " rows", sum.values,
              erase_rows(&sum));
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++) {
        if (sum.rows[kind] == 0)
            continue;
        text_addf(looking->out, "%s%s %" PRId32, before, record_tables[kind].table, sum.rows[kind]);
        before = ", ";
    }
    text_addf(looking->out,
              "%s: names, birth date, guardians, telephones, alerts, notes and reasons of "
              "overrides, of every version, withdrawn or not\n",
              erase_rows(&sum) > 0 ? ")" : "");
    text_addf(looking->out, "to be removed: %" PRId32 " unsaved forms of the cases\n", sum.drafts);
    text_add(looking->out, "kept: what was measured, found, given and decided, under the chart "
                           "and case numbers\n");
    return STATUS_OK;
}

enum status erase_look(struct app *app, const char *chart, struct text *out, struct error *error)
{
    struct erase_subject subject;
    struct looking looking = {.app = app, .out = out};

    enum status status = app_allow(app, COMMAND_ERASE, chart, error);
    if (status == STATUS_OK)
        status = erase_find(app, chart, &subject, error);
    if (status == STATUS_OK)
        status = erase_check(app, &subject, error);
    if (status == STATUS_OK)
        status = tell_patient(&looking, &subject, error);
    if (status == STATUS_OK)
        status = tell_blanks(&looking, &subject, error);
    if (status == STATUS_OK)
        status = tell_plain(&looking, &subject, error);
    if (status == STATUS_OK)
        text_add(out, "backups made before hold everything still: remove them when their time is "
                      "over\n");
    erase_names_release(&looking.names);
    text_release(&looking.shown);
    return status == STATUS_OK && out->failed ? error_no_memory(error) : status;
}
