/* schema/chord_suffix.c - read what musicians write after the root.
 *
 *   suffix := [quality] [number] {change}
 *   change := accidental number | "add" degree | "no" number | "sus" [2|4]
 *           | "alt" | "maj" [number] | "aug" | separator number
 *
 * Changes may stand in brackets and be separated by commas.  A slash before
 * a capital A to G begins the bass and ends the suffix, any other separates
 * ("6/9", "7b9/13").
 */
#include <string.h>

#include "schema/chord.h"
#include "schema/chord_parts.h"
#include "schema/chord_word.h"

struct reader {
    const char *at;
    const char *begin; /* where offsets count from */
    struct chord_parts *parts;
    struct fault *why;
    enum chord_word quality;
    int depth;      /* of open brackets */
    bool separated; /* a plain number may stand here as an added degree */
    bool rootless;  /* only for the words of a fault */
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

const char *chord_past_blanks(const char *s)
{
    while (*s == ' ' || *s == '\t' || *s == '\r' || *s == '\n')
        s++;
    return s;
}

enum status chord_refuse(struct fault *why, const char *at, const char *begin,
                         bool rootless)
{
    const char *like =
        rootless ? "m7, maj7, 7alt or m7b5" : "Dm7, F#m7b5 or Bb7#9/D";
    char shown[25];

    if (!*at)
        return fault_at(why, ST_SYNTAX, (long)(at - begin),
                        "the chord stops too early; write it like %s", like);
    return fault_at(why, ST_SYNTAX, (long)(at - begin),
                    "\"%s\" is not understood in a chord; write it like %s",
                    text_make_safe(shown, sizeof shown, at), like);
}

static void skip_blanks(struct reader *r)
{
    r->at = chord_past_blanks(r->at);
}

static bool take(struct reader *r, const char *word)
{
    size_t length = word_begins(r->at, word);

    r->at += length;
    return length != 0;
}

static enum status refuse(struct reader *r, const char *at)
{
    return chord_refuse(r->why, at, r->begin, r->rootless);
}

static void put_triad(struct chord_parts *p, int third, int fifth)
{
    p->place[3] = PARTS_BIT(third);
    p->place[5] = PARTS_BIT(fifth);
}

static void read_quality(struct reader *r)
{
    r->quality = Q_PLAIN;
    r->at += word_quality(&r->quality, r->at);
    put_triad(r->parts, 0, 0);
    switch (r->quality) {
    case Q_PLAIN:
    case Q_MAJOR:
        break;
    case Q_TRIANGLE:
        parts_put(r->parts, 7, 0);
        break;
    case Q_MINOR:
        put_triad(r->parts, -1, 0);
        break;
    case Q_DIMINISHED:
        put_triad(r->parts, -1, -1);
        r->parts->diminished = true;
        break;
    case Q_HALF_DIMINISHED:
        put_triad(r->parts, -1, -1);
        parts_put(r->parts, 7, -1);
        break;
    case Q_AUGMENTED:
        put_triad(r->parts, 0, 1);
        break;
    case Q_DOMINANT:
        parts_put(r->parts, 7, -1);
        break;
    }
}

/* Stack thirds up to NUMBER 7, 9, 11 or 13 over a seventh lowered by
 * SEVENTH, or add a sixth (6, 69). */
static void put_extension(struct chord_parts *p, int number, int seventh)
{
    if (number == 6 || number == 69) {
        parts_put(p, 6, 0);
        if (number == 69)
            parts_put(p, 9, 0);
        return;
    }
    if (!p->place[7])
        parts_put(p, 7, seventh);
    for (int degree = 9; degree <= number; degree += 2)
        parts_put(p, degree, 0);
}

static void put_sus(struct chord_parts *p, int number)
{
    p->place[3] = 0;
    parts_put(p, number, 0);
}

/* Read the number right after the quality, if there is one. */
static void read_number(struct reader *r)
{
    int number;
    size_t length = word_extension(&number, r->at);
    int seventh = r->quality == Q_MAJOR        ? 0
                  : r->quality == Q_DIMINISHED ? -2
                                               : -1;

    if (length) {
        r->at += length;
        put_extension(r->parts, number, seventh);
    } else if (r->quality == Q_PLAIN && take(r, "5")) {
        r->parts->place[3] = 0;
    } else if (r->quality == Q_PLAIN && take(r, "4")) {
        put_sus(r->parts, 4);
    } else if (take(r, "2")) {
        parts_put(r->parts, 9, 0);
    }
}

/* "maj", "M" or a triangle after something else: the major seventh. */
static bool read_major_seventh(struct reader *r)
{
    const char *at = r->at;
    enum chord_word means;
    int number;
    size_t length;

    at += *at == '-'; /* "minor-major" */
    length = word_quality(&means, at);
    if (!length || (means != Q_MAJOR && means != Q_TRIANGLE))
        return false;
    r->at = chord_past_blanks(at + length);
    parts_drop(r->parts, 7, -1);
    parts_put(r->parts, 7, 0);
    length = word_extension(&number, r->at);
    if (length && number >= 7 && number <= 13) {
        r->at += length;
        put_extension(r->parts, number, 0);
    }
    return true;
}

static void read_sus(struct reader *r)
{
    int number;
    size_t length;

    skip_blanks(r);
    if (take(r, "2")) {
        put_sus(r->parts, 2);
        if (take(r, "4")) /* "sus24" */
            put_sus(r->parts, 4);
        return;
    }
    put_sus(r->parts, 4);
    if (take(r, "4"))
        return;
    length = word_extension(&number, r->at);
    if (length && number >= 7 && number <= 13) {
        r->at += length;
        put_extension(r->parts, number, -1);
    }
}

/* The altered dominant: every tension that is altered, no plain fifth. */
static void put_alt(struct chord_parts *p)
{
    static const struct {
        int8_t degree, alter;
    } tensions[] = { { 9, -1 }, { 9, 1 }, { 11, 1 }, { 13, -1 } };

    p->place[5] = 0;
    p->place[7] = PARTS_BIT(-1);
    for (size_t i = 0; i < sizeof tensions / sizeof *tensions; i++)
        parts_put(p, tensions[i].degree, tensions[i].alter);
}

/* The alteration against the major scale of degree NUMBER with the written
 * SIGN.  A plain 7 is the minor seventh, and so is "b7"; "#7" is major. */
static int written_alter(int number, int sign)
{
    if (number != 7)
        return sign;
    return sign == 0 ? -1 : sign > 0 ? 0 : sign;
}

/* Put degree NUMBER with SIGN beside what is there. */
static bool put_added(struct chord_parts *p, int number, int sign)
{
    return number != 3 && number != 10
               ? parts_put(p, number, written_alter(number, sign))
           : number == 10 && sign == -1 ? parts_put(p, 9, 1)
                                        : sign == 0 && parts_put(p, 3, 0);
}

/* Put degree NUMBER with SIGN in the place of the plain one; a second or
 * fourth that stands for the third stays. */
static bool put_altered(struct chord_parts *p, int number, int sign)
{
    bool third = p->place[3] != 0, fourth = parts_have(p, 4, 0);
    bool keep = !third && (number == 4 || number == 11 ||
                           ((number == 2 || number == 9) && !fourth));
    struct chord_parts before = *p;

    if (number == 3)
        return false;
    if (number == 7)
        parts_drop(p, 7, sign < 0 ? 0 : -1);
    else if (number != 10 && !keep)
        parts_drop(p, number, 0);
    if (put_added(p, number, sign))
        return true;
    *p = before;
    return false;
}

static enum status read_add(struct reader *r)
{
    const char *start;
    int sign = 0, number;
    size_t length;

