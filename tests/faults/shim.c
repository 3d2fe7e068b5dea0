/* tests/faults/shim.c - makes the n-th allocation or call of the system fail.
 *
 * A library for LD_PRELOAD (see shim.h).  The allocation functions are the
 * ones of glibc under their other names; calls of the system are made
 * directly.  What libc calls inside of itself cannot be seen from here, so
 * streams that the program writes are replaced by ones that write through the
 * wrapper below.  stderr is left alone: who could be told that it fails?
 */
#include <dlfcn.h>
#include <errno.h>
#include <execinfo.h>
#include <fcntl.h>
#include <fts.h>
#include <ftw.h>
#include <pthread.h>
#include <signal.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

#include "shim.h"

static const struct fault_row {
    const char *name;
    int calls;
    int effect;
} fault_rows[] = {
    { "alloc", CALL_ALLOC, ENOMEM },
    { "read-error", CALL_READ, EIO },
    { "read-short", CALL_READ, EFFECT_HALF },
    { "read-interrupted", CALL_READ, EINTR },
    { "write-error", CALL_WRITE, EIO },
    { "write-full", CALL_WRITE, ENOSPC },
    { "write-short", CALL_WRITE, EFFECT_HALF },
    { "write-interrupted", CALL_WRITE, EINTR },
    { "sync-error", CALL_SYNC, EIO },
    { "rename-error", CALL_RENAME, EIO },
    { "remove-error", CALL_REMOVE, EIO },
    { "cut-error", CALL_CUT, EIO },
    { "open-error", CALL_OPEN | CALL_MAKE, EMFILE },
    { "open-denied", CALL_OPEN | CALL_MAKE, EACCES },
    { "map-error", CALL_MAP, ENOMEM },
    { "list-error", CALL_LIST, EIO },
    { "lock-error", CALL_LOCK, ENOLCK },
    { "disk-full", CALL_WRITE | CALL_CUT | CALL_MAKE, ENOSPC },
    { "clock-back", CALL_CLOCK, EFFECT_BACK },
    { "kill", CALL_ANY, EFFECT_KILL },
    { "gone", CALL_ANY, EFFECT_GONE },
};

extern void *__libc_malloc(size_t size);
extern void *__libc_calloc(size_t count, size_t size);
extern void *__libc_realloc(void *old, size_t size);
extern void *__libc_memalign(size_t alignment, size_t size);

static const struct fault_row *row; /* NULL: nothing fails */
static int64_t fault_at;
static bool stays, traces;
static _Thread_local bool in_fts_open;
static struct shim_report *report;

static void trace(void)
{
    void *frames[40];
    const struct fault_row *kept = row;

    row = NULL;
    backtrace_symbols_fd(frames, backtrace(frames, 40), STDERR_FILENO);
    row = kept;
}

static int remove_entry(const char *path, const struct stat *info, int kind,
                        struct FTW *where)
{
    (void)info;
    (void)kind;
    (void)where;
    remove(path);
    return 0;
}

/* Take the library away, as someone else would; the call goes on. */
static void remove_library(void)
{
    const char *folder = getenv("CELLAR_FAULT_FOLDER");
    const struct fault_row *kept = row;
    int before = errno;

    row = NULL;
    if (folder)
        nftw(folder, remove_entry, 16, FTW_DEPTH | FTW_PHYS);
    errno = before;
    row = kept;
}

/* Count a call of the class CALL.  True where it shall not be as usual. */
static bool is_struck(int call)
{
    int64_t number;
    bool struck;

    if (!row || !(row->calls & call))
        return false;
    number = __atomic_add_fetch(&report->calls, 1, __ATOMIC_SEQ_CST);
    struck = stays ? number >= fault_at : number == fault_at;
    if (!struck)
        return false;
    __atomic_add_fetch(&report->met, 1, __ATOMIC_SEQ_CST);
    if (in_fts_open)
        report->in_fts_open++;
    if (traces)
        trace();
    if (row->effect == EFFECT_KILL)
        kill(getpid(), SIGKILL);
    if (row->effect == EFFECT_GONE)
        remove_library();
    return row->effect != EFFECT_GONE;
}

/* The same for calls that can only fail: sets errno. */
static bool fails(int call)
{
    if (!is_struck(call))
        return false;
    errno = row->effect;
    return true;
}

/* --- memory ------------------------------------------------------------ */

void *malloc(size_t size)
{
    return fails(CALL_ALLOC) ? NULL : __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    return fails(CALL_ALLOC) ? NULL : __libc_calloc(count, size);
}

void *realloc(void *old, size_t size)
{
    return fails(CALL_ALLOC) ? NULL : __libc_realloc(old, size);
}

void *reallocarray(void *old, size_t count, size_t size)
{
    if (size && count > SIZE_MAX / size) {
        errno = ENOMEM;
        return NULL;
    }
    return realloc(old, count * size);
}

