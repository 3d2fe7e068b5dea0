/* query/words.c - see words.h. */
#include "query/words.h"

#include <inttypes.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>

char *words_beat(char out[WORDS_SIZE], struct rational beat)
{
    int64_t whole = beat.num / beat.den;
    int64_t rest = beat.num % beat.den;
    const char *part = NULL;

    if (rest == 0)
        part = "";
    else if (beat.den == 2)
        part = " and";
    else if (beat.den == 4)
        part = rest == 1 ? " e" : " a";
    if (rest < 0 || !part)
        snprintf(out, WORDS_SIZE, "%" PRId64 " %" PRId64 "/%" PRId64, whole,
                 rest, beat.den);
    else
        snprintf(out, WORDS_SIZE, "%" PRId64 "%s", whole, part);
    return out;
}

/* The note values that have a name, longest first. */
static const struct value_name {
    int64_t num, den; /* quarters */
    int strange;      /* 0 plain, 1 of a triplet, 2 dotted */
    const char *name;
} value_names[] = {
    { 8, 1, 0, "double whole" },
    { 6, 1, 2, "dotted whole" },
    { 4, 1, 0, "whole" },
    { 7, 2, 2, "double-dotted half" },
    { 3, 1, 2, "dotted half" },
    { 8, 3, 1, "triplet whole" },
    { 2, 1, 0, "half" },
    { 7, 4, 2, "double-dotted quarter" },
    { 3, 2, 2, "dotted quarter" },
    { 4, 3, 1, "triplet half" },
    { 1, 1, 0, "quarter" },
    { 3, 4, 2, "dotted eighth" },
    { 2, 3, 1, "triplet quarter" },
    { 1, 2, 0, "eighth" },
    { 3, 8, 2, "dotted 16th" },
    { 1, 3, 1, "triplet eighth" },
    { 1, 4, 0, "16th" },
    { 3, 16, 2, "dotted 32nd" },
    { 1, 6, 1, "triplet 16th" },
    { 1, 8, 0, "32nd" },
    { 1, 12, 1, "triplet 32nd" },
    { 1, 16, 0, "64th" },
};

enum {
    VALUE_NAMES = sizeof value_names / sizeof *value_names
};

static const struct value_name *value_name(struct rational quarters)
{
    for (int i = 0; i < VALUE_NAMES; i++)
        if (value_names[i].num == quarters.num &&
            value_names[i].den == quarters.den)
            return &value_names[i];
    return NULL;
}

/* The two least strange values that make QUARTERS together, the longer first.
 * False where there are none. */
static bool split_value(const struct value_name *out[2],
                        struct rational quarters)
{
    int least = INT_MAX;

    for (int i = 0; i < VALUE_NAMES; i++) {
        const struct value_name *first = &value_names[i];
        const struct value_name *rest = value_name(
            rational_sub(quarters, rational_make(first->num, first->den)));

        if (!rest || first->strange + rest->strange >= least)
            continue;
        least = first->strange + rest->strange;
        out[0] = first;
        out[1] = rest;
    }
    return least < INT_MAX;
}

char *words_duration(char out[WORDS_SIZE], struct rational quarters)
{
    const struct value_name *name = value_name(quarters), *pair[2];

    if (quarters.num <= 0)
        snprintf(out, WORDS_SIZE, "no length");
    else if (name)
        snprintf(out, WORDS_SIZE, "%s", name->name);
    else if (split_value(pair, quarters))
        snprintf(out, WORDS_SIZE, "%s tied to %s", pair[0]->name,
                 pair[1]->name);
    else
        snprintf(out, WORDS_SIZE, "%" PRId64 "/%" PRId64 " of a quarter",
                 quarters.num, quarters.den);
    return out;
}

char *words_transposition(char out[WORDS_SIZE], int semitones)
{
    static const char *const names[] = { "m2", "M2", "m3", "M3", "P4" };
    int size = abs(semitones);

    if (size == 0)
        snprintf(out, WORDS_SIZE, "same key");
    else if (size >= 6)
        snprintf(out, WORDS_SIZE, "tritone");
    else
        snprintf(out, WORDS_SIZE, "%s %s", semitones > 0 ? "up" : "down",
                 names[size - 1]);
    return out;
}

char *words_interval(char out[WORDS_SIZE], int semitones)
{
    static const char *const names[12] = { "",
                                           "a semitone",
                                           "a whole step",
                                           "a minor third",
                                           "a major third",
                                           "a fourth",
                                           "a tritone",
                                           "a fifth",
                                           "a minor sixth",
                                           "a major sixth",
                                           "a minor seventh",
                                           "a major seventh" };
    const char *rest = names[semitones % 12];
    char octaves[24] = "";

    if (semitones >= 24)
        snprintf(octaves, sizeof octaves, "%d octaves", semitones / 12);
    snprintf(out, WORDS_SIZE, "%s%s%s",
             semitones < 12   ? ""
             : semitones < 24 ? "an octave"
                              : octaves,
             semitones >= 12 && *rest ? " and " : "", rest);
    return out;
}

char *words_count(char out[WORDS_SIZE], uint64_t n, const char *one,
                  const char *many)
{
    snprintf(out, WORDS_SIZE, "%" PRIu64 " %s", n, n == 1 ? one : many);
    return out;
}

char *words_tempo(char out[WORDS_SIZE], int32_t hundredths)
{
    int whole = hundredths / 100, rest = hundredths % 100;

    if (hundredths <= 0)
        out[0] = '\0';
    else if (rest == 0)
        snprintf(out, WORDS_SIZE, "%d", whole);
    else if (rest % 10 == 0)
        snprintf(out, WORDS_SIZE, "%d.%d", whole, rest / 10);
    else
        snprintf(out, WORDS_SIZE, "%d.%02d", whole, rest);
    return out;
}

char *words_bar(char out[WORDS_SIZE], const struct solo *solo, int32_t bar)
{
    const char *number = solo->bars[bar].number;

    if (*number)
        text_make_safe(out, WORDS_SIZE, number);
    else
        snprintf(out, WORDS_SIZE, "[%d]", bar + 1);
    return out;
}

char *words_plays(char out[WORDS_SIZE], int plays)
{
    if (plays == 1)
        out[0] = '\0';
    else if (plays == 2)
        snprintf(out, WORDS_SIZE, "played twice");
    else if (plays > 2)
        snprintf(out, WORDS_SIZE, "played %d times", plays);
    else
        snprintf(out, WORDS_SIZE, "not played in a row");
    return out;
}
