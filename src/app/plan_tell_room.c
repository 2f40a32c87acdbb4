/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The room in an arch, and how much wider it must become, in words. */
#include <inttypes.h>

#include "plan_private.h"
#include "springline/core/tooth.h"

/* ---- available ------------------------------------------------------------------------------- */

static void add_repeats(struct text *out, int32_t repeats)
{
    if (repeats > 1)
        text_addf(out, " (mean of %" PRId32 ")", repeats);
}

static void tell_available(struct plan_maker *maker, const struct space_analysis *space)
{
    struct text *out = &maker->text;
    char on[DAY_TEXT_SIZE];

    if (space->available == UM_NONE)
        return;
    text_add(out, "Available: ");
    told_mm(out, space->available);
    text_addf(out, " mm, by the four segments of %s:", day_to_text(space->segments_on, on));
    for (int s = SEGMENT_NONE + 1; s < SEGMENT_COUNT; s++) {
        text_addf(out, "%s %s ", s == 1 ? "" : ",", word_text(&words_space_segment, s));
        told_mm(out, space->segments[s].length);
        add_repeats(out, space->segments[s].repeats);
    }
    text_add(out, ".");
    plan_add(maker, "available_mm")->value = plan_mm(maker, space->available);
    if (space->incomplete_on == DAY_NONE)
        return;
    text_addf(out,
              "On %s only some of the segments were measured; they are left out, for the arch "
              "changes from day to day.",
              day_to_text(space->incomplete_on, on));
    plan_add(maker, "incomplete")->from_earliest = space->incomplete_on;
}

/* ---- required -------------------------------------------------------------------------------- */

static void add_tooth(struct text *out, const struct space_tooth *tooth)
{
    text_addf(out, " %" PRId32 " ", tooth->tooth);
    told_mm(out, tooth->width);
    if (tooth->measured != tooth->tooth)
        text_addf(out, " (not measured: %" PRId32 " stands for it)", tooth->measured);
    add_repeats(out, tooth->repeats);
}

static void add_incisors(struct text *out, const struct space_tooth incisors[SPACE_INCISORS])
{
    for (int i = 0; i < SPACE_INCISORS; i++) {
        text_add(out, i == 0 ? "" : ",");
        add_tooth(out, &incisors[i]);
    }
}

static void tell_incisors(struct plan_maker *maker, const struct space_analysis *space)
{
    struct text *out = &maker->text;

    if (space->incisor_sum == UM_NONE)
        return;
    text_add(out, "Incisors: ");
    told_mm(out, space->incisor_sum);
    text_add(out, " mm:");
    add_incisors(out, space->incisors);
    text_add(out, ".");
    plan_add(maker, "incisors_mm")->value = plan_mm(maker, space->incisor_sum);
    if (space->lower_incisor_sum == UM_NONE || space->arch == ARCH_LOWER)
        return;
    text_add(out, "Lower incisors, for the prediction: ");
    told_mm(out, space->lower_incisor_sum);
    text_add(out, " mm:");
    add_incisors(out, space->lower_incisors);
    text_add(out, ".");
    plan_add(maker, "lower_incisors_mm")->value = plan_mm(maker, space->lower_incisor_sum);
}

/* Those that were measured, behind what stands in out already. */
static void add_three(struct text *out, const struct space_tooth teeth[SPACE_SIDE_TEETH])
{
    for (int i = 0; i < SPACE_SIDE_TEETH; i++) {
        if (teeth[i].width == UM_NONE)
            continue;
        text_add(out, out->length == 0 ? "" : ",");
        add_tooth(out, &teeth[i]);
    }
}

/* What was measured of the side beside what counted: permanent teeth of a side that is predicted,
 * deciduous ones with the room they will leave. */
