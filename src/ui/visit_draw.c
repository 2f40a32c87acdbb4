/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The picture of the visit screen. At 80 x 24: who, the verdict and why, the past, the table of
 * fields, the caution. Where it is smaller: who, the verdict, a few fields.
 */
#include <string.h>

#include "visit_view.h"

enum { TABLE_COLUMNS = 80, TABLE_ROWS = 18, VISITS_LEAST = 8, REASONS_MOST = 9 };

/* ---- who ---- */

enum { WHO_INDENT = 2 };

/* The end of a line, from the first word from which on it fits into cells. */
static const char *tail_of(struct grid *grid, const char *line, int cells)
{
    while (grid_measure(grid, line) > cells && strchr(line, ' ') != NULL) {
        line = strchr(line, ' ');
        line += strspn(line, " ");
    }
    return line;
}

/* Adds a line in one row, or two: of a longer one the beginning and the end, because a name may be
 * long and the birth date stands behind it. */
static void add_squeezed(struct panel *panel, struct grid *grid, int cells, int rows,
                         const char *line)
{
    struct text text = {0};

    text_fit(&text, line, cells, false); /* cut, and marked so */
    panel_add(panel, LOOK_BOLD, 0, text_string(&text));
    if (rows > 1 && grid_measure(grid, line) > cells) {
        text_clear(&text);
        text_addf(&text, "  %s", tail_of(grid, line, cells - WHO_INDENT));
        panel_add(panel, LOOK_BOLD, 0, text_string(&text));
    }
    text_release(&text);
}

/* Draws who it is, always: name and birth date in name_rows, alerts in alert_rows at most. Returns
 * the rows it took. */
static int draw_who(struct ui *ui, struct visit_view *view, int name_rows, int alert_rows)
{
    struct panel panel = {0};
    struct arena arena = {0};
    struct lines lines = {0};
    int cells = ui_title_cells(ui);

    if (visit_lines_who(ui->app, &view->sheet, &arena, &lines) == STATUS_OK) {
        for (size_t i = 0; i < lines.count; i++)
            add_squeezed(&panel, &ui->grid, cells, i == 0 ? name_rows : alert_rows, lines.line[i]);
    }
    int rows = panel_rows(&panel, &ui->grid, cells);
    panel_draw(&panel, &ui->grid, 0, 0, rows, cells, 0);
    panel_release(&panel);
    arena_release(&arena);
    return rows;
}

/* ---- the verdict, why, and the past ---- */

struct why {
    struct arena arena;
    struct lines verdicts[2];
    struct lines past;
};

static bool read_why(struct ui *ui, struct visit_view *view, int visits, struct why *why)
{
    for (int i = 0; i < view->sheet.arch_count; i++) {
        if (visit_lines_verdict(&view->sheet, i, &why->arena, &why->verdicts[i]) != STATUS_OK)
            return false;
    }
    return visit_lines_past(ui->app, &view->sheet, visits, &why->arena, &why->past) == STATUS_OK;
}

/* The sign in front of a verdict, coloured where there are colours; the word says the same. */
static void add_verdict(struct panel *panel, const char *line, enum verdict verdict)
{
    static const struct {
        const char *sign;
        unsigned look;
    } signs[] = {[VERDICT_NONE] = {"?", LOOK_BOLD},
                 [VERDICT_PROCEED] = {"=", LOOK_BOLD | LOOK_REVERSE | LOOK_GREEN},
                 [VERDICT_REDUCE] = {"-", LOOK_BOLD | LOOK_REVERSE | LOOK_YELLOW},
                 [VERDICT_HOLD] = {"#", LOOK_BOLD | LOOK_REVERSE | LOOK_RED},
                 [VERDICT_REST] = {"#", LOOK_BOLD | LOOK_REVERSE | LOOK_MAGENTA}};
    struct text text = {0};

    text_addf(&text, "%s %s", signs[verdict].sign, line);
    panel_add_signed(panel, LOOK_BOLD, signs[verdict].look, 2, text_string(&text));
    text_release(&text);
}

static void add_indented(struct panel *panel, const char *line)
{
    struct text text = {0};

    text_addf(&text, "  %s", line);
    panel_add(panel, LOOK_PLAIN, 4, text_string(&text));
    text_release(&text);
}

/* The verdicts with at most most findings each, past_most lines of the past, then the findings and
 * the lines left over. */
static void fill_why(const struct visit_view *view, const struct why *why, size_t most,
                     size_t past_most, struct panel *panel)
{
    for (int i = 0; i < view->sheet.arch_count; i++) {
        const struct lines *lines = &why->verdicts[i];
        for (size_t j = 0; j < lines->count && j <= most; j++) {
            if (j == 0)
                add_verdict(panel, lines->line[0], view->sheet.judgements[i].verdict);
            else
                add_indented(panel, lines->line[j]);
        }
    }
    for (size_t i = 0; i < why->past.count && i < past_most; i++)
        panel_add(panel, LOOK_PLAIN, 2, why->past.line[i]);
    for (int i = 0; i < view->sheet.arch_count; i++) {
        const struct lines *lines = &why->verdicts[i];
        if (lines->count > most + 1)
            panel_add(panel, LOOK_BOLD, 2,
                      view->sheet.arches[i] == ARCH_UPPER ? "upper, also:" : "lower, also:");
        for (size_t j = most + 1; j < lines->count; j++)
            add_indented(panel, lines->line[j]);
    }
    for (size_t i = past_most; i < why->past.count; i++)
        panel_add(panel, LOOK_PLAIN, 2, why->past.line[i]);
}

