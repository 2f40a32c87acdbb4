/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The text format of a table: rows are kept until the widths are known. */
#ifndef SPRINGLINE_CLI_TABLE_TEXT_H
#define SPRINGLINE_CLI_TABLE_TEXT_H

#include "springline/cli/output.h"

/* Keeps one row, with the table's note. */
void table_text_keep(struct cli_table *table, const char *const *cells);
/* Writes header and rows. */
void table_text_put(struct cli_table *table);

#endif
