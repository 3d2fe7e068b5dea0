/* query/rank_position.c - where in the form and the bar a place begins. */
#include <stdlib.h>
#include <strings.h>

#include "query/rank_parts.h"

enum {
    PER_BAR = 100,
    OTHER_SECTION = 300
};

/* How notable a place is when none is asked. */
static void salience(struct rank_position *out, const struct rank_spot *spot)
{
    enum worth_spot at = worth_spot(spot->opens_chorus, spot->opens_section,
                                    spot->first_of_four, spot->starts_phrase);

    out->why_where = (enum rank_where)at;
    out->where = worth_where[at];
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

static void where(struct rank_position *out, const struct place *asked,
                  const struct rank_spot *spot)
{
    int section = spot->in_section ? RANK_WHOLE : OTHER_SECTION;

    if (!asked->bar_low && !asked->section) {
        salience(out, spot);
        return;
    }
    out->where = RANK_WHOLE;
    if (asked->bar_low)
        near_bar(out, spot->bar, asked->bar_low);
    if (!asked->section || (asked->bar_low && section >= out->where))
        return;
    out->where = section;
    out->why_where =
        section == RANK_WHOLE ? RANK_SECTION_ASKED : RANK_OTHER_SECTION;
}

static void value_strength(struct rank_position *out, int strength)
{
    out->strength = strength;
    out->metre = worth_metre[strength];
    out->why_metre = RANK_BY_STRENGTH;
}

static void near_beat(struct rank_position *out, const struct place *asked,
                      const struct rank_spot *spot)
{
    if (!asked->has_beat)
        return;
    if (spot->on_beat) {
        out->metre = RANK_WHOLE;
        out->why_metre = RANK_BEAT_ASKED;
    } else {
        out->metre /= 2;
        out->why_metre = RANK_OTHER_BEAT;
    }
}

void rank_position_value(struct rank_position *out, const struct place *asked,
                         const struct rank_spot *spot)
{
    where(out, asked, spot);
    value_strength(out, spot->strength);
    near_beat(out, asked, spot);
    out->total = worth_position(out->where, out->metre);
}

static bool in_section(const struct form_place *here, const char *letter)
{
    return letter && here->section &&
           strcasecmp(here->section->letter, letter) == 0;
}

void rank_position(struct rank_position *out, const struct place *asked,
                   const struct solo *solo, size_t first)
{
    const struct note *note = &solo->notes[first];
    const struct form_place *here = form_place_of(solo, note->bar);
    struct rank_spot spot = {
        .strength = solo_onset_strength(solo, note),
        .opens_chorus = place_opens(solo, first, false),
        .opens_section = place_opens(solo, first, true),
        .first_of_four = form_opens_four(solo, note->bar),
        .starts_phrase = solo_starts_phrase(solo, first),
        .bar = here->chorus_bar,
        .in_section = in_section(here, asked->section),
        .on_beat = asked->has_beat && rational_compare(solo_beat(solo, note),
                                                       asked->beat) == 0,
    };

    rank_position_value(out, asked, &spot);
}
