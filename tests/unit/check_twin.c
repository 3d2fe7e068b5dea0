/* check_twin.c - find against a second search that knows no index.
 *
 * Fragments are drawn from the solos of a library and at random; find and its
 * twin must agree on every place, whatever else is asked of it.  The order is
 * checked against the scores.  CELLAR_TWIN_CASES says how many are drawn,
 * CELLAR_REAL names a folder of music files to draw from as well.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/find.h"
#include "schema/field.h"
#include "tests/unit/suites.h"
#include "tests/unit/twin.h"

enum {
    CASES = 5000
};

/* The chords as the program understood them give the tones to compare; its
 * own tests say whether those are right. */
static void take_tones(struct question *q, const struct fragment *f)
{
    ck_assert_int_eq(f->over.count, q->over_count);
    for (int i = 0; i < q->over_count; i++)
        q->over[i].tones = f->over.chords[i].chord.tones;
}

/* The relation by its name, the next chord by its text. */
static void ask_harmony(struct find_query *query, const struct question *q)
{
    const char *name = twin_rules[q->relation].name;
    struct fault why = { 0 };

    query->reharmonized = q->reharmonized;
    query->has_relation = q->has_relation;
    if (q->has_relation)
        ck_assert_int_eq(relation_parse(&query->relation, name, strlen(name),
                                        &why),
                         ST_OK);
    if (q->has_into)
        ck_assert_msg(over_parse(&query->into, q->into_text, &why) == ST_OK,
                      "into '%s': %s", q->into_text, why.message);
}

static void ask(struct find_query *query, const struct question *q)
{
    struct fault why = { 0 };

    ask_harmony(query, q);
    query->place = q->place;
    query->place.section = q->section[0] ? q->section : NULL;
    query->edits = q->edits;
    query->any_octave = q->any_octave;
    query->rhythm = q->rhythm;
    query->limit = 0;
    query->filter.count = q->performer != NULL;
    if (q->performer)
        ck_assert_int_eq(field_parse(&query->filter.terms[0], FIELD_PERFORMER,
                                     q->performer, &why),
                         ST_OK);
    for (int i = 0; i < query->fragment.over.count; i++)
        ck_assert_int_eq(query->fragment.over.chords[i].chord.class,
                         q->over[i].class);
}

static void describe(const struct question *q, char *out, size_t size)
{
    const struct place *p = &q->place;

    snprintf(out, size,
             "'%s' over '%s'%s, rhythm %d, by %s, into '%s', %s '%s', %d "
             "edits, chorus %d, bars %d-%d, section '%s', beat %d/%d, at %d%s",
             q->text, q->over_text, q->any_octave ? ", any octave" : "",
             (int)q->rhythm, q->performer ? q->performer : "anyone",
             q->into_text, q->reharmonized ? "reharmonized" : "as asked",
             q->has_relation ? twin_rules[q->relation].name : "", q->edits,
             p->chorus, p->bar_low, p->bar_high, q->section,
             (int)p->beat.num, (int)p->beat.den, (int)p->at,
             p->within_phrase ? ", within a phrase" : "");
}

static void compare_hit(const struct find_result *result, size_t i,
                        const struct question *q, const char *told)
{
    const struct hit *hit = &result->hits[i];
    const struct twin_hit *twin = &twin_hits[i];
    const char *path = result->solos[hit->solo].path;

    ck_assert_msg(strcmp(path, twin_solos[twin->solo].path) == 0 &&
                      (int)hit->first == twin->first,
                  "%s: hit %zu is %s note %u, but %s note %d to the twin", told,
                  i, path, hit->first, twin_solos[twin->solo].path,
                  twin->first);
    ck_assert_msg((int)hit->last == twin->last && hit->edits == twin->edits,
                  "%s: hit %zu, %s note %u, ends at %u with %d edits, but at "
                  "%d with %d to the twin",
                  told, i, path, hit->first, hit->last, hit->edits, twin->last,
                  twin->edits);
    ck_assert_msg(hit->exactness == twin->exactness, "%s: exactness of hit %zu",
                  told, i);
    ck_assert_msg(hit->chord == twin->chord ||
                      !twin_heard(twin_solos[twin->solo].solo, twin->chord),
                  "%s: chord of hit %zu is %d, not %d", told, i, hit->chord,
                  twin->chord);
    ck_assert_msg(
        hit->has_transposition == (q->given_pc >= 0) &&
            (q->given_pc < 0 || hit->transposition == twin->transposition),
        "%s: transposition of hit %zu", told, i);
}

/* Every hit is in one group, and those of the relations that the twin knows
 * hold as many as it has. */
