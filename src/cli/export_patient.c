/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Everything of one patient: gathered whole, then written into a folder that was not there. */
#include "export_patient.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "springline/app/subject.h"
#include "springline/cli/csv.h"
#include "springline/cli/file.h"
#include "springline/cli/output.h"

enum { FILES_MAX = 32, FOLDER_MODE = 0700, FILE_MODE = 0600 };

struct gathered {
    const char *names[FILES_MAX]; /* constants of app */
    struct text texts[FILES_MAX];
    size_t count;
};

static void clear(void *context)
{
    struct gathered *gathered = context;

    for (size_t i = 0; i < gathered->count; i++)
        text_release(&gathered->texts[i]);
    gathered->count = 0;
}

static enum status begin(void *context, const char *name, struct error *error)
{
    struct gathered *gathered = context;

    if (gathered->count == FILES_MAX)
        return error_set(error, STATUS_UNUSABLE, name,
                         "There are more files than can be written; tell the maintainers.");
    gathered->names[gathered->count] = name;
    gathered->texts[gathered->count++] = (struct text){0};
    return STATUS_OK;
}

static enum status take_row(void *context, const char *const *cells, size_t count,
                            struct error *error)
{
    struct gathered *gathered = context;
    struct text *text = &gathered->texts[gathered->count - 1];

    csv_add_row(text, cells, count);
    return text->failed ? error_no_memory(error) : STATUS_OK;
}

static enum status take_text(void *context, const char *name, const char *content,
                             struct error *error)
{
    struct gathered *gathered = context;

    enum status status = begin(context, name, error);
    if (status != STATUS_OK)
        return status;
    cli_add_lines(&gathered->texts[gathered->count - 1], content);
    return gathered->texts[gathered->count - 1].failed ? error_no_memory(error) : STATUS_OK;
}

/* ---- writing ---- */

static enum status refuse(const char *path, const char *what, int problem, struct error *error)
{
    return error_set(error, STATUS_INPUT, path, "%s: %s.", what, strerror(problem));
}

/* Opened by its own handle: nobody can put another folder in its place meanwhile. */
static enum status make_folder(const char *folder, int *handle, struct error *error)
{
    if (mkdir(folder, FOLDER_MODE) != 0) {
        if (errno == EEXIST)
            return error_set(error, STATUS_INPUT, folder,
                             "%s exists already and is left as it is; name a folder that does not "
                             "exist.",
                             folder);
        return refuse(folder, "The folder can not be made", errno, error);
    }
    *handle = open(folder, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
    if (*handle >= 0)
        return STATUS_OK;
    int problem = errno;
    (void)rmdir(folder);
    return refuse(folder, "The folder can not be opened", problem, error);
}

static bool put_text(int file, const struct text *text)
{
    const char *at = text_string(text);
    size_t left = text->length;

    while (left > 0) {
        ssize_t written = write(file, at, left);

        if (written < 0 && errno == EINTR)
            continue;
        if (written <= 0)
            return false;
        at += written;
        left -= (size_t)written;
    }
    return fsync(file) == 0;
}

static enum status write_one(int folder, const char *name, const struct text *text,
                             struct error *error)
{
    int file =
        openat(folder, name, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, FILE_MODE);
    int problem = errno;

    if (file < 0)
        return refuse(name, "The file can not be made", problem, error);
    errno = 0;
    bool good = put_text(file, text);
    problem = errno;
    if (close(file) != 0 && good) {
        good = false;
        problem = errno;
    }
    if (good)
        return STATUS_OK;
    return error_set(error, STATUS_UNUSABLE, name, "The file could not be written whole: %s.",
                     strerror(problem == 0 ? ENOSPC : problem));
}

/* What this call made, and nothing else. */
static void take_away(int handle, const char *folder, const struct gathered *gathered)
{
    for (size_t i = 0; i < gathered->count; i++)
        (void)unlinkat(handle, gathered->names[i], 0);
    (void)rmdir(folder);
}

static enum status write_all(const char *folder, const struct gathered *gathered,
                             struct error *error)
{
    int handle = -1;
    enum status status = make_folder(folder, &handle, error);

    if (status != STATUS_OK)
        return status;
    for (size_t i = 0; i < gathered->count && status == STATUS_OK; i++)
        status = write_one(handle, gathered->names[i], &gathered->texts[i], error);
    if (status == STATUS_OK)
        (void)fsync(handle); /* some file systems can not */
    else
        take_away(handle, folder, gathered);
    (void)close(handle);
    if (status == STATUS_OK)
        cli_file_sync_folder(folder);
    return status;
}

static enum status tell(struct cli_session *session, const char *folder,
                        const struct gathered *gathered, struct error *error)
{
    struct text line = {0};

    text_addf(&line, "springline: %zu files in ", gathered->count);
    text_add_shown(&line, folder);
    text_add(&line, "; record.txt says what they are\n");
    return cli_put(session->start->err, &line, error);
}

/* Before anything is logged as handed out. */
static enum status check_folder(const char *folder, struct error *error)
{
    struct stat found;

    if (lstat(folder, &found) != 0)
        return STATUS_OK; /* what can not be reached is told by the first write */
    return error_set(error, STATUS_INPUT, folder,
                     "%s exists already and is left as it is; name a folder that does not exist.",
                     folder);
}

enum status export_patient(struct cli_session *session, const char *chart, const char *folder,
                           struct error *error)
{
    struct gathered gathered = {.count = 0};
    const struct subject_taker taker = {clear, begin, take_row, take_text, &gathered};

    enum status status = check_folder(folder, error);
    if (status == STATUS_OK)
        status = subject_copy(&session->app, chart, &taker, error);
    if (status == STATUS_OK)
        status = write_all(folder, &gathered, error);
    if (status == STATUS_OK)
        status = tell(session, folder, &gathered, error);
    clear(&gathered);
    return status;
}
