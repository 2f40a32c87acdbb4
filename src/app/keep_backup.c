/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Backups: one is made and noted in the store, and the age of the newest is told. */
#include <inttypes.h>
#include <stdlib.h>

#include "springline/app/anchor.h"
#include "springline/app/authority.h"
#include "springline/app/keep.h"

enum { LABEL_MOST = 4000 };

/* The place of the backup from the root, as it can be shown; "" when it is too long to be kept. */
static void add_label(struct text *label, const char *path)
{
    char *absolute = realpath(path, NULL);

    text_add_shown(label, absolute != NULL ? absolute : path);
    free(absolute);
    if (label->length > LABEL_MOST)
        text_clear(label);
}

/* The save without rows that says when a backup was made, and where. */
static enum status record_backup(struct app *app, const char *path, struct error *error)
{
    struct text label = {0};
    struct app_save save;

    add_label(&label, path);
    if (label.failed)
        return error_no_memory(error);
    const struct store_request request = {.id = store_new_id(app->store),
                                          .command = "backup",
                                          .seat = app->seat,
                                          .label = text_string(&label)};
    const struct log_entry entry = {
        .what = ACCESS_EXPORTED, .command = COMMAND_BACKUP, .detail = "a copy of the whole store"};
    enum status status = app_save_begin(app, COMMAND_BACKUP, &request, &save, error);
    if (status == STATUS_OK) {
        status = app_log_append(app, &entry, error);
        if (status == STATUS_OK)
            status = app_save_commit(&save, error);
        else
            app_save_drop(&save);
    }
    text_release(&label);
    return status;
}

static void tell_copy(struct text *out, const char *path, const struct store_copy *copy)
{
    text_add_shown(out, path);
    text_addf(out, ": %" PRId64 " ledger rows, copied, read again and checked; head ", copy->rows);
    anchor_add(out, copy->sequence, copy->head);
    text_add(out, "\n");
    text_add_shown(out, path);
    text_add(out, ".manifest: the head and the number of rows; keep or print it elsewhere\n");
}

enum status keep_backup(struct app *app, const char *path, struct text *out, struct error *error)
{
    struct store_copy copy;
    struct error problem = {0};

    enum status status = app_allow(app, COMMAND_BACKUP, NULL, error);
    if (status == STATUS_OK)
        status = store_backup(app->store, path, &copy, error);
    if (status != STATUS_OK)
        return status;
    tell_copy(out, path, &copy);
    status = record_backup(app, path, &problem);
    if (status != STATUS_OK)
        return error_set(error, status, path,
                         "The backup is whole, but that it was made could not be noted in the "
                         "store: %s",
                         problem.sentence);
    return out->failed ? error_no_memory(error) : STATUS_OK;
}

static enum status see_case(void *context, const struct case_state *state, day booked,
                            struct error *error)
{
    (void)state;
    (void)booked;
    (void)error;
    *(bool *)context = true;
    return STATUS_NO; /* one is enough */
}

static enum status any_case(struct app *app, bool *any, struct error *error)
{
    *any = false;
    enum status status = store_each_state(app->store, app->today, see_case, any, error);
    return status == STATUS_NO ? STATUS_OK : status;
}

enum status keep_stale(struct app *app, struct text *out, struct error *error)
{
    instant made = INSTANT_NONE;
    bool any;

    enum status status = store_newest_save(app->store, "backup", &made, error);
    bool never = status == STATUS_NOT_FOUND;
    if (status != STATUS_OK && !never)
        return status;
    /* The age of a file goes by the real clock, not by the day of treatment. */
    int64_t days = never ? 0 : (store_instant(app->store) - made) / SECONDS_OF_DAY;
    if (!never && days < KEEP_STALE_DAYS)
        return STATUS_OK;
    status = any_case(app, &any, error);
    if (status != STATUS_OK || !any)
        return status;
    if (never)
        text_add(out, "No backup was ever made (springline backup FILE)");
    else
        text_addf(out, "The last backup is %" PRId64 " days old (springline backup FILE)", days);
    return out->failed ? error_no_memory(error) : STATUS_OK;
}