void *memalign(size_t alignment, size_t size)
{
    return fails(CALL_ALLOC) ? NULL : __libc_memalign(alignment, size);
}

void *aligned_alloc(size_t alignment, size_t size)
{
    return memalign(alignment, size);
}

int posix_memalign(void **out, size_t alignment, size_t size)
{
    void *got = memalign(alignment, size);

    if (!got)
        return ENOMEM;
    *out = got;
    return 0;
}

int pthread_create(pthread_t *thread, const pthread_attr_t *how,
                   void *(*run)(void *), void *context)
{
    static int (*next)(pthread_t *, const pthread_attr_t *, void *(*)(void *),
                       void *);

    if (!next)
        *(void **)&next = dlsym(RTLD_NEXT, "pthread_create");
    return fails(CALL_ALLOC) ? EAGAIN : next(thread, how, run, context);
}

/* --- bytes ------------------------------------------------------------- */

/* How many of SIZE bytes to read or write now; -1: none, errno says why. */
static ssize_t allowed(int call, size_t size)
{
    if (!is_struck(call))
        return (ssize_t)size;
    if (row->effect == EFFECT_HALF)
        return (ssize_t)(size > 1 ? size / 2 : size);
    errno = row->effect;
    return -1;
}

ssize_t read(int fd, void *out, size_t size)
{
    ssize_t n = allowed(CALL_READ, size);

    return n < 0 ? n : syscall(SYS_read, fd, out, (size_t)n);
}

ssize_t pread64(int fd, void *out, size_t size, off64_t at)
{
    ssize_t n = allowed(CALL_READ, size);

    return n < 0 ? n : syscall(SYS_pread64, fd, out, (size_t)n, at);
}

ssize_t pread(int fd, void *out, size_t size, off_t at)
{
    return pread64(fd, out, size, at);
}

/* A terminal is on no disk. */
static bool is_exempt(int fd)
{
    return fd == STDERR_FILENO ||
           (fd == STDOUT_FILENO && row && row->calls & CALL_MAKE &&
            row->effect == ENOSPC);
}

ssize_t write(int fd, const void *bytes, size_t size)
{
    ssize_t n = is_exempt(fd) ? (ssize_t)size : allowed(CALL_WRITE, size);

    return n < 0 ? n : syscall(SYS_write, fd, bytes, (size_t)n);
}

ssize_t pwrite64(int fd, const void *bytes, size_t size, off64_t at)
{
    ssize_t n = allowed(CALL_WRITE, size);

    return n < 0 ? n : syscall(SYS_pwrite64, fd, bytes, (size_t)n, at);
}

ssize_t pwrite(int fd, const void *bytes, size_t size, off_t at)
{
    return pwrite64(fd, bytes, size, at);
}

/* --- files ------------------------------------------------------------- */

int open64(const char *path, int flags, ...)
{
    va_list args;
    int mode = 0;

    va_start(args, flags);
    if (flags & (O_CREAT | O_TMPFILE))
        mode = va_arg(args, int);
    va_end(args);
    if (fails(flags & O_CREAT && access(path, F_OK) != 0 ? CALL_MAKE
                                                         : CALL_OPEN))
        return -1;
    return (int)syscall(SYS_openat, AT_FDCWD, path, flags, mode);
}

/* Where every offset has 64 bits the two are the same. */
int open(const char *path, int flags, ...) __attribute__((alias("open64")));

int mkstemp(char *template)
{
    static int (*next)(char *);

    if (!next)
        *(void **)&next = dlsym(RTLD_NEXT, "mkstemp");
    return fails(CALL_MAKE) ? -1 : next(template);
}

int mkdir(const char *path, mode_t mode)
{
    return fails(CALL_MAKE) ? -1 : (int)syscall(SYS_mkdir, path, mode);
}

int fsync(int fd)
{
    return fails(CALL_SYNC) ? -1 : (int)syscall(SYS_fsync, fd);
}

int fdatasync(int fd)
{
    return fails(CALL_SYNC) ? -1 : (int)syscall(SYS_fdatasync, fd);
}

int rename(const char *from, const char *to)
{
    return fails(CALL_RENAME) ? -1 : (int)syscall(SYS_rename, from, to);
}

int unlink(const char *path)
{
    return fails(CALL_REMOVE) ? -1 : (int)syscall(SYS_unlink, path);
}

int ftruncate64(int fd, off64_t size)
{
    return fails(CALL_CUT) ? -1 : (int)syscall(SYS_ftruncate, fd, size);
}

int ftruncate(int fd, off_t size)
{
    return ftruncate64(fd, size);
}

void *mmap64(void *at, size_t size, int access, int flags, int fd, off64_t from)
{
    if (fails(CALL_MAP))
        return MAP_FAILED;
    return (void *)syscall(SYS_mmap, at, size, access, flags, fd, from);
}

void *mmap(void *at, size_t size, int access, int flags, int fd, off_t from)
{
    return mmap64(at, size, access, flags, fd, from);
}

