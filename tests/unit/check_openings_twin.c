/* check_openings_twin.c - openings, worked out a second time.
 *
 * Everything here is written from the definitions in query/openings.h and
 * openings_library.h, note by note and pair by pair, and must give the same as
 * the modules do for solos made up at random, corpus-demo and, where they are
 * at hand, real files.
 */
#include <stdlib.h>
#include <string.h>

#include "query/openings_library.h"
#include "tests/unit/suites.h"
#include "tests/unit/twin.h"

enum { NOTES = 512 };

/* --- the phrase ---------------------------------------------------------- */

struct plain {
    int kind, from, first, inside, last;
    int64_t start, riff_end;
};

static bool belongs(const struct solo *solo, const struct note *n,
                    int64_t start, int64_t end)
{
    if (n->start >= start)
        return n->start < end;
    return start - n->start <= solo->ticks / 2 &&
           n->start + n->duration > start;
}

static struct plain plain_of(const struct solo *solo, size_t c)
{
    const struct form_chorus *chorus = &solo->form.choruses[c];
    struct plain out = { OPENING_SILENT, 0, -1, -1, -1, 0, 0 };
    const struct bar *bars = solo->bars;
    int64_t end = 0, whole;

    out.start = bars[chorus->first_bar].start;
    whole = bars[chorus->first_bar].nominal;
    if (whole == 0)
        whole = bars[chorus->first_bar].length;
    for (int i = 0; i < chorus->play_count; i++) {
        int at = chorus->first_play + i, bar = solo->plays[at];

        if (bar != chorus->first_bar + i)
            break;
        end = bars[bar].start + bars[bar].length;
        if (solo->form.numbers[at] - solo->form.numbers[chorus->first_play] < 8)
            out.riff_end = end;
    }
    for (size_t i = solo->note_count; i-- > 0;)
        if (belongs(solo, &solo->notes[i], out.start, end))
            out.inside = (int)i;
    if (out.inside < 0)
        return out;
    out.kind = OPENING_CLEAR;
    for (size_t i = solo->note_count; i-- > 0;)
        if (solo->notes[i].phrase == solo->notes[out.inside].phrase)
            out.first = (int)i;
    if (out.first != out.inside &&
        out.start - solo->notes[out.first].start > whole) {
        int phrase = solo->notes[out.inside].phrase;

        out.from = form_place_of(solo, solo->notes[out.first].bar)->chorus;
        out.kind = OPENING_RUNS_OVER;
        for (size_t i = solo->note_count; i-- > 0;)
            if (solo->notes[i].phrase == phrase + 1 &&
                solo->notes[i].start < end) {
                out.kind = OPENING_RUNS_ON;
                out.first = out.inside = (int)i;
            }
        if (out.kind == OPENING_RUNS_OVER)
            return out;
    }
    for (size_t i = 0; i < solo->note_count; i++)
        if (solo->notes[i].phrase == solo->notes[out.first].phrase)
            out.last = (int)i;
    return out;
}

/* --- groups -------------------------------------------------------------- */

static int64_t wait(const struct solo *solo, int i)
{
    return solo->notes[i + 1].start - solo->notes[i].start;
}

/* The lower median, by counting. */
static int64_t usual(const struct solo *solo, int first, int last)
{
    int count = last - first < NOTES ? last - first : NOTES;

    if (count <= 0)
        return solo->ticks;
    for (int i = first; i < first + count; i++) {
        int less = 0, same = 0;

        for (int k = first; k < first + count; k++) {
            less += wait(solo, k) < wait(solo, i);
            same += wait(solo, k) == wait(solo, i);
        }
        if (less <= (count - 1) / 2 && less + same > (count - 1) / 2)
            return wait(solo, i) > 0 ? wait(solo, i) : 1;
    }
    return 0;
}

static bool ends_group(const struct solo *solo, int i, int64_t median)
{
    const struct note *n = &solo->notes[i];
    int64_t rest;

    if ((size_t)i + 1 == solo->note_count || n[1].phrase != n->phrase)
        return true;
    rest = n[1].start - n->start - n->duration;
    return wait(solo, i) + (rest < 0 ? 0 : rest) >= 3 * median;
}

