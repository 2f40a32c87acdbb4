/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The plan of a case: read, worked out, put into words. */
#include "springline/app/plan_view.h"

#include <inttypes.h>
#include <string.h>

#include "case_private.h"
#include "plan_private.h"
#include "springline/app/grow.h"
#include "springline/core/tooth.h"

/* ---- making lines ---------------------------------------------------------------------------- */

static const char *keep(struct plan_maker *maker, const char *text, size_t length)
{
    const char *kept = arena_text(maker->arena, text, length);

    maker->failed = maker->failed || kept == NULL;
    return kept == NULL ? "" : kept;
}

struct plan_line *plan_add(struct plan_maker *maker, const char *name)
{
    struct plan_view *view = maker->view;
    struct plan_line line = {.arch = maker->arch == NULL ? ARCH_NONE : maker->arch->choice.arch,
                             .section = maker->section,
                             .name = name,
                             .value = "",
                             .least = "",
                             .most = "",
                             .word = "",
                             .from_earliest = DAY_NONE,
                             .from_latest = DAY_NONE,
                             .to_earliest = DAY_NONE,
                             .to_latest = DAY_NONE};

    line.text = keep(maker, text_string(&maker->text), maker->text.length);
    maker->failed = maker->failed || maker->text.failed;
    text_clear(&maker->text);
    if (maker->failed || !app_grow(maker->arena, (void **)&view->lines, view->count,
                                   &view->capacity, sizeof *view->lines)) {
        maker->failed = true;
        maker->spare = line;
        return &maker->spare;
    }
    view->lines[view->count] = line;
    return &view->lines[view->count++];
}

const char *plan_mm(struct plan_maker *maker, um value)
{
    char text[MILLIMETRE_TEXT_SIZE];

    millimetre_to_text(value, text);
    return keep(maker, text, strlen(text));
}

const char *plan_number(struct plan_maker *maker, int32_t value)
{
    struct text text = {0};

    if (value >= 0)
        text_addf(&text, "%" PRId32, value);
    const char *kept = keep(maker, text_string(&text), text.length);
    maker->failed = maker->failed || text.failed;
    text_release(&text);
    return kept;
}

const char *plan_ratio(struct plan_maker *maker, double ratio)
{
    struct text text = {0};

    text_addf(&text, "%.2f", ratio);
    const char *kept = keep(maker, text_string(&text), text.length);
    maker->failed = maker->failed || text.failed;
    text_release(&text);
    return kept;
}

void plan_tell_measured(struct text *out, const struct plan_measured *measured)
{
    char on[DAY_TEXT_SIZE];

    if (measured->date == DAY_NONE) {
        text_add(out, " not measured");
        return;
    }
    text_add(out, " ");
    told_mm(out, measured->value);
    text_addf(out, " mm on %s", day_to_text(measured->date, on));
    if (measured->repeats > 1)
        text_addf(out, " (mean of %" PRId32 ")", measured->repeats);
}

void plan_tell_measure(struct text *out, enum site site, enum landmark landmark, struct teeth teeth)
{
    char text[8];

    text_addf(out, "%s %s %s", word_text(&words_site, (int)site),
              landmark == LANDMARK_NONE ? "(landmark NOT RECORDED)"
                                        : word_text(&words_landmark, (int)landmark),
              teeth_to_text(teeth, text));
}

static void tell_worked_out(struct plan_maker *maker)
{
    plan_tell_room(maker);
    plan_tell_width(maker);
    plan_tell_target(maker);
    plan_tell_course(maker);
    plan_tell_phases(maker);
}

/* ---- reading --------------------------------------------------------------------------------- */

/* Is anything at all recorded of the arch? */
static bool recorded(const struct plan_view *view, enum arch arch)
{
    const struct assessment *all = &view->assessment;
    bool found = case_expander_of(&view->history, arch, view->on) != NULL;

    for (size_t i = 0; i < all->plan_count; i++)
        found = found || all->plans[i].arch == arch;
    for (size_t i = 0; i < all->segment_count; i++)
        found = found || all->segments[i].arch == arch;
    for (size_t i = 0; i < all->depth_count; i++)
        found = found || all->depths[i].arch == arch;
    for (size_t i = 0; i < all->tooth_width_count; i++)
        found = found || (tooth_exists(all->tooth_widths[i].tooth) &&
                          tooth_arch(all->tooth_widths[i].tooth) == arch);
    for (size_t i = 0; i < view->history.width_count; i++)
        found = found || view->history.widths[i].arch == arch;
    return found;
}

/* Both arches; others as in plan_work_out. */
static bool work_out(struct plan_view *view, const struct plan_others *others, struct arena *arena)
{
    const struct plan_arch *upper = NULL;

    view->arch_count = 0;
    for (int a = ARCH_UPPER; a <= ARCH_LOWER; a++) {
        struct plan_arch *arch = &view->arches[view->arch_count];
        struct plan_choice choice;

        if (!recorded(view, (enum arch)a))
            continue;
        plan_choice_recorded(&view->history, &view->assessment, (enum arch)a, view->on, &choice);
        if (!plan_work_out(&view->history, &view->assessment, &choice, others,
                           plan_fit_not_before(&view->history, upper, (enum arch)a), view->on,
                           arena, arch))
            return false;
        if (a == ARCH_UPPER)
            upper = arch;
        view->arch_count++;
    }
    return true;
}

