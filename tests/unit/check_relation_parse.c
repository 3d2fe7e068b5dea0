/* check_relation_parse.c - what relations are called, and read from. */
#include <string.h>

#include "query/relation.h"
#include "tests/unit/chord_fixture.h"
#include "tests/unit/suites.h"

static struct relation_choice parsed(const char *text)
{
    struct relation_choice out;
    struct fault why = { 0 };

    ck_assert_msg(relation_parse(&out, text, strlen(text), &why) == ST_OK, "%s",
                  why.message);
    return out;
}

/* Scripts and people's habits depend on these words. */
START_TEST(names_are_fixed)
{
    static const char *const names[RELATION_COUNT] = {
        "as written",
        "ii over its V",
        "ii over its I",
        "V over its ii",
        "iii over its I",
        "vi over its I",
        "minor a semitone above a dominant's root",
        "tritone substitute",
        "minor a third above a half-diminished root",
        "diminished on a dominant's 3, 5, b7 or b9",
        "backdoor",
        "backdoor reversed",
        "major a whole step below a sus root",
        "other",
    };

    for (int i = 0; i < RELATION_COUNT; i++)
        ck_assert_str_eq(relation_name((enum relation)i), names[i]);
    ck_assert_str_eq(relation_phrase(RELATION_MINOR_ABOVE_DOMINANT),
                     "minor cell a semitone above a dominant's root");
}
END_TEST

START_TEST(every_name_reads_back)
{
    for (int i = 0; i < RELATION_COUNT; i++) {
        const char *name = relation_name((enum relation)i);
        char shouted[RELATION_TEXT_SIZE] = "  ";
        size_t used = 2;

        ck_assert_int_eq(parsed(name).relation, i);
        ck_assert_int_eq(parsed(name).key, -1);
        for (; *name; name++) {
            shouted[used++] = *name >= 'a' && *name <= 'z'
                                  ? (char)(*name - 'a' + 'A')
                                  : *name;
            if (*name == ' ')
                shouted[used++] = '\t';
        }
        shouted[used++] = ' ';
        ck_assert_int_eq(parsed(shouted).relation, i);
        ck_assert((i == RELATION_OTHER) ==
                  (*relation_phrase((enum relation)i) == '\0'));
    }
}
END_TEST

START_TEST(names_are_read_with_tolerance)
{
    static const struct {
        const char *text;
        enum relation relation;
    } list[] = {
        { "II OVER ITS V", RELATION_II_OVER_V },
        { "minor a semitone above a dominants root",
          RELATION_MINOR_ABOVE_DOMINANT },
        { "minor a semitone above a dominant\xe2\x80\x99s root",
          RELATION_MINOR_ABOVE_DOMINANT },
        { "minor a third above a half diminished root",
          RELATION_MINOR_ABOVE_HALF_DIMINISHED },
        { "diminished on a dominants 3 5 \xe2\x99\xad"
          "7 or b9",
          RELATION_DIMINISHED_ON_DOMINANT },
        { "back door", RELATION_BACKDOOR },
        { "as-written", RELATION_AS_WRITTEN },
    };

    for (size_t i = 0; i < sizeof list / sizeof *list; i++)
        ck_assert_int_eq(parsed(list[i].text).relation, list[i].relation);
}
END_TEST

/* Only LEN bytes count. */
START_TEST(a_name_ends_where_its_length_says)
{
    struct relation_choice out;

    ck_assert_int_eq(relation_parse(&out, "ii over its V|x", 13, NULL), ST_OK);
    ck_assert_int_eq(out.relation, RELATION_II_OVER_V);
    ck_assert_int_eq(relation_parse(&out, "ii over its V|x", 15, NULL),
                     ST_SYNTAX);
    ck_assert_int_eq(relation_parse(&out, "\xe2\x99", 2, NULL), ST_SYNTAX);
}
END_TEST

static const char *refusal(const char *text)
{
    static struct fault why;
    struct relation_choice out;

    ck_assert_int_eq(relation_parse(&out, text, strlen(text), &why), ST_SYNTAX);
    ck_assert_int_eq(why.status, ST_SYNTAX);
    ck_assert_int_eq(why.offset, 0);
    return why.message;
}

START_TEST(what_is_no_name_is_refused_with_the_nearest)
{
    ck_assert_str_eq(refusal("tritone sub"),
                     "'tritone sub' is no relation; write one of: "
                     "tritone substitute");
    ck_assert_str_eq(refusal("tritnoe"),
                     "'tritnoe' is no relation; write one "
                     "of: tritone substitute");
    ck_assert_ptr_nonnull(strstr(refusal("backdor"), "of: backdoor, "));
    ck_assert_ptr_nonnull(strstr(refusal("ii over V"), "of: ii over its V, "));
    ck_assert_ptr_nonnull(
        strstr(refusal("minor a semitone over a dominant"),
               "of: minor a semitone above a dominant's root, "));
    ck_assert_ptr_nonnull(strstr(refusal("major below sus"),
                                 "of: major a whole step below a sus root"));
}
END_TEST

