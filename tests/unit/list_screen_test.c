/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What every list screen does, on one with invented rows: searching by words, sorting, keeping the
 * selected record while rows come and go, the menu, going back, a reading that fails. What is
 * expected is the list screens' own manners (README, "Keys"); there is no outside source for them.
 */
#include "desk.h"

#include "springline/app/lists_find.h"
#include "springline/ui/list_screen.h"

struct fruit {
    uint8_t id;
    const char *name, *colour, *count;
};

static const struct fruit first_fruits[] = {{1, "pear", "green", "9"},
                                            {2, "Apple", "red", "12"},
                                            {3, "\xC3\x89glantine", "red", ""},
                                            {4, "plum", "blue", "100"}};
static const struct fruit later_fruits[] = {{7, "fig", "green", "3"},
                                            {8, "quince", "yellow", "2"},
                                            {4, "plum", "blue", "100"},
                                            {2, "Apple", "red", "12"}};

/* What the screen under test reads, and what it was asked to do. */
struct market {
    const struct fruit *fruits;
    size_t count;
    bool broken;
    int read, narrowed, opened, ended;
    enum command command;
    bool has_row;
};

struct stall {
    struct list_view view;
    struct market *market;
    const struct fruit *rows[8];
    size_t count;
};

static size_t stall_rows(const void *state)
{
    return ((const struct stall *)state)->count;
}

static struct id stall_id(const void *state, size_t row)
{
    return (struct id){{((const struct stall *)state)->rows[row]->id}};
}

static void stall_cell(const void *state, size_t row, int column, struct text *out)
{
    const struct fruit *fruit = ((const struct stall *)state)->rows[row];

    text_add(out, column == 0 ? fruit->name : column == 1 ? fruit->colour : fruit->count);
}

static const struct list_column stall_columns[] = {
    {.head = "name", .cells = 12, .stretch = true},
    {.head = "colour", .cells = 8},
    {.head = "count", .cells = 6, .keep = 1, .right = true, .falling = true},
};

static const struct list_ops stall_list = {.columns = stall_columns,
                                           .column_count = 3,
                                           .rows = stall_rows,
                                           .cell = stall_cell,
                                           .id = stall_id};

static enum status stall_begin(struct ui *ui, void *state, const void *argument,
                               struct error *error)
{
    (void)ui;
    (void)error;
    memcpy(&((struct stall *)state)->market, argument, sizeof(struct market *));
    return STATUS_OK;
}

static enum status stall_read(struct ui *ui, void *state, const char *folded, struct error *error)
{
    struct stall *stall = state;
    struct market *market = stall->market;

    (void)ui;
    market->read++;
    market->narrowed += stall->view.narrowing;
    stall->count = 0;
    if (market->broken)
        return error_set(error, STATUS_BUSY, NULL, "The stall is closed.");
    for (size_t i = 0; i < market->count; i++) {
        const char *const texts[] = {market->fruits[i].name, market->fruits[i].colour};
        if (lists_found(texts, 2, folded))
            stall->rows[stall->count++] = &market->fruits[i];
    }
    return STATUS_OK;
}

static void stall_title(struct ui *ui, const void *state, struct text *out)
{
    (void)ui;
    text_addf(out, "stall of %zu", ((const struct stall *)state)->count);
}

static int stall_above(struct ui *ui, void *state, int row, int rows)
{
    (void)state;
    grid_put(&ui->grid, row, 0, 20, LOOK_PLAIN, rows > 0 ? "ripe fruit only" : "?");
    return 1;
}

static void stall_hint(struct ui *ui, const void *state, size_t row, struct text *out)
{
    (void)ui;
    text_addf(out, "selected: %s", ((const struct stall *)state)->rows[row]->name);
}

static void stall_open(struct ui *ui, void *state, size_t row)
{
    struct stall *stall = state;

    (void)ui;
    stall->market->opened = stall->rows[row]->id;
}

static void stall_command(struct ui *ui, void *state, enum command command, bool has_row,
                          size_t row)
{
    struct market *market = ((struct stall *)state)->market;

    (void)ui;
    (void)row;
    market->command = command;
    market->has_row = has_row;
}

static void stall_end(struct ui *ui, void *state)
{
    (void)ui;
    ((struct stall *)state)->market->ended++;
}

