/* tests/form/cycle.c - see cycle.h. */
#include "tests/form/cycle.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/form/tune.h"

enum {
    BARS_MAX = 700,
    TICKS = 2 /* to a quarter; every metre here divides in eighths */
};

/* --- what players change ---------------------------------------------------
 */

static struct sound relative(struct sound s)
{
    switch (s.quality) {
    case MAJ:
        return tune_chance(50) ? tune_sound(s.root + 9, MIN)
                               : tune_sound(s.root + 4, MIN);
    case MIN:
        return tune_sound(s.root + 3, MAJ);
    case HALF:
        return tune_sound(s.root + 3, MIN);
    default:
        return tune_sound(s.root + 6, DOM);
    }
}

/* Change the chord PLACE of CELL; NEXT is the root of the chord after it. */
static void change(struct cell *cell, int place, int next)
{
    struct sound s = cell->at[place];
    bool alone = place == 0 && !cell->at[1].here;

    switch (tune_roll(4)) {
    case 0:
        if (s.quality == DOM) {
            cell->at[place] = tune_sound(s.root + 6, DOM);
            return;
        }
        break;
    case 1:
        if (s.quality == DOM && alone) {
            tune_put_two(
                cell, tune_sound(s.root + 7, tune_chance(70) ? MIN : HALF), s);
            return;
        }
        break;
    case 2:
        if (alone && next >= 0) {
            tune_put_two(cell, s, tune_sound(next + 7, DOM));
            return;
        }
        break;
    default:
        break;
    }
    cell->at[place] = relative(s);
}

/* The last two bars: I VI7 II V7 and its kin. */
static void change_turnaround(struct cell *cells)
{
    static const int roots[4][4] = {
        { 0, 9, 2, 7 }, { 4, 3, 2, 1 }, { 0, 3, 8, 1 }, { 4, 9, 2, 7 }
    };
    static const enum quality qualities[4][4] = { { MAJ, DOM, MIN, DOM },
                                                  { MIN, DOM, MIN, DOM },
                                                  { MAJ, DOM, MAJ, DOM },
                                                  { MIN, DOM, MIN, DOM } };
    int which = tune_roll(4);

    for (int i = 0; i < 4; i++)
        cells[i / 2].at[i % 2] =
            tune_sound(roots[which][i], (int)qualities[which][i]);
}

static int next_root(const struct cell *cells, int length, int bar, int place)
{
    for (int i = bar * 2 + place + 1; i < length * 2; i++)
        if (cells[i / 2].at[i % 2].here)
            return cells[i / 2].at[i % 2].root;
    return -1;
}

static void change_chorus(struct cell *cells, int length, int percent)
{
    struct cell old[TUNE_BARS_MAX];

    memcpy(old, cells, (size_t)length * sizeof *cells);
    for (int i = 0; i < length; i++)
        for (int place = 0; place < 2; place++)
            if (old[i].at[place].here && tune_chance(percent))
                change(&cells[i], place, next_root(old, length, i, place));
    if (tune_chance(percent))
        change_turnaround(&cells[length - 2]);
}

/* --- the solo --------------------------------------------------------------
 */

static const struct {
    const char *name;
    int eighths, second; /* where the second chord of a bar stands */
} metres[] = {
    { "4/4", 8, 4 }, { "4/4", 8, 4 },  { "4/4", 8, 4 },
    { "3/4", 6, 4 }, { "5/4", 10, 6 }, { "6/8", 6, 3 },
};

struct writer {
    struct solo *solo;
    const struct cycle_wish *wish;
    int key, metre;
    bool silent; /* nothing is written for the moment */
    struct sound last;
};

static const char *const major_suffixes[] = { "maj7", "6" };
static const char *const minor_suffixes[] = { "m7", "m6" };
static const char *const dominant_suffixes[] = { "7", "9" };
static const char *const half_suffixes[] = { "m7b5", "m7b5" };
static const char *const dim_suffixes[] = { "dim7", "dim7" };

static void write_chord(struct writer *w, struct sound s, int eighth)
{
    static const char *const names[] = { "C",  "Db", "D",  "Eb", "E",  "F",
                                         "Gb", "G",  "Ab", "A",  "Bb", "B" };
    static const char *const *const suffixes[] = {
        major_suffixes, minor_suffixes, dominant_suffixes, half_suffixes,
        dim_suffixes
    };
    static struct chord known[12][5][2]; /* reading a symbol takes long */
    struct solo *solo = w->solo;
    struct chord_event *event = &solo->chords[solo->chord_count];
    const struct bar *bar = &solo->bars[solo->bar_count - 1];
    int root = (s.root + w->key) % 12, which = tune_roll(5) == 0;
    struct chord *chord = &known[root][s.quality][which];
    char text[16];

    if (!(w->wish->variations & CYCLE_RESTATED) && tune_is_same(s, w->last))
        return;
    if ((w->wish->variations & CYCLE_SPARSE) && tune_chance(20))
        return;
    w->last = s;
    snprintf(text, sizeof text, "%s%s", names[root],
             suffixes[s.quality][which]);
    if (!chord->has_root &&
        chord_parse(chord, text, strlen(text), false, NULL) != ST_OK)
        abort();
    event->chord = *chord;
    event->bar = (int32_t)solo->bar_count - 1;
    event->onset = event->takes_effect = eighth;
    event->start = bar->start + eighth;
    event->kind_text = "";
    solo->chord_count++;
}

