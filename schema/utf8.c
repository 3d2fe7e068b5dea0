/* schema/utf8.c - see utf8.h. */
#include "schema/utf8.h"

/* The number of bytes of a character that starts with LEAD and the bits of
 * its code point that LEAD holds; 0 where LEAD starts none. */
static size_t lead_length(unsigned char lead, uint32_t *bits)
{
    if (lead < 0x80) {
        *bits = lead;
        return 1;
    }
    if (lead >= 0xc2 && lead <= 0xdf) {
        *bits = lead & 0x1fU;
        return 2;
    }
    if (lead >= 0xe0 && lead <= 0xef) {
        *bits = lead & 0x0fU;
        return 3;
    }
    if (lead >= 0xf0 && lead <= 0xf4) {
        *bits = lead & 0x07U;
        return 4;
    }
    return 0;
}

/* Longer than need be, half of a pair of UTF-16, or beyond Unicode. */
static int is_ill_formed(uint32_t code, size_t length)
{
    return (length == 3 && code < 0x800) || (code >= 0xd800 && code < 0xe000) ||
           (length == 4 && (code < 0x10000 || code > 0x10ffff));
}

size_t utf8_next(uint32_t *code, const char *text, size_t len)
{
    const unsigned char *in = (const unsigned char *)text;
    size_t length;

    *code = UTF8_REPLACEMENT;
    if (len == 0)
        return 0;
    length = lead_length(in[0], code);
    if (length == 0 || length > len)
        goto bad;
    for (size_t i = 1; i < length; i++) {
        if ((in[i] & 0xc0U) != 0x80U)
            goto bad;
        *code = *code << 6 | (in[i] & 0x3fU);
    }
    if (!is_ill_formed(*code, length))
        return length;
bad:
    *code = UTF8_REPLACEMENT;
    return 1;
}

size_t utf8_plain(const char *text, size_t len)
{
    size_t count = 0;

    while (count < len && text[count] >= 0x20 && text[count] < 0x7f)
        count++;
    return count;
}
