/* schema/harmony_function.c - what a chord does in its key area.
 *
 * The readings are listed in harmony.h.  Degrees are semitones above the
 * tonic of the key of the run that is named.
 */
#include <string.h>

#include "schema/harmony_parts.h"

enum { NO_TARGET = -1, PARTNERS_MAX = 2 };

/* A run, seen from its key. */
struct view {
    const struct run_list *list;
    size_t at;
    int key;
    bool minor, blues;
    bool altered; /* of the chord that is named */
};

/* Where a dominant leads. */
struct lead {
    int target; /* degree, or NO_TARGET */
    bool substitute;
    enum quality quality; /* of what it arrives at */
};

static const struct run *run_at(const struct run_list *list, size_t at)
{
    return at < list->count ? &list->runs[at] : NULL;
}

static int degree_of(const struct view *v, const struct run *run)
{
    return key_degree(v->key, run->root);
}

static bool is_two(const struct run *run)
{
    return run->quality == QUALITY_MINOR || run->quality == QUALITY_HALF;
}

/* The index of the run that the dominant at AT leads to, past dominants on
 * the same root or a tritone away, which share its resolution. */
static size_t past_partners(const struct run_list *list, size_t at)
{
    const struct run *self = &list->runs[at], *next;
    size_t i = at + 1;

    for (int n = 0; n < PARTNERS_MAX; n++, i++) {
        next = run_at(list, i);
        if (!next || next->quality != QUALITY_DOMINANT ||
            (next->root - self->root) % 6 != 0)
            break;
    }
    return i;
}

/* Whether the run NEXT is a tonic: I, or iii in its place. */
static bool is_home(const struct view *v, size_t next)
{
    const struct run *run = run_at(v->list, next);
    int degree = run ? degree_of(v, run) : NO_TARGET;

    return degree == 0 || (degree == 4 && run->quality == QUALITY_MINOR);
}

/* Whether the run NEXT is the degree TARGET, or the ii of a dominant there. */
static bool arrives(const struct view *v, size_t next, int target)
{
    const struct run *run = run_at(v->list, next);
    const struct run *after = run_at(v->list, next + 1);

    if (!run || run->quality == QUALITY_DIMINISHED)
        return false;
    if (degree_of(v, run) == target)
        return true;
    return is_two(run) && degree_of(v, run) == (target + 7) % 12 && after &&
           (after->quality == QUALITY_DOMINANT ||
            after->quality == QUALITY_SUSPENDED) &&
           (degree_of(v, after) - target) % 6 == 0;
}

/* Whether the run NEXT is a dominant that itself moves down a fifth or a
 * semitone: then it may stand for the one a tritone away. */
static bool goes_on(const struct view *v, size_t next)
{
    const struct run *run = run_at(v->list, next);
    const struct run *after = run_at(v->list, next + 1);
    int down;

    if (!run || !after || run->quality != QUALITY_DOMINANT)
        return false;
    down = pitch_modulo(run->root - after->root, 12);
    return down == 7 || down == 1;
}

/* Whether the related ii of the dominant on DEGREE stands before it; one that
 * is at home in a minor key (i7 IV7, iv7 bVII7) does not count. */
static bool after_related(const struct view *v, int degree)
{
    const struct run *before = v->at > 0 ? run_at(v->list, v->at - 1) : NULL;
    int two;

    if (!before || !is_two(before))
        return false;
    two = degree_of(v, before);
    if (two != (degree + 7) % 12)
        return false;
    return !v->minor || before->quality == QUALITY_HALF ||
           (two != 0 && two != 5);
}

/* A fifth down: to a step of the key, or to a plain chord elsewhere. */
static bool leads_down(const struct view *v, size_t next, int target)
{
    const struct run *run = run_at(v->list, next);

    if (!arrives(v, next, target))
        return false;
    return key_is_target(v->minor, target) ||
           (degree_of(v, run) == target && (run->quality == QUALITY_MAJOR ||
                                            run->quality == QUALITY_MINOR));
}

static bool may_substitute(const struct view *v, int degree, int target)
{
    if (degree == 0 || (degree == 5 && v->blues))
        return false;
    return target == 0 || key_is_target(v->minor, target);
}

/* I7: the tonic of a blues, or the dominant of IV. */
static struct lead lead_of_tonic(const struct view *v, size_t next)
{
    struct lead lead = { NO_TARGET, false, QUALITIES };
    bool related = after_related(v, 0);

    if (v->blues && !v->minor && !v->altered && !related)
        return lead;
    if (arrives(v, next, 5) || related)
        lead.target = 5;
    return lead;
}

/* Where the dominant that V looks at leads. */
static struct lead find_lead(const struct view *v)
{
    int degree = degree_of(v, &v->list->runs[v->at]);
    int fifth = (degree + 5) % 12, semitone = (degree + 11) % 12;
    size_t next = past_partners(v->list, v->at);
    const struct run *run = run_at(v->list, next);
    struct lead lead = { NO_TARGET, false, run ? run->quality : QUALITIES };
    bool chain = run && goes_on(v, next);

