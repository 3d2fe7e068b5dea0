/* query/rank.h - how good a place is: its score, with all its parts.
 *
 *   score = 0.55 harmony + 0.30 position + 0.15 rhythm
 *
 * Every part is a whole number of thousandths, 0..1000; weights are
 * thousandths that sum to 1000; the score is the sum of weight x part, a whole
 * number of millionths.  So parts times weights sum to the score to the last
 * digit, and so do the parts of a part: whatever is multiplied by a tenth is a
 * multiple of 10.  No floats; the same place has the same score everywhere.
 *
 * What counts for a teacher is common practice, no source; every number that
 * stands here, and every rule on how to take it, is our own choice.  Those that
 * hold whatever is asked stand in schema/worth.h.
 *
 * harmony = 0.5 relation + 0.2 follows + 0.3 fit
 *   relation  how the chord of the place stands to the home chord:
 *             as written, with the very tones asked (or a class asked)   1000
 *             as written                                                  950
 *             ii over its V                                               850
 *             V over its ii                                               800
 *             minor a semitone above a dominant's root, tritone
 *             substitute, diminished on a dominant                        750
 *             ii, iii or vi over its I; over a half-diminished, over a sus 700
 *             backdoor                                                    650
 *             backdoor reversed                                           600
 *             unnamed, of the same class                                  400
 *             any other                                                   200
 *             no chord                                                      0
 *             Without a home chord every chord is as good: 1000.  Where N.C.
 *             is the home chord, no chord is as written.
 *   follows   the mean of what the harmony and what the line does next.
 *             The next chord, when one is asked: 1000 where it fits, else 0;
 *             when none is asked, by its root: up a fourth 1000, down a
 *             semitone 800, any other step 600, any other chord 400, none 200.
 *             The next note, when it is heard under the next chord: a chord
 *             tone reached by step (at most two semitones, or none) 1000, by
 *             leap 700, no chord tone 300; under the same chord 500; no note,
 *             no chord, or only after the next chord, 200.
 *   fit       how the notes fit the chord each is heard under: the mean of
 *             chord tone 1000, tension 800 (b9 9 #9 11 #11 b13 13, written in
 *             the symbol or not), other 200, weighted by duration x (1 + onset
 *             strength); by strength alone where no note has a duration.
 *             Notes without an explained chord do not count; 0 without any.
 *             Rounded to a hundredth.
 *
 * position = 0.7 where + 0.3 metre, both of the first note
 *   where     with a bar asked: 1000 in the first bar asked, 100 less for each
 *             bar of the chorus away from it, not below 0; 0 in no chorus.
 *             With a section asked: 1000 there, else 300.  With both, the
 *             lesser.  With neither: a chorus opens 1000, a section opens
 *             800 (place_opens()), the first bar of four of the chorus 600,
 *             a phrase starts 500, else 300.
 *   metre     by onset strength (solo_onset_strength()): 1000 900 800 600 400.
 *             With a beat asked: 1000 on it, half of those elsewhere.
 *
 * rhythm
 *   ratios    each ratio of neighbouring note lengths (from onset to onset,
 *             the last note its duration) against that of the fragment: the
 *             smaller over the larger, and the mean of these.  A fragment
 *             without note values is taken as even.  A ratio that only one of
 *             them has, and a note without length against one with, count 0.
 */
#ifndef QUERY_RANK_H
#define QUERY_RANK_H

#include "query/fragment.h"
#include "query/place.h"
#include "query/relation.h"
#include "schema/solo.h"
#include "schema/worth.h"

enum {
    RANK_WHOLE = 1000,        /* a part of 1, the sum of the weights */
    RANK_OTHER_TONES = 950,   /* as written, with other tones than asked */
    RANK_RELATED_MOST = 850,  /* a relation that is not as written */
    RANK_NUMBER_SIZE = 16,    /* every number as text */
    RANK_REASON_SIZE = 768,   /* every reason */
    RANK_EXPLAIN_SIZE = 2048, /* every explanation */
    RANK_NOTES_MAX = 64       /* notes of a place; later ones do not count */
};

/* Thousandths, each 0..1000, 1000 together. */
struct rank_weights {
    int harmony, position, rhythm;
};
#define RANK_WEIGHTS_DEFAULT                                                   \
    {                                                                          \
        .harmony = WORTH_HARMONY, .position = WORTH_POSITION,                  \
        .rhythm = WORTH_RHYTHM                                                 \
    }

/* Read "harmony=1,rhythm=0.5": decimals from 0 to 1000.  Those left out keep
 * their default; then all are scaled to sum to 1000, what rounding leaves over
 * going to the largest remainders, the first in the order above among equals.
 * ST_SYNTAX: a name that is none or comes twice, a value that is none, or all
 * of them 0; WHY (NULL allowed) says so with the offset. */
enum status rank_weights_parse(struct rank_weights *out, const char *text,
                               struct fault *why);

/* What a place is measured by.  Everything pointed to is borrowed. */
struct rank_question {
    /* The note values of the fragment, in quarters; or none. */
    bool has_rhythm;
    struct rational value[FRAGMENT_NOTES_MAX];
    size_t count;

    bool has_home;
    struct chord home; /* moved to the place, see home_move() */
    bool by_class;     /* a class was asked: the tones do not matter */

    /* The chord that is to follow, NULL where none is asked; and the chord
     * asked before it, in the same key: the last of --over or the home chord
     * as given.  NULL where there is none. */
    const struct over_chord *into;
    const struct chord *into_from;

    struct place place; /* bars, section and beat matter here */
    struct rank_weights weights;
};

/* A place: the notes FIRST..LAST of SOLO, and their chord, as
 * solo_window_chord() has it. */
