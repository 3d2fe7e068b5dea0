/* schema/chord_word.c - see chord_word.h. */
#include "schema/chord_word.h"

#include <string.h>

struct word {
    const char *text;
    int means;
};

#define FLAT_SIGN "\xe2\x99\xad"  /* U+266D */
#define SHARP_SIGN "\xe2\x99\xaf" /* U+266F */
#define MINUS_SIGN "\xe2\x88\x92" /* U+2212 */
#define EN_DASH "\xe2\x80\x93"    /* U+2013 */

/* Longer words stand before shorter ones that begin them. */
static const struct word qualities[] = {
    { "half-diminished", Q_HALF_DIMINISHED },
    { "halfdim", Q_HALF_DIMINISHED },
    { "half-dim", Q_HALF_DIMINISHED },
    { "\xc3\xb8", Q_HALF_DIMINISHED },     /* U+00F8 o with stroke */
    { "\xc3\x98", Q_HALF_DIMINISHED },     /* U+00D8 */
    { "\xe2\x88\x85", Q_HALF_DIMINISHED }, /* U+2205 empty set */
    { "diminished", Q_DIMINISHED },
    { "dim", Q_DIMINISHED },
    { "\xc2\xb0", Q_DIMINISHED }, /* U+00B0 degree sign */
    { "\xc2\xba", Q_DIMINISHED }, /* U+00BA masculine ordinal */
    { "o", Q_DIMINISHED },
    { "augmented", Q_AUGMENTED },
    { "aug", Q_AUGMENTED },
    { "+", Q_AUGMENTED },
    { "dominant", Q_DOMINANT },
    { "dom", Q_DOMINANT },
    { "major", Q_MAJOR },
    { "maj", Q_MAJOR },
    { "ma", Q_MAJOR },
    { "M", Q_MAJOR },
    { "\xce\x94", Q_TRIANGLE },     /* U+0394 Greek delta */
    { "\xe2\x88\x86", Q_TRIANGLE }, /* U+2206 increment */
    { "\xe2\x96\xb3", Q_TRIANGLE }, /* U+25B3 triangle */
    { "minor", Q_MINOR },
    { "min", Q_MINOR },
    { "mi", Q_MINOR },
    { "m", Q_MINOR },
    { "-", Q_MINOR },
    { MINUS_SIGN, Q_MINOR },
    { EN_DASH, Q_MINOR },
    { NULL, Q_PLAIN },
};

static const struct word extensions[] = {
    { "13", 13 },  { "11", 11 }, { "9", 9 }, { "7", 7 },
    { "6/9", 69 }, { "69", 69 }, { "6", 6 }, { NULL, 0 },
};

static const struct word numbers[] = {
    { "13", 13 }, { "11", 11 }, { "10", 10 }, { "9", 9 },
    { "7", 7 },   { "6", 6 },   { "5", 5 },   { "4", 4 },
    { "3", 3 },   { "2", 2 },   { NULL, 0 },
};

static const struct word signs[] = {
    { "bb", -2 },      { "b", -1 }, { FLAT_SIGN, -1 }, { "#", 1 },
    { SHARP_SIGN, 1 }, { "+", 1 },  { "-", -1 },       { MINUS_SIGN, -1 },
    { EN_DASH, -1 },   { NULL, 0 },
};

static char fold(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

size_t word_begins(const char *text, const char *word)
{
    size_t length = strlen(word);

    if (length == 1)
        return *text == *word ? 1 : 0;
    for (size_t i = 0; i < length; i++)
        if (fold(text[i]) != fold(word[i]))
            return 0;
    return length;
}

/* The first word of LIST at TEXT: its bytes (or 0), its meaning in *MEANS. */
static size_t find_word(int *means, const struct word *list, const char *text)
{
    for (; list->text; list++) {
        size_t length = word_begins(text, list->text);

        if (length) {
            *means = list->means;
            return length;
        }
    }
    return 0;
}

size_t word_quality(enum chord_word *means, const char *text)
{
    int found = Q_PLAIN;
    size_t length = find_word(&found, qualities, text);

    /* "omit", "madd9" and "Madd9" begin like other words. */
    if (length == 1 && *text == 'o' && word_begins(text, "omit"))
        return 0;
    if (length == 2 && found == Q_MAJOR && fold(text[2]) == 'd') {
        found = *text == 'M' ? Q_MAJOR : Q_MINOR;
        length = 1;
    }
    /* "+5" and "-5" change the fifth. */
    if ((*text == '+' || *text == '-') && text[1] == '5')
        return 0;
    *means = (enum chord_word)found;
    return length;
}

size_t word_extension(int *number, const char *text)
{
    return find_word(number, extensions, text);
}

size_t word_number(int *number, const char *text)
{
    return find_word(number, numbers, text);
}

size_t word_sign(int *sign, const char *text)
{
    return find_word(sign, signs, text);
}
