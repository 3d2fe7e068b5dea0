/* query/json.c - see json.h.  The grammar is that of RFC 8259. */
#include "query/json.h"

#include <inttypes.h>
#include <string.h>

#include "schema/utf8.h"

void json_start(struct json *json, FILE *out)
{
    memset(json, 0, sizeof *json);
    json->out = out;
}

void json_finish(struct json *json)
{
    putc('\n', json->out);
}

/* Characters that end a string early, or that would steer a terminal or turn
 * the line round if the output were looked at as it is. */
static bool must_escape(uint32_t code)
{
    return code < 0x20 || code == '"' || code == '\\' ||
           (code >= 0x7f && code < 0xa0) || code == 0x2028 || code == 0x2029 ||
           (code >= 0x202a && code <= 0x202e) ||
           (code >= 0x2066 && code <= 0x2069);
}

static void write_escape(FILE *out, uint32_t code)
{
    switch (code) {
    case '"':
    case '\\':
        fprintf(out, "\\%c", (int)code);
        break;
    case '\n':
        fputs("\\n", out);
        break;
    case '\t':
        fputs("\\t", out);
        break;
    case '\r':
        fputs("\\r", out);
        break;
    default:
        fprintf(out, "\\u%04" PRIx32, code);
        break;
    }
}

static void write_quoted(FILE *out, const char *text)
{
    const char *plain = text; /* the start of what needs no change */
    const char *end = text + strlen(text);
    uint32_t code;
    size_t used;

    putc('"', out);
    for (; text < end; text += used) {
        used = utf8_next(&code, text, (size_t)(end - text));
        if (code != UTF8_REPLACEMENT && !must_escape(code))
            continue;
        fwrite(plain, 1, (size_t)(text - plain), out);
        plain = text + used;
        if (code == UTF8_REPLACEMENT)
            fputs("\xef\xbf\xbd", out);
        else
            write_escape(out, code);
    }
    fwrite(plain, 1, (size_t)(end - plain), out);
    putc('"', out);
}

/* What stands before a value: the comma and the key. */
static void begin_value(struct json *json, const char *key)
{
    if (json->begun[json->depth])
        putc(',', json->out);
    json->begun[json->depth] = true;
    if (key) {
        write_quoted(json->out, key);
        putc(':', json->out);
    }
}

static void open_level(struct json *json, const char *key, char opener,
                       char closer)
{
    begin_value(json, key);
    putc(opener, json->out);
    if (json->depth + 1 < JSON_DEPTH_MAX)
        json->depth++;
    json->begun[json->depth] = false;
    json->closer[json->depth] = closer;
}

void json_object(struct json *json, const char *key)
{
    open_level(json, key, '{', '}');
}

void json_array(struct json *json, const char *key)
{
    open_level(json, key, '[', ']');
}

void json_close(struct json *json)
{
    putc(json->closer[json->depth], json->out);
    if (json->depth > 0)
        json->depth--;
}

void json_string(struct json *json, const char *key, const char *text)
{
    if (!text) {
        json_null(json, key);
        return;
    }
    begin_value(json, key);
    write_quoted(json->out, text);
}

void json_string_or_null(struct json *json, const char *key, const char *text)
{
    json_string(json, key, text && *text ? text : NULL);
}

void json_integer(struct json *json, const char *key, int64_t value)
{
    begin_value(json, key);
    fprintf(json->out, "%" PRId64, value);
}

void json_boolean(struct json *json, const char *key, bool value)
{
    begin_value(json, key);
    fputs(value ? "true" : "false", json->out);
}

void json_null(struct json *json, const char *key)
{
    begin_value(json, key);
    fputs("null", json->out);
}

void json_fraction(struct json *json, const char *key, struct rational value)
{
    char text[RATIONAL_TEXT_SIZE];

    json_string(json, key, rational_text(text, value));
}

void json_number(struct json *json, const char *key, const char *text)
{
    begin_value(json, key);
    fputs(text, json->out);
}

void json_hundredths(struct json *json, const char *key, int64_t value)
{
    int64_t whole = value / 100;
    int rest = (int)(value % 100);

    begin_value(json, key);
    if (rest < 0)
        rest = -rest;
    fprintf(json->out, "%s%" PRId64, value < 0 && whole == 0 ? "-" : "", whole);
    if (rest % 10 != 0)
        fprintf(json->out, ".%02d", rest);
    else if (rest != 0)
        fprintf(json->out, ".%d", rest / 10);
}
