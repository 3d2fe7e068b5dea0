/* query/over.c - what `--over` asks for. */
#include <string.h>

#include "query/fragment.h"

static const char blanks[] = " \t\n\r\v\f";

/* The number of bytes of a roman numeral I..VII or i..vii at TEXT, with an
 * accidental before it; 0 where there is none. */
static size_t roman_length(const char *text)
{
    static const char *const accidentals[] = { "b", "#", "\xe2\x99\xad",
                                               "\xe2\x99\xaf" };
    /* Longer ones first, as III begins with I. */
    static const char *const numerals[] = { "VII", "III", "VI",  "IV",  "II",
                                            "V",   "I",   "vii", "iii", "vi",
                                            "iv",  "ii",  "v",   "i" };
    size_t start = 0;

    for (size_t i = 0; i < 4 && start == 0; i++)
        if (strncmp(text, accidentals[i], strlen(accidentals[i])) == 0)
            start = strlen(accidentals[i]);
    for (size_t i = 0; i < sizeof numerals / sizeof *numerals; i++)
        if (strncmp(text + start, numerals[i], strlen(numerals[i])) == 0)
            return start + strlen(numerals[i]);
    return 0;
}

/* A roman numeral, perhaps with a quality ("ii7", "#ivo7") and what it leads
 * to ("V7/ii").  The one place that knows how they are written. */
static bool is_roman(const char *text)
{
    size_t numeral = roman_length(text);
    const char *quality = text + numeral, *slash;
    struct chord chord;

    if (numeral == 0)
        return false;
    slash = strrchr(quality, '/');
    if (slash && !is_roman(slash + 1))
        slash = NULL; /* as in "I6/9" */
    if (!slash)
        slash = quality + strlen(quality);
    return slash == quality ||
           chord_parse(&chord, quality, (size_t)(slash - quality), true,
                       NULL) == ST_OK;
}

/* The part read as a chord with a root, then as a suffix. */
static enum status parse_chord(struct over_chord *out, long offset,
                               struct fault *why)
{
    size_t length = strlen(out->text);
    bool upper = out->text[0] >= 'A' && out->text[0] <= 'Z';
    struct fault inner = { .offset = 0 };
    enum status st = ST_SYNTAX;

    if (upper)
        st = chord_parse(&out->chord, out->text, length, false, &inner);
    if (st == ST_SYNTAX) {
        struct fault *second = upper ? NULL : &inner;

        st = chord_parse(&out->chord, out->text, length, true, second);
    }
    if (st == ST_SYNTAX)
        return fault_at(why, st, offset + (inner.offset > 0 ? inner.offset : 0),
                        "'%s' is no chord: write a suffix such as m7, a chord "
                        "such as Dm7, or a class such as minor",
                        out->text);
    return st == ST_OK ? st : fault_set(why, st, "%s", inner.message);
}

static enum status parse_part(struct over_chord *out, long offset,
                              struct fault *why)
{
    int class = chord_class_parse(out->text);

    if (class >= 0) {
        out->by_class = true;
        out->chord.class = (uint8_t) class;
        strcpy(out->chord.symbol, out->text);
        return ST_OK;
    }
    if (is_roman(out->text))
        return fault_at(why, ST_SYNTAX, offset,
                        "'%s': roman numerals need the key of each chord, "
                        "which the index does not hold; write the chord, e.g. "
                        "--over 7",
                        out->text);
    return parse_chord(out, offset, why);
}

/* Take the LENGTH bytes at TEXT, without blanks around them, into a chord. */
static enum status take_part(struct over *out, const char *text, size_t length,
                             long offset, struct fault *why)
{
    struct over_chord *chord;
    size_t before = strspn(text, blanks);

    if (before > length)
        before = length;
    text += before;
    length -= before;
    offset += (long)before;
    while (length > 0 && strchr(blanks, text[length - 1]))
        length--;
    if (length == 0)
        return fault_at(why, ST_SYNTAX, offset,
                        "a chord is missing: write e.g. --over m7, or "
                        "--over 'm7|7' for two");
    if (out->count == OVER_CHORDS_MAX)
        return fault_at(why, ST_SYNTAX, offset, "too many chords: at most %d",
                        OVER_CHORDS_MAX);
    chord = &out->chords[out->count++];
    if (length >= sizeof chord->text)
        return fault_at(why, ST_SYNTAX, offset,
                        "'%.*s...' is too long for a chord", 20, text);
    memcpy(chord->text, text, length);
    return parse_part(chord, offset, why);
}

enum status over_parse(struct over *out, const char *text, struct fault *why)
{
    const char *at = text;

    memset(out, 0, sizeof *out);
    for (;;) {
        size_t length = strcspn(at, "|");
        enum status st = take_part(out, at, length, (long)(at - text), why);

        if (st != ST_OK)
            return st;
        if (!at[length])
            return ST_OK;
        at += length + 1;
    }
}
