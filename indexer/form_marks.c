/* indexer/form_marks.c - what the marks on the page say for and against a form.
 *
 * Costs that are negative speak for it.
 */
#include "indexer/form_search.h"

enum {
    CHORUS_RIGHT = -600, /* "Chorus 2" at the start of a chorus */
    CHORUS_WRONG = 5000,
    CHORUS_MISSING = 3000,
    START_RIGHT = -200, /* "Solo" there */
    START_WRONG = 150,
    LETTER_OTHER = 5000, /* another letter at the same bar of the form */
    LETTER_OTHER_DIFFER = 200, /* where no letter stands twice */
    LETTER_MISSING = 2000,
    LETTER_BEFORE = 3000, /* a section before the first chorus */
    LETTER_FIRST = -300,
    LETTERS_AGAIN = 3000, /* the letters of a form are fewer, over again */
    LETTERS_CLOSE = 2000, /* the section that closes a form starts another */
    LETTER_LATE = 2000,
    INTRO_WRONG = 4000,
    BOUNDARY_CHORUS = -100,
    BOUNDARY_EIGHT = -60,
    BOUNDARY_FOUR = -30,
    BOUNDARY_WRONG = 70,
    BOUNDARY_MISSING = 150
};

/* The bar of the form at which the bar I stands. */
static int32_t place_of(const struct guess *guess, int32_t i)
{
    return (i - guess->first) % guess->length;
}

static int32_t chorus_mark_cost(const struct guess *guess, int32_t i,
                                int32_t chorus)
{
    bool starts = i >= guess->first && place_of(guess, i) == 0;

    if (chorus == MARKS_CHORUS_WEAK)
        return starts ? START_RIGHT : START_WRONG;
    return starts ? CHORUS_RIGHT : CHORUS_WRONG;
}

static int32_t boundary_cost(const struct guess *guess, int32_t i)
{
    int32_t place;

    if (i < guess->first)
        return 0;
    place = place_of(guess, i);
    return place == 0       ? BOUNDARY_CHORUS
           : place % 8 == 0 ? BOUNDARY_EIGHT
           : place % 4 == 0 ? BOUNDARY_FOUR
                            : BOUNDARY_WRONG;
}

/* The letter that the first chorus in which there is one has at the place of
 * bar I; "" where I is that chorus. */
static const char *letter_before(const struct search *in,
                                 const struct guess *guess, int32_t i)
{
    for (int32_t k = guess->first + place_of(guess, i); k < i;
         k += guess->length)
        if (*in->marks->at[k].letter)
            return in->marks->at[k].letter;
    return "";
}

/* The letters of the bars FROM..TO-1; how many. */
static int read_row(const struct search *in, int32_t from, int32_t to,
                    char row[FORM_PARTS_MAX])
{
    int count = 0;

    for (int32_t i = from; i < to && count < FORM_PARTS_MAX; i++) {
        char letter = in->marks->at[i].letter[0];

        if (letter)
            row[count++] = letter;
    }
    return count;
}

/* The letters of one chorus are a shorter row of letters twice over, or once
 * and two letters more, or once and its first letter, which was the last one
 * of the row, too (AABA A): the row is the form.  ABA and AABA are not: there
 * the first section returns to close the form. */
static bool letters_return(const struct search *in, const struct guess *guess)
{
    char row[FORM_PARTS_MAX];
    int count = read_row(in, guess->first, guess->first + guess->length, row);

    for (int period = 1; period < count; period++) {
        int i = 0;

        if (period * 2 > count && period + 2 > count &&
            row[period - 1] != row[0])
            continue;
        while (i + period < count && row[i] == row[i + period])
            i++;
        if (i + period == count)
            return true;
    }
    return false;
}

/* Do bars follow the last complete chorus, of which no letter says what they
 * are?  Rather than a new chorus or, after a single one, an ending, they are
 * the rest of the section before. */
