/* schema/strand.c - see strand.h. */
#include "schema/strand.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/follow.h"

/* A byte of STRAND_PLACE: what kind of chord, and the degree in semitones or
 * ROOTLESS.  The kinds are the classes and three of a dominant. */
enum {
    ALTERED = CHORD_CLASSES,
    SUS,
    ALTERED_SUS,
    KINDS,
    ROOTLESS = 12,
    DEGREES
};

_Static_assert(KINDS * DEGREES <= PLACE_NONE, "places fit a byte");

/* --- places -------------------------------------------------------------- */

static int kind_of(const struct chord *chord)
{
    if (!chord->altered && !chord->sus)
        return chord->class;
    if (chord->class != CHORD_DOMINANT)
        return -1;
    if (chord->altered)
        return chord->sus ? ALTERED_SUS : ALTERED;
    return SUS;
}

static uint8_t place_of(const struct chord *chord, int midi)
{
    int kind = chord ? kind_of(chord) : 0;
    int degree = ROOTLESS;

    if (!chord)
        return PLACE_NONE;
    if (kind < 0)
        return PLACE_UNSAID;
    if (chord->has_root)
        degree = pitch_modulo(midi - chord->root_pc, 12);
    return (uint8_t)(kind * DEGREES + degree);
}

void strand_chord(struct strand_chord *out, uint8_t place, uint8_t midi)
{
    int kind = place / DEGREES, degree = place % DEGREES;

    memset(out, 0, sizeof *out);
    out->said = place == PLACE_NONE || kind < KINDS;
    out->sounds = out->said && place != PLACE_NONE;
    if (!out->sounds)
        return;
    out->chord.altered = kind == ALTERED || kind == ALTERED_SUS;
    out->chord.sus = kind == SUS || kind == ALTERED_SUS;
    out->chord.class =
        (uint8_t)(kind < CHORD_CLASSES ? kind : CHORD_DOMINANT);
    out->chord.has_root = degree != ROOTLESS;
    if (out->chord.has_root)
        out->chord.root_pc = (uint8_t)pitch_modulo(midi - degree, 12);
}

bool strand_same_chord(uint8_t place_a, uint8_t midi_a, uint8_t place_b,
                       uint8_t midi_b)
{
    int a = place_a % DEGREES, b = place_b % DEGREES;

    if (place_a / DEGREES != place_b / DEGREES)
        return false;
    if (a == ROOTLESS || b == ROOTLESS)
        return a == b;
    return (midi_a - a - midi_b + b) % 12 == 0;
}

/* --- values -------------------------------------------------------------- */

enum { VALUE_MAX = 4096 };

bool strand_value_text(char out[STRAND_VALUE_SIZE], struct rational value)
{
    if (value.lost || value.num < 0 || value.num > VALUE_MAX ||
        value.den > VALUE_MAX)
        return false;
    snprintf(out, STRAND_VALUE_SIZE, "%d/%d", (int)value.num, (int)value.den);
    return true;
}

bool strand_value_read(struct rational *out, const char *text)
{
    char *end;
    long num = strtol(text, &end, 10), den = 0;

    if (end != text && *end == '/')
        den = strtol(end + 1, &end, 10);
    if (*end || num < 0 || num > VALUE_MAX || den < 1 || den > VALUE_MAX)
        return false;
    *out = rational_make(num, den);
    return true;
}

/* --- codes --------------------------------------------------------------- */

/* "2/5": the second of five. */
static bool read_chorus(struct strand_chorus *out, const char *text)
{
    char *end;
    long number = strtol(text, &end, 10), of = 0;

    if (end != text && *end == '/')
        of = strtol(end + 1, &end, 10);
    if (*end || number < 1 || of < number || of > INT32_MAX)
        return false;
    *out = (struct strand_chorus){ (int32_t)number, (int32_t)of };
    return true;
}

/* "17 B": a bar of the section B; "17 " of none. */
static bool read_bar(struct strand_bar *out, const char *text)
{
    char *end;
    long number = strtol(text, &end, 10);

    if (*end != ' ' || number < 1 || number > INT32_MAX)
        return false;
    *out = (struct strand_bar){ (int32_t)number, end + 1 };
    return true;
}

bool strand_code_read(struct strand_codes *codes, enum strand_code kind,
                      int code)
{
    const char *text = codes->texts[kind][code];

    switch (kind) {
    case CODE_VALUE:
        return strand_value_read(&codes->values[code], text);
    case CODE_BEAT:
        return strand_value_read(&codes->beats[code], text);
    case CODE_TONES:
        codes->tones[code] = (uint16_t)strtol(text, NULL, 10);
        return true;
    case CODE_CHORUS:
        return read_chorus(&codes->choruses[code], text);
    case CODE_BAR:
        return read_bar(&codes->bars[code], text);
    default:
        return true;
    }
}

/* --- writing ------------------------------------------------------------- */

enum { VALUES_KEPT = 61 };

struct writing {
    const struct solo *solo;
    uint8_t *const *out;
    strand_coder code;
    void *context;
    /* Values met, by their ticks, with their codes: a solo has few.  And the
     * last chord, with its codes. */
    struct {
        bool met;
        int64_t ticks;
        uint8_t code;
    } values[VALUES_KEPT];
    int32_t chord;
    uint8_t function_code, tones_code;
    /* The bar of the last note, with its codes; and its last beat. */
    int32_t bar;
    uint8_t chorus_code, bar_code;
    struct rational beat;
    uint8_t beat_code;
};

