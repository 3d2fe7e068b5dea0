/* indexer/zipname.h - the names of zip entries, as systems write them.
 *
 * A name is bytes ended by NUL: UTF-8, or CP437 as the first zip programs
 * wrote it (APPNOTE.TXT, appendix D), with '/' or, against the standard,
 * '\' between folders.
 */
#ifndef INDEXER_ZIPNAME_H
#define INDEXER_ZIPNAME_H

#include <stdbool.h>

/* Whether NAME may be meant by the UTF-8 PATH: equal but for the case of
 * ASCII letters, the kind of slash, a leading "/" or "./", and CP437. */
bool zipname_like(const char *name, const char *path);

/* Whether NAME looks like a score: it ends in .xml or .musicxml and stands
 * neither in META-INF nor in the folder of file attributes (__MACOSX) that
 * one system adds. */
bool zipname_is_document(const char *name);

#endif
