#include "tests/demo/chart.h"

#include <stdio.h>
#include <string.h>

/* How the bars of one section are taken over into the chart. */
struct taking {
    const struct solo_spec *spec;
    struct chart *chart;
    int shift;   /* fifths from the key that forms.c is written in */
    int chorus;
    bool fresh;  /* the next chord is written even when it is no new one */
};

static bool add_chord(struct taking *t, const char *text, int start, int end)
{
    struct chart *chart = t->chart;
    struct span *span = &chart->span[chart->nspans];

    if (chart->nspans == MAX_SPANS)
        return false;
    if (!chord_read(text, t->shift, &span->chord))
        return false;
    span->start = start;
    span->end = end;
    span->shown = t->fresh || chart->nspans == 0
        || !chord_same(&span[-1].chord, &span->chord);
    t->fresh = false;
    chart->nspans++;
    return true;
}

/* Add one bar from TEXT, LEN bytes of chord symbols with blanks between. */
static bool add_bar(struct taking *t, const char *text, size_t len)
{
    char copy[64], *save = NULL, *word[4];
    int n = 0, beats = t->chart->beats;
    int start = t->chart->nbars * beats * DIVISIONS;
    struct bar *bar = &t->chart->bar[t->chart->nbars];

    if (len >= sizeof copy || t->chart->nbars == MAX_BARS)
        return false;
    memcpy(copy, text, len);
    copy[len] = '\0';
    for (char *w = strtok_r(copy, " ", &save); w && n < 4;
         w = strtok_r(NULL, " ", &save))
        word[n++] = w;
    memset(bar, 0, sizeof *bar);
    bar->chorus = t->chorus;
    t->chart->nbars++;
    for (int i = 0; i < n; i++) {
        /* Chords share the bar equally; two in a waltz bar take 2 and 1. */
        int from = (i * beats + n - 1) / n, to = ((i + 1) * beats + n - 1) / n;

        if (!add_chord(t, word[i], start + from * DIVISIONS,
                       start + to * DIVISIONS))
            return false;
    }
    return n > 0;
}

/* Add the bars FROM .. TO - 1 of a '|' separated row. */
static bool add_bars(struct taking *t, const char *row, int from, int to)
{
    for (int i = 0; i < to; i++) {
        size_t len = strcspn(row, "|");

        if (i >= from && !add_bar(t, row, len))
            return false;
        row += len;
        if (*row != '|')
            return i == to - 1;
        row++;
    }
    return true;
}

static int row_length(const char *row)
{
    int n = 1;

    for (; *row; row++)
        n += *row == '|';
    return n;
}

static void mark_section(struct chart *chart, int first, const char *letter)
{
    chart->bar[first].letter = letter;
    chart->bar[chart->nbars - 1].section_end = true;
}

/* The first two sections of a chorus share all but their last two bars. */
static bool add_shared(struct taking *t)
{
    const struct section *s = tunes[t->spec->tune].section;
    struct chart *chart = t->chart;
    int first = chart->nbars, length = row_length(s[0].bars);

    t->fresh = true;
    if (!add_bars(t, s[0].bars, 0, length))
        return false;
    mark_section(chart, first, s[0].letter);
    chart->bar[first].repeat_start = true;
    chart->bar[first + length - 1].repeat_end = true;
    chart->bar[first + length - 2].ending = 1;
    chart->bar[first + length - 1].ending_end = true;
    t->fresh = true;
    if (!add_bars(t, s[1].bars, length - 2, length))
        return false;
    chart->bar[first + length].ending = 2;
    chart->bar[chart->nbars - 1].ending_end = true;
    chart->bar[chart->nbars - 1].section_end = true;
    return true;
}

static bool add_section(struct taking *t, const struct section *section,
                        bool last)
{
    int first = t->chart->nbars, length = row_length(section->bars);

    t->fresh = true;
    if (!add_bars(t, section->bars, 0, last ? length - 2 : length))
        return false;
    if (last && !add_bars(t, tunes[t->spec->tune].coda, 0, 2))
        return false;
    mark_section(t->chart, first, section->letter);
    return true;
}

static bool add_stretch(struct chart *chart, int from_bar, bool head,
                        bool walled)
{
    struct stretch *s = &chart->stretch[chart->nstretches];

    if (chart->nstretches == MAX_STRETCHES)
        return false;
    s->start = from_bar * chart->beats;
    s->end = chart->nbars * chart->beats;
    s->head = head;
    s->walled = walled;
    chart->nstretches++;
    return true;
}

static bool add_chorus(struct taking *t, bool last)
{
    const struct section *s = tunes[t->spec->tune].section;
    struct chart *chart = t->chart;
    int first = chart->nbars, from = first;
    bool shared = t->spec->repeats == REPEATS_ENDINGS && t->chorus == 0;
    bool twice = t->spec->repeats == REPEATS_CHORUS;

    if (shared) {
        if (!add_shared(t))
            return false;
        /* Nothing sounds from the first ending into the second. */
        from = chart->nbars - 2;
        chart->nbars = from;
        add_stretch(chart, first, true, true);
        chart->nbars = from + 2;
        s += 2;
    }
    for (; s->letter; s++)
        if (!add_section(t, s, last && !s[1].letter))
            return false;
    chart->bar[first].chorus_head = true;
    chart->bar[chart->nbars - 1].chorus_end = true;
    if (twice && t->chorus == 0) {
        chart->bar[first].repeat_start = true;
        chart->bar[chart->nbars - 1].repeat_end = true;
    }
    return add_stretch(chart, from, !shared,
                       shared || (twice && t->chorus < 2));
}

/* Give each chord the scale that its place in the piece asks for. */
static void settle(const struct solo_spec *spec, struct chart *chart)
{
    for (int i = 0; i < chart->nspans; i++) {
        int next = chart_next_chord(chart, i);

        chord_settle(&chart->span[i].chord,
                     next < 0 ? NULL : &chart->span[next].chord,
                     spec->fifths, tunes[spec->tune].minor);
    }
}

bool chart_build(const struct solo_spec *spec, struct chart *chart)
{
    const struct tune *tune = &tunes[spec->tune];
    struct taking t = { spec, chart, spec->fifths + (tune->minor ? 3 : 0), 0,
                        true };

    memset(chart, 0, sizeof *chart);
    chart->beats = tune->beats;
    for (; t.chorus < spec->choruses; t.chorus++)
        if (!add_chorus(&t, t.chorus == spec->choruses - 1))
            return false;
    settle(spec, chart);
    return spec->repeats == REPEATS_ENDINGS
        || chart->nbars == tune->length * spec->choruses;
}

int chart_span_at(const struct chart *chart, int tick)
{
    int i = chart->nspans - 1;

    while (i > 0 && chart->span[i].start > tick)
        i--;
    return i;
}

int chart_span_of(const struct chart *chart, int onset, int duration)
{
    int at = chart_span_at(chart, onset), next = at + 1;

    if (next < chart->nspans && !chart->span[next].chord.silent
        && chart->span[next].start - onset <= DIVISIONS / 2
        && chart->span[next].start > onset
        && onset + duration > chart->span[next].start)
        return next;
    return at;
}

int chart_next_chord(const struct chart *chart, int span)
{
    for (int i = span + 1; i < chart->nspans; i++)
        if (!chord_same(&chart->span[i].chord, &chart->span[span].chord))
            return i;
    return -1;
}
