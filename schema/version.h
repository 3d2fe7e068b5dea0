/* schema/version.h - the version of the programs. */
#ifndef SCHEMA_VERSION_H
#define SCHEMA_VERSION_H

#define CELLAR_VERSION "0.1.0"

#endif
