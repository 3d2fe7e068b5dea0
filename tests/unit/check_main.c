/* check_main.c - runs every suite; `unit SUITE...` runs those named. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/unit/suites.h"

static const struct {
    const char *name;
    Suite *(*make)(void);
} suites[] = {
#define LIST_SUITE(name) { #name, name##_suite },
    SUITES(LIST_SUITE)
#undef LIST_SUITE
};

static int wanted(const char *name, int argc, char **argv)
{
    for (int i = 1; i < argc; i++)
        if (strcmp(argv[i], name) == 0)
            return 1;
    return argc == 1;
}

int main(int argc, char **argv)
{
    SRunner *runner = srunner_create(NULL);
    int failed, ran;

    for (size_t i = 0; i < sizeof suites / sizeof *suites; i++)
        if (wanted(suites[i].name, argc, argv))
            srunner_add_suite(runner, suites[i].make());
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    ran = srunner_ntests_run(runner);
    srunner_free(runner);
    return failed == 0 && ran > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
