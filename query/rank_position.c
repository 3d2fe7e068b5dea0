/* query/rank_position.c - where in the form and the bar a place begins. */
#include <stdlib.h>
#include <strings.h>

#include "query/rank_parts.h"

enum {
    PER_BAR = 100,
    OTHER_SECTION = 300
};

/* How notable a place is when none is asked. */
static void salience(struct rank_position *out, const struct solo *solo,
                     size_t first)
{
    static const int values[] = {
        [RANK_OPENS_CHORUS] = 1000, [RANK_OPENS_SECTION] = 800,
        [RANK_FIRST_OF_FOUR] = 600, [RANK_STARTS_PHRASE] = 500,
        [RANK_ELSEWHERE] = 300,
    };
    int32_t bar = form_place_of(solo, solo->notes[first].bar)->chorus_bar;

    if (place_opens(solo, first, false))
        out->why_where = RANK_OPENS_CHORUS;
    else if (place_opens(solo, first, true))
        out->why_where = RANK_OPENS_SECTION;
    else if (bar > 0 && bar % 4 == 1)
        out->why_where = RANK_FIRST_OF_FOUR;
    else if (solo_starts_phrase(solo, first))
        out->why_where = RANK_STARTS_PHRASE;
    else
        out->why_where = RANK_ELSEWHERE;
    out->where = values[out->why_where];
}

static void near_bar(struct rank_position *out, int32_t bar, int asked)
{
    int off = abs((int)bar - asked);

    if (bar <= 0) {
        out->where = 0;
        out->why_where = RANK_NO_CHORUS;
        return;
    }
    out->where = off < RANK_WHOLE / PER_BAR ? RANK_WHOLE - PER_BAR * off : 0;
    out->why_where = RANK_BARS_AWAY;
    out->bars_away = off;
}

static bool in_section(const struct form_place *here, const char *letter)
{
    return here->section && strcasecmp(here->section->letter, letter) == 0;
}

static void where(struct rank_position *out, const struct place *asked,
                  const struct solo *solo, size_t first)
{
    const struct form_place *here = form_place_of(solo, solo->notes[first].bar);
    int section = RANK_WHOLE;

    if (!asked->bar_low && !asked->section) {
        salience(out, solo, first);
        return;
    }
    out->where = RANK_WHOLE;
    if (asked->bar_low)
        near_bar(out, here->chorus_bar, asked->bar_low);
    if (!asked->section)
        return;
    if (!in_section(here, asked->section))
        section = OTHER_SECTION;
    if (asked->bar_low && section >= out->where)
        return;
    out->where = section;
    out->why_where =
        section == RANK_WHOLE ? RANK_SECTION_ASKED : RANK_OTHER_SECTION;
}

static void metre(struct rank_position *out, const struct place *asked,
                  const struct solo *solo, size_t first)
{
    static const int by_strength[] = { 400, 600, 800, 900, 1000 };
    const struct note *note = &solo->notes[first];

    out->strength = solo_onset_strength(solo, note);
    out->metre = by_strength[out->strength];
    out->why_metre = RANK_BY_STRENGTH;
    if (!asked->has_beat)
        return;
    if (rational_compare(solo_beat(solo, note), asked->beat) == 0) {
        out->metre = RANK_WHOLE;
        out->why_metre = RANK_BEAT_ASKED;
    } else {
        out->metre /= 2;
        out->why_metre = RANK_OTHER_BEAT;
    }
}

void rank_position(struct rank_position *out, const struct place *asked,
                   const struct solo *solo, size_t first)
{
    where(out, asked, solo, first);
    metre(out, asked, solo, first);
    out->total =
        (RANK_TENTHS_WHERE * out->where + RANK_TENTHS_METRE * out->metre) / 10;
}
