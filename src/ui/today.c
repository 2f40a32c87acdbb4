/* SPDX-License-Identifier: GPL-3.0-or-later */
/* today: the way in. The day's bookings and who is due; typing narrows it to whom it finds. */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "springline/app/lists.h"
#include "springline/ui/editor.h"
#include "springline/ui/list.h"
#include "springline/ui/screens.h"

enum { SEARCH_CHARACTERS = 60 };

struct today {
    struct arena arena; /* of the rows */
    struct today_list rows;
    struct list list;
    struct editor search;
    struct seat_mark mark;
    struct arena unsaved_arena;
    struct unsaved_list unsaved;
    bool asking;         /* asked about the newest unsaved visit, while nothing is searched */
    bool sure;           /* asked whether it really is to be thrown away */
    int64_t asked_at_ms; /* when the question, or the list, came that Enter answers */
};

static bool is_asking(const struct today *today)
{
    return today->asking && today->unsaved.count > 0 && today->search.length == 0;
}

/* The unsaved visit of a row's case; NULL: none. */
static const struct unsaved *unsaved_of(const struct today *today, const struct today_row *row)
{
    for (size_t i = 0; i < today->unsaved.count; i++) {
        if (id_equal(&today->unsaved.rows[i].draft.casefile, &row->casefile))
            return &today->unsaved.rows[i];
    }
    return NULL;
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
    [COLUMN_LATE] = {.head = "late", .cells = 6, .keep = 3},
    [COLUMN_STAGE] = {.head = "stage", .cells = 10, .keep = 4},
    [COLUMN_SEEN] = {.head = "last seen", .cells = 10, .keep = 5},
    [COLUMN_VERDICT] = {.head = "verdict", .cells = 18, .keep = 6},
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

    return today->rows.rows[row].casefile;
}

static unsigned today_look(const void *context, size_t row)
{
    const struct today *today = context;

    return today->rows.rows[row].recall.group == RECALL_SAFETY ? LOOK_BOLD : LOOK_PLAIN;
}

static void add_what(const struct today *today, const struct today_row *row, struct text *out)
{
    if (unsaved_of(today, row) != NULL)
        text_add(out, "unsaved");
    else if (!row->booking)
        text_add(out, word_text(&words_recall_group, (int)row->recall.group));
    else if (row->booking_state == BOOKED_STANDING)
        text_add(out, word_text(&words_booking_kind, (int)row->kind));
    else
        text_add(out, word_text(&words_booking_state, (int)row->booking_state));
}

static void add_late(const struct today_row *row, struct text *out)
{
    if (row->recall.group == RECALL_SAFETY)
        text_add(out, "SAFETY");
    else if (row->recall.days_late > 0)
        text_addf(out, "%" PRId32 " d", row->recall.days_late);
}

static void today_cell(const void *context, size_t index, int column, struct text *out)
{
    const struct today *today = context;
    const struct today_row *row = &today->rows.rows[index];
    char date[DAY_TEXT_SIZE], time[6];

    switch (column) {
    case COLUMN_TIME:
        text_add(out, clock_to_text(row->time_min, time));
        break;
    case COLUMN_CASE:
        text_add(out, row->state.number);
        break;
    case COLUMN_NAME:
        text_add(out, row->state.family);
        text_add(out, ", ");
        text_add(out, row->state.given);
        break;
    case COLUMN_WHAT:
        add_what(today, row, out);
        break;
    case COLUMN_LATE:
        add_late(row, out);
        break;
    case COLUMN_STAGE:
        text_add(out, word_text(&words_stage, (int)row->state.stage));
        break;
    case COLUMN_SEEN:
        text_add(out, day_to_text(row->state.last_seen, date));
        break;
    case COLUMN_VERDICT:
        text_add(out, word_text(&words_verdict, (int)row->state.last_verdict));
        text_add(out,
                 row->state.last_verdict != VERDICT_NONE && row->state.last_recomputed ? " r" : "");
        break;
    case COLUMN_PHONE:
    default:
        text_add(out, row->state.phone);
        break;
    }
}

static const struct list_ops today_list_ops = {.columns = columns,
                                               .column_count = COLUMN_COUNT,
                                               .rows = today_rows,
                                               .cell = today_cell,
                                               .id = today_id,
                                               .look = today_look};

/* ---- reading ---- */

/* Reads the rows that the search finds. On failure the list is empty and *error says why. */
static enum status read_rows(struct ui *ui, struct today *today, struct error *error)
{
    struct text folded = {0};