/* What counts as the same place of the bar: by the metres of the twin. */
static int64_t period(const struct solo *solo, int bar)
{
    const char *metre = solo->bars[bar].metre;
    int beats = atoi(metre), unit = strchr(metre, '/')
                                        ? atoi(strchr(metre, '/') + 1)
                                        : 0;

    if (beats <= 0 || unit <= 0)
        return solo->ticks;
    /* Two halves: an even number of beats, or of dotted ones. */
    if (unit >= 8 && beats % 3 == 0 && beats > 3)
        return (beats / 3 % 2 == 0 ? beats / 2 : beats) * 4 * solo->ticks /
               unit;
    return beats * 4 * solo->ticks / unit / (beats % 2 == 0 ? 2 : 1);
}

static int up(const struct solo *solo, int i)
{
    return solo->notes[i + 1].midi - solo->notes[i].midi;
}

struct alike {
    bool line, shape, times, place;
};

static struct alike compare(const struct solo *solo, int a, int b, int n)
{
    struct alike out = { true, true, true, true };

    for (int i = 0; i + 1 < n; i++) {
        int x = up(solo, a + i), y = up(solo, b + i);

        out.line = out.line && x == y;
        out.shape = out.shape && abs(x - y) <= 2 &&
                    (x == 0 ? y == 0 : x > 0 ? y > 0 : y < 0);
        out.times = out.times && wait(solo, a + i) == wait(solo, b + i);
    }
    out.place = (solo->notes[b].start - solo->notes[a].start) %
                    period(solo, solo->notes[a].bar) ==
                0;
    return out;
}

/* --- riffs --------------------------------------------------------------- */

static void riff_of(struct opening_riff *best, const struct solo *solo,
                    const struct plain *p)
{
    int from[NOTES], count = 0, end = p->first + 1;
    int length[NOTES], top = 0;
    int64_t median;

    memset(best, 0, sizeof *best);
    while ((size_t)end < solo->note_count &&
           solo->notes[end].start < p->riff_end && end - p->first < NOTES)
        end++;
    median = usual(solo, p->first, end - 1);
    for (int i = p->first; i < end; i++) {
        if (i == p->first || ends_group(solo, i - 1, median)) {
            from[count] = i;
            length[count++] = 0;
        }
        length[count - 1]++;
    }
    for (int m = 0; m < count && from[m] <= p->last; m++) {
        const struct note *first = &solo->notes[from[m]];
        const struct bar *bar = &solo->bars[first->bar];
        struct opening_riff r = { true, (size_t)from[m],
                                  (size_t)(from[m] + length[m] - 1),
                                  0, 0, 0, 0 };
        int most;

        for (int g = 0; g < count; g++) {
            struct alike a;

            if (length[g] != length[m])
                continue;
            a = compare(solo, from[m], from[g], length[m]);
            r.line += a.line;
            r.notes += a.line && solo->notes[from[g]].midi == first->midi;
            r.shape += a.shape;
            r.rhythm += a.times && a.place;
        }
        if (length[m] == 3) {
            r.shape = r.line;
            r.rhythm = r.rhythm >= 3 ? r.rhythm : 1;
        }
        most = r.line > r.shape ? r.line : r.shape;
        most = r.rhythm > most ? r.rhythm : most;
        if (length[m] >= 3 && most >= 2 && most > top &&
            solo->notes[r.last].start - first->start <
                2 * (bar->nominal ? bar->nominal : bar->length)) {
            top = most;
            *best = r;
        }
    }
}

/* --- returns ------------------------------------------------------------- */

static int head_of(const struct solo *solo, const struct plain *p, int from)
{
    int64_t median = usual(solo, p->first, p->last);
    int n = 1;

    while (n < 7 && from + n <= p->last &&
           (n < 4 || !ends_group(solo, from + n - 1, median)))
        n++;
    return n;
}

/* The fewest changes that turn the N notes at A into some first notes of the
 * M at B, the first and last kept, 99 where it cannot be: every way is tried.
 * MOVED is the transposition, which the first notes fix. */
static int changes(const struct solo *solo, int a, int n, int b, int m,
                   int moved, int left)
{
    int best = 99, now;

    if (left < 0 || n == 0 || m == 0)
        return 99;
    /* The last note. */
    if (n == 1)
        best = solo->notes[a].midi + moved == solo->notes[b].midi ? 0 : 99;
    if (n > 1) {
        bool same = solo->notes[a].midi + moved == solo->notes[b].midi;

        now = changes(solo, a + 1, n - 1, b + 1, m - 1, moved, left - !same);
        best = now + !same < best ? now + !same : best;
        now = changes(solo, a + 1, n - 1, b, m, moved, left - 1) + 1;
        best = now < best ? now : best;
    }
    now = changes(solo, a, n, b + 1, m - 1, moved, left - 1) + 1;
    return now < best ? now : best;
}