    skip_blanks(r);
    start = r->at;
    if (take(r, "maj7")) {
        parts_put(r->parts, 7, 0);
        return ST_OK;
    }
    r->at += word_sign(&sign, r->at);
    length = word_number(&number, r->at);
    if (!length || !put_added(r->parts, number, sign))
        return refuse(r, start);
    r->at += length;
    return ST_OK;
}

static enum status read_omission(struct reader *r)
{
    static const char *const ordinals[] = { "rd", "th", "nd" };
    const char *start;
    int number;
    size_t length;

    skip_blanks(r);
    start = r->at;
    length = word_number(&number, r->at);
    if (!length)
        return refuse(r, start);
    r->at += length;
    for (size_t i = 0; i < sizeof ordinals / sizeof *ordinals; i++)
        if (take(r, ordinals[i]))
            break;
    r->parts->place[pitch_modulo(number - 1, 7) + 1] = 0;
    return ST_OK;
}

/* "b9", "#11", "+5", "-9" ... or a plain number after a separator. */
static enum status read_degree(struct reader *r)
{
    const char *start = r->at;
    int sign = 0, number = 0;
    size_t length = word_sign(&sign, r->at);
    bool done;

    if (!length && !r->separated)
        return refuse(r, start);
    r->at += length;
    length = word_number(&number, r->at);
    if (!length)
        return refuse(r, start);
    r->at += length;
    done = sign == 0 ? put_added(r->parts, number, 0)
                     : put_altered(r->parts, number, sign);
    return done ? ST_OK : refuse(r, start);
}

/* Read one change that is a word or a degree. */
static enum status read_change(struct reader *r)
{
    bool plus = *r->at == '+' && !is_digit(r->at[1]);

