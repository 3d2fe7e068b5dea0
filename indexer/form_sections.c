/* indexer/form_sections.c - the sections of a form and their letters.
 *
 * Letters come from rehearsal marks where the form starts with one; else from
 * the harmony: sections of a quarter of the form or of eight bars (of four in
 * an AABA of sixteen), with one letter where the same groups of bars return.
 */
#include <string.h>

#include "indexer/form_search.h"

enum {
    EIGHT = 8,
    ONE_SECTION_MAX = 14, /* a form of so many bars is one section */
    MARKED_ONE_MAX = 16   /* the same where there is but one mark */
};

static void put_part(struct form_part *part, char letter, int32_t bars)
{
    memset(part, 0, sizeof *part);
    part->letter[0] = letter;
    part->bars = bars;
}

/* --- by marks ------------------------------------------------------------- */

/* The letter that stands at the bar PLACE of the form; 0 none, '?' where
 * choruses differ. */
static char marked_letter(const struct search *in, const struct guess *guess,
                          int32_t place)
{
    int32_t to = guess->first + guess->passes * guess->length + guess->partial;
    char letter = 0;

    for (int32_t i = guess->first + place; i < to; i += guess->length) {
        char here = in->marks->at[i].letter[0];

        if (here && letter && here != letter)
            return '?';
        letter = here ? here : letter;
    }
    return letter;
}

static size_t sections_by_marks(const struct search *in,
                                const struct guess *guess,
                                struct form_part *parts)
{
    size_t count = 0;
    int32_t start = 0;

    if (in->marks->letters == 0 || !marked_letter(in, guess, 0))
        return 0;
    for (int32_t place = 0; place < guess->length; place++) {
        char letter = marked_letter(in, guess, place);

        if (!letter)
            continue;
        if (letter == '?' || count == FORM_PARTS_MAX)
            return 0;
        if (count > 0)
            parts[count - 1].bars = place - start;
        put_part(&parts[count++], letter, guess->length - place);
        start = place;
    }
    return count == 1 && guess->length > MARKED_ONE_MAX ? 0 : count;
}

/* --- by harmony ----------------------------------------------------------- */

/* Are the bars A and B of the form the same, or do they hold the same chords,
 * extensions aside?  A chord that goes on into the FIRST bar of a section is
 * not of it. */
static bool is_like_bar(const struct search *in, int32_t a, int32_t b,
                        bool first)
{
    int32_t x = in->model[a], y = in->model[b];
    const struct grid_bar *bars = in->grid->bars;

    return x == y || (first && (bars[x].goes_on || bars[y].goes_on)) ||
           grid_cost(in->grid, GRID_OFTEN, x, y) <=
               grid_cost(in->grid, GRID_OFTEN, x, x);
}

/* Do the sections that start at the bars A and B hold the same?  At least
 * five bars of eight do, and three of the first four.  The end may differ; the
 * last bar, which leads on, says nothing where it does not. */
static bool is_same_section(const struct search *in, int32_t a, int32_t b,
                            int32_t bars)
{
    int32_t same = 0, start = 0;

    for (int32_t i = 0; i < bars && (i < FORM_GROUP || i + 1 < bars); i++) {
        bool is_like = is_like_bar(in, a + i, b + i, i == 0);

        same += is_like;
        start += is_like && i < FORM_GROUP;
    }
    return start >= 3 && same * EIGHT >= 5 * bars;
}

/* Sections of UNIT bars each; bars that are left over make one more, or go
 * with the last section where that returns an earlier one.  *RETURNS counts
 * sections that have the letter of an earlier one. */
static size_t divide(const struct search *in, int32_t length, int32_t unit,
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
    if (unit > 0 && (last_returns || unit < FORM_GROUP))
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

static size_t sections_by_harmony(const struct search *in, int32_t length,
                                  struct form_part *parts)
{
    int32_t quarter = length / 4;
    size_t count;
    int returns;

    if (length <= ONE_SECTION_MAX) {
        put_part(parts, 'A', length);
        return 1;
    }
    if (length % 16 == 0) {
        count = divide(in, length, quarter, parts, &returns);
        if (quarter > FORM_GROUP ? returns > 0 : is_aaba(parts, count))
            return count;
    }
    if (length > EIGHT * (FORM_PARTS_MAX - 2)) {
        put_part(parts, 'A', length);
        return 1;
    }
    return divide(in, length, EIGHT, parts, &returns);
}

size_t form_sections(const struct search *in, const struct guess *guess,
                     struct form_part *parts)
{
    size_t count = sections_by_marks(in, guess, parts);

    return count ? count : sections_by_harmony(in, guess->length, parts);
}
