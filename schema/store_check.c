/* schema/store_check.c - see store_check.h. */
#include "schema/store_check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/sqlite_code.h"
#include "schema/store_check_parts.h"

/* --- what is said ------------------------------------------------------- */

enum status check_tell(struct checking *c, enum store_part part, int64_t id,
                       const char *what)
{
    const struct store_check_events *events = c->events;
    struct fault inner;
    char *path = NULL;
    enum status st =
        id ? store_path(c->store, id, &path, NULL, &inner) : ST_OK;

    /* A row without a file is a problem of its own. */
    if (st != ST_OK && st != ST_LIBRARY) {
        if (c->why)
            *c->why = inner;
        return st;
    }
    if (events->problem)
        events->problem(events->context, part, path ? path : "", what);
    free(path);
    return ST_OK;
}

void check_step(struct checking *c)
{
    const struct store_check_events *events = c->events;

    c->done++;
    if (events->progress)
        events->progress(events->context, c->done, c->total);
}

enum status check_survive(struct checking *c, enum store_part part, int64_t id,
                          enum status st)
{
    if (st != ST_LIBRARY)
        return st;
    return check_tell(c, part, id, "what is there cannot be read");
}

static int by_id(const void *a, const void *b)
{
    const struct checked_solo *x = a, *y = b;

    return (x->id > y->id) - (x->id < y->id);
}

struct checked_solo *check_solo(struct checking *c, int64_t id)
{
    struct checked_solo wanted = { .id = id };

    return c->solo_count > 0 ? bsearch(&wanted, c->solos, c->solo_count,
                                       sizeof wanted, by_id)
                             : NULL;
}

/* --- SQLite's own check ------------------------------------------------- */

static enum status check_pages(struct checking *c)
{
    struct binder b =
        store_bind_asked(c->store, &c->asked, "PRAGMA integrity_check(20)");
    enum status st = ST_OK, done;

    while (st == ST_OK && store_row(&b)) {
        const char *what = column_text(b.stmt, 0);
        int rc = sqlite_code_of_page(what);

        if (rc != SQLITE_OK)
            st = store_fault(c->store, rc, c->why);
        else if (strcmp(what, "ok") != 0)
            st = check_tell(c, PART_DATABASE, 0, what);
    }
    done = store_done(c->store, &b, st == ST_OK ? c->why : NULL);
    return st == ST_OK ? check_survive(c, PART_DATABASE, 0, done) : st;
}

static const char *const own_checks[] = {
    "INSERT INTO gram (gram) VALUES ('integrity-check')",
    "INSERT INTO words (words) VALUES ('integrity-check')"
};
static const char *const own_faults[] = {
    "the search for runs of notes is damaged inside",
    "the search for words is damaged inside, or differs from the words it is "
    "of"
};

/* FTS5 checks itself on a command that only a writer may give (SQLite,
 * "FTS5", section 6.5, The 'integrity-check' Command).  It writes nothing, and
 * is rolled back. */
static enum status run_own_checks(struct checking *c)
{
    enum status st = store_do_begin(c->store, SQL_BEGIN_WRITE, c->why);

    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < 2 && st == ST_OK; i++) {
        struct binder b = store_bind_asked(c->store, &c->asked, own_checks[i]);

        st = store_run(c->store, &b, c->why);
        if (st == ST_LIBRARY)
            st = check_tell(c, PART_DATABASE, 0, own_faults[i]);
    }
    store_do(c->store, SQL_ROLLBACK, NULL);
    return st;
}

/* Let the connection of a reader write, or be a reader's again. */
static enum status set_query_only(struct checking *c, bool on)
{
    int rc = sqlite3_exec(c->store->db,
                          on ? "PRAGMA query_only = ON"
                             : "PRAGMA query_only = OFF",
                          NULL, NULL, NULL);

    return rc == SQLITE_OK ? ST_OK : store_fault(c->store, rc, c->why);
}

static enum status check_searches(struct checking *c)
{
    sqlite3 *db = c->store->db;
    enum status st, again;

