/* schema/notebook.h - what the user has written, in LIBRARY/.cellar.
 *
 * notebook.db is authored data: never rebuilt and never overwritten when it
 * is damaged; an older one is migrated after a copy of it was made.  What is
 * acknowledged (ST_OK) is on the disk.
 */
#ifndef SCHEMA_NOTEBOOK_H
#define SCHEMA_NOTEBOOK_H

#include <stdbool.h>
#include <stdint.h>

#include "schema/status.h"

struct notebook; /* opaque */

enum { NOTEBOOK_VERSION = 3 };
enum notebook_mode { NOTEBOOK_READ, NOTEBOOK_WRITE };

/* Open the notebook of LIBRARY.  NOTEBOOK_READ of a library without one is
 * ST_OK with *OUT NULL; NOTEBOOK_WRITE makes it.  ST_LIBRARY: damaged, or
 * written by a newer Cellar; ST_IO, ST_BUSY, ST_NOMEM.  Release with
 * notebook_close(). */
enum status notebook_open(struct notebook **out, const char *library,
                          enum notebook_mode mode, struct fault *why);
void notebook_close(struct notebook *notebook); /* NULL is allowed */

/* Which solo a note of the user is about. */
struct solo_identity {
    const char *sha256, *path, *title;
    int64_t harmony; /* solo_harmony_digest() */
};

/* What is known of the form of a solo. */
struct form_correction {
    struct solo_identity solo;
    int32_t length;        /* bars, 0: the solo has no form */
    const char *first_bar; /* printed number */
};

/* Does what was noted for A hold for the solo B?  The same file wherever it
 * is; or a file at the same place or of the same title whose chords are the
 * same. */
bool solo_identity_matches(const struct solo_identity *a,
                           const struct solo_identity *b);

/* Keep CORRECTION, in place of any for the same solo. */
enum status notebook_put_form(struct notebook *notebook,
                              const struct form_correction *correction,
                              struct fault *why);
/* Forget the corrections for SOLO.  ST_NOTHING where there are none. */
enum status notebook_drop_form(struct notebook *notebook,
                               const struct solo_identity *solo,
                               struct fault *why);
/* All corrections, the newest first; valid during the call.  EACH returns
 * false to stop. */
typedef bool (*notebook_form_each)(void *context,
                                   const struct form_correction *correction);
enum status notebook_forms(struct notebook *notebook, notebook_form_each each,
                           void *context, struct fault *why);

#endif
