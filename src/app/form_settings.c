/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Settings: one value of a protocol, a protocol of a case's own. */
#include <string.h>

#include "form_parts.h"
#include "form_templates.h"
#include "springline/app/lists_settings.h"
#include "springline/app/sentence.h"
#include "springline/core/protocol.h"

/* ---- one value ---- */

struct setting_kept {
    struct form_template template; /* with the one item of this setting */
    struct form_item item;
};

/* The field of the record behind a setting. */
static const struct field *field_of(enum setting setting)
{
    const struct record_table *table = &record_tables[RECORD_PROTOCOL];

    for (size_t i = 0; i < table->field_count; i++) {
        if (table->fields[i].offset == protocol_settings[setting].offset)
            return &table->fields[i];
    }
    return NULL;
}

/* What the rules do with it, how it is written, "Default 80 %, practice setting." NULL: no memory.
 */
static const char *help_of(struct form *form, enum setting setting)
{
    const struct setting_row *row = &protocol_settings[setting];
    struct text text = {0};

    text_addf(&text, "%s%s Default ", lists_setting_does(setting),
              row->unit == UNIT_PERMILLE ? " Write 80, 80 % or 0.80." : "");
    form_add_setting(&text, setting, row->value);
    text_addf(&text, ", %s%s%.200s.", standing_text(row->standing),
              row->source[0] == '\0' ? "" : ": ", row->source);
    const char *help =
        text.failed ? NULL : arena_text(&form->arena, text_string(&text), text.length);
    text_release(&text);
    return help;
}

/* The value is read by the engine but for shares, whose thousandths nobody writes. */
static enum status make_item(struct form *form, enum setting setting, struct error *error)
{
    struct setting_kept *kept = arena_alloc(&form->arena, sizeof *kept);
    const struct field *field = field_of(setting);

    if (kept == NULL || field == NULL)
        return error_no_memory(error);
    kept->item = (struct form_item){
        .name = protocol_settings[setting].unit == UNIT_PERMILLE ? "share" : field->name,
        .label = protocol_settings[setting].name,
        .help = help_of(form, setting),
        .flags = ITEM_REQUIRED | ITEM_FIRST};
    kept->template = form_template_setting;
    kept->template.items = &kept->item;
    kept->template.item_count = 1;
    form_inner(form)->template = &kept->template;
    form_inner(form)->kept = kept;
    return kept->item.help == NULL ? error_no_memory(error) : STATUS_OK;
}

enum status form_read_current(struct app *app, struct form *form, enum record_kind kind,
                              struct error *error)
{
    union any_record row = {0}, current = {0};
    const char *table = record_tables[kind].table;

    enum status status =
        store_read_row(app->store, kind, &form->subject.row, &form->arena, &row, error);
    if (status == STATUS_OK)
        status =
            store_read_current(app->store, kind, &row.head.record, &form->arena, &current, error);
    if (status == STATUS_NOT_FOUND)
        return error_set(error, status, table, "This %s is not there any more.", table);
    if (status == STATUS_OK && !id_equal(&current.head.id, &row.head.id))
        return error_set(error, STATUS_CONFLICT, table,
                         "This %s was changed at another seat meanwhile; open it again.", table);
    if (status == STATUS_OK)
        form_put_row(form, 0, &current);
    return status;
}

/* "Setting of the practice", "Setting of C-0018's own protocol". */
static enum status make_title(struct app *app, struct form *form, struct error *error)
{
    struct setting_kept *kept = form_inner(form)->kept;
    const char *name = form_now(form, 0)->protocol.name;
    struct id casefile;

    kept->template.title = "Setting of the practice";
    if (strcmp(name, STORE_PRACTICE_PROTOCOL) == 0)
        return STATUS_OK;
    enum status status = store_find_case(app->store, name, STORE_NOW, &casefile, error);
    if (status == STATUS_OK)
        kept->template.title = form_textf(form, "Setting of %.60s's own protocol", name);
    else if (status == STATUS_NOT_FOUND)
        kept->template.title = form_textf(form, "Setting of the protocol %.60s", name);
    else
        return status;
    return kept->template.title[0] == '\0' ? error_no_memory(error) : STATUS_OK;
}

static enum status prepare_setting(struct app *app, struct form *form, struct error *error)
{
    enum setting setting = form->subject.setting;

    if (setting <= SETTING_NONE || setting >= SETTING_COUNT)
        return error_set(error, STATUS_INPUT, "setting", "There is no such setting.");
    enum status status = form_read_current(app, form, RECORD_PROTOCOL, error);
    if (status == STATUS_OK)
        status = make_item(form, setting, error);
    return status == STATUS_OK ? make_title(app, form, error) : status;
}

