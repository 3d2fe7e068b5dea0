/* indexer/marks.c - see marks.h. */
#include "indexer/marks.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

enum {
    TEXT_SIZE = 40 /* a mark of the form is short */
};

/* --- words ---------------------------------------------------------------- */

/* TEXT in small letters, without brackets, colons and the like, blanks made
 * one; "" where it is too long for a mark. */
static void simplify(char out[TEXT_SIZE], const char *text)
{
    size_t n = 0;
    bool blank = false;

    for (; *text; text++) {
        unsigned char c = (unsigned char)*text;

        if (isspace(c) || strchr("[](){}:.,-_\"#", c)) {
            blank = n > 0;
            continue;
        }
        if (n + 2 >= TEXT_SIZE) {
            out[0] = '\0';
            return;
        }
        if (blank)
            out[n++] = ' ';
        blank = false;
        out[n++] = (char)(c < 128 ? tolower(c) : c);
    }
    out[n] = '\0';
}

/* "2", "2nd", "two", "second"; 0 where WORD is no such thing. */
static int32_t number_in(const char *word, size_t len)
{
    static const char *const words[][2] = {
        { "one", "first" },   { "two", "second" },    { "three", "third" },
        { "four", "fourth" }, { "five", "fifth" },    { "six", "sixth" },
        { "seven", "seventh" }, { "eight", "eighth" },
    };
    int32_t value = 0;
    size_t i = 0;

    for (; i < len && isdigit((unsigned char)word[i]) && i < 3; i++)
        value = value * 10 + (word[i] - '0');
    if (i > 0)
        return i == len || len == i + 2 ? value : 0;
    for (size_t k = 0; k < sizeof words / sizeof *words; k++)
        for (int form = 0; form < 2; form++)
            if (strlen(words[k][form]) == len &&
                memcmp(words[k][form], word, len) == 0)
                return (int32_t)k + 1;
    return 0;
}

static bool has_word(const char *text, const char *word)
{
    size_t len = strlen(word);

    for (const char *at = strstr(text, word); at; at = strstr(at + 1, word))
        if ((at == text || at[-1] == ' ') &&
            (at[len] == '\0' || at[len] == ' ' ||
             isdigit((unsigned char)at[len])))
            return true;
    return false;
}

static int32_t number_of_chorus(const char *text)
{
    for (const char *at = text; *at;) {
        size_t len = strcspn(at, " ");
        int32_t number = number_in(at, len);

        if (number == 0 && len > 6 && strncmp(at, "chorus", 6) == 0)
            number = number_in(at + 6, len - 6);
        if (number > 0)
            return number;
        at += len;
        at += *at == ' ';
    }
    return MARKS_CHORUS_WEAK;
}

static bool is_one_of(const char *text, const char *const *words)
{
    for (; *words; words++)
        if (has_word(text, *words))
            return true;
    return false;
}

static const char *const jump_words[] = { "to", "al", "d", "dc", "ds", "da",
                                          "dal", "fine", NULL };
static const char *const intro_words[] = { "intro", "introduction", NULL };
static const char *const coda_words[] = { "coda", "tag", "outro", "ending",
                                          NULL };
static const char *const start_words[] = { "chorus", "solo", "solos", "head",
                                           "theme", "refrain", NULL };
static const char *const part_words[] = { "interlude", "bridge", "verse",
                                          "trio", "vamp", "break", NULL };

/* What words say; also of rehearsal marks that are words. */
static void read_words(struct mark *mark, const char *words)
{
    char text[TEXT_SIZE];

    simplify(text, words);
    if (is_one_of(text, jump_words))
        return;
    if (is_one_of(text, intro_words))
        mark->intro = true;
    else if (is_one_of(text, coda_words))
        mark->coda = true;
    else if (has_word(text, "chorus"))
        mark->chorus = number_of_chorus(text);
    else if (is_one_of(text, start_words) && mark->chorus == 0)
        mark->chorus = MARKS_CHORUS_WEAK;
    else if (is_one_of(text, part_words))
        mark->boundary = true;
}

/* --- rehearsal marks ------------------------------------------------------ */

/* "A", "A2", "B'", "section A", "C C": the letter; 0 for other marks. */
static char section_letter(const char *text)
{
    char letter;

    if (strncmp(text, "section ", 8) == 0)
        text += 8;
    letter = *text;
    if (!islower((unsigned char)letter))
        return 0;
    text++;
    /* Digits, primes (also the Unicode ones) and repeats of the letter. */
    while (isdigit((unsigned char)*text) || *text == '\'' || *text == ' ' ||
           (unsigned char)*text >= 128)
        text++;
    return *text ? 0 : letter;
}

/* A number on its own that is not the number of the bar. */
static int32_t own_number(const char *text, const char *bar)
{
    size_t len = strlen(text);

    if (len == 0 || len > 3 || strspn(text, "0123456789") != len ||
        strcmp(text, bar) == 0)
        return 0;
    return number_in(text, len);
}

