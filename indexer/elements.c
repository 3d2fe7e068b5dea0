/* indexer/elements.c - the state machine behind the XML reader. */
#include "indexer/elements.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/elements_internal.h"
#include "schema/grow.h"

/* Sorted by name, in the order of enum element, for a binary search. */
static const struct {
    const char *name;
    bool has_text;
} table[ELEMENTS] = {
    { "", false },
    { "alter", true },
    { "backup", false },
    { "bar-style", true },
    { "barline", false },
    { "bass", false },
    { "bass-alter", true },
    { "bass-step", true },
    { "beat-type", true },
    { "beat-unit", true },
    { "beat-unit-dot", false },
    { "beats", true },
    { "chord", false },
    { "chromatic", true },
    { "coda", false },
    { "creator", true },
    { "credit", false },
    { "credit-type", true },
    { "credit-words", true },
    { "cue", false },
    { "degree", false },
    { "degree-alter", true },
    { "degree-type", true },
    { "degree-value", true },
    { "diatonic", true },
    { "direction", false },
    { "direction-type", false },
    { "divisions", true },
    { "duration", true },
    { "ending", false },
    { "fifths", true },
    { "forward", false },
    { "function", true },
    { "grace", false },
    { "harmony", false },
    { "instrument-name", true },
    { "key", false },
    { "kind", true },
    { "measure", false },
    { "metronome", false },
    { "mode", true },
    { "movement-title", true },
    { "note", false },
    { "numeral", false },
    { "numeral-alter", true },
    { "numeral-fifths", true },
    { "numeral-mode", true },
    { "numeral-root", true },
    { "octave", true },
    { "octave-change", true },
    { "offset", true },
    { "part", false },
    { "part-name", true },
    { "per-minute", true },
    { "pitch", false },
    { "rehearsal", true },
    { "repeat", false },
    { "rest", false },
    { "root", false },
    { "root-alter", true },
    { "root-step", true },
    { "score-part", false },
    { "score-partwise", false },
    { "score-timewise", false },
    { "segno", false },
    { "senza-misura", false },
    { "sound", false },
    { "staff", true },
    { "step", true },
    { "tie", false },
    { "time", false },
    { "transpose", false },
    { "unpitched", false },
    { "voice", true },
    { "words", true },
    { "work", false },
    { "work-title", true },
};

enum element element_named(const char *name)
{
    int low = 1, high = ELEMENTS - 1;

    while (low <= high) {
        int middle = (low + high) / 2;
        int order = strcmp(name, table[middle].name);

        if (order == 0)
            return (enum element)middle;
        if (order < 0)
            high = middle - 1;
        else
            low = middle + 1;
    }
    return EL_OTHER;
}

bool element_has_text(enum element element)
{
    return table[element].has_text;
}

struct elements *elements_new(struct raw_score *score)
{
    struct elements *e = calloc(1, sizeof *e);

    if (e)
        e->score = score;
    return e;
}

void elements_free(struct elements *e)
{
    free(e);
}

/* --- helpers shared with elements_*.c --------------------------------- */

const char *elements_keep(struct elements *e, const char *text)
{
    const char *copy = solo_copy(e->score->solo, text, strlen(text));

    if (!copy)
        e->score->nomem = true;
    return copy ? copy : "";
}

const char *elements_bar_number(const struct elements *e)
{
    const struct raw_part *part = elements_part(e);

    return part && part->bar_count > 0
               ? part->bars[part->bar_count - 1].number
               : "";
}

void elements_warn(struct elements *e, const char *element,
                   const char *message, const char *text)
{
    const struct raw_part *part = elements_part(e);
    char safe[80];

    score_warn(e->score, part ? part->id : "", elements_bar_number(e), element,
               message, text_make_safe(safe, sizeof safe, text));
}

bool elements_number(struct elements *e, const char *element,
                     const char *text, long low, long high, int *out)
{
    struct rational value;

    /* Whole numbers are sometimes written as "2.0". */
    if (rational_parse_decimal(&value, text) && value.den == 1 &&
        value.num >= low && value.num <= high) {
        *out = (int)value.num;
        return true;
    }
    elements_warn(e, element, "\"%s\" is no number that fits here; ignored",
                  text);
    return false;
}

bool elements_step(struct elements *e, const char *element, const char *text,
                   int8_t *step)
{
    static const char steps[] = "CDEFGAB";
    const char *at = text[0] && !text[1] ? strchr(steps, text[0]) : NULL;

    if (at) {
        *step = (int8_t)(at - steps);
        return true;
    }
    elements_warn(e, element, "\"%s\" is no note letter; ignored", text);
    return false;
}

/* SEMITONES in cents, cut to whole ones; false where they are too many. */
static bool alter_cents(struct rational semitones, int16_t *cents)
{
    struct rational limit, exact;

    if (semitones.den == 1 && semitones.num >= -2 && semitones.num <= 2) {
        *cents = (int16_t)(semitones.num * 100);
        return true;
    }
    limit = rational_make(PITCH_ALTER_MAX, 1);
    exact = rational_mul(semitones, rational_make(100, 1));
    if (exact.lost || rational_compare(exact, limit) > 0 ||
        rational_compare(rational_sub(rational_make(0, 1), exact), limit) > 0)
        return false;
    *cents = (int16_t)(exact.num / exact.den);
    return true;
}

