/* schema/grow.c - room in an array that grows one by one. */
#include "schema/grow.h"

#include <stdint.h>
#include <stdlib.h>

enum { FIRST_ROOM = 32 };

void *grow_room(void *array, size_t count, size_t *room, size_t item)
{
    size_t more = *room ? *room : FIRST_ROOM;
    void *grown;

    if (count < *room)
        return array;
    if (*room && more > SIZE_MAX / 2)
        return NULL;
    more = *room ? more * 2 : more;
    grown = reallocarray(array, more, item);
    if (grown)
        *room = more;
    return grown;
}