    text_add_folded(&folded, today->search.text);
    arena_clear(&today->arena);
    enum status status = folded.failed ? error_no_memory(error)
                                       : lists_today(ui->app, text_string(&folded), &today->arena,
                                                     &today->rows, error);
    text_release(&folded);
    if (status != STATUS_OK)
        today->rows = (struct today_list){0};
    if (!list_refresh(&today->list) && status == STATUS_OK)
        status = error_no_memory(error);
    return status;
}

static void read_again(struct ui *ui, struct today *today)
{
    struct error error = {0};

    if (read_rows(ui, today, &error) != STATUS_OK)
        ui_say_error(ui, &error);
}

/* The first booking that is still to come, or the first row. */
static void select_next_booking(struct today *today)
{
    for (size_t i = 0; i < today->rows.booking_count; i++) {
        if (today->rows.rows[i].booking_state == BOOKED_STANDING) {
            today->list.selected = i;
            today->list.selected_id = today->rows.rows[i].casefile;
            return;
        }
    }
}

/* The search changed: what it finds is shown from its first row on. */
static void search_again(struct ui *ui, struct today *today)
{
    today->list.selected = 0;
    today->list.selected_id = (struct id){{0}};
    read_again(ui, today);
}

/* Reads the unsaved visits. */
static enum status read_unsaved(struct ui *ui, struct today *today, struct error *error)
{
    arena_clear(&today->unsaved_arena);
    enum status status = seat_unsaved(ui->app, &today->unsaved_arena, &today->unsaved, error);
    if (status != STATUS_OK)
        today->unsaved = (struct unsaved_list){0};
    return status;
}

static void today_close(struct ui *ui, void *state)
{
    struct today *today = state;

    (void)ui;
    list_release(&today->list);
    arena_release(&today->arena);
    arena_release(&today->unsaved_arena);
    free(today);
}

static enum status today_open(struct ui *ui, const void *argument, void **state,
                              struct error *error)
{
    struct today *today = calloc(1, sizeof *today);

    (void)argument;
    if (today == NULL)
        return error_no_memory(error);
    list_open(&today->list, &today_list_ops, today);
    editor_set(&today->search, "", SEARCH_CHARACTERS, false);
    seat_changed(ui->app, &today->mark);
    enum status status = read_rows(ui, today, error);
    select_next_booking(today);
    if (status == STATUS_OK)
        status = read_unsaved(ui, today, error);
    if (status != STATUS_OK) {
        today_close(ui, today);
        return status;
    }
    today->asking = true;
    today->asked_at_ms = ui_now_ms(ui);
    *state = today;
    return STATUS_OK;
}

/* ---- drawing ---- */

static void add_safety(struct text *out, size_t count, const char *words)
{
    if (count > 0)
        text_addf(out, " (%zu %s)", count, words);
}

/* "2026-11-25: 10 booked, 16 to call (6 of them safety)"; the day goes where it has no room. */
static void add_title(struct ui *ui, const struct today *today, struct text *title)
{
    size_t booked = today->rows.booking_count, safety[2] = {0};
    char date[DAY_TEXT_SIZE];

    day_to_text(ui->app->today, date);
    if (today->search.length > 0) {
        text_addf(title, "%s: %zu found", date, today->rows.count);
        return;
    }
    for (size_t i = 0; i < today->rows.count; i++)
        safety[i < booked ? 0 : 1] += today->rows.rows[i].recall.safety != SAFETY_NONE;
    for (int with_day = 1; with_day >= 0; with_day--) {
        text_clear(title);
        text_addf(title, "%s%s%zu booked", with_day == 1 ? date : "", with_day == 1 ? ": " : "",
                  booked);
        add_safety(title, safety[0], "safety");
        text_addf(title, ", %zu to call", today->rows.count - booked);
        add_safety(title, safety[1], "of them safety");
        if (grid_measure(&ui->grid, text_string(title)) <= ui_title_cells(ui))
            break;
    }
}

/* What is searched; else which visits are not saved, wherever their cases stand in the list. */
static void draw_search(struct ui *ui, const struct today *today)
{
    struct grid *grid = &ui->grid;
    struct text unsaved = {0};

    grid_put(grid, 1, 0, 6, LOOK_PLAIN, "find:");
    if (today->search.length > 0) {
        editor_draw(&today->search, grid, 1, 6, grid->columns - 6, LOOK_BOLD);
        return;
    }
    for (size_t i = 0; i < today->unsaved.count; i++)
        text_addf(&unsaved, "%s %s", i == 0 ? "not saved yet:" : ",",
                  today->unsaved.rows[i].number);
    grid_put_right(grid, 1, 8, grid->columns - 8, LOOK_PLAIN, text_string(&unsaved));
    text_release(&unsaved);
}

