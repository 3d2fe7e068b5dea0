/* query/fragment_degree.c - one degree, read as a fragment's are. */
#include "query/fragment_parts.h"

#include <string.h>

/* TOKEN may hold more than a degree: say what there is no room for. */
static enum status refuse_more(const struct token *token, struct fault *why)
{
    if (token->has_value)
        return fault_at(why, ST_SYNTAX, token->offset,
                        "a note value has no place here: write the degree "
                        "alone, e.g. b9");
    if (token->octaves != 0)
        return fault_at(why, ST_SYNTAX, token->offset,
                        "an octave mark has no place here: the degree counts "
                        "in every octave");
    return ST_OK;
}

enum status fragment_parse_degree(int *semitones, const char *text,
                                  struct fault *why)
{
    struct token_list list;
    enum status st;

    if (!text[strspn(text, " \t")])
        return fault_at(why, ST_SYNTAX, 0,
                        "a degree is missing: write one, e.g. b9");
    st = tokens_read(&list, text, why);
    if (st != ST_OK)
        return st;
    if (list.language != FRAGMENT_DEGREES)
        return fault_at(why, ST_SYNTAX, list.tokens[0].offset,
                        "'%s' is no degree: degrees run from 1 to 13, e.g. b3 "
                        "or #11",
                        list.tokens[0].text);
    if (list.count > 1)
        return fault_at(why, ST_SYNTAX, list.tokens[1].offset,
                        "one degree at a time");
    *semitones = list.tokens[0].kind == TOKEN_ANY
                     ? -1
                     : pitch_modulo(list.tokens[0].semitones, 12);
    return refuse_more(&list.tokens[0], why);
}
