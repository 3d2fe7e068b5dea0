/* The README is written by the generator so that no number in it is ever
 * out of date. */
#include "tests/demo/readme.h"

#include "tests/demo/score.h"

#include <string.h>

static const char opening[] =
"# The demo corpus\n\n"
"Everything here is invented. The players, the composers and the tunes do\n"
"not exist; the chord cycles are generic ones (twelve-bar blues, chains of\n"
"ii-V, cycles of fifths); the solos were put together by a program out of\n"
"common formulas and of lines that it worked out itself. Nothing was\n"
"transcribed from a recording or copied from a publication. Use it as you\n"
"like, under the licence of the project (MIT).\n\n"
"`make corpus-demo` writes this folder again: it builds the generator in\n"
"`tests/demo/` and runs `build/tests/compose corpus-demo`. The generator\n"
"reads no input and uses fixed seeds, so scores, `planted.tsv` and this\n"
"page come out the same byte for byte. (A packed `.mxl` may differ in its\n"
"bytes when another version of zlib deflates it; what it holds does not.)\n\n"
"All scores are MusicXML 4.0, one part, written as the instrument reads\n"
"them: notes, chord symbols and key signature are transposed, and\n"
"`<transpose>` says how. The guitar is written in an octave clef. Eighths\n"
"are written straight; the words and `<sound>` at the start say swing.\n";

static const char reading_planted[] =
"\n## planted.tsv\n\n"
"One line for each cell that was put in on purpose, in the order of the\n"
"files and bars; columns are separated by tabs and named in the first line.\n\n"
"| column | meaning |\n| --- | --- |\n"
"| `file` | path below this folder |\n"
"| `bar` | number printed on the bar of the first note |\n"
"| `bar_index` | the same counted from 0, a pickup bar included |\n"
"| `onset` | quarters from the bar line to the first note, a reduced "
"fraction |\n"
"| `first_note` | index of the first note in the solo from 0, ties joined, "
"grace notes left out |\n"
"| `cell`, `degrees` | the habit, as named above; degrees over `home`, each "
"step to the nearest such note |\n"
"| `home` | sounding home chord: the one the degrees are counted from |\n"
"| `chord` | sounding chord that is written there |\n"
"| `relation` | how `home` stands to `chord`, in plain words; \"as "
"written\" when the root is the same and the chords are of one class |\n"
"| `into` | sounding chord whose tone the very next note resolves to, or "
"`-` |\n"
"| `midi` | sounding MIDI numbers of the notes of the cell |\n\n"
"Every note of a planted cell belongs to that one chord, in the sense that\n"
"a note struck at most an eighth before a chord change and held into it\n"
"belongs to the new chord. The same intervals also turn up by chance in\n"
"the lines between the cells: the tables give both counts.\n";

static void write_special(FILE *out, const struct work *w)
{
    const struct solo_spec *s = w->spec;
    static const char *const marks[] = {
        "no section marks", "double bars", "rehearsal marks",
        "chorus numbers in words"
    };
    static const char *const packing[] = {
        "", ", score-timewise", "", ", .mxl without compression"
    };

    fprintf(out, "%s%s", marks[s->marks], packing[s->packing]);
    if (w->line.sound[0].onset < 0)
        fputs(", pickup bar 0", out);
    if (s->repeats == REPEATS_CHORUS)
        fputs(", first chorus repeated (played twice)", out);
    if (s->repeats == REPEATS_ENDINGS)
        fputs(", first A repeated with two endings", out);
}

static void write_solo_rows(FILE *out, struct work *const *works, int n,
                            int player)
{
    fputs("\n| file | tune, form | instrument | sounding key | tempo, metre | "
          "choruses | bars | notes | cells planted | marks and specials |\n"
          "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n",
          out);
    for (int i = 0; i < n; i++) {
        const struct work *w = works[i];
        const struct tune *tune = &tunes[w->spec->tune];
        char key[32];

        if (w->spec->player != player)
            continue;
        score_key_name(w->spec, key, sizeof key);
        fprintf(out, "| `%s` | %s, %s | %s | %s | %d, %d/4 | %d | %d | %d "
                "| %d | ", w->path, tune->title, tune->form,
                instruments[w->spec->instrument].name, key, w->spec->tempo,
                tune->beats, w->spec->choruses, w->chart.nbars,
                w->line.nsounds, w->line.nplants);
        write_special(out, w);
        fputs(" |\n", out);
    }
}

/* The degrees of HABIT counted from the written chord of USE. */
static void write_over(FILE *out, const struct habit *habit,
                       const struct use *use)
{
    int step[MAX_CELL], n = habit_steps(habit, step);
    int rel = use->home_above;

    for (int i = 0; i < n; i++) {
        rel += step[i] + 12;
        fprintf(out, "%s%s", i ? " " : "",
                degree_name(use->family, rel % 12));
    }
}

static const char *family_name(enum family family)
{
    static const char *const names[] = { "major", "minor", "dominant",
        "half-diminished", "diminished", "suspended" };

    return names[family];
}

static void write_uses(FILE *out, const struct habit *habit,
                       const struct tally *t)
{
    for (int i = 0; i < MAX_USES && habit->use[i].weight > 0; i++) {
        const struct use *use = &habit->use[i];

        fprintf(out, "%s%d over %s", i ? "; " : "",
                t->by_use[i], family_name(use->family));
        fprintf(out, " (%s: `", use->words);
        write_over(out, habit, use);
        fputs("`)", out);
    }
    if (habit->into >= 0)
        fprintf(out, "; always resolves to the %s of the next chord",
                habit->into ? "5" : "1");
}

static int count_bits(const bool *bits, int n)
{
    int sum = 0;

    for (int i = 0; i < n; i++)
        sum += bits[i];
    return sum;
}

