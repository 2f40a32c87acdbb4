/* SPDX-License-Identifier: GPL-3.0-or-later */
/* today: the way in. The day's bookings and who is due; typing narrows it to whom it finds. */
#include <inttypes.h>
#include <string.h>

#include "springline/app/keep.h"
#include "springline/app/lists_call.h"
#include "springline/app/lists_unsigned.h"
#include "springline/app/month.h"
#include "springline/app/sign_in.h"
#include "springline/ui/list_screen.h"
#include "springline/ui/screens.h"
#include "today_view.h"

enum { FIND_CELLS = 8 }; /* of the search line, left of what is not saved */

struct today {
    struct list_view view;
    struct app *app;
    struct today_list rows;
    struct today_unsaved unsaved;
    struct text stale; /* the line about backups; "" nothing to say */
    bool stale_known;
    struct text unsigned_line; /* the line about visits that wait for a signature; likewise */
    struct text month_line;    /* the line about a month that is not closed; likewise */
    struct text note;          /* how people are asked here, or what is missing of one's own */
};

static bool is_asking(const struct today *today)
{
    return today->unsaved.asking && today->unsaved.list.count > 0 && today->view.search.length == 0;
}

/* ---- the columns ---- */

enum column {
    COLUMN_TIME,
    COLUMN_CASE,
    COLUMN_NAME,
    COLUMN_WHAT,
    COLUMN_LATE,
    COLUMN_STAGE,
    COLUMN_SEEN,
    COLUMN_VERDICT,
    COLUMN_PHONE,
    COLUMN_COUNT
};

static const struct list_column columns[COLUMN_COUNT] = {
    [COLUMN_TIME] = {.head = "time", .cells = 5, .keep = 1},
    [COLUMN_CASE] = {.head = "case", .cells = 7},
    [COLUMN_NAME] = {.head = "name", .cells = 12, .stretch = true, .wish = 20},
    [COLUMN_WHAT] = {.head = "for", .cells = 11},
    [COLUMN_LATE] = {.head = "late", .cells = 6, .keep = 3, .falling = true},
    [COLUMN_STAGE] = {.head = "stage", .cells = 10, .keep = 4},
    [COLUMN_SEEN] = {.head = "last seen", .cells = 10, .keep = 5},
    [COLUMN_VERDICT] = {.head = "verdict (r: now)", .cells = 18, .keep = 6},
    [COLUMN_PHONE] = {.head = "telephone", .cells = 16, .keep = 7},
};

static size_t today_rows(const void *context)
{
    const struct today *today = context;

    return today->rows.count;
}

static struct id today_id(const void *context, size_t row)
{
    const struct today *today = context;

    return today->rows.rows[row].listed->casefile;
}

static const struct case_state *state_of(const struct today *today, const struct today_row *row)
{
    return lists_recall_state(today->app, &today->rows.recalls, row->listed);
}

/* Safety items lead whatever the list is sorted by. */
static bool today_leads(const void *context, size_t row)
{
    const struct today *today = context;

    return today->rows.rows[row].listed->row.group == RECALL_SAFETY;
}

static unsigned today_look(const void *context, size_t row)
{
    return today_leads(context, row) ? LOOK_BOLD : LOOK_PLAIN;
}

static void add_what(const struct today *today, const struct today_row *row, struct text *out)
{
    if (today_unsaved_of(&today->unsaved, &row->listed->casefile) != NULL)
        text_add(out, "unsaved");
    else if (!row->booking && lists_call_waits(row->listed, today->app->today))
        lists_call_again(row->listed, out);
    else if (!row->booking)
        text_add(out, word_text(&words_recall_group, (int)row->listed->row.group));
    else if (row->booking_state == BOOKED_STANDING)
        text_add(out, word_text(&words_booking_kind, (int)row->kind));
    else
        text_add(out, word_text(&words_booking_state, (int)row->booking_state));
}

static void add_late(const struct today_row *row, struct text *out)
{
    const struct recall_row *recall = &row->listed->row;

    if (recall->group == RECALL_SAFETY)
        text_add(out, "SAFETY");
    else if (recall->days_late > 0)
        text_addf(out, "%" PRId32 " d", recall->days_late);
}

