/* schema/chord_parts.c - spelled degrees: their rules, class and suffix. */
#include "schema/chord_parts.h"

#include <stdio.h>
#include <string.h>

enum {
    BIT_TRITONE = 1 << 6,
    BIT_FIFTH = 1 << 7,
    BIT_RAISED_FIFTH = 1 << 8
};

static int place_of(int degree)
{
    return pitch_modulo(degree - 1, 7) + 1;
}

bool parts_have(const struct chord_parts *parts, int degree, int alter)
{
    return (parts->place[place_of(degree)] & PARTS_BIT(alter)) != 0;
}

static bool have_third(const struct chord_parts *parts)
{
    return parts->place[3] != 0;
}

bool parts_put(struct chord_parts *parts, int degree, int alter)
{
    static const struct {
        int8_t low, high;
    } range[8] = { { 0, 0 }, { 0, 0 },  { -1, 1 }, { -1, 0 },
                   { 0, 1 }, { -1, 1 }, { -1, 0 }, { -2, 0 } };
    int place = place_of(degree);

    if (place == 3 && alter == 1)
        place = 4, alter = 0;
    if (place == 3 && alter == -2)
        place = 2, alter = 0;
    if (alter < range[place].low || alter > range[place].high)
        return false;
    parts->place[place] |= PARTS_BIT(alter);
    return true;
}

void parts_drop(struct chord_parts *parts, int degree, int alter)
{
    uint8_t *place = &parts->place[place_of(degree)];

    *place = (uint8_t)(*place & ~PARTS_BIT(alter));
}

/* The lowest alteration in PLACE, which is not empty. */
static int lowest(uint8_t place)
{
    int alter = -3;

    while (!(place & PARTS_BIT(alter)))
        alter++;
    return alter;
}

/* An added degree counts from a dominant scale (MusicXML 4.0, degree-alter:
 * "major and perfect intervals except for a minor seventh"). */
static bool apply_add(struct chord_parts *parts, struct chord_degree d)
{
    return parts_put(parts, d.value,
                     place_of(d.value) == 7 ? d.alter - 1 : d.alter);
}

static bool apply_alter(struct chord_parts *parts,
                        const struct chord_parts *base, struct chord_degree d)
{
    uint8_t was = base->place[place_of(d.value)];
    struct chord_parts before = *parts;

    if (!was)
        return apply_add(parts, d);
    parts_drop(parts, d.value, lowest(was));
    if (parts_put(parts, d.value, lowest(was) + d.alter))
        return true;
    *parts = before;
    return false;
}

static bool apply_subtract(struct chord_parts *parts,
                           const struct chord_parts *base,
                           struct chord_degree d)
{
    int place = place_of(d.value);
    uint8_t was = base->place[place];

    if (place == 1 || !parts->place[place])
        return false;
    if (was && d.alter >= -3 - lowest(was) && d.alter <= 3 - lowest(was) &&
        parts_have(parts, place, lowest(was) + d.alter))
        parts_drop(parts, place, lowest(was) + d.alter);
    else
        parts->place[place] = 0;
    return true;
}

bool parts_apply(struct chord_parts *parts, const struct chord_parts *base,
                 struct chord_degree degree)
{
    if (degree.value < 1 || degree.value > 13 || degree.alter < -3 ||
        degree.alter > 3)
        return false;
    switch (degree.change) {
    case DEGREE_ADD:
        return apply_add(parts, degree);
    case DEGREE_ALTER:
        return apply_alter(parts, base, degree);
    case DEGREE_SUBTRACT:
        return apply_subtract(parts, base, degree);
    }
    return false;
}

/* A note that is there twice under one name is a tension the second time:
 * b3 beside 3 is #9, b5 beside 5 is #11, #5 beside 5 is b13. */
