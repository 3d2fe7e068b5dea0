/* query/openings_library.h - which openings recur across the library.
 *
 * Every chorus with a clear opening (query/openings.h) counts once, however
 * often its written bars are played.  Two openings are the same when their
 * first notes have the same intervals, over a chord of the same class (the one
 * under most of these notes, solo_window_chord()), and start on the same
 * degree of it.  The notes are counted from the first that belongs to the
 * chorus, so that the same idea with another pickup is the same, or with the
 * pickup.  What opens with fewer notes than are asked is counted, not
 * compared.
 */
#ifndef QUERY_OPENINGS_LIBRARY_H
#define QUERY_OPENINGS_LIBRARY_H

#include "query/example.h"
#include "query/openings.h"

enum {
    OPENINGS_NOTES_MIN = 2,
    OPENINGS_NOTES_MAX = OPENING_HEAD_MAX
};

struct openings_query {
    int notes; /* OPENINGS_NOTES_MIN..OPENINGS_NOTES_MAX */
    bool with_pickup;
    uint64_t min_count; /* 1 or more */
    const struct filter *filter; /* NULL: all solos */
};

/* One chorus that opens clearly, with notes enough. */
struct openings_entry {
    int8_t intervals[OPENINGS_NOTES_MAX - 1];
    uint8_t midi; /* of the first of the notes */
    uint8_t class; /* enum chord_class; CHORD_NONE where there is no chord */
    uint8_t start; /* semitones 0..11 above the root; 0 without a chord */
    bool is_riff;
    struct chord chord; /* of meaning unless CHORD_NONE */
    int32_t chorus;
    struct example example; /* cited; FIRST is the first of the notes */
};

/* Openings that are the same: COUNT entries from FIRST on, by path and bar. */
struct openings_group {
    size_t first;
    uint64_t count, solos, riffs;
    uint64_t keys[12]; /* by root of the chord */
};

struct openings_library {
    struct solo_list solos;
    int notes; /* as asked */
    /* Choruses as written: together, and what became of them. */
    uint64_t choruses, clear, runs_on, silent;
    uint64_t few;       /* clear, with too few notes */
    uint64_t riffs;     /* clear, and a riff */
    uint64_t formless;  /* solos without a known form, left out */
    uint64_t different; /* openings, those that come once included */
    struct openings_entry *entries;
    size_t entry_count, entry_room;
    /* Most frequent first, then in most solos, then the earliest; only those
     * that come often enough. */
    struct openings_group *groups;
    size_t group_count, group_room;
};

/* OUT is all zero.  The caller holds a read transaction of STORE.  ST_OK also
 * where nothing is found; release with openings_library_free() in any case. */
enum status openings_library_make(struct openings_library *out,
                                  struct store *store,
                                  const struct openings_query *query,
                                  struct fault *why);
void openings_library_free(struct openings_library *library);

/* The degrees of the notes of ENTRY, as named over its chord; false without
 * one.  The constants are borrowed. */
bool openings_degrees(const char *out[OPENINGS_NOTES_MAX],
                      const struct openings_entry *entry, int notes);

#endif
