/* tests/faults/state.c - see state.h. */
#include "tests/faults/state.h"

#include <dirent.h>
#include <err.h>
#include <errno.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char *const parts[] = { ".cellar", "out" };

enum {
    PARTS = sizeof parts / sizeof *parts,
    PATH_SIZE = 4096,
    ARGUMENTS_MAX = 8
};

/* --- folders ----------------------------------------------------------- */

static char *join(char *out, const char *folder, const char *name)
{
    if (snprintf(out, PATH_SIZE, "%s/%s", folder, name) >= PATH_SIZE)
        errx(1, "%s/%s: too long", folder, name);
    return out;
}

static int by_name(const struct dirent **a, const struct dirent **b)
{
    return strcmp((*a)->d_name, (*b)->d_name);
}

static int is_file(const struct dirent *entry)
{
    return entry->d_name[0] != '.';
}

/* Call EACH for every file of FOLDER, by name; a folder that is not there
 * has none. */
static void each_file(const char *folder,
                      void (*each)(const char *path, const char *name,
                                   void *context),
                      void *context)
{
    struct dirent **names = NULL;
    char path[PATH_SIZE];
    int count = scandir(folder, &names, is_file, by_name);

    for (int i = 0; i < count; i++) {
        each(join(path, folder, names[i]->d_name), names[i]->d_name, context);
        free(names[i]);
    }
    free(names);
}

static char *bytes_of(const char *path, size_t *size)
{
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    struct stat info;
    char *bytes;

    if (fd < 0 || fstat(fd, &info) != 0)
        err(1, "%s", path);
    *size = (size_t)info.st_size;
    bytes = malloc(*size + 1);
    if (!bytes || read(fd, bytes, *size) != (ssize_t)*size)
        err(1, "%s", path);
    bytes[*size] = '\0';
    close(fd);
    return bytes;
}

static void remove_file(const char *path, const char *name, void *context)
{
    (void)name;
    (void)context;
    unlink(path);
}

static void copy_file(const char *path, const char *name, void *context)
{
    char to[PATH_SIZE];
    size_t size;
    char *bytes = bytes_of(path, &size);
    int fd = open(join(to, context, name), O_WRONLY | O_CREAT | O_TRUNC, 0666);

    if (fd < 0 || write(fd, bytes, size) != (ssize_t)size)
        err(1, "%s", to);
    close(fd);
    free(bytes);
}

/* Make TO what FROM is. */
static void mirror(const char *from, const char *to)
{
    char target[PATH_SIZE];

    each_file(to, remove_file, NULL);
    rmdir(to);
    if (access(from, F_OK) != 0)
        return;
    if (mkdir(to, 0777) != 0 && errno != EEXIST)
        err(1, "%s", to);
    strcpy(target, to);
    each_file(from, copy_file, target);
}

static void kept_folder(char *out, const struct library *library,
                        const char *name, const char *part)
{
    if (snprintf(out, PATH_SIZE, "%s.%s%s", library->folder, name, part) >=
        PATH_SIZE)
        errx(1, "%s: too long", library->folder);
}

void state_keep(const struct library *library, const char *name)
{
    char from[PATH_SIZE], to[PATH_SIZE];

    for (int i = 0; i < PARTS; i++) {
        kept_folder(to, library, name, parts[i]);
        mirror(join(from, library->folder, parts[i]), to);
    }
}

void state_put_back(const struct library *library, const char *name)
{
    char from[PATH_SIZE], to[PATH_SIZE];

    for (int i = 0; i < PARTS; i++) {
        kept_folder(from, library, name, parts[i]);
        mirror(from, join(to, library->folder, parts[i]));
    }
}

/* --- what is in it ----------------------------------------------------- */

/* FNV-1a, 64 bits (from memory): it need only tell states apart. */
#define FIRST_HASH 14695981039346656037u

static uint64_t hash_bytes(uint64_t hash, const char *bytes, size_t size)
{
    for (size_t i = 0; i < size; i++)
        hash = (hash ^ (unsigned char)bytes[i]) * 1099511628211u;
    return hash;
}

