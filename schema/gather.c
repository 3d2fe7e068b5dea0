/* schema/gather.c - see gather.h. */
#include "schema/gather.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FIRST_ROOM = 256 };

/* Room for MORE bytes and the NUL behind them. */
static bool make_room(struct gather *g, size_t more)
{
    size_t need = g->used + more + 1;
    size_t room = g->room ? g->room : FIRST_ROOM;
    char *grown;

    if (g->failed || need <= g->room)
        return !g->failed;
    while (room < need)
        room *= 2;
    grown = realloc(g->text, room);
    if (!grown) {
        g->failed = true;
        return false;
    }
    g->text = grown;
    g->room = room;
    return true;
}

void gather_put(struct gather *gather, const char *piece)
{
    size_t len = strlen(piece);

    if (!make_room(gather, len))
        return;
    memcpy(gather->text + gather->used, piece, len + 1);
    gather->used += len;
}

void gather_format(struct gather *gather, const char *format, ...)
{
    va_list args, again;
    int len;

    va_start(args, format);
    va_copy(again, args);
    len = vsnprintf(NULL, 0, format, args);
    if (len < 0)
        gather->failed = true;
    else if (make_room(gather, (size_t)len))
        gather->used += (size_t)vsnprintf(gather->text + gather->used,
                                          (size_t)len + 1, format, again);
    va_end(again);
    va_end(args);
}

char *gather_take(struct gather *gather)
{
    char *text;

    gather_put(gather, "");
    text = gather->failed ? NULL : gather->text;
    if (gather->failed)
        free(gather->text);
    *gather = (struct gather){ NULL, 0, 0, false };
    return text;
}
