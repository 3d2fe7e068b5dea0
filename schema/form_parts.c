/* schema/form_parts.c - see form_parts.h. */
#include "schema/form_parts.h"

#include <stdlib.h>
#include <string.h>

#include "schema/solo.h"

enum {
    GROUP = 4,
    EIGHT = 8,
    TWELVE = 12,
    ONE_SECTION_MAX = 14, /* a form of so many bars is one section */
    POINTS = 8            /* at which bars are compared */
};

/* --- dividing ------------------------------------------------------------- */

struct division {
    form_like *like;
    const void *context;
};

static void put_part(struct form_part *part, char letter, int32_t bars)
{
    memset(part, 0, sizeof *part);
    part->letter[0] = letter;
    part->bars = bars;
}

/* Do the sections that start at the bars A and B hold the same?  At least
 * five bars of eight do, and three of the first four.  The end may differ; the
 * last bar, which leads on, says nothing where it does not. */
static bool is_same_section(const struct division *in, int32_t a, int32_t b,
                            int32_t bars)
{
    int32_t same = 0, start = 0;

    for (int32_t i = 0; i < bars && (i < GROUP || i + 1 < bars); i++) {
        bool is_like = in->like(in->context, a + i, b + i, i == 0);

        same += is_like;
        start += is_like && i < GROUP;
    }
    return start >= 3 && same * EIGHT >= 5 * bars;
}

/* Sections of UNIT bars each; bars that are left over make one more, or go
 * with the last section where that returns an earlier one.  *RETURNS counts
 * sections that have the letter of an earlier one. */
static size_t divide(const struct division *in, int32_t length, int32_t unit,
                     struct form_part *parts, int *returns)
{
    size_t count = 0;
    char next = 'A';
    bool last_returns = false;

    *returns = 0;
    for (int32_t at = 0; at + unit <= length && count < FORM_PARTS_MAX - 1;
         at += unit) {
        char letter = 0;

        for (size_t i = 0; i < count && !letter; i++)
            if (is_same_section(in, (int32_t)i * unit, at, unit))
                letter = parts[i].letter[0];
        last_returns = letter != 0;
        *returns += last_returns;
        if (!letter)
            letter = next < 'Z' ? next++ : next;
        put_part(&parts[count++], letter, unit);
    }
    unit = length % unit;
    if (unit > 0 && (last_returns || unit < GROUP))
        parts[count - 1].bars += unit;
    else if (unit > 0)
        put_part(&parts[count++], next, unit);
    return count;
}

static bool is_aaba(const struct form_part *parts, size_t count)
{
    return count == 4 && parts[0].letter[0] == 'A' &&
           parts[1].letter[0] == 'A' && parts[2].letter[0] == 'B' &&
           parts[3].letter[0] == 'A';
}

size_t form_divide(int32_t length, form_like *like, const void *context,
                   struct form_part *parts)
{
    const struct division in = { like, context };
    int32_t quarter = length / 4;
    size_t count;
    int returns;

    if (length <= ONE_SECTION_MAX) {
        put_part(parts, 'A', length);
        return 1;
    }
    if (length % 16 == 0) {
        count = divide(&in, length, quarter, parts, &returns);
        if (quarter > GROUP ? returns > 0 : is_aaba(parts, count))
            return count;
    }
    if (length > EIGHT * (FORM_PARTS_MAX - 2)) {
        put_part(parts, 'A', length);
        return 1;
    }
    count = divide(&in, length, EIGHT, parts, &returns);
    if (returns == 0 && length % TWELVE == 0) {
        count = divide(&in, length, TWELVE, parts, &returns);
        if (returns == 0)
            count = divide(&in, length, EIGHT, parts, &returns);
    }
    return count;
}

/* --- the bars of a solo --------------------------------------------------- */

struct bars {
    const struct solo *solo;
    int32_t *play; /* the first play of each bar as played */
    int32_t first, length, choruses;
};

/* The chord in effect TICKS after the start of the solo; NULL none. */
static const struct chord_event *chord_at(const struct solo *solo,
                                          int64_t ticks)
{
    size_t low = 0, high = solo->chord_count;

    while (low < high) {
        size_t middle = low + (high - low) / 2;

        if (solo->chords[middle].start <= ticks)
            low = middle + 1;
        else
            high = middle;
    }
    return low == 0 || solo->chords[low - 1].chord.class == CHORD_NONE
               ? NULL
               : &solo->chords[low - 1];
}

/* Does no chord begin in BAR? */
static bool goes_on(const struct solo *solo, const struct bar *bar)
{
    const struct chord_event *last =
        chord_at(solo, bar->start + bar->length - 1);

    return last && last->start < bar->start;
}

static bool is_alike(const struct solo *solo, const struct bar *a,
                     const struct bar *b, bool first)
{
    if (first && (goes_on(solo, a) || goes_on(solo, b)))
        return true;
    for (int i = 0; i < POINTS; i++) {
        const struct chord_event *x =
            chord_at(solo, a->start + a->length * i / POINTS);
        const struct chord_event *y =
            chord_at(solo, b->start + b->length * i / POINTS);

        if ((!x) != (!y) || (x && (x->chord.root_pc != y->chord.root_pc ||
                                   x->chord.class != y->chord.class)))
            return false;
    }
    return true;
}

static bool is_like_in_most(const void *context, int32_t a, int32_t b,
                            bool first)
{
    const struct bars *in = context;
    const struct solo *solo = in->solo;
    int32_t alike = 0;

    for (int32_t k = 0; k < in->choruses; k++) {
        const int32_t *play = &in->play[in->first + k * in->length];

        alike += is_alike(solo, &solo->bars[solo->plays[play[a]]],
                          &solo->bars[solo->plays[play[b]]], first);
    }
    return alike * 2 > in->choruses;
}

enum status form_divide_solo(const struct solo *solo, int32_t length,
                             int32_t first_play, struct form_part *parts,
                             size_t *count, struct fault *why)
{
    int32_t *numbers = calloc(solo->play_count + 1, sizeof *numbers);
    struct bars in = { solo, calloc(solo->play_count + 1, sizeof *in.play), 0,
                       length, 0 };
    enum status st = numbers && in.play ? ST_OK : fault_nomem(why);

    *count = 0;
    if (st == ST_OK && length > 0 && first_play >= 0 &&
        (size_t)first_play < solo->play_count) {
        int32_t bars = form_number_bars(solo, numbers);

        for (size_t i = solo->play_count; i-- > 0;)
            in.play[numbers[i]] = (int32_t)i;
        in.first = numbers[first_play];
        in.choruses = (bars - in.first) / length;
        if (in.choruses > 0 && solo->chord_count > 0)
            *count = form_divide(length, is_like_in_most, &in, parts);
    }
    free(numbers);
    free(in.play);
    return st;
}
