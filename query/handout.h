/* query/handout.h - excerpts on their way to the music stand.
 *
 * A handout is a list of passages with what is to be said of each.  It is
 * written as MusicXML 4.0, as ABC 2.1, as a page of HTML, or as rows.
 */
#ifndef QUERY_HANDOUT_H
#define QUERY_HANDOUT_H

#include <stdio.h>

#include "query/notation.h"

/* One excerpt.  Everything is borrowed; texts are never NULL, "" where there
 * is nothing to say. */
struct excerpt {
    struct passage passage;
    const char *heading; /* what stands above it and others alike: a relation */
    const char *performer, *title, *path;
    const char *place;          /* "bar 12 (bar 4 of chorus 2)" */
    const char *remark;         /* the user's */
    int32_t chorus, chorus_bar; /* 0: in none */
    int32_t form_bars;          /* length of the form, 0 unknown */
    int key;            /* 0..11: root of the chord, sounding; -1 none */
    int32_t tempo;      /* quarters a minute times 100, 0 unknown */
    struct chord chord; /* the fragment's, sounding; CHORD_NONE: none */
    struct chord home;  /* CHORD_NONE where it has none */
    bool practice;      /* made to be played, not from a solo */
};

struct handout {
    const char *title;
    enum reader reader;
    struct written_for view; /* handout_view(), for all of it */
    const struct excerpt *excerpts;
    size_t count;
};

/* The line at the foot of every page. */
extern const char handout_rights[];

/* The clef and octave that suit all excerpts. */
struct written_for handout_view(const struct handout *handout);

/* The symbol of the fragment's chord as the reader sees it, "" without one.
 * Returns OUT. */
char *handout_chord(char out[CHORD_TEXT_SIZE], const struct handout *handout,
                    const struct excerpt *excerpt);
/* The note INDEX of its solo as the reader sees it. */
struct pitch handout_pitch(const struct handout *handout,
                           const struct excerpt *excerpt, uint32_t index);

/* "3. Ada Vell, Tin Hat, bar 12 (bar 4 of chorus 2)" for the excerpt INDEX;
 * parts that are not known are left out.  Cut to SIZE.  Returns OUT. */
char *handout_cite(char *out, size_t size, const struct handout *handout,
                   size_t index);

/* Each writes the whole handout; a failed write is left for ferror().
 * ST_NOMEM. */
enum status handout_musicxml(FILE *out, const struct handout *handout,
                             struct fault *why);
enum status handout_abc(FILE *out, const struct handout *handout,
                        struct fault *why);
/* With staff notation where abcm2ps is installed; ST_IO where there is no room
 * for temporary files. */
enum status handout_html(FILE *out, const struct handout *handout,
                         struct fault *why);

#endif
