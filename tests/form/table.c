/* tests/form/table.c - how often the form of invented solos is found.
 *
 * form_table [COUNT [SEED [SORT [-v]]]] prints, for each sort of solo or for
 * the one of that number, the share of COUNT in which both the length and the
 * first bar are right.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/form.h"
#include "tests/form/cycle.h"

static bool verbose;

static void tell(const struct cycle_wish *wish, const struct cycle *c)
{
    printf("  seed %u marks %d var %u sub %d: %d bars %s from %d, %d choruses, "
           "partial %d, tag %d, metre %s, %zu bars; found %d from %d (%d %%)\n",
           wish->seed, wish->marks, wish->variations, wish->percent, c->length,
           c->letters, c->first_bar, c->choruses, c->partial, c->tag,
           c->solo->bars[0].metre, c->solo->bar_count,
           c->solo->form.plan.length, c->solo->form.first_bar,
           c->solo->form.plan.confidence);
}

/* How many are right, in hundredths of a percent; confidence by tens. */
static void try(const char *name, struct cycle_wish wish, unsigned int count,
                unsigned int seed)
{
    unsigned int right = 0, sure[101] = { 0 }, sure_right[101] = { 0 };

    for (unsigned int i = 0; i < count; i++) {
        struct cycle c;
        bool good;

        wish.seed = seed + i;
        cycle_make(&c, &wish);
        if (form_find(c.solo, NULL) != ST_OK)
            abort();
        good = cycle_is_told(&c);
        right += good;
        sure[c.solo->form.plan.confidence]++;
        sure_right[c.solo->form.plan.confidence] += good;
        if (!good && verbose)
            tell(&wish, &c);
        solo_free(c.solo);
    }
    printf("| %-34s | %3d %% | %6.2f %% |", name, wish.percent,
           100.0 * right / count);
    for (int k = 0; k <= 100; k++)
        if (sure[k])
            printf(" %d: %u/%u", k, sure_right[k], sure[k]);
    printf("\n");
}

int main(int argc, char **argv)
{
    static const struct {
        const char *name;
        enum cycle_marks marks;
        unsigned int variations;
    } sorts[] = {
        { "no marks", CYCLE_BARE, 0 },
        { "section letters", CYCLE_LETTERS, 0 },
        { "chorus numbers", CYCLE_CHORUSES, 0 },
        { "double bars", CYCLE_DOUBLE, 0 },
        { "two chords a bar", CYCLE_BARE, CYCLE_HALF_BARS },
        { "chords restated", CYCLE_BARE, CYCLE_RESTATED },
        { "introduction without chords", CYCLE_BARE, CYCLE_SILENT_INTRO },
        { "introduction a vamp", CYCLE_BARE, CYCLE_VAMP_INTRO },
        { "a chord in five not written", CYCLE_BARE, CYCLE_SPARSE },
    };
    static const int percents[] = { 0, 15, 30, 40 };
    unsigned int count = argc > 1 ? (unsigned int)atoi(argv[1]) : 1000;
    unsigned int seed = argc > 2 ? (unsigned int)atoi(argv[2]) : 1;

    int only = argc > 3 ? atoi(argv[3]) : -1;

    verbose = argc > 4 && strcmp(argv[4], "-v") == 0;
    printf("| solos | chords changed | right | confidence: right/all |\n"
           "| --- | --- | --- | --- |\n");
    for (size_t i = 0; i < sizeof sorts / sizeof *sorts; i++)
        for (size_t k = 0; k < sizeof percents / sizeof *percents; k++) {
            if (only >= 0 && (size_t)only != i)
                break;
            try(sorts[i].name,
                (struct cycle_wish){ 0, percents[k], sorts[i].marks,
                                     sorts[i].variations },
                count, seed);
        }
    return 0;
}
