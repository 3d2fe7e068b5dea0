/* check_store_places.c - what the index proposes is what a plain reading of
 * the notes finds.  Solos and questions are random, with fixed seeds. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/gram.h"
#include "schema/harmony.h"
#include "schema/store_internal.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/store_fixture.h"
#include "tests/unit/suites.h"

enum { SOLOS = 24, QUESTIONS = 3000, WINDOW_MAX = 9 };

static char folder[FOLDER_SIZE];
static struct store *store;
static struct solo *solos[SOLOS]; /* as read back, by order of path */
static int64_t ids[SOLOS];
static struct fault why;
static unsigned int seed;

static int pick(int n)
{
    seed = seed * 1103515245u + 12345u;
    return (int)((seed >> 8) % (unsigned int)n);
}

static struct solo *random_solo(int notes)
{
    static const char *const chords[] = { "Dm7",  "G7", "Cmaj7", "N.C.",
                                          "Bm7b5", "E7#9", "Cdim7", "Fsus4" };
    struct draft draft;
    int midi = 60;

    draft_start(&draft, "Someone", "A tune", "4/4", 4 * FIXTURE_TICKS);
    for (int i = 0; i < notes; i++) {
        int leap = pick(12) == 0 ? pick(128) - midi : pick(7) - 3;

        if (midi + leap >= 0 && midi + leap <= 127)
            midi += leap;
        if (pick(5) == 0)
            draft_chord(&draft, chords[pick(8)], draft.now);
        if (pick(9) == 0)
            draft_rest(&draft, 12);
        draft_note(&draft, midi, 6 + 6 * pick(4), 6 + 6 * pick(8));
    }
    return draft_end(&draft);
}

static bool load_solo(void *context, const struct solo_record *solo)
{
    int *n = context;

    ids[*n] = solo->id;
    must(store_load(store, solo->id, &solos[*n], &why), &why);
    ++*n;
    return true;
}

static void set_up(void)
{
    int n = 0;

    seed = 2024;
    folder_make(folder);
    store = store_must_open(folder, STORE_WRITE);
    must(store_begin(store, &why), &why);
    for (int i = 0; i < SOLOS; i++) {
        char path[24];

        snprintf(path, sizeof path, "%02d.xml", i);
        /* The first four hold 0, 1, 2 and 3 notes. */
        store_must_put(store, path, random_solo(i < 4 ? i : 40 + pick(200)));
    }
    must(store_commit(store, &why), &why);
    must(store_solos(store, NULL, load_solo, &n, &why), &why);
    ck_assert_int_eq(n, SOLOS);
}

static void tear_down(void)
{
    for (int i = 0; i < SOLOS; i++)
        solo_free(solos[i]);
    store_close(store);
    folder_remove(folder);
}

/* A question: the intervals of a window, and its place. */
struct question {
    int intervals[WINDOW_MAX];
    size_t n;
    bool placed;
    int class, start;
};

/* The index does not tell intervals beyond its range from each other. */
static int as_indexed(int interval)
{
    if (interval > GRAM_INTERVAL_MAX)
        return GRAM_INTERVAL_MAX + 1;
    if (interval < -GRAM_INTERVAL_MAX)
        return -GRAM_INTERVAL_MAX - 1;
    return interval;
}

static int interval_at(const struct solo *solo, size_t i)
{
    return as_indexed(solo->notes[i + 1].midi - solo->notes[i].midi);
}

/* Chord class and start of the window of N + 1 notes; class -1 without a
 * chord. */
static int place_at(const struct solo *solo, size_t first, size_t n,
                    int *start)
{
    int32_t index = solo_window_chord(solo, first, n + 1);

    *start = 0;
    if (index == SOLO_NO_CHORD || !solo->chords[index].chord.has_root)
        return -1;
    *start = (solo->notes[first].midi + 12 -
              solo->chords[index].chord.root_pc) % 12;
    return solo->chords[index].chord.class;
}

/* The plain reading. */
static bool stands_at(const struct question *q, const struct solo *solo,
                      size_t first)
{
    int start, class;

    if (first + q->n >= solo->note_count)
        return false;
    for (size_t i = 0; i < q->n; i++)
        if (interval_at(solo, first + i) != as_indexed(q->intervals[i]))
            return false;
    if (!q->placed)
        return true;
    class = place_at(solo, first, q->n, &start);
    return class >= 0 && start == q->start && class == q->class;
}

