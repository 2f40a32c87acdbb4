/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "entered.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include <sodium.h>

#include "chance.h"
#include "springline/app/form.h"
#include "springline/app/visit.h"
#include "springline/core/wear.h"

enum { CASES_MOST = 200, DAYS_LEAST = 12, DAYS_MORE = 20, REPEAT_PAIRS = 10 };

/* ---- clock, bytes, chance ---- */

static instant tick(void *context)
{
    return ((struct entered *)context)->now++;
}

static void fill_random(void *context, void *bytes, size_t count)
{
    struct entered *entered = context;
    unsigned char *out = bytes;

    for (size_t i = 0; i < count; i++)
        out[i] = (unsigned char)chance_next(&entered->random);
}

int entered_random(struct entered *entered, int most)
{
    return chance_below(&entered->random, most);
}

static bool chance(struct entered *entered, int percent)
{
    return entered_random(entered, 100) < percent;
}

static void good(struct entered *entered, enum status status, const char *what)
{
    if (status != STATUS_OK)
        fail_msg("%s: status %d: %s", what, (int)status, entered->error.sentence);
}

/* ---- the store ---- */

void entered_reopen(struct entered *entered)
{
    good(entered, store_open(entered->path, &entered->source, &entered->app.store, &entered->error),
         "open");
}

void entered_shut(struct entered *entered)
{
    store_close(entered->app.store);
    entered->app.store = NULL;
}

static enum status keep_case(void *context, const void *record, struct error *error)
{
    struct entered *entered = context;
    const struct casefile *casefile = record;

    (void)error;
    assert_true(entered->case_count < CASES_MOST);
    entered->cases[entered->case_count++] = casefile->head.record;
    return STATUS_OK;
}

static const char *from_environment(const char *name, const char *otherwise)
{
    const char *value = getenv(name);

    return value == NULL || value[0] == '\0' ? otherwise : value;
}

static void remove_files(const struct entered *entered)
{
    char journal[520];

    (void)unlink(entered->path);
    (void)snprintf(journal, sizeof journal, "%s-journal", entered->path);
    (void)unlink(journal);
}

/* A new store with the demo, and the demo's day. */
static void import_demo(struct entered *entered, const char *name)
{
    const char *source = from_environment("SPRINGLINE_SOURCE", ".");
    const char *program = from_environment("SPRINGLINE_PROGRAM", "build/springline");
    char command[2000], today[32] = "";

    (void)snprintf(entered->path, sizeof entered->path, "%s/%s.db",
                   from_environment("TMPDIR", "/tmp"), name);
    remove_files(entered);
    (void)snprintf(
        command, sizeof command,
        "'%s' --store '%s' init --alone 2>/dev/null && '%s' --store '%s' import '%s/demo' "
        ">/dev/null",
        program, entered->path, program, entered->path, source);
    assert_int_equal(system(command), 0);
    (void)snprintf(command, sizeof command, "%s/demo/TODAY", source);
    FILE *file = fopen(command, "re");
    assert_non_null(file);
    assert_non_null(fgets(today, sizeof today, file));
    assert_int_equal(fclose(file), 0);
    today[strcspn(today, "\n")] = '\0';
    assert_true(day_from_text(today, &entered->app.today));
}

void entered_open(struct entered *entered, const char *name, uint64_t seed)
{
    *entered = (struct entered){.random = seed};
    assert_true(sodium_init() >= 0);
    entered->source = (struct store_source){tick, fill_random, entered};
    entered->now = INT64_C(1790000000);
    entered->app = (struct app){.user = "tester", .seat = "tester@test"};
    import_demo(entered, name);
    entered_reopen(entered);
    entered->cases = calloc(CASES_MOST, sizeof *entered->cases);
    assert_non_null(entered->cases);
    good(entered,
         store_each_row(entered->app.store, RECORD_CASEFILE, STORE_NOW, keep_case, entered,
                        &entered->error),
         "cases");
}

void entered_close(struct entered *entered)
{
    entered_shut(entered);
    remove_files(entered);
    free(entered->cases);
}

/* ---- rows written as a form would, without its questions ---- */

static void begin(struct entered *entered, struct app_save *save)
{
    const struct store_request request = {
        .id = store_new_id(entered->app.store), .command = "correct", .seat = entered->app.seat};

    good(entered, app_save_begin(&entered->app, COMMAND_IMPORT, &request, save, &entered->error),
         "begin");
}

static void append(struct entered *entered, enum record_kind kind, void *row)
{
    ((struct row_head *)row)->reason = "for the test";
    good(entered, store_append(entered->app.store, kind, row, &entered->error),
         record_tables[kind].table);
}

static void commit(struct entered *entered, struct app_save *save, const struct id *casefile)
{
    good(entered, app_save_touch(save, casefile, &entered->error), "touch");
    good(entered, app_save_commit(save, &entered->error), "commit");
}

