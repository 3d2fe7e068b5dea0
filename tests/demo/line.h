/* tests/demo/line.h - the melody line of a solo: plan, rhythm, notes. */
#ifndef DEMO_LINE_H
#define DEMO_LINE_H
#include "tests/demo/chart.h"
#include "tests/demo/rng.h"

#define MAX_SOUNDS 3000
#define MAX_PLANTS 600
#define MAX_PHRASE_BEATS 64
#define LEAD_BEATS 4 /* beats before bar 1 that a pickup may use */
#define MAX_BEATS (MAX_BARS * 4 + LEAD_BEATS)
#define ANY 99

/* One sounding note, ties joined. */
struct sound {
    int onset, duration; /* ticks from bar 1; negative in a pickup */
    int midi;            /* sounding */
    int fifths;          /* written spelling */
    int span;            /* chord it belongs to, anticipation applied */
    int step;  /* forced semitones from the note before, or ANY */
    int pitch_class; /* forced, or ANY */
    bool grace; /* a grace note a semitone below stands before it */
};

/* A cell that was put in on purpose. */
struct plant {
    int first, count; /* sounds */
    const struct habit *habit;
    const struct use *use;
    bool resolved; /* the sound after the last one is the resolution */
};

struct line {
    struct sound sound[MAX_SOUNDS];
    int nsounds;
    struct plant plant[MAX_PLANTS];
    int nplants;
    char beat[MAX_BEATS]; /* 'd'uple, 't'riplet, 'w'ide triplet, 's'hort */
};

struct phrase {
    int start, beats; /* start in beats from bar 1 */
    bool head, last;
    char token[MAX_PHRASE_BEATS]; /* see rhythm.c */
    int first, count; /* sounds */
};

/* Everything a phrase is made with. */
struct writer {
    const struct solo_spec *spec;
    const struct player *player;
    const struct instrument *instrument;
    const struct chart *chart;
    struct line *line;
    struct rng rng;
    int used[HABITS_EACH]; /* cells planted so far, by habit */
    int last_habit;
    int last_template;
};

/* Compose the whole line of SPEC over CHART.  False when a table is full. */
bool line_compose(const struct solo_spec *spec, const struct chart *chart,
                  struct line *line);

/* The steps of line_compose(), each in a file of its own. */

/* Choose the tokens of PHRASE; BEFORE is the phrase before it or NULL, and
 * its rhythm is kept when ECHO. */
void rhythm_choose(struct writer *w, struct phrase *phrase,
                   const struct phrase *before, bool echo);
/* Turn the tokens into sounds at the end of the line, without pitches. */
bool rhythm_lay(struct writer *w, struct phrase *phrase);
/* Put cells into PHRASE: sets step and pitch_class of its sounds. */
bool weave_cells(struct writer *w, const struct phrase *phrase);
/* Choose the pitches of PHRASE around the sounding MIDI number CENTRE. */
bool melody_solve(struct writer *w, const struct phrase *phrase, int centre);
#endif
