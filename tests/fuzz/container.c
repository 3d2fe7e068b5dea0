/* container.c - any bytes as a file: the document inside is the same however
 * it is read, and no longer than it may be. */
#include <stdlib.h>
#include <string.h>

#include "indexer/container.h"
#include "tests/fuzz/fuzz.h"

/* Enough to see a difference; a document of 256 MB would take a second. */
enum {
    READ_MAX = 4 * 1024 * 1024
};

struct document {
    uint64_t digest; /* FNV-1a of its bytes */
    size_t size;
    enum status st;
    bool opened;
};

static void look_at_note(const struct container *c)
{
    const char *note = NULL;

    if (container_fell_back(c, &note))
        fuzz_holds(note && *note, "a way round is explained");
}

/* Read all of FILE in pieces of PIECE bytes. */
static struct document read_in_pieces(const struct file_bytes *file,
                                      size_t piece)
{
    struct document d = { .digest = 14695981039346656037u };
    struct fault why = { 0 };
    struct container *c = NULL;
    unsigned char *buffer = malloc(piece);
    size_t got = 0;

    fuzz_holds(buffer != NULL, "there is memory");
    d.st = container_open(&c, file, &why);
    d.opened = d.st == ST_OK;
    fuzz_holds(d.opened == (c != NULL), "only what opened is there");
    if (d.opened)
        look_at_note(c);
    while (d.st == ST_OK && d.size < READ_MAX) {
        d.st = container_read(c, buffer, piece, &got, &why);
        fuzz_holds(got <= piece, "no more is read than asked");
        for (size_t i = 0; d.st == ST_OK && i < got; i++)
            d.digest = (d.digest ^ buffer[i]) * 1099511628211u;
        d.size += got;
        if (got == 0)
            break;
    }
    fuzz_status(d.st, &why, 0);
    fuzz_holds(d.st == ST_OK || d.st == ST_INPUT, "it is the file's fault");
    container_close(c);
    free(buffer);
    return d;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct file_bytes file = { malloc(size + 1), size };
    struct document a, b;

    fuzz_holds(file.bytes != NULL, "there is memory");
    memcpy(file.bytes, data, size);
    a = read_in_pieces(&file, 64 * 1024);
    b = read_in_pieces(&file, 1000);
    fuzz_holds(a.opened == b.opened && a.st == b.st, "it ends in one way");
    fuzz_holds(a.size >= READ_MAX || a.st != ST_OK ||
                   (a.size == b.size && a.digest == b.digest),
               "the document is the same in pieces");
    fuzz_holds(size < 2 || memcmp(data, "PK", 2) == 0 || a.size == size ||
                   a.size >= READ_MAX,
               "what is no zip is the document itself");
    free(file.bytes);
    return 0;
}
