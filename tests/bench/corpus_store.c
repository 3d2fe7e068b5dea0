/* tests/bench/corpus_store.c - the corpus straight into the store, see
 * corpus.h.
 *
 * A solo goes the way it does in cellar-index: bytes, container, MusicXML,
 * phrases, form, store_put(), in transactions of as many.  Only the files are
 * never on disk.  While one batch is written the next is made by threads, so
 * that memory holds two of them however many there are.
 */
#include <libxml/parser.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>

#include "indexer/form.h"
#include "indexer/musicxml.h"
#include "indexer/phrase.h"
#include "indexer/reading.h"
#include "schema/store.h"
#include "tests/bench/corpus.h"
#include "tests/bench/invent.h"

enum {
    BATCH = 200,
    TELL = 10000 /* say how far it is after so many */
};

/* A solo that is ready to be put. */
struct made {
    char sha256[SHA256_TEXT_SIZE];
    int64_t size;
    struct solo *solo;
    enum status status;
    struct fault why;
};

/* COUNT solos from FIRST on, and the threads that make them. */
struct batch {
    struct made made[BATCH];
    int first, count;
    atomic_int next;
    pthread_t threads[READING_JOBS_MAX];
    int thread_count;
};

static void make_solo(struct made *out, int index)
{
    struct musicxml_options options = { NULL };
    struct file_bytes bytes;
    struct container *c = NULL;
    enum status st;

    *out = (struct made){ .status = ST_OK };
    bytes.bytes =
        (unsigned char *)invent_solo(CORPUS_SEED, index, &bytes.size);
    if (!bytes.bytes) {
        out->status = fault_nomem(&out->why);
        return;
    }
    out->size = (int64_t)bytes.size;
    sha256_text(out->sha256, bytes.bytes, bytes.size);
    st = container_open(&c, &bytes, &out->why);
    if (st == ST_OK)
        st = musicxml_read(&out->solo, c, &options, &out->why);
    if (st == ST_OK)
        st = phrase_mark(out->solo, &out->why);
    if (st == ST_OK)
        st = form_find(out->solo, &out->why);
    out->status = st;
    container_close(c);
    free(bytes.bytes);
}

static void *make_some(void *context)
{
    struct batch *b = context;
    int i;

    while ((i = atomic_fetch_add(&b->next, 1)) < b->count)
        make_solo(&b->made[i], b->first + i);
    return NULL;
}

static void batch_start(struct batch *b, int first, int count)
{
    int wanted = reading_default_jobs();

    b->first = first;
    b->count = count;
    atomic_store(&b->next, 0);
    b->thread_count = 0;
    while (b->thread_count < wanted && count > 0 &&
           pthread_create(&b->threads[b->thread_count], NULL, make_some, b) ==
               0)
        b->thread_count++;
}

/* Wait for it; what no thread could be had for is made here. */
static void batch_finish(struct batch *b)
{
    make_some(b);
    for (int i = 0; i < b->thread_count; i++)
        pthread_join(b->threads[i], NULL);
}

static enum status put_solo(struct store *store, const struct made *made,
                            int index, struct fault *why)
{
    struct file_record record = { .part = "", .unreadable = "" };
    char name[CORPUS_NAME_SIZE], path[CORPUS_NAME_SIZE + 16];

    if (made->status != ST_OK) {
        *why = made->why;
        return made->status;
    }
    corpus_name(name, index);
    snprintf(path, sizeof path, "%s.musicxml", name);
    record.path = path;
    record.size = made->size;
    snprintf(record.sha256, sizeof record.sha256, "%s", made->sha256);
    return store_put(store, &record, made->solo, why);
}

/* Put all of it in one transaction, and let go of it. */
static enum status batch_put(struct batch *b, struct store *store,
                             struct fault *why)
{
    enum status st = store_begin(store, why);

    for (int i = 0; i < b->count; i++) {
        if (st == ST_OK)
            st = put_solo(store, &b->made[i], b->first + i, why);
        solo_free(b->made[i].solo);
        b->made[i].solo = NULL;
    }
    return st == ST_OK ? store_commit(store, why) : st;
}

static int batch_size(int first, int count)
{
    return count - first < BATCH ? count - first : BATCH;
}

static enum status put_all(struct store *store, struct batch batches[2],
                           int count, struct fault *why)
{
    enum status st = ST_OK;

    batch_start(&batches[0], 0, batch_size(0, count));
    for (int first = 0, turn = 0; first < count; first += BATCH, turn ^= 1) {
        int next = first + BATCH < count ? first + BATCH : count;

        batch_finish(&batches[turn]);
        batch_start(&batches[!turn], next, batch_size(next, count));
        st = batch_put(&batches[turn], store, why);
        if (st != ST_OK) {
            batch_finish(&batches[!turn]);
            break;
        }
        if (next % TELL == 0)
            fprintf(stderr, "%d solos of %d\n", next, count);
    }
    return st;
}

int corpus_store(const char *library, int count)
{
    struct batch *batches = calloc(2, sizeof *batches);
    struct fault why = { 0 };
    struct store *store = NULL;
    enum status st = batches ? ST_OK : fault_nomem(&why);
    size_t size;

    mkdir(library, 0777);
    /* Both set something up once, which must be before there are threads. */
    xmlInitParser();
    free(invent_solo(CORPUS_SEED, 0, &size));
    if (st == ST_OK)
        st = store_open(&store, library, STORE_WRITE, NULL, &why);
    if (st == ST_OK) {
        store_expect_many(store);
        st = put_all(store, batches, count, &why);
    }
    if (st == ST_OK)
        st = store_optimize(store, &why);
    store_close(store);
    free(batches);
    return st == ST_OK ? 0 : corpus_fail(why.message);
}
