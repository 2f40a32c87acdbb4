/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Space analysis of one arch (domain.md 6): available from its four segments, required from
 * measured incisors and measured or predicted canines and premolars, balance = available -
 * required, so that a positive balance is spare room.
 *
 * Available: from mesial of one permanent first molar to mesial of the other, in straight segments,
 * two lateral and two anterior (published in course notes; common practice).
 */
#ifndef SPRINGLINE_CORE_SPACE_H
#define SPRINGLINE_CORE_SPACE_H

#include "springline/core/history.h"
#include "springline/core/protocol.h"

/*
 * Predicted canine + premolars of one side = constant + slope * X, X the sum of the four lower
 * incisors. Each equation is of the children it was made from; the studies find that it fits others
 * worse, so whoever shows an answer names the equation.
 */
struct space_equation_row {
    um upper_constant, lower_constant;
    int32_t upper_slope, lower_slope; /* hundredths */
    int32_t children;                 /* of the study, both sexes */
    enum standing standing;
    const char *source;
};

/* Of an equation, or NULL: EQUATION_NONE, EQUATION_UNUSED and whatever is none. */
const struct space_equation_row *space_equation_row(enum equation equation);

/* The prediction for one side, whole micrometres, halves up; UM_NONE for an equation or a sum that
 * there is not (a sum of 0 or less, or above four times SPACE_TOOTH_MAX). */
um space_predict(enum equation equation, enum arch arch, um lower_incisors);

enum space_segment {
    SEGMENT_NONE,
    SEGMENT_BACK_RIGHT, /* mesial of the first molar to mesial of the canine */
    SEGMENT_FRONT_RIGHT,
    SEGMENT_FRONT_LEFT,
    SEGMENT_BACK_LEFT,
    SEGMENT_COUNT
};
extern const struct words words_space_segment;

/* What is taken for a tooth and for a segment: the slip guards of entry, settings of our own. */
enum {
    SPACE_TOOTH_MIN = 1000,
    SPACE_TOOTH_MAX = 15000,
    SPACE_SEGMENT_MIN = 4000,
    SPACE_SEGMENT_MAX = 45000
};

struct space_question {
    enum arch arch;
    enum equation equation;
    day through; /* what was measured later does not count */
    const struct assessment *assessment;
};

/* A tooth as it was counted: the mean of the repeats of its newest date, rounded half away from
 * zero to a micrometre. */
struct space_tooth {
    int32_t tooth;
    int32_t
        measured; /* the tooth that was measured: its antimere where it stands for it; 0: none */
    um width;     /* UM_NONE: not measured */
    day date;
    int32_t repeats;
};

enum {
    SPACE_INCISORS = 4,  /* right lateral, right central, left central, left lateral */
    SPACE_SIDE_TEETH = 3 /* canine, first premolar, second premolar; deciduous: c, d, e */
};

struct space_side {
    bool measured; /* all three were: width is their sum; else it is predicted */
    um width;
    struct space_tooth permanent[SPACE_SIDE_TEETH]; /* as measured, no antimere */
    struct space_tooth deciduous[SPACE_SIDE_TEETH]; /* listed, never taken for their successors */
    um leeway; /* the three deciduous teeth - width; UM_NONE unless all three are measured */
};

enum space_refusal {
    SPACE_OK,
    SPACE_NO_ARCH,
    SPACE_NO_SUCH_TOOTH,   /* refused: the code */
    SPACE_TOOTH_RANGE,     /* refused: the tooth */
    SPACE_SEGMENT_RANGE,   /* refused: the segment */
    SPACE_SEGMENT_MISSING, /* no day has all four. refused: the first that the newest lacks */
    SPACE_INCISOR_MISSING, /* refused: the tooth; its antimere is missing too */
    SPACE_NO_EQUATION      /* a side must be predicted and no equation was chosen */
};

struct space_segment_mean {
    um length;
    int32_t repeats;
};

struct space_analysis {
    enum space_refusal refusal;
    int32_t refused; /* tooth or segment; 0: neither */
    /* What follows is filled as far as it was reached; all of it when refusal is SPACE_OK. */
    enum arch arch;
    day segments_on; /* the newest day on which all four were measured */
    struct space_segment_mean segments[SEGMENT_COUNT]; /* of that day, by enum space_segment */
    day incomplete_on; /* a newer day on which only some were; DAY_NONE */
    um available;
    struct space_tooth incisors[SPACE_INCISORS]; /* of the arch */
    um incisor_sum;
    bool predicted; /* a side was: the equation and the lower incisors were used */
    enum equation equation;
    struct space_tooth lower_incisors[SPACE_INCISORS];
    um lower_incisor_sum; /* UM_NONE when nothing was predicted */
    struct space_side right, left;
    um required, balance;
};

/*
 * Analyses the arch. All teeth, and the arch's segments, dated on or before through are looked at
 * first: a tooth, segment or value that can not be is refused, whether it would have been used or
 * not, the lowest code first, so that the order of the rows changes nothing. What has no date or no
 * length does not count. A lone incisor stands for its missing antimere; both missing is refused.
 * What is required is filled even where the segments are missing; of two refusals the one that
 * stands first above is told.
 */
void space_analyse(const struct space_question *question, struct space_analysis *analysis);

/* How many teeth of the analysis stand in for their antimere (of the lower incisors only where
 * they were used, those of a lower arch once). */
int space_substitutions(const struct space_analysis *analysis);

#endif
