/* query/edits.h - places that hold a fragment with a few notes changed.
 *
 * The notes FIRST..LAST of a line hold a fragment with E edits when some
 * transposition of the fragment turns into them by E insertions, deletions or
 * substitutions of single notes, and not by fewer.  The first and the last
 * note of the fragment are kept: they stand at FIRST and LAST.  A `?` is any
 * one note at no cost, and notes of several groups (struct fragment) have a
 * transposition a group.  With any octave pitches are compared modulo 12.
 *
 * Of the places of a line with at most the edits asked, that the caller
 * accepts, the best are taken first: fewest edits, then the earlier first
 * note, then the shorter place.  A place that shares a note with one already
 * taken is dropped, so what is left does not overlap.  That holds for no
 * edits as well; exact search keeps places that overlap: edits_find_all().
 *
 * Pure functions on arrays: no store, no printing.
 */
#ifndef QUERY_EDITS_H
#define QUERY_EDITS_H

#include "query/fragment.h"

enum {
    EDITS_MAX = 3,
    /* Every note of the fragment, and every one inserted. */
    EDITS_STEPS_MAX = FRAGMENT_NOTES_MAX + EDITS_MAX
};

/* A place: the notes FIRST..LAST, both included. */
struct edits_place {
    uint32_t first, last;
    uint8_t edits; /* 0..EDITS_MAX */
};

/* Whether the notes FIRST..LAST will do apart from their pitches (chord,
 * rhythm, filters).  Asked before the best are chosen: a place that is
 * refused keeps no other one out.  Asked once a place, ascending by first
 * note, then by last; not asked of places that an accepted shorter one with
 * the same first note and no more edits makes superfluous. */
typedef bool (*edits_accept)(void *context, size_t first, size_t last);

/* A fragment made ready, with the memory the search reuses from line to line:
 * bytes in proportion to the longest line, and one struct edits_place for
 * each place it had accepted.  One thread at a time. */
struct edits;

/* Make ready for at most MOST edits, 0..EDITS_MAX.  F is copied.  *OUT is NULL
 * after a failure: ST_USAGE for another MOST, ST_NOMEM.  Caller owns *OUT
 * (release with edits_free()). */
enum status edits_new(struct edits **out, const struct fragment *f,
                      bool any_octave, int most, struct fault *why);
void edits_free(struct edits *edits); /* NULL is allowed */

/* Search the COUNT notes at MIDI (0..127 each).  ACCEPT may be NULL: every
 * place will do.  *PLACES and *FOUND are the places taken, in the order of
 * their notes.  Borrowed: valid until the next search or edits_free().
 * ST_NOMEM, or ST_OK also where there are none. */
enum status edits_find(struct edits *edits, const uint8_t *midi, size_t count,
                       edits_accept accept, void *context,
                       const struct edits_place **places, size_t *found,
                       struct fault *why);

/* The same, but every place of those asked with MOST = 0: they may overlap, and
 * one takes no other's notes. */
enum status edits_find_all(struct edits *edits, const uint8_t *midi,
                           size_t count, const struct edits_place **places,
                           size_t *found, struct fault *why);

/* --- what was done to the fragment --------------------------------------- */

enum edit {
    EDIT_NONE,     /* the note is kept, or stands for a `?` */
    EDIT_CHANGED,  /* another note instead */
    EDIT_INSERTED, /* a note the fragment does not have */
    EDIT_LEFT_OUT
};

struct edits_step {
    enum edit edit;
    int note; /* index in the fragment; -1 where inserted */
    int at;   /* index in the place, 0 for its first; -1 where left out */
    /* The pitch the fragment has here in the transposition of this place:
     * MIDI, perhaps out of its range; the pitch class 0..11 with any octave.
     * -1 for an inserted note, for `?`, and where no note of the group is
     * kept to tell. */
    int wanted;
};

/* Fragment and place side by side: each note of each, in order. */
struct edits_alignment {
    int edits;
    size_t count;
    struct edits_step steps[EDITS_STEPS_MAX];
};

/* Align the fragment with the LENGTH notes at MIDI, those of a place.  Of
 * several ways with as few edits: reading from the left, keep a note rather
 * than change it, change rather than insert, insert rather than leave out.
 * False where they are no such place. */
bool edits_align(const struct edits *edits, const uint8_t *midi, size_t length,
                 struct edits_alignment *out);

/* What a note is to its two neighbours in the line.  A step is one or two
 * semitones (common practice, no source). */
enum edits_role {
    EDITS_OTHER,
    EDITS_PASSING,   /* by step to it and on in the same direction */
    EDITS_NEIGHBOUR, /* a step away and back to the same note */
    EDITS_REPEATED   /* the same note as the one before or after it */
};
/* The role of NOTE between BEFORE and AFTER, MIDI pitches as they sound. */
enum edits_role edits_role(int before, int note, int after);
/* "passing note", "neighbour note", "repeated note", "" for any other. */
const char *edits_role_name(enum edits_role role);

#endif