static void write_silence(struct writer *w)
{
    struct solo *solo = w->solo;
    struct chord_event *event = &solo->chords[solo->chord_count++];

    memset(event, 0, sizeof *event);
    event->chord.class = CHORD_NONE;
    event->bar = (int32_t)solo->bar_count - 1;
    event->start = solo->bars[event->bar].start;
    event->kind_text = "none";
    w->last.here = false;
}

static void write_notes(struct writer *w, const struct bar *bar)
{
    struct solo *solo = w->solo;

    for (int64_t at = tune_roll(3); at < bar->length; at += 1 + tune_roll(3)) {
        struct note *note = &solo->notes[solo->note_count++];

        note->bar = (int32_t)solo->bar_count - 1;
        note->onset = at;
        note->start = bar->start + at;
        note->duration = 1;
        note->midi = (uint8_t)(55 + tune_roll(25));
    }
}

/* Begin a bar of EIGHTHS. */
static struct bar *write_bar(struct writer *w, int eighths)
{
    struct solo *solo = w->solo;
    struct bar *bar = &solo->bars[solo->bar_count];
    char number[12];

    assert(solo->bar_count < BARS_MAX);
    bar->start = solo->bar_count ? bar[-1].start + bar[-1].length : 0;
    bar->length = eighths;
    bar->nominal = metres[w->metre].eighths;
    snprintf(number, sizeof number, "%zu", solo->bar_count + 1);
    bar->number = solo_copy(solo, number, strlen(number));
    bar->metre = metres[w->metre].name;
    bar->fifths = solo->fifths;
    bar->mode = solo->mode;
    solo->plays[solo->play_count++] = (int32_t)solo->bar_count++;
    write_notes(w, bar);
    return bar;
}

static void write_cell(struct writer *w, const struct cell *cell)
{
    write_bar(w, metres[w->metre].eighths);
    if (w->silent)
        return;
    if (cell->at[0].here)
        write_chord(w, cell->at[0], 0);
    else if (w->last.here && (w->wish->variations & CYCLE_RESTATED))
        write_chord(w, w->last, 0);
    if (cell->at[1].here)
        write_chord(w, cell->at[1], metres[w->metre].second);
}

static void mark_next(struct writer *w, const char *text)
{
    struct remark *remark = &w->solo->remarks[w->solo->remark_count++];

    remark->bar = (int32_t)w->solo->bar_count;
    remark->text = solo_copy(w->solo, text, strlen(text));
    if (w->wish->marks == CYCLE_LETTERS)
        w->solo->bars[remark->bar].rehearsal = remark->text;
}

static void double_bar(struct writer *w)
{
    if (w->wish->marks == CYCLE_DOUBLE && w->solo->bar_count > 0)
        w->solo->bars[w->solo->bar_count - 1].barlines |= BARLINE_DOUBLE;
}

/* --- introduction, choruses, tag -------------------------------------------
 */

/* A bar that cannot be taken for CELL. */
static void make_unlike(struct cell *cell, const struct cell *other)
{
    while (tune_is_same(cell->at[0], other->at[0]) ||
           tune_is_same(cell->at[0], other->at[1]) ||
           cell->at[0].root == (other->at[0].root + 6) % 12)
        tune_put(cell, tune_sound(cell->at[0].root + 10, MAJ));
}

static void write_intro(struct writer *w, const struct cell *last, int bars)
{
    struct cell cells[8];
    int around = 1 + tune_roll(2);

    memset(cells, 0, sizeof cells);
    tune_section(cells, 8, false);
    tune_put(&cells[7], tune_five_of(0));
    make_unlike(&cells[7], last);
    if (w->wish->variations & CYCLE_VAMP_INTRO)
        for (int i = around; i < 8; i++)
            cells[i] = cells[i - around];
    if (bars > 0 &&
        (w->wish->marks == CYCLE_LETTERS || w->wish->marks == CYCLE_CHORUSES))
        mark_next(w, "Intro");
    w->silent = (w->wish->variations & CYCLE_SILENT_INTRO) != 0;
    for (int i = 0; i < bars; i++) {
        write_cell(
            w,
            &cells[w->wish->variations & CYCLE_VAMP_INTRO ? i : 8 - bars + i]);
        if (i == 0 && w->silent && tune_chance(50))
            write_silence(w);
    }
    w->silent = false;
}

static void write_chorus(struct writer *w, const struct tune *tune, int bars,
                         int number)
{
    struct cell cells[TUNE_BARS_MAX];
    int part = 0, next = 0;

    memcpy(cells, tune->cells, sizeof cells);
    change_chorus(cells, tune->length, w->wish->percent);
    if (w->wish->marks == CYCLE_CHORUSES) {
        char text[20];

        snprintf(text, sizeof text, "Chorus %d", number);
        mark_next(w, text);
    }
    for (int i = 0; i < bars; i++) {
        if (i == next) {
            char letter[2] = { tune->letters[part], '\0' };

            if (w->wish->marks == CYCLE_LETTERS)
                mark_next(w, letter);
            double_bar(w);
            next += tune->bars[part++];
        }
        write_cell(w, &cells[i]);
    }
}

