/* library_fixture.c - see library_fixture.h. */
#include "tests/unit/library_fixture.h"

#include <fcntl.h>
#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "schema/store.h"

/* --- folders and files ------------------------------------------------- */

char home[64];

void setup_home(void)
{
    strcpy(home, "/tmp/check-library-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(home));
}

static int remove_one(const char *path, const struct stat *info, int type,
                      struct FTW *where)
{
    (void)info;
    (void)type;
    (void)where;
    return remove(path);
}

void teardown_home(void)
{
    nftw(home, remove_one, 16, FTW_DEPTH | FTW_PHYS);
}

const char *in_home(const char *name)
{
    static char paths[8][256];
    static int next;
    char *path = paths[next++ % 8];

    snprintf(path, sizeof paths[0], "%s/%s", home, name);
    return path;
}

void make_folder(const char *name)
{
    ck_assert_int_eq(mkdir(in_home(name), 0777), 0);
}

void write_text(const char *name, const char *text)
{
    FILE *out = fopen(in_home(name), "w");

    ck_assert_msg(out != NULL, "cannot write %s", name);
    fputs(text, out);
    ck_assert_int_eq(fclose(out), 0);
}

static void write_notes(FILE *out, int octave, int notes)
{
    fputs(
        "<measure number='1'><attributes><divisions>2</divisions>"
        "</attributes><harmony><root><root-step>D</root-step></root>"
        "<kind>minor-seventh</kind></harmony>",
        out);
    for (int i = 0; i < notes; i++)
        fprintf(out,
                "<note><pitch><step>%c</step><octave>%d</octave></pitch>"
                "<duration>1</duration></note>",
                "ACDEFG"[i % 6], octave);
    fputs("</measure>", out);
}

void write_solo(const char *name, const char *title, int notes)
{
    FILE *out = fopen(in_home(name), "w");

    ck_assert_msg(out != NULL, "cannot write %s", name);
    fprintf(out,
            "<score-partwise version='4.0'><work><work-title>%s</work-title>"
            "</work><part-list><score-part id='P1'><part-name>Tenor"
            "</part-name></score-part><score-part id='P2'><part-name>Flute"
            "</part-name></score-part></part-list><part id='P1'>",
            title);
    write_notes(out, 4, notes);
    fputs("</part><part id='P2'>", out);
    write_notes(out, 5, notes + 1);
    fputs("</part></score-partwise>", out);
    ck_assert_int_eq(fclose(out), 0);
}

void set_time(const char *name, time_t seconds)
{
    struct timespec times[2] = { { seconds, 0 }, { seconds, 123456789 } };

    ck_assert_int_eq(utimensat(AT_FDCWD, in_home(name), times, 0), 0);
}

bool exists(const char *name)
{
    return access(in_home(name), F_OK) == 0;
}

/* --- runs -------------------------------------------------------------- */

static void add_line(struct said *said, const char *a, const char *b,
                     const char *c)
{
    size_t used = strlen(said->lines);

    snprintf(said->lines + used, sizeof said->lines - used, "%s%s%s\n", a, b,
             c);
}

static void on_unreadable(void *context, const char *path, const char *reason,
                          bool known)
{
    add_line(context, path, known ? " still: " : ": ", reason);
}

static void on_note(void *context, const char *text)
{
    add_line(context, "note: ", text, "");
}

static void on_progress(void *context, size_t done, size_t total,
                        const char *path)
{
    struct said *said = context;

    ck_assert(path && done >= 1 && done <= total);
    if (done == said->stop_after)
        atomic_store(&said->stop, true);
}

struct library_options options_for(struct said *said)
{
    *said = (struct said){ .stop_after = 0 };
    return (struct library_options){
        .jobs = 2,
        .stop = &said->stop,
        .events = { .context = said,
                    .unreadable = on_unreadable,
                    .note = on_note,
                    .progress = on_progress },
    };
}

enum status update_in(const char *library, const char *folder,
                      const struct library_options *options,
                      struct library_counts *counts, struct fault *why)
{
    char a[256], b[256];
    const char *folders[] = { b };

    snprintf(a, sizeof a, "%s/%s", home, library);
    snprintf(b, sizeof b, "%s/%s", home, folder);
    return library_update(a, folders, 1, options, counts, why);
}

void expect_run(int read, int unchanged, int removed, int unreadable)
{
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why = { .message = "" };

    ck_assert_msg(update_in("", "", &options, &c, &why) == ST_OK, "%s",
                  why.message);
    ck_assert_int_eq(c.read, read);
    ck_assert_int_eq(c.unchanged, unchanged);
    ck_assert_int_eq(c.removed, removed);
    ck_assert_int_eq(c.unreadable, unreadable);
}

void expect_fault(const char *library, const char *folder, const char *message)
{
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why = { .message = "" };
    char full[600];

    ck_assert_int_eq(update_in(library, folder, &options, &c, &why), ST_INPUT);
    snprintf(full, sizeof full, message, home);
    ck_assert_str_eq(why.message, full);
}

/* --- what the index holds ---------------------------------------------- */

struct dump {
    FILE *out;
    bool times; /* with sizes and times of files */
};

static bool dump_file(void *context, const struct file_record *file)
{
    struct dump *dump = context;

    fprintf(dump->out, "file %s %s part '%s' '%s'", file->path, file->sha256,
            file->part, file->unreadable);
    if (dump->times)
        fprintf(dump->out, " %lld %lld", (long long)file->size,
                (long long)file->mtime);
    fputc('\n', dump->out);
    return true;
}

static bool dump_solo(void *context, const struct solo_record *s)
{
    struct dump *dump = context;

    fprintf(dump->out, "solo %s '%s' %lld notes %lld chords\n", s->path,
            s->title, (long long)s->notes, (long long)s->chords);
    return true;
}

char *dump_index(const char *library, bool times)
{
    char *text = NULL;
    size_t size = 0;
    struct dump dump = { open_memstream(&text, &size), times };
    struct store *store;
    struct fault why = { .message = "" };

    ck_assert_ptr_nonnull(dump.out);
    ck_assert_msg(
        store_open(&store, in_home(library), STORE_READ, NULL, &why) == ST_OK,
        "%s", why.message);
    ck_assert_int_eq(store_read_begin(store, &why), ST_OK);
    ck_assert_int_eq(store_files(store, dump_file, &dump, &why), ST_OK);
    ck_assert_int_eq(store_solos(store, NULL, dump_solo, &dump, &why), ST_OK);
    store_read_end(store);
    store_close(store);
    ck_assert_int_eq(fclose(dump.out), 0);
    return text;
}

void expect_in_index(const char *text, bool wanted)
{
    char *dump = dump_index("", false);

    ck_assert_msg((strstr(dump, text) != NULL) == wanted, "'%s' in\n%s", text,
                  dump);
    free(dump);
}
