/* query/fragment_file.c - a fragment taken from bars of a MusicXML file. */
#include <stdio.h>
#include <string.h>

#include "indexer/musicxml.h"
#include "query/bar_range.h"
#include "query/fragment_parts.h"

/* Find the notes that start in BARS: *FIRST and *COUNT. */
static enum status find_notes(size_t *first, size_t *count,
                              const struct solo *solo,
                              const struct bar_indexes *bars,
                              struct fault *why)
{
    bar_range_notes(first, count, solo, bars);
    if (*count < 2 || *count > FRAGMENT_NOTES_MAX)
        return fault_set(why, ST_INPUT,
                         "these bars hold %zu note%s: a fragment has 2 to %d; "
                         "choose other bars with --bars A-B",
                         *count, *count == 1 ? "" : "s", FRAGMENT_NOTES_MAX);
    return ST_OK;
}

static void take_notes(struct fragment *f, const struct solo *solo,
                       const struct note *notes)
{
    for (size_t i = 0; i < f->count; i++) {
        const struct note *note = &notes[i];
        char name[PITCH_TEXT_SIZE];
        int64_t ticks = i + 1 < f->count ? notes[i + 1].start - note->start
                                         : note->duration;

        f->midi[i] = note->midi;
        f->spelled[i] = note->sounding;
        f->value[i] = solo_quarters(solo, ticks);
        snprintf(f->text[i], sizeof f->text[i], "%.*s",
                 (int)sizeof f->text[i] - 1, pitch_text(name, note->sounding));
    }
    f->has_rhythm = true;
}

/* The chord a note is heard over; one of class CHORD_NONE where there is
 * none. */
static const struct chord *heard(const struct solo *solo,
                                 const struct note *note)
{
    static const struct chord none = { .class = CHORD_NONE, .symbol = "none" };

    if (note->heard == SOLO_NO_CHORD ||
        solo->chords[note->heard].chord.class == CHORD_NONE)
        return &none;
    return &solo->chords[note->heard].chord;
}

/* The chords heard under the notes, equal neighbours taken as one; nothing
 * where no chord is heard at all. */
static enum status take_chords(struct over *over, const struct solo *solo,
                               const struct note *notes, size_t count,
                               struct fault *why)
{
    const struct chord *before = NULL;

    for (size_t i = 0; i < count; i++) {
        const struct chord *chord = heard(solo, &notes[i]);
        bool same = before && (before == chord || chord_equal(before, chord));

        before = chord;
        if (same)
            continue;
        if (over->count == OVER_CHORDS_MAX)
            return fault_set(why, ST_INPUT,
                             "more than %d chords stand over these bars: "
                             "choose fewer with --bars A-B, or the chord with "
                             "--over",
                             OVER_CHORDS_MAX);
        over->chords[over->count].chord = *chord;
        memcpy(over->chords[over->count].text, chord->symbol,
               sizeof chord->symbol);
        over->count++;
    }
    if (over->count == 1 && over->chords[0].chord.class == CHORD_NONE)
        over->count = 0;
    return ST_OK;
}

static enum status take(struct fragment *out, const struct solo *solo,
                        const char *first_bar, const char *last_bar,
                        const char *over_text, struct fault *why)
{
    struct bar_indexes bars = { 0, 0 };
    size_t first = 0;
    enum status st =
        bar_range_find(&bars, solo, first_bar, last_bar, ST_INPUT, why);

    if (st == ST_OK)
        st = find_notes(&first, &out->count, solo, &bars, why);
    if (st != ST_OK)
        return st;
    take_notes(out, solo, solo->notes + first);
    if (over_text)
        st = over_parse(&out->over, over_text, why);
    else
        st =
            take_chords(&out->over, solo, solo->notes + first, out->count, why);
    if (st == ST_OK)
        fragment_place(out);
    return st;
}

enum status fragment_from_file(struct fragment *out, const char *path,
                               const char *first_bar, const char *last_bar,
                               const char *over_text, struct fault *why)
{
    struct musicxml_options options = { .part = NULL };
    struct solo *solo = NULL;
    enum status st;

    memset(out, 0, sizeof *out);
    out->language = FRAGMENT_FILE;
    st = musicxml_read_file(&solo, path, &options, why);
    if (st != ST_OK)
        return st;
    st = take(out, solo, first_bar, last_bar, over_text, why);
    solo_free(solo);
    return st;
}
