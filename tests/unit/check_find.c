/* check_find.c - what is found, and in what order.
 *
 * The solos are made up for each test.  The checks marked "design 9" are
 * common practice, no source.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/candidates.h"
#include "schema/field.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/suites.h"

static struct fixture library;
static struct find_result result;

static void start(void)
{
    fixture_open(&library);
    memset(&result, 0, sizeof result);
}

static void end(void)
{
    find_result_free(&result);
    fixture_close(&library);
}

/* Put a solo of one text, by a player called Ash. */
static void put(const char *path, const char *text)
{
    fixture_put(&library, path, fixture_solo("Ash", text));
}

static struct find_query query_for(const char *text, const char *over)
{
    struct find_query query = { .limit = 0 };
    struct fault why = { 0 };

    ck_assert_msg(fragment_parse(&query.fragment, text, over, NULL, &why) ==
                      ST_OK,
                  "'%s': %s", text, why.message);
    return query;
}

static uint64_t run(const struct find_query *query)
{
    struct fault why = { 0 };

    find_result_free(&result);
    ck_assert_msg(find_run(&result, library.store, query, &why) == ST_OK, "%s",
                  why.message);
    return result.total;
}

static uint64_t found(const char *text, const char *over)
{
    struct find_query query = query_for(text, over);

    return run(&query);
}

static const char *hit_path(size_t i)
{
    return result.solos[result.hits[i].solo].path;
}

/* --- design 9 ------------------------------------------------------------ */

static void put_in_all_keys(const char *text)
{
    for (int up = 0; up < 12; up++) {
        char path[32];

        snprintf(path, sizeof path, "up%02d.musicxml", up);
        fixture_put(&library, path, fixture_solo_up("Ash", text, up));
    }
    fixture_commit(&library);
}

static void names_of_hit(char *out, size_t size, size_t at, size_t n)
{
    const struct hit *hit = &result.hits[at];
    const struct solo *solo = result.solos[hit->solo].solo;
    const char *names[FRAGMENT_NOTES_MAX];
    int midi[FRAGMENT_NOTES_MAX];

    for (size_t i = 0; i < n; i++)
        midi[i] = solo->notes[hit->first + i].midi;
    chord_cell_degrees(names, &solo->chords[hit->chord].chord, midi, n);
    out[0] = '\0';
    for (size_t i = 0; i < n; i++)
        snprintf(out + strlen(out), size - strlen(out), "%s%s", i ? " " : "",
                 names[i]);
}

static void check_in_all_keys(const char *solo, const char *text,
                              const char *over, const char *elsewhere)
{
    put_in_all_keys(solo);
    ck_assert_uint_eq(found(text, over), 12);
    ck_assert_uint_eq(result.solos_with_hits, 12);
    for (size_t i = 0; i < 12; i++)
        ck_assert_uint_eq(result.hits[i].first, 1);
    ck_assert_uint_eq(found(text, elsewhere), 0);
}

START_TEST(a_cell_over_its_own_chord_in_all_keys) /* design 9 */
{
    bool seen[12] = { false };

    check_in_all_keys("[Dm7] C5 A4 F4 E4 D4 r:4 G4", "5 b3 2 1", "m7", "7");
    ck_assert_uint_eq(found("5 b3 2 1", "Dm7"), 12);
    for (size_t i = 0; i < 12; i++) {
        char names[64];

        names_of_hit(names, sizeof names, i, 4);
        ck_assert_str_eq(names, "5 b3 2 1");
        ck_assert(result.hits[i].has_transposition);
        ck_assert_int_ge(result.hits[i].transposition, -5);
        ck_assert_int_le(result.hits[i].transposition, 6);
        seen[result.hits[i].transposition + 5] = true;
        /* The paths say how far it was moved. */
        ck_assert_int_eq(atoi(hit_path(i) + 2),
                         (result.hits[i].transposition + 12) % 12);
    }
    for (int i = 0; i < 12; i++)
        ck_assert(seen[i]);
    ck_assert_uint_eq(found("A F E D", "Dm7"), 12);
    ck_assert_uint_eq(found("A F E D", NULL), 12);
    ck_assert_uint_eq(found("-4 -1 -2", "minor"), 12);
}
END_TEST

