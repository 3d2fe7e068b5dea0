/* schema/chord.c - chords as values, from MusicXML and to it. */
#include "schema/chord.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "schema/chord_parts.h"

/* The longest suffix kept: what the longest root and bass leave. */
enum {
    SUFFIX_SIZE = CHORD_TEXT_SIZE - (int)sizeof "Cbb/Cbb" + 1
};

/* The kinds of MusicXML 4.0 in the order of the standard (kind-value).  The
 * degrees follow its annotation; that of the functional sixths and Tristan,
 * which has none, is common practice, no source: Italian 1 3 #6, French 1 3
 * b5 #6, German 1 3 5 #6 with the augmented sixth sounding as b7, Tristan as
 * a half-diminished seventh. */
static const struct {
    const char *name;
    const char *degrees;
} kinds[KIND_STANDARD_COUNT] = {
    [KIND_MAJOR] = { "major", "1 3 5" },
    [KIND_MINOR] = { "minor", "1 b3 5" },
    [KIND_AUGMENTED] = { "augmented", "1 3 #5" },
    [KIND_DIMINISHED] = { "diminished", "1 b3 b5" },
    [KIND_DOMINANT] = { "dominant", "1 3 5 b7" },
    [KIND_MAJOR_SEVENTH] = { "major-seventh", "1 3 5 7" },
    [KIND_MINOR_SEVENTH] = { "minor-seventh", "1 b3 5 b7" },
    [KIND_DIMINISHED_SEVENTH] = { "diminished-seventh", "1 b3 b5 bb7" },
    [KIND_AUGMENTED_SEVENTH] = { "augmented-seventh", "1 3 #5 b7" },
    [KIND_HALF_DIMINISHED] = { "half-diminished", "1 b3 b5 b7" },
    [KIND_MAJOR_MINOR] = { "major-minor", "1 b3 5 7" },
    [KIND_MAJOR_SIXTH] = { "major-sixth", "1 3 5 6" },
    [KIND_MINOR_SIXTH] = { "minor-sixth", "1 b3 5 6" },
    [KIND_DOMINANT_NINTH] = { "dominant-ninth", "1 3 5 b7 9" },
    [KIND_MAJOR_NINTH] = { "major-ninth", "1 3 5 7 9" },
    [KIND_MINOR_NINTH] = { "minor-ninth", "1 b3 5 b7 9" },
    [KIND_DOMINANT_11TH] = { "dominant-11th", "1 3 5 b7 9 11" },
    [KIND_MAJOR_11TH] = { "major-11th", "1 3 5 7 9 11" },
    [KIND_MINOR_11TH] = { "minor-11th", "1 b3 5 b7 9 11" },
    [KIND_DOMINANT_13TH] = { "dominant-13th", "1 3 5 b7 9 11 13" },
    [KIND_MAJOR_13TH] = { "major-13th", "1 3 5 7 9 11 13" },
    [KIND_MINOR_13TH] = { "minor-13th", "1 b3 5 b7 9 11 13" },
    [KIND_SUSPENDED_SECOND] = { "suspended-second", "1 2 5" },
    [KIND_SUSPENDED_FOURTH] = { "suspended-fourth", "1 4 5" },
    [KIND_NEAPOLITAN] = { "Neapolitan", "1 3 5" },
    [KIND_ITALIAN] = { "Italian", "1 3 b7" },
    [KIND_FRENCH] = { "French", "1 3 b5 b7" },
    [KIND_GERMAN] = { "German", "1 3 5 b7" },
    [KIND_PEDAL] = { "pedal", "1" },
    [KIND_POWER] = { "power", "1 5" },
    [KIND_TRISTAN] = { "Tristan", "1 b3 b5 b7" },
    [KIND_OTHER] = { "other", "1" },
    [KIND_NONE] = { "none", "" },
};

static const char *const class_names[CHORD_CLASSES] = {
    [CHORD_MAJOR] = "major",
    [CHORD_MINOR] = "minor",
    [CHORD_DOMINANT] = "dominant",
    [CHORD_MINOR_MAJOR] = "minor-major",
    [CHORD_HALF_DIMINISHED] = "half-diminished",
    [CHORD_DIMINISHED] = "diminished",
    [CHORD_AUGMENTED] = "augmented",
    [CHORD_SUSPENDED] = "suspended",
    [CHORD_POWER] = "power",
    [CHORD_NONE] = "none",
    [CHORD_OTHER] = "other",
};

const char *chord_class_name(int class)
{
    return class >= 0 && class < CHORD_CLASSES ? class_names[class] : "other";
}

int chord_class_parse(const char *text)
{
    for (int i = 0; i < CHORD_CLASSES; i++)
        if (strcasecmp(text, class_names[i]) == 0)
            return i;
    return -1;
}

const char *chord_kind_name(int kind)
{
    return kind >= 0 && kind < KIND_STANDARD_COUNT ? kinds[kind].name : "";
}

int chord_kind_parse(const char *text)
{
    for (int i = 0; i < KIND_STANDARD_COUNT; i++)
        if (strcmp(text, kinds[i].name) == 0)
            return i;
    return KIND_FOREIGN;
}

