/* tests/bench/corpus_write.c - the corpus as files, see corpus.h. */
#include <minizip/zip.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "tests/bench/corpus.h"
#include "tests/bench/invent.h"

void corpus_name(char out[CORPUS_NAME_SIZE], int index)
{
    snprintf(out, CORPUS_NAME_SIZE, "%03d/solo-%06d", index / 1000, index);
}

/* DIR/NAME.ENDING, its folder made. */
static void path_of(char path[4096], const char *dir, const char *name,
                    const char *ending)
{
    snprintf(path, 4096, "%s/%.3s", dir, name);
    mkdir(path, 0777);
    snprintf(path, 4096, "%s/%s.%s", dir, name, ending);
}

static bool write_plain(const char *path, const char *text, size_t size)
{
    FILE *file = fopen(path, "wb");
    bool written = file && fwrite(text, 1, size, file) == size;

    return file && fclose(file) == 0 && written;
}

static bool put_entry(zipFile zip, const char *name, const char *text,
                      size_t size)
{
    return zipOpenNewFileInZip(zip, name, NULL, NULL, 0, NULL, 0, NULL,
                               Z_DEFLATED, 6) == ZIP_OK &&
           zipWriteInFileInZip(zip, text, (unsigned)size) == ZIP_OK &&
           zipCloseFileInZip(zip) == ZIP_OK;
}

static bool write_packed(const char *path, const char *text, size_t size)
{
    static const char container[] =
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<container><rootfiles>"
        "<rootfile full-path=\"score.musicxml\"/></rootfiles></container>\n";
    zipFile zip = zipOpen64(path, APPEND_STATUS_CREATE);
    bool written = zip &&
                   put_entry(zip, "META-INF/container.xml", container,
                             strlen(container)) &&
                   put_entry(zip, "score.musicxml", text, size);

    return zip && zipClose(zip, NULL) == ZIP_OK && written;
}

int corpus_write(const char *plain, const char *packed, int count)
{
    for (int i = 0; i < count; i++) {
        char name[CORPUS_NAME_SIZE], path[4096];
        size_t size;
        char *text = invent_solo(CORPUS_SEED, i, &size);
        bool written = text != NULL;

        corpus_name(name, i);
        path_of(path, plain, name, "musicxml");
        written = written && write_plain(path, text, size);
        path_of(path, packed, name, "mxl");
        written = written && write_packed(path, text, size);
        free(text);
        if (!written)
            return corpus_fail("a file cannot be written");
    }
    return 0;
}
