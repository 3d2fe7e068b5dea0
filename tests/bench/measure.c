/* tests/bench/measure.c - the numbers of one row: a command and its baseline.
 *
 *   measure RUNS BEFORE COMMAND... -- BASELINE...
 *
 * Both are run in turn, RUNS times each, as whole processes with their output
 * thrown away; where a first run takes more than 2 seconds, 3 times.  BEFORE
 * is a line for the shell that is run before each COMMAND and not measured, ""
 * for none.  It prints the medians of both in microseconds, the peak memory of
 * COMMAND in kilobytes (what the kernel calls VmHWM) and how often both ran.
 */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum {
    RUNS_MAX = 99,
    SLOW = 2000000, /* microseconds */
    SLOW_RUNS = 3
};

/* Microseconds of one run; *MEMORY is raised to its kilobytes. */
static long run(char **command, long *memory)
{
    struct timespec from, to;
    struct rusage usage;
    int status;
    pid_t child;

    clock_gettime(CLOCK_MONOTONIC, &from);
    child = fork();
    if (child == 0) {
        int null = open("/dev/null", O_WRONLY);

        dup2(null, 1);
        dup2(null, 2);
        execvp(command[0], command);
        _exit(127);
    }
    if (child < 0 || wait4(child, &status, 0, &usage) != child ||
        !WIFEXITED(status) || WEXITSTATUS(status) > 1) {
        fprintf(stderr, "measure: %s failed\n", command[0]);
        exit(1);
    }
    clock_gettime(CLOCK_MONOTONIC, &to);
    if (usage.ru_maxrss > *memory)
        *memory = usage.ru_maxrss;
    return (to.tv_sec - from.tv_sec) * 1000000L +
           (to.tv_nsec - from.tv_nsec) / 1000;
}

static int by_number(const void *a, const void *b)
{
    long x = *(const long *)a, y = *(const long *)b;

    return (x > y) - (x < y);
}

static long median(long *times, int count)
{
    qsort(times, (size_t)count, sizeof *times, by_number);
    return times[count / 2];
}

static void prepare(const char *before)
{
    if (*before && system(before) != 0) {
        fprintf(stderr, "measure: %s failed\n", before);
        exit(1);
    }
}

int main(int argc, char **argv)
{
    long ours[RUNS_MAX], theirs[RUNS_MAX], memory = 0, other = 0;
    int runs = argc > 3 ? atoi(argv[1]) : 0, split = 3;

    while (split < argc && strcmp(argv[split], "--") != 0)
        split++;
    if (runs < 1 || runs > RUNS_MAX || split + 1 >= argc) {
        fputs("measure: see the head of measure.c\n", stderr);
        return 2;
    }
    argv[split] = NULL;
    for (int i = 0; i < runs; i++) {
        prepare(argv[2]);
        ours[i] = run(argv + 3, &memory);
        theirs[i] = run(argv + split + 1, &other);
        if (i == 0 && runs > SLOW_RUNS && (ours[0] > SLOW || theirs[0] > SLOW))
            runs = SLOW_RUNS;
    }
    printf("%ld %ld %ld %d\n", median(ours, runs), median(theirs, runs),
           memory, runs);
    return 0;
}
