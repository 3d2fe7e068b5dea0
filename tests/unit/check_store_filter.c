/* check_store_filter.c - restrictions, and what a name may mean. */
#include <check.h>
#include <string.h>

#include "schema/field.h"
#include "schema/gram.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/store_fixture.h"
#include "tests/unit/suites.h"

static char folder[FOLDER_SIZE];
static struct store *store;
static struct fault why;

/* Facts of an invented player's solo. */
struct facts {
    const char *path, *title, *performer, *instrument, *metre;
    const char *remark, *rehearsal;
    int tempo;
    int8_t fifths;
    uint8_t mode;
};

static const struct facts rows[] = {
    { "1.xml", "Night Bus", "Ada Lovel", "Trumpet", "4/4", "laid back",
      "Solo", 12000, -3, MODE_MAJOR },
    { "2.xml", "night owl", "Ad\xC3\xA8le Lovelock", "Tenor Saxophone", "3/4",
      "back to the top", NULL, 14000, -3, MODE_MINOR },
    { "set%1/3.xml", "Caf\xC3\xA9 \"Nord\"", "Ben Ada", "Trumpet", "4/4",
      "laid", "B", 14050, 0, MODE_UNKNOWN },
    { "set_1/4.xml", "Stra\xC3\x9F" "e", "", "", "3+2/8", NULL, NULL, 0, 2,
      MODE_MAJOR },
    { "set%1/sub/5.xml", "Night Bus", "Zo\xC3\xAB Ng", "Alto", "4/4", "",
      NULL, 9999, 2, MODE_MINOR },
    { "set%10/6.xml", "R\xC3\x89SUM\xC3\x89", "Zoe Nguyen", "Alto", "4/4",
      "fade", NULL, 20000, 0, MODE_MAJOR },
};

static struct solo *solo_of(const struct facts *f)
{
    struct solo *solo = fixture_solo(f->performer, "[C7] C4 D4 E4 F4");

    solo->title = f->title;
    solo->instrument = f->instrument;
    solo->metre = f->metre;
    solo->tempo = f->tempo;
    solo->has_key = f->mode != MODE_UNKNOWN;
    solo->fifths = f->fifths;
    solo->mode = f->mode;
    solo->bars[0].rehearsal = f->rehearsal;
    if (f->remark) {
        solo->remarks = solo_alloc(solo, sizeof *solo->remarks);
        solo->remark_count = 1;
        solo->remarks[0].text = f->remark;
    }
    return solo;
}

static void set_up(void)
{
    folder_make(folder);
    store = store_must_open(folder, STORE_WRITE);
    must(store_begin(store, &why), &why);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        store_must_put(store, rows[i].path, solo_of(&rows[i]));
    must(store_commit(store, &why), &why);
}

static void tear_down(void)
{
    store_close(store);
    folder_remove(folder);
}

/* The digits of the solos that pass the restrictions in TEXTS (up to NULL),
 * in order. */
static const char *passing_all(const char *const *texts)
{
    static char digits[16];
    struct filter filter = { .count = 0 };
    size_t n = 0;

    for (; *texts; texts++)
        must(field_parse_where(&filter.terms[filter.count++], *texts, &why),
             &why);
    for (const char *at = store_paths(store, &filter);
         (at = strstr(at, ".xml")); at++)
        digits[n++] = at[-1];
    digits[n] = '\0';
    return digits;
}

static const char *passing(const char *text)
{
    const char *const texts[] = { text, NULL };

    return passing_all(texts);
}

START_TEST(words_may_be_begun_and_need_no_accents)
{
    ck_assert_str_eq(passing("performer=ada lov"), "1");
    ck_assert_str_eq(passing("performer=ADA"), "13");
    ck_assert_str_eq(passing("performer=adele"), "2");
    ck_assert_str_eq(passing("performer=Ad\xC3\xA8le l"), "2");
    ck_assert_str_eq(passing("performer=zoe ng"), "56");
    ck_assert_str_eq(passing("performer=lov"), "12");
    /* In order and next to each other; only the last may be begun. */
    ck_assert_str_eq(passing("performer=lovel ada"), "");
    ck_assert_str_eq(passing("performer=ad lovel"), "");
    ck_assert_str_eq(passing("title=nord"), "3");
    ck_assert_str_eq(passing("title=resume"), "6");
    ck_assert_str_eq(passing("instrument=sax"), "2");
}
END_TEST