    if (sqlite3_db_readonly(db, "main") == 1)
        return ST_OK;
    c->out->searches_checked = true;
    if (c->store->mode == STORE_WRITE)
        return run_own_checks(c);
    st = set_query_only(c, false);
    if (st != ST_OK)
        return st;
    st = run_own_checks(c);
    again = set_query_only(c, true);
    return st == ST_OK ? again : st;
}

/* --- rows against rows -------------------------------------------------- */

/* Rows that should not be: the first column is the file or solo they are
 * about, 0 none. */
struct rule {
    enum store_part part;
    const char *sql, *what;
};

static const struct rule first_rules[] = {
    { PART_FILES, "SELECT id FROM file WHERE path IS NULL OR path = ''"
                  " OR typeof(path) <> 'text' OR instr(path, char(0)) > 0"
                  " OR path LIKE '%/'",
      "a file is known without its name" },
    { PART_FILES, "SELECT id FROM file WHERE typeof(size) <> 'integer'"
                  " OR typeof(mtime_ns) <> 'integer'"
                  " OR size < (unreadable = '') - 1",
      "its size or its time makes no sense" },
    { PART_FILES, "SELECT id FROM file WHERE NOT"
                  " (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'"
                  " AND typeof(sha256) = 'text')"
                  " AND NOT (sha256 = '' AND unreadable <> '')",
      "the digest of its bytes makes no sense" },
    { PART_SOLOS, "SELECT id FROM file WHERE unreadable = ''"
                  " AND id NOT IN (SELECT id FROM solo)",
      "it was read, but its solo is missing" },
    { PART_SOLOS, "SELECT id FROM file WHERE unreadable <> ''"
                  " AND id IN (SELECT id FROM solo)",
      "it could not be read, and yet there is a solo of it" },
    { PART_SOLOS, "SELECT 0 FROM solo WHERE id NOT IN (SELECT id FROM file)",
      "there is a solo of no file" },
    { PART_SOLOS, "SELECT 0 FROM body WHERE id NOT IN (SELECT id FROM solo)",
      "there are notes of no solo" },
};

static const struct rule last_rules[] = {
    /* Seven strands alone, and seven together: store_strand.c. */
    { PART_STRANDS,
      "SELECT 0 FROM segment AS s WHERE (SELECT sum(length(bytes)) FROM strand"
      " WHERE id >= s.id * 8388608 AND id < (s.id + 1) * 8388608"
      " AND typeof(bytes) = 'blob') IS NOT s.notes * 14",
      "what is kept of each note is missing, or of another number than the "
      "notes" },
    { PART_STRANDS,
      "SELECT 0 FROM strand WHERE id / 8388608"
      " NOT IN (SELECT id FROM segment)",
      "there are bytes of no notes" },
    { PART_STRANDS,
      "SELECT 0 FROM salient WHERE (id & 2199023255551)"
      " NOT IN (SELECT id FROM segment)"
      " OR id < 0 OR id >> 41 >= 640",
      "there are best places of no notes" },
    { PART_STRANDS, "SELECT 0 FROM code WHERE kind NOT BETWEEN 0 AND 5"
                    " OR code NOT BETWEEN 1 AND 254 OR text = ''",
      "there is a code that no program wrote" },
    { PART_STRANDS,
      "SELECT 0 FROM code GROUP BY kind HAVING count(*) <> max(code)",
      "a code is missing" },
    { PART_WORDS,
      "SELECT 0 FROM words WHERE rowid NOT IN (SELECT id FROM solo)",
      "there are words of no solo" },
};

_Static_assert(STRAND_GROUPS - 1 + STRANDS_TOGETHER == 14 &&
                   STRAND_GROUPS * SEGMENT_PARTS == 8388608 &&
                   SALIENT_SEGMENT_BITS == 41 &&
                   SALIENCE_LISTS == 640 &&
                   STRAND_UNSAID == 255 && CODE_KINDS == 6,
               "the numbers in the rules");

static enum status check_rule(struct checking *c, const struct rule *rule)
{
    struct binder b = store_bind_asked(c->store, &c->asked, rule->sql);
    enum status st = ST_OK, done;

