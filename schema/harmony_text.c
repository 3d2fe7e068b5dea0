/* schema/harmony_text.c - functions and keys as text, and back. */
#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "schema/harmony_parts.h"

/* --- writing -------------------------------------------------------------- */

static bool is_low(const struct chord *chord)
{
    enum quality quality = chord_quality(chord);

    return quality == QUALITY_MINOR || quality == QUALITY_HALF ||
           quality == QUALITY_DIMINISHED;
}

static bool has_tone(const struct chord *chord, int semitones)
{
    return chord->tones >> semitones & 1;
}

static const char *suffix_of(const struct chord *chord)
{
    switch ((enum chord_class)chord->class) {
    case CHORD_MAJOR:
        return has_tone(chord, 11) ? "maj7" : has_tone(chord, 9) ? "6" : "";
    case CHORD_MINOR:
        return has_tone(chord, 10) ? "7" : has_tone(chord, 9) ? "6" : "";
    case CHORD_DOMINANT:
        if (chord->sus)
            return "7sus";
        return has_tone(chord, 8) && !has_tone(chord, 7) && !chord->tensions
                   ? "+7"
                   : "7";
    case CHORD_MINOR_MAJOR:
        return "(maj7)";
    case CHORD_HALF_DIMINISHED:
        return "\xc3\xb8"
               "7";
    case CHORD_DIMINISHED:
        return has_tone(chord, 9) ? "o7" : "o";
    case CHORD_AUGMENTED:
        return has_tone(chord, 11) ? "+maj7" : "+";
    case CHORD_SUSPENDED:
        return "sus";
    case CHORD_POWER:
        return "5";
    case CHORD_NONE:
    case CHORD_OTHER:
    case CHORD_CLASSES:
        break;
    }
    return "";
}

/* The numeral of DEGREE, in upper case. */
static const char *numeral(int degree, enum accidental_side side)
{
    static const char *const flat[12] = { "I",  "bII", "II",  "bIII",
                                          "III", "IV", "bV",  "V",
                                          "bVI", "VI", "bVII", "VII" };
    static const char *const sharp[12] = { "I",  "#I", "II", "#II",
                                           "III", "IV", "#IV", "V",
                                           "#V", "VI", "#VI", "VII" };

    return side == SIDE_SHARP ? sharp[degree] : flat[degree];
}

/* The side on which a step outside the key is usually written (common
 * practice, no source): bII7, bV7, but #ivø7, #io7, biii7, #vo7, bvii7. */
static enum accidental_side usual_side(int degree, enum quality quality,
                                       enum accidental_side side)
{
    bool low = quality == QUALITY_MINOR || quality == QUALITY_HALF ||
               quality == QUALITY_DIMINISHED;

    if (degree == 6)
        return low ? SIDE_SHARP : SIDE_FLAT;
    if (side != SIDE_PLAIN)
        return side;
    return low && quality != QUALITY_MINOR && (degree == 1 || degree == 8)
               ? SIDE_SHARP
               : SIDE_FLAT;
}

/* Append a numeral, or what belongs to it, to OUT. */
static void put_text(char out[HARMONY_FUNCTION_SIZE], const char *text,
                     bool low)
{
    size_t used = strlen(out);

    for (; *text && used + 1 < HARMONY_FUNCTION_SIZE; text++)
        out[used++] = low ? (char)tolower((unsigned char)*text) : *text;
    out[used] = '\0';
}

bool roman_target_low(bool minor, int target, enum quality quality)
{
    switch (target) {
    case 2:
    case 4:
    case 9:
    case 11:
        return true;
    case 5:
        return minor;
    case 6:
        return quality == QUALITY_MINOR;
    default:
        return false;
    }
}

