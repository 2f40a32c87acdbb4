/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The options and operands of one sub-command. */
#ifndef SPRINGLINE_CLI_OPTIONS_H
#define SPRINGLINE_CLI_OPTIONS_H

#include "springline/base/date.h"
#include "springline/base/millimetre.h"
#include "springline/cli/cli.h"

struct cli_option {
    const char *name;   /* "on" for --on */
    const char **value; /* set to the value given; NULL: the option takes none */
    bool *given;        /* set when the option is given; may be NULL where value is not */
};

enum { CLI_OPTIONS_MAX = 12, CLI_OPERANDS_MAX = 1 };

/*
 * Reads call's arguments after the sub-command's name: its options, those of the program
 * (--store, --format, --help) which may stand here too, and from least to most operands.
 * STATUS_USAGE with one sentence.
 */
enum status cli_read_options(struct cli_call *call, const struct cli_option *options, size_t count,
                             int least, int most, const char *operands[CLI_OPERANDS_MAX],
                             struct error *error);

/* "text", "csv" or "json". */
enum status cli_read_format(const char *text, enum cli_format *format, struct error *error);
/* A date given to an option; NULL: *date untouched. STATUS_USAGE. */
enum status cli_read_day(const char *option, const char *text, day *date, struct error *error);
/* A whole number from 0 to most; NULL: *number untouched. STATUS_USAGE. */
enum status cli_read_number(const char *option, const char *text, int32_t most, int32_t *number,
                            struct error *error);
/* An amount in mm from 0, with point or comma; NULL: *amount untouched. STATUS_USAGE. */
enum status cli_read_amount(const char *option, const char *text, um *amount, struct error *error);
/* One of words; NULL: *value untouched. STATUS_USAGE names them all. */
enum status cli_read_word(const char *option, const char *text, const struct words *words,
                          int *value, struct error *error);

#endif
