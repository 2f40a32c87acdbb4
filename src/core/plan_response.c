/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The practice's own response, for a plan. */
#include "springline/core/plan_response.h"

#include "springline/core/caseload.h"

/* What is looked for; ARCH_NONE: in both arches. */
struct sought {
    enum arch arch;
    enum site site;
    enum landmark landmark;
};

static bool fits(const struct plan_responded *row, const struct sought *sought)
{
    return row->site == sought->site && row->landmark == sought->landmark &&
           (sought->arch == ARCH_NONE || row->arch == sought->arch);
}

/* The responses into work; counts arches and cases. */
static void collect(const struct plan_responded *rows, size_t count, const struct sought *sought,
                    double *work, struct plan_practice *practice)
{
    const struct plan_responded *before = NULL;

    for (size_t i = 0; i < count; i++) {
        if (!fits(&rows[i], sought))
            continue;
        work[practice->arches++] = rows[i].response;
        practice->cases += before == NULL || before->casefile != rows[i].casefile;
        before = &rows[i];
    }
}

/* False: too few cases. */
static bool choose(const struct plan_responded *rows, size_t count, const struct sought *sought,
                   double *work, struct plan_practice *practice)
{
    struct caseload_spread spread;

    *practice = (struct plan_practice){.basis = PLAN_BASIS_FEW};
    collect(rows, count, sought, work, practice);
    if (practice->cases < PLAN_CASES_MIN ||
        !caseload_spread(work, (size_t)practice->arches, &spread))
        return false;
    const struct plan_response response = {spread.low, spread.high, practice->cases};
    practice->basis = PLAN_BASIS_UNSOUND;
    if (!plan_response_stands(&response))
        return true;
    practice->basis = sought->arch == ARCH_NONE ? PLAN_BASIS_BOTH : PLAN_BASIS_ARCH;
    practice->response = response;
    practice->median = spread.median;
    return true;
}

void plan_practice_choose(const struct plan_responded *rows, size_t count, enum arch arch,
                          enum site site, enum landmark landmark, double *work,
                          struct plan_practice *practice)
{
    struct sought sought = {arch, site, landmark};

    *practice = (struct plan_practice){.basis = PLAN_BASIS_FEW};
    if (arch == ARCH_NONE || site == SITE_NONE || landmark == LANDMARK_NONE ||
        choose(rows, count, &sought, work, practice))
        return;
    sought.arch = ARCH_NONE;
    (void)choose(rows, count, &sought, work, practice);
}