static void write_tag(struct writer *w, const struct cell *form, int length,
                      int bars)
{
    if (bars > 0 &&
        (w->wish->marks == CYCLE_LETTERS || w->wish->marks == CYCLE_CHORUSES))
        mark_next(w, "Coda");
    for (int i = 0; i < bars; i++) {
        struct cell last = form[length - bars + i];

        if (i == 0 && bars > 1)
            make_unlike(&last, &form[0]);
        if (i + 1 == bars)
            tune_put(&last, tune_tonic());
        write_cell(w, &last);
    }
}

static void draw_passes(struct cycle *out, const struct cycle_wish *wish,
                        int *intro)
{
    bool bare = wish->marks == CYCLE_BARE || wish->marks == CYCLE_DOUBLE;

    out->choruses = 1 + tune_roll(out->length > 40 ? 4 : 8);
    *intro = tune_chance(50) ? 0 : 1 + tune_roll(8);
    out->partial = tune_chance(20) ? 1 + tune_roll(out->length - 1) : 0;
    out->tag = tune_chance(25) ? 1 << tune_roll(3) : 0;
    if (out->choruses == 1) {
        out->partial = 0;
        if (bare)
            *intro = out->tag = 0;
    }
    if (out->choruses == 2 && out->partial > 0 &&
        out->partial < out->length / 2)
        out->partial = out->length / 2;
    if (out->choruses == 2 && out->partial < 12)
        out->partial = 0;
    if (out->partial > 0)
        out->tag = 0;
    /* Where both ends are open, chords cannot tell. */
    if (bare && *intro > 0 &&
        (out->partial < 4 || out->partial > out->length - 4))
        out->partial = 0;
    if (bare && out->choruses < 3)
        out->partial = 0;
    if (bare && out->tag == 1)
        out->tag = 0;
}

static struct solo *new_solo(void)
{
    struct solo *solo = solo_new();

    if (!solo)
        abort();
    solo->ticks = TICKS;
    solo->has_key = true;
    solo->bars = solo_alloc(solo, BARS_MAX * sizeof *solo->bars);
    solo->plays = solo_alloc(solo, BARS_MAX * sizeof *solo->plays);
    solo->chords = solo_alloc(solo, 3 * BARS_MAX * sizeof *solo->chords);
    solo->notes = solo_alloc(solo, 12 * BARS_MAX * sizeof *solo->notes);
    solo->remarks = solo_alloc(solo, BARS_MAX * sizeof *solo->remarks);
    if (!solo->bars || !solo->plays || !solo->chords || !solo->notes ||
        !solo->remarks)
        abort();
    return solo;
}

/* The key signature of the tonic. */
static void set_key(struct solo *solo, int key, bool minor)
{
    int major = minor ? key + 3 : key;

    solo->fifths = (int8_t)((major * 7 + 5) % 12 - 5);
    solo->mode = minor ? MODE_MINOR : MODE_MAJOR;
}

static void write_pickup(struct writer *w)
{
    struct bar *bar = write_bar(w, metres[w->metre].eighths / 3);

    bar->implicit = tune_chance(60);
}

void cycle_make(struct cycle *out, const struct cycle_wish *wish)
{
    struct writer w = { .wish = wish };
    struct tune tune;
    int intro;

    memset(out, 0, sizeof *out);
    tune_seed(wish->seed);
    tune_make(&tune);
    if (wish->variations & CYCLE_HALF_BARS)
        tune_split_bars(&tune);
    out->length = tune.length;
    memcpy(out->letters, tune.letters, sizeof out->letters);
    draw_passes(out, wish, &intro);
    w.key = tune_roll(12);
    w.metre = tune_roll(sizeof metres / sizeof *metres);
    w.solo = out->solo = new_solo();
    set_key(w.solo, w.key, tune.minor);
    if (tune_chance(30))
        write_pickup(&w);
    write_intro(&w, &tune.cells[tune.length - 1], intro);
    out->first_bar = (int)w.solo->bar_count;
    for (int i = 1; i <= out->choruses; i++)
        write_chorus(
            &w, &tune,
            i == out->choruses && out->partial ? out->partial : tune.length, i);
    double_bar(&w);
    write_tag(&w, tune.cells, tune.length, out->tag);
    solo_place_notes(w.solo);
    if (strcmp(tune.letters, "AAB") == 0 && out->choruses == 2 &&
        out->partial > 0 && out->partial <= tune.bars[0] + tune.bars[1])
        out->other_length = tune.length + tune.bars[0];
}

bool cycle_is_told(const struct cycle *cycle)
{
    const struct form *form = &cycle->solo->form;

    return form->plan.length > 0 && form->first_bar == cycle->first_bar &&
           (form->plan.length == cycle->length ||
            form->plan.length == cycle->other_length);
}