START_TEST(the_same_notes_over_the_dominant) /* design 9 */
{
    check_in_all_keys("[G7] C5 A4 F4 E4 D4", "9 b7 13 5", "7", "m7");
    ck_assert_uint_eq(found("2 b7 6 5", "7"), 12);
    ck_assert_uint_eq(found("A F E D", "G7"), 12);
    ck_assert_uint_eq(found("A F E D", "D7"), 0);
    ck_assert_uint_eq(found("5 b3 2 1", "m7"), 0);
}
END_TEST

START_TEST(the_same_notes_over_the_major) /* design 9 */
{
    check_in_all_keys("[Cmaj7] C5 A4 F4 E4 D4", "13 11 3 9", "maj7", "7");
    ck_assert_uint_eq(found("6 4 3 2", "maj7"), 12);
}
END_TEST

START_TEST(a_minor_cell_a_semitone_above_a_dominant) /* design 9 */
{
    check_in_all_keys("[G7] C5 Eb5 Cb5 Bb4 Ab4", "b13 3 #9 b9", "7", "m7");
    ck_assert_uint_eq(found("Eb Cb Bb Ab", "G7"), 12);
}
END_TEST

START_TEST(idioms_any_teacher_would_try) /* design 9 */
{
    put("a.xml",
        "[Dm7] F4 A4 C5 E5 [G7] B4 D5 F5 Ab5 [Cmaj7] G5 r:4 "
        "C4 D4 E4 G4 F4 D#4 E4");
    fixture_commit(&library);
    ck_assert_uint_eq(found("b3 5 b7 9", "m7"), 1);
    ck_assert_uint_eq(found("3 5 b7 b9", "7"), 1);
    ck_assert_uint_eq(found("3 5 b7 b9 5", "7|maj7"), 0); /* another count */
    ck_assert_uint_eq(found("B D F Ab G", "G7|Cmaj7"), 1);
    ck_assert_uint_eq(found("1 2 3 5", "maj7"), 1);
    ck_assert_uint_eq(found("4 #9 3", "maj7"), 1); /* enclosure */
}
END_TEST

/* --- functions ----------------------------------------------------------- */

/* A ii-V-I, its dominant first with, then without a suspended fourth; before
 * it the dominant of ii.  How each is named: common practice, no source. */
static const char turnaround[] =
    "[Cmaj7] E4 D4 C4 r r r:2 [A7] G4 F4 E4 r r r:2 [Dm7] F4 E4 D4 r r r:2 "
    "[G7sus4] F4 E4 D4 r r r:2 [G7] F4 E4 D4 r r r:2 [C6] G4 F4 E4 r r r:2";

START_TEST(functions_in_all_keys)
{
    static const struct {
        const char *text, *over;
        int places; /* in each key */
    } lines[] = {
        { "b7 b6 5", "V7/ii", 1 }, { "b7 b6 5", "V13/II", 1 },
        { "b7 b6 5", "V7", 0 },    { "b7 b6 5", "7", 1 },
        { "b7 6 5", "V7", 2 },     { "b7 6 5", "V7sus", 2 },
        { "b7 6 5", "V7/ii", 0 },  { "b7 6 5", "Vsus", 0 },
        { "b3 2 1", "ii7", 1 },    { "b3 2 1", "ii", 1 },
        { "b3 2 1", "ii\xc3\xb8" "7", 0 },
        { "b3 2 1", "vi7", 0 },    { "3 2 1", "Imaj7", 1 },
        { "3 2 1", "I6", 1 },      { "5 4 3", "I", 1 },
        { "3 2 1", "IVmaj7", 0 },  { "b7 ? 5", "V7", 2 },
        { "-1 -2", "V7", 2 },      { "-2 -2", "I", 1 },
    };

    put_in_all_keys(turnaround);
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        uint64_t places = found(lines[i].text, lines[i].over);

        ck_assert_msg(places == 12U * (unsigned)lines[i].places,
                      "'%s' over %s: %lu places", lines[i].text, lines[i].over,
                      (unsigned long)places);
    }
}
END_TEST

