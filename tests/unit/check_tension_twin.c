/* check_tension_twin.c - tension against a second answer, note by note.
 *
 * Written from the definitions: of every note of every solo it works out with
 * loops of its own what the note is over its chord, how it is reached and
 * left, where it goes and how it stands out.  It shares with the program the
 * notes and chords, the names of degrees and the strength of an onset; chords,
 * places and what comes next are those of the twin of find.
 * CELLAR_TWIN_CASES says how many questions are drawn, CELLAR_REAL names a
 * folder of music files to draw from as well.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/tension_words.h"
#include "schema/field.h"
#include "tests/unit/suites.h"
#include "tests/unit/twin.h"

enum {
    CASES = 3000,
    NONE = 1000 /* no move: further than any */
};

/* A question as text and as plain numbers. */
struct asked_tension {
    struct question q; /* its chord, place and player */
    int degree;        /* -1: any */
    int low[2], high[2]; /* quarters: numerator, denominator */
    bool has_low, has_high;
    int accent, in_phrase;   /* -1: any */
    int least[2], most[2];   /* semitones of approach and departure */
    int way[2];              /* 1, -1, 0 any */
    int goal;                /* -1: any, -2: not asked */
    char degree_text[8], length[16], move[2][32], resolves[16];
};

static const char *const degrees[12][3] = {
    { "1", "8", "1" },     { "b9", "b2", "b9" },  { "9", "2", "9" },
    { "b3", "#9", "b3" },  { "3", "3", "b4" },    { "11", "4", "11" },
    { "#11", "b5", "#4" }, { "5", "12", "5" },    { "b13", "b6", "#5" },
    { "13", "6", "bb7" },  { "b7", "b7", "#13" }, { "7", "7", "b1" }
};

/* --- one note, as the definitions say ------------------------------------- */

static bool same_phrase(const struct solo *solo, int a, int b)
{
    return solo->notes[a].phrase == solo->notes[b].phrase;
}

/* From the note A to B; NONE where they do not count as neighbours. */
static int moved(const struct asked_tension *t, const struct solo *solo, int a,
                 int b)
{
    if (a < 0 || b >= (int)solo->note_count ||
        (t->q.place.within_phrase && !same_phrase(solo, a, b)))
        return NONE;
    return solo->notes[b].midi - solo->notes[a].midi;
}

/* Semitones above the root of the chord CHORD; -1 where there is none. */
static int above_root(const struct solo *solo, int chord, int midi)
{
    const struct chord *there = twin_heard(solo, chord);

    return there && there->has_root ? mod12(midi + 12 - there->root_pc) : -1;
}

/* What the note after I is over the next chord, if it is the first heard under
 * it; else -1. */
static int goes_to(const struct asked_tension *t, const struct solo *solo,
                   int i)
{
    int next = twin_next_chord(solo, i), heard;

    if (moved(t, solo, i, i + 1) == NONE || next < 0)
        return -1;
    heard = solo->notes[i + 1].heard;
    if (heard < next)
        return -1;
    for (int k = next; k <= heard; k++)
        if (!twin_alike(twin_heard(solo, k), twin_heard(solo, next)))
            return -1;
    return above_root(solo, heard, solo->notes[i + 1].midi);
}

static bool is_highest(const struct solo *solo, int i)
{
    for (int k = 0; k < (int)solo->note_count; k++)
        if (same_phrase(solo, i, k) &&
            solo->notes[k].midi > solo->notes[i].midi)
            return false;
    return solo->notes[i].phrase > 0;
}

/* Higher than the notes before and after, all of one phrase. */
static bool is_peak(const struct solo *solo, int i)
{
    return i > 0 && i + 1 < (int)solo->note_count &&
           same_phrase(solo, i - 1, i) && same_phrase(solo, i, i + 1) &&
           solo->notes[i - 1].midi < solo->notes[i].midi &&
           solo->notes[i + 1].midi < solo->notes[i].midi;
}

