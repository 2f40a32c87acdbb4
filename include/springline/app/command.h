/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The one command list: id, default keys, sub-command, help line. The help overlay, the footer,
 * `springline help`, and the man page are made from it.
 */
#ifndef SPRINGLINE_APP_COMMAND_H
#define SPRINGLINE_APP_COMMAND_H

#include <stddef.h>

enum place { /* where a command may be given */
             PLACE_SHELL = 1,
             PLACE_LIST = 2,
             PLACE_FORM = 4,
             PLACE_ANYWHERE = 8,
             PLACE_REVIEW = 16,
             PLACE_FIND = 32,    /* typing narrows the list */
             PLACE_ASK = 64,     /* a question stands in the status line */
             PLACE_SURE = 128,   /* asked again: is it really to be thrown away? */
             PLACE_FOUND = 256,  /* a search stands on the list */
             PLACE_CHOICE = 512, /* an empty field of a form in which no point can be typed */
             PLACE_READ = 1024,  /* a text that is only read */
             PLACE_MONTH = 2048, /* the month shown can be changed */
             /* Menus: "*" opens the menu of a screen, and one key chooses in it. A command that is
              * in several menus has the same key in each. */
             PLACE_MENU = 1 << 12,          /* the screen has a menu */
             PLACE_CASES_MENU = 1 << 13,    /* of a list of cases: what is done with the selected */
             PLACE_DAY_MENU = 1 << 14,      /* the other screens, from the day's list */
             PLACE_CASE_MENU = 1 << 15,     /* of one case */
             PLACE_RECORD_MENU = 1 << 16,   /* of one record */
             PLACE_AUDIT_MENU = 1 << 17,    /* of the month's audit */
             PLACE_SETTINGS_MENU = 1 << 18, /* of the settings */
             PLACE_CHOOSE = 1 << 19,        /* a menu is open */
             PLACE_ABOVE = 1 << 21,         /* a list above the day's, nothing searched in it */
             PLACE_PEOPLE_MENU = 1 << 20,   /* of the people */
             PLACE_PICTURE = 1 << 22,       /* the picture of a case */
             PLACE_INSIDE = 1 << 23, /* no key and no sub-command: a decision inside another */
             PLACE_SECRET = 1 << 26, /* a PIN or passphrase may be typed: digits are no commands */
             PLACE_SIGN_MENU = 1 << 27, /* of one record that can be signed */
             PLACE_MEANWHILE = 1 << 28, /* what was saved meanwhile, to be read */
             PLACE_DECIDE = 1 << 29,    /* and decided, mine or theirs */
             PLACE_DOOR = 1 << 24,      /* fields that prove who sits here */
};

