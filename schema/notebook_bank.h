/* schema/notebook_bank.h - banks: named sets of cells that the user kept.
 *
 * Names are told apart without case and accents (text_plain()).  The cells of
 * a bank are numbered from 1 in the order of adding; the numbers close up
 * when one is dropped.  Each change is made whole or not at all, and is on
 * the disk when the function returns ST_OK.
 *
 * Where a function takes the NAME of a bank, it returns ST_NOTHING when there
 * is none, with that alone in WHY.  All may return ST_IO, ST_BUSY,
 * ST_LIBRARY (damaged) and ST_NOMEM.  What is read from a notebook that was
 * written before there were banks has none.
 */
#ifndef SCHEMA_NOTEBOOK_BANK_H
#define SCHEMA_NOTEBOOK_BANK_H

#include <stddef.h>

#include "schema/chord.h"
#include "schema/notebook.h"

enum {
    CELL_NOTES_MIN = 3,
    CELL_NOTES_MAX = 7,
    CELL_STEPS_MAX = CELL_NOTES_MAX - 1,
    CELL_STEP_MAX = 127,    /* semitones, up or down */
    CELL_DEGREES_SIZE = 48, /* holds CELL_NOTES_MAX degrees, with NUL */
    BANK_NAME_MAX = 80,     /* characters */
    BANK_NAME_SIZE = 4 * BANK_NAME_MAX + 1,
    LISTING_QUESTION_SIZE = 400
};

/* A cell with its placement.  Plain data. */
struct placed_cell {
    int count;                     /* notes, CELL_NOTES_MIN..CELL_NOTES_MAX */
    int intervals[CELL_STEPS_MAX]; /* COUNT - 1 of them */
    int class;                     /* enum chord_class, -1: any chord */
    int start; /* semitones above the root, 0..11; -1: not known */
    char degrees[CELL_DEGREES_SIZE]; /* "5 b3 2 1", "" not known */
    /* The chord's suffix where one was named ("m7"), else "". */
    char over[CHORD_TEXT_SIZE];
};

/* The same intervals over the same class from the same degree? */
bool placed_cell_equal(const struct placed_cell *a,
                       const struct placed_cell *b);

/* A cell in a bank.  Texts are never NULL. */
struct kept_cell {
    struct placed_cell cell;
    int32_t number;     /* in its bank, from 1 */
    const char *given;  /* the fragment as the user wrote it, "" none */
    const char *note;   /* the user's remark, "" none */
    const char *origin; /* where it was taken from, "" typed */
    int64_t added;      /* seconds since 1970, UTC */
};

/* --- the banks -------------------------------------------------------- */

/* Make the bank NAME.  ST_USAGE where there is one. */
enum status notebook_new_bank(struct notebook *notebook, const char *name,
                              struct fault *why);
/* ST_USAGE where another bank is called TO. */
enum status notebook_rename_bank(struct notebook *notebook, const char *name,
                                 const char *to, struct fault *why);
/* Delete NAME with its cells; *CELLS counts them. */
enum status notebook_delete_bank(struct notebook *notebook, const char *name,
                                 int64_t *cells, struct fault *why);

/* All banks by name; valid during the call.  EACH returns false to stop. */
typedef bool (*notebook_bank_each)(void *context, const char *name,
                                   int64_t cells);
enum status notebook_banks(struct notebook *notebook, notebook_bank_each each,
                           void *context, struct fault *why);

/* --- their cells ------------------------------------------------------ */

/* A cell and its texts are valid during the call.  EACH returns false to
 * stop. */
typedef bool (*notebook_cell_each)(void *context,
                                   const struct kept_cell *cell);

/* The cells of NAME in order; FOUND receives the name as it is kept. */
enum status notebook_bank_cells(struct notebook *notebook, const char *name,
                                char found[BANK_NAME_SIZE],
                                notebook_cell_each each, void *context,
                                struct fault *why);

/* Put the COUNT CELLS into NAME, all of them or none.  One that is in already
 * (placed_cell_equal()) stays as it is, and cell i becomes as that one is
 * written.  CELLS get their numbers; NEW[i] says whether cell i is new. */
enum status notebook_add_cells(struct notebook *notebook, const char *name,
                               struct kept_cell *cells, bool *new,
                               size_t count, struct fault *why);

/* Drop the COUNT cells called NUMBERS, all of them or none; EACH (may be NULL)
 * is called for each before it goes.  ST_USAGE where there is no such number.
 */
enum status notebook_drop_cells(struct notebook *notebook, const char *name,
                                const int32_t *numbers, size_t count,
                                notebook_cell_each each, void *context,
                                struct fault *why);

/* Write NOTE beside a cell; "" takes the note away.  ST_USAGE where there is
 * no such number. */
enum status notebook_note_cell(struct notebook *notebook, const char *name,
                               int32_t number, const char *note,
                               struct fault *why);

/* --- what was listed last --------------------------------------------- */

struct listed_cell {
    struct placed_cell cell;
    int64_t uses; /* how often it occurred, 0: not known */
};

struct listing {
    char question[LISTING_QUESTION_SIZE]; /* the command, cut where longer */
    int64_t listed;                       /* seconds since 1970, UTC */
    int64_t count;                        /* cells */
};

/* Remember the COUNT CELLS that QUESTION listed, numbered from 1, in place of
 * what was remembered. */
enum status notebook_put_listing(struct notebook *notebook,
                                 const char *question,
                                 const struct listed_cell *cells, size_t count,
                                 struct fault *why);

/* The COUNT cells called NUMBERS of what was listed last, and about it.
 * ST_NOTHING where nothing was, ST_USAGE where there is no such number. */
enum status notebook_listed(struct notebook *notebook, struct listing *about,
                            const int32_t *numbers, size_t count,
                            struct listed_cell *cells, struct fault *why);

#endif
