/* mutate.c - changed copies of music files, each given to cellar-index alone.
 *
 *     mutate PLAIN CHECKED COUNT SEED KEEP FILE...
 *
 * PLAIN and CHECKED are two builds of cellar-index, CHECKED with the
 * sanitisers ("-" leaves one out).  Copy i is FILE i modulo their number,
 * changed by mutate_score(), or by its bytes where it stays a zip.  Each run
 * must end with status 0 or 3; the plain one within 2 seconds of processor time
 * and 256 MB.  A copy that does worse is kept in the folder KEEP.  The last
 * line counts: "COUNT copies, N bad, ...".
 */
#include <fcntl.h>
#include <ftw.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "indexer/container.h"
#include "tests/fuzz/mutate_score.h"

enum {
    GROWTH = 64 * 1024, /* a copy may be so much longer */
    CPU_MAX_MS = 2000,
    MEMORY_MAX_KB = 256 * 1024,
    HANGS_MS = 20000 /* of processor time: the kernel ends it */
};

struct outcome {
    int status; /* as a shell says it: 128 + the signal */
    long cpu_ms, memory_kb;
};

struct totals {
    long bad, read, refused, slowest_ms, largest_kb;
};

/* libFuzzer's part where there is none: change, add or take a few bytes. */
static uint64_t bytes_state = 88172645463325252u;

size_t LLVMFuzzerMutate(uint8_t *data, size_t size, size_t most)
{
    size_t steps = 1 + mutate_draw(&bytes_state, 8);

    for (size_t i = 0; i < steps && size > 0; i++) {
        size_t at = mutate_draw(&bytes_state, size);
        size_t length = 1 + mutate_draw(&bytes_state, size - at);

        switch (mutate_draw(&bytes_state, 5)) {
        case 0:
            data[at] ^= (uint8_t)(1u << mutate_draw(&bytes_state, 8));
            break;
        case 1:
            data[at] = (uint8_t)mutate_draw(&bytes_state, 256);
            break;
        case 2: /* not much of it, mostly */
            length = length > 16 ? 16 : length;
            memmove(data + at, data + at + length, size - at - length);
            size -= length;
            break;
        case 3:
            if (size < most) {
                memmove(data + at + 1, data + at, size - at);
                data[at] = (uint8_t)mutate_draw(&bytes_state, 256);
                size++;
            }
            break;
        default:
            if (mutate_draw(&bytes_state, 16) == 0)
                size = at + 1; /* cut short */
        }
    }
    return size ? size : 1;
}

/* --- files ------------------------------------------------------------------
 */

static void must(bool good, const char *what)
{
    if (good)
        return;
    perror(what);
    exit(2);
}

static uint8_t *read_file(const char *path, size_t *size, size_t *room)
{
    FILE *in = fopen(path, "rb");
    struct stat info;
    uint8_t *bytes;

    must(in && fstat(fileno(in), &info) == 0, path);
    *size = (size_t)info.st_size;
    *room = *size + GROWTH;
    bytes = malloc(*room);
    must(bytes && fread(bytes, 1, *size, in) == *size, path);
    fclose(in);
    return bytes;
}

static void write_file(const char *path, const uint8_t *bytes, size_t size)
{
    FILE *out = fopen(path, "wb");

    must(out && fwrite(bytes, 1, size, out) == size && fclose(out) == 0, path);
}

static int remove_one(const char *path, const struct stat *info, int type,
                      struct FTW *where)
{
    (void)info;
    (void)type;
    (void)where;
    return remove(path);
}

static void remove_folder(const char *path)
{
    nftw(path, remove_one, 16, FTW_DEPTH | FTW_PHYS);
}

/* --- one run -----------------------------------------------------------------
 */

static long milliseconds(const struct timeval *time)
{
    return time->tv_sec * 1000 + time->tv_usec / 1000;
}

static void become(const char *program, const char *library, const char *said)
{
    struct rlimit limit = { HANGS_MS / 1000, HANGS_MS / 1000 };
    int out = open(said, O_WRONLY | O_CREAT | O_TRUNC, 0600);

    if (out < 0 || dup2(out, 1) < 0 || dup2(out, 2) < 0 ||
        setrlimit(RLIMIT_CPU, &limit) != 0)
        _exit(126);
    execl(program, program, "--strict", "--library", library, library,
          (char *)NULL);
    _exit(127);
}

/* Index LIBRARY anew with PROGRAM; what it says goes into the file SAID. */
static struct outcome run(const char *program, const char *library,
                          const char *said)
{
    struct outcome o = { 0 };
    struct rusage used;
    int status;
    pid_t child;
    char place[600];

    snprintf(place, sizeof place, "%s/.cellar", library);
    remove_folder(place);
    child = fork();
    must(child >= 0, "fork");
    if (child == 0)
        become(program, library, said);
    must(wait4(child, &status, 0, &used) == child, "wait4");
    o.status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
    o.cpu_ms = milliseconds(&used.ru_utime) + milliseconds(&used.ru_stime);
    o.memory_kb = used.ru_maxrss;
    return o;
}