    if (degree == 7)
        return lead;
    if (degree == 0)
        return lead_of_tonic(v, next);
    if (leads_down(v, next, fifth)) {
        lead.target = fifth;
    } else if (may_substitute(v, degree, semitone) &&
               arrives(v, next, semitone)) {
        lead.target = semitone;
        lead.substitute = true;
    } else if (chain && degree_of(v, run) == semitone &&
               key_is_target(v->minor, fifth)) {
        lead.target = fifth;
    } else if (chain && degree_of(v, run) == fifth &&
               may_substitute(v, degree, semitone)) {
        lead.target = semitone;
        lead.substitute = true;
    } else if (after_related(v, degree) && key_is_target(v->minor, fifth)) {
        lead.target = fifth;
    }
    return lead;
}

static bool is_backdoor(const struct view *v, int degree)
{
    return degree == 10 && !v->minor &&
           is_home(v, past_partners(v->list, v->at));
}

/* --- one namer for each quality ------------------------------------------- */

static enum harmony_role name_dominant(const struct view *v,
                                       struct roman *roman)
{
    struct lead lead = find_lead(v);

    if (is_backdoor(v, roman->degree))
        return HARMONY_BACKDOOR;
    if (lead.target == NO_TARGET)
        return HARMONY_PLAIN;
    roman->substitute = lead.substitute;
    roman->degree = 7;
    if (lead.target != 0)
        roman->target = lead.target;
    roman->target_low =
        roman_target_low(v->minor, lead.target, lead.quality);
    return lead.substitute ? HARMONY_SUBSTITUTE : HARMONY_SECONDARY;
}

/* A major or augmented triad on a step where the key has another chord may be
 * a secondary dominant; a major seventh or sixth is none. */
static enum harmony_role name_triad(const struct view *v, struct roman *roman)
{
    static const char *const places[] = { "..1.1....1.1", "1.1......1.." };
    size_t next = past_partners(v->list, v->at);
    int fifth = (roman->degree + 5) % 12;

    if ((roman->chord->tones & (1U << 9 | 1U << 11)) ||
        places[v->minor][roman->degree] != '1' ||
        !key_is_target(v->minor, fifth) || !arrives(v, next, fifth))
        return HARMONY_PLAIN;
    roman->degree = 7;
    roman->target = fifth;
    roman->target_low = roman_target_low(v->minor, fifth, QUALITIES);
    return HARMONY_SECONDARY;
}

/* A minor chord that the key itself has. */
static bool is_own_minor(const struct view *v, int degree)
{
    return v->minor ? degree == 0 || degree == 5
                    : degree == 2 || degree == 4 || degree == 9;
}

static enum harmony_role name_minor(const struct view *v, struct roman *roman)
{
    const struct run *self = &v->list->runs[v->at];
    const struct run *next = run_at(v->list, v->at + 1);
    struct view ahead = *v;
    int target = (roman->degree + 10) % 12, up;
    struct lead lead;

    if (!next || next->quality != QUALITY_DOMINANT || next->key != v->key ||
        roman->chord->class == CHORD_MINOR_MAJOR || target == 0)
        return HARMONY_PLAIN;
    if (self->quality == QUALITY_MINOR && is_own_minor(v, roman->degree))
        return HARMONY_PLAIN;
    up = pitch_modulo(next->root - self->root, 12);
    ahead.at++;
    ahead.altered = next->altered;
    lead = find_lead(&ahead);
    if ((up != 5 && up != 11) || lead.target != target)
        return HARMONY_PLAIN;
    roman->degree = 2;
    roman->target = target;
    roman->target_low = roman_target_low(v->minor, target, lead.quality);
    return HARMONY_RELATED;
}

static enum harmony_role name_diminished(const struct view *v,
                                         struct roman *roman)
{
    const struct run *self = &v->list->runs[v->at];
    const struct run *next = run_at(v->list, v->at + 1);
    int move, bass_move;

    if (!next)
        return HARMONY_PLAIN;
    move = pitch_modulo(next->root - self->root, 12);
    bass_move = pitch_modulo(next->bass - self->root, 12);
    if (move == 1 || bass_move == 1)
        roman->side = SIDE_SHARP;
    else if (move == 11 || bass_move == 11)
        roman->side = SIDE_FLAT;
    /* The leading-tone chord of the key does not pass. */
    return roman->side == SIDE_PLAIN || roman->degree == 11
               ? HARMONY_PLAIN
               : HARMONY_PASSING;
}

enum harmony_role harmony_name(char out[HARMONY_FUNCTION_SIZE],
                               const struct run_list *list, size_t at,
                               bool blues, const struct chord *chord)
{
    const struct run *run = &list->runs[at];
    struct view v = { list,  at,          run->key, key_minor(run->key),
                      blues, chord->altered };
    struct roman roman = { .degree = key_degree(run->key, run->root),
                           .chord = chord,
                           .side = SIDE_PLAIN,
                           .target = NO_TARGET };
    enum harmony_role role = HARMONY_PLAIN;

    if (run->quality == QUALITY_DOMINANT)
        role = name_dominant(&v, &roman);
    else if (run->quality == QUALITY_MAJOR ||
             run->quality == QUALITY_AUGMENTED)
        role = name_triad(&v, &roman);
    else if (run->quality == QUALITY_MINOR || run->quality == QUALITY_HALF)
        role = name_minor(&v, &roman);
    else if (run->quality == QUALITY_DIMINISHED)
        role = name_diminished(&v, &roman);
    roman_write(out, &roman);
    return role;
}