char *roman_write(char out[HARMONY_FUNCTION_SIZE], const struct roman *roman)
{
    bool low = is_low(roman->chord);

    out[0] = '\0';
    if (roman->substitute)
        put_text(out, "sub", false);
    put_text(out,
             numeral(roman->degree,
                     usual_side(roman->degree, chord_quality(roman->chord),
                                roman->side)),
             low);
    put_text(out, suffix_of(roman->chord), false);
    if (roman->target >= 0) {
        put_text(out, "/", false);
        put_text(out,
                 numeral(roman->target,
                         roman->target == 6 && roman->target_low ? SIDE_SHARP
                                                                 : SIDE_FLAT),
                 roman->target_low);
    }
    return out;
}

/* --- reading -------------------------------------------------------------- */

/* A numeral as typed. */
struct typed {
    int degree;
    bool low;
    enum accidental_side side;
};

static size_t read_accidental(const char *text, enum accidental_side *side)
{
    static const struct {
        const char *text;
        enum accidental_side side;
    } signs[] = { { "b", SIDE_FLAT },
                  { "#", SIDE_SHARP },
                  { "\xe2\x99\xad", SIDE_FLAT },
                  { "\xe2\x99\xaf", SIDE_SHARP } };

    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++) {
        size_t len = strlen(signs[i].text);

        if (strncmp(text, signs[i].text, len) == 0) {
            *side = signs[i].side;
            return len;
        }
    }
    *side = SIDE_PLAIN;
    return 0;
}

/* Returns the bytes read, 0 where there is no numeral. */
static size_t read_numeral(const char *text, struct typed *out)
{
    /* Longer ones first, as III begins with I. */
    static const struct {
        const char *upper, *lower;
        int degree;
    } numerals[] = { { "VII", "vii", 11 }, { "III", "iii", 4 },
                     { "VI", "vi", 9 },    { "IV", "iv", 5 },
                     { "II", "ii", 2 },    { "V", "v", 7 },
                     { "I", "i", 0 } };
    size_t start = read_accidental(text, &out->side);

    for (size_t i = 0; i < sizeof numerals / sizeof *numerals; i++) {
        size_t len = strlen(numerals[i].upper);
        int moved = out->side == SIDE_SHARP  ? 1
                    : out->side == SIDE_FLAT ? -1
                                             : 0;

        out->low = strncmp(text + start, numerals[i].lower, len) == 0;
        if (!out->low && strncmp(text + start, numerals[i].upper, len) != 0)
            continue;
        out->degree = pitch_modulo(numerals[i].degree + moved, 12);
        return start + len;
    }
    return 0;
}

/* Read the quality LEN bytes at TEXT.  In lower case "7" means m7. */
static bool read_quality(struct chord *chord, const char *text, size_t len,
                         bool low)
{
    char suffix[CHORD_TEXT_SIZE];

    if (len + 2 > sizeof suffix)
        return false;
    if (len == 0)
        text = low ? "m" : "major", len = strlen(text);
    if (chord_parse(chord, text, len, true, NULL) == ST_OK &&
        (!low || is_low(chord)))
        return chord_quality(chord) != QUALITIES;
    snprintf(suffix, sizeof suffix, "m%.*s", (int)len, text);
    return low &&
           chord_parse(chord, suffix, strlen(suffix), true, NULL) == ST_OK &&
           is_low(chord);
}

/* The slash before a target in TEXT, or its end.  Not the one of 6/9. */
static size_t find_target(const char *text)
{
    const char *slash = strrchr(text, '/');

    if (!slash || isdigit((unsigned char)slash[1]))
        return strlen(text);
    return (size_t)(slash - text);
}

static enum status refuse(struct fault *why, long offset, const char *text)
{
    return fault_at(why, ST_SYNTAX, offset,
                    "'%s' is no function: write a roman numeral with its "
                    "quality such as ii7, V7, Imaj7, bVII7, V7/ii or subV7",
                    text);
}

