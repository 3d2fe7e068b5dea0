/* query/window_chords.c - the chord of many windows of one solo. */
#include "query/window_chords.h"

#include <stdlib.h>
#include <string.h>

#include "schema/follow.h"

enum {
    TONES_BITS = 16,
    CLASS_BITS = 4,
    ROOT_BITS = 5
};
_Static_assert(CHORD_CLASSES <= 1 << CLASS_BITS, "a class fits its bits");

/* All that chord_equal() looks at, TONES being them or a code, and never 0. */
static uint32_t chord_number(const struct chord *chord, unsigned tones)
{
    uint32_t root = chord->has_root ? 1U + chord->root_pc : 0;

    return 1U << (TONES_BITS + CLASS_BITS + ROOT_BITS) |
           root << (TONES_BITS + CLASS_BITS) |
           (uint32_t)chord->class << TONES_BITS | tones;
}

static enum status make_room(struct window_chords *w, size_t count,
                             struct fault *why)
{
    struct window_vote *more;

    if (count <= w->room)
        return ST_OK;
    more = realloc(w->votes, count * sizeof *more);
    if (!more)
        return fault_nomem(why);
    w->votes = more;
    w->room = count;
    return ST_OK;
}

/* Fill in the note I of COUNT, after those that follow it. */
static void vote(struct window_chords *w, size_t i, size_t count,
                 bool same_as_next)
{
    w->votes[i].same_until = (uint32_t)i + 1;
    if (i + 1 < count && same_as_next)
        w->votes[i].same_until = w->votes[i + 1].same_until;
}

enum status window_chords_start(struct window_chords *w,
                                const struct solo *solo, struct fault *why)
{
    size_t count = solo->note_count;
    enum status st = make_room(w, count, why);

    w->solo = solo;
    for (size_t i = count; st == ST_OK && i-- > 0;) {
        const struct note *note = &solo->notes[i];
        const struct chord *chord = follow_sounding(solo, note->heard);

        w->votes[i].chord = chord ? chord_number(chord, chord->tones) : 0;
        w->votes[i].strength = 0;
        vote(w, i, count, i + 1 < count && note[1].heard == note->heard);
    }
    return st;
}

/* --- from strands --------------------------------------------------------- */

bool window_strands_tell(const struct window_strands *strands, size_t count)
{
    struct strand_chord chord;

    for (size_t i = 0; i < count; i++) {
        if (strands->tones[i] == STRAND_UNSAID)
            return false;
        strand_chord(&chord, strands->place[i], strands->midi[i]);
        if (!chord.said)
            return false;
    }
    return true;
}

enum status window_chords_read(struct window_chords *w,
                               const struct window_strands *strands,
                               size_t count, struct fault *why)
{
    const uint8_t *place = strands->place, *midi = strands->midi;
    enum status st = make_room(w, count, why);

    w->solo = NULL;
    for (size_t i = count; st == ST_OK && i-- > 0;) {
        struct strand_chord here;
        bool same =
            i + 1 < count && !(strands->mark[i + 1] & MARK_OTHER_CHORD) &&
            strand_same_chord(place[i], midi[i], place[i + 1], midi[i + 1]);

        vote(w, i, count, same);
        w->votes[i].strength = (strands->mark[i] & MARK_STRENGTH) + 1;
        if (same) {
            w->votes[i].chord = w->votes[i + 1].chord;
            continue;
        }
        strand_chord(&here, place[i], midi[i]);
        w->votes[i].chord =
            here.sounds ? chord_number(&here.chord, strands->tones[i]) : 0;
    }
    return st;
}

/* --- the winner ----------------------------------------------------------- */

static int strength_of(struct window_chords *w, size_t note)
{
    struct window_vote *v = &w->votes[note];

    if (v->strength == 0)
        v->strength =
            (uint8_t)(solo_onset_strength(w->solo, &w->solo->notes[note]) + 1);
    return v->strength;
}

/* The strongest of the notes from FIRST to before END. */
static int strongest(struct window_chords *w, size_t first, size_t end)
{
    int most = 0;

    for (size_t i = first; i < end; i++)
        if (strength_of(w, i) > most)
            most = strength_of(w, i);
    return most;
}

/* Two symbols of different chords: one up to MIDDLE, the other from there. */
static int32_t one_of_two(struct window_chords *w, size_t first, size_t middle,
                          size_t end)
{
    size_t before = w->votes[first].chord ? middle - first : 0;
    size_t after = w->votes[middle].chord ? end - middle : 0;

    if (before == after)
        return (int32_t)(strongest(w, first, middle) >=
                                 strongest(w, middle, end)
                             ? first
                             : middle);
    return (int32_t)(before > after ? first : middle);
}

static int32_t one_of_many(struct window_chords *w, size_t first, size_t end)
{
    const struct window_vote *v = w->votes;
    int32_t best = WINDOW_NO_CHORD;
    size_t best_votes = 0;
    int best_strength = 0;

    for (size_t i = first; i < end; i++) {
        size_t votes = 0;

        if (v[i].chord == 0)
            continue;
        for (size_t k = first; k < end; k++)
            votes += v[k].chord == v[i].chord;
        if (votes < best_votes ||
            (votes == best_votes && strength_of(w, i) <= best_strength))
            continue;
        best = (int32_t)i;
        best_votes = votes;
        best_strength = strength_of(w, i);
    }
    return best;
}

int32_t window_chord(struct window_chords *w, size_t first, size_t n)
{
    const struct window_vote *v = w->votes;
    size_t end = first + n, middle = v[first].same_until;

    /* Most windows lie under one symbol, or two. */
    if (middle >= end)
        return v[first].chord ? (int32_t)first : WINDOW_NO_CHORD;
    if (v[middle].same_until >= end && v[middle].chord != v[first].chord)
        return one_of_two(w, first, middle, end);
    return one_of_many(w, first, end);
}

void window_chords_free(struct window_chords *w)
{
    free(w->votes);
    memset(w, 0, sizeof *w);
}
