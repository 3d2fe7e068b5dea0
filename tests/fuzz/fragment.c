/* fragment.c - any text where a fragment, chords or an option value stand:
 * line 1 is a fragment, line 2 what it is wanted over. */
#include <stdlib.h>
#include <string.h>

#include "query/fragment.h"
#include "query/numbers.h"
#include "query/place.h"
#include "query/rank.h"
#include "query/relation.h"
#include "query/tension_words.h"
#include "tests/fuzz/fuzz.h"

static void check_fragment(const struct fragment *f)
{
    char text[FRAGMENT_TEXT_SIZE];

    fuzz_holds(f->count >= 2 && f->count <= FRAGMENT_NOTES_MAX,
               "a fragment has 2 to 32 notes");
    fuzz_holds(f->start >= -1 && f->start < 12 && f->known_start >= -1 &&
                   f->known_start < 12 && f->given_pc >= -1 &&
                   f->given_pc < 12 && f->given_at < f->count,
               "a fragment starts on a degree, or on none that is known");
    for (size_t i = 0; i < f->count; i++) {
        fuzz_holds(strlen(f->text[i]) < FRAGMENT_TOKEN_SIZE, "a note ends");
        fuzz_holds(f->group[i] >= (i ? f->group[i - 1] : 0), "groups ascend");
        fuzz_holds(!f->has_rhythm || f->value[i].num > 0, "notes last");
        fuzz_holds(f->any[i] || abs(f->midi[i]) < 10000, "notes stay near");
    }
    fuzz_holds(f->over.count >= 0 && f->over.count <= OVER_CHORDS_MAX,
               "a few chords");
    fuzz_holds(fragment_describe(f, text, sizeof text) == ST_OK,
               "every fragment can be described");
}

static void try_fragment(const char *text, const char *over)
{
    struct fragment f, again;
    struct fault why = { 0 };
    bool in_over = false;
    enum status st = fragment_parse(&f, text, over, &in_over, &why);

    fuzz_status(st, &why, strlen(in_over && over ? over : text));
    if (st != ST_OK)
        return;
    check_fragment(&f);
    fuzz_holds(fragment_parse(&again, text, over, NULL, NULL) == ST_OK &&
                   again.count == f.count &&
                   memcmp(again.midi, f.midi, sizeof f.midi[0] * f.count) == 0,
               "a text has one meaning");
}

static void try_over(const char *text)
{
    struct over over;
    struct fault why = { 0 };
    char words[OVER_WORDS_SIZE];
    enum status st = over_parse(&over, text, &why);

    fuzz_status(st, &why, strlen(text));
    for (int i = 0; st == ST_OK && i < over.count; i++) {
        over_chord_describe(words, &over.chords[i]);
        fuzz_holds(words[0] != '\0', "every chord can be named");
    }
}

static void try_values(const char *text)
{
    struct fault why = { 0 };
    struct rational value;
    struct relation_choice relation;
    struct place place = { 0 };
    struct rank_weights weights = { 0 };
    struct tension_query tension = TENSION_QUERY_ALL;
    struct number_list *numbers = calloc(1, sizeof *numbers);
    size_t length = strlen(text);
    int number = 0;

    fuzz_holds(numbers != NULL, "there is memory");
    fuzz_status(fragment_parse_degree(&number, text, &why), &why, length);
    fuzz_holds(number >= -1 && number < 12, "a degree is one of twelve");
    if (fragment_parse_value(&value, text, length))
        fuzz_holds(value.num > 0 && value.den > 0, "a value lasts");
    fuzz_status(relation_parse(&relation, text, length, &why), &why, length);
    fuzz_status(place_parse_chorus(&place, text, &why), &why, length);
    fuzz_status(place_parse_bar(&place, text, &why), &why, length);
    fuzz_status(place_parse_beat(&place, text, &why), &why, length);
    fuzz_status(rank_weights_parse(&weights, text, &why), &why, length);
    fuzz_status(tension_parse_length(&tension, text, &why), &why, length);
    fuzz_status(tension_parse_approach(&tension.approach, text, &why), &why,
                length);
    fuzz_status(tension_parse_departure(&tension.departure, text, &why), &why,
                length);
    fuzz_status(tension_parse_resolves(&tension, &number, text, &why), &why,
                length);
    fuzz_status(numbers_read(numbers, text, &why), &why, length);
    free(numbers);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const char *lines[2];
    char *text = fuzz_lines(lines, 2, data, size);

    try_fragment(lines[0], NULL);
    try_over(lines[0]);
    try_values(lines[0]);
    if (lines[1]) {
        try_fragment(lines[0], lines[1]);
        try_over(lines[1]);
    }
    free(text);
    return 0;
}
