/* schema/store_name.c - which solo does the user mean? */
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "schema/store_internal.h"
#include "schema/utf8.h"

/* U+00C0..U+017F without accent and in lower case; '*' where the letter falls
 * apart into two, '.' where it stays as it is.  (Unicode Character Database,
 * the canonical decompositions of Latin-1 Supplement and Latin Extended-A,
 * and the usual way to write letters that have none.) */
static const char plain_letters[] =
    "aaaaaa*ceeeeiiii" /* C0 */
    "dnooooo.ouuuuy**" /* D0 */
    "aaaaaa*ceeeeiiii" /* E0 */
    "dnooooo.ouuuuy*y" /* F0 */
    "aaaaaaccccccccdd" /* 100 */
    "ddeeeeeeeeeegggg" /* 110 */
    "gggghhhhiiiiiiii" /* 120 */
    "ii**jjkkklllllll" /* 130 */
    "lllnnnnnnnnnoooo" /* 140 */
    "oo**rrrrrrssssss" /* 150 */
    "ssttttttuuuuuuuu" /* 160 */
    "uuuuwwyyyzzzzzzs" /* 170 */;

struct two_letters {
    unsigned int code;
    char plain[3];
};

static const struct two_letters pairs[] = {
    { 0xC6, "ae" },  { 0xDE, "th" },  { 0xDF, "ss" },  { 0xE6, "ae" },
    { 0xFE, "th" },  { 0x132, "ij" }, { 0x133, "ij" }, { 0x152, "oe" },
    { 0x153, "oe" }, { 0, "" }
};

/* Write the plain form of CODE, which stands as LEN bytes at IN, to AT;
 * returns what follows it.  It never takes more bytes than before. */
static char *plain_letter(char *at, uint32_t code, const char *in, size_t len)
{
    char letter = code >= 0xC0 && code < 0x180 ? plain_letters[code - 0xC0]
                                               : '.';
    const struct two_letters *pair = pairs;

    if (code >= 0x300 && code < 0x370) /* combining accents */
        return at;
    if (code < 0x80) {
        *at = (char)tolower((int)code);
        return at + 1;
    }
    if (letter == '*') {
        while (pair->code && pair->code != code)
            pair++;
        in = pair->plain;
        len = 2;
    } else if (letter != '.') {
        in = &letter;
        len = 1;
    }
    memcpy(at, in, len);
    return at + len;
}

/* TEXT in lower case and without accents.  The caller owns it; NULL when
 * memory is out. */
static char *text_plain(const char *text)
{
    size_t len = strlen(text), read;
    char *out = malloc(len + 1);
    char *at = out;
    uint32_t code;

    if (!out)
        return NULL;
    for (; (read = utf8_next(&code, text, len)) > 0; len -= read) {
        at = plain_letter(at, code, text, read);
        text += read;
    }
    *at = '\0';
    return out;
}

/* A search for a name among all solos. */
struct search {
    const char *name;
    char *plain;    /* NAME in lower case, without accents */
    bool part;      /* a part of the path or title will do */
    bool any, more; /* something was found; the user wants more */
    bool nomem;
    store_solo_each each;
    void *context;
};

static bool is_meant(struct search *s, const struct solo_record *solo)
{
    char *title = text_plain(solo->title);
    char *path = text_plain(solo->path);
    bool meant = false;

    if (!title || !path)
        s->nomem = true;
    else if (s->part)
        meant = strstr(title, s->plain) || strstr(path, s->plain);
    else
        meant = strcmp(title, s->plain) == 0 ||
                strcmp(solo->path, s->name) == 0;
    free(title);
    free(path);
    return meant;
}

static bool consider(void *context, const struct solo_record *solo)
{
    struct search *s = context;

    if (is_meant(s, solo)) {
        s->any = true;
        s->more = s->each(s->context, solo);
    }
    return s->more && !s->nomem;
}

enum status store_find_name(struct store *store, const char *name,
                            store_solo_each each, void *context,
                            struct fault *why)
{
    struct search s = { .name = name, .plain = text_plain(name),
                        .more = true, .each = each, .context = context };
    enum status st = ST_OK;

    if (!s.plain)
        return fault_nomem(why);
    /* Every path contains the empty text, but nobody means all of them. */
    if (s.plain[0] != '\0')
        st = store_solos(store, NULL, consider, &s, why);
    if (st == ST_OK && !s.any && s.plain[0] != '\0') {
        s.part = true;
        st = store_solos(store, NULL, consider, &s, why);
    }
    free(s.plain);
    if (st == ST_OK && s.nomem)
        return fault_nomem(why);
    return st;
}
