/* tests/bench/invent.c - see invent.h. */
#include "tests/bench/invent.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/chord.h"
#include "tests/demo/rng.h"

enum {
    CELLS = 400,
    CELL_NOTES = 7,
    LOW = 52,
    HIGH = 84,
    TICKS = 12,          /* to a quarter */
    BAR = 4 * TICKS,
    CHORDS_MAX = 64,     /* in a chorus */
    NOTES_WANTED = 550
};

/* --- forms --------------------------------------------------------------- */

/* One chorus, before it is moved to a key: '|' between bars, a blank between
 * the halves of one. */
static const struct form {
    const char *name;
    int fifths; /* of its key signature */
    const char *sections[5];
} forms[] = {
    { "blues", 0,
      { "C7|F7|C7|Gm7 C7|F7|F#dim7|C7|Em7b5 A7|Dm7|G7|C7 A7|Dm7 G7" } },
    { "minor blues", -3,
      { "Cm7|Fm7|Cm7|C7|Fm7|Fm7|Cm7|Cm7|Ab7|G7|Cm7|Dm7b5 G7" } },
    { "AABA, turning round", 0,
      { "Cmaj7 A7|Dm7 G7|Em7 A7|Dm7 G7|C7|Fmaj7 Bb7|Em7 A7|Dm7 G7",
        "Cmaj7 A7|Dm7 G7|Em7 A7|Dm7 G7|C7|Fmaj7 Bb7|Dm7 G7|C6",
        "E7|E7|A7|A7|D7|D7|G7|G7",
        "Cmaj7 A7|Dm7 G7|Em7 A7|Dm7 G7|C7|Fmaj7 Bb7|Dm7 G7|C6" } },
    { "AABA", 0,
      { "Dm7|G7|Cmaj7|Cmaj7|Bm7b5|E7|Am7|A7",
        "Dm7|G7|Cmaj7|Am7|Dm7|G7|C6|C6",
        "Gm7|C7|Fmaj7|Fmaj7|Fm7|Bb7|Ebmaj7|Dm7 G7",
        "Dm7|G7|Cmaj7|Am7|Dm7|G7|C6|Em7b5 A7" } },
    { "ABAC", 0,
      { "Cmaj7|Bm7b5 E7|Am7|Gm7 C7|Fmaj7|Fm7 Bb7|Em7|A7",
        "Dm7|G7|Em7|A7|D7|D7|Dm7|G7",
        "Cmaj7|Bm7b5 E7|Am7|Gm7 C7|Fmaj7|Fm7 Bb7|Em7|A7",
        "Dm7|Fm7 Bb7|Em7|Ebdim7|Dm7|G7|C6|Dm7 G7" } },
    { "minor AABA", -3,
      { "Cm7|Dm7b5 G7|Cm7|Cm7|Fm7|Bb7|Ebmaj7|Dm7b5 G7",
        "Cm7|Dm7b5 G7|Cm7|Cm7|Fm7|Dm7b5 G7|Cm6|Cm6",
        "Bbm7|Eb7|Abmaj7|Abmaj7|Am7b5|D7|Dm7b5|G7alt",
        "Cm7|Dm7b5 G7|Cm7|Cm7|Fm7|Dm7b5 G7|Cm6|Dm7b5 G7" } },
    { "sixteen bars", -1,
      { "Fmaj7|Em7b5 A7|Dm7|Cm7 F7|Bbmaj7|Bbm7 Eb7|Fmaj7|D7",
        "Gm7|C7|Am7|D7|Gm7|C7sus4 C7|F6|Gm7 C7" } },
};

/* The chords of a chorus, each with the half bar it stands in. */
struct cycle {
    const struct form *form;
    struct chord chords[CHORDS_MAX];
    int halves[CHORDS_MAX];
    int kinds[CHORDS_MAX]; /* as chord_nearest_kind() has them */
    struct chord_degree degrees[CHORDS_MAX][CHORD_DEGREES_MAX];
    int degree_counts[CHORDS_MAX];
    int count, bars;
};

