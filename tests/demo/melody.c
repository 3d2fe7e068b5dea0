/* The pitches of a phrase, as the cheapest path over pairs of neighbouring
 * pitches.  Costs stand for taste: chord tones on strong beats, steps before
 * leaps, a leap answered by a step back, chromatic notes only on the way to
 * a note a semitone off, and an arch to the phrase.  Cells are fixed. */
#include "tests/demo/line.h"

#include <stdlib.h>
#include <string.h>

#define PITCHES 40
#define NEVER 1000000
#define MAX_PHRASE_SOUNDS 200

enum texture { SCALE, ARPEGGIO, CHROMATIC };

struct trellis {
    int n, low, pitches;
    int single[MAX_PHRASE_SOUNDS][PITCHES];
    bool outside[MAX_PHRASE_SOUNDS][PITCHES];
    bool tone[MAX_PHRASE_SOUNDS][PITCHES];
    enum texture texture[MAX_PHRASE_SOUNDS];
    int best[MAX_PHRASE_SOUNDS][PITCHES][PITCHES];
    signed char back[MAX_PHRASE_SOUNDS][PITCHES][PITCHES];
};

static const struct sound *sound_at(const struct writer *w,
                                    const struct phrase *p, int i)
{
    return &w->line->sound[p->first + i];
}

/* 2: bar line, half-bar, and notes long enough to be heard as such;
 * 1: the other beats; 0: between beats. */
static int strength(const struct writer *w, const struct sound *s)
{
    int bar = w->chart->beats * DIVISIONS;
    int at = (s->onset % bar + bar) % bar;

    if (s->duration >= DIVISIONS && at % DIVISIONS)
        return 2;
    if (at % DIVISIONS)
        return 0;
    return at == 0 || (w->chart->beats == 4 && at == bar / 2) ? 2 : 1;
}

/* A scale note a semitone above the chord's third or root rubs. */
static bool rubs(const struct chord *chord, int rel)
{
    enum family family = chord->quality->family;

    if (rel == 5)
        return family == FAM_MAJOR || family == FAM_DOMINANT;
    return (rel == 4 && family == FAM_SUSPENDED)
        || (rel == 1 && family != FAM_DOMINANT);
}

static int harmony_cost(const struct writer *w, const struct chord *chord,
                        int rel, int strong)
{
    static const int tension[] = { 1, 4, 7 }, rub[] = { 3, 15, 34 };
    int outside = w->player->outside_cost;

    if (chord->quality->tones & (1u << rel))
        return strong ? 0 : 2;
    if (!(chord->scale & (1u << rel)))
        return outside * (1 + 2 * strong);
    return rubs(chord, rel) ? rub[strong] : tension[strong];
}

/* Height of the phrase's arch at note I of N, 0 .. 100. */
static int arch_at(int shape, int i, int n)
{
    int t = n > 1 ? 100 * i / (n - 1) : 50;

    switch (shape) {
    case 0: /* up, then down */
        return t < 60 ? 100 * t / 60 : 100 - 100 * (t - 60) / 40;
    case 1: /* down */
        return 100 - t;
    case 2: /* up */
        return t;
    default: /* down, then up */
        return t < 50 ? 100 - 2 * t : 2 * t - 100;
    }
}

static void fill_sound(struct writer *w, const struct phrase *p,
                       struct trellis *t, int i, int aim)
{
    const struct sound *s = sound_at(w, p, i);
    const struct chord *chord = &w->chart->span[s->span].chord;
    int strong = strength(w, s), root = spelling_class(chord->root);

    if (i == t->n - 1)
        strong = 2;
    for (int k = 0; k < t->pitches; k++) {
        int midi = t->low + k, off = midi - aim;
        int rel = (midi - root + 120) % 12, cost;

        cost = off * off / 9 + rng_below(&w->rng, 8);
        t->outside[i][k] = !(chord->scale & (1u << rel));
        t->tone[i][k] = (chord->quality->tones >> rel) & 1u;
        if (s->pitch_class == ANY)
            cost += harmony_cost(w, chord, rel, strong);
        else if (midi % 12 != s->pitch_class)
            cost = NEVER;
        if (p->last && i == t->n - 1 && !t->tone[i][k])
            cost += 60;
        t->single[i][k] = cost;
    }
}

static void fill_trellis(struct writer *w, const struct phrase *p,
                         struct trellis *t, int centre)
{
    static const int like[] = { 5, 3, 2 };
    int shape = rng_below(&w->rng, 4), arch = w->player->arch;
    enum texture texture = SCALE;

    t->n = p->count;
    t->low = w->instrument->low;
    t->pitches = w->instrument->high - t->low + 1;
    for (int i = 0; i < t->n; i++) {
        if (i % 5 == 0)
            texture = (enum texture)rng_weighted(&w->rng, like, 3);
        t->texture[i] = texture;
        fill_sound(w, p, t, i,
                   centre - arch / 2 + arch * arch_at(shape, i, t->n) / 100);
    }
}