static void today_cell(const void *context, size_t index, int column, struct text *out)
{
    const struct today *today = context;
    const struct today_row *row = &today->rows.rows[index];
    const struct case_state *state = state_of(today, row);
    char date[DAY_TEXT_SIZE], time[6];

    switch (column) {
    case COLUMN_TIME:
        text_add(out, clock_to_text(row->time_min, time));
        break;
    case COLUMN_CASE:
        text_add(out, row->listed->number);
        break;
    case COLUMN_NAME:
        text_add(out, state->family);
        text_add(out, ", ");
        text_add(out, state->given);
        break;
    case COLUMN_WHAT:
        add_what(today, row, out);
        break;
    case COLUMN_LATE:
        add_late(row, out);
        break;
    case COLUMN_STAGE:
        text_add(out, word_text(&words_stage, (int)state->stage));
        break;
    case COLUMN_SEEN:
        text_add(out, day_to_text(state->last_seen, date));
        break;
    case COLUMN_VERDICT:
        lists_verdict(out, state);
        break;
    case COLUMN_PHONE:
    default:
        text_add(out, state->phone);
        break;
    }
}

/* A row whose state can not be read now is sorted by what it shows: "?". */
static void today_every(const void *context)
{
    const struct today *today = context;

    (void)lists_recall_states(today->app, &today->rows.recalls, NULL);
}

static const struct list_ops today_list_ops = {.columns = columns,
                                               .column_count = COLUMN_COUNT,
                                               .rows = today_rows,
                                               .cell = today_cell,
                                               .id = today_id,
                                               .look = today_look,
                                               .every = today_every,
                                               .leads = today_leads};

/* ---- reading ---- */

static enum status read_rows(struct ui *ui, void *state, const char *folded, struct error *error)
{
    struct today *today = state;

    today->app = ui->app;
    enum status status = lists_today(ui->app, folded, &today->view.arena, &today->rows, error);
    if (status != STATUS_OK)
        today->rows = (struct today_list){0};
    return status;
}

/* The first booking that is still to come, or the first row. */
static void select_next_booking(struct today *today)
{
    for (size_t i = 0; i < today->rows.booking_count; i++) {
        if (today->rows.rows[i].booking_state == BOOKED_STANDING) {
            today->view.list.selected = i;
            today->view.list.selected_id = today->rows.rows[i].listed->casefile;
            return;
        }
    }
}

/* Puts a line that was just read in place of the one before. True when it says something else. */
static bool take_line(struct text *line, struct text *read)
{
    bool changed = !read->failed && strcmp(text_string(read), text_string(line)) != 0;

    if (changed) {
        text_clear(line);
        text_add(line, text_string(read));
    }
    text_release(read);
    return changed;
}

/* Reads the lines about backups, unsigned visits, a month left open and who is asked; a store that
 * can not be asked now is asked at the next tick. True when one says something else than before. */
static bool read_lines(struct ui *ui, struct today *today)
{
    struct text stale = {0}, waiting = {0}, month = {0}, note = {0};

    today->stale_known = keep_stale(ui->app, &stale, NULL) == STATUS_OK &&
                         lists_unsigned_line(ui->app, &waiting, NULL) == STATUS_OK &&
                         month_chase(ui->app, &month, NULL) == STATUS_OK &&
                         sign_in_note(ui->app, &note, NULL) == STATUS_OK;
    stale.failed = stale.failed || !today->stale_known; /* the old ones stand */
    waiting.failed = waiting.failed || !today->stale_known;
    month.failed = month.failed || !today->stale_known;
    note.failed = note.failed || !today->stale_known;
    bool changed = take_line(&today->stale, &stale);
    changed = take_line(&today->month_line, &month) || changed;
    changed = take_line(&today->note, &note) || changed;
    return take_line(&today->unsigned_line, &waiting) || changed;
}

/* ---- drawing ---- */

/* "2026-11-25: 8 still booked, 16 to call (6 safety)"; the day goes where it has no room.
 */
static void add_title(struct ui *ui, const void *state, struct text *title)
{
    const struct today *today = state;
    char date[DAY_TEXT_SIZE];

    day_to_text(ui->app->today, date);
    if (today->view.search.length > 0) {
        text_addf(title, "%s: %zu found", date, today->rows.count);
        return;
    }
    for (int with_day = 1; with_day >= 0; with_day--) {
        text_clear(title);
        text_addf(title, "%s%s%zu still booked, %zu to call", with_day == 1 ? date : "",
                  with_day == 1 ? ": " : "", today->rows.standing_count, today->rows.call_count);
        if (today->rows.safety_count > 0)
            text_addf(title, " (%zu safety)", today->rows.safety_count);
        if (grid_measure(&ui->grid, text_string(title)) <= ui_title_cells(ui))
            break;
    }
}

/* What stands on the search line while nothing is searched: which visits are not saved, wherever
 * their cases stand in the list, else how many are not signed, which month is not closed, how old
 * the backup is, who is asked here. What has no room is appended to left, for the hint; NULL: that
 * is not asked. */
