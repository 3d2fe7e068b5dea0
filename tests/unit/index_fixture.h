/* index_fixture.h - for tests of how an index is opened: each has a library of
 * its own, and names the file its index will be. */
#ifndef TESTS_UNIT_INDEX_FIXTURE_H
#define TESTS_UNIT_INDEX_FIXTURE_H

#include "tests/unit/store_fixture.h"

enum {
    FILE_SIZE = FOLDER_SIZE + 64
};

extern char folder[FOLDER_SIZE], file[FILE_SIZE];
extern struct fault why;
/* What stands in each solo of store_make_index(). */
extern const int cell[3];

void index_set_up(void);
void index_tear_down(void);

#endif
