/* schema/pitch.c - spelled pitch, interval and degree names. */
#include "schema/pitch.h"

#include <stdio.h>
#include <string.h>

#include "schema/rational.h"

/* Octaves are kept within what the struct can hold, well beyond MIDI. */
enum {
    OCTAVE_HELD = 100
};

/* Positions on the line of fifths: F is -1, C 0, G 1 ... B 5. */
static const int8_t step_of_fifth[7] = { 3, 0, 4, 1, 5, 2, 6 };

static int floor_divide(int x, int n)
{
    return (x - pitch_modulo(x, n)) / n;
}

int pitch_step_semitones(int step)
{
    static const int8_t semitones[7] = { 0, 2, 4, 5, 7, 9, 11 };

    return semitones[pitch_modulo(step, 7)];
}

/* Cents above the C of octave -1, MIDI 0. */
static int pitch_cents(struct pitch p)
{
    return 100 * (12 * (p.octave + 1) + pitch_step_semitones(p.step)) + p.alter;
}

int pitch_midi(struct pitch p)
{
    return floor_divide(pitch_cents(p) + 50, 100);
}

static int8_t hold_octave(int octave)
{
    if (octave > OCTAVE_HELD)
        return OCTAVE_HELD;
    return (int8_t)(octave < -OCTAVE_HELD ? -OCTAVE_HELD : octave);
}

static int clamp(int x, int limit)
{
    return x > limit ? limit : x < -limit ? -limit : x;
}

struct pitch pitch_transpose(struct pitch p, int chromatic, int diatonic)
{
    enum {
        FAR = 12 * 2 * OCTAVE_HELD
    };
    int place, target, alter;
    struct pitch moved;

    chromatic = clamp(chromatic, FAR);
    diatonic = clamp(diatonic, FAR);
    place = p.step + diatonic;
    target = pitch_cents(p) + 100 * chromatic;
    moved.step = (int8_t)pitch_modulo(place, 7);
    moved.octave = hold_octave(p.octave + floor_divide(place, 7));
    moved.alter = 0;
    alter = target - pitch_cents(moved);
    if (alter > 200 || alter < -200) {
        /* Spell the semitone at or below, and keep the quarter tone. */
        moved = pitch_spell(floor_divide(target, 100), 0);
        alter = moved.alter + pitch_modulo(target, 100);
    }
    moved.alter = (int16_t)alter;
    return moved;
}

/* The place of pitch class PC on the line of fifths in a key signature of
 * FIFTHS: a note of the key as the key has it, any other white key by its
 * plain name, any other black key on the side of the key. */
static int place_on_fifths(int pc, int fifths)
{
    /* A fifth is 7 semitones and 7 * 7 = 1 modulo 12. */
    int place = pitch_modulo(pc * 7, 12);
    int in_key = fifths - 1 + pitch_modulo(place - (fifths - 1), 12);
    int natural = -1 + pitch_modulo(place + 1, 12);

    if (in_key <= fifths + 5)
        return in_key;
    if (natural <= 5)
        return natural;
    return fifths - 4 + pitch_modulo(place - (fifths - 4), 12);
}

struct pitch pitch_spell(int midi, int fifths)
{
    int place = place_on_fifths(pitch_modulo(midi, 12), clamp(fifths, 7));
    int sharps = floor_divide(place + 1, 7);
    int step = step_of_fifth[pitch_modulo(place + 1, 7)];
    int natural = midi - sharps - pitch_step_semitones(step);

    return (struct pitch){
        .step = (int8_t)step,
        .octave = hold_octave(floor_divide(natural, 12) - 1),
        .alter = (int16_t)(100 * sharps),
    };
}