static uint8_t code_ticks(struct writing *w, int64_t ticks)
{
    size_t at = (size_t)((uint64_t)ticks % VALUES_KEPT);
    char text[STRAND_VALUE_SIZE];

    if (!w->values[at].met || w->values[at].ticks != ticks) {
        w->values[at].met = true;
        w->values[at].ticks = ticks;
        w->values[at].code =
            strand_value_text(text, solo_quarters(w->solo, ticks))
                ? w->code(w->context, CODE_VALUE, text)
                : STRAND_UNSAID;
    }
    return w->values[at].code;
}

static void code_chord(struct writing *w, int32_t index)
{
    const struct chord *chord = follow_sounding(w->solo, index);
    const char *text =
        index == SOLO_NO_CHORD ? NULL : w->solo->chords[index].function;
    char tones[STRAND_VALUE_SIZE];

    if (index == w->chord)
        return;
    w->chord = index;
    w->function_code =
        text && *text ? w->code(w->context, CODE_FUNCTION, text) : 0;
    snprintf(tones, sizeof tones, "%d", chord ? chord->tones : 0);
    w->tones_code = chord ? w->code(w->context, CODE_TONES, tones) : 0;
}

static void code_bar(struct writing *w, int32_t bar)
{
    const struct form_place *here = form_place_of(w->solo, bar);
    char text[STRAND_VALUE_SIZE + FORM_LETTER_SIZE];

    if (bar == w->bar)
        return;
    w->bar = bar;
    w->chorus_code = w->bar_code = 0;
    if (here->chorus == 0)
        return;
    snprintf(text, sizeof text, "%d/%zu", (int)here->chorus,
             w->solo->form.chorus_count);
    w->chorus_code = w->code(w->context, CODE_CHORUS, text);
    snprintf(text, sizeof text, "%d %s", (int)here->chorus_bar,
             here->section ? here->section->letter : "");
    w->bar_code = w->code(w->context, CODE_BAR, text);
}

static uint8_t code_beat(struct writing *w, const struct note *note)
{
    struct rational beat = solo_beat(w->solo, note);
    char text[STRAND_VALUE_SIZE];

    if (w->beat_code && rational_compare(beat, w->beat) == 0)
        return w->beat_code;
    w->beat = beat;
    w->beat_code = strand_value_text(text, beat)
                       ? w->code(w->context, CODE_BEAT, text)
                       : STRAND_UNSAID;
    return w->beat_code;
}

/* The first note stands under another chord than the one before it. */
static bool is_other_chord(const struct solo *solo, size_t i)
{
    const struct chord *before, *here;

    if (i == 0)
        return true;
    before = follow_sounding(solo, solo->notes[i - 1].heard);
    here = follow_sounding(solo, solo->notes[i].heard);
    return before && here ? !chord_equal(before, here) : before != here;
}

static uint8_t mark_of(const struct solo *solo, size_t i)
{
    int mark = solo_onset_strength(solo, &solo->notes[i]);

    mark |= solo_starts_phrase(solo, i) ? MARK_PHRASE : 0;
    mark |= form_opens(solo, i, false) ? MARK_CHORUS : 0;
    mark |= form_opens(solo, i, true) ? MARK_SECTION : 0;
    mark |= form_opens_four(solo, solo->notes[i].bar) ? MARK_FOUR : 0;
    mark |= is_other_chord(solo, i) ? MARK_OTHER_CHORD : 0;
    return (uint8_t)mark;
}

static uint8_t follow_of(const struct solo *solo, size_t i)
{
    const struct note *note = &solo->notes[i];
    const struct chord *chord = follow_sounding(solo, note->heard);
    int32_t next = follow_chord(solo, note->heard);

    return (uint8_t)(follow_tone(chord, note->midi) |
                     follow_motion(chord, follow_sounding(solo, next)) << 2 |
                     follow_line(solo, i, next) << 5);
}

void strands_mark(uint8_t *mark, uint8_t *follow, const struct solo *solo)
{
    for (size_t i = 0; i < solo->note_count; i++) {
        mark[i] = mark_of(solo, i);
        follow[i] = follow_of(solo, i);
    }
}

void strands_write(uint8_t *const out[STRANDS], const struct solo *solo,
                   strand_coder code, void *context)
{
    struct writing w = {
        .solo = solo, .out = out, .code = code, .context = context, .chord = -2,
        .bar = -1
    };

    for (size_t i = 0; i < solo->note_count; i++) {
        const struct note *note = &solo->notes[i];

        out[STRAND_MIDI][i] = note->midi;
        out[STRAND_MARK][i] = mark_of(solo, i);
        out[STRAND_PLACE][i] =
            place_of(follow_sounding(solo, note->heard), note->midi);
        out[STRAND_FOLLOW][i] = follow_of(solo, i);
        out[STRAND_GAP][i] = 0;
        if (i + 1 < solo->note_count)
            out[STRAND_GAP][i] = code_ticks(&w, note[1].start - note->start);
        out[STRAND_LENGTH][i] = code_ticks(&w, note->duration);
        code_chord(&w, note->heard);
        out[STRAND_TONES][i] = w.tones_code;
        out[STRAND_FUNCTION][i] = w.function_code;
        code_bar(&w, note->bar);
        out[STRAND_CHORUS][i] = w.chorus_code;
        out[STRAND_BAR][i] = w.bar_code;
        out[STRAND_BEAT][i] = code_beat(&w, note);
    }
}