static void touch_all(struct entered *entered, struct app_save *save)
{
    for (size_t i = 0; i < entered->case_count; i++)
        good(entered, app_save_touch(save, &entered->cases[i], &entered->error), "touch");
}

/* One row as it should have been: another amount, finding, width, count. */
static void correct_row(struct entered *entered, const struct history *history)
{
    struct app_save save;

    begin(entered, &save);
    if (history->visit_count > 0 && chance(entered, 50)) {
        struct visit visit = history->visits[entered_random(entered, (int)history->visit_count)];
        if (visit.arch != ARCH_NONE && visit.right != UM_NONE && chance(entered, 60))
            visit.right = visit.right > 250 ? visit.right - 250 : visit.right + 250;
        else
            visit.tissue = TISSUE_SOUND + (unsigned)entered_random(entered, 3);
        append(entered, RECORD_VISIT, &visit);
    } else if (history->width_count > 0 && chance(entered, 70)) {
        struct width width = history->widths[entered_random(entered, (int)history->width_count)];
        width.value += entered_random(entered, 2) == 0 ? 310 : -290;
        append(entered, RECORD_WIDTH, &width);
    } else if (history->wear_count_count > 0) {
        struct wear_count count =
            history->wear_counts[entered_random(entered, (int)history->wear_count_count)];
        count.days_met = count.days_met > 0 ? count.days_met - 1 : 0;
        append(entered, RECORD_WEAR_COUNT, &count);
    }
    entered->corrected++;
    commit(entered, &save, &history->casefile->head.record);
}

static void withdraw_row(struct entered *entered, const struct history *history)
{
    struct app_save save;
    enum record_kind kind = chance(entered, 50) ? RECORD_WIDTH : RECORD_VISIT;
    const struct id *row = NULL;

    if (kind == RECORD_WIDTH && history->width_count > 0)
        row = &history->widths[entered_random(entered, (int)history->width_count)].head.id;
    else if (kind == RECORD_VISIT && history->visit_count > 0)
        row = &history->visits[entered_random(entered, (int)history->visit_count)].head.id;
    if (row == NULL)
        return;
    begin(entered, &save);
    good(entered, store_withdraw(entered->app.store, kind, row, "slip", &entered->error), "slip");
    entered->withdrawn++;
    commit(entered, &save, &history->casefile->head.record);
}

/* The practice's limits, or those of one case alone from now on. */
static void change_settings(struct entered *entered, const struct history *history)
{
    struct protocol protocol = *history->protocol;
    struct casefile casefile = *history->casefile;
    struct app_save save;
    bool own = chance(entered, 40) && strcmp(protocol.name, STORE_PRACTICE_PROTOCOL) == 0;

    begin(entered, &save);
    protocol.step_max = 1500 + 250 * entered_random(entered, 3);
    protocol.wear_full_permille = 700 + 50 * entered_random(entered, 3);
    protocol.window_days = 40 + entered_random(entered, 5);
    if (own) {
        protocol.head = (struct row_head){0};
        protocol.name = casefile.number;
        casefile.protocol = casefile.number;
    }
    append(entered, RECORD_PROTOCOL, &protocol);
    if (own)
        append(entered, RECORD_CASEFILE, &casefile);
    touch_all(entered, &save);
    entered->settings++;
    commit(entered, &save, &casefile.head.record);
}

/* Pairs measured twice: the practice's own width error follows in the same save. */
static void measure_twice(struct entered *entered, const struct history *history)
{
    struct app_save save;
    const int spread = 150 + entered_random(entered, 300);

    begin(entered, &save);
    for (int i = 0; i < 2 * REPEAT_PAIRS; i++) {
        struct width width = {.casefile = history->casefile->head.record,
                              .date = entered->app.today - i / 2,
                              .arch = ARCH_UPPER,
                              .site = SITE_INTERCANINE,
                              .landmark = LANDMARK_CUSP,
                              .teeth = {13, 23},
                              .method = METHOD_CAST,
                              .repeat = 1 + i % 2,
                              .value = 30000 + spread * (i % 2)};
        append(entered, RECORD_WIDTH, &width);
    }
    good(entered, app_save_width_error(&save, &entered->error), "width error");
    entered->settings++;
    commit(entered, &save, &history->casefile->head.record);
}

static bool in_place(const struct history *history, enum arch arch, day on)
{
    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (expander->arch == arch && expander->fitted_on != DAY_NONE &&
            expander->fitted_on <= on && (expander->out_on == DAY_NONE || expander->out_on > on))
            return true;
    }
    return false;
}