static const struct list_screen stall_list_screen = {.list = &stall_list,
                                                     .size = sizeof(struct stall),
                                                     .menu = PLACE_PEOPLE_MENU,
                                                     .nothing = "Nothing here.",
                                                     .nothing_found = "No such fruit.",
                                                     .begin = stall_begin,
                                                     .read = stall_read,
                                                     .title = stall_title,
                                                     .above = stall_above,
                                                     .hint = stall_hint,
                                                     .open = stall_open,
                                                     .command = stall_command,
                                                     .end = stall_end};

static enum status open_stall(struct ui *ui, const void *argument, void **state,
                              struct error *error)
{
    return list_screen_open(ui, &stall_list_screen, argument, state, error);
}

static const struct screen_ops stall_screen = {LIST_SCREEN("stall", open_stall)};

static void open_market(struct desk *desk, struct market *market, const char *name)
{
    *market = (struct market){.fruits = first_fruits, .count = 4};
    desk_open(desk, name);
    ui_push(&desk->ui, &stall_screen, &market);
    ui_draw(&desk->ui);
}

static void close_market(struct desk *desk, const struct market *market)
{
    desk_close(desk);
    assert_int_equal(market->ended, 1);
}

/* ---- searching ---- */

static void every_word_narrows(void **state)
{
    struct desk desk;
    struct market market;

    (void)state;
    open_market(&desk, &market, "list_words");
    assert_shows(&desk, "stall of 4");
    assert_shows(&desk, "ripe fruit only");
    desk_keys(&desk, "RED");
    assert_shows(&desk, "find: RED");
    assert_shows(&desk, "stall of 2");
    desk_keys(&desk, " egl");
    assert_shows(&desk, "stall of 1");
    assert_shows(&desk, "selected: \xC3\x89glantine");
    assert_int_equal(desk.headless.cursor_row, 2); /* behind what is typed */
    assert_int_equal(desk.headless.cursor_column, 13);
    desk_keys(&desk, "z");
    assert_shows(&desk, "No such fruit.");
    desk_keys(&desk, "///");
    assert_shows(&desk, "find: RED");
    assert_int_equal(market.read - market.narrowed, 1); /* the rows were read once */
    close_market(&desk, &market);
}

static void escape_clears_then_goes_back(void **state)
{
    struct desk desk;
    struct market market;

    (void)state;
    open_market(&desk, &market, "list_back");
    desk_keys(&desk, "plum<Ctrl-U>");
    assert_shows(&desk, "stall of 4");
    assert_shows(&desk, "selected: plum"); /* found, it stays selected */
    desk_keys(&desk, "apple");
    assert_shows(&desk, "stall of 1");
    desk_keys(&desk, "<Esc>");
    assert_shows(&desk, "stall of 4");
    desk_keys(&desk, "<Esc>");
    assert_shows(&desk, "1 still booked");
    assert_int_equal(market.ended, 1);
    desk_keys(&desk, "<Esc>"); /* behind the first screen there is nothing */
    assert_shows(&desk, "1 still booked");
    close_market(&desk, &market);
}

static void a_paste_is_searched_for(void **state)
{
    struct desk desk;
    struct market market;

    (void)state;
    open_market(&desk, &market, "list_paste");
    desk_keys(&desk, "<paste:*plum|>");
    assert_shows(&desk, "find: *plum");
    assert_int_equal(market.opened, 0);
    close_market(&desk, &market);
}

/* ---- sorting ---- */

static void tab_sorts_by_every_column(void **state)
{
    struct desk desk;
    struct market market;

    (void)state;
    open_market(&desk, &market, "list_sort");
    desk_keys(&desk, "<Tab>");
    assert_shows(&desk, "name ^");
    assert_shows(&desk, "Apple red 12 \xC3\x89glantine red > pear green 9 plum blue 100");
    desk_keys(&desk, "<Tab>");
    assert_shows(&desk, "colour ^");
    assert_shows(&desk, "plum blue 100 > pear green 9 Apple red 12 \xC3\x89glantine red");
    desk_keys(&desk, "<Tab>"); /* the most first, by size and not by digit; nothing comes last */
    assert_shows(&desk, "count v");
    assert_shows(&desk, "plum blue 100 Apple red 12 > pear green 9 \xC3\x89glantine red");
    desk_keys(&desk, "<Tab>");
    assert_shows(&desk, "> pear green 9 Apple red 12");
    assert_shows(&desk, "selected: pear"); /* all the while */
    close_market(&desk, &market);
}

/* ---- the selected record ---- */

