/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/ui/binding.h"

#include <string.h>

enum { FOOTER_PARTS_MOST = 24 };

bool binding_next_name(const char **keys, const char **name, size_t *length)
{
    *name = *keys + strspn(*keys, " ");
    *length = strcspn(*name, " ");
    *keys = *name + *length;
    return *length > 0;
}

static bool is_called(const char *name, size_t length, const char *class_name)
{
    return length == strlen(class_name) && memcmp(name, class_name, length) == 0;
}

bool binding_is_class(const char *name, size_t length)
{
    return is_called(name, length, "digits") || is_called(name, length, "letters");
}

/* Does the key belong to the class of keys that name stands for? */
static bool in_class(const char *name, size_t length, const struct key *key)
{
    uint32_t character = key->press == PRESS_NONE && !key->control ? key->character : 0;

    if (is_called(name, length, "digits"))
        return character >= '0' && character <= '9';
    if (is_called(name, length, "letters"))
        return (character >= 'a' && character <= 'z') || (character >= 'A' && character <= 'Z') ||
               character > 0x7F;
    return false;
}

static bool has_key(const char *keys, const struct key *key, bool by_class)
{
    const char *name;
    struct key named;
    size_t length;

    while (binding_next_name(&keys, &name, &length)) {
        if (by_class ? in_class(name, length, key)
                     : key_from_name(name, length, &named) && key_same(&named, key))
            return true;
    }
    return false;
}

enum command binding_command(const struct config *config, const struct key *key, unsigned places)
{
    if (key->pasted)
        return COMMAND_NONE;
    for (int by_class = 0; by_class <= 1; by_class++) {
        for (int i = 1; i < COMMAND_COUNT; i++) {
            const struct command_row *row = &command_table[i];
            if ((row->places & (places | PLACE_ANYWHERE)) != 0 &&
                has_key(config_keys(config, row->id), key, by_class == 1))
                return row->id;
        }
    }
    return COMMAND_NONE;
}

/* What stands together in a footer: the keys that share a word. */
struct footer_part {
    const struct command_row *row; /* the first that shares it */
    struct text keys;
    const char *word;
    bool everywhere;
};

struct footer {
    const struct config *config;
    bool (*is_text)(const void *state, const struct key *key);
    const void *state;
    struct footer_part parts[FOOTER_PARTS_MOST];
    int count;
};

/* The first key of a row that is not text now, and its place among the keys; -1: there is none. */
static int first_key(const struct footer *footer, const struct command_row *row, const char **name,
                     size_t *length)
{
    const char *keys = config_keys(footer->config, row->id);
    struct key key;

    for (int at = 0; binding_next_name(&keys, name, length); at++) {
        if (footer->is_text == NULL || !key_from_name(*name, *length, &key) ||
            !footer->is_text(footer->state, &key))
            return at;
    }
    return -1;
}

/* Where - is text beside + that is none, "+ Up row" would read as "+ goes up": a pair is told by
 * the keys of one kind, "Down Up row". */
static void match_keys(const struct footer *footer, struct footer_part *part, int place)
{
    const char *keys = config_keys(footer->config, part->row->id), *name;
    size_t length;

    for (int at = 0; binding_next_name(&keys, &name, &length); at++) {
        if (at != place)
            continue;
        text_clear(&part->keys);
        text_append(&part->keys, name, length);
    }
}

static void add_to_footer(struct footer *footer, const struct command_row *row, bool everywhere)
{
    struct footer_part *last = footer->count > 0 ? &footer->parts[footer->count - 1] : NULL;
    const char *name;
    size_t length;

    int place = row->footer[0] == '\0' ? -1 : first_key(footer, row, &name, &length);
    if (place < 0)
        return;
    if (last == NULL || strcmp(last->word, row->footer) != 0) {
        if (footer->count == FOOTER_PARTS_MOST)
            return;
        last = &footer->parts[footer->count++];
        last->word = row->footer;
        last->row = row;
    } else {
        if (place > 0)
            match_keys(footer, last, place);
        text_add(&last->keys, " ");
    }
    last->everywhere = everywhere;
    text_append(&last->keys, name, length);
}

