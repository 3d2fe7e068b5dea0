/* query/fragment.h - what the user looks for.
 *
 * A fragment is 2 to 32 notes given as degrees, note names or intervals (see
 * README, "Writing a fragment"), with wildcards and note values, and the
 * chord it is wanted over.
 */
#ifndef QUERY_FRAGMENT_H
#define QUERY_FRAGMENT_H

#include "schema/harmony.h"
#include "schema/rational.h"

enum {
    FRAGMENT_NOTES_MAX = 32,
    OVER_CHORDS_MAX = 8,
    FRAGMENT_TOKEN_SIZE = 20, /* one note as the user wrote it, with NUL */
    FRAGMENT_TEXT_SIZE = 4096 /* holds every fragment_describe() */
};

enum fragment_language {
    FRAGMENT_DEGREES,
    FRAGMENT_NAMES,
    FRAGMENT_INTERVALS,
    FRAGMENT_FILE
};

/* What `--over` asks for: a sequence of chords, or nothing. */
struct over {
    int count; /* 0: any chord */
    struct over_chord {
        bool by_class;              /* a class word: any chord of the class */
        struct chord chord;         /* its class, tones, and root if has_root;
                                       of a function the class alone */
        char text[CHORD_TEXT_SIZE]; /* as the user wrote it */
        /* A roman numeral: the function and its harmony_function_key(); ""
         * for everything else. */
        char function[HARMONY_FUNCTION_SIZE];
        char key[HARMONY_FUNCTION_KEY_SIZE];
    } chords[OVER_CHORDS_MAX];
};

/* Read "m7", "Dm7", "dominant", "m7|7", "Dm7|G7", "ii7|V7": class words
 * first, then a roman numeral, a chord with an upper-case root, a suffix.
 * ST_SYNTAX: WHY points into TEXT. */
enum status over_parse(struct over *out, const char *text, struct fault *why);

/* Does the chord THERE (NULL: none) fit ASKED, which is no function, by its
 * class?  A chord asked as altered or sus wants just that; asked without, any
 * chord of its class will do.  Who writes "sus" means a G7sus4 as well. */
bool over_chord_fits(const struct over_chord *asked,
                     const struct chord *there);
/* Was a suspended chord asked for by its suffix?  Then a dominant with its
 * third suspended will do as well. */
bool over_any_sus(const struct over_chord *asked);

/* "a minor chord", "m7", "no chord", "V7/ii", into OUT. */
enum {
    OVER_WORDS_SIZE = 64
};
void over_chord_describe(char out[OVER_WORDS_SIZE],
                         const struct over_chord *over);

struct fragment {
    enum fragment_language language;
    size_t count; /* notes, 2..FRAGMENT_NOTES_MAX */
    /* Pitch of each note in semitones: MIDI where given in octaves or nearest
     * to a plausible start, so that differences are what counts. */
    int midi[FRAGMENT_NOTES_MAX];
    bool any[FRAGMENT_NOTES_MAX]; /* `?`: midi has no meaning there */
    /* Notes of one group keep their differences; from one group to the next
     * the distance is free.  Ascending from 0.  More than one group comes
     * only from a `?` among intervals. */
    int group[FRAGMENT_NOTES_MAX];
    /* The degree or note name of each note as the user wrote it ("b3", "A4"),
     * the sounding note for a file, "" for intervals and `?`. */
    char text[FRAGMENT_NOTES_MAX][FRAGMENT_TOKEN_SIZE];
    /* Spelled as they sound; of meaning where given_pc >= 0. */
    struct pitch spelled[FRAGMENT_NOTES_MAX];
    bool has_rhythm;
    /* Quarters to the next onset; of the last note, how long it sounds. */
    struct rational value[FRAGMENT_NOTES_MAX];
    /* Semitones (0..11) above the root of the first chord of OVER at which
     * note 0 starts, -1 where not known (no chord, no root to count note
     * names from, or the first note is `?`). */
    int start;
    /* The same for note GIVEN_AT; equal to START where that is note 0. */
    int known_start;
    /* The pitch class the fragment was given at, -1 where it was given
     * without a key: for the transposition of a hit. */
    int given_pc;    /* of the first note that is not `?` */
    size_t given_at; /* its index */
    struct over over;
};

/* Read the fragment TEXT over OVER_TEXT (NULL: any chord).  ST_SYNTAX: the
 * offset in WHY is that of the token in TEXT, or in OVER_TEXT when
 * *IN_OVER (NULL allowed) is set.  *OUT is of no meaning after a failure. */
enum status fragment_parse(struct fragment *out, const char *text,
                           const char *over_text, bool *in_over,
                           struct fault *why);

/* Read one degree as a fragment has it ("b9", "#11", "6"), with nothing else:
 * *SEMITONES is 0..11 above the root, -1 for `?`.  ST_SYNTAX: WHY points into
 * TEXT. */
enum status fragment_parse_degree(int *semitones, const char *text,
                                  struct fault *why);

/* Read LENGTH bytes of TEXT as the note value that may stand after a `:` ("8",
 * "4.", "8t"), in quarters.  False where it is none. */
bool fragment_parse_value(struct rational *out, const char *text,
                          size_t length);

/* The fragment held by the bars FIRST_BAR..LAST_BAR of the MusicXML file PATH:
 * the notes of the line that start there, from the first bar printed with
 * that number (NULL: the first of all) to the last one printed with the other
 * (NULL: the last of all).  Over the chords heard under its notes unless
 * OVER_TEXT is given.  ST_INPUT: the file, an unknown bar, too few or too many
 * notes or chords.  ST_SYNTAX: OVER_TEXT, WHY points into it.  ST_NOMEM. */
enum status fragment_from_file(struct fragment *out, const char *path,
                               const char *first_bar, const char *last_bar,
                               const char *over_text, struct fault *why);

/* A note value as one writes it after `:` ("8", "4.", "8t"), else "5/7 of a
 * quarter".  Returns OUT. */
#define FRAGMENT_VALUE_SIZE (RATIONAL_TEXT_SIZE + 16)
char *fragment_value_text(char out[FRAGMENT_VALUE_SIZE],
                          struct rational value);

/* The fragment as understood, in one line of plain words, e.g. "4 notes,
 * 5 b3 2 1 over Dm7 (A F E D): down a major third, down a semitone, down a
 * whole step; in any key and any rhythm".  Degrees that were given without a
 * key are shown in C.  OUT is always ended by NUL; what does not fit SIZE
 * (FRAGMENT_TEXT_SIZE always does) is cut and ST_INTERNAL returned, ST_OK
 * otherwise. */
enum status fragment_describe(const struct fragment *f, char *out, size_t size);

#endif