enum command {
    COMMAND_NONE,
    /* sub-commands of the shell */
    COMMAND_INIT,
    COMMAND_RECALL,
    COMMAND_AUDIT,
    COMMAND_ADVISE,
    COMMAND_CHART,
    COMMAND_PLAN,
    COMMAND_IMPORT,
    COMMAND_EXPORT,
    COMMAND_UNDO_IMPORT,
    COMMAND_ERASE,
    COMMAND_BACKUP,
    COMMAND_VERIFY,
    COMMAND_UNSIGNED,
    COMMAND_LOG,
    COMMAND_HELP,
    COMMAND_VERSION,
    /* keys on screen */
    COMMAND_BACK,
    COMMAND_KEYS,
    COMMAND_REDRAW,
    COMMAND_QUIT,
    COMMAND_QUIT_ENTRY, /* the same from a sheet or form: not in its footer, which has no room */
    COMMAND_OPEN,
    COMMAND_NEXT,
    COMMAND_PREVIOUS,
    COMMAND_FIRST,
    COMMAND_LAST,
    COMMAND_PAGE_NEXT,
    COMMAND_PAGE_PREVIOUS,
    COMMAND_PAGE_AROUND,
    COMMAND_SEARCH,
    COMMAND_SHORTEN,
    COMMAND_SORT,
    COMMAND_ACCEPT,
    COMMAND_FIELD_BACK,
    COMMAND_MORE,
    COMMAND_LESS,
    COMMAND_SAME,
    COMMAND_CLEAR,
    COMMAND_SAVE,
    COMMAND_TYPE_SECRET, /* where a PIN may be typed: the PIN, */
    COMMAND_SAVE_SIGNED, /* and what is done with it */
    COMMAND_RUB_SECRET,
    /* what was saved meanwhile */
    COMMAND_TAKE_MINE,
    COMMAND_TAKE_THEIRS,
    COMMAND_GO_ON,
    /* keys inside a line of text */
    COMMAND_LEFT,
    COMMAND_RIGHT,
    COMMAND_LINE_START,
    COMMAND_LINE_END,
    COMMAND_RUB_OUT,
    COMMAND_DELETE,
    /* answers to a question */
    COMMAND_YES,
    COMMAND_NO,
    COMMAND_THROW_AWAY,
    /* from one screen to another; keys of menus */
    COMMAND_MENU,
    COMMAND_CHOOSE, /* in an open menu */
    COMMAND_TO_WHY, /* the verdict of today and every reason for it */
    COMMAND_TO_CASE,
    COMMAND_TO_VISIT,
    COMMAND_TO_CONTACT,
    COMMAND_TO_BOOKING,
    COMMAND_TO_BOOKING_END,
    COMMAND_TO_RECALL,
    COMMAND_TO_AUDIT,
    COMMAND_TO_UNSIGNED,
    COMMAND_TO_NEW_PATIENT,
    COMMAND_TO_CASELOAD,
    COMMAND_TO_SETTINGS,
    COMMAND_TO_PEOPLE,
    COMMAND_TO_FIT,
    COMMAND_TO_TRAINER,
    COMMAND_TO_REPAIR,
    COMMAND_TO_OUT,
    COMMAND_TO_WIDTH,
    COMMAND_TO_PATIENT,
    COMMAND_TO_CASE_DATA,
    COMMAND_TO_QUESTIONS,
    COMMAND_TO_WEAR,
    COMMAND_TO_PASSIVE,
    COMMAND_TO_CHECK,
    COMMAND_TO_MISSED,
    COMMAND_TO_ELSEWHERE,
    COMMAND_TO_PROTOCOL,
    COMMAND_TO_NEW_CASE,
    COMMAND_TO_CLOSE,
    COMMAND_TO_TEETH,
    COMMAND_TO_ARCH_SIZE,
    COMMAND_TO_PLAN,      /* the plan, read */
    COMMAND_TO_MAKE_PLAN, /* entered */
    COMMAND_TO_PICTURE,
    COMMAND_TO_LOOP, /* the loop sheet, a bench aid */
    COMMAND_CORRECT,
    COMMAND_WITHDRAW,
    COMMAND_SIGN,
    COMMAND_MONTH_BEFORE,
    COMMAND_MONTH_AFTER,
    COMMAND_WRITE_SHEET,
    COMMAND_CLOSE_MONTH,
    COMMAND_MONTH_CHANGES,
    COMMAND_MONTH_NOW,
    COMMAND_OTHER_ARCH,
    COMMAND_ADD,
    COMMAND_TO_HISTORY,
    COMMAND_TO_WIDTH_ERROR, /* where the error of a width comes from */
    COMMAND_LEAVE,          /* back, on the keypad */
    COMMAND_TO_SECRET,      /* one's own passphrase and PIN */
    COMMAND_RESET_SECRET,   /* a one-time passphrase for somebody else */
    COMMAND_TO_LOG,
    COMMAND_LOCK,     /* this seat, from a menu */
    COMMAND_LOCK_NOW, /* from anywhere */
    /* decisions inside another command, for which more authority is asked (app/authority.h) */
    COMMAND_OVERRIDE,  /* more than permitted */
    COMMAND_SET_ASIDE, /* a safety item */
    COMMAND_AMEND,     /* what is signed */
    COMMAND_SIGN_IN,
    COMMAND_COUNT
};

struct command_row {
    enum command id;
    const char *name;      /* "recall"; the sub-command where places holds PLACE_SHELL */
    const char *arguments; /* synopsis after the name; "" none */
    const char *keys;      /* default keys, blank-separated by name: "Enter", "Esc", "?", "Up" */
    unsigned places;
    const char *footer; /* word for the footer; "" not shown there; rows that follow each other
                           with the same word share it: "+ - row" */
    const char *help;   /* one line */
};

/* One row per enum command, in order. */
extern const struct command_row command_table[COMMAND_COUNT];

/* The sub-command spelled name; COMMAND_NONE when there is none. */
enum command command_named(const char *name);

#endif
