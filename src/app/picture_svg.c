/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pictures as SVG: one below the other, each of three plots on one axis of dates. */
#include <inttypes.h>
#include <stdio.h>

#include "picture_drawing.h"
#include "springline/core/tooth.h"
#include "svg.h"

enum { /* tenths of a unit */
       PAGE_WIDTH = 9000,
       LEFT = 700,
       RIGHT = 8700,
       HEAD = 700, /* above the first picture */
       PICTURE_HEIGHT = 6500,
       WIDTHS_TOP = 600, /* from the top of its picture, each with its caption above it */
       WIDTHS_HEIGHT = 2400,
       SUMS_TOP = 3400,
       SUMS_HEIGHT = 1200,
       WEAR_TOP = 5000,
       WEAR_HEIGHT = 1000,
       FOOT = 500,
       CAPTION_ABOVE = 150,
       CAP = 40, /* half of the line that ends an error bar */
       SMALL = 110,
       NORMAL = 120,
       LARGE = 150,
       DATE_TICKS = 9,
       SHARE_TICKS = 6
};

struct plot {
    int64_t top, height;
    const struct scale *scale; /* NULL: nothing is drawn in it */
};

struct page {
    struct text *out;
    const struct picture *picture;
    struct scale dates, shares;
    struct plot plots[PART_COUNT];
};

static int64_t x_of(const struct page *page, int64_t date)
{
    return LEFT + scale_place(&page->dates, date, RIGHT - LEFT);
}

static int64_t y_of(const struct plot *plot, int64_t value)
{
    return plot->top + plot->height - scale_place(plot->scale, value, plot->height);
}

static void add_mm(struct text *out, int64_t value)
{
    char buffer[MILLIMETRE_TEXT_SIZE];

    /* No length is so long; an axis around one that is must not turn round. */
    value = value > INT32_MAX ? INT32_MAX : value < -INT32_MAX ? -INT32_MAX : value;
    text_add(out, millimetre_to_text((um)value, buffer));
}

static void add_date(struct text *out, day date)
{
    char buffer[DAY_TEXT_SIZE];

    text_add(out, day_to_text(date, buffer));
}

/* Puts a text that was made, and empties it. */
static void put_made(struct page *page, int64_t x, int64_t y, enum svg_anchor anchor, int size,
                     struct text *made)
{
    svg_text(page->out, x, y, anchor, size, text_string(made));
    page->out->failed = page->out->failed || made->failed;
    text_clear(made);
}

/* ---- axes ---- */

static void draw_ticks(struct page *page, int which)
{
    const struct plot *plot = &page->plots[which];
    struct text label = {0};

    for (int i = 0; i < plot->scale->count; i++) {
        int64_t value = plot->scale->ticks[i], y = y_of(plot, value);
        svg_line(page->out, (int64_t[]){LEFT, y}, (int64_t[]){RIGHT, y}, DASH_FAINT, 10);
        if (which == PART_WEAR)
            text_addf(&label, "%" PRId64 " %%", value / 10);
        else
            add_mm(&label, value);
        put_made(page, LEFT - 60, y + 40, ANCHOR_END, SMALL, &label);
    }
    text_release(&label);
}

static void draw_frame(struct page *page, int which, const char *caption)
{
    const struct plot *plot = &page->plots[which];
    int64_t bottom = plot->top + plot->height;

    svg_text(page->out, LEFT, plot->top - CAPTION_ABOVE, ANCHOR_START, NORMAL, caption);
    if (plot->scale != NULL)
        draw_ticks(page, which);
    svg_line(page->out, (int64_t[]){LEFT, plot->top}, (int64_t[]){LEFT, bottom}, DASH_NONE, 10);
    svg_line(page->out, (int64_t[]){LEFT, bottom}, (int64_t[]){RIGHT, bottom}, DASH_NONE, 10);
}

static void draw_dates(struct page *page)
{
    const struct plot *wear = &page->plots[PART_WEAR];
    int64_t bottom = wear->top + wear->height;

    for (int i = 0; i < page->dates.count; i++) {
        char date[DAY_TEXT_SIZE];
        int64_t x = x_of(page, page->dates.ticks[i]);
        day_to_text((day)page->dates.ticks[i], date);
        if (page->dates.step != SCALE_DAYS)
            date[MONTH_TEXT_SIZE - 1] = '\0';
        svg_line(page->out, (int64_t[]){x, bottom}, (int64_t[]){x, bottom + 60}, DASH_NONE, 10);
        svg_text(page->out, x, bottom + 200, ANCHOR_MIDDLE, SMALL, date);
    }
}

