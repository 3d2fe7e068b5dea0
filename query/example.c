/* query/example.c - a place in a solo, cited. */
#include "query/example.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/words.h"

enum status example_cite(struct example *example, const struct solo *solo,
                         struct fault *why)
{
    const struct note *note = &solo->notes[example->first];
    const struct form_place *place = form_place_of(solo, note->bar);
    char bar[WORDS_SIZE];

    example->bar_index = note->bar;
    example->onset = solo_quarters(solo, note->onset);
    example->beat = solo_beat(solo, note);
    example->chorus = place->chorus;
    example->chorus_bar = place->chorus_bar;
    example->bar = strdup(words_bar(bar, solo, note->bar));
    example->number = strdup(solo->bars[note->bar].number);
    return example->bar && example->number ? ST_OK : fault_nomem(why);
}

enum status example_look_up(struct example *example, struct store *store,
                            const struct solo_list *list, struct fault *why)
{
    struct solo *solo;
    enum status st =
        store_load(store, list->items[example->index].id, &solo, why);

    if (st == ST_OK)
        st = example_cite(example, solo, why);
    solo_free(solo);
    return st;
}

void example_free(struct example *example)
{
    free(example->bar);
    free(example->number);
    example->bar = example->number = NULL;
}

char *example_text(char *out, size_t size, const struct example *example,
                   const struct solo_list *list)
{
    const struct solo_record *record = &list->items[example->index];
    char beat[WORDS_SIZE], chorus[WORDS_SIZE] = "";

    if (example->chorus > 0)
        snprintf(chorus, sizeof chorus, " (bar %d of chorus %d)",
                 (int)example->chorus_bar, (int)example->chorus);
    snprintf(out, size, "%s, bar %s, beat %s%s",
             *record->title ? record->title : record->path, example->bar,
             words_beat(beat, example->beat), chorus);
    return out;
}
