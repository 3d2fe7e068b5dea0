/* query/practice.c - a cell taken through the keys, to be played. */
#include "query/practice.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char *const practice_orders[] = { "fourths", "chromatic", "whole-tones",
                                        NULL };

enum {
    KEYS = 12,
    TICKS = 2, /* to a quarter: a tick is an eighth */
    BAR = 4 * TICKS,
    FLAT_SIDE = -1 /* fifths: black keys by their flats */
};

/* A ii-V-I around the chord of a cell. */
struct cadence {
    int home; /* its bar, 0..2 */
    const char *suffix[3];
};

static const struct cadence cadences[CHORD_CLASSES] = {
    [CHORD_MINOR] = { 0, { "m7", "7", "maj7" } },
    [CHORD_DOMINANT] = { 1, { "m7", "7", "maj7" } },
    [CHORD_MAJOR] = { 2, { "m7", "7", "maj7" } },
    [CHORD_HALF_DIMINISHED] = { 0, { "m7b5", "7b9", "m6" } },
};

/* The roots of ii, V and I above the tonic. */
static const struct {
    int semitones, steps;
} cadence_roots[3] = { { 2, 1 }, { 7, 4 }, { 0, 0 } };

struct work {
    struct solo *solo;
    const struct practice_cell *cell;
    const struct written_for *view;
    const char *degrees[PRACTICE_NOTES_MAX];
    int bars_a_key;
    struct fault *why;
};

bool practice_has_cadence(const struct practice_cell *cell)
{
    return cell->count <= BAR && cadences[cell->chord.class].suffix[0];
}

/* The root of the key NUMBER, 0..11. */
static int key_at(enum practice_order order, int number)
{
    switch (order) {
    case PRACTICE_CHROMATIC:
        return number;
    case PRACTICE_WHOLE:
        return (2 * number + (number >= KEYS / 2)) % KEYS;
    default:
        return 5 * number % KEYS;
    }
}

/* --- pitches ------------------------------------------------------------ */

/* MIDI on the line of STEP, unless that takes a double accidental. */
static struct pitch on_step(int midi, int step)
{
    struct pitch p = { .step = (int8_t)step };
    int natural = pitch_step_semitones(step);
    int alter = pitch_modulo(midi - natural + 6, 12) - 6;

    if (alter < -1 || alter > 1)
        return pitch_spell(midi, FLAT_SIDE);
    p.alter = (int16_t)(100 * alter);
    p.octave = (int8_t)((midi - alter - natural) / 12 - 1);
    return p;
}

/* The usual name of the root PC of a major, or MINOR, chord. */
static struct pitch root_of(int pc, bool minor)
{
    /* Minor chords are as often on C# and F# as on flats. */
    struct pitch p = pitch_spell(60 + pc % 12, minor ? 0 : FLAT_SIDE);

    p.octave = 0;
    return p;
}

static struct pitch pitch_class_up(struct pitch p, int semitones, int steps)
{
    p = pitch_transpose(p, semitones, steps);
    p.octave = 0;
    return p;
}

/* The note INDEX of the cell, UP semitones higher, over the written ROOT, as
 * it is written. */
static struct pitch cell_pitch(const struct work *w, size_t index, int up,
                               struct pitch root)
{
    int midi = w->cell->midi[index] + up + w->view->chromatic;
    int number, semitones;

    if (!pitch_parse_degree(&number, &semitones, w->degrees[index]))
        return pitch_spell(midi, FLAT_SIDE);
    return on_step(midi, (root.step + number - 1) % 7);
}

/* How far to move the cell to the root PC, and into the middle of the staff. */
static int move_to(const struct work *w, int pc)
{
    const struct practice_cell *cell = w->cell;
    int low = cell->midi[0], high = low;
    int up = pitch_modulo(pc - cell->chord.root_pc, 12);
    int middle;

    for (size_t i = 1; i < cell->count; i++) {
        low = cell->midi[i] < low ? cell->midi[i] : low;
        high = cell->midi[i] > high ? cell->midi[i] : high;
    }
    middle = (low + high) / 2 + w->view->chromatic;
    while (middle + up > reader_middle(w->view) + 6)
        up -= 12;
    while (middle + up < reader_middle(w->view) - 6)
        up += 12;
    return up;
}

/* --- the solo ----------------------------------------------------------- */

static bool make_room(struct work *w, int bars)
{
    struct solo *solo = w->solo;

    solo->notes = solo_alloc(solo, KEYS * w->cell->count * sizeof *solo->notes);
    solo->chords = solo_alloc(solo, (size_t)bars * sizeof *solo->chords);
    solo->bars = solo_alloc(solo, (size_t)bars * sizeof *solo->bars);
    solo->plays = solo_alloc(solo, (size_t)bars * sizeof *solo->plays);
    solo->bar_count = solo->play_count = (size_t)bars;
    return solo->notes && solo->chords && solo->bars && solo->plays;
}

