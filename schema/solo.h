/* schema/solo.h - the one in-memory model of a solo.
 *
 * A solo is the melody line of one file with its chords and bars.  All times
 * are integers in ticks, `ticks` of them to a quarter note; `ticks` is chosen
 * per solo so that every time in the file is a whole number of them, so the
 * arithmetic is exact.  Pitches sound unless a name says "written".
 * Everything a struct solo points to is owned by it and lives in its arena.
 */
#ifndef SCHEMA_SOLO_H
#define SCHEMA_SOLO_H

#include "schema/chord.h"
#include "schema/form.h"
#include "schema/pitch.h"
#include "schema/rational.h"
#include "schema/status.h"

enum { SOLO_NO_CHORD = -1 };

/* The mode of a key signature. */
enum mode { MODE_UNKNOWN, MODE_MAJOR, MODE_MINOR, MODE_OTHER };

/* A note of the line: one onset, ties joined, grace notes set aside. */
struct note {
    int64_t start;    /* ticks from the start of the solo, written order */
    int64_t onset;    /* ticks from the bar line */
    int64_t duration; /* ticks, ties joined; 0 or more */
    int32_t bar;      /* index into bars */
    int32_t chord;    /* chord at the onset, or SOLO_NO_CHORD */
    int32_t heard;    /* chord it belongs to, anticipation applied */
    uint8_t midi;     /* 0..127, sounding */
    uint8_t grace;    /* grace notes before it, at most 255 */
    bool rest_before; /* a rest of the line stands before it */
    int32_t phrase;   /* from 1, in order; 0 where not analysed */
    struct pitch sounding, written;
};

/* A chord symbol. */
struct chord_event {
    int64_t onset; /* ticks from the bar line, as on paper; may be < 0 */
    int64_t takes_effect; /* the same, where it takes effect: later than
                             ONSET only for stacked symbols */
    int64_t start; /* ticks from the start of the solo to takes_effect */
    int32_t bar;
    struct chord chord;    /* sounding */
    const char *kind_text; /* the file's kind element, never NULL */
    /* Filled by harmony_analyse(), see schema/harmony.h. */
    int8_t key;           /* 0..11 major, 12..23 minor, -1 none */
    uint8_t role;         /* enum harmony_role */
    const char *function; /* "ii7", "V7/ii"; "" none, never NULL */
};

enum barline {
    BARLINE_DOUBLE = 1,       /* light-light or light-heavy at its end */
    BARLINE_REPEAT_START = 2, /* forward repeat at its start */
    BARLINE_REPEAT_END = 4,   /* backward repeat at its end */
    BARLINE_ENDING_START = 8,
    BARLINE_ENDING_STOP = 16,
    BARLINE_FINAL = 32 /* light-heavy at its end */
};

/* A bar; bars are in written order and identified by index from 0. */
struct bar {
    int64_t start;      /* ticks from the start of the solo */
    int64_t length;     /* ticks it really holds */
    int64_t nominal;    /* ticks its time signature says; 0 senza misura */
    const char *number; /* as printed; "" where there is none */
    const char *metre;  /* "4/4", "3+2/8"; "" senza misura or none yet */
    const char *rehearsal; /* rehearsal mark at or in this bar, or NULL */
    int8_t fifths;         /* key signature in force, written */
    uint8_t mode;          /* enum mode */
    bool implicit;         /* pickup or split bar: number is not printed */
    uint16_t barlines;     /* enum barline, or-ed */
};

/* Words at a place: rehearsal marks, directions, tempo words. */
struct remark {
    int32_t bar;
    int64_t onset;
    const char *text;
};

/* What was not understood, or was mended. */
struct warning {
    const char *part; /* part id, "" where of no meaning */
    const char *bar;  /* printed number, "" where of no meaning */
    const char *element;
    const char *message;
};

struct solo {
    const char *title, *performer, *composer, *instrument; /* never NULL */
    const char *work_title, *movement_title;
    int8_t fifths;    /* first key signature as written, -14..14 */
    uint8_t mode;     /* enum mode of it */
    bool has_key, has_metre, has_transpose;
    const char *metre;   /* first time signature, "" where none */
    int16_t transpose;   /* semitones from written to sounding, first */
    int16_t transpose_steps; /* the same in diatonic steps */
    int32_t tempo;       /* quarters a minute times 100, 0 unknown */
    uint32_t rests;      /* rests of the line */
    uint32_t graces;     /* grace notes of the part */
    int64_t ticks;       /* ticks to a quarter, > 0 */