static void today_draw(struct ui *ui, void *state, int rows)
{
    struct today *today = state;
    struct grid *grid = &ui->grid;
    int cursor_row = grid->cursor_row, cursor_column = grid->cursor_column;
    bool searching = today->search.length > 0;
    struct text title = {0};

    add_title(ui, today, &title);
    grid_put(grid, 0, 0, ui_title_cells(ui), LOOK_BOLD, text_string(&title));
    text_release(&title);
    list_draw(&today->list, grid, 2, rows - 2, grid->columns,
              searching ? "No case has this in its name or number. / removes a character."
                        : "Nothing is booked and nobody is due. Type a name or a case number.",
              !searching);
    draw_search(ui, today);
    if (is_asking(today))
        grid_cursor(grid, cursor_row, cursor_column);
}

/* When a draft was written, as far as the screen says it. */
static void add_saved_at(struct text *out, const struct unsaved *unsaved)
{
    char saved_at[INSTANT_TEXT_SIZE];

    instant_to_text(unsaved->draft.saved_at, saved_at);
    text_addf(out, "%.10s %.5s UTC", saved_at, saved_at + 11);
}

/* Whose visit it is; a long name is cut, for behind it stands what the keys do. */
static void add_whose(struct text *out, const struct unsaved *unsaved)
{
    enum { NAME_CELLS = 40 };
    struct text name = {0};

    text_addf(&name, "%s, %s", unsaved->family, unsaved->given);
    text_addf(out, "%s ", unsaved->number);
    text_fit(out, text_string(&name), NAME_CELLS, false);
    text_release(&name);
}

static void add_question(const struct today *today, struct text *out)
{
    const struct unsaved *unsaved = &today->unsaved.rows[0];

    text_add(out, today->sure ? "Throw the visit of " : "A visit of ");
    add_whose(out, unsaved);
    if (today->sure) {
        text_add(out, " away for good? - once more throws it away, / keeps it.");
        return;
    }
    text_add(out, " was not saved (");
    add_saved_at(out, unsaved);
    text_add(out, "). Enter goes on with it, / sets it aside, - throws it away; typing searches.");
}

static void add_row_hint(struct ui *ui, const struct today *today, const struct today_row *row,
                         struct text *out)
{
    const struct unsaved *unsaved = unsaved_of(today, row);
    char due[DAY_TEXT_SIZE];

    text_addf(out, "%s %s, %s", row->state.number, row->state.family, row->state.given);
    if (unsaved != NULL) {
        text_add(out, "  not saved: the visit of ");
        add_saved_at(out, unsaved);
    }
    if (row->recall.safety != SAFETY_NONE) {
        text_add(out, "  SAFETY: ");
        lists_safety(out, &row->recall, ui->app->today);
        text_addf(out, " since %s", day_to_text(row->recall.due_on, due));
    } else if (row->recall.due_on != DAY_NONE)
        text_addf(out, "  due from %s", day_to_text(row->recall.due_on, due));
    if (row->state.phone != NULL && row->state.phone[0] != '\0')
        text_addf(out, "  tel. %s", row->state.phone);
}

/* The question, or what is known of the selected case. */
static void today_hint(struct ui *ui, const void *state, struct text *out)
{
    const struct today *today = state;
    size_t at;

    if (is_asking(today))
        add_question(today, out);
    else if (list_selected(&today->list, &at))
        add_row_hint(ui, today, &today->rows.rows[at], out);
    else
        text_add(out, "Type a name or a case number to find a case.");
}

/* ---- keys ---- */

static unsigned today_places(const void *state)
{
    const struct today *today = state;

    if (is_asking(today))
        return PLACE_FIND | (today->sure ? PLACE_SURE : PLACE_ASK);
    return PLACE_FIND | PLACE_LIST | (today->search.length > 0 ? PLACE_FOUND : 0U);
}

/* A hyphen behind a letter belongs to the name or number being typed; behind a digit it moves. */
static bool today_takes_text(const void *state, const struct key *key)
{
    const struct today *today = state;
    const struct editor *search = &today->search;
    char last = search->length == 0 ? '0' : search->text[search->length - 1];

    return key->press == PRESS_NONE && key->character == '-' && !(last >= '0' && last <= '9');
}

/* A key has just brought up the question, or this list: the same stroke, felt twice, is no answer.
 * What is searched with is none. */
