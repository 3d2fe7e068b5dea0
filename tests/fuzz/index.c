/* index.c - any bytes as index.db: every question is answered or refused, a
 * solo that is handed out is one, and cellar-index can go on from there. */
#include <stdlib.h>
#include <string.h>

#include "query/cells.h"
#include "query/find.h"
#include "query/openings_library.h"
#include "query/tension.h"
#include "schema/store.h"
#include "tests/fuzz/fuzz.h"

enum {
    SOLOS_MAX = 8
};

struct seen {
    int64_t ids[SOLOS_MAX];
    size_t count;
};

static bool see_file(void *context, const struct file_record *file)
{
    (void)context;
    fuzz_holds(file->path && file->part && file->unreadable &&
                   strlen(file->sha256) <= 64,
               "a file has its texts");
    return true;
}

static bool see_solo(void *context, const struct solo_record *solo)
{
    struct seen *seen = context;

    fuzz_holds(solo->path && solo->title && solo->performer && solo->metre,
               "a solo has its texts");
    if (seen && seen->count < SOLOS_MAX)
        seen->ids[seen->count++] = solo->id;
    return true;
}

static bool see_places(void *context, const struct stretch *solo,
                       const uint32_t *places, size_t count)
{
    (void)context;
    for (size_t i = 0; i < count; i++)
        fuzz_holds(places[i] < solo->count &&
                       (i == 0 || places[i - 1] < places[i]),
                   "places are notes of the solo, ascending");
    return true;
}

static bool see_salient(void *context, int64_t segment,
                        const struct salient *places, size_t count)
{
    const int *list = context;

    fuzz_holds(segment >= 1, "a segment has a number");
    for (size_t i = 0; i < count; i++)
        fuzz_holds(places[i].list == *list &&
                       (i == 0 || places[i - 1].first <= places[i].first),
                   "salient places are of their list, ascending");
    return true;
}

/* A solo and its strands. */
static void ask_solo(struct store *store, int64_t id)
{
    struct fault why = { 0 };
    struct solo *solo = NULL;
    struct stretch stretch;
    enum status st = store_load(store, id, &solo, &why);

    fuzz_holds((st == ST_OK) == (solo != NULL), "a solo, or why not");
    if (st != ST_NOTHING)
        fuzz_status(st, &why, 0);
    if (solo)
        fuzz_solo(solo);
    solo_free(solo);
    st = store_stretch(store, id, &stretch, &why);
    fuzz_status(st, &why, 0);
    for (int s = 0; st == ST_OK && s < STRANDS; s++) {
        const uint8_t *bytes = NULL;
        unsigned int sum = 0;

        st = store_strand_at(store, &stretch, (enum strand)s, &bytes, &why);
        fuzz_status(st, &why, 0);
        /* Every byte may be looked at. */
        for (uint32_t i = 0; st == ST_OK && i < stretch.count; i++)
            sum |= bytes[i];
        fuzz_holds(sum <= 255, "a strand is bytes");
    }
}

static void ask_find(struct store *store, const char *text, const char *over,
                     int edits, bool wide)
{
    struct find_query query = { .weights = RANK_WEIGHTS_DEFAULT,
                                .edits = edits,
                                .any_octave = wide,
                                .reharmonized = wide && over != NULL,
                                .variants = wide,
                                .many = 2,
                                .limit = 5 };
    struct find_result result;
    struct fault why = { 0 };

    fuzz_holds(fragment_parse(&query.fragment, text, over, NULL, &why) == ST_OK,
               "the question reads");
    fuzz_status(find_run(&result, store, &query, &why), &why, 0);
    for (size_t i = 0; i < result.hit_count; i++) {
        const struct hit *hit = &result.hits[i];

        fuzz_holds(hit->solo < result.solo_count && hit->first <= hit->last &&
                       hit->last < result.solos[hit->solo].solo->note_count,
                   "a hit is in its solo");
    }
    find_result_free(&result);
}

static void ask_library(struct store *store)
{
    struct cells_query cells = { .notes_min = CELLS_NOTES_MIN,
                                 .notes_max = CELLS_NOTES_MAX,
                                 .min_count = 1,
                                 .min_solos = 1,
                                 .fold = true };
    struct openings_query openings = { .notes = 4, .min_count = 1 };
    struct tension_query tension = TENSION_QUERY_ALL;
    struct cells_result found;
    struct openings_library opened = { .notes = 0 };
    struct tension_table table;
    struct fault why = { 0 };

    fuzz_status(tension_table_run(&table, store, &tension, &why), &why, 0);
    tension_table_free(&table);
    if (store_read_begin(store, &why) != ST_OK)
        return;
    fuzz_status(cells_run(&found, store, &cells, &why), &why, 0);
    cells_free(&found);
    fuzz_status(openings_library_make(&opened, store, &openings, &why), &why,
                0);
    openings_library_free(&opened);
    store_read_end(store);
}

