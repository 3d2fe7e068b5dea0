/* schema/solo_writer.h - put the bytes of a solo together (solo_codec.h).
 *
 * Private to solo_writer.c and solo_encode*.c.
 */
#ifndef SCHEMA_SOLO_WRITER_H
#define SCHEMA_SOLO_WRITER_H

#include "schema/solo_codec.h"

/* Once memory was out nothing more is written. */
struct writer {
    unsigned char *bytes;
    size_t size, room;
    bool failed;
    const char *texts[TEXT_WINDOW];
    size_t new_texts;
};

void writer_byte(struct writer *w, unsigned int value);
void writer_uint(struct writer *w, uint64_t value);
void writer_int(struct writer *w, int64_t value);
/* TEXT must last as long as the writer. */
void writer_text(struct writer *w, const char *text);
/* MORE: PITCH_UNUSUAL or nothing. */
void writer_pitch(struct writer *w, struct pitch p, unsigned int more);

static inline bool writer_same_pitch(struct pitch a, struct pitch b)
{
    return a.step == b.step && a.octave == b.octave && a.alter == b.alter;
}

/* The chords of SOLO; and its notes. */
void solo_encode_chords(struct writer *w, const struct solo *solo);
void solo_encode_notes(struct writer *w, const struct solo *solo);

#endif
