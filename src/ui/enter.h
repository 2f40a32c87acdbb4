/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the visit screen and the forms share: the modes of entering something, the hand that strikes
 * a key twice, the questions about what is not saved, and texts longer than their box.
 */
#ifndef SPRINGLINE_UI_ENTER_H
#define SPRINGLINE_UI_ENTER_H

#include "springline/app/sign.h"
#include "springline/ui/editor.h"
#include "springline/ui/ui.h"

enum enter_mode {
    MODE_OFFER,      /* something unsaved is there: go on with it? */
    MODE_OFFER_SURE, /* throw it away for good? */
    MODE_FIELDS,
    MODE_REASON,      /* why more than permitted: the numbered list */
    MODE_REASON_TEXT, /* and in words */
    MODE_REVIEW,
    MODE_LEAVE, /* not saved: leave? */
    MODE_LEAVE_SURE
};

struct enter {
    enum enter_mode mode;
    struct editor editor; /* of the focused field, the reason's number or its text */
    int64_t asked_at_ms;  /* when the review line or a question came that Enter answers */
    int64_t bounce_at_ms; /* when a digit was taken at once, */
    uint32_t bounce_key;  /* and which: a double strike of it is no second answer */
    bool paste_stopped;   /* a pasted line was not taken: the lines behind it belong nowhere */
    bool signs;           /* MODE_REVIEW: what is saved wants a signature, */
    enum sign_way way;    /* given in this way */
};

/* Just opened: the Enter that opened it is no answer to a field. */
void enter_begin(const struct ui *ui, struct enter *enter);
/* A question, or the review: Enter counts only when the hand has left the key since. */
void enter_ask(const struct ui *ui, struct enter *enter, enum enter_mode mode);
/* The same for a sentence that wants an answer, in the mode there is. */
void enter_warn(const struct ui *ui, struct enter *enter);

/* The review; signs: what is saved wants a signature, for which a PIN may be typed here. */
void enter_review(const struct ui *ui, struct enter *enter, bool signs);
/* May a PIN be typed now? Then it stands in the editor. */
bool enter_asks_secret(const struct enter *enter);
/* Is the key part of a passphrase, though it names a command? A PIN has digits only, so behind a
 * letter everything is. */
bool enter_takes_secret(const struct enter *enter, const struct key *key);
/* Types it, or rubs it out. False: the command is another. */
bool enter_secret_key(struct enter *enter, enum command command, const struct key *key);
/*
 * Proves who signs with what was typed, which is then forgotten. False, said on the screen: it
 * proves nothing; what is typed next may be tried. subject: case number.
 */
bool enter_prove(struct ui *ui, struct enter *enter, const char *subject, enum proof *proof);

/* Forgets what was typed: a PIN stays nowhere. */
void enter_forget(struct enter *enter);

/* The places of the mode; by_point: in the focused field no point can be typed, so that it pages.
 */
unsigned enter_places(const struct enter *enter, bool by_point);

/* A key has just brought up what it would answer, or a digit was just taken at once: the same
 * stroke, felt twice, is no answer to what stands there now. */
bool enter_ignores(const struct ui *ui, const struct enter *enter, const struct key *key);
/* Every key that is not ignored: another key came between, what follows is no bounce. */
void enter_strike(struct enter *enter, const struct key *key);

/* Types a digit of a choice: it replaces the one before; of several, it is added once. True when it
 * is the whole answer and is to be taken now. at_once: a digit is (of several: the digit 0 only).
 */
bool enter_choice(const struct ui *ui, struct enter *enter, uint32_t character, bool several,
                  bool at_once);

enum enter_answer {
    ANSWER_OPEN,  /* none yet; perhaps asked once more */
    ANSWER_GO_ON, /* with what is unsaved */
    ANSWER_DROP,  /* throw it away */
    ANSWER_KEEP,  /* leave, and keep it for later */
    ANSWER_STAY,
    ANSWER_AWAY /* back to where one came from */
};
/* What a command answers to the question of the mode. */
enum enter_answer enter_answer(const struct ui *ui, struct enter *enter, enum command command);

/* Appends the question of MODE_OFFER_SURE, MODE_LEAVE, MODE_LEAVE_SURE, MODE_REVIEW; false: of
 * another mode. */
bool enter_hint(const struct enter *enter, struct text *out);
/* Appends when a draft was saved: "2026-11-25 09:15 UTC". */
void enter_add_saved_at(struct text *out, const struct draft *draft);

/* ---- texts longer than their box ---- */

struct pages {
    int top, page; /* rows scrolled by; rows a page has */
    bool at_end;   /* nothing is below */
};

/* Scrolls by COMMAND_PAGE_NEXT, PAGE_PREVIOUS or PAGE_AROUND. */
void pages_turn(struct pages *pages, enum command command);
/* Scrolls a panel as pages say and draws it into the box. */
void pages_draw(struct ui *ui, struct panel *panel, struct pages *pages, int row, int rows);

/* Draws a panel upwards from row bottom - 1, top at the highest; with editor not NULL what is typed
 * stands below it, behind head. Returns its first row. */
int enter_panel_draw(struct ui *ui, struct panel *panel, struct pages *pages,
                     const struct editor *editor, const char *head, int top, int bottom);

/* The same for a review: below it the PIN, if one may be typed. */
int enter_review_draw(struct ui *ui, struct panel *panel, struct pages *pages,
                      const struct enter *enter, int top, int bottom);

/* Draws the PIN into a row, a star for each character; nothing where none may be typed. */
void enter_secret_draw(struct ui *ui, const struct enter *enter, int row);

/* Rows the caution line takes. */
int enter_caution_rows(struct ui *ui);
/* Draws the caution line above bottom; returns where it begins. */
int enter_caution_draw(struct ui *ui, int bottom);

#endif
