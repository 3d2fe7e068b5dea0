/* query/match.c - the definition of a match: pitches, rhythm, chord. */
#include "query/match.h"

#include <string.h>

/* The distances within each group of known notes are those of the fragment;
 * which key is left open. */
static bool pitches_fit(const struct find_query *query,
                        const struct note *notes)
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
        off =
            (notes[i].midi - notes[fixed].midi) - (f->midi[i] - f->midi[fixed]);
        if (query->any_octave ? off % 12 != 0 : off != 0)
            return false;
    }
    return true;
}

/* The time note I fills as rhythm goes: to the next onset, and of the last
 * note its own length. */
static struct rational filled(const struct solo *solo, const struct note *notes,
                              size_t i, size_t n)
{
    return solo_quarters(solo, i + 1 < n ? notes[i + 1].start - notes[i].start
                                         : notes[i].duration);
}

static bool rhythm_same(const struct fragment *f, const struct solo *solo,
                        const struct note *notes)
{
    for (size_t i = 0; i < f->count; i++)
        if (rational_compare(filled(solo, notes, i, f->count), f->value[i]))
            return false;
    return true;
}

static bool rhythm_scaled(const struct fragment *f, const struct solo *solo,
                          const struct note *notes)
{
    struct rational factor = { 0, 1, false }; /* 0: not known yet */

    for (size_t i = 0; i < f->count; i++) {
        struct rational here = filled(solo, notes, i, f->count), ratio;

        /* A last note without length scales to one without length. */
        if (f->value[i].num == 0 || here.num == 0) {
            if (f->value[i].num != here.num)
                return false;
            continue;
        }
        ratio = rational_div(here, f->value[i]);
        if (factor.num == 0)
            factor = ratio;
        else if (rational_compare(ratio, factor) != 0)
            return false;
    }
    return true;
}

/* A place with more or fewer notes has another rhythm. */
static bool rhythm_fits(const struct find_query *query, const struct solo *solo,
                        const struct note *notes, size_t count)
{
    const struct fragment *f = &query->fragment;

    if (query->rhythm != RHYTHM_ANY && count != f->count)
        return false;
    if (query->rhythm == RHYTHM_SAME)
        return f->has_rhythm && rhythm_same(f, solo, notes);
    if (query->rhythm == RHYTHM_SCALED)
        return f->has_rhythm && rhythm_scaled(f, solo, notes);
    return true;
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

static bool chords_fit(const struct find_query *query,
                       const struct solo *solo, struct match *m)
{
    const struct fragment *f = &query->fragment;
    const struct chord_event *there;

    m->exactness = 0;
    if (f->over.count == 0 || query->reharmonized)
        return true;
    if (f->over.count > 1)
        return succession_fits(f, solo, m);
    there = sounding(solo, solo_window_chord(solo, m->first,
                                             m->last - m->first + 1));
    m->exactness = chord_exact(&f->over.chords[0], there) ? 2 : 1;
    return match_chord_fits(&f->over.chords[0], there) &&
           start_fits(f, m->shift, there);
}

/* --- relation and what follows -------------------------------------------- */

static bool relation_fits(const struct find_query *query,
                          const struct solo *solo, const struct match *m)
{
    const struct chord_event *there;
    struct chord home;

    if (!query->has_relation)
        return true;
    there = sounding(solo, solo_window_chord(solo, m->first,
                                             m->last - m->first + 1));
    return there && asked_home_unnamed(&home, &query->home, m->shift) &&
           relation_chosen(&query->relation, &home, &there->chord);
}

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
    return rhythm_fits(query, solo, solo->notes + m->first,
                       m->last - m->first + 1) &&
           place_fits(&query->place, solo, m->first, m->last) &&
           chords_fit(query, solo, m) && relation_fits(query, solo, m) &&
           match_into(&query->into, match_into_from(query), solo, m->last);
}

bool match_at(const struct find_query *query, const struct solo *solo,
              size_t first, struct match *out)
{
    const struct fragment *f = &query->fragment;

    if (first > solo->note_count || f->count > solo->note_count - first ||
        !pitches_fit(query, solo->notes + first))
        return false;
    out->first = first;
    out->last = first + f->count - 1;
    out->edits = 0;
    out->shift = solo->notes[first + f->given_at].midi - f->midi[f->given_at];
    return match_rest(query, solo, out);
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
