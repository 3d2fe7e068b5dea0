/* chord_fixture.h - chords and notes in the words of musicians, for tests. */
#ifndef TESTS_UNIT_CHORD_FIXTURE_H
#define TESTS_UNIT_CHORD_FIXTURE_H

#include "schema/chord.h"

enum {
    FIXTURE_NOTES_MAX = 40
};

/* The chord SYMBOL; a test fails where it does not read. */
struct chord chord(const char *symbol);

/* The same moved by SEMITONES (0..11). */
struct chord chord_moved(const char *symbol, int semitones);

/* Notes "A4 F4 E4 D4" as MIDI numbers and as they are spelled (NULL allowed);
 * without octaves they are in octave 4.  Returns their number. */
size_t notes_read(int midi[FIXTURE_NOTES_MAX],
                  struct pitch spelled[FIXTURE_NOTES_MAX], const char *text);

/* Chords of every class, those that are read in several ways more than
 * once. */
extern const char *const every_class[];
extern const int every_class_count;

#endif