bool elements_alter(struct elements *e, const char *element,
                    const char *text, int16_t *alter)
{
    struct rational value;

    if (*text == '\0') {
        *alter = 0; /* An empty alter is no alteration. */
        return true;
    }
    if (rational_parse_decimal(&value, text) && alter_cents(value, alter))
        return true;
    elements_warn(e, element, "\"%s\" is no alteration; ignored", text);
    return false;
}

void *elements_grow(struct elements *e, void *array, size_t count,
                    size_t *room, size_t item)
{
    void *grown = grow_room(array, count, room, item);

    if (!grown)
        e->score->nomem = true;
    return grown;
}

struct raw_part *elements_part(const struct elements *e)
{
    return e->has_part ? &e->score->parts[e->part] : NULL;
}

/* One more event or bar, unless there are too many. */
static bool count_event(struct elements *e)
{
    struct raw_score *score = e->score;

    if (score->events < SCORE_EVENTS_MAX) {
        score->events++;
        return true;
    }
    score->excess = "the file has more than 2000000 bars, notes, chords and "
                    "other signs, and is no score that can be read";
    return false;
}

_Static_assert(SCORE_EVENTS_MAX == 2000000, "said in words");

struct raw_event *elements_event(struct elements *e, enum raw_kind kind)
{
    struct raw_part *part = elements_part(e);
    struct raw_event *grown;

    if (!part || part->bar_count == 0 || !count_event(e))
        return NULL;
    grown = elements_grow(e, part->events, part->event_count,
                          &part->event_room, sizeof *grown);
    if (!grown)
        return NULL;
    part->events = grown;
    grown += part->event_count++;
    memset(grown, 0, sizeof *grown);
    grown->kind = kind;
    part->bars[part->bar_count - 1].count++;
    return grown;
}

_Static_assert(SCORE_BARS_MAX == 20000, "said in words");

/* --- parts and bars --------------------------------------------------- */

/* Part IDs are few; a linear search from the last one used is enough. */
static void select_part(struct elements *e, const char *id)
{
    struct raw_score *score = e->score;
    struct raw_part *grown;

    for (size_t i = 0; i < score->part_count; i++) {
        if (strcmp(score->parts[i].id, id) == 0) {
            e->part = i;
            e->has_part = true;
            return;
        }
    }
    e->has_part = false;
    if (score->part_count == PARTS_MAX) {
        score_warn(score, "", "", "part", "more than %d parts; the rest is "
                   "left out", PARTS_MAX);
        return;
    }
    grown = elements_grow(e, score->parts, score->part_count, &e->part_room,
                          sizeof *grown);
    if (!grown)
        return;
    score->parts = grown;
    e->part = score->part_count++;
    e->has_part = true;
    memset(&grown[e->part], 0, sizeof *grown);
    grown[e->part].id = elements_keep(e, id);
    grown[e->part].name = grown[e->part].instrument = "";
}

static void start_bar(struct elements *e)
{
    struct raw_part *part = elements_part(e);
    struct raw_bar *grown;

    if (!part || !count_event(e))
        return;
    if (part->bar_count == SCORE_BARS_MAX) {
        e->score->excess = "a part has more than 20000 bars, and is no score "
                           "that can be read";
        return;
    }
    grown = elements_grow(e, part->bars, part->bar_count, &part->bar_room,
                          sizeof *grown);
    if (!grown)
        return;
    part->bars = grown;
    grown += part->bar_count++;
    grown->number = e->bar_number ? e->bar_number : "";
    grown->implicit = e->bar_implicit;
    grown->first = part->event_count;
    grown->count = 0;
}

static void start_measure(struct elements *e, enum element parent,
                          const struct attributes *a)
{
    const char *number = a->get(a, "number");
    const char *implicit;

    e->bar_number = elements_keep(e, number ? number : "");
    implicit = a->get(a, "implicit");
    e->bar_implicit = implicit && strcmp(implicit, "yes") == 0;
    if (parent == EL_PART)
        start_bar(e);
}

static void start_part(struct elements *e, enum element parent,
                       const struct attributes *a)
{
    const char *id = a->get(a, "id");

    if (parent != EL_SCORE_PARTWISE && parent != EL_MEASURE)
        return;
    select_part(e, id ? id : "");
    if (parent == EL_MEASURE)
        start_bar(e);
}

/* --- header ----------------------------------------------------------- */

/* Titles and names may be broken over lines: runs of blanks become one. */
static void fold_blanks(char *out, size_t size, const char *text)
{
    size_t n = 0;

    for (; *text && n + 1 < size; text++) {
        bool blank = strchr(" \t\r\n", *text) != NULL;

        if (!blank)
            out[n++] = *text;
        else if (n > 0 && out[n - 1] != ' ')
            out[n++] = ' ';
    }
    out[n] = '\0';
}