static void fit_arch(struct entered *entered, const struct history *history, enum arch arch)
{
    struct app_save save;
    struct trainer trainer = {.casefile = history->casefile->head.record,
                              .issued_on = entered->app.today,
                              .ended_on = DAY_NONE};
    struct expander expander = {.casefile = history->casefile->head.record,
                                .arch = arch,
                                .separators_on = DAY_NONE,
                                .banded_on = entered->app.today,
                                .fitted_on = entered->app.today,
                                .passive_ends = ANSWER_YES,
                                .width_equal = ANSWER_YES,
                                .loops_clear = ANSWER_YES,
                                .tied = ANSWER_YES,
                                .ends_rounded = ANSWER_YES,
                                .wire = 700,
                                .loop_right = UM_NONE,
                                .loop_left = UM_NONE,
                                .sides = chance(entered, 80) ? SIDES_BOTH : SIDES_RIGHT,
                                .plan_gap = UM_NONE,
                                .site = SITE_INTERMOLAR,
                                .landmark = LANDMARK_GINGIVAL,
                                .teeth = arch == ARCH_UPPER ? (struct teeth){16, 26}
                                                            : (struct teeth){46, 36},
                                .target = 40000,
                                .passive_on = DAY_NONE,
                                .out_on = DAY_NONE};
    begin(entered, &save);
    append(entered, RECORD_EXPANDER, &expander);
    if (!wear_trainer_current(history, entered->app.today))
        append(entered, RECORD_TRAINER, &trainer);
    entered->fitted++;
    commit(entered, &save, &history->casefile->head.record);
}

/* ---- the visit sheet ---- */

/* What somebody types into a field; "" leaves it empty. */
static void type_of(struct entered *entered, const struct visit_sheet *sheet,
                    const struct sheet_field *field, char typed[SHEET_TEXT_SIZE])
{
    int days = sheet->wear_from == DAY_NONE ? 0 : (int)(sheet->date - sheet->wear_from);
    int which = sheet->arch_count == 2 && field->arch == sheet->arches[1];
    const struct judgement *judgement = &sheet->judgements[which];
    um amount = field->item == ITEM_RIGHT ? judgement->permitted_right : judgement->permitted_left;

    typed[0] = '\0';
    switch (field->item) {
    case ITEM_WEAR_MET:
        if (days > 0 && chance(entered, 70))
            (void)snprintf(typed, SHEET_TEXT_SIZE, "%d",
                           chance(entered, 70) ? days - days / 9 : entered_random(entered, days));
        break;
    case ITEM_WEAR_SOURCE:
        (void)snprintf(typed, SHEET_TEXT_SIZE, "%d", 1 + entered_random(entered, 3));
        break;
    case ITEM_WIDTH:
        if (chance(entered, 60))
            (void)snprintf(typed, SHEET_TEXT_SIZE, "%d.%02d", 33 + entered_random(entered, 6),
                           entered_random(entered, 100));
        break;
    case ITEM_TISSUE:
        (void)snprintf(typed, SHEET_TEXT_SIZE, "%d",
                       chance(entered, 80) ? 0 : 1 + entered_random(entered, 2));
        break;
    case ITEM_HARDWARE:
        (void)snprintf(typed, SHEET_TEXT_SIZE, "%s", chance(entered, 80) ? "0" : "1r2");
        break;
    case ITEM_REPAIRED:
    case ITEM_RELIEF:
        (void)snprintf(typed, SHEET_TEXT_SIZE, "%d", entered_random(entered, 2));
        break;
    case ITEM_RIGHT:
    case ITEM_LEFT:
        if (chance(entered, 10))
            amount += 250;
        (void)snprintf(typed, SHEET_TEXT_SIZE, "%d.%02d", (int)(amount / 1000),
                       (int)(amount % 1000 / 10));
        break;
    default:
        break;
    }
}

static void type_field(struct entered *entered, struct visit_sheet *sheet, int index,
                       const char *typed)
{
    char sentence[200];

    if (visit_enter(&entered->app, sheet, index, typed, sentence) == ENTRY_TAKEN)
        return;
    if (visit_enter(&entered->app, sheet, index, typed, sentence) != ENTRY_TAKEN)
        (void)visit_enter(&entered->app, sheet, index, "", sentence);
}

static void type_sheet(struct entered *entered, struct visit_sheet *sheet)
{
    /* Sometimes one arch of two is only measured, or not looked at. */
    enum arch passed = sheet->arch_count == 2 && chance(entered, 15) ? sheet->arches[1] : ARCH_NONE;
    char typed[SHEET_TEXT_SIZE];

    for (int i = visit_step(sheet, -1, 1); i < sheet->field_count; i = visit_step(sheet, i, 1)) {
        const struct sheet_field *field = &sheet->fields[i];

        type_of(entered, sheet, field, typed);
        if (passed == ARCH_NONE || field->arch != passed || field->item == ITEM_WIDTH)
            type_field(entered, sheet, i, typed);
    }
}

