/* index_fixture.c - see index_fixture.h. */
#include "tests/unit/index_fixture.h"

#include <stdio.h>
#include <string.h>

char folder[FOLDER_SIZE], file[FILE_SIZE];
struct fault why;
const int cell[3] = { -4, -1, -2 };

void index_set_up(void)
{
    folder_make(folder);
    snprintf(file, sizeof file, "%s/.cellar/index.db", folder);
    memset(&why, 0, sizeof why);
}

void index_tear_down(void)
{
    folder_remove(folder);
}
