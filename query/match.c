/* query/match.c - the definition of a match: pitches, rhythm, chord. */
#include "query/match.h"

#include <string.h>

/* The distances within each group of known notes are those of the fragment;
 * which key is left open. */
bool match_pitches(const struct find_query *query, const uint8_t *midi)
{
    const struct fragment *f = &query->fragment;
    size_t fixed = f->count; /* a known note of the group we are in */

    for (size_t i = 0; i < f->count; i++) {
        int off;

        if (f->any[i])
            continue;
        if (fixed == f->count || f->group[fixed] != f->group[i]) {
            fixed = i;
            continue;
        }
        off = (midi[i] - midi[fixed]) - (f->midi[i] - f->midi[fixed]);
        if (query->any_octave ? off % 12 != 0 : off != 0)
            return false;
    }
    return true;
}

static bool rhythm_same(const struct fragment *f,
                        const struct rational *lengths)
{
    for (size_t i = 0; i < f->count; i++)
        if (rational_compare(lengths[i], f->value[i]))
            return false;
    return true;
}

static bool rhythm_scaled(const struct fragment *f,
                          const struct rational *lengths)
{
    struct rational factor = { 0, 1, false }; /* 0: not known yet */

    for (size_t i = 0; i < f->count; i++) {
        struct rational ratio;

        /* A last note without length scales to one without length. */
        if (f->value[i].num == 0 || lengths[i].num == 0) {
            if (f->value[i].num != lengths[i].num)
                return false;
            continue;
        }
        ratio = rational_div(lengths[i], f->value[i]);
        if (factor.num == 0)
            factor = ratio;
        else if (rational_compare(ratio, factor) != 0)
            return false;
    }
    return true;
}

/* A place with more or fewer notes has another rhythm. */
bool match_rhythm(const struct find_query *query,
                  const struct rational *lengths, size_t count)
{
    const struct fragment *f = &query->fragment;

    if (query->rhythm == RHYTHM_ANY)
        return true;
    if (count != f->count || !f->has_rhythm)
        return false;
    return query->rhythm == RHYTHM_SAME ? rhythm_same(f, lengths)
                                        : rhythm_scaled(f, lengths);
}

/* The time each note fills as rhythm goes: to the next onset, and of the last
 * note its own length. */
static bool rhythm_fits(const struct find_query *query,
                        const struct solo *solo, const struct match *m)
{
    struct rational lengths[FRAGMENT_NOTES_MAX];
    size_t count = m->last - m->first + 1;

    if (query->rhythm == RHYTHM_ANY)
        return true;
    for (size_t i = 0; i < count && i < FRAGMENT_NOTES_MAX; i++) {
        const struct note *note = &solo->notes[m->first + i];

        lengths[i] = solo_quarters(solo, i + 1 < count
                                             ? note[1].start - note->start
                                             : note->duration);
    }
    return match_rhythm(query, lengths, count);
}

/* --- chords -------------------------------------------------------------- */

/* The chord INDEX of SOLO; NULL for none and for N.C. */
static const struct chord_event *sounding(const struct solo *solo,
                                          int32_t index)
{
    if (index == SOLO_NO_CHORD || solo->chords[index].chord.class == CHORD_NONE)
        return NULL;
    return &solo->chords[index];
}

static bool is_function(const struct over_chord *asked)
{
    return asked->function[0] != '\0';
}

/* Most functions that fit are the very one asked. */
static bool function_fits(const struct over_chord *asked,
                          const struct chord_event *there)
{
    char key[HARMONY_FUNCTION_KEY_SIZE];

    if (strcmp(asked->function, there->function) == 0)
        return true;
    return there->chord.class == asked->chord.class &&
           strcmp(asked->key, harmony_function_key(key, there->function)) == 0;
}

bool match_chord_fits(const struct over_chord *asked,
                      const struct chord_event *there)
{
    if (there && is_function(asked))
        return function_fits(asked, there);
    return over_chord_fits(asked, there ? &there->chord : NULL);
}

static bool chord_exact(const struct over_chord *asked,
                        const struct chord_event *there)
{
    if (is_function(asked))
        return there && strcmp(asked->function, there->function) == 0;
    return !asked->by_class &&
           (!there || there->chord.tones == asked->chord.tones);
}

/* The first known note stands on the degree of THERE that was asked. */
static bool start_fits(const struct fragment *f, int shift,
                       const struct chord_event *there)
{
    if (f->known_start < 0)
        return true;
    return there && there->chord.has_root &&
           pitch_modulo(f->midi[f->given_at] + shift - there->chord.root_pc,
                        12) == f->known_start;
}

/* Where both chords asked have roots, the root moves as far as it does
 * there.  Two functions are those of one tonic, which may turn from minor to
 * major. */