char *pitch_class_text(char out[PITCH_TEXT_SIZE], struct pitch p)
{
    char *end = out;

    *end++ = "CDEFGAB"[pitch_modulo(p.step, 7)];
    if (p.alter % 100 == 0) {
        int signs = clamp(p.alter / 100, PITCH_ALTER_MAX / 100);
        size_t count = (size_t)(signs < 0 ? -signs : signs);

        memset(end, signs < 0 ? 'b' : '#', count);
        end[count] = '\0';
    } else {
        int common = (int)rational_gcd(p.alter, 100);

        snprintf(end, PITCH_TEXT_SIZE - 1, "(%d/%d)", p.alter / common,
                 100 / common);
    }
    return out;
}

char *pitch_text(char out[PITCH_TEXT_SIZE], struct pitch p)
{
    char *end = out + strlen(pitch_class_text(out, p));

    if (p.octave < 0 || p.octave > 9) {
        snprintf(end, PITCH_TEXT_SIZE - (size_t)(end - out), "%d", p.octave);
        return out;
    }
    *end++ = (char)('0' + p.octave);
    *end = '\0';
    return out;
}

/* Read one accidental: its semitones in *SIGN.  Returns its bytes or 0. */
static size_t read_accidental(int *sign, const char *text)
{
    static const struct {
        const char *text;
        int sign;
    } signs[] = {
        { "#", 1 },
        { "b", -1 },
        { "\xe2\x99\xaf", 1 },  /* U+266F sharp */
        { "\xe2\x99\xad", -1 }, /* U+266D flat */
        { "\xe2\x99\xae", 0 },  /* U+266E natural */
        { "x", 2 },
        { "\xf0\x9d\x84\xaa", 2 },  /* U+1D12A double sharp */
        { "\xf0\x9d\x84\xab", -2 }, /* U+1D12B double flat */
    };

    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++) {
        size_t length = strlen(signs[i].text);

        if (strncmp(text, signs[i].text, length) == 0) {
            *sign = signs[i].sign;
            return length;
        }
    }
    return 0;
}

/* Read accidentals of one direction, together at most two semitones.  The
 * sum is in *ALTER; returns the bytes read. */
static size_t read_accidentals(int *alter, const char *text)
{
    size_t read = 0, length;
    int sign;

    *alter = 0;
    while ((length = read_accidental(&sign, text + read)) != 0) {
        int sum = *alter + sign;

        if (sum > 2 || sum < -2 || sign * *alter < 0)
            break;
        *alter = sum;
        read += length;
        if (sign == 0)
            break;
    }
    return read;
}

/* Read an octave -1..10.  Returns its bytes or 0. */
static size_t read_octave(int *octave, const char *text)
{
    if (text[0] == '-' && text[1] == '1') {
        *octave = -1;
        return 2;
    }
    if (text[0] == '1' && text[1] == '0') {
        *octave = 10;
        return 2;
    }
    if (text[0] < '0' || text[0] > '9')
        return 0;
    *octave = text[0] - '0';
    return 1;
}

size_t pitch_parse(struct pitch *out, bool *has_octave, const char *text,
                   bool with_octave)
{
    static const char letters[] = "CDEFGABcdefgab";
    const char *letter = text[0] ? strchr(letters, text[0]) : NULL;
    int alter, octave = 4;
    size_t read = 1, octave_read = 0;

    if (!letter)
        return 0;
    read += read_accidentals(&alter, text + read);
    if (with_octave)
        octave_read = read_octave(&octave, text + read);
    if (has_octave)
        *has_octave = octave_read != 0;
    *out = (struct pitch){
        .step = (int8_t)((letter - letters) % 7),
        .octave = (int8_t)octave,
        .alter = (int16_t)(100 * alter),
    };
    return read + octave_read;
}

size_t pitch_parse_degree(int *number, int *semitones, const char *text)
{
    int alter, n = 0;
    size_t read = read_accidentals(&alter, text), start = read;

    while (text[read] >= '0' && text[read] <= '9' && n <= 13)
        n = 10 * n + (text[read++] - '0');
    if (read == start || text[start] == '0' || n > 13)
        return 0;
    *semitones = 12 * ((n - 1) / 7) + pitch_step_semitones(n - 1) + alter;
    if (*semitones < -1)
        return 0;
    *number = n;
    return read;
}
