/* twin_search.c - the search that knows no index.
 *
 * Written from the definitions alone: it looks at every note of every solo,
 * with its own loops and its own vote on the chord of a window.  It shares
 * with the program only the notes and chords it looks at, and the strength of
 * an onset.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "tests/unit/twin.h"

int mod12(int x)
{
    while (x < 0)
        x += 12;
    return x % 12;
}

const struct chord *twin_heard(const struct solo *solo, int chord)
{
    if (chord < 0 || solo->chords[chord].chord.class == CHORD_NONE)
        return NULL;
    return &solo->chords[chord].chord;
}

bool twin_alike(const struct chord *a, const struct chord *b)
{
    if (!a || !b)
        return !a && !b;
    return a->has_root == b->has_root && a->root_pc == b->root_pc &&
           a->class == b->class && a->tones == b->tones;
}

/* Who has most votes; of those the strongest onset; of those the first. */
int twin_window(const struct solo *solo, int first, int n)
{
    int votes[32], most = 0, strongest = -1, winner = -1;

    for (int i = 0; i < n; i++) {
        const struct chord *mine =
            twin_heard(solo, solo->notes[first + i].heard);

        votes[i] = 0;
        for (int k = 0; mine && k < n; k++)
            votes[i] += twin_alike(
                mine, twin_heard(solo, solo->notes[first + k].heard));
        if (votes[i] > most)
            most = votes[i];
    }
    for (int i = n - 1; i >= 0 && most > 0; i--) {
        int strength = solo_onset_strength(solo, &solo->notes[first + i]);

        if (votes[i] == most && strength >= strongest) {
            strongest = strength;
            winner = solo->notes[first + i].heard;
        }
    }
    return winner;
}

static bool twin_pitches(const struct question *q, const struct note *notes)
{
    for (int i = 0; i < q->n; i++)
        for (int k = 0; k < i; k++) {
            int asked = q->midi[i] - q->midi[k];
            int there = notes[i].midi - notes[k].midi;

            if (q->any[i] || q->any[k] || q->group[i] != q->group[k])
                continue;
            if (q->any_octave ? mod12(asked) != mod12(there) : asked != there)
                return false;
        }
    return true;
}

static bool twin_rhythm(const struct question *q, const struct solo *solo,
                        const struct note *notes)
{
    long long time[32];

    if (q->rhythm == RHYTHM_ANY)
        return true;
    for (int i = 0; i < q->n; i++)
        time[i] = i == q->n - 1 ? notes[i].duration
                                : notes[i + 1].start - notes[i].start;
    for (int i = 0; i < q->n; i++) {
        long long asked = q->num[i], scale = q->den[i];

        if (q->rhythm == RHYTHM_SAME && time[i] * scale != asked * solo->ticks)
            return false;
        if (q->rhythm == RHYTHM_SCALED &&
            (time[i] == 0 ||
             time[i] * scale * q->num[0] != time[0] * q->den[0] * asked))
            return false;
    }
    return true;
}

static bool twin_chord(const struct asked *asked, const struct chord *there,
                       bool *exact)
{
    if (!there)
        return asked->class == CHORD_NONE;
    *exact = *exact && asked->tones == there->tones;
    /* "sus" by its suffix also asks for a dominant that is sus. */
    if (asked->class == CHORD_SUSPENDED && !asked->by_class &&
        there->class == CHORD_DOMINANT)
        return there->sus;
    return asked->class == there->class &&
           (!asked->altered || there->altered) && (!asked->sus || there->sus);
}

static bool twin_start(const struct question *q, const struct note *notes,
                       const struct chord *there)
{
    int k = 0;

    if (q->start < 0)
        return true;
    while (q->any[k])
        k++;
    return there && there->has_root &&
           mod12(notes[k].midi + 12 - there->root_pc) == q->start;
}