static void tell_other_teeth(struct plan_maker *maker, const struct space_side *side,
                             const char *label, const char *name)
{
    struct text *out = &maker->text;
    struct text teeth = {0};

    if (!side->measured)
        add_three(&teeth, side->permanent);
    add_three(&teeth, side->deciduous);
    if (teeth.length > 0) {
        text_addf(out, "%s, measured but not counted:%s.", label, text_string(&teeth));
        if (side->leeway != UM_NONE) {
            text_add(out, " The deciduous teeth are ");
            told_mm(out, side->leeway < 0 ? -side->leeway : side->leeway);
            text_addf(out, " mm %s than what follows them (leeway; information only).",
                      side->leeway < 0 ? "narrower" : "wider");
        }
        plan_add(maker, name)->value = plan_mm(maker, side->leeway);
    }
    maker->failed = maker->failed || teeth.failed;
    text_release(&teeth);
}

static void tell_side(struct plan_maker *maker, const struct space_analysis *space,
                      const struct space_side *side, bool right)
{
    struct text *out = &maker->text;
    const char *label = right ? "Right canine and premolars" : "Left canine and premolars";

    if (side->width == UM_NONE)
        return;
    text_addf(out, "%s: ", label);
    told_mm(out, side->width);
    if (side->measured) {
        text_add(out, " mm, measured:");
        for (int i = 0; i < SPACE_SIDE_TEETH; i++) {
            text_add(out, i == 0 ? "" : ",");
            add_tooth(out, &side->permanent[i]);
        }
    } else {
        text_addf(out, " mm, predicted by %s from the lower incisors",
                  word_text(&words_equation, (int)space->equation));
    }
    text_add(out, ".");
    plan_add(maker, right ? "right_mm" : "left_mm")->value = plan_mm(maker, side->width);
    tell_other_teeth(maker, side, label, right ? "right_leeway_mm" : "left_leeway_mm");
}

static void tell_equation(struct plan_maker *maker, const struct space_analysis *space)
{
    const struct space_equation_row *row = space_equation_row(space->equation);
    bool upper = space->arch == ARCH_UPPER;

    if (!space->predicted || row == NULL)
        return;
    text_addf(&maker->text, "Equation %s%s: ", word_text(&words_equation, (int)space->equation),
              maker->arch->equation_assumed ? " (none was chosen)" : "");
    told_mm(&maker->text, upper ? row->upper_constant : row->lower_constant);
    text_addf(&maker->text,
              " mm + 0.%02" PRId32 " of the lower incisors; %s; %s, n %" PRId32
              ". It is of other children and fits one child only roughly.",
              upper ? row->upper_slope : row->lower_slope, standing_text(row->standing),
              row->source, row->children);
    plan_add(maker, "equation")->word = word_text(&words_equation, (int)space->equation);
}

/* What the other published equations would give: the balance by each, in one breath. */
static void tell_other_equations(struct plan_maker *maker, const struct space_analysis *space)
{
    struct text *out = &maker->text;
    um least = UM_NONE, most = UM_NONE;

    if (!space->predicted || space->balance == UM_NONE)
        return;
    text_add(out, "Balance by the other equations:");
    for (int e = EQUATION_NONE + 1; space_equation_row((enum equation)e) != NULL; e++) {
        um side = space_predict((enum equation)e, space->arch, space->lower_incisor_sum);
        um balance = space->available - space->incisor_sum -
                     (space->right.measured ? space->right.width : side) -
                     (space->left.measured ? space->left.width : side);
        if (e == (int)space->equation)
            continue;
        text_addf(out, "%s %s %s", least == UM_NONE ? "" : ",", word_text(&words_equation, e),
                  balance < 0 ? "" : "+");
        told_mm(out, balance);
        least = least == UM_NONE || balance < least ? balance : least;
        most = balance > most ? balance : most;
    }
    text_add(out, ".");
    struct plan_line *line = plan_add(maker, "other_balances_mm");
    line->least = plan_mm(maker, least);
    line->most = plan_mm(maker, most);
}