/* ---- what happened ---- */

static void draw_marks(struct page *page)
{
    static const char *const words[] = {[PICTURE_FIT] = "fitted",
                                        [PICTURE_PASSIVE] = "passive",
                                        [PICTURE_REST] = "out: rest",
                                        [PICTURE_OUT] = "out"};
    const struct plot *widths = &page->plots[PART_WIDTHS], *wear = &page->plots[PART_WEAR];

    for (size_t i = 0; i < page->picture->mark_count; i++) {
        const struct picture_mark *mark = &page->picture->marks[i];
        int64_t x = x_of(page, mark->date);
        svg_line(page->out, (int64_t[]){x, widths->top}, (int64_t[]){x, wear->top + wear->height},
                 DASH_DOTS, 10);
        svg_text(page->out, x + 30, widths->top + 120 + (int64_t)(i % 4) * 130, ANCHOR_START, SMALL,
                 words[mark->event]);
    }
}

/* ---- widths ---- */

static void draw_bar(struct page *page, int64_t x, um value)
{
    const struct plot *plot = &page->plots[PART_WIDTHS];
    int64_t top = y_of(plot, (int64_t)value + page->picture->bar);
    int64_t bottom = y_of(plot, (int64_t)value - page->picture->bar);

    svg_line(page->out, (int64_t[]){x, top}, (int64_t[]){x, bottom}, DASH_NONE, 12);
    svg_line(page->out, (int64_t[]){x - CAP, top}, (int64_t[]){x + CAP, top}, DASH_NONE, 12);
    svg_line(page->out, (int64_t[]){x - CAP, bottom}, (int64_t[]){x + CAP, bottom}, DASH_NONE, 12);
}

static void draw_widths(struct page *page)
{
    const struct picture *picture = page->picture;
    const struct plot *plot = &page->plots[PART_WIDTHS];

    if (picture->target != UM_NONE) {
        int64_t y = y_of(plot, picture->target);
        svg_line(page->out, (int64_t[]){LEFT, y}, (int64_t[]){RIGHT, y}, DASH_LONG, 15);
        svg_text(page->out, RIGHT, y < plot->top + 150 ? y + 130 : y - 40, ANCHOR_END, SMALL,
                 "target");
    }
    if (picture->width_count == 0)
        return;
    svg_path_begin(page->out, DASH_NONE, 15);
    for (size_t i = 0; i < picture->width_count; i++)
        svg_path_point(page->out, x_of(page, picture->widths[i].date),
                       y_of(plot, picture->widths[i].value));
    svg_path_end(page->out);
    for (size_t i = 0; i < picture->width_count; i++) {
        int64_t x = x_of(page, picture->widths[i].date);
        if (picture->bar > 0)
            draw_bar(page, x, picture->widths[i].value);
        svg_circle(page->out, x, y_of(plot, picture->widths[i].value));
    }
}

/* ---- what was given ---- */

static void draw_stairs(struct page *page, bool left)
{
    const struct picture *picture = page->picture;
    const struct plot *plot = &page->plots[PART_SUMS];
    int64_t y = y_of(plot, 0);

    svg_path_begin(page->out, left ? DASH_SHORT : DASH_NONE, 15);
    for (size_t i = 0; i < picture->step_count; i++) {
        const struct picture_step *step = &picture->steps[i];
        int64_t x = x_of(page, step->date);
        svg_path_point(page->out, x, y);
        y = y_of(plot, left ? step->left : step->right);
        svg_path_point(page->out, x, y);
    }
    svg_path_point(page->out, x_of(page, page->dates.last), y);
    svg_path_end(page->out);
}

/* A triangle stands over a square: where the sides are equal both are seen. */
static void draw_step(struct page *page, const struct picture_step *step)
{
    const struct plot *plot = &page->plots[PART_SUMS];
    int64_t x = x_of(page, step->date);
    int64_t right = y_of(plot, step->right), left = y_of(plot, step->left);

    if (!step->right_unknown)
        svg_square(page->out, x, right);
    if (!step->left_unknown)
        svg_triangle(page->out, x, left - 60);
    if (step->right_unknown)
        svg_text(page->out, x, right - 80, ANCHOR_MIDDLE, LARGE,
                 step->left_unknown ? "? right, left" : "? right");
    else if (step->left_unknown)
        svg_text(page->out, x, left - 80, ANCHOR_MIDDLE, LARGE, "? left");
}