static int twin_score(const struct solo *solo, int i)
{
    static const int beats[] = { 400, 600, 800, 900, 1000 };
    const struct note *note = &solo->notes[i];
    int length = 0, peak = 0, end = 0;

    while (length < 1000 &&
           (length + 1) * solo->ticks <= 500 * note->duration)
        length++;
    if (is_highest(solo, i))
        peak = 1000;
    else if (is_peak(solo, i))
        peak = 500;
    if (twin_at(PLACE_PHRASE_END, solo, i, i))
        end = 1000;
    else if (twin_at(PLACE_PHRASE, solo, i, i))
        end = 500;
    return 400 * length + 250 * beats[solo_onset_strength(solo, note)] +
           200 * peak + 150 * end;
}

/* --- does it fit ---------------------------------------------------------- */

static bool twin_length(const struct asked_tension *t, const struct solo *solo,
                        int i)
{
    long long length = solo->notes[i].duration, ticks = solo->ticks;

    return (!t->has_low || length * t->low[1] >= ticks * t->low[0]) &&
           (!t->has_high || length * t->high[1] <= ticks * t->high[0]);
}

static bool twin_moves(const struct asked_tension *t, const struct solo *solo,
                       int i)
{
    for (int k = 0; k < 2; k++) {
        int by = moved(t, solo, i - 1 + k, i + k), size = abs(by);

        if (!t->move[k][0])
            continue;
        if (by == NONE || size < t->least[k] || size > t->most[k] ||
            (t->way[k] && t->way[k] * by <= 0))
            return false;
    }
    return true;
}

static bool twin_stands(const struct asked_tension *t, const struct solo *solo,
                        int i)
{
    int strength = solo_onset_strength(solo, &solo->notes[i]);
    int accent = strength >= 3 ? 0 : strength == 2 ? 1 : 2;

    if (t->accent >= 0 && accent != t->accent)
        return false;
    if (t->in_phrase == 0 && !twin_at(PLACE_PHRASE, solo, i, i))
        return false;
    if (t->in_phrase == 1 && !twin_at(PLACE_PHRASE_END, solo, i, i))
        return false;
    return t->in_phrase != 2 || is_highest(solo, i);
}

static bool twin_fits(const struct asked_tension *t, const struct solo *solo,
                      int i)
{
    const struct chord_event *event = twin_event(solo, solo->notes[i].heard);
    int degree = above_root(solo, solo->notes[i].heard, solo->notes[i].midi);
    bool exact = true;

    if (degree < 0 || (t->degree >= 0 && degree != t->degree))
        return false;
    if (t->q.over_count > 0 && !twin_chord(&t->q.over[0], event, &exact))
        return false;
    if (t->goal == -1 && goes_to(t, solo, i) < 0)
        return false;
    if (t->goal >= 0 && goes_to(t, solo, i) != t->goal)
        return false;
    return twin_length(t, solo, i) && twin_moves(t, solo, i) &&
           twin_stands(t, solo, i) && twin_place(&t->q, solo, i, i);
}

/* --- all of them ---------------------------------------------------------- */

static struct found {
    const char *path;
    size_t solo;
    int note, score;
} *found;
static size_t found_count, found_room, found_solos;

static int best_first(const void *a, const void *b)
{
    const struct found *x = a, *y = b;

    if (x->score != y->score)
        return y->score - x->score;
    return strcmp(x->path, y->path) ? strcmp(x->path, y->path)
                                    : x->note - y->note;
}

static void add(size_t at, int i)
{
    if (found_count == found_room) {
        found_room = 2 * found_room + 64;
        found = realloc(found, found_room * sizeof *found);
        ck_assert_ptr_nonnull(found);
    }
    found[found_count++] = (struct found){
        twin_solos[at].path, at, i, twin_score(twin_solos[at].solo, i)
    };
}

static void twin_answer(const struct asked_tension *t)
{
    found_count = found_solos = 0;
    for (size_t at = 0; at < twin_solo_count; at++) {
        size_t before = found_count;

        if (t->q.performer &&
            strcmp(twin_solos[at].performer, t->q.performer) != 0)
            continue;
        for (int i = 0; i < (int)twin_solos[at].solo->note_count; i++)
            if (twin_fits(t, twin_solos[at].solo, i))
                add(at, i);
        found_solos += found_count > before;
    }
    if (found_count > 1)
        qsort(found, found_count, sizeof *found, best_first);
}

/* --- drawing a question --------------------------------------------------- */

