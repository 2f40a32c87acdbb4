/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The caseload in words. */
#include <inttypes.h>

#include "springline/app/caseload.h"
#include "springline/app/lists_find.h"
#include "springline/core/tooth.h"
#include "told.h"

static const char *const class_words[] = {
    [WEAR_UNKNOWN] = "unknown", [WEAR_LOW] = "low", [WEAR_SHORT] = "short", [WEAR_FULL] = "full"};

static const char *const kind_words[] = {[CASELOAD_WIDTH_LAG] = "width-lag",
                                         [CASELOAD_TENTH] = "lowest 10th",
                                         [CASELOAD_OVERRIDE] = "more given",
                                         [CASELOAD_RESPONSE] = ""};

/* ---- one row ---- */

/* Millimetres with a sign. */
static void add_signed(struct text *out, um value)
{
    text_add(out, value > 0 ? "+" : "");
    told_mm(out, value);
}

static void add_sum(struct text *out, int64_t value)
{
    told_mm(out, value > INT32_MAX ? INT32_MAX : (um)value);
}

static void add_name(const struct listed_caseload *row, struct text *out)
{
    text_addf(out, "%s, %s", row->family, row->given_name);
}

static void add_wear(const struct listed_caseload *row, struct text *out)
{
    if (row->kind == CASELOAD_OVERRIDE)
        return;
    text_add(out, class_words[row->class]);
    if (row->source != SOURCE_NONE)
        text_addf(out, " %s", word_text(&words_source, (int)row->source));
}

void caseload_cell(const struct listed_caseload *row, enum caseload_cell cell, struct text *out)
{
    char date[DAY_TEXT_SIZE];

    switch (cell) {
    case CASELOAD_CELL_CASE:
        text_add(out, row->number);
        break;
    case CASELOAD_CELL_NAME:
        add_name(row, out);
        break;
    case CASELOAD_CELL_ARCH:
        text_add(out, word_text(&words_arch, (int)row->arch));
        break;
    case CASELOAD_CELL_KIND:
        text_add(out, kind_words[row->kind]);
        break;
    case CASELOAD_CELL_RESPONSE:
        if (row->kind != CASELOAD_OVERRIDE)
            text_addf(out, "%.2f", row->response);
        break;
    case CASELOAD_CELL_GAIN:
        if (row->gain != UM_NONE)
            add_signed(out, row->gain);
        break;
    case CASELOAD_CELL_GIVEN:
        add_sum(out, row->given);
        break;
    case CASELOAD_CELL_WEAR:
        add_wear(row, out);
        break;
    case CASELOAD_CELL_DATE:
        text_add(out, day_to_text(row->date, date));
        break;
    case CASELOAD_CELL_COUNT:
    default:
        break;
    }
}

static void tell_response(const struct listed_caseload *row, struct text *out)
{
    char date[DAY_TEXT_SIZE];

    add_signed(out, row->gain);
    text_add(out, " mm of width for ");
    add_sum(out, row->given);
    text_addf(out, " mm given before %s, %.2f mm a mm. Wear from the fit to then: %s",
              day_to_text(row->date, date), row->response, class_words[row->class]);
    if (row->source != SOURCE_NONE)
        text_addf(out, ", %" PRId32 " of %" PRId32 " days met (%s%s)", row->met, row->known,
                  word_text(&words_source, (int)row->source),
                  row->source == SOURCE_TOLD ? ", runs high" : "");
    text_add(out, row->kind == CASELOAD_WIDTH_LAG ? ". The rule width-lag fires today."
                  : row->kind == CASELOAD_TENTH   ? ". In the lowest tenth of all arches."
                                                  : ".");
}

static void tell_next(const struct caseload_override *override, struct text *out)
{
    char date[DAY_TEXT_SIZE], faults[HARDWARE_TEXT_SIZE];

    if (override->next == DAY_NONE) {
        text_add(out, " No visit followed yet.");
        return;
    }
    text_addf(out, " Next seen %s: tissue %s, hardware %s.", day_to_text(override->next, date),
              override->tissue == TISSUE_NONE ? "not recorded"
                                              : word_text(&words_tissue, (int) override->tissue),
              override->hardware == HARDWARE_NOT_RECORDED
                  ? "not recorded"
                  : hardware_to_text(override->hardware, faults));
}

static void tell_override(const struct caseload_override *override, struct text *out)
{
    text_add(out, "more given than permitted: R ");
    told_mm(out, override->given_right);
    text_add(out, " L ");
    told_mm(out, override->given_left);
    text_add(out, ", permitted R ");
    told_mm(out, override->permitted_right);
    text_add(out, " L ");
    told_mm(out, override->permitted_left);
    text_addf(out, "%s, %s.", override->recomputed ? " (recomputed)" : "",
              override->has_reason ? "with a reason" : "no reason recorded");
    tell_next(override, out);
    if (override->change == CHANGE_NOT_MEASURED) {
        text_add(out, " Width: not measured since.");
        return;
    }
    text_add(out, " Width: ");
    add_signed(out, override->by);
    text_add(out, override->change == CHANGE_REAL ? " mm, a real change."
                                                  : " mm, within measurement error.");
}

