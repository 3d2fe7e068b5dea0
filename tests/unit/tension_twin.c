/* tension_twin.c - see tension_twin.h.
 *
 * Written from the definitions: of every note of every solo it works out with
 * loops of its own what the note is over its chord, how it is reached and
 * left, where it goes and how it stands out.  It shares with the program the
 * notes and chords and the strength of an onset; chords, places and what comes
 * next are those of the twin of find.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "tests/unit/tension_twin.h"

/* --- one note, as the definitions say ------------------------------------- */

static bool same_phrase(const struct solo *solo, int a, int b)
{
    return solo->notes[a].phrase == solo->notes[b].phrase;
}

int tension_twin_moved(const struct asked_tension *t, const struct solo *solo,
                       int a, int b)
{
    if (a < 0 || b >= (int)solo->note_count ||
        (t->q.place.within_phrase && !same_phrase(solo, a, b)))
        return TENSION_TWIN_NO_MOVE;
    return solo->notes[b].midi - solo->notes[a].midi;
}

int tension_twin_degree(const struct solo *solo, int chord, int midi)
{
    const struct chord *there = twin_heard(solo, chord);

    return there && there->has_root ? mod12(midi + 12 - there->root_pc) : -1;
}

int tension_twin_goal(const struct asked_tension *t, const struct solo *solo,
                      int i)
{
    int next = twin_next_chord(solo, i), heard;

    if (tension_twin_moved(t, solo, i, i + 1) == TENSION_TWIN_NO_MOVE ||
        next < 0)
        return -1;
    heard = solo->notes[i + 1].heard;
    if (heard < next)
        return -1;
    for (int k = next; k <= heard; k++)
        if (!twin_alike(twin_heard(solo, k), twin_heard(solo, next)))
            return -1;
    return tension_twin_degree(solo, heard, solo->notes[i + 1].midi);
}

static bool is_highest(const struct solo *solo, int i)
{
    for (int k = 0; k < (int)solo->note_count; k++)
        if (same_phrase(solo, i, k) &&
            solo->notes[k].midi > solo->notes[i].midi)
            return false;
    return solo->notes[i].phrase > 0;
}

/* Higher than the notes before and after, all of one phrase. */
static bool is_peak(const struct solo *solo, int i)
{
    return i > 0 && i + 1 < (int)solo->note_count &&
           same_phrase(solo, i - 1, i) && same_phrase(solo, i, i + 1) &&
           solo->notes[i - 1].midi < solo->notes[i].midi &&
           solo->notes[i + 1].midi < solo->notes[i].midi;
}

static int twin_score(const struct solo *solo, int i)
{
    static const int beats[] = { 400, 600, 800, 900, 1000 };
    const struct note *note = &solo->notes[i];
    int length = 0, peak = 0, end = 0;

    while (length < 1000 && (length + 1) * solo->ticks <= 500 * note->duration)
        length++;
    if (is_highest(solo, i))
        peak = 1000;
    else if (is_peak(solo, i))
        peak = 500;
    if (twin_at(PLACE_PHRASE_END, solo, i, i))
        end = 1000;
    else if (twin_at(PLACE_PHRASE, solo, i, i))
        end = 500;
    return 400 * length + 250 * beats[solo_onset_strength(solo, note)] +
           200 * peak + 150 * end;
}

/* --- does it fit ---------------------------------------------------------- */

static bool twin_length(const struct asked_tension *t, const struct solo *solo,
                        int i)
{
    long long length = solo->notes[i].duration, ticks = solo->ticks;

    return (!t->has_low || length * t->low[1] >= ticks * t->low[0]) &&
           (!t->has_high || length * t->high[1] <= ticks * t->high[0]);
}

static bool twin_moves(const struct asked_tension *t, const struct solo *solo,
                       int i)
{
    for (int k = 0; k < 2; k++) {
        int by = tension_twin_moved(t, solo, i - 1 + k, i + k), size = abs(by);

        if (!t->move[k][0])
            continue;
        if (by == TENSION_TWIN_NO_MOVE || size < t->least[k] ||
            size > t->most[k] || (t->way[k] && t->way[k] * by <= 0))
            return false;
    }
    return true;
}

static bool twin_stands(const struct asked_tension *t, const struct solo *solo,
                        int i)
{
    int strength = solo_onset_strength(solo, &solo->notes[i]);
    int accent = strength >= 3 ? 0 : strength == 2 ? 1 : 2;

    if (t->accent >= 0 && accent != t->accent)
        return false;
    if (t->in_phrase == 0 && !twin_at(PLACE_PHRASE, solo, i, i))
        return false;
    if (t->in_phrase == 1 && !twin_at(PLACE_PHRASE_END, solo, i, i))
        return false;
    return t->in_phrase != 2 || is_highest(solo, i);
}

static bool twin_fits(const struct asked_tension *t, const struct solo *solo,
                      int i)
{
    const struct chord_event *event = twin_event(solo, solo->notes[i].heard);
    int degree =
        tension_twin_degree(solo, solo->notes[i].heard, solo->notes[i].midi);
    bool exact = true;

    if (degree < 0 || (t->degree >= 0 && degree != t->degree))
        return false;
    if (t->q.over_count > 0 && !twin_chord(&t->q.over[0], event, &exact))
        return false;
    if (t->goal == -1 && tension_twin_goal(t, solo, i) < 0)
        return false;
    if (t->goal >= 0 && tension_twin_goal(t, solo, i) != t->goal)
        return false;
    return twin_length(t, solo, i) && twin_moves(t, solo, i) &&
           twin_stands(t, solo, i) && twin_place(&t->q, solo, i, i);
}

/* --- all of them ---------------------------------------------------------- */

struct tension_found *tension_found;
size_t tension_found_count, tension_found_solos;
static size_t found_room;

static int best_first(const void *a, const void *b)
{
    const struct tension_found *x = a, *y = b;

    if (x->score != y->score)
        return y->score - x->score;
    return strcmp(x->path, y->path) ? strcmp(x->path, y->path)
                                    : x->note - y->note;
}

static void add(size_t at, int i)
{
    if (tension_found_count == found_room) {
        found_room = 2 * found_room + 64;
        tension_found =
            realloc(tension_found, found_room * sizeof *tension_found);
        ck_assert_ptr_nonnull(tension_found);
    }
    tension_found[tension_found_count++] =
        (struct tension_found){ twin_solos[at].path, at, i,
                                twin_score(twin_solos[at].solo, i) };
}

void tension_twin_answer(const struct asked_tension *t)
{
    tension_found_count = tension_found_solos = 0;
    for (size_t at = 0; at < twin_solo_count; at++) {
        size_t before = tension_found_count;

        if (t->q.performer &&
            strcmp(twin_solos[at].performer, t->q.performer) != 0)
            continue;
        for (int i = 0; i < (int)twin_solos[at].solo->note_count; i++)
            if (twin_fits(t, twin_solos[at].solo, i))
                add(at, i);
        tension_found_solos += tension_found_count > before;
    }
    if (tension_found_count > 1)
        qsort(tension_found, tension_found_count, sizeof *tension_found,
              best_first);
}

void tension_twin_forget(void)
{
    free(tension_found);
    tension_found = NULL;
    tension_found_count = found_room = 0;
}
