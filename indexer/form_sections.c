/* indexer/form_sections.c - the sections of a form and their letters.
 *
 * Letters come from rehearsal marks where the form starts with one; else from
 * the harmony (schema/form_parts.h).
 */
#include <string.h>

#include "indexer/form_search.h"
#include "schema/form_parts.h"

enum {
    MARKED_ONE_MAX =
        16 /* with one mark, a form of so many bars is one section */
};

static void put_part(struct form_part *part, char letter, int32_t bars)
{
    memset(part, 0, sizeof *part);
    part->letter[0] = letter;
    part->bars = bars;
}

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
static bool is_like_bar(const void *context, int32_t a, int32_t b, bool first)
{
    const struct search *in = context;
    int32_t x = in->model[a], y = in->model[b];
    const struct grid_bar *bars = in->grid->bars;

    return x == y || (first && (bars[x].goes_on || bars[y].goes_on)) ||
           grid_cost(in->grid, GRID_OFTEN, x, y) <=
               grid_cost(in->grid, GRID_OFTEN, x, x);
}

size_t form_sections(const struct search *in, const struct guess *guess,
                     struct form_part *parts)
{
    size_t count = sections_by_marks(in, guess, parts);

    return count ? count : form_divide(guess->length, is_like_bar, in, parts);
}
