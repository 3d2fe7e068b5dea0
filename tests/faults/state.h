/* tests/faults/state.h - what lies in a library, kept, put back, compared. */
#ifndef FAULTS_STATE_H
#define FAULTS_STATE_H

#include <stdbool.h>
#include <stdint.h>

#include "tests/faults/trial.h"

/* A library under test: FOLDER with its solos, the index and the notebook in
 * FOLDER/.cellar; what a command writes elsewhere goes to FOLDER/out. */
struct library {
    const char *folder;
    const char *cellar; /* the program that asks */
    const struct bench *bench;
};

/* Keep a copy of .cellar and out under FOLDER.NAME, and put it back. */
void state_keep(const struct library *library, const char *name);
void state_put_back(const struct library *library, const char *name);

/* A number for the bytes of .cellar and out. */
uint64_t state_hash(const struct library *library);

/* All that the library answers: solos, places, banks, lists, a form, and the
 * files in out.  The caller owns it. */
char *state_tell(const struct library *library);

/* Is what SQLite says of both databases "ok"?  Prints what else it says. */
bool state_is_sound(const struct library *library);

/* Files in out that are called like one that was begun there. */
int state_left_over(const struct library *library);

#endif
