/* schema/grow.h - room in an array that grows. */
#ifndef SCHEMA_GROW_H
#define SCHEMA_GROW_H

#include <stddef.h>

/* ARRAY (from malloc(), or NULL) of *ROOM items of ITEM bytes with room for
 * one more than COUNT: itself, or moved to where *ROOM is at least twice as
 * much.  NULL when memory is out; ARRAY and *ROOM are then as they were. */
void *grow_room(void *array, size_t count, size_t *room, size_t item);
/* The same with room for COUNT. */
void *grow_to(void *array, size_t count, size_t *room, size_t item);

#endif
