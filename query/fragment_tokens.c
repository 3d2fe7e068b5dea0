/* query/fragment_tokens.c - the words of a fragment, before they are notes. */
#include "query/fragment_parts.h"

#include <stdlib.h>
#include <string.h>

/* Longest piece of the user's text that a message repeats, in bytes. */
enum {
    QUOTED_MAX = 40
};
/* Octave marks after one note; ten octaves are more than MIDI holds. */
enum {
    MARKS_MAX = 10
};
enum {
    INTERVAL_MAX = 127
};

static const char blanks[] = " \t\n\r\v\f";

/* A stretch of the user's text. */
struct span {
    const char *text;
    size_t length;
    long offset;
};

static int quoted_length(const struct span *span)
{
    return (int)(span->length < QUOTED_MAX ? span->length : QUOTED_MAX);
}

/* "'b33' PROBLEM" at the place of SPAN. */
static enum status token_fault(const struct span *span, const char *problem,
                               struct fault *why)
{
    return fault_at(why, ST_SYNTAX, span->offset, "'%.*s' %s",
                    quoted_length(span), span->text, problem);
}

/* --- note values --------------------------------------------------------- */

/* A value is a fraction of a whole note, so 4 is one quarter. */
bool fragment_parse_value(struct rational *out, const char *text,
                          size_t length)
{
    static const char *const values[] = {
        "1", "2", "4", "8", "16", "32", "64"
    };
    size_t digits = strspn(text, "0123456789"), dots, used;
    int64_t n = 4;

    if (digits > length)
        digits = length;
    for (size_t i = 0;; i++) {
        if (i == sizeof values / sizeof *values)
            return false;
        if (strlen(values[i]) == digits &&
            strncmp(values[i], text, digits) == 0)
            break;
    }
    *out = rational_make(n, strtol(text, NULL, 10));
    dots = strspn(text + digits, ".");
    used = digits + dots;
    if (dots == 1)
        *out = rational_mul(*out, rational_make(3, 2));
    else if (dots == 2)
        *out = rational_mul(*out, rational_make(7, 4));
    if (used < length && text[used] == 't') {
        *out = rational_mul(*out, rational_make(2, 3));
        used++;
    }
    return dots <= 2 && used == length;
}

/* Take the `:` and the note value off the end of SPAN into TOKEN. */
static enum status split_value(struct token *token, struct span *span,
                               struct fault *why)
{
    const char *colon = memchr(span->text, ':', span->length);
    size_t before;

    token->has_value = colon != NULL;
    if (!colon)
        return ST_OK;
    before = (size_t)(colon - span->text);
    if (!fragment_parse_value(&token->value, colon + 1,
                              span->length - before - 1))
        return token_fault(span,
                           "has no note value that reads: after the ':' write "
                           "1, 2, 4, 8, 16, 32 or 64, with dots, or t for a "
                           "triplet, e.g. :4. or :8t",
                           why);
    if (before == 0)
        return token_fault(span, "has no note before its ':', e.g. 5:8 or A:4.",
                           why);
    span->length = before;
    return ST_OK;
}

/* --- one token ----------------------------------------------------------- */

/* Copy SPAN with plain signs in place of the typographer's.  False where it
 * is longer than any token. */
