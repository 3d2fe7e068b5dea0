/* query/asked_home.c - the home chord of a fragment. */
#include "query/asked_home.h"

#include <string.h>

#include "query/home.h"

/* The chord the known notes spell, with its root as fragment.midi counts. */
static bool spelled_chord(struct chord *out, const struct fragment *f)
{
    struct pitch spelled[FRAGMENT_NOTES_MAX];
    int midi[FRAGMENT_NOTES_MAX];
    size_t n = 0;

    for (size_t i = 0; i < f->count; i++) {
        /* Notes behind a free step stand in no relation to the first. */
        if (f->any[i] || f->group[i] != f->group[f->given_at])
            continue;
        spelled[n] = f->spelled[i];
        midi[n++] = f->midi[i];
    }
    return home_infer(out, midi, f->given_pc >= 0 ? spelled : NULL, n);
}

void asked_home_of(struct asked_home *out, const struct fragment *f)
{
    const struct over_chord *over = &f->over.chords[0];
    struct chord spelled;

    memset(out, 0, sizeof *out);
    if (f->over.count > 0 && over->chord.class == CHORD_NONE)
        return;
    out->given = f->over.count > 0;
    if (f->over.count > 0)
        out->chord = over->chord;
    if (out->given && over->chord.has_root) {
        out->known = out->placed = true;
        out->root = over->chord.root_pc;
    } else if (out->given && f->known_start >= 0) {
        out->known = out->placed = true;
        out->root =
            pitch_modulo(f->midi[f->given_at] - f->known_start, 12);
    } else if (spelled_chord(&spelled, f)) {
        out->known = true;
        out->root = spelled.root_pc;
        if (!out->given)
            out->chord = spelled;
    }
}

bool asked_home_unnamed(struct chord *out, const struct asked_home *home,
                        int shift)
{
    if (!home->known)
        return false;
    *out = home->chord;
    out->has_root = true;
    out->root_pc = (uint8_t)pitch_modulo(home->root + shift, 12);
    return true;
}

bool asked_home_at(struct chord *out, const struct asked_home *home,
                   int shift, int fifths)
{
    if (!home->known)
        return false;
    home_move(out, &home->chord, pitch_modulo(home->root + shift, 12),
              fifths);
    return true;
}
