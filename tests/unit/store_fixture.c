/* store_fixture.c - libraries in temporary folders, for tests of the store. */
#include "tests/unit/store_fixture.h"

#include <check.h>
#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "schema/gram.h"
#include "tests/unit/find_fixture.h"

void must(enum status st, const struct fault *why)
{
    ck_assert_msg(st == ST_OK, "status %d: %s", (int)st, why->message);
}

void folder_make(char folder[FOLDER_SIZE])
{
    strcpy(folder, "/tmp/cellar-store-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    ck_assert_int_eq(chmod(folder, 0755), 0);
}

static int remove_entry(const char *path, const struct stat *info, int type,
                        struct FTW *place)
{
    (void)info;
    (void)type;
    (void)place;
    return remove(path);
}

void folder_remove(const char *folder)
{
    nftw(folder, remove_entry, 8, FTW_DEPTH | FTW_PHYS);
}

struct store *store_must_open(const char *folder, enum store_mode mode)
{
    struct store *store;
    struct fault why = { 0 };

    must(store_open(&store, folder, mode, NULL, &why), &why);
    return store;
}

void store_must_put(struct store *store, const char *path, struct solo *solo)
{
    struct file_record file = { 0 };
    struct fault why = { 0 };

    file.path = path;
    file.size = 1000 + (int64_t)strlen(path);
    file.mtime = 1700000000123456789;
    snprintf(file.sha256, sizeof file.sha256, "%064zx", strlen(path));
    file.part = "Melody";
    file.unreadable = solo ? "" : "line 3: not a score";
    must(store_put(store, &file, solo, &why), &why);
    solo_free(solo);
}

void store_make_index(const char *folder, int count)
{
    struct store *store = store_must_open(folder, STORE_WRITE);
    struct fault why = { 0 };
    char path[24];

    must(store_begin(store, &why), &why);
    for (int i = 0; i < count; i++) {
        snprintf(path, sizeof path, "%d.xml", i);
        store_must_put(store, path,
                       fixture_solo("Ada", "[Dm7] A4 F4 E4 D4"));
    }
    must(store_commit(store, &why), &why);
    store_close(store);
}

struct paths {
    char text[4000];
    size_t used;
};

static bool add_path(void *context, const struct solo_record *solo)
{
    struct paths *p = context;

    ck_assert_uint_lt(p->used + strlen(solo->path) + 2, sizeof p->text);
    p->used += (size_t)sprintf(p->text + p->used, "%s%s",
                               p->used ? " " : "", solo->path);
    return true;
}

const char *store_paths(struct store *store, const struct filter *filter)
{
    static struct paths p;
    struct fault why = { 0 };

    p.text[0] = '\0';
    p.used = 0;
    must(store_solos(store, filter, add_path, &p, &why), &why);
    return p.text;
}

struct id_of {
    const char *path;
    int64_t id;
};

static bool match_path(void *context, const struct file_record *file)
{
    struct id_of *wanted = context;

    if (strcmp(file->path, wanted->path) == 0)
        wanted->id = file->id;
    return wanted->id == 0;
}

int64_t store_file_id(struct store *store, const char *path)
{
    struct id_of wanted = { path, 0 };
    struct fault why = { 0 };

    must(store_files(store, match_path, &wanted, &why), &why);
    return wanted.id;
}

static bool add_count(void *context, const struct stretch *solo,
                      const uint32_t *places, size_t count)
{
    (void)solo;
    (void)places;
    *(size_t *)context += count;
    return true;
}

size_t store_count(struct store *store, const int *intervals, size_t n)
{
    struct gram grams[GRAM_QUESTION_MAX];
    struct fault why = { 0 };
    size_t count = 0;

    gram_question(grams, intervals, n, NULL);
    must(store_places(store, grams, 1, NULL, add_count, &count, &why), &why);
    return count;
}
