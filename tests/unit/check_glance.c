/* check_glance.c - what strands say of a place is what its notes say: whether
 * it fits, its chord, and its score. */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "query/glance.h"
#include "tests/unit/store_fixture.h"
#include "tests/unit/suites.h"
#include "tests/unit/twin.h"

enum { PLACES = 400 }; /* for each question */

static const struct {
    const char *fragment, *over, *relation;
    enum rhythm_match rhythm;
    enum place_at at;
    bool within_phrase, reharmonized;
} questions[] = {
    { .fragment = "5 b3 2 1", .over = "m7" },
    { .fragment = "5 b3 2 1", .over = "minor" },
    { .fragment = "3 5 b7 b9", .over = "7" },
    { .fragment = "1 2 3", .over = "7alt" },
    { .fragment = "1 2 4", .over = "sus" },
    { .fragment = "1 2 3 5", .over = "V7" },
    { .fragment = "D4 F4 A4", .over = "Dm7" },
    { .fragment = "5 b3 2 1", .over = "m7", .reharmonized = true },
    { .fragment = "5 b3", .over = "m7", .relation = "ii over its V" },
    { .fragment = "-1 -2" },
    { .fragment = "A4 F4 E4 D4", .at = PLACE_PHRASE },
    { .fragment = "+2 +2", .at = PLACE_CHORUS },
    { .fragment = "+2 +2", .at = PLACE_SECTION },
    { .fragment = "+2", .at = PLACE_PHRASE_END, .within_phrase = true },
    { .fragment = "5:8 b3:8 2:8 1:8", .rhythm = RHYTHM_SAME },
    { .fragment = "5:8 b3:4 2:8", .over = "m7", .rhythm = RHYTHM_SCALED },
};

static void ask(struct find_query *query, size_t i)
{
    struct fault why = { 0 };

    memset(query, 0, sizeof *query);
    must(fragment_parse(&query->fragment, questions[i].fragment,
                        questions[i].over, NULL, &why),
         &why);
    query->rhythm = questions[i].rhythm;
    query->place.at = questions[i].at;
    query->place.within_phrase = questions[i].within_phrase;
    query->reharmonized = questions[i].reharmonized;
    query->weights = (struct rank_weights)RANK_WEIGHTS_DEFAULT;
    query->has_relation = questions[i].relation != NULL;
    if (query->has_relation)
        must(relation_parse(&query->relation, questions[i].relation,
                            strlen(questions[i].relation), &why),
             &why);
    asked_home_of(&query->home, &query->fragment);
}

/* The score of M by its notes. */
static int score_of(const struct find_query *query, const struct solo *solo,
                    const struct match *m)
{
    size_t n = m->last - m->first + 1;
    struct rank_place place = { solo, m->first, m->last,
                                solo_window_chord(solo, m->first, n) };
    struct rank_question question;
    struct rank_parts parts;

    find_rank_question(&question, query, solo, m->shift, place.chord, false);
    rank_score(&parts, &question, &place);
    return parts.score;
}

/* How many places were decided, and how many scored to the last digit. */
struct told {
    size_t places, decided, fitting, exact;
};

static void compare(struct glance *g, const struct find_query *query,
                    const struct solo *solo, struct match m, struct told *told)
{
    struct match by_notes = m;
    bool fits = match_rest(query, solo, &by_notes), exact;
    enum glance_answer answer = glance_match(g, &m);
    int score, right = score_of(query, solo, &m);

    told->places++;
    told->decided += answer != GLANCE_UNSURE;
    told->fitting += answer == GLANCE_YES;
    ck_assert(answer == GLANCE_UNSURE || (answer == GLANCE_YES) == fits);
    glance_score(g, &m, 0, &score, &exact);
    ck_assert_int_eq(g->status, ST_OK);
    told->exact += exact;
    ck_assert_msg(exact ? score == right : score >= right,
                  "notes %zu-%zu: %d, not %d", m.first, m.last, score, right);
    /* A bound that may stop short is a bound all the same. */
    glance_score(g, &m, right, &score, &exact);
    ck_assert_int_ge(score, right);
}

static void compare_solo(const struct glance_question *question, int64_t id,
                         size_t places, struct told *told)
{
    const struct find_query *query = question->query;
    struct fault why = { 0 };
    struct stretch place;
    struct glance g;
    struct solo *solo;

    must(store_load(twin_library.store, id, &solo, &why), &why);
    must(store_stretch(twin_library.store, id, &place, &why), &why);
    must(glance_open(&g, twin_library.store, question, &place, &why), &why);
    ck_assert_uint_eq(g.count, solo->note_count);
    while (solo->note_count > 0 && places-- > 0) {
        struct match m = { .first = chance((unsigned)solo->note_count) };
        size_t n = query->fragment.count;

        /* Some as after an insertion, or with notes left out. */
        n = one_in(3) ? 2 + chance(20) : n;
        m.last = m.first + n - 1;
        m.shift = (int)chance(24) - 12;
        if (one_in(2))
            m.shift = solo->notes[m.first].midi - query->fragment.midi[0];
        if (m.last < solo->note_count)
            compare(&g, query, solo, m, told);
    }
    solo_free(solo);
}

struct ids {
    int64_t ids[TWIN_SOLOS_MAX];
    size_t count;
};

static bool add_id(void *context, int64_t id)
{
    struct ids *ids = context;

    ids->ids[ids->count++] = id;
    return ids->count < TWIN_SOLOS_MAX;
}

START_TEST(test_places)
{
    static struct ids ids;
    struct fault why = { 0 };

    twin_library_build();
    must(store_read_begin(twin_library.store, &why), &why);
    must(store_ids(twin_library.store, NULL, add_id, &ids, &why), &why);
    for (size_t i = 0; i < sizeof questions / sizeof *questions; i++) {
        static struct find_query query;
        static struct glance_question question;
        struct told told = { 0 };

        ask(&query, i);
        ck_assert(glance_prepare(&question, &query));
        for (size_t k = 0; k < PLACES; k++)
            compare_solo(&question, ids.ids[chance((unsigned)ids.count)], 10,
                         &told);
        /* Hardly anything may be left to the notes. */
        ck_assert_uint_ge(told.decided, told.places * 95 / 100);
        ck_assert_uint_ge(told.exact, told.places * 90 / 100);
    }
    store_read_end(twin_library.store);
    twin_library_free();
}
END_TEST

Suite *glance_suite(void)
{
    Suite *suite = suite_create("glance");
    TCase *tc = tcase_create("glance");

    tcase_set_timeout(tc, 120);
    tcase_add_test(tc, test_places);
    suite_add_tcase(suite, tc);
    return suite;
}
