#include "tests/demo/notate.h"

#include <string.h>

#define EIGHTH (DIVISIONS / 2)

/* What notate_bar() and its helpers work on. */
struct bar_job {
    const struct line *line;
    struct measure *m;
    int beats, first_tick; /* first_tick: of the full bar */
    int first_beat;        /* index into line->beat */
};

int notate_key(const struct solo_spec *spec, int *up_fifths)
{
    int up = instruments[spec->instrument].up_fifths;

    if (spec->fifths + up > 6)
        up -= 12;
    *up_fifths = up;
    return spec->fifths + up;
}

int notate_root(const struct solo_spec *spec, int fifths)
{
    int up;

    (void)notate_key(spec, &up);
    return spelling_root(fifths + up);
}

void notate_spell(const struct solo_spec *spec, const struct chart *chart,
                  struct line *line)
{
    int up, key = notate_key(spec, &up);

    for (int i = 0; i < line->nsounds; i++) {
        struct sound *s = &line->sound[i];
        struct chord chord = chart->span[s->span].chord;
        int rel = (s->midi - spelling_class(chord.root) + 120) % 12;
        bool rising = i + 1 < line->nsounds && s[1].midi == s->midi + 1;

        chord.root = notate_root(spec, chord.root);
        s->fifths = spelling_plain(chord_spell(&chord, rel, rising, key),
                                   key);
    }
}

static char kind_at(const struct bar_job *job, int at)
{
    return job->line->beat[job->first_beat + at / DIVISIONS];
}

/* May a note of N eighths start on eighth E of the bar?  The middle of a
 * 4/4 bar stays visible but for the usual half note on beat 2. */
static bool note_allowed(int beats, int e, int n)
{
    if (beats == 3) {
        static const unsigned char ok[] = { 0, 077, 037, 013, 5, 0, 1 };

        return n <= 6 && (ok[n] >> e & 1);
    } else {
        static const unsigned char ok[] = { 0, 0xff, 0x77, 0x33, 0x15, 0,
                                            5, 0, 1 };

        return n <= 8 && (ok[n] >> e & 1);
    }
}

static bool rest_allowed(int beats, int e, int n)
{
    if (n == 1)
        return true;
    if (n == 2)
        return e % 2 == 0;
    return n == 4 && beats == 4 && e % 4 == 0;
}

/* Length of the next sign, at most LEFT, that may start at AT. */
static int cut(const struct bar_job *job, int at, int left, bool rest)
{
    char kind = kind_at(job, at);
    int beat = at / DIVISIONS * DIVISIONS, n;

    if (kind == 'w' || kind == 'W') {
        int end = kind == 'w' ? beat + 24 : beat + 12;

        return end - at < left ? end - at : left;
    }
    if (kind != 'd')
        return beat + 12 - at < left ? beat + 12 - at : left;
    for (n = 1; n * EIGHTH < left; n++)
        if ((at + n * EIGHTH) % DIVISIONS == 0
            && kind_at(job, at + n * EIGHTH) != 'd')
            break;
    for (; n > 1; n--)
        if (rest ? rest_allowed(job->beats, at / EIGHTH, n)
                 : note_allowed(job->beats, at / EIGHTH, n))
            break;
    return n * EIGHTH;
}

static void name_type(struct sign *s, char kind)
{
    static const struct { int ticks, dots; const char *type; } types[] = {
        { 3, 0, "16th" }, { 6, 0, "eighth" }, { 12, 0, "quarter" },
        { 18, 1, "quarter" }, { 24, 0, "half" }, { 36, 1, "half" },
        { 48, 0, "whole" }
    };
    int ticks = s->duration;

    if (kind == 't' && ticks != 12) {
        s->tuplet = TUPLET_EIGHTH;
        ticks = ticks * 3 / 2;
    } else if (kind == 'w' || kind == 'W') {
        s->tuplet = TUPLET_QUARTER;
        ticks = ticks * 3 / 2;
    }
    for (size_t i = 0; i < sizeof types / sizeof *types; i++)
        if (types[i].ticks == ticks) {
            s->type = types[i].type;
            s->dots = types[i].dots;
        }
}