static void hash_file(const char *path, const char *name, void *context)
{
    uint64_t *hash = context;
    size_t size;
    char *bytes = bytes_of(path, &size);

    *hash = hash_bytes(*hash, name, strlen(name) + 1);
    *hash = hash_bytes(*hash, bytes, size);
    free(bytes);
}

uint64_t state_hash(const struct library *library)
{
    uint64_t hash = FIRST_HASH;
    char folder[PATH_SIZE];

    for (int i = 0; i < PARTS; i++) {
        hash = hash_bytes(hash, parts[i], strlen(parts[i]));
        each_file(join(folder, library->folder, parts[i]), hash_file, &hash);
    }
    return hash;
}

/* An unfinished file of an export has ".XXXXXX" after its name. */
static bool is_left_over(const char *name)
{
    size_t len = strlen(name);

    return len > 7 && name[len - 7] == '.';
}

static void tell_file(const char *path, const char *name, void *context)
{
    size_t size;
    char *bytes;

    if (is_left_over(name))
        return;
    bytes = bytes_of(path, &size);
    fprintf(context, "%s: %016llx\n", name,
            (unsigned long long)hash_bytes(FIRST_HASH, bytes, size));
    free(bytes);
}

static void count_left_over(const char *path, const char *name, void *context)
{
    (void)path;
    *(int *)context += is_left_over(name);
}

int state_left_over(const struct library *library)
{
    char folder[PATH_SIZE];
    int count = 0;

    each_file(join(folder, library->folder, "out"), count_left_over, &count);
    return count;
}

/* No index, one that nothing was read into and an index without a solo are
 * the same to who asks. */
static const char *answer_of(const struct outcome *o)
{
    if (o->signal || o->status > 1)
        return strstr(o->err, "no index yet") ||
                       strstr(o->err, "no library yet")
                   ? "empty\n"
                   : o->err;
    return o->status == 0 ? o->out : "empty\n";
}

char *state_tell(const struct library *library)
{
    static const char *const questions[][ARGUMENTS_MAX] = {
        { "solos", "--limit", "0", "--format", "json" },
        { "find", "2 1", "--limit", "0", "--format", "json" },
        { "bank", "list" },
        { "bank", "show", "kept", "--details" },
        { "list", "lists" },
        { "list", "show", "kept", "--limit", "0", "--format", "json" },
        { "form", "gravel-lantern", "--format", "json" },
    };
    char folder[PATH_SIZE];
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);

    if (!out)
        err(1, "cannot compare");
    for (size_t i = 0; i < sizeof questions / sizeof *questions; i++) {
        char *argv[ARGUMENTS_MAX + 4] = { (char *)library->cellar,
                                          "--library",
                                          (char *)library->folder };
        struct outcome o;

        for (int k = 0; k < ARGUMENTS_MAX && questions[i][k]; k++)
            argv[3 + k] = (char *)questions[i][k];
        o = trial_run(library->bench, argv, &(struct blow){ 0 });
        fprintf(out, "%s %s: %s", questions[i][0], questions[i][1],
                answer_of(&o));
        outcome_free(&o);
    }
    each_file(join(folder, library->folder, "out"), tell_file, out);
    fclose(out);
    return text;
}

/* --- the databases ----------------------------------------------------- */

static int take_word(void *context, int count, char **values, char **names)
{
    bool *good = context;

    (void)count;
    (void)names;
    if (strcmp(values[0], "ok") != 0) {
        printf("# integrity_check: %s\n", values[0]);
        *good = false;
    }
    return 0;
}

bool state_is_sound(const struct library *library)
{
    static const char *const names[] = { ".cellar/index.db",
                                         ".cellar/notebook.db" };
    bool good = true;

    for (int i = 0; i < 2; i++) {
        char path[PATH_SIZE];
        sqlite3 *db = NULL;
        int rc;

        if (access(join(path, library->folder, names[i]), F_OK) != 0)
            continue;
        rc = sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL);
        if (rc == SQLITE_OK)
            rc = sqlite3_exec(db, "PRAGMA integrity_check", take_word, &good,
                              NULL);
        if (rc != SQLITE_OK)
            printf("# %s: %s\n", path, sqlite3_errmsg(db));
        good = good && rc == SQLITE_OK;
        sqlite3_close(db);
    }
    return good;
}
