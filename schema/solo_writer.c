/* schema/solo_writer.c - see solo_writer.h. */
#include "schema/solo_writer.h"

#include <stdlib.h>
#include <string.h>

void writer_byte(struct writer *w, unsigned int value)
{
    if (w->size == w->room && !w->failed) {
        size_t room = w->room ? w->room * 2 : 4096;
        unsigned char *grown = realloc(w->bytes, room);

        if (grown) {
            w->bytes = grown;
            w->room = room;
        } else {
            w->failed = true;
        }
    }
    if (!w->failed)
        w->bytes[w->size++] = (unsigned char)value;
}

void writer_uint(struct writer *w, uint64_t value)
{
    for (; value >= 0x80; value >>= 7)
        writer_byte(w, (unsigned int)(value & 0x7f) | 0x80);
    writer_byte(w, (unsigned int)value);
}

void writer_int(struct writer *w, int64_t value)
{
    writer_uint(w, ((uint64_t)value << 1) ^ (uint64_t)(value < 0 ? -1 : 0));
}

/* Most differ in their first byte. */
static bool is_same_text(const char *a, const char *b)
{
    return *a == *b && strcmp(a, b) == 0;
}

void writer_text(struct writer *w, const char *text)
{
    size_t most = w->new_texts < TEXT_WINDOW ? w->new_texts : TEXT_WINDOW;
    size_t ago = 0, len;

    if (!*text) {
        writer_uint(w, 0);
        return;
    }
    while (
        ago < most &&
        !is_same_text(w->texts[(w->new_texts - 1 - ago) % TEXT_WINDOW], text))
        ago++;
    if (ago < most) {
        writer_uint(w, ago << 1 | 1);
        return;
    }
    w->texts[w->new_texts++ % TEXT_WINDOW] = text;
    len = strlen(text);
    writer_uint(w, len << 1);
    for (size_t i = 0; i < len; i++)
        writer_byte(w, (unsigned char)text[i]);
}

void writer_pitch(struct writer *w, struct pitch p, unsigned int more)
{
    bool tempered = p.alter % 100 == 0 && p.alter >= -200 && p.alter <= 200;
    unsigned int alter = tempered ? (unsigned int)(p.alter / 100 + 2)
                                  : (unsigned int)ALTER_CENTS;

    writer_byte(w, (unsigned int)p.step | alter << PITCH_ALTER_SHIFT |
                       (p.octave != 0 ? PITCH_OCTAVE : 0u) | more);
    if (!tempered)
        writer_int(w, p.alter);
    if (p.octave != 0)
        writer_int(w, p.octave);
}
