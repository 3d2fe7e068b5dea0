/* An .mxl is a zip archive with a first entry "mimetype", an entry
 * META-INF/container.xml that names the score, and the score (MusicXML 4.0,
 * "Compressed .mxl files"). */
#include "tests/demo/pack.h"

#include <minizip/zip.h>
#include <stdio.h>
#include <string.h>
#include <zlib.h>

static const char mimetype[] = "application/vnd.recordare.musicxml";

bool pack_plain(const char *path, const void *bytes, size_t len)
{
    FILE *file = fopen(path, "wb");
    bool done;

    if (!file)
        return false;
    done = fwrite(bytes, 1, len, file) == len;
    return fclose(file) == 0 && done;
}

static bool add_entry(zipFile zip, const char *name, const void *bytes,
                      size_t len, bool stored)
{
    zip_fileinfo info;
    bool done;

    /* One fixed date, 1 January 2000, keeps the archive reproducible. */
    memset(&info, 0, sizeof info);
    info.tmz_date.tm_year = 2000;
    info.tmz_date.tm_mday = 1;
    if (zipOpenNewFileInZip(zip, name, &info, NULL, 0, NULL, 0, NULL,
                            stored ? 0 : Z_DEFLATED, stored ? 0 : 9)
        != ZIP_OK)
        return false;
    done = zipWriteInFileInZip(zip, bytes, (unsigned)len) == ZIP_OK;
    return zipCloseFileInZip(zip) == ZIP_OK && done;
}

bool pack_mxl(const char *path, const char *name, const void *bytes,
              size_t len, bool stored)
{
    char container[512];
    zipFile zip = zipOpen(path, APPEND_STATUS_CREATE);
    bool done;
    int n;

    if (!zip)
        return false;
    n = snprintf(container, sizeof container,
                 "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                 "<container>\n <rootfiles>\n"
                 "  <rootfile full-path=\"%s\"\n   media-type="
                 "\"application/vnd.recordare.musicxml+xml\"/>\n"
                 " </rootfiles>\n</container>\n", name);
    done = add_entry(zip, "mimetype", mimetype, strlen(mimetype), true)
        && add_entry(zip, "META-INF/container.xml", container, (size_t)n,
                     stored)
        && add_entry(zip, name, bytes, len, stored);
    return zipClose(zip, NULL) == ZIP_OK && done;
}
