/* indexer/form_groups.c - a form told by groups of bars that return. */
#include <string.h>

#include "indexer/form_search.h"

enum {
    RETURNS = 70,        /* that a group is an earlier one again */
    GOES_ON = 70,        /* the same, after one that returned just before */
    MOVED = 250,         /* that it was no group of its own there */
    EXCEPTION = 250      /* that one bar of it is not */
};

/* What it costs each bar of a slot, or of a circle, where a bar of this column
 * is meant. */
static const int32_t *slot_sums(const struct search *in, int32_t place)
{
    return in->ring.sums + (size_t)place * (size_t)in->columns;
}

static int32_t *circle_sums(const struct search *in, int32_t leader)
{
    return (in->telling.again[leader] == leader ? in->ring.sums
                                                : in->telling.together) +
           (size_t)leader * (size_t)in->columns;
}

/* What it costs that NOW stands for the bar EARLIER of the form and for all
 * that are the same bar again; not looked at beyond MOST. */
static int32_t cost_of_change(const struct search *in, int32_t earlier,
                              int32_t now, int32_t most)
{
    const struct telling *t = &in->telling;
    int32_t column = in->column[now], cost = 0, i = earlier;

    do {
        cost += slot_sums(in, i)[column] - t->cost[i];
        i = t->again[i];
    } while (i != earlier && cost < most);
    return cost;
}

/* The bar PLACE of the form as the bar EARLIER again, or as an exception.
 * *MODEL is what then stands for both of them; -1 for an exception. */
static int32_t cost_bar_as(const struct search *in, int32_t place,
                           int32_t earlier, int32_t *model)
{
    const struct telling *t = &in->telling;
    int32_t now = t->model[place], own = in->ring.own[place];
    int32_t leader = t->leader[earlier], other;
    int32_t same = slot_sums(in, place)[in->column[t->model[earlier]]];

    *model = t->model[earlier];
    /* Together they may be nearer to what stands for the later one. */
    other = own + circle_sums(in, leader)[in->column[now]] - t->spent[leader];
    if (other < same)
        other = own + cost_of_change(in, earlier, now, same);
    if (other < same) {
        same = other;
        *model = now;
    }
    other = EXCEPTION + in->news[now] + own;
    if (other >= same)
        return same;
    *model = -1;
    return other;
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

/* The SIZE bars from AT of the form as those from EARLIER again, which COST
 * to name; not more than MOST is looked at. */
static int32_t cost_as(const struct search *in, int32_t at, int32_t earlier,
                       int32_t size, int32_t cost, int32_t most)
{
    int32_t model;

    for (int32_t i = 0; i < size && cost < most; i++)
        cost += cost_bar_as(in, at + i, earlier + i, &model);
    return cost;
}

/* The bar PLACE of the form is EARLIER again, and MODEL stands for all that
 * are. */
static void join_bar(struct search *in, int32_t place, int32_t earlier,
                     int32_t model)
{
    struct telling *t = &in->telling;
    int32_t leader = t->leader[earlier], column = in->column[model];
    const int32_t *now = circle_sums(in, leader);
    const int32_t *more = slot_sums(in, place);
    int32_t *sums = t->together + (size_t)leader * (size_t)in->columns;
    int32_t home = (model - in->ring.first) % in->ring.length, i = place;

    for (int32_t c = 0; c < in->columns; c++)
        sums[c] = now[c] + more[c];
    t->leader[place] = leader;
    t->again[place] = t->again[earlier];
    t->again[earlier] = place;
    t->spent[leader] = 0;
    do {
        t->model[i] = model;
        t->cost[i] = i == home ? in->ring.own[i] : slot_sums(in, i)[column];
        t->spent[leader] += t->cost[i];
        i = t->again[i];
    } while (i != place);
}

/* From now on the bars that keep to the earlier group stand for it, too. */
static void join_group(struct search *in, int32_t at, int32_t earlier,
                       int32_t size)
{
    int32_t *group = in->telling.group;

    group[at / FORM_GROUP] = earlier % FORM_GROUP
                                 ? earlier / FORM_GROUP
                                 : group[earlier / FORM_GROUP];
    for (int32_t i = 0; i < size; i++) {
        int32_t model;

        cost_bar_as(in, at + i, earlier + i, &model);
        if (model >= 0)
            join_bar(in, at + i, earlier + i, model);
    }
}

/* The SIZE bars from AT of the form: told anew, or as an earlier group.  LAST
 * is where the group before came from, and is set anew; -1 none. */
static int32_t cost_group(struct search *in, int32_t at, int32_t size,
                          int32_t *last)
{
    int32_t best = 0, from = -1, number = RETURNS + cost_number(at);

    for (int32_t i = at; i < at + size; i++)
        best += in->news[in->telling.model[i]] + in->ring.own[i];
    for (int32_t earlier = 0; earlier + size <= at; earlier++) {
        int32_t name = *last >= 0 && earlier == *last + FORM_GROUP ? GOES_ON
                       : earlier % FORM_GROUP ? number + MOVED
                                              : number;
        int32_t cost = cost_as(in, at, earlier, size, name, best);

        if (cost < best) {
            best = cost;
            from = earlier;
        }
    }
    in->telling.group[at / FORM_GROUP] = at / FORM_GROUP;
    if (from >= 0)
        join_group(in, at, from, size);
    *last = from;
    return best;
}

int32_t form_tell_groups(struct search *in)
{
    struct telling *t = &in->telling;
    int32_t length = in->ring.length, total = 0, last = -1;

    memcpy(t->model, in->ring.model, (size_t)length * sizeof *t->model);
    memcpy(t->cost, in->ring.own, (size_t)length * sizeof *t->cost);
    memcpy(t->spent, in->ring.own, (size_t)length * sizeof *t->spent);
    for (int32_t i = 0; i < length; i++)
        t->again[i] = t->leader[i] = i;
    for (int32_t at = 0; at < length; at += FORM_GROUP) {
        int32_t left = length - at;

        total += cost_group(in, at, left < FORM_GROUP ? left : FORM_GROUP,
                            &last);
    }
    return total;
}
