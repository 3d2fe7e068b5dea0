/* notebook_fixture.h - a library with nothing but a notebook, for tests. */
#ifndef TESTS_UNIT_NOTEBOOK_FIXTURE_H
#define TESTS_UNIT_NOTEBOOK_FIXTURE_H

#include "schema/notebook.h"

/* The library and its notebook, from notebook_make_folder() to
 * notebook_remove_folder(), a checked fixture. */
extern char notebook_folder[64], notebook_file[96];
void notebook_make_folder(void);
void notebook_remove_folder(void);

/* The notebook, which must open; NULL for a reader where there is none. */
struct notebook *notebook_opened(enum notebook_mode mode);

/* Change the notebook from outside. */
void notebook_run_sql(const char *sql);

/* A notebook as the first Cellar wrote it, with one form correction: 24 bars
 * from the bar 5 of Waltz. */
void notebook_make_first_version(void);

/* In a child, call CHANGE with 0, 1, 2 ... until it is killed; the last number
 * that was acknowledged.  ROUND says how soon. */
int notebook_kill_while(void (*change)(int number), int round);

#endif
