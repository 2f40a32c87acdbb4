/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The lists, the month and a save of a large store, each beside something outside in the same run:
 * the sqlite3 shell reading the same rows, the bare inserts, or the same screen over a small store.
 *
 * usage: large SMALL LARGE SAVED BARE
 *   SMALL and LARGE are stores; SAVED and BARE are two copies of LARGE, which are written to.
 * SPRINGLINE_TODAY is the day. Prints figures and the bars that were missed; fails only where
 * something could not be measured.
 */
#include <sodium.h>
#include <sqlite3.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "bars.h"
#include "springline/app/case_view.h"
#include "springline/app/caseload.h"
#include "springline/app/lists_call.h"
#include "springline/app/plan_view.h"
#include "springline/app/visit.h"
#include "springline/ui/headless.h"
#include "springline/ui/screens.h"

enum { TIMES = 7, SAVES = 60, SAVES_TRIED = 4000, COMMAND_SIZE = 4096 };

/* ---- time, failure, the middle ---- */

static double now_ms(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static int compare(const void *a, const void *b)
{
    double left = *(const double *)a, right = *(const double *)b;

    return (left > right) - (left < right);
}

static double middle(double *values, size_t count)
{
    qsort(values, count, sizeof *values, compare);
    return values[count / 2];
}

_Noreturn static void give_up(const char *what, const char *why)
{
    fprintf(stderr, "bench: %s: %s\n", what, why);
    exit(1);
}

static instant clock_now(void *context)
{
    (void)context;
    return (instant)time(NULL);
}

static void random_bytes(void *context, void *bytes, size_t count)
{
    (void)context;
    randombytes_buf(bytes, count);
}

static const struct store_source source = {.now = clock_now, .random = random_bytes};

static struct app open_app(const char *path, bool whole)
{
    struct error error = {0};
    const char *today = getenv("SPRINGLINE_TODAY");
    struct app app = {.user = "bench", .seat = "bench@none", .today_fixed = true};

    if (today == NULL || !day_from_text(today, &app.today))
        give_up("SPRINGLINE_TODAY", "it must be set to a date");
    enum status status = whole ? store_open(path, &source, &app.store, &error)
                               : store_open_first(path, &source, &app.store, &error);
    if (status != STATUS_OK)
        give_up(path, error.sentence);
    return app;
}

/* Milliseconds of the sqlite3 shell for these statements, its start among them. */
static double shell_ms(const char *path, const char *sql)
{
    char command[COMMAND_SIZE];

    snprintf(command, sizeof command, "sqlite3 -readonly '%s' \"%s\" >/dev/null", path, sql);
    double began = now_ms();
    if (system(command) != 0)
        give_up("sqlite3", "the shell did not read the rows");
    return now_ms() - began;
}

/* ---- recall and audit beside the shell ---- */

static double recall_ms(struct app *app, size_t *count)
{
    struct call_list list = {0};
    struct error error = {0};
    double began = now_ms();

    if (lists_call(app, &list, &error) != STATUS_OK)
        give_up("recall", error.sentence);
    double took = now_ms() - began;
    *count = list.count;
    lists_call_release(&list);
    return took;
}

static void measure_recall(const char *path, struct bars *bars)
{
    struct app app = open_app(path, true);
    char sql[1024], date[DAY_TEXT_SIZE];
    double own[TIMES], shell[TIMES];
    size_t count = 0;

    snprintf(sql, sizeof sql,
             "SELECT state.*, (SELECT min(book.date) FROM booking_current AS book "
             "WHERE book.casefile = state.casefile AND book.date >= '%s' "
             "AND book.state = 'booked') FROM case_state AS state NOT INDEXED",
             day_to_text(app.today, date));
    for (int i = 0; i < TIMES; i++) {
        own[i] = recall_ms(&app, &count);
        shell[i] = shell_ms(path, sql);
    }
    double own_ms = middle(own, TIMES), rows_ms = middle(shell, TIMES);
    printf("recall, %zu rows in hand: %.1f ms; the sqlite3 shell: %.1f ms\n", count, own_ms,
           rows_ms);
    bars_add(bars, "recall, rows in hand, beside the sqlite3 shell", own_ms / rows_ms, 1.2);
    store_close(app.store);
}

/* Every row that the cases of the month consist of. */
static const char month_sql[] =
    "SELECT * FROM patient_current; SELECT * FROM casefile_current; SELECT * FROM trainer_current; "
    "SELECT * FROM expander_current; SELECT * FROM visit_current; SELECT * FROM width_current; "
    "SELECT * FROM wear_day_current; SELECT * FROM wear_count_current; "
    "SELECT * FROM contact_current; SELECT * FROM booking_current; SELECT * FROM judged_current";

/* The caseload walks the same cases as the audit: it should be no slower. */
static void measure_caseload(struct app *app, double audit_ms, struct bars *bars)
{
    struct error error = {0};
    struct caseload_list list;
    struct arena arena = {0};
    double began = now_ms();

    if (caseload_read(app, &arena, &list, &error) != STATUS_OK)
        give_up("caseload", error.sentence);
    double own_ms = now_ms() - began;
    printf("caseload, %zu arches, %zu rows: %.0f ms; the audit: %.0f ms\n", list.arches, list.count,
           own_ms, audit_ms);
    bars_add(bars, "caseload, beside the audit of a month", own_ms / audit_ms, 1.0);
    arena_release(&arena);
}

/* What a plan asks of every case, when it is opened: less than the caseload does. */
static void measure_others(struct app *app, double audit_ms, struct bars *bars)
{
    const struct id none = {0};
    struct error error = {0};
    struct plan_others others;
    struct arena arena = {0};
    double began = now_ms();

    if (plan_others_read(app, &none, &arena, &others, &error) != STATUS_OK)
        give_up("plan", error.sentence);
    double own_ms = now_ms() - began;
    printf("what the others responded, for a plan, %zu arches: %.0f ms; the audit: %.0f ms\n",
           others.count, own_ms, audit_ms);
    bars_add(bars, "responses for a plan, beside the audit of a month", own_ms / audit_ms, 1.0);
    arena_release(&arena);
}

static void measure_audit(const char *path, struct bars *bars)
{
    struct app app = open_app(path, true);
    struct error error = {0};
    struct audit_list list;
    struct arena arena = {0};
    double began = now_ms();

    if (lists_audit(&app, day_month_start(app.today, -1), STORE_NOW, &arena, &list, &error) !=
        STATUS_OK)
        give_up("audit", error.sentence);
    double own_ms = now_ms() - began, rows_ms = shell_ms(path, month_sql);
    printf("audit, %zu cases of the month: %.0f ms; the sqlite3 shell: %.0f ms\n", list.count,
           own_ms, rows_ms);
    bars_add(bars, "audit of a month, beside the sqlite3 shell reading its rows", own_ms / rows_ms,
             2.0);
    arena_release(&arena);
    measure_caseload(&app, own_ms, bars);
    measure_others(&app, own_ms, bars);
    store_close(app.store);
}

/* ---- first pages, small store beside large ---- */

struct page {
    const char *name;
    const struct screen_ops *ops; /* NULL: today, opened with the store */
    bool of_case;                 /* its argument is a case */
};

static const struct page pages[] = {
    {"today, with the store opened", NULL, false},
    {"recall", &recall_screen, false},
    {"a case", &case_screen, true},
    {"settings", &settings_screen, false},
    {"people", &people_screen, false},
};

static double page_ms(const char *path, const struct page *page)
{
    struct headless headless = {.rows = 24, .columns = 80};
    struct display display = headless_display(&headless);
    struct ui_setup setup = {0};
    struct ui ui;
    struct error error = {0};
    struct id casefile = {{0}};
    double began = now_ms();
    struct app app = open_app(path, false);

    if (ui_start(&ui, &app, &display, &setup, &error) != STATUS_OK)
        give_up(page->name, error.sentence);
    ui_draw(&ui);
    if (page->ops != NULL) {
        if (store_open_rest(app.store, &error) != STATUS_OK ||
            (page->of_case &&
             store_find_case(app.store, "C-0000018", STORE_NOW, &casefile, &error) != STATUS_OK))
            give_up(page->name, error.sentence);
        began = now_ms();
        ui_push(&ui, page->ops, page->of_case ? &casefile : NULL);
        ui_draw(&ui);
        if (ui.depth != 2)
            give_up(page->name, text_string(&ui.message));
    }
    double took = now_ms() - began;
    ui_stop(&ui);
    headless_release(&headless);
    store_close(app.store);
    return took;
}

static void measure_pages(const char *small, const char *large, struct bars *bars)
{
    for (size_t i = 0; i < sizeof pages / sizeof pages[0]; i++) {
        double of_small[TIMES], of_large[TIMES];
        char name[BAR_NAME_SIZE];

        for (int j = 0; j < TIMES; j++) {
            of_small[j] = page_ms(small, &pages[i]);
            of_large[j] = page_ms(large, &pages[i]);
        }
        double small_ms = middle(of_small, TIMES), large_ms = middle(of_large, TIMES);
        printf("first page of %s: %.2f ms small, %.2f ms large\n", pages[i].name, small_ms,
               large_ms);
        snprintf(name, sizeof name, "first page of %s, large beside small", pages[i].name);
        bars_add(bars, name, large_ms / small_ms, 2.0);
    }
}

/* ---- a visit saved beside the bare inserts ---- */

static void type_into(struct app *app, struct visit_sheet *sheet, enum sheet_item item,
                      const char *typed)
{
    char sentence[200];

    for (int i = 0; i < sheet->field_count; i++) {
        if (sheet->fields[i].item == item && !sheet->fields[i].skipped)
            (void)visit_enter(app, sheet, i, typed, sentence);
    }
}

/* Enters a visit with sound tissue and no amounts; false: none can be entered in this case. */
static bool save_visit(struct app *app, const struct id *casefile, double *ms)
{
    struct visit_sheet sheet;
    struct error error = {0};
    bool needs_reason = true;
    int index = 0;

    if (visit_open(app, casefile, &sheet, &error) != STATUS_OK)
        return false;
    type_into(app, &sheet, ITEM_TISSUE, "0");
    type_into(app, &sheet, ITEM_HARDWARE, "0");
    type_into(app, &sheet, ITEM_RIGHT, "0");
    type_into(app, &sheet, ITEM_LEFT, "0");
    bool saved = visit_ready(&sheet, &needs_reason, &index, &error) == STATUS_OK && !needs_reason;
    double began = now_ms();
    saved = saved && visit_save(app, &sheet, 0, "", &error) == STATUS_OK;
    *ms = now_ms() - began;
    visit_release(&sheet);
    return saved;
}

static void run_sql(sqlite3 *db, const char *format, ...)
{
    va_list values;

    va_start(values, format);
    char *sql = sqlite3_vmprintf(format, values);
    va_end(values);
    if (sql == NULL || sqlite3_exec(db, sql, NULL, NULL, NULL) != SQLITE_OK)
        give_up("bare inserts", sqlite3_errmsg(db));
    sqlite3_free(sql);
}

/* The bare inserts: what a save writes, prepared once, as the program's own are. */
enum { INSERTS = 7 };

struct bare {
    sqlite3 *db;
    sqlite3_stmt *inserts[INSERTS];
};

static struct bare open_bare(const char *path, const char *saved)
{
    static const char *const tables[INSERTS] = {"request", "visit",  "width",     "wear_count",
                                                "judged",  "ledger", "case_state"};
    struct bare bare = {0};

    if (sqlite3_open_v2(path, &bare.db, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK)
        give_up(path, "it can not be opened");
    run_sql(bare.db, "ATTACH %Q AS saved", saved);
    run_sql(bare.db, "PRAGMA main.journal_mode=TRUNCATE; PRAGMA main.synchronous=EXTRA; "
                     "PRAGMA foreign_keys=ON; PRAGMA recursive_triggers=ON; "
                     "PRAGMA main.secure_delete=ON; PRAGMA main.cache_size=-8192");
    for (int i = 0; i < INSERTS; i++) {
        bool state = strcmp(tables[i], "case_state") == 0;
        char *sql = sqlite3_mprintf("INSERT %sINTO main.%s SELECT * FROM saved.%s WHERE %s",
                                    state ? "OR REPLACE " : "", tables[i], tables[i],
                                    state ? "casefile = ?1" : "sequence > ?1 ORDER BY sequence");
        if (sql == NULL || sqlite3_prepare_v3(bare.db, sql, -1, SQLITE_PREPARE_PERSISTENT,
                                              &bare.inserts[i], NULL) != SQLITE_OK)
            give_up("bare inserts", sqlite3_errmsg(bare.db));
        sqlite3_free(sql);
    }
    return bare;
}

static void close_bare(struct bare *bare)
{
    for (int i = 0; i < INSERTS; i++)
        sqlite3_finalize(bare->inserts[i]);
    sqlite3_close(bare->db);
}

/* Inserts the rows that the save wrote, in one transaction. */
static double insert_bare(struct bare *bare, int64_t after, const struct id *casefile)
{
    double began = now_ms();

    run_sql(bare->db, "BEGIN IMMEDIATE");
    for (int i = 0; i < INSERTS; i++) {
        sqlite3_stmt *insert = bare->inserts[i];
        if (i == INSERTS - 1)
            sqlite3_bind_blob(insert, 1, casefile->bytes, sizeof casefile->bytes, SQLITE_STATIC);
        else
            sqlite3_bind_int64(insert, 1, after);
        if (sqlite3_step(insert) != SQLITE_DONE)
            give_up("bare inserts", sqlite3_errmsg(bare->db));
        sqlite3_reset(insert);
    }
    run_sql(bare->db, "COMMIT");
    return now_ms() - began;
}

struct chosen {
    struct id *ids;
    size_t count;
};

static enum status choose(void *context, const struct case_state *state, day booked,
                          struct error *error)
{
    struct chosen *chosen = context;

    (void)booked;
    (void)error;
    if (chosen->count < SAVES_TRIED && state->stage == STAGE_ACTIVE)
        chosen->ids[chosen->count++] = state->casefile;
    return STATUS_OK;
}

static void measure_saves(const char *saved, const char *bare, struct bars *bars)
{
    struct app app = open_app(saved, true);
    struct bare inserter = open_bare(bare, saved);
    struct chosen chosen = {.ids = calloc(SAVES_TRIED, sizeof *chosen.ids)};
    struct error error = {0};
    double own[SAVES], inserts[SAVES];
    uint8_t hash[32];
    int64_t sequence = 0;
    size_t count = 0;

    if (chosen.ids == NULL ||
        store_each_state(app.store, app.today, choose, &chosen, &error) != STATUS_OK)
        give_up("saves", error.sentence);
    for (size_t i = 0; i < chosen.count && count < SAVES; i++) {
        if (store_head(app.store, &sequence, hash, &error) != STATUS_OK)
            give_up("saves", error.sentence);
        if (!save_visit(&app, &chosen.ids[i], &own[count]))
            continue;
        inserts[count++] = insert_bare(&inserter, sequence, &chosen.ids[i]);
    }
    if (count < SAVES)
        give_up("saves", "too few visits could be entered");
    double own_ms = middle(own, count), bare_ms = middle(inserts, count);
    printf("a visit saved: %.2f ms; its bare inserts: %.2f ms\n", own_ms, bare_ms);
    bars_add(bars, "a visit saved, beside its bare inserts", own_ms / bare_ms, 1.3);
    free(chosen.ids);
    close_bare(&inserter);
    store_close(app.store);
}

int main(int argc, char **argv)
{
    struct bars bars = {0};

    if (argc != 5) {
        fprintf(stderr, "usage: large SMALL LARGE SAVED BARE\n");
        return 2;
    }
    measure_recall(argv[2], &bars);
    measure_pages(argv[1], argv[2], &bars);
    measure_saves(argv[3], argv[4], &bars);
    measure_audit(argv[2], &bars);
    bars_print(&bars);
    return 0;
}
