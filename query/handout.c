/* query/handout.c - what all ways to write a handout share. */
#include "query/handout.h"

#include <stdlib.h>
#include <string.h>

enum {
    LOWEST_WRITTEN = 13
};

const char handout_rights[] =
    "Excerpts of works in copyright are for private study or teaching, as "
    "local law allows.";

static int by_number(const void *a, const void *b)
{
    return *(const int *)a - *(const int *)b;
}

/* The lowest note in the bars of PASSAGE. */
static int lowest_of(const struct passage *passage)
{
    const struct solo *solo = passage->solo;
    int64_t start = solo->bars[passage->first_bar].start;
    int lowest = 127;

    for (size_t i = 0; i < solo->note_count; i++) {
        const struct note *note = &solo->notes[i];

        /* One that is held from before is written as well. */
        if (note->bar <= passage->last_bar &&
            (note->bar >= passage->first_bar ||
             note->start + note->duration > start) &&
            note->midi < lowest)
            lowest = note->midi;
    }
    return lowest;
}

/* Octaves of MusicXML start at C0; a semitone is left for its spelling. */
static void keep_in_range(struct written_for *view,
                          const struct handout *handout)
{
    for (size_t i = 0; i < handout->count; i++) {
        int lowest = lowest_of(&handout->excerpts[i].passage);

        while (lowest + view->chromatic < LOWEST_WRITTEN) {
            view->chromatic += 12;
            view->diatonic += 7;
        }
    }
}

struct written_for handout_view(const struct handout *handout)
{
    struct written_for view;
    int *middles = calloc(handout->count + 1, sizeof *middles);
    int middle = 60;

    if (middles && handout->count > 0) {
        for (size_t i = 0; i < handout->count; i++)
            middles[i] = passage_middle(&handout->excerpts[i].passage);
        qsort(middles, handout->count, sizeof *middles, by_number);
        middle = middles[handout->count / 2];
    }
    free(middles);
    view = reader_view(handout->reader, middle);
    keep_in_range(&view, handout);
    return view;
}

/* The steps from sounding to written at the start of the fragment. */
static int steps_up(const struct handout *handout,
                    const struct excerpt *excerpt)
{
    const struct passage *p = &excerpt->passage;
    int diatonic;

    reader_key(&handout->view,
               notation_concert_fifths(p->solo, p->solo->notes[p->first].bar),
               &diatonic);
    return diatonic;
}

char *handout_chord(char out[CHORD_TEXT_SIZE], const struct handout *handout,
                    const struct excerpt *excerpt)
{
    struct chord chord = excerpt->chord;

    out[0] = '\0';
    if (chord.class == CHORD_NONE)
        return out;
    chord_transpose(&chord, handout->view.chromatic,
                    steps_up(handout, excerpt));
    snprintf(out, CHORD_TEXT_SIZE, "%s", chord.symbol);
    return out;
}

struct pitch handout_pitch(const struct handout *handout,
                           const struct excerpt *excerpt, uint32_t index)
{
    return pitch_transpose(excerpt->passage.solo->notes[index].sounding,
                           handout->view.chromatic, steps_up(handout, excerpt));
}

char *handout_cite(char *out, size_t size, const struct handout *handout,
                   size_t index)
{
    const struct excerpt *e = &handout->excerpts[index];
    const char *const parts[] = { e->performer, *e->title ? e->title : e->path,
                                  e->place };
    size_t used = (size_t)snprintf(out, size, "%zu.", index + 1);

    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
        if (*parts[i] && used < size)
            used += (size_t)snprintf(out + used, size - used, "%s%s",
                                     out[used - 1] == '.' && i < 2 ? " " : ", ",
                                     parts[i]);
    return out;
}
