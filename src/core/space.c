/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/core/space.h"

#include "springline/core/tooth.h"

static const char *const segment_texts[] = {"", "back right", "front right", "front left",
                                            "back left"};
const struct words words_space_segment = {"segment", segment_texts, SEGMENT_COUNT};

static const char india[] = "Am J Orthod Dentofacial Orthop 2010;138:339-345";
static const char spain[] = "Head Face Med 2015;11:8";
static const char north_china[] = "Beijing J Stomatology (abstract)";

static const struct space_equation_row equations[] = {
    [EQUATION_TANAKA_JOHNSTON] = {11000, 10500, 50, 50, 506, STANDING_PUBLISHED,
                                  "Tanaka & Johnston, J Am Dent Assoc 1974;88:798-801"},
    [EQUATION_INDIA_MALE] = {7150, 5550, 67, 71, 300, STANDING_PUBLISHED, india},
    [EQUATION_INDIA_FEMALE] = {7440, 6150, 65, 67, 300, STANDING_PUBLISHED, india},
    [EQUATION_SPAIN_MALE] = {12680, 11710, 42, 44, 359, STANDING_PUBLISHED, spain},
    [EQUATION_SPAIN_FEMALE] = {12060, 10710, 43, 46, 359, STANDING_PUBLISHED, spain},
    [EQUATION_NORTH_CHINA_MALE] = {11800, 10900, 50, 50, 127, STANDING_PUBLISHED, north_china},
    [EQUATION_NORTH_CHINA_FEMALE] = {11100, 10000, 50, 50, 127, STANDING_PUBLISHED, north_china},
};

const struct space_equation_row *space_equation_row(enum equation equation)
{
    bool known = equation > EQUATION_NONE && equation < EQUATION_UNUSED;

    return known ? &equations[equation] : NULL;
}

um space_predict(enum equation equation, enum arch arch, um lower_incisors)
{
    const struct space_equation_row *row = space_equation_row(equation);

    if (row == NULL || (arch != ARCH_UPPER && arch != ARCH_LOWER) || lower_incisors <= 0 ||
        lower_incisors > SPACE_INCISORS * SPACE_TOOTH_MAX)
        return UM_NONE;
    if (arch == ARCH_UPPER)
        return row->upper_constant + (row->upper_slope * lower_incisors + 50) / 100;
    return row->lower_constant + (row->lower_slope * lower_incisors + 50) / 100;
}

/* The sum of count lengths, none of them negative, over count, halves up. */
static um mean_of(int64_t sum, int32_t count)
{
    return (um)((2 * sum + count) / (2 * (int64_t)count));
}

/* ---- what can not be ------------------------------------------------------------------------- */

static bool counts(day date, um value, day through)
{
    return date != DAY_NONE && date <= through && value != UM_NONE;
}

static bool refuse(struct space_analysis *analysis, enum space_refusal refusal, int32_t refused)
{
    analysis->refusal = refusal;
    analysis->refused = refused;
    return false;
}

/* Is the code before the one that is to be refused so far, if there is one? */
static bool comes_first(enum space_refusal so_far, int32_t refused, int32_t code)
{
    return so_far == SPACE_OK || code < refused;
}

static bool teeth_can_be(const struct space_question *question, struct space_analysis *analysis)
{
    enum space_refusal refusal = SPACE_OK;
    int32_t refused = 0;

    for (size_t i = 0; i < question->assessment->tooth_width_count; i++) {
        const struct tooth_width *reading = &question->assessment->tooth_widths[i];
        bool exists = tooth_exists(reading->tooth);

        if (!counts(reading->date, reading->value, question->through) ||
            (exists && reading->value >= SPACE_TOOTH_MIN && reading->value <= SPACE_TOOTH_MAX) ||
            !comes_first(refusal, refused, reading->tooth))
            continue;
        refusal = exists ? SPACE_TOOTH_RANGE : SPACE_NO_SUCH_TOOTH;
        refused = reading->tooth;
    }
    return refusal == SPACE_OK || refuse(analysis, refusal, refused);
}

/* One segment of a row; UM_NONE: not measured. */
static um part_of(const struct arch_segment *row, enum space_segment segment)
{
    const um parts[SEGMENT_COUNT] = {UM_NONE, row->back_right, row->front_right, row->front_left,
                                     row->back_left};

    return parts[segment];
}

/* Is the row of this arch and time, and the segment measured in it? */
static bool part_counts(const struct space_question *question, const struct arch_segment *row,
                        enum space_segment segment)
{
    return row->arch == question->arch &&
           counts(row->date, part_of(row, segment), question->through);
}

