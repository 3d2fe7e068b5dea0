/* query/glance.h - a place judged and scored by the strands of the index,
 * without its solo.
 *
 * Private to find.  Whatever the strands cannot say is left open, and the
 * notes decide.
 */
#ifndef QUERY_GLANCE_H
#define QUERY_GLANCE_H

#include "query/match.h"

enum glance_answer { GLANCE_NO, GLANCE_YES, GLANCE_UNSURE };

/* What of a question is the same for all places. */
struct glance_question {
    const struct find_query *query;
    struct rank_question rank; /* but for the home chord */
    /* Salience (schema/salience.h) tells what a place may score. */
    bool by_salience;
    bool by_form; /* a bar, section or beat is asked: POSITIONS are none */
    /* The value of the position by a byte of STRAND_MARK, and the greatest
     * score that a place with such a byte at its first note can have. */
    int positions[256], most[256];
};

/* The strands of one solo. */
struct glance {
    struct store *store;
    const struct glance_question *question;
    const struct strand_codes *codes;
    struct stretch solo;
    size_t count; /* notes */
    const uint8_t *strands[STRANDS]; /* NULL: not asked for yet */
    enum status status; /* what kept a strand from being read; it sticks */
    struct fault *why;
};

/* Make ready for QUERY, which is borrowed.  False where strands cannot answer
 * it: the notes have to be looked at. */
bool glance_prepare(struct glance_question *out,
                    const struct find_query *query);

/* Look at SOLO.  Within a read transaction. */
enum status glance_open(struct glance *out, struct store *store,
                        const struct glance_question *question,
                        const struct stretch *solo, struct fault *why);

/* Look at the COUNT notes of SOLO from FIRST on alone, as if they were a solo
 * of their own; all strands are read at once. */
enum status glance_open_at(struct glance *out, struct store *store,
                           const struct glance_question *question,
                           const struct stretch *solo, size_t first,
                           size_t count, struct fault *why);

/* STRAND, whose bytes are valid until the next solo is opened; where it cannot
 * be read NULL, with the reason in STATUS. */
const uint8_t *glance_strand(struct glance *g, enum strand strand);
/* The code of STRAND at the note AT, 0 for none; STRAND_UNSAID where the notes
 * have to be asked. */
uint8_t glance_code(struct glance *g, enum strand strand, enum strand_code kind,
                    size_t at);

/* match_rest() but for EXACTNESS. */
enum glance_answer glance_match(struct glance *g, struct match *m);

/* The chord of a window, as far as strands go. */
struct glance_chord {
    bool sounds; /* false: there is none */
    struct chord_event event; /* class, root, function where one is asked */
    size_t at;   /* a note that is heard under it */
};

/* The chord of the N notes from FIRST.  False where strands cannot tell. */
bool glance_window(struct glance *g, size_t first, size_t n,
                   struct glance_chord *out);

/* What the place M may score at most, by the strands by which whole libraries
 * are looked through; it may stop at a bound that is below ENOUGH. */
int glance_most(struct glance *g, const struct match *m, int enough);
/* The score of the place M is not above *SCORE; *EXACT: it is just that.  It
 * may stop short of the closest bound once that is below ENOUGH. */
void glance_score(struct glance *g, const struct match *m, int enough,
                  int *score, bool *exact);

#endif
