/* schema/solo_reader.c - see solo_reader.h. */
#include "schema/solo_reader.h"

uint64_t reader_long_uint(struct reader *r)
{
    uint64_t value = 0;
    unsigned int byte, shift = 0;

    do {
        byte = reader_byte(r);
        if (shift > 63) {
            r->damaged = true;
            return 0;
        }
        value |= (uint64_t)(byte & 0x7f) << shift;
        shift += 7;
    } while (byte & 0x80);
    return value;
}

static const char *get_new_text(struct reader *r, uint64_t len)
{
    const char *text;

    if (len > (uint64_t)(r->end - r->at)) {
        r->damaged = true;
        return "";
    }
    text = solo_copy(r->solo, (const char *)r->at, (size_t)len);
    r->at += len;
    if (!text) {
        r->nomem = true;
        return "";
    }
    return r->texts[r->new_texts++ % TEXT_WINDOW] = text;
}

const char *reader_text(struct reader *r)
{
    size_t most = r->new_texts < TEXT_WINDOW ? r->new_texts : TEXT_WINDOW;
    uint64_t value = reader_uint(r), ago = value >> 1;

    if (!(value & 1))
        return value ? get_new_text(r, value >> 1) : "";
    if (ago < most)
        return r->texts[(r->new_texts - 1 - ago) % TEXT_WINDOW];
    r->damaged = true;
    return "";
}

void *reader_array(struct reader *r, size_t *count, size_t n, size_t item)
{
    void *array = solo_room(r->solo, (n ? n : 1) * item);

    *count = array ? n : 0;
    if (!array)
        r->nomem = true;
    return array;
}

struct pitch reader_rest_of_pitch(struct reader *r, unsigned int first)
{
    unsigned int alter = (first & PITCH_ALTER) >> PITCH_ALTER_SHIFT;
    struct pitch p = { .step = (int8_t)(first & PITCH_STEP) };

    if (p.step > 6 || (alter > 4 && alter != ALTER_CENTS))
        r->damaged = true;
    p.alter = alter == ALTER_CENTS
                  ? (int16_t)reader_within(r, INT16_MIN, INT16_MAX)
                  : (int16_t)(((int)alter - 2) * 100);
    if (first & PITCH_OCTAVE)
        p.octave = (int8_t)reader_within(r, INT8_MIN, INT8_MAX);
    return p;
}

struct pitch reader_pitch(struct reader *r)
{
    unsigned int first = reader_byte(r);

    if (first & PITCH_UNUSUAL)
        r->damaged = true;
    return reader_rest_of_pitch(r, first);
}

int32_t reader_bar_step(struct reader *r, int32_t bar, int64_t step)
{
    int64_t next = bar + step;

    if (next >= 0 && next < (int64_t)r->solo->bar_count)
        return (int32_t)next;
    r->damaged = true;
    return 0;
}
