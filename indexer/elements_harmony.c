/* indexer/elements_harmony.c - chord symbols. */
#include <string.h>

#include "indexer/elements_internal.h"

enum { HARMONIES_IN_ONE =
           (int)(sizeof((struct elements *)0)->harmonies / sizeof(void *)) };

static void clear_chord(struct elements *e)
{
    memset(&e->harmony, 0, sizeof e->harmony);
    e->harmony.chord.kind_name = "";
    e->harmony.chord.root.octave = e->harmony.chord.bass.octave = 0;
    e->has_kind = e->has_harmony = false;
}

/* The chord read so far is complete: keep it. */
static void keep_chord(struct elements *e)
{
    struct raw_harmony *kept;

    if (!e->has_kind && !e->has_harmony)
        return;
    if (e->harmony_count == HARMONIES_IN_ONE) {
        elements_warn(e, "harmony", "too many chords in one element; the "
                      "rest is left out%s", "");
        clear_chord(e);
        return;
    }
    kept = solo_alloc(e->score->solo, sizeof *kept);
    if (!kept) {
        e->score->nomem = true;
        return;
    }
    *kept = e->harmony;
    e->harmonies[e->harmony_count++] = kept;
    clear_chord(e);
}

static void start_root(struct elements *e)
{
    /* The standard lets several chords follow each other in one element. */
    if (e->has_kind)
        keep_chord(e);
    e->has_harmony = true;
}

void elements_start_harmony(struct elements *e, enum element element,
                            const struct attributes *a)
{
    const char *text;

    switch (element) {
    case EL_HARMONY:
        clear_chord(e);
        e->harmony_count = 0;
        e->staff = 0;
        e->offset = rational_make(0, 1);
        break;
    case EL_ROOT:
    case EL_NUMERAL:
        start_root(e);
        break;
    case EL_KIND:
        text = a->get(a, "text");
        e->harmony.chord.kind_text = text ? elements_keep(e, text) : NULL;
        break;
    case EL_DEGREE:
        memset(&e->degree, 0, sizeof e->degree);
        break;
    default:
        break;
    }
}

/* "V", "ii", "bVII": a scale degree with its alteration. */
static bool read_function(struct raw_harmony *h, const char *text)
{
    static const char *const numerals[] = { "VII", "III", "IV", "VI",
                                            "II",  "V",   "I" };
    static const int values[] = { 7, 3, 4, 6, 2, 5, 1 };

    h->numeral_alter = 0;
    for (; *text == 'b' || *text == '#'; text++)
        h->numeral_alter += *text == '#' ? 1 : -1;
    for (size_t i = 0; i < 7; i++) {
        if (strncasecmp(text, numerals[i], strlen(numerals[i])) == 0) {
            h->numeral = values[i];
            return true;
        }
    }
    return false;
}

static void end_function(struct elements *e, const char *text)
{
    start_root(e);
    if (!read_function(&e->harmony, text))
        elements_warn(e, "function", "\"%s\" is no roman numeral; the chord "
                      "has no root", text);
}

static void end_degree_child(struct elements *e, enum element element,
                             const char *text)
{
    int number;

    if (element == EL_DEGREE_VALUE) {
        if (elements_number(e, "degree-value", text, 1, 13, &number))
            e->degree.value = number;
    } else if (element == EL_DEGREE_ALTER) {
        if (*text && elements_number(e, "degree-alter", text, -3, 3, &number))
            e->degree.alter = number;
    } else if (strcmp(text, "add") == 0) {
        e->degree.change = DEGREE_ADD;
    } else if (strcmp(text, "alter") == 0) {
        e->degree.change = DEGREE_ALTER;
    } else if (strcmp(text, "subtract") == 0) {
        e->degree.change = DEGREE_SUBTRACT;
    } else {
        elements_warn(e, "degree-type", "\"%s\" is not add, alter or "
                      "subtract; taken as add", text);
    }
}

static void end_degree(struct elements *e)
{
    struct chord_source *chord = &e->harmony.chord;

    if (e->degree.value == 0)
        return;
    if (chord->degree_count == CHORD_DEGREES_MAX) {
        elements_warn(e, "degree", "too many degrees in one chord; the rest "
                      "is left out%s", "");
        return;
    }
    chord->degrees[chord->degree_count++] = e->degree;
}

static void end_numeral_child(struct elements *e, enum element element,
                              const char *text)
{
    int number;

    if (element == EL_NUMERAL_ROOT) {
        if (elements_number(e, "numeral-root", text, 1, 7, &number))
            e->harmony.numeral = number;
    } else if (element == EL_NUMERAL_FIFTHS) {
        if (elements_number(e, "numeral-fifths", text, -7, 7, &number)) {
            e->harmony.numeral_fifths = number;
            e->harmony.numeral_has_key = true;
        }
    } else if (element == EL_NUMERAL_MODE) {
        e->harmony.numeral_mode =
            strstr(text, "minor") ? MODE_MINOR : MODE_MAJOR;
    } else if (*text &&
               elements_number(e, "numeral-alter", text, -2, 2, &number)) {
        e->harmony.numeral_alter = number;
    }
}

static void end_chord_child(struct elements *e, enum element element,
                            const char *text)
{
    struct chord_source *chord = &e->harmony.chord;
    int number;

    switch (element) {
    case EL_FUNCTION:
        end_function(e, text);
        break;
    case EL_KIND:
        chord->kind_name = elements_keep(e, text);
        e->has_kind = true;
        break;
    case EL_DEGREE:
        end_degree(e);
        break;
    case EL_OFFSET:
        if (!rational_parse_decimal(&e->offset, text))
            elements_warn(e, "offset", "\"%s\" is no offset; ignored", text);
        break;
    case EL_STAFF:
        if (elements_number(e, "staff", text, 1, 1000, &number))
            e->staff = (int16_t)number;
        break;
    default:
        break;
    }
}

void elements_end_harmony_child(struct elements *e, enum element element,
                                const char *text)
{
    struct chord_source *chord = &e->harmony.chord;

    switch (element) {
    case EL_ROOT_STEP:
        chord->has_root =
            elements_step(e, "root-step", text, &chord->root.step);
        break;
    case EL_ROOT_ALTER:
        elements_alter(e, "root-alter", text, &chord->root.alter);
        break;
    case EL_BASS_STEP:
        chord->has_bass =
            elements_step(e, "bass-step", text, &chord->bass.step);
        break;
    case EL_BASS_ALTER:
        elements_alter(e, "bass-alter", text, &chord->bass.alter);
        break;
    case EL_NUMERAL_ROOT:
    case EL_NUMERAL_ALTER:
    case EL_NUMERAL_FIFTHS:
    case EL_NUMERAL_MODE:
        end_numeral_child(e, element, text);
        break;
    case EL_DEGREE_VALUE:
    case EL_DEGREE_ALTER:
    case EL_DEGREE_TYPE:
        end_degree_child(e, element, text);
        break;
    default:
        end_chord_child(e, element, text);
        break;
    }
}

void elements_end_harmony(struct elements *e)
{
    struct raw_part *part = elements_part(e);

    keep_chord(e);
    for (int i = 0; i < e->harmony_count; i++) {
        struct raw_event *event = elements_event(e, RAW_HARMONY);

        if (!event)
            return;
        event->staff = e->staff;
        event->harmony = e->harmonies[i];
        event->harmony->offset = e->offset;
        part->has_harmony = true;
    }
}