/* Read the target at TEXT + AT into ROMAN. */
static enum status read_target(struct roman *roman, const char *text,
                               size_t at, struct fault *why)
{
    struct typed typed;
    size_t n = read_numeral(text + at, &typed);
    bool leading = roman->degree == 11 &&
                   chord_quality(roman->chord) == QUALITY_DIMINISHED;
    bool two = roman->degree == 2 && is_low(roman->chord) &&
               chord_quality(roman->chord) != QUALITY_DIMINISHED;

    if (n == 0 || text[at + n])
        return fault_at(why, ST_SYNTAX, (long)(at + n),
                        "after the slash stands a roman numeral alone, as in "
                        "V7/ii");
    if (!leading && !two && (roman->degree != 7 || is_low(roman->chord)))
        return fault_at(why, ST_SYNTAX, (long)at,
                        "only V, subV, ii and vii lead to another step, as in "
                        "V7/ii or ii7/IV");
    if (leading) {
        roman->degree = (typed.degree + 11) % 12;
        roman->side = SIDE_SHARP;
        return ST_OK;
    }
    if (typed.degree == 0)
        return ST_OK;
    roman->target = typed.degree;
    roman->target_low = typed.degree == 5 || typed.degree == 6
                            ? typed.low
                            : roman_target_low(false, typed.degree, QUALITIES);
    return ST_OK;
}

/* Read the NUL-terminated TEXT. */
static enum status read_function(struct roman *roman, struct chord *chord,
                                 const char *text, struct fault *why)
{
    size_t start = strncmp(text, "sub", 3) == 0 ? 3 : 0, n;
    size_t slash = find_target(text);
    struct typed typed;

    *roman = (struct roman){ .chord = chord, .target = -1 };
    n = read_numeral(text + start, &typed);
    if (n == 0)
        return refuse(why, (long)start, text);
    if (start + n > slash ||
        !read_quality(chord, text + start + n, slash - start - n, typed.low))
        return refuse(why, (long)(start + n), text);
    roman->degree = typed.degree;
    roman->substitute = start > 0;
    if (chord_quality(chord) == QUALITY_DIMINISHED)
        roman->side = typed.side;
    if (start > 0 && (typed.degree != 7 || is_low(chord)))
        return fault_at(why, ST_SYNTAX, 0,
                        "a substitute is written subV7, or subV7/V for one "
                        "that leads to V");
    return text[slash] ? read_target(roman, text, slash + 1, why) : ST_OK;
}

static enum status parse(struct roman *roman, struct chord *chord,
                         const char *text, size_t len, struct fault *why)
{
    char copy[CHORD_TEXT_SIZE];

    if (len == 0)
        return fault_at(why, ST_SYNTAX, 0,
                        "a function is missing: write e.g. ii7 or V7/ii");
    if (len >= sizeof copy || memchr(text, '\0', len))
        return fault_at(why, ST_SYNTAX, 0, "'%.*s...' is too long for a "
                        "function", 20, text);
    memcpy(copy, text, len);
    copy[len] = '\0';
    return read_function(roman, chord, copy, why);
}

enum status harmony_parse_function(char out[HARMONY_FUNCTION_SIZE],
                                   const char *text, size_t len,
                                   struct fault *why)
{
    struct roman roman;
    struct chord chord;
    enum status st = parse(&roman, &chord, text, len, why);

    out[0] = '\0';
    if (st != ST_OK)
        return st;
    if (roman.substitute && chord_quality(&chord) == QUALITY_MAJOR &&
        chord_parse(&chord, "7", 1, true, NULL) != ST_OK)
        return ST_INTERNAL;
    roman_write(out, &roman);
    return ST_OK;
}

enum chord_class harmony_function_class(const char *function)
{
    struct roman roman;
    struct chord chord;

    if (parse(&roman, &chord, function, strlen(function), NULL) != ST_OK)
        return CHORD_NONE;
    return (enum chord_class)chord.class;
}

/* The class of the LEN bytes SUFFIX that suffix_of() wrote, or CHORD_NONE.
 * Every chord of every solo is asked, so this does without chord_parse(),
 * which would take most of the time of indexing. */
