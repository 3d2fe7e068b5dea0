/* query/relation.c - which relation it is, and how it is described. */
#include "query/relation.h"

#include <stdio.h>
#include <string.h>

/* As a written class: a suspended chord, or a dominant with a sus. */
enum {
    WRITTEN_SUS = CHORD_CLASSES
};

/* The bit of a number of steps. */
#define UP(steps) (1U << (steps))

static const char *const names[RELATION_COUNT] = {
    [RELATION_AS_WRITTEN] = "as written",
    [RELATION_II_OVER_V] = "ii over its V",
    [RELATION_II_OVER_I] = "ii over its I",
    [RELATION_V_OVER_II] = "V over its ii",
    [RELATION_III_OVER_I] = "iii over its I",
    [RELATION_VI_OVER_I] = "vi over its I",
    [RELATION_MINOR_ABOVE_DOMINANT] =
        "minor a semitone above a dominant's root",
    [RELATION_TRITONE_SUBSTITUTE] = "tritone substitute",
    [RELATION_MINOR_ABOVE_HALF_DIMINISHED] =
        "minor a third above a half-diminished root",
    [RELATION_DIMINISHED_ON_DOMINANT] =
        "diminished on a dominant's 3, 5, b7 or b9",
    [RELATION_BACKDOOR] = "backdoor",
    [RELATION_BACKDOOR_REVERSED] = "backdoor reversed",
    [RELATION_MAJOR_BELOW_SUS] = "major a whole step below a sus root",
    [RELATION_OTHER] = "other",
};

static const char *const phrases[RELATION_COUNT] = {
    [RELATION_AS_WRITTEN] = "over its own chord",
    [RELATION_II_OVER_V] = "ii cell over the V it leads to",
    [RELATION_II_OVER_I] = "ii cell over the I of its key",
    [RELATION_V_OVER_II] = "V cell over the ii that leads to it",
    [RELATION_III_OVER_I] = "iii cell over the I of its key",
    [RELATION_VI_OVER_I] = "vi cell over the I of its key",
    [RELATION_MINOR_ABOVE_DOMINANT] =
        "minor cell a semitone above a dominant's root",
    [RELATION_TRITONE_SUBSTITUTE] =
        "dominant cell a tritone away from a dominant's root",
    [RELATION_MINOR_ABOVE_HALF_DIMINISHED] =
        "minor cell a minor third above a half-diminished root",
    [RELATION_DIMINISHED_ON_DOMINANT] =
        "diminished cell on the 3, 5, b7 or b9 of a dominant",
    [RELATION_BACKDOOR] = "V cell over the bVII that takes its place",
    [RELATION_BACKDOOR_REVERSED] = "bVII cell over the V it stands for",
    [RELATION_MAJOR_BELOW_SUS] = "major cell a whole step below a sus root",
    [RELATION_OTHER] = "",
};

/* A relation holds where both classes agree and the bit of the steps is in
 * STEPS.  As written and other are found without a rule. */
static const struct relation_rule {
    enum relation relation;
    int home, written;
    unsigned steps;
} rules[] = {
    { RELATION_II_OVER_V, CHORD_MINOR, CHORD_DOMINANT, UP(5) },
    { RELATION_II_OVER_I, CHORD_MINOR, CHORD_MAJOR, UP(10) },
    { RELATION_V_OVER_II, CHORD_DOMINANT, CHORD_MINOR, UP(7) },
    { RELATION_III_OVER_I, CHORD_MINOR, CHORD_MAJOR, UP(8) },
    { RELATION_VI_OVER_I, CHORD_MINOR, CHORD_MAJOR, UP(3) },
    { RELATION_MINOR_ABOVE_DOMINANT, CHORD_MINOR, CHORD_DOMINANT, UP(11) },
    { RELATION_TRITONE_SUBSTITUTE, CHORD_DOMINANT, CHORD_DOMINANT, UP(6) },
    { RELATION_MINOR_ABOVE_HALF_DIMINISHED, CHORD_MINOR, CHORD_HALF_DIMINISHED,
      UP(9) },
    { RELATION_DIMINISHED_ON_DOMINANT, CHORD_DIMINISHED, CHORD_DOMINANT,
      UP(8) | UP(5) | UP(2) | UP(11) },
    { RELATION_BACKDOOR, CHORD_DOMINANT, CHORD_DOMINANT, UP(3) },
    { RELATION_BACKDOOR_REVERSED, CHORD_DOMINANT, CHORD_DOMINANT, UP(9) },
    { RELATION_MAJOR_BELOW_SUS, CHORD_MAJOR, WRITTEN_SUS, UP(2) },
};

const char *relation_name(enum relation relation)
{
    return names[relation < RELATION_COUNT ? relation : RELATION_OTHER];
}

const char *relation_phrase(enum relation relation)
{
    return phrases[relation < RELATION_COUNT ? relation : RELATION_OTHER];
}

static bool written_fits(int wanted, int class, bool sus)
{
    return wanted == class ||
           (wanted == WRITTEN_SUS && (class == CHORD_SUSPENDED || sus));
}