static void add_chord(struct cycle *cycle, const char *text, size_t length,
                      int half, int up)
{
    struct chord *chord = &cycle->chords[cycle->count];

    if (chord_parse(chord, text, length, false, NULL) != ST_OK)
        abort(); /* a mistake in the table */
    chord_transpose(chord, up, pitch_modulo(7 * up, 12) * 4 % 7);
    cycle->kinds[cycle->count] =
        chord_nearest_kind(chord, cycle->degrees[cycle->count],
                           &cycle->degree_counts[cycle->count]);
    cycle->halves[cycle->count++] = half;
}

static void read_cycle(struct cycle *cycle, const struct form *form, int up)
{
    memset(cycle, 0, sizeof *cycle);
    cycle->form = form;
    for (int s = 0; s < 5 && form->sections[s]; s++) {
        const char *at = form->sections[s];
        int half = 2 * cycle->bars;

        for (;;) {
            size_t length = strcspn(at, "| ");

            add_chord(cycle, at, length, half, up);
            at += length;
            if (*at == '|' || !*at)
                half = 2 * ++cycle->bars;
            else
                half++;
            if (!*at++)
                break;
        }
    }
}

static const struct chord *chord_at_half(const struct cycle *cycle, int half)
{
    int i = cycle->count;

    half %= 2 * cycle->bars;
    while (i > 1 && cycle->halves[i - 1] > half)
        i--;
    return &cycle->chords[i - 1];
}

/* --- the line ------------------------------------------------------------ */

/* How often an interval of so many semitones comes, before anything else is
 * known. */
static const int common[13] = { 3, 44, 60, 26, 18, 11, 3, 8, 2, 3, 1, 1, 2 };

static bool is_tone(const struct chord *chord, int midi)
{
    return chord->tones >> pitch_modulo(midi - chord->root_pc, 12) & 1;
}

/* The next interval after the intervals BEFORE (the last) and EARLIER. */
static int draw_interval(struct rng *rng, int earlier, int before, int midi,
                         const struct chord *chord, bool on_beat)
{
    int weights[25];

    for (int d = -12; d <= 12; d++) {
        int weight = 4 * common[abs(d)];
        bool same = (d > 0) == (before > 0);

        if (before && abs(before) <= 2 && abs(d) <= 2 && same)
            weight *= 2; /* a scale goes on */
        if (abs(before) >= 5)
            weight = same ? weight / 4 : 2 * weight; /* a leap is filled */
        if (abs(before) >= 3 && abs(before) <= 4 && abs(earlier) >= 3 &&
            abs(earlier) <= 4 && same && abs(d) >= 3 && abs(d) <= 4)
            weight *= 4; /* so does an arpeggio */
        if (earlier == -before && d == before)
            weight /= 3; /* a trill does not */
        if (is_tone(chord, midi + d))
            weight *= on_beat ? 4 : 2;
        if (midi + d < LOW || midi + d > HIGH)
            weight = 0;
        else if ((midi > 76 && d > 0) || (midi < 58 && d < 0))
            weight /= 3;
        weights[d + 12] = weight;
    }
    return rng_weighted(rng, weights, 25) - 12;
}

/* A cell: the degree it starts on, as semitones above the root, over chords
 * with a minor third or others; and its intervals. */
struct cell {
    bool minor;
    int start, count, steps[CELL_NOTES - 1];
};

static void invent_cell(struct cell *cell, struct rng *rng)
{
    static const int starts[] = { 0, 2, 3, 4, 7, 9, 10, 11 };
    struct chord chord;
    const char *name;
    int midi, before = 0, earlier = 0;

    cell->minor = rng_chance(rng, 40);
    cell->start = starts[rng_below(rng, 8)];
    if (cell->minor && cell->start == 4)
        cell->start = 3;
    cell->count = rng_range(rng, 3, CELL_NOTES);
    name = cell->minor ? "Cm7" : rng_chance(rng, 60) ? "C7" : "Cmaj7";
    if (chord_parse(&chord, name, strlen(name), false, NULL) != ST_OK)
        abort();
    midi = 60 + cell->start;
    for (int i = 0; i + 1 < cell->count; i++) {
        int step = draw_interval(rng, earlier, before, midi, &chord, i % 2);

        cell->steps[i] = step;
        midi += step;
        earlier = before;
        before = step;
    }
}

/* What all solos of a corpus share. */
struct vocabulary {
    uint64_t seed;
    bool made;
    struct cell cells[CELLS];
    int weights[CELLS];
};

