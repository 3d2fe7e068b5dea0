/* schema/strand.c - see strand.h. */
#include "schema/strand.h"

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

enum { NUMBER_SIZE = 11 }; /* of 32 bits, with a NUL */

/* NUMBER in decimal, ended by NUL, whose place is returned.  Thousands of
 * these are written for a solo, and snprintf() takes its time. */
static char *put_number(char *out, uint32_t number)
{
    char digits[NUMBER_SIZE];
    size_t count = 0;

    do {
        digits[count++] = (char)('0' + number % 10);
        number /= 10;
    } while (number > 0);
    while (count > 0)
        *out++ = digits[--count];
    *out = '\0';
    return out;
}

/* "3/2" */
static void put_pair(char out[STRAND_VALUE_SIZE], uint32_t first,
                     uint32_t second)
{
    char *end = put_number(out, first);

    *end = '/';
    put_number(end + 1, second);
}

bool strand_value_text(char out[STRAND_VALUE_SIZE], struct rational value)
{
    if (value.lost || value.num < 0 || value.num > VALUE_MAX ||
        value.den > VALUE_MAX)
        return false;
    put_pair(out, (uint32_t)value.num, (uint32_t)value.den);
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

enum { MET_MAX = 61 }; /* a prime: values are often even */

/* A number of ticks met, counted in UNIT, with its code. */
struct met {
    bool met;
    int64_t ticks, unit;
    uint8_t code;
};

struct writing {
    const struct solo *solo;
    uint8_t *const *out;
    strand_coder code;
    void *context;
    /* A solo has few values and few places in the bar. */
    struct met values[MET_MAX], beats[MET_MAX];
    /* The last chord, with its codes. */
    int32_t chord;
    uint8_t function_code, tones_code;
    /* The bar of the last note, with its codes, and the ticks of its beat. */
    int32_t bar, chorus;
    uint8_t chorus_code, bar_code;
    int64_t beat;
};

/* Where TICKS, counted in UNIT, has its place in TABLE; what was there before
 * makes room. */
static struct met *met_find(struct met table[MET_MAX], int64_t ticks,
                            int64_t unit)
{
    struct met *met = &table[(uint64_t)ticks % MET_MAX];

    if (met->ticks != ticks || met->unit != unit)
        *met = (struct met){ .ticks = ticks, .unit = unit };
    return met;
}

static void met_code(struct writing *w, struct met *met,
                     enum strand_code kind, struct rational value)
{
    char text[STRAND_VALUE_SIZE];

    met->met = true;
    met->code = strand_value_text(text, value)
                    ? w->code(w->context, kind, text)
                    : STRAND_UNSAID;
}

static uint8_t code_ticks(struct writing *w, int64_t ticks)
{
    struct met *met = met_find(w->values, ticks, 0);

    if (!met->met)
        met_code(w, met, CODE_VALUE, solo_quarters(w->solo, ticks));
    return met->code;
}

static uint8_t code_beat(struct writing *w, const struct note *note)
{
    int64_t onset = solo_counted_onset(w->solo, note);
    struct met *met = met_find(w->beats, onset, w->beat);

    if (!met->met)
        met_code(w, met, CODE_BEAT, solo_beat(w->solo, note));
    return met->code;
}

static void code_chord(struct writing *w, int32_t index)
{
    const struct chord *chord = follow_sounding(w->solo, index);
    const char *text =
        index == SOLO_NO_CHORD ? NULL : w->solo->chords[index].function;
    char tones[NUMBER_SIZE];

    if (index == w->chord)
        return;
    w->chord = index;
    w->function_code =
        text && *text ? w->code(w->context, CODE_FUNCTION, text) : 0;
    put_number(tones, chord ? chord->tones : 0);
    w->tones_code = chord ? w->code(w->context, CODE_TONES, tones) : 0;
}

static void code_chorus(struct writing *w, int32_t chorus)
{
    char text[STRAND_VALUE_SIZE];

    if (chorus == w->chorus)
        return;
    w->chorus = chorus;
    w->chorus_code = 0;
    if (chorus == 0)
        return;
    put_pair(text, (uint32_t)chorus, (uint32_t)w->solo->form.chorus_count);
    w->chorus_code = w->code(w->context, CODE_CHORUS, text);
}

static void code_bar(struct writing *w, int32_t bar)
{
    const struct form_place *here = form_place_of(w->solo, bar);
    const char *letter = here->section ? here->section->letter : "";
    char text[NUMBER_SIZE + 1 + FORM_LETTER_SIZE], *end;
    int64_t beats;

    if (bar == w->bar)
        return;
    w->bar = bar;
    w->bar_code = 0;
    solo_metre(w->solo, bar, &w->beat, &beats);
    code_chorus(w, here->chorus);
    if (here->chorus == 0)
        return;
    end = put_number(text, (uint32_t)here->chorus_bar);
    *end++ = ' ';
    strcpy(end, letter); /* shorter than FORM_LETTER_SIZE */
    w->bar_code = w->code(w->context, CODE_BAR, text);
}

/* The first note stands under another chord than the one before it. */
static bool is_other_chord(const struct solo *solo, size_t i)
{
    const struct chord *before, *here;

    if (i == 0)
        return true;
    if (solo->notes[i - 1].heard == solo->notes[i].heard)
        return false;
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

/* A chord that notes are heard under, and the next: the same for note after
 * note. */
struct under {
    int32_t heard, next;
    const struct chord *chord;
    enum follow_motion motion;
};

static struct under under_of(const struct solo *solo, int32_t heard)
{
    struct under under = { heard, follow_chord(solo, heard),
                           follow_sounding(solo, heard), 0 };

    under.motion =
        follow_motion(under.chord, follow_sounding(solo, under.next));
    return under;
}

static uint8_t follow_of(const struct solo *solo, size_t i,
                         struct under *under)
{
    const struct note *note = &solo->notes[i];

    if (i == 0 || note->heard != under->heard)
        *under = under_of(solo, note->heard);
    return (uint8_t)(follow_tone(under->chord, note->midi) |
                     under->motion << 2 |
                     follow_line(solo, i, under->next) << 5);
}

void strands_mark(uint8_t *mark, uint8_t *follow, const struct solo *solo)
{
    struct under under;

    for (size_t i = 0; i < solo->note_count; i++) {
        mark[i] = mark_of(solo, i);
        follow[i] = follow_of(solo, i, &under);
    }
}

void strands_write(uint8_t *const out[STRANDS], const struct solo *solo,
                   strand_coder code, void *context)
{
    struct writing w = {
        .solo = solo, .out = out, .code = code, .context = context, .chord = -2,
        .bar = -1
    };
    struct under under;

    for (size_t i = 0; i < solo->note_count; i++) {
        const struct note *note = &solo->notes[i];

        out[STRAND_MIDI][i] = note->midi;
        out[STRAND_MARK][i] = mark_of(solo, i);
        out[STRAND_FOLLOW][i] = follow_of(solo, i, &under);
        out[STRAND_PLACE][i] = place_of(under.chord, note->midi);
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
