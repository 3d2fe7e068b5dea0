/* check_tension_twin.c - tension against its twin, and tables against the
 * single questions they stand for.
 *
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
#include "tests/unit/tension_twin.h"

enum {
    CASES = 3000
};

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
        must_read(tension_parse_departure(&query->departure, t->move[1], &why),
                  &why, t->move[1]);
    if (t->goal >= -1) {
        must_read(tension_parse_resolves(query, &from, t->resolves, &why), &why,
                  t->resolves);
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
    const struct solo *solo = twin_solos[tension_found[i].solo].solo;
    int before = tension_twin_moved(t, solo, tension_found[i].note - 1,
                                    tension_found[i].note);
    int after = tension_twin_moved(t, solo, tension_found[i].note,
                                   tension_found[i].note + 1);
    int to = tension_twin_goal(t, solo, tension_found[i].note);

    ck_assert_msg(strcmp(result->list.items[hit->solo].path,
                         tension_found[i].path) == 0 &&
                      (int)hit->note.index == tension_found[i].note &&
                      hit->note.parts.score == tension_found[i].score,
                  "%s: hit %zu is %s note %zu at %d, but %s note %d at %d to "
                  "the twin",
                  told(t), i, result->list.items[hit->solo].path,
                  hit->note.index, hit->note.parts.score, tension_found[i].path,
                  tension_found[i].note, tension_found[i].score);
    ck_assert_msg((hit->note.has_before ? hit->note.before
                                        : TENSION_TWIN_NO_MOVE) == before &&
                      (hit->note.has_after ? hit->note.after
                                           : TENSION_TWIN_NO_MOVE) == after,
                  "%s: the moves of hit %zu", told(t), i);
    ck_assert_msg((hit->note.resolves ? hit->note.to_semitones : -1) == to,
                  "%s: hit %zu goes to %d", told(t), i, to);
}

static void compare(const struct asked_tension *t, size_t limit)
{
    struct tension_query query;
    struct tension_result result;
    struct fault why = { 0 };
    size_t shown =
        limit && limit < tension_found_count ? limit : tension_found_count;

    ask(&query, t);
    query.limit = limit;
    ck_assert_msg(tension_run(&result, twin_library.store, &query, &why) ==
                      ST_OK,
                  "%s: %s", told(t), why.message);
    ck_assert_msg(result.total == tension_found_count &&
                      result.solos_with_hits == tension_found_solos &&
                      result.hit_count == shown,
                  "%s: %d notes in %d solos, but %zu in %zu to the twin",
                  told(t), (int)result.total, (int)result.solos_with_hits,
                  tension_found_count, tension_found_solos);
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

    for (size_t i = 0; i < tension_found_count; i++) {
        const struct solo *solo = twin_solos[tension_found[i].solo].solo;
        const struct note *note = &solo->notes[tension_found[i].note];
        const struct chord *chord = twin_heard(solo, note->heard);
        int semitones = tension_twin_degree(solo, note->heard, note->midi);
        int to = tension_twin_goal(t, solo, tension_found[i].note);
        const struct chord *next;

        if (chord->class != row->class ||
            strcmp(chord_degree_name(chord, semitones), row->degree) != 0)
            continue;
        count++;
        length =
            rational_add(length, rational_make(note->duration, solo->ticks));
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
    ck_assert_int_eq(
        tension_table_run(&table, twin_library.store, &query, &why), ST_OK);
    for (int d = 0; d < 12; d++) {
        if (degree >= 0 && d != degree)
            continue;
        t->degree = d;
        strcpy(t->degree_text, tension_twin_degrees[d][0]);
        tension_twin_answer(t);
        compare(t, 0);
        all += tension_found_count;
        for (size_t i = 0; i < tension_found_count; i++) {
            const struct solo *solo = twin_solos[tension_found[i].solo].solo;
            const struct note *note = &solo->notes[tension_found[i].note];
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

static const char *const sorts[] = { "questions",        "over a chord",
                                     "over a function",  "by length",
                                     "by accent",        "first of a phrase",
                                     "last of a phrase", "highest of a phrase",
                                     "by approach",      "by departure",
                                     "that resolve",     "by resolution",
                                     "by place",         "by player" };
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
        hit[i] += is[i] && tension_found_count > 0;
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

        tension_twin_draw(&t);
        tension_twin_answer(&t);
        tally(&t, asked, hit);
        compare(&t, 0);
        if (tension_found_count > 1 && one_in(3))
            compare(&t, 1 + chance(tension_found_count < 40
                                       ? (unsigned)tension_found_count
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
    tension_twin_forget();
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