static void write_habits(FILE *out, struct work *const *works, int n,
                         int player)
{
    fputs("\n| habit | degrees over its home chord | planted | in solos | "
          "over roots | rhythms | same intervals anywhere | over what, and "
          "the degrees there |\n"
          "| --- | --- | --- | --- | --- | --- | --- | --- |\n", out);
    for (int i = 0; i < HABITS_EACH; i++) {
        int index = players[player].habit_first + i;
        const struct habit *h = &habits[index];
        struct tally t;

        truth_count(works, n, index, &t);
        fprintf(out, "| `%s` | `%s` over %s | %d | %d | %d of 12 | %d | %d "
                "| ", h->name, h->degrees, h->suffix, t.planted, t.solos,
                count_bits(t.root, 12), t.rhythms, t.found);
        write_uses(out, h, &t);
        fputs(" |\n", out);
    }
}

/* The habit planted first at or after TICK and before END, or NULL. */
static const struct habit *opened_by(const struct line *line, int tick,
                                     int end)
{
    for (int i = 0; i < line->nplants; i++) {
        int onset = line->sound[line->plant[i].first].onset;

        if (onset >= tick && onset < end)
            return line->plant[i].habit;
    }
    return NULL;
}

/* How many choruses have one of the player's openers in their first bar. */
static void write_openings(FILE *out, struct work *const *works, int n,
                           int player)
{
    int choruses = 0, opened = 0;

    for (int i = 0; i < n; i++) {
        const struct work *w = works[i];
        int bar = w->chart.beats * DIVISIONS;

        for (int b = 0; b < w->chart.nbars; b++) {
            const struct habit *h;

            if (w->spec->player != player || !w->chart.bar[b].chorus_head)
                continue;
            h = opened_by(&w->line, b * bar, (b + 1) * bar);
            choruses++;
            opened += h && h->opens;
        }
    }
    fprintf(out, "\nOf %d written choruses, %d open on one of the habits "
            "liked there, in the first bar:", choruses, opened);
    for (int i = 0; i < HABITS_EACH; i++) {
        const struct habit *h = &habits[players[player].habit_first + i];

        if (h->opens)
            fprintf(out, " `%s`", h->name);
    }
    fputs(".\n", out);
}

static void write_player(FILE *out, struct work *const *works, int n,
                         int player)
{
    const struct player *p = &players[player];

    fprintf(out, "\n## %s\n\nManner: %s.\n", p->name, p->manner);
    write_habits(out, works, n, player);
    write_openings(out, works, n, player);
    write_solo_rows(out, works, n, player);
}

static void write_totals(FILE *out, struct work *const *works, int n)
{
    int bars = 0, notes = 0, choruses = 0, cells = 0, graces = 0;
    int longest, percent;

    for (int i = 0; i < n; i++) {
        bars += works[i]->chart.nbars;
        notes += works[i]->line.nsounds;
        choruses += works[i]->spec->choruses;
        cells += works[i]->line.nplants;
        for (int k = 0; k < works[i]->line.nsounds; k++)
            graces += works[i]->line.sound[k].grace;
    }
    truth_likeness(works, n, &longest, &percent);
    fprintf(out, "\n%d solos, %d written choruses, %d bars (pickups not "
            "counted), %d notes (ties\njoined, %d grace notes left out), %d "
            "cells planted. No two solos are near copies:\nthe longest run "
            "of equal intervals that two of them share is %d notes, and of\n"
            "the runs of 8 notes of a solo at most %d in a hundred occur "
            "in any one other.\n", n, choruses, bars, notes, graces,
            cells, longest,
            percent);
}

static const char forms_note[] =
"\n## Forms\n\n"
"Chorus *k* of a form of *L* bars starts at printed bar 1 + (*k* - 1) *L*,\n"
"but for the two solos with repeat signs. In the one whose first chorus is\n"
"repeated, the written choruses are one less than the played ones. In the\n"
"one with two endings, the first chorus has 26 written bars: A is bars 1-8\n"
"with its last two as first ending, bars 9-10 are the second ending, B is\n"
"bars 11-18, the last A bars 19-26, and the second chorus starts at bar 27.\n"
"The last two bars of a last chorus stand on the tonic or a cadence to it,\n"
"whatever the form has there. `twenty-steps-to-the-pantry` has N.C. in bar\n"
"20 of each chorus but the last; `borrowed-ladder` has a chord over another\n"
"bass in bar 9 of the form.\n\n"
"| tune | composer (invented) | form | sections in C |\n"
"| --- | --- | --- | --- |\n";

static void write_forms(FILE *out, struct work *const *works, int n)
{
    unsigned done = 0;

    fputs(forms_note, out);
    for (int i = 0; i < n; i++) {
        const struct tune *t = &tunes[works[i]->spec->tune];

        if (done & (1u << works[i]->spec->tune))
            continue;
        done |= 1u << works[i]->spec->tune;
        fprintf(out, "| %s | %s | %s | ", t->title, t->composer, t->form);
        for (const struct section *s = t->section; s->letter; s++) {
            fprintf(out, "%s%s: ", s == t->section ? "" : "<br>", s->letter);
            for (const char *c = s->bars; *c; c++)
                if (*c == '|')
                    fputs(" \\| ", out);
                else
                    fputc(*c, out);
        }
        fprintf(out, " |\n");
    }
    fputs("\n`NC:G7` means that N.C. is written and the line thinks of G7. "
          "Minor tunes are given in C minor.\n", out);
}

bool readme_write(FILE *out, struct work *const *works, int n)
{
    fputs(opening, out);
    write_totals(out, works, n);
    for (int player = 0; player < 3; player++)
        write_player(out, works, n, player);
    write_forms(out, works, n);
    fputs(reading_planted, out);
    return !ferror(out);
}