static void add_aside(struct ui *ui, const struct today *today, struct text *out, struct text *left)
{
    const struct text *const lines[] = {&today->unsigned_line, &today->month_line, &today->stale,
                                        &today->note};
    int room = ui->grid.columns - FIND_CELLS;
    bool full = today->view.search.length > 0 || today->unsaved.list.count > 0;

    if (today->view.search.length == 0)
        today_unsaved_numbers(&today->unsaved, out);
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        const char *line = text_string(lines[i]), *between = out->length > 0 ? "; " : "";
        int cells = grid_measure(&ui->grid, line) + (int)strlen(between);
        if (lines[i]->length == 0)
            continue;
        if (!full && cells <= room) {
            text_addf(out, "%s%s", between, line);
            room -= cells;
        } else if (left != NULL) {
            text_addf(left, "  %s", line);
        }
    }
}

static void draw_aside(struct ui *ui, const struct today *today)
{
    struct grid *grid = &ui->grid;
    struct text aside = {0};

    if (today->view.search.length > 0)
        return;
    add_aside(ui, today, &aside, NULL);
    grid_put_right(grid, 1, FIND_CELLS, grid->columns - FIND_CELLS, LOOK_PLAIN,
                   text_string(&aside));
    text_release(&aside);
}

static void today_draw(struct ui *ui, void *state, int rows)
{
    struct today *today = state;
    struct grid *grid = &ui->grid;
    int cursor_row = grid->cursor_row, cursor_column = grid->cursor_column;

    list_screen_draw(ui, today, rows);
    draw_aside(ui, today);
    if (is_asking(today))
        grid_cursor(grid, cursor_row, cursor_column);
}

/* So that no family is called twice. */
static void add_called(const struct case_state *state, struct text *out)
{
    char date[DAY_TEXT_SIZE];

    if (state->last_contact == DAY_NONE)
        return;
    text_addf(out, "  last contact %s", day_to_text(state->last_contact, date));
    if (state->again_on != DAY_NONE)
        text_addf(out, ", call again %s", day_to_text(state->again_on, date));
}

static void add_row_hint(struct ui *ui, const void *state, size_t at, struct text *out)
{
    const struct today *today = state;
    const struct today_row *row = &today->rows.rows[at];
    const struct unsaved *unsaved = today_unsaved_of(&today->unsaved, &row->listed->casefile);
    struct recall_row recall = row->listed->row;
    char due[DAY_TEXT_SIZE];

    recall.state = state_of(today, row);
    text_addf(out, "%s %s, %s", row->listed->number, recall.state->family, recall.state->given);
    if (unsaved != NULL) {
        text_add(out, "  not saved: the visit of ");
        today_unsaved_when(unsaved, out);
    }
    if (recall.safety != SAFETY_NONE) {
        text_add(out, "  SAFETY: ");
        lists_safety_told(out, &recall, ui->app->today);
        text_addf(out, " since %s", day_to_text(recall.due_on, due));
    } else if (recall.due_on != DAY_NONE)
        text_addf(out, "  due from %s", day_to_text(recall.due_on, due));
    add_called(recall.state, out);
    if (recall.state->phone != NULL && recall.state->phone[0] != '\0')
        text_addf(out, "  tel. %s", recall.state->phone);
}

/* The question, or what is known of the selected case. */
static void today_hint(struct ui *ui, const void *state, struct text *out)
{
    const struct today *today = state;
    struct text aside = {0};

    if (is_asking(today)) {
        today_unsaved_question(&today->unsaved, out);
        return;
    }
    list_screen_hint(ui, today, out);
    if (out->length == 0)
        text_add(out, "Type a name or a case number to find a case.");
    add_aside(ui, today, &aside, out);
    text_release(&aside);
}

/* ---- keys ---- */

static unsigned today_places(const void *state)
{
    const struct today *today = state;

    if (is_asking(today))
        return PLACE_FIND | (today->unsaved.sure ? PLACE_SURE : PLACE_ASK);
    return list_screen_places(today);
}

/* A key has just brought up the question, or this list: the same stroke, felt twice, is no answer.
 * What is searched with is none. */
static bool today_ignores(const struct ui *ui, const void *state, const struct key *key)
{
    const struct today *today = state;
    bool answers = is_asking(today) && (key->character == '/' || key->character == '-');

    return list_screen_ignores(ui, today, key) ||
           (answers && !key->pasted && ui_now_ms(ui) - today->view.asked_at_ms < UI_DEAF_MS);
}

