/* query/window_chords.c - the chord of many windows of one solo. */
#include "query/window_chords.h"

#include <stdlib.h>
#include <string.h>

enum {
    TONES_BITS = 16,
    CLASS_BITS = 4,
    ROOT_BITS = 5
};
_Static_assert(CHORD_CLASSES <= 1 << CLASS_BITS, "a class fits its bits");

/* All that chord_equal() looks at, and never 0. */
static uint32_t chord_number(const struct solo *solo, int32_t index)
{
    const struct chord *chord;
    uint32_t root;

    if (index == SOLO_NO_CHORD)
        return 0;
    chord = &solo->chords[index].chord;
    if (chord->class == CHORD_NONE)
        return 0;
    root = chord->has_root ? 1U + chord->root_pc : 0;
    return 1U << (TONES_BITS + CLASS_BITS + ROOT_BITS) |
           root << (TONES_BITS + CLASS_BITS) |
           (uint32_t)chord->class << TONES_BITS | chord->tones;
}

enum status window_chords_start(struct window_chords *w,
                                const struct solo *solo, struct fault *why)
{
    size_t count = solo->note_count;

    w->solo = solo;
    if (count > w->room) {
        struct window_vote *more = realloc(w->votes, count * sizeof *more);

        if (!more)
            return fault_nomem(why);
        w->votes = more;
        w->room = count;
    }
    for (size_t i = count; i-- > 0;) {
        struct window_vote *v = &w->votes[i];

        v->chord = chord_number(solo, solo->notes[i].heard);
        v->strength = 0;
        v->same_until = (uint32_t)i + 1;
        if (i + 1 < count && solo->notes[i + 1].heard == solo->notes[i].heard)
            v->same_until = v[1].same_until;
    }
    return ST_OK;
}

static int strength_of(struct window_chords *w, size_t note)
{
    struct window_vote *v = &w->votes[note];

    if (v->strength == 0)
        v->strength =
            (uint8_t)(solo_onset_strength(w->solo, &w->solo->notes[note]) + 1);
    return v->strength;
}

int32_t window_chord(struct window_chords *w, size_t first, size_t n)
{
    const struct window_vote *v = w->votes;
    int32_t best = SOLO_NO_CHORD;
    size_t best_votes = 0;
    int best_strength = 0;

    /* Most windows lie under one symbol. */
    if (v[first].same_until >= first + n)
        return v[first].chord ? w->solo->notes[first].heard : SOLO_NO_CHORD;
    for (size_t i = first; i < first + n; i++) {
        size_t votes = 0;

        if (v[i].chord == 0)
            continue;
        for (size_t k = first; k < first + n; k++)
            votes += v[k].chord == v[i].chord;
        if (votes < best_votes ||
            (votes == best_votes && strength_of(w, i) <= best_strength))
            continue;
        best = w->solo->notes[i].heard;
        best_votes = votes;
        best_strength = strength_of(w, i);
    }
    return best;
}

void window_chords_free(struct window_chords *w)
{
    free(w->votes);
    memset(w, 0, sizeof *w);
}