static void end_header(struct elements *e, enum element element,
                       enum element parent, const char *raw)
{
    struct solo *solo = e->score->solo;
    struct raw_part *part = elements_part(e);
    char text[HEADER_TEXT_SIZE];

    if (*raw == '\0')
        return;
    fold_blanks(text, sizeof text, raw);
    if (element == EL_WORK_TITLE && parent == EL_WORK)
        solo->work_title = elements_keep(e, text);
    else if (element == EL_MOVEMENT_TITLE)
        solo->movement_title = elements_keep(e, text);
    else if (element == EL_CREDIT_TYPE)
        snprintf(e->credit_type, sizeof e->credit_type, "%.*s",
                 TYPE_SIZE - 1, text);
    else if (element == EL_CREDIT_WORDS)
        elements_creator(e, e->credit_type, text, true);
    else if (element == EL_CREATOR)
        elements_creator(e, e->creator_type, text, false);
    else if (element == EL_PART_NAME && parent == EL_SCORE_PART && part)
        part->name = elements_keep(e, text);
    else if (element == EL_INSTRUMENT_NAME && part && !*part->instrument)
        part->instrument = elements_keep(e, text);
}

static void start_header(struct elements *e, enum element element,
                         const struct attributes *a)
{
    const char *value;

    if (element == EL_SCORE_PART) {
        value = a->get(a, "id");
        select_part(e, value ? value : "");
    } else if (element == EL_CREATOR) {
        value = a->get(a, "type");
        snprintf(e->creator_type, sizeof e->creator_type, "%s",
                 value ? value : "");
    } else if (element == EL_CREDIT) {
        e->credit_type[0] = '\0';
    }
}

/* --- dispatch --------------------------------------------------------- */

void elements_start(struct elements *e, enum element element,
                    enum element parent, const struct attributes *a)
{
    switch (element) {
    case EL_SCORE_PART:
    case EL_CREATOR:
    case EL_CREDIT:
        start_header(e, element, a);
        break;
    case EL_PART:
        start_part(e, parent, a);
        break;
    case EL_MEASURE:
        start_measure(e, parent, a);
        break;
    case EL_NOTE:
    case EL_BACKUP:
    case EL_FORWARD:
        elements_start_note(e, element);
        break;
    case EL_GRACE:
    case EL_CUE:
    case EL_CHORD:
    case EL_REST:
    case EL_UNPITCHED:
    case EL_PITCH:
    case EL_TIE:
        if (parent == EL_NOTE)
            elements_note_child(e, element, a);
        break;
    case EL_HARMONY:
    case EL_ROOT:
    case EL_BASS:
    case EL_NUMERAL:
    case EL_DEGREE:
    case EL_KIND:
    case EL_NUMERAL_ROOT:
        elements_start_harmony(e, element, a);
        break;
    case EL_KEY:
    case EL_TIME:
    case EL_SENZA_MISURA:
    case EL_TRANSPOSE:
        elements_start_attributes(e, element, a);
        break;
    case EL_DIRECTION:
    case EL_METRONOME:
    case EL_BEAT_UNIT_DOT:
    case EL_SOUND:
    case EL_SEGNO:
    case EL_CODA:
    case EL_BARLINE:
    case EL_ENDING:
    case EL_REPEAT:
        elements_start_direction(e, element, parent, a);
        break;
    default:
        break;
    }
}

void elements_end(struct elements *e, enum element element,
                  enum element parent, const char *text)
{
    switch (parent) {
    case EL_NOTE:
    case EL_PITCH:
    case EL_BACKUP:
    case EL_FORWARD:
        elements_end_note_child(e, element, text);
        return;
    case EL_HARMONY:
    case EL_ROOT:
    case EL_BASS:
    case EL_NUMERAL:
    case EL_DEGREE:
        elements_end_harmony_child(e, element, text);
        return;
    default:
        break;
    }
    switch (element) {
    case EL_NOTE:
    case EL_BACKUP:
    case EL_FORWARD:
        elements_end_note(e, element);
        break;
    case EL_HARMONY:
        elements_end_harmony(e);
        break;
    case EL_SCORE_PART:
        e->has_part = false;
        break;
    case EL_NUMERAL_FIFTHS:
    case EL_NUMERAL_MODE:
        elements_end_harmony_child(e, element, text);
        break;
    case EL_DIVISIONS:
    case EL_FIFTHS:
    case EL_MODE:
    case EL_KEY:
    case EL_BEATS:
    case EL_BEAT_TYPE:
    case EL_TIME:
    case EL_CHROMATIC:
    case EL_DIATONIC:
    case EL_OCTAVE_CHANGE:
    case EL_TRANSPOSE:
        elements_end_attributes(e, element, parent, text);
        break;
    case EL_REHEARSAL:
    case EL_WORDS:
    case EL_OFFSET:
    case EL_DIRECTION:
    case EL_BEAT_UNIT:
    case EL_PER_MINUTE:
    case EL_METRONOME:
    case EL_BAR_STYLE:
    case EL_BARLINE:
        elements_end_direction(e, element, parent, text);
        break;
    default:
        end_header(e, element, parent, text);
        break;
    }
}
