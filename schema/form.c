/* schema/form.c - see form.h. */
#include "schema/form.h"

#include <stdlib.h>
#include <string.h>

#include "schema/solo.h"

/* Is something written between PLAY and the play before it that divides one
 * bar in two?  Without it, bars that are too short are just that. */
static bool is_divided_before(const struct solo *solo, size_t play)
{
    const struct bar *before = &solo->bars[solo->plays[play - 1]];
    const struct bar *now = &solo->bars[solo->plays[play]];

    return before->implicit || now->implicit ||
           solo->plays[play] != solo->plays[play - 1] + 1 ||
           (before->barlines & (BARLINE_REPEAT_END | BARLINE_DOUBLE |
                                BARLINE_FINAL)) ||
           (now->barlines & BARLINE_REPEAT_START);
}

int32_t form_number_bars(const struct solo *solo, int32_t *numbers)
{
    int64_t filled = 0; /* ticks of the bar so far */
    int32_t number = -1;

    for (size_t i = 0; i < solo->play_count; i++) {
        const struct bar *bar = &solo->bars[solo->plays[i]];
        bool joins = i > 0 && bar->length > 0 && bar->nominal > 0 &&
                     bar->length < bar->nominal && filled > 0 &&
                     bar->length <= bar->nominal - filled &&
                     is_divided_before(solo, i);

        if (!joins) {
            number++;
            filled = 0;
        }
        filled += bar->length;
        numbers[i] = number;
    }
    return number + 1;
}

bool form_starts_bar(const struct solo *solo, size_t index)
{
    const int32_t *numbers = solo->form.numbers;

    return index == 0 || numbers[index] != numbers[index - 1];
}

int32_t form_play_of_bar(const struct solo *solo, int32_t bar)
{
    for (size_t i = 0; i < solo->play_count; i++)
        if (solo->plays[i] == bar)
            return (int32_t)i;
    return -1;
}

/* --- laying out ----------------------------------------------------------- */

/* What is laid out, and where it is by now. */
struct layout {
    struct solo *solo;
    const struct form_plan *plan;
    int32_t *first; /* the first play of each bar as played */
    struct form_section *sections;
    size_t section_count;
};

static bool plan_fits(const struct solo *solo, const struct form_plan *plan)
{
    if (plan->length < 0 || plan->tail < 0 || plan->confidence < 0 ||
        plan->confidence > 100 || plan->part_count > FORM_PARTS_MAX ||
        plan->first_play < 0 || (size_t)plan->first_play >= solo->play_count)
        return false;
    for (size_t i = 0; i < plan->part_count; i++)
        if (plan->parts[i].bars <= 0 ||
            !memchr(plan->parts[i].letter, '\0', FORM_LETTER_SIZE))
            return false;
    return true;
}

static int32_t occurrence_of(const struct form_plan *plan, size_t part)
{
    int32_t count = 1;

    for (size_t i = 0; i < part; i++)
        count += strcmp(plan->parts[i].letter, plan->parts[part].letter) == 0;
    return count;
}

/* The sections of a chorus of BARS bars that starts at the bar FIRST. */
static void lay_sections(struct layout *in, struct form_chorus *chorus,
                         int32_t first)
{
    const struct form_part *parts = in->solo->form.plan.parts;
    int32_t at = 0;

    chorus->sections = &in->sections[in->section_count];
    for (size_t i = 0; i < in->plan->part_count && at < chorus->bars; i++) {
        struct form_section *section = &in->sections[in->section_count++];
        int32_t left = chorus->bars - at;

        section->letter = parts[i].letter;
        section->first_play = in->first[first + at];
        section->first_bar = in->solo->plays[section->first_play];
        section->bars = parts[i].bars < left ? parts[i].bars : left;
        section->occurrence = occurrence_of(in->plan, i);
        at += section->bars;
        chorus->section_count++;
    }
}

/* Choruses over the bars FROM..TO-1 as played. */
static void lay_choruses(struct layout *in, int32_t from, int32_t to)
{
    struct form *form = &in->solo->form;
    int32_t length = in->plan->length;

    for (int32_t at = from; at < to; at += length) {
        struct form_chorus *chorus = &form->choruses[form->chorus_count++];

        chorus->number = (int32_t)form->chorus_count;
        chorus->first_play = in->first[at];
        chorus->first_bar = in->solo->plays[chorus->first_play];
        chorus->complete = to - at >= length;
        chorus->bars = chorus->complete ? length : to - at;
        lay_sections(in, chorus, at);
        if (to - at <= length)
            break;
    }
}

static void place_bars(struct solo *solo)
{
    struct form *form = &solo->form;
    const int32_t *numbers = form->numbers;

    for (size_t c = form->chorus_count; c-- > 0;) {
        struct form_chorus *chorus = &form->choruses[c];
        int32_t first = numbers[chorus->first_play];
        size_t section = 0;
        int32_t used = 0; /* bars before the section */

        for (size_t i = (size_t)chorus->first_play;
             i < solo->play_count && numbers[i] < first + chorus->bars; i++) {
            struct form_place *place = &form->places[solo->plays[i]];
            int32_t at = numbers[i] - first;

            chorus->play_count++;
            while (section < chorus->section_count &&
                   at >= used + chorus->sections[section].bars)
                used += chorus->sections[section++].bars;
            /* A bar that is played twice within the chorus stands where it
             * is played first. */
            if (place->chorus == chorus->number)
                continue;
            place->chorus = chorus->number;
            place->chorus_bar = at + 1;
            place->section = section < chorus->section_count
                                 ? &chorus->sections[section]
                                 : NULL;
        }
    }
}

