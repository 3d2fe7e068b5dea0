/* twin_conditions.c - place, next chord and relation as the twin sees them.
 *
 * Written from the definitions.  Which bar of which chorus a bar is, is a fact
 * of the solo like its notes; what is said about notes is worked out here.
 */
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "tests/unit/twin.h"

/* --- place ---------------------------------------------------------------- */

/* Beats are those of the bar: of 6/8, 9/8 and 12/8 three eighths each, else
 * the lower number of the metre.  A pickup is the end of its bar. */
void twin_beat(const struct solo *solo, const struct note *note,
               long long *num, long long *den)
{
    const struct bar *bar = &solo->bars[note->bar];
    const char *slash = strchr(bar->metre, '/');
    long upper = atol(bar->metre), lower = slash ? atol(slash + 1) : 0;
    bool added = strchr(bar->metre, '+') != NULL;
    long long beat = solo->ticks, onset = note->onset;

    if (upper > 0 && lower > 0)
        beat = 4 * solo->ticks / lower;
    if (lower >= 8 && !added && upper > 3 && upper % 3 == 0)
        beat = 3 * 4 * solo->ticks / lower;
    if (bar->implicit && bar->length < bar->nominal)
        onset += bar->nominal - bar->length;
    *num = onset + beat;
    *den = beat;
}

static const struct form_place *stands(const struct solo *solo, int bar)
{
    return form_place_of(solo, bar);
}

/* The bar a note counts for: the next, where it comes at most an eighth
 * before that and sounds into it. */
static int counts_for(const struct solo *solo, int index)
{
    const struct note *note = &solo->notes[index];
    int next = note->bar + 1;

    if (next < (int)solo->bar_count &&
        2 * (solo->bars[next].start - note->start) <= solo->ticks &&
        note->start + note->duration > solo->bars[next].start)
        return next;
    return note->bar;
}

/* Of the notes that count for BAR, or for another part of the same bar, none
 * comes before the note INDEX. */
static bool is_first_for(const struct solo *solo, int index, int bar)
{
    for (int i = 0; i < index; i++) {
        const struct form_place *a = stands(solo, counts_for(solo, i));
        const struct form_place *b = stands(solo, bar);

        if (a->chorus == b->chorus && a->chorus_bar == b->chorus_bar)
            return false;
    }
    return true;
}

static bool opens(const struct solo *solo, int index, bool section)
{
    int bar = counts_for(solo, index);
    const struct form_place *here = stands(solo, bar), *start;

    if (here->chorus == 0)
        return false;
    if (!section)
        return here->chorus_bar == 1 && is_first_for(solo, index, bar);
    if (!here->section)
        return false;
    start = stands(solo, here->section->first_bar);
    return start->chorus == here->chorus &&
           start->chorus_bar == here->chorus_bar &&
           is_first_for(solo, index, bar);
}

bool twin_at(enum place_at at, const struct solo *solo, int first, int last)
{
    int phrase = solo->notes[at == PLACE_PHRASE_END ? last : first].phrase;

    switch (at) {
    case PLACE_CHORUS:
        return opens(solo, first, false);
    case PLACE_SECTION:
        return opens(solo, first, true);
    case PLACE_PHRASE:
        for (int i = 0; i < first; i++)
            if (solo->notes[i].phrase == phrase)
                return false;
        return phrase > 0;
    case PLACE_PHRASE_END:
        for (int i = last + 1; i < (int)solo->note_count; i++)
            if (solo->notes[i].phrase == phrase)
                return false;
        return phrase > 0;
    default:
        return true;
    }
}

