/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/command.h"

#include <string.h>

/* clang-format off */
const struct command_row command_table[COMMAND_COUNT] = {
    [COMMAND_NONE] = {COMMAND_NONE, "", "", "", 0, "", ""},
    [COMMAND_INIT] = {COMMAND_INIT, "init", "", "", PLACE_SHELL, "", "make a new store"},
    [COMMAND_RECALL] = {COMMAND_RECALL, "recall", "[--on DATE] [--within DAYS] [--group GROUP]", "", PLACE_SHELL, "",
        "list who must be called, safety items first"},
    [COMMAND_AUDIT] = {COMMAND_AUDIT, "audit", "--month YYYY-MM [--as-of INSTANT|@SEQ]", "", PLACE_SHELL, "",
        "account for one month: below the minimum, unknown, not seen, meeting it"},
    [COMMAND_ADVISE] = {COMMAND_ADVISE, "advise",
        "CASE [--arch upper|lower] [--on DATE] [--right MM --left MM] "
        "[--tissue none|mild|wound] [--hardware FAULTS] [--repaired]", "", PLACE_SHELL, "",
        "say what the rules permit and why, recording nothing"},
    [COMMAND_CHART] = {COMMAND_CHART, "chart", "CASE", "", PLACE_SHELL, "",
        "print one case: visits, widths, wear, verdicts"},
    [COMMAND_IMPORT] = {COMMAND_IMPORT, "import", "FILE.csv|FOLDER [--dry-run] [--rejects FILE]", "", PLACE_SHELL, "",
        "read records from CSV; nothing is kept unless all of it is good"},
    [COMMAND_EXPORT] = {COMMAND_EXPORT, "export", "KIND|all [--out FOLDER]", "", PLACE_SHELL, "",
        "write the current records as CSV"},
    [COMMAND_VERIFY] = {COMMAND_VERIFY, "verify", "", "", PLACE_SHELL, "",
        "walk the ledger and name the first row that does not match"},
    [COMMAND_HELP] = {COMMAND_HELP, "help", "", "", PLACE_SHELL, "", "show the sub-commands"},
    [COMMAND_VERSION] = {COMMAND_VERSION, "version", "", "", PLACE_SHELL, "", "show the version"},

    [COMMAND_BACK] = {COMMAND_BACK, "back", "", "Esc", PLACE_ANYWHERE, "back", "go back one step"},
    [COMMAND_KEYS] = {COMMAND_KEYS, "keys", "", "?", PLACE_ANYWHERE, "keys", "show every key that works here"},
    [COMMAND_REDRAW] = {COMMAND_REDRAW, "redraw", "", "Ctrl-L", PLACE_ANYWHERE, "", "draw the whole screen again"},
    [COMMAND_QUIT] = {COMMAND_QUIT, "quit", "", "Ctrl-Q", PLACE_LIST | PLACE_ASK | PLACE_SURE, "leave",
        "leave the program; what is not saved is kept and offered again"},
    [COMMAND_OPEN] = {COMMAND_OPEN, "open", "", "Enter", PLACE_LIST, "open", "open the selected case"},
    [COMMAND_NEXT] = {COMMAND_NEXT, "next", "", "+ Down", PLACE_LIST, "row", "select the next row"},
    [COMMAND_PREVIOUS] = {COMMAND_PREVIOUS, "previous", "", "- Up", PLACE_LIST, "row", "select the row above"},
    [COMMAND_FIRST] = {COMMAND_FIRST, "first", "", "Home", PLACE_LIST, "", "select the first row"},
    [COMMAND_LAST] = {COMMAND_LAST, "last", "", "End", PLACE_LIST, "", "select the last row"},
    [COMMAND_PAGE_NEXT] = {COMMAND_PAGE_NEXT, "page-next", "", "PageDown", PLACE_LIST | PLACE_FORM | PLACE_REVIEW, "",
        "one page down"},
    [COMMAND_PAGE_PREVIOUS] = {COMMAND_PAGE_PREVIOUS, "page-previous", "", "PageUp", PLACE_LIST | PLACE_FORM | PLACE_REVIEW, "",
        "one page up"},
    [COMMAND_PAGE_AROUND] = {COMMAND_PAGE_AROUND, "page-around", "", ".", PLACE_CHOICE | PLACE_REVIEW, "",
        "one page down; at the end, to the top again"},
    [COMMAND_SEARCH] = {COMMAND_SEARCH, "search", "", "letters digits", PLACE_TODAY, "find",
        "type a name or case number: the list narrows as you type"},
    [COMMAND_SHORTEN] = {COMMAND_SHORTEN, "shorten", "", "/ Backspace", PLACE_FOUND, "rub out",
        "remove the last character of the search"},
    [COMMAND_SORT] = {COMMAND_SORT, "sort", "", "Tab", PLACE_LIST, "sort", "sort by the next column"},
    [COMMAND_ACCEPT] = {COMMAND_ACCEPT, "accept", "", "Enter Down Tab", PLACE_FORM, "next", "take the value, go on"},
    [COMMAND_FIELD_BACK] = {COMMAND_FIELD_BACK, "field-back", "", "/ Up Shift-Tab", PLACE_FORM | PLACE_REVIEW, "field back",
        "one field back, also from a wrong value"},
    [COMMAND_MORE] = {COMMAND_MORE, "more", "", "+", PLACE_FORM, "more", "one step more"},
    [COMMAND_LESS] = {COMMAND_LESS, "less", "", "-", PLACE_FORM, "less", "one step less"},
    [COMMAND_SAME] = {COMMAND_SAME, "same", "", "*", PLACE_FORM, "as last", "the value of the last visit"},
    [COMMAND_CLEAR] = {COMMAND_CLEAR, "clear", "", "Ctrl-U", PLACE_FORM | PLACE_TODAY, "", "empty the field or the search"},
    [COMMAND_SAVE] = {COMMAND_SAVE, "save", "", "Enter 1", PLACE_REVIEW, "save", "save what the review line says"},

    [COMMAND_LEFT] = {COMMAND_LEFT, "left", "", "Left", PLACE_FORM, "", "one character to the left"},
    [COMMAND_RIGHT] = {COMMAND_RIGHT, "right", "", "Right", PLACE_FORM, "", "one character to the right"},
    [COMMAND_LINE_START] = {COMMAND_LINE_START, "line-start", "", "Home", PLACE_FORM, "", "before the first character"},
    [COMMAND_LINE_END] = {COMMAND_LINE_END, "line-end", "", "End", PLACE_FORM, "", "behind the last character"},
    [COMMAND_RUB_OUT] = {COMMAND_RUB_OUT, "rub-out", "", "Backspace", PLACE_FORM, "",
        "remove the character before the cursor"},
    [COMMAND_DELETE] = {COMMAND_DELETE, "delete", "", "Delete", PLACE_FORM, "", "remove the character at the cursor"},
    [COMMAND_YES] = {COMMAND_YES, "yes", "", "Enter", PLACE_ASK, "yes", "yes"},
    [COMMAND_NO] = {COMMAND_NO, "no", "", "/", PLACE_ASK | PLACE_SURE, "no", "no; nothing is lost"},
    [COMMAND_THROW_AWAY] = {COMMAND_THROW_AWAY, "throw-away", "", "-", PLACE_ASK | PLACE_SURE, "throw away",
        "throw the unsaved entries away; asks once more"},
};
/* clang-format on */

enum command command_named(const char *name)
{
    for (int i = 1; i < COMMAND_COUNT; i++) {
        if ((command_table[i].places & PLACE_SHELL) != 0 &&
            strcmp(command_table[i].name, name) == 0)
            return command_table[i].id;
    }
    return COMMAND_NONE;
}