static void tell_balance(struct plan_maker *maker, const struct space_analysis *space)
{
    struct text *out = &maker->text;

    if (space->required != UM_NONE) {
        text_add(out, "Required: ");
        told_mm(out, space->required);
        text_add(out, " mm.");
        plan_add(maker, "required_mm")->value = plan_mm(maker, space->required);
    }
    if (space->balance == UM_NONE)
        return;
    text_add(out, space->balance < 0 ? "Balance: " : "Balance: +");
    told_mm(out, space->balance);
    text_add(out, space->balance < 0    ? " mm: room is SHORT."
                  : space->balance == 0 ? " mm: neither short nor to spare."
                                        : " mm: room to spare.");
    plan_add(maker, "balance_mm")->value = plan_mm(maker, space->balance);
}

/* ---- refusals -------------------------------------------------------------------------------- */

static void add_refusal(struct text *out, const struct space_analysis *space)
{
    int32_t refused = space->refused;
    const char *arch = word_text(&words_arch, (int)space->arch);

    switch (space->refusal) {
    case SPACE_OK:
    case SPACE_NO_ARCH:
        break;
    case SPACE_NO_SUCH_TOOTH:
        text_addf(out,
                  "A width of tooth %" PRId32 " is recorded, and there is no such tooth in "
                  "ISO 3950; correct or withdraw it.",
                  refused);
        break;
    case SPACE_TOOTH_RANGE:
        text_addf(out,
                  "A width of tooth %" PRId32 " is recorded that no tooth has (1.00 to 15.00 mm); "
                  "correct or withdraw it.",
                  refused);
        break;
    case SPACE_SEGMENT_RANGE:
        text_addf(out,
                  "A %s segment of the %s arch is recorded that no arch has (4.00 to 45.00 mm); "
                  "correct or withdraw it.",
                  word_text(&words_space_segment, refused), arch);
        break;
    case SPACE_SEGMENT_MISSING:
        text_addf(out,
                  "No balance: the %s segment of the %s arch is not measured; measure all four on "
                  "one day.",
                  word_text(&words_space_segment, refused), arch);
        break;
    case SPACE_INCISOR_MISSING:
        text_addf(out,
                  "No balance: tooth %" PRId32 " is not measured, nor is %d, which could stand for "
                  "it; measure one of them.",
                  refused, tooth_antimere(refused));
        break;
    case SPACE_NO_EQUATION:
        text_add(out, "No balance: canines and premolars are not all measured, and no equation is "
                      "chosen to predict them; choose one in the plan.");
        break;
    }
}

void plan_tell_room(struct plan_maker *maker)
{
    const struct space_analysis *space = &maker->arch->space;

    maker->section = "room";
    tell_available(maker, space);
    tell_incisors(maker, space);
    tell_side(maker, space, &space->right, true);
    tell_side(maker, space, &space->left, false);
    tell_equation(maker, space);
    tell_balance(maker, space);
    tell_other_equations(maker, space);
    if (space->refusal == SPACE_OK)
        return;
    add_refusal(&maker->text, space);
    plan_add(maker, "refused");
}

/* ---- width to gain --------------------------------------------------------------------------- */

static void tell_basis(struct plan_maker *maker)
{
    const struct plan_arch *arch = maker->arch;
    struct text *out = &maker->text;

    text_add(out, "Width ");
    plan_tell_measure(out, arch->choice.site, arch->choice.landmark, arch->choice.teeth);
    plan_tell_measured(out, &arch->start);
    if (arch->depth.date == DAY_NONE) {
        text_add(out, "; depth between the same teeth not measured");
    } else {
        text_add(out, "; depth between the same teeth");
        plan_tell_measured(out, &arch->depth);
    }
    text_add(out, ".");
    plan_add(maker, "start_width_mm")->value = plan_mm(maker, arch->start.value);
}

/* ", parabola 7.45"; one that does not reach it says so. */
static void add_widening(struct text *out, const char *name, const struct plan_widening *widening)
{
    text_addf(out, " %s ", name);
    if (widening->answer == CURVE_OK)
        told_mm(out, widening->widening);
    else
        text_addf(out, "more than %d.00", (int)CURVE_GAIN_MAX_MM);
}

