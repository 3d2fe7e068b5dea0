/* query/reader.c - for whose instrument a handout is written. */
#include "query/reader.h"

#include <strings.h>

const char *const reader_words[] = { "concert", "Bb", "Eb", "F", "bass", NULL };

enum {
    TREBLE_MIDDLE = 71, /* B4 */
    BASS_MIDDLE = 50,   /* D3 */
    KEY_MAX = 6         /* sharps or flats; Gb is as good as F# */
};

int reader_middle(const struct written_for *view)
{
    return view->bass_clef ? BASS_MIDDLE : TREBLE_MIDDLE;
}

struct written_for reader_view(enum reader reader, int midi)
{
    static const struct written_for plain[READERS] = {
        [READER_CONCERT] = { 0, 0, false }, [READER_BB] = { 2, 1, false },
        [READER_EB] = { 9, 5, false },      [READER_F] = { 7, 4, false },
        [READER_BASS] = { 0, 0, true },
    };
    struct written_for view = plain[reader];
    int middle = reader_middle(&view);

    while (midi + view.chromatic > middle + 7) {
        view.chromatic -= 12;
        view.diatonic -= 7;
    }
    while (midi + view.chromatic < middle - 7) {
        view.chromatic += 12;
        view.diatonic += 7;
    }
    return view;
}

int reader_key(const struct written_for *view, int fifths, int *diatonic)
{
    /* A semitone is seven fifths up, a step twelve down. */
    int written = fifths + 7 * view->chromatic - 12 * view->diatonic;

    *diatonic = view->diatonic;
    for (; written > KEY_MAX; written -= 12)
        ++*diatonic;
    for (; written < -KEY_MAX; written += 12)
        --*diatonic;
    return written;
}

int reader_parse(const char *text)
{
    for (int i = 0; i < READERS; i++)
        if (strcasecmp(text, reader_words[i]) == 0)
            return i;
    return -1;
}