static bool today_ignores(const struct ui *ui, const void *state, const struct key *key)
{
    const struct today *today = state;
    bool answers = key->press == PRESS_ENTER ||
                   (is_asking(today) && (key->character == '/' || key->character == '-'));

    return answers && !key->pasted && ui_now_ms(ui) - today->asked_at_ms < UI_DEAF_MS;
}

/* The search may be empty again: then the question stands there again. */
static void ask_again(struct ui *ui, struct today *today)
{
    today->sure = false;
    if (is_asking(today))
        today->asked_at_ms = ui_now_ms(ui);
}

/* A search begins with a letter or a digit; then any character may follow. It sets the question
 * aside for as long as it stands. */
static void type_search(struct ui *ui, struct today *today, enum command command,
                        const struct key *key)
{
    if (key->press != PRESS_NONE || key->control ||
        (command != COMMAND_SEARCH && !key->pasted && today->search.length == 0))
        return;
    if (editor_insert(&today->search, key->character))
        search_again(ui, today);
    today->sure = false;
}

static void shorten_search(struct ui *ui, struct today *today)
{
    if (editor_command(&today->search, COMMAND_RUB_OUT))
        search_again(ui, today);
    ask_again(ui, today);
}

static void clear_search(struct ui *ui, struct today *today)
{
    if (editor_command(&today->search, COMMAND_CLEAR))
        read_again(ui, today);
    ask_again(ui, today);
}

static void open_selected(struct ui *ui, struct today *today)
{
    size_t row;

    if (!list_selected(&today->list, &row))
        return;
    struct visit_argument argument = {.casefile = today->rows.rows[row].casefile};
    today->asking = false; /* whoever opens a case has chosen what to do next */
    ui_push(ui, &visit_screen, &argument);
}

static void throw_away(struct ui *ui, struct today *today)
{
    struct error error = {0};

    if (seat_throw_away(ui->app, &today->unsaved.rows[0].draft.casefile, &error) != STATUS_OK ||
        read_unsaved(ui, today, &error) != STATUS_OK)
        ui_say_error(ui, &error);
    today->asking = today->sure = false;
}

/* The answer to whether to go on with an unsaved visit. The others are not asked about: their rows
 * are marked, and the sheet asks when such a case is opened. */
static void answer(struct ui *ui, struct today *today, enum command command)
{
    struct visit_argument argument = {.casefile = today->unsaved.rows[0].draft.casefile,
                                      .resume = true};
    bool no = command == COMMAND_NO || command == COMMAND_BACK;

    if (command == COMMAND_YES) {
        today->asking = false;
        ui_push(ui, &visit_screen, &argument);
    } else if (command == COMMAND_THROW_AWAY && today->sure) {
        throw_away(ui, today);
    } else if (command == COMMAND_THROW_AWAY) {
        today->sure = true;
        today->asked_at_ms = ui_now_ms(ui);
    } else if (no && today->sure) {
        ask_again(ui, today);
    } else if (no) {
        today->asking = false;
    }
}

static void today_command(struct ui *ui, void *state, enum command command, const struct key *key)
{
    struct today *today = state;

    if (is_asking(today) && command != COMMAND_SEARCH && command != COMMAND_NONE) {
        answer(ui, today, command);
        return;
    }
    today->asked_at_ms = INT64_MIN / 2; /* another key came between: what follows is no bounce */
    switch ((int)command) {
    case COMMAND_NONE:
    case COMMAND_SEARCH:
        type_search(ui, today, command, key);
        break;
    case COMMAND_SHORTEN:
        shorten_search(ui, today);
        break;
    case COMMAND_CLEAR:
    case COMMAND_BACK:
        clear_search(ui, today);
        break;
    case COMMAND_OPEN:
        open_selected(ui, today);
        break;
    default:
        list_command(&today->list, command);
        break;
    }
}

static bool today_tick(struct ui *ui, void *state)
{
    struct today *today = state;

    if (!seat_changed(ui->app, &today->mark))
        return false;
    read_again(ui, today);
    return true;
}

/* Back from a visit, or midnight passed. */
static void today_resume(struct ui *ui, void *state)
{
    struct today *today = state;
    struct error error = {0};

    if (read_unsaved(ui, today, &error) != STATUS_OK)
        ui_say_error(ui, &error);
    clear_search(ui, today);
    today->asked_at_ms = ui_now_ms(ui);
}

const struct screen_ops today_screen = {.name = "today",
                                        .open = today_open,
                                        .close = today_close,
                                        .draw = today_draw,
                                        .places = today_places,
                                        .takes_text = today_takes_text,
                                        .ignores = today_ignores,
                                        .command = today_command,
                                        .hint = today_hint,
                                        .tick = today_tick,
                                        .resume = today_resume};
