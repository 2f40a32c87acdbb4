/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * How a person proves who they are: a passphrase, which signs in, and a PIN, which only re-opens or
 * signs in a running session (research: a short PIN falls to a search offline, so it opens nothing
 * by itself). Both as libsodium's argon2id strings under the login name.
 */
#ifndef SPRINGLINE_APP_SECRET_H
#define SPRINGLINE_APP_SECRET_H

#include "springline/app/app.h"

/*
 * Proves that whoever signs now is the person who sits here. In a practice of one that chose not to
 * be asked (app->alone) nothing is asked: *proof is PROOF_ALONE, typed is not looked at. Else typed
 * is tried as the PIN, and, where it is no PIN, as the passphrase. STATUS_REFUSED with a sentence:
 * wrong, none set yet, or too many tries; logged. Not inside a save; takes about a quarter second.
 */
enum status secret_prove(struct app *app, const char *typed, enum proof *proof,
                         struct error *error);

#endif
