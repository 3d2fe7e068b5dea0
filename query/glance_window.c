/* query/glance_window.c - the chord of a window, told by strands. */
#include "query/glance.h"

#include <string.h>

/* Notes of a window that are heard under one chord, one after the other. */
struct run {
    size_t first, count, votes;
};

enum {
    RUNS_MAX = EDITS_STEPS_MAX
};

/* Divide the N notes from FIRST.  Returns the number of runs. */
static size_t divide(const struct glance *g, size_t first, size_t n,
                     struct run runs[RUNS_MAX])
{
    const uint8_t *mark = g->strands[STRAND_MARK];
    size_t count = 0;

    for (size_t i = first; i < first + n; i++) {
        if (i == first || mark[i] & MARK_OTHER_CHORD)
            runs[count++] = (struct run){ .first = i };
        runs[count - 1].count++;
    }
    return count;
}

/* Are the runs A and B under equal chords (chord_equal())?  Where tones have
 * no code *UNSAID is set. */
static bool same_chord(struct glance *g, const struct run *a,
                       const struct run *b, bool *unsaid)
{
    const uint8_t *place = g->strands[STRAND_PLACE];
    const uint8_t *midi = g->strands[STRAND_MIDI], *tones;

    if (!strand_same_chord(place[a->first], midi[a->first], place[b->first],
                           midi[b->first]))
        return false;
    tones = glance_strand(g, STRAND_TONES);
    *unsaid = *unsaid || !tones || tones[a->first] == STRAND_UNSAID ||
              tones[b->first] == STRAND_UNSAID;
    return !*unsaid && tones[a->first] == tones[b->first];
}

/* Let the notes vote.  False where they cannot be told apart. */
static bool vote(struct glance *g, struct run *runs, size_t count)
{
    const uint8_t *place = g->strands[STRAND_PLACE];
    bool unsaid = false;

    for (size_t i = 0; i < count; i++) {
        uint8_t here = place[runs[i].first];

        if (here == PLACE_UNSAID)
            return false;
        if (here == PLACE_NONE)
            continue;
        runs[i].votes = runs[i].count;
        for (size_t k = 0; k < count; k++)
            if (k != i && place[runs[k].first] != PLACE_NONE &&
                same_chord(g, &runs[i], &runs[k], &unsaid))
                runs[i].votes += runs[k].count;
    }
    return !unsaid;
}

/* The note whose chord wins, as solo_window_chord() has it. */
static size_t winner(const struct glance *g, const struct run *runs,
                     size_t count)
{
    const uint8_t *mark = g->strands[STRAND_MARK];
    size_t best = SIZE_MAX, best_votes = 0;
    int best_strength = -1;

    for (size_t r = 0; r < count; r++)
        for (size_t i = runs[r].first; i < runs[r].first + runs[r].count; i++) {
            int strength = mark[i] & MARK_STRENGTH;

            if (runs[r].votes > best_votes ||
                (runs[r].votes > 0 && runs[r].votes == best_votes &&
                 strength > best_strength)) {
                best = i;
                best_votes = runs[r].votes;
                best_strength = strength;
            }
        }
    return best;
}

/* The function of the chord at the note AT, where one is asked. */
static bool read_function(struct glance *g, struct chord_event *event,
                          size_t at)
{
    const struct fragment *f = &g->question->query->fragment;
    uint8_t code;

    event->function = "";
    if (f->over.count == 0 || !f->over.chords[0].function[0])
        return true;
    code = glance_code(g, STRAND_FUNCTION, CODE_FUNCTION, at);
    if (code == STRAND_UNSAID)
        return false;
    if (code > 0)
        event->function = g->codes->texts[CODE_FUNCTION][code];
    return true;
}

bool glance_window(struct glance *g, size_t first, size_t n,
                   struct glance_chord *out)
{
    struct strand_chord there;
    struct run runs[RUNS_MAX];
    size_t count;

    out->sounds = false;
    if (n > RUNS_MAX || !glance_strand(g, STRAND_MIDI) ||
        !glance_strand(g, STRAND_MARK) || !glance_strand(g, STRAND_PLACE))
        return false;
    count = divide(g, first, n, runs);
    if (!vote(g, runs, count))
        return false;
    out->at = winner(g, runs, count);
    if (out->at == SIZE_MAX)
        return true;
    strand_chord(&there, g->strands[STRAND_PLACE][out->at],
                 g->strands[STRAND_MIDI][out->at]);
    memset(&out->event, 0, sizeof out->event);
    out->event.chord = there.chord;
    out->sounds = there.sounds;
    return there.said && read_function(g, &out->event, out->at);
}
