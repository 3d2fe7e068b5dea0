/* suites.h - the suites of the unit tests, one for each check_NAME.c. */
#ifndef TESTS_UNIT_SUITES_H
#define TESTS_UNIT_SUITES_H

#include <check.h>

/* In the order in which they run: what stands on what comes later. */
#define SUITES(X) \
    X(status) \
    X(gather) \
    X(rational) \
    X(pitch) \
    X(chord) \
    X(chord_text) \
    X(solo) \
    X(solo_codec) \
    X(harmony) \
    X(harmony_twin) \
    X(gram) \
    X(field) \
    X(options) \
    X(store) \
    X(store_filter) \
    X(store_open) \
    X(store_places) \
    X(store_prepare) \
    X(store_check) \
    X(strand) \
    X(notebook) \
    X(notebook_bank) \
    X(notebook_check) \
    X(sha256) \
    X(container) \
    X(musicxml) \
    X(line) \
    X(limits) \
    X(playorder) \
    X(form) \
    X(form_find) \
    X(form_theme) \
    X(form_twin) \
    X(library) \
    X(json) \
    X(columns) \
    X(corrections) \
    X(place) \
    X(scan) \
    X(tasks) \
    X(grid_bar) \
    X(arc) \
    X(openings) \
    X(openings_twin) \
    X(variants) \
    X(fragment) \
    X(fragment_file) \
    X(bank) \
    X(edits) \
    X(edits_twin) \
    X(relation) \
    X(relation_parse) \
    X(home) \
    X(rank) \
    X(rank_words) \
    X(rank_pairs) \
    X(salience) \
    X(find_shelf) \
    X(glance) \
    X(find) \
    X(cells) \
    X(cells_planted) \
    X(cells_twin) \
    X(twin) \
    X(tension) \
    X(tension_twin) \
    X(joins) \
    X(coverage) \
    X(coverage_twin) \
    X(choose) \
    X(study) \
    X(notation) \
    X(practice) \
    X(handout) \
    X(demo) \
    X(store_access) \
    X(store_rest)

#define DECLARE_SUITE(name) Suite *name##_suite(void);
SUITES(DECLARE_SUITE)
#undef DECLARE_SUITE

#endif
