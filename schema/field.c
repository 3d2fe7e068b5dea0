/* schema/field.c - the table of fields, and how their values read. */
#include "schema/field.h"

#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "schema/utf8.h"

enum { TEMPO_MAX = 9999, TERM_TEXT_SIZE = 64 };

static const struct field_info field_rows[FIELDS] = {
    [FIELD_PERFORMER] = { "performer", "NAME",
                          "only solos by this player", "performer",
                          FIELD_IS_WORDS },
    [FIELD_TITLE] = { "title", "TITLE", "only solos on this tune", "title",
                      FIELD_IS_WORDS },
    [FIELD_COMPOSER] = { "composer", "NAME",
                         "only tunes by this composer", "composer",
                         FIELD_IS_WORDS },
    [FIELD_INSTRUMENT] = { "instrument", "NAME",
                           "only solos on this instrument", "instrument",
                           FIELD_IS_WORDS },
    [FIELD_KEY] = { "key", "KEY",
                    "only solos in this key as it sounds, such as Eb or "
                    "\"C minor\"",
                    "concert_key", FIELD_IS_EXACT },
    [FIELD_METRE] = { "metre", "N/N",
                      "only solos in this time signature, such as 3/4",
                      "metre", FIELD_IS_EXACT },
    [FIELD_TEMPO] = { "tempo", "A[-B]",
                      "only solos at this tempo or between two, in quarters "
                      "a minute",
                      "tempo", FIELD_IS_RANGE },
    [FIELD_WORDS] = { "words", "TEXT",
                      "only solos with these words in the score", "text",
                      FIELD_IS_WORDS },
    [FIELD_PATH] = { "path", "PATH",
                     "only this file, or the files below this folder",
                     "path", FIELD_IS_PREFIX }
};

const struct field_info *field_info(int field)
{
    return field >= 0 && field < FIELDS ? &field_rows[field] : NULL;
}

int field_named(const char *name, size_t len)
{
    for (int i = 0; i < FIELDS; i++)
        if (strlen(field_rows[i].name) == len &&
            strncasecmp(field_rows[i].name, name, len) == 0)
            return i;
    return -1;
}

/* --- words ------------------------------------------------------------ */

/* A text without a letter or digit would find nothing and say nothing.  The
 * search itself cuts words by the Unicode tables; here it is enough to know
 * the blocks that hold punctuation and signs only. */
static bool is_word_code(uint32_t code)
{
    if (code < 0x80)
        return isalnum((int)code) != 0;
    if (code < 0xC0) /* ª ² ³ µ ¹ º ¼ ½ ¾ */
        return code == 0xAA || code == 0xB2 || code == 0xB3 ||
               code == 0xB5 || (code >= 0xB9 && code != 0xBB && code != 0xBF);
    if (code == 0xD7 || code == 0xF7) /* times, divided by */
        return false;
    if (code >= 0x2000 && code < 0x2C00) /* punctuation, arrows, signs */
        return false;
    return code < 0x3000 || code > 0x303F;
}

static bool has_word(const char *text)
{
    size_t len = strlen(text);
    uint32_t code;

    for (size_t read; (read = utf8_next(&code, text, len)) > 0; len -= read) {
        if (code != UTF8_REPLACEMENT && is_word_code(code))
            return true;
        text += read;
    }
    return false;
}

static enum status parse_words(struct filter_term *out,
                               const struct field_info *info,
                               const char *value, struct fault *why)
{
    if (!has_word(value))
        return fault_at(why, ST_SYNTAX, 0,
                        "%s \"%s\" has no letter or digit to look for",
                        info->name, value);
    out->text = value;
    return ST_OK;
}

/* --- key -------------------------------------------------------------- */

/* The keys that a signature of at most seven accidentals can stand for, by
 * fifths from -7. */
static const char *const major_keys[15] = {
    "Cb major", "Gb major", "Db major", "Ab major", "Eb major",
    "Bb major", "F major",  "C major",  "G major",  "D major",
    "A major",  "E major",  "B major",  "F# major", "C# major"
};
static const char *const minor_keys[15] = {
    "Ab minor", "Eb minor", "Bb minor", "F minor",  "C minor",
    "G minor",  "D minor",  "A minor",  "E minor",  "B minor",
    "F# minor", "C# minor", "G# minor", "D# minor", "A# minor"
};

