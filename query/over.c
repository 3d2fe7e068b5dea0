/* query/over.c - what `--over` asks for. */
#include <string.h>

#include "query/fragment.h"

static const char blanks[] = " \t\n\r\v\f";

/* Does TEXT begin as a roman numeral does: "subV7", "#ivo7"?  No suffix and no
 * root of a chord begins so. */
static bool is_roman(const char *text)
{
    static const char *const accidentals[] = { "b", "#", "\xe2\x99\xad",
                                               "\xe2\x99\xaf" };

    if (strncmp(text, "sub", 3) == 0)
        return true;
    for (size_t i = 0; i < sizeof accidentals / sizeof *accidentals; i++)
        if (strncmp(text, accidentals[i], strlen(accidentals[i])) == 0) {
            text += strlen(accidentals[i]);
            break;
        }
    return *text && strchr("IViv", *text);
}

static enum status parse_roman(struct over_chord *out, long offset,
                               struct fault *why)
{
    struct fault inner = { .offset = 0 };
    enum status st = harmony_parse_function(out->function, out->text,
                                            strlen(out->text), &inner);

    if (st == ST_SYNTAX)
        return fault_at(why, st, offset + (inner.offset > 0 ? inner.offset : 0),
                        "%s", inner.message);
    if (st != ST_OK)
        return fault_set(why, st, "%s", inner.message);
    harmony_function_key(out->key, out->function);
    out->chord.class = (uint8_t)harmony_function_class(out->function);
    strcpy(out->chord.symbol, out->function);
    return ST_OK;
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
                        "such as Dm7, a class such as minor, or a function "
                        "such as ii7",
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
        return parse_roman(out, offset, why);
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

/* --- does a chord fit ---------------------------------------------------- */

bool over_any_sus(const struct over_chord *asked)
{
    return !asked->by_class && !asked->function[0] &&
           asked->chord.class == CHORD_SUSPENDED;
}

bool over_chord_fits(const struct over_chord *asked, const struct chord *there)
{
    if (!there)
        return asked->chord.class == CHORD_NONE;
    if (over_any_sus(asked) && there->class == CHORD_DOMINANT)
        return there->sus;
    if (there->class != asked->chord.class)
        return false;
    return asked->by_class || ((!asked->chord.altered || there->altered) &&
                               (!asked->chord.sus || there->sus));
}
