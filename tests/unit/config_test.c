/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The settings of the screens. What is read and refused is our own (springline.5). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "springline/ui/config.h"

static struct config read_good(const char *text)
{
    struct config config = {0};
    struct error error = {0};

    if (config_read(text, "config", &config, &error) != STATUS_OK)
        fail_msg("%s: %s", error.where, error.sentence);
    return config;
}

static void assert_refused(const char *text, const char *where, const char *sentence)
{
    struct config config = {0};
    struct error error = {0};

    assert_int_equal(config_read(text, "config", &config, &error), STATUS_INPUT);
    assert_string_equal(error.where, where);
    if (strstr(error.sentence, sentence) == NULL)
        fail_msg("\"%s\" is not in \"%s\"", sentence, error.sentence);
}

static void settings_are_read(void **state)
{
    (void)state;
    struct config config = read_good("# mine\n\n  escape-delay = 50 \nascii=yes\r\ncolour = no\n"
                                     "braille = yes");

    assert_int_equal(config.escape_delay_ms, 50);
    assert_int_equal(config.ascii, CHOICE_YES);
    assert_int_equal(config.colour, CHOICE_NO);
    assert_int_equal(config.braille, CHOICE_YES);
    assert_string_equal(config_keys(&config, COMMAND_NEXT), command_table[COMMAND_NEXT].keys);
    assert_string_equal(config_keys(NULL, COMMAND_NEXT), command_table[COMMAND_NEXT].keys);
}

/* Whatever is set, the arrows and Enter still work. */
static void named_keys_stay(void **state)
{
    (void)state;
    struct config config = read_good("key next = j\nkey accept = Ctrl-N\n");

    assert_string_equal(config_keys(&config, COMMAND_NEXT), "j Down");
    assert_string_equal(config_keys(&config, COMMAND_ACCEPT), "Ctrl-N Enter Down Tab");
}

static void a_later_line_goes_before(void **state)
{
    (void)state;
    struct config config = read_good("key sort = Ctrl-O\nkey sort = Ctrl-T\nescape-delay = 25\n"
                                     "escape-delay = 1000\n");

    assert_string_equal(config_keys(&config, COMMAND_SORT), "Ctrl-T Tab");
    assert_int_equal(config.escape_delay_ms, 1000);
}

static void trouble_has_file_and_line(void **state)
{
    (void)state;
    assert_refused("\n\nwhat = 3", "config line 3", "\"what\"");
    assert_refused("ascii", "config line 1", "name = value");
    assert_refused("braille = often", "config line 1", "neither yes nor no");
    assert_refused("ascii = perhaps", "config line 1", "neither yes nor no");
    assert_refused("escape-delay = 0", "config line 1", "milliseconds");
    assert_refused("escape-delay = 1001", "config line 1", "milliseconds");
    assert_refused("escape-delay = 99999999999999999999", "config line 1", "milliseconds");
    assert_refused("escape-delay = -5", "config line 1", "milliseconds");
    assert_refused("key jump = j", "config line 1", "\"jump\"");
    assert_refused("key recall = j", "config line 1", "\"recall\""); /* has no keys */
    assert_refused("key next =", "config line 1", "No key is given");
    assert_refused("key next = Hyper-J", "config line 1", "Hyper-J");
    assert_refused("key next = a b c d e f g h i k l m n o p q r s t u v w x y z A B C D E F G H I "
                   "J K L M N O P Q R S T U V W X Y Z",
                   "config line 1", "too many keys");
}

/* Two commands at one place never have one key; at different places they may. */
static void a_key_means_one_thing(void **state)
{
    (void)state;
    assert_refused("key next = -", "config line 1", "\"previous\"");
    assert_refused("key sort = Ctrl-L", "config line 1", "\"redraw\"");
    assert_refused("key sort = Ctrl-T\nkey redraw = Ctrl-T", "config line 2", "\"sort\"");
    (void)read_good("key sort = Ctrl-X\nkey more = Ctrl-X\n");
}

static void a_long_line_is_refused(void **state)
{
    char text[1000];

    (void)state;
    memset(text, 'a', sizeof text);
    text[sizeof text - 1] = '\0';
    assert_refused(text, "config line 1", "longer");
}

static void files(void **state)
{
    struct config config = {0};
    struct error error = {0};
    char path[300];

    (void)state;
    snprintf(path, sizeof path, "%s/config.%ld", getenv("TMPDIR"), (long)getpid());
    assert_int_equal(config_load(path, &config, &error), STATUS_OK); /* none there */
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_true(fputs("colour = yes\n", file) >= 0);
    assert_int_equal(fclose(file), 0);
    assert_int_equal(config_load(path, &config, &error), STATUS_OK);
    assert_int_equal(config.colour, CHOICE_YES);
    file = fopen(path, "w");
    assert_non_null(file);
    assert_int_equal(fwrite("ascii = yes\0\n", 1, 13, file), 13);
    assert_int_equal(fclose(file), 0);
    assert_int_equal(config_load(path, &config, &error), STATUS_INPUT);
    assert_int_equal(unlink(path), 0);
    assert_int_equal(mkdir(path, 0700), 0);
    assert_int_equal(config_load(path, &config, &error), STATUS_INPUT);
    assert_string_equal(error.where, path);
    assert_int_equal(rmdir(path), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(settings_are_read),
        cmocka_unit_test(named_keys_stay),
        cmocka_unit_test(a_later_line_goes_before),
        cmocka_unit_test(trouble_has_file_and_line),
        cmocka_unit_test(a_key_means_one_thing),
        cmocka_unit_test(a_long_line_is_refused),
        cmocka_unit_test(files),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