struct answer {
    const struct question *question;
    bool seen[SOLOS];
};

static bool check_row(void *context, const struct stretch *row,
                      const uint32_t *places, size_t count)
{
    struct answer *answer = context;
    const struct question *q = answer->question;
    size_t at = 0;
    int s = 0;

    while (s < SOLOS && ids[s] != row->id)
        s++;
    ck_assert_int_lt(s, SOLOS);
    ck_assert(!answer->seen[s]);
    answer->seen[s] = true;
    for (size_t i = 0; i < solos[s]->note_count; i++) {
        bool proposed = at < count && places[at] == i;

        /* No assertion for each note: it would cost a system call. */
        if (stands_at(q, solos[s], i) != proposed)
            ck_abort_msg("solo %d note %zu, %zu intervals", s, i, q->n);
        at += proposed;
    }
    ck_assert_uint_eq(at, count);
    return true;
}

struct count {
    size_t places, solos;
};

static bool count_solo(void *context, const struct stretch *solo,
                       const uint32_t *places, size_t count)
{
    struct count *total = context;

    (void)solo;
    (void)places;
    total->places += count;
    total->solos++;
    return true;
}

static bool count_segment(void *context, int64_t segment,
                          const uint32_t *notes, size_t count, size_t solos_hit)
{
    struct count *total = context;
    struct stretch solo;

    /* Each is a note of a solo, and none comes twice. */
    for (size_t i = 0; i < count; i++) {
        must(store_stretch_with(store, segment, notes[i], &solo, &why), &why);
        ck_assert(i == 0 || notes[i - 1] < notes[i]);
    }
    total->places += count;
    total->solos += solos_hit;
    return true;
}

/* The same by segments as by solos. */
static void ask_whole(const struct gram *grams, size_t n)
{
    struct count solos_count = { 0, 0 }, whole = { 0, 0 };

    must(store_read_begin(store, &why), &why);
    must(store_places(store, grams, n, NULL, count_solo, &solos_count, &why),
         &why);
    must(store_places_whole(store, grams, n, count_segment, &whole, &why),
         &why);
    store_read_end(store);
    ck_assert_uint_eq(whole.places, solos_count.places);
    ck_assert_uint_eq(whole.solos, solos_count.solos);
}

/* Ask the index; whatever solo it leaves out must not have the window. */
static void ask(const struct question *q)
{
    const struct gram_place place = { q->class, q->start };
    struct gram grams[GRAM_QUESTION_MAX];
    size_t count =
        gram_question(grams, q->intervals, q->n, q->placed ? &place : NULL);
    struct answer answer = { .question = q };

    must(store_places(store, grams, count, NULL, check_row, &answer, &why),
         &why);
    for (int s = 0; s < SOLOS; s++)
        for (size_t i = 0; !answer.seen[s] && i < solos[s]->note_count; i++)
            if (stands_at(q, solos[s], i))
                ck_abort_msg("solo %d note %zu left out", s, i);
    ask_whole(grams, count);
}

/* A window of some solo, sometimes with one interval changed. */
static void draw(struct question *q, size_t longest)
{
    const struct solo *solo;
    size_t first;

    memset(q, 0, sizeof *q);
    q->n = GRAM_MIN + (size_t)pick((int)longest - 1);
    do
        solo = solos[pick(SOLOS)];
    while (solo->note_count <= q->n);
    first = (size_t)pick((int)(solo->note_count - q->n));
    for (size_t i = 0; i < q->n; i++)
        q->intervals[i] =
            solo->notes[first + i + 1].midi - solo->notes[first + i].midi;
    if (pick(5) == 0)
        q->intervals[pick((int)q->n)] += pick(3) - 1;
}

START_TEST(intervals_agree_with_a_scan)
{
    int wide = 0;

    for (int i = 0; i < QUESTIONS; i++) {
        struct question q;

        draw(&q, WINDOW_MAX);
        for (size_t k = 0; k < q.n; k++)
            wide += abs(q.intervals[k]) > GRAM_INTERVAL_MAX;
        ask(&q);
    }
    ck_assert_int_gt(wide, 100);
}
END_TEST