START_TEST(what_is_near_nothing_is_answered_with_all_names)
{
    static const char *const texts[] = { "", " ", "quux", "a", "!", "\x01" };

    for (size_t t = 0; t < sizeof texts / sizeof *texts; t++)
        for (int i = 0; i < RELATION_COUNT; i++)
            ck_assert_msg(strstr(refusal(texts[t]),
                                 relation_name((enum relation)i)) != NULL,
                          "%s: %s", texts[t], refusal(texts[t]));
}
END_TEST

START_TEST(long_nonsense_is_cut)
{
    char text[5000];
    const char *message;

    memset(text, 'z', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    message = refusal(text);
    ck_assert_ptr_nonnull(strstr(message, "zzz...'"));
    ck_assert_ptr_nonnull(strstr(message, "other"));
}
END_TEST

/* --- unnamed ones -------------------------------------------------------- */

START_TEST(unnamed_relations_are_described)
{
    static const char *const list[][3] = {
        { "Gbm7", "Cmaj7", "minor over the major a tritone below" },
        { "G7", "Cmaj7", "dominant over the major a fourth above" },
        { "Dm7", "Dm(maj7)", "minor over the minor-major on the same root" },
        { "Bm7b5", "G7",
          "half-diminished over the dominant a major third "
          "below" },
        { "F", "G7", "major over the dominant a whole step above" },
        { "Caug", "Csus4", "augmented over the suspended on the same root" },
        { "Gm7", "Ab7", "minor over the dominant a semitone above" },
        { "Cdim7", "Eb", "diminished over the major a minor third above" },
        { "Dm7", "F#7", "minor over the dominant a major third above" },
        { "D7", "A", "dominant over the major a fifth above" },
        { "C5", "Am", "power chord over the minor a minor third below" },
        { "C7", "Bbmaj7", "dominant over the major a whole step below" },
        { "C7", "B", "dominant over the major a semitone below" },
    };
    char text[RELATION_TEXT_SIZE];

    for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
        struct chord home = chord(list[i][0]), written = chord(list[i][1]);
        int key = relation_key(&home, &written);
        struct relation_choice choice = parsed(list[i][2]);

        ck_assert_str_eq(relation_title(text, sizeof text, key), list[i][2]);
        ck_assert_str_eq(
            relation_describe(text, sizeof text, &home, &written, NULL, 0),
            list[i][2]);
        ck_assert_int_eq(choice.relation, RELATION_OTHER);
        ck_assert_int_eq(choice.key, key);
        ck_assert(relation_chosen(&choice, &home, &written));
        ck_assert(!relation_chosen(&choice, &home, &home));
    }
}
END_TEST

/* A title that describes a named relation asks for that one. */
START_TEST(a_title_may_stand_for_a_name)
{
    static const struct {
        const char *title;
        enum relation relation;
    } list[] = {
        { "minor over the dominant a fourth above", RELATION_II_OVER_V },
        { "dominant over the dominant a tritone below",
          RELATION_TRITONE_SUBSTITUTE },
        { "minor over the major a whole step below", RELATION_II_OVER_I },
        { "dominant over the minor a fifth above", RELATION_V_OVER_II },
        { "major over the suspended a whole step above",
          RELATION_MAJOR_BELOW_SUS },
    };

    for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
        struct relation_choice choice = parsed(list[i].title);

        ck_assert_int_eq(choice.relation, list[i].relation);
        ck_assert_int_eq(choice.key, -1);
    }
}
END_TEST

START_TEST(keys_group_in_any_key)
{
    struct chord home = chord("Gbm7"), written = chord("Cmaj7");
    int key = relation_key(&home, &written);

    ck_assert_int_ge(key, 0);
    ck_assert_int_lt(key, RELATION_KEYS);
    for (int up = 1; up < 12; up++) {
        struct chord a = chord_moved("Gbm9", up), b = chord_moved("C6/G", up);
        struct chord c = chord_moved("Gbm7", up);

        ck_assert_int_eq(relation_key(&a, &b), key);
        ck_assert_int_ne(relation_key(&c, &written), key);
        ck_assert_int_ne(relation_key(&b, &a), key);
    }
}
END_TEST

/* Every title says one key only, and relation_of_key() agrees with
 * relation_of(), a sus of a dominant aside. */
