/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One record in one line of words. */
#include <inttypes.h>

#include "case_private.h"
#include "springline/core/tooth.h"

const char *case_section(enum record_kind kind)
{
    static const char *const sections[RECORD_KIND_COUNT] = {
        [RECORD_PATIENT] = "patient",
        [RECORD_CASEFILE] = "case",
        [RECORD_TRAINER] = "trainer",
        [RECORD_EXPANDER] = "expander",
        [RECORD_VISIT] = "visit",
        [RECORD_WIDTH] = "width",
        [RECORD_WEAR_DAY] = "wear day",
        [RECORD_WEAR_COUNT] = "wear count",
        [RECORD_CONTACT] = "contact",
        [RECORD_BOOKING] = "booking",
        [RECORD_PROTOCOL] = "protocol",
        [RECORD_PERSON] = "person",
        [RECORD_JUDGED] = "verdict",
        [RECORD_ACCESS] = "log entry",
        [RECORD_SIGNATURE] = "signature",
        [RECORD_MONTH_CLOSE] = "closed month",
        [RECORD_ERASURE] = "erasure",
        [RECORD_TOOTH_WIDTH] = "tooth width",
        [RECORD_ARCH_SEGMENT] = "segments",
        [RECORD_ARCH_DEPTH] = "arch depth",
        [RECORD_PLAN] = "plan",
    };

    return sections[kind];
}

static day expander_day(const struct expander *expander)
{
    if (expander->fitted_on != DAY_NONE)
        return expander->fitted_on;
    return expander->banded_on != DAY_NONE ? expander->banded_on : expander->separators_on;
}

day case_day_of(enum record_kind kind, const void *record)
{
    switch (kind) {
    case RECORD_CASEFILE:
        return ((const struct casefile *)record)->opened;
    case RECORD_TRAINER:
        return ((const struct trainer *)record)->issued_on;
    case RECORD_EXPANDER:
        return expander_day(record);
    case RECORD_VISIT:
        return ((const struct visit *)record)->date;
    case RECORD_WIDTH:
        return ((const struct width *)record)->date;
    case RECORD_WEAR_DAY:
        return ((const struct wear_day *)record)->date;
    case RECORD_WEAR_COUNT:
        return ((const struct wear_count *)record)->to;
    case RECORD_CONTACT:
        return instant_day(((const struct contact *)record)->at);
    case RECORD_BOOKING:
        return ((const struct booking *)record)->date;
    case RECORD_TOOTH_WIDTH:
        return ((const struct tooth_width *)record)->date;
    case RECORD_ARCH_SEGMENT:
        return ((const struct arch_segment *)record)->date;
    case RECORD_ARCH_DEPTH:
        return ((const struct arch_depth *)record)->date;
    case RECORD_PLAN:
        return ((const struct plan *)record)->made_on;
    case RECORD_PATIENT:
    case RECORD_PROTOCOL:
    case RECORD_PERSON:
    case RECORD_JUDGED:
    case RECORD_ACCESS:
    case RECORD_SIGNATURE:
    case RECORD_MONTH_CLOSE:
    case RECORD_ERASURE:
    case RECORD_KIND_COUNT:
        break;
    }
    return DAY_NONE;
}

static bool says(const char *text)
{
    return text != NULL && text[0] != '\0';
}

/* A label and a text that came from outside. */
static void add_said(struct text *out, const char *label, const char *said)
{
    if (!says(said))
        return;
    text_add(out, label);
    text_add_shown(out, said);
}

static void add_date(struct text *out, const char *label, day date)
{
    char text[DAY_TEXT_SIZE];

    if (date != DAY_NONE)
        text_addf(out, "%s%s", label, day_to_text(date, text));
}

static void add_mm(struct text *out, const char *label, um value)
{
    char text[MILLIMETRE_TEXT_SIZE];

    if (value != UM_NONE)
        text_addf(out, "%s%s", label, millimetre_to_text(value, text));
}

static void tell_patient(struct text *out, const struct patient *patient)
{
    text_add_shown(out, patient->family == NULL ? "" : patient->family);
    add_said(out, ", ", patient->given);
    add_date(out, ", born ", patient->born);
    add_said(out, "; ALERT: ", patient->alerts);
    add_said(out, "; ", patient->guardian);
    add_said(out, ", tel. ", patient->phone);
    add_said(out, "; ", patient->guardian2);
    add_said(out, ", tel. ", patient->phone2);
    add_said(out, "; chart ", patient->chart);
}