static const struct vocabulary *vocabulary_of(uint64_t seed)
{
    static struct vocabulary v;
    struct rng rng;

    if (v.made && v.seed == seed)
        return &v;
    rng_seed(&rng, seed);
    for (int i = 0; i < CELLS; i++) {
        invent_cell(&v.cells[i], &rng);
        v.weights[i] = 100000 / (i + 1);
    }
    v.seed = seed;
    v.made = true;
    return &v;
}

/* --- a solo being written ------------------------------------------------ */

struct writing {
    FILE *out;
    struct rng rng;
    const struct vocabulary *vocabulary;
    struct cycle cycle;
    int index, key; /* which solo, and how far its form is moved up */
    int bars, notes, bar; /* BAR being written, from 0 */
    int midi, before, earlier;
    const struct cell *cell; /* being played */
    int played;
    int rest;     /* eighths of rest to come */
    int phrase;   /* notes until the next rest */
};

static void begin_cell(struct writing *w, const struct chord *chord)
{
    int i = rng_weighted(&w->rng, w->vocabulary->weights, CELLS);
    const struct cell *cell = &w->vocabulary->cells[i];
    bool minor = chord->tones >> 3 & 1;
    int to = pitch_modulo(chord->root_pc + cell->start - w->midi, 12);
    int step = to > 6 ? to - 12 : to;

    if (cell->minor != minor || w->midi + step < LOW + 5 ||
        w->midi + step > HIGH - 5)
        return;
    w->cell = cell;
    w->played = 0;
    w->earlier = w->before;
    w->before = step;
    w->midi += step;
}

static void next_pitch(struct writing *w, const struct chord *chord,
                       bool on_beat)
{
    int step;

    if (w->cell && w->played + 1 < w->cell->count) {
        step = w->cell->steps[w->played++];
    } else {
        w->cell = NULL;
        if (rng_chance(&w->rng, 22)) {
            begin_cell(w, chord);
            if (w->cell)
                return;
        }
        step = draw_interval(&w->rng, w->earlier, w->before, w->midi, chord,
                             on_beat);
    }
    w->midi += step;
    w->earlier = w->before;
    w->before = step;
}

static void put_note(struct writing *w, int ticks, bool triplet, bool rest)
{
    char name[PITCH_TEXT_SIZE];
    struct pitch p = pitch_spell(w->midi, 0);

    fputs("<note>", w->out);
    if (rest) {
        fputs("<rest/>", w->out);
    } else {
        fprintf(w->out, "<pitch><step>%.1s</step>", pitch_class_text(name, p));
        if (p.alter)
            fprintf(w->out, "<alter>%d</alter>", p.alter / 100);
        fprintf(w->out, "<octave>%d</octave></pitch>", p.octave);
        w->notes++;
    }
    fprintf(w->out, "<duration>%d</duration><type>%s</type>", ticks,
            ticks == TICKS ? "quarter" : "eighth");
    if (triplet)
        fputs("<time-modification><actual-notes>3</actual-notes>"
              "<normal-notes>2</normal-notes></time-modification>",
              w->out);
    fputs("</note>\n", w->out);
}

/* COUNT notes or rests that fill a beat of half bar HALF. */
static void put_beat(struct writing *w, int beat, int count)
{
    const struct chord *chord =
        chord_at_half(&w->cycle, 2 * w->bar + (beat >= 2));

    for (int i = 0; i < count; i++) {
        bool rest = w->rest > 0;

        if (rest) {
            w->rest--;
        } else {
            next_pitch(w, chord, i == 0);
            if (--w->phrase <= 0 && !w->cell) {
                w->phrase = rng_range(&w->rng, 6, 26);
                w->rest = rng_range(&w->rng, 1, 7);
            }
        }
        put_note(w, TICKS / count, count == 3, rest);
    }
}

