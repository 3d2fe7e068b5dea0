#include "tests/demo/theory.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define B(n) (1u << (n))
#define IONIAN (B(0) | B(2) | B(4) | B(5) | B(7) | B(9) | B(11))
#define LYDIAN (B(0) | B(2) | B(4) | B(6) | B(7) | B(9) | B(11))
#define DORIAN (B(0) | B(2) | B(3) | B(5) | B(7) | B(9) | B(10))
#define AEOLIAN (B(0) | B(2) | B(3) | B(5) | B(7) | B(8) | B(10))
#define PHRYGIAN (B(0) | B(1) | B(3) | B(5) | B(7) | B(8) | B(10))
#define MELODIC (B(0) | B(2) | B(3) | B(5) | B(7) | B(9) | B(11))
#define LOCRIAN (B(0) | B(1) | B(3) | B(5) | B(6) | B(8) | B(10))
#define MIXO (B(0) | B(2) | B(4) | B(5) | B(7) | B(9) | B(10))
#define MIXO_MINOR (B(0) | B(1) | B(4) | B(5) | B(7) | B(8) | B(10))
#define LYDIAN_DOM (B(0) | B(2) | B(4) | B(6) | B(7) | B(9) | B(10))
#define ALTERED (B(0) | B(1) | B(3) | B(4) | B(6) | B(8) | B(10))
#define OCTATONIC (B(0) | B(1) | B(3) | B(4) | B(6) | B(7) | B(9) | B(10))
#define WHOLE (B(0) | B(2) | B(4) | B(6) | B(8) | B(10))
#define WHOLE_HALF \
    (B(0) | B(2) | B(3) | B(5) | B(6) | B(8) | B(9) | B(11))
#define MAJ3 (B(0) | B(4) | B(7))
#define MIN3 (B(0) | B(3) | B(7))
#define DOM7 (MAJ3 | B(10))

/* Chord tones and the scale that goes with them: common practice. */
static const struct quality qualities[] = {
    { "", "major", "", FAM_MAJOR, MAJ3, IONIAN, { { 0, 0, NULL } }, 0 },
    { "6", "major-sixth", "6", FAM_MAJOR, MAJ3 | B(9), IONIAN,
      { { 0, 0, NULL } }, 0 },
    { "6/9", "major-sixth", "6", FAM_MAJOR, MAJ3 | B(9) | B(2), IONIAN,
      { { 9, 0, "add" } }, 1 },
    { "maj7", "major-seventh", "maj7", FAM_MAJOR, MAJ3 | B(11), IONIAN,
      { { 0, 0, NULL } }, 0 },
    { "maj9", "major-ninth", "maj9", FAM_MAJOR, MAJ3 | B(11) | B(2), IONIAN,
      { { 0, 0, NULL } }, 0 },
    { "maj7#11", "major-seventh", "maj7", FAM_MAJOR, MAJ3 | B(11), LYDIAN,
      { { 11, 1, "add" } }, 1 },
    { "m", "minor", "m", FAM_MINOR, MIN3, DORIAN, { { 0, 0, NULL } }, 0 },
    { "m6", "minor-sixth", "m6", FAM_MINOR, MIN3 | B(9), MELODIC,
      { { 0, 0, NULL } }, 0 },
    { "m7", "minor-seventh", "m7", FAM_MINOR, MIN3 | B(10), DORIAN,
      { { 0, 0, NULL } }, 0 },
    { "m9", "minor-ninth", "m9", FAM_MINOR, MIN3 | B(10) | B(2), DORIAN,
      { { 0, 0, NULL } }, 0 },
    { "m(maj7)", "major-minor", "m(maj7)", FAM_MINOR, MIN3 | B(11), MELODIC,
      { { 0, 0, NULL } }, 0 },
    { "m7b5", "half-diminished", "m7b5", FAM_HALF_DIMINISHED,
      B(0) | B(3) | B(6) | B(10), LOCRIAN, { { 0, 0, NULL } }, 0 },
    { "dim7", "diminished-seventh", "dim7", FAM_DIMINISHED,
      B(0) | B(3) | B(6) | B(9), WHOLE_HALF, { { 0, 0, NULL } }, 0 },
    { "7", "dominant", "7", FAM_DOMINANT, DOM7, MIXO,
      { { 0, 0, NULL } }, 0 },
    { "9", "dominant-ninth", "9", FAM_DOMINANT, DOM7 | B(2), MIXO,
      { { 0, 0, NULL } }, 0 },
    { "13", "dominant-13th", "13", FAM_DOMINANT, DOM7 | B(9), MIXO,
      { { 0, 0, NULL } }, 0 },
    { "7b9", "dominant", "7", FAM_DOMINANT, DOM7, MIXO_MINOR,
      { { 9, -1, "add" } }, 1 },
    { "13b9", "dominant-13th", "13", FAM_DOMINANT, DOM7, OCTATONIC,
      { { 9, -1, "alter" } }, 1 },
    { "7#9", "dominant", "7", FAM_DOMINANT, DOM7, MIXO_MINOR | B(3),
      { { 9, 1, "add" } }, 1 },
    { "7#11", "dominant", "7", FAM_DOMINANT, DOM7, LYDIAN_DOM,
      { { 11, 1, "add" } }, 1 },
    { "7b5", "dominant", "7", FAM_DOMINANT, B(0) | B(4) | B(6) | B(10),
      WHOLE, { { 5, -1, "alter" } }, 1 },
    { "7#5", "augmented-seventh", "7#5", FAM_DOMINANT,
      B(0) | B(4) | B(8) | B(10), WHOLE, { { 0, 0, NULL } }, 0 },
    { "7#5#9", "dominant", "7", FAM_DOMINANT, B(0) | B(4) | B(8) | B(10),
      ALTERED, { { 5, 1, "alter" }, { 9, 1, "add" } }, 2 },
    { "7sus4", "suspended-fourth", "7sus4", FAM_SUSPENDED,
      B(0) | B(5) | B(7) | B(10), MIXO, { { 7, 0, "add" } }, 1 },
};

