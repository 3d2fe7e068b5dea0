/* chord.c - any text as a chord: what reads, reads the same from the symbol
 * that is shown for it, from what MusicXML says of it, and after it was moved
 * away and back. */
#include <stdlib.h>
#include <string.h>

#include "schema/chord.h"
#include "tests/fuzz/fuzz.h"

static void check_symbol(const struct chord *chord, bool rootless)
{
    struct chord again;

    if (chord->class == CHORD_OTHER)
        return;
    fuzz_holds(chord_parse(&again, chord->symbol, strlen(chord->symbol),
                           rootless, NULL) == ST_OK,
               "the symbol shown reads");
    fuzz_holds(chord_equal(chord, &again) && chord->root_pc == again.root_pc &&
                   chord->altered == again.altered && chord->sus == again.sus,
               "the symbol shown means the same");
}

static void check_degrees(const struct chord *chord)
{
    static const int cell[4] = { 69, 65, 64, 62 };
    const char *names[4];

    for (int s = 0; s < 12; s++)
        fuzz_holds(*chord_degree_name(chord, s) != '\0', "a degree has a name");
    chord_cell_degrees(names, chord, cell, 4);
}

static void check_musicxml(const struct chord *chord)
{
    struct chord_source source = { .root = chord->root,
                                   .bass = chord->bass,
                                   .has_root = chord->has_root,
                                   .has_bass = chord->has_root };
    struct chord again;
    int kind = chord_nearest_kind(chord, source.degrees, &source.degree_count);

    fuzz_holds(kind >= 0 && kind < KIND_STANDARD_COUNT &&
                   source.degree_count <= CHORD_DEGREES_MAX,
               "MusicXML has a kind for it");
    if (chord->class == CHORD_OTHER || !chord->has_root)
        return;
    source.kind_name = chord_kind_name(kind);
    chord_from_source(&again, &source);
    fuzz_holds(chord_equal(chord, &again), "MusicXML says the same chord");
}

static void check_moved(const struct chord *chord)
{
    for (int up = 0; up < 12 && chord->has_root; up++) {
        struct chord moved = *chord;

        chord_transpose(&moved, up, up * 7 / 12);
        fuzz_holds(moved.root_pc == (chord->root_pc + up) % 12 &&
                       moved.tones == chord->tones,
                   "a chord moves as a whole");
        chord_transpose(&moved, -up, -(up * 7 / 12));
        fuzz_holds(chord_equal(chord, &moved), "and back");
    }
}

static void try_chord(const char *text, size_t size, bool rootless)
{
    struct chord chord;
    struct fault why = { 0 };
    enum status st = chord_parse(&chord, text, size, rootless, &why);

    fuzz_status(st, &why, size);
    if (st != ST_OK)
        return;
    fuzz_holds(chord.class < CHORD_CLASSES && chord.root_pc < 12 &&
                   chord.bass_pc < 12 && chord.tones < 1 << 12,
               "a chord is within its ranges");
    check_symbol(&chord, rootless);
    check_degrees(&chord);
    check_musicxml(&chord);
    check_moved(&chord);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    /* Of its own size, so that a byte too far is seen. */
    char *text = malloc(size ? size : 1);

    fuzz_holds(text != NULL, "there is memory");
    memcpy(text, data, size);
    try_chord(text, size, false);
    try_chord(text, size, true);
    free(text);
    return 0;
}