static void ask_all(struct store *store)
{
    static const struct gram grams[] = { { "2JI", 0, false },
                                         { "2IJ", 1, false },
                                         { "2HJ", 1, true } };
    struct seen seen = { .count = 0 };
    struct store_totals totals;
    struct fault why = { 0 };
    const struct strand_codes *codes;
    enum status st = store_read_begin(store, &why);

    fuzz_status(st, &why, 0);
    if (st != ST_OK)
        return;
    fuzz_status(store_files(store, see_file, NULL, &why), &why, 0);
    fuzz_status(store_solos(store, NULL, see_solo, &seen, &why), &why, 0);
    fuzz_status(store_find_name(store, "a", see_solo, NULL, &why), &why, 0);
    fuzz_status(store_totals(store, &totals, &why), &why, 0);
    fuzz_status(store_codes(store, &codes, &why), &why, 0);
    fuzz_status(store_places(store, grams, 3, NULL, see_places, NULL, &why),
                &why, 0);
    for (int list = 0; list < SALIENCE_LISTS; list++)
        fuzz_status(store_salient(store, list, see_salient, &list, &why), &why,
                    0);
    for (size_t i = 0; i < seen.count; i++)
        ask_solo(store, seen.ids[i]);
    store_read_end(store);
    ask_find(store, "5 b3 2 1", "m7", 0, false);
    ask_find(store, "5 b3 2 1", NULL, 1, false);
    ask_find(store, "-4 -1 -2", NULL, 0, true);
    ask_find(store, "5 b3 2 1", "Dm7", 0, true);
    ask_find(store, "5 b3", "ii7", 0, false);
    ask_library(store);
}

/* A solo of two notes, as cellar-index would put it. */
static void write_some(struct store *store)
{
    struct file_record file = { .path = "fuzz.xml",
                                .size = 1,
                                .sha256 = "00",
                                .part = "",
                                .unreadable = "" };
    struct bar bar = {
        .length = 4, .nominal = 4, .number = "1", .metre = "4/4"
    };
    struct note notes[3] = {
        { .duration = 1, .chord = -1, .heard = -1, .midi = 60 },
        { .start = 1,
          .onset = 1,
          .duration = 1,
          .chord = -1,
          .heard = -1,
          .midi = 62 },
        { .start = 2,
          .onset = 2,
          .duration = 1,
          .chord = -1,
          .heard = -1,
          .midi = 64 },
    };
    struct solo *solo = solo_new();
    struct fault why = { 0 };
    enum status st = store_begin(store, &why);

    fuzz_holds(solo != NULL, "there is memory");
    solo->ticks = 1;
    solo->notes = notes;
    solo->note_count = 3;
    solo->bars = &bar;
    solo->bar_count = 1;
    for (int i = 0; i < 3; i++)
        notes[i].sounding = notes[i].written = pitch_spell(notes[i].midi, 0);
    if (st == ST_OK)
        st = store_put(store, &file, solo, &why);
    if (st == ST_OK)
        st = store_commit(store, &why);
    else
        store_rollback(store);
    fuzz_status(st, &why, 0);
    solo_free(solo);
}

/* Whatever state it is in, --full starts over. */
static void start_over(struct store *store)
{
    struct fault why = { 0 };
    enum status st = store_clear(store, &why);

    fuzz_status(st, &why, 0);
    if (st != ST_OK)
        return;
    write_some(store);
    ask_all(store);
}

/* An index is made in more time than it is read: not for every input. */
static bool one_in_eight(const uint8_t *data, size_t size)
{
    unsigned int sum = 0;

    for (size_t i = 0; i < size; i++)
        sum += data[i];
    return sum % 8 == 0;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct store *store = NULL;
    struct fault why = { 0 };
    enum status st;

    fuzz_library_fill("index.db", data, size);
    st = store_open(&store, fuzz_library(), STORE_READ, NULL, &why);
    fuzz_status(st, &why, 0);
    if (st == ST_OK)
        ask_all(store);
    store_close(store);
    store = NULL;
    st = store_open(&store, fuzz_library(), STORE_WRITE, NULL, &why);
    fuzz_status(st, &why, 0);
    if (st == ST_OK) {
        write_some(store);
        ask_all(store);
    }
    if (st == ST_OK && one_in_eight(data, size))
        start_over(store);
    store_close(store);
    return 0;
}
