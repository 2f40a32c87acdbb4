/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One case as plain text: what a second reader needs to follow it years later. */
#include <string.h>

#include "chart_private.h"
#include "springline/app/advise.h"
#include "springline/app/sentence.h"
#include "springline/core/course.h"
#include "springline/core/tooth.h"
#include "told.h"

void chart_date(struct text *out, day date)
{
    char text[DAY_TEXT_SIZE];

    text_add(out, date == DAY_NONE ? "-" : day_to_text(date, text));
}

void chart_value(struct text *out, um value)
{
    char text[MILLIMETRE_TEXT_SIZE];

    text_add(out, value == UM_NONE ? "-" : millimetre_to_text(value, text));
}

static void add_labelled(struct text *out, const char *label, const char *value)
{
    if (value == NULL || value[0] == '\0')
        return;
    text_addf(out, "%s: ", label);
    text_add_shown(out, value);
    text_add(out, "\n");
}

static void add_labelled_date(struct text *out, const char *label, day date)
{
    if (date == DAY_NONE)
        return;
    text_addf(out, "  %s ", label);
    chart_date(out, date);
}

static void add_guardian(struct text *out, const char *name, const char *phone)
{
    bool named = name != NULL && name[0] != '\0', called = phone != NULL && phone[0] != '\0';

    if (!named && !called)
        return;
    text_add(out, "family: ");
    text_add_shown(out, named ? name : "no name");
    text_add(out, ", tel. ");
    text_add_shown(out, called ? phone : "no number");
    text_add(out, "\n");
}

static void chart_who(struct text *out, const struct history *history, day today)
{
    const struct patient *patient = history->patient;

    text_add(out, "Case ");
    text_add_shown(out, history->casefile->number);
    text_add(out, "  ");
    text_add_shown(out, patient->family);
    text_add(out, ", ");
    text_add_shown(out, patient->given);
    text_add(out, "\nborn ");
    chart_date(out, patient->born);
    if (patient->born != DAY_NONE)
        text_addf(out, ", %d years on ", day_age_years(patient->born, today));
    else
        text_add(out, ", age not known on ");
    chart_date(out, today);
    text_addf(out, "  stage: %s\n", word_text(&words_stage, (int)course_stage(history, today)));
    add_labelled(out, "ALERTS", patient->alerts);
    add_labelled(out, "clinician", history->casefile->clinician);
    add_guardian(out, patient->guardian, patient->phone);
    add_guardian(out, patient->guardian2, patient->phone2);
    text_add(out, "opened ");
    chart_date(out, history->casefile->opened);
    text_add(out, "  consent ");
    chart_date(out, history->casefile->consent_on);
    text_add(out, "  health questions asked ");
    chart_date(out, history->casefile->asked_on);
    if (history->casefile->closed_on != DAY_NONE) {
        text_add(out, "  closed ");
        chart_date(out, history->casefile->closed_on);
        text_addf(out, " (%s)",
                  word_text(&words_closed_reason, (int)history->casefile->closed_reason));
    }
    text_add(out, "\n");
}

/* Only what is not as it should be is told by name. */
static void chart_checks(struct text *out, const struct expander *expander)
{
    text_add(out, "  fit checks: ");
    told_checks(out, expander);
    text_add(out, "\n");
}

static void chart_expander(struct text *out, const struct expander *expander)
{
    char teeth[8];

    text_addf(out, "\n%s expander", word_text(&words_arch, (int)expander->arch));
    add_labelled_date(out, "separators", expander->separators_on);
    add_labelled_date(out, "bands", expander->banded_on);
    add_labelled_date(out, "fitted", expander->fitted_on);
    add_labelled_date(out, "passive since", expander->passive_on);
    add_labelled_date(out, "out", expander->out_on);
    if (expander->out_on != DAY_NONE)
        text_addf(out, " (%s)", word_text(&words_out_reason, (int)expander->out_reason));
    text_addf(out,
              "\n  sides in plan: %s  target: ", word_text(&words_sides, (int)expander->sides));
    chart_value(out, expander->target);
    text_addf(out, " mm %s %s %s\n", word_text(&words_site, (int)expander->site),
              word_text(&words_landmark, (int)expander->landmark),
              teeth_to_text(expander->teeth, teeth));
    if (expander->fitted_on == DAY_NONE)
        return;
    chart_checks(out, expander);
}

static void chart_trainers(struct text *out, const struct history *history)
{
    for (size_t i = 0; i < history->trainer_count; i++) {
        const struct trainer *trainer = &history->trainers[i];
        text_add(out, "trainer issued ");
        chart_date(out, trainer->issued_on);
        if (trainer->ended_on != DAY_NONE) {
            text_add(out, ", ended ");
            chart_date(out, trainer->ended_on);
            text_addf(out, " (%s)", word_text(&words_trainer_end, (int)trainer->ended_reason));
        }
        text_add(out, "\n");
    }
}

static void chart_wrapped(struct text *out, const char *text, int columns)
{
    size_t most = (size_t)(columns < 20 ? 20 : columns);

    while (strlen(text) > most) {
        size_t cut = most;
        while (cut > 0 && text[cut] != ' ')
            cut--;
        if (cut == 0)
            cut = most;
        text_append(out, text, cut);
        text_add(out, "\n");
        text += cut + (text[cut] == ' ');
    }
    text_addf(out, "%s\n", text);
}

static void chart_forecast(struct text *out, const struct lines *forecast, int columns)
{
    if (forecast->count == 0)
        return;
    text_add(out, "\nWhere it is heading\n");
    for (size_t i = 0; i < forecast->count; i++) {
        const char *line = forecast->line[i];
        size_t indent = strspn(line, " ");
        text_add_wrapped(out, indent > 0 ? "  " : "", line + indent, columns);
    }
}

void chart_text(struct text *out, const struct history *history,
                const struct signed_rows *signed_rows, const struct lines *forecast, day today,
                int columns)
{
    chart_who(out, history, today);
    chart_trainers(out, history);
    for (size_t i = 0; i < history->expander_count; i++)
        chart_expander(out, &history->expanders[i]);
    chart_visits(out, history, signed_rows, columns);
    chart_widths(out, history);
    chart_stability(out, history, today, columns);
    chart_wear(out, history, today, columns);
    chart_pictures(out, history, today, columns);
    chart_forecast(out, forecast, columns);
    chart_desk(out, history, today);
    chart_next(out, history, today);
    text_add(out, "\n");
    chart_wrapped(out, app_caution, columns);
}