static bool normalise(char out[FRAGMENT_TOKEN_SIZE], const struct span *span)
{
    static const struct {
        const char *from, *to;
    } signs[] = {
        { "\xe2\x99\xad", "b" },      /* U+266D flat */
        { "\xe2\x99\xaf", "#" },      /* U+266F sharp */
        { "\xf0\x9d\x84\xab", "bb" }, /* U+1D12B double flat */
        { "\xf0\x9d\x84\xaa", "##" }, /* U+1D12A double sharp */
        { "\xe2\x88\x92", "-" },      /* U+2212 minus */
        { "\xe2\x80\x93", "-" },      /* U+2013 en dash */
        { "\xe2\x80\x99", "'" },      /* U+2019 apostrophe */
        { "\xe2\x80\xb2", "'" },      /* U+2032 prime */
    };
    enum {
        SIGNS = sizeof signs / sizeof *signs
    };
    size_t at = 0, used = 0;

    while (at < span->length) {
        size_t i = 0, from = 1, wrote = 1;
        const char *copy = span->text + at;

        while (i < SIGNS &&
               (strlen(signs[i].from) > span->length - at ||
                memcmp(signs[i].from, copy, strlen(signs[i].from)) != 0))
            i++;
        if (i < SIGNS) {
            from = strlen(signs[i].from);
            wrote = strlen(signs[i].to);
            copy = signs[i].to;
        }
        if (used + wrote >= FRAGMENT_TOKEN_SIZE)
            return false;
        memcpy(out + used, copy, wrote);
        used += wrote;
        at += from;
    }
    out[used] = '\0';
    return true;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* What TEXT looks like from its first signs; -1 where like nothing.  "b3" and
 * "bb7" are degrees, "b" and "bb" alone the notes B and B flat. */
static int classify(const char *text)
{
    size_t flats = strspn(text, "b");

    if (text[0] == '?')
        return TOKEN_ANY;
    if (text[0] == '+' || text[0] == '-' || strcmp(text, "0") == 0)
        return TOKEN_INTERVAL;
    if (is_digit(text[0]))
        return text[strspn(text, "0123456789")] ? TOKEN_DEGREE : TOKEN_NUMBER;
    if (text[0] == '#' || (flats > 0 && is_digit(text[flats])))
        return TOKEN_DEGREE;
    return strchr("ABCDEFGabcdefg", text[0]) ? TOKEN_NAME : -1;
}

/* The octave marks at MARKS, which must be all that is left there. */
static bool read_marks(int *octaves, const char *marks)
{
    size_t count = strspn(marks, "',");

    *octaves = 0;
    for (size_t i = 0; i < count; i++)
        *octaves += marks[i] == '\'' ? 1 : -1;
    return count <= MARKS_MAX && marks[count] == '\0';
}

static enum status read_degree(struct token *token, const struct span *span,
                               struct fault *why)
{
    size_t read =
        pitch_parse_degree(&token->number, &token->semitones, token->text);

    if (read == 0)
        return token_fault(span,
                           "is no degree: degrees run from 1 to 13, e.g. b3 "
                           "or #11",
                           why);
    if (!read_marks(&token->octaves, token->text + read))
        return token_fault(span,
                           "has something after the degree: only ' (an octave "
                           "up) and , (an octave down) may follow, e.g. b3'",
                           why);
    return ST_OK;
}

static enum status read_name(struct token *token, const struct span *span,
                             struct fault *why)
{
    size_t read =
        pitch_parse(&token->pitch, &token->has_octave, token->text, true);
    int midi;

    if (read == 0 || !read_marks(&token->octaves, token->text + read))
        return token_fault(span,
                           "is no note: write a letter A to G, then # or b, "
                           "then an octave if you like, e.g. A, Bb or F#4",
                           why);
    if (!token->has_octave)
        return ST_OK;
    if (token->text[read])
        return token_fault(span,
                           "has an octave number and an octave mark: use one "
                           "of them",
                           why);
    midi = pitch_midi(token->pitch);
    if (midi < 0 || midi > 127)
        return token_fault(span, "is out of range: notes run from C-1 to G9",
                           why);
    return ST_OK;
}

static enum status read_interval(struct token *token, const struct span *span,
                                 struct fault *why)
{
    const char *digits = token->text + strspn(token->text, "+-");
    size_t signs = (size_t)(digits - token->text);
    size_t count = strspn(digits, "0123456789");
    long value = strtol(digits, NULL, 10);

    if (signs > 1 || count == 0 || digits[count])
        return token_fault(span,
                           "is no interval: write a sign and semitones, e.g. "
                           "-4 or +15",
                           why);
    if (count > 3 || value > INTERVAL_MAX)
        return token_fault(span,
                           "is too far: intervals run from -127 to +127 "
                           "semitones",
                           why);
    token->semitones = (int)(token->text[0] == '-' ? -value : value);
    token->kind = TOKEN_INTERVAL;
    return ST_OK;
}

/* Read what SPAN holds as far as it can be told without its neighbours. */
static enum status read_token(struct token *token, struct span span,
                              struct fault *why)
{
    struct span whole = span;
    enum status st;
    int kind;

    memset(token, 0, sizeof *token);
    token->offset = span.offset;
    st = split_value(token, &span, why);
    if (st != ST_OK)
        return st;
    kind = normalise(token->text, &span) ? classify(token->text) : -1;
    if (kind < 0)
        return token_fault(&whole,
                           "is no note: write degrees (5 b3 2 1), note names "
                           "(A F E D) or intervals (-4 -1 -2)",
                           why);
    if (kind == TOKEN_ANY && token->text[1])
        return token_fault(&whole,
                           "has something after the '?', which stands "
                           "alone for any one note",
                           why);
    token->kind = (enum token_kind)kind;
    return ST_OK;
}

/* --- all of them --------------------------------------------------------- */

static const char *kind_words(enum token_kind kind, bool several)
{
    switch (kind) {
    case TOKEN_DEGREE:
        return several ? "degrees" : "a degree";
    case TOKEN_NAME:
        return several ? "note names" : "a note name";
    case TOKEN_INTERVAL:
        return several ? "intervals" : "an interval";
    case TOKEN_NUMBER:
        return several ? "numbers" : "a number";
    case TOKEN_ANY:
        break;
    }
    return "?";
}

/* The language of the tokens: that of the first one that can be read in one
 * way only, else degrees. */
static enum token_kind choose_kind(const struct token_list *list)
{
    for (size_t i = 0; i < list->count; i++) {
        enum token_kind kind = list->tokens[i].kind;

        if (kind != TOKEN_ANY && kind != TOKEN_NUMBER)
            return kind;
    }
    return TOKEN_DEGREE;
}

/* The stretch of TEXT that TOKEN was read from, its note value left off. */
static struct span token_span(const struct token *token, const char *text)
{
    struct span span = { text + token->offset, 0, token->offset };

    span.length = strcspn(span.text, blanks);
    if (token->has_value)
        span.length = strcspn(span.text, ":");
    return span;
}

/* Settle a token in a fragment of KIND. */
static enum status settle_token(struct token *token, enum token_kind kind,
                                const char *text, struct fault *why)
{
    struct span span = token_span(token, text);

    if (token->kind == TOKEN_ANY)
        return ST_OK;
    if (token->kind == TOKEN_NUMBER && kind != TOKEN_NAME)
        token->kind = kind;
    if (token->kind != kind)
        return fault_at(why, ST_SYNTAX, token->offset,
                        "'%.*s' is %s, but the others are %s: write all of "
                        "the fragment in one way",
                        quoted_length(&span), span.text,
                        kind_words(token->kind, false), kind_words(kind, true));
    if (kind == TOKEN_NAME)
        return read_name(token, &span, why);
    if (kind == TOKEN_INTERVAL)
        return read_interval(token, &span, why);
    return read_degree(token, &span, why);
}

/* Either all tokens have a note value or none has, and intervals have none:
 * they stand between notes, so the first note would go without. */
static enum status check_values(const struct token_list *list, const char *text,
                                struct fault *why)
{
    bool wanted = list->tokens[0].has_value;

    for (size_t i = 0; i < list->count; i++) {
        const struct token *token = &list->tokens[i];
        struct span span = token_span(token, text);

        if (token->has_value && list->language == FRAGMENT_INTERVALS)
            return token_fault(&span,
                               "is an interval and takes no note value: write "
                               "note names or degrees, e.g. A:8 F:8 E:8 D:8",
                               why);
        if (token->has_value != wanted)
            return token_fault(&span,
                               wanted ? "has no note value, but those before "
                                        "it do: give one to all or to none"
                                      : "has a note value, but those before "
                                        "it do not: give one to all or to "
                                        "none",
                               why);
    }
    return ST_OK;
}

static enum status settle(struct token_list *list, const char *text,
                          struct fault *why)
{
    enum token_kind kind = choose_kind(list);

    list->language = kind == TOKEN_NAME       ? FRAGMENT_NAMES
                     : kind == TOKEN_INTERVAL ? FRAGMENT_INTERVALS
                                              : FRAGMENT_DEGREES;
    for (size_t i = 0; i < list->count; i++) {
        enum status st = settle_token(&list->tokens[i], kind, text, why);

        if (st != ST_OK)
            return st;
    }
    return check_values(list, text, why);
}

enum status tokens_read(struct token_list *out, const char *text,
                        struct fault *why)
{
    const char *at = text + strspn(text, blanks);

    out->count = 0;
    for (; *at; at += strspn(at, blanks)) {
        struct span span = { at, strcspn(at, blanks), (long)(at - text) };
        enum status st;

        if (out->count == FRAGMENT_NOTES_MAX)
            return fault_at(why, ST_SYNTAX, span.offset,
                            "the fragment is too long: at most %d notes",
                            FRAGMENT_NOTES_MAX);
        st = read_token(&out->tokens[out->count], span, why);
        if (st != ST_OK)
            return st;
        out->count++;
        at += span.length;
    }
    if (out->count == 0)
        return fault_at(why, ST_SYNTAX, 0,
                        "the fragment is empty: write notes, e.g. 5 b3 2 1 or "
                        "A F E D");
    return settle(out, text, why);
}
