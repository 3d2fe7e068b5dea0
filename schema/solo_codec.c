/* schema/solo_codec.c - what both ways between a solo and bytes share. */
#include "schema/solo_codec.h"

#include <endian.h>
#include <string.h>

/* The next COUNT bytes, at most 8, as a number. */
static inline uint64_t sum_word(const unsigned char *bytes, size_t count)
{
    uint64_t word = 0;

    memcpy(&word, bytes, count);
    return le64toh(word);
}

uint32_t codec_sum(const unsigned char *bytes, size_t size)
{
    /* 2^64 by the golden ratio, which is odd: no step loses what was there. */
    const uint64_t spread = UINT64_C(0x9e3779b97f4a7c15);
    uint64_t sum = size;
    size_t i;

    for (i = 0; size - i >= 8; i += 8) {
        sum = (sum ^ sum_word(bytes + i, 8)) * spread;
        sum ^= sum >> 32;
    }
    sum = (sum ^ sum_word(bytes + i, size - i)) * spread;
    return (uint32_t)(sum >> 32);
}

void codec_seal(unsigned char *bytes, size_t size)
{
    uint32_t sum = codec_sum(bytes, size - SUM_SIZE);

    for (int i = 0; i < SUM_SIZE; i++)
        bytes[size - SUM_SIZE + (size_t)i] = (unsigned char)(sum >> (8 * i));
}

size_t codec_texts_start(const char *texts[TEXT_WINDOW])
{
    static const char *const common[] = {
        /* Instruments and a part. */
        "Voice", "Guitar", "Piano", "Trumpet", "Tenor", "Alto", "P1",
        /* Metres. */
        "2/2", "3/4", "4/4",
        /* Functions (harmony.h); \303\270 is the o with a stroke. */
        "subV7/V", "subV7", "bVII7", "ii\303\2707/vi", "ii\303\2707/ii",
        "ii7/IV", "V7/iii", "V7/vi", "V7/IV", "V7/V", "V7/ii", "V7", "V+7",
        "II7", "IV7", "IVmaj7", "IV", "ii\303\2707", "iii7", "iii", "iv7",
        "iv6", "iv", "vi7", "vi", "ii7", "ii", "i7", "i6", "I7", "I6", "Imaj7",
        /* Suffixes of chords. */
        "7sus4", "sus4", "7alt", "7b9", "7#5", "aug", "13", "m9", "m6", "dim",
        "dim7", "m7b5", "maj7", "m7"
    };
    enum { COUNT = sizeof common / sizeof *common };
    _Static_assert((int)COUNT <= (int)TEXT_WINDOW, "the window holds them");

    memcpy(texts, common, sizeof common);
    return COUNT;
}

struct bar codec_bar_start(const struct solo *solo)
{
    return (struct bar){ .number = "0",
                         .metre = solo->metre,
                         .fifths = solo->fifths,
                         .mode = solo->mode };
}

void codec_line_start(struct codec_line *line, const struct solo *solo)
{
    int fifths, mode;

    *line = (struct codec_line){ .moved = -solo->transpose };
    codec_line_enter(line, solo, 0);
    solo_concert_key(solo, &fifths, &mode);
    for (int pc = 0; pc < 12; pc++) {
        struct codec_spelling_of *as = &line->spelled[pc];

        as->sounding = as->written = pitch_spell(pc, fifths);
        if (solo->transpose != 0 || solo->transpose_steps != 0)
            as->written = pitch_transpose(as->sounding, -solo->transpose,
                                          -solo->transpose_steps);
    }
}

uint8_t codec_pitch_class(struct pitch p)
{
    return (uint8_t)pitch_modulo(pitch_midi(p), 12);
}

int32_t codec_number(const char *text)
{
    int32_t value = 0;
    int digits = 0;

    for (; text[digits] >= '0' && text[digits] <= '9'; digits++) {
        if (digits == 9 || (digits > 0 && value == 0))
            return -1;
        value = value * 10 + (text[digits] - '0');
    }
    return digits > 0 && text[digits] == '\0' ? value : -1;
}