struct chord_parts kind_parts(int kind)
{
    struct chord_parts parts = { { 0 }, false };
    const char *at =
        kind >= 0 && kind < KIND_STANDARD_COUNT ? kinds[kind].degrees : "1";
    int number, semitones;
    size_t read;

    while ((read = pitch_parse_degree(&number, &semitones, at)) != 0) {
        int plain = pitch_step_semitones(number - 1) + (number > 7 ? 12 : 0);

        parts_put(&parts, number, semitones - plain);
        at += read;
        at += *at == ' ';
    }
    parts.diminished =
        kind == KIND_DIMINISHED || kind == KIND_DIMINISHED_SEVENTH;
    return parts;
}

uint16_t chord_kind_tones(int kind)
{
    struct chord_parts parts = kind_parts(kind);

    return kind == KIND_FOREIGN ? 0 : parts_tones(&parts);
}

void chord_fill(struct chord *out, const struct chord_parts *parts, int kind)
{
    *out = (struct chord){
        .kind = (uint8_t)kind,
        .class = (uint8_t)parts_class(parts),
        .altered = parts_altered(parts),
        .sus = parts_sus(parts),
        .tones = parts_tones(parts),
    };
    out->tensions = chord_tensions(out->tones, parts_class(parts));
}

void chord_fill_none(struct chord *out)
{
    *out = (struct chord){ .kind = KIND_NONE, .class = CHORD_NONE };
    snprintf(out->symbol, sizeof out->symbol, "N.C.");
}

/* P as the name of a root: no octave, no quarter tone, at most two signs. */
static struct pitch root_pitch(struct pitch p)
{
    int pc;

    p.octave = 0;
    pc = pitch_modulo(pitch_midi(p), 12);
    if (p.alter > 200 || p.alter < -200)
        p = pitch_spell(pc, 0);
    else
        p.alter = (int16_t)(100 * ((p.alter + 250) / 100 - 2));
    p.octave = 0;
    return p;
}

static uint8_t pitch_class(struct pitch p)
{
    return (uint8_t)pitch_modulo(pitch_midi(p), 12);
}

/* Write root, SUFFIX and bass into the symbol of CHORD. */
static void write_symbol(struct chord *chord, const char *suffix)
{
    char root[PITCH_TEXT_SIZE] = "", bass[PITCH_TEXT_SIZE] = "";
    char safe[SUFFIX_SIZE];

    /* Without a root, a plain major chord still needs a name. */
    text_make_safe(safe, sizeof safe,
                   !chord->has_root && !*suffix ? "major" : suffix);
    if (chord->has_root) {
        pitch_class_text(root, chord->root);
        if (chord->bass_pc != chord->root_pc)
            pitch_class_text(bass, chord->bass);
    }
    snprintf(chord->symbol, sizeof chord->symbol, "%.3s%s%s%.3s", root, safe,
             *bass ? "/" : "", bass);
}

