/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import_input.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "springline/app/grow.h"
#include "springline/cli/file.h"

static const char csv_end[] = ".csv", rejects_end[] = ".rejects.csv";

static bool ends_with(const char *text, const char *end)
{
    size_t length = strlen(text), tail = strlen(end);

    return length > tail && strcmp(text + length - tail, end) == 0;
}

void inputs_release(struct inputs *inputs)
{
    arena_release(&inputs->arena);
    *inputs = (struct inputs){0};
}

static enum status add_file(struct inputs *inputs, const char *path, struct error *error)
{
    if (!app_grow(&inputs->arena, (void **)&inputs->files, inputs->count, &inputs->capacity,
                  sizeof *inputs->files))
        return error_no_memory(error);
    inputs->files[inputs->count] =
        (struct input){.path = arena_text(&inputs->arena, path, strlen(path))};
    if (inputs->files[inputs->count].path == NULL)
        return error_no_memory(error);
    inputs->count++;
    return STATUS_OK;
}

static enum status list_folder(struct inputs *inputs, const char *folder, struct error *error)
{
    DIR *opened = opendir(folder);
    enum status status = STATUS_OK;

    if (opened == NULL)
        return error_set(error, STATUS_INPUT, folder, "The folder can not be read: %s.",
                         strerror(errno));
    for (struct dirent *entry; status == STATUS_OK && (entry = readdir(opened)) != NULL;) {
        struct text path = {0};

        if (!ends_with(entry->d_name, csv_end) || ends_with(entry->d_name, rejects_end) ||
            entry->d_name[0] == '.')
            continue;
        text_addf(&path, "%s%s%s", folder, folder[strlen(folder) - 1] == '/' ? "" : "/",
                  entry->d_name);
        status = path.failed ? error_no_memory(error) : add_file(inputs, text_string(&path), error);
        text_release(&path);
    }
    (void)closedir(opened);
    if (status == STATUS_OK && inputs->count == 0)
        return error_set(error, STATUS_INPUT, folder, "There is no .csv file in this folder.");
    return status;
}

/* The kind of a header whose columns are not parted by commas; RECORD_KIND_COUNT: it is none. */
static enum record_kind parted_kind(const char *header, char mark)
{
    char copy[4096];
    const char *names[64];
    size_t count = 0;

    if (strlen(header) >= sizeof copy)
        return RECORD_KIND_COUNT;
    memcpy(copy, header, strlen(header) + 1);
    for (char *at = copy; at != NULL && count < sizeof names / sizeof names[0]; count++) {
        char *end = strchr(at, mark);

        if (end != NULL)
            *end++ = '\0';
        names[count] = at;
        at = end;
    }
    return exchange_kind(names, count);
}

/* The one mistake spreadsheet programs of many countries make for their users. */
static enum status check_marks(const struct input *input, const struct csv_row *header,
                               struct error *error)
{
    if (header->count != 1)
        return STATUS_OK;
    if (parted_kind(header->cells[0], ';') != RECORD_KIND_COUNT)
        return error_set(error, STATUS_INPUT, input->path,
                         "The columns are parted by semicolons; save the file as CSV with commas "
                         "(RFC 4180), lengths with a point.");
    if (parted_kind(header->cells[0], '\t') != RECORD_KIND_COUNT)
        return error_set(error, STATUS_INPUT, input->path,
                         "The columns are parted by tabs; save the file as CSV with commas "
                         "(RFC 4180).");
    return STATUS_OK;
}

/* An open file with its reader. */
struct open_input {
    FILE *in;
    struct csv_reader *reader;
};

static void close_source(struct open_input *source)
{
    csv_close(source->reader);
    if (source->in != NULL)
        (void)fclose(source->in);
    *source = (struct open_input){0};
}

/* Opens a file and reads its header row. */
static enum status open_source(const struct input *input, struct open_input *source,
                               struct csv_row *header, struct error *error)
{
    bool more = false;

    *source = (struct open_input){.in = fopen(input->path, "re")};
    if (source->in == NULL)
        return error_set(error, STATUS_INPUT, input->path, "The file can not be opened: %s.",
                         strerror(errno));
    enum status status = csv_open(source->in, input->path, &source->reader, error);
    if (status == STATUS_OK)
        status = csv_read(source->reader, header, &more, error);
    if (status == STATUS_OK && !more)
        status = error_set(error, STATUS_INPUT, input->path,
                           "The file is empty; it must begin with a header row.");
    if (status == STATUS_OK)
        status = check_marks(input, header, error);
    if (status != STATUS_OK)
        close_source(source);
    return status;
}

static enum status look_at_header(struct input *input, struct error *error)
{
    struct open_input source;
    struct csv_row header;

    enum status status = open_source(input, &source, &header, error);
    if (status != STATUS_OK)
        return status;
    input->kind = exchange_kind(header.cells, header.count);
    close_source(&source);
    return STATUS_OK;
}

/* The place of a kind in the order of reading; an unknown one is refused when it is read. */
static int place_of(enum record_kind kind)
{
    int place = 0;

    while (exchange_order[place] >= 0 && exchange_order[place] != (int)kind)
        place++;
    return place;
}

static int compare_inputs(const void *a, const void *b)
{
    const struct input *left = a, *right = b;
    int left_place = place_of(left->kind), right_place = place_of(right->kind);

    if (left_place != right_place)
        return left_place < right_place ? -1 : 1;
    return strcmp(left->path, right->path);
}

