/* check_strand.c - the strands of an index say what its solos say, whatever
 * was put, moved and removed, and in whatever order. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/follow.h"
#include "schema/store_internal.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/store_fixture.h"
#include "tests/unit/suites.h"
#include "tests/unit/twin.h"

static struct fault why;

/* --- what they should be -------------------------------------------------- */

static const uint8_t *strand(struct store *store, int64_t id,
                             enum strand which, size_t wanted)
{
    const uint8_t *bytes;
    size_t count;

    must(store_strand(store, id, which, &bytes, &count, &why), &why);
    ck_assert_uint_eq(count, wanted);
    return bytes;
}

static void check_value(const struct strand_codes *codes, uint8_t code,
                        const struct solo *solo, int64_t ticks)
{
    struct rational value = solo_quarters(solo, ticks);

    if (code == STRAND_UNSAID) {
        /* Only what is no usual note value may go unsaid. */
        ck_assert(value.num > 4096 || value.den > 4096 ||
                  codes->counts[CODE_VALUE] == STRAND_UNSAID - 1);
        return;
    }
    ck_assert_int_gt(code, 0);
    ck_assert_int_le(code, codes->counts[CODE_VALUE]);
    ck_assert_int_eq(rational_compare(codes->values[code], value), 0);
}

static void check_place(uint8_t place, const struct solo *solo, size_t i)
{
    const struct chord *there = follow_sounding(solo, solo->notes[i].heard);
    struct strand_chord said;

    strand_chord(&said, place, solo->notes[i].midi);
    ck_assert(said.said);
    ck_assert_int_eq(said.sounds, there != NULL);
    if (!there)
        return;
    ck_assert_int_eq(said.chord.class, there->class);
    ck_assert_int_eq(said.chord.altered, there->altered);
    ck_assert_int_eq(said.chord.sus, there->sus);
    ck_assert_int_eq(said.chord.has_root, there->has_root);
    if (there->has_root)
        ck_assert_int_eq(said.chord.root_pc, there->root_pc);
}

static void check_mark(uint8_t mark, const struct solo *solo, size_t i)
{
    const struct note *note = &solo->notes[i];
    const struct chord *here = follow_sounding(solo, note->heard), *before;
    bool other = true;

    ck_assert_int_eq(mark & MARK_STRENGTH, solo_onset_strength(solo, note));
    ck_assert_int_eq(!!(mark & MARK_PHRASE), solo_starts_phrase(solo, i));
    ck_assert_int_eq(!!(mark & MARK_CHORUS), form_opens(solo, i, false));
    ck_assert_int_eq(!!(mark & MARK_SECTION), form_opens(solo, i, true));
    ck_assert_int_eq(!!(mark & MARK_FOUR), form_opens_four(solo, note->bar));
    if (i > 0) {
        before = follow_sounding(solo, note[-1].heard);
        other = here && before ? !chord_equal(here, before) : here != before;
    }
    ck_assert_int_eq(!!(mark & MARK_OTHER_CHORD), other);
}

/* Where the form has the note NOTE. */
static void check_form(const struct strand_codes *codes,
                       const uint8_t *all[STRANDS], const struct solo *solo,
                       size_t i)
{
    const struct note *note = &solo->notes[i];
    const struct form_place *here = form_place_of(solo, note->bar);
    uint8_t chorus = all[STRAND_CHORUS][i], bar = all[STRAND_BAR][i];
    uint8_t beat = all[STRAND_BEAT][i];

    ck_assert_int_eq(chorus == 0, here->chorus == 0);
    ck_assert_int_eq(bar == 0, here->chorus == 0);
    if (chorus != 0 && chorus != STRAND_UNSAID) {
        ck_assert_int_eq(codes->choruses[chorus].number, here->chorus);
        ck_assert_int_eq(codes->choruses[chorus].of,
                         (int)solo->form.chorus_count);
    }
    if (bar != 0 && bar != STRAND_UNSAID) {
        ck_assert_int_eq(codes->bars[bar].number, here->chorus_bar);
        ck_assert_str_eq(codes->bars[bar].section,
                         here->section ? here->section->letter : "");
    }
    ck_assert_int_ne(beat, 0);
    if (beat != STRAND_UNSAID)
        ck_assert_int_eq(
            rational_compare(codes->beats[beat], solo_beat(solo, note)), 0);
}

/* The strands together of the last third of a solo. */
static void check_piece(struct store *store, int64_t id,
                        const uint8_t *all[STRANDS])
{
    const uint8_t *piece[STRANDS];
    struct stretch place;
    uint32_t skipped;

    must(store_stretch(store, id, &place, &why), &why);
    skipped = place.count * 2 / 3;
    place.start += skipped;
    place.count -= skipped;
    must(store_strands_at(store, &place, piece, &why), &why);
    for (int s = 0; s < STRANDS_TOGETHER; s++)
        ck_assert_mem_eq(piece[s], all[s] + skipped, place.count);
}

