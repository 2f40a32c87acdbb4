/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Prints a section of the manual from the program's own tables, as mdoc:
 *
 *     man_sections commands|keys|roles|csv|words|settings
 *
 * The pages hold each between comment lines; tests/cli/man_pages.sh compares them.
 */
#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "../../src/cli/help_text.h"
#include "springline/app/authority.h"
#include "springline/app/command.h"
#include "springline/base/text.h"
#include "springline/core/audit.h"
#include "springline/core/protocol.h"
#include "springline/core/recall.h"
#include "springline/core/record.h"
#include "springline/core/rules.h"

enum { LINE_MOST = 78 };

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* ---- mdoc ---- */

/* One character as roff shows it unchanged. */
static void add_character(struct text *out, char character)
{
    switch (character) {
    case '\\':
        text_add(out, "\\e");
        break;
    case '\'':
        text_add(out, "\\(aq");
        break;
    case '^':
        text_add(out, "\\(ha");
        break;
    case '~':
        text_add(out, "\\(ti");
        break;
    case '`':
        text_add(out, "\\(ga");
        break;
    case '"':
        text_add(out, "\\(dq");
        break;
    default:
        text_add_byte(out, character);
        break;
    }
}

/* A word that is an argument of a macro: never taken as punctuation, a request or a macro. */
static void add_word(struct text *out, const char *word, size_t length)
{
    bool plain = true;

    for (size_t i = 0; i < length; i++)
        plain = plain && (isalnum((unsigned char)word[i]) || strchr("_-@|", word[i]) != NULL);
    if (!plain || length < 4)
        text_add(out, "\\&");
    for (size_t i = 0; i < length; i++) {
        if (word[i] == '-' && (length == 1 || i == 0))
            text_add(out, "\\-");
        else
            add_character(out, word[i]);
    }
}

/* A heading, a label: words none of which is taken for a macro. */
static void add_title(struct text *out, const char *macro, const char *title)
{
    text_add(out, macro);
    while (*title != '\0') {
        size_t length = strcspn(title, " ");
        text_add(out, " ");
        add_word(out, title, length);
        title += length;
        title += *title == ' ' ? 1 : 0;
    }
    text_add(out, "\n");
}

/* A filled text: lines of at most LINE_MOST, each sentence on a line of its own. */
static void add_filled(struct text *out, const char *words)
{
    size_t line = 0;

    while (*words != '\0') {
        size_t length = strcspn(words, " ");
        if (length > 0) {
            if (line > 0 && line + 1 + length > LINE_MOST) {
                text_add(out, "\n");
                line = 0;
            }
            if (line > 0)
                text_add(out, " ");
            else if (words[0] == '.' || words[0] == '\'')
                text_add(out, "\\&");
            for (size_t i = 0; i < length; i++)
                add_character(out, words[i]);
            line += length + 1;
            if (strchr(".!?", words[length - 1]) != NULL && words[length] != '\0') {
                text_add(out, "\n");
                line = 0;
            }
        }
        words += length;
        words += *words == ' ' ? 1 : 0;
    }
    text_add(out, "\n");
}

/* ---- the sub-commands ---- */

/* "[--on DATE]" as "Oo Fl -on Ar DATE Oc". */
static void add_synopsis(struct text *out, const char *words)
{
    while (*words != '\0') {
        size_t length = strcspn(words, " ");
        const char *word = words;
        size_t rest = length;

        for (; rest > 0 && *word == '['; word++, rest--)
            text_add(out, " Oo");
        size_t closing = 0;
        while (rest > closing && word[rest - 1 - closing] == ']')
            closing++;
        rest -= closing;
        if (rest > 2 && word[0] == '-' && word[1] == '-') {
            text_add(out, " Fl \\-");
            add_word(out, word + 2, rest - 2);
        } else if (rest > 0) {
            text_add(out, islower((unsigned char)word[0]) ? " Cm " : " Ar ");
            add_word(out, word, rest);
        }
        for (; closing > 0; closing--)
            text_add(out, " Oc");
        words += length;
        words += *words == ' ' ? 1 : 0;
    }
}

