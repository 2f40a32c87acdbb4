/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the fields of a record are called where a form shows all of them: as on the form they were
 * entered with. */
#include <string.h>

#include "form_engine.h"
#include "form_templates.h"

/* What is on no other form, or is called there by what stands around it. */
static const struct own_word {
    enum record_kind kind;
    const char *name, *label; /* label NULL: as elsewhere */
    const char *help;         /* NULL: what its input takes */
} own_words[] = {
    {RECORD_PATIENT, "alerts", NULL, "What everybody must see: allergies, illnesses, medicines."},
    {RECORD_CASEFILE, "protocol", NULL,
     "Name of the case's own limits; empty: those of the practice."},
    {RECORD_EXPANDER, "arch", "arch", NULL},
    {RECORD_EXPANDER, "plan_gap_mm", NULL,
     "How much more the right is meant to move than the left; empty counts as 0."},
    {RECORD_EXPANDER, "fitted_on", NULL, "Day the wire was tied in, passive; empty: not yet."},
    {RECORD_VISIT, "kind", "kind of visit", NULL},
    {RECORD_VISIT, "right_mm", NULL, "What was given on the right: 1.25 or 1,25."},
    {RECORD_VISIT, "left_mm", NULL, "What was given on the left: 1.25 or 1,25."},
    {RECORD_VISIT, "elsewhere", "given elsewhere", "Was it given at another practice?"},
    {RECORD_VISIT, "override_reason", "why above permitted",
     "The reason that was given for more than was permitted."},
    {RECORD_VISIT, "next_on", "next visit on",
     "Day set by a person for the next visit; empty: by the rules."},
    {RECORD_VISIT, "by", "recorded by", "Who saw the child."},
    {RECORD_WIDTH, "by", "measured by", "Who measured it."},
    {RECORD_WIDTH, "repeat", NULL, "1 for the first measurement of that day, 2 for a repeat."},
    {RECORD_WEAR_DAY, "day_minutes", "minutes by day", "Minutes it was worn while awake."},
    {RECORD_WEAR_DAY, "night", "worn overnight", "Was it worn through the night?"},
    {RECORD_WEAR_DAY, "source", "known from", NULL},
    {RECORD_CONTACT, "at", "moment (UTC)",
     "When it was, in UTC: 2026-03-04T09:30:00Z is 9:30 at Greenwich."},
    {RECORD_CONTACT, "by", "recorded by", "Who spoke or wrote to the family."},
    {RECORD_BOOKING, "state", NULL, "Booked: it still stands."},
    {RECORD_TOOTH_WIDTH, "tooth", NULL, "The tooth by ISO 3950, two digits: 11 or 75."},
    {RECORD_TOOTH_WIDTH, "mm", "width mm", "Mesial to distal, in millimetres."},
    {RECORD_TOOTH_WIDTH, "by", "measured by", "Who measured it."},
    {RECORD_TOOTH_WIDTH, "repeat", NULL,
     "1 for the first measurement of that day, 2 for a repeat."},
    {RECORD_ARCH_SEGMENT, "by", "measured by", "Who measured it."},
    {RECORD_ARCH_SEGMENT, "repeat", NULL,
     "1 for the first measurement of that day, 2 for a repeat."},
    {RECORD_ARCH_DEPTH, "by", "measured by", "Who measured it."},
    {RECORD_ARCH_DEPTH, "repeat", NULL, "1 for the first measurement of that day, 2 for a repeat."},
    {RECORD_PLAN, "equation", NULL, "By which canine and premolars were predicted."},
    {RECORD_PLAN, "balance_mm", NULL,
     "Space available minus space required; below 0 room is short."},
    {RECORD_PLAN, "by", "made by", "Who made the plan."},
};

static const struct own_word *own_word(enum record_kind kind, const char *name)
{
    for (size_t i = 0; i < sizeof own_words / sizeof own_words[0]; i++) {
        if (own_words[i].kind == kind && strcmp(own_words[i].name, name) == 0)
            return &own_words[i];
    }
    return NULL;
}

static const char *label_on(const struct form_template *template, enum record_kind kind,
                            const char *name)
{
    for (int i = 0; i < template->item_count; i++) {
        const struct form_item *item = &template->items[i];
        if (template->slots[item->slot] == kind && strcmp(item->name, name) == 0)
            return item->label;
    }
    return NULL;
}

const char *form_word_label(enum record_kind kind, const char *name)
{
    static const struct form_template *const entered_with[] = {
        &form_template_patient, &form_template_case,        &form_template_questions,
        &form_template_close,   &form_template_trainer,     &form_template_fit,
        &form_template_out,     &form_template_passive,     &form_template_elsewhere,
        &form_template_repair,  &form_template_width,       &form_template_wear,
        &form_template_contact, &form_template_booking_end, &form_template_booking,
        &form_template_person,  &form_template_arch_size,   &form_template_plan,
    };
    const struct own_word *own = own_word(kind, name);
    const char *label = own == NULL ? NULL : own->label;

    for (size_t i = 0; label == NULL && i < sizeof entered_with / sizeof entered_with[0]; i++)
        label = label_on(entered_with[i], kind, name);
    return label;
}

const char *form_word_help(enum record_kind kind, const char *name)
{
    const struct own_word *own = own_word(kind, name);

    return own == NULL ? NULL : own->help;
}
