/* query/numbers.c - see numbers.h. */
#include "query/numbers.h"

#include <stdlib.h>
#include <string.h>

static const char digits[] = "0123456789";

enum {
    NUMBER_MAX = 999999999
};

bool numbers_look(const char *text)
{
    return *text && strchr(digits, *text) &&
           text[strspn(text, "0123456789,-")] == '\0' &&
           strchr(digits, text[strlen(text) - 1]);
}

static bool add(struct number_list *list, int32_t number)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->items[i] == number)
            return true;
    if (list->count == NUMBERS_MAX)
        return false;
    list->items[list->count++] = number;
    return true;
}

/* The number at *AT, which it is moved behind; 0 where there is none. */
static int32_t take(const char **at)
{
    size_t len = strspn(*at, digits);
    long value = strtol(*at, NULL, 10);

    if (len == 0 || value < 1 || value > NUMBER_MAX)
        return 0;
    *at += len;
    return (int32_t)value;
}

/* "3" or "3-5" at *AT. */
static enum status read_part(struct number_list *list, const char **at,
                             const char *text, struct fault *why)
{
    int32_t first = take(at), last = first;

    if (first > 0 && **at == '-') {
        ++*at;
        last = take(at);
    }
    if (first == 0 || last == 0 || (**at && **at != ','))
        return fault_set(why, ST_USAGE,
                         "'%.40s' is no number: write 3, or "
                         "1,3-5 for several",
                         text);
    if (last < first)
        return fault_set(why, ST_USAGE, "'%.40s' runs backwards: write %d-%d",
                         text, (int)last, (int)first);
    for (int32_t i = first; i <= last; i++)
        if (!add(list, i))
            return fault_set(why, ST_USAGE,
                             "'%.40s' is too much: at most %d "
                             "numbers at a time",
                             text, NUMBERS_MAX);
    return ST_OK;
}

enum status numbers_read(struct number_list *list, const char *text,
                         struct fault *why)
{
    const char *at = text;

    for (;;) {
        enum status st = read_part(list, &at, text, why);

        if (st != ST_OK || !*at)
            return st;
        at++;
    }
}

enum status numbers_read_all(struct number_list *list, int argc, char **argv,
                             struct fault *why)
{
    enum status st = ST_OK;

    list->count = 0;
    for (int i = 0; st == ST_OK && i < argc; i++)
        st = numbers_read(list, argv[i], why);
    return st;
}