static bool segments_can_be(const struct space_question *question, struct space_analysis *analysis)
{
    for (int s = SEGMENT_NONE + 1; s < SEGMENT_COUNT; s++)
        for (size_t i = 0; i < question->assessment->segment_count; i++) {
            const struct arch_segment *row = &question->assessment->segments[i];
            um length = part_of(row, (enum space_segment)s);

            if (part_counts(question, row, (enum space_segment)s) &&
                (length < SPACE_SEGMENT_MIN || length > SPACE_SEGMENT_MAX))
                return refuse(analysis, SPACE_SEGMENT_RANGE, s);
        }
    return true;
}

/* ---- available ------------------------------------------------------------------------------- */

/* The newest day before before on which a segment of the arch was measured; DAY_NONE. */
static day segment_day_before(const struct space_question *question, int64_t before)
{
    day newest = DAY_NONE;

    for (size_t i = 0; i < question->assessment->segment_count; i++) {
        const struct arch_segment *row = &question->assessment->segments[i];
        for (int s = SEGMENT_NONE + 1; s < SEGMENT_COUNT; s++)
            if (part_counts(question, row, (enum space_segment)s) && row->date < before &&
                row->date > newest)
                newest = row->date;
    }
    return newest;
}

static struct space_segment_mean segment_on(const struct space_question *question,
                                            enum space_segment segment, day date)
{
    int64_t sum = 0;
    int32_t repeats = 0;

    for (size_t i = 0; i < question->assessment->segment_count; i++) {
        const struct arch_segment *row = &question->assessment->segments[i];
        if (row->date == date && part_counts(question, row, segment)) {
            sum += part_of(row, segment);
            repeats++;
        }
    }
    return (struct space_segment_mean){repeats == 0 ? UM_NONE : mean_of(sum, repeats), repeats};
}

/* The first segment that was not measured on date; SEGMENT_NONE: all were, and *analysis has them.
 * The arch changes while it is treated: segments of different days are of different arches. */
static enum space_segment segment_lacking(const struct space_question *question, day date,
                                          struct space_analysis *analysis)
{
    enum space_segment lacking = SEGMENT_NONE;

    for (int s = SEGMENT_COUNT - 1; s > SEGMENT_NONE; s--) {
        analysis->segments[s] = segment_on(question, (enum space_segment)s, date);
        if (analysis->segments[s].repeats == 0)
            lacking = (enum space_segment)s;
    }
    return lacking;
}

static bool find_available(const struct space_question *question, struct space_analysis *analysis)
{
    day newest = segment_day_before(question, INT64_MAX);
    enum space_segment lacking = SEGMENT_BACK_RIGHT;

    for (day date = newest; date != DAY_NONE; date = segment_day_before(question, date)) {
        enum space_segment here = segment_lacking(question, date, analysis);

        if (date == newest)
            lacking = here;
        if (here != SEGMENT_NONE)
            continue;
        analysis->segments_on = date;
        analysis->incomplete_on = date == newest ? DAY_NONE : newest;
        analysis->available = 0;
        for (int s = SEGMENT_NONE + 1; s < SEGMENT_COUNT; s++)
            analysis->available += analysis->segments[s].length;
        return true;
    }
    return refuse(analysis, SPACE_SEGMENT_MISSING, (int32_t)lacking);
}

/* ---- required -------------------------------------------------------------------------------- */

static struct space_tooth tooth_of(const struct space_question *question, int32_t code)
{
    struct space_tooth tooth = {code, 0, UM_NONE, DAY_NONE, 0};
    int64_t sum = 0;

    for (size_t i = 0; i < question->assessment->tooth_width_count; i++) {
        const struct tooth_width *reading = &question->assessment->tooth_widths[i];
        if (reading->tooth != code || !counts(reading->date, reading->value, question->through) ||
            reading->date < tooth.date)
            continue;
        if (reading->date > tooth.date) {
            sum = 0;
            tooth.repeats = 0;
        }
        tooth.date = reading->date;
        sum += reading->value;
        tooth.repeats++;
    }
    if (tooth.repeats > 0) {
        tooth.measured = code;
        tooth.width = mean_of(sum, tooth.repeats);
    }
    return tooth;
}

/* The four incisors of an arch, each by itself or by its antimere. */
static bool find_incisors(const struct space_question *question, enum arch arch,
                          struct space_tooth incisors[SPACE_INCISORS], um *sum,
                          struct space_analysis *analysis)
{
    static const int32_t codes[][SPACE_INCISORS] = {
        [ARCH_UPPER] = {12, 11, 21, 22}, [ARCH_LOWER] = {42, 41, 31, 32}};

    um all = 0;

