/* Putting the player's cells into a phrase whose rhythm is fixed. */
#include "tests/demo/line.h"

#include <stdlib.h>

#define MAX_PLACES 4000

struct place {
    int first, count; /* sounds, without the resolution */
    int habit, use;
    bool resolved;
};

struct places {
    struct place place[MAX_PLACES];
    int weight[MAX_PLACES];
    int n;
};

static int above(int low, int high)
{
    return ((high - low) % 12 + 12) % 12;
}

static const struct chord *chord_of(const struct writer *w, int sound)
{
    return &w->chart->span[w->line->sound[sound].span].chord;
}

/* True when a V7 with the root of HOME would lead to what follows. */
static bool leads_home(const struct writer *w, const struct use *use,
                       bool dominant, int span)
{
    int next = chart_next_chord(w->chart, span);
    const struct chord *here = &w->chart->span[span].chord, *there;
    int home;

    if (next < 0 || w->chart->span[next].chord.silent)
        return false;
    there = &w->chart->span[next].chord;
    if (!dominant)
        return chord_resolves(here, there);
    home = spelling_class(here->root) + use->home_above;
    return above(home, spelling_class(there->root)) == 5;
}

/* A plain fifth rubs against an altered one, and a minor seventh against
 * the major seventh of a minor chord. */
static bool clashes(const struct chord *chord, int rel)
{
    unsigned tones = chord->quality->tones;

    if (chord->quality->family == FAM_DOMINANT)
        return rel == 7 && !(tones & (1u << 7));
    return chord->quality->family == FAM_MINOR && rel == 10
        && (tones & (1u << 11));
}

/* The cell has to lie under one chord, without rests inside. */
static bool fits_chord(const struct writer *w, const struct place *p,
                       const struct use *use, const int *step)
{
    const struct sound *s = &w->line->sound[p->first];
    const struct chord *chord = chord_of(w, p->first);
    int rel = use->home_above;

    if (chord->silent || chord->quality->family != use->family)
        return false;
    for (int i = 0; i < p->count; i++) {
        rel += step[i] + 12;
        if (!chord_same(chord, chord_of(w, p->first + i)))
            return false;
        if (clashes(chord, rel % 12))
            return false;
        if (i > 0 && s[i].onset - s[i - 1].onset - s[i - 1].duration
                > DIVISIONS / 2)
            return false;
    }
    return true;
}

/* Does the note after the cell stand where the resolution belongs? */
static bool can_land(const struct writer *w, const struct phrase *phrase,
                     const struct place *p)
{
    int last = p->first + p->count - 1, next;
    const struct sound *s = w->line->sound;

    if (last + 1 >= phrase->first + phrase->count)
        return false;
    next = chart_next_chord(w->chart, s[last].span);
    return chord_same(&w->chart->span[next].chord, chord_of(w, last + 1))
        && s[last + 1].onset - s[last].onset - s[last].duration <= DIVISIONS;
}

static int weigh(const struct writer *w, const struct phrase *phrase,
                 const struct place *p)
{
    const struct habit *h = &habits[w->player->habit_first + p->habit];
    int weight = 12 * h->use[p->use].weight / (1 + w->used[p->habit]);

    /* A player opens choruses in a way of their own, however often. */
    if (p->first == phrase->first && h->opens && phrase->head)
        return 500 * h->use[p->use].weight;
    if (w->line->sound[p->first].onset % DIVISIONS == 0)
        weight *= 3;
    if (p->first == phrase->first)
        weight *= 2;
    if (p->habit == w->last_habit && !phrase->head)
        weight /= 4;
    return weight + 1;
}

static void collect(const struct writer *w, const struct phrase *phrase,
                    struct places *all, int habit, int use_index)
{
    const struct habit *h = &habits[w->player->habit_first + habit];
    const struct use *use = &h->use[use_index];
    int step[MAX_CELL], n = habit_steps(h, step);
    const struct sound *s = w->line->sound;
    struct place p = { 0, n, habit, use_index, h->into >= 0 };

    for (int i = 0; i + n <= phrase->count && all->n < MAX_PLACES; i++) {
        p.first = phrase->first + i;
        if (!fits_chord(w, &p, use, step) || s[p.first].onset < 0)
            continue;
        if (h->on_beat >= 0
            && s[p.first + h->on_beat].onset % DIVISIONS != 0)
            continue;
        if (use->must_resolve && !leads_home(w, use, h->into >= 0,
                                             s[p.first].span))
            continue;
        if (p.resolved && !can_land(w, phrase, &p))
            continue;
        all->weight[all->n] = weigh(w, phrase, &p);
        all->place[all->n++] = p;
    }
}

/* Fix the sounds of the cell, and of its resolution. */
static bool plant(struct writer *w, const struct place *p)
{
    const struct habit *h = &habits[w->player->habit_first + p->habit];
    struct line *line = w->line;
    struct sound *s = &line->sound[p->first];
    int root = spelling_class(chord_of(w, p->first)->root);
    int step[MAX_CELL], n = habit_steps(h, step), sum, land;

    if (line->nplants == MAX_PLANTS)
        return false;
    line->plant[line->nplants++] = (struct plant){ p->first, n, h,
        &h->use[p->use], p->resolved };
    sum = root + h->use[p->use].home_above;
    for (int i = 0; i < n; i++) {
        sum += step[i];
        s[i].pitch_class = (sum + 24) % 12;
        if (i > 0)
            s[i].step = step[i];
    }
    if (p->resolved) {
        land = spelling_class(chord_of(w, p->first + n)->root) + h->into;
        s[n].pitch_class = land % 12;
        s[n].step = above(s[n - 1].pitch_class, land);
        if (s[n].step > 6)
            s[n].step -= 12;
    }
    w->used[p->habit]++;
    w->last_habit = p->habit;
    return true;
}

/* Drop the places that overlap TAKEN or stand right beside it, and like
 * its habit less for the rest of the phrase, and not at all nearby. */
static void drop_near(struct places *all, const struct place *taken)
{
    int low = taken->first - 1;
    int high = taken->first + taken->count + taken->resolved;

    for (int i = 0; i < all->n; i++) {
        const struct place *p = &all->place[i];
        int end = p->first + p->count + p->resolved - 1;

        if (p->first <= high && end >= low)
            all->weight[i] = 0;
        if (p->habit == taken->habit)
            all->weight[i] /= abs(p->first - taken->first) < 12 ? 1000000 : 8;
    }
}

bool weave_cells(struct writer *w, const struct phrase *phrase)
{
    static struct places all;
    int wanted = phrase->count / w->player->notes_per_cell;

    all.n = 0;
    for (int h = 0; h < HABITS_EACH; h++)
        for (int u = 0; u < MAX_USES; u++)
            if (habits[w->player->habit_first + h].use[u].weight > 0)
                collect(w, phrase, &all, h, u);
    if (wanted == 0 && rng_chance(&w->rng, phrase->head ? 100 : 75))
        wanted = 1;
    for (; wanted > 0; wanted--) {
        int at = rng_weighted(&w->rng, all.weight, all.n);

        if (at < 0)
            break;
        if (!plant(w, &all.place[at]))
            return false;
        drop_near(&all, &all.place[at]);
    }
    return true;
}