static const char *skip_blanks(const char *text)
{
    while (*text == ' ' || *text == '\t')
        text++;
    return text;
}

/* "flat" or "sharp" in letters after a note name, as one says it. */
static const char *spoken_accidental(struct pitch *p, const char *text)
{
    const char *word = *text == '-' ? text + 1 : skip_blanks(text);

    if (p->alter != 0)
        return text;
    if (strncasecmp(word, "flat", 4) == 0) {
        p->alter = -100;
        return word + 4;
    }
    if (strncasecmp(word, "sharp", 5) == 0) {
        p->alter = 100;
        return word + 5;
    }
    return text;
}

/* True, and *MINOR, where TEXT is the word of a mode and nothing else. */
static bool parse_mode(bool *minor, const char *text)
{
    static const char *const words[] = { "",    "major", "maj",
                                         "min", "minor", "m" };
    size_t len;

    text = skip_blanks(text);
    len = strlen(text);
    while (len > 0 && (text[len - 1] == ' ' || text[len - 1] == '\t'))
        len--;
    /* A capital M is a musician's "major". */
    if (len == 1 && *text == 'M') {
        *minor = false;
        return true;
    }
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (strlen(words[i]) == len &&
            strncasecmp(words[i], text, len) == 0) {
            *minor = i >= 3;
            return true;
        }
    return false;
}

static enum status parse_key(struct filter_term *out, const char *value,
                             struct fault *why)
{
    /* Fifths of C major, D major ... B major. */
    static const int fifths_of[7] = { 0, 2, 4, -1, 1, 3, 5 };
    const char *at = skip_blanks(value);
    struct pitch p;
    size_t read = pitch_parse(&p, NULL, at, false);
    bool minor = false;
    int fifths;

    if (read > 0)
        at = spoken_accidental(&p, at + read);
    if (read == 0 || p.alter % 100 != 0 || !parse_mode(&minor, at))
        return fault_at(why, ST_SYNTAX, at - value,
                        "\"%s\" is no key; write Eb, \"Eb major\", Cm or "
                        "\"C minor\"",
                        value);
    fifths = fifths_of[p.step] + 7 * (p.alter / 100) - (minor ? 3 : 0);
    if (fifths < -7 || fifths > 7)
        return fault_at(why, ST_SYNTAX, 0,
                        "\"%s\" is no key with at most seven sharps or "
                        "flats",
                        value);
    out->text = minor ? minor_keys[fifths + 7] : major_keys[fifths + 7];
    return ST_OK;
}

/* --- metre ------------------------------------------------------------ */

/* The bytes of a number without leading zeros at TEXT, at most three. */
static size_t number_length(const char *text)
{
    size_t len = strspn(text, "0123456789");

    return len > 3 || text[0] == '0' ? 0 : len;
}

/* The bytes of "3+2/8" at TEXT: numbers joined by '+' over one number. */
static size_t fraction_length(const char *text)
{
    size_t at = number_length(text), len = at;

    while (len > 0 && text[at] == '+') {
        len = number_length(text + at + 1);
        at += 1 + len;
    }
    if (len == 0 || text[at] != '/')
        return 0;
    len = number_length(text + at + 1);
    return len > 0 ? at + 1 + len : 0;
}

static enum status parse_metre(struct filter_term *out, const char *value,
                               struct fault *why)
{
    const char *at = value;
    size_t len = fraction_length(at);

    /* Time signatures may also be added up: "3/4+2/8". */
    while (len > 0 && at[len] == '+') {
        at += len + 1;
        len = fraction_length(at);
    }
    if (len == 0 || at[len] != '\0')
        return fault_at(why, ST_SYNTAX, at - value,
                        "\"%s\" is no metre; write it in numbers, such as "
                        "4/4 or 3+2/8",
                        value);
    out->text = value;
    return ST_OK;
}

