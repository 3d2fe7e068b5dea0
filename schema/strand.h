/* schema/strand.h - what a question needs of every note, a byte a note.
 *
 * A strand is one byte for each note of a solo, in order.  The index keeps
 * the strands of many solos one behind the other, so that a whole library
 * can be looked through, and places judged and scored, without taking solos
 * apart one by one.  Strands say only what the solo says; where a byte cannot
 * say it (STRAND_UNSAID), the notes have to be asked.
 *
 *   MIDI      the pitch as it sounds
 *   MARK      bits of enum strand_mark, and in the lowest three the strength
 *             of the onset (solo_onset_strength())
 *   PLACE     the chord the note is heard under and the degree it is of it:
 *             see struct strand_chord
 *   FOLLOW    enum follow_tone of the note + 4 * enum follow_motion
 *             + 32 * enum follow_line, both as if a place ended here
 *   GAP       quarters to the next onset, a code (see struct strand_codes);
 *             of no meaning at the last note
 *   LENGTH    quarters it sounds, a code
 *   TONES     the tones of the chord it is heard under (chord.tones), a code;
 *             0 no chord
 *   FUNCTION  the function of that chord, a code; 0 none
 *   CHORUS    the chorus its bar stands in, of how many, a code; 0 in none
 *   BAR       the bar of that chorus and its section, a code; 0 in none
 *   BEAT      solo_beat(), a code
 */
#ifndef SCHEMA_STRAND_H
#define SCHEMA_STRAND_H

#include "schema/solo.h"

enum strand {
    STRAND_MIDI,
    STRAND_MARK,
    STRAND_PLACE,
    STRAND_FOLLOW,
    STRAND_GAP,
    STRAND_LENGTH,
    STRAND_TONES,
    STRAND_FUNCTION,
    STRAND_CHORUS,
    STRAND_BAR,
    STRAND_BEAT,
    STRANDS
};

enum strand_mark {
    MARK_STRENGTH = 7,
    MARK_PHRASE = 8,        /* a phrase starts */
    MARK_CHORUS = 16,       /* form_opens() a chorus */
    MARK_SECTION = 32,      /* form_opens() a section */
    MARK_FOUR = 64,         /* form_opens_four() of its bar */
    MARK_OTHER_CHORD = 128  /* heard under another chord (chord_equal()) than
                               the note before; the first note too */
};

enum {
    STRAND_UNSAID = 255, /* a code: the notes have to be asked */
    PLACE_NONE = 254,    /* no chord, or N.C. */
    PLACE_UNSAID = 255
};

/* What a byte of STRAND_PLACE says of the chord a note is heard under. */
struct strand_chord {
    bool said;         /* false: the notes have to be asked */
    bool sounds;       /* false: none, or N.C. */
    struct chord chord; /* class, altered, sus, has_root, root_pc; no tones */
};
void strand_chord(struct strand_chord *out, uint8_t place, uint8_t midi);

/* Two bytes of STRAND_PLACE of notes at these pitches: do they say the same
 * chord?  Its tones may still differ. */
bool strand_same_chord(uint8_t place_a, uint8_t midi_a, uint8_t place_b,
                       uint8_t midi_b);

/* The kinds of codes; each counts up from 1 in the order in which they were
 * first needed, for the whole library. */
enum strand_code {
    CODE_VALUE,
    CODE_FUNCTION,
    CODE_TONES,
    CODE_CHORUS,
    CODE_BAR,
    CODE_BEAT,
    CODE_KINDS
};

/* What the codes of a library stand for; 0 and STRAND_UNSAID for nothing. */
struct strand_codes {
    int counts[CODE_KINDS]; /* codes 1..COUNT are in use */
    struct rational values[STRAND_UNSAID]; /* quarters */
    uint16_t tones[STRAND_UNSAID];
    struct strand_chorus {
        int32_t number, of; /* from 1; how many the solo has */
    } choruses[STRAND_UNSAID];
    struct strand_bar {
        int32_t number;      /* of the chorus, from 1 */
        const char *section; /* its letter, borrowed; "" none */
    } bars[STRAND_UNSAID];
    struct rational beats[STRAND_UNSAID];
    char *texts[CODE_KINDS][STRAND_UNSAID];
};

/* Find or make the code of TEXT ("3/2" for a value or a beat, "ii7" for a
 * function, "145" for tones, "2/5" for a chorus, "17 B" for a bar).
 * STRAND_UNSAID where there is none left, or on failure, which the maker
 * remembers. */
typedef uint8_t (*strand_coder)(void *context, enum strand_code kind,
                                const char *text);

/* Write the strands of SOLO, whose notes are placed: OUT[s] has room for a
 * byte a note. */
void strands_write(uint8_t *const out[STRANDS], const struct solo *solo,
                   strand_coder code, void *context);

/* STRAND_MARK and STRAND_FOLLOW of SOLO alone. */
void strands_mark(uint8_t *mark, uint8_t *follow, const struct solo *solo);

/* Work out from its text what CODE of KIND stands for.  False where the text
 * is none that strands_write() asks for. */
bool strand_code_read(struct strand_codes *codes, enum strand_code kind,
                      int code);

/* A value as text; false where no code stands for it: such values are asked
 * of the notes. */
#define STRAND_VALUE_SIZE 24
bool strand_value_text(char out[STRAND_VALUE_SIZE], struct rational value);
/* And back; false where TEXT is none. */
bool strand_value_read(struct rational *out, const char *text);

#endif
