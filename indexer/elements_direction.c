/* indexer/elements_direction.c - words, tempo, jumps and bar lines. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/elements_internal.h"

static void add_jump(struct elements *e, unsigned int jump)
{
    struct raw_event *event = elements_event(e, RAW_JUMP);

    if (event)
        event->jump = jump;
}

/* Quarters a minute; out-of-range tempos are left out with a warning. */
static void add_tempo(struct elements *e, struct rational tempo,
                      const char *element, const char *text)
{
    struct rational hundred = rational_mul(tempo, rational_make(100, 1));
    struct raw_event *event;

    if (hundred.lost || hundred.num <= 0 ||
        hundred.num / hundred.den > 10000 * 100) {
        elements_warn(e, element, "\"%s\" is no tempo; ignored", text);
        return;
    }
    event = elements_event(e, RAW_TEMPO);
    if (event)
        event->tempo = (int32_t)(hundred.num / hundred.den);
}

static bool says_yes(const char *value)
{
    return value && strcmp(value, "no") != 0;
}

static void start_sound(struct elements *e, const struct attributes *a)
{
    static const struct {
        const char *name;
        unsigned int jump;
    } jumps[] = {
        { "dacapo", JUMP_DA_CAPO }, { "dalsegno", JUMP_DAL_SEGNO },
        { "segno", JUMP_SEGNO },    { "tocoda", JUMP_TO_CODA },
        { "coda", JUMP_CODA },      { "fine", JUMP_FINE },
    };
    const char *tempo = a->get(a, "tempo");
    struct rational value;

    if (tempo && rational_parse_decimal(&value, tempo))
        add_tempo(e, value, "sound", tempo);
    else if (tempo)
        elements_warn(e, "sound", "\"%s\" is no tempo; ignored", tempo);
    for (size_t i = 0; i < sizeof jumps / sizeof *jumps; i++)
        if (says_yes(a->get(a, jumps[i].name)))
            add_jump(e, jumps[i].jump);
}

/* "1", "1,2", "1-3", "1. 2.": bit n-1 for ending n. */
static uint32_t ending_numbers(const char *text)
{
    uint32_t bits = 0;
    long last = 0;
    bool range = false;

    while (*text) {
        char *end;
        long number = strtol(text, &end, 10);

        if (end == text) {
            range = range || *text == '-';
            text++;
            continue;
        }
        if (number > RAW_ENDINGS_MAX || number < -RAW_ENDINGS_MAX)
            number = RAW_ENDINGS_MAX + 1;
        number = labs(number);
        for (long n = range && last ? last : number; n <= number; n++)
            if (n >= 1 && n <= RAW_ENDINGS_MAX)
                bits |= (uint32_t)1 << (n - 1);
        last = number;
        range = false;
        text = end;
        if (*text == '-') {
            range = true;
            text++;
        }
    }
    return bits;
}

static void start_barline(struct elements *e, const struct attributes *a)
{
    const char *location = a->get(a, "location");

    memset(&e->barline, 0, sizeof e->barline);
    e->barline.barline.times = 2;
    e->barline_left = location && strcmp(location, "left") == 0;
    if (says_yes(a->get(a, "segno")))
        add_jump(e, JUMP_SEGNO);
    if (says_yes(a->get(a, "coda")))
        add_jump(e, JUMP_CODA);
}

static void start_ending(struct elements *e, const struct attributes *a)
{
    const char *number = a->get(a, "number");
    const char *type;

    e->barline.barline.endings = number ? ending_numbers(number) : 0;
    type = a->get(a, "type");
    e->barline.barline.flags |= type && strcmp(type, "start") == 0
                                    ? BARLINE_ENDING_START
                                    : BARLINE_ENDING_STOP;
}

static void start_repeat(struct elements *e, const struct attributes *a)
{
    const char *value = a->get(a, "times");
    long times = value ? strtol(value, NULL, 10) : 2;

    if (times >= 2 && times <= 100)
        e->barline.barline.times = (int)times;
    value = a->get(a, "direction");
    e->barline.barline.flags |= value && strcmp(value, "forward") == 0
                                    ? BARLINE_REPEAT_START
                                    : BARLINE_REPEAT_END;
}

void elements_start_direction(struct elements *e, enum element element,
                              enum element parent, const struct attributes *a)
{
    const struct raw_part *part = elements_part(e);

    switch (element) {
    case EL_DIRECTION:
        e->direction_first = part ? part->event_count : 0;
        break;
    case EL_METRONOME:
        e->beat_unit = rational_make(0, 1);
        e->beat_unit_dots = 0;
        break;
    case EL_BEAT_UNIT_DOT:
        e->beat_unit_dots++;
        break;
    case EL_SOUND:
        start_sound(e, a);
        break;
    case EL_SEGNO:
        if (parent == EL_DIRECTION_TYPE || parent == EL_BARLINE)
            add_jump(e, JUMP_SEGNO);
        break;
    case EL_CODA:
        if (parent == EL_DIRECTION_TYPE || parent == EL_BARLINE)
            add_jump(e, JUMP_CODA);
        break;
    case EL_BARLINE:
        start_barline(e, a);
        break;
    case EL_ENDING:
        if (parent == EL_BARLINE)
            start_ending(e, a);
        break;
    case EL_REPEAT:
        if (parent == EL_BARLINE)
            start_repeat(e, a);
        break;
    default:
        break;
    }
}