static bool return_of(struct opening_return *out, const struct solo *solo,
                      const struct plain *x, const struct plain *y)
{
    for (int from = 0; from < 2; from++) {
        int a = from ? x->inside : x->first, b = from ? y->inside : y->first;
        int n = 1;

        while (a + n <= x->last && b + n <= y->last &&
               up(solo, a + n - 1) == up(solo, b + n - 1))
            n++;
        if (n < 4 && !(n == 3 && x->last - a == 2 && y->last - b == 2))
            continue;
        out->how = OPENING_LINE;
        out->notes = n;
        out->up = solo->notes[b].midi - solo->notes[a].midi;
        return true;
    }
    for (int from = 0; from < 2; from++) {
        int a = from ? x->inside : x->first, b = from ? y->inside : y->first;
        int n = head_of(solo, x, a);
        int64_t apart = (x->start - solo->notes[a].start) -
                        (y->start - solo->notes[b].start);
        bool same = n >= 4 && n == head_of(solo, y, b) &&
                    apart % period(solo, solo->notes[a].bar) == 0;

        for (int i = 0; i + 1 < n && same; i++) {
            int p = up(solo, a + i), q = up(solo, b + i);

            same = wait(solo, a + i) == wait(solo, b + i) &&
                   (p == 0 ? q == 0 : p > 0 ? q > 0 : q < 0);
        }
        if (!same)
            continue;
        out->how = OPENING_RHYTHM;
        out->notes = n;
        return true;
    }
    for (int from = 0; from < 2; from++) {
        int a = from ? x->inside : x->first, b = from ? y->inside : y->first;
        int n = head_of(solo, x, a), most = n == 7 ? 2 : 1, found;

        if (n < 5 || head_of(solo, y, b) < 5)
            continue;
        found = changes(solo, a + 1, n - 1, b + 1, y->last - b,
                        solo->notes[b].midi - solo->notes[a].midi, most);
        if (found > most)
            continue;
        out->how = OPENING_VARIATION;
        out->notes = n;
        out->changed = found;
        return true;
    }
    return false;
}

/* --- all of it ----------------------------------------------------------- */

/* What came up, so that nothing is agreed on for want of cases. */
struct seen {
    unsigned kinds[4], riffs, hows[4];
};

static void check_returns(const struct opening *got, const struct solo *solo,
                          const struct plain *all, size_t index)
{
    size_t at = 0;

    for (size_t i = 0; i < index && all[index].kind == OPENING_CLEAR; i++) {
        struct opening_return r = { .chorus = (int32_t)i + 1 };
        const struct opening_return *g;

        if (all[i].kind != OPENING_CLEAR)
            continue;
        if (solo->form.choruses[i].first_bar ==
            solo->form.choruses[index].first_bar)
            r.how = OPENING_WRITTEN;
        else if (!return_of(&r, solo, &all[i], &all[index]))
            continue;
        ck_assert_uint_lt(at, got->return_count);
        g = &got->returns[at++];
        ck_assert(g->chorus == r.chorus && g->how == r.how &&
                  g->notes == r.notes && g->up == r.up &&
                  g->changed == r.changed);
    }
    ck_assert_uint_eq(at, got->return_count);
}

static void check_solo(const struct solo *solo, struct seen *seen)
{
    struct openings openings = { 0 };
    size_t count = solo->form.chorus_count;
    struct plain *all = calloc(count + 1, sizeof *all);

    ck_assert_ptr_nonnull(all);
    ck_assert_int_eq(openings_make(&openings, solo, NULL), ST_OK);
    ck_assert_uint_eq(openings.count, count);
    for (size_t i = 0; i < count; i++) {
        const struct opening *got = &openings.items[i];
        struct opening_riff riff = { 0 };

        all[i] = plain_of(solo, i);
        ck_assert_int_eq((int)got->kind, all[i].kind);
        ck_assert_int_eq(got->from, all[i].from);
        if (opening_has_phrase(got)) {
            ck_assert_int_eq((int)got->first, all[i].first);
            ck_assert_int_eq((int)got->inside, all[i].inside);
            ck_assert_int_eq((int)got->last, all[i].last);
        }
        if (got->kind == OPENING_CLEAR)
            riff_of(&riff, solo, &all[i]);
        ck_assert(riff.found == got->riff.found &&
                  riff.first == got->riff.first &&
                  riff.last == got->riff.last &&
                  riff.notes == got->riff.notes &&
                  riff.line == got->riff.line &&
                  riff.rhythm == got->riff.rhythm &&
                  riff.shape == got->riff.shape);
        check_returns(got, solo, all, i);
        seen->kinds[got->kind]++;
        seen->riffs += got->riff.found;
        for (size_t k = 0; k < got->return_count; k++)
            seen->hows[got->returns[k].how]++;
    }
    free(all);
    openings_free(&openings);
}