static int modulo(int a, int n)
{
    return ((a % n) + n) % n;
}

int spelling_class(int fifths)
{
    return modulo(fifths * 7, 12);
}

int spelling_letter(int fifths)
{
    return modulo(fifths * 4, 7);
}

int spelling_alter(int fifths)
{
    int f = fifths + 1;

    return (f - modulo(f, 7)) / 7;
}

void spelling_name(int fifths, char *out, size_t size)
{
    static const char *const sign[] = { "bb", "b", "", "#", "##" };
    int alter = spelling_alter(fifths);

    if (alter < -2 || alter > 2)
        alter = 0; /* Never reached: spelling_plain() keeps to one sign. */
    snprintf(out, size, "%c%s", "CDEFGAB"[spelling_letter(fifths)],
             sign[alter + 2]);
}

int spelling_plain(int fifths, int key)
{
    while (fifths > 11 || fifths - key > 10)
        fifths -= 12;
    while (fifths < -8 || fifths - key < -10)
        fifths += 12;
    return fifths;
}

int spelling_root(int fifths)
{
    while (fifths > 9)
        fifths -= 12;
    while (fifths < -6)
        fifths += 12;
    return fifths;
}

const struct quality *quality_find(const char *suffix)
{
    for (size_t i = 0; i < sizeof qualities / sizeof *qualities; i++)
        if (strcmp(qualities[i].suffix, suffix) == 0)
            return &qualities[i];
    return NULL;
}

/* Read a letter with its accidentals; returns what follows, or NULL. */
static const char *read_name(const char *text, int *fifths)
{
    static const char letters[] = "FCGDAEB";
    const char *at = *text ? strchr(letters, *text) : NULL;

    if (!at)
        return NULL;
    *fifths = (int)(at - letters) - 1;
    for (text++; *text == 'b' || *text == '#'; text++)
        *fifths += *text == '#' ? 7 : -7;
    return text;
}

bool chord_read(const char *text, int shift, struct chord *out)
{
    char suffix[24];
    const char *rest, *slash;

    out->silent = strncmp(text, "NC:", 3) == 0;
    out->bass = NO_BASS;
    rest = read_name(out->silent ? text + 3 : text, &out->root);
    if (!rest)
        return false;
    slash = strrchr(rest, '/');
    if (slash && read_name(slash + 1, &out->bass))
        out->bass += shift;
    else
        slash = rest + strlen(rest);
    snprintf(suffix, sizeof suffix, "%.*s", (int)(slash - rest), rest);
    out->quality = quality_find(suffix);
    out->root += shift;
    out->scale = out->quality ? out->quality->scale : 0;
    return out->quality != NULL;
}

