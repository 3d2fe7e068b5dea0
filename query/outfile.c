/* query/outfile.c - an answer that goes into a file of the user's. */
#include "query/outfile.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static enum status cannot_write(const char *path, struct fault *why)
{
    return fault_set(why, ST_IO, "cannot write '%.200s': %s", path,
                     strerror(errno));
}

static void release(struct outfile *out)
{
    free(out->path);
    free(out->part);
    memset(out, 0, sizeof *out);
}

/* What is being written, so that none of it is left where the program ends
 * early. */
static const char *unfinished;

static void remove_unfinished(void)
{
    if (unfinished)
        unlink(unfinished);
}

static void remember(const char *part)
{
    static bool registered;

    unfinished = part;
    if (!registered)
        registered = atexit(remove_unfinished) == 0;
}

/* A new file keeps the rights that the user's mask leaves. */
static void give_rights(int file)
{
    mode_t mask = umask(0);

    umask(mask);
    if (fchmod(file, 0666 & ~mask) != 0)
        return; /* it is readable by the user, which will do */
}

enum status outfile_open(struct outfile *out, struct output *output,
                         const char *path, struct fault *why)
{
    static const char suffix[] = ".XXXXXX";
    int file;

    memset(out, 0, sizeof *out);
    if (!path)
        return ST_OK;
    out->path = strdup(path);
    out->part = malloc(strlen(path) + sizeof suffix);
    if (!out->path || !out->part) {
        release(out);
        return fault_nomem(why);
    }
    strcpy(stpcpy(out->part, path), suffix);
    file = mkstemp(out->part);
    out->stream = file >= 0 ? fdopen(file, "w") : NULL;
    if (!out->stream) {
        enum status st = cannot_write(path, why);

        if (file >= 0) {
            close(file);
            unlink(out->part);
        }
        release(out);
        return st;
    }
    give_rights(file);
    remember(out->part);
    output->stream = out->stream;
    output->color = false;
    return ST_OK;
}

enum status outfile_close(struct outfile *out, enum status st,
                          struct fault *why)
{
    bool good;

    if (!out->stream)
        return st;
    errno = 0;
    good = !ferror(out->stream);
    good = fclose(out->stream) == 0 && good;
    if (st == ST_OK && (!good || rename(out->part, out->path) != 0))
        st = cannot_write(out->path, why);
    if (st != ST_OK)
        unlink(out->part);
    unfinished = NULL;
    release(out);
    return st;
}
