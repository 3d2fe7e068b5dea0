/* indexer/form_groups.c - a form told by groups of bars that return. */
#include <string.h>

#include "indexer/form_search.h"

enum {
    RETURNS = 70,        /* that a group is an earlier one again */
    GOES_ON = 70,        /* the same, after one that returned just before */
    MOVED = 250,         /* that it was no group of its own there */
    EXCEPTION = 250      /* that one bar of it is not */
};

/* A bar of the form that may be an earlier one. */
struct later {
    const int32_t *sums;     /* of its slot */
    int32_t now, column;     /* what stands for it, and its column */
    int32_t own;
    int32_t exception;       /* the cost of being one in its group */
};

static inline void read_later(const struct search *in, int32_t place,
                              struct later *out)
{
    out->now = in->ring.model[place];
    out->column = in->column[out->now];
    out->sums = in->ring.rows[place];
    out->own = in->ring.own[place];
    out->exception = EXCEPTION + in->news[out->now] + out->own;
}

/* What it costs that LATER stands for the bar EARLIER of the form and for all
 * that are the same bar again; not looked at beyond MOST. */
static int32_t cost_of_change(const struct search *in, const struct telling *t,
                              const struct later *later, int32_t earlier,
                              int32_t most)
{
    int32_t cost = 0, i = earlier;

    do {
        cost += in->ring.rows[i][later->column] - t->cost[i];
        i = t->again[i];
    } while (i != earlier && cost < most);
    return cost;
}

/* Bars that have SPENT cost less where a column of SUMS does, once a bar of
 * that column stands for them: raise the gains of T to by how much. */
static void note_gains(const struct search *in, struct telling *t,
                       const int32_t *restrict sums, int32_t spent)
{
    int32_t *restrict gains = t->gains;

    for (int32_t i = 0; i < in->columns; i += FORM_LANES)
        for (int32_t k = 0; k < FORM_LANES; k++) {
            int32_t gain = spent - sums[i + k];

            gains[i + k] = gain > gains[i + k] ? gain : gains[i + k];
        }
}

/* LATER as the bar EARLIER again; where *CHANGED it also stands for that, to
 * which the two together are nearer. */
static int32_t cost_same(const struct search *in, const struct telling *t,
                         const struct later *later, int32_t earlier,
                         bool *changed)
{
    const struct circle *circle = &t->circle[t->leader[earlier]];
    int32_t same = later->sums[circle->column];
    int32_t other = later->own + circle->sums[later->column] - circle->spent;

    if (other < same)
        other = later->own + cost_of_change(in, t, later, earlier, same);
    *changed = other < same;
    return other < same ? other : same;
}

/* The logarithm of how many groups there are before the bar AT. */
static int32_t cost_number(int32_t at)
{
    static const int16_t logs[] = { 0,   0,   69,  110, 139, 161, 179, 195,
                                    208, 220, 230, 240, 248, 256, 264, 271 };
    int32_t count = at / FORM_GROUP;
    int32_t most = (int32_t)(sizeof logs / sizeof *logs) - 1;

    return logs[count < most ? count : most];
}

/* The bars of a group, and which earlier ones they are best told as. */
struct telling_group {
    struct later later[FORM_GROUP];
    int32_t size, cost;
    int32_t from; /* -1: told anew */
};

/* The bars of GROUP as those from EARLIER again, each the same or an exception,
 * which COST to name; not more than MOST is looked at. */
static inline int32_t cost_as(const struct search *in, const struct telling *t,
                              const struct telling_group *group,
                              int32_t earlier, int32_t cost, int32_t most)
{
    const int32_t *leader = &t->leader[earlier];
    const struct later *later = group->later, *end = later + group->size;

    for (; later < end && cost < most; later++, leader++) {
        const struct circle *circle = &t->circle[*leader];
        int32_t same = later->sums[circle->column], other;
        int32_t least = same < later->exception ? same : later->exception;

        other = later->own + circle->sums[later->column] - circle->spent;
        if (other < least) {
            other = later->own +
                    cost_of_change(in, t, later,
                                   (int32_t)(leader - t->leader), same);
            least = other < least ? other : least;
        }
        cost += least;
    }
    return cost;
}

/* Take the bars from EARLIER for what GROUP is told as, if that is cheaper, or
 * as cheap and before what was.  It costs NAME to name. */
