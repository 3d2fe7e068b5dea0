/* store_fixture.h - libraries in temporary folders, for tests of the store. */
#ifndef TESTS_UNIT_STORE_FIXTURE_H
#define TESTS_UNIT_STORE_FIXTURE_H

#include "schema/store.h"

enum { FOLDER_SIZE = 128 };

/* End the test where ST is not ST_OK. */
void must(enum status st, const struct fault *why);

/* A new folder; everyone may enter it. */
void folder_make(char folder[FOLDER_SIZE]);
/* Remove it with all it holds. */
void folder_remove(const char *folder);

/* Open for writing or reading; ends the test where that fails. */
struct store *store_must_open(const char *folder, enum store_mode mode);

/* Put SOLO (NULL: unreadable) under PATH, inside a transaction.
 * SOLO is released. */
void store_must_put(struct store *store, const char *path,
                    struct solo *solo);

/* Put COUNT solos, each "A4 F4 E4 D4" over Dm7, into the index of FOLDER
 * under 0.xml, 1.xml ..., and close it. */
void store_make_index(const char *folder, int count);

/* The paths of all solos that pass FILTER, joined by blanks.  Borrowed: valid
 * until the next call. */
const char *store_paths(struct store *store, const struct filter *filter);

/* The id of the file PATH, 0 where it is not known. */
int64_t store_file_id(struct store *store, const char *path);

/* How many places a run of N intervals up to four has in the library. */
size_t store_count(struct store *store, const int *intervals, size_t n);

#endif