static const struct {
    const char *text;
    int num, den;
} values[] = { { "16", 1, 4 }, { "8t", 1, 3 }, { "8", 1, 2 },
               { "4t", 2, 3 }, { "4", 1, 1 },  { "4.", 3, 2 },
               { "2", 2, 1 } };

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
    t->way[k] = move == 4 || (move < 3 && one_in(2)) ? 0
                : one_in(2)                          ? 1
                                                     : -1;
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
    int to = goes_to(t, solo, i);
    bool from = t->degree >= 0 && one_in(2);

    t->goal = to >= 0 && !one_in(4) ? to : one_in(3) ? (int)chance(12) : -1;
    snprintf(t->resolves, sizeof t->resolves, "%s%s%s",
             from ? degrees[t->degree][chance(3)] : "", from ? ">" : "",
             t->goal < 0 ? "?" : degrees[t->goal][chance(3)]);
}

/* Most of what is asked holds of one note, which is drawn first. */
static void draw(struct asked_tension *t)
{
    const struct solo *solo;
    int i = 0;

    memset(t, 0, sizeof *t);
    t->goal = -2;
    do
        solo = twin_solos[chance((unsigned)twin_solo_count)].solo;
    while (solo->note_count == 0);
    i = (int)chance((unsigned)solo->note_count);
    t->degree = above_root(solo, solo->notes[i].heard, solo->notes[i].midi);
    if (one_in(8))
        t->degree = (int)chance(12);
    if (t->degree >= 0)
        snprintf(t->degree_text, sizeof t->degree_text, "%s",
                 degrees[t->degree][chance(3)]);
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

/* --- asking the program --------------------------------------------------- */

static void must_read(enum status st, const struct fault *why, const char *text)
{
    ck_assert_msg(st == ST_OK, "'%s': %s", text, why->message);
}

static void ask(struct tension_query *query, const struct asked_tension *t)
{
    struct fault why = { 0 };
    int from;

    *query = TENSION_QUERY_ALL;
    if (t->degree >= 0)
        must_read(fragment_parse_degree(&query->degree, t->degree_text, &why),
                  &why, t->degree_text);
    if (t->q.over_count > 0)
        must_read(over_parse(&query->over, t->q.over_text, &why), &why,
                  t->q.over_text);
    if (t->length[0])
        must_read(tension_parse_length(query, t->length, &why), &why,
                  t->length);
    if (t->move[0][0])
        must_read(tension_parse_approach(&query->approach, t->move[0], &why),
                  &why, t->move[0]);
    if (t->move[1][0])
        must_read(tension_parse_departure(&query->departure, t->move[1],
                                          &why),
                  &why, t->move[1]);
    if (t->goal >= -1) {
        must_read(tension_parse_resolves(query, &from, t->resolves, &why),
                  &why, t->resolves);
        ck_assert(from == TENSION_ANY || from == t->degree);
    }
    query->accent = t->accent;
    query->in_phrase = t->in_phrase;
    query->place = t->q.place;
    query->place.section = t->q.section[0] ? t->q.section : NULL;
    query->filter.count = t->q.performer != NULL;
    if (t->q.performer)
        must_read(field_parse(&query->filter.terms[0], FIELD_PERFORMER,
                              t->q.performer, &why),
                  &why, t->q.performer);
}

static const char *told(const struct asked_tension *t)
{
    static char out[900];
    const struct place *p = &t->q.place;

    snprintf(out, sizeof out,
             "'%s' over '%s', length '%s', approach '%s', departure '%s', "
             "resolves '%s', accent %d, in phrase %d, by %s, chorus %d, bars "
             "%d-%d, section '%s', beat %d/%d, at %d%s",
             t->degree_text, t->q.over_text, t->length, t->move[0], t->move[1],
             t->resolves, t->accent, t->in_phrase,
             t->q.performer ? t->q.performer : "anyone", p->chorus, p->bar_low,
             p->bar_high, t->q.section, (int)p->beat.num, (int)p->beat.den,
             (int)p->at, p->within_phrase ? ", within a phrase" : "");
    return out;
}

/* --- comparing ------------------------------------------------------------ */

static void compare_hit(const struct asked_tension *t,
                        const struct tension_result *result, size_t i)
{
    const struct tension_hit *hit = &result->hits[i];
    const struct solo *solo = twin_solos[found[i].solo].solo;
    int before = moved(t, solo, found[i].note - 1, found[i].note);
    int after = moved(t, solo, found[i].note, found[i].note + 1);
    int to = goes_to(t, solo, found[i].note);

    ck_assert_msg(strcmp(result->list.items[hit->solo].path, found[i].path) ==
                          0 &&
                      (int)hit->note.index == found[i].note &&
                      hit->note.parts.score == found[i].score,
                  "%s: hit %zu is %s note %zu at %d, but %s note %d at %d to "
                  "the twin",
                  told(t), i, result->list.items[hit->solo].path,
                  hit->note.index, hit->note.parts.score, found[i].path,
                  found[i].note, found[i].score);
    ck_assert_msg((hit->note.has_before ? hit->note.before : NONE) == before &&
                      (hit->note.has_after ? hit->note.after : NONE) == after,
                  "%s: the moves of hit %zu", told(t), i);
    ck_assert_msg((hit->note.resolves ? hit->note.to_semitones : -1) == to,
                  "%s: hit %zu goes to %d", told(t), i, to);
}

static void compare(const struct asked_tension *t, size_t limit)
{
    struct tension_query query;
    struct tension_result result;
    struct fault why = { 0 };
    size_t shown = limit && limit < found_count ? limit : found_count;

    ask(&query, t);
    query.limit = limit;
    ck_assert_msg(tension_run(&result, twin_library.store, &query, &why) ==
                      ST_OK,
                  "%s: %s", told(t), why.message);
    ck_assert_msg(result.total == found_count &&
                      result.solos_with_hits == found_solos &&
                      result.hit_count == shown,
                  "%s: %d notes in %d solos, but %zu in %zu to the twin",
                  told(t), (int)result.total, (int)result.solos_with_hits,
                  found_count, found_solos);
    for (size_t i = 0; i < result.hit_count; i++)
        compare_hit(t, &result, i);
    tension_result_free(&result);
}

/* --- the table ------------------------------------------------------------ */

/* What the notes of a row are by single questions: how many, how long, and how
 * many go where. */
static void check_row(const struct asked_tension *t,
                      const struct tension_row *row, uint64_t *sum)
{
    struct rational length = { 0, 1, false };
    uint64_t count = 0, resolved = 0, goals = 0, first = 0;

    for (size_t i = 0; i < found_count; i++) {
        const struct solo *solo = twin_solos[found[i].solo].solo;
        const struct note *note = &solo->notes[found[i].note];
        const struct chord *chord = twin_heard(solo, note->heard);
        int semitones = above_root(solo, note->heard, note->midi);
        int to = goes_to(t, solo, found[i].note);
        const struct chord *next;

        if (chord->class != row->class ||
            strcmp(chord_degree_name(chord, semitones), row->degree) != 0)
            continue;
        count++;
        length = rational_add(length,
                              rational_make(note->duration, solo->ticks));
        if (to < 0)
            continue;
        resolved++;
        next = twin_heard(solo, note[1].heard);
        first += next->class == row->goals[0].class &&
                 strcmp(chord_degree_name(next, to), row->goals[0].degree) == 0;
    }
    for (size_t i = 0; i < row->goal_count; i++) {
        goals += row->goals[i].count;
        ck_assert(i == 0 || row->goals[i - 1].count >= row->goals[i].count);
    }
    ck_assert_msg(count == row->count && count > 0, "%s: %s over %s, %d of %d",
                  told(t), row->degree, chord_class_name(row->class),
                  (int)row->count, (int)count);
    ck_assert(rational_compare(rational_mul(row->mean_duration,
                                            rational_make((int64_t)count, 1)),
                               length) == 0);
    ck_assert_uint_eq(resolved, row->resolved);
    ck_assert_uint_eq(resolved, goals);
    ck_assert(resolved == 0 || first == row->goals[0].count);
    *sum += count;
}

/* The rows hold what twelve single questions find, but for chord tones. */
static void compare_table(struct asked_tension *t)
{
    static const char tensions[] = " b9 9 #9 11 #11 b13 13 ";
    struct tension_query query;
    struct tension_table table;
    struct fault why = { 0 };
    uint64_t sum = 0, wanted = 0, all = 0;
    int degree = t->degree;

    ask(&query, t);
    ck_assert_int_eq(tension_table_run(&table, twin_library.store, &query,
                                       &why),
                     ST_OK);
    for (int d = 0; d < 12; d++) {
        if (degree >= 0 && d != degree)
            continue;
        t->degree = d;
        strcpy(t->degree_text, degrees[d][0]);
        twin_answer(t);
        compare(t, 0);
        all += found_count;
        for (size_t i = 0; i < found_count; i++) {
            const struct solo *solo = twin_solos[found[i].solo].solo;
            const struct note *note = &solo->notes[found[i].note];
            char name[16];

            snprintf(name, sizeof name, " %s ",
                     chord_degree_name(twin_heard(solo, note->heard), d));
            wanted += degree >= 0 || strstr(tensions, name) != NULL;
        }
        for (size_t i = 0; i < table.row_count; i++) {
            int semitones;

            fragment_parse_degree(&semitones, table.rows[i].degree, NULL);
            if (semitones == d)
                check_row(t, &table.rows[i], &sum);
        }
    }
    ck_assert_msg(sum == wanted && sum == table.total,
                  "%s: the rows hold %d, not %d", told(t), (int)sum,
                  (int)wanted);
    ck_assert(degree >= 0 || all == table.notes);
    tension_table_free(&table);
}

/* --- the test ------------------------------------------------------------- */

static const char *const sorts[] = { "questions", "over a chord",
                                     "over a function", "by length",
                                     "by accent", "first of a phrase",
                                     "last of a phrase", "highest of a phrase",
                                     "by approach", "by departure",
                                     "that resolve", "by resolution",
                                     "by place", "by player" };
enum {
    SORTS = sizeof sorts / sizeof *sorts
};

static void tally(const struct asked_tension *t, unsigned asked[SORTS],
                  unsigned hit[SORTS])
{
    bool is[SORTS] = { true,
                       t->q.over_count > 0,
                       t->q.over[0].function[0] != '\0',
                       t->length[0] != '\0',
                       t->accent >= 0,
                       t->in_phrase == 0,
                       t->in_phrase == 1,
                       t->in_phrase == 2,
                       t->move[0][0] != '\0',
                       t->move[1][0] != '\0',
                       t->goal == -1,
                       t->goal >= 0,
                       place_is_asked(&t->q.place),
                       t->q.performer != NULL };

    for (int i = 0; i < SORTS; i++) {
        asked[i] += is[i];
        hit[i] += is[i] && found_count > 0;
    }
}

START_TEST(tension_and_its_twin_agree)
{
    const char *wanted = getenv("CELLAR_TWIN_CASES");
    int cases = wanted && wanted[0] ? atoi(wanted) : CASES;
    unsigned asked[SORTS] = { 0 }, hit[SORTS] = { 0 }, tables = 0;

    twin_library_build();
    for (int i = 0; i < cases; i++) {
        struct asked_tension t;

        draw(&t);
        twin_answer(&t);
        tally(&t, asked, hit);
        compare(&t, 0);
        if (found_count > 1 && one_in(3))
            compare(&t, 1 + chance(found_count < 40 ? (unsigned)found_count
                                                    : 40));
        if (!one_in(25))
            continue;
        if (!t.resolves[0] && one_in(2))
            t.degree = -1;
        compare_table(&t);
        tables++;
    }
    for (int i = 0; i < SORTS; i++) {
        printf("tension twin: %5u %s, %u with notes\n", asked[i], sorts[i],
               hit[i]);
        /* A comparison of nothing with nothing would prove little. */
        ck_assert_msg(cases < 1000 || hit[i] * 5 > asked[i],
                      "too few %s with notes", sorts[i]);
    }
    printf("tension twin: %5u tables\n", tables);
    fflush(stdout);
    free(found);
    found = NULL;
    found_room = 0;
    twin_library_free();
}
END_TEST

Suite *tension_twin_suite(void)
{
    Suite *suite = suite_create("tension_twin");
    TCase *tests = tcase_create("tension_twin");

    tcase_set_timeout(tests, 900);
    tcase_add_test(tests, tension_and_its_twin_agree);
    suite_add_tcase(suite, tests);
    return suite;
}