static void set_range(struct plan_maker *maker, struct plan_line *line, um least, um most)
{
    line->least = plan_mm(maker, least);
    line->most = plan_mm(maker, most);
}

/* Which width that comes to, by the measure it is of. */
static void add_target(struct text *out, const struct plan_arch *arch,
                       const struct plan_widths *widths)
{
    if (widths->curve_least == UM_NONE)
        return;
    text_add(out, ": a width of ");
    told_mm(out, arch->start.value + widths->curve_least);
    if (widths->curve_most == UM_NONE) {
        text_add(out, " mm at least");
    } else {
        text_add(out, " to ");
        told_mm(out, arch->start.value + widths->curve_most);
        text_add(out, " mm");
    }
    text_addf(out, " (%s)", word_text(&words_landmark, (int)arch->choice.landmark));
}

static void tell_curves(struct plan_maker *maker, const struct plan_widths *widths)
{
    struct text *out = &maker->text;

    for (int i = CURVE_NONE + 1; i < CURVE_COUNT; i++) {
        enum curve_answer answer = widths->curves[i].answer;
        if (answer != CURVE_OK && answer != CURVE_OUT_OF_REACH) {
            text_add(out,
                     maker->arch->depth.date == DAY_NONE
                         ? "By an arch curve: not worked out, for the depth is missing."
                         : "By an arch curve: not worked out, for width or depth are none that "
                           "an arch has; check them.");
            plan_add(maker, "curves_refused");
            return;
        }
    }
    text_add(out, "Wider by, whole arch widened at this depth:");
    for (int i = CURVE_NONE + 1; i < CURVE_COUNT; i++) {
        text_add(out, i == CURVE_NONE + 1 ? "" : ",");
        add_widening(out, word_text(&words_arch_curve, i), &widths->curves[i]);
    }
    text_add(out, " mm");
    add_target(out, maker->arch, widths);
    text_add(out, ". A curve widens the canines too.");
    set_range(maker, plan_add(maker, "curves_mm"), widths->curve_least, widths->curve_most);
}

static void tell_ratios(struct plan_maker *maker, const struct plan_widths *widths)
{
    struct text *out = &maker->text;
    char ratio[8];

    text_add(out, "Wider by, from published ratios of room to width:");
    for (int i = 0; i < ARCH_RATIO_COUNT; i++) {
        const struct arch_ratio *row = &arch_ratios[i];
        ratio[0] = '0';
        ratio[1] = '.';
        ratio[2] = (char)('0' + row->hundredths / 10);
        ratio[3] = (char)('0' + row->hundredths % 10);
        ratio[4] = '\0';
        text_add(out, i == 0 ? "" : ";");
        add_widening(out, ratio, &widths->ratios[i]);
        text_addf(out, " (%s)", row->movement);
    }
    text_add(out, " mm. They differ because the movements do; none is of this expander.");
    set_range(maker, plan_add(maker, "ratios_mm"), widths->ratio_least, widths->ratio_most);
}

void plan_tell_width(struct plan_maker *maker)
{
    const struct plan_arch *arch = maker->arch;

    maker->section = "width";
    if (arch->start.date == DAY_NONE) {
        text_add(&maker->text, arch->choice.landmark == LANDMARK_NONE
                                   ? "No width with its landmark is recorded: measure one."
                                   : "No width of the planned measure is recorded: measure it.");
        plan_add(maker, "refused");
        return;
    }
    tell_basis(maker);
    if (arch->space.balance == UM_NONE || arch->space.balance >= 0)
        return;
    if (arch->widths.refusal == PLAN_OK) {
        tell_curves(maker, &arch->widths);
        tell_ratios(maker, &arch->widths);
        return;
    }
    text_add(&maker->text, arch->widths.refusal == PLAN_SHORTAGE
                               ? "More room is short than any arch is short of (30.00 mm): check "
                                 "the segments and teeth."
                               : "The width is none that an arch has; correct it.");
    plan_add(maker, "refused");
}