static inline void try_earlier(const struct search *in,
                               const struct telling *t,
                               struct telling_group *group, int32_t earlier,
                               int32_t name)
{
    int32_t most = group->cost + (earlier < group->from);
    int32_t cost = cost_as(in, t, group, earlier, name, most);

    if (cost < most) {
        group->cost = cost;
        group->from = earlier;
    }
}

/* --- joining ------------------------------------------------------------- */

/* From now on MODEL stands for the circle of PLACE; what its bars cost. */
static int32_t change_model(const struct search *in, struct telling *t,
                            int32_t place, int32_t model)
{
    int32_t home = (model - in->ring.first) % in->ring.length;
    int32_t column = in->column[model], spent = 0, i = place;

    do {
        t->model[i] = model;
        t->cost[i] = i == home ? in->ring.own[i] : in->ring.rows[i][column];
        spent += t->cost[i];
        i = t->again[i];
    } while (i != place);
    return spent;
}

/* Add ROW to SUMS, the bars of which have SPENT with it, and note what they
 * gain. */
static void add_and_note(int32_t *restrict gains, int32_t *restrict sums,
                         const int32_t *restrict row, int32_t columns,
                         int32_t spent)
{
    for (int32_t i = 0; i < columns; i += FORM_LANES)
        for (int32_t k = 0; k < FORM_LANES; k++) {
            int32_t sum = sums[i + k] + row[i + k], gain = spent - sum;

            sums[i + k] = sum;
            gains[i + k] = gain > gains[i + k] ? gain : gains[i + k];
        }
}

/* Add the bar PLACE of the form to the sums of CIRCLE, the first of which is
 * LEADER. */
static void add_bar(const struct search *in, struct telling *t,
                    struct circle *circle, int32_t leader, int32_t place)
{
    int32_t *sums = t->together + (size_t)leader * (size_t)in->columns;

    if (circle->sums != sums)
        memcpy(sums, circle->sums, (size_t)in->columns * sizeof *sums);
    circle->sums = sums;
    add_and_note(t->gains, sums, in->ring.rows[place], in->columns,
                 circle->spent);
}

/* The bar PLACE of the form is EARLIER again; MODEL stands for all that are. */
static void join_bar(const struct search *in, struct telling *t, int32_t place,
                     int32_t earlier, int32_t model)
{
    int32_t leader = t->leader[earlier];
    struct circle *circle = &t->circle[leader];

    t->leader[place] = leader;
    t->again[place] = t->again[earlier];
    t->again[earlier] = place;
    if (model != t->model[earlier]) {
        circle->column = in->column[model];
        circle->spent = change_model(in, t, place, model);
    } else {
        t->model[place] = model;
        t->cost[place] = in->ring.rows[place][circle->column];
        circle->spent += t->cost[place];
    }
    /* Nobody asks for those of the last group. */
    if (t->at + FORM_GROUP < in->ring.length)
        add_bar(in, t, circle, leader, place);
}

/* From now on the bars that keep to the earlier group stand for it, too. */
static void join_group(const struct search *in, struct telling *t, int32_t at,
                       const struct telling_group *group)
{
    int32_t *groups = t->group, earlier = group->from;

    groups[at / FORM_GROUP] = earlier % FORM_GROUP
                                  ? earlier / FORM_GROUP
                                  : groups[earlier / FORM_GROUP];
    for (int32_t i = 0; i < group->size; i++) {
        const struct later *later = &group->later[i];
        int32_t then = t->model[earlier + i];
        bool changed;

        if (cost_same(in, t, later, earlier + i, &changed) <=
            later->exception)
            join_bar(in, t, at + i, earlier + i, changed ? later->now : then);
    }
}

/* --- groups -------------------------------------------------------------- */

/* Where a bar may cost less than nothing, it counts which group is looked at
 * first: all in their order. */
static void find_in_order(const struct search *in, const struct telling *t,
                          struct telling_group *group, int32_t next)
{
    int32_t number = RETURNS + cost_number(t->at);

    for (int32_t i = 0; i + group->size <= t->at; i++) {
        int32_t name = i == next        ? GOES_ON
                       : i % FORM_GROUP ? number + MOVED
                                        : number;

        try_earlier(in, t, group, i, name);
    }
}

/* Try each fourth bar from FIRST up to LAST, but NEXT, while NAME alone
 * does not cost more than the best. */
static void try_row(const struct search *in, const struct telling *t,
                    struct telling_group *group, int32_t first, int32_t last,
                    int32_t next, int32_t name)
{
    for (int32_t i = first; i <= last && name <= group->cost; i += FORM_GROUP)
        if (i != next)
            try_earlier(in, t, group, i, name);
}

