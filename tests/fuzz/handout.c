/* handout.c - any score that reads, written down again for each reader: as
 * ABC, and as MusicXML that reads as the same notes. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/musicxml.h"
#include "query/handout.h"
#include "tests/fuzz/fuzz.h"

enum {
    LOWEST = 40,
    HIGHEST = 88
}; /* E2 to E6 */

static struct solo *read_bytes(const void *data, size_t size, struct fault *why)
{
    struct file_bytes file = { malloc(size + 1), size };
    struct container *c = NULL;
    struct solo *solo = NULL;

    fuzz_holds(file.bytes != NULL, "there is memory");
    if (size)
        memcpy(file.bytes, data, size);
    if (container_open(&c, &file, why) == ST_OK)
        musicxml_read(&solo, c, NULL, why);
    container_close(c);
    free(file.bytes);
    return solo;
}

typedef enum status (*writer)(FILE *out, const struct handout *handout,
                              struct fault *why);

/* HANDOUT as text; the caller frees it. */
static char *written(const struct handout *handout, writer write, size_t *size)
{
    struct fault why = { 0 };
    char *text = NULL;
    FILE *out = open_memstream(&text, size);

    fuzz_holds(out != NULL, "there is memory");
    fuzz_holds(write(out, handout, &why) == ST_OK, "what reads can be written");
    fuzz_holds(fclose(out) == 0, "there is memory");
    return text;
}

/* Is each note alone, with a length, and where an octave 0 to 9, which are all
 * that MusicXML has, is left when a reader moves it?  Only those are the same
 * on paper. */
static bool is_plain(const struct solo *solo)
{
    for (size_t i = 0; i < solo->note_count; i++)
        if (solo->notes[i].duration <= 0 || solo->notes[i].midi < LOWEST ||
            solo->notes[i].midi > HIGHEST ||
            (i && solo->notes[i].start <= solo->notes[i - 1].start))
            return false;
    return true;
}

static void check_musicxml(const struct handout *handout,
                           const struct solo *solo)
{
    struct fault why = { 0 };
    size_t size = 0;
    char *text = written(handout, handout_musicxml, &size);
    struct solo *back = read_bytes(text, size, &why);

    fuzz_holds(back != NULL, "an excerpt reads");
    if (is_plain(solo)) {
        fuzz_holds(back->note_count == solo->note_count, "it has all notes");
        for (size_t i = 0; i < solo->note_count; i++)
            fuzz_holds(back->notes[i].midi == solo->notes[i].midi,
                       "they sound the same");
    }
    solo_free(back);
    free(text);
}

static void check_handout(const struct solo *solo, enum reader reader)
{
    struct excerpt excerpt = {
        .passage = { .solo = solo,
                     .last_bar = (int32_t)solo->bar_count - 1,
                     .last = (uint32_t)solo->note_count - 1 },
        .heading = "",
        .performer = solo->performer,
        .title = solo->title,
        .path = "a.xml",
        .place = "bar 1",
        .remark = "",
        .tempo = solo->tempo,
    };
    struct handout handout = {
        .title = solo->title, .reader = reader, .excerpts = &excerpt, .count = 1
    };
    size_t size = 0;

    excerpt.chord.class = excerpt.home.class = CHORD_NONE;
    handout.view = handout_view(&handout);
    check_musicxml(&handout, solo);
    free(written(&handout, handout_abc, &size));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct fault why = { 0 };
    struct solo *solo = read_bytes(data, size, &why);

    /* The reader that the first note draws. */
    if (solo && solo->note_count > 0)
        check_handout(solo, (enum reader)(solo->notes[0].midi % READERS));
    solo_free(solo);
    return 0;
}