/* The cells of the parts, two between them. */
static int footer_cells(const struct footer *footer)
{
    int cells = 0;

    for (int i = 0; i < footer->count; i++) {
        const struct footer_part *part = &footer->parts[i];
        cells +=
            (i > 0 ? 2 : 0) + text_width(text_string(&part->keys)) + 1 + text_width(part->word);
    }
    return cells;
}

/* Of a part with several keys the last one stays. False: no part has several. */
static bool drop_key(struct footer *footer)
{
    for (int i = 0; i < footer->count; i++) {
        struct text *keys = &footer->parts[i].keys;
        const char *last = strrchr(text_string(keys), ' ');
        struct text kept = {0};
        if (last == NULL)
            continue;
        text_add(&kept, last + 1);
        text_release(keys);
        *keys = kept;
        return true;
    }
    return false;
}

/* Takes the last part away that does not work everywhere; then keys that say the same; then the
 * first part, so that none is cut in its middle. False: there is only one. */
static bool drop_part(struct footer *footer)
{
    int at = footer->count - 1;

    while (at >= 0 && footer->parts[at].everywhere)
        at--;
    if (at < 0 && drop_key(footer))
        return true;
    if (at < 0 && footer->count < 2)
        return false;
    at = at < 0 ? 0 : at;
    text_release(&footer->parts[at].keys);
    for (footer->count--; at < footer->count; at++)
        footer->parts[at] = footer->parts[at + 1];
    return true;
}

void binding_footer(struct text *out, const struct config *config, unsigned places, int cells,
                    bool (*is_text)(const void *state, const struct key *key), const void *state)
{
    struct footer footer = {.config = config, .is_text = is_text, .state = state};

    /* What works everywhere comes last, and stays. */
    for (int i = 1; i < COMMAND_COUNT; i++) {
        if ((command_table[i].places & places) != 0)
            add_to_footer(&footer, &command_table[i], false);
    }
    for (int i = 1; i < COMMAND_COUNT; i++) {
        if ((command_table[i].places & places) == 0 &&
            (command_table[i].places & PLACE_ANYWHERE) != 0)
            add_to_footer(&footer, &command_table[i], true);
    }
    while (footer_cells(&footer) > cells && drop_part(&footer)) {
    }
    for (int i = 0; i < footer.count; i++) {
        text_addf(out, "%s%s %s", i > 0 ? "  " : "", text_string(&footer.parts[i].keys),
                  footer.parts[i].word);
        text_release(&footer.parts[i].keys);
    }
}

static void add_help(struct panel *panel, const struct config *config,
                     const struct command_row *row)
{
    struct text line = {0};

    text_addf(&line, "%-18s %s", config_keys(config, row->id), row->help);
    panel_add(panel, LOOK_PLAIN, 19, text_string(&line));
    text_release(&line);
}

void binding_help(struct panel *panel, const struct config *config, unsigned places)
{
    for (int i = 1; i < COMMAND_COUNT; i++) {
        const struct command_row *row = &command_table[i];
        if ((row->places & (places | PLACE_ANYWHERE)) != 0 && row->keys[0] != '\0')
            add_help(panel, config, row);
    }
}

int binding_menu(unsigned places, enum command commands[COMMAND_COUNT])
{
    int count = 0;

    for (int i = 1; i < COMMAND_COUNT; i++) {
        if ((command_table[i].places & places) != 0 && command_table[i].keys[0] != '\0')
            commands[count++] = command_table[i].id;
    }
    return count;
}

void binding_menu_help(struct panel *panel, const struct config *config, unsigned places)
{
    enum command commands[COMMAND_COUNT];
    int count = binding_menu(places, commands);

    if (count == 0)
        return;
    panel_add(panel, LOOK_PLAIN, 0, "");
    panel_add(panel, LOOK_BOLD, 0, "In the menu:");
    for (int i = 0; i < count; i++)
        add_help(panel, config, &command_table[commands[i]]);
}

const char *binding_first_key(const struct config *config, enum command command, size_t *length)
{
    const char *keys = config_keys(config, command), *name;

    return binding_next_name(&keys, &name, length) ? name : NULL;
}
