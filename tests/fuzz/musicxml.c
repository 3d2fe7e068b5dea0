/* musicxml.c - any bytes as a score, read as cellar-index reads it: line,
 * chords, phrases, form; then the bytes of the index and back. */
#include <stdlib.h>
#include <string.h>

#include "indexer/form.h"
#include "indexer/musicxml.h"
#include "indexer/phrase.h"
#include "tests/fuzz/fuzz.h"

static enum status read_score(struct solo **out, struct file_bytes *file,
                              const char *part, struct fault *why)
{
    struct musicxml_options options = { part };
    struct container *c = NULL;
    enum status st = container_open(&c, file, why);

    *out = NULL;
    if (st == ST_OK)
        st = musicxml_read(out, c, &options, why);
    container_close(c);
    return st;
}

/* What the reader promises besides what holds for every solo. */
static void check_read(const struct solo *solo)
{
    for (size_t i = 1; i < solo->note_count; i++)
        fuzz_holds(solo->notes[i - 1].start <= solo->notes[i].start,
                   "notes are in the order of their onsets");
    for (size_t i = 1; i < solo->chord_count; i++)
        fuzz_holds(solo->chords[i - 1].start <= solo->chords[i].start,
                   "chords are in order");
    for (size_t i = 0; i < solo->warning_count; i++)
        fuzz_holds(solo->warnings[i].message[0] != '\0', "a warning says what");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct file_bytes file = { malloc(size + 1), size };
    struct fault why = { 0 };
    struct solo *solo, *second;
    enum status st;

    fuzz_holds(file.bytes != NULL, "there is memory");
    memcpy(file.bytes, data, size);
    st = read_score(&solo, &file, NULL, &why);
    fuzz_status(st, &why, 0);
    fuzz_holds(st == ST_OK || st == ST_INPUT, "it is the file's fault");
    if (st == ST_OK) {
        fuzz_holds(phrase_mark(solo, &why) == ST_OK, "phrases are marked");
        fuzz_holds(form_find(solo, &why) == ST_OK, "the form is looked for");
        check_read(solo);
        fuzz_solo(solo);
        /* With a part asked for. */
        st = read_score(&second, &file, "P2", &why);
        fuzz_status(st, &why, 0);
        solo_free(second);
    }
    solo_free(solo);
    free(file.bytes);
    return 0;
}
