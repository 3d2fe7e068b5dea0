/* tests/demo/compose.c - writes the demo corpus.
 *
 *   compose FOLDER
 *
 * writes all solos, planted.tsv and README.md below FOLDER.  It reads no
 * input and is seeded, so it writes the same again each time. */
#include "tests/demo/pack.h"
#include "tests/demo/readme.h"
#include "tests/demo/score.h"
#include "tests/demo/truth.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static struct work *works[MAX_SOLOS];
static int nworks;

static const char *ending_of(const struct solo_spec *spec)
{
    return spec->packing == PACK_MXL || spec->packing == PACK_STORED
        ? "mxl" : "musicxml";
}

static bool save(const char *folder, const struct work *w)
{
    xmlBufferPtr score = score_write(w->spec, &w->chart, &w->line);
    char path[1024], name[128];
    const xmlChar *bytes;
    size_t len;
    bool done;

    if (!score)
        return false;
    bytes = xmlBufferContent(score);
    len = (size_t)xmlBufferLength(score);
    snprintf(path, sizeof path, "%s/%s", folder, w->path);
    snprintf(name, sizeof name, "%s.musicxml", w->spec->file);
    if (strcmp(ending_of(w->spec), "mxl") == 0)
        done = pack_mxl(path, name, bytes, len,
                        w->spec->packing == PACK_STORED);
    else
        done = pack_plain(path, bytes, len);
    xmlBufferFree(score);
    return done;
}

static bool make_folder(const char *path)
{
    return mkdir(path, 0777) == 0 || errno == EEXIST;
}

static bool make_folders(const char *folder)
{
    char path[1024];

    if (!make_folder(folder))
        return false;
    for (int i = 0; i < 3; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, players[i].folder);
        if (!make_folder(path))
            return false;
    }
    return true;
}

static bool compose_one(const char *folder, const struct solo_spec *spec)
{
    struct work *w = calloc(1, sizeof *w);

    if (!w || nworks == MAX_SOLOS) {
        free(w);
        return false;
    }
    works[nworks++] = w;
    w->spec = spec;
    snprintf(w->path, sizeof w->path, "%s/%s.%s",
             players[spec->player].folder, spec->file, ending_of(spec));
    if (!chart_build(spec, &w->chart)
        || !line_compose(spec, &w->chart, &w->line))
        return false;
    notate_spell(spec, &w->chart, &w->line);
    return save(folder, w);
}

/* Write the file NAME below FOLDER by WRITER. */
static bool write_table(const char *folder, const char *name,
                        bool (*writer)(FILE *, struct work *const *, int))
{
    char path[1024];
    FILE *out;
    bool done;

    snprintf(path, sizeof path, "%s/%s", folder, name);
    out = fopen(path, "wb");
    if (!out)
        return false;
    done = writer(out, works, nworks);
    return fclose(out) == 0 && done;
}

static int compose_all(const char *folder)
{
    if (!make_folders(folder)) {
        fprintf(stderr, "compose: cannot make the folder %s\n", folder);
        return 4;
    }
    for (int i = 0; i < solo_count; i++)
        if (!compose_one(folder, &solos[i])) {
            fprintf(stderr, "compose: cannot write %s for %s\n",
                    solos[i].file, players[solos[i].player].name);
            return 4;
        }
    if (!write_table(folder, "planted.tsv", truth_write)
        || !write_table(folder, "README.md", readme_write)) {
        fprintf(stderr, "compose: cannot write the tables in %s\n", folder);
        return 4;
    }
    return 0;
}

int main(int argc, char **argv)
{
    int status;

    if (argc != 2) {
        fprintf(stderr, "usage: compose FOLDER\n");
        return 2;
    }
    status = compose_all(argv[1]);
    for (int i = 0; i < nworks; i++)
        free(works[i]);
    xmlCleanupParser();
    return status;
}
