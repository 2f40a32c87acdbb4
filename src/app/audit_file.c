/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The printed month as a new file in the working directory. */
#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "springline/app/audit_view.h"
#include "springline/app/authority.h"

enum { NAME_SIZE = 32, FILE_MODE = 0600 };

static enum status refuse(const char *name, const char *what, int problem, struct error *error)
{
    char folder[PATH_MAX];

    if (getcwd(folder, sizeof folder) == NULL)
        folder[0] = '\0';
    return error_set(error, STATUS_INPUT, name,
                     "%s %s: %s; start the program in a folder that can be written (now %.200s).",
                     name, what, strerror(problem), folder[0] == '\0' ? "gone" : folder);
}

/* Makes the first of the names that nothing bears yet: never over what is there. */
static enum status make_file(day month, char name[NAME_SIZE], int *made, struct error *error)
{
    char text[MONTH_TEXT_SIZE];

    (void)month_to_text(month, text);
    for (int i = 1; i <= AUDIT_PAPER_TRIES; i++) {
        if (i == 1)
            (void)snprintf(name, NAME_SIZE, "audit-%s.txt", text);
        else
            (void)snprintf(name, NAME_SIZE, "audit-%s-%d.txt", text, i);
        *made = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, FILE_MODE);
        if (*made >= 0)
            return STATUS_OK;
        if (errno != EEXIST)
            return refuse(name, "can not be made", errno, error);
    }
    return refuse(name, "and all before it are there already", EEXIST, error);
}

static bool write_all(int file, const char *bytes, size_t length)
{
    while (length > 0) {
        ssize_t written = write(file, bytes, length);

        if (written < 0 && errno == EINTR)
            continue;
        if (written <= 0)
            return false;
        bytes += written;
        length -= (size_t)written;
    }
    return fsync(file) == 0;
}

static enum status put_file(day month, const struct text *paper, char name[NAME_SIZE],
                            struct error *error)
{
    int file = -1;
    enum status status = make_file(month, name, &file, error);

    if (status != STATUS_OK)
        return status;
    errno = 0;
    bool good = write_all(file, text_string(paper), paper->length);
    int problem = good ? 0 : errno;
    if (close(file) != 0 && good) {
        good = false;
        problem = errno;
    }
    if (good)
        return STATUS_OK;
    (void)unlink(name);
    return refuse(name, "could not be written whole and was taken away again",
                  problem == 0 ? EIO : problem, error);
}

enum status audit_log_printed(struct app *app, day month, size_t cases, int64_t as_of,
                              struct error *error)
{
    char text[MONTH_TEXT_SIZE], detail[80];
    const struct log_entry entry = {.what = ACCESS_PRINTED,
                                    .command = COMMAND_AUDIT,
                                    .subject = month_to_text(month, text),
                                    .detail = detail};

    (void)snprintf(detail, sizeof detail, "%zu cases, as of ledger row %" PRId64, cases, as_of);
    return app_log(app, &entry, error);
}

static enum status draw_now(struct app *app, day month, struct text *paper, struct error *error)
{
    struct arena arena = {0};
    struct audit_list list = {0};
    uint8_t hash[32];
    int64_t sequence = 0;

    /* All of it as of one row of the ledger: another seat may save while it is drawn. */
    enum status status = store_head(app->store, &sequence, hash, error);
    if (status == STATUS_OK)
        status = lists_audit(app, month, sequence, &arena, &list, error);
    if (status == STATUS_OK)
        status = audit_view_paper(app, &list, month, sequence, AUDIT_PAPER_ROWS,
                                  AUDIT_PAPER_COLUMNS, paper, error);
    if (status == STATUS_OK)
        status = audit_log_printed(app, month, list.count, sequence, error);
    arena_release(&arena);
    return status;
}

/* As of its close; never what is not what was signed. */
static enum status draw_closed(struct app *app, const struct month_closed *closed,
                               struct text *paper, struct error *error)
{
    struct arena arena = {0};
    struct audit_list list;
    struct text why = {0};
    enum month_truth truth = MONTH_OTHER;

    enum status status = month_redraw(app, closed, &arena, &list, &truth, error);
    if (status == STATUS_OK && truth == MONTH_OTHER) {
        month_add_truth(&why, closed, truth);
        status = error_set(error, STATUS_DAMAGED, closed->close.month, "%s", text_string(&why));
    }
    if (status == STATUS_OK)
        status = audit_view_paper(app, &list, closed->first, closed->close.newest_row,
                                  AUDIT_PAPER_ROWS, AUDIT_PAPER_COLUMNS, paper, error);
    if (status == STATUS_OK)
        status = audit_log_printed(app, closed->first, list.count, closed->close.newest_row, error);
    text_release(&why);
    arena_release(&arena);
    return status;
}

static enum status draw(struct app *app, day month, bool now, struct text *paper,
                        struct error *error)
{
    struct arena arena = {0};
    struct month_closed closed;

    enum status status = now ? STATUS_NOT_FOUND : month_find(app, month, &arena, &closed, error);
    if (status == STATUS_NOT_FOUND)
        status = draw_now(app, month, paper, error);
    else if (status == STATUS_OK)
        status = draw_closed(app, &closed, paper, error);
    arena_release(&arena);
    return status;
}

static enum status write_sheet(struct app *app, day month, bool now, struct text *told)
{
    struct text paper = {0};
    struct error error = {0};
    char folder[PATH_MAX], name[NAME_SIZE];

    enum status status = app_allow(app, COMMAND_WRITE_SHEET, NULL, &error);
    if (status == STATUS_OK)
        status = draw(app, month, now, &paper, &error);
    if (status == STATUS_OK)
        status = put_file(month, &paper, name, &error);
    text_release(&paper);
    if (status != STATUS_OK)
        text_add(told, error.sentence);
    else if (getcwd(folder, sizeof folder) == NULL)
        text_addf(told, "Written: %s", name);
    else
        text_addf(told, "Written: %s/%s", strcmp(folder, "/") == 0 ? "" : folder, name);
    return status;
}

enum status audit_view_write(struct app *app, day month, struct text *told)
{
    return write_sheet(app, month, false, told);
}

enum status audit_view_write_now(struct app *app, day month, struct text *told)
{
    return write_sheet(app, month, true, told);
}
