/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/ui/config.h"

#include <errno.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "springline/base/text.h"
#include "springline/ui/binding.h"

enum { FILE_BYTES_MOST = 65536 };

/* The line being read. */
struct reading {
    const char *path;
    long line;
    struct config *config;
    struct error *error;
};

static const char blanks[] = " \t\r";

const char *config_keys(const struct config *config, enum command command)
{
    return config != NULL && config->keys[command][0] != '\0' ? config->keys[command]
                                                              : command_table[command].keys;
}

static enum status refuse(const struct reading *reading, const char *what, const char *given,
                          const char *help)
{
    struct text where = {0};

    text_addf(&where, "%s line %ld", reading->path, reading->line);
    enum status status = error_set(reading->error, STATUS_INPUT, text_string(&where), "%s%.60s%s",
                                   what, given, help);
    text_release(&where);
    return status;
}

/* The screen command with this name; COMMAND_NONE: there is none with keys. */
static enum command command_of_keys(const char *name)
{
    for (int i = 1; i < COMMAND_COUNT; i++) {
        if (command_table[i].keys[0] != '\0' && strcmp(command_table[i].name, name) == 0)
            return command_table[i].id;
    }
    return COMMAND_NONE;
}

/* ---- keys ---- */

/* Adds one key to the list, blank-separated; false: no room. */
static bool add_key(char keys[CONFIG_KEYS_SIZE], const char *name, size_t length)
{
    size_t used = strlen(keys);

    if (used + (used > 0 ? 1 : 0) + length + 1 > CONFIG_KEYS_SIZE)
        return false;
    if (used > 0)
        keys[used++] = ' ';
    memcpy(keys + used, name, length);
    keys[used + length] = '\0';
    return true;
}

/* The keys given, and behind them those of the list that are no characters. */
static enum status set_keys(const struct reading *reading, enum command command, const char *value)
{
    char *keys = reading->config->keys[command];
    const char *name, *rest = value;
    size_t length;
    struct key key;

    keys[0] = '\0';
    while (binding_next_name(&rest, &name, &length)) {
        if (!binding_is_class(name, length) && !key_from_name(name, length, &key))
            return refuse(reading, "There is no key ", name,
                          "; write one character, or a name such as Enter, Up, Ctrl-X, Space.");
        if (!add_key(keys, name, length))
            return refuse(reading, "These are too many keys for ", command_table[command].name,
                          ".");
    }
    rest = command_table[command].keys;
    while (binding_next_name(&rest, &name, &length)) {
        if (!binding_is_class(name, length) && key_from_name(name, length, &key) &&
            key.press != PRESS_NONE && !add_key(keys, name, length))
            return refuse(reading, "These are too many keys for ", command_table[command].name,
                          ".");
    }
    return STATUS_OK;
}

static bool share_a_place(const struct command_row *a, const struct command_row *b)
{
    return ((a->places | b->places) & PLACE_ANYWHERE) != 0 || (a->places & b->places) != 0;
}

/* A key that both lists hold; NULL: none. */
static const char *common_key(const char *a, const char *b, size_t *length)
{
    const char *name, *other;
    size_t other_length;

    while (binding_next_name(&a, &name, length)) {
        const char *rest = b;
        while (binding_next_name(&rest, &other, &other_length)) {
            if (*length == other_length && memcmp(name, other, other_length) == 0)
                return name;
        }
    }
    return NULL;
}

/* Two commands at one place may not have one key, unless the list itself gives it to both. */
static enum status check_free(const struct reading *reading, enum command command)
{
    const char *given = config_keys(reading->config, command);
    char words[160], key[CONFIG_KEYS_SIZE];
    size_t length;

    for (int i = 1; i < COMMAND_COUNT; i++) {
        const struct command_row *other = &command_table[i];
        if (i == (int)command || other->keys[0] == '\0' ||
            !share_a_place(&command_table[command], other) ||
            common_key(command_table[command].keys, other->keys, &length) != NULL)
            continue;
        const char *common = common_key(given, config_keys(reading->config, other->id), &length);
        if (common == NULL)
            continue;
        snprintf(key, sizeof key, "%.*s", (int)length, common);
        snprintf(words, sizeof words, " is the key of \"%s\" at the same place; choose another.",
                 other->name);
        return refuse(reading, "", key, words);
    }
    return STATUS_OK;
}

/* ---- the other settings ---- */

static enum status set_choice(const struct reading *reading, const char *value, enum choice *choice)
{
    if (strcmp(value, "yes") == 0)
        *choice = CHOICE_YES;
    else if (strcmp(value, "no") == 0)
        *choice = CHOICE_NO;
    else
        return refuse(reading, "\"", value, "\" is neither yes nor no.");
    return STATUS_OK;
}