/* The chords asked against THERE[0..COUNT). */
static bool twin_succession(const struct question *q, const struct note *notes,
                            const struct chord *const *there, int count,
                            int *exactness)
{
    bool exact = true;

    if (count != q->over_count || !twin_start(q, notes, there[0]))
        return false;
    for (int i = 0; i < count; i++) {
        const struct asked *asked = &q->over[i];

        exact = exact && !asked->by_class;
        if (!twin_chord(asked, there[i], &exact))
            return false;
        if (i == 0 || !asked->has_root || !asked[-1].has_root)
            continue;
        if (!there[i] || !there[i - 1] ||
            mod12(there[i]->root_pc - there[i - 1]->root_pc) !=
                mod12(asked->root - asked[-1].root))
            return false;
    }
    *exactness = exact ? 2 : 1;
    return true;
}

static bool twin_harmony(const struct question *q, const struct solo *solo,
                         int first, int *exactness)
{
    const struct note *notes = solo->notes + first;
    const struct chord *there[32];
    int count = 0;

    *exactness = 0;
    if (q->over_count == 0)
        return true;
    if (q->over_count == 1) {
        there[count++] = twin_heard(solo, twin_window(solo, first, q->n));
        return twin_succession(q, notes, there, count, exactness);
    }
    for (int i = 0; i < q->n; i++) {
        const struct chord *chord = twin_heard(solo, notes[i].heard);

        if (count == 0 || !twin_alike(there[count - 1], chord))
            there[count++] = chord;
    }
    return twin_succession(q, notes, there, count, exactness);
}

static int twin_transposition(const struct question *q,
                              const struct note *notes)
{
    int k = 0, up;

    if (q->given_pc < 0)
        return 0;
    while (q->any[k])
        k++;
    up = mod12(notes[k].midi + 12 - q->given_pc);
    return up <= 6 ? up : up - 12;
}

static int twin_order(const void *a, const void *b)
{
    const struct twin_hit *x = a, *y = b;
    int paths = strcmp(twin_solos[x->solo].path, twin_solos[y->solo].path);

    if (x->exactness != y->exactness)
        return x->exactness > y->exactness ? -1 : 1;
    if (paths != 0)
        return paths;
    if (x->bar != y->bar)
        return x->bar < y->bar ? -1 : 1;
    return x->first < y->first ? -1 : x->first > y->first;
}

struct twin_hit *twin_hits;
size_t twin_count, twin_solos_hit;
static size_t twin_room;

static void twin_add(const struct twin_hit *hit)
{
    if (twin_count == twin_room) {
        twin_room = twin_room ? 2 * twin_room : 1024;
        twin_hits = realloc(twin_hits, twin_room * sizeof *twin_hits);
        ck_assert_ptr_nonnull(twin_hits);
    }
    twin_hits[twin_count++] = *hit;
}

static void twin_look(const struct question *q, size_t at)
{
    const struct solo *solo = twin_solos[at].solo;

    for (int i = 0; i + q->n <= (int)solo->note_count; i++) {
        struct twin_hit hit = { .solo = at, .first = i };

        if (!twin_pitches(q, solo->notes + i) ||
            !twin_rhythm(q, solo, solo->notes + i) ||
            !twin_harmony(q, solo, i, &hit.exactness))
            continue;
        hit.bar = solo->notes[i].bar;
        hit.chord = twin_window(solo, i, q->n);
        hit.transposition = twin_transposition(q, solo->notes + i);
        twin_add(&hit);
    }
}

void twin_find(const struct question *q)
{
    twin_count = twin_solos_hit = 0;
    for (size_t i = 0; i < twin_solo_count; i++) {
        size_t before = twin_count;

        if (!q->performer || strcmp(q->performer, twin_solos[i].performer) == 0)
            twin_look(q, i);
        twin_solos_hit += twin_count > before;
    }
    if (twin_count > 0)
        qsort(twin_hits, twin_count, sizeof *twin_hits, twin_order);
}
