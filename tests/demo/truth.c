#include "tests/demo/truth.h"

#include <stdlib.h>
#include <string.h>

#define WINDOW 7 /* intervals in 8 notes */

int truth_bar(const struct chart *chart, int tick, int *into)
{
    int length = chart->beats * DIVISIONS;

    *into = (tick % length + length) % length;
    return (tick - *into) / length;
}

/* Does LINE go on from sound AT by the steps STEP[1] .. STEP[N - 1]? */
static bool follows(const struct line *line, int at, const int *step, int n)
{
    if (at + n > line->nsounds)
        return false;
    for (int i = 1; i < n; i++)
        if (line->sound[at + i].midi - line->sound[at + i - 1].midi
            != step[i])
            return false;
    return true;
}

/* A number that stands for the rhythm of a planted cell: the distances
 * between its onsets. */
static unsigned long rhythm_of(const struct line *line,
                               const struct plant *p)
{
    unsigned long sum = 1;

    for (int i = 1; i < p->count; i++)
        sum = sum * 97 + (unsigned long)(line->sound[p->first + i].onset
            - line->sound[p->first + i - 1].onset);
    return sum;
}

struct rhythms {
    unsigned long seen[MAX_PLANTS];
    int n;
};

static void note_rhythm(struct rhythms *r, unsigned long rhythm)
{
    for (int i = 0; i < r->n; i++)
        if (r->seen[i] == rhythm)
            return;
    if (r->n < MAX_PLANTS)
        r->seen[r->n++] = rhythm;
}

static int count_planted(const struct work *w, const struct habit *h,
                         struct rhythms *r, struct tally *out)
{
    int n = 0;

    for (int i = 0; i < w->line.nplants; i++) {
        const struct plant *p = &w->line.plant[i];
        int span = w->line.sound[p->first].span;

        if (p->habit != h)
            continue;
        n++;
        out->by_use[p->use - h->use]++;
        out->root[spelling_class(w->chart.span[span].chord.root)] = true;
        note_rhythm(r, rhythm_of(&w->line, p));
    }
    return n;
}

void truth_count(struct work *const *works, int n, int habit,
                 struct tally *out)
{
    const struct habit *h = &habits[habit];
    static struct rhythms rhythms;
    int step[MAX_CELL], notes = habit_steps(h, step);

    memset(out, 0, sizeof *out);
    rhythms.n = 0;
    for (int k = 0; k < n; k++) {
        int planted = count_planted(works[k], h, &rhythms, out);

        out->planted += planted;
        out->solos += planted > 0;
        for (int at = 0; at < works[k]->line.nsounds; at++)
            out->found += follows(&works[k]->line, at, step, notes);
    }
    out->rhythms = rhythms.n;
}

static void write_fraction(FILE *out, int ticks)
{
    int n = ticks, d = DIVISIONS;

    for (int k = 2; k <= 3; k++)
        while (n % k == 0 && d % k == 0) {
            n /= k;
            d /= k;
        }
    fprintf(out, "%d/%d", n, d);
}

static void write_home(const struct chord *written, const struct plant *p,
                       char *out, size_t size)
{
    /* Fifths that lie that many semitones above the written root. */
    static const int up[] = { 0, -5, 2, -3, 4, -1, -6, 1, -4, 3, -2, 5 };
    char root[8];
    int fifths = written->root + up[p->use->home_above];

    spelling_name(spelling_root(fifths), root, sizeof root);
    snprintf(out, size, "%s%s", root, p->habit->suffix);
}

static void write_plant(FILE *out, const struct work *w,
                        const struct plant *p)
{
    const struct sound *s = &w->line.sound[p->first];
    const struct chord *chord = &w->chart.span[s->span].chord;
    int into, bar = truth_bar(&w->chart, s->onset, &into);
    int pickup = w->line.sound[0].onset < 0;
    char written[32], home[32], next[32] = "-";

    chord_write(chord, written, sizeof written);
    write_home(chord, p, home, sizeof home);
    if (p->resolved)
        chord_write(&w->chart.span[s[p->count].span].chord, next,
                    sizeof next);
    fprintf(out, "%s\t%d\t%d\t", w->path, bar + 1, bar + pickup);
    write_fraction(out, into);
    fprintf(out, "\t%d\t%s\t%s\t%s\t%s\t%s\t%s\t", p->first,
            p->habit->name, p->habit->degrees, home, written,
            p->use->words, next);
    for (int i = 0; i < p->count; i++)
        fprintf(out, "%s%d", i ? " " : "", s[i].midi);
    fputc('\n', out);
}

static int by_first(const void *a, const void *b)
{
    const struct plant *x = a, *y = b;

    return (x->first > y->first) - (x->first < y->first);
}

bool truth_write(FILE *out, struct work *const *works, int n)
{
    fputs("file\tbar\tbar_index\tonset\tfirst_note\tcell\tdegrees\thome\t"
          "chord\trelation\tinto\tmidi\n", out);
    for (int k = 0; k < n; k++) {
        struct line *line = &works[k]->line;

        qsort(line->plant, (size_t)line->nplants, sizeof *line->plant,
              by_first);
        for (int i = 0; i < line->nplants; i++)
            write_plant(out, works[k], &line->plant[i]);
    }
    return !ferror(out);
}

static int interval(const struct line *line, int at)
{
    return line->sound[at + 1].midi - line->sound[at].midi;
}

/* Intervals from A[I] and B[J] on that agree. */
static int common(const struct line *a, int i, const struct line *b, int j)
{
    int n = 0;

    while (i + n + 1 < a->nsounds && j + n + 1 < b->nsounds
           && interval(a, i + n) == interval(b, j + n))
        n++;
    return n;
}

static void compare(const struct line *a, const struct line *b, int *longest,
                    int *percent)
{
    int windows = a->nsounds - WINDOW, shared = 0;

    for (int i = 0; i < windows; i++) {
        int best = 0;

        for (int j = 0; j < b->nsounds - WINDOW; j++) {
            int n = common(a, i, b, j);

            best = n > best ? n : best;
        }
        shared += best >= WINDOW;
        if (best + 1 > *longest)
            *longest = best + 1;
    }
    if (windows > 0 && 100 * shared / windows > *percent)
        *percent = 100 * shared / windows;
}

void truth_likeness(struct work *const *works, int n, int *longest,
                    int *percent)
{
    *longest = *percent = 0;
    for (int i = 0; i < n; i++)
        for (int j = 0; j < n; j++)
            if (i != j)
                compare(&works[i]->line, &works[j]->line, longest, percent);
}