/* Every strand of the solo ID against the solo that is loaded. */
static void check_strands(struct store *store, int64_t id)
{
    const struct strand_codes *codes;
    const uint8_t *all[STRANDS];
    struct solo *solo;

    must(store_load(store, id, &solo, &why), &why);
    must(store_codes(store, &codes, &why), &why);
    for (int s = 0; s < STRANDS; s++)
        all[s] = strand(store, id, (enum strand)s, solo->note_count);
    if (solo->note_count > 0)
        check_piece(store, id, all);
    for (size_t i = 0; i < solo->note_count; i++) {
        const struct note *note = &solo->notes[i];
        const char *function =
            note->heard >= 0 ? solo->chords[note->heard].function : "";
        uint8_t code = all[STRAND_FUNCTION][i];

        ck_assert_int_eq(all[STRAND_MIDI][i], note->midi);
        check_mark(all[STRAND_MARK][i], solo, i);
        check_place(all[STRAND_PLACE][i], solo, i);
        if (i + 1 < solo->note_count)
            check_value(codes, all[STRAND_GAP][i], solo,
                        note[1].start - note->start);
        check_value(codes, all[STRAND_LENGTH][i], solo, note->duration);
        check_form(codes, all, solo, i);
        if (follow_sounding(solo, note->heard))
            ck_assert_int_eq(codes->tones[all[STRAND_TONES][i]],
                             solo->chords[note->heard].chord.tones);
        if (code != STRAND_UNSAID)
            ck_assert_str_eq(code ? codes->texts[CODE_FUNCTION][code] : "",
                             function);
    }
    solo_free(solo);
}

static bool check_record(void *context, const struct solo_record *record)
{
    check_strands(context, record->id);
    return true;
}

static void check_all(struct store *store)
{
    must(store_read_begin(store, &why), &why);
    must(store_solos(store, NULL, check_record, store, &why), &why);
    store_read_end(store);
}

/* --- the places proposed -------------------------------------------------- */

struct counted {
    struct store *store;
    int steps[2];
    size_t places;
};

/* Each place of the two intervals, and that they are there. */
static bool check_pair(void *context, const struct stretch *solo,
                       const uint32_t *places, size_t count)
{
    struct counted *c = context;
    const uint8_t *midi =
        strand(c->store, solo->id, STRAND_MIDI, solo->count);

    for (size_t i = 0; i < count; i++) {
        const uint8_t *at = midi + places[i];

        ck_assert_uint_lt(places[i] + 2, solo->count);
        ck_assert_int_eq(at[1] - at[0], c->steps[0]);
        ck_assert_int_eq(at[2] - at[1], c->steps[1]);
    }
    c->places += count;
    return true;
}

static int64_t number(struct store *store, const char *sql)
{
    sqlite3_stmt *stmt;
    int64_t value;

    ck_assert_msg(sqlite3_prepare_v2(store->db, sql, -1, &stmt, NULL) ==
                      SQLITE_OK,
                  "%s", sqlite3_errmsg(store->db));
    ck_assert_int_eq(sqlite3_step(stmt), SQLITE_ROW);
    value = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    return value;
}

/* Every pair of intervals of a library without leaps is proposed, by a row
 * for each segment and no other. */
static void check_grams(struct store *store)
{
    struct counted c = { .store = store };
    struct gram grams[GRAM_QUESTION_MAX];
    int64_t pairs = number(
        store, "SELECT coalesce(sum(notes - 2), 0) FROM solo WHERE notes > 1");

    must(store_read_begin(store, &why), &why);
    for (int pair = 0; pair < 31 * 31; pair++) {
        c.steps[0] = pair / 31 - 15;
        c.steps[1] = pair % 31 - 15;
        gram_question(grams, c.steps, 2, NULL);
        must(store_places(store, grams, 1, NULL, check_pair, &c, &why), &why);
    }
    store_read_end(store);
    ck_assert_int_eq((int64_t)c.places, pairs);
    sqlite3_exec(store->db,
                 "CREATE VIRTUAL TABLE IF NOT EXISTS temp.term"
                 " USING fts5vocab(main, gram, instance)",
                 NULL, NULL, NULL);
    ck_assert_int_eq(number(store, "SELECT count(DISTINCT doc) FROM term"),
                     number(store, "SELECT count(*) FROM segment"
                                   " WHERE notes > 0"));
}

START_TEST(test_library)
{
    twin_library_build();
    check_all(twin_library.store);
    twin_library_free();
}
END_TEST

/* --- any order ------------------------------------------------------------ */

enum { PATHS = 40, TURNS = 400, SMALL = 700 };

/* 0..N-1, the same in every run. */
static unsigned below(unsigned n)
{
    static uint64_t state = 20261125;

    state = state * UINT64_C(6364136223846793005) + 1442695040888963407;
    return (unsigned)(state >> 33) % n;
}

static bool every(unsigned n)
{
    return below(n) == 0;
}

/* A line of COUNT notes that is another for every SEED. */
static struct solo *line(unsigned seed, size_t count)
{
    struct draft draft;

