/* query/hit_view.c - see hit_view.h. */
#include "query/hit_view.h"

const struct chord_event *real_chord(const struct solo *solo, int32_t index)
{
    if (index < 0 || (size_t)index >= solo->chord_count ||
        solo->chords[index].chord.class == CHORD_NONE)
        return NULL;
    return &solo->chords[index];
}

int note_above_root(const struct note *note, const struct chord *chord)
{
    return pitch_modulo((int)note->midi - (int)chord->root_pc, 12);
}

void hit_view_make(struct hit_view *out, const struct find_page *page,
                   size_t hit)
{
    const struct find_result *result = page->result;
    int midi[FRAGMENT_NOTES_MAX];

    out->hit = &result->hits[hit];
    out->found = &result->solos[out->hit->solo];
    out->notes = &out->found->solo->notes[out->hit->first];
    out->count = page->query->fragment.count;
    out->chord = real_chord(out->found->solo, out->hit->chord);
    if (!out->chord)
        return;
    for (size_t i = 0; i < out->count; i++)
        midi[i] = out->notes[i].midi;
    chord_cell_degrees(out->degrees, &out->chord->chord, midi, out->count);
}

/* Give a suffix alone a root, C. */
static void give_root(struct chord *chord)
{
    char suffix[CHORD_TEXT_SIZE];
    const struct pitch c = { .step = 0 };

    snprintf(suffix, sizeof suffix, "%s", chord->symbol);
    snprintf(chord->symbol, sizeof chord->symbol, "C%.*s",
             (int)sizeof chord->symbol - 2, suffix);
    chord->root = chord->bass = c;
    chord->root_pc = chord->bass_pc = 0;
    chord->has_root = true;
}

bool hit_view_home(struct chord *out, const struct hit_view *view,
                   const struct find_page *page)
{
    const struct fragment *fragment = &page->query->fragment;
    const struct over_chord *over = &fragment->over.chords[0];
    struct pitch root;
    int pc;

    if (fragment->over.count == 0 || over->by_class || over->function[0] ||
        over->chord.class == CHORD_NONE || fragment->known_start < 0)
        return false;
    *out = over->chord;
    if (!out->has_root)
        give_root(out);
    pc = pitch_modulo(
        (int)view->notes[fragment->given_at].midi - fragment->known_start, 12);
    /* Spelled as in the score where it is the same root. */
    root = view->chord && view->chord->chord.root_pc == pc
               ? view->chord->chord.root
               : pitch_spell(60 + pc, 0);
    root.octave = out->root.octave;
    chord_transpose(out, pitch_midi(root) - pitch_midi(out->root),
                    root.step - out->root.step);
    return true;
}
