/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Errors are values. Everything that can fail returns an enum status; on failure, and only then,
 * it fills the caller's struct error, so calls chain and one report is made at the top.
 * Nothing below main exits or prints.
 */
#ifndef SPRINGLINE_BASE_ERROR_H
#define SPRINGLINE_BASE_ERROR_H

enum status {
    STATUS_OK = 0,
    STATUS_NO_MEMORY, /* the one path for an exhausted allocation */
    STATUS_USAGE,     /* the command line is wrong: exit 2 */
    STATUS_UNUSABLE,  /* the store or the terminal can not be used: exit 3 */
    STATUS_BUSY,      /* another seat holds the store longer than the wait: exit 3 */
    STATUS_INPUT,     /* what was given is refused: exit 4 */
    STATUS_REFUSED,   /* who asks may not do this; it was logged: exit 4 */
    STATUS_NOT_FOUND, /* no such case, row or draft: exit 4 */
    STATUS_CONFLICT,  /* the record was changed by someone else since it was read */
    STATUS_ALREADY,   /* this request was saved before: treat as saved */
    STATUS_DAMAGED,   /* verify failed, or a read met something impossible: exit 1 from verify */
    STATUS_NO         /* the answer is "no" (nothing due, nothing before the first row): exit 1 */
};

struct error {
    enum status status;
    char sentence[480]; /* one clear sentence: what, where, what to do; UTF-8, no line break */
    char where[160]; /* the place: "visits.csv line 12, right_mm", a path, a table; may be empty */
};

/*
 * Fills *error (NULL is allowed: then nothing is kept) and returns status, so a failure is one
 * line: return error_set(error, STATUS_INPUT, "born", "%s is not a date ...", text); where may be
 * NULL. Overlong sentences are cut at a character boundary.
 */
enum status error_set(struct error *error, enum status status, const char *where,
                      const char *format, ...) __attribute__((format(printf, 4, 5)));

/* STATUS_NO_MEMORY with its one sentence. */
enum status error_no_memory(struct error *error);

#if defined(__clang_analyzer__) || defined(SPRINGLINE_ANALYZE)
/* Analyzers see one file at a time: they are told that a failure is never STATUS_OK. */
void error_seen(struct error *error, const char *where, const char *format, ...);
#define error_set(error, failure, ...) (error_seen(error, __VA_ARGS__), (enum status)(failure))
#define error_no_memory(error)         ((void)(error), (enum status)STATUS_NO_MEMORY)
#endif

/* The exit code of main for a status (interchange.md: 0 good, 1 "no", 2 usage, 3 unusable, 4
 * refused). */
int error_exit_code(enum status status);

#endif
