/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Any bytes as the findings that were stored with a verdict: the sentences in them are read to
 * their end, and none is longer than what it was read from.
 */
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "springline/app/sentence.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *findings = fuzz_string(data, size);
    struct sentence_stored stored = {.at = findings};
    struct text sentence = {0};
    size_t told = 0, bytes = 0, length = strlen(findings);

    while (sentence_stored(&stored, &sentence)) {
        fuzz_demand(stored.at > findings && stored.at <= findings + length, "it reads on");
        fuzz_demand(++told <= length, "there are fewer sentences than bytes");
        bytes += sentence.length;
        fuzz_demand(bytes <= length, "sentences are no longer than what holds them");
        text_clear(&sentence);
    }
    fuzz_demand(!sentence_stored(&stored, &sentence), "the end stays the end");
    text_release(&sentence);
    free(findings);
    return 0;
}
