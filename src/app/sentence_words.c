/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sentence_words.h"

static const char *const patterns[RULE_COUNT] = {
    [RULE_NONE] = "",
    [RULE_FIRST_STEP] = "First step of this side since the fit on {fitted}.",
    [RULE_STEP_SIZE] = "The protocol's largest step is {setting}.",
    [RULE_NOT_IN_PLACE] = "The expander is not in place today (fitted {fitted}, out {out}).",
    [RULE_PASSIVE] = "Left in passively since {passive}: retention, no activation is meant.",
    [RULE_DONE_TODAY] = "Already activated today: right {right}, left {left}.",
    [RULE_FIT_CHECK] = "Fit checks: {missing} not recorded, {failed} failed.",
    [RULE_NO_TRAINER] = "No trainer is current today; without it the expansion does not hold.",
    [RULE_NO_CONSENT] = "Consent is not recorded on or before today.",
    [RULE_NOT_ASKED] = "The health questions are not recorded as asked.",
    [RULE_NOT_EXAMINED] = "Recorded today: tissue {tissue}, hardware {hardware}; both are needed.",
    [RULE_TOO_SOON] = "Last activated on {last}, {days} ago; at least {setting} apart.",
    [RULE_SEEN_LATE] = "Last activated on {last}, {days} ago; due within {setting}.",
    [RULE_RESTART] =
        "Last activated on {last}, {days} ago, more than {setting}: start again small.",
    [RULE_WINDOW_SUM] = "{sum} given in the last {days}; no more than {setting} in that time.",
    [RULE_WEAR_UNKNOWN] =
        "Wear since {from} is unknown: {known} of {days} accounted for, {setting} needed.",
    [RULE_WEAR_THIN] = "Wear since {from} rests on {known} of {days} ({source}).",
    [RULE_WEAR_DIFFERS] = "{source} shows {met} of {known} met, {judged_source} {judged_met} of "
                          "{judged_known}: the better source is lower.",
    [RULE_WEAR_SHORT] = "Wear since {from}: {met} of {known} met ({source}); full is {setting}.",
    [RULE_WEAR_LOW] = "Wear since {from}: {met} of {known} met ({source}); low is below {setting}.",
    [RULE_WEAR_RUN] = "Wear short, low or unknown in {run} in a row; hold from {setting}.",
    [RULE_WEAR_REST] = "Wear short or low in {run} in a row, now low; rest from {setting}.",
    [RULE_TISSUE_MILD] = "Tissue red or sore today.",
    [RULE_TISSUE_WOUND] = "Ulcer, or wire pressing into tissue, today.",
    [RULE_TISSUE_HEALED] = "A wound was recorded on {seen}: even if it has healed, go on gently.",
    [RULE_HARDWARE] = "Hardware today: {hardware}.",
    [RULE_HARDWARE_RECENT] = "Hardware fault on {on}, no activation since.",
    [RULE_RELIEVED] = "The loop was closed (relief) on {on}, no activation since.",
    [RULE_SIDE_GAP] = "Sums with today's: right {right}, left {left}; right less left {gap}, "
                      "planned {plan}, up to {setting} from it allowed.",
    [RULE_WIDTH_LAG] =
        "{sum} given since {first}, width gained {gain} by {measured} (error {mdc}): "
        "less than {setting} of it.",
    [RULE_WIDTH_RATE] = "Width grew {change} in {days} (error {mdc}), faster than {setting}.",
    [RULE_WIDTH_LOSS] = "Width changed by {change} in {days}, more than the error {mdc}.",
    [RULE_TARGET_NEAR] = "Target {target}, measured {latest} on {measured}, given since {given} in "
                         "all: room {room}, sides in plan {sides}.",
    [RULE_TARGET_REACHED] = "Target {target} reached: {latest} on {measured}. Plan retention.",
    [RULE_NO_TARGET] = "No target width is recorded.",
    [RULE_NO_BASELINE] = "No width from before the fit on {fitted} to compare with.",
    [RULE_WIDTH_STALE] = "Newest width {days} old ({from}), more than {setting}.",
    [RULE_WIDTH_MISSING] = "No width for {days} (since {from}), more than {setting}: measure.",
    [RULE_LOWER_EARLY] = "Lower fitted {days} after the upper; usually {setting}.",
};

const char *sentence_pattern(enum rule rule)
{
    return rule > RULE_NONE && rule < RULE_COUNT ? patterns[rule] : "";
}
