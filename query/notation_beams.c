/* query/notation_beams.c - which notes of a bar hang together. */
#include "query/notation_parts.h"

enum {
    EIGHTH = 3 /* the longest value with a beam */
};

static int levels_of(const struct sign *sign)
{
    int levels = sign->value - EIGHTH + 1;

    if (sign->note < 0 || sign->whole_bar || levels < 0)
        return 0;
    return levels < BEAM_LEVELS ? levels : BEAM_LEVELS;
}

/* Does anything but plain eighths start in FROM..TO? */
static bool is_mixed(const struct sign *signs, size_t count, int64_t from,
                     int64_t to)
{
    for (size_t i = 0; i < count; i++)
        if (signs[i].at >= from && signs[i].at < to &&
            (signs[i].note < 0 || signs[i].value != EIGHTH ||
             signs[i].dots > 0 || signs[i].actual > 0))
            return true;
    return false;
}

/* Where the group of notes that starts with the beat I ends, as a beat. */
static int group_end(const struct sign *signs, size_t count,
                     const struct beats *b, int i)
{
    bool four = b->count == 4 && !b->by_three[0];

    if (four && i % 2 == 0 && !is_mixed(signs, count, b->at[i], b->at[i + 2]))
        return i + 2;
    return i + 1;
}

/* Beam the signs FIRST..LAST-1, all of them notes with beams. */
static void beam_group(struct sign *signs, size_t first, size_t last)
{
    if (last - first < 2)
        return;
    for (size_t i = first; i < last; i++) {
        int own = levels_of(&signs[i]);
        int before = i > first ? levels_of(&signs[i - 1]) : 0;
        int after = i + 1 < last ? levels_of(&signs[i + 1]) : 0;

        for (int level = 0; level < own; level++) {
            bool from = before > level, to = after > level;

            signs[i].beams[level] = from && to ? BEAM_CONTINUE
                                    : from     ? BEAM_END
                                    : to       ? BEAM_BEGIN
                                    : before   ? BEAM_BACKWARD_HOOK
                                               : BEAM_FORWARD_HOOK;
        }
    }
}

void signs_beam(struct sign *signs, size_t count, const struct beats *beats)
{
    size_t i = 0;

    for (int beat = 0; beat < beats->count;) {
        int end = group_end(signs, count, beats, beat);
        size_t first;

        while (i < count && signs[i].at < beats->at[end]) {
            if (levels_of(&signs[i]) == 0) {
                i++;
                continue;
            }
            first = i;
            while (i < count && signs[i].at < beats->at[end] &&
                   levels_of(&signs[i]) > 0)
                i++;
            beam_group(signs, first, i);
        }
        beat = end;
    }
}