START_TEST(phrases_are_read_back)
{
    for (int i = 0; i < RELATION_OTHER; i++) {
        const char *phrase = relation_phrase((enum relation)i);
        struct relation_choice choice;

        ck_assert_int_eq(relation_parse(&choice, phrase, strlen(phrase), NULL),
                         ST_OK);
        ck_assert_msg((int)choice.relation == i, "%s", phrase);
    }
}
END_TEST

START_TEST(keys_titles_and_relations_agree)
{
    for (int h = 0; h < every_class_count; h++)
        for (int w = 0; w < every_class_count; w++)
            for (int up = 0; up < 12; up++) {
                struct chord home = chord(every_class[h]);
                struct chord written = chord_moved(every_class[w], up);
                enum relation relation = relation_of(&home, &written);
                int key = relation_key(&home, &written);
                char text[RELATION_TEXT_SIZE];
                struct relation_choice choice =
                    parsed(relation_title(text, sizeof text, key));

                if (!written.sus) {
                    ck_assert_int_eq(relation_of_key(key), relation);
                    ck_assert(relation_chosen(&choice, &home, &written));
                }
                ck_assert(choice.key == -1 || choice.key == key);
            }
}
END_TEST

/* A title means what is shown under it, not the sus that has a name. */
START_TEST(a_sus_is_not_in_the_group_of_the_plain_dominant)
{
    struct relation_choice choice =
        parsed("major over the dominant a whole step above");
    struct chord f = chord("F"), g7 = chord("G7"), sus = chord("G7sus4");

    ck_assert(relation_chosen(&choice, &f, &g7));
    ck_assert(!relation_chosen(&choice, &f, &sus));
}
END_TEST

START_TEST(a_title_asks_for_its_group_only)
{
    struct relation_choice choice =
        parsed("dominant over the major a fourth above");
    struct chord g7 = chord("G7"), c = chord("C"), a = chord("A");

    ck_assert(relation_chosen(&choice, &g7, &c));
    ck_assert_int_eq(relation_of(&g7, &a), RELATION_OTHER);
    ck_assert(!relation_chosen(&choice, &g7, &a));
}
END_TEST

/* What is no chord stands in no relation by any wording. */
START_TEST(titles_without_a_chord_are_unnamed)
{
    struct chord none = chord("N.C."), home = chord("Dm7");
    struct relation_choice choice = parsed("minor over no chord");

    ck_assert(relation_chosen(&choice, &home, &none));
    choice = parsed("no chord over no chord");
    ck_assert_int_eq(choice.relation, RELATION_OTHER);
    ck_assert(relation_chosen(&choice, &none, &none));
    choice = parsed(
        "unexplained chord over the unexplained chord "
        "on the same root");
    ck_assert_int_eq(choice.relation, RELATION_OTHER);
}
END_TEST

START_TEST(other_means_any_unnamed_one)
{
    struct relation_choice choice = parsed("Other");
    struct chord g7 = chord("G7"), c = chord("C"), dm7 = chord("Dm7");

    ck_assert(relation_chosen(&choice, &g7, &c));
    ck_assert(!relation_chosen(&choice, &g7, &dm7));
    ck_assert(!relation_chosen(&choice, &c, &c));
}
END_TEST

Suite *relation_parse_suite(void)
{
    Suite *suite = suite_create("relation_parse");
    TCase *tcase = tcase_create("relation_parse");

    tcase_add_test(tcase, names_are_fixed);
    tcase_add_test(tcase, every_name_reads_back);
    tcase_add_test(tcase, names_are_read_with_tolerance);
    tcase_add_test(tcase, a_name_ends_where_its_length_says);
    tcase_add_test(tcase, what_is_no_name_is_refused_with_the_nearest);
    tcase_add_test(tcase, what_is_near_nothing_is_answered_with_all_names);
    tcase_add_test(tcase, long_nonsense_is_cut);
    tcase_add_test(tcase, unnamed_relations_are_described);
    tcase_add_test(tcase, a_title_may_stand_for_a_name);
    tcase_add_test(tcase, keys_group_in_any_key);
    tcase_add_test(tcase, phrases_are_read_back);
    tcase_add_test(tcase, keys_titles_and_relations_agree);
    tcase_add_test(tcase, a_sus_is_not_in_the_group_of_the_plain_dominant);
    tcase_add_test(tcase, a_title_asks_for_its_group_only);
    tcase_add_test(tcase, titles_without_a_chord_are_unnamed);
    tcase_add_test(tcase, other_means_any_unnamed_one);
    suite_add_tcase(suite, tcase);
    return suite;
}