static void check_groups(const struct find_result *result,
                         const struct question *q, const char *told)
{
    size_t counts[TWIN_UNNAMED] = { 0 };
    uint64_t sum = 0;

    for (size_t i = 0; i < result->group_count; i++) {
        sum += result->groups[i].count;
        for (int k = 0; k < TWIN_UNNAMED; k++)
            if (result->groups[i].relation == twin_rules[k].is)
                counts[k] += result->groups[i].count;
    }
    ck_assert_msg(sum == (q->reharmonized ? result->total : 0),
                  "%s: the groups hold %lu", told, (unsigned long)sum);
    for (int k = 0; k < TWIN_UNNAMED; k++)
        ck_assert_msg(!q->reharmonized || !twin_knows_home(q) ||
                          counts[k] == twin_relations[k],
                      "%s: %zu as %s, but %zu to the twin", told, counts[k],
                      twin_rules[k].name, twin_relations[k]);
}

/* --- order ---------------------------------------------------------------- */

static const struct find_result *ordered; /* for qsort() */

static int by_path_and_note(const void *a, const void *b)
{
    const struct hit *x = a, *y = b;
    int order = strcmp(ordered->solos[x->solo].path,
                       ordered->solos[y->solo].path);

    return order ? order : (x->first > y->first) - (x->first < y->first);
}

/* By edits, score, path, note. */
static void check_order(const struct find_result *result, const char *told)
{
    ordered = result;
    for (size_t i = 1; i < result->hit_count; i++) {
        const struct hit *x = &result->hits[i - 1], *y = x + 1;

        /* The fragment itself comes before what is only like it. */
        if (x->edits < y->edits)
            continue;
        ck_assert_msg(x->edits == y->edits, "%s: hits %zu and %zu by edits",
                      told, i - 1, i);
        ck_assert_msg(x->parts.score > y->parts.score ||
                          (x->parts.score == y->parts.score &&
                           by_path_and_note(x, y) < 0),
                      "%s: hits %zu and %zu are out of order", told, i - 1,
                      i);
    }
}

/* The best hits of the whole answer, to hold shorter ones against. */
enum {
    REMEMBERED = 64
};
static struct {
    char path[300];
    uint32_t first;
} best[REMEMBERED];

static void remember(struct find_result *result)
{
    for (size_t i = 0; i < result->hit_count && i < REMEMBERED; i++) {
        snprintf(best[i].path, sizeof best->path, "%s",
                 result->solos[result->hits[i].solo].path);
        best[i].first = result->hits[i].first;
    }
    ordered = result;
    if (result->hit_count > 1)
        qsort(result->hits, result->hit_count, sizeof *result->hits,
              by_path_and_note);
}

static void check_prefix(const struct find_result *result, const char *told)
{
    for (size_t i = 0; i < result->hit_count && i < REMEMBERED; i++)
        ck_assert_msg(
            strcmp(best[i].path,
                   result->solos[result->hits[i].solo].path) == 0 &&
                best[i].first == result->hits[i].first,
            "%s: hit %zu is another than without a limit", told, i);
}

static void compare(const struct find_query *query, const struct question *q)
{
    struct find_result result;
    struct fault why = { 0 };
    char told[1500];
    bool all = query->limit == 0 && !query->count_only;
    size_t shown =
        query->limit && query->limit < twin_count ? query->limit : twin_count;

    describe(q, told, sizeof told);
    ck_assert_msg(find_run(&result, twin_library.store, query, &why) == ST_OK,
                  "%s: %s", told, why.message);
    check_order(&result, told);
    if (!all)
        check_prefix(&result, told);
    if (all)
        remember(&result);
    for (size_t i = 0; all && i < result.hit_count && i < shown; i++)
        compare_hit(&result, i, q, told);
    ck_assert_msg(
        result.total == twin_count && result.solos_with_hits == twin_solos_hit,
        "%s: %lu hits in %lu solos, but %zu in %zu to the twin", told,
        (unsigned long)result.total, (unsigned long)result.solos_with_hits,
        twin_count, twin_solos_hit);
    check_groups(&result, q, told);
    ck_assert_msg(result.hit_count == (query->count_only ? 0 : shown),
                  "%s: %zu hits kept, not %zu", told, result.hit_count, shown);
    find_result_free(&result);
}