/* The relation of two explained chords with roots. */
static enum relation find_rule(int steps, int home, int written, bool sus)
{
    if (steps == 0 && home == written)
        return RELATION_AS_WRITTEN;
    for (size_t i = 0; i < sizeof rules / sizeof *rules; i++)
        if ((rules[i].steps & UP(steps)) && rules[i].home == home &&
            written_fits(rules[i].written, written, sus))
            return rules[i].relation;
    return RELATION_OTHER;
}

static int steps_between(const struct chord *home, const struct chord *written)
{
    if (!home->has_root || !written->has_root)
        return 0;
    return pitch_modulo(written->root_pc - home->root_pc, 12);
}

enum relation relation_of(const struct chord *home, const struct chord *written)
{
    if (!home->has_root || !written->has_root)
        return RELATION_OTHER;
    if (home->class == CHORD_OTHER && !chord_equal(home, written))
        return RELATION_OTHER;
    return find_rule(steps_between(home, written), home->class, written->class,
                     written->sus);
}

int relation_key(const struct chord *home, const struct chord *written)
{
    return (steps_between(home, written) * CHORD_CLASSES + home->class) *
               CHORD_CLASSES +
           written->class;
}

/* A class as a noun. */
static const char *class_noun(int class)
{
    switch (class) {
    case CHORD_POWER:
        return "power chord";
    case CHORD_NONE:
        return "no chord";
    case CHORD_OTHER:
        return "unexplained chord";
    default:
        return chord_class_name(class);
    }
}

enum relation relation_of_key(int key)
{
    int written = pitch_modulo(key, CHORD_CLASSES);
    int home = pitch_modulo(key / CHORD_CLASSES, CHORD_CLASSES);
    int steps = pitch_modulo(key / CHORD_CLASSES / CHORD_CLASSES, 12);

    if (home == CHORD_NONE || home == CHORD_OTHER)
        return RELATION_OTHER;
    return find_rule(steps, home, written, false);
}

char *relation_title(char *out, size_t size, int key)
{
    static const char *const where[12] = {
        "on the same root",    "a semitone above",    "a whole step above",
        "a minor third above", "a major third above", "a fourth above",
        "a tritone below",     "a fifth above",       "a major third below",
        "a minor third below", "a whole step below",  "a semitone below"
    };
    int written = pitch_modulo(key, CHORD_CLASSES);
    int home = pitch_modulo(key / CHORD_CLASSES, CHORD_CLASSES);
    int steps = pitch_modulo(key / CHORD_CLASSES / CHORD_CLASSES, 12);

    if (home == CHORD_NONE || written == CHORD_NONE)
        snprintf(out, size, "%s over %s%s", class_noun(home),
                 written == CHORD_NONE ? "" : "the ", class_noun(written));
    else
        snprintf(out, size, "%s over the %s %s", class_noun(home),
                 class_noun(written), where[steps]);
    return out;
}

/* Append " b13 3 #9" to the USED bytes of OUT. */
static void put_degrees(char *out, size_t size, size_t used,
                        const struct chord *written, const int *midi, size_t n)
{
    const char *degrees[RELATION_NOTES_MAX];

    if (n > RELATION_NOTES_MAX)
        n = RELATION_NOTES_MAX;
    chord_cell_degrees(degrees, written, midi, n);
    for (size_t i = 0; i < n && used + 1 < size; i++)
        used += (size_t)snprintf(out + used, size - used, " %s", degrees[i]);
}

char *relation_describe(char *out, size_t size, const struct chord *home,
                        const struct chord *written, const int *midi, size_t n)
{
    enum relation relation = relation_of(home, written);
    size_t used;

    if (relation == RELATION_OTHER)
        relation_title(out, size, relation_key(home, written));
    else
        snprintf(out, size, "%s", relation_phrase(relation));
    used = size ? strlen(out) : 0;
    if (n == 0 || !written->has_root || used + 1 >= size)
        return out;
    out[used++] = ':';
    out[used] = '\0';
    put_degrees(out, size, used, written, midi, n);
    return out;
}

size_t relation_tensions(const char *out[RELATION_TENSIONS],
                         const struct chord *written, const int *midi, size_t n)
{
    static const char *const tensions[RELATION_TENSIONS] = { "b9", "9",   "#9",
                                                             "11", "#11", "b13",
                                                             "13" };
    size_t count = 0;

    if (!written->has_root)
        return 0;
    for (size_t t = 0; t < RELATION_TENSIONS; t++)
        for (size_t i = 0; i < n; i++) {
            const char *name =
                chord_degree_name(written, midi[i] - written->root_pc);

            if (strcmp(name, tensions[t]) != 0)
                continue;
            out[count++] = tensions[t];
            break;
        }
    return count;
}

bool relation_chosen(const struct relation_choice *choice,
                     const struct chord *home, const struct chord *written)
{
    return relation_of(home, written) == choice->relation &&
           (choice->key < 0 || choice->key == relation_key(home, written));
}