void caseload_tell(const struct listed_caseload *row, struct text *out)
{
    char date[DAY_TEXT_SIZE];

    text_addf(out, "%s ", row->number);
    add_name(row, out);
    text_addf(out, ", %s: ", word_text(&words_arch, (int)row->arch));
    if (row->kind != CASELOAD_OVERRIDE) {
        tell_response(row, out);
        return;
    }
    text_addf(out, "%s ", day_to_text(row->date, date));
    tell_override(&row->override, out);
}

/* ---- at a glance ---- */

static void glance_response(const struct caseload_list *list, struct text *out)
{
    text_add(out, "Response, mm of width a mm given (R + L), from ");
    told_mm(out, list->least);
    text_addf(out, " mm given: %zu of %zu arches", list->measured, list->arches);
    if (list->measured > 0)
        text_addf(out, ", median %.2f, quartiles %.2f to %.2f", list->response.median,
                  list->response.low, list->response.high);
}

static void glance_classes(const struct caseload_list *list, struct text *out)
{
    text_add(out, "By wear from fit to width:");
    for (int class = WEAR_FULL; class >= WEAR_UNKNOWN; class --) {
        text_addf(out, "%s %s %zu", class == WEAR_FULL ? "" : ";", class_words[class],
                  list->classes[class].n);
        if (list->classes[class].n > 0)
            text_addf(out, ", median %.2f", list->classes[class].median);
        if (list->told[class] > 0)
            text_addf(out, " (%zu told)", list->told[class]);
    }
}

static void glance_rank(const struct caseload_list *list, struct text *out)
{
    text_addf(out, "Rank correlation of days met and response (from %d of one source):",
              CASELOAD_RANK_MIN);
    for (int source = SOURCE_SENSOR; source <= SOURCE_TOLD; source++) {
        text_addf(out, "%s %s ", source == SOURCE_SENSOR ? "" : ",",
                  word_text(&words_source, source));
        if (list->has_rho[source])
            text_addf(out, "%+.2f, n %zu", list->rho[source], list->ranked[source]);
        else
            text_addf(out, "none, n %zu", list->ranked[source]);
    }
    text_add(out, "; it says nothing of why");
}

static void glance_lag(const struct caseload_list *list, struct text *out)
{
    text_addf(out,
              "Lagging: %zu by width-lag, %zu more in the lowest tenth. More given than permitted "
              "in %d days: %zu",
              list->width_lags, list->tenths, CASELOAD_OVERRIDE_DAYS, list->overrides);
}

enum status caseload_glance(const struct caseload_list *list, struct arena *arena,
                            struct lines *lines, struct error *error)
{
    void (*const parts[])(const struct caseload_list *, struct text *) = {
        glance_response, glance_classes, glance_rank, glance_lag};
    struct text text = {0};
    bool good = true;

    for (size_t i = 0; i < sizeof parts / sizeof *parts && good; i++) {
        parts[i](list, &text);
        good = told_end_line(arena, lines, &text);
    }
    text_release(&text);
    return good ? STATUS_OK : error_no_memory(error);
}

/* ---- for the screen ---- */

static enum status read_list(struct app *app, struct caseload_shown *shown, struct error *error)
{
    uint8_t hash[32];
    int64_t sequence = 0;
    enum status status = store_head(app->store, &sequence, hash, error);

    if (status == STATUS_OK && shown->held && shown->today == app->today &&
        shown->sequence == sequence)
        return STATUS_OK;
    shown->held = false;
    arena_clear(&shown->arena);
    if (status == STATUS_OK)
        status = caseload_read(app, &shown->arena, &shown->list, error);
    if (status != STATUS_OK) {
        shown->list = (struct caseload_list){0};
        return status;
    }
    shown->held = true;
    shown->today = app->today;
    shown->sequence = sequence;
    return STATUS_OK;
}

static bool matches(const struct listed_caseload *row, const char *folded)
{
    const char *const texts[] = {row->number,
                                 row->family,
                                 row->given_name,
                                 word_text(&words_arch, (int)row->arch),
                                 kind_words[row->kind],
                                 row->kind == CASELOAD_OVERRIDE ? "" : class_words[row->class],
                                 word_text(&words_source, (int)row->source)};

    return lists_found(texts, sizeof texts / sizeof *texts, folded);
}

enum status caseload_shown_read(struct app *app, struct caseload_shown *shown, const char *folded,
                                struct arena *arena, struct error *error)
{
    shown->found_count = 0;
    shown->glance = (struct lines){0};
    enum status status = read_list(app, shown, error);
    if (status != STATUS_OK)
        return status;
    shown->found = arena_array(arena, shown->list.count, sizeof *shown->found);
    if (shown->found == NULL)
        return error_no_memory(error);
    for (size_t i = 0; i < shown->list.count; i++) {
        if (matches(&shown->list.rows[i], folded))
            shown->found[shown->found_count++] = &shown->list.rows[i];
    }
    return caseload_glance(&shown->list, arena, &shown->glance, error);
}

void caseload_shown_release(struct caseload_shown *shown)
{
    arena_release(&shown->arena);
    *shown = (struct caseload_shown){0};
}