/* Else those that cost least to name go first, and most of the others cost too
 * much to name. */
static void find_by_name(const struct search *in, const struct telling *t,
                         struct telling_group *group, int32_t next)
{
    int32_t number = RETURNS + cost_number(t->at), last = t->at - group->size;

    if (next >= 0 && next <= last)
        try_earlier(in, t, group, next, GOES_ON);
    try_row(in, t, group, 0, last, next, number);
    for (int32_t i = 1; i < FORM_GROUP && number + MOVED <= group->cost; i++)
        try_row(in, t, group, i, last, next, number + MOVED);
}

/* Bars of GROUP that stand for themselves may gain, too. */
static void note_own(const struct search *in, struct telling *t,
                     const struct telling_group *group)
{
    for (int32_t i = 0; i < group->size; i++)
        if (group->later[i].own > 0 && t->leader[t->at + i] == t->at + i)
            note_gains(in, t, group->later[i].sums, group->later[i].own);
}

/* Tell the bars from T->at on, FORM_GROUP of them or all that are left: anew,
 * or as an earlier group. */
static void tell_group(const struct search *in, struct telling *t)
{
    struct telling_group group = { .from = -1 };
    int32_t at = t->at, left = in->ring.length - at;
    int32_t next = t->last >= 0 ? t->last + FORM_GROUP : -1;
    bool in_order = false;

    group.size = left < FORM_GROUP ? left : FORM_GROUP;
    for (int32_t i = 0; i < group.size; i++) {
        read_later(in, at + i, &group.later[i]);
        group.cost += group.later[i].exception - EXCEPTION;
        /* The change of a circle may gain more than the bar itself costs. */
        in_order = in_order ||
                   group.later[i].own < t->gains[group.later[i].column];
    }
    if (in_order)
        find_in_order(in, t, &group, next);
    else
        find_by_name(in, t, &group, next);
    t->group[at / FORM_GROUP] = at / FORM_GROUP;
    if (group.from >= 0)
        join_group(in, t, at, &group);
    note_own(in, t, &group);
    t->last = group.from;
    t->total += group.cost;
    t->at += group.size;
}

/* Each bar of the form from T->at on up to the bar TO stands for itself. */
static void lay_bars(const struct search *in, struct telling *t, int32_t to)
{
    const struct ring *ring = &in->ring;

    for (int32_t i = t->at; i < to; i++) {
        t->model[i] = ring->model[i];
        t->cost[i] = ring->own[i];
        t->again[i] = t->leader[i] = i;
        t->circle[i] = (struct circle){ ring->rows[i], ring->own[i],
                                        in->column[ring->model[i]] };
    }
}

static void tell_nothing(const struct search *in, struct telling *t)
{
    t->first = in->ring.first;
    t->at = t->total = 0;
    t->last = -1;
    memset(t->gains, 0, (size_t)in->columns * sizeof *t->gains);
}

/* Single choruses from one bar on are told alike up to the group in which the
 * turnaround of one starts: tell that much of RING once, and take it over. */
static void take_trunk(struct search *in)
{
    struct telling *t = &in->telling, *trunk = &in->trunk[in->ring.rate];
    int32_t to = in->ring.length - FORM_TURNAROUND;
    size_t size;

    to -= to % FORM_GROUP;
    if (trunk->first != in->ring.first || trunk->at > to)
        tell_nothing(in, trunk);
    lay_bars(in, trunk, to);
    while (trunk->at < to)
        tell_group(in, trunk);
    size = (size_t)to * sizeof *t->model;
    memcpy(t->model, trunk->model, size);
    memcpy(t->cost, trunk->cost, size);
    memcpy(t->again, trunk->again, size);
    memcpy(t->leader, trunk->leader, size);
    memcpy(t->group, trunk->group,
           (size_t)(to / FORM_GROUP) * sizeof *t->group);
    memcpy(t->circle, trunk->circle, (size_t)to * sizeof *t->circle);
    t->at = trunk->at;
    t->total = trunk->total;
    t->last = trunk->last;
    memcpy(t->gains, trunk->gains, (size_t)in->columns * sizeof *t->gains);
}

int32_t form_tell_groups(struct search *in)
{
    struct telling *t = &in->telling;

    tell_nothing(in, t);
    if (in->ring.passes == 1 && in->ring.length > FORM_TURNAROUND)
        take_trunk(in);
    lay_bars(in, t, in->ring.length);
    while (t->at < in->ring.length)
        tell_group(in, t);
    return t->total;
}