static void draw_steps(struct page *page)
{
    const struct picture *picture = page->picture;

    if (picture->step_count == 0)
        return;
    draw_stairs(page, false);
    draw_stairs(page, true);
    for (size_t i = 0; i < picture->step_count; i++)
        draw_step(page, &picture->steps[i]);
}

/* ---- wear ---- */

static enum svg_dash dash_of(enum source source)
{
    return source == SOURCE_SENSOR ? DASH_NONE : source == SOURCE_DIARY ? DASH_SHORT : DASH_DOTS;
}

static void draw_wear(struct page *page)
{
    const struct plot *plot = &page->plots[PART_WEAR];

    for (size_t i = 0; i < page->picture->wear_count; i++) {
        const struct picture_wear *wear = &page->picture->wear[i];
        int64_t from = x_of(page, wear->from), to = x_of(page, wear->to);
        char letter[] = {picture_source(wear->source), '\0'};
        if (wear->permille < 0) {
            svg_text(page->out, (from + to) / 2, plot->top + plot->height / 2, ANCHOR_MIDDLE, LARGE,
                     letter);
            continue;
        }
        int64_t y = y_of(plot, wear->permille);
        svg_line(page->out, (int64_t[]){from, y}, (int64_t[]){to, y}, dash_of(wear->source), 40);
        svg_text(page->out, (from + to) / 2, y + (wear->permille > 500 ? 150 : -60), ANCHOR_MIDDLE,
                 SMALL, letter);
    }
}

/* ---- words ---- */

/* "upper arch: intermolar width, gingival, 16-26" */
static void add_measure(struct text *out, const struct picture *picture)
{
    const struct expander *expander = picture->expander;
    char teeth[8];

    if (expander == NULL)
        text_add(out, "no expander is recorded: wear of the trainer");
    else if (expander->landmark == LANDMARK_NONE || expander->site == SITE_NONE)
        text_addf(out, "%s arch: landmark not recorded", picture_name(picture));
    else
        text_addf(out, "%s arch: %s width, landmark %s, teeth %s", picture_name(picture),
                  word_text(&words_site, (int)expander->site),
                  word_text(&words_landmark, (int)expander->landmark),
                  teeth_to_text(expander->teeth, teeth));
}

static void add_bar(struct text *out, const struct picture *picture)
{
    if (picture->bar == 0)
        return;
    text_add(out, "; bars +-");
    add_mm(out, picture->bar);
    text_add(out, " mm, 1.96 x the width error ");
    add_mm(out, picture->error);
    text_add(out, " mm");
}

static void draw_words(struct page *page, int64_t top)
{
    struct text made = {0};

    add_measure(&made, page->picture);
    put_made(page, LEFT, top + 200, ANCHOR_START, LARGE, &made);
    text_add(&made, "width, mm: circles, repeats of a day averaged");
    add_bar(&made, page->picture);
    if (page->picture->target != UM_NONE) {
        text_add(&made, "; long dashes: target ");
        add_mm(&made, page->picture->target);
        text_add(&made, " mm");
    }
    draw_frame(page, PART_WIDTHS, text_string(&made));
    page->out->failed = page->out->failed || made.failed;
    text_clear(&made);
    text_add(&made, "given, mm a side, in all: solid and squares right, dashed and triangles left");
    text_add(&made, page->picture->unknown_steps
                        ? "; ? given elsewhere, not known: the sums are the least it can be"
                        : "");
    draw_frame(page, PART_SUMS, text_string(&made));
    text_release(&made);
    draw_frame(page, PART_WEAR,
               "wear, days met of days known: solid s sensor, dashed d diary, dotted t told (runs "
               "high), ? unknown");
}

static void describe_widths(struct text *out, const struct picture *picture)
{
    text_addf(out, " %zu width%s", picture->width_count, picture->width_count == 1 ? "" : "s");
    if (picture->width_count > 0) {
        const struct picture_width *first = &picture->widths[0];
        const struct picture_width *last = &picture->widths[picture->width_count - 1];
        text_add(out, ", from ");
        add_mm(out, first->value);
        text_add(out, " mm on ");
        add_date(out, first->date);
        text_add(out, " to ");
        add_mm(out, last->value);
        text_add(out, " mm on ");
        add_date(out, last->date);
        add_bar(out, picture);
    }
    if (picture->target != UM_NONE) {
        text_add(out, "; target ");
        add_mm(out, picture->target);
        text_add(out, " mm");
    }
    text_add(out, ".");
}

