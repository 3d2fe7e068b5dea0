/* tests/bench/corpus.c - make a corpus, and what text searches need of it.
 *
 *   corpus write PLAIN PACKED SOLOS
 *                                write it as .musicxml below PLAIN and as .mxl
 *                                below PACKED, 1000 to a folder
 *   corpus store LIBRARY SOLOS   put it into an index as cellar-index would,
 *                                but that the files are never on disk
 *   corpus dump LIBRARY FILE     one byte an interval, a line a solo
 *   corpus ngrams FILE OUT       every run of 2 to 6 letters of a solo, the
 *                                intervals of 3 to 7 notes, a line each
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
#include <time.h>

#include "schema/store.h"
#include "tests/bench/corpus.h"
#include "tests/bench/text.h"

enum {
    SCANS = 9,
    OTHER_BYTES = 256 << 20 /* more than any cache holds */
};

int corpus_fail(const char *what)
{
    fprintf(stderr, "corpus: %s\n", what);
    return 1;
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
        return corpus_fail("the text cannot be written");
    if (st == ST_OK)
        st = store_solos(d.store, NULL, dump_solo, &d, &why);
    store_close(d.store);
    if (fclose(d.out) != 0 || st != ST_OK || d.status != ST_OK)
        return corpus_fail("the text cannot be written");
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
        return corpus_fail("the text cannot be read");
    for (int i = 0; i < SCANS; i++) {
        memset(other, i + 2, OTHER_BYTES);
        first[i] = scan_once(text, size);
        cached[i] = scan_once(text, size);
        if (first[i] < 0 || memchr(other, 1, OTHER_BYTES))
            return corpus_fail("the text is no dump");
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

    if (argc == 5 && strcmp(what, "write") == 0)
        return corpus_write(argv[2], argv[3], atoi(argv[4]));
    if (argc == 4 && strcmp(what, "store") == 0)
        return corpus_store(argv[2], atoi(argv[3]));
    if (argc == 4 && strcmp(what, "dump") == 0)
        return dump_corpus(argv[2], argv[3]);
    if (argc == 4 && strcmp(what, "ngrams") == 0)
        return text_ngrams(argv[2], argv[3])
                   ? 0
                   : corpus_fail("the n-grams cannot be written");
    if (argc == 3 && strcmp(what, "fragments") == 0)
        return text_fragments(argv[2]) ? 0 : corpus_fail("no fragments");
    if (argc > 3 && strcmp(what, "variants") == 0)
        return text_variants(argc - 2, argv + 2)
                   ? 0
                   : corpus_fail("no intervals");
    if (argc == 3 && strcmp(what, "memchr") == 0)
        return scan_text(argv[2]);
    return corpus_fail("see the head of corpus.c");
}
