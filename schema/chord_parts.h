/* schema/chord_parts.h - the spelled degrees a chord is built of.
 *
 * Shared by the files schema/chord*.c only; everyone else uses
 * schema/chord.h.  Degrees are kept by place 1..7 (9 is at 2, 11 at 4, 13 at
 * 6) with their alteration in semitones against the major scale: the minor
 * seventh is place 7, alteration -1.
 */
#ifndef SCHEMA_CHORD_PARTS_H
#define SCHEMA_CHORD_PARTS_H

#include "schema/chord.h"

/* The bit of alteration A (-3..3) in a place. */
#define PARTS_BIT(a) ((uint8_t)(1U << ((a) + 3)))

struct chord_parts {
    uint8_t place[8]; /* [1..7], PARTS_BIT()s; the root is place 1 */
    bool diminished;  /* named as a diminished chord, not as m(b5) */
};

bool parts_have(const struct chord_parts *parts, int degree, int alter);

/* Put DEGREE (1..13) altered by ALTER against the major scale into PARTS.  A
 * raised third is the fourth and a twice lowered one the second (the ways a
 * file may write a sus).  False where no chord symbol has such a degree. */
bool parts_put(struct chord_parts *parts, int degree, int alter);
void parts_drop(struct chord_parts *parts, int degree, int alter);

/* Apply one <degree> to PARTS, which were BASE before the first of them.
 * False where it makes no sense; PARTS are then as before. */
bool parts_apply(struct chord_parts *parts, const struct chord_parts *base,
                 struct chord_degree degree);

/* Bring PARTS to the one spelling that class, suffix and tones are read
 * from; to be called once everything is applied. */
void parts_settle(struct chord_parts *parts);

/* Of settled parts: the notes as a mask of semitones above the root, and the
 * class. */
uint16_t parts_tones(const struct chord_parts *parts);
enum chord_class parts_class(const struct chord_parts *parts);
bool parts_sus(const struct chord_parts *parts);
bool parts_altered(const struct chord_parts *parts);

/* Write the suffix of settled parts as a musician does ("m7b5"); chord_parse()
 * reads it back to the same tones and class.  Returns OUT. */
char *parts_suffix(char *out, size_t size, const struct chord_parts *parts);

/* The notes of TONES that are no 1-3-5-7 or 6 of a chord of CLASS. */
uint16_t chord_tensions(uint16_t tones, enum chord_class class);
/* Whether semitone 6, or 8, stands for the fifth of such a chord. */
bool chord_fifth_is_low(uint16_t tones, enum chord_class class);
bool chord_fifth_is_high(uint16_t tones);

/* The parts of one of the 33 kinds, settled; empty for KIND_NONE, the root
 * alone for KIND_PEDAL, KIND_OTHER and KIND_FOREIGN. */
struct chord_parts kind_parts(int kind);

/* What a suffix turned out to be. */
enum suffix {
    SUFFIX_PARTS,
    SUFFIX_NONE,
    SUFFIX_PEDAL
};

/* Read the whole of TEXT as a suffix that is not empty.  Offsets in WHY
 * (NULL allowed) count from BEGIN, a place at or before TEXT. */
enum status suffix_parse(struct chord_parts *parts, enum suffix *what,
                         const char *text, const char *begin,
                         struct fault *why);

/* Read a suffix, which may be empty, up to the end of the text or the slash
 * of a bass; *AT is moved there.  ROOTLESS only chooses the words of WHY. */
enum status suffix_read(struct chord_parts *parts, enum suffix *what,
                        const char **at, const char *begin, bool rootless,
                        struct fault *why);

/* A fault for the text from AT, with what would have been understood. */
enum status chord_refuse(struct fault *why, const char *at, const char *begin,
                         bool rootless);

/* Whether the whole of TEXT says that there is no chord ("N.C."). */
bool chord_is_none_text(const char *text);

/* The first byte at or after S that is no blank.  Borrowed: within S. */
const char *chord_past_blanks(const char *s);

/* The nearest standard kind of settled PARTS. */
int parts_nearest_kind(const struct chord_parts *parts);

/* Fill all of OUT but root, bass and symbol from settled PARTS of KIND. */
void chord_fill(struct chord *out, const struct chord_parts *parts, int kind);
/* Make OUT an N.C. */
void chord_fill_none(struct chord *out);
/* Give OUT its root (NULL: none) and bass (NULL: as the root) and the symbol
 * made of them and SUFFIX. */
void chord_name(struct chord *out, const struct pitch *root,
                const struct pitch *bass, const char *suffix);

#endif
