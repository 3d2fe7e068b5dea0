/* tests/bench/measure.c - one row of the table: a command beside its baseline.
 *
 *   measure RUNS NAME BASELINE-NAME COMMAND... -- BASELINE...
 *   measure RUNS NAME BASELINE-NAME COMMAND... -- BASELINE... ++ ALONE=TIME
 *
 * Both are run in turn, RUNS times each, as whole processes with their output
 * thrown away; the row has the ratio of the medians, both medians, and the
 * peak memory of the command (what the kernel calls VmHWM).  What ALONE names
 * took TIME microseconds inside a process; its ratio comes last.
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
    RUNS_MAX = 99
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

/* Where WORD stands in ARGV from AT on; ARGC where it does not. */
static int find_word(int argc, char **argv, int at, const char *word)
{
    while (at < argc && strcmp(argv[at], word) != 0)
        at++;
    return at;
}

/* ALONE is "NAME=MICROSECONDS". */
static void print_alone(const char *alone, long ours)
{
    const char *time = strrchr(alone, '=');
    double microseconds = time ? atof(time + 1) : 0;

    if (microseconds > 0)
        printf("; %.*s %.2f ms: %.1f", (int)(time - alone), alone,
               microseconds / 1000, (double)ours / microseconds);
}

int main(int argc, char **argv)
{
    long ours[RUNS_MAX], theirs[RUNS_MAX], memory = 0, other = 0;
    int runs = argc > 4 ? atoi(argv[1]) : 0;
    int split = find_word(argc, argv, 4, "--");
    int end = find_word(argc, argv, split + 1, "++");
    char **baseline;

    if (runs < 1 || runs > RUNS_MAX || split + 1 >= argc) {
        fputs("measure: see the head of measure.c\n", stderr);
        return 2;
    }
    argv[split] = NULL;
    argv[end] = NULL; /* at most the one that ends it already */
    baseline = argv + split + 1;
    for (int i = 0; i < runs; i++) {
        ours[i] = run(argv + 4, &memory);
        theirs[i] = run(baseline, &other);
    }
    printf("%8.2f  %-40s %9.1f ms  %5ld MB  %-26s %9.1f ms",
           (double)median(ours, runs) / (double)median(theirs, runs), argv[2],
           (double)median(ours, runs) / 1000, memory / 1024, argv[3],
           (double)median(theirs, runs) / 1000);
    if (end + 1 < argc)
        print_alone(argv[end + 1], median(ours, runs));
    putchar('\n');
    return 0;
}
