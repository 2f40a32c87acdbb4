/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What lines of the head say: the reasons of a verdict, what an arch was given. */
#include "case_private.h"
#include "springline/app/sentence.h"

/* ---- the reasons ---- */

static bool holds(const struct told *told)
{
    return told->finding->effect == EFFECT_HOLD || told->finding->effect == EFFECT_REST;
}

/* "wear-low" as it is read: "wear low" */
static void add_rule(struct text *out, enum rule rule)
{
    for (const char *name = rule_row(rule)->name; *name != '\0'; name++)
        text_append(out, *name == '-' ? " " : name, 1);
}

/* The rules that hold, from this one on, by name: "no trainer, wear low". */
static void add_holding(struct text *out, const struct told *told, int count)
{
    for (int i = 0; i < count; i++) {
        bool again = false;
        for (int j = 0; j < i && !again; j++)
            again = told[j].finding->rule == told[i].finding->rule;
        if (again)
            continue;
        text_add(out, i == 0 ? "" : ", ");
        add_rule(out, told[i].finding->rule);
    }
}

/* " (+2 limits, 1 caution)": of what is not told here. */
static void add_others(struct text *out, const struct told *told, int count)
{
    int cautions = 0;

    for (int i = 0; i < count; i++)
        cautions += told[i].finding->effect == EFFECT_CAUTION;
    int limits = count - cautions;
    if (count == 0)
        return;
    text_add(out, " (+");
    if (limits > 0)
        text_addf(out, "%d limit%s%s", limits, limits == 1 ? "" : "s", cautions > 0 ? ", " : "");
    if (cautions > 0)
        text_addf(out, "%d caution%s", cautions, cautions == 1 ? "" : "s");
    text_add(out, ")");
}

void case_tell_reason(struct text *text, struct text *brief, const struct judgement *judgement)
{
    struct told told[FINDINGS_MAX];
    int count = sentence_tell(judgement, told), at = 0, held = 0;

    while (judgement->verdict == VERDICT_PROCEED && at < count &&
           told[at].finding->effect != EFFECT_CAUTION)
        at++;
    if (at == count)
        return;
    while (at + held < count && holds(&told[at + held]))
        held++;
    text_add(text, "  ");
    sentence_told(text, &told[at]);
    if (held > 1) {
        text_add(text, " Also held by: ");
        add_holding(text, told + at + 1, held - 1);
        text_add(brief, "  held by: ");
        add_holding(brief, told + at, held);
    }
    int others = at + (held > 1 ? held : 1);
    add_others(text, told + others, count - others);
}

/* ---- activations ---- */

struct given { /* activations: how many, and their sums */
    int count, unknown;
    um right, left;
};

static struct given given_from(const struct history *history, enum arch arch, day from)
{
    struct given given = {0};

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->arch != arch || visit->date < from)
            continue;
        given.count += visit->right > 0 || visit->left > 0;
        given.unknown += visit->elsewhere == ANSWER_YES && visit->kind == VISIT_ACTIVATION &&
                         visit->right == UM_NONE && visit->left == UM_NONE;
        given.right += visit->right > 0 ? visit->right : 0;
        given.left += visit->left > 0 ? visit->left : 0;
    }
    return given;
}

static void add_given(struct text *out, const struct given *given, const char *of)
{
    if (given->count == 0)
        text_addf(out, "; no activation%s yet", of);
    else {
        text_addf(out, "; %d activation%s%s", given->count, given->count == 1 ? "" : "s", of);
        text_add(out, ", R ");
        told_mm(out, given->right);
        text_add(out, " L ");
        told_mm(out, given->left);
    }
    if (given->unknown > 0)
        text_addf(out, ", and %d elsewhere, not known how much", given->unknown);
}

void case_tell_given(struct text *out, const struct history *history,
                     const struct expander *expander)
{
    struct given all = given_from(history, expander->arch, DAY_NONE);
    struct given since = given_from(history, expander->arch, expander->fitted_on);
    bool earlier = since.count < all.count || since.unknown < all.unknown;

    if (!earlier) {
        add_given(out, &all, "");
        return;
    }
    add_given(out, &since, " since this fit");
    add_given(out, &all, " of the arch in all");
}
