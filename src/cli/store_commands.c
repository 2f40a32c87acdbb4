/* SPDX-License-Identifier: GPL-3.0-or-later */
/* init, verify. */
#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "springline/app/anchor.h"
#include "springline/cli/commands.h"
#include "springline/cli/file.h"
#include "springline/cli/options.h"
#include "springline/cli/output.h"

/* Makes the folders of the default place, for the owner alone. Those of a path that was given are
 * not made: a slip in it should be seen. */
static enum status make_folders(const char *path, struct error *error)
{
    struct text folder = {0};
    enum status status = STATUS_OK;

    for (size_t i = 1; path[i] != '\0' && status == STATUS_OK; i++) {
        if (path[i] != '/')
            continue;
        text_clear(&folder);
        text_append(&folder, path, i);
        if (folder.failed)
            status = error_no_memory(error);
        else if (mkdir(text_string(&folder), 0700) != 0 && errno != EEXIST)
            status = error_set(error, STATUS_UNUSABLE, text_string(&folder),
                               "The folder can not be made: %s.", strerror(errno));
    }
    text_release(&folder);
    return status;
}

/* What was made, and who may do what in it from now on. */
static enum status tell_made(struct cli_session *session, const char *what,
                             const struct founder *founder, struct error *error)
{
    struct text line = {0};

    text_addf(&line, "springline: %s ", what);
    text_add_shown(&line, session->call.store_path);
    text_add(&line, "; first orthodontist: ");
    text_add_shown(&line, founder->name != NULL && founder->name[0] != '\0' ? founder->name
                                                                            : founder->login);
    text_add(&line, " (login ");
    text_add_shown(&line, founder->login);
    text_add(&line, founder->alone ? "), who works alone: nobody is asked who they are\n" : ")\n");
    return cli_put(session->start->err, &line, error);
}

/* A store that is there already: an older one, in which no orthodontist was recorded. */
static enum status name_first(struct cli_session *session, const struct founder *founder,
                              struct error *error)
{
    enum status status =
        store_open(session->call.store_path, session->start->source, &session->app.store, error);
    if (status == STATUS_OK)
        status = app_renew_states(&session->app, error);
    if (status == STATUS_OK)
        status = app_know_person(&session->app, error);
    if (status != STATUS_OK)
        return status;
    if (!session->app.nobody)
        return error_set(error, STATUS_INPUT, session->call.store_path,
                         "A store is there already, and an orthodontist is recorded in it; nothing "
                         "was changed.");
    status = app_first_person(&session->app, founder, error);
    return status == STATUS_OK ? tell_made(session, "store", founder, error) : status;
}

enum status cli_init(struct cli_session *session, struct error *error)
{
    const struct cli_start *start = session->start;
    struct founder founder = {.login = start->user};
    const struct cli_option options[] = {{"name", &founder.name, NULL},
                                         {"login", &founder.login, NULL},
                                         {"alone", NULL, &founder.alone}};

    enum status status = cli_read_options(&session->call, options, 3, 0, 0, NULL, error);
    if (status == STATUS_OK && founder.login[0] == '\0')
        return error_set(error, STATUS_USAGE, "--login",
                         "Give the login name of the first orthodontist.");
    if (status == STATUS_OK && start->default_place && !session->call.store_given)
        status = make_folders(start->store_path, error);
    if (status != STATUS_OK)
        return status;
    if (access(session->call.store_path, F_OK) == 0 && !session->call.help)
        return name_first(session, &founder, error);
    status = app_init_store(session->call.store_path, start->source, &founder, error);
    return status == STATUS_OK ? tell_made(session, "new store", &founder, error) : status;
}

static enum status put_verified(struct cli_session *session, const struct text *findings,
                                struct error *error)
{
    static const struct cli_column columns[] = {{"finding", COLUMN_TEXT}};
    struct cli_table table;

    cli_table_begin(&table, session->start->out, session->call.format, columns, 1);
    for (const char *at = text_string(findings); at[0] != '\0';) {
        size_t length = strcspn(at, "\n");
        struct text line = {0};

        text_append(&line, at, length);
        const char *const cells[] = {text_string(&line)};
        cli_table_row(&table, cells);
        table.failed = table.failed || line.failed;
        text_release(&line);
        at += length + (at[length] == '\n');
    }
    return cli_table_end(&table, error);
}

enum { MANIFEST_MOST = 4096 };

/* What the store is to be held against; a sequence of 0: nothing. */
struct anchors {
    struct anchor typed, manifest;
};

static enum status read_anchors(struct cli_session *session, struct anchors *anchors,
                                struct error *error)
{
    const char *typed = NULL, *manifest = NULL;
    const struct cli_option options[] = {{"against", &typed, NULL}, {"manifest", &manifest, NULL}};
    struct text content = {0};

    *anchors = (struct anchors){0};
    enum status status = cli_read_options(&session->call, options, 2, 0, 0, NULL, error);
    if (status == STATUS_OK && typed != NULL)
        status = anchor_from_text(typed, &anchors->typed, error);
    if (status == STATUS_OK && manifest != NULL) {
        status = cli_file_read(manifest, MANIFEST_MOST, &content, error);
        if (status == STATUS_OK)
            status =
                anchor_from_manifest(text_string(&content), manifest, &anchors->manifest, error);
    }
    text_release(&content);
    return status;
}

/* A store that is not sound is held against them all the same; the first thing wrong is told. */
static enum status verify_all(struct app *app, const struct anchors *anchors, struct text *findings,
                              struct error *error)
{
    const struct anchor *const each[] = {&anchors->typed, &anchors->manifest};
    enum status status = app_verify(app, findings, error);

    for (size_t i = 0; i < sizeof each / sizeof each[0]; i++) {
        struct error problem = {0};

        if (each[i]->sequence == 0 || (status != STATUS_OK && status != STATUS_DAMAGED))
            continue;
        enum status held = anchor_hold(app, each[i], findings, &problem);
        if (held != STATUS_OK && status == STATUS_OK) {
            status = held;
            *error = problem;
        } else if (held != STATUS_OK) {
            text_addf(findings, "%s\n", problem.sentence);
        }
    }
    return status;
}

enum status cli_verify(struct cli_session *session, struct error *error)
{
    struct text findings = {0}, shown = {0};
    struct anchors anchors;
    struct error output;

    enum status status = read_anchors(session, &anchors, error);
    if (status == STATUS_OK)
        status = cli_open(session, error);
    if (status != STATUS_OK)
        return status;
    status = verify_all(&session->app, &anchors, &findings, error);
    if (session->call.format == FORMAT_TEXT) {
        cli_add_lines(&shown, text_string(&findings));
        (void)cli_put(session->start->out, &shown, &output);
    } else {
        (void)put_verified(session, &findings, &output);
    }
    text_release(&findings);
    return status;
}