struct rank_place {
    const struct solo *solo;
    size_t first, last;
    int32_t chord; /* an index into chords, or SOLO_NO_CHORD */
};

enum rank_relation {
    RANK_NO_CHORD,
    RANK_NO_HOME,    /* no home chord to stand to */
    RANK_VERY_TONES, /* as written, with the tones asked */
    RANK_NAMED,      /* one of enum relation, as written among them */
    RANK_SAME_CLASS, /* unnamed */
    RANK_UNRELATED
};

enum rank_next {
    RANK_NEXT_AS_ASKED,
    RANK_NEXT_NOT_AS_ASKED,
    RANK_NEXT_UP_FOURTH,
    RANK_NEXT_DOWN_SEMITONE,
    RANK_NEXT_STEP,
    RANK_NEXT_OTHER,
    RANK_NEXT_NONE
};

enum rank_resolution {
    RANK_RESOLVES_BY_STEP,
    RANK_RESOLVES_BY_LEAP,
    RANK_CHORD_STAYS,
    RANK_NO_CHORD_TONE,
    RANK_NOTHING_FOLLOWS
};

/* An enum worth_spot, and more. */
enum rank_where {
    RANK_OPENS_CHORUS = WORTH_OPENS_CHORUS,
    RANK_OPENS_SECTION = WORTH_OPENS_SECTION,
    RANK_FIRST_OF_FOUR = WORTH_FIRST_OF_FOUR,
    RANK_STARTS_PHRASE = WORTH_STARTS_PHRASE,
    RANK_ELSEWHERE = WORTH_ELSEWHERE,
    RANK_BARS_AWAY, /* from the bar asked, 0 included */
    RANK_NO_CHORUS, /* a bar was asked */
    RANK_SECTION_ASKED,
    RANK_OTHER_SECTION
};

enum rank_metre {
    RANK_BY_STRENGTH,
    RANK_BEAT_ASKED,
    RANK_OTHER_BEAT
};

/* Numbers without a name of their own are thousandths; `why_` says what a
 * number stands for. */
struct rank_parts {
    struct rank_harmony {
        int total;
        int relation;
        enum rank_relation why_relation;
        enum relation named; /* of RANK_NAMED and RANK_VERY_TONES */
        int follows;         /* the mean of the next two */
        int next;
        enum rank_next why_next;
        int32_t next_chord; /* an index into chords, -1 none */
        int resolution;
        enum rank_resolution why_resolution;
        int fit;
        int chord_tones, tensions, others; /* numbers of notes */
    } harmony;
    struct rank_position {
        int total;
        int where;
        enum rank_where why_where;
        int bars_away; /* of RANK_BARS_AWAY, 0 or more */
        int metre;
        enum rank_metre why_metre;
        int strength; /* 0..4 */
    } position;
    struct rank_rhythm {
        int total;
        int ratios;
    } rhythm;
    int score; /* millionths */
};

/* The score of PLACE with its parts.  Its notes are neighbours in the line,
 * FIRST <= LAST < note_count. */
void rank_score(struct rank_parts *out, const struct rank_question *question,
                const struct rank_place *place);

/* The first chord after the note LAST that is another than the one heard under
 * it (chord_equal(); N.C. is one), in written order; -1 where there is none. */
int32_t rank_next_chord(const struct solo *solo, size_t last);

/* Is the note after LAST the first that is heard under that next chord?  False
 * where the chord stays, or where the line is silent until a later one. */
bool rank_leads_across(const struct solo *solo, size_t last);

/* Does NEXT, the chord that follows FROM, fit INTO?  The class must fit as
 * --over has it, altered and sus included; where INTO and HOME, the chord
 * asked before it (NULL allowed), have roots, the root moves from FROM to NEXT
 * as it does from HOME to INTO.  NULL or N.C. for FROM or NEXT is no chord. */
bool rank_into_fits(const struct over_chord *into, const struct chord *home,
                    const struct chord *from, const struct chord *next);

/* Thousandths as "0.912", millionths as "0.777350", a weight as "0.55": two
 * decimals or three.  Return OUT. */
char *rank_part_text(char out[RANK_NUMBER_SIZE], int thousandths);
char *rank_score_text(char out[RANK_NUMBER_SIZE], int millionths);
char *rank_weight_text(char out[RANK_NUMBER_SIZE], int thousandths);

/* PARTS in plain words with every number, several lines that end with a
 * newline.  Cut to SIZE.  Returns OUT. */
char *rank_explain(char *out, size_t size, const struct rank_parts *parts,
                   const struct rank_question *question,
                   const struct rank_place *place);

/* Why the place matters, in one line without a newline: "bar 1 of chorus 3 ·
 * over V7 in F as ii over its V · starts on the 9th · resolves to 3 of Imaj7".
 * What does not apply is left out; a solo without forms, chords or anything
 * that follows may leave "".  Cut to SIZE.  Returns OUT. */
char *rank_reason(char *out, size_t size, const struct rank_parts *parts,
                  const struct rank_question *question,
                  const struct rank_place *place);

/* Parts of it, for other reasons: where the note INDEX stands ("bar 1 of chorus
 * 3 · starts a phrase"), and what the chord CHORD does ("over V7 in F", its
 * symbol where it has no function); "" where there is nothing to say.  Cut to
 * SIZE.  Return OUT. */
char *rank_bar_words(char *out, size_t size, const struct solo *solo,
                     size_t index);
char *rank_over_words(char *out, size_t size, const struct solo *solo,
                      int32_t chord);
/* The function of a chord, or its symbol where it has none.  Borrowed. */
const char *rank_chord_name(const struct chord_event *event);
/* How strong an onset is (solo_onset_strength()): "on a beat".  Borrowed: a
 * constant. */
const char *rank_strength_words(int strength);

#endif
