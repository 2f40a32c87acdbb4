/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/ui/memory.h"

#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "springline/base/text.h"

static const char mark[] = "sort ", sign[] = " = ";

/* May it stand in a line of the file? */
static bool is_word(const char *word)
{
    size_t length = strlen(word);

    return length > 0 && length < MEMORY_WORD_SIZE && strpbrk(word, "\n=") == NULL;
}

static struct remembered *find(struct memory *memory, const char *list)
{
    for (int i = 0; i < memory->count; i++) {
        if (strcmp(memory->lists[i].list, list) == 0)
            return &memory->lists[i];
    }
    return NULL;
}

const char *memory_sorted_by(const struct memory *memory, const char *list)
{
    for (int i = 0; i < memory->count; i++) {
        if (strcmp(memory->lists[i].list, list) == 0)
            return memory->lists[i].column;
    }
    return NULL;
}

bool memory_sort_by(struct memory *memory, const char *list, const char *column)
{
    struct remembered *known = find(memory, list);

    if (column == NULL) {
        if (known == NULL)
            return false;
        *known = memory->lists[--memory->count];
        return true;
    }
    if (!is_word(list) || !is_word(column) ||
        (known != NULL && strcmp(known->column, column) == 0) ||
        (known == NULL && memory->count == MEMORY_LISTS_MAX))
        return false;
    if (known == NULL)
        known = &memory->lists[memory->count++];
    snprintf(known->list, sizeof known->list, "%s", list);
    snprintf(known->column, sizeof known->column, "%s", column);
    return true;
}

/* A line that is none of ours is passed over. */
static void take_line(struct memory *memory, char *line)
{
    line[strcspn(line, "\n")] = '\0';
    char *between = strstr(line, sign);
    if (strncmp(line, mark, sizeof mark - 1) != 0 || between == NULL)
        return;
    *between = '\0';
    (void)memory_sort_by(memory, line + sizeof mark - 1, between + sizeof sign - 1);
}

void memory_load(struct memory *memory, const char *path)
{
    char line[200];
    FILE *file = fopen(path, "re");

    *memory = (struct memory){0};
    if (file == NULL)
        return;
    while (fgets(line, sizeof line, file) != NULL)
        take_line(memory, line);
    (void)fclose(file);
}

static bool write_all(int file, const struct text *content)
{
    size_t done = 0;

    while (done < content->length) {
        ssize_t now = write(file, content->data + done, content->length - done);
        if (now <= 0)
            return false;
        done += (size_t)now;
    }
    return true;
}

bool memory_save(const struct memory *memory, const char *path)
{
    struct text content = {0}, aside = {0};

    text_addf(&aside, "%s.%ld", path, (long)getpid());
    for (int i = 0; i < memory->count; i++)
        text_addf(&content, "%s%s%s%s\n", mark, memory->lists[i].list, sign,
                  memory->lists[i].column);
    int file =
        content.failed || aside.failed
            ? -1
            : open(text_string(&aside), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0600);
    bool good = file >= 0 && write_all(file, &content);
    if (file >= 0 && close(file) != 0)
        good = false;
    good = good && rename(text_string(&aside), path) == 0;
    if (file >= 0 && !good)
        (void)unlink(text_string(&aside));
    text_release(&content);
    text_release(&aside);
    return good;
}