/* Another seat saves: a person more. */
static void save_elsewhere(struct desk *desk, const char *login)
{
    struct store *other = NULL;
    struct store_request request = {.command = "person", .seat = "elsewhere", .label = ""};
    struct person person = {.login = login, .name = "Odette Fernwhistle", .role = ROLE_DESK};

    assert_int_equal(store_open(desk->kept.path, &desk->kept.source, &other, &desk->error),
                     STATUS_OK);
    request.id = store_new_id(other);
    assert_int_equal(store_begin(other, &request, &desk->error), STATUS_OK);
    assert_int_equal(store_append(other, RECORD_PERSON, &person, &desk->error), STATUS_OK);
    assert_int_equal(store_commit(other, &desk->error), STATUS_OK);
    store_close(other);
}

static void the_record_stays_selected_when_another_seat_saves(void **state)
{
    struct desk desk;
    struct market market;

    (void)state;
    open_market(&desk, &market, "list_seat");
    desk.kept.app.user = "founder"; /* somebody else is entered: from then on the login counts */
    desk_keys(&desk, "<End>");
    assert_shows(&desk, "selected: plum");
    market.fruits = later_fruits;
    ui_event(&desk.ui, EVENT_NOTHING, NULL); /* nobody saved: nothing is read */
    assert_int_equal(market.read, 1);
    save_elsewhere(&desk, "odette");
    assert_true(ui_event(&desk.ui, EVENT_NOTHING, NULL));
    ui_draw(&desk.ui);
    assert_int_equal(market.read, 2);
    assert_shows(&desk, "> plum");
    assert_shows(&desk, "quince");
    assert_int_equal(desk.headless.cursor_row, 6);
    close_market(&desk, &market);
}

static void back_from_another_screen_search_and_record_stand(void **state)
{
    struct desk desk;
    struct market market, above = {.fruits = first_fruits, .count = 4}, *argument = &above;

    (void)state;
    open_market(&desk, &market, "list_resume");
    desk_keys(&desk, "e+");
    assert_shows(&desk, "selected: Apple");
    ui_push(&desk.ui, &stall_screen, &argument);
    market.fruits = later_fruits;
    desk_keys(&desk, "<Esc>");
    assert_int_equal(above.ended, 1);
    assert_shows(&desk, "find: e");
    assert_shows(&desk, "stall of 4"); /* fig (green), quince, plum (blue), Apple */
    assert_shows(&desk, "selected: Apple");
    desk.headless.key_ms = 100;
    desk_keys(&desk, "<Enter>"); /* the stroke that closed the other one, bouncing */
    assert_int_equal(market.opened, 0);
    desk.headless.key_ms = 10;
    desk_keys(&desk, "1"); /* it may have been the digit that saves */
    assert_false(desk_shows(&desk, "find: e1"));
    desk.headless.key_ms = 200;
    desk_keys(&desk, "<Enter>");
    assert_int_equal(market.opened, 2);
    close_market(&desk, &market);
}

/* ---- the menu ---- */

static void the_menu_brings_commands(void **state)
{
    struct desk desk;
    struct market market;

    (void)state;
    open_market(&desk, &market, "list_menu");
    desk_keys(&desk, "*");
    assert_shows(&desk, command_table[COMMAND_TO_HISTORY].help);
    desk_keys(&desk, "2");
    assert_int_equal(market.command, COMMAND_TO_HISTORY);
    assert_true(market.has_row);
    desk_keys(&desk, "zzz*1");
    assert_int_equal(market.command, COMMAND_ADD);
    assert_false(market.has_row);
    close_market(&desk, &market);
}

/* ---- trouble ---- */

static void a_reading_that_fails_shows_nothing_old(void **state)
{
    struct desk desk;
    struct market market;

    (void)state;
    open_market(&desk, &market, "list_broken");
    market.broken = true;
    desk_keys(&desk, "p");
    assert_shows(&desk, "The stall is closed.");
    assert_false(desk_shows(&desk, "plum"));
    desk_keys(&desk, "<Enter>+<Tab><End>");
    assert_int_equal(market.opened, 0);
    market.broken = false;
    int narrowed = market.narrowed;
    desk_keys(&desk, "l");
    assert_shows(&desk, "plum");
    assert_int_equal(market.narrowed, narrowed); /* nothing old to narrow: read as a whole */
    market.broken = true;
    struct market *argument = &market;
    int ended = market.ended;
    desk_keys(&desk, "<Esc><Esc>");
    market.broken = true;
    ui_push(&desk.ui, &stall_screen, &argument); /* does not open, leaves nothing behind */
    ui_draw(&desk.ui);
    assert_shows(&desk, "1 still booked");
    assert_shows(&desk, "The stall is closed.");
    assert_int_equal(market.ended, ended + 2);
    desk_close(&desk);
}