/* Paragraphs, one a line. */
static void add_paragraphs(struct text *out, const char *lines)
{
    while (*lines != '\0') {
        size_t length = strcspn(lines, "\n");
        struct text line = {0};

        text_append(&line, lines, length);
        text_add(out, ".Pp\n");
        add_filled(out, text_string(&line));
        out->failed = out->failed || line.failed;
        text_release(&line);
        lines += length + (lines[length] == '\n' ? 1 : 0);
    }
}

/* The help line begins small, as in the list of commands: here it is a sentence. */
static void add_sentence(struct text *out, const char *help)
{
    struct text sentence = {0};

    text_add_byte(&sentence, (char)toupper((unsigned char)help[0]));
    text_addf(&sentence, "%s.", help + 1);
    add_filled(out, text_string(&sentence));
    out->failed = out->failed || sentence.failed;
    text_release(&sentence);
}

static bool add_commands(struct text *out)
{
    text_add(out, ".Bl -tag -width Ds\n");
    for (int i = 1; i < COMMAND_COUNT; i++) {
        const struct command_row *row = &command_table[i];
        if ((row->places & PLACE_SHELL) == 0)
            continue;
        text_addf(out, ".It Ic %s", row->name);
        add_synopsis(out, row->arguments);
        text_add(out, "\n");
        add_sentence(out, row->help);
        add_paragraphs(out, help_details(row->id));
    }
    text_add(out, ".El\n");
    return true;
}

/* ---- the keys ---- */

/* The places as a person meets them. Each command with keys stands under at least one. */
static const struct {
    unsigned places;
    const char *title, *about;
} key_places[] = {
    {PLACE_ANYWHERE, "Everywhere", "Wherever the cursor stands."},
    {PLACE_LIST, "Lists", "A list is searched by typing; Enter opens the selected row."},
    {PLACE_FIND, "Lists that are searched",
     "Typing narrows the list, whatever the accents and the "
     "size of the letters."},
    {PLACE_FOUND, "A search that stands", "While something is typed on a list."},
    {PLACE_ABOVE, "Lists above the day's", "Every list but the one that the program begins with."},
    {PLACE_MONTH, "The month", "The month shown by the audit."},
    {PLACE_READ, "Texts that are read", "Reasons, records and their history."},
    {PLACE_PICTURE, "The picture of a case", "One arch at a time."},
    {PLACE_FORM, "Forms and the visit sheet",
     "A field that takes text takes every character but those that name a key of it."},
    {PLACE_CHOICE, "Fields of one digit", "Findings and other choices, while empty."},
    {PLACE_REVIEW, "The review", "What will be saved, before it is saved."},
    {PLACE_SECRET, "The review where a PIN may be typed",
     "Of a visit, its correction or withdrawal, for an orthodontist who is asked who they are."},
    {PLACE_MEANWHILE | PLACE_DECIDE, "What was saved meanwhile",
     "Where both seats changed a field one of the two is chosen; what is out of sight is not."},
    {PLACE_DOOR, "Signing in, the lock, passphrase and PIN",
     "In a passphrase and a PIN every character is text."},
    {PLACE_ASK, "Questions", "A digit never answers a question."},
    {PLACE_SURE, "Questions asked again", "Before anything is thrown away."},
    {PLACE_MENU, "Menus", "Screens that have a menu."},
    {PLACE_CHOOSE, "An open menu", "The key in front of a line does what the line says, too."},
    {PLACE_DAY_MENU, "Menu of the day", "The other screens."},
    {PLACE_CASES_MENU, "Menu of a list of cases", "What is done with the selected case."},
    {PLACE_CASE_MENU, "Menu of a case", "What is recorded for it."},
    {PLACE_RECORD_MENU, "Menu of a record", "The old version stays to be read."},
    {PLACE_SIGN_MENU, "Menu of a visit's record", "Beside the menu of every record."},
    {PLACE_AUDIT_MENU, "Menu of the audit", "The month as a whole."},
    {PLACE_SETTINGS_MENU | PLACE_PEOPLE_MENU, "Menu of settings and people",
     "Every version is kept."},
};

static void add_keys_of(struct text *out, const struct command_row *row)
{
    add_title(out, ".It Ic", row->keys);
    add_filled(out, row->help);
    text_addf(out, ".Pq Cm %s\n", row->name);
}

