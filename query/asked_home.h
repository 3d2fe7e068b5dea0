/* query/asked_home.h - the home chord of a fragment, where it stands. */
#ifndef QUERY_ASKED_HOME_H
#define QUERY_ASKED_HOME_H

#include "query/fragment.h"

/* The chord a fragment was given with, or is most plainly spelled by
 * (home_infer()). */
struct asked_home {
    bool known;
    bool given;         /* by --over; else inferred from the notes */
    struct chord chord; /* perhaps without a root of its own */
    /* Its root 0..11 as fragment.midi counts; PLACED: by what was given, else
     * by what the notes spell. */
    int root;
    bool placed;
};

void asked_home_of(struct asked_home *out, const struct fragment *f);

/* The home chord of a place that lies SHIFT semitones above fragment.midi, in
 * a solo that sounds in the key signature FIFTHS.  False where none is
 * known. */
bool asked_home_at(struct chord *out, const struct asked_home *home,
                   int shift, int fifths);

/* The same without a name: root, class and tones are right, the symbol and the
 * spelling are not.  For measuring many places. */
bool asked_home_unnamed(struct chord *out, const struct asked_home *home,
                        int shift);

#endif
