/* query/rank_rhythm.c - how near the rhythm of a place is to what is asked. */
#include "query/rank_parts.h"

/* The length of note I of the place in quarters: to the next onset, and of
 * the last note its own duration. */
static struct rational length_there(const struct rank_place *place, size_t i)
{
    const struct note *note = &place->solo->notes[place->first + i];

    return solo_quarters(place->solo, place->first + i == place->last
                                          ? note->duration
                                          : note[1].start - note->start);
}

static struct rational length_asked(const struct rank_question *question,
                                    size_t i)
{
    return question->has_rhythm ? question->value[i] : rational_make(1, 1);
}

/* X, at most 1, in thousandths, rounded. */
static int thousandths(struct rational x)
{
    while (x.den > INT64_MAX / (4 * RANK_WHOLE)) {
        x.num /= 2;
        x.den /= 2;
    }
    return worth_ratio(x.num, x.den);
}

static bool is_same(struct rational a, struct rational b)
{
    return a.num == b.num && a.den == b.den;
}

/* How near the ratio A1 : A0 is to B1 : B0.  Multiplied crosswise, so that a
 * length of 0 needs no care but in what 0 : 0 means. */
static int similarity(struct rational a0, struct rational a1,
                      struct rational b0, struct rational b1)
{
    struct rational a, b;

    if ((a0.num == 0) != (b0.num == 0) || (a1.num == 0) != (b1.num == 0))
        return 0;
    /* Most lines are even, and so is what is asked. */
    if (is_same(a0, a1) && is_same(b0, b1))
        return RANK_WHOLE;
    a = rational_mul(a1, b0);
    b = rational_mul(b1, a0);
    if (a.num == 0 || b.num == 0)
        return RANK_WHOLE;
    return thousandths(rational_compare(a, b) < 0 ? rational_div(a, b)
                                                  : rational_div(b, a));
}

void rank_rhythm_value(struct rank_rhythm *out,
                       const struct rank_question *question,
                       const struct rational *lengths, size_t count)
{
    size_t asked = question->has_rhythm ? question->count : count;
    size_t most = asked > count ? asked : count;
    size_t least = asked < count ? asked : count;
    int sum = 0;

    for (size_t i = 0; i + 1 < least; i++)
        sum += similarity(lengths[i], lengths[i + 1],
                          length_asked(question, i),
                          length_asked(question, i + 1));
    out->ratios = worth_ratios(sum, (int)most - 1);
    out->total = out->ratios;
}

void rank_rhythm(struct rank_rhythm *out, const struct rank_question *question,
                 const struct rank_place *place)
{
    size_t count = rank_last(place) - place->first + 1;
    struct rational lengths[RANK_NOTES_MAX];

    for (size_t i = 0; i < count; i++)
        lengths[i] = length_there(place, i);
    rank_rhythm_value(out, question, lengths, count);
}
