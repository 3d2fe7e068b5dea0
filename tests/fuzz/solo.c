/* solo.c - any bytes where the index keeps a solo: as they are, and with their
 * sum put right.  What reads as a solo is one, and can be asked about. */
#include <stdlib.h>
#include <string.h>

#include "schema/gram.h"
#include "schema/salience.h"
#include "schema/solo_codec.h"
#include "schema/strand.h"
#include "tests/fuzz/fuzz.h"

/* What is worked out of every solo that is shown. */
static void ask_solo(const struct solo *solo)
{
    char *text = malloc(solo->note_count * GRAM_UNIT + 1);
    uint8_t *bytes = malloc(2 * solo->note_count + 1);
    struct salients salients = { 0 };

    fuzz_holds(text && bytes, "there is memory");
    gram_text(text, solo);
    strands_mark(bytes, bytes + solo->note_count, solo);
    fuzz_holds(salience_find(&salients, solo, bytes, bytes + solo->note_count,
                             0, NULL) == ST_OK,
               "there is memory");
    free(salients.items);
    free(bytes);
    free(text);
    for (size_t i = 0; i < solo->note_count; i++) {
        int strength = solo_onset_strength(solo, &solo->notes[i]);

        fuzz_holds(strength >= 0 && strength <= 4, "an onset has a strength");
        fuzz_holds(solo_beat(solo, &solo->notes[i]).den > 0, "a beat is one");
        solo_window_chord(solo, i,
                          solo->note_count - i < 4 ? solo->note_count - i : 4);
    }
    (void)solo_harmony_digest(solo);
}

static void try_bytes(const uint8_t *data, size_t size)
{
    struct fault why = { 0 };
    struct solo *solo;
    enum status st = solo_decode(&solo, data, size, &why);

    fuzz_status(st, &why, 0);
    fuzz_holds((st == ST_OK) == (solo != NULL), "a solo, or why not");
    if (st == ST_OK) {
        fuzz_solo(solo);
        ask_solo(solo);
    }
    solo_free(solo);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    unsigned char *sealed = malloc(size + 1);

    fuzz_holds(sealed != NULL, "there is memory");
    try_bytes(data, size);
    if (size >= SUM_SIZE) {
        memcpy(sealed, data, size);
        codec_seal(sealed, size);
        try_bytes(sealed, size);
    }
    free(sealed);
    return 0;
}
