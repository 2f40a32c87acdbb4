/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A damaged store: the file of a small practice, changed as tests/support/damage.h says (one byte
 * first: with its triggers or without, and what is asked of it). It is refused in a sentence, or it
 * works; it is never written by being opened and read, and nothing it holds steers a terminal.
 */
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "damage.h"
#include "fuzz.h"
#include "springline/app/case_view.h"
#include "springline/app/lists.h"
#include "springline/cli/cli.h"
#include "sqlite_pool.h"

/* A whole file in memory. */
struct image {
    unsigned char *bytes;
    size_t length;
};

/* The sound store, with its triggers and without, and its tables. */
struct sound {
    struct fuzz_store practice;
    struct image images[2];
    struct damage_plan plan;
    unsigned char *copy; /* room for one that is damaged */
    char path[440];      /* where it lies */
};

static struct image load(const char *path)
{
    struct image image = {0};
    struct stat about;
    int file = open(path, O_RDONLY | O_CLOEXEC);

    fuzz_demand(file >= 0 && fstat(file, &about) == 0, "the file is there");
    image.length = (size_t)about.st_size;
    image.bytes = malloc(image.length + 1);
    fuzz_demand(image.bytes != NULL, "there is memory");
    fuzz_demand(read(file, image.bytes, image.length) == (ssize_t)image.length, "it is read");
    close(file);
    return image;
}

static void lay_down(const char *path, const unsigned char *bytes, size_t length)
{
    int file = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);

    fuzz_demand(file >= 0 && write(file, bytes, length) == (ssize_t)length, "it is written");
    close(file);
}

/* A visit with its verdict, a draft, a correction and a withdrawal, so that there is each sort. */
static void fill(struct fuzz_store *practice)
{
    static const char typed[] = "visit 1 2026-11-25\nwear-met 0 2\nwear-asked 0 6\n"
                                "wear-source 0 1\ntissue 1 0\nhardware 1 0\nright 1 0.00\n"
                                "left 1 0.00\ntissue 2 0\nhardware 2 0\nright 2 0.00\n"
                                "left 2 0.00\nnext 0 2026-12-16\nnote 0 words\n";
    struct app *app = &practice->app;
    struct visit_sheet sheet;
    struct error error = {0};
    struct draft draft = {.content = typed};

    fuzz_demand(visit_open(app, &practice->cases[1], &sheet, &error) == STATUS_OK, "a visit");
    draft.request = sheet.request;
    fuzz_demand(visit_from_draft(app, &sheet, &draft, &error) == STATUS_OK, "is typed");
    fuzz_demand(visit_put_draft(app, &sheet, &error) == STATUS_OK, "left");
    (void)visit_save(app, &sheet, 0, "", &error);
    visit_release(&sheet);
    fuzz_demand(visit_open(app, &practice->cases[0], &sheet, &error) == STATUS_OK, "another");
    draft.request = sheet.request;
    fuzz_demand(visit_from_draft(app, &sheet, &draft, &error) == STATUS_OK, "is typed");
    fuzz_demand(visit_put_draft(app, &sheet, &error) == STATUS_OK, "and left");
    visit_release(&sheet);
}

static struct sound *make_sound(void)
{
    static struct sound sound;
    struct error error = {0};

    if (sound.copy != NULL)
        return &sound;
    sqlite_pool_use();
    fuzz_store_make(&sound.practice, "store");
    fill(&sound.practice);
    store_close(sound.practice.app.store);
    sound.practice.app.store = NULL;
    sound.images[0] = load(sound.practice.path);
    damage_read_plan(sound.practice.path, &sound.plan);
    damage_drop_triggers(sound.practice.path);
    sound.images[1] = load(sound.practice.path);
    sound.copy = malloc(sound.images[0].length + sound.images[1].length);
    fuzz_demand(sound.copy != NULL, "there is memory");
    snprintf(sound.path, sizeof sound.path, "%s.damaged", sound.practice.path);
    /* What is damaged below was sound. */
    fuzz_demand(store_open(sound.practice.path, &sound.practice.source, &sound.practice.app.store,
                           &error) == STATUS_OK,
                "a store without triggers is opened");
    store_close(sound.practice.app.store);
    sound.practice.app.store = NULL;
    return &sound;
}

