/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the visit screen says beside the fields: who, the past, the verdict and why, the review. */
#include <inttypes.h>
#include <string.h>

#include "springline/app/sentence.h"
#include "springline/app/visit.h"
#include "springline/core/wear.h"
#include "told.h"
#include "visit_private.h"

enum status visit_lines_person(const struct history *history, day on, struct arena *arena,
                               struct lines *lines)
{
    const struct patient *patient = history->patient;
    struct text text = {0};
    char date[DAY_TEXT_SIZE];

    text_add_shown(&text, history->casefile->number);
    text_add(&text, "  ");
    text_add_shown(&text, patient->family);
    text_add(&text, ", ");
    text_add_shown(&text, patient->given);
    if (patient->born == DAY_NONE)
        text_add(&text, "  birth date not recorded");
    else
        text_addf(&text, "  born %s, %d years", day_to_text(patient->born, date),
                  day_age_years(patient->born, on));
    bool good = told_end_line(arena, lines, &text);
    if (patient->alerts != NULL && patient->alerts[0] != '\0') {
        text_add(&text, "ALERT: ");
        text_add_shown(&text, patient->alerts);
        good = good && told_end_line(arena, lines, &text);
    }
    text_release(&text);
    return good ? STATUS_OK : STATUS_NO_MEMORY;
}

static void past_visit(struct text *text, const struct visit *visit)
{
    char date[DAY_TEXT_SIZE];

    text_addf(text, "%s %s %s", day_to_text(visit->date, date),
              word_text(&words_arch, (int)visit->arch),
              word_text(&words_visit_kind, (int)visit->kind));
    if (visit->kind == VISIT_ACTIVATION) {
        told_amount(text, " R ", visit->right, visit);
        told_amount(text, " L ", visit->left, visit);
    }
    told_findings(text, visit);
}

/* The newest visit older than after in the order date, then ledger; NULL: none. */
static const struct visit *older_visit(const struct visit_sheet *sheet, const struct visit *after)
{
    const struct visit *found = NULL;

    for (size_t i = 0; i < sheet->history.visit_count; i++) {
        const struct visit *visit = &sheet->history.visits[i];
        if (visit->date > sheet->date ||
            (after != NULL &&
             (visit->date > after->date ||
              (visit->date == after->date && visit->head.sequence >= after->head.sequence))))
            continue;
        if (found == NULL || visit->date > found->date ||
            (visit->date == found->date && visit->head.sequence > found->head.sequence))
            found = visit;
    }
    return found;
}

static void past_wear(struct text *text, const struct visit_sheet *sheet)
{
    struct wear_periods periods;
    char date[DAY_TEXT_SIZE];

    wear_periods(&sheet->live, sheet->history.protocol, sheet->date,
                 (struct reach){.through = sheet->date, .except = &sheet->request}, &periods);
    if (periods.count == 0) {
        text_add(text, "wear: no period yet");
        return;
    }
    text_addf(text, "wear since %s: ", day_to_text(periods.period[0].from, date));
    told_wear(text, &periods.period[0]);
}

/* What was typed is kept, but the verdict may rest on a better or a fuller record: say so. */
static void typed_wear(struct text *text, const struct visit_sheet *sheet)
{
    struct wear_periods periods;

    wear_periods(&sheet->live, sheet->history.protocol, sheet->date,
                 (struct reach){.through = sheet->date, .except = &sheet->request}, &periods);
    const struct wear_period *period = &periods.period[0];
    if (sheet->wear.source == SOURCE_NONE ||
        (periods.count > 0 && period->source == sheet->wear.source &&
         period->judged.met == sheet->wear.days_met &&
         period->judged.known == sheet->wear.days_asked))
        return;
    text_addf(text,
              "typed: %" PRId32 " of %" PRId32 " days (%s) is kept, but the verdict rests on the "
              "line above",
              sheet->wear.days_met, sheet->wear.days_asked,
              word_text(&words_source, (int)sheet->wear.source));
}

static void past_width(struct text *text, const struct visit_sheet *sheet, enum arch arch)
{
    const struct expander *expander = visit_expander(&sheet->history, arch, sheet->date);

    if (expander == NULL)
        text_addf(text, "%s expander: taken out", word_text(&words_arch, (int)arch));
    else
        told_width(text, &sheet->live, expander, sheet->date);
}