static void describe_steps(struct text *out, const struct picture *picture)
{
    if (picture->step_count == 0) {
        text_add(out, " Nothing was given.");
        return;
    }
    const struct picture_step *last = &picture->steps[picture->step_count - 1];
    text_addf(out, " Given on %zu day%s: right ", picture->step_count,
              picture->step_count == 1 ? "" : "s");
    add_mm(out, last->right);
    text_add(out, " mm, left ");
    add_mm(out, last->left);
    text_add(out, " mm in all.");
}

static void describe_wear(struct text *out, const struct picture *picture)
{
    text_addf(out, " Wear: %zu period%s", picture->wear_count, picture->wear_count == 1 ? "" : "s");
    for (size_t i = 0; i < picture->wear_count; i++) {
        const struct picture_wear *wear = &picture->wear[i];
        text_add(out, ", from ");
        add_date(out, wear->from);
        if (wear->permille < 0)
            text_add(out, " unknown");
        else
            text_addf(out, " %" PRId32 " of %" PRId32 " days (%s)", wear->met, wear->known,
                      word_text(&words_source, (int)wear->source));
    }
    text_add(out, ".");
}

static void describe(struct text *out, const struct picture *picture)
{
    text_add(out, " ");
    add_measure(out, picture);
    text_add(out, ".");
    if (picture->arch != ARCH_NONE) {
        describe_widths(out, picture);
        describe_steps(out, picture);
    }
    describe_wear(out, picture);
    picture_left_out(picture, out);
}

/* ---- the document ---- */

static void draw_picture(struct text *out, const struct picture *picture, int64_t top)
{
    struct scale_range shares = {true, 0, 1000};
    struct page page = {.out = out, .picture = picture};

    if (!picture->drawable) {
        svg_text(out, LEFT, top + 400, ANCHOR_START, NORMAL,
                 "Nothing that has a date is recorded: there is nothing to draw.");
        return;
    }
    scale_dates(&picture->dates, DATE_TICKS, &page.dates);
    scale_numbers(&shares, 1, SHARE_TICKS, &page.shares);
    page.plots[PART_WIDTHS] = (struct plot){top + WIDTHS_TOP, WIDTHS_HEIGHT,
                                            picture->has_lengths ? &picture->lengths : NULL};
    page.plots[PART_SUMS] =
        (struct plot){top + SUMS_TOP, SUMS_HEIGHT, picture->has_sums ? &picture->sums : NULL};
    page.plots[PART_WEAR] = (struct plot){top + WEAR_TOP, WEAR_HEIGHT, &page.shares};
    draw_words(&page, top);
    draw_dates(&page);
    draw_marks(&page);
    draw_widths(&page);
    draw_steps(&page);
    draw_wear(&page);
}

static void add_head(const struct pictures *pictures, int64_t height, struct text *out)
{
    struct text about = {0};

    text_add(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                  "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"");
    svg_number(out, PAGE_WIDTH);
    text_add(out, "\" height=\"");
    svg_number(out, height);
    text_add(out, "\" viewBox=\"0 0 ");
    svg_number(out, PAGE_WIDTH);
    text_add(out, " ");
    svg_number(out, height);
    text_add(out, "\" font-family=\"sans-serif\">\n<title>");
    text_add(&about, "Case ");
    text_add(&about, pictures->of[0].number);
    text_add(&about, ": widths, what was given, and wear");
    svg_escaped(out, text_string(&about));
    text_add(out, "</title>\n<desc>");
    text_clear(&about);
    for (int i = 0; i < pictures->count; i++)
        describe(&about, &pictures->of[i]);
    svg_escaped(out, text_string(&about) + (about.length > 0 ? 1 : 0)); /* without the blank */
    text_add(out, "</desc>\n<rect fill=\"#ffffff\" width=\"100%\" height=\"100%\"/>\n");
    out->failed = out->failed || about.failed;
    text_release(&about);
}

void pictures_svg(const struct pictures *pictures, struct text *out)
{
    int64_t height = HEAD + (int64_t)pictures->count * PICTURE_HEIGHT + FOOT;
    struct text title = {0};

    add_head(pictures, height, out);
    text_add(&title, "Case ");
    text_add(&title, pictures->of[0].number);
    svg_text(out, LEFT, 400, ANCHOR_START, 180, text_string(&title));
    out->failed = out->failed || title.failed;
    text_release(&title);
    for (int i = 0; i < pictures->count; i++)
        draw_picture(out, &pictures->of[i], HEAD + (int64_t)i * PICTURE_HEIGHT);
    svg_text(out, LEFT, height - 200, ANCHOR_START, SMALL, app_caution);
    text_add(out, "</svg>\n");
}
