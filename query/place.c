/* query/place.c - where in the form, the bar and the phrase. */
#include "query/place.h"

#include <stdlib.h>
#include <string.h>

enum { NUMBER_MAX = 100000 };

bool place_is_asked(const struct place *place)
{
    return place->chorus || place->bar_low || place->section ||
           place->has_beat || place->at != PLACE_ANYWHERE ||
           place->within_phrase;
}

bool place_opens(const struct solo *solo, size_t index, bool section)
{
    return form_opens(solo, index, section);
}

/* --- does it fit ------------------------------------------------------ */

static bool form_fits(const struct place *place, const struct solo *solo,
                      size_t first)
{
    const struct form_place *here =
        form_place_of(solo, solo->notes[first].bar);
    int chorus = place->chorus;

    if (chorus == PLACE_LAST_CHORUS)
        chorus = (int)solo->form.chorus_count;
    if (place->chorus && (here->chorus == 0 || here->chorus != chorus))
        return false;
    if (place->bar_low && (here->chorus_bar < place->bar_low ||
                           here->chorus_bar > place->bar_high))
        return false;
    return !place->section ||
           (here->section &&
            strcasecmp(here->section->letter, place->section) == 0);
}

static bool at_fits(enum place_at at, const struct solo *solo, size_t first,
                    size_t last)
{
    switch (at) {
    case PLACE_CHORUS:
        return place_opens(solo, first, false);
    case PLACE_SECTION:
        return place_opens(solo, first, true);
    case PLACE_PHRASE:
        return solo_starts_phrase(solo, first);
    case PLACE_PHRASE_END:
        return solo_ends_phrase(solo, last);
    default:
        return true;
    }
}

bool place_fits(const struct place *place, const struct solo *solo,
                size_t first, size_t last)
{
    if (!form_fits(place, solo, first) ||
        !at_fits(place->at, solo, first, last))
        return false;
    if (place->has_beat &&
        rational_compare(solo_beat(solo, &solo->notes[first]), place->beat))
        return false;
    return !place->within_phrase ||
           solo->notes[first].phrase == solo->notes[last].phrase;
}

/* --- reading option values -------------------------------------------- */

/* A whole number from 1 on; NULL where there is none. */
static const char *read_number(const char *text, int *out)
{
    char *end;
    long number;

    if (*text < '0' || *text > '9')
        return NULL;
    number = strtol(text, &end, 10);
    if (number < 1 || number > NUMBER_MAX)
        return NULL;
    *out = (int)number;
    return end;
}

enum status place_parse_chorus(struct place *out, const char *text,
                               struct fault *why)
{
    const char *end;

    if (strcasecmp(text, "last") == 0) {
        out->chorus = PLACE_LAST_CHORUS;
        return ST_OK;
    }
    end = read_number(text, &out->chorus);
    if (end && *end == '\0')
        return ST_OK;
    return fault_at(why, ST_SYNTAX, 0, "a chorus is a number from 1 on, or "
                    "last");
}

enum status place_parse_bar(struct place *out, const char *text,
                            struct fault *why)
{
    const char *end = read_number(text, &out->bar_low);

    out->bar_high = out->bar_low;
    if (end && *end == '-')
        end = read_number(end + 1, &out->bar_high);
    if (end && *end == '\0' && out->bar_high >= out->bar_low)
        return ST_OK;
    return fault_at(why, ST_SYNTAX, 0, "a bar of the chorus is a number from "
                    "1 on, or two such as 5-8");
}

enum status place_parse_beat(struct place *out, const char *text,
                             struct fault *why)
{
    int number, den;
    const char *end = read_number(text, &number);

    out->has_beat = true;
    if (end && (strcmp(end, " and") == 0 || strcmp(end, "and") == 0 ||
                strcmp(end, "+") == 0)) {
        out->beat = rational_make(2 * (int64_t)number + 1, 2);
        return ST_OK;
    }
    if (end && *end == '/') {
        end = read_number(end + 1, &den);
        if (end && *end == '\0') {
            out->beat = rational_make(number, den);
            return ST_OK;
        }
    } else if (end && rational_parse_decimal(&out->beat, text)) {
        return ST_OK;
    }
    return fault_at(why, ST_SYNTAX, 0, "a beat is a number such as 1, 2.5 or "
                    "\"2 and\", or a fraction such as 7/3");
}
