/* seeds.c - the seeds that are bytes of ours: zips, solos as the index keeps
 * them, an index, a notebook, intervals.  Made of tests/fuzz/seeds/musicxml,
 * so that they never lag behind a format.
 *
 *     seeds DIR      writes DIR/HARNESS/...
 */
#include <dirent.h>
#include <minizip/zip.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "indexer/form.h"
#include "indexer/musicxml.h"
#include "indexer/phrase.h"
#include "schema/notebook_bank.h"
#include "schema/notebook_list.h"
#include "schema/store.h"

static const char scores[] = "tests/fuzz/seeds/musicxml";
static const char *folder;

static void must(bool good, const char *what)
{
    if (good)
        return;
    fprintf(stderr, "seeds: %s\n", what);
    exit(1);
}

/* DIR/HARNESS/NAME, with its folders.  Borrowed until the next call. */
static const char *place(const char *harness, const char *name)
{
    static char path[2048];

    mkdir(folder, 0777);
    snprintf(path, sizeof path, "%s/%s", folder, harness);
    mkdir(path, 0777);
    snprintf(path, sizeof path, "%s/%s/%s", folder, harness, name);
    return path;
}

static void write_bytes(const char *harness, const char *name,
                        const void *bytes, size_t size)
{
    FILE *out = fopen(place(harness, name), "wb");

    must(out && fwrite(bytes, 1, size, out) == size && fclose(out) == 0,
         "cannot write");
}

/* --- zips ---------------------------------------------------------------- */

static void add_entry(zipFile zip, const char *name, const void *bytes,
                      size_t size, int method)
{
    zip_fileinfo info = { .dosDate = 0 };

    must(zipOpenNewFileInZip(zip, name, &info, NULL, 0, NULL, 0, NULL, method,
                             method ? 6 : 0) == ZIP_OK &&
             zipWriteInFileInZip(zip, bytes, (unsigned)size) == ZIP_OK &&
             zipCloseFileInZip(zip) == ZIP_OK,
         "cannot pack");
}

static void make_zip(const char *name, const struct file_bytes *score,
                     const char *directory, const char *entry, int method)
{
    zipFile zip = zipOpen64(place("container", name), APPEND_STATUS_CREATE);

    must(zip != NULL, "cannot pack");
    if (directory)
        add_entry(zip, "META-INF/container.xml", directory, strlen(directory),
                  method);
    add_entry(zip, "a/cover.txt", "x", 1, 0);
    add_entry(zip, entry, score->bytes, score->size, method);
    must(zipClose(zip, NULL) == ZIP_OK, "cannot pack");
}

static void make_zips(const struct file_bytes *score)
{
    static const char directory[] =
        "<?xml version=\"1.0\"?><container><rootfiles><rootfile "
        "full-path=\"s.xml\"/></rootfiles></container>";

    make_zip("packed.mxl", score, directory, "s.xml", 8);
    make_zip("stored.mxl", score, directory, "s.xml", 0);
    make_zip("no-directory.mxl", score, NULL, "a/s.musicxml", 8);
    make_zip("other-name.mxl", score, directory, "S.XML", 0);
    make_zip("broken-directory.mxl", score, "<container>", "s.xml", 0);
    write_bytes("container", "plain.xml", score->bytes, score->size);
}

/* --- solos --------------------------------------------------------------- */

static struct solo *read_solo(const char *path)
{
    struct fault why = { 0 };
    struct solo *solo = NULL;

    must(musicxml_read_file(&solo, path, NULL, &why) == ST_OK &&
             phrase_mark(solo, &why) == ST_OK && form_find(solo, &why) == ST_OK,
         why.message);
    return solo;
}

static void make_solo(const char *name, const struct solo *solo)
{
    unsigned char *bytes = NULL;
    size_t size = 0;

    must(solo_encode(solo, &bytes, &size, NULL) == ST_OK, "out of memory");
    write_bytes("solo", name, bytes, size);
    free(bytes);
}

/* The text of the tokenizer behind a phrase that stands in it. */
static void make_gram(const char *name, const struct solo *solo)
{
    size_t length, size = solo->note_count * GRAM_UNIT;
    /* A line of two notes is too short for the phrase, which then is none. */
    char *all = calloc(1 + 64 + size + 3 * GRAM_UNIT, 1);

    must(all != NULL, "out of memory");
    gram_text(all + 1 + 64, solo);
    /* The place of two intervals or of all, then two from the next note on. */
    length = (size_t)snprintf(all + 1, 64, "5%cu%c%c /8%cu%c%c 2%c%c", all[65],
                              all[66], all[67], all[65], all[66], all[67],
                              all[65 + GRAM_UNIT], all[65 + 2 * GRAM_UNIT]);
    all[0] = (char)length;
    memmove(all + 1 + length, all + 65, size);
    write_bytes("gram", name, all, 1 + length + size);
    free(all);
}

