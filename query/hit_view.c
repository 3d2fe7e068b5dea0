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

enum status hit_view_make(struct hit_view *out, const struct find_page *page,
                          size_t hit, struct fault *why)
{
    const struct find_result *result = page->result;
    int midi[EDITS_STEPS_MAX];
    enum status st;

    st = find_hit(&out->hit, &out->solo, result, hit, why);
    if (st != ST_OK)
        return st;
    out->found = &result->solos[out->hit->solo];
    out->notes = &out->solo->notes[out->hit->first];
    out->count = out->hit->last - out->hit->first + 1;
    out->chord = real_chord(out->solo, out->hit->chord);
    if (!out->chord)
        return ST_OK;
    for (size_t i = 0; i < out->count; i++)
        midi[i] = out->notes[i].midi;
    chord_cell_degrees(out->degrees, &out->chord->chord, midi, out->count);
    return ST_OK;
}

const char *hit_change_word(enum edit edit)
{
    return edit == EDIT_INSERTED   ? "inserted"
           : edit == EDIT_LEFT_OUT ? "left out"
                                   : "changed";
}

/* The note the fragment has, spelled for the key of the solo. */
static void write_wanted(char out[PITCH_TEXT_SIZE], const struct solo *solo,
                         int wanted, bool any_octave)
{
    int fifths, mode;

    out[0] = '\0';
    if (wanted < 0 || wanted > 127)
        return;
    solo_concert_key(solo, &fifths, &mode);
    if (any_octave)
        pitch_class_text(out, pitch_spell(60 + wanted, fifths));
    else
        pitch_text(out, pitch_spell(wanted, fifths));
}

/* The note AT of the place between its neighbours in the line. */
static enum edits_role role_at(const struct hit_view *view, int at)
{
    const struct solo *solo = view->solo;
    size_t index = view->hit->first + (size_t)at;

    if (index == 0 || index + 1 >= solo->note_count)
        return EDITS_OTHER;
    return edits_role(solo->notes[index - 1].midi, solo->notes[index].midi,
                      solo->notes[index + 1].midi);
}

size_t hit_view_changes(struct hit_change out[EDITS_MAX],
                        const struct hit_view *view,
                        const struct find_page *page)
{
    const struct find_query *query = page->query;
    uint8_t midi[EDITS_STEPS_MAX];
    struct edits_alignment a = { 0 };
    struct edits *edits;
    size_t count = 0;

    if (view->hit->edits == 0 ||
        edits_new(&edits, &query->fragment, query->any_octave, query->edits,
                  NULL) != ST_OK)
        return 0;
    for (size_t i = 0; i < view->count; i++)
        midi[i] = view->notes[i].midi;
    if (!edits_align(edits, midi, view->count, &a))
        a.count = 0;
    edits_free(edits);
    for (size_t i = 0; i < a.count && count < EDITS_MAX; i++) {
        const struct edits_step *step = &a.steps[i];

        if (step->edit == EDIT_NONE)
            continue;
        out[count].edit = step->edit;
        out[count].note = step->at >= 0 ? &view->notes[step->at] : NULL;
        out[count].role = step->edit == EDIT_INSERTED
                              ? role_at(view, step->at)
                              : EDITS_OTHER;
        write_wanted(out[count].wanted, view->solo, step->wanted,
                     query->any_octave);
        count++;
    }
    return count;
}

const char *hit_view_relation(struct hit_view *view)
{
    const struct hit *hit = view->hit;
    enum relation relation;

    if (!hit->has_home || !view->chord)
        return NULL;
    relation = relation_of(&hit->home, &view->chord->chord);
    if (relation != RELATION_OTHER)
        return relation_name(relation);
    return relation_title(view->relation_words, sizeof view->relation_words,
                          relation_key(&hit->home, &view->chord->chord));
}
