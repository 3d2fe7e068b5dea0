/* indexer/elements_attributes.c - keys, metres, transpositions. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/elements_internal.h"

/* Signatures beyond seven have double flats or sharps; the standard sets no
 * bound. */
enum { FIFTHS_MAX = 14 };

static int16_t staff_number(const struct attributes *a)
{
    const char *text = a->get(a, "number");
    long number = text ? strtol(text, NULL, 10) : 0;

    return (int16_t)(number > 0 && number <= 1000 ? number : 0);
}

void elements_start_attributes(struct elements *e, enum element element,
                               const struct attributes *a)
{
    switch (element) {
    case EL_KEY:
        e->has_fifths = false;
        e->mode = MODE_UNKNOWN;
        break;
    case EL_TIME:
        e->metre[0] = '\0';
        e->time_is_senza = false;
        break;
    case EL_SENZA_MISURA:
        e->time_is_senza = true;
        break;
    case EL_TRANSPOSE:
        e->chromatic = rational_make(0, 1);
        e->diatonic = e->octaves = 0;
        break;
    default:
        break;
    }
    if (element != EL_SENZA_MISURA)
        e->attribute_staff = staff_number(a);
}

static void end_divisions(struct elements *e, const char *text)
{
    struct rational value;
    struct raw_event *event;

    if (!rational_parse_decimal(&value, text) || value.num <= 0 ||
        value.num / value.den > INT32_MAX) {
        elements_warn(e, "divisions", "\"%s\" is no number of divisions; "
                      "the one before stays", text);
        return;
    }
    event = elements_event(e, RAW_DIVISIONS);
    if (event)
        event->amount = value;
}

static uint8_t mode_named(const char *text)
{
    if (strcasecmp(text, "major") == 0 || strcasecmp(text, "ionian") == 0)
        return MODE_MAJOR;
    if (strcasecmp(text, "minor") == 0 || strcasecmp(text, "aeolian") == 0)
        return MODE_MINOR;
    return *text == '\0' || strcasecmp(text, "none") == 0 ? MODE_UNKNOWN
                                                          : MODE_OTHER;
}

static void end_key(struct elements *e)
{
    struct raw_event *event = elements_event(e, RAW_KEY);

    if (!event)
        return;
    event->staff = e->attribute_staff;
    event->key.traditional = e->has_fifths;
    event->key.fifths = e->has_fifths ? e->fifths : 0;
    event->key.mode = e->mode;
}

/* "3+2/8"; several pairs of beats and beat-type are joined by '+'. */
static void add_metre(struct elements *e, const char *text, char before)
{
    size_t used = strlen(e->metre);

    if (used > 0)
        snprintf(e->metre + used, sizeof e->metre - used, "%c%s", before,
                 text);
    else
        snprintf(e->metre, sizeof e->metre, "%s", text);
}

static void end_time(struct elements *e)
{
    struct raw_event *event = elements_event(e, RAW_TIME);

    if (!event)
        return;
    event->staff = e->attribute_staff;
    event->metre = e->time_is_senza ? "" : elements_keep(e, e->metre);
}

static void end_chromatic(struct elements *e, const char *text)
{
    struct rational value;

    if (rational_parse_decimal(&value, text) && llabs(value.num) / value.den
        <= 127)
        e->chromatic = value;
    else
        elements_warn(e, "chromatic", "\"%s\" is no transposition; ignored",
                      text);
}

/* Files often leave out the diatonic steps: the usual interval then. */
static int usual_steps(struct rational chromatic)
{
    static const int steps[12] = { 0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6 };
    int semitones = (int)(chromatic.num / chromatic.den);
    int sign = semitones < 0 ? -1 : 1;

    semitones *= sign;
    return sign * (semitones / 12 * 7 + steps[semitones % 12]);
}

static void end_transpose(struct elements *e)
{
    struct raw_event *event = elements_event(e, RAW_TRANSPOSE);
    struct rational whole;

    if (!event)
        return;
    whole = rational_make(12 * e->octaves, 1);
    event->staff = e->attribute_staff;
    event->transpose.chromatic = rational_add(e->chromatic, whole);
    event->transpose.diatonic =
        (e->diatonic ? e->diatonic : usual_steps(e->chromatic)) +
        7 * e->octaves;
}

void elements_end_attributes(struct elements *e, enum element element,
                             enum element parent, const char *text)
{
    switch (element) {
    case EL_DIVISIONS:
        end_divisions(e, text);
        break;
    case EL_FIFTHS:
        e->has_fifths =
            elements_number(e, "fifths", text, -FIFTHS_MAX, FIFTHS_MAX,
                            &e->fifths);
        break;
    case EL_MODE:
        e->mode = mode_named(text);
        break;
    case EL_KEY:
        end_key(e);
        break;
    case EL_BEATS:
        if (parent == EL_TIME)
            add_metre(e, text, '+');
        break;
    case EL_BEAT_TYPE:
        if (parent == EL_TIME)
            add_metre(e, text, '/');
        break;
    case EL_TIME:
        end_time(e);
        break;
    case EL_CHROMATIC:
        end_chromatic(e, text);
        break;
    case EL_DIATONIC:
        if (*text)
            elements_number(e, "diatonic", text, -80, 80, &e->diatonic);
        break;
    case EL_OCTAVE_CHANGE:
        if (*text)
            elements_number(e, "octave-change", text, -10, 10, &e->octaves);
        break;
    case EL_TRANSPOSE:
        end_transpose(e);
        break;
    default:
        break;
    }
}