/* Wear, widths and the last two visits: as much of the past as must be seen at once. */
static size_t past_needed(const struct visit_view *view)
{
    return (size_t)view->sheet.arch_count + 3;
}

/* Everything where it fits; else the older visits go below, then the lesser findings. */
static void choose_why(struct ui *ui, const struct visit_view *view, const struct why *why,
                       int rows, struct panel *panel)
{
    size_t most = why->verdicts[0].count > why->verdicts[1].count ? why->verdicts[0].count
                                                                  : why->verdicts[1].count;
    size_t past_most = why->past.count;

    fill_why(view, why, most, past_most, panel);
    while (panel_rows(panel, &ui->grid, ui->grid.columns) > rows && most > 1) {
        if (past_most > past_needed(view))
            past_most--;
        else
            most--;
        panel_clear(panel);
        fill_why(view, why, most, past_most, panel);
    }
}

/* caution: it has no place of its own on a small screen and stands below the rest. */
static void draw_why(struct ui *ui, struct visit_view *view, int row, int rows, bool caution)
{
    struct why why = {0};
    struct panel panel = {0};

    if (rows > 0 && read_why(ui, view, rows > VISITS_LEAST ? rows : VISITS_LEAST, &why)) {
        choose_why(ui, view, &why, rows, &panel);
        if (caution)
            panel_add(&panel, LOOK_PLAIN, 0, app_caution);
        int all = panel_rows(&panel, &ui->grid, ui->grid.columns);
        if (view->why_top > all - rows)
            view->why_top = all - rows;
        if (view->why_top < 0)
            view->why_top = 0;
        panel_draw(&panel, &ui->grid, row, 0, rows, ui->grid.columns, view->why_top);
    }
    panel_release(&panel);
    arena_release(&why.arena);
}

/* ---- below: fields, reasons or the review ---- */

static void fill_review(struct ui *ui, struct visit_view *view, struct panel *panel)
{
    struct arena arena = {0};
    struct lines lines = {0};
    struct text reason = {0};

    if (visit_lines_review(ui->app, &view->sheet, &arena, &lines) == STATUS_OK) {
        for (size_t i = 0; i < lines.count; i++)
            panel_add(panel, LOOK_BOLD, 2, lines.line[i]);
    }
    if (view->reason > 0) {
        text_addf(&reason, "more than permitted, because: %s", visit_reason(view->reason));
        if (view->reason_text[0] != '\0')
            text_addf(&reason, ": %s", view->reason_text);
        panel_add(panel, LOOK_BOLD, 2, text_string(&reason));
    }
    text_release(&reason);
    arena_release(&arena);
}

static void fill_reasons(const struct visit_view *view, struct panel *panel)
{
    struct text line = {0};

    panel_add(panel, LOOK_BOLD, 0, "More than permitted. Why?");
    for (int i = 1; i <= REASONS_MOST && visit_reason(i) != NULL; i++) {
        bool taken = view->mode == MODE_REASON_TEXT && view->reason == i;
        text_clear(&line);
        text_addf(&line, "%s %d  %s", taken ? ">" : " ", i, visit_reason(i));
        panel_add(panel, taken ? LOOK_BOLD : LOOK_PLAIN, 5, text_string(&line));
    }
    text_release(&line);
}

static bool shows_panel(const struct visit_view *view)
{
    return view->mode == MODE_REVIEW || view->mode == MODE_REASON || view->mode == MODE_REASON_TEXT;
}

/* Draws the panel of the mode upwards from row bottom - 1. Returns its first row. */
static int draw_mode_panel(struct ui *ui, struct visit_view *view, int top, int bottom)
{
    struct panel panel = {0};
    bool typing = view->mode != MODE_REVIEW;

    if (typing)
        fill_reasons(view, &panel);
    else
        fill_review(ui, view, &panel);
    int rows = panel_rows(&panel, &ui->grid, ui->grid.columns) + (typing ? 1 : 0);
    int first = bottom - rows < top ? top : bottom - rows;
    panel_draw(&panel, &ui->grid, first, 0, bottom - first - (typing ? 1 : 0), ui->grid.columns, 0);
    if (typing) {
        const char *head = view->mode == MODE_REASON ? "reason:" : "in words:";
        grid_put(&ui->grid, bottom - 1, 0, 10, LOOK_PLAIN, head);
        editor_draw(&view->editor, &ui->grid, bottom - 1, 10, ui->grid.columns - 10, LOOK_REVERSE);
    }
    panel_release(&panel);
    return first;
}