/* Add the signs for AT .. END; MODEL says what sounds there. */
static bool add_signs(struct bar_job *job, const struct sign *model, int at,
                      int end)
{
    struct measure *m = job->m;

    while (at < end) {
        struct sign *s = &m->sign[m->nsigns];

        if (m->nsigns == MAX_SIGNS)
            return false;
        *s = *model;
        s->at = at;
        s->duration = cut(job, at, end - at, model->rest);
        name_type(s, kind_at(job, at));
        if (!s->type)
            return false;
        at += s->duration;
        if (!s->rest) {
            s->tie_stop = s->at > model->at
                || (s->at == model->at && model->tie_stop);
            s->tie_start = at < end || model->tie_start;
        }
        m->nsigns++;
    }
    return true;
}

static bool add_grace(struct bar_job *job, const struct sign *main)
{
    struct sign *s = &job->m->sign[job->m->nsigns];

    if (job->m->nsigns == MAX_SIGNS)
        return false;
    *s = *main;
    s->grace = true;
    s->duration = 0;
    s->type = "eighth";
    s->midi--;
    s->fifths += main->fifths >= 1 ? -7 : 5;
    s->tie_start = s->tie_stop = false;
    job->m->nsigns++;
    return true;
}

static bool add_sound_signs(struct bar_job *job, const struct solo_spec *spec,
                            const struct sound *sound)
{
    int length = job->beats * DIVISIONS;
    int at = sound->onset - job->first_tick;
    int end = at + sound->duration;
    struct sign model = { 0 };

    model.midi = sound->midi
        + instruments[spec->instrument].up_semitones;
    model.fifths = sound->fifths;
    model.tie_stop = at < 0;
    model.tie_start = end > length;
    model.at = at < 0 ? 0 : at;
    if (sound->grace && at >= 0 && !add_grace(job, &model))
        return false;
    return add_signs(job, &model, model.at, end > length ? length : end);
}

static void whole_rest(struct measure *m, int length)
{
    struct sign *s = &m->sign[m->nsigns++];

    memset(s, 0, sizeof *s);
    s->rest = s->whole_bar = true;
    s->duration = length;
}

/* Tuplet brackets: the signs of one triplet beat, or pair of beats. */
static void bracket(struct bar_job *job)
{
    struct measure *m = job->m;

    for (int i = 0; i < m->nsigns; i++) {
        struct sign *s = &m->sign[i];
        int span = s->tuplet == TUPLET_QUARTER ? 24 : 12;
        int start = s->at / DIVISIONS * DIVISIONS;

        if (s->tuplet == TUPLET_NONE || s->grace)
            continue;
        if (s->tuplet == TUPLET_QUARTER && kind_at(job, s->at) == 'W')
            start -= 12;
        s->tuplet_start = s->at == start;
        s->tuplet_stop = s->at + s->duration == start + span;
    }
}

static bool beamed(const struct sign *s)
{
    return !s->rest && !s->grace && s->type
        && (strcmp(s->type, "eighth") == 0 || strcmp(s->type, "16th") == 0);
}

/* Signs of one beam group share a number: a half-bar of plain eighths in
 * 4/4, else a beat. */
static int beam_group(const struct bar_job *job, const struct sign *s)
{
    int half = s->at / (2 * DIVISIONS) * 2 * DIVISIONS;

    if (job->beats == 4 && kind_at(job, half) == 'd'
        && kind_at(job, half + DIVISIONS) == 'd')
        return half;
    return s->at / DIVISIONS * DIVISIONS;
}

