/* tests/bench/text.c - see text.h. */
#include "tests/bench/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    ZERO = 'W', /* the letter of a repeated note */
    WIDEST = 38,
    NOTES_MAX = 12,
    NGRAM_MIN = 2, /* letters: a cell of three notes */
    NGRAM_MAX = 6, /* and of seven */
    SAMPLE = 1000000 /* letters among which fragments are chosen */
};

int text_letter(int interval)
{
    if (interval > WIDEST)
        interval = WIDEST;
    if (interval < -WIDEST)
        interval = -WIDEST;
    return ZERO + interval;
}

char *text_read(const char *path, size_t *size)
{
    FILE *file = fopen(path, "rb");
    char *text = NULL;
    long length = -1;

    if (file && fseek(file, 0, SEEK_END) == 0)
        length = ftell(file);
    if (length >= 0 && fseek(file, 0, SEEK_SET) == 0)
        text = malloc((size_t)length + 1);
    if (text && fread(text, 1, (size_t)length, file) != (size_t)length) {
        free(text);
        text = NULL;
    }
    if (file)
        fclose(file);
    *size = (size_t)length;
    if (text)
        text[length] = '\0';
    return text;
}

/* --- fragments ------------------------------------------------------------ */

static size_t compared; /* letters that by_letters() looks at */

static int by_letters(const void *a, const void *b)
{
    return memcmp(*(char *const *)a, *(char *const *)b, compared);
}

/* A run of equal fragments in the sorted sample. */
struct run {
    const char *at;
    size_t count;
};

static int most_first(const void *a, const void *b)
{
    const struct run *x = a, *y = b;
    int letters = memcmp(x->at, y->at, compared);

    if (x->count != y->count)
        return x->count > y->count ? -1 : 1;
    return letters;
}

static void print_fragment(const char *name, const char *at, size_t letters,
                           const char *text, size_t size)
{
    size_t count = 0;

    for (const char *from = text;
         (from = memmem(from, size - (size_t)(from - text), at, letters));
         from++)
        count++;
    printf("%s\t%zu\t", name, letters + 1);
    for (size_t i = 0; i < letters; i++)
        printf("%s%+d", i ? " " : "", at[i] - ZERO);
    printf("\t%.*s\t%zu\n", (int)letters, at, count);
}

/* Runs of the fragments at the N places AT, most frequent first. */
static size_t count_runs(struct run *runs, const char **at, size_t n)
{
    size_t count = 0;

    qsort(at, n, sizeof *at, by_letters);
    for (size_t i = 0; i < n; i++) {
        if (count && memcmp(runs[count - 1].at, at[i], compared) == 0) {
            runs[count - 1].count++;
            continue;
        }
        runs[count].at = at[i];
        runs[count++].count = 1;
    }
    qsort(runs, count, sizeof *runs, most_first);
    return count;
}

bool text_fragments(const char *path)
{
    size_t size, n;
    char *text = text_read(path, &size);
    const char **at = malloc(SAMPLE * sizeof *at);
    struct run *runs = malloc(SAMPLE * sizeof *runs);

    if (!text || !at || !runs)
        return false;
    for (size_t notes = 3; notes <= NOTES_MAX; notes++) {
        size_t count;

        compared = notes - 1;
        n = 0;
        for (size_t i = 0; i + compared < size && i < SAMPLE; i++)
            if (!memchr(text + i, '\n', compared))
                at[n++] = text + i;
        count = count_runs(runs, at, n);
        if (count == 0)
            return false;
        print_fragment("frequent", runs[0].at, compared, text, size);
        /* The one that the middle of all places belongs to. */
        for (size_t i = 0, sum = 0; i < count; i++)
            if ((sum += runs[i].count) >= n / 2) {
                print_fragment("middling", runs[i].at, compared, text, size);
                break;
            }
        print_fragment("rare", runs[count - 1].at, compared, text, size);
    }
    free(runs);
    free(at);
    free(text);
    return true;
}

/* --- n-grams ------------------------------------------------------------- */

bool text_ngrams(const char *path, const char *out)
{
    size_t size;
    char *text = text_read(path, &size);
    FILE *file = fopen(out, "wb");
    bool written = text != NULL;

    for (size_t i = 0; text && file && i < size; i++)
        for (size_t length = 1; i + length <= size; length++) {
            if (length > NGRAM_MAX || text[i + length - 1] == '\n')
                break;
            if (length < NGRAM_MIN)
                continue;
            fwrite(text + i, 1, length, file);
            putc('\n', file);
        }
    free(text);
    written = written && file && !ferror(file);
    return file && fclose(file) == 0 && written;
}

/* --- one edit ------------------------------------------------------------- */

static void print_notes(const int *notes, int count)
{
    for (int i = 1; i < count; i++) {
        int step = notes[i] - notes[i - 1];

        if (step < -WIDEST || step > WIDEST)
            return;
    }
    for (int i = 1; i < count; i++)
        putchar(text_letter(notes[i] - notes[i - 1]));
    putchar('\n');
}

/* Every fragment with one note of NOTES at AT given another pitch. */
static void print_changed(int *notes, int count, int at)
{
    int before = notes[at];

    for (int pitch = -WIDEST; pitch <= WIDEST; pitch++) {
        notes[at] = pitch;
        print_notes(notes, count);
    }
    notes[at] = before;
}

bool text_variants(int count, char **steps)
{
    int notes[NOTES_MAX + 1] = { 0 }, other[NOTES_MAX + 1];

    if (count < 2 || count + 1 > NOTES_MAX)
        return false;
    for (int i = 0; i < count; i++)
        notes[i + 1] = notes[i] + atoi(steps[i]);
    count++;
    print_notes(notes, count);
    for (int i = 1; i + 1 < count; i++) {
        print_changed(notes, count, i);
        memcpy(other, notes, sizeof other);
        memmove(other + i, other + i + 1,
                (size_t)(count - i - 1) * sizeof *other);
        print_notes(other, count - 1);
    }
    for (int i = 1; i < count; i++) {
        memcpy(other, notes, sizeof other);
        memmove(other + i + 1, other + i, (size_t)(count - i) * sizeof *other);
        print_changed(other, count + 1, i);
    }
    return true;
}
