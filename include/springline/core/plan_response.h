/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Which of the practice's arches a plan goes by: those of the same arch and measure, else both
 * arches of that measure together, else none. Widths of two sites or landmarks are never compared
 * (domain.md 2), so they are never pooled either. It describes: no rule reads it, and it permits
 * nothing.
 */
#ifndef SPRINGLINE_CORE_PLAN_RESPONSE_H
#define SPRINGLINE_CORE_PLAN_RESPONSE_H

#include "springline/core/plan.h"

/* Cases below which the practice has no response of its own: judgement, as many as stand behind a
 * forecast (core/forecast.h); no source. */
enum { PLAN_CASES_MIN = 10 };

/* One arch of one case: width gained for each millimetre given, right and left summed, as
 * caseload_response has it. */
struct plan_responded {
    enum arch arch;
    enum site site;
    enum landmark landmark;
    int32_t casefile; /* any number that tells the cases apart */
    double response;
};

enum plan_basis {
    PLAN_BASIS_FEW,     /* fewer than PLAN_CASES_MIN cases, both arches together */
    PLAN_BASIS_UNSOUND, /* enough, but their quartiles are no range of a gain */
    PLAN_BASIS_ARCH,    /* of the arch itself */
    PLAN_BASIS_BOTH     /* of both arches together: the arch itself has too few */
};

struct plan_practice {
    enum plan_basis basis;
    struct plan_response response; /* quartiles (core/caseload.h); zeroed: there is none */
    double median;                 /* 0: none */
    int32_t cases, arches;         /* of the basis; of both arches where there is none */
};

/*
 * rows: those of one case side by side, the case planned for left out; work has room for count. A
 * measure that is not known (SITE_NONE, LANDMARK_NONE) has no basis.
 */
void plan_practice_choose(const struct plan_responded *rows, size_t count, enum arch arch,
                          enum site site, enum landmark landmark, double *work,
                          struct plan_practice *practice);

#endif