static int32_t value_in(const union any_record *record, enum setting setting)
{
    return protocol_value(&record->protocol, setting);
}

/* A share stands on the form as people write it, as if the engine had shown it. */
static void follow_setting(struct app *app, struct form *form)
{
    int index = form_index(form, 0, "share");
    struct text text = {0};

    (void)app;
    if (index < 0 || form->fields[index].recorded[0] != '\0')
        return;
    struct form_field *field = &form->fields[index];
    form_add_setting(&text, form->subject.setting,
                     value_in(&form_inner(form)->slots[0].before, form->subject.setting));
    const char *opened = arena_text(&form->arena, text_string(&text), text.length);
    if (opened != NULL) {
        form_cut(opened, field->recorded, sizeof field->recorded);
        form_cut(opened, field->entered, sizeof field->entered);
        form_cut(opened, field->shown, sizeof field->shown);
        form_inner(form)->opened_text[index] = opened;
        field->filled = true;
    }
    text_release(&text);
}

/* How a number of a share may be meant. */
enum share { SHARE_NONE, SHARE_TAKEN, SHARE_EITHER };

/*
 * "0.80" and "80", "80 %": the same share, in thousandths. Without its sign a number of 1 to 10 can
 * be meant both ways (1 and 1 %, and a share of lag_share may exceed 1): that is asked, not
 * guessed.
 */
static enum share read_share(const char *entered, const char *label, int32_t *permille)
{
    enum { WHOLE = 1000, PERMILLE_UM = 100, EITHER_MOST = 10000, TEXT_SIZE = 24 };
    char number[TEXT_SIZE];
    size_t length = strlen(entered);
    bool sign = length > 0 && entered[length - 1] == '%';
    um value;

    length -= sign ? 1 : 0;
    while (length > 0 && entered[length - 1] == ' ')
        length--;
    if (length >= sizeof number)
        return SHARE_NONE;
    memcpy(number, entered, length);
    number[length] = '\0';
    if (millimetre_from_text(number, MARK_POINT_OR_COMMA, label, &value, NULL) != STATUS_OK ||
        value < 0)
        return SHARE_NONE;
    if (!sign && value >= WHOLE && value <= EITHER_MOST)
        return SHARE_EITHER;
    if (!sign && value < WHOLE)
        *permille = value;
    else if (value % PERMILLE_UM != 0)
        return SHARE_NONE;
    else
        *permille = value / PERMILLE_UM;
    return SHARE_TAKEN;
}

static enum entry enter_setting(struct app *app, struct form *form, int index, char sentence[200])
{
    const struct form_field *field = &form->fields[index];
    const struct field *behind = field_of(form->subject.setting);
    union any_record *now = form_now(form, 0);
    int32_t value = -1;

    (void)app;
    if (index != form_index(form, 0, "share"))
        return ENTRY_TAKEN;
    enum share share =
        field->entered[0] == '\0' ? SHARE_TAKEN : read_share(field->entered, field->label, &value);
    if (share == SHARE_NONE)
        return form_say(sentence, ENTRY_REFUSED,
                        "Write a share as 80, 80 %% or 0.80: all three are four of five.");
    if (share == SHARE_EITHER)
        return form_say(sentence, ENTRY_REFUSED,
                        "This can be read both ways: write it with its sign, 100 %% or 1 %%.");
    exchange_set(behind, now, &value, sizeof value);
    return ENTRY_TAKEN;
}

struct governed { /* the open cases under a protocol, and the others */
    const char *name;
    int64_t count, others;
};

static enum status count_case(void *context, const void *record, struct error *error)
{
    struct governed *governed = context;
    const struct casefile *casefile = record;
    const char *name = casefile->protocol;

    (void)error;
    if (name == NULL || name[0] == '\0')
        name = STORE_PRACTICE_PROTOCOL;
    if (casefile->closed_on == DAY_NONE)
        *(strcmp(name, governed->name) == 0 ? &governed->count : &governed->others) += 1;
    return STATUS_OK;
}

static enum status warn_setting(struct app *app, struct form *form, struct arena *arena,
                                struct lines *lines, struct error *error)
{
    struct governed governed = {.name = form_now(form, 0)->protocol.name};