static void move_doubles(struct chord_parts *p)
{
    static const struct {
        int8_t degree, plain, extra, to, to_alter;
    } moves[] = { { 3, 0, -1, 2, 1 }, { 5, 0, -1, 4, 1 }, { 5, 0, 1, 6, -1 } };

    for (size_t i = 0; i < sizeof moves / sizeof *moves; i++)
        if (parts_have(p, moves[i].degree, moves[i].plain) &&
            parts_have(p, moves[i].degree, moves[i].extra)) {
            parts_drop(p, moves[i].degree, moves[i].extra);
            parts_put(p, moves[i].to, moves[i].to_alter);
        }
}

void parts_settle(struct chord_parts *p)
{
    bool dim;

    move_doubles(p);
    if (parts_have(p, 3, -1) && parts_have(p, 5, -1) && parts_have(p, 5, 1)) {
        parts_drop(p, 5, 1);
        parts_put(p, 6, -1);
    }
    dim = parts_have(p, 3, -1) && p->place[5] == PARTS_BIT(-1);
    /* The sixth of m6(b5) and the seventh of dim7 are one note.  Over any
     * other chord a twice lowered seventh is a sixth. */
    if (dim && parts_have(p, 6, 0) && !p->place[7]) {
        parts_drop(p, 6, 0);
        parts_put(p, 7, -2);
    } else if (parts_have(p, 7, -2) &&
               (!dim || parts_have(p, 7, -1) ||
                (parts_have(p, 7, 0) && !p->diminished))) {
        parts_drop(p, 7, -2);
        parts_put(p, 6, 0);
    }
    p->diminished = p->diminished && dim;
}

uint16_t parts_tones(const struct chord_parts *parts)
{
    unsigned tones = 0;

    for (int degree = 1; degree <= 7; degree++)
        for (int alter = -3; parts->place[degree] && alter <= 3; alter++)
            if (parts_have(parts, degree, alter))
                tones |= 1U << pitch_modulo(
                             pitch_step_semitones(degree - 1) + alter, 12);
    return (uint16_t)tones;
}

/* The third is missing and a plain fourth or second stands for it. */
static bool third_replaced(const struct chord_parts *p)
{
    return !have_third(p) && (parts_have(p, 4, 0) || parts_have(p, 2, 0));
}

static enum chord_class class_with_minor_seventh(const struct chord_parts *p)
{
    if (!parts_have(p, 3, -1))
        return CHORD_DOMINANT;
    if (parts_have(p, 5, -1))
        return CHORD_HALF_DIMINISHED;
    return CHORD_MINOR;
}

static enum chord_class class_of_minor(const struct chord_parts *p)
{
    bool low = parts_have(p, 5, -1), seventh = parts_have(p, 7, 0);

    if (low && (p->diminished || !seventh))
        return CHORD_DIMINISHED;
    if (low)
        return CHORD_HALF_DIMINISHED;
    return seventh ? CHORD_MINOR_MAJOR : CHORD_MINOR;
}

enum chord_class parts_class(const struct chord_parts *p)
{
    if (!parts_have(p, 1, 0))
        return CHORD_NONE;
    if (parts_have(p, 7, -1))
        return class_with_minor_seventh(p);
    if (parts_have(p, 3, -1))
        return class_of_minor(p);
    if (parts_have(p, 3, 0))
        return parts_have(p, 5, 1) ? CHORD_AUGMENTED : CHORD_MAJOR;
    if (third_replaced(p))
        return CHORD_SUSPENDED;
    return parts_have(p, 7, 0) ? CHORD_MAJOR : CHORD_POWER;
}

bool parts_sus(const struct chord_parts *p)
{
    return parts_class(p) == CHORD_DOMINANT && third_replaced(p);
}

bool parts_altered(const struct chord_parts *p)
{
    return parts_class(p) == CHORD_DOMINANT &&
           (parts_have(p, 2, -1) || parts_have(p, 2, 1) ||
            parts_have(p, 4, 1) || parts_have(p, 5, -1) ||
            parts_have(p, 5, 1) || parts_have(p, 6, -1));
}

