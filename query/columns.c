/* query/columns.c - see columns.h. */
#include "query/columns.h"

#include <langinfo.h>
#include <locale.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>
#include <wchar.h>

#include "schema/status.h"
#include "schema/utf8.h"

enum {
    /* Longer text is cut; a path has at most 4096 bytes. */
    TEXT_SIZE = 4352,
    /* The narrowest column in which wrapping makes sense. */
    WRAP_MIN = 20
};

/* U+2026, one column wide. */
static const char ellipsis[] = "\xe2\x80\xa6";

/* Widths are known by the character type of the process: the user's locale
 * where it is UTF-8, else C.UTF-8.  To load it takes as long as to load the C
 * library. */
static void know_widths(void)
{
    static bool known;

    if (known)
        return;
    known = true;
    if (setlocale(LC_CTYPE, "") == NULL ||
        strcmp(nl_langinfo(CODESET), "UTF-8") != 0)
        setlocale(LC_CTYPE, "C.UTF-8");
}

/* Letters with accents and the marks that stand in most answers take one
 * column, as ASCII does: Latin-1 Supplement and Latin Extended-A, dashes,
 * quotation marks, ellipsis, flat and sharp. */
static bool is_narrow(uint32_t code)
{
    return code < 0x7f || (code >= 0xa0 && code < 0x180) ||
           (code >= 0x2010 && code < 0x2027) || code == 0x266d ||
           code == 0x266f;
}

static int code_width(uint32_t code)
{
    int width;

    if (is_narrow(code))
        return 1;
    know_widths();
    width = wcwidth((wchar_t)code);
    /* A character newer than the C library: most are one column wide. */
    return width < 0 ? 1 : width;
}

/* The columns of LEN bytes of harmless text. */
static int safe_width(const char *text, size_t len)
{
    int width = 0;

    while (len > 0) {
        size_t used = utf8_plain(text, len);
        uint32_t code;

        width += (int)used;
        if (used == 0) {
            used = utf8_next(&code, text, len);
            width += code_width(code);
        }
        text += used;
        len -= used;
    }
    return width;
}

int columns_width(const char *text)
{
    char safe[TEXT_SIZE];

    text_make_safe(safe, sizeof safe, text);
    return safe_width(safe, strlen(safe));
}

/* The bytes at the start of TEXT that take at most WIDTH columns, with the
 * marks that belong to the last of them. */
static size_t bytes_within(const char *text, int width)
{
    size_t left = strlen(text), taken = 0;

    while (left > 0) {
        uint32_t code;
        size_t used = utf8_next(&code, text + taken, left);
        int wide = code_width(code);

        if (wide > width)
            break;
        width -= wide;
        taken += used;
        left -= used;
    }
    return taken;
}

/* The end of TEXT that takes at most WIDTH columns; it does not start with a
 * mark that belongs to what was cut. */
static const char *tail_within(const char *text, int width)
{
    size_t left = strlen(text);
    int wide = safe_width(text, left);

    while (left > 0) {
        uint32_t code;
        size_t used = utf8_next(&code, text, left);

        if (wide <= width && code_width(code) > 0)
            break;
        wide -= code_width(code);
        text += used;
        left -= used;
    }
    return text;
}

static void pad(FILE *out, int blanks)
{
    if (blanks > 0)
        fprintf(out, "%*s", blanks, "");
}

void columns_put(FILE *out, const char *text, int width,
                 enum columns_align align)
{
    char safe[TEXT_SIZE];
    const char *shown = safe;
    size_t bytes;
    int wide;
    bool cut;

    if (width <= 0)
        return;
    text_make_safe(safe, sizeof safe, text);
    wide = safe_width(safe, strlen(safe));
    cut = wide > width;
    if (cut && align == COLUMNS_TAIL)
        shown = tail_within(safe, width - 1);
    bytes = cut ? bytes_within(shown, width - 1) : strlen(shown);
    wide = safe_width(shown, bytes) + cut;
    if (align == COLUMNS_RIGHT)
        pad(out, width - wide);
    if (cut && align == COLUMNS_TAIL)
        fputs(ellipsis, out);
    fwrite(shown, 1, bytes, out);
    if (cut && align != COLUMNS_TAIL)
        fputs(ellipsis, out);
    if (align == COLUMNS_LEFT || align == COLUMNS_TAIL)
        pad(out, width - wide);
}

void columns_fit(int *widths, int count, int available)
{
    for (;;) {
        int widest = 0, sum = 0;

        for (int i = 0; i < count; i++) {
            sum += widths[i];
            if (widths[i] > widths[widest])
                widest = i;
        }
        if (sum <= available || count == 0 || widths[widest] <= 1)
            return;
        widths[widest]--;
    }
}

void columns_say(FILE *out, const char *format, ...)
{
    char line[TEXT_SIZE], safe[TEXT_SIZE];
    va_list args;

    va_start(args, format);
    if (vsnprintf(line, sizeof line, format, args) < 0)
        line[0] = '\0';
    va_end(args);
    fprintf(out, "%s\n", text_make_safe(safe, sizeof safe, line));
}

void columns_wrap(FILE *out, const char *text, int width, int indent)
{
    char safe[TEXT_SIZE];
    const char *p = safe;
    int column = 0;

    if (width < indent + WRAP_MIN)
        width = indent + WRAP_MIN;
    text_make_safe(safe, sizeof safe, text);
    while (*(p += strspn(p, " "))) {
        size_t len = strcspn(p, " ");
        int wide = safe_width(p, len);

        if (column > indent && column + 1 + wide > width) {
            fprintf(out, "\n%*s", indent, "");
            column = indent;
        } else if (column > 0) {
            putc(' ', out);
            column++;
        }
        fwrite(p, 1, len, out);
        column += wide;
        p += len;
    }
    putc('\n', out);
}
