/* query/find_rank.c - what the places of a question are measured by. */
#include <string.h>

#include "query/find.h"
#include "query/match.h"
#include "schema/follow.h"

void find_rank_base(struct rank_question *out, const struct find_query *query)
{
    const struct fragment *f = &query->fragment;

    memset(out, 0, sizeof *out);
    out->has_rhythm = f->has_rhythm;
    memcpy(out->value, f->value, sizeof out->value);
    out->count = f->count;
    out->by_class = f->over.count > 0 && (f->over.chords[0].by_class ||
                                          f->over.chords[0].function[0]);
    if (query->into.count > 0)
        out->into = &query->into.chords[0];
    out->into_from = match_into_from(query);
    out->place = query->place;
    out->weights = query->weights;
}

void find_rank_home(struct rank_question *out, const struct find_query *query,
                    const struct chord *written, int shift,
                    const struct solo *solo)
{
    struct asked_home home = query->home;
    int fifths, mode;

    /* A chord asked for by its kind alone is at home wherever it stands. */
    if (home.given && !home.placed && !query->reharmonized && written) {
        home.root = written->root_pc;
        shift = 0;
    }
    if (solo) {
        solo_concert_key(solo, &fifths, &mode);
        out->has_home = asked_home_at(&out->home, &home, shift, fifths);
    } else {
        out->has_home = asked_home_unnamed(&out->home, &home, shift);
    }
}

void find_rank_question(struct rank_question *out,
                        const struct find_query *query, const struct solo *solo,
                        int shift, int32_t chord, bool named)
{
    find_rank_base(out, query);
    find_rank_home(out, query, follow_sounding(solo, chord), shift,
                   named ? solo : NULL);
}
