/* query/tension.h - every note on one degree of such a chord, and a table of
 * all tensions.
 *
 * The chord of a note is the one it is heard under (note.heard, anticipation
 * applied), as for find.  A note counts where that chord has a root; over
 * nothing and over N.C. there are no degrees.  Degrees are semitones above the
 * root, so b3 and #9 are one question; what a hit is called is what
 * chord_degree_name() says of it over its chord.
 *
 * Approach is the move from the note before to this one, departure the move
 * from this one to the note after: neighbours in the line, rests do not
 * matter, unless place.within_phrase is asked, which counts neighbours of the
 * same phrase only.  By the size of the interval (common practice, no source):
 *
 *   repeated   no semitone
 *   chromatic  one semitone, whatever the key
 *   step       one or two semitones: what is chromatic is a step as well
 *   leap       three semitones or more
 *
 * An approach "from below" moves up, one "from above" down.
 *
 * A note resolves when the chord changes: to the note after, where that is
 * the first one heard under the next different chord (rank_leads_across()).
 * So only the note that leads across the change resolves, and none does where
 * the chord stays, where the next chord has no root to count from (N.C.), or
 * where the line is silent through the next chord.  The next note need not lie
 * a step away.
 *
 * Prominence, whole thousandths by whole thousandths as in rank.h:
 *
 *   score = 0.40 length + 0.25 beat + 0.20 peak + 0.15 end
 *
 *   length  half the quarters it lasts, in thousandths, rounded down: an eighth
 *           250, a quarter 500, a half note or more 1000
 *   beat    by onset strength: bar line 1000, middle of the bar 900, beat 800,
 *           between two beats 600, other 400
 *   peak    no note of its phrase is higher 1000; both its neighbours in the
 *           phrase are lower 500; else 0.  Where phrases were not analysed
 *           there is no highest note.
 *   end     the last note of its phrase 1000; the first 500; else 0
 *
 * That a note stands out so is common practice, no source; the numbers are our
 * own choice.
 */
#ifndef QUERY_TENSION_H
#define QUERY_TENSION_H

#include "query/fragment.h"
#include "query/place.h"
#include "query/solo_list.h"
#include "schema/solo.h"

enum {
    TENSION_ANY = -1,            /* any degree */
    TENSION_WEIGHT_LENGTH = 400, /* thousandths, 1000 together */
    TENSION_WEIGHT_BEAT = 250,
    TENSION_WEIGHT_PEAK = 200,
    TENSION_WEIGHT_END = 150
};

/* By the strength of the onset. */
enum tension_accent {
    TENSION_STRONG, /* on the bar line or in the middle of the bar */
    TENSION_WEAK,   /* on another beat */
    TENSION_OFF,    /* between the beats */
    TENSION_ACCENTS
};

enum tension_in_phrase {
    TENSION_FIRST,
    TENSION_LAST,
    TENSION_HIGHEST,
    TENSION_IN_PHRASES
};

enum tension_move {
    TENSION_MOVE_ANY,
    TENSION_REPEATED,
    TENSION_CHROMATIC,
    TENSION_STEP,
    TENSION_LEAP
};

/* A move that is asked for. */
struct tension_way {
    enum tension_move move;
    int direction; /* 1 up, -1 down, 0 either */
};

struct tension_query {
    int degree;       /* semitones above the root, 0..11, or TENSION_ANY */
    struct over over; /* count 0 or 1 */
    bool has_shortest, has_longest;
    struct rational shortest, longest; /* quarters, both included */
    int accent;                        /* enum tension_accent, -1 any */
    int in_phrase;                     /* enum tension_in_phrase, -1 any */
    struct tension_way approach, departure;
    bool has_resolution; /* it resolves */
    int resolution;      /* to this degree, or TENSION_ANY */
    struct place place;
    struct filter filter;
    size_t limit; /* hits kept; 0: all */
};
#define TENSION_QUERY_ALL                                                      \
    ((struct tension_query){ .degree = TENSION_ANY,                            \
                             .accent = -1,                                     \
                             .in_phrase = -1,                                  \
                             .resolution = TENSION_ANY })

/* --- one note ------------------------------------------------------------- */