static void put_solo(struct store *store, const char *name,
                     const struct solo *solo)
{
    struct fault why = { 0 };
    struct file_record file = {
        .path = name, .size = 1000, .mtime = 1, .part = "", .unreadable = ""
    };

    memset(file.sha256, '0' + name[0] % 10, 64);
    must(store_put(store, &file, solo, &why) == ST_OK, why.message);
}

/* --- databases ------------------------------------------------------------ */

/* The database at LIBRARY/.cellar/NAME, in small pages, as a seed of HARNESS.
 */
static void take_database(const char *library, const char *name,
                          const char *harness)
{
    struct file_bytes file;
    char path[300];
    sqlite3 *db;

    snprintf(path, sizeof path, "%s/.cellar/%s", library, name);
    must(sqlite3_open(path, &db) == SQLITE_OK &&
             sqlite3_exec(db,
                          "PRAGMA journal_mode = DELETE;"
                          "PRAGMA page_size = 512; VACUUM",
                          NULL, NULL, NULL) == SQLITE_OK &&
             sqlite3_close(db) == SQLITE_OK,
         "cannot make a database small");
    must(file_bytes_read(&file, path, NULL) == ST_OK, "cannot read");
    write_bytes(harness, "seed", file.bytes, file.size);
    file_bytes_free(&file);
    unlink(path);
}

static void fill_banks(struct notebook *n)
{
    struct kept_cell cells[2] = {
        { .cell = { 4, { -4, -1, -2 }, CHORD_MINOR, 7, "5 b3 2 1", "m7" },
          .given = "5 b3 2 1",
          .note = "slow",
          .origin = "" },
        { .cell = { 3, { 1, 2 }, -1, -1, "", "" },
          .given = "+1 +2",
          .note = "",
          .origin = "" },
    };
    struct listed_cell listed = { cells[0].cell, 3 };
    bool new[2];
    struct fault why = { 0 };

    must(notebook_new_bank(n, "mine", &why) == ST_OK &&
             notebook_add_cells(n, "mine", cells, new, 2, &why) == ST_OK &&
             notebook_put_listing(n, "cellar cells", &listed, 1, &why) == ST_OK,
         why.message);
}

static void make_notebook(const char *library)
{
    struct form_correction form = { { "aa", "a.xml", "A", 7 }, 12, "1" };
    struct list_entry entry = {
        .solo = { "aa", "a.xml", "A", 7 },
        .performer = "Nobody",
        .first_note = 2,
        .bar = "1",
        .midi = { 69, 65, 64 },
        .note_count = 3,
        .notes = "A4 F4 E4",
        .degrees = "5 b3 2",
        .chord = "Dm7",
        .home = "Dm7",
        .relation = "as written",
        .question = "cellar find",
        .remark = "slow",
        .added = 1,
    };
    struct notebook *n;
    struct fault why = { 0 };
    size_t added;

    must(notebook_open(&n, library, NOTEBOOK_WRITE, &why) == ST_OK,
         why.message);
    fill_banks(n);
    must(notebook_put_form(n, &form, &why) == ST_OK &&
             notebook_add_entries(n, "lesson", true, &entry, 1, &added, NULL,
                                  &why) == ST_OK,
         why.message);
    notebook_close(n);
    take_database(library, "notebook.db", "notebook");
}

static void make_of_score(struct store *store, const char *name)
{
    struct fault why = { 0 };
    struct file_bytes score;
    struct solo *solo;
    char path[1024];

    snprintf(path, sizeof path, "%s/%s", scores, name);
    solo = read_solo(path);
    make_solo(name, solo);
    make_gram(name, solo);
    put_solo(store, name, solo);
    solo_free(solo);
    if (strcmp(name, "line.musicxml") != 0)
        return;
    must(file_bytes_read(&score, path, &why) == ST_OK, why.message);
    make_zips(&score);
    file_bytes_free(&score);
}

int main(int argc, char **argv)
{
    char library[] = "/tmp/cellar-seeds-XXXXXX", inner[64];
    struct dirent **entries;
    struct store *store;
    struct fault why = { 0 };
    int count = scandir(scores, &entries, NULL, alphasort);

    must(argc == 2, "usage: seeds DIR");
    must(count > 0, "no scores: run it in the folder of the project");
    must(mkdtemp(library) != NULL, "no folder");
    folder = argv[1];
    must(store_open(&store, library, STORE_WRITE, NULL, &why) == ST_OK &&
             store_begin(store, &why) == ST_OK,
         why.message);
    for (int i = 0; i < count; i++) {
        if (entries[i]->d_name[0] != '.')
            make_of_score(store, entries[i]->d_name);
        free(entries[i]);
    }
    free(entries);
    must(store_commit(store, &why) == ST_OK, why.message);
    store_close(store);
    take_database(library, "index.db", "index");
    make_notebook(library);
    snprintf(inner, sizeof inner, "%s/.cellar", library);
    must(rmdir(inner) == 0 && rmdir(library) == 0, "the folder is not empty");
    return 0;
}
