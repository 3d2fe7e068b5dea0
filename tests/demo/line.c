/* The plan of a solo: phrases and rests, chorus by chorus. */
#include "tests/demo/line.h"

#include <string.h>

struct plan {
    struct writer *w;
    struct phrase before;
    bool have_before;
    int echoes; /* phrases in a row that kept the rhythm before them */
    int total; /* beats in the solo */
};

/* The register rises to two thirds of the solo and comes down again. */
static int centre_at(struct plan *plan, int beat)
{
    const struct instrument *i = plan->w->instrument;
    int t = 100 * beat / plan->total;
    int rise = t < 66 ? 6 * t / 66 : 6 - 6 * (t - 66) / 34;

    return (i->low + i->high) / 2 - 3 + rise
        + rng_range(&plan->w->rng, -3, 3);
}

static bool add_phrase(struct plan *plan, struct phrase *phrase, bool echo)
{
    struct writer *w = plan->w;

    rhythm_choose(w, phrase, plan->have_before ? &plan->before : NULL, echo);
    if (!rhythm_lay(w, phrase) || !weave_cells(w, phrase))
        return false;
    if (!melody_solve(w, phrase, centre_at(plan, phrase->start)))
        return false;
    plan->before = *phrase;
    plan->echoes = echo ? plan->echoes + 1 : 0;
    plan->have_before = true;
    return true;
}

/* Half of the time a phrase waits for a bar line that is near. */
static int begin_after(struct plan *plan, int beat)
{
    struct writer *w = plan->w;
    int bar = w->chart->beats, to_bar;

    beat += rng_range(&w->rng, w->player->gap_min, w->player->gap_max);
    to_bar = (bar - beat % bar) % bar;
    return to_bar <= 2 && rng_chance(&w->rng, 55) ? beat + to_bar : beat;
}

/* An echo starts on the same beat of the bar as what it echoes. */
static int align(const struct plan *plan, int beat)
{
    int bar = plan->w->chart->beats;
    int want = ((plan->before.start % bar) + bar) % bar;

    return beat + ((want - beat % bar) % bar + bar) % bar;
}

/* Fill FROM .. LIMIT with phrases; the first one opens a chorus if HEAD. */
static bool fill(struct plan *plan, int from, int limit, bool head)
{
    struct writer *w = plan->w;
    const struct player *player = w->player;
    bool first = true;

    while (limit - from >= 3) {
        struct phrase p = { from, 0, head && first, false, "", 0, 0 };
        bool echo = !p.head && plan->have_before && plan->echoes < 2
            && rng_chance(&w->rng, player->echo_chance);

        p.beats = rng_range(&w->rng, player->phrase_min,
                            player->phrase_max);
        if (p.head && w->spec->player == 1)
            p.beats = player->phrase_max;
        if (echo) {
            p.start = align(plan, from);
            p.beats = plan->before.beats;
            echo = p.start + p.beats <= limit;
            if (!echo)
                p.start = from;
        }
        if (p.start + p.beats > limit)
            p.beats = limit - p.start;
        if (!add_phrase(plan, &p, echo))
            return false;
        from = begin_after(plan, p.start + p.beats);
        first = false;
    }
    return true;
}

/* The last phrase of the solo ends in the last bar. */
static bool finish(struct plan *plan, int from, int end)
{
    struct phrase p = { from, end - from, false, true, "", 0, 0 };

    return add_phrase(plan, &p, false);
}

static int pickup_of(struct writer *w, const struct stretch *s)
{
    if (s->start == 0)
        return w->spec->repeats == REPEATS_NONE ? w->spec->pickup : 0;
    if (s->walled || !s->head
        || !rng_chance(&w->rng, w->player->pickup_chance))
        return 0;
    return rng_range(&w->rng, 1, 2);
}

static bool fill_all(struct plan *plan)
{
    struct writer *w = plan->w;
    const struct chart *c = w->chart;
    int pickup[MAX_STRETCHES + 1];

    for (int i = 0; i < c->nstretches; i++)
        pickup[i] = pickup_of(w, &c->stretch[i]);
    pickup[c->nstretches] = 0;
    for (int i = 0; i < c->nstretches; i++) {
        const struct stretch *s = &c->stretch[i];
        bool last = i == c->nstretches - 1;
        int end = last ? s->end - (c->beats == 4 ? 1 : 0) : s->end;
        int close = end - rng_range(&w->rng, 7, 11);
        int limit = (last ? close : end) - w->player->gap_min
            - pickup[i + 1];

        if (!fill(plan, s->start - pickup[i], limit, s->head))
            return false;
        if (last && !finish(plan, close, end))
            return false;
    }
    return true;
}

/* Let some long thirds be approached by a grace note. */
static void add_graces(struct writer *w)
{
    for (int i = 0; i < w->line->nsounds; i++) {
        struct sound *s = &w->line->sound[i];
        const struct chord *chord = &w->chart->span[s->span].chord;
        int rel = (s->midi - spelling_class(chord->root) + 120) % 12;

        s->grace = rel == 4 && s->duration >= DIVISIONS && s->onset >= 0
            && rng_chance(&w->rng, w->player->grace_chance);
    }
}

bool line_compose(const struct solo_spec *spec, const struct chart *chart,
                  struct line *line)
{
    struct writer w = { .spec = spec, .player = &players[spec->player],
        .instrument = &instruments[spec->instrument], .chart = chart,
        .line = line, .last_habit = -1, .last_template = -1 };
    struct plan plan = { .w = &w, .total = chart->nbars * chart->beats };

    memset(line, 0, sizeof *line);
    memset(line->beat, 'd', sizeof line->beat);
    rng_seed(&w.rng, spec->seed);
    if (!fill_all(&plan))
        return false;
    add_graces(&w);
    return true;
}