    struct note *notes;
    size_t note_count;
    struct chord_event *chords;
    size_t chord_count;
    struct bar *bars;
    size_t bar_count;
    struct remark *remarks;
    size_t remark_count;
    int32_t *plays; /* bar indexes in the order they are played */
    size_t play_count;
    struct form form; /* all zero where none was found */
    struct warning *warnings;
    size_t warning_count;

    struct solo_arena *arena;
};

/* An empty solo.  NULL when memory is out.  Release with solo_free(). */
struct solo *solo_new(void);
void solo_free(struct solo *solo); /* NULL is allowed */

/* Memory owned by SOLO, zeroed; NULL when memory is out. */
void *solo_alloc(struct solo *solo, size_t size);
/* The same, but its bytes are of no meaning yet: for who fills them all. */
void *solo_room(struct solo *solo, size_t size);
/* A copy owned by SOLO of the LEN bytes at TEXT, ended by NUL. */
const char *solo_copy(struct solo *solo, const char *text, size_t len);

/* Work out what follows from notes, chords and bars: note.chord and
 * note.heard.  Call after those arrays are filled; the order of NOTES is
 * onset order, of CHORDS (bar, takes_effect).
 *
 * note.chord: the last chord at or before the onset, across bar lines.
 * note.heard: the same, but a note whose onset lies at most half a quarter
 * before a chord change and whose end lies after it belongs to the new chord;
 * of several such changes the last; never into N.C.  A change is a symbol that
 * takes effect and is not chord_equal() to the one before. */
void solo_place_notes(struct solo *solo);

/* The key of the solo as it sounds: its first key signature moved by the
 * transposition.  Fifths -7..7 in *FIFTHS. */
void solo_concert_key(const struct solo *solo, int *fifths, int *mode);
/* "Eb major", "C minor"; a signature without a mode counts as major.
 * Returns OUT. */
#define KEY_TEXT_SIZE 24
char *solo_key_text(char out[KEY_TEXT_SIZE], int fifths, int mode);

/* How often the bars FIRST..LAST (indexes, written neighbours) are played one
 * after the other. */
int solo_times_played(const struct solo *solo, int first, int last);

/* A digest of the chords of SOLO and of how they follow each other: the same
 * after an edit that leaves the harmony alone.  (FNV-1a, 64 bits.) */
int64_t solo_harmony_digest(const struct solo *solo);

/* Does a phrase start, or end, with the note INDEX?  False where phrases
 * were not analysed. */
bool solo_starts_phrase(const struct solo *solo, size_t index);
bool solo_ends_phrase(const struct solo *solo, size_t index);

/* TICKS as a reduced fraction of a quarter. */
struct rational solo_quarters(const struct solo *solo, int64_t ticks);

/* The chord of the N notes from FIRST: the one heard under most of them.
 * Chords with equal root, class and tones count as one; notes without a
 * chord do not vote; a tie goes to the chord of the note with the strongest
 * written onset (bar line, half-bar, beat, half-beat, other), then to the
 * earlier note.  An index into chords, or SOLO_NO_CHORD. */
int32_t solo_window_chord(const struct solo *solo, size_t first, size_t n);
/* How many notes from FIRST on, with FIRST, are heard under its symbol. */
size_t solo_same_symbol(const struct solo *solo, size_t first);
/* solo_window_chord(), for who knows the solo_same_symbol() of FIRST. */
int32_t solo_window_chord_after(const struct solo *solo, size_t first,
                                size_t n, size_t same);

/* How strong the written onset of a note is: 4 bar line, 3 half-bar, 2 beat,
 * 1 half-beat, 0 other.  A half-bar is the middle of a bar of an even number
 * of beats; compound metres count dotted beats. */
int solo_onset_strength(const struct solo *solo, const struct note *note);

/* The ticks of one beat of BAR, and how many beats its time signature has (0
 * senza misura: the beat is a quarter then); compound metres count dotted
 * beats. */
void solo_metre(const struct solo *solo, int32_t bar, int64_t *beat,
                int64_t *beats);

/* The printed beat of an onset counted from 1 in the bar's own beats, as a
 * reduced fraction: 1, 3/2 (the and of one) ... */
struct rational solo_beat(const struct solo *solo, const struct note *note);
/* The ticks it is counted by: those from the bar line, or where a pickup would
 * have it.  With the ticks of a beat they say solo_beat(). */
int64_t solo_counted_onset(const struct solo *solo, const struct note *note);

/* One compact byte string that holds the whole of SOLO, and back.  The caller
 * owns *OUT (release with free()). */
enum status solo_encode(const struct solo *solo, unsigned char **out,
                        size_t *size, struct fault *why);
/* ST_LIBRARY where the bytes are not what solo_encode() made. */
enum status solo_decode(struct solo **out, const unsigned char *bytes,
                        size_t size, struct fault *why);

#endif