/* The first note of the one hit over the very chord asked, -1 without. */
static int very_first(void)
{
    int first = -1;

    for (size_t i = 0; i < result.hit_count; i++) {
        if (result.hits[i].exactness != 2)
            continue;
        ck_assert_int_eq(first, -1);
        first = (int)result.hits[i].first;
    }
    return first;
}

START_TEST(the_very_function_is_told_from_its_kin)
{
    struct find_query query = query_for("b7 6 5", "V7");
    int sus;

    put("a.xml", turnaround);
    fixture_commit(&library);
    ck_assert_uint_eq(run(&query), 2);
    sus = very_first();
    query = query_for("b7 6 5", "V7sus");
    ck_assert_uint_eq(run(&query), 2);
    ck_assert_int_gt(sus, very_first());
    /* Neither is as it was written. */
    query = query_for("b7 6 5", "V+7");
    ck_assert_uint_eq(run(&query), 2);
    ck_assert_int_eq(very_first(), -1);
}
END_TEST

START_TEST(functions_that_change_inside)
{
    put("a.xml", "[Dm7] F4:4 E4:4 D4:4 A4:4 [G7] B4:2 G4:2 [Cmaj7] E4:1 "
                 "[Ebmaj7] G4:1");
    fixture_commit(&library);
    ck_assert_uint_eq(found("D4 A4 B4 G4", "ii7|V7"), 1);
    ck_assert_uint_eq(found("D4 A4 B4 G4", "m7|V7"), 1);
    ck_assert_uint_eq(found("D4 A4 B4 G4", "ii7|G7"), 1);
    ck_assert_uint_eq(found("1 5' 6 4", "ii7|V7"), 1);
    ck_assert_uint_eq(found("1 5' 6 4", "ii7|ii7"), 0);
    ck_assert_uint_eq(found("1 5' 6 4", "V7|ii7"), 0);
    ck_assert_uint_eq(found("2 5' 6 4", "ii7|V7"), 0);
    ck_assert_uint_eq(found("D4 A4 B4 G4 E4", "ii7|V7|Imaj7"), 1);
    ck_assert_uint_eq(found("D4 A4 B4 G4", "ii7"), 0);
}
END_TEST

/* V7 of one key and I of another are no cadence. */
START_TEST(functions_side_by_side_share_their_tonic)
{
    struct find_query query = query_for("1 5'", "V7|I");
    struct solo *solo = fixture_solo("Ash", "[G7] G4:1 [C] D5:1");

    solo->chords[0].function = "V7";
    solo->chords[1].function = "I";
    for (int from = 0; from < 24; from++)
        for (int to = 0; to < 24; to++) {
            solo->chords[0].key = (int8_t)from;
            solo->chords[1].key = (int8_t)to;
            ck_assert_int_eq(find_matches_at(&query, solo, 0),
                             from % 12 == to % 12);
        }
    query = query_for("1 5'", "V7|maj7");
    ck_assert(find_matches_at(&query, solo, 0));
    solo_free(solo);
}
END_TEST

static bool count_places(void *context, const struct stretch *solo,
                         const uint32_t *firsts, size_t count)
{
    (void)solo;
    ck_assert_ptr_nonnull(firsts);
    *(size_t *)context += count;
    return true;
}