static bool cuts_section(const struct search *in, const struct guess *guess)
{
    int32_t next = guess->first + guess->passes * guess->length;

    return next < in->end && !*in->marks->at[next].letter &&
           (guess->partial > 0 || guess->passes == 1);
}

/* Does the first section, whole and nothing more, stand as a second chorus
 * where it may as well close the first (AAB A)? */
static bool leaves_close(const struct search *in, const struct guess *guess)
{
    char row[FORM_PARTS_MAX];
    int32_t second = guess->first + guess->length, section = 1;
    int count = read_row(in, guess->first, second, row);

    if (guess->passes != 1 || count < 2 || row[count - 1] == row[0] ||
        second >= in->end || in->marks->at[second].letter[0] != row[0])
        return false;
    while (!*in->marks->at[guess->first + section].letter)
        section++;
    return in->end - second == section;
}

static int32_t letters_cost(const struct search *in, const struct guess *guess)
{
    const struct marks *marks = in->marks;
    int32_t cost = 0, seen = 0, last = -1;

    for (int32_t n = 0; n < in->said_count; n++) {
        int32_t i = in->said[n];
        const char *letter = marks->at[i].letter, *before;

        if (!*letter)
            continue;
        if (seen++ == 0)
            cost += i == guess->first ? LETTER_FIRST
                    : i > guess->first ? LETTER_LATE
                                       : 0;
        last = i;
        if (i < guess->first) {
            cost += LETTER_BEFORE;
            continue;
        }
        before = letter_before(in, guess, i);
        if (*before && *before != *letter)
            cost += marks->letters_differ ? LETTER_OTHER_DIFFER
                                          : LETTER_OTHER;
    }
    for (int32_t i = guess->first; i < last; i += guess->length)
        if (!*marks->at[i].letter)
            cost += LETTER_MISSING;
    return cost + (letters_return(in, guess) ? LETTERS_AGAIN : 0) +
           (leaves_close(in, guess) ? LETTERS_CLOSE : 0) +
           (cuts_section(in, guess) ? LETTER_MISSING : 0);
}

/* Starts of choruses that have no mark where others of this sort are: numbers
 * all through, bar lines between the first and the last. */
static int32_t missing_cost(const struct search *in, const struct guess *guess)
{
    const struct mark *at = in->marks->at;
    int32_t cost = 0;

    for (int32_t i = guess->first; i < in->end; i += guess->length) {
        if (at[i].chorus <= 0 && in->first_chorus >= 0 &&
            i >= in->first_chorus)
            cost += CHORUS_MISSING;
        if (!at[i].boundary && i > guess->first && i < in->last_boundary &&
            in->marks->boundaries >= 2)
            cost += BOUNDARY_MISSING;
    }
    return cost;
}

void form_list_marks(struct search *in)
{
    const struct mark *at = in->marks->at;

    in->said_count = 0;
    in->first_chorus = in->last_boundary = -1;
    for (int32_t i = 0; i < in->end; i++) {
        if (at[i].chorus > 0 && in->first_chorus < 0)
            in->first_chorus = i;
        if (at[i].boundary)
            in->last_boundary = i;
        if (i >= in->grid->first &&
            (at[i].chorus || at[i].boundary || *at[i].letter))
            in->said[in->said_count++] = i;
    }
}

int32_t form_marks_cost(const struct search *in, const struct guess *guess)
{
    const struct marks *marks = in->marks;
    int32_t cost = 0;

    if (marks->after_intro >= 0 && guess->first != marks->after_intro)
        cost += INTRO_WRONG;
    for (int32_t n = 0; n < in->said_count; n++) {
        int32_t i = in->said[n];

        if (marks->at[i].chorus)
            cost += chorus_mark_cost(guess, i, marks->at[i].chorus);
        if (marks->at[i].chorus == 1 && guess->first > i)
            cost += CHORUS_WRONG;
        if (marks->at[i].boundary)
            cost += boundary_cost(guess, i);
    }
    if (marks->letters > 0)
        cost += letters_cost(in, guess);
    return cost + missing_cost(in, guess);
}
