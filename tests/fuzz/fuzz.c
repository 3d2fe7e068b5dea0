/* fuzz.c - see fuzz.h. */
#include "tests/fuzz/fuzz.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

void fuzz_holds(bool holds, const char *what)
{
    if (holds)
        return;
    fprintf(stderr, "does not hold: %s\n", what);
    abort();
}

void fuzz_status(enum status st, const struct fault *why, size_t length)
{
    char safe[sizeof why->message];

    fuzz_holds(st <= ST_NOMEM, "the status is one of bad input");
    if (st == ST_OK)
        return;
    fuzz_holds(st == why->status, "the fault has the status");
    fuzz_holds(why->message[0] != '\0', "a failure says why");
    text_make_safe(safe, sizeof safe, why->message);
    fuzz_holds(strcmp(safe, why->message) == 0, "the reason can be shown");
    fuzz_holds(why->offset >= -1 && why->offset <= (long)length,
               "the reason points into the text");
    fuzz_holds(why->line >= 0, "a line is counted from 1");
}

/* --- solos -------------------------------------------------------------- */

static bool in_bars(const struct solo *solo, int32_t bar)
{
    return bar >= 0 && (size_t)bar < solo->bar_count;
}

static bool in_chords(const struct solo *solo, int32_t chord)
{
    return chord >= SOLO_NO_CHORD && chord < (int32_t)solo->chord_count;
}

static void check_notes(const struct solo *solo)
{
    for (size_t i = 0; i < solo->note_count; i++) {
        const struct note *n = &solo->notes[i];

        fuzz_holds(in_bars(solo, n->bar), "a note is in a bar");
        fuzz_holds(n->start == solo->bars[n->bar].start + n->onset,
                   "a note starts where its bar and onset say");
        fuzz_holds(n->midi <= 127, "a note is a MIDI number");
        fuzz_holds(n->duration >= 0, "a note takes no time back");
        fuzz_holds(in_chords(solo, n->chord) && in_chords(solo, n->heard),
                   "the chords of a note are there");
    }
}

static void check_chords(const struct solo *solo)
{
    for (size_t i = 0; i < solo->chord_count; i++) {
        const struct chord_event *e = &solo->chords[i];

        fuzz_holds(in_bars(solo, e->bar), "a chord is in a bar");
        fuzz_holds(e->takes_effect >= e->onset, "a chord is not early");
        fuzz_holds(e->kind_text && e->function, "a chord has its texts");
        fuzz_holds(e->chord.class < CHORD_CLASSES, "a chord has a class");
        fuzz_holds(strlen(e->chord.symbol) < CHORD_TEXT_SIZE,
                   "a symbol has an end");
        fuzz_holds(e->key >= -1 && e->key < 24, "a chord has a key or none");
    }
}

static void check_bars(const struct solo *solo)
{
    for (size_t i = 0; i < solo->bar_count; i++) {
        const struct bar *b = &solo->bars[i];

        fuzz_holds(b->length >= 0 && b->nominal >= 0, "a bar takes time");
        fuzz_holds(b->number && b->metre, "a bar has its texts");
    }
    for (size_t i = 0; i < solo->play_count; i++)
        fuzz_holds(in_bars(solo, solo->plays[i]), "a bar played is there");
    for (size_t i = 0; i < solo->remark_count; i++)
        fuzz_holds(in_bars(solo, solo->remarks[i].bar) && solo->remarks[i].text,
                   "words stand in a bar");
}

/* What solo_decode() works out must be what the reader worked out. */
static void check_same(const struct solo *a, const struct solo *b)
{
    fuzz_holds(a->note_count == b->note_count &&
                   a->chord_count == b->chord_count &&
                   a->bar_count == b->bar_count,
               "nothing is lost in bytes");
    for (size_t i = 0; i < a->note_count; i++)
        fuzz_holds(a->notes[i].start == b->notes[i].start &&
                       a->notes[i].chord == b->notes[i].chord &&
                       a->notes[i].heard == b->notes[i].heard &&
                       a->notes[i].phrase == b->notes[i].phrase,
                   "a note stands where it stood");
    for (size_t i = 0; i < a->chord_count; i++)
        fuzz_holds(a->chords[i].start == b->chords[i].start &&
                       strcmp(a->chords[i].chord.symbol,
                              b->chords[i].chord.symbol) == 0,
                   "a chord stands where it stood");
}

static void check_bytes(const struct solo *solo)
{
    unsigned char *bytes = NULL, *again = NULL;
    size_t size = 0, size_again = 0;
    struct solo *back = NULL;
    struct fault why = { 0 };

    fuzz_holds(solo_encode(solo, &bytes, &size, &why) == ST_OK,
               "a solo becomes bytes");
    fuzz_holds(solo_decode(&back, bytes, size, &why) == ST_OK,
               "bytes become a solo");
    fuzz_holds(solo_encode(back, &again, &size_again, &why) == ST_OK &&
                   size == size_again && memcmp(bytes, again, size) == 0,
               "the solo is the same as before");
    check_same(solo, back);
    solo_free(back);
    free(bytes);
    free(again);
}

void fuzz_solo(const struct solo *solo)
{
    fuzz_holds(solo->ticks > 0, "time has a unit");
    fuzz_holds(solo->title && solo->performer && solo->metre,
               "a solo has its texts");
    check_bars(solo);
    check_chords(solo);
    check_notes(solo);
    check_bytes(solo);
}

/* --- lines -------------------------------------------------------------- */

char *fuzz_lines(const char **out, size_t count, const uint8_t *data,
                 size_t size)
{
    char *text = malloc(size + 1), *at = text;

    fuzz_holds(text != NULL, "there is memory");
    memcpy(text, data, size);
    text[size] = '\0';
    for (size_t i = 0; i < count; i++) {
        char *end = NULL;

        out[i] = at;
        if (at && i + 1 < count)
            end = memchr(at, '\n', (size_t)(text + size - at));
        if (end)
            *end++ = '\0';
        at = end;
    }
    return text;
}

/* --- a library ---------------------------------------------------------- */

static char library[64], place[80];

static void empty_place(void)
{
    DIR *dir = opendir(place);
    const struct dirent *entry;
    char path[512];

    while (dir && (entry = readdir(dir)) != NULL) {
        snprintf(path, sizeof path, "%s/%s", place, entry->d_name);
        if (entry->d_name[0] != '.')
            unlink(path);
    }
    if (dir)
        closedir(dir);
}

static void remove_library(void)
{
    empty_place();
    rmdir(place);
    rmdir(library);
}

const char *fuzz_library(void)
{
    if (library[0])
        return library;
    snprintf(library, sizeof library, "%s/cellar-fuzz-XXXXXX",
             access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    fuzz_holds(mkdtemp(library) != NULL, "a folder can be made");
    snprintf(place, sizeof place, "%s/.cellar", library);
    fuzz_holds(mkdir(place, 0700) == 0, "a folder can be made");
    atexit(remove_library);
    return library;
}

void fuzz_library_fill(const char *name, const uint8_t *data, size_t size)
{
    char path[512];
    FILE *out;

    fuzz_library();
    empty_place();
    snprintf(path, sizeof path, "%s/%s", place, name);
    out = fopen(path, "wb");
    fuzz_holds(out && fwrite(data, 1, size, out) == size && !fclose(out),
               "a file can be written");
}
