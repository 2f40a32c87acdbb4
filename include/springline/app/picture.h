/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The picture of an arch: its widths, what was given on each side, and the wear of the trainer, on
 * one axis of dates. As text on cells and as SVG; both draw the same series on the same scales.
 *
 * What must not be mixed is not: widths are those of the expander's arch, site, landmark and teeth
 * (core/width.h), repeats of a day averaged; wear is one share a period, each on one source, named.
 * What is not known is drawn as not known, never as a number.
 */
#ifndef SPRINGLINE_APP_PICTURE_H
#define SPRINGLINE_APP_PICTURE_H

#include "springline/app/visit.h"
#include "springline/core/scale.h"
#include "springline/core/wear.h"

struct picture_width {
    day date;
    um value; /* mean of the repeats of the day */
    int32_t repeats;
};

struct picture_step { /* a day on which something was given */
    day date;
    int64_t right, left; /* sums of the arch up to and including it, of the amounts that are known:
                            what was given elsewhere without an amount adds nothing */
    bool right_unknown, left_unknown; /* an amount of this day, given elsewhere, is not known */
};

struct picture_wear { /* a period */
    day from, to;
    int32_t met, known;    /* days; known 0: nothing is known */
    int32_t permille;      /* met of known, cut; -1: not known */
    enum source source;    /* SOURCE_NONE: not known */
    enum wear_class class; /* may be lower than the share alone would give */
};

enum picture_event { PICTURE_FIT, PICTURE_PASSIVE, PICTURE_REST, PICTURE_OUT };

struct picture_mark {
    day date;
    enum picture_event event;
};

struct picture {
    const char *number; /* of the case, as stored */
    enum arch arch;     /* none: the case has no expander, and only its wear is drawn */
    const struct expander *expander; /* whose measure the widths are; NULL: none */
    struct picture_width *widths;    /* oldest first, one a day */
    struct picture_step *steps;      /* oldest first, one a day */
    struct picture_wear *wear;       /* oldest first */
    struct picture_mark *marks;      /* oldest first: of every expander of the arch */
    size_t width_count, step_count, wear_count, mark_count;
    size_t other_widths; /* of the arch, at another place or landmark: not drawn */
    bool unknown_steps;  /* one of the steps has an amount that is not known */
    bool wear_cut;       /* there are older periods */
    um target;           /* UM_NONE */
    um error, bar;       /* a width's error, and 1.96 of it (Bland & Altman 1986); 0: not known */
    bool drawable;       /* something has a date; else the scales are not set */
    struct scale_range dates;
    struct scale lengths; /* um: widths with their bars, and the target */
    struct scale sums;    /* um, from 0 */
    bool has_lengths, has_sums;
};

/* The pictures of a case, the upper arch first: of each arch with an expander, or the one of its
 * wear alone. */
struct pictures {
    struct picture of[2];
    int count; /* 1 or 2 */
};

/* The series as of today, in arena, which with history must outlive them. STATUS_NO_MEMORY. */
enum status pictures_make(const struct history *history, day today, struct arena *arena,
                          struct pictures *pictures, struct error *error);
/* The same of a case in the store, read into *history. STATUS_NOT_FOUND. */
enum status pictures_read(struct app *app, const struct id *casefile, struct arena *arena,
                          struct pictures *pictures, struct history *history, struct error *error);

enum { PICTURE_COLUMNS_LEAST = 40, PICTURE_ROWS_LEAST = 10, PICTURE_ROWS_FULL = 14 };

/*
 * Appends the picture as rows lines of at most columns cells, the first its title ("C-0018 upper
 * intermolar gingival 16-26, mm"), the last its dates. ASCII; with braille the lines between the
 * marks are of dots (U+2800-28FF). From PICTURE_ROWS_FULL rows on each part has a caption; a box
 * below the least gets one line that says what it needs. STATUS_NO_MEMORY.
 */
enum status picture_text(const struct picture *picture, int columns, int rows, bool braille,
                         struct arena *arena, struct lines *lines, struct error *error);

/* Appends what the signs mean that are on it, and what is left out; brief: in few words. */
void picture_legend(const struct picture *picture, bool brief, struct text *out);

/* "upper", "lower", "wear". */
const char *picture_name(const struct picture *picture);

/*
 * Appends the pictures as one SVG 1.1 document: axes with units, the landmark, error bars, lines
 * told apart by dashes and markers, <title> and <desc> (which name the case by its number and no
 * person), the caution line. Every number is made of whole numbers.
 */
void pictures_svg(const struct pictures *pictures, struct text *out);

#endif
