/* query/place.h - where in the form, the bar and the phrase a fragment may
 * stand: the filters --chorus, --bar, --section, --beat, --at and
 * --within-phrase.
 *
 * All but --within-phrase and phrase-end look at the first note.
 */
#ifndef QUERY_PLACE_H
#define QUERY_PLACE_H

#include "schema/form.h"
#include "schema/solo.h"

enum place_at {
    PLACE_ANYWHERE,
    PLACE_CHORUS,    /* the first note of a chorus, or one that leads into it */
    PLACE_SECTION,   /* the same of a section */
    PLACE_PHRASE,    /* the first note of a phrase */
    PLACE_PHRASE_END /* the last note is the last of a phrase */
};

enum { PLACE_LAST_CHORUS = -1 };

struct place {
    int chorus;            /* from 1; PLACE_LAST_CHORUS; 0 any */
    int bar_low, bar_high; /* bars of the chorus, from 1; 0 any */
    const char *section;   /* letter, case does not matter; NULL any */
    bool has_beat;
    struct rational beat; /* as solo_beat() counts */
    enum place_at at;
    bool within_phrase; /* no phrase ends inside */
};

/* Does the place of the notes FIRST..LAST fit? */
bool place_fits(const struct place *place, const struct solo *solo,
                size_t first, size_t last);

/* Is any of it asked? */
bool place_is_asked(const struct place *place);

/* Readers of option values: ST_SYNTAX says what would do. */
enum status place_parse_chorus(struct place *out, const char *text,
                               struct fault *why); /* 2, last */
enum status place_parse_bar(struct place *out, const char *text,
                            struct fault *why); /* 5, 5-8 */
enum status place_parse_beat(struct place *out, const char *text,
                             struct fault *why); /* 2, 2.5, 5/2, "2 and" */

/* form_opens(). */
bool place_opens(const struct solo *solo, size_t index, bool section);

#endif
