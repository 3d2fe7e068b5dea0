/* schema/chord_kind.c - the standard kind and degrees that say a chord. */
#include "schema/chord.h"
#include "schema/chord_parts.h"

/* Degrees under construction. */
struct degree_list {
    struct chord_degree *items;
    int count; /* beyond CHORD_DEGREES_MAX they are counted, not kept */
};

static void append(struct degree_list *list, enum degree_change change,
                   int value, int alter)
{
    if (list->count < CHORD_DEGREES_MAX)
        list->items[list->count] =
            (struct chord_degree){ change, value, alter };
    list->count++;
}

/* Add the note SEMITONES to a chord that shall have TONES.  An added degree
 * counts from a dominant scale, so a plain 7 is the minor seventh.  With
 * SHARP_NINE the minor third is spelled so. */
static void append_added(struct degree_list *list, int semitones,
                         uint16_t tones, bool sharp_nine)
{
    static const struct {
        int8_t value, alter;
    } names[12] = { { 1, 0 },   { 9, -1 }, { 9, 0 },  { 3, -1 },
                    { 3, 0 },   { 11, 0 }, { 11, 1 }, { 5, 0 },
                    { 13, -1 }, { 13, 0 }, { 7, 0 },  { 7, 1 } };
    bool seventh = (tones & (1U << 10 | 1U << 11)) != 0;

    if (semitones == 3 && sharp_nine)
        append(list, DEGREE_ADD, 9, 1);
    else if (semitones == 9 && !seventh)
        append(list, DEGREE_ADD, 6, 0);
    else
        append(list, DEGREE_ADD, names[semitones].value,
               names[semitones].alter);
}

/* The number by which KIND has the degree at PLACE. */
static int value_in_kind(int kind, int place)
{
    bool plain = kind == KIND_SUSPENDED_SECOND ||
                 kind == KIND_SUSPENDED_FOURTH || kind == KIND_MAJOR_SIXTH ||
                 kind == KIND_MINOR_SIXTH;

    return plain || place % 2 == 1 ? place : place + 7;
}

/* Say the fifth of BASE, which TONES lack: altered, or left out.  Returns
 * the notes that are said by it. */
static uint16_t append_fifth(struct degree_list *list, uint16_t base,
                             uint16_t tones)
{
    unsigned altered = tones & ~(unsigned)base & (1U << 6 | 1U << 8);

    if ((base & 1U << 7) && altered && altered != (1U << 6 | 1U << 8)) {
        append(list, DEGREE_ALTER, 5, altered & 1U << 6 ? -1 : 1);
        return (uint16_t)altered;
    }
    append(list, DEGREE_SUBTRACT, 5, 0);
    return 0;
}

/* What makes TONES of KIND. */
static void say_changes(struct degree_list *list, int kind, uint16_t tones,
                        bool sharp_nine)
{
    struct chord_parts parts = kind_parts(kind);
    uint16_t base = parts_tones(&parts), said = base;

    for (int place = 2; place <= 7; place++) {
        struct chord_parts one = { { 0 }, false };
        uint16_t bits;

        one.place[place] = parts.place[place];
        bits = parts_tones(&one);
        if (!bits || (tones & bits))
            continue;
        if (place == 5)
            said |= append_fifth(list, base, tones);
        else
            append(list, DEGREE_SUBTRACT, value_in_kind(kind, place), 0);
    }
    for (int s = 1; s < 12; s++)
        if (tones & ~(unsigned)said & 1U << s)
            append_added(list, s, tones, sharp_nine);
}

/* Whether LIST, applied to KIND, gives just TONES and CLASS. */
static bool gives(const struct degree_list *list, int kind, uint16_t tones,
                  enum chord_class class)
{
    struct chord_parts base = kind_parts(kind), parts = base;

    if (list->count > CHORD_DEGREES_MAX)
        return false;
    for (int i = 0; i < list->count; i++)
        if (!parts_apply(&parts, &base, list->items[i]))
            return false;
    parts_settle(&parts);
    return parts_tones(&parts) == tones && parts_class(&parts) == class;
}

/* The functional sixths and the like are never guessed. */
static bool is_common(int kind)
{
    return kind < KIND_NEAPOLITAN || kind == KIND_POWER;
}

/* The kind that needs the fewest degrees; WISH is preferred among equals. */
static int nearest(struct chord_degree *degrees, int *count, uint16_t tones,
                   enum chord_class class, int wish)
{
    int best = KIND_OTHER;

    *count = CHORD_DEGREES_MAX + 1;
    /* Every kind twice, with the minor third as b3 and as #9, until one needs
     * none. */
    for (int i = -2; i < 2 * KIND_STANDARD_COUNT && *count > 0; i++) {
        struct chord_degree tried[CHORD_DEGREES_MAX];
        struct degree_list list = { tried, 0 };
        int kind = i < 0 ? wish : i / 2;

        if (i >= 0 ? !is_common(kind) : kind >= KIND_OTHER)
            continue;
        say_changes(&list, kind, tones, i % 2 != 0);
        if (list.count >= *count || !gives(&list, kind, tones, class))
            continue;
        best = kind;
        *count = list.count;
        for (int k = 0; k < list.count; k++)
            degrees[k] = tried[k];
    }
    return best;
}

int chord_nearest_kind(const struct chord *chord,
                       struct chord_degree degrees[CHORD_DEGREES_MAX],
                       int *count)
{
    struct degree_list list = { degrees, 0 };
    int kind = KIND_OTHER;

    *count = 0;
    if (chord->class == CHORD_NONE)
        return KIND_NONE;
    if (chord->class != CHORD_OTHER)
        kind = nearest(degrees, count, chord->tones,
                       (enum chord_class)chord->class, chord->kind);
    if (kind != KIND_OTHER)
        return kind;
    for (int s = 1; s < 12; s++)
        if (chord->tones & 1U << s)
            append_added(&list, s, chord->tones, chord->tones & 1U << 4);
    *count = list.count < CHORD_DEGREES_MAX ? list.count : CHORD_DEGREES_MAX;
    return chord->kind == KIND_PEDAL ? KIND_PEDAL : KIND_OTHER;
}

int parts_nearest_kind(const struct chord_parts *parts)
{
    struct chord_degree degrees[CHORD_DEGREES_MAX];
    int count;

    return nearest(degrees, &count, parts_tones(parts), parts_class(parts),
                   KIND_FOREIGN);
}
