/* check_edits_twin.c - search with edits against a plain one.
 *
 * The twin is written from the definition: for every first and every last
 * note, the least edits over every transposition, one number a cell; then all
 * places sorted and taken one by one.  Places, edits and what is refused must
 * agree for random fragments and lines.  CELLAR_TWIN_CASES says how many are
 * drawn.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/edits.h"
#include "query/find.h"
#include "tests/unit/suites.h"

enum {
    CASES = 8000,
    LINE_MAX = 96,
    FAR = 1000,
    KEYS_MAX = 1200 /* transpositions */
};

struct puzzle {
    int n, count, most;
    int midi[32], group[32], line[LINE_MAX];
    bool any[32], any_octave;
    int refuse; /* 0: nothing; else which places are refused */
};

static bool allowed(const struct puzzle *p, int first, int last)
{
    return p->refuse == 0 || (first * 7 + last * 3 + p->refuse) % 4 != 0;
}

/* --- the twin ------------------------------------------------------------ */

static bool begins_group(const struct puzzle *p, int a)
{
    for (int before = a - 1; before >= 0 && !p->any[a]; before--)
        if (!p->any[before])
            return p->group[before] != p->group[a];
    return false;
}

static bool fits(const struct puzzle *p, int a, int at, int key)
{
    int off = p->line[at] - p->midi[a] - key;

    return p->any[a] || (p->any_octave ? off % 12 == 0 : off == 0);
}

static void lower(int *cell, int value)
{
    if (value < *cell)
        *cell = value;
}

/* The transpositions LOW..LOW+COUNT-1 that let any note fit any other. */
static int keys(const struct puzzle *p, int *low)
{
    int top = -FAR, bottom = FAR, high = -FAR, deep = 2 * FAR;

    for (int a = 0; a < p->n; a++) {
        high = p->midi[a] > high ? p->midi[a] : high;
        deep = p->midi[a] < deep ? p->midi[a] : deep;
    }
    for (int i = 0; i < p->count; i++) {
        top = p->line[i] > top ? p->line[i] : top;
        bottom = p->line[i] < bottom ? p->line[i] : bottom;
    }
    *low = p->any_octave ? 0 : bottom - high;
    return p->any_octave ? 12 : top - deep - *low + 1;
}

/* cost[A][B][T]: A notes of the fragment have become B notes of the place, in
 * transposition T. */
static int cost[33][40][KEYS_MAX];

static void go_on(const struct puzzle *p, int a, int b, int first, int length,
                  int t, int key)
{
    int here = cost[a][b][t];
    bool inner = a > 0 && a < p->n - 1;

    if (a > 0 && b < length)
        lower(&cost[a][b + 1][t], here + 1);
    if (inner)
        lower(&cost[a + 1][b][t], here + 1);
    if (inner && b < length)
        lower(&cost[a + 1][b + 1][t], here + 1);
    if (b < length && fits(p, a, first + b, key))
        lower(&cost[a + 1][b + 1][t], here);
}

static int least_edits(const struct puzzle *p, int first, int length)
{
    int low, count = keys(p, &low), least = FAR;

    ck_assert_int_le(count, KEYS_MAX);
    for (int a = 0; a <= p->n; a++)
        for (int b = 0; b <= length; b++)
            for (int t = 0; t < count; t++)
                cost[a][b][t] = a == 0 && b == 0 ? 0 : FAR;
    for (int a = 0; a < p->n; a++)
        for (int b = 0; b <= length; b++) {
            int any = FAR;

            for (int t = 0; t < count && begins_group(p, a); t++)
                lower(&any, cost[a][b][t]);
            for (int t = 0; t < count; t++) {
                lower(&cost[a][b][t], any);
                go_on(p, a, b, first, length, t, low + t);
            }
        }
    for (int t = 0; t < count; t++)
        lower(&least, cost[p->n][length][t]);
    return least;
}

struct twin_place {
    int first, last, edits;
};

static int best_first(const void *a, const void *b)
{
    const struct twin_place *x = a, *y = b;

    if (x->edits != y->edits)
        return x->edits - y->edits;
    if (x->first != y->first)
        return x->first - y->first;
    return x->last - y->last;
}

static int in_order(const void *a, const void *b)
{
    return ((const struct twin_place *)a)->first - ((const struct twin_place *)b)->first;
}

static int twin_places(const struct puzzle *p, struct twin_place taken[LINE_MAX])
{
    struct twin_place all[LINE_MAX * 8];
    int count = 0, kept = 0;

    for (int i = 0; i < p->count; i++)
        for (int length = p->n - p->most; length <= p->n + p->most; length++) {
            int last = i + length - 1;
            int edits =
                length > 0 && last < p->count ? least_edits(p, i, length) : FAR;

            if (edits <= p->most && allowed(p, i, last))
                all[count++] = (struct twin_place){ i, last, edits };
        }
    if (count > 0)
        qsort(all, (size_t)count, sizeof *all, best_first);
    for (int i = 0; i < count; i++) {
        bool free_still = true;

        for (int k = 0; k < kept; k++)
            if (all[i].first <= taken[k].last && taken[k].first <= all[i].last)
                free_still = false;
        if (free_still)
            taken[kept++] = all[i];
    }
    if (kept > 0)
        qsort(taken, (size_t)kept, sizeof *taken, in_order);
    return kept;
}