static size_t proposed(const char *text, const char *over)
{
    struct find_query query = query_for(text, over);
    struct lookup lookup = lookup_choose(&query);
    struct fault why = { 0 };
    size_t places = 0;

    ck_assert_int_eq(candidates_run(library.store, &query, NULL, &lookup,
                                    count_places, &places, &why),
                     ST_OK);
    return places;
}

/* What makes a function cost what its class costs: nothing else is looked
 * at. */
START_TEST(only_places_with_the_class_of_a_function_are_proposed)
{
    put("a.xml", turnaround);
    fixture_commit(&library);
    ck_assert_uint_eq(proposed("b7 6 5", NULL), 3);
    ck_assert_uint_eq(proposed("b7 6 5", "V7"), 2);
    ck_assert_uint_eq(proposed("b7 b6 5", "V7"), 1);
    ck_assert_uint_eq(proposed("b7 b6 5", "V7/ii"), 1);
}
END_TEST

/* --- pitches ------------------------------------------------------------- */

START_TEST(any_one_note)
{
    put("a.xml", "[Dm7] A4 F4 E4 D4 r:4 A4 G4 E4 D4 r:4 A4 F4 Eb4 D4");
    fixture_commit(&library);
    ck_assert_uint_eq(found("5 b3 2 1", "m7"), 1);
    ck_assert_uint_eq(found("5 ? 2 1", "m7"), 2);
    ck_assert_uint_eq(found("5 ? ? 1,", "m7"), 3);
    ck_assert_uint_eq(found("5 ? ? 1", "m7"), 0); /* the root above */
    ck_assert_uint_eq(found("? b3 2 1", "m7"), 1);
    ck_assert_uint_eq(found("? b3 2 1", "7"), 0);
    /* The root is not the b3 of what it stands over. */
    ck_assert_uint_eq(found("? b3 9 1", "G7"), 0);
    ck_assert_uint_eq(found("5 b3 2 ?", "m7"), 1);
    ck_assert_uint_eq(found("5 ? 9 ? ", "m7"), 2);
}
END_TEST

START_TEST(any_step_among_intervals)
{
    put("a.xml", "A4 F4 Bb3 Ab3 r:4 A4 F4 C6 Bb5 r:4 A4 F4 C6 B5");
    fixture_commit(&library);
    ck_assert_uint_eq(found("-4 ? -2", NULL), 2);
    ck_assert_uint_eq(found("-4 ? ?", NULL), 3);
    ck_assert_uint_eq(found("-4 -7 -2", NULL), 1);
    /* The first has no note before it. */
    ck_assert_uint_eq(found("? -4", NULL), 2);
}
END_TEST

START_TEST(any_octave)
{
    struct find_query query = query_for("5 b3 2 1", "m7");

    put("a.xml", "[Dm7] A4 F4 E4 D4 r:4 A5 F4 E6 D3 [G7] A5 F4 E6 D3");
    fixture_commit(&library);
    ck_assert_uint_eq(run(&query), 1);
    query.any_octave = true;
    ck_assert_uint_eq(run(&query), 2);
}
END_TEST

START_TEST(rests_do_not_part_neighbours)
{
    put("a.xml", "A4 r:1 F4 r:1 E4 D4");
    fixture_commit(&library);
    ck_assert_uint_eq(found("A F E D", NULL), 1);
}
END_TEST

START_TEST(leaps_that_share_a_letter_of_the_index_are_told_apart)
{
    put("a.xml", "C1 F4 r C1 F#4 r C1 G4");
    fixture_commit(&library);
    ck_assert_uint_eq(found("+41", NULL), 1);
    ck_assert_uint_eq(found("+42", NULL), 1);
    ck_assert_uint_eq(found("+44", NULL), 0);
}
END_TEST

