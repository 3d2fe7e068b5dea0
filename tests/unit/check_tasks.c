/* check_tasks.c - work in parts, done by several threads. */
#include <check.h>
#include <string.h>

#include "query/tasks.h"
#include "tests/unit/suites.h"

enum {
    TASKS = 1000
};

/* What is done: each task leaves a mark of its own. */
struct marks {
    int done[TASKS];
    size_t fails_from; /* tasks from this one on fail */
};

static enum status mark(void *context, size_t task, struct fault *why)
{
    struct marks *m = context;

    m->done[task]++;
    if (task >= m->fails_from)
        return fault_set(why, ST_INPUT, "task %zu", task);
    return ST_OK;
}

START_TEST(every_task_is_done_once_by_any_number_of_threads)
{
    for (int threads = 0; threads <= TASKS_THREADS_MAX + 1; threads++)
        for (size_t count = 0; count <= TASKS; count += 1 + count * 3) {
            struct marks m = { .fails_from = TASKS };

            ck_assert_int_eq(tasks_run(threads, count, mark, &m, NULL), ST_OK);
            for (size_t i = 0; i < TASKS; i++)
                ck_assert_int_eq(m.done[i], i < count);
        }
}
END_TEST

/* Which of those that were begun fails first in time is chance; which is
 * reported is not. */
START_TEST(the_first_task_that_fails_is_reported_and_ends_the_work)
{
    for (int threads = 1; threads <= TASKS_THREADS_MAX; threads++) {
        struct marks m = { .fails_from = 5 };
        struct fault why = { 0 };
        int done = 0;

        ck_assert_int_eq(tasks_run(threads, TASKS, mark, &m, &why), ST_INPUT);
        ck_assert_str_eq(why.message, "task 5");
        for (size_t i = 0; i < TASKS; i++)
            done += m.done[i];
        ck_assert_int_ge(done, 6);
        ck_assert_int_le(done, 5 + threads);
    }
}
END_TEST

Suite *tasks_suite(void)
{
    Suite *suite = suite_create("tasks");
    TCase *tests = tcase_create("tasks");

    tcase_add_test(tests, every_task_is_done_once_by_any_number_of_threads);
    tcase_add_test(tests,
                   the_first_task_that_fails_is_reported_and_ends_the_work);
    suite_add_tcase(suite, tests);
    return suite;
}