/* --- all of them
 * -------------------------------------------------------------- */

static const char *keep;

static void show(const char *said)
{
    char line[400];
    FILE *in = fopen(said, "r");

    for (int i = 0; in && i < 12 && fgets(line, sizeof line, in); i++)
        printf("    %s", line);
    if (in)
        fclose(in);
}

/* Was O bad?  Say so, and keep the COPY. */
static bool judge(const struct outcome *o, const char *name, bool plain,
                  const char *copy, const char *said)
{
    bool bad = o->status != 0 && o->status != 3;
    char path[600];
    uint8_t *bytes;
    size_t size, room;

    if (plain)
        bad |= o->cpu_ms > CPU_MAX_MS || o->memory_kb > MEMORY_MAX_KB;
    if (!bad)
        return false;
    snprintf(path, sizeof path, "%s/%s", keep, name);
    printf("bad: %s: status %d, %ld ms, %ld kB%s\n", path, o->status, o->cpu_ms,
           o->memory_kb, plain ? "" : ", under the sanitisers");
    show(said);
    bytes = read_file(copy, &size, &room);
    write_file(path, bytes, size);
    free(bytes);
    return true;
}

/* The document of the zip BYTES in their place. */
static void unpack(uint8_t **bytes, size_t *size, size_t *room)
{
    struct file_bytes file = { *bytes, *size };
    struct container *c = NULL;
    struct fault why = { 0 };
    uint8_t *document = NULL;
    size_t used = 0, got = 1;

    if (container_open(&c, &file, &why) != ST_OK)
        return;
    *room = 0;
    while (got > 0) {
        if (used + GROWTH > *room) {
            *room = 2 * (used + GROWTH);
            document = realloc(document, *room);
            must(document != NULL, "memory");
        }
        must(container_read(c, document + used, GROWTH / 2, &got, &why) ==
                 ST_OK,
             "a zip");
        used += got;
    }
    container_close(c);
    free(*bytes);
    *bytes = document;
    *size = used;
}

/* A changed copy of PATH into COPY: of a zip three times in four the document,
 * else its bytes. */
static void make_copy(const char *path, const char *copy, uint64_t seed)
{
    size_t size, room;
    uint8_t *bytes = read_file(path, &size, &room);

    bytes_state = seed * 2654435761u + 1;
    if (mutate_draw(&bytes_state, 4) > 0)
        unpack(&bytes, &size, &room);
    if (size > 2 && memcmp(bytes, "PK", 2) == 0)
        size = LLVMFuzzerMutate(bytes, size, room);
    else
        size = mutate_score(bytes, size, room, seed);
    write_file(copy, bytes, size);
    free(bytes);
}

static void try_copy(char *const *programs, const char *path, uint64_t seed,
                     const char *library, struct totals *t)
{
    char copy[600], said[600], name[64];

    /* What a file is is told from its bytes, not its name. */
    snprintf(name, sizeof name, "mutate-%llu.xml", (unsigned long long)seed);
    snprintf(copy, sizeof copy, "%s/%s", library, name);
    snprintf(said, sizeof said, "%s.said", library);
    make_copy(path, copy, seed);
    for (int i = 0; i < 2; i++) {
        struct outcome o;

        if (strcmp(programs[i], "-") == 0)
            continue;
        o = run(programs[i], library, said);
        t->bad += judge(&o, name, i == 0, copy, said);
        if (i == 0 || strcmp(programs[0], "-") == 0) {
            t->read += o.status == 0;
            t->refused += o.status == 3;
        }
        if (i == 0 && o.cpu_ms > t->slowest_ms)
            t->slowest_ms = o.cpu_ms;
        if (i == 0 && o.memory_kb > t->largest_kb)
            t->largest_kb = o.memory_kb;
    }
    unlink(copy);
    unlink(said);
}

int main(int argc, char **argv)
{
    char library[64];
    struct totals t = { 0 };
    long count;
    uint64_t seed;

    if (argc < 7) {
        fputs("usage: mutate PLAIN CHECKED COUNT SEED KEEP FILE...\n", stderr);
        return 2;
    }
    count = strtol(argv[3], NULL, 10);
    seed = strtoull(argv[4], NULL, 10);
    keep = argv[5];
    mkdir(keep, 0777);
    snprintf(library, sizeof library, "%s/cellar-mutate-XXXXXX",
             access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    must(mkdtemp(library) != NULL, library);
    for (long i = 0; i < count; i++) {
        try_copy(argv + 1, argv[6 + i % (argc - 6)], seed + (uint64_t)i,
                 library, &t);
        if (isatty(1))
            printf("%ld\r", i + 1), fflush(stdout);
    }
    remove_folder(library);
    printf(
        "%ld copies, %ld bad, %ld read, %ld refused, at most %ld ms and "
        "%ld MB\n",
        count, t.bad, t.read, t.refused, t.slowest_ms, t.largest_kb / 1024);
    return t.bad > 0;
}
