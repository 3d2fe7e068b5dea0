/* indexer/score.h - what a MusicXML file says, before it is understood.
 *
 * The XML reader (musicxml) turns elements into a flat list of events for
 * each part, in document order and in the file's own units; line.c runs the
 * time cursor over them.  Text is owned by the solo that is being made.
 */
#ifndef INDEXER_SCORE_H
#define INDEXER_SCORE_H

#include "schema/solo.h"

enum raw_kind {
    RAW_NOTE,
    RAW_BACKUP,
    RAW_FORWARD,
    RAW_DIVISIONS,
    RAW_KEY,
    RAW_TIME,
    RAW_TRANSPOSE,
    RAW_HARMONY,
    RAW_WORDS,
    RAW_TEMPO,
    RAW_JUMP,
    RAW_BARLINE
};

enum raw_note_flag {
    RAW_PITCHED = 1,
    RAW_REST = 2,
    RAW_UNPITCHED = 4,
    RAW_GRACE = 8,
    RAW_CUE = 16,
    RAW_CHORD_MEMBER = 32,
    RAW_TIE_START = 64
};

/* Places in the score that the play order knows of; or-ed in a jump. */
enum raw_jump {
    JUMP_DA_CAPO = 1,
    JUMP_DAL_SEGNO = 2,
    JUMP_SEGNO = 4,
    JUMP_TO_CODA = 8,
    JUMP_CODA = 16,
    JUMP_FINE = 32
};

enum { RAW_ENDINGS_MAX = 32 };

struct raw_event {
    enum raw_kind kind;
    int16_t staff; /* 0 where none is given */
    union {
        struct {
            struct rational duration; /* in divisions */
            struct pitch pitch;       /* written */
            int voice;
            unsigned int flags; /* enum raw_note_flag */
        } note;
        struct rational amount; /* backup, forward, divisions */
        struct {
            int fifths;
            uint8_t mode; /* enum mode */
            bool traditional;
        } key;
        const char *metre; /* time: "4/4", "" senza misura */
        struct {
            struct rational chromatic; /* semitones, octaves included */
            int diatonic;              /* steps, octaves included */
        } transpose;
        struct raw_harmony *harmony;
        struct {
            struct rational offset; /* in divisions */
            const char *text;
            bool rehearsal;
        } words;
        int32_t tempo;     /* quarters a minute times 100 */
        unsigned int jump; /* enum raw_jump */
        struct {
            unsigned int flags; /* enum barline */
            int times;          /* of a backward repeat, 2 by default */
            uint32_t endings;   /* bit n-1: ending n; 0 none */
        } barline;
    };
};

struct raw_harmony {
    struct chord_source chord;
    struct rational offset; /* in divisions */
    /* A root given as a scale degree (numeral, function): 1..7 or 0, with
     * its alteration and the key it counts in where one is given. */
    int numeral;
    int numeral_alter;
    bool numeral_has_key;
    int numeral_fifths;
    uint8_t numeral_mode;
};

struct raw_bar {
    const char *number;
    bool implicit;
    size_t first, count; /* events */
};

struct raw_part {
    const char *id, *name, *instrument;
    struct raw_bar *bars;
    size_t bar_count, bar_room;
    struct raw_event *events;
    size_t event_count, event_room;
    bool has_melody;  /* a pitched note that is neither grace nor cue */
    bool has_harmony;
};

/* What no score of music has; a file with more is refused, so that memory and
 * time stay within bounds whatever is in it. */
enum {
    SCORE_BARS_MAX = 20000,     /* in one part */
    SCORE_EVENTS_MAX = 2000000, /* notes, chords, words ... and bars, in all */
    SCORE_NOTES_MAX = 100000,   /* of the line */
    SCORE_WORDS_MAX = 1 << 20   /* bytes of words; the rest is left out */
};

struct raw_score {
    struct solo *solo; /* owns the texts; header facts are set in it */
    struct raw_part *parts;
    size_t part_count;
    struct warning *warnings; /* collected here, moved into the solo */
    size_t warning_count, warning_room;
    char *crowded;      /* the text of the last of very many warnings */
    size_t events;      /* of all parts, and their bars */
    size_t words;       /* bytes of them */
    bool words_cut;
    const char *excess; /* what the file has too much of; NULL nothing */
    bool nomem;
};

void raw_score_free(struct raw_score *score); /* the arrays, not the solo */

/* Add a warning; TEXT is formatted.  At most WARNINGS_MAX are kept, the last
 * of which says how many more there were. */
enum { WARNINGS_MAX = 200 };
void score_warn(struct raw_score *score, const char *part, const char *bar,
                const char *element, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

/* Make the line, chords and bars of the solo from the parts.  WANTED is a
 * part's name or id, or NULL.  ST_INPUT where there is no such part. */
enum status line_make(struct raw_score *score, const char *wanted,
                      struct fault *why);

/* The play order of the bars of PART into the solo: repeats, endings, D.C.,
 * D.S., coda, fine. */
enum status playorder_make(struct raw_score *score,
                           const struct raw_part *part, struct fault *why);

#endif
