/* score_text.h - small scores for tests, written as text. */
#ifndef TESTS_UNIT_SCORE_TEXT_H
#define TESTS_UNIT_SCORE_TEXT_H

#include "indexer/musicxml.h"

/* Read XML (LEN bytes; strlen() where LEN is 0) as a file.  NULL where it is
 * refused: WHY says why. */
struct solo *score_read(const char *xml, size_t len, const char *part,
                        struct fault *why);

/* A score of one part whose measures are MEASURES. */
struct solo *score_measures(const char *measures);

/* One-part document around MEASURES; the caller frees it. */
char *score_document(const char *measures);

/* "60 62+3/2 ..." : MIDI number of each note with @bar+onset:duration. */
void score_notes_text(char *out, size_t size, const struct solo *solo);

#define ATTRIBUTES(divisions, beats, type)                                   \
    "<attributes><divisions>" #divisions "</divisions>"                      \
    "<time><beats>" #beats "</beats><beat-type>" #type                       \
    "</beat-type></time></attributes>"
#define NOTE(step, octave, duration)                                         \
    "<note><pitch><step>" #step "</step><octave>" #octave                    \
    "</octave></pitch><duration>" #duration "</duration></note>"
#define NOTE_WITH(before, step, octave, duration, after)                     \
    "<note>" before "<pitch><step>" #step "</step><octave>" #octave          \
    "</octave></pitch><duration>" #duration "</duration>" after "</note>"
#define REST(duration)                                                       \
    "<note><rest/><duration>" #duration "</duration></note>"
#define CHORD(step, kind)                                                    \
    "<harmony><root><root-step>" #step "</root-step></root><kind>" #kind     \
    "</kind></harmony>"
#define MEASURE(number, content)                                             \
    "<measure number=\"" #number "\">" content "</measure>"

#endif
