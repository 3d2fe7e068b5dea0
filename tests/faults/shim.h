/* tests/faults/shim.h - what the shim and the walk over it have in common.
 *
 * The shim is preloaded into a program under test.  It counts the calls of
 * one class (allocations, reads, writes ...) and makes the n-th of them fail.
 * The environment says which: CELLAR_FAULT is a name of fault_rows,
 * CELLAR_FAULT_AT is n, from 1, CELLAR_FAULT_STAYS=1 has every call from the
 * n-th on fail, CELLAR_FAULT_REPORT is a file that holds a struct
 * shim_report, CELLAR_FAULT_TRACE=1 prints where the call came from.
 */
#ifndef FAULTS_SHIM_H
#define FAULTS_SHIM_H

#include <stdint.h>

/* Calls that are counted together. */
enum call {
    CALL_ALLOC = 1 << 0, /* memory, and threads, which need it */
    CALL_READ = 1 << 1,
    CALL_WRITE = 1 << 2,
    CALL_SYNC = 1 << 3,
    CALL_RENAME = 1 << 4,
    CALL_REMOVE = 1 << 5, /* unlink() */
    CALL_CUT = 1 << 6,    /* ftruncate() */
    CALL_OPEN = 1 << 7,
    CALL_MAKE = 1 << 8, /* open() of a new file, mkdir() */
    CALL_MAP = 1 << 9,
    CALL_LIST = 1 << 10, /* the next entry of a folder */
    CALL_LOCK = 1 << 11,
    CALL_CLOCK = 1 << 12,
    CALL_ANY = CALL_READ | CALL_WRITE | CALL_SYNC | CALL_RENAME | CALL_REMOVE |
               CALL_CUT | CALL_OPEN | CALL_MAKE | CALL_MAP | CALL_LIST |
               CALL_LOCK
};

/* What becomes of the call; above zero: it fails with that errno. */
enum effect {
    EFFECT_HALF = -1, /* half of the bytes */
    EFFECT_KILL = -2, /* SIGKILL before it is made */
    EFFECT_BACK = -3, /* the clock stands a day earlier from here on */
    EFFECT_GONE = -4  /* before it is made, CELLAR_FAULT_FOLDER is removed */
};

/* Shared between the shim and the walk. */
struct shim_report {
    int64_t calls; /* of the class */
    int64_t met;   /* how many of them were made to fail */
    int64_t in_fts_open; /* of these, inside of a function of glibc that uses
                            what it asked for without a look */
};

#endif
