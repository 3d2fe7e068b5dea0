/* indexer/zipname.c - see zipname.h. */
#include "indexer/zipname.h"

#include <iconv.h>
#include <stddef.h>
#include <string.h>
#include <strings.h>

static bool is_slash(char c)
{
    return c == '/' || c == '\\';
}

/* NAME without what names the folder the zip itself stands for. */
static const char *skip_here(const char *name)
{
    for (;;) {
        if (is_slash(name[0]))
            name++;
        else if (name[0] == '.' && is_slash(name[1]))
            name += 2;
        else
            return name;
    }
}

static char fold(char c)
{
    if (c == '\\')
        return '/';
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool same_folded(const char *a, const char *b)
{
    a = skip_here(a);
    b = skip_here(b);
    while (*a && fold(*a) == fold(*b)) {
        a++;
        b++;
    }
    return *a == *b;
}

/* NAME read as CP437, written as UTF-8.  False where it does not fit or the
 * system does not know CP437. */
static bool from_cp437(char *out, size_t size, const char *name)
{
    iconv_t converter = iconv_open("UTF-8", "CP437");
    char copy[1024];
    char *in = copy;
    size_t left = strlen(name);
    size_t done;

    if (converter == (iconv_t)-1)
        return false;
    if (left >= sizeof copy) {
        iconv_close(converter);
        return false;
    }
    memcpy(copy, name, left + 1);
    size--;
    done = iconv(converter, &in, &left, &out, &size);
    iconv_close(converter);
    *out = '\0';
    return done != (size_t)-1 && left == 0;
}

static bool is_ascii(const char *text)
{
    for (; *text; text++)
        if ((unsigned char)*text >= 0x80)
            return false;
    return true;
}

bool zipname_like(const char *name, const char *path)
{
    char utf8[3 * 1024 + 1];

    if (same_folded(name, path))
        return true;
    return !is_ascii(name) && from_cp437(utf8, sizeof utf8, name) &&
           same_folded(utf8, path);
}

static bool is_below(const char *name, const char *folder)
{
    size_t len = strlen(folder);

    return strncasecmp(name, folder, len) == 0 && is_slash(name[len]);
}

static bool ends_in(const char *name, const char *suffix)
{
    size_t len = strlen(name), n = strlen(suffix);

    return len > n && strcasecmp(name + len - n, suffix) == 0;
}

bool zipname_is_document(const char *name)
{
    name = skip_here(name);
    return !is_below(name, "META-INF") && !is_below(name, "__MACOSX") &&
           (ends_in(name, ".xml") || ends_in(name, ".musicxml"));
}