void chord_name(struct chord *out, const struct pitch *root,
                const struct pitch *bass, const char *suffix)
{
    out->has_root = root != NULL;
    if (root) {
        out->root = root_pitch(*root);
        out->root_pc = pitch_class(out->root);
        out->bass = bass ? root_pitch(*bass) : out->root;
        out->bass_pc = pitch_class(out->bass);
    }
    write_symbol(out, suffix);
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Words of kinds outside the standard and what they read as in a suffix. */
static const char *const kind_words[][2] = {
    { "major", "maj" },      { "minor", "m" },       { "augmented", "aug" },
    { "diminished", "dim" }, { "suspended", "sus" }, { "dominant", "dom" },
    { "half", "half" },      { "second", "2" },      { "third", "3" },
    { "fourth", "4" },       { "fifth", "5" },       { "five", "5" },
    { "six", "6" },          { "sixth", "6" },       { "6th", "6" },
    { "seven", "7" },        { "seventh", "7" },     { "7th", "7" },
    { "nine", "9" },         { "ninth", "9" },       { "9th", "9" },
    { "eleventh", "11" },    { "11th", "11" },       { "thirteenth", "13" },
    { "13th", "13" },        { "flat", "b" },        { "sharp", "#" },
    { "altered", "alt" },    { "added", "add" },     { "power", "5" },
    { "chord", "" },
};

/* The words of a kind outside the standard ("augmented-ninth") as a suffix
 * ("aug9").  Words that are not known stand as they are.  Returns OUT. */
static char *suffix_of_words(char *out, size_t size, const char *words)
{
    size_t used = 0;

    out[0] = '\0';
    while (*words) {
        size_t length = strcspn(words, "-_ "), n = length;
        const char *put = words;

        for (size_t i = 0; i < sizeof kind_words / sizeof *kind_words; i++)
            if (strlen(kind_words[i][0]) == length &&
                strncasecmp(words, kind_words[i][0], length) == 0) {
                put = kind_words[i][1];
                n = strlen(put);
            }
        if (used + n + 2 >= size) {
            out[0] = '\0'; /* half of the words would mislead */
            break;
        }
        if (used > 0 && is_digit(out[used - 1]) && is_digit(*put))
            out[used++] = ',';
        memcpy(out + used, put, n);
        used += n;
        out[used] = '\0';
        words += length;
        words += *words != '\0';
    }
    return out;
}

/* Explain a kind outside the standard, or "other", by its text, then by its
 * own name.  False where neither reads as a chord. */
static bool explain(struct chord_parts *parts, enum suffix *what,
                    const struct chord_source *source, int kind)
{
    const char *text = source->kind_text ? source->kind_text : "";
    const char *name = source->kind_name;
    char words[64];

    if (suffix_parse(parts, what, text, text, NULL) == ST_OK)
        return true;
    if (kind == KIND_OTHER)
        return false;
    if (suffix_parse(parts, what, name, name, NULL) == ST_OK)
        return true;
    suffix_of_words(words, sizeof words, name);
    return suffix_parse(parts, what, words, words, NULL) == ST_OK;
}

/* The suffix of a chord that could not be explained: its text, else its kind
 * in brackets. */
static void plain_suffix(char *out, size_t size,
                         const struct chord_source *source)
{
    static const char blanks[] = " \t\r\n";
    const char *text = source->kind_text ? source->kind_text : "";
    const char *name = source->kind_name;
    bool bracket = false;
    size_t length;

    text += strspn(text, blanks);
    if (!*text) {
        text = name + strspn(name, blanks);
        bracket = true;
    }
    if (!*text)
        text = "?";
    length = strlen(text);
    while (length > 1 && strchr(blanks, text[length - 1]))
        length--;
    if (length > size - 3)
        length = size - 3;
    snprintf(out, size, bracket ? "(%.*s)" : "%.*s", (int)length, text);
}

/* Apply the degrees of SOURCE.  False where some made no sense. */
static bool apply_degrees(struct chord_parts *parts,
                          const struct chord_source *source)
{
    struct chord_parts base = *parts;
    bool sense = true;

    for (int i = 0; i < source->degree_count && i < CHORD_DEGREES_MAX; i++)
        if (!parts_apply(parts, &base, source->degrees[i]))
            sense = false;
    parts_settle(parts);
    return sense;
}

/* A chord that is only its notes: a pedal, or one not understood. */
static void fill_other(struct chord *out, const struct chord_parts *parts,
                       int kind)
{
    chord_fill(out, parts, kind);
    out->class = CHORD_OTHER;
    out->altered = out->sus = false;
    out->tensions = chord_tensions(out->tones, CHORD_OTHER);
}

bool chord_from_source(struct chord *out, const struct chord_source *source)
{
    int kind = chord_kind_parse(source->kind_name);
    bool foreign = kind == KIND_OTHER || kind == KIND_FOREIGN;
    struct chord_parts parts = kind_parts(kind);
    enum suffix what = kind == KIND_NONE    ? SUFFIX_NONE
                       : kind == KIND_PEDAL ? SUFFIX_PEDAL
                                            : SUFFIX_PARTS;
    bool clear = !foreign || explain(&parts, &what, source, kind);
    char suffix[CHORD_TEXT_SIZE] = "ped";

    if (clear && what == SUFFIX_NONE) {
        chord_fill_none(out);
        return true;
    }
    if (!clear) {
        apply_degrees(&parts, source);
        fill_other(out, &parts, kind);
        plain_suffix(suffix, sizeof suffix, source);
    } else if (what == SUFFIX_PEDAL) {
        clear = apply_degrees(&parts, source);
        fill_other(out, &parts, KIND_PEDAL);
    } else {
        /* The text of a foreign kind may name its degrees as well, so one
         * that is there already is no fault of the file. */
        clear = apply_degrees(&parts, source) || foreign;
        chord_fill(out, &parts, foreign ? parts_nearest_kind(&parts) : kind);
        parts_suffix(suffix, sizeof suffix, &parts);
    }
    chord_name(out, source->has_root ? &source->root : NULL,
               source->has_bass ? &source->bass : NULL, suffix);
    return clear && source->has_root;
}

void chord_transpose(struct chord *chord, int chromatic, int diatonic)
{
    char text[PITCH_TEXT_SIZE], suffix[CHORD_TEXT_SIZE];
    struct pitch root, bass;
    size_t length, cut;

    if (!chord->has_root)
        return;
    cut = strlen(pitch_class_text(text, chord->root));
    length = strlen(chord->symbol);
    snprintf(suffix, sizeof suffix, "%s",
             chord->symbol + (cut < length ? cut : length));
    if (chord->bass_pc != chord->root_pc) {
        cut = strlen(pitch_class_text(text, chord->bass)) + 1;
        length = strlen(suffix);
        suffix[length > cut ? length - cut : 0] = '\0';
    }
    root = pitch_transpose(chord->root, chromatic, diatonic);
    bass = pitch_transpose(chord->bass, chromatic, diatonic);
    chord_name(chord, &root, &bass, suffix);
}

bool chord_equal(const struct chord *a, const struct chord *b)
{
    return a->class == b->class && a->tones == b->tones &&
           a->has_root == b->has_root &&
           (!a->has_root || a->root_pc == b->root_pc);
}
