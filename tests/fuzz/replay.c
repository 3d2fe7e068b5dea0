/* replay.c - give files to a harness, without libFuzzer: each argument is a
 * file, or a folder of files.  Ends with "N files"; where something does not
 * hold, the file is named before the program ends. */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "tests/fuzz/fuzz.h"

static int replay_file(const char *path)
{
    FILE *in = fopen(path, "rb");
    struct stat info;
    uint8_t *bytes;
    size_t size;

    if (!in || fstat(fileno(in), &info) != 0)
        return perror(path), 1;
    size = (size_t)info.st_size;
    /* Of its own size, so that a byte too far is seen. */
    bytes = malloc(size ? size : 1);
    if (!bytes || fread(bytes, 1, size, in) != size)
        return perror(path), 1;
    fclose(in);
    /* Said before, as the harness may not come back. */
    printf("%s\n", path);
    fflush(stdout);
    LLVMFuzzerTestOneInput(bytes, size);
    free(bytes);
    return 0;
}

static int replay_folder(const char *folder, long *files)
{
    struct dirent **entries;
    int count = scandir(folder, &entries, NULL, alphasort), bad = 0;

    if (count < 0)
        return perror(folder), 1;
    for (int i = 0; i < count; i++) {
        char path[4096];

        snprintf(path, sizeof path, "%s/%s", folder, entries[i]->d_name);
        if (entries[i]->d_name[0] != '.') {
            bad |= replay_file(path);
            ++*files;
        }
        free(entries[i]);
    }
    free(entries);
    return bad;
}

int main(int argc, char **argv)
{
    long files = 0;
    int bad = 0;

    for (int i = 1; i < argc; i++) {
        struct stat info;

        if (stat(argv[i], &info) == 0 && S_ISDIR(info.st_mode)) {
            bad |= replay_folder(argv[i], &files);
        } else {
            bad |= replay_file(argv[i]);
            files++;
        }
    }
    printf("%ld files\n", files);
    return bad;
}
