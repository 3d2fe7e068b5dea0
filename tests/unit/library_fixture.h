/* library_fixture.h - a folder of made-up files, and runs over it. */
#ifndef TESTS_UNIT_LIBRARY_FIXTURE_H
#define TESTS_UNIT_LIBRARY_FIXTURE_H

#include <check.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <time.h>

#include "indexer/library.h"

/* The folder HOME is new for each test. */
extern char home[64];
void setup_home(void);
void teardown_home(void);

/* HOME/NAME.  Borrowed: good for the next seven calls. */
const char *in_home(const char *name);
bool exists(const char *name);
void make_folder(const char *name);
void write_text(const char *name, const char *text);
/* A solo of so many notes, with a second part, Flute, of one note more. */
void write_solo(const char *name, const char *title, int notes);
void set_time(const char *name, time_t seconds);

/* What a run said, as lines. */
struct said {
    char lines[8192];
    size_t stop_after; /* files; 0: run to the end */
    atomic_bool stop;
};

/* Two threads; SAID is emptied and receives what is said. */
struct library_options options_for(struct said *said);

/* Update HOME/LIBRARY with HOME/FOLDER. */
enum status update_in(const char *library, const char *folder,
                      const struct library_options *options,
                      struct library_counts *counts, struct fault *why);
/* Update HOME as its own library, expect success and these counts. */
void expect_run(int read, int unchanged, int removed, int unreadable);
/* Expect ST_INPUT and MESSAGE, in which %s stands for HOME. */
void expect_fault(const char *library, const char *folder, const char *message);

/* The files and solos of HOME/LIBRARY as text, with sizes and times if TIMES;
 * the caller frees it. */
char *dump_index(const char *library, bool times);
/* Whether TEXT stands in the dump of HOME is as WANTED. */
void expect_in_index(const char *text, bool wanted);

/* The tests of check_library_places.c. */
TCase *library_places_tests(void);

#endif
