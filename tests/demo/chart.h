/* tests/demo/chart.h - a solo's written bars with their chords and marks. */
#ifndef DEMO_CHART_H
#define DEMO_CHART_H
#include "tests/demo/forms.h"

#define MAX_BARS 160
#define MAX_SPANS 400
#define MAX_STRETCHES 12

struct bar {
    int chorus; /* written chorus, from 0 */
    const char *letter; /* section that starts here, or NULL */
    bool chorus_head, section_end, chorus_end;
    bool repeat_start, repeat_end;
    int ending;      /* 1 or 2 from the bar where it starts, else 0 */
    bool ending_end; /* the ending closes with this bar */
};

struct span {
    int start, end; /* ticks from bar 1 */
    struct chord chord;
    bool shown; /* written in the score: it is new, or a section starts */
};

/* A run of beats that phrases keep within: a chorus, or a part of it when an
 * ending cuts it. */
struct stretch {
    int start, end; /* beats from bar 1 */
    bool head;      /* a chorus starts here */
    bool walled;    /* nothing may sound across its start */
};

struct chart {
    int beats; /* quarters in a bar */
    struct bar bar[MAX_BARS];
    int nbars;
    struct span span[MAX_SPANS];
    int nspans;
    struct stretch stretch[MAX_STRETCHES];
    int nstretches;
};

/* Lay out SPEC.  False when a table row is wrong or too long. */
bool chart_build(const struct solo_spec *spec, struct chart *chart);
/* Index of the span in effect at TICK; the first one before bar 1. */
int chart_span_at(const struct chart *chart, int tick);
/* The span that a note belongs to: the one at its onset, or the next when
 * the note starts at most an eighth before it and lasts into it. */
int chart_span_of(const struct chart *chart, int onset, int duration);
/* The first later span with another chord, or -1. */
int chart_next_chord(const struct chart *chart, int span);
#endif