START_TEST(long_fragments_chain)
{
    put("a.xml", "[Dm7] C4 D4 E4 F4 G4 A4 B4 C5 D5 C5 B4 A4 G4 F4 E4 D4 C4");
    put("b.xml", "[Dm7] C4 D4 E4 F4 G4 A4 B4 C5 D5 C5 B4 A4 G4 F4 E4 D4 C#4");
    fixture_commit(&library);
    ck_assert_uint_eq(found("C D E F G A B C D C B A G F E D C", NULL), 1);
    ck_assert_str_eq(hit_path(0), "a.xml");
    ck_assert_uint_eq(found("b7 1 2 b3 4 5", "m7"), 2);
    ck_assert_uint_eq(found("C D E F G ? B C D C B A G F E D", NULL), 2);
}
END_TEST

/* --- rhythm -------------------------------------------------------------- */

START_TEST(rhythm)
{
    struct find_query query = query_for("A:8 F:8 E:4. D:4", NULL);

    put("a.xml", "A4:8 F4:8 E4:4. D4:4");
    put("b.xml", "A4:16 F4:16 E4:8. D4:8");
    put("c.xml", "A4:8 F4:16 r:16 E4:4 r:8 D4:4"); /* rests fill the time */
    put("d.xml", "A4:8 F4:8 E4:4. D4:2");          /* the last is longer */
    put("e.xml", "A4:4 F4:8 E4:4. D4:4");
    fixture_commit(&library);
    ck_assert_uint_eq(run(&query), 5);
    query.rhythm = RHYTHM_SAME;
    ck_assert_uint_eq(run(&query), 2);
    ck_assert_str_eq(hit_path(0), "a.xml");
    ck_assert_str_eq(hit_path(1), "c.xml");
    query.rhythm = RHYTHM_SCALED;
    ck_assert_uint_eq(run(&query), 3);
    ck_assert_str_eq(hit_path(1), "b.xml");
}
END_TEST

START_TEST(triplets_are_exact)
{
    struct find_query query = query_for("A:8t F:8t E:8t D:4", NULL);

    put("a.xml", "A4:8t F4:8t E4:8t D4:4");
    put("b.xml", "A4:4t F4:4t E4:4t D4:2");
    put("c.xml", "A4:16 F4:16 E4:8 D4:4");
    fixture_commit(&library);
    query.rhythm = RHYTHM_SAME;
    ck_assert_uint_eq(run(&query), 1);
    query.rhythm = RHYTHM_SCALED;
    ck_assert_uint_eq(run(&query), 2);
}
END_TEST

START_TEST(a_rhythm_must_be_given_to_be_asked_for)
{
    struct find_query query = query_for("A F E D", NULL);
    struct fault why = { 0 };

    fixture_commit(&library);
    query.rhythm = RHYTHM_SAME;
    ck_assert_int_eq(find_run(&result, library.store, &query, &why), ST_USAGE);
    ck_assert_msg(strstr(why.message, "5:8") != NULL, "%s", why.message);
}
END_TEST

/* --- chords -------------------------------------------------------------- */

START_TEST(the_chord_under_most_of_the_notes)
{
    put("most.xml", "[Am7] A4 [Dm7] F4 E4 D4");
    /* Two notes each.  The bar line decides, then the half-bar, and among
     * equals the earlier note. */
    put("bar.xml", "[Dm7] A4 F4 [G7] E4 D4");
    put("half.xml", "[Dm7] r:4 A4 F4 [G7] E4 D4");
    put("equal.xml", "[Dm7] r A4 r F4 [G7] r E4 r D4");
    fixture_commit(&library);
    ck_assert_uint_eq(found("A F E D", NULL), 4);
    ck_assert_uint_eq(found("5 b3 2 1", "m7"), 3);
    ck_assert_uint_eq(found("9 b7 13 5", "7"), 1);
    ck_assert_str_eq(hit_path(0), "half.xml");
}
END_TEST