/* From 40 x 12 the row that is selected can be seen; at no size anything breaks. */
static void any_size(void **state)
{
    static const int sizes[][2] = {{1, 1}, {12, 40}, {13, 41}, {24, 80}, {43, 132}, {60, 200}};
    struct desk desk;
    struct market market;

    (void)state;
    open_market(&desk, &market, "list_size");
    desk_keys(&desk, "<End>");
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        desk_resize(&desk, sizes[i][0], sizes[i][1]);
        if (sizes[i][0] >= 12)
            assert_shows(&desk, "> plum");
        assert_true(desk.headless.cursor_row < sizes[i][0]);
        assert_true(desk.headless.cursor_column < sizes[i][1]);
    }
    close_market(&desk, &market);
}

/* ---- the heads of every list ---- */

/* The underlined row: the heads. */
static void read_heads(struct desk *desk, struct text *out)
{
    struct grid *grid = &desk->ui.grid;
    int row = 0;

    while (row < grid->rows && grid_cell(grid, row, 2).look != LOOK_UNDERLINE)
        row++;
    assert_true(row < grid->rows);
    const char *at = text_string(&desk->headless.frame);
    for (; row > 0; row--)
        at = strchr(at, '\n') + 1;
    text_append(out, at, strcspn(at, "\n"));
}

static bool is_word_of(const struct list_view *view, const char *word, size_t length)
{
    const struct list_ops *ops = view->list.ops;

    for (int i = 0; i < ops->column_count; i++) {
        for (const char *at = ops->columns[i].head; *at != '\0'; at += strspn(at, " ")) {
            size_t own = strcspn(at, " ");
            if (own == length && strncmp(at, word, length) == 0)
                return true;
            at += own;
        }
    }
    return length == 1 ? *word == '^' || *word == 'v' : length == 2 && memcmp(word, "by", 2) == 0;
}

/* Every word of the heads is one of a head, or the mark, or "by": none is cut, none runs into
 * another; and the mark stands there once one sorts. */
static void check_heads(struct desk *desk, const char *name)
{
    const struct list_view *view = desk->ui.stack[desk->ui.depth - 1].state;
    struct text heads = {0};
    bool marked = false;

    read_heads(desk, &heads);
    for (const char *at = text_string(&heads); *at != '\0';) {
        at += strspn(at, " ");
        size_t length = strcspn(at, " ");
        if (length > 0 && !is_word_of(view, at, length))
            fail_msg("%s by column %d: %.*s in: %s", name, view->list.sort_column, (int)length, at,
                     text_string(&heads));
        marked = marked || (length == 1 && (*at == '^' || *at == 'v'));
        at += length;
    }
    assert_true(marked == (view->list.sort_column != LIST_NATURAL));
    text_release(&heads);
}

static void no_head_is_cut_or_runs_into_another(void **state)
{
    static const char *const ways[] = {"",   "*6",     "*7<Left>",        "*9",
                                       "*0", "0001*1", "*7<Right><Enter>"};
    static const int sizes[][2] = {{12, 40}, {24, 80}, {43, 132}};
    struct desk desk;

    (void)state;
    desk_open(&desk, "list_heads");
    for (size_t way = 0; way < sizeof ways / sizeof ways[0]; way++) {
        desk_keys(&desk, ways[way]);
        const struct list_view *view = desk.ui.stack[desk.ui.depth - 1].state;
        for (int sort = 0; sort <= view->list.ops->column_count; sort++) {
            for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
                desk_resize(&desk, sizes[i][0], sizes[i][1]);
                check_heads(&desk, ways[way]);
            }
            desk_keys(&desk, "<Tab>");
        }
        while (desk.ui.depth > 1 || view->search.length > 0) {
            desk_keys(&desk, "<Esc>");
            view = desk.ui.stack[desk.ui.depth - 1].state;
        }
    }
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_word_narrows),
        cmocka_unit_test(escape_clears_then_goes_back),
        cmocka_unit_test(a_paste_is_searched_for),
        cmocka_unit_test(tab_sorts_by_every_column),
        cmocka_unit_test(the_record_stays_selected_when_another_seat_saves),
        cmocka_unit_test(back_from_another_screen_search_and_record_stand),
        cmocka_unit_test(the_menu_brings_commands),
        cmocka_unit_test(a_reading_that_fails_shows_nothing_old),
        cmocka_unit_test(any_size),
        cmocka_unit_test(no_head_is_cut_or_runs_into_another),
    };
    return cmocka_run_group_tests_name("list_screen", tests, NULL, NULL);
}
