/* query/notation.h - a passage of a solo as it is written on paper.
 *
 * The model keeps when a note starts and how long it is held; paper wants note
 * values, ties over bar lines and beats, tuplets and rests.  Everything here is
 * worked out from the line: what stood in the file beside it (grace notes,
 * articulation, other voices) is not there.
 *
 * Where values are divided: common practice, no source.  A note is divided at
 * the middle of a bar of four beats and at beats that it would hide; a rest at
 * every beat that it starts off.
 */
#ifndef QUERY_NOTATION_H
#define QUERY_NOTATION_H

#include "query/reader.h"
#include "schema/solo.h"

enum beam {
    BEAM_NONE,
    BEAM_BEGIN,
    BEAM_CONTINUE,
    BEAM_END,
    BEAM_FORWARD_HOOK,
    BEAM_BACKWARD_HOOK
};
enum {
    BEAM_LEVELS = 6
};

/* A printed note or rest.  Times are ticks, notation.ticks to a quarter. */
struct sign {
    int64_t at; /* from the start of the bar */
    int64_t duration;
    int32_t note;       /* index into the notes of the solo; -1: a rest */
    struct pitch pitch; /* written; of no meaning for a rest */
    bool starts;        /* the note starts here: not tied to the one before */
    bool tied;          /* tied to the next sign */
    int8_t value;       /* -1 breve, 0 whole, 1 half, 2 quarter ... 8 256th */
    int8_t dots;        /* 0 or 1 */
    uint8_t actual, normal; /* 3 in the time of 2; 0, 0: no tuplet */
    bool tuplet_start, tuplet_stop;
    uint8_t beams[BEAM_LEVELS]; /* enum beam, of each level from the first */
    bool whole_bar;             /* a rest that fills the bar */
    bool exact;                 /* false: the value is only near the duration */
    const char *degree;         /* of a marked note where it starts; NULL */
    bool marked;                /* belongs to the fragment */
};

/* A chord symbol as written, at the place where it takes effect. */
struct sign_chord {
    int64_t at;
    struct chord chord;
};

struct notation_bar {
    int32_t bar;  /* index into the bars of the solo */
    int fifths;   /* key signature as written, -6..6 */
    int mode;     /* enum mode */
    int diatonic; /* steps that written pitches stand above sounding ones */
    int64_t length;
    struct sign *signs;
    size_t sign_count;
    struct sign_chord *chords;
    size_t chord_count;
};

struct notation {
    const struct solo *solo; /* borrowed */
    struct written_for view;
    int64_t ticks;
    struct notation_bar *bars;
    size_t bar_count;
};

/* What is written: the bars FIRST_BAR..LAST_BAR as they follow each other on
 * paper, with the notes FIRST..LAST marked and their degrees counted from
 * their chord (solo_window_chord()). */
struct passage {
    const struct solo *solo;
    int32_t first_bar, last_bar;
    uint32_t first, last;
};

/* Write PASSAGE down for VIEW.  A note that is held into the first bar or out
 * of the last is cut there; the chord in effect is written at the start.
 * ST_NOMEM; release with notation_free() in any case.  OUT borrows the solo. */
enum status notation_make(struct notation *out, const struct passage *passage,
                          const struct written_for *view, struct fault *why);
void notation_free(struct notation *notation);

/* The key signature of the bar BAR of SOLO as it sounds. */
int notation_concert_fifths(const struct solo *solo, int32_t bar);

/* The middle of the notes of PASSAGE: half of them lie no higher.  60 where it
 * has none. */
int passage_middle(const struct passage *passage);

#endif