/* How many questions of each sort there were, and how many found any. */
enum sort {
    SORT_ALL,
    SORT_DEGREES,
    SORT_NAMES,
    SORT_STEPS,
    SORT_CHORD,
    SORT_SUCCESSION,
    SORT_FUNCTION,
    SORT_FUNCTIONS,
    SORT_SAME_RHYTHM,
    SORT_SCALED_RHYTHM,
    SORT_OCTAVES,
    SORT_PLAYER,
    SORT_CHORUS,
    SORT_BARS,
    SORT_SECTION,
    SORT_BEAT,
    SORT_AT_CHORUS,
    SORT_AT_SECTION,
    SORT_AT_PHRASE,
    SORT_AT_PHRASE_END,
    SORT_WITHIN,
    SORT_INTO,
    SORT_INTO_ROOTED,
    SORT_REHARMONIZED,
    SORT_RELATION, /* one for each of TWIN_UNNAMED */
    SORT_EDITS = SORT_RELATION + TWIN_UNNAMED, /* one for each number */
    SORTS = SORT_EDITS + EDITS_MAX
};
static const char *const sort_names[SORTS] = {
    "fragments",    "degrees",       "note names",  "intervals",
    "over a chord", "over several",  "over one function",
    "over several with functions",   "same rhythm", "scaled rhythm",
    "any octave",   "by a performer", "in a chorus", "in bars of the chorus",
    "in a section", "on a beat", "where a chorus opens",
    "where a section opens", "where a phrase starts", "where a phrase ends",
    "within a phrase", "into a chord", "into a chord, by the way there",
    "reharmonized", "as written", "ii over its V", "ii over its I",
    "minor above a dominant", "tritone substitute", "with 1 edit",
    "with 2 edits", "with 3 edits"
};
static unsigned asked_of[SORTS], found_of[SORTS];

static void tally_one(enum sort sort, bool is)
{
    asked_of[sort] += is;
    found_of[sort] += is && twin_count > 0;
}

static bool asks_function(const struct question *q)
{
    for (int i = 0; i < q->over_count; i++)
        if (q->over[i].function[0])
            return true;
    return false;
}

static void tally_place(const struct question *q)
{
    const struct place *place = &q->place;

    tally_one(SORT_CHORUS, place->chorus != 0);
    tally_one(SORT_BARS, place->bar_low > 0);
    tally_one(SORT_SECTION, q->section[0] != '\0');
    tally_one(SORT_BEAT, place->has_beat);
    for (int at = PLACE_CHORUS; at <= PLACE_PHRASE_END; at++)
        tally_one((enum sort)(SORT_AT_CHORUS + at - PLACE_CHORUS),
                  (int)place->at == at);
    tally_one(SORT_WITHIN, place->within_phrase);
}

static void tally_more(const struct question *q)
{
    tally_one(SORT_INTO, q->has_into);
    tally_one(SORT_INTO_ROOTED,
              q->has_into && q->into.has_root && q->over_count > 0 &&
                  q->over[q->over_count - 1].has_root);
    tally_one(SORT_REHARMONIZED, q->reharmonized);
    for (int i = 0; i < TWIN_UNNAMED; i++)
        tally_one((enum sort)(SORT_RELATION + i),
                  q->has_relation && (int)q->relation == i);
    for (int i = 1; i <= EDITS_MAX; i++)
        tally_one((enum sort)(SORT_EDITS + i - 1), q->edits == i);
}

static void tally(const struct question *q, int language)
{
    tally_place(q);
    tally_more(q);
    tally_one(SORT_ALL, true);
    tally_one(SORT_DEGREES, language == DRAW_DEGREES);
    tally_one(SORT_NAMES, language == DRAW_NAMES);
    tally_one(SORT_STEPS, language == DRAW_STEPS);
    tally_one(SORT_CHORD, q->over_count == 1);
    tally_one(SORT_SUCCESSION, q->over_count > 1);
    tally_one(SORT_FUNCTION, q->over_count == 1 && q->over[0].function[0]);
    tally_one(SORT_FUNCTIONS, q->over_count > 1 && asks_function(q));
    tally_one(SORT_SAME_RHYTHM, q->rhythm == RHYTHM_SAME);
    tally_one(SORT_SCALED_RHYTHM, q->rhythm == RHYTHM_SCALED);
    tally_one(SORT_OCTAVES, q->any_octave);
    tally_one(SORT_PLAYER, q->performer != NULL);
}

/* Ask both; false where the fragment leaves the range of notes once it is
 * placed in the middle, as a far leap may. */
static bool run_case(struct question *q, int language)
{
    struct find_query query = { .limit = 0 };
    struct fault why = { 0 };
    enum status st =
        fragment_parse(&query.fragment, q->text,
                       q->over_count > 0 ? q->over_text : NULL, NULL, &why);

    if (st != ST_OK && (strstr(why.message, "highest note") ||
                        strstr(why.message, "lowest note")))
        return false;
    ck_assert_msg(st == ST_OK, "'%s' over '%s': %s", q->text, q->over_text,
                  why.message);
    take_tones(q, &query.fragment);
    ask(&query, q);
    twin_find(q);
    tally(q, language);
    compare(&query, q);
    if (twin_count > 1 && one_in(3)) {
        query.limit = 1 + chance(twin_count < 40 ? (unsigned)twin_count : 40);
        query.count_only = one_in(10);
        compare(&query, q);
    }
    return true;
}