/* The search may be empty again: then the question stands there again. */
static void ask_again(struct ui *ui, struct today *today)
{
    today->unsaved.sure = false;
    if (is_asking(today))
        today->view.asked_at_ms = ui_now_ms(ui);
}

static void open_row(struct ui *ui, void *state, size_t row)
{
    screen_visit_or_case(ui, &((const struct today *)state)->rows.rows[row].listed->casefile);
}

static void today_command(struct ui *ui, void *state, enum command command, const struct key *key)
{
    struct today *today = state;

    if (is_asking(today) && command != COMMAND_SEARCH && command != COMMAND_NONE) {
        if (command == COMMAND_YES) /* she is the one to come back to */
            today->view.list.selected_id = today->unsaved.list.rows[0].draft.casefile;
        if (today_unsaved_answer(ui, &today->unsaved, command))
            today->view.asked_at_ms = ui_now_ms(ui);
        return;
    }
    list_screen_command(ui, today, command, key);
    if (command != COMMAND_NONE || today->view.search.length > 0)
        ask_again(ui, today);
    if (ui->depth > 1) /* whoever opens a case has chosen what to do next */
        today->unsaved.asking = false;
}

/* The lines aside come with the first tick: the first screen does not wait for them. */
static bool today_tick(struct ui *ui, void *state)
{
    struct today *today = state;
    bool changed = list_screen_tick(ui, today);
    bool lines = (changed || !today->stale_known) && read_lines(ui, today);

    return changed || lines;
}

/* Whoever was just handled stays selected, so that a stray Enter opens nobody else: on the day's
 * list; else found by what found her; else by her number. */
static void show_handled(struct ui *ui, struct today *today)
{
    const struct id handled = today->view.list.selected_id;
    struct listed_recall listed = {.casefile = handled};
    const struct editor search = today->view.search;
    struct text number = {0};

    if (id_is_none(&handled) || list_screen_show(ui, today, "", &handled) || today->view.failed ||
        (search.length > 0 && list_screen_show(ui, today, search.text, &handled)))
        return;
    text_add(&number, lists_recall_state(today->app, &today->rows.recalls, &listed)->number);
    if (today->view.failed || number.failed ||
        !list_screen_show(ui, today, text_string(&number), &handled))
        list_screen_clear(ui, today);
    text_release(&number);
}

/* Back from another screen, or midnight passed. */
static void today_resume(struct ui *ui, void *state)
{
    struct today *today = state;
    struct error error = {0};

    if (today_unsaved_read(ui, &today->unsaved, &error) != STATUS_OK)
        ui_say_error(ui, &error);
    today->stale_known = false;
    today->unsaved.sure = false;
    show_handled(ui, today);
    list_screen_resume(ui, today);
}

/* ---- opening ---- */

static void today_end(struct ui *ui, void *state)
{
    struct today *today = state;

    (void)ui;
    today_unsaved_release(&today->unsaved);
    text_release(&today->stale);
    text_release(&today->unsigned_line);
    text_release(&today->month_line);
    text_release(&today->note);
}

static const struct list_screen today_list_screen = {
    .list = &today_list_ops,
    .size = sizeof(struct today),
    .menu = PLACE_CASES_MENU | PLACE_DAY_MENU,
    .first = true,
    .nothing = "Nothing is booked and nobody is due. Type a name or a case number.",
    .nothing_found = "No case has this in its name or number. / removes a character.",
    .read = read_rows,
    .title = add_title,
    .hint = add_row_hint,
    .open = open_row,
    .casefile = today_id,
    .end = today_end};

static enum status today_open(struct ui *ui, const void *argument, void **state,
                              struct error *error)
{
    enum status status = list_screen_open(ui, &today_list_screen, argument, state, error);
    if (status != STATUS_OK)
        return status;
    struct today *today = *state;
    if (ui->app->alone) /* known already; the rest comes with the first tick */
        (void)sign_in_note(ui->app, &today->note, NULL);
    select_next_booking(today);
    today->unsaved.asking = true;
    status = today_unsaved_read(ui, &today->unsaved, error);
    if (status != STATUS_OK)
        list_screen_close(ui, today);
    return status;
}

const struct screen_ops today_screen = {.name = "today",
                                        .open = today_open,
                                        .close = list_screen_close,
                                        .draw = today_draw,
                                        .places = today_places,
                                        .menu = list_screen_menu,
                                        .takes_text = list_screen_takes_text,
                                        .ignores = today_ignores,
                                        .command = today_command,
                                        .hint = today_hint,
                                        .tick = today_tick,
                                        .resume = today_resume};
