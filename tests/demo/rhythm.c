/* A rhythm is a string, one token a beat:
 *   e two eighths            o eighth rest, eighth
 *   q quarter                d eighth, eighth rest
 *   - the note before goes on for the beat
 *   a it goes on for an eighth, then an eighth
 *   t eighth triplet         T triplet: rest and two notes
 *   k triplet whose first third belongs to the note before
 *   w W quarter triplet, two beats
 *   6 eighth and two sixteenths
 *   r rest
 * A token that would prolong a note where none sounds is a rest instead. */
#include "tests/demo/line.h"

#include <string.h>

struct choice {
    char token;
    int weight;
};

static char choose(struct rng *rng, const struct choice *from, int count)
{
    int weight[12], at;

    for (int i = 0; i < count; i++)
        weight[i] = from[i].weight;
    at = rng_weighted(rng, weight, count);
    return at < 0 ? 'e' : from[at].token;
}

static bool can_prolong(char before)
{
    return before == 'e' || before == 't' || before == 'a' || before == 'o'
        || before == 'k';
}

/* Long lines: eighths, an odd triplet, notes tied over the bar line. */
static void long_lines(struct writer *w, struct phrase *p)
{
    static const struct choice start[] = { { 'e', 32 }, { 'o', 45 },
        { 'q', 8 }, { 't', 8 } };
    static const struct choice middle[] = { { 'e', 80 }, { 't', 9 },
        { 'q', 4 }, { 'a', 4 } };
    static const struct choice bar[] = { { 'e', 76 }, { 't', 6 },
        { '-', 8 }, { 'a', 10 } };
    static const struct choice end[] = { { 'd', 32 }, { 'e', 26 },
        { 'q', 24 }, { '-', 18 } };

    for (int i = 0; i < p->beats; i++) {
        bool bar_line = (p->start + i) % w->chart->beats == 0;
        char t, before = i > 0 ? p->token[i - 1] : ' ';

        if (i == 0)
            t = choose(&w->rng, start, p->start < 0 ? 2 : 4);
        else if (i == p->beats - 1)
            t = choose(&w->rng, end, can_prolong(before) ? 4 : 3);
        else if (bar_line)
            t = choose(&w->rng, bar, can_prolong(before) ? 4 : 2);
        else
            t = choose(&w->rng, middle, can_prolong(before) ? 4 : 3);
        p->token[i] = t;
    }
}

/* Triplets of both sizes among eighths and quarters. */
static void triplets(struct writer *w, struct phrase *p)
{
    static const struct choice start[] = { { 'o', 30 }, { 'e', 18 },
        { 't', 28 }, { 'T', 24 } };
    static const struct choice middle[] = { { 't', 30 }, { 'e', 34 },
        { 'q', 8 }, { '6', 3 }, { 'w', 9 }, { 'a', 8 }, { 'k', 6 } };
    static const struct choice bar[] = { { 't', 32 }, { 'e', 34 },
        { 'q', 8 }, { 'w', 9 }, { '-', 9 }, { 'a', 8 } };
    static const struct choice end[] = { { 'q', 36 }, { 'd', 18 },
        { 'e', 18 }, { 't', 10 }, { '-', 18 } };

    for (int i = 0; i < p->beats; i++) {
        int at = (p->start + i + 4 * w->chart->beats) % w->chart->beats;
        char t, before = i > 0 ? p->token[i - 1] : ' ';
        bool tie = can_prolong(before), left = i + 2 < p->beats;

        if (i == 0)
            t = choose(&w->rng, start, p->start < 0 ? 3 : 4);
        else if (i == p->beats - 1)
            t = choose(&w->rng, end, tie ? 5 : 4);
        else if (at == 0)
            t = choose(&w->rng, bar, tie ? 6 : 4);
        else
            t = choose(&w->rng, middle, tie ? 7 : 5);
        if (t == 'w' && !(left && at % 2 == 0 && at + 2 <= w->chart->beats))
            t = 'e';
        p->token[i] = t;
        if (t == 'w')
            p->token[++i] = 'W';
    }
}

static const char *const riffs[] = {
    "oea", "eqd", "qea", "tqd", "ead",
    "oea-", "eaa-", "qoe-", "eqoe", "qea-", "oeaq", "odea", "tqea", "aea-",
    "oea-q", "eaeqd", "qoeqd", "eqoe-", "edea-", "oteq-", "oeaa-",
    "oea-oe", "eaa-oq", "qe-oea", "ee-oea", "edoea-", "tqoea-", "oeaeqd"
};
enum { RIFFS = sizeof riffs / sizeof *riffs };

/* Riffs that open a chorus say their five notes in the first bar. */
static const char *const calls[] = {
    "eeq-oe", "oee-oe", "oee-ea", "eeaq-d", "teq-oe", "eeq-oa", "oetqoe"
};
enum { CALLS = sizeof calls / sizeof *calls };

