/* chord_dump.c - what our chords hold, for comparison with other programs.
 *
 * Usage: chord_dump < SYMBOLS   a chord symbol a line; prints
 *                               symbol TAB root TAB class TAB tones
 *        chord_dump kinds       prints kind TAB tones
 * The root is a pitch class, tones are semitones above it joined by commas.
 * A symbol that is not understood prints "?" for its class.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/chord.h"

static void print_tones(uint16_t tones)
{
    const char *comma = "";

    for (int s = 0; s < 12; s++)
        if (tones & 1U << s) {
            printf("%s%d", comma, s);
            comma = ",";
        }
    putchar('\n');
}

static int dump_kinds(void)
{
    for (int kind = 0; kind < KIND_STANDARD_COUNT; kind++) {
        printf("%s\t", chord_kind_name(kind));
        print_tones(chord_kind_tones(kind));
    }
    return EXIT_SUCCESS;
}

static void dump_symbol(const char *symbol)
{
    struct chord chord;

    if (chord_parse(&chord, symbol, strlen(symbol), false, NULL) != ST_OK) {
        printf("%s\t-\t?\t\n", symbol);
        return;
    }
    printf("%s\t%d\t%s\t", symbol, chord.root_pc,
           chord_class_name(chord.class));
    print_tones(chord.tones);
}

int main(int argc, char **argv)
{
    char line[256];

    if (argc > 1 && strcmp(argv[1], "kinds") == 0)
        return dump_kinds();
    while (fgets(line, sizeof line, stdin)) {
        line[strcspn(line, "\n")] = '\0';
        dump_symbol(line);
    }
    return ferror(stdin) ? EXIT_FAILURE : EXIT_SUCCESS;
}