/* Not every editor writes the sound element with its words. */
static void jump_from_words(struct elements *e, const char *text)
{
    static const struct {
        const char *words;
        unsigned int jump;
    } known[] = {
        { "d.c.", JUMP_DA_CAPO },     { "da capo", JUMP_DA_CAPO },
        { "d. c.", JUMP_DA_CAPO },    { "d.s.", JUMP_DAL_SEGNO },
        { "dal segno", JUMP_DAL_SEGNO }, { "d. s.", JUMP_DAL_SEGNO },
        { "to coda", JUMP_TO_CODA },
    };

    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        if (strncasecmp(text, known[i].words, strlen(known[i].words)) == 0) {
            add_jump(e, known[i].jump);
            return;
        }
    }
    if (strcasecmp(text, "fine") == 0)
        add_jump(e, JUMP_FINE);
}

static bool has_room_for(struct elements *e, const char *text)
{
    struct raw_score *score = e->score;
    size_t size = strlen(text);

    if (size <= SCORE_WORDS_MAX - score->words) {
        score->words += size;
        return true;
    }
    if (!score->words_cut)
        elements_warn(e, "words", "there are more than 1 MB of words; the "
                      "rest is left out%s", "");
    score->words_cut = true;
    return false;
}

static void add_words(struct elements *e, const char *text, bool rehearsal)
{
    struct raw_event *event;

    if (*text == '\0' || !has_room_for(e, text))
        return;
    event = elements_event(e, RAW_WORDS);
    if (!event)
        return;
    event->words.text = elements_keep(e, text);
    event->words.rehearsal = rehearsal;
    event->words.offset = rational_make(0, 1);
    if (!rehearsal)
        jump_from_words(e, text);
}

static struct rational unit_named(const char *text)
{
    static const struct {
        const char *name;
        int num, den;
    } units[] = {
        { "quarter", 1, 1 }, { "half", 2, 1 },   { "eighth", 1, 2 },
        { "whole", 4, 1 },   { "16th", 1, 4 },   { "breve", 8, 1 },
        { "32nd", 1, 8 },
    };

    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (strcmp(text, units[i].name) == 0)
            return rational_make(units[i].num, units[i].den);
    return rational_make(0, 1);
}

/* "120", "c. 132-140": the first number in the text. */
static void end_per_minute(struct elements *e, const char *text)
{
    const char *digits = text + strcspn(text, "0123456789");
    char number[16];
    struct rational value;
    int dots;
    size_t len = strspn(digits, "0123456789.");

    if (len == 0 || len >= sizeof number || e->beat_unit.num == 0)
        return;
    memcpy(number, digits, len);
    number[len] = '\0';
    if (!rational_parse_decimal(&value, number))
        return;
    /* Each dot adds half of what the one before added: 2 - 1/2^dots. */
    dots = e->beat_unit_dots < 4 ? e->beat_unit_dots : 4;
    value = rational_mul(value, e->beat_unit);
    value = rational_mul(value, rational_make((2 << dots) - 1, 1 << dots));
    add_tempo(e, value, "metronome", text);
}

static void end_bar_style(struct elements *e, const char *text)
{
    if (strcmp(text, "light-light") == 0 || strcmp(text, "heavy-heavy") == 0)
        e->barline.barline.flags |= BARLINE_DOUBLE;
    else if (strcmp(text, "light-heavy") == 0)
        e->barline.barline.flags |= BARLINE_FINAL;
}

static void end_barline(struct elements *e)
{
    struct raw_event *event;
    unsigned int flags = e->barline.barline.flags;

    /* A double line at the left of a bar belongs to the bar before. */
    if (e->barline_left)
        flags &= ~(unsigned int)(BARLINE_DOUBLE | BARLINE_FINAL);
    if (flags == 0)
        return;
    event = elements_event(e, RAW_BARLINE);
    if (!event)
        return;
    event->barline = e->barline.barline;
    event->barline.flags = flags;
}

/* An offset moves all the words of its direction. */
static void end_direction_offset(struct elements *e, const char *text)
{
    struct raw_part *part = elements_part(e);
    struct rational offset;

    if (!part || !rational_parse_decimal(&offset, text))
        return;
    for (size_t i = e->direction_first; i < part->event_count; i++)
        if (part->events[i].kind == RAW_WORDS)
            part->events[i].words.offset = offset;
}

void elements_end_direction(struct elements *e, enum element element,
                            enum element parent, const char *text)
{
    switch (element) {
    case EL_REHEARSAL:
        add_words(e, text, true);
        break;
    case EL_WORDS:
        add_words(e, text, false);
        break;
    case EL_OFFSET:
        if (parent == EL_DIRECTION)
            end_direction_offset(e, text);
        break;
    case EL_BEAT_UNIT:
        if (e->beat_unit.num == 0)
            e->beat_unit = unit_named(text);
        break;
    case EL_PER_MINUTE:
        end_per_minute(e, text);
        break;
    case EL_BAR_STYLE:
        end_bar_style(e, text);
        break;
    case EL_BARLINE:
        end_barline(e);
        break;
    default:
        break;
    }
}