/* Short riffs out of a stock; the one just used is left out. */
static void short_riffs(struct writer *w, struct phrase *p)
{
    int weight[RIFFS], at;

    if (p->head && p->beats == (int)strlen(calls[0])) {
        memcpy(p->token, calls[rng_below(&w->rng, CALLS)], strlen(calls[0]));
        return;
    }
    for (int i = 0; i < RIFFS; i++)
        weight[i] = (int)strlen(riffs[i]) == p->beats
            && i != w->last_template;
    at = rng_weighted(&w->rng, weight, RIFFS);
    memset(p->token, 'q', (size_t)p->beats);
    if (at >= 0)
        memcpy(p->token, riffs[at], (size_t)p->beats);
    if (at < 0)
        long_lines(w, p);
    w->last_template = at;
}

/* The last note of a solo starts the last bar, or an eighth before it. */
static void close_solo(struct writer *w, struct phrase *p)
{
    int bar = p->beats - 3;
    bool early = rng_chance(&w->rng, 50);

    if (p->token[bar - 1] == 'w' || p->token[bar - 2] == 'w')
        p->token[bar - 2] = 'e';
    p->token[bar - 1] = 'e';
    p->token[bar] = early ? '-' : 'q';
    for (int i = bar + 1; i < p->beats; i++)
        p->token[i] = '-';
}

void rhythm_choose(struct writer *w, struct phrase *phrase,
                   const struct phrase *before, bool echo)
{
    if (echo && before && before->beats == phrase->beats)
        memcpy(phrase->token, before->token, sizeof phrase->token);
    else if (w->spec->player == 0)
        long_lines(w, phrase);
    else if (w->spec->player == 1)
        short_riffs(w, phrase);
    else
        triplets(w, phrase);
    if (phrase->last)
        close_solo(w, phrase);
}

static bool add_sound(struct writer *w, struct phrase *p, int onset,
                      int duration)
{
    struct sound *s = &w->line->sound[w->line->nsounds];

    if (w->line->nsounds == MAX_SOUNDS)
        return false;
    memset(s, 0, sizeof *s);
    s->onset = onset;
    s->duration = duration;
    s->step = s->pitch_class = ANY;
    w->line->nsounds++;
    p->count++;
    return true;
}

/* Let the sound that ends at TICK go on for MORE ticks, if there is one. */
static void prolong(struct writer *w, const struct phrase *p, int tick,
                    int more)
{
    struct sound *s = &w->line->sound[w->line->nsounds - 1];

    if (p->count > 0 && s->onset + s->duration == tick)
        s->duration += more;
}

static bool lay_token(struct writer *w, struct phrase *p, char token, int at)
{
    static const struct { char token; int n, at[3], len; } plain[] = {
        { 'e', 2, { 0, 6, 0 }, 6 }, { 'o', 1, { 6, 0, 0 }, 6 },
        { 'q', 1, { 0, 0, 0 }, 12 }, { 'd', 1, { 0, 0, 0 }, 6 },
        { 'a', 1, { 6, 0, 0 }, 6 }, { 't', 3, { 0, 4, 8 }, 4 },
        { 'T', 2, { 4, 8, 0 }, 4 }, { 'k', 2, { 4, 8, 0 }, 4 },
        { 'w', 3, { 0, 8, 16 }, 8 }
    };

    if (token == '-' || token == 'a' || token == 'k')
        prolong(w, p, at, token == '-' ? 12 : token == 'a' ? 6 : 4);
    if (token == '6')
        return add_sound(w, p, at, 6) && add_sound(w, p, at + 6, 3)
            && add_sound(w, p, at + 9, 3);
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++)
        if (plain[i].token == token)
            for (int k = 0; k < plain[i].n; k++)
                if (!add_sound(w, p, at + plain[i].at[k], plain[i].len))
                    return false;
    return true;
}

static char beat_kind(char token)
{
    if (token == 't' || token == 'T' || token == 'k')
        return 't';
    if (token == 'w' || token == 'W')
        return token;
    return token == '6' ? 's' : 'd';
}

bool rhythm_lay(struct writer *w, struct phrase *phrase)
{
    phrase->first = w->line->nsounds;
    phrase->count = 0;
    for (int i = 0; i < phrase->beats; i++) {
        int beat = phrase->start + i;

        w->line->beat[beat + LEAD_BEATS] = beat_kind(phrase->token[i]);
        if (!lay_token(w, phrase, phrase->token[i], beat * DIVISIONS))
            return false;
    }
    for (int i = phrase->first; i < w->line->nsounds; i++) {
        struct sound *s = &w->line->sound[i];

        s->span = chart_span_of(w->chart, s->onset, s->duration);
    }
    return true;
}
