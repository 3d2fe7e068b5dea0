/* query/corrections.h - what the user said of forms, put over the index. */
#ifndef QUERY_CORRECTIONS_H
#define QUERY_CORRECTIONS_H

#include "schema/notebook.h"
#include "schema/solo.h"
#include "schema/store.h"

struct corrections; /* opaque */

/* Read the corrections of the library of STORE, and let every solo that STORE
 * loads from now on have its form by them.  *OUT is NULL where there are
 * none; else it must outlive the last store_load().  What a damaged notebook
 * says is ST_LIBRARY.  Release with corrections_free(). */
enum status corrections_open(struct corrections **out, struct store *store,
                             struct fault *why);
void corrections_free(struct corrections *corrections); /* NULL is allowed */

/* Give SOLO the form of LENGTH bars (0: none) from the bar printed FIRST_BAR
 * on.  Its sections are those found where LENGTH is the one found and a chorus
 * was found to start there, else by its chords.  ST_USAGE where the solo has no
 * such bar or it is too short. */
enum status correct_form(struct solo *solo, int32_t length,
                         const char *first_bar, struct fault *why);

#endif