/* The caution line above bottom; returns where it begins. */
static int draw_caution(struct ui *ui, int bottom)
{
    struct panel panel = {0};

    panel_add(&panel, LOOK_PLAIN, 0, app_caution);
    int rows = panel_rows(&panel, &ui->grid, ui->grid.columns);
    panel_draw(&panel, &ui->grid, bottom - rows, 0, rows, ui->grid.columns, 0);
    panel_release(&panel);
    return bottom - rows;
}

static void draw_wide(struct ui *ui, struct visit_view *view, int rows)
{
    int bottom = draw_caution(ui, rows);
    int top = draw_who(ui, view, 2, 2);
    int below = bottom - visit_table_rows(view);

    if (shows_panel(view)) {
        below = draw_mode_panel(ui, view, top + 2, bottom);
    } else {
        visit_table_draw(ui, view, below);
    }
    draw_why(ui, view, top, below - top, false);
}

static void draw_narrow(struct ui *ui, struct visit_view *view, int rows)
{
    int top = draw_who(ui, view, 2, 1);
    int below = top + (rows - top + 1) / 2;

    if (shows_panel(view))
        below = draw_mode_panel(ui, view, top + 1, rows);
    else
        visit_rows_draw(ui, view, below, rows - below);
    draw_why(ui, view, top, below - top, true);
}

void visit_view_draw(struct ui *ui, void *state, int rows)
{
    struct visit_view *view = state;
    int cursor_row = ui->grid.cursor_row, cursor_column = ui->grid.cursor_column;

    if (ui->grid.columns >= TABLE_COLUMNS && rows >= TABLE_ROWS)
        draw_wide(ui, view, rows);
    else
        draw_narrow(ui, view, rows);
    /* A question is read where it stands. */
    if (view->mode != MODE_FIELDS && view->mode != MODE_REASON && view->mode != MODE_REASON_TEXT)
        grid_cursor(&ui->grid, cursor_row, cursor_column);
}

/* ---- the hint ---- */

static void hint_choices(const struct sheet_field *field, struct text *out)
{
    for (int i = 0; i < field->choice_count; i++) {
        if (field->choices[i][0] != '\0')
            text_addf(out, " %d %s ", i, field->choices[i]);
    }
    if (field->several)
        text_add(out, "(several: 13; the side behind it: 1r)");
}

static void hint_amount(const struct visit_view *view, const struct sheet_field *field,
                        struct text *out)
{
    char text[MILLIMETRE_TEXT_SIZE];

    for (int i = 0; i < view->sheet.arch_count; i++) {
        const struct judgement *judgement = &view->sheet.judgements[i];
        if (view->sheet.arches[i] == field->arch)
            text_addf(out, " permitted %s%s;",
                      millimetre_to_text(field->item == ITEM_RIGHT ? judgement->permitted_right
                                                                   : judgement->permitted_left,
                                         text),
                      view->sheet.examined[i] ? "" : " if sound");
    }
    text_add(out, " + and - one step, * as last");
}

static void hint_field(const struct visit_view *view, struct text *out)
{
    const struct sheet_field *field = &view->sheet.fields[view->focus];

    if (field->arch != ARCH_NONE)
        text_addf(out, "%s ", word_text(&words_arch, (int)field->arch));
    text_addf(out, "%s:", field->label);
    if (field->choice_count > 0)
        hint_choices(field, out);
    else if (field->amount)
        hint_amount(view, field, out);
    else if (!field->required)
        text_add(out, " Enter alone leaves it empty");
    if (field->last[0] != '\0')
        text_addf(out, "  (last: %s)", field->last);
}

void visit_view_hint(struct ui *ui, const void *state, struct text *out)
{
    const struct visit_view *view = state;
    char saved_at[INSTANT_TEXT_SIZE];

    (void)ui;
    switch (view->mode) {
    case MODE_OFFER:
        instant_to_text(view->unsaved.saved_at, saved_at);
        text_addf(out,
                  "This visit was begun and not saved (%.10s %.5s UTC). Go on with it? Enter yes, "
                  "/ no, 0 throw it away.",
                  saved_at, saved_at + 11);
        break;
    case MODE_OFFER_SURE:
    case MODE_LEAVE_SURE:
        text_add(out, "Throw the entries away for good? 0 throws them away, / keeps them.");
        break;
    case MODE_LEAVE:
        text_add(out,
                 "Not saved yet. Leave? Enter leaves and keeps the entries for later, / stays, "
                 "0 throws them away.");
        break;
    case MODE_REASON:
        text_add(out, "Press the number of the reason, then Enter. / goes back to the amounts.");
        break;
    case MODE_REASON_TEXT:
        text_add(out, "A few words of your own, or Enter alone.");
        break;
    case MODE_REVIEW:
        text_add(out, "Right person, right values? Enter or 1 saves, / goes back.");
        break;
    case MODE_FIELDS:
    default:
        hint_field(view, out);
        break;
    }
}