enum status visit_lines_past(struct app *app, struct visit_sheet *sheet, int most,
                             struct arena *arena, struct lines *lines)
{
    struct text text = {0};
    bool good = true;

    (void)app;
    past_wear(&text, sheet);
    good = told_end_line(arena, lines, &text);
    typed_wear(&text, sheet);
    if (text.length > 0)
        good = good && told_end_line(arena, lines, &text);
    for (int i = 0; i < sheet->arch_count && good; i++) {
        past_width(&text, sheet, sheet->arches[i]);
        good = told_end_line(arena, lines, &text);
    }
    const struct visit *visit = older_visit(sheet, NULL);
    for (int i = 0; i < most && visit != NULL && good; i++) {
        past_visit(&text, visit);
        good = told_end_line(arena, lines, &text);
        visit = older_visit(sheet, visit);
    }
    text_release(&text);
    return good ? STATUS_OK : STATUS_NO_MEMORY;
}

/* Nothing forbids to open a loop that was left in to hold, but nobody planned it. */
static bool end_passive(struct arena *arena, struct lines *lines, struct text *text,
                        const struct visit_sheet *sheet, enum arch arch)
{
    const struct expander *expander = visit_expander(&sheet->history, arch, sheet->date);
    char date[DAY_TEXT_SIZE];

    if (expander == NULL || expander->passive_on == DAY_NONE || expander->passive_on > sheet->date)
        return true;
    text_addf(text, "RETENTION: left in passively since %s; no activation is planned.",
              day_to_text(expander->passive_on, date));
    return told_end_line(arena, lines, text);
}

static void add_heading(struct text *text, const struct visit_sheet *sheet, int which)
{
    struct examination found = visit_examination(sheet, sheet->arches[which], false);

    told_heading(text, &sheet->judgements[which], found.tissue == TISSUE_NONE,
                 found.hardware == HARDWARE_NOT_RECORDED);
}

static bool end_excess(struct arena *arena, struct lines *lines, struct text *text,
                       const struct visit_sheet *sheet, int which)
{
    struct proposal amounts = visit_amounts(sheet, sheet->arches[which]);
    const struct judgement *judgement = &sheet->judgements[which];

    if (amounts.right <= judgement->permitted_right && amounts.left <= judgement->permitted_left)
        return true;
    text_add(text, "MORE THAN PERMITTED:");
    if (amounts.right > judgement->permitted_right) {
        text_add(text, " right ");
        told_mm(text, amounts.right);
    }
    if (amounts.left > judgement->permitted_left) {
        text_add(text, " left ");
        told_mm(text, amounts.left);
    }
    text_add(text, sheet->overrides ? ". A reason will be asked for."
                                    : ". Only an orthodontist gives more than permitted.");
    return told_end_line(arena, lines, text);
}

enum status visit_lines_verdict(struct visit_sheet *sheet, int which, struct arena *arena,
                                struct lines *lines)
{
    const struct judgement *judgement = &sheet->judgements[which];
    struct told told[FINDINGS_MAX];
    struct text text = {0};

    add_heading(&text, sheet, which);
    bool good = told_end_line(arena, lines, &text) &&
                end_excess(arena, lines, &text, sheet, which) &&
                end_passive(arena, lines, &text, sheet, sheet->arches[which]);
    int count = sentence_tell(judgement, told);
    for (int i = 0; i < count && good; i++) {
        sentence_told(&text, &told[i]);
        good = told_end_line(arena, lines, &text);
    }
    text_release(&text);
    return good ? STATUS_OK : STATUS_NO_MEMORY;
}

bool visit_arch_entered(const struct visit_sheet *sheet, enum arch arch)
{
    for (int i = 0; i < sheet->field_count; i++) {
        const struct sheet_field *field = &sheet->fields[i];
        if (field->arch == arch && field->item != ITEM_WIDTH && !field->skipped && field->filled)
            return true;
    }
    return false;
}

