/* The chord cycles are generic ones that belong to nobody: twelve-bar blues,
 * cycles of fifths, chains of ii-V.  Titles and names are invented. */
#include "tests/demo/forms.h"

#define END { NULL, NULL }
#define ROODTHORPE "Anselm Roodthorpe"
#define STRAGGS "Fenella Straggsby"
#define DUNNOCK "Hester Dunnockvale"

enum { GRAVEL, TURNIP, DAMP, LEMON, AGNES, LADDER, TWENTY, BRAMBLE,
       PARSNIP };

const struct tune tunes[] = {
    { "Gravel Lantern Blues", ROODTHORPE, "twelve-bar blues, major", 4, 12,
      false,
      { { "A", "C7|F7|C7|Gm7 C7|F7|F#dim7|C7|Em7b5 A7b9|Dm7|G7|C7 A7|"
          "Dm7 G7" }, END },
      "C7|C6" },
    { "Turnip Cart Blues", STRAGGS, "twelve-bar blues, major", 4, 12, false,
      { { "A", "C7|C7|C7|C7|F9|F9|C7|C7|G7|F7|C7|G7#5" }, END },
      "C7|C13" },
    { "Damp Matches", DUNNOCK, "twelve-bar blues, minor", 4, 12, true,
      { { "A", "Cm7|Fm7|Cm7|C7#5#9|Fm7|Fm7|Cm7|Cm7|Ab7|G7#9|Cm6|"
          "Dm7b5 G7b9" }, END },
      "Cm6|Cm6" },
    { "Lemon Peel Ledger", STRAGGS, "AABA, 32 bars", 4, 32, false,
      { { "A", "C6 Am7|Dm7 G7|Em7 A7b9|Dm7 G7|Gm7 C7|Fmaj7 Bb7|Em7 A7|"
          "Dm7 G7" },
        { "A", "C6 Am7|Dm7 G7|Em7 A7b9|Dm7 G7|Gm7 C7|Fmaj7 Bb7|Dm7 G7|C6" },
        { "B", "E7|E7|A7|A7|D9|D9|G7|G7#5" },
        { "A", "C6 Am7|Dm7 G7|Em7 A7b9|Dm7 G7|Gm7 C7|Fmaj7 Bb7|Dm7 G7|C6" },
        END },
      "Dm7 G7|C6" },
    { "An Umbrella for Agnes", DUNNOCK, "AABA, 32 bars", 4, 32, false,
      { { "A", "Cmaj9|Fm7 Bb7|Cmaj7|Bm7b5 E7b9|Am7|D7#11|Dm7|G7sus4 G7" },
        { "A", "Cmaj9|Fm7 Bb7|Cmaj7|Bm7b5 E7b9|Am7|D7#11|Dm7 G13b9|C6" },
        { "B", "Gm7|C7|Fmaj7|Fmaj7#11|F#m7|B7|Em7 A7|Dm7 G7" },
        { "A", "Cmaj9|Fm7 Bb7|Cmaj7|Bm7b5 E7b9|Am7|D7#11|Dm7 G13b9|C6" },
        END },
      "Dm7 Db7|Cmaj7" },
    { "Borrowed Ladder", ROODTHORPE, "16 bars", 4, 16, false,
      { { "A", "Cmaj7|Ebdim7|Dm7|G7|Em7|A7b9|Dm7|G7" },
        { "B", "Cmaj7/G|Gm7 C7|Fmaj7|Fm6 Bb7|Em7 Eb7|Dm7 Db7|C6|Dm7 G7" },
        END },
      "C6/9|C6/9" },
    { "Twenty Steps to the Pantry", STRAGGS, "20 bars", 4, 20, false,
      { { "A", "Fmaj7|Fmaj7|Em7|A7|Dm7|G7|Cmaj7|C9" },
        { "B", "Abmaj7|Bbm7 Eb7|Abmaj7|Am7 D7|Gmaj7|Em7 A7|Dm7|G7sus4" },
        { "C", "C6|Am7|Dm7 G7|NC:G7" }, END },
      "C6|C6" },
    { "Bramble Clock Waltz", DUNNOCK, "24 bars, waltz", 3, 24, false,
      { { "A", "Cmaj7|Am7|Dm7|G7|Em7|A7b9|Dm7|G7" },
        { "B", "Cmaj7|C9|Fmaj7|Fm6|Em7|Ebdim7|Dm7|G7" },
        { "C", "Bm7b5|E7b9|Am9|D9|Dm7|G7sus4|C6|G7" }, END },
      "C6|C6" },
    { "Parsnip and Pewter", ROODTHORPE, "16 bars, minor", 4, 16, true,
      { { "A", "Cm6|Cm(maj7)|Dm7b5|G7b9|Cm6|Cm7|Fm7|Bb7" },
        { "B", "Ebmaj7|Abmaj7|Dm7b5|G7#5#9|Cm7 F7|Bbm7 Eb7|Abmaj7|"
          "Dm7b5 G7b9" }, END },
      "Cm6|Cm6" },
};

