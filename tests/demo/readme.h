/* tests/demo/readme.h - the README of the corpus, numbers and all. */
#ifndef DEMO_README_H
#define DEMO_README_H
#include "tests/demo/truth.h"

/* Write README.md for N works to OUT.  False when writing fails. */
bool readme_write(FILE *out, struct work *const *works, int n);
#endif