START_TEST(words_stay_in_their_column)
{
    ck_assert_str_eq(passing("title=ada"), "");
    ck_assert_str_eq(passing("composer=ada"), "");
    ck_assert_str_eq(passing("words=laid"), "13");
    ck_assert_str_eq(passing("words=solo"), "1");
    /* "laid back" and "Solo" are two remarks, not one. */
    ck_assert_str_eq(passing("words=back solo"), "");
    ck_assert_str_eq(passing("words=laid back"), "1");
}
END_TEST

START_TEST(what_the_user_writes_has_no_syntax)
{
    ck_assert_str_eq(passing("title=\"Nord\""), "3");
    ck_assert_str_eq(passing("title=cafe \"nord"), "3");
    ck_assert_str_eq(passing("title=night OR cafe"), "");
    ck_assert_str_eq(passing("title=night*"), "125");
    ck_assert_str_eq(passing("title=x\" OR title : \"night"), "");
    ck_assert_str_eq(passing("title=NOT bus"), "");
    ck_assert_str_eq(passing("metre=4/4"), "1356");
    ck_assert_str_eq(passing("performer=' OR 1=1 --"), "");
}
END_TEST

START_TEST(exact_values_and_ranges)
{
    ck_assert_str_eq(passing("key=eb"), "1");
    ck_assert_str_eq(passing("key=C minor"), "2");
    ck_assert_str_eq(passing("key=C"), "6");
    ck_assert_str_eq(passing("key=Bm"), "5");
    ck_assert_str_eq(passing("metre=3+2/8"), "4");
    ck_assert_str_eq(passing("metre=2/8"), "");
    ck_assert_str_eq(passing("tempo=120"), "1");
    ck_assert_str_eq(passing("tempo=100-140"), "12");
    ck_assert_str_eq(passing("tempo=99.99-140.5"), "1235");
    ck_assert_str_eq(passing("tempo=1-9999"), "12356");
}
END_TEST

START_TEST(paths_are_taken_as_they_are_written)
{
    ck_assert_str_eq(passing("path=set%1"), "35");
    ck_assert_str_eq(passing("path=set%1/"), "35");
    ck_assert_str_eq(passing("path=./set%1"), "35");
    ck_assert_str_eq(passing("path=set_1"), "4");
    ck_assert_str_eq(passing("path=set%1/3.xml"), "3");
    ck_assert_str_eq(passing("path=set%1/sub"), "5");
    ck_assert_str_eq(passing("path=set%1/s"), "");
    ck_assert_str_eq(passing("path=set%"), "");
    ck_assert_str_eq(passing("path=SET_1"), "");
    ck_assert_str_eq(passing("path=1.xml"), "1");
}
END_TEST

START_TEST(all_restrictions_hold_together)
{
    const char *const some[] = { "title=night", "tempo=100-200",
                                 "path=1.xml", NULL };
    const char *const none[] = { "title=night", "key=D", NULL };
    const char *const all[] = { "performer=ada", "title=night",
                                "instrument=trumpet", "key=Eb", "metre=4/4",
                                "tempo=100-130", "words=laid", "words=solo",
                                "path=1.xml", NULL };

    ck_assert_str_eq(passing_all(some), "1");
    ck_assert_str_eq(passing_all(none), "");
    ck_assert_str_eq(passing_all(all), "1");
    ck_assert_str_eq(passing_all(all + 9), "123564");
}
END_TEST

static bool count_row(void *context, const struct stretch *solo,
                      const uint32_t *places, size_t count)
{
    (void)solo;
    ck_assert_uint_eq(count, 1);
    ck_assert_uint_eq(places[0], 1);
    ++*(int *)context;
    return true;
}

