/* schema/pitch.h - spelled pitch, interval and degree names.
 *
 * A pitch is a step (0 = C ... 6 = B), an alteration and an octave (C4 is
 * middle C, MIDI 60).  The alteration is in cents of a semitone, so that a
 * quarter tone is 50; pitch classes run from 0 (C) to 11 (B).
 */
#ifndef SCHEMA_PITCH_H
#define SCHEMA_PITCH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { PITCH_ALTER_MAX = 1200, PITCH_OCTAVE_MIN = -1, PITCH_OCTAVE_MAX = 10 };

struct pitch {
    int8_t step;   /* 0..6 */
    int8_t octave; /* PITCH_OCTAVE_MIN..PITCH_OCTAVE_MAX */
    int16_t alter; /* cents: 100 is one sharp, -50 a quarter tone flat */
};

/* X modulo N in 0..N-1 also for negative X. */
static inline int pitch_modulo(int x, int n)
{
    int rest = x % n;

    return rest < 0 ? rest + n : rest;
}

/* Semitones above C of the natural STEP 0..6: 0 2 4 5 7 9 11. */
int pitch_step_semitones(int step);

/* The nearest MIDI number, quarter tones rounded half up.  Not clamped: the
 * caller decides what is in range.  (MIDI standard: 69 is A4, 440 Hz.) */
int pitch_midi(struct pitch p);

/* Move P by CHROMATIC semitones and DIATONIC steps (octaves are counted in
 * both: an octave up is 12 and 7).  When DIATONIC would need an alteration
 * beyond a double sharp or flat, the simplest spelling is used instead.  The
 * octave may leave PITCH_OCTAVE_MIN..MAX; it is held within -100..100. */
struct pitch pitch_transpose(struct pitch p, int chromatic, int diatonic);

/* The simplest spelling of MIDI: a note of the key signature FIFTHS (-7..7)
 * as the key has it, any other white key by its plain name, any other black
 * key on the side of the key (0 prefers Bb, Eb, Ab, F#, C#). */
struct pitch pitch_spell(int midi, int fifths);

/* "Bb4", "F##4", "C4"; a quarter tone reads "C(1/2)4".  Returns OUT. */
#define PITCH_TEXT_SIZE 32
char *pitch_text(char out[PITCH_TEXT_SIZE], struct pitch p);
/* The same without the octave. */
char *pitch_class_text(char out[PITCH_TEXT_SIZE], struct pitch p);

/* Read a note name at TEXT: a letter A-G (either case), accidentals (#, b, x
 * for a double sharp, and the Unicode signs), and, where WITH_OCTAVE, an
 * octave -1..10.  Returns the bytes read, 0 where there is no note name.
 * HAS_OCTAVE may be NULL; without an octave the octave is 4.  A lower-case
 * 'b' first is the note B. */
size_t pitch_parse(struct pitch *out, bool *has_octave, const char *text,
                   bool with_octave);

/* Read a scale degree such as "5", "b3", "#11", "bb7": one to two accidentals
 * and a number 1..13.  *SEMITONES is its distance above the root, -1..23 (9
 * is 14, b1 is -1, 8 is 12).  Returns the bytes read, 0 where there is no
 * degree. */
size_t pitch_parse_degree(int *number, int *semitones, const char *text);

#endif