/* A motif again and again, now and then changed, with space between. */
static void write_motifs(struct draft *draft)
{
    static const int64_t values[] = { 8, 12, 12, 12, 24, 36 };
    int midi[6], notes = 2 + (int)chance(5), left = 8 + (int)chance(20);
    int64_t value[6];

    for (int i = 0; i < notes; i++) {
        midi[i] = 60 + (int)chance(12);
        value[i] = values[chance(6)];
    }
    while (left-- > 0) {
        int moved = one_in(3) ? (int)chance(5) : 0;

        for (int i = 0; i < notes; i++) {
            int bent = one_in(9) ? (int)chance(3) : 0;

            if (one_in(12))
                draft_note(draft, 60 + (int)chance(12), 12, 12);
            if (!one_in(12))
                draft_note(draft, midi[i] + moved + bent, value[i],
                           one_in(8) ? value[i] / 2 : value[i]);
        }
        /* On to the next half-bar mostly, or bars away. */
        if (!one_in(4))
            draft_rest(draft, 48 - draft->now % 48);
        draft_rest(draft, one_in(6)   ? (int64_t)chance(3) * draft->bar
                          : one_in(2) ? 0
                                      : (int64_t)chance(4) * 12);
    }
}

static struct solo *motif_solo(void)
{
    struct form_plan plan = { .length = 1 + (int32_t)chance(9),
                              .first_play = (int32_t)chance(2),
                              .source = FORM_HARMONY };
    struct draft draft;
    struct solo *solo;
    int32_t phrase = 1;
    unsigned divides = 1 + chance(3);

    draft_start(&draft, "Alder", "motifs", one_in(3) ? "3/4" : "4/4", 0);
    draft.bar = draft.solo->metre[0] == '3' ? 72 : 96;
    write_motifs(&draft);
    solo = draft_end(&draft);
    for (size_t i = 0; i < solo->note_count; i++) {
        if (i > 0 && solo->notes[i].start > solo->notes[i - 1].start +
                                                solo->notes[i - 1].duration)
            phrase += one_in(divides);
        solo->notes[i].phrase = phrase;
    }
    ck_assert_int_eq(form_lay_out(solo, &plan, NULL), ST_OK);
    return solo;
}

START_TEST(every_chorus_opens_as_by_hand)
{
    struct seen seen = { { 0 }, 0, { 0 } };

    twin_library_build();
    for (size_t i = 0; i < twin_solo_count; i++)
        if (twin_solos[i].solo->form.chorus_count > 0)
            check_solo(twin_solos[i].solo, &seen);
    for (int i = 0; i < 1000; i++) {
        struct solo *solo = motif_solo();

        check_solo(solo, &seen);
        solo_free(solo);
    }
    for (int i = 0; i < 4; i++)
        ck_assert_msg(seen.kinds[i] > 20, "kind %d: %u", i, seen.kinds[i]);
    for (int i = OPENING_LINE; i < 4; i++)
        ck_assert_msg(seen.hows[i] > 50, "return %d: %u", i, seen.hows[i]);
    ck_assert_uint_gt(seen.riffs, 500);
    twin_library_free();
}
END_TEST

/* --- the library --------------------------------------------------------- */

enum { PLACES = 20000 };

struct place_of {
    const char *path;
    const struct solo *solo;
    int at, chord;
    uint64_t alike; /* counted over all pairs */
};
static struct place_of places[PLACES];
static size_t place_count;

static bool same_opening(const struct place_of *a, const struct place_of *b,
                         int notes)
{
    const struct chord_event *x = twin_event(a->solo, a->chord);
    const struct chord_event *y = twin_event(b->solo, b->chord);

    if (!x != !y || (x && x->chord.class != y->chord.class))
        return false;
    if (x && mod12(a->solo->notes[a->at].midi - x->chord.root_pc) !=
                 mod12(b->solo->notes[b->at].midi - y->chord.root_pc))
        return false;
    for (int i = 0; i + 1 < notes; i++)
        if (up(a->solo, a->at + i) != up(b->solo, b->at + i))
            return false;
    return true;
}