enum status inputs_find(struct inputs *inputs, const char *path, struct error *error)
{
    struct stat found;
    enum status status;

    *inputs = (struct inputs){0};
    if (stat(path, &found) != 0)
        return error_set(error, STATUS_INPUT, path, "There is no such file or folder: %s.",
                         strerror(errno));
    status =
        S_ISDIR(found.st_mode) ? list_folder(inputs, path, error) : add_file(inputs, path, error);
    for (size_t i = 0; i < inputs->count && status == STATUS_OK; i++)
        status = look_at_header(&inputs->files[i], error);
    if (status == STATUS_OK)
        qsort(inputs->files, inputs->count, sizeof *inputs->files, compare_inputs);
    else
        inputs_release(inputs);
    return status;
}

bool inputs_mark(struct inputs *inputs, const char *path, long line)
{
    for (size_t i = 0; i < inputs->count; i++) {
        struct input *input = &inputs->files[i];

        if (strcmp(input->path, path) != 0)
            continue;
        if (input->bad_count > 0 && input->bad[input->bad_count - 1] == line)
            return true;
        if (!app_grow(&inputs->arena, (void **)&input->bad, input->bad_count, &input->bad_capacity,
                      sizeof *input->bad))
            return false;
        input->bad[input->bad_count++] = line;
    }
    return true;
}

static enum status read_rows(struct import *import, struct input *input, struct open_input *source,
                             struct error *error)
{
    struct csv_row row;
    bool more = true, bad;
    enum status status;

    for (;;) {
        status = csv_read(source->reader, &row, &more, error);
        if (status == STATUS_INPUT) {
            input->broken = true;
            input->broken_from = csv_row_line(source->reader);
            input->broken_line = csv_line(source->reader);
        }
        if (status != STATUS_OK || !more)
            return status;
        if (row.blank)
            continue;
        status = import_row(import, row.line, row.cells, row.count, &bad, error);
        if (status != STATUS_OK)
            return status;
    }
}

enum status input_read(struct import *import, struct input *input, struct text *unknown,
                       struct error *error)
{
    struct open_input source;
    struct csv_row header;

    enum status status = open_source(input, &source, &header, error);
    if (status != STATUS_OK)
        return status;
    status = import_file(import, input->path, header.cells, header.count, unknown, error);
    if (status == STATUS_OK)
        status = read_rows(import, input, &source, error);
    close_source(&source);
    return status;
}

void input_rejects_path(const struct input *input, struct text *path)
{
    size_t length = strlen(input->path);

    if (ends_with(input->path, csv_end))
        length -= strlen(csv_end);
    text_append(path, input->path, length);
    text_add(path, rejects_end);
}

static int compare_lines(const void *a, const void *b)
{
    const long left = *(const long *)a, right = *(const long *)b;

    return (left > right) - (left < right);
}

static enum status copy_bad_rows(struct input *input, struct open_input *source,
                                 struct csv_row *row, FILE *out, struct error *error)
{
    struct text line = {0};
    size_t next = 0;
    bool more = true, header = true;
    enum status status = STATUS_OK;

    while (status == STATUS_OK && more) {
        while (next < input->bad_count && input->bad[next] < row->line)
            next++;
        if (header || (next < input->bad_count && input->bad[next] == row->line)) {
            text_clear(&line);
            csv_add_row(&line, row->cells, row->count);
            if (line.failed)
                status = error_no_memory(error);
            else
                (void)fwrite(line.data, 1, line.length, out);
        }
        header = false;
        if (status == STATUS_OK)
            status = csv_read(source->reader, row, &more, error);
    }
    text_release(&line);
    /* Where the file stops being CSV the rejects end, as the import did. */
    return input->broken && status == STATUS_INPUT ? STATUS_OK : status;
}

/* Copies the lines from..to of the file at path to out as they are (NULL: nowhere), each ended;
 * returns how many lines lie after them. */
static long copy_lines(const char *path, long from, long to, FILE *out)
{
    FILE *in = fopen(path, "re");
    long line = 1, after = 0;
    int last = '\n';

    if (in == NULL)
        return 0;
    for (int byte; (byte = getc_unlocked(in)) != EOF; last = byte) {
        if (line > to && last == '\n')
            after++;
        if (out != NULL && line >= from && line <= to)
            (void)putc_unlocked(byte, out);
        line += byte == '\n';
    }
    if (out != NULL && last != '\n' && line >= from && line <= to)
        (void)putc_unlocked('\n', out);
    (void)fclose(in);
    return after;
}

long input_unread(const struct input *input)
{
    return copy_lines(input->path, 0, input->broken_line, NULL);
}

enum status input_write_rejects(struct input *input, const char *path, struct error *error)
{
    struct open_input source;
    struct csv_row row;
    struct cli_file file;

    if (input->bad_count > 0)
        qsort(input->bad, input->bad_count, sizeof *input->bad, compare_lines);
    enum status status = open_source(input, &source, &row, error);
    if (status != STATUS_OK)
        return status;
    status = cli_file_begin(&file, path, error);
    if (status == STATUS_OK) {
        status = copy_bad_rows(input, &source, &row, file.out, error);
        if (status == STATUS_OK && input->broken)
            (void)copy_lines(input->path, input->broken_from, input->broken_line, file.out);
        if (status == STATUS_OK)
            status = cli_file_finish(&file, error);
        if (status == STATUS_OK)
            status = cli_file_place(&file, error);
        else
            cli_file_drop(&file);
    }
    close_source(&source);
    return status;
}