bool chord_fifth_is_low(uint16_t tones, enum chord_class class)
{
    if (!(tones & BIT_TRITONE) || (tones & BIT_FIFTH))
        return false;
    return !(tones & BIT_RAISED_FIFTH) || class == CHORD_DIMINISHED ||
           class == CHORD_HALF_DIMINISHED;
}

bool chord_fifth_is_high(uint16_t tones)
{
    return (tones & (BIT_TRITONE | BIT_FIFTH | BIT_RAISED_FIFTH)) ==
           BIT_RAISED_FIFTH;
}

/* The third of a chord of CLASS, or what stands for it. */
static unsigned third_bit(unsigned tones, enum chord_class class)
{
    if (tones & 1U << 4)
        return 1U << 4;
    if (class == CHORD_DOMINANT || class == CHORD_SUSPENDED)
        return tones & 1U << 5 ? 1U << 5 : 1U << 2;
    return 1U << 3;
}

uint16_t chord_tensions(uint16_t tones, enum chord_class class)
{
    unsigned plain = 1U | BIT_FIFTH | 1U << 10 | 1U << 11;

    plain |= third_bit(tones, class);
    if (chord_fifth_is_low(tones, class))
        plain |= BIT_TRITONE;
    if (chord_fifth_is_high(tones))
        plain |= BIT_RAISED_FIFTH;
    if (!(tones & (1U << 10 | 1U << 11)) || class == CHORD_DIMINISHED)
        plain |= 1U << 9;
    return (uint16_t)(tones & ~plain);
}

/* A suffix under construction. */
struct suffix_text {
    char *out;
    size_t size, used;
};

static void put(struct suffix_text *s, const char *text)
{
    size_t length = strlen(text);

    if (s->used + length >= s->size)
        length = s->size - 1 - s->used;
    memcpy(s->out + s->used, text, length);
    s->used += length;
    s->out[s->used] = '\0';
}

/* How far the thirds are stacked: 7, 9, 11 or 13.  A place counts when it
 * is filled at all, since a written alteration replaces the plain degree. */
static int extension(const struct chord_parts *p)
{
    bool sus = third_replaced(p);

    /* Over dim7 nothing is stacked, nor where the third is left out; and the
     * plain second of a sus2 is no ninth. */
    if (parts_have(p, 7, -2) || (!have_third(p) && !parts_have(p, 4, 0)))
        return 7;
    if (p->place[2] && p->place[4] && parts_have(p, 6, 0))
        return 13;
    if (!sus && p->place[2] && parts_have(p, 4, 0))
        return 11;
    return parts_have(p, 2, 0) ? 9 : 7;
}

/* Write quality and number.  Returns the stack it stands for: 0 a triad, 6, 7,
 * 9, 11 or 13; *NINE is set where it says 9 beside a sixth. */
static int put_base(struct suffix_text *s, const struct chord_parts *p,
                    bool *nine)
{
    bool low7 = parts_have(p, 7, -1), high7 = parts_have(p, 7, 0);
    bool minor = parts_have(p, 3, -1), dim = p->place[5] == PARTS_BIT(-1);
    char text[16];

    *nine = false;
    if (parts_class(p) == CHORD_DIMINISHED) {
        bool seventh = parts_have(p, 7, -2);
        put(s, seventh ? "dim7" : "dim");
        if (high7)
            put(s, "(maj7)");
        return seventh || high7 ? 7 : 0;
    }
    if (low7 || high7) {
        snprintf(text, sizeof text,
                 low7    ? "%s%d"
                 : minor ? "%s(maj%d)"
                         : "%smaj%d",
                 minor ? "m" : "", extension(p));
        put(s, text);
        return extension(p);
    }
    if (minor)
        put(s, "m");
    if (parts_have(p, 6, 0) && (have_third(p) || third_replaced(p)) &&
        !(parts_have(p, 5, 1) && !minor)) {
        *nine = parts_have(p, 2, 0) && have_third(p);
        put(s, *nine ? "6/9" : "6");
        return 6;
    }
    if (!have_third(p) && !third_replaced(p) && parts_have(p, 5, 0))
        put(s, "5");
    else if (parts_have(p, 3, 0) && p->place[5] == PARTS_BIT(1))
        put(s, "aug");
    else if (parts_have(p, 3, 0) && (p->place[5] && !parts_have(p, 5, 0)))
        put(s, dim ? "(b5)" : "(b5#5)");
    return 0;
}