static void collect_places(int notes, bool with_pickup)
{
    place_count = 0;
    for (size_t i = 0; i < twin_solo_count; i++) {
        const struct solo *solo = twin_solos[i].solo;

        for (size_t c = 0; c < solo->form.chorus_count; c++) {
            struct plain p = plain_of(solo, c);
            int at = with_pickup ? p.first : p.inside;
            bool again = false;

            for (size_t k = 0; k < c; k++)
                again = again || solo->form.choruses[k].first_bar ==
                                     solo->form.choruses[c].first_bar;
            if (again || p.kind != OPENING_CLEAR || p.last + 1 - at < notes)
                continue;
            ck_assert_uint_lt(place_count, PLACES);
            places[place_count++] = (struct place_of){
                twin_solos[i].path, solo, at, twin_window(solo, at, notes), 0
            };
        }
    }
    for (size_t i = 0; i < place_count; i++)
        for (size_t k = 0; k < place_count; k++)
            places[i].alike += same_opening(&places[i], &places[k], notes);
}

static const struct place_of *place_at(const char *path, uint32_t first)
{
    for (size_t i = 0; i < place_count; i++)
        if (places[i].at == (int)first && !strcmp(places[i].path, path))
            return &places[i];
    return NULL;
}

static uint64_t check_group(const struct openings_library *got, size_t index,
                            int notes)
{
    const struct openings_group *group = &got->groups[index];
    const struct place_of *first = NULL;
    const char *last = "";
    uint64_t solos = 0, keys = 0;

    if (index > 0)
        ck_assert_uint_ge(group[-1].count, group->count);
    for (uint64_t i = 0; i < group->count; i++) {
        const struct example *e = &got->entries[group->first + i].example;
        const char *path = got->solos.items[e->index].path;
        const struct place_of *place = place_at(path, e->first);

        ck_assert_ptr_nonnull(place);
        first = first ? first : place;
        ck_assert(same_opening(first, place, notes));
        ck_assert_uint_eq(place->alike, group->count);
        ck_assert_int_le(strcmp(last, path), 0);
        solos += strcmp(last, path) != 0;
        last = path;
    }
    for (int i = 0; i < 12; i++)
        keys += group->keys[i];
    ck_assert_uint_eq(group->solos, solos);
    ck_assert_uint_eq(keys, twin_event(first->solo, first->chord)
                                ? group->count : 0);
    return group->count;
}

static void check_library(int notes, bool with_pickup, uint64_t min_count)
{
    struct openings_query query = { notes, with_pickup, min_count, NULL };
    struct openings_library got = { 0 };
    uint64_t expected = 0, found = 0;

    collect_places(notes, with_pickup);
    ck_assert_int_eq(
        openings_library_make(&got, twin_library.store, &query, NULL), ST_OK);
    ck_assert_uint_eq(got.entry_count, place_count);
    ck_assert_uint_eq(got.clear, place_count + got.few);
    ck_assert_uint_eq(got.choruses, got.clear + got.runs_on + got.silent);
    for (size_t i = 0; i < got.group_count; i++)
        found += check_group(&got, i, notes);
    for (size_t i = 0; i < place_count; i++)
        expected += places[i].alike >= min_count;
    ck_assert_uint_eq(found, expected);
    ck_assert_uint_gt(place_count, 0);
    openings_library_free(&got);
}

START_TEST(the_library_is_grouped_as_by_hand)
{
    twin_library_build();
    ck_assert_int_eq(store_read_begin(twin_library.store, NULL), ST_OK);
    for (int notes = OPENINGS_NOTES_MIN; notes <= OPENINGS_NOTES_MAX; notes++)
        for (uint64_t count = 1; count < 3; count++) {
            check_library(notes, false, count);
            check_library(notes, true, count);
        }
    store_read_end(twin_library.store);
    twin_library_free();
}
END_TEST

Suite *openings_twin_suite(void)
{
    Suite *s = suite_create("openings_twin");
    TCase *t = tcase_create("openings by hand");

    tcase_set_timeout(t, 300);
    tcase_add_test(t, every_chorus_opens_as_by_hand);
    tcase_add_test(t, the_library_is_grouped_as_by_hand);
    suite_add_tcase(s, t);
    return s;
}