bool twin_place(const struct question *q, const struct solo *solo, int first,
                int last)
{
    const struct place *asked = &q->place;
    const struct form_place *here = stands(solo, solo->notes[first].bar);
    int chorus = asked->chorus;
    long long num, den;

    if (chorus == PLACE_LAST_CHORUS)
        chorus = (int)solo->form.chorus_count;
    if (asked->chorus && (!here->chorus || here->chorus != chorus))
        return false;
    if (asked->bar_low && (here->chorus_bar < asked->bar_low ||
                           here->chorus_bar > asked->bar_high))
        return false;
    if (q->section[0] &&
        (!here->section || strcasecmp(here->section->letter, q->section) != 0))
        return false;
    twin_beat(solo, &solo->notes[first], &num, &den);
    if (asked->has_beat && num * asked->beat.den != asked->beat.num * den)
        return false;
    for (int i = first; i <= last && asked->within_phrase; i++)
        if (solo->notes[i].phrase != solo->notes[first].phrase)
            return false;
    return twin_at(asked->at, solo, first, last);
}

/* --- the next chord ------------------------------------------------------- */

int twin_next_chord(const struct solo *solo, int last)
{
    int heard = solo->notes[last].heard;
    const struct chord *from = twin_heard(solo, heard);

    for (int i = heard + 1; i < (int)solo->chord_count; i++)
        if (!twin_alike(from, twin_heard(solo, i)))
            return i;
    return -1;
}

bool twin_into(const struct question *q, const struct solo *solo, int last)
{
    const struct asked *before =
        q->over_count > 0 ? &q->over[q->over_count - 1] : NULL;
    const struct chord_event *from, *to;
    bool exact = true;

    if (!q->has_into)
        return true;
    from = twin_event(solo, solo->notes[last].heard);
    to = twin_event(solo, twin_next_chord(solo, last));
    if (!from || !to || !twin_chord(&q->into, to, &exact))
        return false;
    if (!q->into.has_root || !before || !before->has_root)
        return true;
    return from->chord.has_root && to->chord.has_root &&
           mod12(to->chord.root_pc - from->chord.root_pc) ==
               mod12(q->into.root - before->root);
}

/* --- relations ------------------------------------------------------------ */

/* Common practice, no source. */
const struct twin_rule twin_rules[TWIN_UNNAMED] = {
    [TWIN_AS_WRITTEN] = { "as written", RELATION_AS_WRITTEN, -1, -1, 0 },
    /* Dm7 over G7, over Cmaj7; Abm7 over G7; Db7 over G7. */
    [TWIN_II_OVER_V] = { "ii over its V", RELATION_II_OVER_V, CHORD_MINOR,
                         CHORD_DOMINANT, 5 },
    [TWIN_II_OVER_I] = { "ii over its I", RELATION_II_OVER_I, CHORD_MINOR,
                         CHORD_MAJOR, 10 },
    [TWIN_MINOR_ABOVE_V] = { "minor a semitone above a dominant's root",
                             RELATION_MINOR_ABOVE_DOMINANT, CHORD_MINOR,
                             CHORD_DOMINANT, 11 },
    [TWIN_TRITONE] = { "tritone substitute", RELATION_TRITONE_SUBSTITUTE,
                       CHORD_DOMINANT, CHORD_DOMINANT, 6 },
};

bool twin_knows_home(const struct question *q)
{
    int class = q->over_count > 0 ? q->over[0].class : CHORD_NONE;

    return q->start >= 0 && (class == CHORD_MINOR || class == CHORD_DOMINANT ||
                             class == CHORD_MAJOR);
}

enum twin_relation twin_relation_of(const struct question *q,
                                    const struct solo *solo,
                                    const struct twin_spot *spot)
{
    const struct chord *there =
        twin_heard(solo, twin_window(solo, spot->first, spot->n));
    int relation = TWIN_AS_WRITTEN, home = q->over[0].class, k = 0, up;

    while (q->any[k])
        k++;
    if (!there || !there->has_root)
        return TWIN_UNNAMED;
    up = mod12(there->root_pc - (q->midi[k] + spot->shift - q->start));
    for (; relation < TWIN_UNNAMED; relation++) {
        const struct twin_rule *rule = &twin_rules[relation];

        if (rule->up == up &&
            (rule->home < 0 ? home == there->class
                            : rule->home == home &&
                                  rule->written == there->class))
            break;
    }
    return (enum twin_relation)relation;
}
