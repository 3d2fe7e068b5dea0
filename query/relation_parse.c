/* query/relation_parse.c - what `--relation` takes. */
#include <stdio.h>
#include <string.h>

#include "query/relation.h"

enum {
    SHOWN_MAX = 40,
    NEAREST_MAX = 3,
    WORDS_MAX = 16,
    SAME_LETTERS = 4
};

static const char separators[] = " \t\r\n\f\v-',";

/* Signs that word processors put in place of plain ones. */
static const char *const typographic[][2] = {
    { "\xe2\x80\x99", "" },  /* apostrophe */
    { "\xe2\x99\xad", "b" }, /* flat */
    { "\xe2\x99\xaf", "#" }, /* sharp */
};

/* The byte or bytes at TEXT that a comparison sees, and in *READ how many
 * they stand for. */
static char plain_byte(const char *text, size_t len, size_t *read)
{
    for (size_t i = 0; i < sizeof typographic / sizeof *typographic; i++) {
        size_t length = strlen(typographic[i][0]);

        *read = length;
        if (len >= length && memcmp(text, typographic[i][0], length) == 0)
            return typographic[i][1][0];
    }
    *read = 1;
    if (*text >= 'A' && *text <= 'Z')
        return (char)(*text - 'A' + 'a');
    return *text && strchr(separators, *text) ? '\0' : *text;
}

/* Whether TEXT says NAME, separators and case aside. */
static bool says(const char *text, size_t len, const char *name)
{
    size_t left = strlen(name), read;

    while (len > 0 || left > 0) {
        char a = '\0', b = '\0';

        for (; len > 0 && !a; text += read, len -= read)
            a = plain_byte(text, len, &read);
        for (; left > 0 && !b; name += read, left -= read)
            b = plain_byte(name, left, &read);
        if (a != b)
            return false;
    }
    return true;
}

static bool parse_title(struct relation_choice *out, const char *text,
                        size_t len)
{
    char title[RELATION_TEXT_SIZE];

    for (int key = 0; key < RELATION_KEYS; key++) {
        if (!says(text, len, relation_title(title, sizeof title, key)))
            continue;
        out->relation = relation_of_key(key);
        out->key = out->relation == RELATION_OTHER ? key : -1;
        return true;
    }
    return false;
}

/* A word of a text: LENGTH bytes at START. */
struct word {
    const char *start;
    size_t length;
};

static size_t split(struct word out[WORDS_MAX], const char *text, size_t len)
{
    size_t count = 0, at = 0;

    while (count < WORDS_MAX) {
        size_t from;

        while (at < len && (!text[at] || strchr(separators, text[at])))
            at++;
        if (at == len)
            break;
        from = at;
        while (at < len && text[at] && !strchr(separators, text[at]))
            at++;
        out[count++] = (struct word){ text + from, at - from };
    }
    return count;
}

/* How near two words are: 4 the same, 3 begun alike, 0 otherwise. */
static int likeness(struct word a, struct word b)
{
    size_t length = a.length < b.length ? a.length : b.length, same = 0, read;

    while (same < length && plain_byte(a.start + same, 1, &read) ==
                                plain_byte(b.start + same, 1, &read))
        same++;
    if (same == a.length && same == b.length)
        return 4;
    return same >= SAME_LETTERS || (same == a.length && same > 2) ? 3 : 0;
}

/* How near TEXT comes to NAME: what its words, the article aside, find
 * there. */
static int nearness(const char *text, size_t len, const char *name)
{
    struct word asked[WORDS_MAX], own[WORDS_MAX];
    size_t count = split(asked, text, len);
    size_t of_name = split(own, name, strlen(name));
    int sum = 0;

    for (size_t i = 0; i < count; i++) {
        int best = 0;

        if (asked[i].length == 1 && asked[i].start[0] == 'a')
            continue;
        for (size_t k = 0; k < of_name; k++) {
            int like = likeness(asked[i], own[k]);

            if (like > best)
                best = like;
        }
        sum += best;
    }
    return sum;
}

/* Append NAME to the list OUT of SIZE bytes. */
static void put_name(char *out, size_t size, const char *name)
{
    size_t used = strlen(out);

    snprintf(out + used, size - used, "%s%s", used ? ", " : "", name);
}

/* The names nearest to TEXT, best first, or all of them. */
static void list_names(char *out, size_t size, const char *text, size_t len)
{
    int score[RELATION_COUNT], listed = 0;

    out[0] = '\0';
    for (int i = 0; i < RELATION_COUNT; i++)
        score[i] = nearness(text, len, relation_name((enum relation)i));
    for (; listed < NEAREST_MAX; listed++) {
        int best = 0;

        for (int i = 1; i < RELATION_COUNT; i++)
            if (score[i] > score[best])
                best = i;
        if (score[best] == 0)
            break;
        put_name(out, size, relation_name((enum relation)best));
        score[best] = 0;
    }
    for (int i = 0; listed == 0 && i < RELATION_COUNT; i++)
        put_name(out, size, relation_name((enum relation)i));
}

enum status relation_parse(struct relation_choice *out, const char *text,
                           size_t len, struct fault *why)
{
    char names[RELATION_TEXT_SIZE];
    int shown = (int)(len < SHOWN_MAX ? len : SHOWN_MAX);

    out->key = -1;
    for (int i = 0; i < RELATION_COUNT; i++) {
        out->relation = (enum relation)i;
        if (says(text, len, relation_name(out->relation)) ||
            (i != RELATION_OTHER &&
             says(text, len, relation_phrase(out->relation))))
            return ST_OK;
    }
    if (parse_title(out, text, len))
        return ST_OK;
    list_names(names, sizeof names, text, len);
    return fault_at(why, ST_SYNTAX, 0,
                    "'%.*s%s' is no relation; write one of: %s", shown, text,
                    len > SHOWN_MAX ? "..." : "", names);
}