    while (st == ST_OK && store_row(&b))
        st = check_tell(c, rule->part, sqlite3_column_int64(b.stmt, 0),
                        rule->what);
    done = store_done(c->store, &b, c->why);
    return st == ST_OK ? check_survive(c, rule->part, 0, done) : st;
}

static enum status check_rules(struct checking *c, const struct rule *rules,
                               size_t count)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < count && st == ST_OK; i++)
        st = check_rule(c, &rules[i]);
    return st;
}

static enum status count_files(struct checking *c)
{
    struct binder b = store_bind_asked(
        c->store, &c->asked,
        "SELECT count(*), count(*) FILTER (WHERE unreadable <> '') FROM file");

    if (store_row(&b)) {
        c->out->files = sqlite3_column_int64(b.stmt, 0);
        c->out->unreadable = sqlite3_column_int64(b.stmt, 1);
    }
    return store_done(c->store, &b, c->why);
}

/* --- solos -------------------------------------------------------------- */

/* The row that SQL asks for is there: what the index lists is what SOLO
 * says. */
static enum status is_listed(struct checking *c, struct binder *b, bool *is)
{
    *is = store_row(b);
    return store_done(c->store, b, c->why);
}

static enum status check_facts(struct checking *c, int64_t id,
                               const struct solo *solo)
{
    struct prepared p = { 0 };
    bool facts = false, words = false;
    enum status st = prepare_texts(&p, solo, c->why);
    struct binder b;

    if (st == ST_OK) {
        b = store_bind_asked(
            c->store, &c->facts,
            "SELECT 1 FROM solo WHERE id = ?1 AND title IS ?2"
            " AND performer IS ?3 AND composer IS ?4 AND instrument IS ?5"
            " AND metre IS ?6 AND concert_key IS ?7 AND tempo IS ?8"
            " AND notes IS ?9 AND chords IS ?10 AND bars IS ?11"
            " AND warnings IS ?12");
        bind_facts(&b, id, solo, &p);
        st = is_listed(c, &b, &facts);
    }
    if (st == ST_OK) {
        b = store_bind_asked(
            c->store, &c->words,
            "SELECT 1 FROM words WHERE rowid = ?1 AND title IS ?2"
            " AND performer IS ?3 AND composer IS ?4 AND instrument IS ?5"
            " AND text IS ?6");
        bind_words(&b, id, solo, &p);
        st = is_listed(c, &b, &words);
    }
    prepared_free(&p);
    if (st == ST_OK && !facts)
        st = check_tell(c, PART_SOLOS, id,
                        "the facts that are listed are not those of its notes");
    if (st == ST_OK && !words)
        st = check_tell(c, PART_WORDS, id,
                        "its words are missing, or others than it has");
    return st;
}

/* --- strands ------------------------------------------------------------ */

/* Are the strands of PLACE what is EXPECTED, both alone and together?  Where
 * they do not read they are not. */
static enum status strands_equal(struct checking *c,
                                 const struct stretch *place,
                                 uint8_t *const expected[STRANDS], bool *equal)
{
    const uint8_t *together[STRANDS], *alone;
    enum status st = store_strands_at(c->store, place, together, c->why);

    *equal = st == ST_OK;
    for (int i = 0; i < STRANDS && *equal && st == ST_OK; i++) {
        *equal = i >= STRANDS_TOGETHER ||
                 memcmp(together[i], expected[i], place->count) == 0;
        st = store_strand_at(c->store, place, (enum strand)i, &alone, c->why);
        *equal = *equal && st == ST_OK &&
                 memcmp(alone, expected[i], place->count) == 0;
    }
    return st == ST_LIBRARY ? ST_OK : st;
}

static enum status compare_strands(struct checking *c,
                                   const struct checked_solo *at,
                                   uint8_t *const expected[STRANDS])
{
    struct stretch place = { at->id, at->segment, at->start,
                             (uint32_t)at->notes };
    bool equal;
    enum status st = strands_equal(c, &place, expected, &equal);

    if (st != ST_OK)
        return st;
    c->out->strand_bytes += STRANDS * at->notes;
    return equal ? ST_OK
                 : check_tell(c, PART_STRANDS, at->id,
                              "what is kept of each note is not what its "
                              "notes say");
}

