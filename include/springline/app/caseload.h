/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The caseload for the screen (core/caseload.h): at a glance, then arch by arch: what lags first,
 * then where more was given than permitted and what followed, then the others, the lowest response
 * leading. Texts without line breaks, in the arena given.
 */
#ifndef SPRINGLINE_APP_CASELOAD_H
#define SPRINGLINE_APP_CASELOAD_H

#include "springline/app/visit.h"
#include "springline/core/caseload.h"

enum caseload_kind {
    CASELOAD_WIDTH_LAG, /* the rule width-lag fires today */
    CASELOAD_TENTH,     /* at work, and its response is in the lowest tenth */
    CASELOAD_OVERRIDE,
    CASELOAD_RESPONSE
};

struct listed_caseload {
    enum caseload_kind kind;
    struct id casefile;
    struct id id; /* tells the row from the others of the case; the same at each reading */
    const char *number, *family, *given_name;
    enum arch arch;
    um gain;       /* of an override: the change that followed; UM_NONE */
    int64_t given; /* of an override: right + left of that day */
    double response;
    day date; /* of the latest width; of the override */
    enum wear_class class;
    enum source source;
    int32_t met, known;
    struct caseload_override override; /* CASELOAD_OVERRIDE */
};

struct caseload_list {
    struct listed_caseload *rows;
    size_t count, capacity;
    um least; /* of the practice's protocol: what must have been given; UM_NONE: no protocol yet */
    size_t arches;   /* that have had an expander */
    size_t measured; /* those whose response is known */
    size_t width_lags, tenths, overrides;
    struct caseload_spread response;
    struct caseload_spread classes[WEAR_FULL + 1]; /* of the responses, by class; n 0: none */
    size_t told[WEAR_FULL + 1];                    /* so many of them on what was told */
    size_t ranked[SOURCE_TOLD + 1]; /* pairs of share and response, by source: never mixed */
    double rho[SOURCE_TOLD + 1];
    bool has_rho[SOURCE_TOLD + 1];
};

/* Every case, read one after another (store_each_case); what is kept lives in arena. */
enum status caseload_read(struct app *app, struct arena *arena, struct caseload_list *list,
                          struct error *error);

/* The list for a screen, read again only when it can not be the same any more: another day, or a
 * row that was saved here or elsewhere. A zeroed struct has nothing read. */
struct caseload_shown {
    struct arena arena; /* of the list */
    struct caseload_list list;
    day today;
    int64_t sequence;
    bool held;
    const struct listed_caseload **found; /* in the arena given to caseload_shown_read */
    size_t found_count;
    struct lines glance;
};
/* Reads where it must, and finds the rows in which every word of folded is (already folded, ""
 * all): number, names, arch, kind, class, source. On failure nothing is found. */
enum status caseload_shown_read(struct app *app, struct caseload_shown *shown, const char *folded,
                                struct arena *arena, struct error *error);
/* Frees it. */
void caseload_shown_release(struct caseload_shown *shown);

enum caseload_cell {
    CASELOAD_CELL_CASE,
    CASELOAD_CELL_NAME,
    CASELOAD_CELL_ARCH,
    CASELOAD_CELL_KIND,     /* "width-lag", "lowest 10th", "more given", "" */
    CASELOAD_CELL_RESPONSE, /* "0.27": millimetres of width per millimetre given */
    CASELOAD_CELL_GAIN,     /* "+1.60" */
    CASELOAD_CELL_GIVEN,    /* "6.00" */
    CASELOAD_CELL_WEAR,     /* "short told" */
    CASELOAD_CELL_DATE,
    CASELOAD_CELL_COUNT
};
/* Appends one cell of a row. */
void caseload_cell(const struct listed_caseload *row, enum caseload_cell cell, struct text *out);
/* Appends the row whole, in sentences: of an override what followed it. */
void caseload_tell(const struct listed_caseload *row, struct text *out);

/* How response lies; by class of wear; the rank correlation or why there is none; what lags. Four
 * lines. */
enum status caseload_glance(const struct caseload_list *list, struct arena *arena,
                            struct lines *lines, struct error *error);

#endif
