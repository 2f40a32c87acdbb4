/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/cli/options.h"

#include <getopt.h>
#include <string.h>

#include "help_text.h"

/* What getopt_long returns for the program's own options; those of a sub-command count from 0. */
enum { OPTION_STORE = 1000, OPTION_FORMAT, OPTION_HELP };

static const char help_hint[] = "see springline help";

enum status cli_read_format(const char *text, enum cli_format *format, struct error *error)
{
    static const char *const names[] = {
        [FORMAT_TEXT] = "text", [FORMAT_CSV] = "csv", [FORMAT_JSON] = "json"};

    for (int i = FORMAT_TEXT; i <= FORMAT_JSON; i++) {
        if (strcmp(text, names[i]) == 0) {
            *format = (enum cli_format)i;
            return STATUS_OK;
        }
    }
    return error_set(error, STATUS_USAGE, "--format",
                     "\"%.40s\" is no format; give text, csv or "
                     "json.",
                     text);
}

/* Takes one of the program's own options. */
static enum status take_common(struct cli_call *call, int option, const char *value,
                               struct error *error)
{
    if (option == OPTION_FORMAT) {
        call->format_given = true;
        return cli_read_format(value, &call->format, error);
    }
    if (option == OPTION_STORE) {
        if (value[0] == '\0')
            return error_set(error, STATUS_USAGE, "--store", "Give the path of the store.");
        call->store_given = true;
        call->store_path = value;
        return STATUS_OK;
    }
    call->help = true;
    return error_set(error, STATUS_USAGE, call->argv[0], "Help was asked for.");
}

/* getopt_long stands behind the option it refuses, or on it if it is one of several letters. */
static enum status refuse_option(const struct cli_call *call, int result, struct error *error)
{
    bool behind = optind >= call->argc || (optind > 1 && call->argv[optind - 1][0] == '-');
    const char *given = call->argv[behind ? optind - 1 : optind];

    if (result == ':')
        return error_set(error, STATUS_USAGE, call->argv[0], "The option %.60s needs a value; %s.",
                         given, help_hint);
    return error_set(error, STATUS_USAGE, call->argv[0],
                     "The option %.60s is not known here, or takes no value, or is cut too short; "
                     "%s.",
                     given, help_hint);
}

static enum status take_operands(struct cli_call *call, int first, int least, int most,
                                 const char *operands[CLI_OPERANDS_MAX], struct error *error)
{
    int count = call->argc - first;

    if (count < least)
        return error_set(error, STATUS_USAGE, call->argv[0],
                         "Give %s after %s; see springline help %s.", help_needs(call->command),
                         call->argv[0], call->argv[0]);
    if (count > most)
        return error_set(error, STATUS_USAGE, call->argv[0], "\"%.60s\" is one word too many; %s.",
                         call->argv[first + most], help_hint);
    for (int i = 0; i < most; i++)
        operands[i] = i < count ? call->argv[first + i] : NULL;
    return STATUS_OK;
}

enum status cli_read_options(struct cli_call *call, const struct cli_option *options, size_t count,
                             int least, int most, const char *operands[CLI_OPERANDS_MAX],
                             struct error *error)
{
    struct option known[CLI_OPTIONS_MAX + 4] = {{0}};
    size_t used = 0;
    int result;

    for (; used < count; used++)
        known[used] = (struct option){options[used].name,
                                      options[used].value != NULL ? required_argument : no_argument,
                                      NULL, (int)used};
    known[used++] = (struct option){"store", required_argument, NULL, OPTION_STORE};
    known[used++] = (struct option){"format", required_argument, NULL, OPTION_FORMAT};
    known[used] = (struct option){"help", no_argument, NULL, OPTION_HELP};
    opterr = 0;
    optind = 0; /* glibc: start anew, with another list */
    for (;;) {
        enum status status = STATUS_OK;

        result = getopt_long(call->argc, call->argv, ":", known, NULL);
        if (result == -1)
            break;
        if (result == '?' || result == ':')
            return refuse_option(call, result, error);
        if (result >= OPTION_STORE)
            status = take_common(call, result, optarg, error);
        else if (options[result].value != NULL)
            *options[result].value = optarg;
        if (status != STATUS_OK)
            return status;
        if (result < OPTION_STORE && options[result].given != NULL)
            *options[result].given = true;
    }
    return take_operands(call, optind, least, most, operands, error);
}

enum status cli_read_day(const char *option, const char *text, day *date, struct error *error)
{
    if (text == NULL || day_from_text(text, date))
        return STATUS_OK;
    return error_set(error, STATUS_USAGE, option,
                     "\"%.40s\" is not a day of the calendar; give it as YYYY-MM-DD.", text);
}

enum status cli_read_number(const char *option, const char *text, int32_t most, int32_t *number,
                            struct error *error)
{
    int32_t value = 0;
    const char *at = text;

    if (text == NULL)
        return STATUS_OK;
    for (; *at >= '0' && *at <= '9' && value <= most; at++)
        value = value * 10 + (*at - '0');
    if (at == text || *at != '\0' || value > most)
        return error_set(error, STATUS_USAGE, option,
                         "\"%.40s\" is not a whole number from 0 to %d.", text, (int)most);
    *number = value;
    return STATUS_OK;
}

enum status cli_read_amount(const char *option, const char *text, um *amount, struct error *error)
{
    um value = 0;

    if (text == NULL)
        return STATUS_OK;
    if (millimetre_from_text(text, MARK_POINT_OR_COMMA, option, &value, error) != STATUS_OK) {
        if (error != NULL)
            error->status = STATUS_USAGE;
        return STATUS_USAGE;
    }
    if (value < 0)
        return error_set(error, STATUS_USAGE, option, "An amount can not lie below 0.");
    *amount = value;
    return STATUS_OK;
}

enum status cli_read_word(const char *option, const char *text, const struct words *words,
                          int *value, struct error *error)
{
    struct text choices = {0};
    int found = text == NULL ? 0 : word_value(words, text);

    if (text == NULL)
        return STATUS_OK;
    if (found > 0) {
        *value = found;
        return STATUS_OK;
    }
    for (size_t i = 1; i < words->count; i++)
        text_addf(&choices, "%s%s",
                  i == 1                  ? ""
                  : i + 1 == words->count ? " or "
                                          : ", ",
                  words->texts[i]);
    enum status status = error_set(error, STATUS_USAGE, option, "\"%.40s\" is not known; give %s.",
                                   text, text_string(&choices));
    text_release(&choices);
    return status;
}