static void tell_casefile(struct text *out, const struct casefile *casefile)
{
    text_add_shown(out, casefile->number == NULL ? "" : casefile->number);
    text_add(out, casefile->consent_on == DAY_NONE ? ", consent NOT RECORDED" : "");
    add_date(out, ", consent ", casefile->consent_on);
    text_add(out, casefile->asked_on == DAY_NONE ? ", health questions NOT ASKED" : "");
    add_date(out, ", health questions asked ", casefile->asked_on);
    add_said(out, ", ", casefile->clinician);
    add_said(out, ", protocol ", casefile->protocol);
    if (casefile->closed_on == DAY_NONE)
        return;
    add_date(out, ", closed ", casefile->closed_on);
    text_addf(out, " (%s)", word_text(&words_closed_reason, (int)casefile->closed_reason));
}

static void tell_trainer(struct text *out, const struct trainer *trainer)
{
    text_add(out, "issued");
    if (trainer->ended_on == DAY_NONE)
        return;
    add_date(out, ", ended ", trainer->ended_on);
    text_addf(out, " (%s)", word_text(&words_trainer_end, (int)trainer->ended_reason));
}

/* How far it came, in one word; what is missing of the fit only where there was one. */
static void tell_expander_state(struct text *out, const struct expander *expander)
{
    text_addf(out, "%s ", word_text(&words_arch, (int)expander->arch));
    if (expander->out_on != DAY_NONE) {
        add_date(out, "out ", expander->out_on);
        text_addf(out, " (%s), ", word_text(&words_out_reason, (int)expander->out_reason));
    }
    add_date(out, expander->out_on == DAY_NONE ? "passive since " : "passive from ",
             expander->passive_on);
    text_add(out, expander->passive_on == DAY_NONE ? "" : ", ");
    if (expander->fitted_on != DAY_NONE) {
        text_add(out, "fitted; fit checks: ");
        told_checks(out, expander);
    } else if (expander->banded_on != DAY_NONE)
        text_add(out, "banded, not fitted");
    else
        text_add(out, expander->separators_on != DAY_NONE ? "separators, no bands" : "planned");
}

static void tell_expander(struct text *out, const struct expander *expander)
{
    char teeth[8];

    tell_expander_state(out, expander);
    text_addf(out, "; in plan %s",
              expander->sides == SIDES_NONE ? "NOT RECORDED"
                                            : word_text(&words_sides, (int)expander->sides));
    if (expander->target == UM_NONE)
        text_add(out, ", no target");
    add_mm(out, ", target ", expander->target);
    text_addf(out, " %s %s %s", word_text(&words_site, (int)expander->site),
              word_text(&words_landmark, (int)expander->landmark),
              teeth_to_text(expander->teeth, teeth));
    if (expander->plan_gap != 0)
        add_mm(out, ", right wider by plan by ", expander->plan_gap);
    add_date(out, "; separators ", expander->separators_on);
    add_date(out, ", bands ", expander->banded_on);
    add_said(out, ", right band ", expander->band_right);
    add_said(out, ", left band ", expander->band_left);
    add_mm(out, ", wire ", expander->wire);
    add_mm(out, ", loop right ", expander->loop_right);
    add_mm(out, ", loop left ", expander->loop_left);
}

void case_tell_visit(struct text *out, const struct visit *visit, const um sums[2])
{
    char right[MILLIMETRE_TEXT_SIZE], left[MILLIMETRE_TEXT_SIZE];

    text_addf(out, "%s%s%s", word_text(&words_arch, (int)visit->arch),
              visit->arch == ARCH_NONE ? "" : " ", word_text(&words_visit_kind, (int)visit->kind));
    if (visit->kind == VISIT_ACTIVATION || visit->right > 0 || visit->left > 0) {
        told_amount(out, " R ", visit->right, visit);
        told_amount(out, " L ", visit->left, visit);
        if (sums != NULL)
            text_addf(out, " (sum %s %s)", millimetre_to_text(sums[0], right),
                      millimetre_to_text(sums[1], left));
    }
    text_add(out, visit->elsewhere == ANSWER_YES ? ", given elsewhere" : "");
    told_findings(out, visit);
    add_said(out, "; reason: ", visit->override_reason);
    add_said(out, "; ", visit->note);
    add_said(out, "; by ", visit->by);
}