/* --- drawing ------------------------------------------------------------- */

/* 0..N-1, the same in every run (Marsaglia, Xorshift RNGs, 2003; from
 * memory). */
static unsigned chance(unsigned n)
{
    static uint64_t state = 88172645463325252u;

    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return (unsigned)(state >> 33) % n;
}

static bool one_in(unsigned n)
{
    return chance(n) == 0;
}

static int between(int low, int high)
{
    return low + (int)chance((unsigned)(high - low + 1));
}

/* A part of the line, a note here and there changed, inserted or left out. */
static void draw_from_line(struct puzzle *p)
{
    int at = between(0, p->count - 1), up = between(-9, 9);

    for (int i = 0; i < p->n; i++) {
        bool there = at < p->count && !one_in(7);

        p->midi[i] = 40 + up + (there ? p->line[at] : between(0, 12));
        at += one_in(8) ? between(0, 2) : 1;
    }
}

static void draw(struct puzzle *p)
{
    static const int ranges[] = { 2, 5, 5, 12, 12, 24 };
    bool wide = one_in(60), many = one_in(150), groups = one_in(3);
    int range = wide ? 127 : ranges[chance(6)];

    memset(p, 0, sizeof *p);
    p->n = many ? between(20, 32) : between(2, 8);
    p->count = many ? between(30, 50) : between(0, one_in(6) ? 6 : 34);
    p->most = one_in(3) ? 3 : between(0, 3);
    p->any_octave = one_in(4);
    p->refuse = one_in(4) ? between(1, 4) : 0;
    for (int i = 0; i < p->count; i++)
        p->line[i] = between(0, range);
    for (int i = 0; i < p->n; i++)
        p->midi[i] = 40 + between(0, range);
    if (p->count > 0 && !one_in(4))
        draw_from_line(p);
    for (int i = 0; i < p->n; i++) {
        p->any[i] = one_in(groups ? 5 : 10);
        p->group[i] = i == 0 ? 0 : p->group[i - 1] + (groups && one_in(4));
    }
    /* So far away that a byte would come round again. */
    if (one_in(30))
        p->midi[chance((unsigned)p->n)] += 256;
}

/* --- comparing ----------------------------------------------------------- */

static const char *told(const struct puzzle *p)
{
    static char out[2000];
    size_t used = (size_t)snprintf(
        out, sizeof out, "%d edits%s, refusing %d, fragment", p->most,
        p->any_octave ? " in any octave" : "", p->refuse);

    for (int i = 0; i < p->n; i++)
        used += (size_t)snprintf(out + used, sizeof out - used, " %d%s/%d",
                                 p->midi[i], p->any[i] ? "?" : "", p->group[i]);
    used += (size_t)snprintf(out + used, sizeof out - used, ", line");
    for (int i = 0; i < p->count; i++)
        used +=
            (size_t)snprintf(out + used, sizeof out - used, " %d", p->line[i]);
    return out;
}

static bool accept(void *context, size_t first, size_t last)
{
    return allowed(context, (int)first, (int)last);
}

/* The steps are a way from the fragment to the place, in as many edits as
 * said, with one transposition a group. */
static void check_alignment(const struct puzzle *p, const struct edits *edits,
                            const uint8_t *midi, const struct twin_place *place)
{
    struct edits_alignment got;
    int note = 0, at = 0, done = 0, key = FAR;
    const uint8_t *here = midi + place->first;
    int length = place->last - place->first + 1;

    ck_assert_msg(edits_align(edits, here, (size_t)length, &got), "%s",
                  told(p));
    for (size_t i = 0; i < got.count; i++) {
        const struct edits_step *s = &got.steps[i];
        bool has_note = s->edit != EDIT_INSERTED;
        bool has_at = s->edit != EDIT_LEFT_OUT;

        ck_assert_msg(s->note == (has_note ? note : -1) &&
                          s->at == (has_at ? at : -1),
                      "%s: step %zu", told(p), i);
        if (has_note && begins_group(p, note))
            key = FAR;
        if (s->edit == EDIT_NONE && !p->any[note]) {
            int up = here[at] - p->midi[note];

            if (p->any_octave)
                up = ((up % 12) + 12) % 12;
            ck_assert_msg(key == FAR || key == up, "%s: key of step %zu",
                          told(p), i);
            key = up;
            ck_assert_int_eq(s->wanted,
                             p->any_octave ? here[at] % 12 : here[at]);
        }
        done += s->edit != EDIT_NONE;
        note += has_note;
        at += has_at;
    }
    ck_assert_msg(note == p->n && at == length && done == place->edits &&
                      got.edits == done && got.steps[0].edit == EDIT_NONE &&
                      got.steps[got.count - 1].edit == EDIT_NONE,
                  "%s: the way through %d-%d", told(p), place->first,
                  place->last);
}