    if (take(r, "add"))
        return read_add(r);
    if (take(r, "no") || take(r, "omit"))
        return read_omission(r);
    if (take(r, "suspended") || take(r, "sus")) {
        read_sus(r);
        return ST_OK;
    }
    if (take(r, "altered") || take(r, "alt")) {
        take(r, "7");
        put_alt(r->parts);
        return ST_OK;
    }
    if (plus || word_begins(r->at, "aug")) {
        r->at += plus ? 1 : 3;
        put_altered(r->parts, 5, 1);
        return ST_OK;
    }
    if (read_major_seventh(r))
        return ST_OK;
    return read_degree(r);
}

static bool begins_bass(const struct reader *r)
{
    const char *next;

    if (*r->at != '/' || r->depth > 0)
        return false;
    next = chord_past_blanks(r->at + 1);
    return *next >= 'A' && *next <= 'G';
}

/* Read a bracket or separator.  False where there is none; a bracket that
 * closes nothing is none. */
static bool read_separator(struct reader *r)
{
    switch (*r->at) {
    case '(':
    case '[':
        r->depth++;
        r->separated = true;
        break;
    case ')':
    case ']':
        if (r->depth == 0)
            return false;
        r->depth--;
        r->separated = false;
        break;
    case ',':
    case '/':
        r->separated = true;
        break;
    default:
        return false;
    }
    r->at++;
    return true;
}

static enum status read_changes(struct reader *r)
{
    const char *separator = r->at;
    enum status st;

    for (;;) {
        const char *before = r->at;

        skip_blanks(r);
        if (r->depth > 0 && r->at > before)
            r->separated = true;
        if (begins_bass(r))
            break;
        if (!*r->at) {
            if (r->separated)
                return refuse(r, separator);
            break;
        }
        separator = r->at;
        if (read_separator(r))
            continue;
        st = read_change(r);
        if (st != ST_OK)
            return st;
        r->separated = false;
    }
    if (r->depth > 0)
        return fault_at(r->why, ST_SYNTAX, (long)(r->at - r->begin),
                        "a bracket in the chord is not closed");
    return ST_OK;
}

/* Read a suffix up to its end or the slash of its bass. */
static enum status read_suffix(struct reader *r)
{
    enum status st;

    skip_blanks(r);
    memset(r->parts, 0, sizeof *r->parts);
    parts_put(r->parts, 1, 0);
    read_quality(r);
    skip_blanks(r);
    read_number(r);
    st = read_changes(r);
    if (st == ST_OK)
        parts_settle(r->parts);
    return st;
}

/* The bytes of the first of WORDS at TEXT, case aside, with the blanks after
 * it, where it ends the text or stands before END; else 0. */
static size_t whole_word(const char *text, const char *const *words, char end)
{
    for (; *words; words++) {
        size_t length = word_begins(text, *words);
        const char *next = chord_past_blanks(text + length);

        if (length && (!*next || *next == end))
            return (size_t)(next - text);
    }
    return 0;
}

bool chord_is_none_text(const char *text)
{
    static const char *const words[] = { "N.C.", "N.C",      "NC",
                                         "NC.",  "no chord", NULL };

    return whole_word(chord_past_blanks(text), words, '\0') != 0;
}

enum status suffix_read(struct chord_parts *parts, enum suffix *what,
                        const char **at, const char *begin, bool rootless,
                        struct fault *why)
{
    static const char *const pedals[] = { "ped", "ped.", "pedal", NULL };
    struct reader r = { .at = chord_past_blanks(*at),
                        .begin = begin,
                        .parts = parts,
                        .why = why,
                        .rootless = rootless };
    size_t pedal = whole_word(r.at, pedals, '/');
    enum status st;

    *what = SUFFIX_PARTS;
    if (pedal) {
        *what = SUFFIX_PEDAL;
        *parts = kind_parts(KIND_PEDAL);
        *at = r.at + pedal;
        return ST_OK;
    }
    st = read_suffix(&r);
    *at = r.at;
    return st;
}

enum status suffix_parse(struct chord_parts *parts, enum suffix *what,
                         const char *text, const char *begin, struct fault *why)
{
    struct chord_parts found = { { 0 }, false };
    const char *at = chord_past_blanks(text);
    enum status st;

    *what = SUFFIX_NONE;
    if (chord_is_none_text(at))
        return ST_OK;
    if (!*at)
        return fault_at(why, ST_SYNTAX, (long)(at - begin),
                        "a chord suffix is missing; write \"major\" for a "
                        "plain major chord");
    st = suffix_read(&found, what, &at, begin, true, why);
    if (st == ST_OK && *at)
        return fault_at(why, ST_SYNTAX, (long)(at - begin),
                        "a suffix without a root has no bass note");
    if (st == ST_OK)
        *parts = found;
    return st;
}