/* What is not permitted even with a reason is not given. */
static void give_nothing(struct entered *entered, struct visit_sheet *sheet)
{
    for (int i = 0; i < sheet->field_count; i++) {
        if (sheet->fields[i].amount && !sheet->fields[i].skipped && sheet->fields[i].filled)
            type_field(entered, sheet, i, "0");
    }
}

static void enter_sheet(struct entered *entered, const struct id *casefile)
{
    struct visit_sheet sheet;
    bool needs_reason;
    int index;

    if (visit_open(&entered->app, casefile, &sheet, &entered->error) != STATUS_OK)
        return;
    type_sheet(entered, &sheet);
    if (visit_ready(&sheet, &needs_reason, &index, &entered->error) != STATUS_OK)
        give_nothing(entered, &sheet);
    enum status status = visit_ready(&sheet, &needs_reason, &index, &entered->error);
    if (status == STATUS_OK)
        status = visit_save(&entered->app, &sheet, needs_reason ? 2 : 0, "", &entered->error);
    if (status == STATUS_OK) {
        entered->sheets++;
        entered->both_arches += sheet.arch_count == 2;
        entered->overrides += needs_reason;
    } else if (status != STATUS_INPUT) {
        good(entered, status, "visit");
    }
    visit_release(&sheet);
}

/* ---- forms ---- */

struct typing {
    const char *label, *text;
};

/* Fills and saves a form; one that makes no sense for the case now is left. */
static void enter_form(struct entered *entered, const struct id *casefile, enum form_kind kind,
                       const struct typing *typing, size_t count)
{
    const struct form_subject subject = {.casefile = *casefile};
    struct form form;
    char sentence[200];

    if (form_open(&entered->app, kind, &subject, &form, &entered->error) != STATUS_OK)
        return;
    for (size_t i = 0; i < count; i++) {
        for (int j = 0; j < form.field_count; j++) {
            if (strcmp(form.fields[j].label, typing[i].label) == 0 && !form.fields[j].skipped)
                (void)form_enter(&entered->app, &form, j, typing[i].text, sentence);
        }
    }
    enum status status = form_save(&entered->app, &form, "for the test", &entered->error);
    if (status == STATUS_OK)
        entered->forms++;
    else if (status != STATUS_INPUT)
        good(entered, status, "form");
    form_release(&form);
}

static void enter_any_form(struct entered *entered, const struct id *casefile)
{
    static const struct typing repair[] = {{"date", ""},
                                           {"arch", "1"},
                                           {"hardware found", "1r"},
                                           {"all repaired", "1"},
                                           {"tissue", "0"}};
    static const struct typing check[] = {
        {"kind", "2"}, {"date", ""}, {"arch", "1"}, {"tissue", "1"}, {"hardware found", "0"}};
    static const struct typing out[] = {
        {"arch", "1"}, {"taken out on", ""}, {"why it came out", "1"}, {"tissue", "0"}};

    if (chance(entered, 45))
        enter_form(entered, casefile, FORM_REPAIR, repair, sizeof repair / sizeof repair[0]);
    else if (chance(entered, 70))
        enter_form(entered, casefile, FORM_CHECK, check, sizeof check / sizeof check[0]);
    else
        enter_form(entered, casefile, FORM_OUT, out, sizeof out / sizeof out[0]);
}

/* ---- a day ---- */

/* What is done at the desk about a case, before or after it comes. */
static void work_on(struct entered *entered, const struct id *casefile)
{
    struct arena arena = {0};
    struct history history;
    int what = entered_random(entered, 100);

    good(
        entered,
        store_read_case(entered->app.store, casefile, STORE_NOW, &arena, &history, &entered->error),
        "case");
    if (what < 12)
        correct_row(entered, &history);
    else if (what < 16)
        withdraw_row(entered, &history);
    else if (what < 18)
        change_settings(entered, &history);
    else if (what < 20)
        measure_twice(entered, &history);
    else if (what < 40 && history.casefile->closed_on == DAY_NONE) {
        enum arch arch = chance(entered, 50) ? ARCH_UPPER : ARCH_LOWER;
        if (!in_place(&history, arch, entered->app.today))
            fit_arch(entered, &history, arch);
    }
    arena_release(&arena);
}

void entered_round(struct entered *entered)
{
    entered->app.today += DAYS_LEAST + entered_random(entered, DAYS_MORE);
    for (size_t i = 0; i < entered->case_count; i++) {
        const struct id *casefile = &entered->cases[i];

        work_on(entered, casefile);
        if (chance(entered, 15)) /* repaired or looked at first, and then the sheet, on one day */
            enter_any_form(entered, casefile);
        if (chance(entered, 80))
            enter_sheet(entered, casefile);
        else
            enter_any_form(entered, casefile);
        if (chance(entered, 10)) /* a second time on one day */
            enter_any_form(entered, casefile);
    }
}