/* Beam signs FIRST .. LAST together at LEVEL 0 (eighths) or 1. */
static void beam_run(struct measure *m, int first, int last, int level)
{
    for (int i = first; i <= last; i++) {
        if (m->sign[i].grace)
            continue;
        m->sign[i].beam[level] = i == first ? "begin"
            : i == last ? "end" : "continue";
    }
    if (first == last)
        m->sign[first].beam[level] = level ? "forward hook" : NULL;
}

static void beam_sixteenths(struct measure *m, int first, int last)
{
    int from = -1;

    for (int i = first; i <= last + 1; i++) {
        bool short_note = i <= last && strcmp(m->sign[i].type, "16th") == 0;

        if (short_note && from < 0)
            from = i;
        if (!short_note && from >= 0) {
            beam_run(m, from, i - 1, 1);
            from = -1;
        }
    }
}

static void beam(struct bar_job *job)
{
    struct measure *m = job->m;
    int first = 0;

    while (first < m->nsigns) {
        int last = first, next;

        if (!beamed(&m->sign[first])) {
            first++;
            continue;
        }
        for (next = first + 1; next < m->nsigns; next++) {
            if (m->sign[next].grace)
                break;
            if (!beamed(&m->sign[next])
                || beam_group(job, &m->sign[next])
                    != beam_group(job, &m->sign[first]))
                break;
            last = next;
        }
        beam_run(m, first, last, 0);
        if (last > first)
            beam_sixteenths(m, first, last);
        first = last + 1;
    }
}

/* Alteration of LETTER (C = 0) under the key signature KEY. */
static int key_alter(int letter, int key)
{
    static const int order[] = { 0, 2, 4, -1, 1, 3, 5 }; /* C D E F G A B */
    int fifths = order[letter];

    while (fifths < key - 1)
        fifths += 7;
    while (fifths > key + 5)
        fifths -= 7;
    return spelling_alter(fifths);
}

static void accidentals(const struct solo_spec *spec, struct measure *m)
{
    int up, key = notate_key(spec, &up), state[7][12];

    for (int l = 0; l < 7; l++)
        for (int o = 0; o < 12; o++)
            state[l][o] = key_alter(l, key);
    for (int i = 0; i < m->nsigns; i++) {
        struct sign *s = &m->sign[i];
        int letter = spelling_letter(s->fifths);
        int alter = spelling_alter(s->fifths);
        int octave = (s->midi - alter) / 12;

        if (s->rest || s->tie_stop)
            continue;
        s->accidental = state[letter][octave] != alter;
        state[letter][octave] = alter;
    }
}

/* Number of the first sound that ends after TICK. */
static int first_sound(const struct line *line, int tick)
{
    int i = 0;

    while (i < line->nsounds
           && line->sound[i].onset + line->sound[i].duration <= tick)
        i++;
    return i;
}

bool notate_bar(const struct solo_spec *spec, const struct chart *chart,
                const struct line *line, int bar, struct measure *m)
{
    int length = chart->beats * DIVISIONS, at = 0;
    struct bar_job job = { line, m, chart->beats, bar * length,
        bar * chart->beats + LEAD_BEATS };
    struct sign silence = { .rest = true };
    int i = first_sound(line, job.first_tick);

    m->nsigns = 0;
    m->from = bar < 0 ? line->sound[0].onset - job.first_tick : 0;
    at = m->from;
    for (; i < line->nsounds
           && line->sound[i].onset < job.first_tick + length; i++) {
        const struct sound *s = &line->sound[i];
        int onset = s->onset - job.first_tick;

        if (onset > at && !add_signs(&job, &silence, at, onset))
            return false;
        if (!add_sound_signs(&job, spec, s))
            return false;
        at = onset + s->duration;
    }
    if (m->nsigns == 0)
        whole_rest(m, length);
    else if (at < length && !add_signs(&job, &silence, at, length))
        return false;
    bracket(&job);
    beam(&job);
    accidentals(spec, m);
    return true;
}