static enum chord_class suffix_class(const char *suffix, size_t len, bool low)
{
    static const struct {
        const char *suffix;
        enum chord_class low, high;
    } suffixes[] = {
        { "", CHORD_MINOR, CHORD_MAJOR },
        { "7", CHORD_MINOR, CHORD_DOMINANT },
        { "6", CHORD_MINOR, CHORD_MAJOR },
        { "maj7", CHORD_NONE, CHORD_MAJOR },
        { "+7", CHORD_NONE, CHORD_DOMINANT },
        { "7sus", CHORD_NONE, CHORD_DOMINANT },
        { "(maj7)", CHORD_MINOR_MAJOR, CHORD_NONE },
        { "\xc3\xb8" "7", CHORD_HALF_DIMINISHED, CHORD_NONE },
        { "o", CHORD_DIMINISHED, CHORD_NONE },
        { "o7", CHORD_DIMINISHED, CHORD_NONE },
        { "+", CHORD_NONE, CHORD_AUGMENTED },
        { "+maj7", CHORD_NONE, CHORD_AUGMENTED },
        { "sus", CHORD_NONE, CHORD_SUSPENDED },
        { "5", CHORD_NONE, CHORD_POWER },
    };

    for (size_t i = 0; i < sizeof suffixes / sizeof *suffixes; i++)
        if (strlen(suffixes[i].suffix) == len &&
            memcmp(suffixes[i].suffix, suffix, len) == 0)
            return low ? suffixes[i].low : suffixes[i].high;
    return CHORD_NONE;
}

char *harmony_function_key(char out[HARMONY_FUNCTION_KEY_SIZE],
                           const char *function)
{
    size_t slash = strcspn(function, "/");
    size_t start = strncmp(function, "sub", 3) == 0 ? 3 : 0;
    struct typed typed;
    size_t n = read_numeral(function + start, &typed), step = start + n;
    enum chord_class class;

    out[0] = '\0';
    if (n == 0 || strlen(function) >= HARMONY_FUNCTION_SIZE)
        return out;
    class = suffix_class(function + step, slash - step, typed.low);
    if (class != CHORD_NONE)
        snprintf(out, HARMONY_FUNCTION_KEY_SIZE, "%.*s%s %s", (int)step,
                 function, function + slash, chord_class_name((int)class));
    return out;
}

/* --- keys ----------------------------------------------------------------- */

/* The signature in which KEY is written beside one with FIFTHS. */
static int key_signature(int key, int fifths)
{
    int major = key_minor(key) ? key_tonic(key) + 3 : key_tonic(key);
    int sharps = pitch_modulo(7 * major, 12); /* 0..11 */

    if (sharps < 5)
        return sharps;
    if (sharps > 7)
        return sharps - 12;
    if (sharps == 5) /* B or Cb; G# or Ab minor */
        return fifths <= -6 || (key_minor(key) && fifths < 0) ? -7 : 5;
    if (sharps == 6) /* F# or Gb; D# or Eb minor */
        return fifths > 0 ? 6 : -6;
    return fifths >= 6 ? 7 : -5; /* C# or Db; A# or Bb minor */
}

char *harmony_key_text(char out[KEY_TEXT_SIZE], int key, int fifths)
{
    out[0] = '\0';
    if (key < 0 || key >= HARMONY_KEYS)
        return out;
    return solo_key_text(out, key_signature(key, fifths),
                         key_minor(key) ? MODE_MINOR : MODE_MAJOR);
}

char *harmony_key_short(char out[KEY_TEXT_SIZE], int key, int fifths)
{
    size_t len;

    harmony_key_text(out, key, fifths);
    len = strcspn(out, " ");
    snprintf(out + len, KEY_TEXT_SIZE - len, "%s",
             len > 0 && key_minor(key) ? "m" : "");
    return out;
}
