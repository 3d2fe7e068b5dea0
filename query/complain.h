/* query/complain.h - what is said on stderr. */
#ifndef QUERY_COMPLAIN_H
#define QUERY_COMPLAIN_H

#include "query/session.h"

/* Print WHY as one line; below it the faulty text of SESSION with a caret
 * under the place, and the candidates, where there are any. */
void complain(FILE *out, const struct session *session,
              const struct fault *why);

#endif