static void tell_width(struct text *out, const struct width *width)
{
    char teeth[8];

    text_addf(out, "%s %s %s %s ", word_text(&words_arch, (int)width->arch),
              word_text(&words_site, (int)width->site),
              word_text(&words_landmark, (int)width->landmark), teeth_to_text(width->teeth, teeth));
    told_mm(out, width->value);
    if (width->repeat > 1)
        text_addf(out, " repeat %" PRId32, width->repeat);
    text_addf(out, ", %s", word_text(&words_method, (int)width->method));
    add_said(out, "; by ", width->by);
}

static void tell_wear_day(struct text *out, const struct wear_day *wear)
{
    if (wear->day_minutes < 0)
        text_add(out, "day not recorded");
    else
        text_addf(out, "%" PRId32 " minutes by day", wear->day_minutes);
    text_addf(out, ", night %s (%s)",
              wear->night == ANSWER_NONE ? "not recorded"
                                         : word_text(&words_answer, (int)wear->night),
              word_text(&words_source, (int)wear->source));
}

static void tell_wear_count(struct text *out, const struct wear_count *count)
{
    text_addf(out, "%" PRId32 " of %" PRId32 " days met (%s)", count->days_met, count->days_asked,
              count->source == SOURCE_TOLD ? "told, runs high"
                                           : word_text(&words_source, (int)count->source));
    add_date(out, ", from ", count->from);
}

static void tell_contact(struct text *out, const struct contact *contact)
{
    text_addf(out, "%s, %s", word_text(&words_channel, (int)contact->channel),
              word_text(&words_outcome, (int)contact->outcome));
    add_date(out, ", again on ", contact->again_on);
    if (contact->cleared == ANSWER_YES)
        add_said(out, ", safety items set aside by ", contact->cleared_by);
    add_said(out, "; ", contact->note);
    add_said(out, "; by ", contact->by);
}

static void tell_booking(struct text *out, const struct booking *booking)
{
    char clock[6];

    text_addf(out, "%s %s, %s", clock_to_text(booking->time_min, clock),
              word_text(&words_booking_kind, (int)booking->kind),
              word_text(&words_booking_state, (int)booking->state));
    if (booking->cancelled_by != CANCELLER_NONE)
        text_addf(out, " by the %s", word_text(&words_canceller, (int)booking->cancelled_by));
}

void case_tell(struct text *out, enum record_kind kind, const void *record)
{
    switch (kind) {
    case RECORD_PATIENT:
        tell_patient(out, record);
        break;
    case RECORD_CASEFILE:
        tell_casefile(out, record);
        break;
    case RECORD_TRAINER:
        tell_trainer(out, record);
        break;
    case RECORD_EXPANDER:
        tell_expander(out, record);
        break;
    case RECORD_VISIT:
        case_tell_visit(out, record, NULL);
        break;
    case RECORD_WIDTH:
        tell_width(out, record);
        break;
    case RECORD_WEAR_DAY:
        tell_wear_day(out, record);
        break;
    case RECORD_WEAR_COUNT:
        tell_wear_count(out, record);
        break;
    case RECORD_CONTACT:
        tell_contact(out, record);
        break;
    case RECORD_BOOKING:
        tell_booking(out, record);
        break;
    case RECORD_TOOTH_WIDTH:
        case_tell_tooth_width(out, record);
        break;
    case RECORD_ARCH_SEGMENT:
        case_tell_segments(out, record);
        break;
    case RECORD_ARCH_DEPTH:
        case_tell_depth(out, record);
        break;
    case RECORD_PLAN:
        case_tell_plan(out, record);
        break;
    case RECORD_PROTOCOL:
        text_add_shown(out, ((const struct protocol *)record)->name);
        break;
    case RECORD_PERSON:
        text_add_shown(out, ((const struct person *)record)->name);
        break;
    case RECORD_JUDGED:
    case RECORD_ACCESS:
    case RECORD_SIGNATURE:
    case RECORD_MONTH_CLOSE:
    case RECORD_ERASURE:
    case RECORD_KIND_COUNT:
        break;
    }
}