/* ---- every reading ---- */

static enum status any(void *context, const void *record, struct error *error)
{
    (void)context;
    (void)record;
    (void)error;
    return STATUS_OK;
}

static enum status any_case(void *context, const struct history *history, struct error *error)
{
    return any(context, history, error);
}

static enum status any_state(void *context, const struct case_state *state, day booked,
                             struct error *error)
{
    (void)booked;
    return any(context, state, error);
}

static enum status any_booking(void *context, const struct booking *booking,
                               const struct case_state *state, struct error *error)
{
    (void)state;
    return any(context, booking, error);
}

static enum status any_draft(void *context, const struct draft *draft, struct error *error)
{
    return any(context, draft, error);
}

static enum status any_save(void *context, const struct store_save_told *told, struct error *error)
{
    return any(context, told, error);
}

static enum status any_version(void *context, const void *record,
                               const struct store_withdrawn *withdrawn, struct error *error)
{
    (void)withdrawn;
    return any(context, record, error);
}

static void told(enum status status, const struct error *error)
{
    if (status != STATUS_OK && status != STATUS_NOT_FOUND && status != STATUS_NO)
        fuzz_refusal(status, error);
}

static void read_store(struct store *store, const struct fuzz_store *practice)
{
    struct error error = {0};
    struct verify_report report = {0};
    instant at = 0;
    int64_t sequence = 0;
    uint8_t hash[32];
    bool missing = false;

    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++) {
        told(store_each_row(store, (enum record_kind)kind, STORE_NOW, any, NULL, &error), &error);
        told(store_each_withdrawn(store, (enum record_kind)kind, &practice->cases[0], any_version,
                                  NULL, &error),
             &error);
    }
    told(store_each_case(store, STORE_NOW, any_case, NULL, &error), &error);
    told(store_each_case(store, 40, any_case, NULL, &error), &error);
    told(store_each_measured(store, STORE_NOW, any_case, NULL, &error), &error);
    told(store_each_state(store, practice->app.today, any_state, NULL, &error), &error);
    told(store_each_booking(store, practice->app.today, any_booking, NULL, &error), &error);
    told(store_each_draft(store, "tester", any_draft, NULL, &error), &error);
    told(store_each_person(store, any, NULL, &error), &error);
    told(store_each_import(store, any_save, NULL, &error), &error);
    told(store_newest_save(store, "visit", &at, &error), &error);
    told(store_states_missing(store, &missing, &error), &error);
    told(store_head(store, &sequence, hash, &error), &error);
    told(store_sequence_at(store, practice->now, &sequence, &error), &error);
    told(store_verify(store, &report, &error), &error);
    fuzz_printable(text_string(&report.findings), true, "what verify found");
    text_release(&report.findings);
}

static void show_case(struct app *app, const struct id *casefile)
{
    struct arena arena = {0};
    struct case_view view = {0};
    struct lines lines = {0};
    struct error error = {0};

    enum status status = case_view_read(app, casefile, "", &arena, &view, &error);
    told(status, &error);
    for (size_t i = 0; status == STATUS_OK && i < view.count; i++) {
        fuzz_demand(view.rows[i].what != NULL && view.rows[i].date != NULL, "a row has its texts");
        if (i % 5 == 0 && !id_is_none(&view.rows[i].row))
            told(case_view_record(app, view.rows[i].record, &view.rows[i].id, &arena, &lines,
                                  &error),
                 &error);
    }
    told(case_view_why(app, casefile, &arena, &lines, &error), &error);
    told(case_view_stability(app, casefile, &arena, &lines, &error), &error);
    arena_release(&arena);
}