static bool motion_fits(const struct over_chord *asked_from,
                        const struct over_chord *asked_to,
                        const struct chord_event *from,
                        const struct chord_event *to)
{
    const struct chord *a = &asked_from->chord, *b = &asked_to->chord;

    if (is_function(asked_from) && is_function(asked_to))
        return from->key % 12 == to->key % 12;
    if (!a->has_root || !b->has_root)
        return true;
    return from && to && from->chord.has_root && to->chord.has_root &&
           pitch_modulo((to->chord.root_pc - from->chord.root_pc) -
                            (b->root_pc - a->root_pc),
                        12) == 0;
}

static bool same_chord(const struct chord_event *a, const struct chord_event *b)
{
    return a == b || (a && b && chord_equal(&a->chord, &b->chord));
}

/* The chords heard under the notes, equal neighbours taken as one, are those
 * asked, one by one. */
static bool succession_fits(const struct fragment *f, const struct solo *solo,
                            struct match *m)
{
    const struct over_chord *asked = f->over.chords;
    const struct chord_event *before = NULL;
    int met = 0;
    bool exact = true;

    for (size_t i = m->first; i <= m->last; i++) {
        const struct chord_event *there =
            sounding(solo, solo->notes[i].heard);

        if (met > 0 && same_chord(before, there))
            continue;
        if (met == f->over.count || !match_chord_fits(&asked[met], there))
            return false;
        if (met == 0 ? !start_fits(f, m->shift, there)
                     : !motion_fits(&asked[met - 1], &asked[met], before,
                                    there))
            return false;
        exact = exact && chord_exact(&asked[met], there);
        before = there;
        met++;
    }
    m->exactness = exact ? 2 : 1;
    return met == f->over.count;
}

static bool chord_over_fits(const struct find_query *query,
                            const struct chord_event *there, struct match *m)
{
    const struct fragment *f = &query->fragment;

    if (f->over.count != 1 || query->reharmonized)
        return true;
    m->exactness = chord_exact(&f->over.chords[0], there) ? 2 : 1;
    return match_chord_fits(&f->over.chords[0], there) &&
           start_fits(f, m->shift, there);
}

static bool relation_fits(const struct find_query *query,
                          const struct chord_event *there,
                          const struct match *m)
{
    struct chord home;

    return !query->has_relation ||
           (there && asked_home_unnamed(&home, &query->home, m->shift) &&
            relation_chosen(&query->relation, &home, &there->chord));
}

bool match_chord(const struct find_query *query,
                 const struct chord_event *there, struct match *m)
{
    return chord_over_fits(query, there, m) && relation_fits(query, there, m);
}

static bool chords_fit(const struct find_query *query,
                       const struct solo *solo, struct match *m)
{
    const struct fragment *f = &query->fragment;

    m->exactness = 0;
    if (f->over.count > 1 && !query->reharmonized &&
        !succession_fits(f, solo, m))
        return false;
    if (f->over.count == 0 && !query->has_relation)
        return true;
    return match_chord(query,
                       sounding(solo, solo_window_chord(
                                          solo, m->first,
                                          m->last - m->first + 1)),
                       m);
}

/* --- what follows --------------------------------------------------------- */

const struct chord *match_into_from(const struct find_query *query)
{
    const struct over *over = &query->fragment.over;

    return over->count > 0 ? &over->chords[over->count - 1].chord : NULL;
}

bool match_into(const struct over *into, const struct chord *home,
                const struct solo *solo, size_t last)
{
    const struct chord_event *from, *next;

    if (into->count == 0)
        return true;
    from = sounding(solo, solo->notes[last].heard);
    next = sounding(solo, rank_next_chord(solo, last));
    return from && next &&
           rank_into_fits(&into->chords[0], home, &from->chord, &next->chord);
}

/* --- together ------------------------------------------------------------ */

bool match_rest(const struct find_query *query, const struct solo *solo,
                struct match *m)
{
    return rhythm_fits(query, solo, m) &&
           place_fits(&query->place, solo, m->first, m->last) &&
           chords_fit(query, solo, m) &&
           match_into(&query->into, match_into_from(query), solo, m->last);
}

bool match_at(const struct find_query *query, const struct solo *solo,
              size_t first, struct match *out)
{
    const struct fragment *f = &query->fragment;
    uint8_t midi[FRAGMENT_NOTES_MAX];

    if (first > solo->note_count || f->count > solo->note_count - first)
        return false;
    for (size_t i = 0; i < f->count; i++)
        midi[i] = solo->notes[first + i].midi;
    if (!match_pitches(query, midi))
        return false;
    match_place(query, midi, first, out);
    return match_rest(query, solo, out);
}

void match_place(const struct find_query *query, const uint8_t *midi,
                 size_t first, struct match *out)
{
    const struct fragment *f = &query->fragment;

    memset(out, 0, sizeof *out);
    out->first = first;
    out->last = first + f->count - 1;
    out->shift = midi[f->given_at] - f->midi[f->given_at];
}

int match_transposition(const struct fragment *f, int shift)
{
    int up = pitch_modulo(f->midi[f->given_at] + shift - f->given_pc, 12);

    return up > 6 ? up - 12 : up;
}

bool find_matches_at(const struct find_query *query, const struct solo *solo,
                     size_t first)
{
    struct match match;

    return match_at(query, solo, first, &match);
}