/* Memory for the choruses of the COUNT bars from FROM on. */
static bool reserve(struct layout *in, int32_t count)
{
    struct form *form = &in->solo->form;
    struct form_part *parts;
    size_t choruses = (size_t)(count / in->plan->length) + 1;
    size_t sections = choruses * in->plan->part_count;
    size_t size = in->plan->part_count * sizeof *parts;

    if (sections > (size_t)count)
        sections = (size_t)count;
    parts = solo_alloc(in->solo, size + 1);
    form->choruses = solo_alloc(in->solo, choruses * sizeof *form->choruses);
    form->places = solo_alloc(in->solo, (in->solo->bar_count + 1) *
                                            sizeof *form->places);
    in->sections = solo_alloc(in->solo, (sections + 1) *
                                            sizeof *in->sections);
    if (!parts || !form->choruses || !form->places || !in->sections)
        return false;
    if (size > 0)
        memcpy(parts, in->plan->parts, size);
    form->plan = *in->plan;
    form->plan.parts = parts;
    return true;
}

static enum status lay_out(struct layout *in, int32_t *numbers,
                           struct fault *why)
{
    struct form *form = &in->solo->form;
    int32_t bars = form_number_bars(in->solo, numbers);
    int32_t from = numbers[in->plan->first_play];
    int32_t to = bars - in->plan->tail;

    for (size_t i = in->solo->play_count; i-- > 0;)
        in->first[numbers[i]] = (int32_t)i;
    if (to <= from)
        return fault_set(why, ST_USAGE,
                         "the form starts after the end of the solo");
    if (!reserve(in, to - from)) {
        memset(form, 0, sizeof *form);
        return fault_nomem(why);
    }
    form->numbers = numbers;
    lay_choruses(in, from, to);
    form->first_bar = form->choruses[0].first_bar;
    place_bars(in->solo);
    return ST_OK;
}

enum status form_lay_out(struct solo *solo, const struct form_plan *plan,
                         struct fault *why)
{
    struct form_plan wanted = *plan; /* PLAN may be the one SOLO has */
    struct layout in = { solo, &wanted, NULL, NULL, 0 };
    int32_t *numbers;
    enum status st;

    memset(&solo->form, 0, sizeof solo->form);
    if (wanted.length == 0)
        return ST_OK;
    if (!plan_fits(solo, &wanted))
        return fault_set(why, ST_USAGE, "the form does not fit the solo");
    numbers = solo_alloc(solo, solo->play_count * sizeof *numbers);
    in.first = malloc(solo->play_count * sizeof *in.first);
    st = numbers && in.first ? lay_out(&in, numbers, why) : fault_nomem(why);
    free(in.first);
    return st;
}

const struct form_place *form_place_of(const struct solo *solo, int32_t bar)
{
    static const struct form_place nowhere = { 0, 0, NULL };

    if (!solo->form.places || bar < 0 || (size_t)bar >= solo->bar_count)
        return &nowhere;
    return &solo->form.places[bar];
}

/* --- openings ----------------------------------------------------------- */

bool form_is_one_bar(const struct solo *solo, int32_t a, int32_t b)
{
    const struct form_place *x = form_place_of(solo, a);
    const struct form_place *y = form_place_of(solo, b);

    return a == b || (x->chorus > 0 && x->chorus == y->chorus &&
                      x->chorus_bar == y->chorus_bar);
}

/* Is BAR the first bar of a chorus, or of a section of one, or a part of it?
 */
static bool bar_opens(const struct solo *solo, int32_t bar, bool section)
{
    const struct form_place *here = form_place_of(solo, bar);

    if (here->chorus == 0)
        return false;
    if (!section)
        return here->chorus_bar == 1;
    return here->section &&
           form_is_one_bar(solo, here->section->first_bar, bar);
}

/* The bar that the note INDEX belongs to when it comes at most half a quarter
 * before it and is held into it; else its own. */
static int32_t bar_meant(const struct solo *solo, const struct note *note)
{
    int32_t next = note->bar + 1;
    int64_t ahead;

    if ((size_t)next >= solo->bar_count)
        return note->bar;
    ahead = solo->bars[next].start - note->start;
    return ahead <= solo->ticks / 2 && note->duration > ahead ? next
                                                              : note->bar;
}

bool form_opens(const struct solo *solo, size_t index, bool section)
{
    int32_t bar = bar_meant(solo, &solo->notes[index]);

    if (!bar_opens(solo, bar, section))
        return false;
    return index == 0 ||
           !form_is_one_bar(solo, bar_meant(solo, &solo->notes[index - 1]),
                            bar);
}

bool form_opens_four(const struct solo *solo, int32_t bar)
{
    int32_t number = form_place_of(solo, bar)->chorus_bar;

    return number > 0 && number % 4 == 1;
}