    draft_start(&draft, "Ada Lovel", "A line", "4/4", 4 * FIXTURE_TICKS);
    for (size_t i = 0; i < count; i++, seed = seed * 69069 + 1) {
        if (i % 16 == 0 && i < 1000)
            draft_chord(&draft, seed >> 20 & 1 ? "Dm7" : "G7", draft.now);
        draft_note(&draft, 50 + (int)(seed >> 16 & 15), FIXTURE_TICKS / 2,
                   FIXTURE_TICKS / 2);
    }
    return draft_end(&draft);
}

static void put_line(struct store *store, unsigned number)
{
    size_t count = every(8) ? 0 : 1 + below(200);
    char path[16];

    if (every(60))
        count = 2 * SMALL; /* more than a segment holds */
    snprintf(path, sizeof path, "%u.xml", number);
    store_must_put(store, path, line(below(1000000), count));
}

static void move_line(struct store *store, unsigned number)
{
    char from[16], to[16];
    struct file_record record = { .part = "", .unreadable = "" };

    snprintf(from, sizeof from, "%u.xml", number);
    snprintf(to, sizeof to, "%u.xml", below(PATHS));
    record.id = store_file_id(store, from);
    record.path = to;
    if (record.id)
        must(store_touch(store, &record, &why), &why);
}

static void remove_line(struct store *store, unsigned number)
{
    char path[16];
    int64_t id;

    snprintf(path, sizeof path, "%u.xml", number);
    id = store_file_id(store, path);
    if (id)
        must(store_remove(store, id, &why), &why);
}

/* With segments so small that they are filled and emptied all the time. */
static struct store *open_small(const char *folder)
{
    struct store *store = store_must_open(folder, STORE_WRITE);

    store->segment_notes = SMALL;
    store->part_notes = SMALL / 8;
    return store;
}

START_TEST(test_any_order)
{
    char folder[FOLDER_SIZE];
    struct store *store;

    folder_make(folder);
    store = open_small(folder);
    for (int turn = 0; turn < TURNS; turn++) {
        must(store_begin(store, &why), &why);
        for (unsigned n = 1 + below(6); n > 0; n--) {
            if (below(10) < 5)
                put_line(store, below(PATHS));
            else if (below(10) < 3)
                move_line(store, below(PATHS));
            else
                remove_line(store, below(PATHS));
        }
        if (every(4))
            store_rollback(store);
        else
            must(store_commit(store, &why), &why);
        /* The program is gone at any moment, and started again. */
        if (every(6)) {
            if (every(2)) {
                must(store_begin(store, &why), &why);
                put_line(store, below(PATHS));
            }
            store_close(store);
            store = open_small(folder);
        }
        if (turn % 12 == 11) {
            check_all(store);
            check_grams(store);
        }
    }
    store_close(store);
    folder_remove(folder);
}
END_TEST

/* --- beats ---------------------------------------------------------------- */

/* Texts in the order in which they were first asked for, from 1. */
struct first_asked {
    char texts[STRAND_UNSAID][STRAND_VALUE_SIZE];
    uint8_t count;
};

static uint8_t ask(void *context, enum strand_code kind, const char *text)
{
    struct first_asked *asked = context;
    uint8_t code = 1;

    if (kind != CODE_BEAT)
        return 1;
    while (code <= asked->count && strcmp(asked->texts[code], text) != 0)
        code++;
    if (code > asked->count)
        strcpy(asked->texts[++asked->count], text);
    return code;
}

/* The same onset is another beat in another metre, and in a pickup. */
START_TEST(beats_are_those_of_their_bar)
{
    static const char *const metres[] = { "4/4", "6/8", "3/4", "2/2", "7/8" };
    struct solo *solo = line(7, 400);
    uint8_t *out[STRANDS], bytes[STRANDS][400];
    struct first_asked asked = { .count = 0 };

    ck_assert_uint_eq(solo->note_count, 400);
    for (size_t i = 0; i < solo->bar_count; i++) {
        solo->bars[i].metre = metres[i % 5];
        solo->bars[i].implicit = i % 3 == 0;
        solo->bars[i].nominal += (int64_t)(i % 4) * solo->ticks;
    }
    for (int s = 0; s < STRANDS; s++)
        out[s] = bytes[s];
    strands_write(out, solo, ask, &asked);
    for (size_t i = 0; i < solo->note_count; i++) {
        char text[RATIONAL_TEXT_SIZE];

        rational_text(text, solo_beat(solo, &solo->notes[i]));
        ck_assert_str_eq(asked.texts[bytes[STRAND_BEAT][i]], text);
    }
    solo_free(solo);
}
END_TEST

Suite *strand_suite(void)
{
    Suite *suite = suite_create("strand");
    TCase *tc = tcase_create("strand");

    tcase_set_timeout(tc, 300);
    tcase_add_test(tc, test_library);
    tcase_add_test(tc, test_any_order);
    tcase_add_test(tc, beats_are_those_of_their_bar);
    suite_add_tcase(suite, tc);
    return suite;
}