static bool add_keys(struct text *out)
{
    unsigned shown = PLACE_SHELL | PLACE_INSIDE;

    for (size_t i = 0; i < COUNT(key_places); i++) {
        bool any = false;
        for (int c = 1; c < COMMAND_COUNT; c++) {
            const struct command_row *row = &command_table[c];
            if ((row->places & key_places[i].places) == 0 || row->keys[0] == '\0')
                continue;
            if (!any) {
                add_title(out, ".Ss", key_places[i].title);
                add_filled(out, key_places[i].about);
                text_add(out, ".Bl -tag -width 17n -compact\n");
            }
            any = true;
            add_keys_of(out, row);
        }
        if (any)
            text_add(out, ".El\n");
        shown |= key_places[i].places;
    }
    for (int c = 1; c < COMMAND_COUNT; c++) {
        if ((command_table[c].places & ~shown) == 0)
            continue;
        fprintf(stderr, "man_sections: %s is at a place without a title; add it to key_places\n",
                command_table[c].name);
        return false;
    }
    return true;
}

/* ---- who may do what ---- */

static unsigned roles_of(enum command command)
{
    unsigned roles = 0;

    for (int role = ROLE_NONE; role < ROLE_COUNT; role++)
        roles |= authority_may((enum role)role, command) ? 1U << role : 0;
    return roles;
}

/* "orthodontist, assistant" */
static void add_who(struct text *out, unsigned roles)
{
    const char *before = "";

    for (int role = ROLE_NONE + 1; role < ROLE_COUNT; role++) {
        if ((roles & 1U << role) == 0)
            continue;
        text_addf(out, "%s%s", before, word_text(&words_role, role));
        before = ", ";
    }
    if ((roles & 1U << ROLE_NONE) != 0)
        text_addf(out, "%snobody known", before);
}

/* Commands that the same roles may give stand together, in the order of the first. */
static bool add_roles(struct text *out)
{
    bool told[COMMAND_COUNT] = {false};

    text_add(out, ".Bl -tag -width 4n -compact\n");
    for (int c = 1; c < COMMAND_COUNT; c++) {
        struct text names = {0};
        unsigned roles = roles_of((enum command)c);
        if (told[c] || !authority_asks((enum command)c))
            continue;
        text_add(out, ".It ");
        add_who(out, roles);
        for (int same = c; same < COMMAND_COUNT; same++) {
            if (told[same] || !authority_asks((enum command)same) ||
                roles_of((enum command)same) != roles)
                continue;
            told[same] = true;
            text_addf(&names, "%s%s", names.length > 0 ? ", " : "", command_table[same].name);
        }
        text_add(out, "\n");
        add_filled(out, text_string(&names));
        out->failed = out->failed || names.failed;
        text_release(&names);
    }
    text_add(out, ".El\n");
    return true;
}

/* ---- the files ---- */

/* The words of a list, commas between them. */
static void add_words(struct text *out, const struct words *words)
{
    for (size_t i = 1; i < words->count; i++)
        text_addf(out, "%s%s", i > 1 ? ", " : "", words->texts[i]);
}

static const char *type_told(const struct field *field)
{
    switch (field->type) {
    case FIELD_DAY:
        return "date, YYYY-MM-DD";
    case FIELD_INSTANT:
        return "moment, YYYY-MM-DDTHH:MM:SSZ";
    case FIELD_CLOCK:
        return "time of day, HH:MM";
    case FIELD_UM:
        return "millimetres with a point";
    case FIELD_INT:
        return "whole number";
    case FIELD_TEETH:
        return "two teeth by ISO 3950, the right one first: 16-26";
    case FIELD_HARDWARE:
        return "intact, or faults with ; between them, each with :right or :left if known: ";
    case FIELD_ID:
        return field->refers == RECORD_PATIENT ? "chart number of the patient" : "case number";
    case FIELD_WORD:
        return "one of: ";
    case FIELD_TEXT:
    default:
        return (field->flags & FIELD_NOTE) != 0 ? "text, at most 4000 characters"
                                                : "text, at most 400 characters";
    }
}

static void add_field(struct text *out, const struct field *field)
{
    struct text told = {0};

    text_add(&told, type_told(field));
    if (field->type == FIELD_WORD)
        add_words(&told, field->words);
    if (field->type == FIELD_HARDWARE)
        add_words(&told, &words_fault);
    if ((field->flags & FIELD_KEY) != 0)
        text_add(&told, "; key");
    if ((field->flags & FIELD_REQUIRED) != 0)
        text_add(&told, "; never empty");
    text_addf(out, ".It Cm %s\n", field->name);
    add_filled(out, text_string(&told));
    out->failed = out->failed || told.failed;
    text_release(&told);
}

