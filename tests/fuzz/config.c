/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Any bytes as a file of settings, and as the file in which the order of lists is remembered. What
 * is taken names keys that exist; what is refused says the line.
 */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "fuzz.h"
#include "springline/ui/binding.h"
#include "springline/ui/config.h"
#include "springline/ui/memory.h"

enum { FOOTER_CELLS = 80 };

static void try_keys(const struct config *config)
{
    struct key key;
    struct text name = {0}, footer = {0};

    for (int command = 1; command < COMMAND_COUNT; command++) {
        const char *rest = config_keys(config, (enum command)command), *at;
        size_t length;
        while (binding_next_name(&rest, &at, &length)) {
            if (binding_is_class(at, length))
                continue;
            fuzz_demand(key_from_name(at, length, &key), "a key that was taken exists");
            text_clear(&name);
            key_add_name(&name, &key);
            fuzz_printable(text_string(&name), false, "the name of a key");
            (void)binding_command(config, &key, ~0U);
        }
    }
    for (unsigned place = 1; place != 0; place <<= 1) {
        text_clear(&footer);
        binding_footer(&footer, config, place, FOOTER_CELLS, NULL, NULL);
        fuzz_printable(text_string(&footer), false, "a footer");
    }
    text_release(&name);
    text_release(&footer);
}

static void try_config(const char *text)
{
    struct config config = {0};
    struct error error = {0};

    enum status status = config_read(text, "some/config", &config, &error);
    if (status != STATUS_OK) {
        fuzz_demand(status == STATUS_INPUT, "a setting that is none is refused");
        fuzz_refusal(status, &error);
        fuzz_demand(strncmp(error.where, "some/config line ", 17) == 0, "and its line is said");
        return;
    }
    fuzz_demand(config.escape_delay_ms >= 0 &&
                    config.escape_delay_ms <= CONFIG_ESCAPE_DELAY_MOST_MS,
                "the wait of ESC is in range");
    try_keys(&config);
}

/* A file without a name, reached by the one /proc gives it. */
static void try_memory(const uint8_t *data, size_t size)
{
    char path[64], saved[512];
    struct memory memory, again;
    const char *folder = getenv("TMPDIR");
    int file = memfd_create("lists", MFD_CLOEXEC);

    fuzz_demand(file >= 0 && write(file, data, size) == (ssize_t)size, "there is a file");
    snprintf(path, sizeof path, "/proc/self/fd/%d", file);
    memory_load(&memory, path);
    close(file);
    fuzz_demand(memory.count >= 0 && memory.count <= MEMORY_LISTS_MAX, "lists have room");
    snprintf(saved, sizeof saved, "%s/lists.%ld", folder == NULL ? "/dev/shm" : folder,
             (long)getpid());
    if (memory.count == 0)
        return;
    fuzz_demand(memory_save(&memory, saved), "what was remembered is written");
    memory_load(&again, saved);
    fuzz_demand(memory.count == again.count, "and read again");
    for (int i = 0; i < memory.count; i++)
        fuzz_demand(
            strcmp(memory_sorted_by(&again, memory.lists[i].list), memory.lists[i].column) == 0,
            "as it was");
    unlink(saved);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = fuzz_string(data, size);

    try_config(text);
    try_memory(data, size);
    free(text);
    return 0;
}
