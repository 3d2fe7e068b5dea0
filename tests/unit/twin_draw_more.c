/* twin_draw_more.c - what a question asks besides the fragment, at random. */
#include <ctype.h>
#include <string.h>

#include "tests/unit/twin.h"

static int least(int a, int b)
{
    return a < b ? a : b;
}

/* --- place ---------------------------------------------------------------- */

static void draw_chorus(struct question *q, const struct solo *solo,
                        const struct form_place *here)
{
    int count = solo ? (int)solo->form.chorus_count : 0;

    q->place.chorus = here && here->chorus ? here->chorus
                                           : 1 + (int)chance(3);
    if (one_in(8) || (q->place.chorus == count && one_in(2)))
        q->place.chorus = PLACE_LAST_CHORUS;
}

static void draw_bars(struct question *q, const struct form_place *here)
{
    int bar = here && here->chorus_bar ? here->chorus_bar
                                       : 1 + (int)chance(8);

    q->place.bar_low = bar - least((int)chance(3), bar - 1);
    q->place.bar_high = bar + (int)chance(3);
}

/* Its case does not matter. */
static void draw_section(struct question *q, const struct form_place *here)
{
    const char *letter = here && here->section ? here->section->letter : "A";
    bool lower = one_in(3);

    for (size_t i = 0; i < sizeof q->section - 1 && letter[i]; i++)
        q->section[i] = (char)(lower ? tolower((unsigned char)letter[i])
                                     : letter[i]);
}

static void draw_beat(struct question *q, const struct solo *solo,
                      const struct note *note)
{
    long long num = 2 + (int)chance(7), den = 2;

    if (solo)
        twin_beat(solo, note, &num, &den);
    q->place.has_beat = true;
    q->place.beat = rational_make(num, den);
}

void twin_draw_place(struct question *q, const struct solo *solo, int first)
{
    const struct note *note = solo ? &solo->notes[first] : NULL;
    const struct form_place *here = solo ? form_place_of(solo, note->bar)
                                         : NULL;

    for (int more = one_in(5) ? 2 : 1; more > 0; more--)
        switch (chance(5)) {
        case 0:
            draw_chorus(q, solo, here);
            break;
        case 1:
            draw_bars(q, here);
            break;
        case 2:
            draw_section(q, here);
            break;
        case 3:
            draw_beat(q, solo, note);
            break;
        default:
            q->place.within_phrase = true;
        }
}

/* --- the next chord ------------------------------------------------------- */

void twin_draw_into(struct question *q, const struct solo *solo, int first)
{
    const struct asked *before =
        q->over_count > 0 ? &q->over[q->over_count - 1] : NULL;
    int last = first + q->n - 1, class = (int)chance(CHORD_NONE);
    int root = (int)chance(12);
    const struct chord *from = NULL, *to = NULL;

    if (solo) {
        from = twin_heard(solo, solo->notes[last].heard);
        to = twin_heard(solo, twin_next_chord(solo, last));
    }
    if (to)
        class = to->class;
    if (from && to && before && before->has_root)
        root = mod12(before->root + to->root_pc - from->root_pc + 12);
    q->has_into = true;
    twin_ask_chord(&q->into, q->into_text, sizeof q->into_text, class, root,
                   one_in(2));
}

/* --- relations ------------------------------------------------------------ */

/* One that may hold over THERE. */
static enum twin_relation draw_rule(const struct chord *there)
{
    enum twin_relation relation;

    for (int tries = 0; tries < 40; tries++) {
        const struct twin_rule *rule;

        relation = (enum twin_relation)chance(TWIN_UNNAMED);
        rule = &twin_rules[relation];
        if (!there || rule->written == there->class ||
            (rule->written < 0 && (there->class == CHORD_MINOR ||
                                   there->class == CHORD_MAJOR ||
                                   there->class == CHORD_DOMINANT)))
            return relation;
    }
    return TWIN_II_OVER_V;
}

int twin_draw_relation(struct question *q, const struct solo *solo, int first,
                       bool rooted)
{
    const struct chord *there =
        solo ? twin_heard(solo, twin_window(solo, first, q->n)) : NULL;
    const struct twin_rule *rule;
    int class, root = (int)chance(12);

    q->reharmonized = true;
    q->has_relation = !one_in(4);
    q->relation = draw_rule(there);
    rule = &twin_rules[q->relation];
    class = rule->home >= 0 ? rule->home : there ? there->class : CHORD_MINOR;
    if (class != CHORD_MAJOR && class != CHORD_DOMINANT)
        class = CHORD_MINOR;
    if (there && there->has_root)
        root = mod12(there->root_pc - rule->up);
    q->over_count = 1;
    do {
        q->over_text[0] = '\0';
        twin_ask_chord(&q->over[0], q->over_text, sizeof q->over_text, class,
                       root, rooted);
    } while (rooted && !q->over[0].has_root);
    return root;
}

/* --- edits ---------------------------------------------------------------- */

static void make_room(struct question *q, int at, int by)
{
    memmove(&q->midi[at + by], &q->midi[at],
            (size_t)(q->n - at) * sizeof *q->midi);
    q->n += by;
}

void twin_draw_edits(struct question *q)
{
    for (int i = q->edits; i > 0 && q->n > 2; i--) {
        int at = 1 + (int)chance((unsigned)q->n - 2);
        int step = random_step();

        if (one_in(4))
            continue;
        if (one_in(3)) {
            q->midi[at] += step % 7;
        } else if (one_in(2) && q->n > 3) {
            make_room(q, at + 1, -1);
        } else if (q->n < 16) {
            make_room(q, at, 1);
            q->midi[at] = q->midi[at - 1] + step % 7;
        }
    }
}
