/* query/relation.h - how a written chord stands to the home chord.
 *
 * The home chord is the one a fragment was given with, or is most plainly
 * spelled by (query/home.h); the written chord is the one that stands in the
 * solo where its notes occur.  Only root and class count: bass, extensions
 * and spelling do not.  Where a relation depends on a sus, a suspended chord
 * and a dominant with a sus are both one.  The relations and what they are
 * called: common practice, no source; the wording is ours.
 *
 * Steps are counted from the root of the home chord up to that of the written
 * one, 0..11 semitones: from Dm7 to G7 it is 5.
 */
#ifndef QUERY_RELATION_H
#define QUERY_RELATION_H

#include "schema/chord.h"

enum relation {
    RELATION_AS_WRITTEN,
    RELATION_II_OVER_V,                   /* Dm7 over G7 */
    RELATION_II_OVER_I,                   /* Dm7 over Cmaj7 */
    RELATION_V_OVER_II,                   /* G7 over Dm7 */
    RELATION_III_OVER_I,                  /* Em7 over Cmaj7 */
    RELATION_VI_OVER_I,                   /* Am7 over Cmaj7 */
    RELATION_MINOR_ABOVE_DOMINANT,        /* Abm7 over G7 */
    RELATION_TRITONE_SUBSTITUTE,          /* Db7 over G7 */
    RELATION_MINOR_ABOVE_HALF_DIMINISHED, /* Dm7 over Bm7b5 */
    RELATION_DIMINISHED_ON_DOMINANT,      /* Bdim7 over G7 */
    RELATION_BACKDOOR,                    /* G7 over Bb7 */
    RELATION_BACKDOOR_REVERSED,           /* Bb7 over G7 */
    RELATION_MAJOR_BELOW_SUS,             /* F over G7sus4 */
    RELATION_OTHER,                       /* none of these */
    RELATION_COUNT
};

/* Every title, phrase or description fits; a description names the degrees
 * of so many notes at most. */
enum {
    RELATION_TEXT_SIZE = 384,
    RELATION_NOTES_MAX = 64
};

/* How WRITTEN stands to HOME.  RELATION_OTHER also where one of them has no
 * root.  Two symbols that could not be explained are as written only when
 * they are equal. */
enum relation relation_of(const struct chord *home,
                          const struct chord *written);

/* A number 0..RELATION_KEYS-1 for the steps and both classes, to group by; of
 * meaning within this build only.  Where one has no root the steps count as
 * 0. */
enum {
    RELATION_KEYS = 12 * CHORD_CLASSES * CHORD_CLASSES
};
int relation_key(const struct chord *home, const struct chord *written);

/* The relation that KEY stands for.  A key does not tell a dominant with a
 * sus from one without: it is taken for one without. */
enum relation relation_of_key(int key);

/* The fixed plain name, without a key: "ii over its V", "other".  Borrowed: a
 * constant. */
const char *relation_name(enum relation relation);

/* The same said more fully: "minor cell a semitone above a dominant's root";
 * "" for RELATION_OTHER, which relation_title() describes. */
const char *relation_phrase(enum relation relation);

/* The relation KEY stands for by classes and interval: "minor over the major
 * a tritone below", "dominant over the dominant on the same root", "minor
 * over no chord".  Cut to SIZE (RELATION_TEXT_SIZE is enough).  Returns OUT. */
char *relation_title(char *out, size_t size, int key);

/* For people: the phrase, or the title where there is none, and the degrees
 * of the N notes MIDI[] over WRITTEN: "minor cell a semitone above a
 * dominant's root: b13 3 #9 b9".  Without notes, or where WRITTEN has no root
 * to count from, the words alone.  Cut to SIZE.  Returns OUT. */
char *relation_describe(char *out, size_t size, const struct chord *home,
                        const struct chord *written, const int *midi, size_t n);

/* The tensions (b9 9 #9 11 #11 b13 13) that the N notes MIDI[] are over
 * WRITTEN, each once, in that order; chord tones such as the 4 of a sus or
 * the 6 of a sixth chord are none.  OUT receives borrowed constants.  Returns
 * their number; 0 where WRITTEN has no root. */
enum {
    RELATION_TENSIONS = 7
};
size_t relation_tensions(const char *out[RELATION_TENSIONS],
                         const struct chord *written, const int *midi,
                         size_t n);

/* What `--relation` asks for. */
struct relation_choice {
    enum relation relation;
    int key; /* of RELATION_OTHER: this one only; -1: all of RELATION */
};

/* Read LEN bytes of TEXT: a relation_name() or relation_phrase(), or a
 * relation_title(), which for a named relation means that one.  Case, blanks,
 * hyphens, apostrophes and commas do not matter.  ST_SYNTAX: WHY (NULL
 * allowed) lists the names that come near, or all; its offset is 0. */
enum status relation_parse(struct relation_choice *out, const char *text,
                           size_t len, struct fault *why);

/* Whether WRITTEN stands to HOME as CHOICE asks. */
bool relation_chosen(const struct relation_choice *choice,
                     const struct chord *home, const struct chord *written);

#endif
