/* tension_twin_draw.c - questions for tension, as text and as plain numbers.
 *
 * The numbers come from the generator, not from the parser, so that the parser
 * is tested as well.
 */
#include <stdio.h>
#include <string.h>

#include "tests/unit/tension_twin.h"

const char *const tension_twin_degrees[12][3] = {
    { "1", "8", "1" },     { "b9", "b2", "b9" },  { "9", "2", "9" },
    { "b3", "#9", "b3" },  { "3", "3", "b4" },    { "11", "4", "11" },
    { "#11", "b5", "#4" }, { "5", "12", "5" },    { "b13", "b6", "#5" },
    { "13", "6", "bb7" },  { "b7", "b7", "#13" }, { "7", "7", "b1" }
};

static const struct {
    const char *text;
    int num, den;
} values[] = { { "16", 1, 4 }, { "8t", 1, 3 }, { "8", 1, 2 }, { "4t", 2, 3 },
               { "4", 1, 1 },  { "4.", 3, 2 }, { "2", 2, 1 } };

static void draw_length(struct asked_tension *t)
{
    unsigned a = chance(7), b = chance(7), how = chance(4);
    unsigned low = a < b ? a : b, high = a < b ? b : a;

    if (how < 3)
        low = high = a;
    t->has_low = how != 1;
    t->has_high = how != 0;
    t->low[0] = values[low].num;
    t->low[1] = values[low].den;
    t->high[0] = values[high].num;
    t->high[1] = values[high].den;
    snprintf(t->length, sizeof t->length, "%s%s%s", values[a].text,
             how == 0   ? "+"
             : how == 2 ? ""
                        : "-",
             how == 3 ? values[b].text : "");
}

static void draw_move(struct asked_tension *t, int k)
{
    static const struct {
        const char *text;
        int least, most;
    } moves[] = { { "step", 1, 2 },
                  { "chromatic", 1, 1 },
                  { "leap", 3, 200 },
                  { "", 0, 200 },
                  { "repeated", 0, 0 } };
    static const char *const ways[2][2] = { { "below", "above" },
                                            { "up", "down" } };
    unsigned move = chance(5);

    t->least[k] = moves[move].least;
    t->most[k] = moves[move].most;
    t->way[k] = move == 4 || (move < 3 && one_in(2)) ? 0 : one_in(2) ? 1 : -1;
    snprintf(t->move[k], sizeof t->move[k], "%s%s%s", moves[move].text,
             !t->way[k]  ? ""
             : one_in(2) ? "-"
                         : " ",
             !t->way[k] ? "" : ways[k][t->way[k] < 0]);
}

static void draw_over(struct asked_tension *t, const struct solo *solo, int i)
{
    const struct chord_event *event = twin_event(solo, solo->notes[i].heard);
    struct twin_function parts;

    if (!event)
        return;
    t->q.over_count = 1;
    if (event->function[0] && one_in(3)) {
        twin_function_read(&parts, event->function);
        t->q.over[0].class = parts.class;
        strcpy(t->q.over[0].function, event->function);
        strcpy(t->q.over_text, event->function);
        return;
    }
    twin_ask_chord(&t->q.over[0], t->q.over_text, sizeof t->q.over_text,
                   event->chord.class, (int)chance(12), one_in(2));
}

static void draw_goal(struct asked_tension *t, const struct solo *solo, int i)
{
    int to = tension_twin_goal(t, solo, i);
    bool from = t->degree >= 0 && one_in(2);

    t->goal = to >= 0 && !one_in(4) ? to : one_in(3) ? (int)chance(12) : -1;
    snprintf(t->resolves, sizeof t->resolves, "%s%s%s",
             from ? tension_twin_degrees[t->degree][chance(3)] : "",
             from ? ">" : "",
             t->goal < 0 ? "?" : tension_twin_degrees[t->goal][chance(3)]);
}

/* The note of which it holds is drawn first. */
void tension_twin_draw(struct asked_tension *t)
{
    const struct solo *solo;
    int i = 0;

    memset(t, 0, sizeof *t);
    t->goal = -2;
    do
        solo = twin_solos[chance((unsigned)twin_solo_count)].solo;
    while (solo->note_count == 0);
    i = (int)chance((unsigned)solo->note_count);
    t->degree =
        tension_twin_degree(solo, solo->notes[i].heard, solo->notes[i].midi);
    if (one_in(8))
        t->degree = (int)chance(12);
    if (t->degree >= 0)
        snprintf(t->degree_text, sizeof t->degree_text, "%s",
                 tension_twin_degrees[t->degree][chance(3)]);
    if (!one_in(3))
        draw_over(t, solo, i);
    if (one_in(4))
        twin_draw_place(&t->q, solo, i);
    if (one_in(12))
        t->q.place.at = (enum place_at)(1 + chance(4));
    if (one_in(4))
        draw_length(t);
    for (int k = 0; k < 2; k++)
        if (one_in(4))
            draw_move(t, k);
    t->accent = one_in(4) ? (int)chance(3) : -1;
    t->in_phrase = one_in(5) ? (int)chance(3) : -1;
    if (one_in(4))
        draw_goal(t, solo, i);
    t->q.performer = one_in(4) ? twin_players[chance(3)] : NULL;
}
