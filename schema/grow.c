/* schema/grow.c - room in an array that grows. */
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

void *grow_to(void *array, size_t count, size_t *room, size_t item)
{
    size_t more = count < FIRST_ROOM ? FIRST_ROOM : count;
    void *grown;

    if (array && count <= *room)
        return array;
    if (more > SIZE_MAX / 2)
        return NULL;
    grown = reallocarray(array, 2 * more, item);
    if (grown)
        *room = 2 * more;
    return grown;
}
