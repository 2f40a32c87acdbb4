/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The upper part of the visit screen: the verdicts and why, wear and widths, the last visits. What
 * must not be missed comes first: each verdict, and that an amount is more than permitted.
 */
#include <string.h>

#include "visit_view.h"

enum { VISITS_LEAST = 8 };

struct why {
    struct arena arena;
    struct lines verdicts[2];
    size_t heads[2];     /* lines of a verdict that are always seen: it, and an excess */
    struct lines facts;  /* wear and widths */
    struct lines visits; /* the facts, then the last visits */
};

static size_t heads_of(const struct visit_view *view, int which)
{
    for (int i = 0; i < view->sheet.field_count; i++) {
        if (view->sheet.fields[i].arch == view->sheet.arches[which] && view->sheet.fields[i].above)
            return 2;
    }
    return 1;
}

static bool read_why(struct ui *ui, struct visit_view *view, int visits, struct why *why)
{
    for (int i = 0; i < view->sheet.arch_count; i++) {
        if (visit_lines_verdict(&view->sheet, i, &why->arena, &why->verdicts[i]) != STATUS_OK)
            return false;
        why->heads[i] = heads_of(view, i);
        if (why->heads[i] > why->verdicts[i].count)
            why->heads[i] = why->verdicts[i].count;
    }
    return visit_lines_past(ui->app, &view->sheet, 0, &why->arena, &why->facts) == STATUS_OK &&
           visit_lines_past(ui->app, &view->sheet, visits, &why->arena, &why->visits) == STATUS_OK;
}

/* The word of a verdict stands out, in the terminal's own colours: no other can be read on every
 * background. Where there are colours the cell before it repeats what it says. */
static void add_verdict(struct panel *panel, const char *line, enum verdict verdict)
{
    static const struct {
        const char *word;
        unsigned colour;
    } marks[] = {[VERDICT_NONE] = {"", LOOK_PLAIN},
                 [VERDICT_PROCEED] = {"PROCEED", LOOK_GREEN},
                 [VERDICT_REDUCE] = {"REDUCE", LOOK_YELLOW},
                 [VERDICT_HOLD] = {"HOLD", LOOK_RED},
                 [VERDICT_REST] = {"REST", LOOK_MAGENTA}};

    panel_add_marked(panel, LOOK_BOLD, 2, line, marks[verdict].word, LOOK_BOLD | LOOK_REVERSE,
                     LOOK_REVERSE | marks[verdict].colour);
}

static void add_indented(struct panel *panel, unsigned look, const char *line)
{
    struct text text = {0};

    text_addf(&text, "  %s", line);
    panel_add(panel, look, 4, text_string(&text));
    text_release(&text);
}

/* The verdict of an arch, its excess, and at most most findings. */
static void add_arch(struct panel *panel, const struct visit_view *view, const struct why *why,
                     int which, size_t most)
{
    const struct lines *lines = &why->verdicts[which];

    for (size_t i = 0; i < lines->count && i < why->heads[which] + most; i++) {
        if (i == 0)
            add_verdict(panel, lines->line[0], view->sheet.judgements[which].verdict);
        else
            add_indented(panel, i < why->heads[which] ? LOOK_BOLD : LOOK_PLAIN, lines->line[i]);
    }
}

static void add_facts(struct panel *panel, const struct why *why)
{
    for (size_t i = 0; i < why->facts.count; i++)
        panel_add(panel, LOOK_PLAIN, 2, why->facts.line[i]);
}

/* The findings above most, and then the last visits. */
static void add_rest(struct panel *panel, const struct visit_view *view, const struct why *why,
                     size_t most)
{
    for (int i = 0; i < view->sheet.arch_count; i++) {
        const struct lines *lines = &why->verdicts[i];
        size_t from = why->heads[i] + most;
        if (lines->count > from)
            panel_add(panel, LOOK_BOLD, 2,
                      view->sheet.arches[i] == ARCH_UPPER ? "upper, also:" : "lower, also:");
        for (size_t j = from; j < lines->count; j++)
            add_indented(panel, LOOK_PLAIN, lines->line[j]);
    }
    for (size_t i = why->facts.count; i < why->visits.count; i++)
        panel_add(panel, LOOK_PLAIN, 2, why->visits.line[i]);
}