enum { ALTO, TENOR, TRUMPET, TROMBONE, GUITAR };

const struct instrument instruments[] = {
    { "Alto Saxophone", "A. Sax.", "wind.reed.saxophone.alto", "G", 2, 0,
      52, 79, 9, 3, -5, -9, 0 },
    { "Tenor Saxophone", "T. Sax.", "wind.reed.saxophone.tenor", "G", 2, 0,
      46, 74, 14, 2, -1, -2, -1 },
    { "Trumpet", "Tpt.", "brass.trumpet", "G", 2, 0,
      56, 81, 2, 2, -1, -2, 0 },
    { "Trombone", "Tbn.", "brass.trombone", "F", 4, 0,
      45, 69, 0, 0, 0, 0, 0 },
    { "Guitar", "Gtr.", "pluck.guitar", "G", 2, -1,
      45, 76, 0, 0, 0, 0, 0 },
};

#define MED "Medium swing"
#define UP "Up-tempo swing"
#define SLOW "Slow swing"
#define WALTZ "Jazz waltz, swing eighths"

const struct solo_spec solos[] = {
    { "gravel-lantern-blues", 0, GRAVEL, ALTO, -1, 176, 4, MED, 1,
      MARKS_DOUBLE, REPEATS_NONE, PACK_PLAIN, 101 },
    { "turnip-cart-blues", 0, TURNIP, TENOR, -2, 208, 4, UP, 0,
      MARKS_NONE, REPEATS_NONE, PACK_MXL, 102 },
    { "damp-matches", 0, DAMP, TENOR, -1, 152, 3, MED, 0,
      MARKS_CHORUS, REPEATS_NONE, PACK_PLAIN, 103 },
    { "lemon-peel-ledger", 0, LEMON, ALTO, -2, 224, 2, UP, 2,
      MARKS_LETTERS, REPEATS_NONE, PACK_PLAIN, 104 },
    { "an-umbrella-for-agnes", 0, AGNES, ALTO, -3, 160, 2, MED, 0,
      MARKS_DOUBLE, REPEATS_NONE, PACK_MXL, 105 },
    { "borrowed-ladder", 0, LADDER, TENOR, 0, 184, 3, MED, 1,
      MARKS_DOUBLE, REPEATS_NONE, PACK_PLAIN, 106 },
    { "twenty-steps-to-the-pantry", 0, TWENTY, TENOR, -4, 192, 3, MED, 0,
      MARKS_NONE, REPEATS_NONE, PACK_PLAIN, 141 },
    { "bramble-clock-waltz", 0, BRAMBLE, ALTO, 1, 168, 2, WALTZ, 0,
      MARKS_DOUBLE, REPEATS_NONE, PACK_PLAIN, 108 },
    { "parsnip-and-pewter", 0, PARSNIP, ALTO, -3, 200, 3, UP, 2,
      MARKS_LETTERS, REPEATS_NONE, PACK_STORED, 109 },
    { "gravel-lantern-blues-later", 0, GRAVEL, TENOR, -3, 232, 3, UP, 0,
      MARKS_CHORUS, REPEATS_NONE, PACK_PLAIN, 110 },

    { "gravel-lantern-blues", 1, GRAVEL, TRUMPET, -2, 132, 3, MED, 0,
      MARKS_CHORUS, REPEATS_CHORUS, PACK_PLAIN, 201 },
    { "turnip-cart-blues", 1, TURNIP, TROMBONE, -1, 116, 4, SLOW, 1,
      MARKS_DOUBLE, REPEATS_NONE, PACK_PLAIN, 202 },
    { "damp-matches", 1, DAMP, TRUMPET, -3, 126, 3, MED, 0,
      MARKS_NONE, REPEATS_NONE, PACK_MXL, 203 },
    { "lemon-peel-ledger", 1, LEMON, TRUMPET, -3, 172, 2, MED, 0,
      MARKS_LETTERS, REPEATS_ENDINGS, PACK_PLAIN, 244 },
    { "an-umbrella-for-agnes", 1, AGNES, TROMBONE, -4, 138, 2, MED, 2,
      MARKS_DOUBLE, REPEATS_NONE, PACK_PLAIN, 205 },
    { "borrowed-ladder", 1, LADDER, TROMBONE, -2, 144, 3, MED, 0,
      MARKS_LETTERS, REPEATS_NONE, PACK_TIMEWISE, 206 },
    { "twenty-steps-to-the-pantry", 1, TWENTY, TRUMPET, -1, 150, 2, MED, 0,
      MARKS_DOUBLE, REPEATS_NONE, PACK_PLAIN, 207 },
    { "bramble-clock-waltz", 1, BRAMBLE, TRUMPET, -5, 142, 3, WALTZ, 1,
      MARKS_CHORUS, REPEATS_NONE, PACK_MXL, 208 },
    { "parsnip-and-pewter", 1, PARSNIP, TROMBONE, -2, 136, 3, MED, 0,
      MARKS_NONE, REPEATS_NONE, PACK_PLAIN, 209 },

    { "gravel-lantern-blues", 2, GRAVEL, GUITAR, 1, 160, 3, MED, 0,
      MARKS_NONE, REPEATS_NONE, PACK_PLAIN, 301 },
    { "turnip-cart-blues", 2, TURNIP, GUITAR, -3, 144, 4, MED, 0,
      MARKS_DOUBLE, REPEATS_NONE, PACK_PLAIN, 302 },
    { "damp-matches", 2, DAMP, TENOR, -4, 138, 4, MED, 1,
      MARKS_CHORUS, REPEATS_NONE, PACK_PLAIN, 303 },
    { "lemon-peel-ledger", 2, LEMON, TENOR, 0, 188, 2, MED, 0,
      MARKS_DOUBLE, REPEATS_NONE, PACK_MXL, 304 },
    { "an-umbrella-for-agnes", 2, AGNES, GUITAR, 2, 132, 2, MED, 0,
      MARKS_LETTERS, REPEATS_NONE, PACK_PLAIN, 305 },
    { "borrowed-ladder", 2, LADDER, GUITAR, -5, 152, 3, MED, 0,
      MARKS_CHORUS, REPEATS_NONE, PACK_PLAIN, 306 },
    { "twenty-steps-to-the-pantry", 2, TWENTY, GUITAR, -2, 166, 2, MED, 2,
      MARKS_LETTERS, REPEATS_NONE, PACK_PLAIN, 307 },
    { "bramble-clock-waltz", 2, BRAMBLE, TENOR, -1, 156, 3, WALTZ, 0,
      MARKS_NONE, REPEATS_NONE, PACK_PLAIN, 308 },
    { "parsnip-and-pewter", 2, PARSNIP, TENOR, 1, 148, 3, MED, 0,
      MARKS_DOUBLE, REPEATS_NONE, PACK_MXL, 309 },
    { "turnip-cart-blues-again", 2, TURNIP, TENOR, -4, 120, 2, SLOW, 1,
      MARKS_LETTERS, REPEATS_NONE, PACK_PLAIN, 310 },
};

const int solo_count = (int)(sizeof solos / sizeof *solos);
