/* tests/demo/habits.h - the three invented players and what they play.
 *
 * A habit is a short cell given by degrees over its home chord, with the
 * chords it is used over.  All are formulas that any teacher hands out. */
#ifndef DEMO_HABITS_H
#define DEMO_HABITS_H
#include "tests/demo/theory.h"

#define MAX_CELL 8
#define MAX_USES 5
#define HABITS_EACH 5

struct use {
    int home_above;     /* home root, semitones above the written root */
    enum family family; /* of the written chord */
    int weight;         /* how much it is liked; 0 ends the list */
    bool must_resolve;  /* the next chord has to be where a V7 goes */
    const char *words;  /* how the written chord stands to the home chord */
};

struct habit {
    const char *name;    /* in planted.tsv */
    const char *degrees; /* each step goes to the nearest such note */
    const char *suffix;  /* quality of the home chord */
    int into;            /* semitones above the next root, -1: free */
    int on_beat;         /* index of the note that falls on a beat, or -1 */
    bool opens;          /* liked at the head of a chorus */
    struct use use[MAX_USES];
};

struct player {
    const char *name, *folder, *manner;
    int habit_first;          /* index of the first of HABITS_EACH habits */
    int phrase_min, phrase_max; /* beats */
    int gap_min, gap_max;       /* beats between phrases */
    int notes_per_cell;       /* one cell is tried for so many notes */
    int pickup_chance;        /* percent of choruses begun before the bar */
    int echo_chance;          /* percent of phrases that keep the rhythm */
    int step_cost[13];        /* by semitones between neighbours */
    int turn_cost, zigzag_cost, outside_cost;
    int arch;                 /* semitones between low and high of a phrase */
    int grace_chance;         /* percent of long thirds with a grace note */
};

extern const struct player players[3];
extern const struct habit habits[3 * HABITS_EACH];

/* Read a habit's degrees.  SEMITONES[0] is the first note's distance above
 * the home root (0 .. 11), the others are steps from note to note, up
 * positive.  Returns the number of notes, 0 when the text is wrong. */
int habit_steps(const struct habit *habit, int semitones[MAX_CELL]);
#endif
