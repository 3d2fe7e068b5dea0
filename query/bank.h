/* query/bank.h - banks of cells: reading, writing down and loading them.
 *
 * What a bank is and how it is kept: schema/notebook_bank.h.
 *
 * For a command that lists cells: bank_remember() after it has listed them,
 * so that `cellar bank add NAME 1,3-5` knows them; and for an option
 * `--keep NAME` or `--keep NAME:1,3-5`, name_split() and
 * bank_add_listed().
 */
#ifndef QUERY_BANK_H
#define QUERY_BANK_H

#include "query/fragment.h"
#include "query/named.h"
#include "schema/notebook_bank.h"

enum {
    /* Seven notes as written, with blanks and NUL. */
    CELL_TEXT_SIZE = CELL_NOTES_MAX * FRAGMENT_TOKEN_SIZE
};

/* --- what the user writes --------------------------------------------- */

extern const struct named_kind bank_kind; /* for names, see query/named.h */

/* The cell TEXT over the chord OVER (NULL: any chord), and in GIVEN the notes
 * as they were written.  Degrees are named anew from the chord.  ST_SYNTAX
 * where it is no fragment or no cell: not 3 to 7 notes, a `?`, note values,
 * several chords, a function; the offset in WHY is in OVER where *IN_OVER. */
enum status bank_read_cell(struct placed_cell *out, char given[CELL_TEXT_SIZE],
                           const char *text, const char *over, bool *in_over,
                           struct fault *why);

/* --- what is shown ---------------------------------------------------- */

/* The cell as a fragment that `cellar find` reads: its degrees, with octave
 * marks, else as it was given.  Returns OUT. */
char *bank_cell_text(char out[CELL_TEXT_SIZE], const struct kept_cell *kept);

/* "m7", "minor", "any chord".  Borrowed: as long as CELL, or a constant. */
const char *bank_cell_over(const struct placed_cell *cell);

/* Its notes over a chord on C: "G Eb D C"; "" where it has no degrees over a
 * chord.  Returns OUT. */
char *bank_cell_notes(char out[CELL_TEXT_SIZE], const struct placed_cell *cell);

/* --- loading ---------------------------------------------------------- */

/* A bank as it stands.  Plain data; the texts of the cells are owned. */
struct bank {
    char name[BANK_NAME_SIZE]; /* as it is kept */
    struct kept_cell *cells;
    size_t count, room;
};

/* Load the bank NAME; NOTEBOOK may be NULL, as notebook_open() gives where
 * there is none.  ST_NOTHING where there is no such bank: WHY names the one
 * that may be meant.  Release with bank_free(), also after a failure. */
enum status bank_load(struct bank *out, struct notebook *notebook,
                      const char *name, struct fault *why);
void bank_free(struct bank *bank);

/* A copy of KEPT at the end of BANK.  False when memory is out. */
bool bank_push(struct bank *bank, const struct kept_cell *kept);

/* --- cells that were listed ------------------------------------------- */

/* Remember the COUNT CELLS that the command QUESTION listed, numbered from 1,
 * in place of the last.  Whoever only asked should not fail where the library
 * cannot be written to: the answer stands without. */
enum status bank_remember(const char *library, const char *question,
                          const struct listed_cell *cells, size_t count,
                          struct fault *why);

/* Put the COUNT CELLS called NUMBERS in the listing of QUESTION into NAME.
 * They are put into OUT too, with their numbers there; NEW as in
 * notebook_add_cells(). */
enum status bank_add_listed(struct bank *out, struct notebook *notebook,
                            const char *name, const char *question,
                            const int32_t *numbers,
                            const struct listed_cell *cells, size_t count,
                            bool *new, struct fault *why);

#endif
