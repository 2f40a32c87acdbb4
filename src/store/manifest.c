/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The few lines beside a copy that say what it is: the head of the ledger, anchored outside it. */
#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "handle.h"
#include "springline/store/schema.h"

void manifest_add(struct text *out, const struct store_copy *copy, const struct id *practice)
{
    char at[INSTANT_TEXT_SIZE], id[ID_TEXT_SIZE];

    text_add(out, "springline-backup 1\n");
    text_addf(out, "made_at %s\n", instant_to_text(copy->at, at));
    text_addf(out, "practice %s\n", id_to_text(practice, id));
    text_addf(out, "sequence %" PRId64 "\n", copy->sequence);
    text_add(out, "head ");
    for (size_t i = 0; i < sizeof copy->head; i++)
        text_addf(out, "%02x", (unsigned)copy->head[i]);
    text_addf(out, "\nrows %" PRId64 "\n", copy->rows);
    text_addf(out, "store_version %d\n", (int)schema_rung_count);
    text_add(out, "program_version " SPRINGLINE_VERSION "\n");
}

/* Everything, however often a write is cut short. */
static bool write_all(int file, const char *bytes, size_t length)
{
    while (length > 0) {
        ssize_t written = write(file, bytes, length);

        if (written < 0 && errno == EINTR)
            continue;
        if (written <= 0)
            return false;
        bytes += written;
        length -= (size_t)written;
    }
    return true;
}

enum status manifest_write(const char *path, const struct text *content, struct error *error)
{
    enum status status;
    int file, problem;
    bool good;

    if (content->failed)
        return error_no_memory(error);
    status = file_make(path, error);
    if (status != STATUS_OK)
        return status;
    file = open(path, O_WRONLY | O_CLOEXEC | O_NOFOLLOW);
    good = file >= 0 && write_all(file, text_string(content), content->length) && fsync(file) == 0;
    problem = errno;
    if (file >= 0 && close(file) != 0 && good) {
        problem = errno;
        good = false;
    }
    if (good)
        return STATUS_OK;
    (void)unlink(path);
    return error_set(error, STATUS_UNUSABLE, path,
                     "%s could not be written (%s); no backup was made.", path, strerror(problem));
}
