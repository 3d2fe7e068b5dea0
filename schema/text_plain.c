/* schema/text_plain.c - see text_plain.h. */
#include "schema/text_plain.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

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

char *text_plain(const char *text)
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
