/* schema/version.h - the version of the programs; all else asks here. */
#ifndef SCHEMA_VERSION_H
#define SCHEMA_VERSION_H

#define CELLAR_VERSION "0.1.0"
#define CELLAR_RELEASED "2026-11-25" /* the day of this version, of the pages */

#endif
