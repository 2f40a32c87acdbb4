/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Files that are whole or not there: written beside their place under another name (mode 0600),
 * flushed to the disk, then renamed, and the folder flushed too.
 */
#ifndef SPRINGLINE_CLI_FILE_H
#define SPRINGLINE_CLI_FILE_H

#include <stdio.h>

#include "springline/base/error.h"
#include "springline/base/text.h"

struct cli_file {
    FILE *out;
    struct text path, temporary; /* where it will be, where it is until then */
};

/* Opens path for writing aside. STATUS_INPUT: the folder can not be written. */
enum status cli_file_begin(struct cli_file *file, const char *path, struct error *error);
/* Flushes and closes what was written; it stays aside. STATUS_UNUSABLE: the disk is full ... */
enum status cli_file_finish(struct cli_file *file, struct error *error);
/* Puts a finished file in its place and releases. */
enum status cli_file_place(struct cli_file *file, struct error *error);
/* Removes what was written aside and releases; harmless after cli_file_place. */
void cli_file_drop(struct cli_file *file);

/* Reads a whole file of at most so many bytes into content. STATUS_INPUT: it can not be read, or is
 * larger. */
enum status cli_file_read(const char *path, size_t most, struct text *content, struct error *error);

/* Flushes the folder that holds path, so that a rename survives a power cut. Best effort where a
 * file system can not. */
void cli_file_sync_folder(const char *path);

#endif
