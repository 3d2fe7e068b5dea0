/* query/printer.c - see printer.h. */
#include "query/printer.h"

const char *const printer_formats[] = { "text", "json", NULL };
const char *const printer_excerpt_formats[] = { "text", "json", "musicxml",
                                                "abc",  "html", "csv",
                                                NULL };

static const struct printer *const printers[] = {
    &print_text, &print_json, &print_musicxml, &print_abc, &print_html,
    &print_csv
};

bool printer_needs_places(int index)
{
    return printers[index]->solos == NULL;
}

const struct printer *printer_for(int index)
{
    return printers[index];
}