    for (int i = 0; i < SPACE_INCISORS; i++) {
        int32_t code = codes[arch][i];

        incisors[i] = tooth_of(question, code);
        if (incisors[i].measured == 0) {
            incisors[i] = tooth_of(question, tooth_antimere(code));
            incisors[i].tooth = code;
        }
        if (incisors[i].measured == 0)
            return refuse(analysis, SPACE_INCISOR_MISSING, code);
        all += incisors[i].width;
    }
    *sum = all;
    return true;
}

/* The three teeth of a side as they were measured; their sum, UM_NONE unless all three were. */
static um three_of(const struct space_question *question, int quadrant,
                   struct space_tooth teeth[SPACE_SIDE_TEETH])
{
    um sum = 0;

    for (int i = 0; i < SPACE_SIDE_TEETH; i++) {
        teeth[i] = tooth_of(question, quadrant * 10 + 3 + i);
        sum = sum == UM_NONE || teeth[i].width == UM_NONE ? UM_NONE : sum + teeth[i].width;
    }
    return sum;
}

static void finish_side(const struct space_question *question, int quadrant, um lower_incisors,
                        struct space_side *side)
{
    /* Deciduous quadrants are those of the permanent teeth and four. */
    um deciduous = three_of(question, quadrant + 4, side->deciduous);

    if (!side->measured)
        side->width = space_predict(question->equation, question->arch, lower_incisors);
    side->leeway = deciduous == UM_NONE ? UM_NONE : deciduous - side->width;
}

/* Only a side that is not measured whole needs the equation and the lower incisors. */
static bool find_lower_incisors(const struct space_question *question,
                                struct space_analysis *analysis)
{
    analysis->predicted = !analysis->right.measured || !analysis->left.measured;
    if (!analysis->predicted)
        return true;
    if (space_equation_row(question->equation) == NULL)
        return refuse(analysis, SPACE_NO_EQUATION, 0);
    return find_incisors(question, ARCH_LOWER, analysis->lower_incisors,
                         &analysis->lower_incisor_sum, analysis);
}

static bool find_required(const struct space_question *question, struct space_analysis *analysis)
{
    bool upper = question->arch == ARCH_UPPER;
    int right = upper ? 1 : 4, left = upper ? 2 : 3; /* quadrants */

    if (!find_incisors(question, question->arch, analysis->incisors, &analysis->incisor_sum,
                       analysis))
        return false;
    analysis->right.width = three_of(question, right, analysis->right.permanent);
    analysis->right.measured = analysis->right.width != UM_NONE;
    analysis->left.width = three_of(question, left, analysis->left.permanent);
    analysis->left.measured = analysis->left.width != UM_NONE;
    if (!find_lower_incisors(question, analysis))
        return false;
    finish_side(question, right, analysis->lower_incisor_sum, &analysis->right);
    finish_side(question, left, analysis->lower_incisor_sum, &analysis->left);
    analysis->required = analysis->incisor_sum + analysis->right.width + analysis->left.width;
    return true;
}

/* What is required is worked out without the segments too; of two refusals the first stands. */
static void find_both(const struct space_question *question, struct space_analysis *analysis)
{
    bool available = find_available(question, analysis);
    enum space_refusal refusal = analysis->refusal;
    int32_t refused = analysis->refused;
    bool required = find_required(question, analysis);

    if (!available)
        refuse(analysis, refusal, refused);
    else if (required)
        analysis->balance = analysis->available - analysis->required;
}

void space_analyse(const struct space_question *question, struct space_analysis *analysis)
{
    static const struct space_side nothing = {.width = UM_NONE, .leeway = UM_NONE};

    *analysis = (struct space_analysis){
        .arch = question->arch,
        .equation = question->equation,
        .segments_on = DAY_NONE,
        .incomplete_on = DAY_NONE,
        .available = UM_NONE,
        .incisor_sum = UM_NONE,
        .lower_incisor_sum = UM_NONE,
        .right = nothing,
        .left = nothing,
        .required = UM_NONE,
        .balance = UM_NONE,
    };
    if (question->arch != ARCH_UPPER && question->arch != ARCH_LOWER)
        refuse(analysis, SPACE_NO_ARCH, 0);
    else if (teeth_can_be(question, analysis) && segments_can_be(question, analysis))
        find_both(question, analysis);
}

static int stand_ins(const struct space_tooth incisors[SPACE_INCISORS])
{
    int count = 0;

    for (int i = 0; i < SPACE_INCISORS; i++)
        count += incisors[i].measured != 0 && incisors[i].measured != incisors[i].tooth;
    return count;
}

int space_substitutions(const struct space_analysis *analysis)
{
    int count = stand_ins(analysis->incisors);

    return analysis->predicted && analysis->arch == ARCH_UPPER
               ? count + stand_ins(analysis->lower_incisors)
               : count;
}
