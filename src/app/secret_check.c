/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What may become a passphrase or a PIN. No rules of composition (ASVS 5.0 6.2.5; NIST SP
 * 800-63B-4): length, and nothing that is guessed first.
 */
#include <string.h>

#include "secret_private.h"

/*
 * The commonest, folded, and words that stand near this program (ASVS 6.2.11): also with digits and
 * signs before or behind them. From memory of published lists; a longer list would be another
 * file to keep and would stop little that length does not.
 */
static const char *const commonest[] = {
    "12345678",   "123456789",     "1234567890",   "87654321",    "0987654321", "123123123",
    "12341234",   "1q2w3e4r",      "1q2w3e4r5t",   "1qaz2wsx",    "q1w2e3r4",   "zaq12wsx",
    "qwer1234",   "asdf1234",      "abcd1234",     "abc12345",    "a1b2c3d4",   "qwerty",
    "qwertyui",   "qwertyuiop",    "qwertzui",     "qwertz",      "azerty",     "azertyui",
    "asdfghjk",   "asdfghjkl",     "zxcvbnm",      "abcdefgh",    "abcdefghi",  "password",
    "passwort",   "motdepasse",    "contrasena",   "passphrase",  "passw0rd",   "p@ssw0rd",
    "pa55word",   "letmein",       "welcome",      "willkommen",  "bienvenue",  "changeme",
    "default",    "administrator", "admin",        "iloveyou",    "sunshine",   "princess",
    "football",   "baseball",      "basketball",   "monkey",      "dragon",     "master",
    "shadow",     "michael",       "jennifer",     "charlie",     "computer",   "internet",
    "whatever",   "trustno1",      "superman",     "starlight",   "summer",     "winter",
    "secret",     "topsecret",     "hello",        "freedom",     "flower",     "butterfly",
    "springline", "orthodontist",  "orthodontics", "orthodontie", "dentist",    "practice",
    "expander",   "expansion",     "braces",       "surgery",     "reception"};

/* Characters of UTF-8; -1: it is none. */
static long count_characters(const char *typed)
{
    size_t length = strlen(typed), at = 0;
    long count = 0;

    while (at < length) {
        uint32_t character;
        size_t used = text_decode(typed + at, length - at, &character);
        if (used == 0)
            return -1;
        at += used;
        count++;
    }
    return count;
}

static bool is_letter(char byte)
{
    return (byte >= 'a' && byte <= 'z') || (unsigned char)byte >= 0x80;
}

/* Is it word, or word with digits and signs around it? Both folded. */
static bool is_little_more_than(const char *folded, const char *word)
{
    size_t left = strlen(folded), length = strlen(word);
    bool same = strcmp(folded, word) == 0;

    while (left > 0 && !is_letter(folded[left - 1]))
        left--;
    while (left > 0 && !is_letter(*folded)) {
        folded++;
        left--;
    }
    return length > 0 && (same || (left == length && memcmp(folded, word, length) == 0));
}

static bool is_common(const char *folded)
{
    for (size_t i = 0; i < sizeof commonest / sizeof commonest[0]; i++) {
        if (is_little_more_than(folded, commonest[i]))
            return true;
    }
    return folded[strspn(folded, (const char[]){folded[0], '\0'})] == '\0'; /* "aaaaaaaa" */
}

/* Is it the name, or a word of it, with little around? known: login or name. */
static enum status find_known(const char *folded, const char *known, bool *found)
{
    struct text name = {0};
    const char *rest;

    text_add_folded(&name, known == NULL ? "" : known);
    *found = is_little_more_than(folded, text_string(&name));
    for (rest = text_string(&name); *rest != '\0' && !*found;) {
        char word[64];
        size_t length = strcspn(rest, " .-_@");

        if (length >= 4 && length < sizeof word) {
            memcpy(word, rest, length);
            word[length] = '\0';
            *found = is_little_more_than(folded, word);
        }
        rest += length;
        rest += strspn(rest, " .-_@");
    }
    bool failed = name.failed;
    text_release(&name);
    return failed ? STATUS_NO_MEMORY : STATUS_OK;
}

/* The same for what is typed: folded into memory that is wiped and never grows. */
static enum status check_guessed(const char *login, const char *name, const char *typed,
                                 struct error *error)
{
    char room[2 * PASSPHRASE_SIZE] = {0};
    struct text folded = {0};
    bool known = false, common = false;

    text_append(&folded, room, sizeof room);
    if (folded.failed) {
        text_release(&folded);
        return error_no_memory(error);
    }
    text_clear(&folded);
    text_add_folded(&folded, typed);
    enum status status = find_known(text_string(&folded), login, &known);
    if (status == STATUS_OK && !known)
        status = find_known(text_string(&folded), name, &known);
    if (status == STATUS_OK && !known)
        common = is_common(text_string(&folded));
    sodium_memzero(folded.data, folded.capacity);
    text_release(&folded);
    if (status != STATUS_OK)
        return error_no_memory(error);
    if (known)
        return error_set(error, STATUS_INPUT, "passphrase",
                         "This is little more than the login or the name, which is guessed first; "
                         "choose another passphrase.");
    if (common)
        return error_set(error, STATUS_INPUT, "passphrase",
                         "This is among the commonest passwords, which are guessed first; choose "
                         "another: a few words that mean something to you alone.");
    return STATUS_OK;
}

enum status secret_check_passphrase(const char *login, const char *name, const char *typed,
                                    struct error *error)
{
    long count = strlen(typed) >= PASSPHRASE_SIZE ? PASSPHRASE_MOST + 1 : count_characters(typed);

    if (count < 0)
        return error_set(error, STATUS_INPUT, "passphrase",
                         "This holds bytes that are no characters; type it again.");
    if (count < PASSPHRASE_LEAST || count > PASSPHRASE_MOST)
        return error_set(error, STATUS_INPUT, "passphrase",
                         "A passphrase has %d to %d characters (%d or more are advised), of any "
                         "kind; this one has %s.",
                         (int)PASSPHRASE_LEAST, (int)PASSPHRASE_MOST, (int)PASSPHRASE_ADVISED,
                         count < PASSPHRASE_LEAST ? "fewer" : "more");
    return check_guessed(login, name, typed, error);
}

bool secret_is_pin(const char *typed)
{
    size_t digits = strspn(typed, "0123456789");

    return typed[digits] == '\0' && digits >= PIN_LEAST && digits <= PIN_MOST;
}

/* Does each digit follow the one before by step, 0 after 9? */
static bool is_run(const char *typed, int step)
{
    for (size_t i = 1; typed[i] != '\0'; i++) {
        if ((typed[i] - typed[i - 1] + 10) % 10 != step)
            return false;
    }
    return true;
}

enum status secret_check_pin(const char *typed, struct error *error)
{
    if (!secret_is_pin(typed))
        return error_set(error, STATUS_INPUT, "PIN", "A PIN has %d to %d digits and nothing else.",
                         (int)PIN_LEAST, (int)PIN_MOST);
    if (is_run(typed, 0) || is_run(typed, 1) || is_run(typed, 9))
        return error_set(error, STATUS_INPUT, "PIN",
                         "Digits that are all the same or follow each other are guessed first; "
                         "choose another PIN.");
    return STATUS_OK;
}