/* --- tempo ------------------------------------------------------------ */

/* The tempo in the LEN bytes at TEXT, times 100; -1 where there is none. */
static int64_t parse_tempo_number(const char *text, size_t len)
{
    char copy[TERM_TEXT_SIZE];
    struct rational r;

    if (len >= sizeof copy)
        return -1;
    memcpy(copy, text, len);
    copy[len] = '\0';
    if (!rational_parse_decimal(&r, copy) || r.lost || r.num <= 0 ||
        rational_compare(r, rational_make(TEMPO_MAX, 1)) > 0)
        return -1;
    return (r.num * 100 + r.den / 2) / r.den;
}

/* The hyphen or dash between two numbers, *LEN bytes; NULL without one. */
static const char *find_dash(const char *value, size_t *len)
{
    static const char en_dash[] = "\xE2\x80\x93";
    const char *dash = strstr(value, en_dash);

    *len = dash ? strlen(en_dash) : 1;
    return dash ? dash : strchr(value, '-');
}

static enum status parse_tempo(struct filter_term *out, const char *value,
                               struct fault *why)
{
    size_t width, len = strlen(value);
    const char *dash = find_dash(value, &width);
    const char *second = dash ? dash + width : value;

    out->low = parse_tempo_number(value, dash ? (size_t)(dash - value) : len);
    out->high = parse_tempo_number(second, strlen(second));
    if (out->low < 0 || out->high < 0)
        return fault_at(why, ST_SYNTAX, out->low < 0 ? 0 : second - value,
                        "\"%s\" is no tempo; write 120 or 100-140 (quarters "
                        "a minute, above 0 and up to %d)",
                        value, TEMPO_MAX);
    if (out->low > out->high)
        return fault_at(why, ST_SYNTAX, 0,
                        "tempo %s: the slower one comes first", value);
    return ST_OK;
}

/* --- the public functions ---------------------------------------------- */

enum status field_parse(struct filter_term *out, int field, const char *value,
                        struct fault *why)
{
    const struct field_info *info = field_info(field);

    memset(out, 0, sizeof *out);
    out->field = field;
    if (!info)
        return fault_set(why, ST_INTERNAL, "there is no field %d", field);
    switch (field) {
    case FIELD_KEY:
        return parse_key(out, value, why);
    case FIELD_METRE:
        return parse_metre(out, value, why);
    case FIELD_TEMPO:
        return parse_tempo(out, value, why);
    case FIELD_PATH:
        if (value[0] == '\0')
            return fault_at(why, ST_SYNTAX, 0, "path is empty");
        out->text = value;
        return ST_OK;
    default:
        return parse_words(out, info, value, why);
    }
}

/* All names, for a message that says what there is. */
static void list_names(char *out, size_t size)
{
    size_t used = 0;

    for (int i = 0; i < FIELDS; i++) {
        const char *name = field_rows[i].name;
        size_t need = strlen(name) + 2;

        if (used + need >= size)
            break;
        memcpy(out + used, i > 0 ? ", " : "", i > 0 ? 2 : 0);
        used += i > 0 ? 2 : 0;
        memcpy(out + used, name, strlen(name));
        used += strlen(name);
    }
    out[used] = '\0';
}

enum status field_parse_where(struct filter_term *out, const char *text,
                              struct fault *why)
{
    const char *equals = strchr(text, '=');
    char names[160];
    enum status st;
    int field;

    memset(out, 0, sizeof *out);
    if (!equals)
        return fault_at(why, ST_SYNTAX, 0,
                        "\"%s\" is no restriction; write NAME=VALUE, such "
                        "as key=Eb",
                        text);
    field = field_named(text, (size_t)(equals - text));
    if (field < 0) {
        list_names(names, sizeof names);
        return fault_at(why, ST_SYNTAX, 0,
                        "there is no \"%.*s\" to restrict by; there are %s",
                        (int)(equals - text), text, names);
    }
    st = field_parse(out, field, equals + 1, why);
    if (st == ST_SYNTAX && why && why->offset >= 0)
        why->offset += equals + 1 - text;
    return st;
}