/* Number the bars.  No key signature is written, whoever reads. */
static bool fill_bars(struct work *w)
{
    struct solo *solo = w->solo;

    solo->ticks = TICKS;
    solo->metre = "4/4";
    for (size_t i = 0; i < solo->bar_count; i++) {
        char number[24];
        int length = snprintf(number, sizeof number, "%zu", i + 1);

        solo->bars[i] = (struct bar){
            .start = (int64_t)i * BAR,
            .length = BAR,
            .nominal = BAR,
            .number = solo_copy(solo, number, (size_t)length),
            .metre = solo->metre,
            .fifths = (int8_t)(12 * w->view->diatonic - 7 * w->view->chromatic),
        };
        solo->plays[i] = (int32_t)i;
        if (!solo->bars[i].number)
            return false;
    }
    return true;
}

/* CHORD is as written; the solo holds what sounds. */
static void add_chord(struct work *w, struct chord chord, int bar)
{
    struct solo *solo = w->solo;

    chord_transpose(&chord, -w->view->chromatic, -w->view->diatonic);
    solo->chords[solo->chord_count++] =
        (struct chord_event){ .start = (int64_t)bar * BAR,
                              .bar = bar,
                              .chord = chord,
                              .kind_text = "",
                              .function = "" };
}

/* The chord of the cell on ROOT. */
static struct chord moved_chord(const struct work *w, struct pitch root)
{
    struct chord chord = w->cell->chord;

    chord.bass = chord.root;
    chord.bass_pc = chord.root_pc;
    chord_transpose(&chord, pitch_midi(root) - pitch_midi(chord.root),
                    root.step - chord.root.step);
    return chord;
}

/* The chords of the ii-V-I to the written TONIC. */
static void add_cadence(struct work *w, struct pitch tonic, int bar)
{
    const struct cadence *c = &cadences[w->cell->chord.class];

    for (int i = 0; i < 3; i++) {
        char text[PITCH_TEXT_SIZE + 8], name[PITCH_TEXT_SIZE];
        struct pitch root = pitch_class_up(tonic, cadence_roots[i].semitones,
                                           cadence_roots[i].steps);
        struct chord chord;

        snprintf(text, sizeof text, "%s%s", pitch_class_text(name, root),
                 c->suffix[i]);
        if (i == c->home)
            add_chord(w, moved_chord(w, root), bar + i);
        else if (chord_parse(&chord, text, strlen(text), false, NULL) == ST_OK)
            add_chord(w, chord, bar + i);
    }
}

static void add_cell(struct work *w, int up, struct pitch root, int bar)
{
    struct solo *solo = w->solo;

    for (size_t i = 0; i < w->cell->count; i++) {
        int64_t at = (int64_t)i;
        struct note *note = &solo->notes[solo->note_count++];

        *note = (struct note){
            .start = (int64_t)bar * BAR + at,
            .onset = at % BAR,
            .duration = 1,
            .bar = bar + (int32_t)(at / BAR),
            .midi = (uint8_t)(w->cell->midi[i] + up),
            .written = cell_pitch(w, i, up, root),
        };
        note->sounding = pitch_transpose(note->written, -w->view->chromatic,
                                         -w->view->diatonic);
    }
}

/* The cell over the sounding root PC, in the ii-V-I that has it. */
static void add_key_in_cadence(struct work *w, int pc, int bar)
{
    enum chord_class class = (enum chord_class)w->cell->chord.class;
    const struct cadence *c = &cadences[class];
    int above = cadence_roots[c->home].semitones;
    struct pitch tonic =
        root_of(pitch_modulo(pc + w->view->chromatic - above, 12),
                class == CHORD_HALF_DIMINISHED);
    struct pitch root =
        pitch_class_up(tonic, above, cadence_roots[c->home].steps);

    add_cadence(w, tonic, bar);
    add_cell(w, move_to(w, pc), root, bar + c->home);
}

static void add_key(struct work *w, int pc, int bar)
{
    struct pitch root = root_of(pitch_modulo(pc + w->view->chromatic, 12),
                                w->cell->chord.class == CHORD_MINOR);

    add_chord(w, moved_chord(w, root), bar);
    add_cell(w, move_to(w, pc), root, bar);
}

enum status practice_make(struct solo **out, const struct practice_cell *cell,
                          enum practice_order order, bool cadence,
                          const struct written_for *view, struct fault *why)
{
    struct work w = { .cell = cell, .view = view, .why = why };
    int bars = (int)(cell->count + BAR - 1) / BAR;

    *out = NULL;
    w.bars_a_key = cadence ? bars + 3 : bars;
    w.solo = solo_new();
    if (!w.solo || !make_room(&w, KEYS * w.bars_a_key) || !fill_bars(&w)) {
        solo_free(w.solo);
        return fault_nomem(why);
    }
    chord_cell_degrees(w.degrees, &cell->chord, cell->midi, cell->count);
    for (int i = 0; i < KEYS; i++) {
        if (cadence)
            add_key_in_cadence(&w, key_at(order, i), i * w.bars_a_key);
        else
            add_key(&w, key_at(order, i), i * w.bars_a_key);
    }
    solo_place_notes(w.solo);
    *out = w.solo;
    return ST_OK;
}
