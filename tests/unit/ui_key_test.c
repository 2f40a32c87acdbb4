/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Keys by name, the command list over them, and the line editor they drive. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "springline/ui/binding.h"
#include "springline/ui/editor.h"
#include "springline/ui/headless.h"

static struct key named(const char *name)
{
    struct key key = {0};

    assert_true(key_from_name(name, strlen(name), &key));
    return key;
}

static void names_go_there_and_back(void **state)
{
    static const char *const names[] = {"Enter", "Esc",    "Tab",  "Shift-Tab", "Backspace",
                                        "Up",    "PageUp", "Home", "Ctrl-L",    "Space",
                                        "?",     "/",      "0",    "\xC4\x85"};
    struct text text = {0};
    struct key key = {0};

    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        key = named(names[i]);
        text_clear(&text);
        key_add_name(&text, &key);
        assert_string_equal(text_string(&text), names[i]);
    }
    assert_false(key_from_name("Return", 6, &key));
    assert_false(key_from_name("Ctrl-l", 6, &key));
    assert_false(key_from_name("ab", 2, &key));
    assert_false(key_from_name("", 0, &key));
    assert_false(key_from_name("\xC4", 1, &key));
    assert_false(key_from_name("\x18", 1, &key));         /* a control is Ctrl-X, or nothing */
    assert_false(key_from_name("\xC2\x9B", 2, &key));     /* U+009B */
    assert_false(key_from_name("\xE2\x80\xAE", 3, &key)); /* U+202E */
    text_release(&text);
}

/* RFC 3629, section 3: the first and last character of each length. */
static void encodes_utf8(void **state)
{
    static const struct {
        uint32_t character;
        const char *bytes;
    } rows[] = {{0x7F, "\x7F"},
                {0x80, "\xC2\x80"},
                {0x7FF, "\xDF\xBF"},
                {0x800, "\xE0\xA0\x80"},
                {0xFFFF, "\xEF\xBF\xBF"},
                {0x10000, "\xF0\x90\x80\x80"},
                {0x10FFFF, "\xF4\x8F\xBF\xBF"}};
    char bytes[5];

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_equal(key_utf8(rows[i].character, bytes), strlen(rows[i].bytes));
        assert_string_equal(bytes, rows[i].bytes);
    }
}

/* Where two commands of one place shared a key, one of them could never be given. */
static void no_key_has_two_commands(void **state)
{
    static const unsigned places[] = {PLACE_LIST | PLACE_FIND | PLACE_FOUND,
                                      PLACE_FORM | PLACE_CHOICE, PLACE_REVIEW,
                                      PLACE_FIND | PLACE_ASK, PLACE_FIND | PLACE_SURE};

    (void)state;
    for (size_t p = 0; p < sizeof places / sizeof places[0]; p++) {
        for (int i = 1; i < COMMAND_COUNT; i++) {
            const struct command_row *row = &command_table[i];
            const char *keys = row->keys;
            if ((row->places & (places[p] | PLACE_ANYWHERE)) == 0)
                continue;
            while (keys[strspn(keys, " ")] != '\0') {
                struct key key;
                keys += strspn(keys, " ");
                size_t length = strcspn(keys, " ");
                if (key_from_name(keys, length, &key))
                    assert_int_equal(binding_command(NULL, &key, places[p]), row->id);
                else
                    assert_true(row->id == COMMAND_SEARCH); /* classes of keys */
                keys += length;
            }
        }
    }
}

static void table_is_in_order(void **state)
{
    (void)state;
    for (int i = 0; i < COMMAND_COUNT; i++) {
        assert_int_equal(command_table[i].id, i);
        assert_non_null(command_table[i].help);
    }
}

static enum command command_of(const char *name, unsigned places)
{
    struct key key = named(name);

    return binding_command(NULL, &key, places);
}

