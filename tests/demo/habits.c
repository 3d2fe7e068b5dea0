#include "tests/demo/habits.h"

#include <string.h>

/* Uses are: home root above the written root, family of the written chord,
 * weight, whether the written chord has to resolve, and the plain words. */
#define WRITTEN "as written"
#define END { 0, FAM_MAJOR, 0, false, NULL }

const struct habit habits[3 * HABITS_EACH] = {
    /* Tobiah Wrenmoor: formulas for long lines. */
    { "wrenmoor-fall", "5 b3 2 1", "m7", -1, -1, false,
      { { 0, FAM_MINOR, 10, false, WRITTEN },
        { 7, FAM_DOMINANT, 7, false, "ii over its V" },
        { 2, FAM_MAJOR, 4, false, "ii over its I" },
        { 3, FAM_HALF_DIMINISHED, 5, false,
          "minor over the half-diminished a minor third below" },
        { 9, FAM_MAJOR, 4, false, "vi over the major" } } },
    { "wrenmoor-climb", "3 5 b7 b9", "7", 7, -1, false,
      { { 0, FAM_DOMINANT, 26, true, WRITTEN },
        { 6, FAM_DOMINANT, 30, true, "tritone substitute" },
        { 9, FAM_DOMINANT, 30, true, "backdoor" }, END, END } },
    { "wrenmoor-steps", "1 2 3 5", "maj7", -1, -1, true,
      { { 0, FAM_MAJOR, 10, false, WRITTEN },
        { 0, FAM_DOMINANT, 6, false, "major over the dominant on its root" },
        { 3, FAM_MINOR, 4, false, "major over the minor a third below" },
        { 10, FAM_SUSPENDED, 9, false,
          "major over the sus a whole step above" }, END } },
    { "wrenmoor-arch", "b3 5 b7 9 1 b7 13", "m7", -1, -1, false,
      { { 0, FAM_MINOR, 9, false, WRITTEN },
        { 7, FAM_DOMINANT, 5, false, "ii over its V" }, END, END, END } },
    { "wrenmoor-ring", "4 #9 3", "maj7", -1, 2, false,
      { { 0, FAM_MAJOR, 8, false, WRITTEN },
        { 0, FAM_DOMINANT, 5, false, "major over the dominant on its root" },
        END, END, END } },
    /* Odessa Kittleby: short riffs with air around them. */
    { "kittleby-call", "5 13 1 #9 1", "7", -1, -1, true,
      { { 0, FAM_DOMINANT, 12, false, WRITTEN },
        { 0, FAM_MAJOR, 3, false, "dominant over the major on its root" },
        END, END, END } },
    { "kittleby-drop", "6 5 3 2 1", "6", -1, -1, true,
      { { 0, FAM_MAJOR, 10, false, WRITTEN },
        { 0, FAM_DOMINANT, 7, false, "major over the dominant on its root" },
        { 3, FAM_MINOR, 6, false, "major over the minor a third below" },
        END, END } },
    { "kittleby-knot", "b7 1 b3 1", "m7", -1, -1, true,
      { { 0, FAM_MINOR, 10, false, WRITTEN },
        { 7, FAM_DOMINANT, 5, false, "ii over its V" },
        { 9, FAM_MAJOR, 4, false, "vi over the major" },
        { 0, FAM_HALF_DIMINISHED, 6, false,
          "minor over the half-diminished on its root" }, END } },
    { "kittleby-knock", "5 5 5 3 1", "7", -1, -1, false,
      { { 0, FAM_DOMINANT, 9, false, WRITTEN },
        { 0, FAM_MAJOR, 7, false, "dominant over the major on its root" },
        END, END, END } },
    { "kittleby-sigh", "9 1 b7 5", "7", -1, -1, false,
      { { 0, FAM_DOMINANT, 9, false, WRITTEN },
        { 5, FAM_MINOR, 6, false, "V over its ii" }, END, END, END } },
    /* Lucan Marchetvale: triplets, wide intervals, chromatic approaches. */
    { "marchetvale-side", "1 2 b3 5", "m7", -1, -1, false,
      { { 1, FAM_DOMINANT, 14, true, "minor over the dominant a semitone "
          "below" },
        { 0, FAM_MINOR, 6, false, WRITTEN },
        { 7, FAM_DOMINANT, 3, false, "ii over its V" }, END, END } },
    { "marchetvale-lift", "#9 3 5 1", "maj7", -1, -1, true,
      { { 0, FAM_MAJOR, 10, false, WRITTEN },
        { 0, FAM_DOMINANT, 8, false, "major over the dominant on its root" },
        END, END, END } },
    { "marchetvale-fourths", "5 1 4 b7", "m7", -1, -1, true,
      { { 0, FAM_MINOR, 9, false, WRITTEN },
        { 7, FAM_SUSPENDED, 24, false, "ii over the sus on its V" },
        { 4, FAM_MAJOR, 6, false, "iii over the major" },
        { 9, FAM_MAJOR, 4, false, "vi over the major" }, END } },
    { "marchetvale-fold", "b9 b7 5 3", "7", 0, -1, false,
      { { 0, FAM_DOMINANT, 30, true, WRITTEN },
        { 6, FAM_DOMINANT, 60, true, "tritone substitute" },
        END, END, END } },
    { "marchetvale-slide", "13 b13 5 3", "maj7", -1, -1, false,
      { { 0, FAM_MAJOR, 8, false, WRITTEN },
        { 0, FAM_DOMINANT, 8, false, "major over the dominant on its root" },
        END, END, END } },
};

const struct player players[3] = {
    { "Tobiah Wrenmoor", "tobiah-wrenmoor",
      "long lines of eighth notes, arpeggio up and scale down, few rests",
      0, 9, 22, 1, 3, 6, 45, 8,
      { 20, 1, 0, 3, 4, 7, 13, 10, 12, 13, 22, 30, 18 },
      3, 6, 12, 7, 0 },
    { "Odessa Kittleby", "odessa-kittleby",
      "short riffs, syncopated and repeated, with as much rest as sound",
      5, 3, 6, 2, 5, 5, 25, 45,
      { 5, 4, 0, 1, 3, 4, 16, 6, 12, 10, 26, 40, 12 },
      0, 2, 16, 4, 35 },
    { "Lucan Marchetvale", "lucan-marchetvale",
      "triplets, wide intervals and chromatic approach notes",
      10, 5, 11, 1, 4, 7, 35, 15,
      { 24, 1, 2, 2, 2, 3, 8, 4, 6, 6, 9, 14, 10 },
      1, 1, 7, 10, 0 },
};

int habit_steps(const struct habit *habit, int semitones[MAX_CELL])
{
    const char *at = habit->degrees;
    int count = 0, before = 0;

    while (*at) {
        size_t len = strcspn(at, " ");
        int degree = degree_semitones(at, len), step;

        if (degree < 0 || count == MAX_CELL)
            return 0;
        step = degree - before;
        if (count > 0 && step > 6)
            step -= 12;
        if (count > 0 && step < -5)
            step += 12;
        semitones[count++] = step;
        before = degree;
        at += len + strspn(at + len, " ");
    }
    return count;
}