START_TEST(altered_and_sus_are_asked_by_name)
{
    put("alt.xml", "[G7#5#9] A4 F4 E4");
    put("b9.xml", "[G7b9] A4 F4 E4");
    put("plain.xml", "[G7] A4 F4 E4");
    put("sus.xml", "[G7sus4] A4 F4 E4");
    put("triad.xml", "[Gsus4] A4 F4 E4");
    fixture_commit(&library);
    ck_assert_uint_eq(found("A F E", "7"), 4);
    ck_assert_uint_eq(found("A F E", "dominant"), 4);
    ck_assert_uint_eq(found("A F E", "7b9"), 2);
    ck_assert_str_eq(hit_path(0), "b9.xml"); /* the very chord comes first */
    ck_assert_int_eq(result.hits[0].exactness, 2);
    ck_assert_int_eq(result.hits[1].exactness, 1);
    ck_assert_uint_eq(found("A F E", "7alt"), 2);
    ck_assert_uint_eq(found("A F E", "7sus4"), 1);
    ck_assert_str_eq(hit_path(0), "sus.xml");
    /* "sus" means the seventh chord as well; the very chord comes first. */
    ck_assert_uint_eq(found("A F E", "sus4"), 2);
    ck_assert_str_eq(hit_path(0), "triad.xml");
    ck_assert_str_eq(hit_path(1), "sus.xml");
    ck_assert_uint_eq(found("A F E", "suspended"), 1);
    ck_assert_uint_eq(found("9 b7 13", "sus"), 2);
    ck_assert_uint_eq(found("9 b7 13", "7b9"), 2);
}
END_TEST

START_TEST(no_chord)
{
    put("a.xml", "A4 F4 E4");
    put("b.xml", "[N.C.] A4 F4 E4");
    put("c.xml", "[Dm7] A4 F4 E4");
    fixture_commit(&library);
    ck_assert_uint_eq(found("A F E", NULL), 3);
    ck_assert_uint_eq(found("A F E", "none"), 2);
    ck_assert_uint_eq(found("5 b3 2", "none"), 2);
    ck_assert_uint_eq(found("A F E", "minor"), 1);
    ck_assert_uint_eq(found("A F E", "other"), 0);
    ck_assert_uint_eq(found("A F E", NULL), 3);
    /* A place without a chord comes after one with. */
    ck_assert_str_eq(hit_path(0), "c.xml");
    ck_assert_int_eq(result.hits[1].chord, SOLO_NO_CHORD);
    ck_assert_int_eq(result.hits[1].exactness, 0);
}
END_TEST

START_TEST(chords_that_change_inside)
{
    put("a.xml", "[Dm7] A4 F4 [G7] E4 D4");
    put("b.xml", "[Dm7] A4 F4 [A7] E4 D4");
    put("c.xml", "[Dm7] A4 [Dm7] F4 [G7] E4 [G9] D4");
    put("d.xml", "[Dm7] A4 F4 E4 D4");
    put("e.xml", "[Em7] A4 F4 [A7] E4 D4");
    put("f.xml", "[Dm7] A4 F4 [N.C.] E4 D4");
    fixture_commit(&library);
    ck_assert_uint_eq(found("A F E D", "m7|7"), 3);
    ck_assert_uint_eq(found("A F E D", "Dm7|G7"), 1);
    ck_assert_str_eq(hit_path(0), "a.xml");
    ck_assert_int_eq(result.hits[0].exactness, 2);
    ck_assert_uint_eq(found("5 b3 2 1", "m7|7"), 2);
    ck_assert_uint_eq(found("5 b3 2 1", "minor|dominant"), 2);
    ck_assert_int_eq(result.hits[0].exactness, 1);
    ck_assert_uint_eq(found("A F E D", "m7|7|7"), 1);
    ck_assert_uint_eq(found("A F E D", "m7|none"), 1);
    ck_assert_uint_eq(found("-4 -1 -2", "Em7|A7"), 2);
    ck_assert_uint_eq(found("? b3 2 1", "m7|7"), 2);
}
END_TEST