FTS *fts_open(char *const *paths, int how,
              int (*compare)(const FTSENT **, const FTSENT **))
{
    static FTS *(*next)(char *const *, int,
                        int (*)(const FTSENT **, const FTSENT **));
    FTS *walk;

    if (!next)
        *(void **)&next = dlsym(RTLD_NEXT, "fts_open");
    in_fts_open = true;
    walk = next(paths, how, compare);
    in_fts_open = false;
    return walk;
}

FTSENT *fts_read(FTS *walk)
{
    static FTSENT *(*next)(FTS *);

    if (!next)
        *(void **)&next = dlsym(RTLD_NEXT, "fts_read");
    return fails(CALL_LIST) ? NULL : next(walk);
}

int fcntl64(int fd, int what, ...)
{
    va_list args;
    void *with;

    va_start(args, what);
    with = va_arg(args, void *);
    va_end(args);
    if ((what == F_SETLK || what == F_SETLKW) && fails(CALL_LOCK))
        return -1;
    return (int)syscall(SYS_fcntl, fd, what, with);
}

int fcntl(int fd, int what, ...)
{
    va_list args;
    void *with;

    va_start(args, what);
    with = va_arg(args, void *);
    va_end(args);
    return fcntl64(fd, what, with);
}

int flock(int fd, int what)
{
    if (what != LOCK_UN && fails(CALL_LOCK))
        return -1;
    return (int)syscall(SYS_flock, fd, what);
}

/* --- the clock --------------------------------------------------------- */

int clock_gettime(clockid_t clock, struct timespec *out)
{
    int failed = (int)syscall(SYS_clock_gettime, clock, out);

    if (!failed && is_struck(CALL_CLOCK) && row->effect == EFFECT_BACK)
        out->tv_sec -= 24 * 60 * 60;
    return failed;
}

time_t time(time_t *out)
{
    struct timespec now;

    clock_gettime(CLOCK_REALTIME, &now);
    if (out)
        *out = now.tv_sec;
    return now.tv_sec;
}

int gettimeofday(struct timeval *restrict out, void *restrict zone)
{
    struct timespec now;

    (void)zone;
    clock_gettime(CLOCK_REALTIME, &now);
    *out = (struct timeval){ now.tv_sec, now.tv_nsec / 1000 };
    return 0;
}

/* --- streams ----------------------------------------------------------- */

static ssize_t stream_write(void *cookie, const char *bytes, size_t size)
{
    int fd = (int)(intptr_t)cookie;
    size_t done = 0;

    while (done < size) {
        ssize_t n = write(fd, bytes + done, size - done);

        /* As glibc does it: what fails is not tried again. */
        if (n < 0)
            return 0;
        done += (size_t)n;
    }
    return (ssize_t)done;
}

static int stream_close(void *cookie)
{
    return close((int)(intptr_t)cookie);
}

static FILE *stream_for(int fd)
{
    return fopencookie(
        (void *)(intptr_t)fd, "w",
        (cookie_io_functions_t){ .write = stream_write,
                                 .close = stream_close });
}

FILE *fdopen(int fd, const char *mode)
{
    static FILE *(*next)(int, const char *);

    if (!next)
        *(void **)&next = dlsym(RTLD_NEXT, "fdopen");
    if (row && row->calls & CALL_WRITE && mode[0] == 'w')
        return stream_for(fd);
    return next(fd, mode);
}

/* --- the start --------------------------------------------------------- */

static const struct fault_row *row_named(const char *name)
{
    for (size_t i = 0; i < sizeof fault_rows / sizeof *fault_rows; i++)
        if (strcmp(fault_rows[i].name, name) == 0)
            return &fault_rows[i];
    fprintf(stderr, "shim: there is no fault '%s'\n", name);
    abort();
}

/* Programs that the one under test starts run without the shim. */
__attribute__((constructor)) static void start(void)
{
    const char *name = getenv("CELLAR_FAULT");
    const char *at = getenv("CELLAR_FAULT_AT");
    const char *file = getenv("CELLAR_FAULT_REPORT");
    const struct fault_row *asked;
    void *frame;
    int fd;

    unsetenv("LD_PRELOAD");
    if (!name || !at || !file)
        return;
    asked = row_named(name);
    fault_at = strtoll(at, NULL, 10);
    stays = getenv("CELLAR_FAULT_STAYS") || asked->effect == EFFECT_BACK;
    traces = getenv("CELLAR_FAULT_TRACE");
    if (traces)
        backtrace(&frame, 1); /* what it needs is loaded now */
    fd = open(file, O_RDWR | O_CLOEXEC);
    report = mmap(NULL, sizeof *report, PROT_READ | PROT_WRITE, MAP_SHARED, fd,
                  0);
    if (fd < 0 || report == MAP_FAILED)
        abort();
    close(fd);
    if (asked->calls & CALL_WRITE)
        stdout = stream_for(STDOUT_FILENO);
    row = asked;
}