static bool tell(struct plan_view *view, struct arena *arena)
{
    struct plan_maker maker = {.today = view->on, .arena = arena, .view = view};

    for (int i = 0; i < view->arch_count; i++) {
        maker.arch = &view->arches[i];
        tell_worked_out(&maker);
        plan_tell_saved(&maker);
    }
    maker.arch = NULL;
    if (view->arch_count == 0) {
        maker.section = "room";
        text_add(&maker.text, "Nothing is measured for a plan: enter tooth widths, arch segments, "
                              "arch depth and a width with its landmark.");
        plan_add(&maker, "none");
    }
    plan_tell_cautions(&maker);
    case_tell_who(&maker.text, &view->history);
    view->who = keep(&maker, text_string(&maker.text), maker.text.length);
    maker.failed = maker.failed || maker.text.failed;
    text_release(&maker.text);
    return !maker.failed;
}

/* A case without a course to come is told without reading the others. */
static bool wants_others(const struct plan_view *view)
{
    bool wanted = false;

    for (int i = 0; i < view->arch_count; i++) {
        enum plan_refusal refusal = view->arches[i].course.refusal;
        wanted =
            wanted || (!view->arches[i].over && (refusal == PLAN_OK || refusal == PLAN_TOO_LONG));
    }
    return wanted;
}

static enum status work_out_all(struct app *app, const struct id *casefile, struct arena *arena,
                                struct plan_view *view, struct error *error)
{
    struct plan_others others;

    if (!work_out(view, NULL, arena))
        return error_no_memory(error);
    if (!wants_others(view))
        return STATUS_OK;
    enum status status = plan_others_read(app, casefile, arena, &others, error);
    if (status == STATUS_OK && !work_out(view, &others, arena))
        status = error_no_memory(error);
    return status;
}

enum status plan_view_read(struct app *app, const struct id *casefile, struct arena *arena,
                           struct plan_view *view, struct error *error)
{
    *view = (struct plan_view){.on = app->today};
    enum status status =
        store_read_case(app->store, casefile, STORE_NOW, arena, &view->history, error);
    if (status == STATUS_OK)
        status =
            store_read_assessment(app->store, casefile, STORE_NOW, arena, &view->assessment, error);
    if (status == STATUS_OK)
        status = work_out_all(app, casefile, arena, view, error);
    if (status == STATUS_OK && !tell(view, arena))
        status = error_no_memory(error);
    return status;
}

/* ---- running text ---------------------------------------------------------------------------- */

/* "UPPER: room" above the first line of a section. */
static void add_heading(struct text *out, const struct plan_line *line)
{
    static const char *const arches[] = {"", "UPPER: ", "LOWER: "};
    static const struct {
        const char *section, *heading;
    } headings[] = {{"room", "room in the arch"},
                    {"width", "how much wider"},
                    {"target", "target"},
                    {"course", "course from today"},
                    {"phases", "phases"},
                    {"saved", "the saved plan and what happened"},
                    {"cautions", "BEFORE AND DURING"}};

    text_add(out, arches[line->arch]);
    for (size_t i = 0; i < sizeof headings / sizeof headings[0]; i++)
        if (strcmp(headings[i].section, line->section) == 0)
            text_add(out, headings[i].heading);
}

bool plan_view_tell(const struct plan_view *view, struct arena *arena, struct lines *lines)
{
    const struct plan_line *before = NULL;
    struct text text = {0};
    char on[DAY_TEXT_SIZE];

    text_addf(&text, "%s  plan on %s", view->who, day_to_text(view->on, on));
    bool good = told_end_line(arena, lines, &text);
    for (size_t i = 0; i < view->count && good; i++) {
        const struct plan_line *line = &view->lines[i];
        if (before == NULL || before->arch != line->arch ||
            strcmp(before->section, line->section) != 0) {
            add_heading(&text, line);
            good = told_end_line(arena, lines, &text);
        }
        text_addf(&text, "  %s", line->text);
        good = good && told_end_line(arena, lines, &text);
        before = line;
    }
    text_release(&text);
    return good;
}

enum status plan_view_lines(struct app *app, const struct id *casefile, struct arena *arena,
                            struct lines *lines, struct error *error)
{
    struct plan_view view;

    enum status status = plan_view_read(app, casefile, arena, &view, error);
    if (status == STATUS_OK && !plan_view_tell(&view, arena, lines))
        status = error_no_memory(error);
    return status;
}

bool plan_tell_arch(const struct plan_arch *arch, day today, struct arena *arena,
                    struct lines *lines)
{
    struct plan_view view = {.on = today};
    struct plan_maker maker = {.arch = arch, .today = today, .arena = arena, .view = &view};
    bool good = true;

    tell_worked_out(&maker);
    for (size_t i = 0; i < view.count && good; i++) {
        text_add(&maker.text, view.lines[i].text);
        good = told_end_line(arena, lines, &maker.text);
    }
    text_release(&maker.text);
    return good && !maker.failed;
}