/* The arch being entered comes first where not every verdict fits. */
static int first_arch(const struct visit_view *view, bool fits)
{
    int second = view->sheet.arch_count - 1;

    return !fits && view->sheet.fields[view->focus].arch == view->sheet.arches[second] ? second : 0;
}

static void add_arches(struct panel *panel, const struct visit_view *view, const struct why *why,
                       size_t most, bool fits)
{
    int first = first_arch(view, fits);

    for (int i = 0; i < view->sheet.arch_count; i++)
        add_arch(panel, view, why, (first + i) % view->sheet.arch_count, most);
}

static int verdict_rows(struct ui *ui, const struct visit_view *view, const struct why *why,
                        size_t most, bool facts)
{
    struct panel panel = {0};

    add_arches(&panel, view, why, most, true);
    if (facts)
        add_facts(&panel, why);
    int rows = panel_rows(&panel, &ui->grid, ui->grid.columns);
    panel_release(&panel);
    return rows;
}

/* An excess in one row each: where the verdicts do not all fit it must not be out of sight. */
static void add_excesses(struct ui *ui, struct panel *panel, const struct visit_view *view,
                         const struct why *why)
{
    struct text line = {0}, cut = {0};

    for (int i = 0; i < view->sheet.arch_count; i++) {
        if (why->heads[i] < 2)
            continue;
        text_clear(&line);
        text_clear(&cut);
        text_addf(&line, "%s %s", word_text(&words_arch, (int)view->sheet.arches[i]),
                  why->verdicts[i].line[1]);
        text_fit(&cut, text_string(&line), ui->grid.columns, false);
        panel_add(panel, LOOK_BOLD, 0, text_string(&cut));
    }
    text_release(&line);
    text_release(&cut);
}

/*
 * How many findings of each arch stand above wear and widths: all where everything fits; else as
 * many as leave room for those, one at least; none where there is room for the verdicts alone.
 */
static size_t choose_most(struct ui *ui, const struct visit_view *view, const struct why *why,
                          int rows)
{
    size_t most = why->verdicts[0].count > why->verdicts[1].count ? why->verdicts[0].count
                                                                  : why->verdicts[1].count;

    while (most > 1 && verdict_rows(ui, view, why, most, true) > rows)
        most--;
    return verdict_rows(ui, view, why, most, false) > rows ? 0 : most;
}

static void fill_why(struct ui *ui, const struct visit_view *view, const struct why *why, int rows,
                     struct panel *panel)
{
    /* The last row is the one that says that more is below. */
    size_t most = choose_most(ui, view, why, rows - 1);
    bool fits = most > 0 || verdict_rows(ui, view, why, 0, false) < rows;

    if (!fits)
        add_excesses(ui, panel, view, why);
    add_arches(panel, view, why, most, fits);
    add_facts(panel, why);
    add_rest(panel, view, why, most);
}

int visit_why_least(struct ui *ui, struct visit_view *view)
{
    struct why why = {0};
    int rows = 0;

    if (read_why(ui, view, 0, &why))
        rows = verdict_rows(ui, view, &why, 0, false) + 1;
    arena_release(&why.arena);
    return rows;
}

/* caution: it has no place of its own on a small screen and stands below the rest. */
void visit_why_draw(struct ui *ui, struct visit_view *view, int row, int rows, bool caution)
{
    struct why why = {0};
    struct panel panel = {.below =
                              visit_view_pages_by_point(view) ? "more below: . or PageDown" : NULL};

    if (rows > 0 && read_why(ui, view, rows > VISITS_LEAST ? rows : VISITS_LEAST, &why)) {
        fill_why(ui, view, &why, rows, &panel);
        if (caution)
            panel_add(&panel, LOOK_PLAIN, 0, app_caution);
        pages_draw(ui, &panel, &view->why, row, rows);
    }
    panel_release(&panel);
    arena_release(&why.arena);
}