static void keys_mean_what_the_keypad_needs(void **state)
{
    struct key pasted = named("Enter");

    (void)state;
    assert_int_equal(command_of("Enter", PLACE_FORM), COMMAND_ACCEPT);
    assert_int_equal(command_of("/", PLACE_FORM), COMMAND_FIELD_BACK);
    assert_int_equal(command_of("*", PLACE_FORM), COMMAND_SAME);
    assert_int_equal(command_of("+", PLACE_FORM), COMMAND_MORE);
    assert_int_equal(command_of("-", PLACE_FORM), COMMAND_LESS);
    assert_int_equal(command_of("5", PLACE_FORM), COMMAND_NONE);
    assert_int_equal(command_of("1", PLACE_REVIEW), COMMAND_SAVE);
    assert_int_equal(command_of("/", PLACE_REVIEW), COMMAND_FIELD_BACK);
    assert_int_equal(command_of("7", PLACE_FIND | PLACE_ASK), COMMAND_SEARCH);
    assert_int_equal(command_of("\xC4\x85", PLACE_FIND | PLACE_ASK), COMMAND_SEARCH);
    assert_int_equal(command_of("q", PLACE_FIND | PLACE_ASK), COMMAND_SEARCH);
    assert_int_equal(command_of("+", PLACE_LIST), COMMAND_NEXT);
    assert_int_equal(command_of("/", PLACE_LIST | PLACE_FOUND), COMMAND_SHORTEN);
    assert_int_equal(command_of(".", PLACE_FORM | PLACE_CHOICE), COMMAND_PAGE_AROUND);
    assert_int_equal(command_of(".", PLACE_FORM), COMMAND_NONE);
    assert_int_equal(command_of("Esc", PLACE_ASK), COMMAND_BACK);
    /* A question: Enter, / and -; a digit never. */
    assert_int_equal(command_of("Enter", PLACE_ASK), COMMAND_YES);
    assert_int_equal(command_of("/", PLACE_ASK), COMMAND_NO);
    assert_int_equal(command_of("-", PLACE_ASK), COMMAND_THROW_AWAY);
    assert_int_equal(command_of("Enter", PLACE_SURE), COMMAND_NONE);
    for (const char *digit = "0\0001\0002\0003\0004\0005\0006\0007\0008\0009\0"; *digit != '\0';
         digit += 2)
        assert_int_equal(command_of(digit, PLACE_ASK | PLACE_SURE), COMMAND_NONE);
    assert_int_equal(command_of("Ctrl-Q", PLACE_FORM), COMMAND_QUIT_ENTRY);
    pasted.pasted = true;
    assert_int_equal(binding_command(NULL, &pasted, PLACE_REVIEW), COMMAND_NONE);
}

static bool is_hyphen_or_mark(const void *state, const struct key *key)
{
    (void)state;
    return key->press == PRESS_NONE && (key->character == '-' || key->character == '?');
}

static void footer_and_help_come_from_the_table(void **state)
{
    struct text footer = {0};
    struct panel help = {0};
    bool found = false;

    (void)state;
    binding_footer(&footer, NULL, PLACE_REVIEW, 80, NULL, NULL);
    assert_string_equal(text_string(&footer), "/ field back  Enter save  Esc back  ? keys");
    text_clear(&footer);
    binding_footer(&footer, NULL, PLACE_LIST, 200, NULL, NULL);
    assert_string_equal(text_string(&footer),
                        "Ctrl-Q leave  Enter open  + - row  Esc back  ? keys");
    text_clear(&footer); /* what is text now is not offered as a key */
    binding_footer(&footer, NULL, PLACE_LIST, 200, is_hyphen_or_mark, NULL);
    assert_string_equal(text_string(&footer), "Ctrl-Q leave  Enter open  Down Up row  Esc back");
    text_clear(&footer); /* the keys that work everywhere stay */
    binding_footer(&footer, NULL, PLACE_LIST, 40, NULL, NULL);
    assert_string_equal(text_string(&footer), "Ctrl-Q leave  Esc back  ? keys");
    text_clear(&footer); /* beside the badge of a small screen: whole parts go, none is cut */
    binding_footer(&footer, NULL, PLACE_ABOVE, 17, NULL, NULL);
    assert_string_equal(text_string(&footer), "Esc back  ? keys");
    text_clear(&footer);
    binding_footer(&footer, NULL, PLACE_ABOVE, 15, NULL, NULL);
    assert_string_equal(text_string(&footer), "? keys");
    text_clear(&footer);
    binding_help(&help, NULL, PLACE_FORM);
    for (size_t i = 0; i < help.count; i++) {
        found = found || strncmp(help.lines[i].text, "/ Up Shift-Tab", 14) == 0;
        assert_null(strstr(help.lines[i].text, "save what"));
    }
    assert_true(found);
    text_release(&footer);
    panel_release(&help);
}

