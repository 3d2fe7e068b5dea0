/* query/tension_note.c - what there is to know of one note. */
#include <stdlib.h>
#include <string.h>

#include "query/match.h"
#include "query/rank.h"
#include "query/tension.h"

bool tension_is_one(const char *degree)
{
    static const char *const tensions[] = { "b9",  "9",   "#9", "11",
                                            "#11", "b13", "13" };

    for (size_t i = 0; i < sizeof tensions / sizeof *tensions; i++)
        if (strcmp(degree, tensions[i]) == 0)
            return true;
    return false;
}

/* --- the phrase ----------------------------------------------------------- */

/* Make PHRASE the one of the note INDEX. */
static void find_phrase(struct tension_phrase *phrase, const struct solo *solo,
                        size_t index)
{
    const struct note *notes = solo->notes;
    int32_t number = notes[index].phrase;

    if (index >= phrase->first && index < phrase->end)
        return;
    phrase->first = phrase->end = index;
    phrase->top = 0;
    while (phrase->first > 0 && notes[phrase->first - 1].phrase == number)
        phrase->first--;
    while (phrase->end < solo->note_count &&
           notes[phrase->end].phrase == number)
        phrase->end++;
    for (size_t i = phrase->first; i < phrase->end; i++)
        if (notes[i].midi > phrase->top)
            phrase->top = notes[i].midi;
}

static enum tension_peak peak_of(const struct tension_phrase *phrase,
                                 const struct solo *solo, size_t i)
{
    const struct note *note = &solo->notes[i];

    if (note->phrase > 0 && note->midi == phrase->top)
        return TENSION_PHRASE_PEAK;
    if (i > phrase->first && i + 1 < phrase->end &&
        note[-1].midi < note->midi && note[1].midi < note->midi)
        return TENSION_LOCAL_PEAK;
    return TENSION_NO_PEAK;
}

static void place_in_phrase(struct tension_note *out,
                            struct tension_phrase *phrase,
                            const struct solo *solo)
{
    find_phrase(phrase, solo, out->index);
    out->peak = peak_of(phrase, solo, out->index);
    out->starts = solo_starts_phrase(solo, out->index);
    out->end = solo_ends_phrase(solo, out->index) ? TENSION_ENDS
               : out->starts                      ? TENSION_STARTS
                                                  : TENSION_INSIDE;
}

/* --- neighbours ----------------------------------------------------------- */

/* Do the notes I and I + 1 count as neighbours? */
static bool neighbours(const struct tension_query *query,
                       const struct solo *solo, size_t i)
{
    return !query->place.within_phrase ||
           solo->notes[i].phrase == solo->notes[i + 1].phrase;
}

static void move(struct tension_note *out, const struct tension_query *query,
                 const struct solo *solo)
{
    size_t i = out->index;
    const struct note *note = &solo->notes[i];

    out->has_before = i > 0 && neighbours(query, solo, i - 1);
    if (out->has_before)
        out->before = note->midi - note[-1].midi;
    out->has_after = i + 1 < solo->note_count && neighbours(query, solo, i);
    if (out->has_after)
        out->after = note[1].midi - note->midi;
}

/* The chord INDEX of SOLO where it has a root to count from, else NULL. */
static const struct chord *rooted(const struct solo *solo, int32_t index)
{
    if (index < 0 || solo->chords[index].chord.class == CHORD_NONE ||
        !solo->chords[index].chord.has_root)
        return NULL;
    return &solo->chords[index].chord;
}

static void resolve(struct tension_note *out, const struct solo *solo)
{
    const struct note *to = &solo->notes[out->index + 1];
    const struct chord *chord;

    if (!out->has_after || !rank_leads_across(solo, out->index))
        return;
    chord = rooted(solo, to->heard);
    if (!chord)
        return;
    out->resolves = true;
    out->to_chord = to->heard;
    out->to_semitones = pitch_modulo(to->midi - chord->root_pc, 12);
    out->to_degree = chord_degree_name(chord, out->to_semitones);
}

/* --- prominence ----------------------------------------------------------- */

static int length_part(const struct solo *solo, const struct note *note)
{
    int64_t half_note = 2 * solo->ticks;

    if (note->duration >= half_note)
        return RANK_WHOLE;
    return (int)(note->duration * RANK_WHOLE / half_note);
}