START_TEST(a_note_pushed_ahead_belongs_to_the_next_chord)
{
    struct draft draft;

    draft_start(&draft, "Ash", "pushed", "4/4", 4 * FIXTURE_TICKS);
    draft_chord(&draft, "G7", 0);
    draft_chord(&draft, "Dm7", 4 * FIXTURE_TICKS);
    draft_rest(&draft, 7 * FIXTURE_TICKS / 2);
    draft_note(&draft, 69, FIXTURE_TICKS, FIXTURE_TICKS);
    draft_note(&draft, 65, FIXTURE_TICKS / 2, FIXTURE_TICKS / 2);
    fixture_put(&library, "a.xml", draft_end(&draft));
    fixture_commit(&library);
    ck_assert_uint_eq(found("5 b3", "m7"), 1);
    ck_assert_uint_eq(found("A F", "7|m7"), 0);
    ck_assert_uint_eq(found("A F", "m7|m7"), 0);
}
END_TEST

/* --- order and bounds ---------------------------------------------------- */

START_TEST(in_order_and_no_more_than_asked)
{
    struct find_query query = query_for("A F", "m7");
    char best[2][64], paths[200] = "";

    put("b.xml", "[Dm7] A4 F4 r:4 A4 F4 r:4 [Dm9] A4 F4");
    put("B.xml", "[Dm9] A4 F4 r:4 A4 F4");
    put("a/a.xml", "[Dm7] A4 F4");
    put("a/b.xml", "[Dm7] A4 F4");
    put("a/C.xml", "[Dm7] A4 F4");
    fixture_commit(&library);
    ck_assert_uint_eq(run(&query), 8);
    ck_assert_uint_eq(result.hit_count, 8);
    for (size_t i = 1; i < 8; i++)
        ck_assert_int_ge(result.hits[i - 1].parts.score,
                         result.hits[i].parts.score);
    /* Equal scores go by the bytes of the path: upper case first. */
    for (size_t i = 0; i < 8; i++)
        if (strncmp(hit_path(i), "a/", 2) == 0)
            strcat(strcat(paths, " "), hit_path(i));
    ck_assert_str_eq(paths, " a/C.xml a/a.xml a/b.xml");
    strcpy(best[0], hit_path(0));
    strcpy(best[1], hit_path(1));
    query.limit = 2;
    ck_assert_uint_eq(run(&query), 8);
    ck_assert_uint_eq(result.solos_with_hits, 5);
    ck_assert_uint_eq(result.hit_count, 2);
    ck_assert_str_eq(hit_path(0), best[0]);
    ck_assert_str_eq(hit_path(1), best[1]);
    query.limit = SIZE_MAX;
    ck_assert_uint_eq(run(&query), 8);
    ck_assert_uint_eq(result.hit_count, 8);
    query.count_only = true;
    ck_assert_uint_eq(run(&query), 8);
    ck_assert_uint_eq(result.hit_count, 0);
}
END_TEST

START_TEST(only_solos_that_pass_the_filter)
{
    struct find_query query = query_for("A F", NULL);
    struct fault why = { 0 };

    fixture_put(&library, "a.xml", fixture_solo("Ash", "A4 F4"));
    fixture_put(&library, "b.xml", fixture_solo("Birch", "A4 F4 A4 F4"));
    fixture_commit(&library);
    query.filter.count = 1;
    ck_assert_int_eq(
        field_parse(&query.filter.terms[0], FIELD_PERFORMER, "birch", &why),
        ST_OK);
    ck_assert_uint_eq(run(&query), 2);
    ck_assert_uint_eq(result.solos_with_hits, 1);
    ck_assert_str_eq(result.solos[0].performer, "Birch");
    query.any_octave = true; /* looked up by a scan, filtered all the same */
    ck_assert_uint_eq(run(&query), 2);
}
END_TEST