enum tension_peak {
    TENSION_NO_PEAK,
    TENSION_LOCAL_PEAK,
    TENSION_PHRASE_PEAK
};
enum tension_end {
    TENSION_INSIDE,
    TENSION_STARTS,
    TENSION_ENDS /* also where it does both */
};

/* What there is to know of a note.  Borrows constants only. */
struct tension_note {
    size_t index;
    int32_t chord; /* heard, an index into chords */
    int semitones; /* above its root, 0..11 */
    const char *degree;
    bool has_before, has_after; /* a neighbour that counts */
    int before, after;          /* semitones moved to it, and from it */
    int strength;               /* of its onset, 0..4 */
    enum tension_peak peak;
    enum tension_end end;
    bool starts; /* its phrase */
    bool resolves;
    int32_t to_chord; /* where it resolves to */
    int to_semitones;
    const char *to_degree;
    struct tension_parts {
        int length, beat, peak, end; /* thousandths */
        int score;                   /* millionths */
    } parts;
};

/* A phrase of a solo, so that it need not be looked through for every note of
 * it; all zero at first, and as long as the solo is the same. */
struct tension_phrase {
    size_t first, end; /* notes from FIRST to before END */
    int top;           /* MIDI of the highest */
};

/* May the note INDEX of SOLO be one that is asked for, as far as its degree and
 * its chord tell?  Told soon, so that most notes need not be read. */
bool tension_may_fit(const struct tension_query *query, const struct solo *solo,
                     size_t index);

/* Fill OUT for the note INDEX of SOLO; false where it has no degree. */
bool tension_note_read(struct tension_note *out, struct tension_phrase *phrase,
                       const struct tension_query *query,
                       const struct solo *solo, size_t index);

/* Does it fit everything asked but the degree? */
bool tension_note_fits(const struct tension_query *query,
                       const struct solo *solo,
                       const struct tension_note *note);

/* Is DEGREE, as chord_degree_name() has it, a tension: b9 9 #9 11 #11 b13 13?
 * (The 4 of a sus and the 6 of a sixth chord are chord tones.) */
bool tension_is_one(const char *degree);

/* --- every note on a degree ----------------------------------------------- */

struct tension_hit {
    size_t solo; /* index into the list */
    struct tension_note note;
    int plays; /* how often its bar is played */
};

struct tension_result {
    uint64_t total, solos_with_hits;
    /* Best first: by score, path (bytes), note. */
    struct tension_hit *hits;
    size_t hit_count;
    struct solo_list list; /* the solos looked at */
    struct solo **solos;   /* of the list; NULL where no hit is kept */
};

/* Answer QUERY in one read transaction of STORE.  ST_OK also where nothing is
 * found; *OUT is empty after a failure.  Release with tension_result_free().
 * Hits beyond the limit are counted, not kept. */
enum status tension_run(struct tension_result *out, struct store *store,
                        const struct tension_query *query, struct fault *why);
void tension_result_free(struct tension_result *result);

/* --- the table ------------------------------------------------------------ */

/* Where the notes of a row go when the chord changes. */
struct tension_goal {
    const char *degree; /* over the next chord */
    int class;          /* of the next chord */
    uint64_t count;
};

struct tension_row {
    int class; /* enum chord_class */
    const char *degree;
    uint64_t count;
    uint64_t notes;                /* over chords of the class, on any degree */
    struct rational mean_duration; /* quarters */
    uint64_t resolved;             /* how many of them resolve */
    struct tension_goal *goals;    /* most frequent first, then by degree and
                                      class */
    size_t goal_count;
};

struct tension_table {
    struct tension_row *rows; /* by class, then degree; none with count 0 */
    size_t row_count;
    uint64_t notes; /* of any degree that fit the question */
    uint64_t total; /* in the rows */
    uint64_t solos; /* with notes in the rows */
};

/* Count what fits QUERY by chord class and name of the degree: tensions alone
 * where QUERY asks for any degree, else that one whatever it is called.  NOTES
 * count all that fit but for the degree.  As tension_run() in all else. */
enum status tension_table_run(struct tension_table *out, struct store *store,
                              const struct tension_query *query,
                              struct fault *why);
void tension_table_free(struct tension_table *table);

#endif