static void put_chord(struct writing *w, int index)
{
    static const char *const changes[] = { "add", "alter", "subtract" };
    const struct chord *chord = &w->cycle.chords[index];
    const struct chord_degree *degrees = w->cycle.degrees[index];
    int offset = w->cycle.halves[index] % 2 * BAR / 2;
    char name[PITCH_TEXT_SIZE];

    fprintf(w->out, "<harmony><root><root-step>%.1s</root-step>",
            pitch_class_text(name, chord->root));
    if (chord->root.alter)
        fprintf(w->out, "<root-alter>%d</root-alter>", chord->root.alter / 100);
    fprintf(w->out, "</root><kind>%s</kind>",
            chord_kind_name(w->cycle.kinds[index]));
    for (int i = 0; i < w->cycle.degree_counts[index]; i++)
        fprintf(w->out,
                "<degree><degree-value>%d</degree-value><degree-alter>%d"
                "</degree-alter><degree-type>%s</degree-type></degree>",
                degrees[i].value, degrees[i].alter, changes[degrees[i].change]);
    if (offset)
        fprintf(w->out, "<offset>%d</offset>", offset);
    fputs("</harmony>\n", w->out);
}

/* The facts that one may filter by.  They come from the number of the solo, so
 * that the notes do not depend on them. */

/* The key, the metre, the tempo and what stands above the first bar.  One solo
 * in eight is in 2/2, whose bars are as long. */
static void put_start(struct writing *w)
{
    static const char *const words[] = { "Medium swing", "Up", "Ballad",
                                         "Straight eighths", "Latin" };
    bool halves = w->index % 8 == 5;
    int fifths = w->cycle.form->fifths + 7 * w->key;

    fprintf(w->out,
            "<attributes><divisions>%d</divisions><key><fifths>%d</fifths>"
            "<mode>%s</mode></key><time><beats>%d</beats><beat-type>%d"
            "</beat-type></time></attributes>\n"
            "<direction><direction-type><words>%s</words></direction-type>"
            "<sound tempo=\"%d\"/></direction>\n",
            TICKS, pitch_modulo(fifths + 5, 12) - 5,
            w->cycle.form->fifths == -3 ? "minor" : "major", halves ? 2 : 4,
            halves ? 2 : 4, words[w->index % 5], 60 + w->index * 7 % 240);
}

static void put_bar(struct writing *w)
{
    static const int shares[] = { 10, 76, 14 }; /* 1, 2 or 3 to a beat */

    fprintf(w->out, "<measure number=\"%d\">\n", w->bar + 1);
    if (w->bar == 0)
        put_start(w);
    for (int i = 0; i < w->cycle.count; i++)
        if (w->cycle.halves[i] / 2 == w->bar % w->cycle.bars)
            put_chord(w, i);
    for (int beat = 0; beat < 4; beat++)
        put_beat(w, beat, 1 + rng_weighted(&w->rng, shares, 3));
    fputs("</measure>\n", w->out);
}

static void put_head(struct writing *w)
{
    static const char *const instruments[] = { "Tenor", "Trumpet", "Alto",
                                               "Piano", "Guitar" };

    fprintf(w->out,
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
            "<score-partwise version=\"4.0\">\n"
            "<work><work-title>Invented %s %d in key %d</work-title></work>\n"
            "<identification><creator type=\"composer\">Nobody %d</creator>"
            "<creator type=\"performer\">Player %d</creator>"
            "</identification>\n<part-list><score-part id=\"P1\">"
            "<part-name>%s</part-name></score-part></part-list>\n"
            "<part id=\"P1\">\n",
            w->cycle.form->name, w->index, w->key, w->index % 31,
            w->index % 97, instruments[w->index % 97 % 5]);
}

char *invent_solo(uint64_t seed, int index, size_t *size)
{
    const int count = sizeof forms / sizeof *forms;
    struct writing w = { .vocabulary = vocabulary_of(seed), .midi = 66,
                         .phrase = 12, .index = index };
    char *text = NULL;
    int choruses = 0;
    bool failed;

    w.out = open_memstream(&text, size);
    if (!w.out)
        return NULL;
    rng_seed(&w.rng, seed + 1 + (uint64_t)index);
    w.key = rng_below(&w.rng, 12);
    read_cycle(&w.cycle, &forms[rng_below(&w.rng, count)], w.key);
    put_head(&w);
    while (choruses < 2 || w.notes < NOTES_WANTED - 5 * w.cycle.bars / 2) {
        for (int i = 0; i < w.cycle.bars; i++, w.bar++)
            put_bar(&w);
        choruses++;
    }
    fputs("</part></score-partwise>\n", w.out);
    failed = ferror(w.out) != 0;
    if (fclose(w.out) != 0 || failed) {
        free(text);
        return NULL;
    }
    return text;
}
