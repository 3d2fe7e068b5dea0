/* indexer/line.h - shared by line*.c only: a part on its time line.
 *
 * Times here are exact fractions of a quarter, counted from the bar line;
 * line_time.c turns them into the ticks of the solo when all are known.
 */
#ifndef INDEXER_LINE_H
#define INDEXER_LINE_H

#include "indexer/score.h"

enum { STAVES_MAX = 16, QUARTERS_MAX = 100000, LENGTHS_KEPT = 64 };

struct transposition {
    struct rational chromatic;
    int diatonic;
};

/* The cursor of a part: where it stands and what is in force there. */
struct cursor {
    struct raw_score *score;
    const struct raw_part *part;
    struct rational at, furthest, divisions;
    struct transposition transpose[STAVES_MAX + 1]; /* by staff; 0: all */
    int fifths;
    uint8_t mode;
    struct rational last_onset; /* of the last note that was no member */
    int last_voice;
    size_t bar;
    bool quiet; /* the part was passed before: its warnings are known */
    /* In such a part, nobody asks what time it is from this event on. */
    const struct raw_event *still_from;
    /* Amounts met since the divisions were set: few make up a solo. */
    struct {
        bool met;
        int64_t amount;
        struct rational quarters;
    } lengths[LENGTHS_KEPT];
};

/* Where an event stands. */
struct step {
    struct rational onset, duration;
    int voice;
};

/* Stand at the start of PART; QUIET where it was passed before. */
void cursor_start(struct cursor *c, struct raw_score *score,
                  const struct raw_part *part, bool quiet);
/* BAR of the part, where it has one, in which what stands at the events of the
 * kind WANTED is asked for. */
void cursor_start_bar(struct cursor *c, size_t bar, enum raw_kind wanted);
/* Pass EVENT: moves time and takes over what it sets; says where it stands, of
 * a part that was passed before only up to the last event that is wanted. */
struct step cursor_pass(struct cursor *c, const struct raw_event *event);
struct transposition cursor_transposition(const struct cursor *c, int staff);
/* AMOUNT of divisions in quarters. */
struct rational cursor_quarters(struct cursor *c, struct rational amount);

/* A note or rest of one bar, placed. */
struct placed {
    struct rational onset, duration;
    const struct raw_event *event;
    struct pitch sounding;
    int midi, voice;
};

/* An event of the line before ties are joined. */
struct onset_event {
    size_t bar;
    struct rational onset, duration;
};

/* A note of the line, ties joined. */
struct line_note {
    size_t bar;
    struct rational onset, duration;
    struct pitch sounding, written;
    int midi;
    unsigned int grace;
    bool rest_before, tied_on;
};

struct line_chord {
    size_t bar, order;
    struct rational onset, takes_effect;
    struct chord chord;
    const char *kind_text;
};

struct line_bar {
    struct rational length, nominal;
};

/* All that is gathered on the way from parts to solo. */
struct line {
    struct raw_score *score;
    const struct raw_part *melody, *harmony;
    struct line_note *notes;
    size_t note_count, note_room;
    struct onset_event *onsets;
    size_t onset_count, onset_room;
    struct line_chord *chords;
    size_t chord_count, chord_room;
    struct line_bar *bars;
    struct placed *placed; /* of the bar at hand */
    size_t placed_count, placed_room;
    bool rest_pending;
    unsigned int grace_pending;
    /* What is not part of the line, for the warnings. */
    size_t cues, unpitched, other_voices, out_of_range;
    bool lost, nomem;
};

/* Room for one more; the array, or NULL (and line->nomem). */
void *line_grow(struct line *line, void *array, size_t count, size_t *room,
                size_t item);

/* qsort() of COUNT members of ITEM bytes. */
void line_sort(void *array, size_t count, size_t item,
               int (*compare)(const void *, const void *));

/* line_notes.c: the notes, onsets and bar lengths of the melody part. */
void line_read_notes(struct line *line);
/* line_chords.c: the chords of the harmony part. */
void line_read_chords(struct line *line);
/* line_header.c: bars, words, names and facts, as far as they need no
 * time. */
void line_read_header(struct line *line);
/* line_time.c: into the arrays of the solo, in ticks. */
enum status line_to_solo(struct line *line, struct fault *why);

/* "4/4", "3+2/8", "2/4+3/8" in quarters; 0/1 where it says nothing. */
struct rational metre_quarters(const char *metre);

#endif