static void read_rehearsal(struct mark *mark, const struct bar *bar,
                           int32_t *number)
{
    char text[TEXT_SIZE];
    char letter;

    simplify(text, bar->rehearsal);
    letter = section_letter(text);
    *number = own_number(text, bar->number);
    if (letter) {
        mark->letter[0] = (char)toupper((unsigned char)letter);
        mark->letter[1] = '\0';
    } else {
        read_words(mark, bar->rehearsal);
    }
    mark->boundary = true;
}

/* --- bars ----------------------------------------------------------------- */

static bool is_boundary(const struct grid *grid, int32_t index)
{
    const struct bar *bars = grid->solo->bars;
    const struct grid_bar *now = &grid->bars[index];
    const struct bar *bar = &bars[now->bar], *before;

    if (index == 0)
        return false;
    before = &bars[grid->solo->plays[now->play - 1]];
    return (before->barlines & (BARLINE_DOUBLE | BARLINE_REPEAT_END)) ||
           (bar->barlines & BARLINE_REPEAT_START) ||
           now->bar <= grid->solo->plays[now->play - 1] ||
           bar->fifths != before->fifths ||
           strcmp(bar->metre, before->metre) != 0;
}

/* Words stand in a written bar; find the bars as played. */
static void read_remarks(struct marks *marks, const struct grid *grid,
                         struct mark *written)
{
    const struct solo *solo = grid->solo;

    for (size_t i = 0; i < solo->remark_count; i++) {
        const struct remark *remark = &solo->remarks[i];
        const char *mark = solo->bars[remark->bar].rehearsal;

        if (!mark || strcmp(mark, remark->text) != 0)
            read_words(&written[remark->bar], remark->text);
    }
    for (int32_t i = 0; i < grid->count; i++)
        marks->at[i] = written[grid->bars[i].bar];
}

/* Numbers 1, 2, 3 ... at one distance of at least eight bars count
 * choruses. */
static void use_numbers(struct marks *marks, const int32_t *numbers)
{
    int32_t next = 1, last = -1, distance = 0;

    for (int32_t i = 0; i < marks->count; i++) {
        if (numbers[i] == 0)
            continue;
        if (numbers[i] != next++)
            return;
        if (last >= 0 && distance > 0 && i - last != distance)
            return;
        if (last >= 0)
            distance = i - last;
        last = i;
    }
    if (next <= 2 || distance < 8)
        return;
    for (int32_t i = 0; i < marks->count; i++)
        if (numbers[i])
            marks->at[i].chorus = numbers[i];
}

/* A mark over the pickup means the bar after it; also over one that is written
 * as a whole bar, without a chord. */
static void leave_pickup(struct marks *marks, const struct grid *grid)
{
    struct mark *pickup = marks->at, *bar = &marks->at[1];

    if (grid->count < 2 || pickup->intro ||
        (grid->first != 1 && (!grid_is_silent(&grid->bars[0]) ||
                              grid_is_silent(&grid->bars[1]))))
        return;
    if (!*pickup->letter && pickup->chorus == 0)
        return;
    if (!*bar->letter && bar->chorus == 0 && !bar->intro) {
        *bar = *pickup;
        bar->boundary = true;
    }
    memset(pickup, 0, sizeof *pickup);
}

static void summarise(struct marks *marks)
{
    bool seen[256] = { false };

    marks->letters_differ = true;
    marks->coda = marks->count;
    marks->after_intro = -1;
    for (int32_t i = 0; i < marks->count; i++) {
        const struct mark *mark = &marks->at[i];
        unsigned char letter = (unsigned char)mark->letter[0];
        bool any = letter || mark->chorus || mark->boundary;

        if (marks->after_intro == -2 && any && !mark->intro)
            marks->after_intro = i;
        if (mark->intro && marks->after_intro == -1)
            marks->after_intro = -2;
        if (mark->coda && i * 2 > marks->count)
            marks->coda = i;
        if (letter && seen[letter])
            marks->letters_differ = false;
        seen[letter] = true;
        marks->letters += letter != 0;
        marks->choruses += mark->chorus > 0;
        marks->boundaries += mark->boundary;
    }
    if (marks->after_intro == -2)
        marks->after_intro = -1;
}

enum status marks_read(struct marks *out, const struct grid *grid,
                       struct fault *why)
{
    const struct solo *solo = grid->solo;
    struct mark *written = calloc(solo->bar_count + 1, sizeof *written);
    int32_t *numbers = calloc((size_t)grid->count + 1, sizeof *numbers);
    bool nomem;

    memset(out, 0, sizeof *out);
    out->count = grid->count;
    out->at = calloc((size_t)grid->count + 1, sizeof *out->at);
    if (written && numbers && out->at) {
        read_remarks(out, grid, written);
        for (int32_t i = 0; i < grid->count; i++) {
            const struct bar *bar = &solo->bars[grid->bars[i].bar];

            if (bar->rehearsal)
                read_rehearsal(&out->at[i], bar, &numbers[i]);
            out->at[i].boundary |= is_boundary(grid, i);
        }
        use_numbers(out, numbers);
        leave_pickup(out, grid);
        summarise(out);
    }
    nomem = !written || !numbers || !out->at;
    free(written);
    free(numbers);
    return nomem ? fault_nomem(why) : ST_OK;
}

void marks_free(struct marks *marks)
{
    free(marks->at);
    memset(marks, 0, sizeof *marks);
}
