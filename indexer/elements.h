/* indexer/elements.h - MusicXML elements -> struct raw_score.
 *
 * The state machine behind the XML reader: it is told of every element with
 * its parent, and of the text of those it asks for.  It never fails: what it
 * cannot use becomes a warning.
 */
#ifndef INDEXER_ELEMENTS_H
#define INDEXER_ELEMENTS_H

#include "indexer/score.h"

/* The elements that mean something to this program; in the order of the table
 * in elements.c. */
enum element {
    EL_OTHER,
    EL_ALTER,
    EL_BACKUP,
    EL_BAR_STYLE,
    EL_BARLINE,
    EL_BASS,
    EL_BASS_ALTER,
    EL_BASS_STEP,
    EL_BEAT_TYPE,
    EL_BEAT_UNIT,
    EL_BEAT_UNIT_DOT,
    EL_BEATS,
    EL_CHORD,
    EL_CHROMATIC,
    EL_CODA,
    EL_CREATOR,
    EL_CREDIT,
    EL_CREDIT_TYPE,
    EL_CREDIT_WORDS,
    EL_CUE,
    EL_DEGREE,
    EL_DEGREE_ALTER,
    EL_DEGREE_TYPE,
    EL_DEGREE_VALUE,
    EL_DIATONIC,
    EL_DIRECTION,
    EL_DIRECTION_TYPE,
    EL_DIVISIONS,
    EL_DURATION,
    EL_ENDING,
    EL_FIFTHS,
    EL_FORWARD,
    EL_FUNCTION,
    EL_GRACE,
    EL_HARMONY,
    EL_INSTRUMENT_NAME,
    EL_KEY,
    EL_KIND,
    EL_MEASURE,
    EL_METRONOME,
    EL_MODE,
    EL_MOVEMENT_TITLE,
    EL_NOTE,
    EL_NUMERAL,
    EL_NUMERAL_ALTER,
    EL_NUMERAL_FIFTHS,
    EL_NUMERAL_MODE,
    EL_NUMERAL_ROOT,
    EL_OCTAVE,
    EL_OCTAVE_CHANGE,
    EL_OFFSET,
    EL_PART,
    EL_PART_NAME,
    EL_PER_MINUTE,
    EL_PITCH,
    EL_REHEARSAL,
    EL_REPEAT,
    EL_REST,
    EL_ROOT,
    EL_ROOT_ALTER,
    EL_ROOT_STEP,
    EL_SCORE_PART,
    EL_SCORE_PARTWISE,
    EL_SCORE_TIMEWISE,
    EL_SEGNO,
    EL_SENZA_MISURA,
    EL_SOUND,
    EL_STAFF,
    EL_STEP,
    EL_TIE,
    EL_TIME,
    EL_TRANSPOSE,
    EL_UNPITCHED,
    EL_VOICE,
    EL_WORDS,
    EL_WORK,
    EL_WORK_TITLE,
    ELEMENTS
};

enum element element_named(const char *name);
/* Is the text of this element wanted? */
bool element_has_text(enum element element);

struct elements; /* opaque */

/* The machine writes into SCORE, which must outlive it.  NULL: no memory. */
struct elements *elements_new(struct raw_score *score);
void elements_free(struct elements *e); /* NULL is allowed */

/* The attributes of an element, as a function from name to value (NULL where
 * absent); values are valid during the call. */
struct attributes {
    const char *(*get)(const struct attributes *self, const char *name);
};

void elements_start(struct elements *e, enum element element,
                    enum element parent, const struct attributes *attributes);
/* TEXT is the trimmed text of the element, "" where none was wanted. */
void elements_end(struct elements *e, enum element element,
                  enum element parent, const char *text);
/* The document is complete: facts that come from several places are set. */
void elements_finish(struct elements *e);

#endif
