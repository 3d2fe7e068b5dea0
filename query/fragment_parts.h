/* query/fragment_parts.h - what the files fragment*.c share.
 *
 * Private to them.
 */
#ifndef QUERY_FRAGMENT_PARTS_H
#define QUERY_FRAGMENT_PARTS_H

#include "query/fragment.h"

enum token_kind {
    TOKEN_ANY,     /* ? */
    TOKEN_NUMBER,  /* 5: a degree, or an interval among signed ones */
    TOKEN_DEGREE,  /* b3, #11, 1' */
    TOKEN_NAME,    /* A4, Bb, f# */
    TOKEN_INTERVAL /* -4, +3, 0 */
};

struct token {
    long offset; /* byte of the user's text at which it starts */
    /* What stands before the `:`, with plain signs for Unicode ones. */
    char text[FRAGMENT_TOKEN_SIZE];
    enum token_kind kind; /* no TOKEN_NUMBER is left after tokens_read() */
    int number;           /* of a degree, 1..13 */
    int semitones;        /* of a degree above the root; of an interval */
    struct pitch pitch;   /* of a name */
    bool has_octave;      /* of a name: the octave was written */
    int octaves;          /* `'` less `,` of a degree or name */
    bool has_value;
    struct rational value; /* quarters */
};

struct token_list {
    enum fragment_language language;
    size_t count;
    struct token tokens[FRAGMENT_NOTES_MAX];
};

/* Read TEXT into tokens of one language.  ST_SYNTAX with the offset of the
 * token that is wrong. */
enum status tokens_read(struct token_list *out, const char *text,
                        struct fault *why);

/* Work out start, known_start, given_pc and given_at of F from its notes and
 * its chord. */
void fragment_place(struct fragment *f);

#endif
