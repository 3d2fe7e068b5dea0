/* query/printer.c - see printer.h. */
#include "query/printer.h"

const char *const printer_formats[] = { "text", "json", NULL };

static const struct printer *const printers[] = { &print_text, &print_json };

const struct printer *printer_for(int index)
{
    return printers[index];
}