static bool add_files(struct text *out)
{
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++) {
        const struct record_table *table = &record_tables[kind];
        if (table->csv == NULL)
            continue;
        add_title(out, ".Ss", table->csv);
        text_add(out, ".Bl -tag -width 17n -compact\n");
        for (size_t i = 0; i < table->field_count; i++) {
            if ((table->fields[i].flags & FIELD_NOT_IN_CSV) == 0)
                add_field(out, &table->fields[i]);
        }
        text_add(out, ".El\n");
    }
    return true;
}

/* ---- words that stand in lists only ---- */

static bool add_lists(struct text *out)
{
    static const struct {
        const char *title;
        const struct words *words;
    } lists[] = {
        {"stage", &words_stage},
        {"verdict", &words_verdict},
        {"effect of a rule", &words_effect},
        {"safety item", &words_safety},
        {"group, recall", &words_recall_group},
        {"group, audit", &words_audit_group},
        {"role", &words_role},
    };

    text_add(out, ".Bl -tag -width 17n -compact\n");
    for (size_t i = 0; i < COUNT(lists); i++) {
        struct text told = {0};
        add_words(&told, lists[i].words);
        add_title(out, ".It", lists[i].title);
        add_filled(out, text_string(&told));
        out->failed = out->failed || told.failed;
        text_release(&told);
    }
    text_add(out, ".El\n");
    return true;
}

/* ---- the settings ---- */

static void add_value(struct text *out, const struct setting_row *row)
{
    switch (row->unit) {
    case UNIT_UM:
        text_addf(out, "%d.%02d mm", row->value / 1000, row->value % 1000 / 10);
        break;
    case UNIT_UM_PER_WEEK:
        text_addf(out, "%d.%02d mm a week", row->value / 1000, row->value % 1000 / 10);
        break;
    case UNIT_DAYS:
        text_addf(out, "%d %s", row->value, row->value == 1 ? "day" : "days");
        break;
    case UNIT_MINUTES:
        text_addf(out, "%d minutes", row->value);
        break;
    case UNIT_PERMILLE:
        text_addf(out, "%d.%02d", row->value / 1000, row->value % 1000 / 10);
        break;
    case UNIT_VISITS:
        text_addf(out, "%d visits", row->value);
        break;
    case UNIT_ANSWER:
        text_add(out, word_text(&words_answer, row->value));
        break;
    case UNIT_NONE:
    case UNIT_COUNT:
    case UNIT_DATE:
    default:
        text_addf(out, "%d", row->value);
        break;
    }
}

static bool add_settings(struct text *out)
{
    text_add(out, ".Bl -tag -width 26n -compact\n");
    for (int i = SETTING_NONE + 1; i < SETTING_COUNT; i++) {
        const struct setting_row *row = &protocol_settings[i];
        struct text told = {0};
        add_value(&told, row);
        text_addf(&told, "; %s", standing_text(row->standing));
        if (row->source[0] != '\0')
            text_addf(&told, ": %s", row->source);
        text_addf(out, ".It Cm %s\n", row->name);
        add_filled(out, text_string(&told));
        out->failed = out->failed || told.failed;
        text_release(&told);
    }
    text_add(out, ".El\n");
    return true;
}

int main(int argc, char **argv)
{
    static const struct {
        const char *name;
        bool (*add)(struct text *out);
    } sections[] = {{"commands", add_commands}, {"keys", add_keys},   {"roles", add_roles},
                    {"csv", add_files},         {"words", add_lists}, {"settings", add_settings}};
    struct text out = {0};
    bool good = false, known = false;

    for (size_t i = 0; argc == 2 && i < COUNT(sections); i++) {
        if (strcmp(argv[1], sections[i].name) != 0)
            continue;
        known = true;
        good = sections[i].add(&out) && !out.failed;
    }
    if (!known)
        fputs("usage: man_sections commands|keys|roles|csv|words|settings\n", stderr);
    if (good)
        good = fputs(text_string(&out), stdout) >= 0 && fflush(stdout) == 0;
    text_release(&out);
    return good ? 0 : 1;
}