static void read_lists(struct app *app, const struct fuzz_store *practice)
{
    struct arena arena = {0};
    struct recall_list recall = {0};
    struct today_list today = {0};
    struct audit_list audit = {0};
    struct error error = {0};

    told(app_know_person(app, &error), &error);
    told(lists_recall(app, app->today, 7, RECALL_NONE, &arena, &recall, &error), &error);
    told(lists_today(app, "", &arena, &today, &error), &error);
    told(lists_today(app, "ink", &arena, &today, &error), &error);
    told(lists_audit(app, day_month_start(app->today, -1), STORE_NOW, &arena, &audit, &error),
         &error);
    for (int i = 0; i < 2; i++)
        show_case(app, &practice->cases[i]);
    arena_release(&arena);
}

/* ---- what the program says of it ---- */

static void run_command(struct sound *sound, uint8_t which)
{
    static const char *const commands[][4] = {
        {"recall"},
        {"audit", "--month", "2026-10"},
        {"chart", "C-0007"},
        {"chart", "C-0035"},
        {"advise", "C-0035"},
        {"plan", "C-0007"},
        {"verify"},
        {"undo-import", "@1"},
        {"audit", "--month", "2026-10", "--paper"},
    };
    const char *const *command = commands[which / 4 % (sizeof commands / sizeof commands[0])];
    const char *arguments[] = {
        "springline", "--format", which % 4 >= 2 && command[3] == NULL ? "json" : "text",
        command[0],   command[1], command[2],
        command[3],   NULL};
    char *out = NULL, *err = NULL;
    size_t out_size = 0, err_size = 0;
    struct cli_call call;
    struct error error = {0};
    struct cli_start start = {.source = &sound->practice.source,
                              .store_path = sound->path,
                              .today = sound->practice.app.today,
                              .user = "tester",
                              .seat = "tester@test",
                              .out = open_memstream(&out, &out_size),
                              .err = open_memstream(&err, &err_size)};
    int count = 0;

    while (arguments[count] != NULL)
        count++;
    fuzz_demand(cli_parse(count, (char **)(uintptr_t)arguments, &start, &call, &error) == STATUS_OK,
                "a command");
    int code = cli_run(&start, &call);
    fclose(start.out);
    fclose(start.err);
    fuzz_demand(code >= 0 && code <= 4, "a command ends with a code of its own");
    fuzz_printable(out, true, command[0]);
    fuzz_printable(err, true, "its messages");
    free(out);
    free(err);
}

static void demand_untouched(const struct sound *sound, const struct image *before)
{
    struct image after = load(sound->path);

    fuzz_demand(after.length == before->length &&
                    memcmp(after.bytes, before->bytes, after.length) == 0,
                "a store that is opened and read is not written");
    free(after.bytes);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct sound *sound = make_sound();
    struct fuzz_store *practice = &sound->practice;
    struct error error = {0};

    if (size < 2)
        return 0;
    fuzz_store_wind(practice);
    const struct image *image = &sound->images[data[0] % 2];
    size_t length = image->length;
    if (data[0] % 2 == 1) {
        lay_down(sound->path, image->bytes, image->length);
        damage_by_sql(data + 1, size - 1, sound->path, &sound->plan);
        struct image changed = load(sound->path);
        length = changed.length < 2 * image->length ? changed.length : 2 * image->length;
        memcpy(sound->copy, changed.bytes, length);
        free(changed.bytes);
    } else {
        memcpy(sound->copy, image->bytes, image->length);
    }
    damage_bytes(data + 1, size - 1, sound->copy, &length);
    lay_down(sound->path, sound->copy, length);
    struct image before = {.bytes = sound->copy, .length = length};
    struct app app = practice->app;
    enum status status = store_open(sound->path, &practice->source, &app.store, &error);
    if (status == STATUS_OK) {
        read_store(app.store, practice);
        read_lists(&app, practice);
        store_close(app.store);
    } else {
        fuzz_demand(status == STATUS_UNUSABLE, "a damaged store is refused");
        fuzz_refusal(status, &error);
    }
    demand_untouched(sound, &before);
    run_command(sound, data[0] / 2);
    return 0;
}
