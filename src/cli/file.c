/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/cli/file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static enum status refuse(enum status status, const char *path, const char *what, int problem,
                          struct error *error)
{
    return error_set(error, status, path, "%s: %s.", what, strerror(problem));
}

enum status cli_file_begin(struct cli_file *file, const char *path, struct error *error)
{
    int made;

    *file = (struct cli_file){0};
    text_add(&file->path, path);
    text_add(&file->temporary, path);
    text_add(&file->temporary, ".XXXXXX");
    if (file->path.failed || file->temporary.failed) {
        cli_file_drop(file);
        return error_no_memory(error);
    }
    made = mkostemp(file->temporary.data, O_CLOEXEC); /* mode 0600 */
    if (made < 0) {
        enum status status =
            refuse(STATUS_INPUT, path, "The file can not be made in this folder", errno, error);

        text_clear(&file->temporary);
        cli_file_drop(file);
        return status;
    }
    file->out = fdopen(made, "w");
    if (file->out == NULL) {
        (void)close(made);
        cli_file_drop(file);
        return error_no_memory(error);
    }
    return STATUS_OK;
}

enum status cli_file_finish(struct cli_file *file, struct error *error)
{
    bool good;
    int problem = 0;

    errno = 0;
    good = fflush(file->out) == 0 && !ferror(file->out) && fsync(fileno(file->out)) == 0;
    problem = errno;
    errno = 0;
    if (fclose(file->out) != 0 && good) {
        good = false;
        problem = errno;
    }
    file->out = NULL;
    if (!good)
        return refuse(STATUS_UNUSABLE, text_string(&file->path),
                      "The file could not be written whole and is left as it was", problem, error);
    return STATUS_OK;
}

void cli_file_sync_folder(const char *path)
{
    struct text folder = {0};
    const char *slash = strrchr(path, '/');

    if (slash == NULL)
        text_add(&folder, ".");
    else
        text_append(&folder, path, slash == path ? 1 : (size_t)(slash - path));
    int opened = open(text_string(&folder), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (opened >= 0) {
        (void)fsync(opened);
        (void)close(opened);
    }
    text_release(&folder);
}

enum status cli_file_place(struct cli_file *file, struct error *error)
{
    enum status status = STATUS_OK;

    if (rename(text_string(&file->temporary), text_string(&file->path)) != 0) {
        status = refuse(STATUS_INPUT, text_string(&file->path),
                        "The file can not be put in its place", errno, error);
    } else {
        text_clear(&file->temporary);
        cli_file_sync_folder(text_string(&file->path));
    }
    cli_file_drop(file);
    return status;
}

void cli_file_drop(struct cli_file *file)
{
    if (file->out != NULL)
        (void)fclose(file->out);
    file->out = NULL;
    if (file->temporary.length > 0)
        (void)unlink(file->temporary.data);
    text_release(&file->temporary);
    text_release(&file->path);
}

enum status cli_file_read(const char *path, size_t most, struct text *content, struct error *error)
{
    char bytes[1024];
    size_t got;
    FILE *in = fopen(path, "re");

    if (in == NULL)
        return refuse(STATUS_INPUT, path, "The file can not be opened", errno, error);
    errno = 0;
    while (content->length <= most && (got = fread(bytes, 1, sizeof bytes, in)) > 0)
        text_append(content, bytes, got);
    int problem = errno;
    bool good = !ferror(in);
    (void)fclose(in);
    if (content->failed)
        return error_no_memory(error);
    if (!good)
        return refuse(STATUS_INPUT, path, "The file can not be read", problem, error);
    if (content->length > most)
        return error_set(error, STATUS_INPUT, path, "The file is larger than %zu bytes.", most);
    return STATUS_OK;
}
