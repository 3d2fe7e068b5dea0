/* tests/bench/corpus.c - make a corpus, and what text searches need of it.
 *
 *   corpus write DIR SOLOS       write it as .musicxml, 1000 to a folder
 *   corpus store LIBRARY SOLOS   put it into an index as cellar-index would,
 *                                but that the files are never on disk
 *   corpus dump LIBRARY FILE     one byte an interval, a line a solo
 *   corpus fragments FILE        fragments of 3 to 12 notes to look for, of
 *                                three frequencies: intervals, TAB, text, TAB,
 *                                count
 *   corpus variants STEPS...     every text with one edit, a line each
 *   corpus memchr FILE           microseconds of one scan of its bytes, medians
 *                                of 9: when the processor's caches hold
 *                                something else, and right after that
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#include "indexer/form.h"
#include "indexer/musicxml.h"
#include "indexer/phrase.h"
#include "indexer/sha256.h"
#include "schema/store.h"
#include "tests/bench/invent.h"
#include "tests/bench/text.h"

enum {
    SEED = 20261125,
    BATCH = 200,
    SCANS = 9,
    OTHER_BYTES = 256 << 20 /* more than any cache holds */
};

static int fail(const char *what)
{
    fprintf(stderr, "corpus: %s\n", what);
    return 1;
}

static void name_of(char out[64], int index)
{
    snprintf(out, 64, "%03d/solo-%06d.musicxml", index / 1000, index);
}

/* --- files --------------------------------------------------------------- */

static int write_corpus(const char *dir, int count)
{
    for (int i = 0; i < count; i++) {
        char name[64], path[4096];
        size_t size;
        char *text = invent_solo(SEED, i, &size);
        FILE *file;

        name_of(name, i);
        snprintf(path, sizeof path, "%s/%.3s", dir, name);
        mkdir(path, 0777);
        snprintf(path, sizeof path, "%s/%s", dir, name);
        file = fopen(path, "wb");
        if (!text || !file || fwrite(text, 1, size, file) != size ||
            fclose(file) != 0)
            return fail("a file cannot be written");
        free(text);
    }
    return 0;
}

/* --- straight into the store --------------------------------------------- */

/* What cellar-index does with one file, from its bytes on. */
static enum status put_solo(struct store *store, int index, struct fault *why)
{
    struct musicxml_options options = { NULL };
    struct file_record record = { .part = "", .unreadable = "" };
    struct file_bytes bytes;
    struct container *c = NULL;
    struct solo *solo = NULL;
    char name[64];
    enum status st;

    bytes.bytes = (unsigned char *)invent_solo(SEED, index, &bytes.size);
    if (!bytes.bytes)
        return fault_nomem(why);
    name_of(name, index);
    record.path = name;
    record.size = (int64_t)bytes.size;
    sha256_text(record.sha256, bytes.bytes, bytes.size);
    st = container_open(&c, &bytes, why);
    if (st == ST_OK)
        st = musicxml_read(&solo, c, &options, why);
    if (st == ST_OK)
        st = phrase_mark(solo, why);
    if (st == ST_OK)
        st = form_find(solo, why);
    if (st == ST_OK)
        st = store_put(store, &record, solo, why);
    solo_free(solo);
    container_close(c);
    free(bytes.bytes);
    return st;
}

static int store_corpus(const char *library, int count)
{
    struct fault why = { 0 };
    struct store *store;
    enum status st;

    mkdir(library, 0777);
    st = store_open(&store, library, STORE_WRITE, NULL, &why);
    for (int i = 0; i < count && st == ST_OK; i++) {
        if (i % BATCH == 0)
            st = store_begin(store, &why);
        if (st == ST_OK)
            st = put_solo(store, i, &why);
        if (st == ST_OK && (i % BATCH == BATCH - 1 || i == count - 1))
            st = store_commit(store, &why);
    }
    if (st == ST_OK)
        st = store_optimize(store, &why);
    store_close(store);
    return st == ST_OK ? 0 : fail(why.message);
}

/* --- a text of the corpus ------------------------------------------------- */

struct dumping {
    struct store *store;
    FILE *out;
    enum status status;
};

static bool dump_solo(void *context, const struct solo_record *record)
{
    struct dumping *d = context;
    struct solo *solo;

    d->status = store_load(d->store, record->id, &solo, NULL);
    if (d->status != ST_OK)
        return false;
    for (size_t i = 1; i < solo->note_count; i++)
        fputc(text_letter(solo->notes[i].midi - solo->notes[i - 1].midi),
              d->out);
    fputc('\n', d->out);
    solo_free(solo);
    return true;
}

static int dump_corpus(const char *library, const char *path)
{
    struct dumping d = { NULL, fopen(path, "wb"), ST_OK };
    struct fault why = { 0 };
    enum status st = store_open(&d.store, library, STORE_READ, NULL, &why);

    if (!d.out)
        return fail("the text cannot be written");
    if (st == ST_OK)
        st = store_solos(d.store, NULL, dump_solo, &d, &why);
    store_close(d.store);
    if (fclose(d.out) != 0 || st != ST_OK || d.status != ST_OK)
        return fail("the text cannot be written");
    return 0;
}

/* --- the baseline of a scan ----------------------------------------------- */

static int by_number(const void *a, const void *b)
{
    long x = *(const long *)a, y = *(const long *)b;

    return (x > y) - (x < y);
}

/* Nanoseconds of one scan of TEXT for a byte that no interval has, so that all
 * of it is looked through; -1 where it is there. */
static long scan_once(const char *text, size_t size)
{
    struct timespec from, to;
    const char *found;

    clock_gettime(CLOCK_MONOTONIC, &from);
    found = memchr(text, 1, size);
    clock_gettime(CLOCK_MONOTONIC, &to);
    if (found)
        return -1;
    return (to.tv_sec - from.tv_sec) * 1000000000L +
           (to.tv_nsec - from.tv_nsec);
}

static int scan_text(const char *path)
{
    size_t size;
    char *text = text_read(path, &size), *other = malloc(OTHER_BYTES);
    long first[SCANS], cached[SCANS];

    if (!text || !other)
        return fail("the text cannot be read");
    for (int i = 0; i < SCANS; i++) {
        memset(other, i + 2, OTHER_BYTES);
        first[i] = scan_once(text, size);
        cached[i] = scan_once(text, size);
        if (first[i] < 0 || memchr(other, 1, OTHER_BYTES))
            return fail("the text is no dump");
    }
    qsort(first, SCANS, sizeof *first, by_number);
    qsort(cached, SCANS, sizeof *cached, by_number);
    printf("%ld %ld\n", first[SCANS / 2] / 1000, cached[SCANS / 2] / 1000);
    free(other);
    free(text);
    return 0;
}

int main(int argc, char **argv)
{
    const char *what = argc > 1 ? argv[1] : "";

    if (argc == 4 && strcmp(what, "write") == 0)
        return write_corpus(argv[2], atoi(argv[3]));
    if (argc == 4 && strcmp(what, "store") == 0)
        return store_corpus(argv[2], atoi(argv[3]));
    if (argc == 4 && strcmp(what, "dump") == 0)
        return dump_corpus(argv[2], argv[3]);
    if (argc == 3 && strcmp(what, "fragments") == 0)
        return text_fragments(argv[2]) ? 0 : fail("no fragments");
    if (argc > 3 && strcmp(what, "variants") == 0)
        return text_variants(argc - 2, argv + 2) ? 0 : fail("no intervals");
    if (argc == 3 && strcmp(what, "memchr") == 0)
        return scan_text(argv[2]);
    return fail("see the head of corpus.c");
}
