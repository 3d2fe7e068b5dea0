/* schema/solo_codec.h - a solo as one compact byte string.
 *
 * Private to solo_encode*.c, solo_decode*.c and what they share.
 *
 * Whatever is as one would expect after what stands before it takes a byte;
 * what differs is said.  A line of eighths takes a byte a note, a long solo
 * with its bars, chords and words some two, so that packing would save
 * little and reading costs little.  What follows from the rest (absolute
 * times, the chord of a note) is worked out on reading.  No byte stands for
 * more than BAR_RUN things, except for plays, which have a limit of their own,
 * so that damaged bytes take no more memory than some thousand times theirs.
 *
 * A number has seven bits a byte, low bits first, 0x80 in all but the last; a
 * signed one is zigzag-coded.  A text is a number: twice its length, and its
 * bytes follow; or, odd, how many new texts ago it was written, 0 the last.
 * The empty text is no new one; common texts count as written before the
 * first.  A pitch is a byte, and what that says (enum codec_pitch).
 *
 * In order: CODEC_VERSION, facts, and counts with their
 * - bars: a byte for up to BAR_RUN usual ones (numbered on from the one
 *   before, else like it, without barlines and marks), or BAR_MORE with what
 *   differs (enum codec_bar) in its order;
 * - chords: a byte, where it stands in the low bits (enum codec_place) and
 *   above them how many new entries ago its entry was written, 0 for a new
 *   one.  An entry is key, role, function and chord; a chord its root with
 *   what is unusual (enum codec_root), and its quality: how many new ones ago
 *   that was written, 0 for a new one;
 * - notes: the MIDI number, and NOTE_MORE with what differs (enum codec_note)
 *   from a note that starts where the one before ends, in the bar that is
 *   there, lasts as long and is spelled as its pitch class was last;
 * - remarks; plays, as runs of written neighbours; the plan of the form;
 *   warnings.
 *
 * At the end stands codec_sum() of all that, low byte first, by which a solo
 * that was damaged on the disk is known.
 */
#ifndef SCHEMA_SOLO_CODEC_H
#define SCHEMA_SOLO_CODEC_H

#include "schema/solo.h"

enum {
    CODEC_VERSION = 3,
    SUM_SIZE = 4,        /* bytes of codec_sum() */
    TEXT_WINDOW = 128,   /* new texts looked back for an equal one */
    ENTRY_WINDOW = 63,   /* new entries; what six bits can say */
    QUALITY_WINDOW = 64, /* new qualities */
    DURATIONS = 6,       /* new durations, each with its own code */
    GAP_MAX = 1 << 30    /* ticks between two notes; else bar and onset */
};

enum codec_pitch {
    PITCH_STEP = 7,       /* the step */
    PITCH_ALTER = 7 << 3, /* semitones + 2, ALTER_CENTS: cents follow */
    PITCH_ALTER_SHIFT = 3,
    PITCH_OCTAVE = 1 << 6,  /* the octave follows, else it is 0 */
    PITCH_UNUSUAL = 1 << 7, /* of a root: enum codec_root follows */
    ALTER_CENTS = 7
};

enum codec_bar {
    BAR_NUMBER = 1, /* not the number before and one */
    BAR_LENGTH = 2, /* length and nominal */
    BAR_KEY = 4,    /* fifths and mode */
    BAR_BARLINES = 8,
    BAR_METRE = 16,
    BAR_REHEARSAL = 32,
    BAR_IMPLICIT = 64, /* nothing follows for it */
    BAR_MORE = 128,
    BAR_RUN = 16 /* the bars that a byte without BAR_MORE may stand for */
};

enum codec_place {
    PLACE_DOWNBEAT, /* on the bar line of the bar after that before */
    PLACE_INSIDE,   /* in the same bar, at the onset that was last written out
                       for such a chord */
    PLACE_ONSET,    /* bar step and onset follow */
    PLACE_STACKED,  /* and how much later it takes effect */
    PLACE_BITS = 2
};

enum codec_root {
    ROOT_ABSENT = 1,
    ROOT_BASS = 2,    /* a bass that is not the root follows */
    ROOT_CLASSES = 4, /* pitch classes that are not those of the pitches */
    ROOT_SYMBOL = 8,  /* a symbol that is not root and suffix */
    ROOT_ALL = 15
};