/* Write what the base does not say of the fifth. */
static void put_fifth(struct suffix_text *s, const struct chord_parts *p,
                      int stack)
{
    bool said = stack == 0 && parts_have(p, 3, 0);

    if (!p->place[5]) {
        put(s, "no5");
        return;
    }
    if (said || parts_have(p, 5, 0) || parts_class(p) == CHORD_DIMINISHED)
        return;
    if (stack == 0 && !have_third(p) && !third_replaced(p)) {
        put(s, parts_have(p, 5, -1) && parts_have(p, 5, 1) ? "(b5#5)"
               : parts_have(p, 5, -1)                      ? "(b5)"
                                                           : "(#5)");
        return;
    }
    if (parts_have(p, 5, -1))
        put(s, "b5");
    if (parts_have(p, 5, 1))
        put(s, "#5");
}

static void put_third(struct suffix_text *s, const struct chord_parts *p)
{
    if (have_third(p))
        return;
    if (parts_have(p, 4, 0))
        put(s, "sus4");
    else if (parts_have(p, 2, 0))
        put(s, "sus2");
    else if (p->place[7] || !parts_have(p, 5, 0))
        put(s, "no3");
}

/* Write the tensions.  One that stands beside its plain degree, or over a
 * mere triad, needs "add". */
static void put_tensions(struct suffix_text *s, const struct chord_parts *p,
                         int stack, bool nine)
{
    static const struct {
        int8_t degree, alter;
        const char *text;
    } list[] = { { 9, -1, "b9" }, { 9, 0, "9" },    { 9, 1, "#9" },
                 { 11, 0, "11" }, { 11, 1, "#11" }, { 13, -1, "b13" },
                 { 13, 0, "13" } };

    for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
        int degree = list[i].degree, alter = list[i].alter;
        bool plain = parts_have(p, degree, 0), said;
        bool sixth = degree == 13 && alter == 0 && stack == 6;

        said = (stack > 6 && stack >= degree) || (degree == 9 && nine) ||
               (!have_third(p) && degree == (parts_have(p, 4, 0) ? 11 : 9));
        if (!parts_have(p, degree, alter) || (alter == 0 && said) || sixth)
            continue;
        if (plain || stack == 0 || alter == 0)
            put(s, "add");
        put(s, stack == 0 && degree == 13 && alter == 0 ? "6" : list[i].text);
    }
}

/* The altered dominant has a name of its own. */
static bool is_alt(const struct chord_parts *p)
{
    return p->place[2] == (PARTS_BIT(-1) | PARTS_BIT(1)) &&
           p->place[3] == PARTS_BIT(0) && p->place[4] == PARTS_BIT(1) &&
           p->place[5] == 0 && p->place[6] == PARTS_BIT(-1) &&
           p->place[7] == PARTS_BIT(-1);
}

char *parts_suffix(char *out, size_t size, const struct chord_parts *parts)
{
    struct suffix_text s = { out, size, 0 };
    bool nine;
    int stack;

    out[0] = '\0';
    if (is_alt(parts)) {
        put(&s, "7alt");
        return out;
    }
    stack = put_base(&s, parts, &nine);
    put_third(&s, parts);
    put_fifth(&s, parts, stack);
    put_tensions(&s, parts, stack, nine);
    if (parts_have(parts, 7, 0) && parts_have(parts, 7, -1))
        put(&s, "addmaj7");
    return out;
}