START_TEST(a_repeated_bar_is_one_hit_played_twice)
{
    struct solo *solo = fixture_solo("Ash", "A4:2 F4:2 E4:2 D4:2");

    solo->plays = solo_alloc(solo, 3 * sizeof *solo->plays);
    solo->plays[0] = solo->plays[1] = 0;
    solo->plays[2] = 1;
    solo->play_count = 3;
    fixture_put(&library, "a.xml", solo);
    fixture_commit(&library);
    ck_assert_uint_eq(found("A F", NULL), 1);
    ck_assert_int_eq(result.hits[0].plays, 2);
    ck_assert_uint_eq(found("F E", NULL), 1);
    ck_assert_int_eq(result.hits[0].plays, 1);
}
END_TEST

START_TEST(small_solos_do_no_harm)
{
    struct find_query query = query_for("A F E D", NULL);

    put("none.xml", "[Dm7] r:1");
    put("one.xml", "[Dm7] A4");
    put("three.xml", "[Dm7] A4 F4 E4");
    fixture_commit(&library);
    ck_assert_uint_eq(run(&query), 0);
    query.any_octave = true;
    ck_assert_uint_eq(run(&query), 0);
    ck_assert_uint_eq(found("5 ? 2", "m7"), 1);
    ck_assert_uint_eq(found("? ? b3 2", "m7"), 0);
}
END_TEST

START_TEST(one_definition_of_a_match)
{
    struct find_query query = query_for("5 b3 2 1", "m7");
    struct solo *solo = fixture_solo("Ash", "[Dm7] C5 A4 F4 E4 D4");

    fixture_commit(&library);
    for (size_t i = 0; i < 10; i++)
        ck_assert_int_eq(find_matches_at(&query, solo, i), i == 1);
    ck_assert(!find_matches_at(&query, solo, SIZE_MAX));
    solo_free(solo);
}
END_TEST

Suite *find_suite(void)
{
    Suite *suite = suite_create("find");
    TCase *tests = tcase_create("find");

    tcase_add_checked_fixture(tests, start, end);
    tcase_add_test(tests, a_cell_over_its_own_chord_in_all_keys);
    tcase_add_test(tests, the_same_notes_over_the_dominant);
    tcase_add_test(tests, the_same_notes_over_the_major);
    tcase_add_test(tests, a_minor_cell_a_semitone_above_a_dominant);
    tcase_add_test(tests, idioms_any_teacher_would_try);
    tcase_add_test(tests, functions_in_all_keys);
    tcase_add_test(tests,
                   only_places_with_the_class_of_a_function_are_proposed);
    tcase_add_test(tests, the_very_function_is_told_from_its_kin);
    tcase_add_test(tests, functions_that_change_inside);
    tcase_add_test(tests, functions_side_by_side_share_their_tonic);
    tcase_add_test(tests, any_one_note);
    tcase_add_test(tests, any_step_among_intervals);
    tcase_add_test(tests, any_octave);
    tcase_add_test(tests, rests_do_not_part_neighbours);
    tcase_add_test(tests,
                   leaps_that_share_a_letter_of_the_index_are_told_apart);
    tcase_add_test(tests, long_fragments_chain);
    tcase_add_test(tests, rhythm);
    tcase_add_test(tests, triplets_are_exact);
    tcase_add_test(tests, a_rhythm_must_be_given_to_be_asked_for);
    tcase_add_test(tests, the_chord_under_most_of_the_notes);
    tcase_add_test(tests, altered_and_sus_are_asked_by_name);
    tcase_add_test(tests, no_chord);
    tcase_add_test(tests, chords_that_change_inside);
    tcase_add_test(tests, a_note_pushed_ahead_belongs_to_the_next_chord);
    tcase_add_test(tests, in_order_and_no_more_than_asked);
    tcase_add_test(tests, only_solos_that_pass_the_filter);
    tcase_add_test(tests, a_repeated_bar_is_one_hit_played_twice);
    tcase_add_test(tests, small_solos_do_no_harm);
    tcase_add_test(tests, one_definition_of_a_match);
    suite_add_tcase(suite, tests);
    return suite;
}
