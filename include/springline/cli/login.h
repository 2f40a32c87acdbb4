/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Who sits here, and whether what the caller set is to be believed.
 *
 * In a practice with several seats each person signs in under an own login and reaches the program
 * by sudo, as the one account that owns the store; the person is the login. Its name must not be a
 * thing that a user can say, so only two of the kernel's own records count, in this order:
 *
 * 1. the login that the kernel keeps through su and sudo (/proc/self/loginuid, set once by
 *    pam_loginuid when somebody signs in);
 * 2. where the kernel keeps none (no pam_loginuid, a container): SUDO_UID, if the program's parent
 *    is sudo with root's rights and the kernel's record of that process has this very user as the
 *    real one. sudo overwrites what its caller set; and whoever sets SUDO_UID by hand has no such
 *    parent, or one that the kernel says was started by themselves.
 *
 * Else it is the user that the program runs as. Nothing else in the environment is ever a name.
 */
#ifndef SPRINGLINE_CLI_LOGIN_H
#define SPRINGLINE_CLI_LOGIN_H

#include <stdbool.h>
#include <sys/types.h>

#include "springline/base/error.h"

enum { LOGIN_NAME_SIZE = 64, LOGIN_NOTICE_SIZE = 400 };
#define LOGIN_NOBODY ((uid_t)-1) /* the kernel's own value for: none */

/* What is known; each user LOGIN_NOBODY where there is none. */
struct login_facts {
    uid_t user;   /* as whom the program runs */
    uid_t kept;   /* /proc/self/loginuid */
    uid_t caller; /* the real user of the parent process, where that is sudo with root's rights */
    const char *said; /* SUDO_UID; NULL: not set */
};

struct login {
    uid_t user;                 /* who sits here */
    bool shared;                /* the account is reached by sudo: somebody else's environment */
    bool unconfirmed;           /* sudo names another, which the kernel does not confirm */
    char name[LOGIN_NAME_SIZE]; /* of user; "user 1001" where it has none. By login_begin */
    char notice[LOGIN_NOTICE_SIZE]; /* what the person should read; "" nothing. By login_begin */
};

/*
 * Decides user, shared and unconfirmed. STATUS_UNUSABLE, with what mends it, when the kernel and
 * sudo name two logins of which neither is root: then rows would carry a name that may be wrong.
 */
enum status login_decide(const struct login_facts *facts, struct login *login, struct error *error);

/*
 * Decides about this process. Where the account is shared the environment is emptied but for what
 * only draws the screen (TERM, the locale and the like), HOME is the account's own, and notice
 * names what was set in vain; so it must come before anything reads the environment. root's is left
 * as it is: whoever is root needs no variable.
 */
enum status login_begin(struct login *login, struct error *error);

#endif
