/* indexer/elements_note.c - note, backup and forward. */
#include <string.h>

#include "indexer/elements_internal.h"

void elements_start_note(struct elements *e, enum element element)
{
    memset(&e->note, 0, sizeof e->note);
    e->note.kind = element == EL_NOTE     ? RAW_NOTE
                   : element == EL_BACKUP ? RAW_BACKUP
                                          : RAW_FORWARD;
    e->note.note.duration = rational_make(0, 1);
    e->note.note.voice = 1; /* Absent means 1. */
    e->note.note.pitch.octave = 4;
    e->has_duration = e->has_step = false;
}

void elements_note_child(struct elements *e, enum element element,
                         const struct attributes *a)
{
    unsigned int *flags = &e->note.note.flags;
    const char *type;

    switch (element) {
    case EL_GRACE:
        *flags |= RAW_GRACE;
        break;
    case EL_CUE:
        *flags |= RAW_CUE;
        break;
    case EL_CHORD:
        *flags |= RAW_CHORD_MEMBER;
        break;
    case EL_REST:
        *flags |= RAW_REST;
        break;
    case EL_UNPITCHED:
        *flags |= RAW_UNPITCHED;
        break;
    case EL_PITCH:
        *flags |= RAW_PITCHED;
        break;
    case EL_TIE:
        type = a->get(a, "type");
        if (type && strcmp(type, "start") == 0)
            *flags |= RAW_TIE_START;
        break;
    default:
        break;
    }
}

/* Voices are numbers by custom, any text by the standard: the others rank
 * behind all numbers, in the order they come. */
static int voice_rank(struct elements *e, const char *text)
{
    struct rational number;
    int i = 0;

    if (*text == '\0')
        return 1;
    if (rational_parse_decimal(&number, text) && number.den == 1 &&
        number.num >= 0 && number.num < 1000000)
        return (int)number.num;
    while (i < e->voice_name_count && strcmp(e->voice_names[i], text) != 0)
        i++;
    if (i == e->voice_name_count && i < VOICE_NAMES_MAX)
        e->voice_names[e->voice_name_count++] = elements_keep(e, text);
    return 1000000 + i;
}

static void end_duration(struct elements *e, const char *text)
{
    struct rational value;

    if (!rational_parse_decimal(&value, text) || value.num < 0 ||
        value.num / value.den > INT32_MAX) {
        elements_warn(e, "duration", "\"%s\" is no duration; taken as 0",
                      text);
        value = rational_make(0, 1);
    }
    if (e->note.kind == RAW_NOTE)
        e->note.note.duration = value;
    else
        e->note.amount = value;
    e->has_duration = true;
}

void elements_end_note_child(struct elements *e, enum element element,
                             const char *text)
{
    struct pitch *pitch = &e->note.note.pitch;
    int number;

    switch (element) {
    case EL_STEP:
        e->has_step = elements_step(e, "step", text, &pitch->step);
        break;
    case EL_ALTER:
        elements_alter(e, "alter", text, &pitch->alter);
        break;
    case EL_OCTAVE:
        if (elements_number(e, "octave", text, PITCH_OCTAVE_MIN,
                            PITCH_OCTAVE_MAX, &number))
            pitch->octave = (int8_t)number;
        else
            e->has_step = false;
        break;
    case EL_DURATION:
        end_duration(e, text);
        break;
    case EL_VOICE:
        if (e->note.kind == RAW_NOTE)
            e->note.note.voice = voice_rank(e, text);
        break;
    case EL_STAFF:
        if (elements_number(e, "staff", text, 1, 1000, &number))
            e->note.staff = (int16_t)number;
        break;
    default:
        break;
    }
}

static void check_note(struct elements *e)
{
    unsigned int *flags = &e->note.note.flags;

    if ((*flags & RAW_PITCHED) && !e->has_step) {
        elements_warn(e, "pitch", "a note without a usable pitch is left "
                      "out of the line%s", "");
        *flags &= ~(unsigned int)RAW_PITCHED;
        *flags |= RAW_UNPITCHED;
    }
    if (!(*flags & (RAW_PITCHED | RAW_REST | RAW_UNPITCHED))) {
        elements_warn(e, "note", "a note that is neither pitched, unpitched "
                      "nor a rest is left out of the line%s", "");
        *flags |= RAW_UNPITCHED;
    }
    if (!e->has_duration && !(*flags & RAW_GRACE))
        elements_warn(e, "note", "a note without a duration is taken as "
                      "having none%s", "");
}

void elements_end_note(struct elements *e, enum element element)
{
    struct raw_part *part = elements_part(e);
    struct raw_event *event;
    enum raw_kind kind = e->note.kind;

    if (element == EL_NOTE)
        check_note(e);
    else if (!e->has_duration)
        return;
    event = elements_event(e, kind);
    if (!event)
        return;
    *event = e->note;
    if (kind == RAW_NOTE && (event->note.flags & RAW_PITCHED) &&
        !(event->note.flags & (RAW_GRACE | RAW_CUE)))
        part->has_melody = true;
}
