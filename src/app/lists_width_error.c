/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the error of measuring a width comes from: the practice's own repeat pairs, or what is
 * published. */
#include <inttypes.h>
#include <math.h>

#include "springline/app/lists_settings.h"
#include "springline/core/repeat.h"
#include "told.h"

struct error_maker {
    struct arena *arena;
    struct lines *lines;
    struct text text;
    bool failed;
};

static void end_line(struct error_maker *maker)
{
    if (!told_end_line(maker->arena, maker->lines, &maker->text))
        maker->failed = true;
}

static const char *pairs(int64_t count)
{
    return count == 1 ? "pair" : "pairs";
}

/* Micrometres as millimetres with two decimals and a sign. */
static void add_signed(struct text *out, double value_um)
{
    text_addf(out, "%+.2f", value_um / 1000.0);
}

/* The value in use may be one that somebody set: then what the pairs say stands beside it. */
static void tell_in_use(struct error_maker *maker, const struct protocol *protocol,
                        const struct repeat_error *error)
{
    const struct setting_row *known = &protocol_settings[SETTING_WIDTH_ERROR];
    bool own = error->own && protocol->width_error == error->error;
    bool published = !own && protocol->width_error == known->value;

    text_add(&maker->text, "In use: ");
    told_mm(&maker->text, protocol->width_error);
    text_addf(&maker->text, " mm, %s. A change of at most ",
              own         ? "the practice's OWN, from its repeat pairs"
              : published ? "PUBLISHED (arch widths by Dahlberg 0.22 to 0.31 mm)"
                          : "set by the practice");
    told_mm(&maker->text, (um)lround(statistics_mdc95((double)protocol->width_error)));
    text_add(&maker->text, " mm is within it (MDC95 = 2.772 times the error; Bland & Altman 1986); "
                           "only a greater one is real.");
    end_line(maker);
}

static void tell_bias(struct error_maker *maker, const struct repeat_error *error)
{
    if (!error->has_bias)
        return;
    text_add(&maker->text, "; bias, second reading less first, ");
    add_signed(&maker->text, error->bias_um);
    text_add(&maker->text, " mm, 95 % ");
    add_signed(&maker->text, error->bias_um_t95.low);
    text_add(&maker->text, " to ");
    add_signed(&maker->text, error->bias_um_t95.high);
}

static void tell_pairs(struct error_maker *maker, const char *of, const struct repeat_sums *sums)
{
    struct repeat_error error;

    if (sums->pairs == 0 || !repeat_error_of(sums, 1, &error))
        return;
    text_addf(&maker->text, "%s: %" PRId64 " %s, Dahlberg %.2f mm", of, error.pairs,
              pairs(error.pairs), error.dahlberg_um / 1000.0);
    tell_bias(maker, &error);
    text_add(&maker->text, ".");
    end_line(maker);
}

static void tell_own(struct error_maker *maker, const struct repeat_error *error)
{
    if (error->own) {
        text_addf(&maker->text, "Own error: ");
        told_mm(&maker->text, error->error);
        text_add(&maker->text, " mm, MDC95 ");
        told_mm(&maker->text, error->mdc);
        text_addf(&maker->text, " mm, from %" PRId64 " repeat pairs.", error->pairs);
    } else {
        text_addf(&maker->text,
                  "Own error: none yet. Of %d repeat pairs that are needed there %s %" PRId64
                  "; measure a width twice on one day, as repeat 1 and 2.",
                  WIDTH_PAIRS_MIN, error->pairs == 1 ? "is" : "are", error->pairs);
    }
    end_line(maker);
}

static void tell_all(struct error_maker *maker, const struct protocol *protocol,
                     const struct repeat_sums by_landmark[LANDMARK_COUNT],
                     const struct repeat_error *error)
{
    const struct repeat_sums all = repeat_pool(by_landmark);

    tell_in_use(maker, protocol, error);
    tell_own(maker, error);
    tell_pairs(maker, "All pairs", &all);
    for (int landmark = LANDMARK_NONE + 1; landmark < LANDMARK_COUNT; landmark++)
        tell_pairs(maker, word_text(&words_landmark, landmark), &by_landmark[landmark]);
    text_add(&maker->text,
             "A pair is two readings of one case, day, arch, site, landmark, teeth and "
             "method; landmarks are never compared. Dahlberg's error holds the bias: "
             "it is not taken out.");
    end_line(maker);
}

enum status lists_width_error(struct app *app, const char *name, struct arena *arena,
                              struct lines *lines, struct error *error)
{
    struct error_maker maker = {.arena = arena, .lines = lines};
    struct repeat_sums by_landmark[LANDMARK_COUNT];
    struct repeat_error found;
    struct protocol protocol;

    enum status status = store_read_protocol(app->store, name, STORE_NOW, arena, &protocol, error);
    if (status == STATUS_OK)
        status = store_repeat_pairs(app->store, by_landmark, error);
    if (status != STATUS_OK)
        return status;
    const struct repeat_sums all = repeat_pool(by_landmark);
    if (!repeat_error_of(&all, protocol_settings[SETTING_WIDTH_ERROR].value, &found))
        return error_set(error, STATUS_NO, NULL,
                         "The repeat pairs contradict each other; springline verify says where.");
    tell_all(&maker, &protocol, by_landmark, &found);
    text_release(&maker.text);
    return maker.failed ? error_no_memory(error) : STATUS_OK;
}