static void weigh(struct tension_note *out, const struct solo *solo)
{
    static const int beats[] = { 400, 600, 800, 900, 1000 };
    static const int peaks[] = { [TENSION_NO_PEAK] = 0,
                                 [TENSION_LOCAL_PEAK] = 500,
                                 [TENSION_PHRASE_PEAK] = 1000 };
    static const int ends[] = {
        [TENSION_INSIDE] = 0, [TENSION_STARTS] = 500, [TENSION_ENDS] = 1000
    };
    struct tension_parts *parts = &out->parts;

    parts->length = length_part(solo, &solo->notes[out->index]);
    parts->beat = beats[out->strength];
    parts->peak = peaks[out->peak];
    parts->end = ends[out->end];
    parts->score = TENSION_WEIGHT_LENGTH * parts->length +
                   TENSION_WEIGHT_BEAT * parts->beat +
                   TENSION_WEIGHT_PEAK * parts->peak +
                   TENSION_WEIGHT_END * parts->end;
}

/* Semitones of the note INDEX of SOLO above the root of its chord, 0..11; -1
 * where it has no degree. */
static int semitones_of(const struct solo *solo, size_t index)
{
    const struct note *note = &solo->notes[index];
    const struct chord *chord = rooted(solo, note->heard);

    return chord ? pitch_modulo(note->midi - chord->root_pc, 12) : -1;
}

bool tension_note_read(struct tension_note *out, struct tension_phrase *phrase,
                       const struct tension_query *query,
                       const struct solo *solo, size_t index)
{
    const struct note *note = &solo->notes[index];
    int semitones = semitones_of(solo, index);

    if (semitones < 0)
        return false;
    memset(out, 0, sizeof *out);
    out->index = index;
    out->chord = note->heard;
    out->semitones = semitones;
    out->degree =
        chord_degree_name(&solo->chords[note->heard].chord, semitones);
    out->strength = solo_onset_strength(solo, note);
    place_in_phrase(out, phrase, solo);
    move(out, query, solo);
    resolve(out, solo);
    weigh(out, solo);
    return true;
}

/* --- does it fit ---------------------------------------------------------- */

static bool chord_fits(const struct tension_query *query,
                       const struct solo *solo, int32_t chord)
{
    return query->over.count == 0 ||
           match_chord_fits(&query->over.chords[0], &solo->chords[chord]);
}

bool tension_may_fit(const struct tension_query *query, const struct solo *solo,
                     size_t index)
{
    int32_t heard = solo->notes[index].heard;

    if (query->degree != TENSION_ANY &&
        semitones_of(solo, index) != query->degree)
        return false;
    return heard != SOLO_NO_CHORD && chord_fits(query, solo, heard);
}

static bool length_fits(const struct tension_query *query,
                        const struct solo *solo, const struct note *note)
{
    struct rational length = solo_quarters(solo, note->duration);

    return (!query->has_shortest ||
            rational_compare(length, query->shortest) >= 0) &&
           (!query->has_longest ||
            rational_compare(length, query->longest) <= 0);
}

static bool accent_fits(int asked, int strength)
{
    switch (asked) {
    case TENSION_STRONG:
        return strength >= 3;
    case TENSION_WEAK:
        return strength == 2;
    case TENSION_OFF:
        return strength < 2;
    default:
        return true;
    }
}

static bool in_phrase_fits(int asked, const struct tension_note *note)
{
    switch (asked) {
    case TENSION_FIRST:
        return note->starts;
    case TENSION_LAST:
        return note->end == TENSION_ENDS;
    case TENSION_HIGHEST:
        return note->peak == TENSION_PHRASE_PEAK;
    default:
        return true;
    }
}

/* A move there IS, of so many semitones. */
static bool way_fits(const struct tension_way *asked, bool is, int semitones)
{
    int size = abs(semitones);

    if (asked->move == TENSION_MOVE_ANY && asked->direction == 0)
        return true;
    if (!is || (asked->direction > 0 && semitones <= 0) ||
        (asked->direction < 0 && semitones >= 0))
        return false;
    switch (asked->move) {
    case TENSION_REPEATED:
        return size == 0;
    case TENSION_CHROMATIC:
        return size == 1;
    case TENSION_STEP:
        return size == 1 || size == 2;
    case TENSION_LEAP:
        return size > 2;
    default:
        return true;
    }
}

bool tension_note_fits(const struct tension_query *query,
                       const struct solo *solo, const struct tension_note *note)
{
    if (!chord_fits(query, solo, note->chord))
        return false;
    if (query->has_resolution &&
        (!note->resolves || (query->resolution != TENSION_ANY &&
                             note->to_semitones != query->resolution)))
        return false;
    return length_fits(query, solo, &solo->notes[note->index]) &&
           accent_fits(query->accent, note->strength) &&
           in_phrase_fits(query->in_phrase, note) &&
           way_fits(&query->approach, note->has_before, note->before) &&
           way_fits(&query->departure, note->has_after, note->after) &&
           place_fits(&query->place, solo, note->index, note->index);
}