static enum status check_strands(struct checking *c,
                                 const struct checked_solo *at,
                                 const struct solo *solo)
{
    uint8_t *room, *expected[STRANDS];
    enum status st;

    /* Where they lie elsewhere, or are more, was said already. */
    if (!at->laid || (int64_t)solo->note_count != at->notes)
        return ST_OK;
    room = malloc(STRANDS * solo->note_count + 1);
    if (!room)
        return fault_nomem(c->why);
    for (int i = 0; i < STRANDS; i++)
        expected[i] = room + (size_t)i * solo->note_count;
    st = strands_expect(c->store, expected, solo, c->why);
    if (st == ST_OK)
        st = compare_strands(c, at, expected);
    free(room);
    return st;
}

static enum status check_body(struct checking *c, const struct checked_solo *at)
{
    struct fault inner;
    struct solo *solo;
    enum status st = store_load(c->store, at->id, &solo, &inner);

    if (st == ST_OK) {
        c->out->solos_read++;
        c->out->notes += (int64_t)solo->note_count;
        st = check_facts(c, at->id, solo);
        if (st == ST_OK)
            st = check_strands(c, at, solo);
    } else if (st == ST_LIBRARY) {
        st = check_tell(c, PART_SOLOS, at->id, "its notes do not read");
    } else if (st == ST_NOTHING) {
        st = check_tell(c, PART_SOLOS, at->id, "its notes are missing");
    } else if (c->why) {
        *c->why = inner;
    }
    solo_free(solo);
    check_step(c);
    return st;
}

static enum status check_bodies(struct checking *c)
{
    enum status st = ST_OK;

    c->out->solos = (int64_t)c->solo_count;
    for (size_t i = 0; i < c->solo_count && st == ST_OK; i++)
        st = check_survive(c, PART_SOLOS, c->solos[i].id,
                           check_body(c, &c->solos[i]));
    return st;
}

/* --- the whole ---------------------------------------------------------- */

/* A view of the postings, in this connection alone. */
static enum status make_view(struct checking *c)
{
    enum status st = set_query_only(c, false);
    int rc;

    if (st != ST_OK)
        return st;
    rc = sqlite3_exec(c->store->db,
                      "CREATE VIRTUAL TABLE IF NOT EXISTS temp.gram_vocab"
                      " USING fts5vocab(main, gram, instance)",
                      NULL, NULL, NULL);
    if (rc != SQLITE_OK)
        return store_fault(c->store, rc, c->why);
    return c->store->mode == STORE_READ ? set_query_only(c, true) : ST_OK;
}

static enum status check_all(struct checking *c)
{
    enum status st = count_files(c);

    if (st == ST_OK)
        st = check_rules(c, first_rules,
                         sizeof first_rules / sizeof *first_rules);
    if (st == ST_OK)
        st = check_survive(c, PART_LAYOUT, 0, check_layout(c));
    if (st == ST_OK)
        st = check_bodies(c);
    if (st == ST_OK)
        st = check_rules(c, last_rules,
                         sizeof last_rules / sizeof *last_rules);
    return st == ST_OK ? check_grams(c) : st;
}

enum status store_check(struct store *store,
                        const struct store_check_events *events,
                        struct store_checked *out, struct fault *why)
{
    struct checking c = {
        .store = store, .events = events, .out = out, .why = why
    };
    store_loaded loaded = store->loaded;
    enum status st;

    *out = (struct store_checked){ 0 };
    store->loaded = NULL;
    st = store->at_rest ? store_take_part(store, why) : ST_OK;
    if (st == ST_OK)
        st = check_pages(&c);
    if (st == ST_OK)
        st = check_searches(&c);
    if (st == ST_OK)
        st = make_view(&c);
    if (st == ST_OK)
        st = store_read_begin(store, why);
    if (st == ST_OK) {
        st = check_all(&c);
        store_read_end(store);
    }
    st = check_survive(&c, PART_DATABASE, 0, st);
    store->loaded = loaded;
    store_forget_asked(&c.asked);
    store_forget_asked(&c.facts);
    store_forget_asked(&c.words);
    free(c.solos);
    free(c.segments);
    return st;
}