static void type(struct editor *editor, const char *keys)
{
    struct key key;

    while (headless_key(&keys, &key)) {
        enum command command = binding_command(NULL, &key, PLACE_FORM);
        if (!editor_command(editor, command))
            editor_insert(editor, key.character);
    }
    assert_string_equal(keys, "");
}

static void edits_by_character(void **state)
{
    static const struct {
        const char *keys, *text;
    } rows[] = {
        {"abc<Backspace>d", "abd"},
        {"abc<Left><Left>x", "axbc"},
        {"abc<Home>x<End>y", "xabcy"},
        {"abc<Home><Delete>", "bc"},
        {"abc<Left><Delete><Delete>", "ab"},
        {"<Backspace><Delete><Left><Right>", ""},
        {"abc<Ctrl-U>z", "z"},
        {"a\xC4\x85<Backspace>", "a"},
        {"ae\xCC\x81<Backspace>", "a"}, /* the letter goes with its mark */
        {"e\xCC\x81x<Left><Left>y", "ye\xCC\x81x"},
        {"\xE9\xBD\xBF\xE9\xBD\xBF<Home><Delete>", "\xE9\xBD\xBF"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct editor editor;
        editor_set(&editor, "", 0, false);
        type(&editor, rows[i].keys);
        assert_string_equal(editor.text, rows[i].text);
        assert_int_equal(editor.length, strlen(rows[i].text));
        assert_true(editor.cursor <= editor.length);
    }
}

static void replaces_what_was_just_filled(void **state)
{
    struct editor editor;

    (void)state;
    editor_set(&editor, "1.25", 0, true);
    type(&editor, "2");
    assert_string_equal(editor.text, "2");
    editor_set(&editor, "1.25", 0, true);
    type(&editor, "<Backspace>0");
    assert_string_equal(editor.text, "1.20");
}

static void takes_only_what_may_be_stored(void **state)
{
    struct editor editor;
    char longest[EDITOR_BYTES + 100];

    (void)state;
    editor_set(&editor, "", 3, false);
    assert_false(editor_insert(&editor, 0x1B));
    assert_false(editor_insert(&editor, 0x202E));
    assert_false(editor_insert(&editor, 0x9B));
    type(&editor, "abcd");
    assert_string_equal(editor.text, "abc");
    editor_set(&editor, "", 0, false);
    for (int i = 0; i < EDITOR_BYTES; i++)
        editor_insert(&editor, 0x9F7F);
    assert_true(editor.length < EDITOR_BYTES);
    assert_true(text_is_utf8(editor.text, editor.length));
    memset(longest, 'x', sizeof longest);
    longest[sizeof longest - 1] = '\0';
    editor_set(&editor, longest, 0, false);
    assert_int_equal(editor.length, EDITOR_BYTES - 1);
}

static void shows_the_cursor(void **state)
{
    struct editor editor;
    struct grid grid = {0};
    struct text row = {0};

    (void)state;
    assert_true(grid_resize(&grid, 2, 10));
    editor_set(&editor, "0123456789abc", 0, false);
    editor_draw(&editor, &grid, 1, 2, 6, LOOK_REVERSE);
    assert_int_equal(grid.cursor_row, 1);
    assert_int_equal(grid.cursor_column, 7); /* behind "89abc" */
    grid_row_text(&grid, 1, &row);
    assert_string_equal(text_string(&row), "  89abc");
    editor_command(&editor, COMMAND_LINE_START);
    editor_draw(&editor, &grid, 1, 2, 6, LOOK_REVERSE);
    assert_int_equal(grid.cursor_column, 2);
    text_release(&row);
    grid_release(&grid);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_go_there_and_back),
        cmocka_unit_test(encodes_utf8),
        cmocka_unit_test(no_key_has_two_commands),
        cmocka_unit_test(table_is_in_order),
        cmocka_unit_test(keys_mean_what_the_keypad_needs),
        cmocka_unit_test(footer_and_help_come_from_the_table),
        cmocka_unit_test(edits_by_character),
        cmocka_unit_test(replaces_what_was_just_filled),
        cmocka_unit_test(takes_only_what_may_be_stored),
        cmocka_unit_test(shows_the_cursor),
    };
    return cmocka_run_group_tests_name("ui_key", tests, NULL, NULL);
}