/* Without edits and refusals, the places are matches to find as well, and
 * every other match shares a note with one of them. */
static void check_exact(const struct puzzle *p, const struct fragment *f,
                        const struct edits_place *places, size_t found)
{
    struct note notes[LINE_MAX];
    struct solo solo = { .notes = notes, .note_count = (size_t)p->count };
    struct find_query query = { .fragment = *f, .any_octave = p->any_octave };
    size_t free_from = 0, next = 0;

    memset(notes, 0, sizeof notes);
    for (int i = 0; i < p->count; i++)
        notes[i].midi = (uint8_t)p->line[i];
    for (size_t i = 0; i < solo.note_count; i++) {
        if (!find_matches_at(&query, &solo, i) || i < free_from)
            continue;
        ck_assert_msg(next < found && places[next].first == i &&
                          places[next].last == i + f->count - 1,
                      "%s: find has note %zu", told(p), i);
        free_from = i + f->count;
        next++;
    }
    ck_assert_msg(next == found, "%s: find has fewer", told(p));
}

/* How many cases had places of each sort. */
static unsigned with_edits[EDITS_MAX + 1], with_octave, with_groups, with_any,
    with_refusal, without;

static void tally(const struct puzzle *p, const struct twin_place *places, int count)
{
    bool any = false;

    for (int i = 0; i < p->n; i++)
        any = any || p->any[i];
    without += count == 0;
    with_octave += count > 0 && p->any_octave;
    with_groups += count > 0 && p->group[p->n - 1] > 0;
    with_any += count > 0 && any;
    with_refusal += count > 0 && p->refuse;
    for (int i = 0; i < count; i++)
        with_edits[places[i].edits]++;
}

static void run_case(const struct puzzle *p)
{
    struct fragment f = { .language = FRAGMENT_INTERVALS,
                          .count = (size_t)p->n };
    struct twin_place wanted[LINE_MAX];
    int count = twin_places(p, wanted);
    const struct edits_place *places;
    uint8_t midi[LINE_MAX];
    struct fault why = { 0 };
    struct puzzle context = *p;
    struct edits *edits;
    size_t found;

    memcpy(f.midi, p->midi, sizeof f.midi);
    memcpy(f.group, p->group, sizeof f.group);
    memcpy(f.any, p->any, sizeof f.any);
    for (int i = 0; i < p->count; i++)
        midi[i] = (uint8_t)p->line[i];
    ck_assert_int_eq(edits_new(&edits, &f, p->any_octave, p->most, &why),
                     ST_OK);
    ck_assert_int_eq(edits_find(edits, midi, (size_t)p->count, accept, &context,
                                &places, &found, &why),
                     ST_OK);
    for (int i = 0; i < count && i < (int)found; i++) {
        ck_assert_msg((int)places[i].first == wanted[i].first &&
                          (int)places[i].last == wanted[i].last &&
                          places[i].edits == wanted[i].edits,
                      "%s: place %u-%u:%d, but %d-%d:%d to the twin", told(p),
                      places[i].first, places[i].last, places[i].edits,
                      wanted[i].first, wanted[i].last, wanted[i].edits);
        check_alignment(p, edits, midi, &wanted[i]);
    }
    ck_assert_msg((int)found == count, "%s: %zu places, %d to the twin",
                  told(p), found, count);
    if (p->most == 0 && !p->refuse)
        check_exact(p, &f, places, found);
    tally(p, wanted, count);
    edits_free(edits);
}

START_TEST(edits_and_their_twin_agree)
{
    const char *wanted = getenv("CELLAR_TWIN_CASES");
    int cases = wanted && wanted[0] ? atoi(wanted) : CASES;

    for (int i = 0; i < cases; i++) {
        struct puzzle p;

        draw(&p);
        run_case(&p);
    }
    printf(
        "edits twin: %d cases, %u without places; places with 0 to 3 edits: "
        "%u %u %u %u\n",
        cases, without, with_edits[0], with_edits[1], with_edits[2],
        with_edits[3]);
    printf(
        "edits twin: with places %u any octave, %u groups, %u wildcards, "
        "%u refusals\n",
        with_octave, with_groups, with_any, with_refusal);
    fflush(stdout);
    /* A comparison of nothing with nothing would prove little. */
    for (int i = 0; i <= EDITS_MAX; i++)
        ck_assert_msg(cases < 1000 || with_edits[i] * 10 > (unsigned)cases,
                      "few places with %d edits", i);
    ck_assert(cases < 1000 || without * 2 < (unsigned)cases);
}
END_TEST

Suite *edits_twin_suite(void)
{
    Suite *suite = suite_create("edits_twin");
    TCase *tests = tcase_create("edits_twin");

    tcase_set_timeout(tests, 900);
    tcase_add_test(tests, edits_and_their_twin_agree);
    suite_add_tcase(suite, tests);
    return suite;
}
