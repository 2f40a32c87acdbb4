/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "digits.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "springline/core/record.h"

bool digits_width_jumps(um value, um before)
{
    return abs(value - before) > WIDTH_JUMP_UM;
}

int32_t digits_number(const char *typed)
{
    int32_t value = 0;

    if (typed[0] == '\0' || strlen(typed) > 4)
        return -1;
    for (; *typed != '\0'; typed++) {
        if (*typed < '0' || *typed > '9')
            return -1;
        value = value * 10 + (*typed - '0');
    }
    return value;
}

bool digits_faults(const char *typed, uint32_t *hardware)
{
    uint32_t found = 0;

    for (const char *at = typed; *at != '\0'; at++) {
        if (*at == ' ' || *at == '.' || *at == ',')
            continue;
        if (*at == '0' && strcmp(typed, "0") == 0) {
            found = HARDWARE_INTACT;
            continue;
        }
        if (*at < '1' || *at > '0' + FAULT_COUNT)
            return false;
        enum fault fault = (enum fault)(*at - '0');
        enum side side = at[1] == 'r' ? SIDE_RIGHT : at[1] == 'l' ? SIDE_LEFT : SIDE_NONE;
        found |= hardware_bit(fault, side);
        if (side != SIDE_NONE)
            at++;
    }
    if (found != 0)
        *hardware = found;
    return found != 0;
}

void digits_say_choices(const char *const *choices, int count, char sentence[200])
{
    int used = snprintf(sentence, 200, "Press one of");

    for (int i = 0; i < count && used > 0 && used < 200; i++) {
        if (choices[i] != NULL && choices[i][0] != '\0')
            used += snprintf(sentence + used, 200 - (size_t)used, " %d %s,", i, choices[i]);
    }
    sentence[strlen(sentence) - 1] = '.';
}

int digits_of_value(const struct words *words, int value)
{
    if (words == &words_answer)
        return value == ANSWER_YES ? 1 : 0;
    return words == &words_tissue ? value - TISSUE_SOUND : value;
}

int digits_value(const struct words *words, int digit)
{
    if (words == &words_answer)
        return digit == 1 ? ANSWER_YES : digit == 0 ? ANSWER_NO : ANSWER_NONE;
    int value = words == &words_tissue ? digit + TISSUE_SOUND : digit;

    return value > 0 && (size_t)value < words->count ? value : 0;
}

const char *digits_word(const struct words *words, int value)
{
    return words == &words_tissue && value == TISSUE_SOUND ? "sound" : word_text(words, value);
}