enum codec_suffix {
    QUALITY_CLASS = 15,
    QUALITY_ALTERED = 16,
    QUALITY_SUS = 32,
    QUALITY_NAMED = 64,    /* kind_text is the name of the kind */
    QUALITY_TENSIONS = 128 /* they follow, else there are none */
};

enum codec_note {
    NOTE_DURATION = 7, /* 0 as before, or one of DURATIONS, or follows */
    DURATION_WRITTEN = 7,
    NOTE_PLACE = 3 << 3,
    NOTE_NEXT = 0 << 3,     /* where the note before ends */
    NOTE_GAP = 1 << 3,      /* so much later */
    NOTE_DOWNBEAT = 2 << 3, /* on the next bar line */
    NOTE_BAR = 3 << 3,      /* bar step and onset follow */
    NOTE_PHRASE = 1 << 5,   /* a phrase starts */
    NOTE_REST = 1 << 6,
    NOTE_SPELLED = 1 << 7, /* enum codec_spelling follows */
    NOTE_MORE = 128        /* beside the MIDI number */
};

enum codec_spelling {
    SPELL_SOUNDING = 7, /* semitones + 2, SPELL_FULL: both pitches follow */
    SPELL_WRITTEN = 7 << 3,
    SPELL_WRITTEN_SHIFT = 3,
    SPELL_MOVED = 1 << 6, /* semitones from sounding to written follow */
    SPELL_GRACE = 1 << 7, /* a byte, the grace notes before it, follows */
    SPELL_FULL = 7,
    MOVED_MAX = 300
};

/* What a chord is besides its root. */
struct codec_quality {
    uint8_t kind, class;
    bool altered, sus;
    uint16_t tones, tensions;
    const char *kind_text;
    const char *suffix; /* of the symbol; "" where that is written out */
};

/* How both pitches of a pitch class are spelled in the octave of MIDI 0; the
 * octaves of the notes are added as int8_t, whatever comes out. */
struct codec_spelling_of {
    struct pitch sounding, written;
};

/* What the next note is like where nothing else is said. */
struct codec_line {
    int64_t end;      /* of the note before */
    int64_t this_bar; /* where BAR starts */
    int64_t next_bar; /* where the bar after it does, or INT64_MAX */
    int64_t duration;
    int64_t durations[DURATIONS];
    size_t new_durations;
    int32_t bar;
    int32_t phrase;
    int moved; /* semitones from sounding to written */
    struct codec_spelling_of spelled[12];
};

/* A sum that the change of any one of the BYTES changes, but for one chance in
 * 2^32. */
uint32_t codec_sum(const unsigned char *bytes, size_t size);
/* Write that of the others into the last SUM_SIZE of the SIZE BYTES. */
void codec_seal(unsigned char *bytes, size_t size);

/* Fill TEXTS with the texts that every solo may name; returns how many. */
size_t codec_texts_start(const char *texts[TEXT_WINDOW]);

/* What the first bar of SOLO, whose facts are there, is compared with. */
struct bar codec_bar_start(const struct solo *solo);

/* Before the first note of SOLO, whose facts and bars are there: at the start
 * of the first bar, spelled as the key signature has it. */
void codec_line_start(struct codec_line *line, const struct solo *solo);

/* Move LINE to the bar BAR. */
static inline void codec_line_enter(struct codec_line *line,
                                    const struct solo *solo, int32_t bar)
{
    line->bar = bar;
    line->this_bar = solo->bars[bar].start;
    line->next_bar = (size_t)bar + 1 < solo->bar_count
                         ? solo->bars[bar + 1].start
                         : INT64_MAX;
}

/* Move LINE to the bar in which END lies, or the last one; never back. */
static inline void codec_line_advance(struct codec_line *line,
                                      const struct solo *solo)
{
    while (line->end >= line->next_bar)
        codec_line_enter(line, solo, line->bar + 1);
}

/* The pitch that is stored as P, a note's in OCTAVE (0 is MIDI 0's). */
static inline struct pitch codec_raise(struct pitch p, int octave)
{
    p.octave = (int8_t)(p.octave + octave);
    return p;
}

/* The pitch class that P, of a chord, is named by. */
uint8_t codec_pitch_class(struct pitch p);

enum {
    CODEC_NUMBER_MAX = 999999999
};

/* The value of the printed number TEXT: digits, as "%d" writes them, up to
 * CODEC_NUMBER_MAX; else -1. */
int32_t codec_number(const char *text);

#endif
