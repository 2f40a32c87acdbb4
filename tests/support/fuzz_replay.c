/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A fuzz target without libFuzzer: each input of tests/fuzz/corpus/NAME once, as a test. What
 * fuzzing once found lies there as found-*. Files named on the command line are replayed instead.
 */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"

enum { PATH_SIZE = 1024 };

static bool replay(const char *path)
{
    FILE *in = fopen(path, "re");
    char *bytes = NULL;
    size_t size = 0, got;
    char block[4096];

    if (in == NULL)
        return false;
    FILE *memory = open_memstream(&bytes, &size);
    while (memory != NULL && (got = fread(block, 1, sizeof block, in)) > 0)
        (void)fwrite(block, 1, got, memory);
    fclose(in);
    if (memory == NULL || fclose(memory) != 0)
        return false;
    /* Said first: when the program ends here, its output names the input. */
    printf("# %s\n", path);
    fflush(stdout);
    (void)LLVMFuzzerTestOneInput((const uint8_t *)bytes, size);
    free(bytes);
    return true;
}

static int is_input(const struct dirent *entry)
{
    return entry->d_name[0] != '.';
}

/* Every input of the folder whose name begins with mark, or does not; returns how many. */
static int replay_folder(const char *folder, const char *mark, bool marked, bool *good)
{
    struct dirent **entries = NULL;
    int count = scandir(folder, &entries, is_input, alphasort), done = 0;
    char path[PATH_SIZE];

    for (int i = 0; i < count; i++) {
        if ((strncmp(entries[i]->d_name, mark, strlen(mark)) == 0) == marked) {
            snprintf(path, sizeof path, "%s/%s", folder, entries[i]->d_name);
            *good = replay(path) && *good;
            done++;
        }
        free(entries[i]);
    }
    free(entries);
    return done;
}

int main(int argc, char **argv)
{
    const char *slash = strrchr(argv[0], '/'), *source = getenv("SPRINGLINE_SOURCE");
    char folder[PATH_SIZE];
    bool good = true;

    if (argc > 1) {
        for (int i = 1; i < argc; i++)
            good = replay(argv[i]) && good;
        return good ? 0 : 1;
    }
    snprintf(folder, sizeof folder, "%s/tests/fuzz/corpus/%s", source == NULL ? "." : source,
             slash == NULL ? argv[0] : slash + 1);
    printf("1..2\n");
    int inputs = replay_folder(folder, "found-", false, &good);
    printf("%s 1 - the corpus, %d inputs\n", good && inputs > 0 ? "ok" : "not ok", inputs);
    int found = replay_folder(folder, "found-", true, &good);
    printf("%s 2 - what fuzzing found, %d inputs\n", good ? "ok" : "not ok", found);
    return good && inputs > 0 ? 0 : 1;
}