static void review_arch(struct text *text, const struct visit_sheet *sheet, enum arch arch)
{
    struct proposal amounts = visit_amounts(sheet, arch);
    const struct sheet_field *tissue = visit_field_of(sheet, ITEM_TISSUE, arch);
    const struct sheet_field *hardware = visit_field_of(sheet, ITEM_HARDWARE, arch);

    text_addf(text, "%s %s", word_text(&words_arch, (int)arch),
              word_text(&words_visit_kind, (int)visit_kind_of(sheet, arch)));
    if (amounts.right != UM_NONE) {
        text_add(text, "  right ");
        told_mm(text, amounts.right);
    }
    if (amounts.left != UM_NONE) {
        text_add(text, "  left ");
        told_mm(text, amounts.left);
    }
    text_addf(text, "  tissue %s, hardware %s", tissue->filled ? tissue->shown : "not recorded",
              hardware->filled ? hardware->shown : "not recorded");
    if (sheet->date != DAY_NONE && visit_value(sheet, ITEM_WIDTH, arch, UM_NONE) != UM_NONE)
        text_addf(text, ", width %s", visit_field_of(sheet, ITEM_WIDTH, arch)->shown);
}

/* The day that was given, or the window that the list will go by. */
static bool review_next(struct arena *arena, struct lines *lines, struct text *text,
                        const struct visit_sheet *sheet)
{
    const struct sheet_field *next = visit_field_of(sheet, ITEM_NEXT, ARCH_NONE);

    if (!next->filled && next->if_empty[0] == '\0')
        return true;
    text_addf(text, "next visit %s", next->filled ? next->shown : next->if_empty);
    return told_end_line(arena, lines, text);
}

/* What the save does beside: the bookings that visit_end_bookings ends. */
static bool review_bookings(struct arena *arena, struct lines *lines, struct text *text,
                            const struct visit_sheet *sheet)
{
    char date[DAY_TEXT_SIZE], clock[6];
    bool good = true;

    for (size_t i = 0; i < sheet->history.booking_count && good; i++) {
        const struct booking *booking = &sheet->history.bookings[i];
        if (booking->date != sheet->date || booking->state != BOOKED_STANDING)
            continue;
        text_addf(text, "the booking of %s at %s becomes %s", day_to_text(booking->date, date),
                  clock_to_text(booking->time_min, clock),
                  word_text(&words_booking_state, (int)BOOKED_KEPT));
        good = told_end_line(arena, lines, text);
    }
    return good;
}

enum status visit_lines_review(struct app *app, struct visit_sheet *sheet, struct arena *arena,
                               struct lines *lines)
{
    struct text text = {0};
    char date[DAY_TEXT_SIZE];
    bool good = true;

    (void)app;
    text_add(&text, "Save for ");
    text_add_shown(&text, sheet->history.patient->family);
    text_add(&text, ", ");
    text_add_shown(&text, sheet->history.patient->given);
    text_addf(&text, ", born %s, on ", day_to_text(sheet->history.patient->born, date));
    text_add(&text, day_to_text(sheet->date, date));
    good = told_end_line(arena, lines, &text);
    for (int i = 0; i < sheet->arch_count && good; i++) {
        if (!visit_arch_entered(sheet, sheet->arches[i]))
            text_addf(&text, "%s: nothing entered, nothing saved",
                      word_text(&words_arch, (int)sheet->arches[i]));
        else
            review_arch(&text, sheet, sheet->arches[i]);
        good = told_end_line(arena, lines, &text);
    }
    if (sheet->wear.source != SOURCE_NONE && good) {
        text_addf(&text, "wear %" PRId32 " of %" PRId32 " days, %s", sheet->wear.days_met,
                  sheet->wear.days_asked, word_text(&words_source, (int)sheet->wear.source));
        good = told_end_line(arena, lines, &text);
    }
    good = good && review_next(arena, lines, &text, sheet) &&
           review_bookings(arena, lines, &text, sheet);
    const struct sheet_field *note = visit_field_of(sheet, ITEM_NOTE, ARCH_NONE);
    if (note->filled && good) {
        text_add(&text, "note: ");
        text_add_shown(&text, note->entered);
        good = told_end_line(arena, lines, &text);
    }
    text_release(&text);
    return good ? STATUS_OK : STATUS_NO_MEMORY;
}