void chord_settle(struct chord *chord, const struct chord *next, int key,
                  bool minor)
{
    const char *suffix = chord->quality->suffix;
    int step = chord->root - key;

    if (!minor && step == 4 && chord->quality->family == FAM_MINOR)
        chord->scale = PHRYGIAN;
    if (!minor && step == 3 && chord->quality->family == FAM_MINOR)
        chord->scale = AEOLIAN;
    if (strcmp(suffix, "7") == 0 && next && next->root == chord->root - 1
        && (next->quality->tones & B(3)))
        chord->scale = MIXO_MINOR;
}

void chord_write(const struct chord *chord, char *out, size_t size)
{
    char root[8], bass[8] = "";

    if (chord->silent) {
        snprintf(out, size, "N.C.");
        return;
    }
    spelling_name(spelling_root(chord->root), root, sizeof root);
    if (chord->bass != NO_BASS)
        spelling_name(spelling_root(chord->bass), bass, sizeof bass);
    snprintf(out, size, "%s%s%s%s", root, chord->quality->suffix,
             *bass ? "/" : "", bass);
}

bool chord_same(const struct chord *a, const struct chord *b)
{
    return a->silent == b->silent && a->quality == b->quality
        && a->root == b->root && a->bass == b->bass;
}

bool chord_resolves(const struct chord *chord, const struct chord *next)
{
    int up = modulo(spelling_class(next->root) - spelling_class(chord->root),
                    12);

    return up == 5 || up == 11;
}

/* Fifths above the root for 0 .. 11 semitones: flats, then sharps. */
static const int falling[] = { 0, -5, 2, -3, 4, -1, -6, 1, -4, 3, -2, 5 };
static const int climbing[] = { 0, 7, 2, 9, 4, -1, 6, 1, 8, 3, 10, 5 };

/* Of the names for one sound, the one nearest to the middle of the key. */
static int nearest_name(int fifths, int key)
{
    while (fifths - key > 8)
        fifths -= 12;
    while (fifths - key < -4)
        fifths += 12;
    return fifths;
}

int chord_spell(const struct chord *chord, int rel, bool rising, int key)
{
    unsigned tones = chord->quality->tones, bit = 1u << rel;
    enum family family = chord->quality->family;
    int fifths;

    /* A lowered tone that the chord itself holds keeps its name however
     * the line goes on, and so does the seventh of a minor-seventh chord. */
    if (rel == 8 && (tones & bit))
        return chord->root + climbing[rel];
    if (family == FAM_DIMINISHED && rel != 0)
        return nearest_name(chord->root + falling[rel], key);
    if (tones & bit)
        return chord->root + falling[rel];
    if (rel == 6 && (chord->scale & bit) && family != FAM_MINOR
        && family != FAM_HALF_DIMINISHED)
        return chord->root + climbing[rel];
    fifths = chord->root + (rising ? climbing[rel] : falling[rel]);
    /* A passing note is not worth a Cb or an Fb. */
    return fifths <= -7 && !(chord->scale & bit) ? fifths + 12 : fifths;
}

int degree_semitones(const char *name, size_t len)
{
    static const int major[] = { 0, 0, 2, 4, 5, 7, 9, 11 };
    int sign = 0, number = 0;
    size_t i = 0;

    for (; i < len && (name[i] == 'b' || name[i] == '#'); i++)
        sign += name[i] == '#' ? 1 : -1;
    for (; i < len && name[i] >= '0' && name[i] <= '9'; i++)
        number = number * 10 + (name[i] - '0');
    if (number > 7)
        number -= 7;
    if (i < len || number < 1 || number > 7)
        return -1;
    return modulo(major[number] + sign, 12);
}

const char *degree_name(enum family family, int rel)
{
    static const char *const major[] = { "1", "b9", "9", "#9", "3", "11",
        "#11", "5", "b13", "13", "b7", "7" };
    static const char *const minor[] = { "1", "b9", "9", "b3", "3", "11",
        "#11", "5", "b13", "13", "b7", "7" };
    static const char *const dim[] = { "1", "b9", "9", "b3", "3", "11",
        "b5", "5", "b13", "13", "b7", "7" };

    switch (family) {
    case FAM_MINOR:
        return minor[rel];
    case FAM_HALF_DIMINISHED:
        return dim[rel];
    case FAM_DIMINISHED:
        return rel == 9 ? "bb7" : dim[rel];
    case FAM_MAJOR:
    case FAM_DOMINANT:
    case FAM_SUSPENDED:
        break;
    }
    return rel == 5 && family == FAM_SUSPENDED ? "4" : major[rel];
}
