/* query/example.h - a place in a solo, cited. */
#ifndef QUERY_EXAMPLE_H
#define QUERY_EXAMPLE_H

#include "query/solo_list.h"

/* The notes FIRST..LAST of the solo INDEX of a list (query/scan.h). */
struct example {
    size_t index;
    uint32_t first, last;
    /* From here on filled by example_cite(). */
    char *bar;                /* as words_bar() has it; owned */
    char *number;             /* the printed number, "" none; owned */
    int32_t bar_index;
    struct rational onset;    /* quarters from the bar line */
    struct rational beat;     /* as solo_beat() counts */
    int32_t chorus, chorus_bar; /* 0: in none */
};

/* Fill the rest of EXAMPLE from its SOLO.  ST_NOMEM; release with
 * example_free() in any case. */
enum status example_cite(struct example *example, const struct solo *solo,
                         struct fault *why);
/* The same, SOLO being looked up in STORE by LIST; the caller holds a read
 * transaction. */
enum status example_look_up(struct example *example, struct store *store,
                            const struct solo_list *list, struct fault *why);
void example_free(struct example *example);

/* "Turnip Cart Blues, bar 17, beat 3 and (bar 5 of chorus 2)", the path in
 * place of a missing title; into OUT, cut to SIZE.  Returns OUT. */
char *example_text(char *out, size_t size, const struct example *example,
                   const struct solo_list *list);

#endif