START_TEST(places_pass_the_filter_too)
{
    const int steps[] = { 2, 1 };
    struct gram grams[GRAM_QUESTION_MAX];
    struct filter filter = { .count = 2 };
    struct passing *passing;
    int count = 0;

    gram_question(grams, steps, 2, NULL);
    must(field_parse_where(&filter.terms[0], "title=night", &why), &why);
    must(field_parse_where(&filter.terms[1], "tempo=110-200", &why), &why);
    must(store_passing(&passing, store, &filter, &why), &why);
    must(store_places(store, grams, 1, passing, count_row, &count, &why), &why);
    passing_free(passing);
    ck_assert_int_eq(count, 2);
    count = 0;
    must(store_places(store, grams, 1, NULL, count_row, &count, &why), &why);
    ck_assert_int_eq(count, 6);
}
END_TEST

START_TEST(a_filter_of_no_field_is_refused)
{
    struct filter filter = { .count = 1 };

    filter.terms[0].field = FIELDS;
    ck_assert_int_eq(store_solos(store, &filter, NULL, NULL, &why),
                     ST_INTERNAL);
    filter.count = 17;
    ck_assert_int_eq(store_solos(store, &filter, NULL, NULL, &why),
                     ST_INTERNAL);
}
END_TEST

/* --- names ------------------------------------------------------------- */

static bool add_digit(void *context, const struct solo_record *solo)
{
    char *digits = context;

    strncat(digits, strstr(solo->path, ".xml") - 1, 1);
    return true;
}

static const char *meaning(const char *name)
{
    static char digits[16];

    digits[0] = '\0';
    must(store_find_name(store, name, add_digit, digits, &why), &why);
    return digits;
}

START_TEST(a_whole_path_or_title_comes_first)
{
    ck_assert_str_eq(meaning("1.xml"), "1");
    ck_assert_str_eq(meaning("set%1/3.xml"), "3");
    ck_assert_str_eq(meaning("night bus"), "15");
    ck_assert_str_eq(meaning("NIGHT OWL"), "2");
    ck_assert_str_eq(meaning("cafe \"nord\""), "3");
}
END_TEST

START_TEST(else_a_part_of_it_will_do)
{
    ck_assert_str_eq(meaning("night"), "125");
    ck_assert_str_eq(meaning("owl"), "2");
    ck_assert_str_eq(meaning("CAF\xC3\x89"), "3");
    ck_assert_str_eq(meaning("cafe\xCC\x81"), "3"); /* e, combining acute */
    ck_assert_str_eq(meaning("strasse"), "4");
    ck_assert_str_eq(meaning("resum\xC3\xA9"), "6");
    ck_assert_str_eq(meaning("sub/"), "5");
    ck_assert_str_eq(meaning("SET_1"), "4");
    ck_assert_str_eq(meaning("set%1"), "356");
    ck_assert_str_eq(meaning("no such"), "");
    ck_assert_str_eq(meaning(""), "");
    ck_assert_str_eq(meaning("\xff"), "");
}
END_TEST

Suite *store_filter_suite(void)
{
    Suite *suite = suite_create("store_filter");
    TCase *tcase = tcase_create("store_filter");

    tcase_add_checked_fixture(tcase, set_up, tear_down);
    tcase_add_test(tcase, words_may_be_begun_and_need_no_accents);
    tcase_add_test(tcase, words_stay_in_their_column);
    tcase_add_test(tcase, what_the_user_writes_has_no_syntax);
    tcase_add_test(tcase, exact_values_and_ranges);
    tcase_add_test(tcase, paths_are_taken_as_they_are_written);
    tcase_add_test(tcase, all_restrictions_hold_together);
    tcase_add_test(tcase, places_pass_the_filter_too);
    tcase_add_test(tcase, a_filter_of_no_field_is_refused);
    tcase_add_test(tcase, a_whole_path_or_title_comes_first);
    tcase_add_test(tcase, else_a_part_of_it_will_do);
    suite_add_tcase(suite, tcase);
    return suite;
}