/* A whole number from 1 to most; said: what it is to be. */
static enum status set_number(const struct reading *reading, const char *value, int most,
                              const char *said, int *number)
{
    int given = 0;

    for (const char *digit = value; *digit != '\0'; digit++) {
        if (*digit < '0' || *digit > '9' || given > most)
            return refuse(reading, "\"", value, said);
        given = 10 * given + (*digit - '0');
    }
    if (given < 1 || given > most)
        return refuse(reading, "\"", value, said);
    *number = given;
    return STATUS_OK;
}

static enum status set_key(const struct reading *reading, const char *name, const char *value)
{
    enum command command = command_of_keys(name);

    if (command == COMMAND_NONE)
        return refuse(reading, "No command is called \"", name,
                      "\"; springline.1 lists the commands that have keys.");
    if (value[0] == '\0')
        return refuse(reading, "No key is given for ", name, "; leave the line out instead.");
    enum status status = set_keys(reading, command, value);
    return status == STATUS_OK ? check_free(reading, command) : status;
}

static enum status set_one(const struct reading *reading, const char *name, const char *value)
{
    if (strncmp(name, "key ", 4) == 0)
        return set_key(reading, name + 4 + strspn(name + 4, blanks), value);
    if (strcmp(name, "escape-delay") == 0)
        return set_number(reading, value, CONFIG_ESCAPE_DELAY_MOST_MS,
                          "\" is no number of milliseconds from 1 to 1000.",
                          &reading->config->escape_delay_ms);
    if (strcmp(name, "lock-minutes") == 0)
        return set_number(reading, value, CONFIG_LOCK_MOST_MIN,
                          "\" is no number of minutes from 1 to 60.",
                          &reading->config->lock_minutes);
    if (strcmp(name, "ascii") == 0)
        return set_choice(reading, value, &reading->config->ascii);
    if (strcmp(name, "colour") == 0)
        return set_choice(reading, value, &reading->config->colour);
    if (strcmp(name, "braille") == 0)
        return set_choice(reading, value, &reading->config->braille);
    return refuse(reading, "There is no setting \"", name,
                  "\"; there are key COMMAND, escape-delay, lock-minutes, ascii, colour and "
                  "braille.");
}

/* Cuts blanks at the end. */
static void trim(char *text)
{
    size_t length = strlen(text);

    while (length > 0 && strchr(blanks, text[length - 1]) != NULL)
        text[--length] = '\0';
}

static enum status read_line(const struct reading *reading, const char *begin, size_t length)
{
    enum { LINE_SIZE = 400 };
    char line[LINE_SIZE];

    if (length >= sizeof line)
        return refuse(reading, "This line is longer than a setting can be.", "", "");
    memcpy(line, begin, length);
    line[length] = '\0';
    char *name = line + strspn(line, blanks);
    if (name[0] == '\0' || name[0] == '#')
        return STATUS_OK;
    char *sign = strchr(name, '=');
    if (sign == NULL)
        return refuse(reading, "\"", name, "\" is no setting; write name = value.");
    *sign = '\0';
    char *value = sign + 1 + strspn(sign + 1, blanks);
    trim(name);
    trim(value);
    return set_one(reading, name, value);
}

enum status config_read(const char *text, const char *path, struct config *config,
                        struct error *error)
{
    struct reading reading = {.path = path, .config = config, .error = error};
    enum status status = STATUS_OK;

    while (*text != '\0' && status == STATUS_OK) {
        size_t length = strcspn(text, "\n");
        reading.line++;
        status = read_line(&reading, text, length);
        text += length + (text[length] == '\n' ? 1 : 0);
    }
    return status;
}

enum status config_load(const char *path, struct config *config, struct error *error)
{
    char bytes[FILE_BYTES_MOST + 1];
    FILE *file = fopen(path, "re");

    if (file == NULL) {
        if (errno == ENOENT || errno == ENOTDIR)
            return STATUS_OK;
        return error_set(error, STATUS_INPUT, path,
                         "This file of settings can not be read (%s); give yourself the right to "
                         "read it, or remove it.",
                         strerror(errno));
    }
    size_t length = fread(bytes, 1, sizeof bytes, file);
    bool failed = ferror(file) != 0;
    (void)fclose(file);
    if (failed || length > FILE_BYTES_MOST || memchr(bytes, '\0', length) != NULL)
        return error_set(error, STATUS_INPUT, path,
                         "This file of settings can not be read as lines of text; see "
                         "springline.5.");
    bytes[length] = '\0';
    return config_read(bytes, path, config, error);
}
