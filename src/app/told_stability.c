/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "told_stability.h"

#include <inttypes.h>
#include <math.h>

#include "springline/core/tooth.h"
#include "told.h"

/* Sources: core/stability.h. */
const char *const told_stability_published[] = {
    "Published, of other appliances: 90 % of the intermolar gain was kept 15 years later (Angle "
    "Orthod 2004;74:439, n 41).",
    "Published, of crossbites and not of millimetres: almost 80 % stable 6.5 to 8 years later "
    "(Angle "
    "Orthod 2007;77:237, n 100).",
    "Published: 6 months of retention appear enough in the short term (Dental Press J Orthod "
    "2017;22(2), 6 trials). Growth alone adds about 0.2 to 0.7 mm a year.",
};
const size_t told_stability_published_count =
    sizeof told_stability_published / sizeof told_stability_published[0];

static void add_signed(struct text *out, um value)
{
    text_add(out, value > 0 ? "+" : "");
    told_mm(out, value);
}

/* 16 for a share of 0.16 and of -0.16: which way stands in the millimetres. */
static int per_cent(double share)
{
    return (int)lround(fabs(share) * 100.0);
}

static void add_share(struct text *out, const struct stability *stability)
{
    if (!stability->has_share) {
        text_add(out, stability->gain == UM_NONE
                          ? "; no share of the gain: the width at the fit is not known"
                          : "; no share of the gain: the gain is within error itself");
        return;
    }
    text_addf(out, "; that is %d %% of the gain of ", per_cent(stability->share_lost));
    told_mm(out, stability->gain);
    text_addf(out, " mm (measuring alone: up to %d %%)", per_cent(stability->share_error));
}

static void add_change(struct text *out, const struct stability *stability)
{
    char date[DAY_TEXT_SIZE];

    told_mm(out, stability->end.value);
    text_add(out, " to ");
    told_mm(out, stability->latest.value);
    text_addf(out, " on %s, ", day_to_text(stability->latest.date, date));
    add_signed(out, stability->change);
    text_add(out, stability->change_is == CHANGE_REAL ? " mm, " : " mm, within error (");
    text_add(out, stability->change_is != CHANGE_REAL ? ""
                  : stability->change < 0             ? "RELAPSE beyond error ("
                                                      : "wider beyond error (");
    told_mm(out, stability->mdc);
    text_add(out, ")");
    add_share(out, stability);
}

void told_stability(struct text *out, const struct stability *stability)
{
    char date[DAY_TEXT_SIZE];

    text_addf(out, "%s held since %s: ", word_text(&words_arch, (int)stability->expander->arch),
              day_to_text(stability->held_from, date));
    switch (stability->answer) {
    case STABILITY_NO_END:
        text_addf(out,
                  "no width of this landmark tells where it stood then (after the last activation, "
                  "at most %d days later)",
                  STABILITY_END_DAYS);
        break;
    case STABILITY_NO_LATER:
        told_mm(out, stability->end.value);
        text_addf(out, " on %s; not measured since", day_to_text(stability->end.date, date));
        break;
    case STABILITY_MEASURED:
        add_change(out, stability);
        break;
    }
}

const char *told_stability_mark(const struct stability *stability)
{
    if (stability->answer != STABILITY_MEASURED)
        return "no width";
    if (stability->change_is != CHANGE_REAL)
        return "no change";
    return stability->change < 0 ? "RELAPSE" : "wider";
}

void told_checks_due(struct text *out, const struct stability *stability)
{
    char date[DAY_TEXT_SIZE];

    text_addf(out, "retention to %s; checks:", day_to_text(stability->retention_end, date));
    for (int i = 0; i < STABILITY_CHECKS; i++) {
        const struct stability_check *check = &stability->checks[i];
        bool made = check->made != DAY_NONE;
        text_addf(out, "%s %" PRId32 " %s %s %s", i == 0 ? "" : ",", check->months,
                  check->months == 1 ? "month" : "months", made ? "made" : "due",
                  day_to_text(made ? check->made : check->due, date));
    }
}

bool told_stability_lines(struct arena *arena, struct lines *lines, struct text *text,
                          const struct stability *stability)
{
    const struct expander *expander = stability->expander;
    char teeth[8];

    told_stability(text, stability);
    bool good = told_end_line(arena, lines, text);
    text_addf(text, "Measured: %s, %s, %s; no other landmark and no other teeth are compared.",
              word_text(&words_site, (int)expander->site),
              word_text(&words_landmark, (int)expander->landmark),
              teeth_to_text(expander->teeth, teeth));
    good = good && told_end_line(arena, lines, text);
    told_checks_due(text, stability);
    return good && told_end_line(arena, lines, text);
}