    enum status status =
        store_each_row(app->store, RECORD_CASEFILE, STORE_NOW, count_case, &governed, error);
    if (status != STATUS_OK)
        return status;
    const struct setting_row *row = &protocol_settings[form->subject.setting];
    bool added =
        form_add_line(arena, lines, "Standing of the default: %s.", standing_text(row->standing)) &&
        form_add_line(arena, lines, "It applies to %lld open %s from now on; stored verdicts stay.",
                      (long long)governed.count, governed.count == 1 ? "case" : "cases") &&
        form_add_line(arena, lines,
                      "Months printed anew and verdicts recomputed for imported visits follow it "
                      "too; --as-of shows them as they were.");
    if (added && governed.others > 0 && strcmp(governed.name, STORE_PRACTICE_PROTOCOL) == 0)
        added = form_add_line(arena, lines, "%lld open %s and %s not follow.",
                              (long long)governed.others,
                              governed.others == 1 ? "case has a protocol of its own"
                                                   : "cases have a protocol of their own",
                              governed.others == 1 ? "does" : "do");
    if (added && form->subject.setting == SETTING_WIDTH_ERROR)
        added = form_add_line(arena, lines,
                              "Once there are ten repeat pairs the practice's own error replaces "
                              "it again.");
    return form_lines_done(added, error);
}

const struct form_template form_template_setting = {
    .kind = FORM_SETTING,
    .name = "setting",
    .title = "Setting",
    .slots = {RECORD_PROTOCOL, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_setting,
    .follow = follow_setting,
    .warn = warn_setting,
    .enter = enter_setting,
};

/* ---- a protocol of a case's own ---- */

enum { OWN_PROTOCOL, OWN_CASE };

static enum status prepare_protocol(struct app *app, struct form *form, struct error *error)
{
    const struct casefile *casefile = form->history.casefile;
    struct form_slot *slots = form_inner(form)->slots;

    enum status status = form_need_open(app, form, error);
    if (status != STATUS_OK)
        return status;
    if (casefile->protocol != NULL && strcmp(casefile->protocol, casefile->number) == 0)
        return error_set(error, STATUS_INPUT, casefile->number,
                         "Case %s has a protocol of its own already; change its values in the "
                         "settings.",
                         casefile->number);
    struct protocol *own = &slots[OWN_PROTOCOL].now.protocol;
    *own = *form->history.protocol;
    own->head = (struct row_head){0};
    own->name = casefile->number;
    slots[OWN_PROTOCOL].copied_from = form->history.protocol->name;
    form_put_row(form, OWN_CASE, casefile);
    slots[OWN_CASE].now.casefile.protocol = casefile->number;
    return STATUS_OK;
}

static void follow_protocol(struct app *app, struct form *form)
{
    static const char *const choices[] = {"yes"};

    (void)app;
    form_make_choice(form, OWN_PROTOCOL, "make", choices, 1, 0);
    form_demand(form, OWN_PROTOCOL, "make", true);
}

static enum entry enter_protocol(struct app *app, struct form *form, int index, char sentence[200])
{
    (void)app;
    if (index == form_index(form, OWN_PROTOCOL, "make"))
        return form_take_choice(form, index, sentence);
    return ENTRY_TAKEN;
}

/* The number may be the name of a protocol that was made and left before. */
static enum status check_protocol(struct app *app, struct form *form, int *index,
                                  struct error *error)
{
    const char *name = form_now(form, OWN_PROTOCOL)->protocol.name;
    struct protocol other;

    enum status status =
        store_read_protocol(app->store, name, STORE_NOW, &form->arena, &other, error);
    if (status == STATUS_NOT_FOUND)
        return STATUS_OK;
    if (status != STATUS_OK)
        return status;
    return form_refuse(form, OWN_PROTOCOL, "make", index, error,
                       "A protocol called %s is there already; name it in the data of the case.",
                       name);
}

static enum status warn_protocol(struct app *app, struct form *form, struct arena *arena,
                                 struct lines *lines, struct error *error)
{
    const struct protocol *from = form->history.protocol;

    (void)app;
    return form_lines_done(
        form_add_line(arena, lines,
                      "Its values are those of \"%s\" as they stand; later changes there do not "
                      "reach this case.",
                      from->name),
        error);
}

static const struct form_item protocol_items[] = {
    {OWN_PROTOCOL, "name", "name", "The protocol is called like the case.", NULL, ITEM_LOCKED},
    {OWN_PROTOCOL, "make", "limits of its own",
     "Give this case limits of its own, copied from those it has? They are changed in the "
     "settings.",
     NULL, ITEM_FIRST},
};
const struct form_template form_template_protocol = {
    .kind = FORM_PROTOCOL,
    .name = "protocol",
    .title = "Protocol of this case",
    .asks_why = true,
    .items = protocol_items,
    .item_count = sizeof protocol_items / sizeof protocol_items[0],
    .slots = {RECORD_PROTOCOL, RECORD_CASEFILE, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_protocol,
    .follow = follow_protocol,
    .check = check_protocol,
    .warn = warn_protocol,
    .enter = enter_protocol,
};