/* What going from pitch A of note I - 1 to pitch B of note I costs. */
static int pair_cost(const struct writer *w, const struct phrase *p,
                     const struct trellis *t, int i, int a, int b)
{
    const struct sound *s = sound_at(w, p, i);
    int d = abs(b - a), cost;

    if (s->step != ANY)
        return b - a == s->step ? 0 : NEVER;
    if (d > 12)
        return NEVER;
    cost = w->player->step_cost[d];
    if (t->texture[i] == SCALE && d > 2)
        cost += 2;
    if (t->texture[i] == ARPEGGIO && t->tone[i][a] && t->tone[i][b])
        cost -= d >= 3 && d <= 5 ? 3 : -2;
    if (t->texture[i] == CHROMATIC && d == 1)
        cost -= 2;
    if (t->outside[i - 1][a] && s[-1].pitch_class == ANY && d != 1)
        cost += 60;
    if (s->span != s[-1].span && !t->tone[i - 1][a] && d > 2)
        cost += 8;
    if (t->outside[i][b] && s->pitch_class == ANY && d > 2)
        cost += w->spec->player == 2 ? 2 : 14;
    return cost;
}

/* What the two steps FIRST and SECOND cost as neighbours. */
static int turn_cost(const struct writer *w, int first, int second)
{
    bool same = (first > 0) == (second > 0);
    int a = abs(first), b = abs(second), cost = 0;

    if (a == 0 || b == 0)
        return a == 0 && b == 0 ? 6 : 0;
    if (first == -second)
        cost += 9;
    if (!same)
        cost += w->player->turn_cost;
    if (a > 5 && same)
        cost += b > 2 ? 12 : 4;
    if (a + b > 13 && same)
        cost += 20;
    if (!same && a > 2 && b > 2)
        cost += w->player->zigzag_cost;
    return cost;
}

/* Fill best[i][a][b] from best[i - 1]. */
static void advance(const struct writer *w, const struct phrase *p,
                    struct trellis *t, int i)
{
    bool fixed = sound_at(w, p, i)->step != ANY;

    for (int a = 0; a < t->pitches; a++)
        for (int b = 0; b < t->pitches; b++) {
            int pair = pair_cost(w, p, t, i, a, b), best = NEVER;

            t->back[i][a][b] = 0;
            for (int o = 0; pair < NEVER && o < t->pitches; o++) {
                int cost = t->best[i - 1][o][a];

                if (!fixed)
                    cost += turn_cost(w, a - o, b - a);
                if (cost < best) {
                    best = cost;
                    t->back[i][a][b] = (signed char)o;
                }
            }
            best += pair + t->single[i][b];
            t->best[i][a][b] = best < NEVER ? best : NEVER;
        }
}

static void start(const struct writer *w, const struct phrase *p,
                  struct trellis *t)
{
    int before = p->first > 0
        ? w->line->sound[p->first - 1].midi - t->low : -1;

    for (int a = 0; a < t->pitches; a++) {
        int link = before < 0 ? 0 : abs(a - before);

        t->single[0][a] += link > 7 ? (link - 7) * 5 : 0;
        for (int b = 0; t->n > 1 && b < t->pitches; b++) {
            int cost = t->single[0][a] + t->single[1][b]
                + pair_cost(w, p, t, 1, a, b);

            t->best[1][a][b] = cost < NEVER ? cost : NEVER;
        }
    }
}

static bool trace_back(struct writer *w, const struct phrase *p,
                       const struct trellis *t)
{
    int best = NEVER, a = 0, b = 0, i = t->n - 1;

    for (int x = 0; x < t->pitches; x++)
        for (int y = 0; y < t->pitches; y++)
            if (t->best[i][x][y] < best) {
                best = t->best[i][x][y];
                a = x;
                b = y;
            }
    for (; i >= 0; i--) {
        int o = i >= 2 ? t->back[i][a][b] : 0;

        w->line->sound[p->first + i].midi = t->low + b;
        b = a;
        a = o;
    }
    return best < NEVER;
}

static bool solve_one(struct writer *w, const struct phrase *p,
                      const struct trellis *t)
{
    int best = 0;

    for (int k = 0; k < t->pitches; k++)
        if (t->single[0][k] < t->single[0][best])
            best = k;
    w->line->sound[p->first].midi = t->low + best;
    return true;
}

bool melody_solve(struct writer *w, const struct phrase *phrase, int centre)
{
    struct trellis *t;
    bool done;

    if (phrase->count == 0)
        return true;
    if (phrase->count > MAX_PHRASE_SOUNDS)
        return false;
    t = malloc(sizeof *t);
    if (!t)
        return false;
    fill_trellis(w, phrase, t, centre);
    start(w, phrase, t);
    for (int i = 2; i < t->n; i++)
        advance(w, phrase, t, i);
    done = t->n == 1 ? solve_one(w, phrase, t) : trace_back(w, phrase, t);
    free(t);
    return done;
}
