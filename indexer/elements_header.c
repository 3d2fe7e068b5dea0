/* indexer/elements_header.c - who plays what: creators, credits, names. */
#include <string.h>

#include "indexer/elements_internal.h"

static bool one_of(const char *text, const char *const *words, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (strcasecmp(text, words[i]) == 0)
            return true;
    return false;
}

/* The standard leaves the type of a creator open; these are in use. */
static bool is_performer(const char *type)
{
    static const char *const words[] = { "performer", "artist",  "soloist",
                                         "player",    "musician",
                                         "interpreter", "improviser" };

    return one_of(type, words, sizeof words / sizeof *words);
}

/* Those who made the score or the tune, not the solo. */
static bool is_maker(const char *type)
{
    static const char *const words[] = {
        "arranger",    "author",   "copyist",   "editor",     "encoder",
        "engraver",    "librettist", "lyricist", "lyrics",    "orchestrator",
        "poet",        "publisher", "rights",   "text",       "transcriber",
        "transcription", "translator", "typesetter", "words", "writer",
    };

    return one_of(type, words, sizeof words / sizeof *words);
}

void elements_creator(struct elements *e, const char *type, const char *text,
                      bool credit)
{
    struct solo *solo = e->score->solo;

    if (strcasecmp(type, "composer") == 0) {
        if (*solo->composer == '\0')
            solo->composer = elements_keep(e, text);
    } else if (is_performer(type)) {
        if (*solo->performer == '\0')
            solo->performer = elements_keep(e, text);
    } else if (credit && strcasecmp(type, "title") == 0) {
        if (!e->credit_title)
            e->credit_title = elements_keep(e, text);
    } else if (!credit && *type == '\0') {
        if (!e->any_creator)
            e->any_creator = elements_keep(e, text);
    } else if (!credit && !is_maker(type) && !e->other_creator) {
        e->other_creator = elements_keep(e, text);
    }
}

void elements_finish(struct elements *e)
{
    struct solo *solo = e->score->solo;

    if (*solo->composer == '\0' && e->any_creator)
        solo->composer = e->any_creator;
    if (*solo->performer == '\0' && e->other_creator)
        solo->performer = e->other_creator;
    solo->title = *solo->work_title       ? solo->work_title
                  : *solo->movement_title ? solo->movement_title
                  : e->credit_title       ? e->credit_title
                                          : "";
}
