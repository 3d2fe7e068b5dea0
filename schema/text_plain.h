/* schema/text_plain.h - text as it is compared: without case and accents. */
#ifndef SCHEMA_TEXT_PLAIN_H
#define SCHEMA_TEXT_PLAIN_H

/* TEXT in lower case and without accents.  The caller owns it (free()); NULL
 * when memory is out. */
char *text_plain(const char *text);

#endif