START_TEST(find_and_its_twin_agree)
{
    const char *wanted = getenv("CELLAR_TWIN_CASES");
    int cases = wanted && wanted[0] ? atoi(wanted) : CASES;

    twin_library_build();
    for (int i = 0; i < cases;) {
        struct question q;
        int language = twin_draw(&q);

        i += run_case(&q, language);
    }
    printf("twin: %zu solos\n", twin_solo_count);
    for (int i = 0; i < SORTS; i++) {
        printf("twin: %5u %s, %u with hits\n", asked_of[i], sort_names[i],
               found_of[i]);
        /* A comparison of nothing with nothing would prove little. */
        ck_assert_msg(cases < 1000 || found_of[i] * 5 > asked_of[i],
                      "too few %s with hits", sort_names[i]);
    }
    fflush(stdout);
    free(twin_hits);
    twin_hits = NULL;
    twin_library_free();
}
END_TEST

/* --- short lists of frequent fragments ------------------------------------ */

/* All hits, then the best LIMIT, as if MANY were a crowd. */
static size_t compare_lists(struct find_query *query, size_t limit, size_t many,
                            const char *told)
{
    struct find_result result;
    struct fault why = { 0 };
    size_t total;

    query->limit = limit;
    query->many = many;
    ck_assert_msg(find_run(&result, twin_library.store, query, &why) == ST_OK,
                  "%s: %s", told, why.message);
    if (limit == 0)
        remember(&result);
    else
        check_prefix(&result, told);
    total = result.total;
    ck_assert_uint_eq(result.hit_count,
                      limit > 0 && limit < total ? limit : total);
    find_result_free(&result);
    return total;
}

/* A fragment of a few intervals: every pair of small ones, then runs that are
 * played, over a chord at times. */
static void draw_short(struct fragment *out, int turn, char text[80])
{
    const struct solo *solo =
        twin_solos[chance((unsigned)twin_solo_count)].solo;
    static const char *const over[] = { "m7", "7", "maj7" };
    size_t notes = 3 + chance(9), first;
    struct fault why = { 0 };

    snprintf(text, 80, "%+d %+d", turn / 9 - 4, turn % 9 - 4);
    if (turn >= 9 * 9 && solo->note_count > notes) {
        first = chance((unsigned)(solo->note_count - notes));
        text[0] = '\0';
        for (size_t i = first + 1; i < first + notes; i++)
            sprintf(text + strlen(text), "%+d ",
                    solo->notes[i].midi - solo->notes[i - 1].midi);
    }
    if (turn % 5 == 4)
        snprintf(text, 80, "%s", one_in(2) ? "5 b3 1" : "3 5 b7");
    ck_assert_msg(fragment_parse(out, text,
                                 turn % 5 == 4 ? over[turn % 3] : NULL, NULL,
                                 &why) == ST_OK,
                  "%s: %s", text, why.message);
}

/* As if the user had corrected a solo in three, to what it was. */
static enum status keep_as_it_is(void *context, int64_t id, struct solo *solo,
                                 struct fault *why)
{
    (void)context, (void)id, (void)solo, (void)why;
    return ST_OK;
}

static bool one_in_three(void *context, int64_t id)
{
    (void)context;
    return id % 3 == 0;
}

/* What stands at salient notes may fill a list by itself, or not, and so may
 * what opens something; the list is the same. */
START_TEST(short_lists_begin_the_long_one)
{
    static const size_t limits[] = { 1, 2, 5, 20 };
    size_t most = 0;

    twin_library_build();
    for (int turn = 0; turn < 200; turn++) {
        struct find_query query = { .limit = 0 };
        char text[80];
        size_t total;

        draw_short(&query.fragment, turn, text);
        if (one_in(3))
            query.weights = (struct rank_weights){ 100, 800, 100 };
        total = compare_lists(&query, 0, 0, text);
        if (total > most)
            most = total;
        if (turn % 2) {
            store_on_load(twin_library.store, keep_as_it_is, NULL);
            store_on_load_of(twin_library.store, one_in_three);
        }
        for (size_t i = 0; i < sizeof limits / sizeof *limits; i++)
            for (size_t many = 1; many < 200; many *= 6)
                compare_lists(&query, limits[i], many, text);
        store_on_load(twin_library.store, NULL, NULL);
    }
    ck_assert_uint_gt(most, 300);
    twin_library_free();
}
END_TEST

Suite *twin_suite(void)
{
    Suite *suite = suite_create("twin");
    TCase *tests = tcase_create("twin");

    tcase_set_timeout(tests, 900);
    tcase_add_test(tests, find_and_its_twin_agree);
    tcase_add_test(tests, short_lists_begin_the_long_one);
    suite_add_tcase(suite, tests);
    return suite;
}
