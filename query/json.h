/* query/json.h - write JSON as it comes, without building it first.
 *
 * The caller opens and closes objects and arrays in the right order; the
 * writer puts the commas.  KEY is the member's name inside an object and NULL
 * inside an array.  What is written is always valid UTF-8: a byte that is no
 * UTF-8 becomes U+FFFD.  A failed write is left for ferror() of the stream.
 */
#ifndef QUERY_JSON_H
#define QUERY_JSON_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

#include "schema/rational.h"

enum {
    JSON_DEPTH_MAX = 32
};

struct json {
    FILE *out;
    int depth;
    bool begun[JSON_DEPTH_MAX];  /* something stands before at this depth */
    char closer[JSON_DEPTH_MAX]; /* '}' or ']' */
};

/* Write to OUT, which stays the caller's. */
void json_start(struct json *json, FILE *out);
/* End the line after the outermost value. */
void json_finish(struct json *json);

void json_object(struct json *json, const char *key);
void json_array(struct json *json, const char *key);
/* Close the innermost object or array. */
void json_close(struct json *json);

/* TEXT ends with NUL; NULL writes null. */
void json_string(struct json *json, const char *key, const char *text);
/* The same, but "" writes null too: for facts a file may leave out. */
void json_string_or_null(struct json *json, const char *key, const char *text);
void json_integer(struct json *json, const char *key, int64_t value);
void json_boolean(struct json *json, const char *key, bool value);
void json_null(struct json *json, const char *key);
/* A string "n/d". */
void json_fraction(struct json *json, const char *key, struct rational value);
/* A number whose text is TEXT. */
void json_number(struct json *json, const char *key, const char *text);
/* A number given in hundredths: 13250 writes 132.5, 12000 writes 120. */
void json_hundredths(struct json *json, const char *key, int64_t value);

#endif
