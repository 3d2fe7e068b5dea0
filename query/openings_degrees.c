/* query/openings_degrees.c - the degrees of a phrase; see openings.h. */
#include <stdlib.h>

#include "query/hit_view.h"
#include "query/openings.h"

enum status opening_degrees(const char ***out, const struct solo *solo,
                            size_t first, size_t last, struct fault *why)
{
    size_t count = last + 1 - first;
    const char **degrees = calloc(count, sizeof *degrees);
    int *midi = calloc(count, sizeof *midi);

    *out = degrees;
    if (!degrees || !midi) {
        free(degrees);
        free(midi);
        *out = NULL;
        return fault_nomem(why);
    }
    for (size_t i = 0; i < count; i++)
        midi[i] = solo->notes[first + i].midi;
    for (size_t i = 0, next; i < count; i = next) {
        int32_t heard = solo->notes[first + i].heard;
        const struct chord_event *event = real_chord(solo, heard);

        for (next = i + 1;
             next < count && solo->notes[first + next].heard == heard; next++)
            continue;
        if (event)
            chord_cell_degrees(&degrees[i], &event->chord, &midi[i], next - i);
    }
    free(midi);
    return ST_OK;
}
