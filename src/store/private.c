/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Who else can reach a store. What the program permits to whom is worth nothing to somebody who can
 * read or change the file without it.
 */
#include <pwd.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "handle.h"

enum {
    OTHERS = 077, /* anything for the group or for everybody; an access list shows here too */
    OTHERS_WRITE = 022,
    USER_NAME_SIZE = 64
};

static void user_name(uid_t user, char name[USER_NAME_SIZE])
{
    const struct passwd *entry = getpwuid(user);

    if (entry != NULL)
        snprintf(name, USER_NAME_SIZE, "%.63s", entry->pw_name);
    else
        snprintf(name, USER_NAME_SIZE, "%lu", (unsigned long)user);
}

enum status guard_owner(const char *place, const struct stat *about, struct error *error)
{
    char owner[USER_NAME_SIZE], user[USER_NAME_SIZE];

    if (about->st_uid == geteuid() || geteuid() == 0)
        return STATUS_OK;
    user_name(about->st_uid, owner);
    user_name(geteuid(), user);
    return error_set(error, STATUS_UNUSABLE, place,
                     "%s belongs to %s and the program runs as %s: a store is one account's alone, "
                     "which several people share as man springline tells, A PRACTICE WITH SEVERAL "
                     "SEATS; or give it to this user as root: chown %s '%s'",
                     place, owner, user, user, place);
}

static enum status say_open(const char *place, const char *what, const char *mode,
                            struct error *error)
{
    return error_set(error, STATUS_UNUSABLE, place,
                     "Others than its owner can %s %s, and so get at patient records past this "
                     "program; run as its owner or as root: chmod %s '%s'",
                     what, place, mode, place);
}

/* Could somebody else put another folder or file in the place of what lies in this one? Where the
 * sticky bit is set only owners can. */
static bool lets_others_replace(const struct stat *about)
{
    return (about->st_mode & OTHERS_WRITE) != 0 && (about->st_mode & S_ISVTX) == 0;
}

static enum status check_own_folder(const char *folder, bool shared, struct error *error)
{
    struct stat about;

    if (stat(folder, &about) != 0)
        return STATUS_OK; /* opening will say so */
    enum status status = shared ? guard_owner(folder, &about, error) : STATUS_OK;
    if (status != STATUS_OK)
        return status;
    if (shared && (about.st_mode & OTHERS) != 0)
        return say_open(folder, "enter", "700", error);
    if (lets_others_replace(&about))
        return say_open(folder, "write in", "go-w", error);
    return STATUS_OK;
}

/* The folders above: root's or this user's, and nobody else may write in them. Cuts path. */
static enum status check_above(char *path, struct error *error)
{
    struct stat about;

    for (char *slash = strrchr(path, '/'); slash != NULL; slash = strrchr(path, '/')) {
        bool top = slash == path;
        slash[top ? 1 : 0] = '\0';
        if (stat(path, &about) != 0)
            return STATUS_OK;
        enum status status = about.st_uid == 0 ? STATUS_OK : guard_owner(path, &about, error);
        if (status == STATUS_OK && lets_others_replace(&about))
            status = say_open(path, "write in", "go-w", error);
        if (status != STATUS_OK || top)
            return status;
    }
    return STATUS_OK;
}

static enum status check_place(char *file, bool shared, struct error *error)
{
    struct stat about;
    enum status status = STATUS_OK;

    if (stat(file, &about) == 0 && S_ISREG(about.st_mode)) {
        if (shared)
            status = guard_owner(file, &about, error);
        if (status == STATUS_OK && (about.st_mode & OTHERS) != 0)
            status = say_open(file, "reach", "600", error);
    }
    if (status != STATUS_OK)
        return status;
    char *slash = strrchr(file, '/');
    if (slash == file)
        return check_above(file, error);
    *slash = '\0';
    status = check_own_folder(file, shared, error);
    return status == STATUS_OK && shared ? check_above(file, error) : status;
}

enum status store_check_private(const char *path, bool shared, struct error *error)
{
    char *real = path == NULL ? NULL : realpath(path, NULL);
    enum status status;

    if (real == NULL)
        return STATUS_OK; /* opening or making it will say so */
    status = check_place(real, shared, error);
    free(real);
    return status;
}
