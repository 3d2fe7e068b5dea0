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
    int32_t now, column;     /* what stands for it, and its column */
    const int32_t *sums;     /* of its slot */
    int32_t own;
    int32_t exception;       /* the cost of being one in its group */
};

static inline void read_later(const struct search *in, int32_t place,
                       struct later *out)
{
    out->now = in->telling.model[place];
    out->column = in->column[out->now];
    out->sums = in->ring.rows[place];
    out->own = in->ring.own[place];
    out->exception = EXCEPTION + in->news[out->now] + out->own;
}

/* What it costs that LATER stands for the bar EARLIER of the form and for all
 * that are the same bar again; not looked at beyond MOST. */
static int32_t cost_of_change(const struct search *in,
                              const struct later *later, int32_t earlier,
                              int32_t most)
{
    const struct telling *t = &in->telling;
    int32_t cost = 0, i = earlier;

    do {
        cost += in->ring.rows[i][later->column] - t->cost[i];
        i = t->again[i];
    } while (i != earlier && cost < most);
    return cost;
}

/* LATER as the bar EARLIER again; where *CHANGED it also stands for that, to
 * which the two together are nearer. */
static inline int32_t cost_same(const struct search *in,
                                const struct later *later, int32_t earlier,
                                bool *changed)
{
    const struct circle *circle = &in->telling.circle[earlier];
    int32_t same = later->sums[circle->column];
    int32_t other = later->own + circle->sums[later->column] - circle->spent;

    if (other < same)
        other = later->own + cost_of_change(in, later, earlier, same);
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

/* The SIZE bars LATER as those from EARLIER again, which COST to name; not more
 * than MOST is looked at. */
static inline int32_t cost_as(const struct search *in,
                              const struct later *later, int32_t earlier,
                              int32_t size, int32_t cost, int32_t most)
{
    bool changed;

    for (int32_t i = 0; i < size && cost < most; i++) {
        int32_t same = cost_same(in, &later[i], earlier + i, &changed);

        cost += same < later[i].exception ? same : later[i].exception;
    }
    return cost;
}

/* The bar PLACE of the form is EARLIER again, and MODEL stands for all that
 * are. */
static void join_bar(struct search *in, int32_t place, int32_t earlier,
                     int32_t model)
{
    struct telling *t = &in->telling;
    int32_t leader = t->leader[earlier];
    int32_t home = (model - in->ring.first) % in->ring.length, i = place;
    int32_t *sums = t->together + (size_t)leader * (size_t)in->columns;
    struct circle circle = { sums, 0, in->column[model] };

    if (t->circle[earlier].sums != sums)
        memcpy(sums, t->circle[earlier].sums,
               (size_t)in->columns * sizeof *sums);
    form_add_row(sums, in->ring.rows[place], in->columns);
    t->leader[place] = leader;
    t->again[place] = t->again[earlier];
    t->again[earlier] = place;
    do {
        t->model[i] = model;
        t->cost[i] = i == home ? in->ring.own[i]
                               : in->ring.rows[i][circle.column];
        circle.spent += t->cost[i];
        i = t->again[i];
    } while (i != place);
    do {
        t->circle[i] = circle;
        i = t->again[i];
    } while (i != place);
}

/* The bars of a group, and which earlier ones they are best told as. */
struct telling_group {
    struct later later[FORM_GROUP];
    int32_t size, cost;
    int32_t from; /* -1: told anew */
};

/* From now on the bars that keep to the earlier group stand for it, too. */
static void join_group(struct search *in, int32_t at,
                       const struct telling_group *group)
{
    int32_t *groups = in->telling.group, earlier = group->from;

    groups[at / FORM_GROUP] = earlier % FORM_GROUP
                                  ? earlier / FORM_GROUP
                                  : groups[earlier / FORM_GROUP];
    for (int32_t i = 0; i < group->size; i++) {
        const struct later *later = &group->later[i];
        int32_t then = in->telling.model[earlier + i];
        bool changed;

        if (cost_same(in, later, earlier + i, &changed) <= later->exception)
            join_bar(in, at + i, earlier + i, changed ? later->now : then);
    }
}

/* The SIZE bars from AT of the form: told anew, or as an earlier group.  LAST
 * is where the group before came from, and is set anew; -1 none. */
static int32_t cost_group(struct search *in, int32_t at, int32_t size,
                          int32_t *last)
{
    struct telling_group group = { .size = size, .from = -1 };
    int32_t number = RETURNS + cost_number(at);
    int32_t next = *last >= 0 ? *last + FORM_GROUP : -1;

    for (int32_t i = 0; i < size; i++) {
        read_later(in, at + i, &group.later[i]);
        group.cost += group.later[i].exception - EXCEPTION;
    }
    for (int32_t earlier = 0; earlier + size <= at; earlier++) {
        int32_t name = earlier == next         ? GOES_ON
                       : earlier % FORM_GROUP ? number + MOVED
                                              : number;
        int32_t cost =
            cost_as(in, group.later, earlier, size, name, group.cost);

        if (cost < group.cost) {
            group.cost = cost;
            group.from = earlier;
        }
    }
    in->telling.group[at / FORM_GROUP] = at / FORM_GROUP;
    if (group.from >= 0)
        join_group(in, at, &group);
    *last = group.from;
    return group.cost;
}

int32_t form_tell_groups(struct search *in)
{
    struct telling *t = &in->telling;
    int32_t length = in->ring.length, total = 0, last = -1;

    memcpy(t->model, in->ring.model, (size_t)length * sizeof *t->model);
    memcpy(t->cost, in->ring.own, (size_t)length * sizeof *t->cost);
    for (int32_t i = 0; i < length; i++) {
        t->again[i] = t->leader[i] = i;
        t->circle[i] = (struct circle){ in->ring.rows[i], in->ring.own[i],
                                        in->column[in->ring.model[i]] };
    }
    for (int32_t at = 0; at < length; at += FORM_GROUP) {
        int32_t left = length - at;

        total += cost_group(in, at, left < FORM_GROUP ? left : FORM_GROUP,
                            &last);
    }
    return total;
}
