/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The caseload: what an arch gained for what it was given, how that lies over all arches, where it
 * lags, and what followed where more was given than permitted. It describes; nothing here says why,
 * and no rule reads it.
 *
 * Response is the gain of width (core/width.h: latest - baseline, one landmark) for each millimetre
 * given before the latest width, right and left summed. No published ratio of loop activation to
 * molar width exists, so there is nothing to hold it against but the practice's other arches.
 */
#ifndef SPRINGLINE_CORE_CASELOAD_H
#define SPRINGLINE_CORE_CASELOAD_H

#include "springline/core/audit.h"

enum {
    CASELOAD_RANK_MIN = 10,       /* pairs below which no rank correlation is told: judgement */
    CASELOAD_TENTH_MIN = 10,      /* arches below which there is no lowest tenth: the arithmetic */
    CASELOAD_OVERRIDE_DAYS = 365, /* overrides of so many days are told: judgement */
    CASELOAD_OVERRIDES_MAX = 8    /* of one arch; older ones are counted only */
};

enum caseload_change { CHANGE_NOT_MEASURED, CHANGE_WITHIN_ERROR, CHANGE_REAL };

struct caseload_override {
    day date;
    um given_right, given_left, permitted_right, permitted_left;
    bool recomputed; /* no verdict was stored with it */
    bool has_reason;
    day next;                    /* the next visit at which the arch was seen; DAY_NONE: none yet */
    enum tissue tissue;          /* the worst found there; TISSUE_NONE: not recorded */
    uint32_t hardware;           /* every fault found there; not recorded */
    enum caseload_change change; /* of the first width after it against the newest up to it */
    um by;                       /* later - earlier, where it is measured */
};

struct caseload_arch {
    enum arch arch;
    bool at_work;   /* the case is open and an expander is in place */
    bool measured;  /* gain and given hold: at least lag_total_mm was given, all of it known */
    enum site site; /* of the widths that were counted */
    enum landmark landmark;
    um gain;               /* latest - baseline */
    int64_t given;         /* right + left before the latest width, micrometres; above 0 */
    double response;       /* gain / given */
    day latest;            /* the day of the latest width */
    enum wear_class class; /* of the days from the first fit to the day before the latest width, as
                              a period is judged: on one source */
    enum source source;
    int32_t met, known;
    bool lag; /* at work, and width-lag fires today */
    struct caseload_override overrides[CASELOAD_OVERRIDES_MAX]; /* newest first */
    int32_t override_count; /* all of those days; may be above CASELOAD_OVERRIDES_MAX */
};

/* One arch of one case as of today; false, *row untouched: it has no expander fitted by today. */
bool caseload_arch(const struct history *history, enum arch arch, day today,
                   struct caseload_arch *row);

/* Its response alone; false, *row untouched: no expander fitted by today, or not measured. Wear,
 * lag and overrides are not looked at: class WEAR_UNKNOWN. */
bool caseload_response(const struct history *history, enum arch arch, day today,
                       struct caseload_arch *row);

struct caseload_spread {
    size_t n;
    double median, low, high; /* quartiles; between two values in proportion (Hyndman & Fan 1996,
                                 type 7; GSL) */
};
/* Sorts values; false, *spread untouched: there are none. */
bool caseload_spread(double *values, size_t n, struct caseload_spread *spread);

/* The value below or at which the lowest tenth lies; sorted is sorted. False: fewer than
 * CASELOAD_TENTH_MIN. */
bool caseload_tenth(const double *sorted, size_t n, double *most);

/*
 * Spearman's rank correlation of n pairs, ties ranked in the middle (Spearman 1904; GSL); work has
 * room for 2 n. False, *rho untouched: fewer than CASELOAD_RANK_MIN, or one of both is the same
 * throughout.
 */
bool caseload_rank(const double *a, const double *b, size_t n, double *work, double *rho);

#endif
