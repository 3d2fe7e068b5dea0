/* schema/harmony.h - the key area of every chord, and its function there.
 *
 * A key is 0..11 for the major key on that pitch class (0 is C), 12..23 for
 * the minor one, HARMONY_NO_KEY for none; it always sounds.
 *
 * A function is a roman numeral as a jazz teacher writes it under the chord:
 *
 *   ii7  V7  Imaj7  I6  i(maj7)  iv6  iiø7  viio7  V+7  V7sus  Isus  I5
 *
 * - The numeral counts from the tonic of the key area in the steps of its
 *   major scale, in minor as well: the relative major of a minor key is bIII.
 * - Lower case: minor, minor-major, half-diminished and diminished chords;
 *   upper case: all others.
 * - The quality is that of the seventh chord.  Extensions and alterations are
 *   left out: G13b9 in C is V7, Cmaj9 is Imaj7, C6/9 is I6.  A minor-major
 *   chord is i(maj7).  Only a dominant with nothing but a raised fifth has a
 *   name of its own, V+7.
 * - V7/ii is the dominant of ii, ii7/IV the related ii before V7/IV, subV7
 *   the tritone substitute of V7, subV7/V that of V7/V.
 *
 * What is read how (common practice, no source):
 *
 * - A dominant seventh is a secondary dominant where it resolves a fifth down
 *   to a step of the key: to a chord on it, to the related ii of a dominant on
 *   it (D7 Dm7 G7), or to the tritone substitute of one (D7 Db7 C).  So is one
 *   that follows its related ii, whether it resolves or not.  A cycle of
 *   dominants reads V7/vi V7/ii V7/V V7.
 * - A tritone substitute is named only where it resolves: a semitone down, or
 *   by one of the same detours.
 * - Dominants on the same root, or a tritone apart, share one resolution.
 * - I7 before IV is V7/IV, except in a blues: where more of the tonic in that
 *   key is I7 than a plain major chord, I7 stays I7 unless it is altered or
 *   follows its related ii.  IV7 in a blues is never a substitute.
 * - A minor chord of the key keeps its own name before a secondary dominant
 *   (iii7 V7/ii, vi7 V7/V); a half-diminished one is named for it, also on the
 *   seventh step (iiø7/vi V7/vi).
 * - bVII7 that resolves to I, or to iii7 in its place, keeps its numeral; its
 *   role says backdoor.
 * - A diminished chord is named by its step, sharp where the next chord lies a
 *   semitone above, flat where it lies below (#io7 ii7, biiio7 ii7).
 * - Everything else is named by its step.
 *
 * A short ii-V, or one secondary dominant, does not leave the key; a passage
 * that settles elsewhere does.  Chords are taken in written order.
 */
#ifndef SCHEMA_HARMONY_H
#define SCHEMA_HARMONY_H

#include "schema/solo.h"

enum {
    HARMONY_NO_KEY = -1,
    HARMONY_KEYS = 24,
    HARMONY_FUNCTION_SIZE = 24,
    HARMONY_FUNCTION_KEY_SIZE = HARMONY_FUNCTION_SIZE + 16
};

/* What a chord does beyond standing on its step. */
enum harmony_role {
    HARMONY_PLAIN,      /* a chord of the key, or named by its step */
    HARMONY_SECONDARY,  /* secondary dominant: V7/ii */
    HARMONY_RELATED,    /* related ii of a secondary dominant: ii7/IV */
    HARMONY_SUBSTITUTE, /* tritone substitute: subV7, subV7/V */
    HARMONY_BACKDOOR,   /* bVII7 that resolves to I or iii7 */
    HARMONY_PASSING,    /* diminished, a semitone from the next chord */
    HARMONY_ROLES
};

/* Fill key, function and role of every chord of SOLO.  N.C. and chords of
 * class CHORD_OTHER keep the key around them and have the function "".
 * Needs chords with their `start`, bars, ticks and the key signature.  Time
 * grows with the number of chords, at 24 by 24 steps each.
 * ST_OK or ST_NOMEM. */
enum status harmony_analyse(struct solo *solo, struct fault *why);

/* "secondary dominant", "backdoor" ...; "" for HARMONY_PLAIN. */
const char *harmony_role_name(int role);

/* "Eb major", "C minor", "" for HARMONY_NO_KEY.  FIFTHS is the sounding key
 * signature (-7..7; 0 where it does not matter): keys that may be written with
 * sharps or with flats take its side.  Otherwise Db, B; Gb; C#, G#, Bb and Eb
 * minor.  Returns OUT. */
char *harmony_key_text(char out[KEY_TEXT_SIZE], int key, int fifths);
/* The name of its tonic alone: "Eb", in minor "Cm". */
char *harmony_key_short(char out[KEY_TEXT_SIZE], int key, int fifths);

/* Read a function as people type it, LEN bytes at TEXT: ii7, IIm7, II-7,
 * V7/ii, bVII7, viio7, vii°7, VIIdim7, IVmaj7, I6, V13, V7alt, subV7/V ...
 * OUT is how harmony_analyse() would write it.  A secondary leading-tone chord
 * (viio7/ii) becomes the step it stands on (#io7).  ST_OK, or ST_SYNTAX with
 * the offset in WHY (NULL allowed); OUT is "" then. */
enum status harmony_parse_function(char out[HARMONY_FUNCTION_SIZE],
                                   const char *text, size_t len,
                                   struct fault *why);

/* The chord class that FUNCTION asks for; CHORD_NONE where it is none. */
enum chord_class harmony_function_class(const char *function);

/* What two functions must have in common to match: the numeral with its
 * accidental, "sub" and what it leads to, and the chord class, but not the
 * rest of the quality: "V/ii dominant", "ii half-diminished".  V7, V+7 and
 * V7sus have one key, so have I, Imaj7 and I6; ii7 and iiø7 have two.
 * FUNCTION is written as harmony_analyse() or harmony_parse_function() does.
 * Returns OUT, "" where FUNCTION is none. */
char *harmony_function_key(char out[HARMONY_FUNCTION_KEY_SIZE],
                           const char *function);

#endif