START_TEST(placed_grams_agree_with_a_scan)
{
    for (int i = 0; i < QUESTIONS; i++) {
        struct question q;

        draw(&q, GRAM_MAX);
        q.placed = true;
        q.class = pick(CHORD_CLASSES);
        q.start = pick(12);
        ask(&q);
    }
}
END_TEST

/* Random places are mostly empty: ask for each that is there, too. */
START_TEST(every_placed_window_is_proposed)
{
    int asked = 0;

    for (int s = 0; s < SOLOS; s++)
        for (size_t i = 0; i + 1 < solos[s]->note_count; i++) {
            struct question q = { .n = GRAM_MIN + (size_t)pick(3) };

            if (i + q.n >= solos[s]->note_count)
                continue;
            for (size_t k = 0; k < q.n; k++)
                q.intervals[k] = interval_at(solos[s], i + k);
            q.class = place_at(solos[s], i, q.n, &q.start);
            if (q.class < 0)
                continue;
            q.placed = true;
            ask(&q);
            asked++;
        }
    ck_assert_int_gt(asked, 1000);
}
END_TEST

/* Of a segment whose list lacks a solo. */
START_TEST(places_of_no_solo_are_left_out)
{
    const int steps[] = { 1, 1 };
    struct gram grams[GRAM_QUESTION_MAX];
    size_t count = gram_question(grams, steps, 2, NULL);
    struct count before = { 0, 0 }, after = { 0, 0 };

    must(store_places(store, grams, count, NULL, count_solo, &before, &why),
         &why);
    ck_assert_int_eq(sqlite3_exec(store->db,
                                  "UPDATE segment SET solos = "
                                  "substr(solos, 1, 16 * 9) || "
                                  "substr(solos, 16 * 10 + 1)",
                                  NULL, NULL, NULL),
                     SQLITE_OK);
    must(store_places(store, grams, count, NULL, count_solo, &after, &why),
         &why);
    ck_assert_uint_lt(after.places, before.places);
    ck_assert_uint_eq(after.solos + 1, before.solos);
    ask_whole(grams, count);
}
END_TEST

static bool stop_at_once(void *context, const struct stretch *solo,
                         const uint32_t *places, size_t count)
{
    (void)solo;
    (void)places;
    (void)count;
    ++*(int *)context;
    return false;
}

START_TEST(a_question_can_be_stopped)
{
    const int steps[] = { 1, 1 };
    struct gram grams[GRAM_QUESTION_MAX];
    size_t count = gram_question(grams, steps, 2, NULL);
    int rows = 0;

    for (int i = 0; i < 3; i++)
        must(store_places(store, grams, count, NULL, stop_at_once, &rows, &why),
             &why);
    ck_assert_int_eq(rows, 3);
}
END_TEST

START_TEST(what_is_no_gram_is_refused)
{
    const struct gram foreign[] = { { "1\" \"", 0, false },
                                    { "1 2", 0, false },
                                    { "", 0, false },
                                    { "2JI", 0, true } };
    int rows = 0;

    for (size_t i = 0; i < sizeof foreign / sizeof *foreign; i++)
        ck_assert_int_eq(store_places(store, &foreign[i], 1, NULL, stop_at_once,
                                      &rows, &why),
                         ST_INTERNAL);
    ck_assert_int_eq(
        store_places(store, foreign, 0, NULL, stop_at_once, &rows, &why),
        ST_INTERNAL);
    ck_assert_int_eq(store_places(store, foreign, GRAM_QUESTION_MAX + 1, NULL,
                                  stop_at_once, &rows, &why),
                     ST_INTERNAL);
    ck_assert_int_eq(rows, 0);
}
END_TEST

Suite *store_places_suite(void)
{
    Suite *suite = suite_create("store_places");
    TCase *tcase = tcase_create("store_places");

    tcase_add_checked_fixture(tcase, set_up, tear_down);
    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, intervals_agree_with_a_scan);
    tcase_add_test(tcase, placed_grams_agree_with_a_scan);
    tcase_add_test(tcase, every_placed_window_is_proposed);
    tcase_add_test(tcase, places_of_no_solo_are_left_out);
    tcase_add_test(tcase, a_question_can_be_stopped);
    tcase_add_test(tcase, what_is_no_gram_is_refused);
    suite_add_tcase(suite, tcase);
    return suite;
}
